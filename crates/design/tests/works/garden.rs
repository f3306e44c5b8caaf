//! Gardens of one or more works on ground of any form, and what must hold for each of them.

use std::sync::Arc;

use design::{Evaluation, evaluate};
use ground::overlay::Volumes;
use site::works::{
    Basin, BasinRing, Curve, FilterBed, Flank, Floor, Hill, IntakeBay, Lip, Pad, PadPurpose, Path,
    Plane, PlaneGrade, RingShape, Side, Sill, Station, StepRule, Stream, Strip, Trench, Wall,
    WallMaterial,
};
use site::{Frame, Site, Survey, SurveyPoint, Work, WorkId, WorkKind};
use units::LengthUnit;

pub(crate) const FT: f64 = 0.3048;

/// A plan motion: a turn about the origin, then a shift.
#[derive(Clone, Copy)]
pub(crate) struct Placed {
    pub(crate) turn_rad: f64,
    pub(crate) by: [f64; 2],
}

pub(crate) const AS_DRAWN: Placed = Placed { turn_rad: 0.0, by: [0.0, 0.0] };
pub(crate) const TURNED: Placed = Placed { turn_rad: std::f64::consts::FRAC_PI_6, by: [0.0, 0.0] };
pub(crate) const MOVED: Placed = Placed { turn_rad: 0.0, by: [311.25, -70.5] };

impl Placed {
    pub(crate) fn at(self, [x, y]: [f64; 2]) -> [f64; 2] {
        let (sin, cos) = libm::sincos(self.turn_rad);
        [x * cos - y * sin + self.by[0], x * sin + y * cos + self.by[1]]
    }

    pub(crate) fn line(self, points: &[[f64; 2]]) -> Curve {
        Curve { points: points.iter().map(|&p| self.at(p)).collect(), smooth: false }
    }
}

/// A site on surveyed ground of 60 by 60 m about the origin.
pub(crate) fn site(placed: Placed, ground: impl Fn([f64; 2]) -> f64, works: Vec<WorkKind>) -> Site {
    let mut points = Vec::new();
    for i in -6..=6 {
        for j in -6..=6 {
            let p = [f64::from(i) * 5.0, f64::from(j) * 5.0];
            let [x, y] = placed.at(p);
            points.push(SurveyPoint {
                name: format!("{i},{j}"),
                at_m: [x, y, ground(p)],
                ..SurveyPoint::default()
            });
        }
    }
    let works: Vec<Work> = works
        .into_iter()
        .zip(1..)
        .map(|(kind, id)| Work {
            id: WorkId(id),
            name: format!("work {id}"),
            note: String::new(),
            group: String::new(),
            visible: true,
            kind,
        })
        .collect();
    Site {
        format: Site::FORMAT,
        title: "test".into(),
        frame: Frame {
            unit: LengthUnit::Metre,
            step_um: 1,
            origin_m: [0.0, 0.0],
            horizontal_datum: String::new(),
            vertical_datum: String::new(),
        },
        survey: Arc::new(Survey { points, accuracy_m: 0.01, ..Survey::default() }),
        soils: Default::default(),
        next_id: works.len() as u32 + 1,
        circulation: Default::default(),
        weather: Default::default(),
        works,
        houses: Vec::new(),
        limits: Default::default(),
        haul: Default::default(),
        viewpoints: Vec::new(),
        pictures: Vec::new(),
        keep_outs: Vec::new(),
        digging: Default::default(),
        carry: Default::default(),
        stockpiles: Vec::new(),
    }
}

/// Evaluates and checks what must hold for any site: valid surfaces, nets that sum to the whole.
pub(crate) fn sound(site: &Site) -> Evaluation {
    let evaluation = evaluate(site);
    let mut net_m3 = 0.0;
    let mut moved_m3 = 0.0;
    for work in &evaluation.works {
        work.after.check().expect("every stage is a valid surface");
        net_m3 += work.fill_m3 - work.cut_m3;
        moved_m3 += work.fill_m3 + work.cut_m3;
        let (recut, cut) = (work.recut_m3, work.cut_m3);
        assert!((0.0..=cut + 1e-9).contains(&recut), "{recut} m3 recut of {cut} m3");
    }
    let earth = &evaluation.earth;
    let whole_m3 = earth.fill_compacted_m3 - earth.cut_bank_m3;
    assert!((net_m3 - whole_m3).abs() <= 1e-9 * (1.0 + moved_m3), "{net_m3} {whole_m3}");
    evaluation
}

