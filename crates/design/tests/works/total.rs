//! Evaluating is total: whatever a site holds, valid or not, there is a result and no panic.

use std::panic::{AssertUnwindSafe, catch_unwind};
use std::sync::Arc;

use design::evaluate;
use site::circulation::*;
use site::earth::Machine;
use site::works::{
    CrestPart, Fall, Floor, Island, RingShape, SteppingStones, StreamBed, Tier, TopRun,
};
use site::{Circulation, House, Site, Viewpoint, Weather, WorkId, WorkKind};

use crate::garden::*;

/// A garden with every kind of work, every optional part filled, each at its own place.
fn full() -> Site {
    let at = |by: [f64; 2]| Placed { turn_rad: 0.2, by };
    let mut pond = basin(rectangle(at([-10.0, -10.0]), 6.0, 5.0), vec![inset(0.6, 0.3)]);
    pond.rings.push(site::works::BasinRing {
        shape: RingShape::Drawn(rectangle(at([-10.0, -10.0]), 3.0, 2.5)),
        depth_m: 0.6,
        build_up: Default::default(),
    });
    pond.liner_edge_m = vec![0.0, 0.05, 0.0, 0.1];
    pond.overflow = Some([-13.0, -10.0]);
    (pond.overflow_width_m, pond.overflow_m) = (Some(0.4), Some(0.02));
    pond.floor = Floor::Sump { at: [-10.0, -10.0], radius_m: 0.4, depth_m: 0.9 };
    let mut water = stream(at([8.0, -8.0]), 8.0);
    water.falls.push(Fall {
        along_m: 4.0,
        crest_m: -0.5,
        crest_width_m: 0.5,
        parts: vec![
            CrestPart { width_m: 0.3, above_m: 0.0 },
            CrestPart { width_m: 0.2, above_m: 0.01 },
        ],
        stone_m: Some(0.5),
        face_run_m: Some(0.1),
        drop_m: 0.2,
        pool_m: 0.1,
    });
    (water.from, water.into) = (Some(WorkId(5)), Some(WorkId(1)));
    (water.bed_stone_m, water.sheet_m) = (Some(0.03), Some(0.01));
    water.bed = Some(StreamBed::WindingWithStones);
    let rock = rectangle(at([6.0, -8.4]), 0.2, 0.2);
    water.islands.push(Island { outline: rock, top_m: -0.3 });
    let mut bank = hill(at([10.0, 10.0]), 6.0);
    bank.crest_m = vec![1.0, 1.2];
    bank.left[0].shoulder_m = 0.4;
    bank.right[0].toe_m = 0.5;
    let mut stones = wall(at([-10.0, 10.0]), 6.0);
    stones.holds = Some(WorkId(5));
    let mut tiers = wall(at([20.0, 2.0]), 6.0);
    tiers.tiers = vec![Tier { back_m: 1.2, rise_m: 0.4 }, Tier { back_m: 1.0, rise_m: 0.3 }];
    tiers.top_run = TopRun::Stepped;
    tiers.line.points.insert(1, at([20.0, 2.0]).at([0.0, 0.3]));
    tiers.top_m = vec![0.8, 1.0, 0.9];
    let mut held = hill(at([20.0, 4.5]), 5.0);
    held.held_by = Some(WorkId(12));
    let mut joined = basin(rectangle(at([-6.0, -10.0]), 5.0, 4.0), vec![inset(0.6, 0.3)]);
    joined.joins = Some(WorkId(1));
    let mut bed = filter(at([0.0, 0.0]));
    bed.freeboard_m = 0.1;
    let mut intake = bay(at([-5.0, -9.0]));
    intake.from = Some(WorkId(1));
    (intake.sill.depth_m, intake.freeboard_m) = (0.2, 0.1);
    let mut walk = path(at([-10.0, -10.0]), 12.0);
    walk.level_m = vec![0.2, 0.6];
    walk.stones =
        Some(SteppingStones { across: WorkId(1), stone_m: 0.5, gap_m: 0.1, above_water_m: 0.1 });
    let kinds = vec![
        WorkKind::Basin(pond),
        WorkKind::Stream(water),
        WorkKind::Hill(bank),
        WorkKind::Wall(stones),
        WorkKind::FilterBed(bed),
        WorkKind::IntakeBay(intake),
        WorkKind::Pad(pad(at([0.0, 15.0]), 4.0)),
        WorkKind::Path(walk),
        WorkKind::PlaneGrade(lawn(at([18.0, -18.0]), 5.0)),
        WorkKind::Trench(trench(at([-20.0, 10.0]), 5.0)),
        WorkKind::Strip(strip(at([-20.0, 20.0]), 5.0)),
        WorkKind::Wall(tiers),
        WorkKind::Hill(held),
        WorkKind::Basin(joined),
    ];
    let mut site = site(AS_DRAWN, |[x, y]| 0.03 * x - 0.02 * y, kinds);
    site.circulation = circulation();
    site.weather = Weather {
        storm_mm_h: Some(100.0),
        storm_m: Some(0.1),
        runoff_share: Some(0.2),
        curve_number: Some(75.0),
        evaporation_m_day: Some(0.006),
        erosivity: Some(2000.0),
        open_weeks: Some(4.0),
    };
    site.carry.machine = Some(Machine { lifts_kg: 100.0, reach_m: 3.0 });
    site.houses.push(House {
        name: "house".into(),
        outline_m: vec![[20.0, 20.0], [26.0, 20.0], [26.0, 26.0]],
        floor_m: 0.5,
        sill_m: 0.0,
        height_m: 5.0,
    });
    site.viewpoints.push(Viewpoint {
        name: "seat".into(),
        at_m: [0.0, -20.0],
        eye_m: 1.6,
        toward_m: [0.0, 0.0, 0.0],
    });
    site
}

