//! The least change within bounds that brings linear goals into their bands.
//!
//! ```text
//!   least  z . z / 2      with  low <= z <= high,  band_low <= c + a . z <= band_high
//! ```
//!
//! For given multipliers of the goals the least change is at hand: z = -sum of multiplier times
//! slopes, held within its bounds. The multipliers are found one after another until all agree, each
//! by bisection, since what a goal comes to falls steadily as its own multiplier grows. A goal that the
//! bounds keep out of reach gives way by a small share of its multiplier, so that there always is an
//! answer, and it is the one that misses least.
//!
//! # Source
//! C. Hildreth, *A quadratic programming procedure*, Naval Research Logistics Quarterly 4 (1957).

/// A goal made linear: `at + slopes . z` is to lie within the band.
#[derive(Clone, Debug)]
pub(super) struct Linear {
    pub(super) at: f64,
    pub(super) slopes: Vec<f64>,
    pub(super) band: [f64; 2],
}

/// How little a goal gives way to its multiplier.
const GIVES_WAY: f64 = 1e-6;
/// Rounds over all goals; they agree much sooner unless two are nearly one.
const MOST_ROUNDS: usize = 400;
/// Multipliers that change by less than this share of themselves agree.
const AGREES: f64 = 1e-12;
/// Halvings that leave nothing of a number.
const HALVINGS: usize = 80;
/// Doublings that take any multiplier in: more is beyond reach.
const DOUBLINGS: usize = 60;

/// The least change within `bounds` for `goals`.
pub(super) fn change(goals: &[Linear], bounds: &[[f64; 2]]) -> Vec<f64> {
    let mut multipliers = vec![0.0; goals.len()];
    for _ in 0..MOST_ROUNDS {
        let mut moved = 0.0_f64;
        for i in 0..goals.len() {
            let old = multipliers[i];
            multipliers[i] = own_multiplier(goals, bounds, &multipliers, i);
            moved = moved.max((multipliers[i] - old).abs() / (1.0 + old.abs()));
        }
        if moved < AGREES {
            break;
        }
    }
    change_for(goals, bounds, &multipliers)
}

fn change_for(goals: &[Linear], bounds: &[[f64; 2]], multipliers: &[f64]) -> Vec<f64> {
    let of = |(k, [low, high]): (usize, &[f64; 2])| {
        let pull: f64 = goals.iter().zip(multipliers).map(|(goal, m)| goal.slopes[k] * m).sum();
        (-pull).clamp(*low, *high)
    };
    bounds.iter().enumerate().map(of).collect()
}

/// The multiplier that brings one goal into its band while the others stay.
fn own_multiplier(goals: &[Linear], bounds: &[[f64; 2]], others: &[f64], i: usize) -> f64 {
    let goal = &goals[i];
    let mut multipliers = others.to_vec();
    // What the goal comes to; it falls as the multiplier grows.
    let mut comes_to = |multiplier: f64| {
        multipliers[i] = multiplier;
        let change = change_for(goals, bounds, &multipliers);
        let sum: f64 = goal.slopes.iter().zip(&change).map(|(a, z)| a * z).sum();
        goal.at + sum - GIVES_WAY * multiplier
    };
    let alone = comes_to(0.0);
    let (target, sign) = match goal.band {
        [_, high] if alone > high => (high, 1.0),
        [low, _] if alone < low => (low, -1.0),
        _ => return 0.0,
    };
    let is_past = |value: f64| (value - target) * sign <= 0.0;
    let steep: f64 = goal.slopes.iter().map(|a| a * a).sum();
    let mut far = (alone - target).abs() / (steep + GIVES_WAY);
    for _ in 0..DOUBLINGS {
        if is_past(comes_to(sign * far)) {
            break;
        }
        far *= 2.0;
    }
    let mut near = 0.0;
    for _ in 0..HALVINGS {
        let middle = 0.5 * (near + far);
        if is_past(comes_to(sign * middle)) { far = middle } else { near = middle }
    }
    sign * far
}

#[cfg(test)]
mod tests {
    use super::*;

    fn check(goals: &[(f64, [f64; 2], [f64; 2])], bounds: [[f64; 2]; 2], expected: [f64; 2]) {
        let linear = |&(at, slopes, band): &(f64, [f64; 2], [f64; 2])| Linear {
            at,
            slopes: slopes.to_vec(),
            band,
        };
        let goals: Vec<Linear> = goals.iter().map(linear).collect();
        let found = change(&goals, &bounds);
        for (z, expected) in found.iter().zip(expected) {
            assert!((z - expected).abs() < 1e-4, "{found:?}, expected {expected}");
        }
    }

    const WIDE: [[f64; 2]; 2] = [[-1.0, 1.0]; 2];

    #[test]
    fn one_goal_is_met_along_its_slopes() {
        // Nearest place of 3 x + 4 y = 2.5 to the origin.
        check(&[(-2.5, [3.0, 4.0], [0.0, 0.0])], WIDE, [0.3, 0.4]);
        // It lies in its band already.
        check(&[(-2.5, [3.0, 4.0], [-3.0, 0.0])], WIDE, [0.0, 0.0]);
    }

    #[test]
    fn a_bound_sends_the_rest_to_the_other_number() {
        check(&[(-2.5, [3.0, 4.0], [0.0, 0.0])], [[-1.0, 1.0], [-1.0, 0.1]], [0.7, 0.1]);
    }

    #[test]
    fn two_goals_are_met_together() {
        // x + y = 0.5, x - y >= 0.3.
        let goals = [(-0.5, [1.0, 1.0], [0.0, 0.0]), (-0.3, [1.0, -1.0], [0.0, f64::INFINITY])];
        check(&goals, WIDE, [0.4, 0.1]);
    }

    #[test]
    fn out_of_reach_it_comes_as_near_as_bounds_allow() {
        check(&[(-9.0, [3.0, 4.0], [0.0, 0.0])], WIDE, [1.0, 1.0]);
        // Nothing moves it: nothing is moved.
        check(&[(-9.0, [0.0, 0.0], [0.0, 0.0])], WIDE, [0.0, 0.0]);
    }
}
