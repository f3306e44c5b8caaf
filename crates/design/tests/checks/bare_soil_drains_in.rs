//! `bare-soil-drains-in`: soil that is open while the works last.

use design::{Code, Severity};
use site::keep_out::Drain;
use site::works::*;
use site::{KeepOut, KeepOutKind, Site, WorkKind};

use super::*;

const CODE: Code = Code::BareSoilDrainsIn;

/// A lawn of 6 by 6 m laid on a slope that falls to the south.
fn lawn(from_y: f64) -> WorkKind {
    WorkKind::PlaneGrade(PlaneGrade {
        outline: straight(&[
            [-3.0, from_y],
            [3.0, from_y],
            [3.0, from_y + 6.0],
            [-3.0, from_y + 6.0],
        ]),
        plane: Plane {
            at: [0.0, from_y + 6.0],
            level_m: GROUND_M + 0.02 * (from_y + 6.0) + 0.2,
            toward: [0.0, from_y],
            fall: 0.02,
        },
        cut_bank: 1.0,
        fill_bank: 1.0,
        build_up: Default::default(),
    })
}

fn on_slope(kinds: Vec<WorkKind>) -> Site {
    sloped(garden(2, kinds), |[_, y]| GROUND_M + 0.02 * y)
}

/// Raised by 0.2 m all over, with banks of 1 in 1: 6.4 m square.
#[test]
fn a_lawn_sheds_off_the_site_until_it_is_sown() {
    let mut site = on_slope(vec![lawn(0.0)]);
    let finding = found(&site, CODE).remove(0);
    let area_m2 = finding.measured.value;
    assert!((area_m2 - 40.96).abs() < 0.3, "{area_m2}");
    assert_eq!((finding.severity, finding.measured.limit), (Severity::LookAt, 20.0));
    assert!(finding.message.contains("off the site"), "{}", finding.message);
    let remedy = finding.remedy.clone().expect("a way out").message;
    assert!(remedy.contains("silt fence"), "{remedy}");
    site.limits.bare_soil_m2 = 1.001 * area_m2;
    assert_eq!(found(&site, CODE), []);
    site.limits.bare_soil_m2 = 0.999 * area_m2;
    assert_eq!(found(&site, CODE).len(), 1);
    // Half a metre around it is stripped too.
    site.soils.topsoil.strip_m = 0.15;
    site.soils.topsoil.margin_m = 0.5;
    let wider_m2 = found(&site, CODE)[0].measured.value;
    assert!((wider_m2 - area_m2 - (7.4 * 7.4 - 6.4 * 6.4)).abs() < 1.0, "{wider_m2}");
}

#[test]
fn soil_uphill_of_the_hole_drains_into_it() {
    let mut pond = basin(GROUND_M - 0.5);
    pond.cut_bank = 0.1;
    let site = on_slope(vec![WorkKind::Basin(pond), lawn(-4.0)]);
    let found = found(&site, CODE);
    let into = found.iter().find(|f| f.work == Some(WorkId(1))).expect("the pond's");
    assert!((30.0..42.0).contains(&into.measured.value), "{:?}", into.measured);
    assert!(into.message.contains("the open hole of Work 1"), "{}", into.message);
}

#[test]
fn a_drain_on_its_way_takes_it() {
    let mut site = on_slope(vec![lawn(0.0)]);
    let drain = KeepOutKind::Drain(Drain { at: [0.0, 3.0], invert_m: GROUND_M - 1.0 });
    site.keep_outs = vec![KeepOut { name: "Yard drain".into(), note: String::new(), kind: drain }];
    site.limits.bare_soil_m2 = 5.0;
    let found = found(&site, CODE);
    assert!(found.iter().any(|f| f.message.contains("to Yard drain")), "{found:?}");
}

#[test]
fn level_ground_keeps_its_soil() {
    let site = garden(2, vec![WorkKind::Basin(basin(GROUND_M - 0.2))]);
    check(&site, CODE, &[]);
}
