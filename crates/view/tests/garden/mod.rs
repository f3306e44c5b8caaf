//! A garden made by hand: a pond, a stream, a hill with a filter, and a wall.

#![allow(clippy::unwrap_used, reason = "a test that cannot go on ends here")]
#![allow(
    clippy::disallowed_methods,
    reason = "a garden made for tests need not agree between machines"
)]

use std::sync::Arc;

use design::part::Part;
use design::{Earth, Evaluation, HaulOutcome, SurveyOutcome, WaterBody, WaterKind};
use ground::{Lattice, LatticePoint, Surface, Tag, constrained};
use site::works::*;
use site::*;

pub(crate) fn made() -> (Site, Evaluation) {
    let existing = Arc::new(surface(|_| (0, Part::Existing), |_, p| lie(p)));
    let finished = Arc::new(surface(zone, height));
    let sheet = sheet(&finished, |tag| tag.owner == 1, |_| LEVEL);
    let run = sheet_of_stream(&finished);
    let evaluation = Evaluation {
        existing: Some(existing),
        finished: Some(finished),
        works: vec![],
        between: None,
        soils: Vec::new(),
        lifts: Vec::new(),
        laid: Vec::new(),
        earth: Earth {
            cut_bank_m3: 30.0,
            fill_compacted_m3: 14.0,
            spoil_bank_m3: 14.0,
            deepest_cut_m: 1.1,
            highest_fill_m: 1.3,
            ..Earth::default()
        },
        haul: HaulOutcome {
            spoil_loose_m3: 18.0,
            loads: Some(3),
            governed_by: "weight",
            ..HaulOutcome::default()
        },
        water: vec![
            WaterBody {
                work: WorkId(1),
                kind: WaterKind::Basin,
                level_m: LEVEL,
                area_m2: 28.0,
                volume_m3: 14.0,
                stages: vec![[LEVEL, 28.0, 14.0]],
                sheet,
            },
            WaterBody {
                work: WorkId(2),
                kind: WaterKind::Stream,
                level_m: LEVEL,
                area_m2: 3.0,
                volume_m3: 0.2,
                stages: vec![],
                sheet: run,
            },
        ],
        survey: SurveyOutcome::default(),
        findings: vec![],
    };
    (site(), evaluation)
}

const LEVEL: f64 = 0.55;

fn lie([x, y]: [f64; 2]) -> f64 {
    0.055 * y + 0.12 * (x * 0.35).sin() + 0.004 * (x - 8.0) * (x - 8.0)
}

fn pond_r([x, y]: [f64; 2]) -> f64 {
    let (dx, dy) = (x - 7.0, y - 7.2);
    let a = dy.atan2(dx);
    let r = 2.9 + 0.75 * (2.0 * a + 0.6).cos() + 0.30 * (3.0 * a).sin();
    (dx * dx + dy * dy).sqrt() - r
}

fn stream_off([x, y]: [f64; 2]) -> f64 {
    x - (8.4 + 0.7 * ((y - 9.5) * 0.7).sin())
}

fn filter_r([x, y]: [f64; 2]) -> f64 {
    (((x - 9.3) / 1.7).powi(2) + ((y - 15.8) / 1.15).powi(2)).sqrt() - 1.0
}

fn hill([x, y]: [f64; 2]) -> f64 {
    let d = (((x - 9.0) / 1.1).powi(2) + (y - 15.6).powi(2)).sqrt();
    2.30 - ((d - 1.9).max(0.0)) / 2.6
}

fn wall_line(y: f64) -> f64 {
    12.2 + 0.25 * ((y - 13.0) * 0.5).sin()
}

fn bed_level(y: f64) -> f64 {
    let steps = [(14.6, 2.02), (13.0, 1.62), (11.2, 1.10)];
    let base = steps.iter().find(|s| y > s.0).map_or(0.72, |s| s.1);
    base + 0.01 * (y - 10.0)
}

fn zone(p: [f64; 2]) -> (u32, Part) {
    let r = pond_r(p);
    let off = stream_off(p);
    let y = p[1];
    if r < -1.7 {
        (1, Part::Floor)
    } else if r < -1.2 {
        (1, Part::Side)
    } else if r < -0.5 {
        (1, Part::Shelf)
    } else if r < 0.0 {
        (1, Part::Side)
    } else if filter_r(p) < 0.0 {
        (3, Part::Floor)
    } else if off.abs() < 0.38 && y > 9.0 && y < 15.2 {
        (2, Part::Bed)
    } else if r < 0.28 {
        (1, Part::Rim)
    } else if off.abs() < 0.62 && y > 9.0 && y < 15.2 {
        (2, Part::Rim)
    } else if filter_r(p) < 0.22 {
        (3, Part::Rim)
    } else if y > 12.8 && y < 17.6 && p[0] < wall_line(y) && p[0] > wall_line(y) - 0.35 {
        (5, Part::WallTop)
    } else if p[0] <= wall_line(y) && hill(p) > lie(p) {
        (4, Part::Flank)
    } else if r < 0.9 && lie(p) > LEVEL + 0.1 {
        (1, Part::CutBank)
    } else {
        (0, Part::Existing)
    }
}

