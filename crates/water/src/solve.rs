//! The one root finder: bracketed, bounded, and the same on every machine.

/// Steps after which only halving goes on; it alone closes any bracket of this crate's numbers.
const QUICK_STEPS: u32 = 60;

/// Steps in all. A bracket that spans the whole of `f64` is halved to neighbours in fewer.
const MOST_STEPS: u32 = 2400;

/// Width of the bracket, as a share of the root, at which the search ends.
const CLOSE_SHARE: f64 = 4.0 * f64::EPSILON;

/// Where `f` crosses zero between `lo` and `hi`.
///
/// `f` is to have different signs at the two ends. Where it has not, the end at which it is nearer to
/// zero is the answer, so that a root which rounding has pushed out of the bracket is still found. A
/// function that returns no number somewhere counts as below zero there.
///
/// # Source
/// T. R. Chandrupatla, "A new hybrid quadratic/bisection algorithm for finding the zero of a
/// nonlinear function without using derivatives", Advances in Engineering Software 28 (1997), from
/// memory.
pub(crate) fn root(lo: f64, hi: f64, f: impl FnMut(f64) -> f64) -> f64 {
    root_within(0.0, lo, hi, f)
}

/// As [`root`], found to a tolerance.
pub(crate) fn root_within(tolerance: f64, lo: f64, hi: f64, mut f: impl FnMut(f64) -> f64) -> f64 {
    let (mut a, mut b) = (lo, hi);
    let (mut fa, mut fb) = (f(a), f(b));
    if fa == 0.0 {
        return a;
    }
    if fb == 0.0 || (fa > 0.0) == (fb > 0.0) {
        return if fb.abs() <= fa.abs() { b } else { a };
    }
    let mut share = 0.5;
    for step in 0..MOST_STEPS {
        let x = a + share * (b - a);
        let fx = f(x);
        // The new point replaces the end of its own sign; `c` is the end that it replaces.
        let (c, fc);
        if (fx > 0.0) == (fa > 0.0) {
            (c, fc) = (a, fa);
        } else {
            (c, fc) = (b, fb);
            (b, fb) = (a, fa);
        }
        (a, fa) = (x, fx);
        let (best, f_best) = if fa.abs() < fb.abs() { (a, fa) } else { (b, fb) };
        let close = CLOSE_SHARE * best.abs() + tolerance.max(f64::MIN_POSITIVE);
        let width = (b - a).abs();
        if f_best == 0.0 || width <= close {
            return best;
        }
        share = if step < QUICK_STEPS {
            let least = (0.5 * close / width).min(0.5);
            quadratic_share([a, b, c], [fa, fb, fc]).clamp(least, 1.0 - least)
        } else {
            0.5
        };
    }
    if fa.abs() < fb.abs() { a } else { b }
}

/// The share of the way from `a` to `b` at which the inverse parabola through three points crosses
/// zero; a half where it cannot be trusted.
fn quadratic_share([a, b, c]: [f64; 3], [fa, fb, fc]: [f64; 3]) -> f64 {
    let xi = (a - b) / (c - b);
    let phi = (fa - fb) / (fc - fb);
    if phi * phi < xi && (1.0 - phi) * (1.0 - phi) < 1.0 - xi {
        let share = (fa / (fb - fa)) * (fc / (fb - fc))
            + ((c - a) / (b - a)) * (fa / (fc - fa)) * (fb / (fc - fb));
        if share.is_finite() { share } else { 0.5 }
    } else {
        0.5
    }
}

/// The first of `start`, `start * factor`, `start * factor^2` ... at which `holds`, within
/// `most` tries.
pub(crate) fn first_that(
    start: f64,
    factor: f64,
    most: u32,
    mut holds: impl FnMut(f64) -> bool,
) -> Option<f64> {
    let mut x = start;
    for _ in 0..most {
        if holds(x) {
            return Some(x);
        }
        x *= factor;
    }
    None
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn roots_of_plain_functions() {
        let mut calls = 0;
        let cube = root(0.0, 10.0, |x| {
            calls += 1;
            x * x * x - 2.0
        });
        assert!((cube - libm::cbrt(2.0)).abs() < 1e-15, "{cube}");
        assert!(calls < 20, "{calls}");
        assert_eq!(root(0.0, 4.0, |x| x - 4.0), 4.0);
        assert_eq!(root(-3.0, 4.0, |x| x + 3.0), -3.0);
        assert!((root(1e-12, 1e12, |x| 1e-6 - x) - 1e-6).abs() < 1e-21);
    }

    #[test]
    fn steps_and_flat_stretches_are_halved() {
        let step = root(0.0, 1.0, |x| if x < 0.3 { -1.0 } else { 1.0 });
        assert!((step - 0.3).abs() < 1e-15, "{step}");
        let flat = root(-1.0, 1.0, |x| x * x * x * x * x * x * x * x * x);
        assert!(flat.abs() < 1e-2, "{flat}");
        let wall = root(0.0, 1e300, |x| if x < 1e-200 { -1e300 } else { 1e-300 });
        assert!((wall / 1e-200 - 1.0).abs() < 1e-12, "{wall}");
    }

    #[test]
    fn without_a_crossing_the_nearer_end_is_the_answer() {
        assert_eq!(root(0.0, 1.0, |x| x + 1.0), 0.0);
        assert_eq!(root(0.0, 1.0, |x| x - 3.0), 1.0);
        assert!(root(0.0, 1.0, |_| f64::NAN).is_finite());
    }
}