/// Cut and fill from existing to finished ground.
pub(crate) fn moved(evaluation: &Evaluation) -> Volumes {
    let ends = [&evaluation.existing, &evaluation.finished];
    let [from, to] = ends.map(|ground| ground.as_deref().expect("there is ground"));
    ground::overlay::volumes(from, to)
}

pub(crate) fn rectangle(placed: Placed, a: f64, b: f64) -> Curve {
    let (x, y) = (0.5 * a, 0.5 * b);
    placed.line(&[[-x, -y], [x, -y], [x, y], [-x, y]])
}

pub(crate) fn inset(run_m: f64, depth_m: f64) -> BasinRing {
    BasinRing {
        shape: RingShape::Inset { run_m: vec![run_m] },
        depth_m,
        build_up: Default::default(),
    }
}

/// A basin whose edge stands at elevation zero.
pub(crate) fn basin(outline: Curve, rings: Vec<BasinRing>) -> Basin {
    Basin {
        outline,
        water_level_m: -0.1,
        freeboard_m: 0.1,
        liner_edge_m: Vec::new(),
        overflow: None,
        overflow_width_m: None,
        overflow_m: None,
        rim_width_m: 0.3,
        cut_bank: 2.0,
        fill_bank: 2.0,
        rings,
        floor: Floor::Level,
        joins: None,
        rim_build_up: Default::default(),
        build_up: Default::default(),
        bank_build_up: Default::default(),
    }
}

pub(crate) fn hill(placed: Placed, length_m: f64) -> Hill {
    let flank = Flank { run_per_rise: 3.0, shoulder_m: 0.0, toe_m: 0.0 };
    Hill {
        crest: placed.line(&[[-0.5 * length_m, 0.0], [0.5 * length_m, 0.0]]),
        crest_m: vec![1.5 * FT],
        width_m: vec![2.0 * FT],
        left: vec![flank],
        right: vec![flank],
        held_by: None,
        build_up: Default::default(),
    }
}

pub(crate) fn wall(placed: Placed, length_m: f64) -> Wall {
    Wall {
        line: placed.line(&[[-0.5 * length_m, 0.0], [0.5 * length_m, 0.0]]),
        top_m: vec![0.8],
        batter: 0.0,
        thickness_m: 0.4,
        embedment_m: 0.2,
        retains: Side::Left,
        backfill: 3.0,
        material: WallMaterial::Stone,
        stone_m: None,
        holds: None,
        top_run: Default::default(),
        tiers: Vec::new(),
    }
}

/// A straight stream whose edges stand at elevation zero.
pub(crate) fn stream(placed: Placed, length_m: f64) -> Stream {
    let station = |along_m| Station {
        along_m,
        invert_m: -0.5,
        bed_width_m: 0.6,
        side: 1.5,
        edge_m: [0.5, 0.5],
    };
    Stream {
        line: placed.line(&[[-0.5 * length_m, 0.0], [0.5 * length_m, 0.0]]),
        from: None,
        into: None,
        stations: vec![station(0.0), station(length_m)],
        falls: Vec::new(),
        water_depth_m: 0.1,
        bed_stone_m: None,
        bed: None,
        sheet_m: None,
        freeboard_m: 0.1,
        cut_bank: 2.0,
        fill_bank: 2.0,
        rim_width_m: 0.2,
        islands: Vec::new(),
        bed_build_up: Default::default(),
        side_build_up: Default::default(),
        bank_build_up: Default::default(),
    }
}

