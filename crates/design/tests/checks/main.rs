//! Every check: a site just inside its limit and one just outside; the remedy clears its finding,
//! nine tenths of it does not.

mod bank_unsafe_to_dig;
mod bare_soil_drains_in;
mod borings;
mod dead_corner;
#[path = "../shared/demo_sites.rs"]
mod demo_sites;
mod demos;
mod drains_to_house;
mod fill_underfoot;
mod flank_too_steep;
mod ground;
mod groundwater_lifts_liner;
mod keep_outs;
mod known_points;
mod lawn_too_steep;
mod levels;
mod liner_subgrade;
mod order_trap;
mod reads_as_mound;
mod rim_low;
mod running_water;
mod runoff_enters_pond;
mod shelf_out_of_range;
mod stream_does_not_close;
mod survey;
mod too_deep_here;
mod walk_out_of_range;
mod wall_below_lip;
mod wall_needs_engineer;
mod wall_too_light;
mod water_findings;
mod water_from_summit;
mod water_on_tabulated_bed;
mod work_has_no_shape;

use std::sync::Arc;

use design::{Code, Finding, evaluate};
use site::field::{FieldValue, fields, set};
use site::works::*;
use site::{Curve, Frame, Haul, Limits, Site, Soils, Survey, SurveyPoint, Work, WorkId, WorkKind};
use units::LengthUnit;

/// Level of the garden, metres.
const GROUND_M: f64 = 30.0;
/// Half the garden's side, metres.
const HALF_M: i32 = 24;

/// A garden, level at 30 m, 48 m square and shot every `spacing_m`; its works have ids from one.
fn garden(spacing_m: i32, kinds: Vec<WorkKind>) -> Site {
    let mut points = Vec::new();
    for x in (-HALF_M..=HALF_M).step_by(spacing_m as usize) {
        for y in (-HALF_M..=HALF_M).step_by(spacing_m as usize) {
            points.push(point(points.len(), [f64::from(x), f64::from(y), GROUND_M]));
        }
    }
    let next_id = kinds.len() as u32 + 1;
    let work = |(i, kind): (usize, WorkKind)| Work {
        id: WorkId(i as u32 + 1),
        name: format!("Work {}", i + 1),
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
        survey: Arc::new(Survey {
            file: "points.csv".into(),
            points,
            accuracy_m: 0.01,
            ..Survey::default()
        }),
        soils: Soils::default(),
        keep_outs: Vec::new(),
        digging: site::Digging::default(),
        carry: site::Carry::default(),
        stockpiles: Vec::new(),
        works: kinds.into_iter().enumerate().map(work).collect(),
        next_id,
        circulation: Default::default(),
        weather: Default::default(),
        houses: Vec::new(),
        limits: Limits::default(),
        haul: Haul::default(),
        viewpoints: Vec::new(),
        pictures: Vec::new(),
    }
}

fn point(index: usize, at_m: [f64; 3]) -> SurveyPoint {
    let name = format!("{}", index + 1);
    SurveyPoint { name, at_m, code: String::new(), line: index as u32 + 2 }
}

/// The garden with other levels.
fn sloped(mut site: Site, level_m: impl Fn([f64; 2]) -> f64) -> Site {
    for point in &mut Arc::make_mut(&mut site.survey).points {
        let [x, y, z] = &mut point.at_m;
        *z = level_m([*x, *y]);
    }
    site
}

fn straight(points: &[[f64; 2]]) -> Curve {
    Curve { points: points.to_vec(), smooth: false }
}

/// A straight ridge of even sides, eight metres long, 1.2 m high.
fn hill(run_per_rise: f64) -> Hill {
    let flank = Flank { run_per_rise, shoulder_m: 0.0, toe_m: 0.0 };
    Hill {
        crest: straight(&[[-4.0, 0.0], [4.0, 0.0]]),
        crest_m: vec![GROUND_M + 1.2],
        width_m: vec![1.0],
        left: vec![flank],
        right: vec![flank],
        held_by: None,
        build_up: Default::default(),
    }
}

