//! Heaps, carrying and what stays, by closed forms on level ground.
//!
//! A level pad's cut or fill lies around its middle, so that what is carried between two pads goes
//! from middle to middle.

use design::{Carried, Evaluation, KeptOutcome, evaluate, filter_gravel, handling, houses, kept};
use site::earth::Heaped;
use site::keep_out::{Boundary, BuriedLine, Certainty, Drain, Gate, Septic, Service, Tree};
use site::works::{Pad, PadPurpose, Plane};
use site::{House, KeepOut, KeepOutKind, Site, Stockpile, WorkId, WorkKind};

use crate::garden::*;

/// Middles of the pad that is dug and of the one that is filled.
const DUG_AT: [f64; 2] = [-10.0, 0.0];
const FILLED_AT: [f64; 2] = [12.0, 5.0];

fn pad(placed: Placed, at: [f64; 2], level_m: f64) -> WorkKind {
    let outline =
        [[-2.0, -1.5], [2.0, -1.5], [2.0, 1.5], [-2.0, 1.5]].map(|[x, y]| [at[0] + x, at[1] + y]);
    WorkKind::Pad(Pad {
        outline: placed.line(&outline),
        purpose: PadPurpose::Patio,
        plane: Plane {
            at: placed.at(at),
            level_m,
            toward: placed.at([at[0] + 1.0, at[1]]),
            fall: 0.0,
        },
        cut_bank: 2.0,
        fill_bank: 2.0,
        build_up: Default::default(),
        bank_build_up: Default::default(),
    })
}

/// A pad dug 0.6 m deep and one raised by 0.4 m, dug first.
fn two_pads(placed: Placed) -> Site {
    let works = vec![pad(placed, DUG_AT, -0.6), pad(placed, FILLED_AT, 0.4)];
    site(placed, |_| 0.0, works)
}

/// What a fill takes of the bank at the site's one soil.
fn need_m3(site: &Site, evaluation: &Evaluation) -> f64 {
    evaluation.earth.fill_compacted_m3 / (1.0 - site.soils.layers[0].shrink)
}

fn near(found: f64, expected: f64, what: &str) {
    assert!(
        (found - expected).abs() < 1e-6 * expected.abs().max(1.0),
        "{what}: {found} {expected}"
    );
}

#[test]
fn earth_is_carried_from_middle_to_middle_and_what_is_left_to_the_trucks() {
    for placed in [AS_DRAWN, TURNED, MOVED] {
        let mut site = two_pads(placed);
        site.carry.access_m =
            [[0.0, -28.0], [0.0, -20.0], [-3.0, -24.0]].map(|p| placed.at(p)).into();
        let evaluation = evaluate(&site);
        let handled = handling(&site, &evaluation).expect("there is ground");
        let [to_fill, to_truck] = handled.carries[..] else { panic!("{:?}", handled.carries) };
        assert_eq!((to_fill.carried, to_truck.carried), (Carried::ToFill, Carried::ToTruck));
        let need_m3 = need_m3(&site, &evaluation);
        near(to_fill.bank_m3, need_m3, "what the fill takes");
        near(to_fill.distance_m, libm::hypot(22.0, 5.0), "from dig to fill");
        near(to_truck.bank_m3, evaluation.earth.cut_bank_m3 - need_m3, "what is left");
        near(to_truck.distance_m, 8.0 + 5.0 + libm::hypot(7.0, 24.0), "along the way in");
        // A body of 0.3 m3 holds 0.3 / 1.25 of the bank; a trip is 240 s of loading and tipping and
        // the way there and back at 0.8 m/s; 50 minutes of an hour are worked.
        let trips = (need_m3 * 1.25 / 0.3).ceil();
        assert_eq!(f64::from(to_fill.trips), trips);
        let trip_s = 240.0 + 2.0 * libm::hypot(22.0, 5.0) / 0.8;
        near(to_fill.hours, trips * trip_s / 3000.0, "hours");
    }
}

