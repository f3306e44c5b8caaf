//! A basin whose water is one with that of an earlier one.

use ground::Lattice;
use ground::curve;
use site::works::Basin;
use units::{LengthUnit, length_text};

use crate::Problem;
use crate::works::outline::crossing_share;
use crate::works::outline_ring;

/// Levels of joined water that differ by more are two levels: a crew sets to a centimetre, common
/// practice.
const ONE_LEVEL_M: f64 = 0.01;

/// Water that stands at another level than that which it joins.
pub(super) fn unlike_levels(basin: &Basin, other: &Basin, unit: LengthUnit) -> Option<Problem> {
    let above_m = basin.water_level_m - other.water_level_m;
    let (way, off_m) = if above_m > 0.0 { ("above", above_m) } else { ("below", -above_m) };
    let [off, closure] = [off_m, ONE_LEVEL_M].map(|m| length_text(m, unit));
    (off_m > ONE_LEVEL_M).then(|| Problem {
        message: format!(
            "its water stands {off} {way} that of the basin that it joins: a fall or a stream between \
             them is needed, or one level within {closure}"
        ),
        at_m: basin.outline.points.first().copied().unwrap_or_default(),
    })
}

/// An outline that lies nowhere over the one that it joins.
pub(super) fn apart(basin: &Basin, joined: &[[f64; 2]], lattice: Lattice) -> Option<Problem> {
    let ring = outline_ring(lattice, &basin.outline)?;
    let over = |a: &[[f64; 2]], b: &[[f64; 2]]| a.iter().any(|&p| curve::contains(b, p));
    let crosses = || {
        let cuts = |pair: [[f64; 2]; 2]| !shares(pair, joined).is_empty();
        (0..ring.len()).any(|i| cuts([ring[i], ring[(i + 1) % ring.len()]]))
    };
    (!over(&ring, joined) && !over(joined, &ring) && !crosses()).then(|| Problem {
        message: "its outline does not overlap that of the basin that it joins".into(),
        at_m: ring[0],
    })
}

/// The stretches of a liner's edge outside an outline: within it the rim is open.
pub(super) fn open(edge: &[[f64; 3]], outline: &[[f64; 2]]) -> Vec<Vec<[f64; 3]>> {
    let mut stretches: Vec<Vec<[f64; 3]>> = vec![Vec::new()];
    for pair in edge.windows(2) {
        let between =
            |share: f64| [0, 1, 2].map(|k| pair[0][k] + share * (pair[1][k] - pair[0][k]));
        let plan = [0, 1].map(|i| [pair[i][0], pair[i][1]]);
        let cuts = [vec![0.0], shares(plan, outline), vec![1.0]].concat();
        for ends in cuts.windows(2) {
            let [x, y, _] = between(0.5 * (ends[0] + ends[1]));
            if curve::contains(outline, [x, y]) {
                stretches.push(Vec::new());
                continue;
            }
            let stretch = stretches.last_mut().expect("one is begun");
            if stretch.is_empty() {
                stretch.push(between(ends[0]));
            }
            stretch.push(between(ends[1]));
        }
    }
    stretches.retain(|stretch| stretch.len() > 1);
    // An edge that is open elsewhere runs on through its first place.
    if stretches.len() > 1 && edge.first() == edge.last() {
        let [first, last] = [&stretches[0], &stretches[stretches.len() - 1]];
        if first.first() == last.last() {
            let mut whole = stretches.pop().expect("there are two");
            whole.extend(stretches.remove(0).into_iter().skip(1));
            stretches.push(whole);
        }
    }
    stretches
}

/// The shares of the way along a segment at which it crosses an outline, rising.
fn shares(leg: [[f64; 2]; 2], outline: &[[f64; 2]]) -> Vec<f64> {
    let n = outline.len();
    let edges = (0..n).map(|i| [outline[i], outline[(i + 1) % n]]);
    let mut shares: Vec<f64> = edges.filter_map(|edge| crossing_share(leg, edge)).collect();
    shares.sort_by(f64::total_cmp);
    shares.dedup();
    shares
}
