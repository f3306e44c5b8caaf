//! The line at a distance behind a wall's, on which a tier of it stands.

use ground::curve::{Closure, Path};
use site::works::Side as Retained;

use crate::works::bank::FACET_ANGLE_RAD;

/// Places of a line at which its room is looked for, at most, and their least distance.
const MOST_LOOKS: f64 = 400.0;
const LOOK_EVERY_M: f64 = 0.1;

/// A place this much nearer to the line than its distance belongs to another stretch of it.
const NEARER_SHARE: f64 = 1e-4;

/// A bend that closes by more has no mitre: the edges before and after it end square.
const WIDEST_MITRE_RAD: f64 = 2.0;

/// The top edge of a tier: the line at a distance on the retained side, raised.
///
/// Bends that close meet in their mitre; those that open are facetted, as the faces are.
pub(in crate::works) fn top_edge(
    line: &[([f64; 2], f64)],
    retains: Retained,
    [back_m, rise_m]: [f64; 2],
) -> Vec<([f64; 2], f64)> {
    let places: Vec<[f64; 2]> = line.iter().map(|p| p.0).collect();
    let Ok(path) = Path::new(&places, Closure::Open) else { return Vec::new() };
    let least_m = back_m * (1.0 - NEARER_SHARE);
    let stands = |at: [f64; 2]| path.nearest(at).distance_m >= least_m;
    let mut edge = Vec::with_capacity(line.len());
    for (i, &(at, z)) in line.iter().enumerate() {
        let is_step_ahead = line.get(i + 1).is_some_and(|next| next.0 == at);
        let rays = rays(&places, i, retains);
        // At a step the facets go with what is ahead of it.
        let rays = if is_step_ahead { &rays[..1] } else { &rays[..] };
        let place = |ray: &[f64; 2]| [0, 1].map(|k| at[k] + back_m * ray[k]);
        edge.extend(rays.iter().map(place).filter(|&p| stands(p)).map(|p| (p, z + rise_m)));
    }
    edge
}

/// The distance behind a line at which a tier still runs from one of its ends to the other; none
/// where one at `back_m` does.
pub(in crate::works) fn room_m(places: &[[f64; 2]], retains: Retained, back_m: f64) -> Option<f64> {
    let path = Path::new(places, Closure::Open).ok()?;
    if runs_through(&path, retains, back_m) {
        return None;
    }
    let (mut low, mut high) = (0.0, back_m);
    for _ in 0..24 {
        let middle = 0.5 * (low + high);
        if runs_through(&path, retains, middle) { low = middle } else { high = middle }
    }
    Some(low)
}

/// Whether the places behind both ends are as far from the line as its distance, and what is lost
/// between them at a bend is a corner and no stretch.
fn runs_through(path: &Path, retains: Retained, back_m: f64) -> bool {
    let length_m = path.length_m();
    let n = (length_m / LOOK_EVERY_M).ceil().clamp(8.0, MOST_LOOKS);
    let least_m = back_m * (1.0 - NEARER_SHARE);
    let mut last: Option<([f64; 2], u32)> = None;
    for i in 0..=n as u32 {
        let on = path.at_station(length_m * f64::from(i) / n);
        let way = square(on.tangent, retains);
        let at = [0, 1].map(|k| on.at[k] + back_m * way[k]);
        if path.nearest(at).distance_m < least_m {
            if i == 0 || f64::from(i) == n {
                return false;
            }
            continue;
        }
        if let Some((before, k)) = last.filter(|(_, k)| k + 1 < i) {
            let gap_m = libm::hypot(at[0] - before[0], at[1] - before[1]);
            // Nothing but the two looks at its ends tells a corner's place.
            if gap_m > 3.0 * length_m / n && k + 1 < i {
                return false;
            }
        }
        last = Some((at, i));
    }
    true
}

/// The direction square to a tangent, to the retained side.
fn square([x, y]: [f64; 2], retains: Retained) -> [f64; 2] {
    match retains {
        Retained::Left => [-y, x],
        Retained::Right => [y, -x],
    }
}

/// Where a tier's edge lies beside one place of its line, for each metre of distance.
fn rays(places: &[[f64; 2]], i: usize, retains: Retained) -> Vec<[f64; 2]> {
    let way = |a: [f64; 2], b: [f64; 2]| {
        let d = [b[0] - a[0], b[1] - a[1]];
        let length_m = libm::hypot(d[0], d[1]);
        (length_m > 0.0).then(|| square(d.map(|c| c / length_m), retains))
    };
    let before = places[..i].iter().rev().find_map(|&p| way(p, places[i]));
    let after = places[i + 1..].iter().find_map(|&p| way(places[i], p));
    let (Some(from), Some(to)) = (before, after) else {
        return before.or(after).into_iter().collect();
    };
    let left = libm::atan2(from[0] * to[1] - from[1] * to[0], from[0] * to[0] + from[1] * to[1]);
    let opens = match retains {
        Retained::Left => -left,
        Retained::Right => left,
    };
    if opens < -WIDEST_MITRE_RAD {
        return vec![from, to];
    }
    // The panels beside the bend are facets too, by half.
    let n = (opens / FACET_ANGLE_RAD - 1.0).ceil().max(0.0);
    let step = left / (n + 1.0);
    let stretch = 1.0 / libm::cos(0.5 * step);
    let ray = |k: u32| {
        let (sin, cos) = libm::sincos(step * (f64::from(k) + 0.5));
        [from[0] * cos - from[1] * sin, from[0] * sin + from[1] * cos].map(|c| c * stretch)
    };
    (0..=n as u32).map(ray).collect()
}