/// A square basin of eight metres, its water at `water_level_m`.
fn basin(water_level_m: f64) -> Basin {
    Basin {
        outline: straight(&[[-4.0, -14.0], [4.0, -14.0], [4.0, -6.0], [-4.0, -6.0]]),
        water_level_m,
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
    }
}

/// A square filter of two metres whose lip, at `lip_m`, faces south.
fn filter(lip_m: f64) -> FilterBed {
    FilterBed {
        outline: straight(&[[-1.0, 2.0], [1.0, 2.0], [1.0, 4.0], [-1.0, 4.0]]),
        lip: Lip { at: [0.0, 2.0], width_m: 0.5, elevation_m: lip_m },
        depth_m: 0.5,
        side: 0.5,
        freeboard_m: 0.15,
        rim_width_m: 0.3,
        cut_bank: 3.0,
        fill_bank: 3.0,
        gravel_below_lip_m: 0.05,
        void_share: None,
        gravel_m: None,
        build_up: Default::default(),
        bank_build_up: Default::default(),
    }
}

/// The findings of one code.
fn found(site: &Site, code: Code) -> Vec<Finding> {
    evaluate(site).findings.into_iter().filter(|finding| finding.code == code).collect()
}

/// Checks that the site has exactly these findings of the code: work, measured and limit.
fn check(site: &Site, code: Code, expected: &[(u32, f64, f64)]) {
    assert_eq!(site.check(), Ok(()));
    let found = found(site, code);
    let said: Vec<_> = found.iter().map(|f| (&f.message, f.measured)).collect();
    assert_eq!(found.len(), expected.len(), "{said:?}");
    for (finding, (work, value, limit)) in found.iter().zip(expected) {
        assert_eq!(finding.work, Some(WorkId(*work)), "{said:?}");
        assert!((finding.measured.value - value).abs() < 2e-3, "{said:?}");
        assert!((finding.measured.limit - limit).abs() < 2e-3, "{said:?}");
        assert!(finding.at_m.iter().all(|c| c.is_finite()), "{:?}", finding.at_m);
        assert!(finding.message.ends_with('.') && !finding.source.is_empty());
    }
}

/// Checks that the first finding's remedy clears one finding of the code, and that nine tenths of
/// it clears none.
fn check_remedy(site: &Site, code: Code) {
    let before = found(site, code);
    let finding = before.first().expect("a finding to clear");
    let remedy = design::remedy(site, finding).expect("a remedy that clears it");
    assert!(remedy.message.ends_with('.'), "{}", remedy.message);
    let edited = remedy.site.expect("a site with the remedy taken");
    assert_eq!(edited.check(), Ok(()));
    let after = found(&edited, code);
    assert_eq!(after.len(), before.len() - 1, "{}: {after:?}", remedy.message);
    let nearly = part_way(site, &edited, 0.9);
    let still = found(&nearly, code);
    assert_eq!(still.len(), before.len(), "{}: {still:?}", remedy.message);
}

/// The site on the way to another: every number that differs goes a share of the way.
fn part_way(from: &Site, to: &Site, share: f64) -> Site {
    let mut site = from.clone();
    for (work, end) in site.works.iter_mut().zip(&to.works) {
        let start = work.clone();
        for (a, b) in fields(&start).into_iter().zip(fields(end)) {
            assert_eq!(a.path, b.path);
            let blend = |a: f64, b: f64| a + share * (b - a);
            let value = match (a.value, b.value) {
                (FieldValue::Number(a), FieldValue::Number(b)) if a != b => {
                    FieldValue::Number(blend(a, b))
                }
                (FieldValue::Place(Some(a)), FieldValue::Place(Some(b))) if a != b => {
                    FieldValue::Place(Some([blend(a[0], b[0]), blend(a[1], b[1])]))
                }
                _ => continue,
            };
            set(work, &b.path, value).expect("both ends are within the range");
        }
    }
    site
}
