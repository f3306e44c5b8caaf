//! One site in which every kind of work stands with every optional part filled.
#![allow(dead_code, reason = "each test file uses a part of the sample")]

use std::sync::Arc;

use site::circulation::*;
use site::earth::*;
use site::keep_out::*;
use site::works::*;
use site::{
    Circulation, Curve, Frame, LevelNotes, LevelRow, Picture, Pin, Share, Site, Survey, Viewpoint,
    Weather, Work, WorkId, WorkKind,
};
use units::LengthUnit;

/// A closed outline of four points.
pub(crate) fn square(half_m: f64) -> Curve {
    let h = half_m;
    Curve { points: vec![[-h, -h], [h, -h], [h, h], [-h, h]], smooth: true }
}

/// A line of three points.
pub(crate) fn line() -> Curve {
    Curve { points: vec![[0.0, 0.0], [4.0, 1.0], [8.0, 0.5]], smooth: false }
}

/// Every kind, in the order of [`WorkKind`]; a new kind does not build until it stands here.
pub(crate) fn kinds() -> Vec<WorkKind> {
    let mut all = first_kinds();
    all.iter_mut().for_each(fill);
    all.extend([intake_bay(), pad(), path(), plane_grade(), trench(), strip()]);
    for kind in &all {
        match kind {
            WorkKind::Basin(_)
            | WorkKind::Stream(_)
            | WorkKind::Hill(_)
            | WorkKind::Wall(_)
            | WorkKind::FilterBed(_)
            | WorkKind::IntakeBay(_)
            | WorkKind::Pad(_)
            | WorkKind::Path(_)
            | WorkKind::PlaneGrade(_)
            | WorkKind::Trench(_)
            | WorkKind::Strip(_) => {}
        }
    }
    all
}

/// What format 4 added to the kinds.
fn fill_water(kind: &mut WorkKind) {
    match kind {
        WorkKind::Basin(basin) => {
            (basin.overflow_width_m, basin.overflow_m) = (Some(0.625), Some(30.01));
        }
        WorkKind::Stream(stream) => {
            (stream.bed_stone_m, stream.sheet_m) = (Some(0.03125), Some(0.0125));
            let part = |width_m, above_m| CrestPart { width_m, above_m };
            stream.falls[0].parts = vec![part(0.25, 0.0), part(0.125, 0.015)];
            stream.falls[0].stone_m = Some(0.375);
        }
        WorkKind::FilterBed(bed) => (bed.void_share, bed.gravel_m) = (Some(0.375), Some(0.02)),
        WorkKind::Wall(wall) => wall.stone_m = Some(0.75),
        _ => {}
    }
}

/// A pump with its main, two lines, and everything that can be said of them.
fn circulation() -> Circulation {
    let point = |flow_l_s, head_m| CurvePoint { flow_l_s, head_m };
    let pipe = || Pipe {
        inner_m: Some(0.0779),
        trench: Some(WorkId(10)),
        length_m: Some(2.5),
        wall: PipeWall::SmoothPlastic,
        fittings: vec![Fittings { kind: FittingKind::SweepBend, count: 3 }],
        gate_open: Some(0.75),
    };
    let line = |feeds, outlet_m| FeedLine { feeds: Some(WorkId(feeds)), outlet_m, pipe: pipe() };
    let pump = Pump {
        name: "Stream pump".into(),
        draws_from: Some(WorkId(6)),
        curve: PumpCurve::Points(vec![point(0.0, 6.0), point(4.0, 4.5), point(8.0, 0.5)]),
        count: 2,
        watts: Some(410.0),
        hours_per_day: Some(16.0),
        intake_m: Some(29.375),
        guard_heads: Some(1.5),
        main: Some(pipe()),
        lines: vec![line(5, None), line(1, Some(30.25))],
    };
    let spare = Pump { curve: PumpCurve::Common(CommonPump::Litres12), ..Pump::default() };
    Circulation {
        pumps: vec![pump, spare],
        price_per_kwh: Some(0.25),
        supply_l_min: Some(18.0),
        splash_loss: Some(1.0e-5),
    }
}