fn height(zone: (u32, Part), p: [f64; 2]) -> f64 {
    let r = pond_r(p);
    match zone {
        (1, Part::Floor) => LEVEL - 0.95,
        (1, Part::Side) if r < -0.9 => LEVEL - 0.30 - 0.65 * ((-1.2 - r) / 0.5).clamp(0.0, 1.0),
        (1, Part::Shelf) => LEVEL - 0.28,
        (1, Part::Side) => LEVEL + 0.1 - 0.38 * (-r / 0.5).clamp(0.0, 1.0),
        (1, Part::Rim) => LEVEL + 0.1,
        (1, Part::CutBank) => {
            let t = ((r - 0.28) / 0.62).clamp(0.0, 1.0);
            (LEVEL + 0.1) * (1.0 - t) + lie(p) * t
        }
        (2, Part::Bed) => bed_level(p[1]),
        (2, Part::Rim) => bed_level(p[1]) + 0.12,
        (3, Part::Floor) => 1.65,
        (3, Part::Rim) => 2.34,
        (4, Part::Flank) => hill(p).max(lie(p)),
        (5, Part::WallTop) => hill([wall_line(p[1]) - 0.2, p[1]]).max(lie(p) + 0.45),
        _ => lie(p),
    }
}

fn mesh() -> (Lattice, ground::Mesh2) {
    let lattice = Lattice::default();
    let mut places: Vec<LatticePoint> = vec![];
    for j in 0..=100 {
        for i in 0..=80 {
            let wobble = |k: i32| {
                if j % 100 == 0 || i % 80 == 0 {
                    0.0
                } else {
                    f64::from((i * 7 + j * 13 + k) % 5 - 2) * 0.012
                }
            };
            let p = [f64::from(i) * 0.2 + wobble(0), f64::from(j) * 0.2 + wobble(2)];
            places.push(lattice.snap(p).unwrap());
        }
    }
    (lattice, constrained(lattice, &places, &[]).unwrap())
}

fn surface(
    zone: impl Fn([f64; 2]) -> (u32, Part),
    height: impl Fn((u32, Part), [f64; 2]) -> f64,
) -> Surface {
    let (lattice, mesh) = mesh();
    let at = |v: u32| lattice.metres(mesh.vertices[v as usize]);
    let mut heights = vec![];
    let mut corners = vec![];
    let mut tags = vec![];
    let mut known = std::collections::BTreeMap::new();
    for t in &mesh.triangles {
        let c = t.map(at);
        let mid = [0, 1].map(|k| (c[0][k] + c[1][k] + c[2][k]) / 3.0);
        let z = zone(mid);
        tags.push(Tag { owner: z.0, part: z.1 as u32 });
        corners.push(t.map(|v| {
            let h = height(z, at(v));
            *known.entry((v, h.to_bits())).or_insert_with(|| {
                heights.push(h);
                heights.len() as u32 - 1
            })
        }));
    }
    Surface::from_mesh(ground::Sheet {
        mesh,
        heights,
        corners: Some(corners),
        tags,
        plane_of: vec![],
        planes: vec![],
    })
    .unwrap()
}

fn sheet(
    surface: &Surface,
    keep: impl Fn(Tag) -> bool,
    level: impl Fn([f64; 2]) -> f64,
) -> Vec<[[f64; 3]; 3]> {
    (0..surface.faces().len() as u32)
        .filter(|f| keep(surface.faces()[*f as usize].tag))
        .map(|f| {
            surface.corners(f).map(|p| {
                let [x, y] = surface.lattice().metres(p);
                [x, y, level([x, y])]
            })
        })
        .collect()
}

fn sheet_of_stream(surface: &Surface) -> Vec<[[f64; 3]; 3]> {
    (0..surface.faces().len() as u32)
        .filter(|f| {
            let tag = surface.faces()[*f as usize].tag;
            tag.owner == 2
        })
        .map(|f| {
            let c = surface.corners(f).map(|p| surface.lattice().metres(p));
            let mid = (c[0][1] + c[1][1] + c[2][1]) / 3.0;
            c.map(|p| [p[0], p[1], bed_level(mid) + 0.04])
        })
        .collect()
}

