//! `drains-to-house`: worked ground beside a house on level ground.

use design::{Code, Severity, Unit};
use site::works::*;
use site::{House, Site, WorkKind};

use super::*;

const CODE: Code = Code::DrainsToHouse;

/// A house whose north wall stands on y = 0, with a work before it.
fn beside(work: WorkKind) -> Site {
    let mut site = garden(2, vec![work]);
    site.houses = vec![House {
        name: "House".into(),
        outline_m: vec![[-4.0, -6.0], [4.0, -6.0], [4.0, 0.0], [-4.0, 0.0]],
        floor_m: GROUND_M + 0.3,
        sill_m: GROUND_M + 0.2,
        height_m: 3.0,
    }];
    site
}

/// Ground 4 m deep and as wide as the wall that falls away from it, or toward it below zero; its
/// middle lies on the ground.
fn plane(fall: f64) -> Plane {
    let toward = if fall < 0.0 { [0.0, 0.0] } else { [0.0, 4.0] };
    Plane { at: [0.0, 2.0], level_m: GROUND_M, toward, fall: fall.abs() }
}

fn outline() -> Curve {
    straight(&[[-4.0, 0.0], [4.0, 0.0], [4.0, 4.0], [-4.0, 4.0]])
}

fn patio(fall: f64) -> Site {
    beside(WorkKind::Pad(Pad {
        outline: outline(),
        purpose: PadPurpose::Patio,
        plane: plane(fall),
        cut_bank: 1.0,
        fill_bank: 1.0,
        build_up: Default::default(),
        bank_build_up: Default::default(),
    }))
}

fn lawn(fall: f64) -> Site {
    beside(WorkKind::PlaneGrade(PlaneGrade {
        outline: outline(),
        plane: plane(fall),
        cut_bank: 1.0,
        fill_bank: 1.0,
        build_up: Default::default(),
    }))
}

/// Over 10 ft, 3.048 m, a patio falls by 2 in 100 of that, a lawn by 5 in 100.
#[test]
fn a_patio_falls_by_two_and_a_lawn_by_five_in_a_hundred() {
    check(&patio(0.0201), CODE, &[]);
    check(&patio(0.01), CODE, &[(1, 0.03048, 0.06096)]);
    check(&lawn(0.0501), CODE, &[]);
    check(&lawn(0.02), CODE, &[(1, 0.06096, 0.1524)]);
    let finding = found(&lawn(0.02), CODE).remove(0);
    assert_eq!(finding.severity, Severity::LookAt);
    assert!(finding.message.contains("north side of House"), "{}", finding.message);
    assert!(finding.remedy.expect("a way out").message.contains("0.10 m more"));
}

/// A patio round a corner of the house, level: it falls from neither wall, and each is told; mending one
/// leaves the other told.
#[test]
fn each_side_of_a_house_is_told() {
    let mut site = patio(0.0);
    let WorkKind::Pad(pad) = &mut site.works[0].kind else { panic!("a patio") };
    pad.outline =
        straight(&[[-4.0, 0.0], [4.0, 0.0], [4.0, -6.0], [8.0, -6.0], [8.0, 4.0], [-4.0, 4.0]]);
    let found = found(&site, CODE);
    let told = |side: &str| found.iter().any(|f| f.message.contains(&format!("{side} side of")));
    assert!(found.len() == 2 && told("north") && told("east"), "{found:?}");
    // To the north-east it falls from both.
    let WorkKind::Pad(pad) = &mut site.works[0].kind else { panic!("a patio") };
    pad.plane = Plane { at: [4.0, 0.0], level_m: GROUND_M, toward: [8.0, 4.0], fall: 0.03 };
    check(&site, CODE, &[]);
}

#[test]
fn ground_that_falls_to_the_house_is_a_stop() {
    check(&patio(-0.01), CODE, &[(1, -0.03048, 0.06096)]);
    let finding = found(&patio(-0.01), CODE).remove(0);
    assert_eq!(finding.severity, Severity::Stop);
    assert!(finding.message.contains("rises by 0.03 m away"), "{}", finding.message);
}

/// Level ground that nobody works is the owner's, and a basin below the wall takes no water to it.
#[test]
fn what_is_not_worked_or_falls_far_is_no_finding() {
    let far = WorkKind::Basin(basin(GROUND_M - 0.2));
    let mut site = beside(far);
    site.houses[0].outline_m = vec![[-4.0, -4.0], [4.0, -4.0], [4.0, 0.0], [-4.0, 0.0]];
    check(&site, CODE, &[]);
}