/// All of it.
fn weather() -> Weather {
    Weather {
        storm_mm_h: Some(110.0),
        storm_m: Some(0.125),
        runoff_share: Some(0.25),
        curve_number: Some(74.0),
        evaporation_m_day: Some(0.0065),
        erosivity: Some(2500.0),
        open_weeks: Some(6.0),
    }
}

/// The kinds of format 1, with what they had then.
fn first_kinds() -> Vec<WorkKind> {
    vec![basin(), stream(), hill(), wall(), filter_bed()]
}

/// What later formats added to the kinds of format 1.
fn fill(kind: &mut WorkKind) {
    let rock = |half_m: f64| square(half_m);
    match kind {
        WorkKind::Basin(basin) => {
            basin.joins = Some(WorkId(12));
            basin.rim_build_up = build_up(0.01);
            basin.build_up = build_up(0.02);
            basin.bank_build_up = build_up(0.03);
            basin.rings.iter_mut().for_each(|ring| ring.build_up = build_up(0.04));
        }
        WorkKind::Stream(stream) => {
            stream.islands = vec![Island { outline: rock(0.125), top_m: 31.2 }];
            stream.bed_build_up = build_up(0.01);
            stream.side_build_up = build_up(0.02);
            stream.bank_build_up = build_up(0.03);
        }
        WorkKind::Hill(hill) => {
            hill.held_by = Some(WorkId(4));
            hill.build_up = build_up(0.05);
        }
        WorkKind::Wall(wall) => {
            wall.top_run = TopRun::Stepped;
            wall.tiers = vec![Tier { back_m: 1.2, rise_m: 0.4 }, Tier { back_m: 0.9, rise_m: 0.3 }];
        }
        WorkKind::FilterBed(bed) => {
            bed.build_up = build_up(0.01);
            bed.bank_build_up = build_up(0.02);
        }
        _ => {}
    }
}

/// A build-up of every layer, each thicker than the one below it.
fn build_up(least_m: f64) -> BuildUp {
    BuildUp {
        bedding_m: least_m,
        liner_m: 0.002,
        stone_m: 2.0 * least_m,
        gravel_m: 3.0 * least_m,
        topsoil_m: 4.0 * least_m,
    }
}

fn intake_bay() -> WorkKind {
    WorkKind::IntakeBay(IntakeBay {
        outline: square(0.75),
        from: Some(WorkId(1)),
        sill: Sill { at: [0.75, 0.0], width_m: 0.6, depth_m: 0.1 },
        water_level_m: 30.0,
        freeboard_m: 0.1,
        depth_m: 0.8,
        side: 0.3,
        rim_width_m: 0.3,
        cut_bank: 1.5,
        fill_bank: 2.0,
        build_up: build_up(0.01),
        bank_build_up: build_up(0.02),
    })
}

fn plane() -> Plane {
    Plane { at: [1.0, 2.0], level_m: 30.4, toward: [1.0, -2.0], fall: 0.02 }
}

fn pad() -> WorkKind {
    WorkKind::Pad(Pad {
        outline: square(1.5),
        purpose: PadPurpose::SittingPlace,
        plane: plane(),
        cut_bank: 1.5,
        fill_bank: 2.0,
        build_up: build_up(0.01),
        bank_build_up: build_up(0.02),
    })
}

fn path() -> WorkKind {
    WorkKind::Path(Path {
        line: line(),
        level_m: vec![30.0, 30.2, 30.9],
        width_m: 1.2,
        cross_fall: 0.02,
        largest_grade: 0.05,
        steps: StepRule { riser_m: 0.15, two_risers_and_tread_m: 0.65 },
        cut_bank: 2.0,
        fill_bank: 3.0,
        stones: Some(SteppingStones {
            across: WorkId(1),
            stone_m: 0.6,
            gap_m: 0.1,
            above_water_m: 0.08,
        }),
        build_up: build_up(0.01),
        bank_build_up: build_up(0.02),
    })
}

fn plane_grade() -> WorkKind {
    WorkKind::PlaneGrade(PlaneGrade {
        outline: square(3.0),
        plane: plane(),
        cut_bank: 4.0,
        fill_bank: 5.0,
        build_up: build_up(0.03),
    })
}