/// A filter whose rim and lip stand at elevation zero.
pub(crate) fn filter(placed: Placed) -> FilterBed {
    FilterBed {
        outline: rectangle(placed, 4.0, 3.0),
        lip: Lip { at: placed.at([2.0, 0.0]), width_m: 0.6, elevation_m: 0.0 },
        depth_m: 0.8,
        side: 0.5,
        freeboard_m: 0.0,
        rim_width_m: 0.3,
        cut_bank: 2.0,
        fill_bank: 2.0,
        gravel_below_lip_m: 0.05,
        void_share: None,
        gravel_m: None,
        build_up: Default::default(),
        bank_build_up: Default::default(),
    }
}

/// A bay whose rim and sill stand at elevation zero.
pub(crate) fn bay(placed: Placed) -> IntakeBay {
    IntakeBay {
        outline: rectangle(placed, 2.0, 2.0),
        from: None,
        sill: Sill { at: placed.at([-1.0, 0.0]), width_m: 0.6, depth_m: 0.0 },
        water_level_m: 0.0,
        freeboard_m: 0.0,
        depth_m: 0.8,
        side: 0.5,
        rim_width_m: 0.3,
        cut_bank: 2.0,
        fill_bank: 2.0,
        build_up: Default::default(),
        bank_build_up: Default::default(),
    }
}

/// A level plane at elevation zero.
pub(crate) fn level(placed: Placed) -> Plane {
    Plane { at: placed.at([0.0; 2]), level_m: 0.0, toward: placed.at([1.0, 0.0]), fall: 0.0 }
}

/// A level pad 3 m wide at elevation zero.
pub(crate) fn pad(placed: Placed, length_m: f64) -> Pad {
    Pad {
        outline: rectangle(placed, length_m, 3.0),
        purpose: PadPurpose::Patio,
        plane: level(placed),
        cut_bank: 2.0,
        fill_bank: 2.0,
        build_up: Default::default(),
        bank_build_up: Default::default(),
    }
}

/// A level lawn 4 m wide at elevation zero.
pub(crate) fn lawn(placed: Placed, length_m: f64) -> PlaneGrade {
    PlaneGrade {
        outline: rectangle(placed, length_m, 4.0),
        plane: level(placed),
        cut_bank: 3.0,
        fill_bank: 4.0,
        build_up: Default::default(),
    }
}

/// A straight level path 1.2 m wide at elevation zero.
pub(crate) fn path(placed: Placed, length_m: f64) -> Path {
    Path {
        line: placed.line(&[[-0.5 * length_m, 0.0], [0.5 * length_m, 0.0]]),
        level_m: vec![0.0],
        width_m: 1.2,
        cross_fall: 0.0,
        largest_grade: 0.15,
        steps: StepRule { riser_m: 0.15, two_risers_and_tread_m: 0.65 },
        cut_bank: 2.0,
        fill_bank: 2.0,
        stones: None,
        build_up: Default::default(),
        bank_build_up: Default::default(),
    }
}

pub(crate) fn trench(placed: Placed, length_m: f64) -> Trench {
    Trench {
        line: placed.line(&[[-0.5 * length_m, 0.0], [0.5 * length_m, 0.0]]),
        invert_m: vec![-0.6],
        width_m: 0.4,
        side: 0.0,
        bedding_m: 0.1,
        pipe_m: 0.11,
    }
}

pub(crate) fn strip(placed: Placed, length_m: f64) -> Strip {
    Strip { outline: rectangle(placed, length_m, 3.0) }
}

/// Names every kind, so that a new one does not escape the closed forms.
pub(crate) fn kind_name(kind: &WorkKind) -> &'static str {
    match kind {
        WorkKind::Basin(_) => "basin",
        WorkKind::Stream(_) => "stream",
        WorkKind::Hill(_) => "hill",
        WorkKind::Wall(_) => "wall",
        WorkKind::FilterBed(_) => "filter bed",
        WorkKind::IntakeBay(_) => "intake bay",
        WorkKind::Pad(_) => "pad",
        WorkKind::Path(_) => "path",
        WorkKind::PlaneGrade(_) => "plane grade",
        WorkKind::Trench(_) => "trench",
        WorkKind::Strip(_) => "strip",
    }
}
