//! `bank-unsafe-to-dig`: holes in level ground at 30 m, and heaps beside them.

use design::{Code, Severity};
use site::earth::{Heaped, SoilClass, Stockpile};
use site::works::*;
use site::{Site, WorkKind};

use super::*;

const CODE: Code = Code::BankUnsafeToDig;

/// A pond whose water stands at its edge, at the ground; its one side runs `run_m` down to its floor.
fn hole(depth_m: f64, run_m: f64) -> Site {
    let mut pond = basin(GROUND_M - 0.1);
    pond.rings[0].shape = RingShape::Inset { run_m: vec![run_m] };
    pond.rings[0].depth_m = depth_m - 0.1;
    garden(2, vec![WorkKind::Basin(pond)])
}

/// 29 CFR 1926.652(a)(1): from 5 ft, 1.524 m; class C lies back at 1.5 to 1 (K-01 to K-03).
#[test]
fn a_bank_of_five_feet_lies_back_or_is_shored() {
    check(&hole(1.52, 1.0), CODE, &[]);
    check(&hole(1.6, 2.41), CODE, &[]);
    check(&hole(1.6, 1.6), CODE, &[(1, 1.6, 1.524)]);
    let finding = found(&hole(1.6, 1.6), CODE).remove(0);
    assert_eq!(finding.severity, Severity::Stop);
    assert!(finding.caution.is_some() && finding.message.contains("1 in 1.5"));
}

#[test]
fn stiffer_soil_stands_steeper() {
    let in_class = |class: SoilClass, run_m: f64| {
        let mut site = hole(1.6, run_m);
        site.soils.layers[0].class = class;
        site
    };
    check(&in_class(SoilClass::B, 1.61), CODE, &[]);
    check(&in_class(SoilClass::B, 1.5), CODE, &[(1, 1.6, 1.524)]);
    check(&in_class(SoilClass::A, 1.21), CODE, &[]);
    check(&in_class(SoilClass::StableRock, 0.1), CODE, &[]);
}

/// Shelves are benches: no line from a toe to what stands above is steeper than allowed.
#[test]
fn a_bank_with_benches_is_measured_from_toe_to_top() {
    let benched = |bench_m: f64| {
        let mut site = hole(0.8, 0.4);
        let WorkKind::Basin(pond) = &mut site.works[0].kind else { panic!("a pond") };
        let ring = |run: f64, depth_m: f64| BasinRing {
            shape: RingShape::Inset { run_m: vec![run] },
            depth_m,
            build_up: Default::default(),
        };
        pond.rings.push(ring(bench_m, 0.7));
        pond.rings.push(ring(0.4, 1.5));
        site
    };
    // 1.6 m high over 0.4 + bench + 0.4: steep below 2.4 m.
    check(&benched(1.62), CODE, &[]);
    check(&benched(1.5), CODE, &[(1, 1.6, 1.524)]);
}

/// A hill beside the hole counts with its height.
#[test]
fn a_hill_beside_the_hole_adds_to_its_bank() {
    let beside = |y: f64| {
        let mut hill = hill(1.0);
        hill.crest = straight(&[[-4.0, y], [4.0, y]]);
        hill.crest_m = vec![GROUND_M + 0.9];
        let mut site = hole(1.0, 0.8);
        site.works.push(Work {
            id: WorkId(2),
            name: "Hill".into(),
            note: String::new(),
            group: String::new(),
            visible: true,
            kind: WorkKind::Hill(hill),
        });
        site.next_id = 3;
        site
    };
    // The pond's rim ends at y = -5.5; the hill's toe lies 1.4 m in front of its crest's middle.
    check(&beside(-1.0), CODE, &[]);
    let found = found(&beside(-4.0), CODE);
    let [finding] = &found[..] else { panic!("{found:?}") };
    assert!(finding.measured.value > 1.6 && finding.measured.value < 1.91, "{finding:?}");
}

#[test]
fn a_trench_is_told_with_its_sides() {
    let trench = |depth_m: f64, side: f64| {
        let trench = Trench {
            line: straight(&[[-5.0, 8.0], [5.0, 8.0]]),
            invert_m: vec![GROUND_M - depth_m],
            width_m: 0.5,
            side,
            bedding_m: 0.0,
            pipe_m: 0.1,
        };
        garden(2, vec![WorkKind::Trench(trench)])
    };
    check(&trench(1.5, 0.0), CODE, &[]);
    check(&trench(1.6, 0.0), CODE, &[(1, 1.6, 1.524)]);
    check(&trench(1.6, 1.5), CODE, &[]);
}

/// 29 CFR 1926.651(j)(2): 2 ft (K-04). The pond's rim is dug to y = -5.5, its hole begins at -6 + 0.3.
#[test]
fn earth_stays_two_feet_from_the_edge() {
    let heaped = |from_y: f64| {
        let mut site = hole(0.8, 0.4);
        let outline_m =
            vec![[-2.0, from_y], [2.0, from_y], [2.0, from_y + 3.0], [-2.0, from_y + 3.0]];
        site.stockpiles = vec![Stockpile {
            name: "Heap".into(),
            holds: Heaped::Subsoil,
            outline_m,
            run_per_rise: 1.5,
            height_m: 1.0,
        }];
        site
    };
    check(&heaped(-5.38), CODE, &[]);
    check(&heaped(-5.6), CODE, &[(1, 0.4, 0.6096)]);
}