fn site() -> Site {
    let curve = |points: &[[f64; 2]]| Curve { points: points.to_vec(), smooth: true };
    let work = |id, name: &str, kind| Work {
        id: WorkId(id),
        name: name.into(),
        note: String::new(),
        group: String::new(),
        visible: true,
        kind,
    };
    let works = vec![
        work(
            4,
            "Hill",
            WorkKind::Hill(Hill {
                crest: curve(&[[8.0, 15.6], [10.0, 15.6]]),
                crest_m: vec![2.3],
                width_m: vec![2.0],
                left: vec![Flank { run_per_rise: 2.6, shoulder_m: 0.4, toe_m: 0.6 }],
                right: vec![Flank { run_per_rise: 2.6, shoulder_m: 0.4, toe_m: 0.6 }],
                held_by: None,
                build_up: Default::default(),
            }),
        ),
        work(
            5,
            "Boulder wall",
            WorkKind::Wall(Wall {
                line: curve(&[[12.2, 13.0], [12.3, 17.0]]),
                top_m: vec![1.6],
                batter: 0.0,
                thickness_m: 0.35,
                embedment_m: 0.2,
                retains: Side::Left,
                backfill: 3.0,
                material: WallMaterial::Stone,
                stone_m: None,
                holds: Some(WorkId(3)),
                top_run: Default::default(),
                tiers: Vec::new(),
            }),
        ),
        work(
            1,
            "Pond",
            WorkKind::Basin(Basin {
                outline: curve(&[[4.0, 7.0], [7.0, 4.0], [10.0, 7.0], [7.0, 10.0]]),
                water_level_m: LEVEL,
                freeboard_m: 0.1,
                liner_edge_m: vec![],
                overflow: None,
                overflow_width_m: None,
                overflow_m: None,
                rim_width_m: 0.28,
                cut_bank: 1.5,
                fill_bank: 3.0,
                rings: vec![BasinRing {
                    shape: RingShape::Inset { run_m: vec![0.5] },
                    depth_m: 0.3,
                    build_up: Default::default(),
                }],
                floor: works::Floor::Level,
                joins: None,
                rim_build_up: Default::default(),
                build_up: Default::default(),
                bank_build_up: Default::default(),
            }),
        ),
        work(
            3,
            "Planted filter",
            WorkKind::FilterBed(FilterBed {
                outline: curve(&[[7.6, 15.8], [9.3, 14.65], [11.0, 15.8], [9.3, 16.95]]),
                lip: Lip { at: [8.6, 14.8], width_m: 0.8, elevation_m: 2.24 },
                depth_m: 0.59,
                side: 0.2,
                freeboard_m: 0.1,
                rim_width_m: 0.25,
                cut_bank: 1.5,
                fill_bank: 3.0,
                gravel_below_lip_m: 0.06,
                void_share: None,
                gravel_m: None,
                build_up: Default::default(),
                bank_build_up: Default::default(),
            }),
        ),
        work(
            2,
            "Stream",
            WorkKind::Stream(Stream {
                line: curve(&[[8.6, 15.0], [8.4, 12.0], [8.4, 9.5]]),
                from: Some(WorkId(3)),
                into: Some(WorkId(1)),
                stations: vec![],
                falls: vec![],
                water_depth_m: 0.04,
                bed_stone_m: None,
                bed: None,
                sheet_m: None,
                freeboard_m: 0.08,
                cut_bank: 1.5,
                fill_bank: 2.0,
                rim_width_m: 0.25,
                islands: Vec::new(),
                bed_build_up: Default::default(),
                side_build_up: Default::default(),
                bank_build_up: Default::default(),
            }),
        ),
    ];
    Site {
        format: 1,
        title: "A garden made by hand".into(),
        frame: Frame {
            unit: units::LengthUnit::FootInch,
            step_um: 1,
            origin_m: [0.0; 2],
            horizontal_datum: String::new(),
            vertical_datum: String::new(),
        },
        survey: Arc::new(Survey::default()),
        soils: Soils::default(),
        keep_outs: Vec::new(),
        digging: site::Digging::default(),
        carry: site::Carry::default(),
        stockpiles: Vec::new(),
        works,
        next_id: 6,
        circulation: Default::default(),
        weather: Default::default(),
        houses: vec![House {
            name: "House".into(),
            outline_m: vec![[3.0, -6.5], [12.0, -6.5], [12.0, -0.8], [3.0, -0.8]],
            floor_m: 0.25,
            sill_m: 0.25,
            height_m: 2.7,
        }],
        limits: Limits::default(),
        haul: Haul::default(),
        viewpoints: vec![
            Viewpoint {
                name: "From the seat".into(),
                at_m: [2.2, 3.6],
                eye_m: 1.35,
                toward_m: [8.4, 10.5, 0.9],
            },
            Viewpoint {
                name: "From the kitchen window".into(),
                at_m: [8.6, 0.3],
                eye_m: 1.75,
                toward_m: [8.2, 12.0, 1.0],
            },
        ],
        pictures: Vec::new(),
    }
}
