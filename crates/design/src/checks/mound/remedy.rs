//! The shoulder to extend so that a hill no longer reads as a mound.

use site::works::Hill;
use site::{Site, WorkId, WorkKind};

use super::super::words::compass;

/// Longest extension that is tried, metres.
const LONGEST_M: f64 = 12.0;
/// Extensions are found to this much, metres: what a crew sets out to.
const FINENESS_M: f64 = 0.01;

/// An extended shoulder.
pub(in crate::checks) struct Shoulder {
    /// Where it lies: "north".
    pub(in crate::checks) end: &'static str,
    /// By how much its crest is extended.
    pub(in crate::checks) by_m: f64,
    /// The site with it.
    pub(in crate::checks) site: Site,
}

/// The least extension of one end of a hill's crest for which `clears` holds, end by end.
///
/// `clears` is asked again for nine tenths of each answer, so that no lesser one would do.
pub(in crate::checks) fn shoulders(
    site: &Site,
    work: WorkId,
    mut clears: impl FnMut(&Site) -> bool,
) -> Vec<Shoulder> {
    let mut found = Vec::new();
    for end in ends(site, work) {
        let mut clears_at =
            |by_m: f64| extended(site, work, &end, by_m).is_some_and(|site| clears(&site));
        let Some(mut by_m) = coarse(&mut clears_at) else { continue };
        by_m = fine(&mut clears_at, by_m);
        while clears_at(0.9 * by_m) && by_m > FINENESS_M {
            by_m = fine(&mut clears_at, 0.9 * by_m);
        }
        if let Some(site) = extended(site, work, &end, by_m) {
            found.push(Shoulder { end: end.name, by_m, site });
        }
    }
    found
}

/// The first of a few growing extensions that is enough.
fn coarse(clears_at: &mut impl FnMut(f64) -> bool) -> Option<f64> {
    let tries = [0.5, 1.0, 2.0, 3.0, 4.5, 6.0, 9.0, LONGEST_M];
    tries.into_iter().find(|&by_m| clears_at(by_m))
}

/// The least extension up to one that is enough.
fn fine(clears_at: &mut impl FnMut(f64) -> bool, enough_m: f64) -> f64 {
    let (mut low, mut high) = (0.0, enough_m);
    while high - low > FINENESS_M {
        let middle = 0.5 * (low + high);
        if clears_at(middle) { high = middle } else { low = middle }
    }
    high
}

/// One end of a crest, and the way out from it.
struct End {
    at_start: bool,
    outward: [f64; 2],
    name: &'static str,
}

fn ends(site: &Site, work: WorkId) -> Vec<End> {
    let Some(WorkKind::Hill(hill)) = site.work(work).map(|work| &work.kind) else {
        return Vec::new();
    };
    let end = |at_start: bool, from: [f64; 2], to: [f64; 2]| {
        let (dx, dy) = (to[0] - from[0], to[1] - from[1]);
        let length = libm::hypot(dx, dy);
        End { at_start, outward: [dx / length, dy / length], name: compass(from, to) }
    };
    match hill.crest.points[..] {
        // A round hill has no shoulders: it can grow any way, and is tried along both axes.
        [[x, y]] => [[1.0, 0.0], [-1.0, 0.0], [0.0, 1.0], [0.0, -1.0]]
            .map(|[dx, dy]| end(false, [x, y], [x + dx, y + dy]))
            .into(),
        [first, second, ..] => {
            let n = hill.crest.points.len();
            let [before, last] = [hill.crest.points[n - 2], hill.crest.points[n - 1]];
            vec![end(true, second, first), end(false, before, last)]
        }
        [] => Vec::new(),
    }
}

/// The site with one end of the crest moved out, or a round hill drawn out to a ridge.
fn extended(site: &Site, work: WorkId, end: &End, by_m: f64) -> Option<Site> {
    let mut site = site.clone();
    let work = site.works.iter_mut().find(|other| other.id == work)?;
    let WorkKind::Hill(hill) = &mut work.kind else { return None };
    let index = if end.at_start { 0 } else { hill.crest.points.len().checked_sub(1)? };
    let [x, y] = hill.crest.points[index];
    let moved = [x + by_m * end.outward[0], y + by_m * end.outward[1]];
    if hill.crest.points.len() == 1 {
        drawn_out(hill, moved);
    } else {
        hill.crest.points[index] = moved;
    }
    Some(site)
}

fn drawn_out(hill: &mut Hill, to: [f64; 2]) {
    hill.crest.points.push(to);
}
