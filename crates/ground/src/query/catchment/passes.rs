//! Saddles between catchments, and what runs over them.
//!
//! Where two catchments meet, their divide is lowest at a place where it crosses an edge: within a face
//! it falls with the face, down to the edge over which the water leaves.

use super::Catchments;
use super::spread::{OFF, Spread};
use crate::NONE;
use crate::query::side::{edge_towards, next};

/// A place on the divide between two catchments.
#[derive(Clone, Copy, Debug)]
struct Pass {
    z: f64,
    ends: [usize; 2],
}

pub(super) fn passed_on(found: &Catchments<'_>, depth_m: f64) -> Vec<usize> {
    let n = found.ends.len();
    let mut to: Vec<usize> = (0..n).collect();
    // How low each hollow is; what leads out, and what holds water for good, is lower than any.
    let mut floor_m: Vec<f64> = (0..n).map(|end| floor_m(found, end)).collect();
    for pass in passes(found) {
        let [a, b] = pass.ends.map(|end| root(&mut to, end));
        if a == b || (floor_m[a] == f64::NEG_INFINITY && floor_m[b] == f64::NEG_INFINITY) {
            continue;
        }
        let (over, into) = if floor_m[a] > floor_m[b] { (a, b) } else { (b, a) };
        if pass.z - floor_m[over] <= depth_m {
            to[over] = into;
        } else {
            // Both are too deep to run over here, so neither runs over anywhere.
            floor_m[over] = f64::NEG_INFINITY;
            floor_m[into] = f64::NEG_INFINITY;
        }
    }
    (0..n).map(|end| root(&mut to, end)).collect()
}

fn root(to: &mut [usize], end: usize) -> usize {
    let mut end = end;
    while to[end] != end {
        to[end] = to[to[end]];
        end = to[end];
    }
    end
}

/// The height of an end's floor; what leads out is lower than any.
fn floor_m(found: &Catchments<'_>, end: usize) -> f64 {
    let spread = &found.spread;
    let first = found.ends.len() - spread.ends.len();
    let fan = end.checked_sub(first).map(|nth| spread.ends[nth]);
    fan.map_or(f64::NEG_INFINITY, |fan| spread.fans.low_m(fan))
}

/// All saddles, the lowest first.
fn passes(found: &Catchments<'_>) -> Vec<Pass> {
    let spread = &found.spread;
    let mut passes = Vec::new();
    let mut note = |z: f64, a: u32, b: u32| {
        let ends = [found.index(a), found.index(b)];
        if ends[0] != ends[1] && z.is_finite() {
            passes.push(Pass { z, ends: [ends[0].min(ends[1]), ends[0].max(ends[1])] });
        }
    };
    let whole: Vec<Option<u32>> =
        (0..spread.facets.len() as u32).map(|f| whole(spread, f)).collect();
    let mut shares = Vec::new();
    for f in 0..spread.facets.len() as u32 {
        if whole[f as usize].is_none() {
            within(spread, f, &mut note);
        }
        let face = &spread.surface.faces()[f as usize];
        for k in 0..3 {
            let other = face.neighbours[k];
            let beyond = if other == NONE { Some(OFF) } else { whole[other as usize] };
            let parts = beyond.is_none() || whole[f as usize] != beyond;
            if parts && (other == NONE || f < other) {
                over(spread, Edge { f, k, other }, &mut shares, &mut note);
            }
        }
    }
    passes.sort_by(|a, b| a.z.total_cmp(&b.z).then(a.ends.cmp(&b.ends)));
    passes.dedup_by(|a, b| a.ends == b.ends && a.z == b.z);
    passes
}

/// Divides within a face.
fn within(spread: &Spread<'_>, f: u32, note: &mut impl FnMut(f64, u32, u32)) {
    let (pieces, facet) = (spread.pieces(f), &spread.facets[f as usize]);
    let z = spread.surface.corner_heights(f);
    for (i, pair) in pieces.windows(2).enumerate() {
        if facet.is_still() {
            note(z[i].max(z[i + 1]), pair[0].1, pair[1].1);
            continue;
        }
        let t = pair[0].0;
        let out = facet.outs().find(|&k| t <= facet.t[next(k)]);
        if let Some(k) = out {
            let s = facet.share_on(k, t).clamp(0.0, 1.0);
            note(z[k] + s * (z[next(k)] - z[k]), pair[0].1, pair[1].1);
        }
    }
    if facet.is_still() && pieces.len() == 3 {
        note(z[2].max(z[0]), pieces[2].1, pieces[0].1);
    }
}

/// The end of all water of a face; none where it ends apart.
fn whole(spread: &Spread<'_>, f: u32) -> Option<u32> {
    let pieces = spread.pieces(f);
    pieces.first().filter(|first| pieces.iter().all(|p| p.1 == first.1)).map(|first| first.1)
}

/// An edge of a face with the face across, or [`NONE`].
#[derive(Clone, Copy)]
struct Edge {
    f: u32,
    k: usize,
    other: u32,
}

/// The lowest place on an edge at which the water on its two sides ends apart; on the border, off it.
fn over(
    spread: &Spread<'_>,
    Edge { f, k, other }: Edge,
    shares: &mut Vec<f64>,
    note: &mut impl FnMut(f64, u32, u32),
) {
    let face = &spread.surface.faces()[f as usize];
    let z = spread.surface.corner_heights(f);
    let here = [z[k], z[next(k)]];
    let j = (other != NONE).then(|| edge_towards(spread.surface, other, f, face.vertices[k]));
    let there = j.map_or(here, |j| {
        let z = spread.surface.corner_heights(other);
        [z[next(j)], z[j]]
    });
    shares.clear();
    shares.extend([0.0, 1.0]);
    breaks(spread, f, k, |s| shares.push(s));
    if let Some(j) = j {
        // The other face runs the edge the other way.
        breaks(spread, other, j, |s| shares.push(1.0 - s));
    }
    let turn = (here[0] - there[0]) / ((here[0] - there[0]) - (here[1] - there[1]));
    shares.extend((turn > 0.0 && turn < 1.0).then_some(turn));
    shares.sort_by(f64::total_cmp);
    let at = |ends: [f64; 2], s: f64| ends[0] + s * (ends[1] - ends[0]);
    for pair in shares.windows(2).filter(|pair| pair[1] > pair[0]) {
        let middle = 0.5 * (pair[0] + pair[1]);
        let a = end_on(spread, f, k, middle);
        let b = j.map_or(OFF, |j| end_on(spread, other, j, 1.0 - middle));
        if a != b {
            let height = |s: f64| at(here, s).max(at(there, s));
            note(height(pair[0]).min(height(pair[1])), a, b);
        }
    }
}

/// Tells where the ends change along an edge, as shares of its length.
fn breaks(spread: &Spread<'_>, f: u32, k: usize, mut tell: impl FnMut(f64)) {
    let facet = &spread.facets[f as usize];
    if facet.is_still() {
        return tell(0.5);
    }
    let shares = spread.pieces(f).iter().map(|piece| facet.share_on(k, piece.0));
    shares.filter(|&s| s > 0.0 && s < 1.0).for_each(tell);
}

/// The end of the water of a face beside its edge.
fn end_on(spread: &Spread<'_>, f: u32, k: usize, s: f64) -> u32 {
    let facet = &spread.facets[f as usize];
    if facet.is_still() {
        let corner = if s < 0.5 { k } else { next(k) };
        return spread.pieces(f).get(corner).map_or(OFF, |piece| piece.1);
    }
    spread.end_at(f, facet.t[k] + s * (facet.t[next(k)] - facet.t[k]))
}