#[test]
fn only_what_a_later_work_places_must_wait() {
    let mut site = two_pads(AS_DRAWN);
    let evaluation = evaluate(&site);
    let waiting = handling(&site, &evaluation).expect("there is ground").waiting;
    // Loose by the swell of 25 %.
    near(waiting.subsoil_m3, 1.25 * need_m3(&site, &evaluation), "dug first");
    near(waiting.without_room_m3[1], waiting.subsoil_m3, "no room is drawn");
    assert_eq!(waiting.topsoil_m3, 0.0);
    site.works.reverse();
    let waiting = handling(&site, &evaluate(&site)).expect("there is ground").waiting;
    assert_eq!(waiting.subsoil_m3, 0.0);
}

/// Stripped is what the pads cover with their margins; a cone of V at 1 in 1.5 is (3 V / (π 1.5²))^⅓
/// high. A place 1 by 1 m takes a cone of radius 0.5 m.
#[test]
fn heaps_fill_their_places_in_order() {
    let mut site = two_pads(TURNED);
    site.soils.topsoil.strip_m = 0.1;
    let pile = |name: &str, at: [f64; 2], half_m: f64| Stockpile {
        name: name.into(),
        holds: Heaped::Topsoil,
        outline_m: [[-1.0, -1.0], [1.0, -1.0], [1.0, 1.0], [-1.0, 1.0]]
            .map(|[x, y]| TURNED.at([at[0] + half_m * x, at[1] + half_m * y]))
            .into(),
        run_per_rise: 1.5,
        height_m: 3.0,
    };
    site.stockpiles = vec![pile("small", [0.0, 12.0], 0.5), pile("large", [0.0, 20.0], 6.0)];
    let evaluation = evaluate(&site);
    let handled = handling(&site, &evaluation).expect("there is ground");
    let loose_m3 = 1.25 * evaluation.earth.topsoil.strip_m3;
    near(handled.waiting.topsoil_m3, loose_m3, "stripped, loose");
    let cone_m3 = |radius_m: f64| std::f64::consts::PI * radius_m * radius_m * radius_m / 4.5;
    near(handled.heaps[0].holds_m3, cone_m3(0.5), "the small one is full");
    near(handled.heaps[1].holds_m3, loose_m3 - cone_m3(0.5), "the rest");
    let height_m = handled.heaps[1].height_m;
    near(cone_m3(1.5 * height_m), handled.heaps[1].holds_m3, "its height");
    assert_eq!(handled.waiting.without_room_m3, [0.0, handled.waiting.subsoil_m3]);
}

#[test]
fn a_gate_on_the_way_may_be_its_narrowest_place() {
    let mut site = two_pads(AS_DRAWN);
    site.carry.access_m = vec![[0.0, -28.0], [0.0, -10.0]];
    (site.carry.access_width_m, site.carry.carrier_width_m) = (1.5, 0.9);
    let passing =
        |site: &Site| handling(site, &evaluate(site)).expect("ground").passing.expect("way");
    assert!(passing(&site).passes());
    let gate = |x: f64| KeepOut {
        name: "gate".into(),
        note: String::new(),
        kind: KeepOutKind::Gate(Gate { from: [x, -25.0], to: [x + 1.0, -25.0] }),
    };
    site.keep_outs = vec![gate(3.0)];
    assert!(passing(&site).passes(), "it is not on the way");
    site.keep_outs = vec![gate(-0.5)];
    let passing = passing(&site);
    assert!(!passing.passes());
    assert_eq!(passing.narrowest_m, 1.0);
    near(passing.needed_m, 1.1, "with room on either side");
}