fn trench() -> WorkKind {
    WorkKind::Trench(Trench {
        line: line(),
        invert_m: vec![29.5, 29.4, 29.3],
        width_m: 0.4,
        side: 0.25,
        bedding_m: 0.1,
        pipe_m: 0.11,
    })
}

fn strip() -> WorkKind {
    WorkKind::Strip(Strip { outline: square(5.0) })
}

fn basin() -> WorkKind {
    WorkKind::Basin(Basin {
        outline: square(4.0),
        water_level_m: 30.0,
        freeboard_m: 0.1,
        liner_edge_m: vec![30.1, 30.2, 30.1, 30.15],
        overflow: Some([4.0, 0.0]),
        overflow_width_m: None,
        overflow_m: None,
        rim_width_m: 0.5,
        cut_bank: 2.0,
        fill_bank: 3.0,
        rings: vec![
            BasinRing {
                shape: RingShape::Inset { run_m: vec![0.4, 0.5, 0.6, 0.7] },
                depth_m: 0.3,
                build_up: BuildUp::default(),
            },
            BasinRing {
                shape: RingShape::Drawn(square(2.5)),
                depth_m: 0.6,
                build_up: BuildUp::default(),
            },
        ],
        floor: Floor::Sump { at: [0.5, 0.5], radius_m: 0.3, depth_m: 1.0 },
        joins: None,
        rim_build_up: BuildUp::default(),
        build_up: BuildUp::default(),
        bank_build_up: BuildUp::default(),
    })
}

fn stream() -> WorkKind {
    let station = |along_m, invert_m| Station {
        along_m,
        invert_m,
        bed_width_m: 0.5,
        side: 1.5,
        edge_m: [0.2, 0.25],
    };
    WorkKind::Stream(Stream {
        line: line(),
        from: Some(WorkId(5)),
        into: Some(WorkId(1)),
        stations: vec![station(0.0, 31.0), station(8.0, 30.0)],
        falls: vec![Fall {
            along_m: 3.0,
            crest_m: 30.8,
            crest_width_m: 0.4,
            drop_m: 0.3,
            pool_m: 0.1,
            parts: Vec::new(),
            stone_m: None,
            face_run_m: None,
        }],
        bed_stone_m: None,
        bed: None,
        sheet_m: None,
        water_depth_m: 0.05,
        freeboard_m: 0.1,
        cut_bank: 1.5,
        fill_bank: 2.0,
        rim_width_m: 0.3,
        islands: Vec::new(),
        bed_build_up: BuildUp::default(),
        side_build_up: BuildUp::default(),
        bank_build_up: BuildUp::default(),
    })
}

fn hill() -> WorkKind {
    let flank = |run_per_rise| Flank { run_per_rise, shoulder_m: 0.5, toe_m: 0.6 };
    WorkKind::Hill(Hill {
        crest: line(),
        crest_m: vec![31.0, 31.5, 31.2],
        width_m: vec![1.0, 1.5, 1.2],
        left: vec![flank(3.0), flank(4.0), flank(5.0)],
        right: vec![flank(3.5), flank(4.5), flank(5.5)],
        held_by: None,
        build_up: BuildUp::default(),
    })
}

fn wall() -> WorkKind {
    WorkKind::Wall(Wall {
        line: line(),
        top_m: vec![31.0, 31.1, 31.2],
        top_run: TopRun::Sloping,
        batter: 0.1,
        thickness_m: 0.5,
        embedment_m: 0.2,
        retains: Side::Left,
        backfill: 4.0,
        material: WallMaterial::Boulder,
        stone_m: None,
        holds: Some(WorkId(5)),
        tiers: Vec::new(),
    })
}

fn filter_bed() -> WorkKind {
    WorkKind::FilterBed(FilterBed {
        outline: square(1.0),
        lip: Lip { at: [1.0, 0.0], width_m: 0.5, elevation_m: 31.0 },
        depth_m: 0.6,
        side: 0.5,
        freeboard_m: 0.1,
        rim_width_m: 0.4,
        cut_bank: 1.5,
        fill_bank: 2.0,
        gravel_below_lip_m: 0.05,
        void_share: None,
        gravel_m: None,
        build_up: BuildUp::default(),
        bank_build_up: BuildUp::default(),
    })
}

