//! `root-zone-cut`, `buried-line-near` and `over-boundary`, on level ground.

use design::{Code, Severity};
use site::keep_out::{Boundary, BuriedLine, Certainty, Septic, Service, Tree};
use site::works::*;
use site::{KeepOut, KeepOutKind, Site, WorkKind};

use super::*;

/// Ground dug to a depth with banks of 1 in 1, its foot between two places east and 4 m to the south
/// and north.
fn dug(from_x: f64, to_x: f64, depth_m: f64) -> WorkKind {
    WorkKind::Pad(Pad {
        outline: straight(&[[from_x, -4.0], [to_x, -4.0], [to_x, 4.0], [from_x, 4.0]]),
        purpose: PadPurpose::Building,
        plane: Plane {
            at: [from_x, 0.0],
            level_m: GROUND_M - depth_m,
            toward: [to_x, 0.0],
            fall: 0.0,
        },
        cut_bank: 1.0,
        fill_bank: 1.0,
        build_up: Default::default(),
        bank_build_up: Default::default(),
    })
}

fn with(kind: KeepOutKind, works: Vec<WorkKind>) -> Site {
    let mut site = garden(2, works);
    site.keep_outs = vec![KeepOut { name: "What stays".into(), note: String::new(), kind }];
    site
}

/// A tree whose roots reach 2.5 m.
fn tree() -> KeepOutKind {
    KeepOutKind::Tree(Tree { at: [0.0, 0.0], stem_m: 0.25, roots_per_stem: 10.0 })
}

/// A bank whose top lies at x cuts a segment off the circle: R² acos(x / R) - x √(R² - x²).
#[test]
fn a_root_zone_is_worked_by_its_share() {
    let code = Code::RootZoneCut;
    let site = |top_x: f64| with(tree(), vec![dug(-9.0, top_x - 0.2, 0.2)]);
    check(&site(-2.51), code, &[]);
    let segment_m2 = 6.25 * libm::acos(0.8) - 2.0 * 1.5;
    let share = segment_m2 / (std::f64::consts::PI * 6.25);
    check(&site(-2.0), code, &[(1, share, 0.01)]);
    let finding = found(&site(-2.0), code).remove(0);
    assert_eq!(finding.severity, Severity::LookAt);
    assert!(finding.message.contains("as near as 2.00 m"), "{}", finding.message);
    let remedy = finding.remedy.expect("a way out").message;
    assert!(remedy.contains("0.50 m farther"), "{remedy}");
    let half = site(0.0);
    check(&half, code, &[(1, 0.5, 0.01)]);
    let finding = found(&half, code).remove(0);
    assert_eq!(finding.severity, Severity::Stop);
    assert!(finding.message.contains("dug by up to 0.20 m"), "{}", finding.message);
    assert!(finding.caution.is_some());
}

#[test]
fn stripping_counts_as_digging() {
    let mut site = with(tree(), vec![dug(-9.0, 1.0, 0.0)]);
    site.soils.topsoil.strip_m = 0.15;
    let finding = found(&site, Code::RootZoneCut).remove(0);
    assert!(finding.message.contains("dug by up to 0.15 m"), "{}", finding.message);
}

fn line(carries: Service) -> KeepOutKind {
    KeepOutKind::BuriedLine(BuriedLine {
        carries,
        line_m: vec![[3.2, -12.0], [3.2, 12.0]],
        depth_m: 0.6,
        certainty: Certainty::FromPlans,
        clearance_m: 0.3,
    })
}

#[test]
fn a_buried_line_keeps_its_clearance() {
    let code = Code::BuriedLineNear;
    let site =
        |from_x: f64, depth_m: f64| with(line(Service::Gas), vec![dug(from_x, 9.0, depth_m)]);
    check(&site(2.0, 0.29), code, &[]);
    check(&site(2.0, 0.4), code, &[(1, 0.2, 0.3)]);
    assert_eq!(found(&site(2.0, 0.4), code)[0].severity, Severity::LookAt);
    // Dug beside the line, within its clearance on plan: the bank's foot stands 0.2 m off.
    check(&site(3.4, 0.4), code, &[(1, 0.2, 0.3)]);
    // So far off only the bank is within it, 0.1 m of it dug by up to 0.1 m.
    check(&site(3.8, 0.4), code, &[]);
    let through = site(2.0, 0.7);
    check(&through, code, &[(1, -0.1, 0.3)]);
    let finding = found(&through, code).remove(0);
    assert_eq!(finding.severity, Severity::Stop);
    assert!(finding.caution.expect("it can kill").contains("marked"));
}

/// A trench that is filled again is open for a while: its bottom lies 0.5 + 0.05 m down.
#[test]
fn a_trench_across_a_buried_line_is_told() {
    let trench = Trench {
        line: straight(&[[-8.0, 1.0], [8.0, 1.0]]),
        invert_m: vec![GROUND_M - 0.5],
        width_m: 0.4,
        side: 0.0,
        bedding_m: 0.05,
        pipe_m: 0.1,
    };
    let site = with(line(Service::Power), vec![WorkKind::Trench(trench)]);
    check(&site, Code::BuriedLineNear, &[(1, 0.05, 0.3)]);
}