/// The pad is dug 0.6 m into ground that falls 1 in 100 to the east, to a level plane.
#[test]
fn what_stays_is_told_with_its_levels() {
    let mut site = site(AS_DRAWN, |[x, _]| -0.01 * x, vec![pad(AS_DRAWN, DUG_AT, -0.5)]);
    let keep = |kind: KeepOutKind| KeepOut { name: "kept".into(), note: String::new(), kind };
    site.keep_outs = vec![
        keep(KeepOutKind::BuriedLine(BuriedLine {
            carries: Service::Gas,
            line_m: vec![[-20.0, 0.5], [5.0, 0.5]],
            depth_m: 0.45,
            certainty: Certainty::Traced,
            clearance_m: 0.5,
        })),
        keep(KeepOutKind::Tree(Tree { at: [3.0, 3.0], stem_m: 0.3, roots_per_stem: 10.0 })),
        keep(KeepOutKind::Drain(Drain { at: DUG_AT, invert_m: -0.9 })),
        keep(KeepOutKind::Boundary(Boundary {
            line_m: vec![[-20.0, 20.0], [20.0, 20.0], [20.0, 10.0]],
            setback_m: 1.0,
        })),
        keep(KeepOutKind::Septic(Septic {
            outline_m: vec![[10.0, -10.0], [10.0, -14.0], [13.0, -14.0]],
            setback_m: 3.0,
        })),
        keep(KeepOutKind::Tree(Tree { at: [80.0, 0.0], stem_m: 0.3, roots_per_stem: 12.0 })),
    ];
    let at_walls = vec![[5.0, -20.0], [9.0, -20.0], [9.0, -24.0], [5.0, -24.0]];
    site.houses = vec![House {
        name: "house".into(),
        outline_m: at_walls,
        floor_m: 0.3,
        sill_m: 0.1,
        height_m: 3.0,
    }];
    let evaluation = evaluate(&site);
    let outcomes = kept(&site, &evaluation);
    // At the pad's west edge, x = -12, the line's top lies at 0.12 - 0.45, the pad at -0.5.
    let KeptOutcome::BuriedLine(Some(cover)) = outcomes[0] else { panic!("{:?}", outcomes[0]) };
    near(cover.least_m, -0.5 - (0.12 - 0.45), "cover");
    near(cover.at_m[0], -12.0, "where");
    let KeptOutcome::Tree { ground_m: Some(levels), roots_m } = outcomes[1] else { panic!() };
    assert!(levels.iter().all(|level| (level + 0.03).abs() < 1e-9), "{levels:?}");
    near(roots_m[0], 3.6, "by the rule");
    near(roots_m[1], 3.0, "as chosen");
    let KeptOutcome::Drain { below_m: Some([before, after]) } = outcomes[2] else { panic!() };
    near(before, 1.0, "below existing ground");
    near(after, 0.4, "below the pad");
    assert_eq!(outcomes[3], KeptOutcome::Boundary { length_m: 50.0 });
    assert_eq!(outcomes[4], KeptOutcome::Septic { area_m2: 6.0 });
    assert!(matches!(outcomes[5], KeptOutcome::Tree { ground_m: None, .. }), "beyond the survey");
    let house = houses(&site, &evaluation)[0].expect("it stands on the survey");
    near(house.sill_above_m, 0.1 + 0.05, "at its west wall");
    near(house.highest_at[0], 5.0, "where");
}

#[test]
fn without_ground_nothing_is_handled() {
    let mut site = two_pads(AS_DRAWN);
    site.survey = Default::default();
    let evaluation = evaluate(&site);
    assert_eq!(handling(&site, &evaluation), None);
    assert_eq!(houses(&site, &evaluation), Vec::new());
}

/// The bed of 4 by 3 m has sides of 1 in 0.5: a slice at the depth d is (4 - d) by (3 - d). From 0.05
/// to 0.8 m that is 9 - 2.23125 + 0.170625 m3.
#[test]
fn gravel_fills_a_filter_to_its_top() {
    for placed in [AS_DRAWN, TURNED, MOVED] {
        let site = site(placed, |_| 0.0, vec![WorkKind::FilterBed(filter(placed))]);
        let found = filter_gravel(&site, &evaluate(&site));
        assert_eq!(found.len(), 1);
        assert_eq!(found[0].0, WorkId(1));
        assert!((found[0].1 - 6.939375).abs() < 1e-4, "{found:?}");
    }
}
