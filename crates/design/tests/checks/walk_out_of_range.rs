//! `walk-out-of-range`: a path of ten metres on level ground.

use design::Code;
use site::works::*;
use site::{Site, WorkKind};

use super::*;

const CODE: Code = Code::WalkOutOfRange;

/// Rises by `rise_m` over its ten metres.
fn path(rise_m: f64) -> Path {
    Path {
        line: straight(&[[-5.0, 0.0], [5.0, 0.0]]),
        level_m: vec![GROUND_M, GROUND_M + rise_m],
        width_m: 1.2,
        cross_fall: 0.0,
        largest_grade: 0.5,
        steps: StepRule { riser_m: 0.15, two_risers_and_tread_m: 0.65 },
        cut_bank: 2.0,
        fill_bank: 2.0,
        stones: None,
        build_up: Default::default(),
        bank_build_up: Default::default(),
    }
}

fn walked(path: Path) -> Site {
    garden(2, vec![WorkKind::Path(path)])
}

/// Nowhere steeper than 1:8.
#[test]
fn a_path_rises_one_in_eight_at_most() {
    check(&walked(path(1.249)), CODE, &[]);
    check(&walked(path(1.26)), CODE, &[(1, 10.0 / 1.26, 8.0)]);
    check_remedy(&walked(path(1.6)), CODE);
}

#[test]
fn a_path_falls_one_in_twenty_across_at_most() {
    let aslant = |cross_fall: f64| walked(Path { cross_fall, ..path(0.0) });
    check(&aslant(0.0499), CODE, &[]);
    check(&aslant(-0.051), CODE, &[(1, 0.051, 0.05)]);
    check_remedy(&aslant(0.07), CODE);
}

/// Steps of `n` risers on a path that is level between them.
fn steps(n: u32, riser_m: f64, tread_m: f64) -> Site {
    let steps = StepRule { riser_m, two_risers_and_tread_m: tread_m + 2.0 * riser_m };
    walked(Path { largest_grade: 0.0, steps, ..path(f64::from(n) * riser_m) })
}

/// Risers of 4 to 7 in, treads of 11 in.
#[test]
fn risers_are_four_to_seven_inches_and_treads_eleven() {
    let inch = 0.0254;
    check(&steps(4, 7.0 * inch, 12.0 * inch), CODE, &[]);
    check(&steps(4, 7.2 * inch, 12.0 * inch), CODE, &[(1, 7.2 * inch, 7.0 * inch)]);
    check(&steps(4, 3.9 * inch, 12.0 * inch), CODE, &[(1, 3.9 * inch, 4.0 * inch)]);
    check(&steps(4, 6.0 * inch, 11.1 * inch), CODE, &[]);
    check(&steps(4, 6.0 * inch, 10.8 * inch), CODE, &[(1, 10.8 * inch, 11.0 * inch)]);
    // Steps are whole: one more takes each below the limit at once.
    let high = steps(5, 7.2 * inch, 12.0 * inch);
    let remedy = design::remedy(&high, &found(&high, CODE)[0]).expect("more steps clear it");
    check(&remedy.site.expect("a site"), CODE, &[]);
    check_remedy(&steps(5, 6.0 * inch, 10.2 * inch), CODE);
}

/// Three or more together.
#[test]
fn one_or_two_steps_are_not_seen() {
    check(&steps(3, 0.15, 0.35), CODE, &[]);
    check(&steps(2, 0.15, 0.35), CODE, &[(1, 2.0, 3.0)]);
    check(&steps(1, 0.15, 0.35), CODE, &[(1, 1.0, 3.0)]);
}

#[test]
fn a_limit_that_is_changed_is_held() {
    let mut site = walked(path(1.1));
    check(&site, CODE, &[]);
    site.limits.path_run_per_rise = 12.0;
    check(&site, CODE, &[(1, 10.0 / 1.1, 12.0)]);
}