#[test]
fn works_keep_their_distance_from_boundaries() {
    let code = Code::OverBoundary;
    let boundary =
        KeepOutKind::Boundary(Boundary { line_m: vec![[5.0, -15.0], [5.0, 15.0]], setback_m: 1.0 });
    let site = |top_x: f64| with(boundary.clone(), vec![dug(-3.0, top_x - 0.2, 0.2)]);
    check(&site(3.99), code, &[]);
    check(&site(4.5), code, &[(1, 0.5, 1.0)]);
    let finding = found(&site(4.5), code).remove(0);
    assert_eq!(finding.severity, Severity::LookAt);
    assert!(finding.remedy.expect("a way out").message.contains("by 0.50 m"));
    check(&site(5.5), code, &[(1, 0.0, 1.0)]);
    assert_eq!(found(&site(5.5), code)[0].severity, Severity::Stop);
}

#[test]
fn nothing_is_built_over_a_septic_field() {
    let code = Code::OverBoundary;
    let field = |x: f64| {
        KeepOutKind::Septic(Septic {
            outline_m: vec![[x, -2.0], [x + 3.0, -2.0], [x + 3.0, 1.0], [x, 1.0]],
            setback_m: 2.0,
        })
    };
    let site = |x: f64| with(field(x), vec![dug(-3.0, 1.8, 0.2)]);
    check(&site(4.01), code, &[]);
    check(&site(3.5), code, &[(1, 1.5, 2.0)]);
    check(&site(-2.0), code, &[(1, 0.0, 2.0)]);
    assert_eq!(found(&site(-2.0), code)[0].severity, Severity::Stop);
}

/// A bank that falls from 0.3 m at x = -2.6 to nothing at -2.3: where the zone begins, at -2.5, it is
/// 0.2 m high.
#[test]
fn only_what_is_raised_within_the_zone_counts() {
    let site = with(tree(), vec![dug(-9.0, -2.6, -0.3)]);
    let finding = found(&site, Code::RootZoneCut).remove(0);
    assert!(finding.message.contains("raised by up to 0.20 m"), "{}", finding.message);
}

/// A heap of four metres by three, its west side at x.
fn heap(from_x: f64) -> site::Stockpile {
    site::Stockpile {
        name: "Heap".into(),
        holds: site::earth::Heaped::Topsoil,
        outline_m: vec![[from_x, -2.0], [from_x + 3.0, -2.0], [from_x + 3.0, 2.0], [from_x, 2.0]],
        run_per_rise: 1.5,
        height_m: 1.0,
    }
}

/// What a load's finding says: its code has no work.
fn of_load(site: &Site, code: Code) -> Vec<(f64, f64, Severity)> {
    assert_eq!(site.check(), Ok(()));
    let of = |f: design::Finding| {
        assert_eq!(f.work, None);
        (f.measured.value, f.measured.limit, f.severity)
    };
    found(site, code).into_iter().map(of).collect()
}

#[test]
fn a_heap_stays_off_roots() {
    let heaped = |from_x: f64| Site { stockpiles: vec![heap(from_x)], ..with(tree(), Vec::new()) };
    assert_eq!(of_load(&heaped(2.51), Code::RootZoneCut), []);
    assert_eq!(of_load(&heaped(2.0), Code::RootZoneCut), [(2.0, 2.5, Severity::LookAt)]);
    assert_eq!(of_load(&heaped(-1.0), Code::RootZoneCut), [(0.0, 2.5, Severity::LookAt)]);
}

#[test]
fn the_way_in_stays_off_roots_by_half_its_width() {
    let led = |x: f64| {
        let mut site = with(tree(), Vec::new());
        site.carry.access_m = vec![[x, -9.0], [x, 9.0]];
        site.carry.access_width_m = 1.2;
        site
    };
    assert_eq!(of_load(&led(3.2), Code::RootZoneCut), []);
    let found = of_load(&led(3.0), Code::RootZoneCut);
    assert!(
        matches!(found[..], [(m, 2.5, Severity::LookAt)] if (m - 2.4).abs() < 1e-9),
        "{found:?}"
    );
}

#[test]
fn a_heap_stays_within_the_boundary_and_off_a_field() {
    let fence = |from_x: f64| {
        let line_m = vec![[4.0, -9.0], [4.0, 9.0]];
        let boundary = KeepOutKind::Boundary(Boundary { line_m, setback_m: 1.0 });
        Site { stockpiles: vec![heap(from_x)], ..with(boundary, Vec::new()) }
    };
    assert_eq!(of_load(&fence(0.99), Code::OverBoundary), []);
    assert!(matches!(of_load(&fence(1.5), Code::OverBoundary)[..], [(0.0, _, Severity::Stop)]));
    let field = |way_x: f64| {
        let outline_m = vec![[-1.0, -1.0], [1.0, -1.0], [1.0, 1.0], [-1.0, 1.0]];
        let mut site = with(KeepOutKind::Septic(Septic { outline_m, setback_m: 2.0 }), Vec::new());
        site.carry.access_m = vec![[way_x, -9.0], [way_x, 9.0]];
        site.carry.access_width_m = 1.0;
        site
    };
    assert_eq!(of_load(&field(1.6), Code::OverBoundary), []);
    assert!(matches!(of_load(&field(1.4), Code::OverBoundary)[..], [(_, _, Severity::Stop)]));
}

#[test]
fn a_heap_does_not_hide_a_buried_line() {
    let heaped = |from_x: f64| Site {
        stockpiles: vec![heap(from_x)],
        ..with(line(Service::Gas), Vec::new())
    };
    assert_eq!(of_load(&heaped(3.51), Code::BuriedLineNear), []);
    let found = of_load(&heaped(3.4), Code::BuriedLineNear);
    assert!(
        matches!(found[..], [(m, 0.3, Severity::LookAt)] if (m - 0.2).abs() < 1e-9),
        "{found:?}"
    );
    assert!(matches!(of_load(&heaped(1.0), Code::BuriedLineNear)[..], [(0.0, ..)]));
}
