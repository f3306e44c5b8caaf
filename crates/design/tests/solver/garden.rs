//! Level gardens with a few works.

use std::sync::Arc;

use design::solver::Number;
use site::works::*;
use site::{Curve, Frame, Site, Survey, SurveyPoint, Work, WorkId, WorkKind};
use units::LengthUnit;

/// Level of the garden, metres.
pub(crate) const GROUND_M: f64 = 30.0;
/// Half the garden's side, metres.
const HALF_M: i32 = 24;

/// A garden, level at 30 m and 48 m square; its works have ids from one.
pub(crate) fn garden(kinds: Vec<WorkKind>) -> Site {
    let mut points = Vec::new();
    for x in (-HALF_M..=HALF_M).step_by(4) {
        for y in (-HALF_M..=HALF_M).step_by(4) {
            let (name, at_m) =
                (format!("{}", points.len()), [f64::from(x), f64::from(y), GROUND_M]);
            points.push(SurveyPoint { name, at_m, ..SurveyPoint::default() });
        }
    }
    let survey =
        Survey { file: "points.csv".into(), points, accuracy_m: 0.01, ..Survey::default() };
    let work = |(kind, id): (WorkKind, u32)| Work {
        id: WorkId(id),
        name: format!("Work {id}"),
        note: String::new(),
        group: String::new(),
        visible: true,
        kind,
    };
    Site {
        format: Site::FORMAT,
        title: "A level garden".into(),
        frame: Frame {
            unit: LengthUnit::Metre,
            step_um: 1,
            origin_m: [0.0; 2],
            horizontal_datum: String::new(),
            vertical_datum: String::new(),
        },
        survey: Arc::new(survey),
        soils: Default::default(),
        next_id: kinds.len() as u32 + 1,
        circulation: Default::default(),
        weather: Default::default(),
        works: kinds.into_iter().zip(1..).map(work).collect(),
        houses: Vec::new(),
        keep_outs: Vec::new(),
        limits: Default::default(),
        digging: Default::default(),
        haul: Default::default(),
        carry: Default::default(),
        stockpiles: Vec::new(),
        viewpoints: Vec::new(),
        pictures: Vec::new(),
    }
}

pub(crate) fn straight(points: &[[f64; 2]]) -> Curve {
    Curve { points: points.to_vec(), smooth: false }
}

/// A basin of eight metres square, half a metre deep, its water 10 cm below the garden.
pub(crate) fn basin() -> WorkKind {
    WorkKind::Basin(Basin {
        outline: straight(&[[-4.0, -14.0], [4.0, -14.0], [4.0, -6.0], [-4.0, -6.0]]),
        water_level_m: GROUND_M - 0.1,
        freeboard_m: 0.1,
        liner_edge_m: Vec::new(),
        overflow: None,
        overflow_width_m: None,
        overflow_m: None,
        rim_width_m: 0.5,
        cut_bank: 3.0,
        fill_bank: 3.0,
        rings: vec![BasinRing {
            shape: RingShape::Inset { run_m: vec![1.0] },
            depth_m: 0.5,
            build_up: Default::default(),
        }],
        floor: Floor::Level,
        joins: None,
        rim_build_up: Default::default(),
        build_up: Default::default(),
        bank_build_up: Default::default(),
    })
}

/// A lawn of eight by ten metres at the garden's own level.
pub(crate) fn lawn() -> WorkKind {
    let outline = straight(&[[-16.0, 2.0], [-8.0, 2.0], [-8.0, 12.0], [-16.0, 12.0]]);
    WorkKind::PlaneGrade(PlaneGrade {
        outline,
        plane: Plane { at: [-12.0, 7.0], level_m: GROUND_M, toward: [-12.0, 12.0], fall: 0.0 },
        cut_bank: 4.0,
        fill_bank: 4.0,
        build_up: Default::default(),
    })
}

/// A hill over these points, sharp and 1.2 m high, with flanks of one slope.
pub(crate) fn hill(crest: &[[f64; 2]], run_per_rise: f64) -> WorkKind {
    let flank = Flank { run_per_rise, shoulder_m: 0.0, toe_m: 0.0 };
    WorkKind::Hill(Hill {
        crest: straight(crest),
        crest_m: vec![GROUND_M + 1.2],
        width_m: vec![0.0],
        left: vec![flank],
        right: vec![flank],
        held_by: None,
        build_up: Default::default(),
    })
}

/// The level of a lawn.
pub(crate) fn level(id: u32) -> Number {
    Number::Parameter(WorkId(id), "plane.level_m".into())
}
