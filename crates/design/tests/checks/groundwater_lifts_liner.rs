//! `groundwater-lifts-liner`: K-26, cover of 0.2 m on a liner at 29.1 m, the water at 29.8 m.

use design::{Code, Severity};
use site::works::*;
use site::{Site, WorkKind};

use super::*;

const CODE: Code = Code::GroundwaterLiftsLiner;
/// Weight of the cover over that of water.
const COVER: f64 = 1.922;

fn pond(water_table_m: f64) -> Site {
    let mut pond = basin(GROUND_M - 0.2);
    pond.rings[0].build_up = BuildUp { liner_m: 0.005, gravel_m: 0.2, ..BuildUp::default() };
    let mut site = garden(2, vec![WorkKind::Basin(pond)]);
    site.soils.groundwater_m = Some(water_table_m);
    site
}

/// Drained: 1.2 times a head of 0.3203 m above the liner is the cover's weight.
#[test]
fn a_drained_pond_is_held_by_its_cover() {
    let head_m = 0.2 * COVER / 1.2;
    check(&pond(29.1 + head_m - 0.001), CODE, &[]);
    let site = pond(29.1 + head_m + 0.01);
    check(&site, CODE, &[(1, 0.2 * COVER / (head_m + 0.01), 1.2)]);
    let finding = found(&site, CODE).remove(0);
    assert_eq!(finding.severity, Severity::LookAt);
    assert!(finding.message.contains("when the pond is drained"), "{}", finding.message);
    let remedy = finding.remedy.expect("a way out").message;
    assert!(
        remedy.contains("pump from a sump") && remedy.contains("0.01 m more cover"),
        "{remedy}"
    );
    let mut changed = pond(29.1 + head_m + 0.01);
    changed.limits.uplift_factor = 1.1;
    check(&changed, CODE, &[]);
}

/// Under water the cover weighs its weight less that of water.
#[test]
fn a_low_and_a_full_pond_are_held_by_their_water_too() {
    let site = pond(29.9);
    check(&site, CODE, &[(1, 0.2 * (COVER - 1.0) / 0.4, 1.2)]);
    let finding = found(&site, CODE).remove(0);
    assert_eq!(finding.severity, Severity::Stop);
    assert!(finding.message.contains("with the pond 0.30 m low"), "{}", finding.message);
    let site = pond(29.96);
    check(&site, CODE, &[(1, 0.2 * (COVER - 1.0) / 0.16, 1.2)]);
    assert!(found(&site, CODE)[0].message.contains("even with the pond full"));
}

#[test]
fn without_a_known_level_or_a_liner_nothing_is_said() {
    let mut site = pond(29.9);
    site.soils.groundwater_m = None;
    check(&site, CODE, &[]);
    let mut bare = garden(2, vec![WorkKind::Basin(basin(GROUND_M - 0.2))]);
    bare.soils.groundwater_m = Some(29.9);
    check(&bare, CODE, &[]);
}

/// Ground that falls by 1 in 10 to the south lets a pipe run out.
#[test]
fn a_drain_that_falls_to_lower_ground_clears_it_and_a_blocked_one_does_not() {
    let site = sloped(pond(29.6), |[_, y]| GROUND_M + 0.1 * (y + 6.0).min(0.0));
    let finding = found(&site, CODE).remove(0);
    let remedy = design::remedy(&site, &finding).expect("a drain that clears it");
    assert!(remedy.message.contains("under the floor before the liner"), "{}", remedy.message);
    let mut drained = *remedy.site.expect("a site with the drain");
    assert_eq!(drained.check(), Ok(()));
    check(&drained, CODE, &[]);
    carries_what_comes(&drained);
    let WorkKind::Trench(trench) = &mut drained.works[0].kind else { panic!("the drain is first") };
    trench.invert_m[1] = trench.invert_m[0] + 0.05;
    let found = found(&drained, CODE);
    assert!(found[0].message.contains("does not fall to lower ground"), "{}", found[0].message);
}

/// Soil so open that a pipe of 4 in at 1 in 100, which carries 3.5 L/s, holds nothing down: one of 6 in
/// does. The limit stands where what comes is what it carries.
#[test]
fn a_drain_that_carries_less_than_comes_holds_nothing_down() {
    let site = sloped(pond(29.6), |[_, y]| GROUND_M + 0.1 * (y + 6.0).min(0.0));
    let first = found(&site, CODE).remove(0);
    let narrow = *design::remedy(&site, &first).and_then(|r| r.site).expect("a drain of 4 in");
    let drain = design::water_plan(&narrow, &evaluate(&narrow)).drains.remove(0);
    let rate = narrow.soils.layers.iter().map(|soil| soil.infiltration_mm_h).fold(0.0, f64::max);
    let at_limit = rate * drain.carries_m3_s.unwrap() / drain.brought_m3_s.unwrap();
    let open = |site: &Site, share: f64| {
        let mut site = site.clone();
        let layers = site.soils.layers.iter_mut();
        layers.for_each(|soil| soil.infiltration_mm_h = share * at_limit);
        site
    };
    check(&open(&narrow, 0.999), CODE, &[]);
    let small = open(&narrow, 1.001);
    let finding = found(&small, CODE).remove(0);
    assert!(finding.message.contains("carries 3.5"), "{}", finding.message);
    let remedy = design::remedy(&small, &finding).expect("a wider drain");
    assert!(remedy.message.contains("0.15 m inside"), "{}", remedy.message);
    check(&remedy.site.expect("the site with it"), CODE, &[]);
    // A new drain is as wide from the first, and where no common pipe is wide enough, that is told.
    let open_soil = open(&site, 1.001);
    let finding = found(&open_soil, CODE).remove(0);
    let remedy = design::remedy(&open_soil, &finding).expect("a drain");
    assert!(remedy.message.contains("a drain of 0.15 m"), "{}", remedy.message);
    let finding = found(&open(&site, 100.0), CODE).remove(0);
    let words = finding.remedy.expect("words").message;
    assert!(words.contains("No common pipe carries"), "{words}");
}

/// By hand: a full pipe of 4 in at 1 in 100, corrugated (n 0.02), carries A R^(2/3) S^0.5 / n; the ground
/// lets through its rate over the liner's area.
fn carries_what_comes(site: &Site) {
    let evaluation = evaluate(site);
    let drains = design::water_plan(site, &evaluation).drains;
    let [drain] = &drains[..] else { panic!("{drains:?}") };
    assert!(drain.is_open && drain.holds(), "{drain:?}");
    assert!((drain.fall.clone().expect("it is told") - 0.01).abs() < 1e-6, "{drain:?}");
    let (d, area) = (0.1016_f64, std::f64::consts::PI * 0.1016 * 0.1016 / 4.0);
    let full = area * libm::pow(d / 4.0, 2.0 / 3.0) * 0.1 / 0.02;
    assert!(
        (drain.carries_m3_s.clone().expect("it is told") / full - 1.0).abs() < 1e-3,
        "{drain:?} {full}"
    );
    let rate = site.soils.layers.iter().map(|soil| soil.infiltration_mm_h).fold(0.0, f64::max);
    // The liner runs from the rim of the square pond of 8 m inward: no more than its outline.
    let most = rate / 3.6e6 * 64.0;
    let brought = drain.brought_m3_s.clone().expect("it is told");
    assert!(brought > 0.4 * most && brought < 1.01 * most, "{brought} {most}");
}