/// On ground that falls to the house, a low bank that leads away from it, out of reach of its wall,
/// brings the rain of what lies behind it.
#[test]
fn what_the_works_bring_to_the_walls_is_told() {
    let on_slope = |end: [f64; 2]| {
        let mut bank = hill(3.0);
        bank.crest = straight(&[[1.0, 8.0], end]);
        bank.crest_m = vec![GROUND_M + 0.7, GROUND_M + 0.05 * end[1] + 0.3];
        bank.width_m = vec![0.2];
        sloped(beside(WorkKind::Hill(bank)), |[_, y]| GROUND_M + 0.05 * y)
    };
    assert_eq!(found(&on_slope([3.0, 8.0]), CODE), []);
    let finding = found(&on_slope([14.0, 14.0]), CODE).remove(0);
    assert_eq!((finding.measured.unit, finding.work), (Unit::SquareMetre, None));
    let added_m2 = finding.measured.value - finding.measured.limit + 10.0;
    assert!((60.0..160.0).contains(&added_m2), "{:?}", finding.measured);
    assert!(finding.message.contains("more than before the works"), "{}", finding.message);
    let site = on_slope([14.0, 14.0]);
    let remedy = design::remedy(&site, &finding).expect("a swale leads it past");
    assert!(
        remedy.message.starts_with("Lead it past House in a swale on its north side"),
        "{}",
        remedy.message
    );
    // Nothing says what rain falls, and the ground along the wall falls nowhere.
    assert!(remedy.message.contains("the storm is not given"), "{}", remedy.message);
    assert!(remedy.message.contains("it comes out nowhere"), "{}", remedy.message);
    let mut edited = *remedy.site.expect("a site with the swale");
    assert_eq!(found(&edited, CODE), []);
    // Its bottom lies 6 in below the wall's foot, a step of 8 mm and the fall to the first line deeper.
    let WorkKind::PlaneGrade(swale) = &mut edited.works[1].kind else {
        panic!("the swale is last")
    };
    swale.plane.level_m += 0.02;
    assert!(!found(&edited, CODE).is_empty());
}

/// The bank above, on ground that falls away beyond the house: the swale takes the storm and comes out.
#[test]
fn a_swale_is_sized_and_comes_out_where_the_ground_lets_it() {
    let ground_m = |[x, y]: [f64; 2]| GROUND_M + 0.05 * y - 0.1 * (x - 6.0).max(0.0);
    let mut bank = hill(3.0);
    bank.crest = straight(&[[1.0, 8.0], [14.0, 14.0]]);
    bank.crest_m = vec![GROUND_M + 0.7, GROUND_M + 1.0];
    bank.width_m = vec![0.2];
    let mut site = sloped(beside(WorkKind::Hill(bank)), ground_m);
    site.weather.storm_mm_h = Some(60.0);
    site.weather.runoff_share = Some(0.3);
    let finding = found(&site, CODE).remove(0);
    let remedy = design::remedy(&site, &finding).expect("a swale leads it past");
    assert!(remedy.message.contains("comes out on the ground"), "{}", remedy.message);
    let edited = remedy.site.expect("a site with the swale");
    let WorkKind::PlaneGrade(swale) = &edited.works[1].kind else { panic!("the swale is last") };
    let plane = &swale.plane;
    // Where it ends its bottom lies no lower than the ground.
    let [x, y] = plane.toward;
    let long_m = libm::hypot(x - plane.at[0], y - plane.at[1]);
    let end_m = plane.level_m - plane.fall * long_m;
    let above_m = end_m - ground_m([x, y]);
    assert!((0.0..0.04).contains(&above_m), "{above_m}");
    // What it carries, by hand: the depth that is told carries what the storm brings.
    let flow_m3_s = 0.3 * 0.060 / 3600.0 * finding.measured.value;
    let depth_m = (0..5000).map(|i| f64::from(i) * 1e-4).find(|&d| {
        let (area, wet) = (d * (0.5 + 3.0 * d), 0.5 + 2.0 * d * 10.0_f64.sqrt());
        area * libm::pow(area / wet, 2.0 / 3.0) * 0.02_f64.sqrt() / 0.05 >= flow_m3_s
    });
    let told = format!("{:.2} m deep in it", depth_m.expect("it carries it"));
    assert!(remedy.message.contains(&told), "{told}: {}", remedy.message);
}