/// A work of each kind, with ids from one, and a second basin, with all that they can hold.
pub(crate) fn works() -> Vec<Work> {
    let mut works = works_of_format_7();
    for work in &mut works {
        if let WorkKind::Stream(stream) = &mut work.kind {
            stream.bed = Some(StreamBed::WindingWithStones);
        }
    }
    works
}

/// The works with what they had in formats 5 to 7.
fn works_of_format_7() -> Vec<Work> {
    let mut works = works_of_format_4();
    works.iter_mut().for_each(|work| work.group = "Upper garden".into());
    works
}

/// The works with what they had in format 4.
fn works_of_format_4() -> Vec<Work> {
    let mut works = works_of_format_3();
    works.iter_mut().for_each(|work| fill_water(&mut work.kind));
    works
}

/// The works with what they had in formats 2 and 3.
fn works_of_format_3() -> Vec<Work> {
    let mut second = basin();
    fill(&mut second);
    if let WorkKind::Basin(second) = &mut second {
        second.joins = Some(WorkId(1));
    }
    kinds().into_iter().chain([second]).enumerate().map(named).collect()
}

fn named((i, kind): (usize, WorkKind)) -> Work {
    Work {
        id: WorkId(i as u32 + 1),
        name: format!("Work \"{}\"", i + 1),
        note: "A note, with (brackets) // and a slash".into(),
        group: String::new(),
        visible: true,
        kind,
    }
}

/// A run of one set-up, every field of whose rows stands somewhere.
fn levels() -> LevelNotes {
    let mark = || LevelRow { name: "BM1".into(), ..LevelRow::default() };
    let rows = vec![
        LevelRow { back_m: Some(1.525), known_m: Some(29.5), ..mark() },
        LevelRow {
            intermediate_m: Some(-0.25),
            at_m: Some([3.0, -4.0]),
            code: "GS".into(),
            ..LevelRow::default()
        },
        LevelRow { fore_m: Some(1.526), distance_m: Some(40.0), ..mark() },
    ];
    LevelNotes { rows, share: Share::ByDistance, ..LevelNotes::default() }
}

/// The whole site, with everything that it can hold.
pub(crate) fn site() -> Site {
    Site { works: works(), ..site_of_format_6() }
}

/// The site that was kept as files of formats 6 and 7, as it is read today but for format 7's limits.
pub(crate) fn site_of_format_6() -> Site {
    Site { pictures: vec![picture()], ..site_of_format_5() }
}

/// The site that was kept as a file of format 5, as it is read today.
pub(crate) fn site_of_format_5() -> Site {
    Site { works: works_of_format_7(), ..site_of_format_4() }
}

fn picture() -> Picture {
    Picture {
        name: "The owner's plan".into(),
        file: "plan.png".into(),
        size_px: [1200, 900],
        pins: vec![
            Pin { at_px: [100.0, 800.0], at_m: [-9.0, -9.0] },
            Pin { at_px: [1100.0, 100.5], at_m: [9.0, 3.5] },
        ],
    }
}

/// The site that was kept as a file of format 4, as it is read today.
pub(crate) fn site_of_format_4() -> Site {
    let mut site = site_of_format_3();
    site.works = works_of_format_4();
    site.circulation = circulation();
    site.weather = weather();
    site.soils.groundwater_low_m = Some(27.5);
    site.soils.erodibility = Some(0.04);
    site.soils.settling_grain_m = Some(2.0e-5);
    site.carry.machine = Some(Machine { lifts_kg: 620.0, reach_m: 3.5 });
    site
}

