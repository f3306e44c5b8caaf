//! Every place measured against a surface.

use ground::predicates::orient;
use ground::{LatticePoint, NONE, Plane, Surface};

use super::spots::Spots;

/// What was measured.
pub(super) struct Proof {
    pub(super) largest_error_m: f64,
    /// The farthest place over each face that is too far, if any.
    pub(super) farthest: Vec<u32>,
}

/// Measures every place against the surface over whose hull it stands, but for those that are kept, told
/// in their order: they are its corners.
///
/// A corner has its own height. What its face's plane says there beside is rounding, which over faces of
/// kilometres that are next to no step wide outgrows any tolerance.
pub(super) fn measured(surface: &Surface, spots: &Spots, kept: &[u32], tolerance_m: f64) -> Proof {
    let mut largest_error_m: f64 = 0.0;
    let mut too_far: Vec<(u32, f64, u32)> = Vec::new();
    let mut under = Under { surface, face: 0, plane: surface.plane(0) };
    let mut corner = kept.iter().copied().peekable();
    for (spot, (&p, &z)) in (0..).zip(spots.at.iter().zip(&spots.z_m)) {
        if corner.next_if_eq(&spot).is_some() {
            continue;
        }
        under.walk(p);
        let error_m = (under.plane.at(p) - z).abs();
        largest_error_m = largest_error_m.max(error_m);
        if error_m > tolerance_m {
            too_far.push((under.face, error_m, spot));
        }
    }
    too_far.sort_by(|a, b| a.0.cmp(&b.0).then(b.1.total_cmp(&a.1)).then(a.2.cmp(&b.2)));
    too_far.dedup_by_key(|(face, ..)| *face);
    Proof { largest_error_m, farthest: too_far.into_iter().map(|(_, _, spot)| spot).collect() }
}

/// The face under a place, found from the face under the place before.
struct Under<'a> {
    surface: &'a Surface,
    face: u32,
    plane: Plane,
}

impl Under<'_> {
    fn walk(&mut self, p: LatticePoint) {
        let from = self.face;
        loop {
            let corners = self.surface.corners(self.face);
            let outside = (0..3).find(|&k| orient(corners[k], corners[(k + 1) % 3], p) < 0);
            match outside.map(|k| self.surface.faces()[self.face as usize].neighbours[k]) {
                Some(NONE) | None => break,
                Some(next) => self.face = next,
            }
        }
        if self.face != from {
            self.plane = self.surface.plane(self.face);
        }
    }
}