/// A pump from the bay through the trench to the filter, and straight into the pond.
fn circulation() -> Circulation {
    let point = |flow_l_s, head_m| CurvePoint { flow_l_s, head_m };
    let pipe = |trench| Pipe {
        inner_m: Some(0.075),
        trench,
        length_m: Some(4.0),
        fittings: vec![Fittings { kind: FittingKind::SweepBend, count: 2 }],
        gate_open: Some(1.0),
        ..Pipe::default()
    };
    let line = |feeds, outlet_m| FeedLine { feeds: Some(feeds), outlet_m, pipe: pipe(None) };
    let pump = Pump {
        draws_from: Some(WorkId(6)),
        curve: PumpCurve::Points(vec![point(0.0, 5.0), point(6.0, 0.5)]),
        watts: Some(300.0),
        hours_per_day: Some(12.0),
        intake_m: Some(-0.6),
        guard_heads: Some(1.0),
        main: Some(pipe(Some(WorkId(10)))),
        lines: vec![line(WorkId(5), None), line(WorkId(1), Some(0.3))],
        ..Pump::default()
    };
    Circulation {
        pumps: vec![pump],
        price_per_kwh: Some(0.2),
        supply_l_min: Some(15.0),
        splash_loss: Some(1.0e-5),
    }
}

/// An evaluation with all that is reckoned of the water beside it.
fn whole(site: &Site) -> design::Evaluation {
    let evaluation = evaluate(site);
    let plan = design::water_plan(site, &evaluation);
    assert_eq!(plan.running.pumps.len(), site.circulation.pumps.len());
    evaluation
}

/// The stretches of a text that are numbers of their own, or lists.
fn pieces(text: &str) -> Vec<std::ops::Range<usize>> {
    let bytes = text.as_bytes();
    let mut found = Vec::new();
    let is_number = |b: u8| b.is_ascii_digit() || matches!(b, b'.' | b'-' | b'e');
    let mut i = 0;
    while i < bytes.len() {
        let starts = i > 0 && matches!(bytes[i - 1], b' ' | b'(' | b'[' | b':');
        if starts && (bytes[i].is_ascii_digit() || bytes[i] == b'-') {
            let end = (i..bytes.len()).find(|&k| !is_number(bytes[k])).unwrap_or(bytes.len());
            found.push(i..end);
            i = end;
        } else if bytes[i] == b'[' {
            let mut depth = 0;
            let end = (i..bytes.len()).find(|&k| {
                depth += i32::from(bytes[k] == b'[') - i32::from(bytes[k] == b']');
                depth == 0
            });
            found.push(i..end.map_or(bytes.len(), |end| end + 1));
            i += 1;
        } else {
            i += 1;
        }
    }
    found
}

/// Every number of the document becomes each of these in turn, every list becomes empty: no
/// evaluation panics, and what is no number never becomes one in the earth's figures.
#[test]
fn whatever_a_site_holds_it_is_evaluated() {
    let site = full();
    assert_eq!(site.check(), Ok(()));
    let text = ron::to_string(&site).expect("a site is plain data");
    let mut panics = Vec::new();
    let mut n_evaluated = 0;
    for piece in pieces(&text) {
        let is_list = text[piece.clone()].starts_with('[');
        let others: &[&str] = if is_list { &["[]"] } else { &["NaN", "1e300", "-1e9"] };
        for other in others {
            let mut broken = text.clone();
            broken.replace_range(piece.clone(), other);
            // What the notation refuses never is a site: a whole number that is none, say.
            let Ok(mut broken) = ron::from_str::<Site>(&broken) else { continue };
            let survey = Arc::make_mut(&mut broken.survey);
            survey.points.clone_from(&site.survey.points);
            n_evaluated += 1;
            let context = || {
                let start = piece.start.saturating_sub(60);
                format!("{other} for {}", &text[start..piece.end.min(start + 120)])
            };
            match catch_unwind(AssertUnwindSafe(|| whole(&broken))) {
                Err(_) => panics.push(context()),
                Ok(evaluation) => {
                    for work in &evaluation.works {
                        assert_eq!(work.after.check(), Ok(()), "{}", context());
                    }
                }
            }
        }
    }
    assert!(n_evaluated > 300, "{n_evaluated}");
    assert!(panics.is_empty(), "{} panics:\n{}", panics.len(), panics.join("\n"));
}