/// The site that was kept as files of formats 2 and 3, as it is read today.
pub(crate) fn site_of_format_3() -> Site {
    let mut site = site_of_format_1();
    Arc::make_mut(&mut site.survey).levels = Some(levels());
    site.works = works_of_format_3();
    site.next_id = 19;
    site.houses[0].sill_m = 29.45;
    site.soils.topsoil.strip_m = 0.15;
    site.soils.groundwater_m = Some(28.75);
    let rock = Soil {
        name: "Rock".into(),
        top: LayerTop::Levels(vec![[-9.0, -9.0, 28.1], [9.0, -9.0, 28.2], [0.0, 9.0, 28.3]]),
        class: SoilClass::StableRock,
        fill: FillUse::Unfit,
        ..Soil::default()
    };
    let clay = Soil {
        name: "Clay".into(),
        top: LayerTop::Depth(0.6),
        class: SoilClass::B,
        ..Soil::default()
    };
    site.soils.layers.extend([clay, rock]);
    site.carry.access_m = vec![[15.0, -18.0], [12.0, -8.0]];
    site.stockpiles = vec![Stockpile {
        name: "Topsoil heap".into(),
        holds: Heaped::Topsoil,
        outline_m: vec![[8.0, 8.0], [12.0, 8.0], [12.0, 11.0], [8.0, 11.0]],
        run_per_rise: 1.5,
        height_m: 1.5,
    }];
    site.keep_outs = keep_outs();
    site
}

/// Every kind of keep-out; a new kind does not build until it stands here.
pub(crate) fn keep_outs() -> Vec<KeepOut> {
    let line_m = || vec![[-15.0, -15.0], [-15.0, 15.0]];
    let all = vec![
        KeepOutKind::Tree(Tree { at: [-8.0, 3.0], stem_m: 0.4, roots_per_stem: 10.0 }),
        KeepOutKind::BuriedLine(BuriedLine {
            carries: Service::Gas,
            line_m: line_m(),
            depth_m: 0.6,
            certainty: Certainty::FromPlans,
            clearance_m: 0.5,
        }),
        KeepOutKind::Drain(Drain { at: [6.0, -11.0], invert_m: 28.9 }),
        KeepOutKind::Boundary(Boundary { line_m: line_m(), setback_m: 1.0 }),
        KeepOutKind::Septic(Septic {
            outline_m: vec![[14.0, 4.0], [16.0, 4.0], [16.0, 6.0]],
            setback_m: 3.0,
        }),
        KeepOutKind::Gate(Gate { from: [15.0, -18.0], to: [16.125, -18.0] }),
    ];
    for kind in &all {
        match kind {
            KeepOutKind::Tree(_)
            | KeepOutKind::BuriedLine(_)
            | KeepOutKind::Drain(_)
            | KeepOutKind::Boundary(_)
            | KeepOutKind::Septic(_)
            | KeepOutKind::Gate(_) => {}
        }
    }
    let named = |(i, kind)| KeepOut { name: format!("Kept {i}"), note: "Mind it".into(), kind };
    all.into_iter().enumerate().map(named).collect()
}

/// The site that was kept as a file of format 1, as it is read today.
pub(crate) fn site_of_format_1() -> Site {
    Site {
        format: Site::FORMAT,
        title: "A test garden".into(),
        frame: Frame {
            unit: LengthUnit::FootInch,
            step_um: 1,
            origin_m: [512_345.678, 4_512_000.25],
            horizontal_datum: "local".into(),
            vertical_datum: "the sill".into(),
        },
        survey: Arc::new(Survey {
            file: "points.csv".into(),
            line_codes: vec!["EP".into()],
            boundary: vec![[-20.0, -20.0], [20.0, -20.0], [0.0, 20.0]],
            voids: vec![vec![[-1.0, -19.0], [1.0, -19.0], [0.0, -18.0]]],
            set_aside: vec!["17".into()],
            accuracy_m: 0.015,
            ..Survey::default()
        }),
        soils: Soils::default(),
        works: first_kinds().into_iter().enumerate().map(named).collect(),
        next_id: 9,
        circulation: Circulation::default(),
        weather: Weather::default(),
        houses: vec![House {
            name: "House".into(),
            outline_m: vec![[0.0, -18.0], [6.0, -18.0], [6.0, -12.0]],
            floor_m: 29.5,
            sill_m: 29.5,
            height_m: 5.0,
        }],
        keep_outs: Vec::new(),
        limits: site::Limits::default(),
        digging: Digging::default(),
        haul: Haul::default(),
        carry: Carry::default(),
        stockpiles: Vec::new(),
        viewpoints: vec![Viewpoint {
            name: "Kitchen".into(),
            at_m: [3.0, -11.0],
            eye_m: 1.6,
            toward_m: [0.0, 0.0, 30.0],
        }],
        pictures: Vec::new(),
    }
}
