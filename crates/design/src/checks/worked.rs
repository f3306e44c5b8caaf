//! What of the ground that works dig or raise lies in a zone.
//!
//! Trenches, which are filled again and change no finished ground, are pieces too: as long as they are
//! open, they are as deep as they are.

use site::WorkKind;

use super::near::{Grouped, Near};
use super::seen::Seen;
use crate::built::Bounds;
use crate::layers::Layers;
use crate::stretch::{cross, to_stretch_m};
use crate::trench;

/// Half the side of the box in which the ground under a trench is looked for, metres.
const UNDER_M: f64 = 0.01;

/// A corner of worked ground: east, north, how far it is dug at most while the work is built (below
/// zero) and how far it is raised when all is built, against existing ground; metres.
type Corner = [f64; 4];

/// A straight stretch of an open trench.
pub(super) struct OpenTrench {
    owner: u32,
    /// Its corners counter-clockwise.
    corners: [Corner; 4],
}

/// What of a piece lies in a zone.
pub(super) struct Part {
    pub(super) owner: u32,
    pub(super) area_m2: f64,
    /// Where it is dug deepest, and how deep: zero where it is not dug.
    pub(super) deepest: ([f64; 2], f64),
    /// How far it is raised at most, metres.
    pub(super) raised_m: f64,
    corners: Vec<Corner>,
}

/// What of the worked ground lies in a convex zone, its corners counter-clockwise.
pub(super) fn within(seen: &Seen<'_>, zone: &[[f64; 2]]) -> Vec<Part> {
    let bounds = Bounds::of(zone.iter().copied());
    let mut parts = Vec::new();
    if let (Some(cells), Some(finished)) = (seen.cells(), seen.evaluation.finished.as_deref()) {
        let layers = Layers::of(seen.site);
        for cell in cells.meeting(bounds) {
            let tag = finished.faces()[cell.to_face as usize].tag;
            let laid_m = layers.on(tag).thickness_m();
            // All that is worked is stripped of its topsoil first.
            let dug =
                |[x, y, rise_m]: [f64; 3]| [x, y, (rise_m - laid_m).min(-layers.strip_m), rise_m];
            let corners = ring(cell.edges.iter().map(|edge| dug(edge[0])).collect());
            parts.extend(Part::of(tag.owner, &corners, zone));
        }
    }
    for hole in seen.trenches() {
        parts.extend(Part::of(hole.owner, &hole.corners, zone));
    }
    parts
}

impl Part {
    /// What of a convex piece of a work lies in a zone, where any does.
    fn of(owner: u32, piece: &[Corner], zone: &[[f64; 2]]) -> Option<Self> {
        let corners = clipped(piece, zone);
        let area_m2 = area_m2(&corners);
        let deepest = corners.iter().min_by(|a, b| a[2].total_cmp(&b[2]))?;
        let deepest = ([deepest[0], deepest[1]], (-deepest[2]).max(0.0));
        let raised_m = corners.iter().map(|c| c[3]).fold(0.0, f64::max);
        (area_m2 > 0.0).then_some(Self { owner, area_m2, deepest, raised_m, corners })
    }

    /// Distance of the nearest place of the part from a stretch on plan, metres.
    pub(super) fn apart_m(&self, [a, b]: [[f64; 2]; 2]) -> f64 {
        let n = self.corners.len();
        let corner = |i: usize| [self.corners[i % n][0], self.corners[i % n][1]];
        let sides = || (0..n).map(|i| [corner(i), corner(i + 1)]);
        if sides().any(|[c, d]| cross([a, b], [c, d])) {
            return 0.0;
        }
        let to_corners = (0..n).map(|i| to_stretch_m(corner(i), [a, b]));
        let to_ends = sides().flat_map(|side| [a, b].map(|end| to_stretch_m(end, side)));
        to_corners.chain(to_ends).fold(f64::INFINITY, f64::min)
    }

    /// A place amid it.
    pub(super) fn middle(&self) -> [f64; 2] {
        let n = self.corners.len().max(1) as f64;
        [0, 1].map(|k| self.corners.iter().map(|c| c[k]).sum::<f64>() / n)
    }
}

