//! One site in which every kind of work stands with every optional part filled.
#![allow(dead_code, reason = "each test file uses a part of the sample")]

use std::sync::Arc;

use site::works::*;
use site::{Curve, Frame, House, Site, Survey, Viewpoint, Work, WorkId, WorkKind};
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
    let all = vec![basin(), stream(), hill(), wall(), filter_bed()];
    for kind in &all {
        match kind {
            WorkKind::Basin(_)
            | WorkKind::Stream(_)
            | WorkKind::Hill(_)
            | WorkKind::Wall(_)
            | WorkKind::FilterBed(_) => {}
        }
    }
    all
}

fn basin() -> WorkKind {
    WorkKind::Basin(Basin {
        outline: square(4.0),
        water_level_m: 30.0,
        freeboard_m: 0.1,
        liner_edge_m: vec![30.1, 30.2, 30.1, 30.15],
        overflow: Some([4.0, 0.0]),
        rim_width_m: 0.5,
        cut_bank: 2.0,
        fill_bank: 3.0,
        rings: vec![
            BasinRing { shape: RingShape::Inset { run_m: vec![0.4, 0.5, 0.6, 0.7] }, depth_m: 0.3 },
            BasinRing { shape: RingShape::Drawn(square(2.5)), depth_m: 0.6 },
        ],
        floor: Floor::Sump { at: [0.5, 0.5], radius_m: 0.3, depth_m: 1.0 },
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
        }],
        water_depth_m: 0.05,
        freeboard_m: 0.1,
        cut_bank: 1.5,
        fill_bank: 2.0,
        rim_width_m: 0.3,
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
    })
}

fn wall() -> WorkKind {
    WorkKind::Wall(Wall {
        line: line(),
        top_m: vec![31.0, 31.1, 31.2],
        batter: 0.1,
        thickness_m: 0.5,
        embedment_m: 0.2,
        retains: Side::Left,
        backfill: 4.0,
        material: WallMaterial::Boulder,
        holds: Some(WorkId(5)),
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
    })
}

/// A work of each kind, with ids from one.
pub(crate) fn works() -> Vec<Work> {
    let kinds = kinds().into_iter();
    let named = |(i, kind)| Work {
        id: WorkId(i as u32 + 1),
        name: format!("Work \"{}\"", i + 1),
        note: "A note, with (brackets) // and a slash".into(),
        visible: true,
        kind,
    };
    kinds.enumerate().map(named).collect()
}

/// The whole site.
pub(crate) fn site() -> Site {
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
        soil: site::Soil::default(),
        works: works(),
        next_id: 9,
        houses: vec![House {
            name: "House".into(),
            outline_m: vec![[0.0, -18.0], [6.0, -18.0], [6.0, -12.0]],
            floor_m: 29.5,
            height_m: 5.0,
        }],
        limits: site::Limits::default(),
        haul: site::Haul::default(),
        viewpoints: vec![Viewpoint {
            name: "Kitchen".into(),
            at_m: [3.0, -11.0],
            eye_m: 1.6,
            toward_m: [0.0, 0.0, 30.0],
        }],
    }
}