/// The rectangle within `aside_m` on either side of a stretch, and as far beyond its ends.
pub(super) fn strip([a, b]: [[f64; 2]; 2], aside_m: f64) -> Option<[[f64; 2]; 4]> {
    let run_m = libm::hypot(b[0] - a[0], b[1] - a[1]);
    let [ux, uy] = (run_m > 0.0).then(|| [(b[0] - a[0]) / run_m, (b[1] - a[1]) / run_m])?;
    let corner = |p: [f64; 2], ahead: f64, left: f64| {
        [p[0] + aside_m * (ahead * ux - left * uy), p[1] + aside_m * (ahead * uy + left * ux)]
    };
    Some([corner(a, -1.0, -1.0), corner(b, 1.0, -1.0), corner(b, 1.0, 1.0), corner(a, -1.0, 1.0)])
}

/// Open trenches, a rectangle for each straight stretch of their bottoms.
pub(super) fn trenches(seen: &Seen<'_>) -> Vec<OpenTrench> {
    let Some(existing) = seen.evaluation.existing.as_deref() else { return Vec::new() };
    let mut pieces = Vec::new();
    for work in seen.visible() {
        let WorkKind::Trench(trench) = &work.kind else { continue };
        let Ok(bottom) = trench::bottom_line(trench) else { continue };
        let places: Vec<[f64; 2]> = bottom.iter().map(|place| place.0).collect();
        let near = Near::new(&Grouped::new(existing), &places, UNDER_M);
        let dug = |(at, bottom_m): ([f64; 2], f64)| Some((bottom_m - near.face_at(at)?.1).min(0.0));
        for pair in bottom.windows(2) {
            let (Some(from_m), Some(to_m)) = (dug(pair[0]), dug(pair[1])) else { continue };
            let Some([a, b, c, d]) = strip([pair[0].0, pair[1].0], 0.5 * trench.width_m) else {
                continue;
            };
            let corner = |p: [f64; 2], dug_m: f64| [p[0], p[1], dug_m, 0.0];
            let corners = [corner(a, from_m), corner(b, to_m), corner(c, to_m), corner(d, from_m)];
            pieces.push(OpenTrench { owner: work.id.0, corners });
        }
    }
    pieces
}

/// The corners of a convex piece in order around its middle.
fn ring(mut corners: Vec<Corner>) -> Vec<Corner> {
    let n = corners.len().max(1) as f64;
    let middle = [0, 1].map(|k| corners.iter().map(|c| c[k]).sum::<f64>() / n);
    let bearing = |c: &Corner| libm::atan2(c[1] - middle[1], c[0] - middle[0]);
    corners.sort_by(|a, b| bearing(a).total_cmp(&bearing(b)));
    corners
}

/// The part of a convex ring on the left of every side of a convex zone.
///
/// # Source
/// I. Sutherland, G. Hodgman, "Reentrant polygon clipping", Communications of the ACM 17 (1974).
fn clipped(ring: &[Corner], zone: &[[f64; 2]]) -> Vec<Corner> {
    let mut ring = ring.to_vec();
    for (i, &a) in zone.iter().enumerate() {
        let b = zone[(i + 1) % zone.len()];
        let left = |p: &Corner| (b[0] - a[0]) * (p[1] - a[1]) - (b[1] - a[1]) * (p[0] - a[0]);
        let mut kept = Vec::with_capacity(ring.len() + 1);
        for (j, p) in ring.iter().enumerate() {
            let q = &ring[(j + 1) % ring.len()];
            let (at_p, at_q) = (left(p), left(q));
            if at_p >= 0.0 {
                kept.push(*p);
            }
            if (at_p > 0.0 && at_q < 0.0) || (at_p < 0.0 && at_q > 0.0) {
                let share = at_p / (at_p - at_q);
                kept.push([0, 1, 2, 3].map(|k| p[k] + share * (q[k] - p[k])));
            }
        }
        ring = kept;
    }
    ring
}

fn area_m2(ring: &[Corner]) -> f64 {
    let Some(&[ox, oy, ..]) = ring.first() else { return 0.0 };
    let twice = |p: &[Corner]| (p[0][0] - ox) * (p[1][1] - oy) - (p[0][1] - oy) * (p[1][0] - ox);
    0.5 * ring.windows(2).map(twice).sum::<f64>()
}
