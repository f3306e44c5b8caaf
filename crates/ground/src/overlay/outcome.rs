//! What a composition changed, for those who have to say so.

use super::overlap::NO_EDGE;
use super::winners::{PartCorner, Parts};
use crate::Sum;
use crate::surface::{NONE, Surface, Tag};

/// What a patch changed in the ground.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Changed {
    /// Plan area in square metres where the patch won.
    pub won_area_m2: f64,
    /// Plan area in square metres of the patch's roots that lie beyond the ground.
    pub beyond_area_m2: f64,
    /// Where the patch ends in the air or in the earth instead of meeting the ground.
    pub open_ends: Vec<OpenEnd>,
}

/// A stretch of a patch's outline along which the patch wins, so that the surface steps there.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct OpenEnd {
    /// One end, in local metres.
    pub from: [f64; 2],
    /// The other end.
    pub to: [f64; 2],
    /// How far the patch lies above the ground at both ends, in metres.
    pub rise_m: [f64; 2],
    /// The tag of the patch's face there.
    pub tag: Tag,
}

/// Lower steps than this at the patch's outline are no open ends, in metres.
pub(super) const OPEN_END_M: f64 = 1e-4;
/// A smaller share of the roots than this beyond the ground is rounding.
const BEYOND_SHARE: f64 = 1e-9;

impl Changed {
    pub(crate) fn new(ground: &Surface, patch: &Surface, parts: &Parts) -> Self {
        let step_m = ground.lattice().step_m();
        let won: Sum = parts.parts.iter().filter(|p| p.won).map(|p| p.area).collect();
        let whole: Sum = (0..patch.faces().len() as u32)
            .filter(|&f| parts.roots[f as usize])
            .map(|f| {
                let [a, b, c] = patch.corners(f);
                crate::predicates::orient(a, b, c) as f64 / 2.0
            })
            .collect();
        let beyond = whole.value() - parts.root_area.value();
        let beyond = if beyond > BEYOND_SHARE * whole.value() { beyond } else { 0.0 };
        Self {
            won_area_m2: won.value() * step_m * step_m,
            beyond_area_m2: beyond * step_m * step_m,
            open_ends: open_ends(ground, patch, parts),
        }
    }
}

fn open_ends(ground: &Surface, patch: &Surface, parts: &Parts) -> Vec<OpenEnd> {
    let lattice = ground.lattice();
    let mut ends = Vec::new();
    for part in parts.parts.iter().filter(|part| part.won && part.at_border) {
        let corners = parts.corners(part);
        let face = &patch.faces()[part.patch as usize];
        for (i, corner) in corners.iter().enumerate() {
            let edge = corner.patch_edge;
            if edge == NO_EDGE || face.neighbours[edge as usize] != NONE {
                continue;
            }
            let following = &corners[(i + 1) % corners.len()];
            let rise_m = [corner, following].map(|c| c.patch_m - c.ground_m);
            if rise_m.iter().all(|r| r.abs() <= OPEN_END_M) {
                continue;
            }
            let place = |c: &PartCorner| {
                let at = parts.places.place(c.vertex);
                let [x, y] = lattice.metres(at.nearest);
                [x + at.offset[0] * lattice.step_m(), y + at.offset[1] * lattice.step_m()]
            };
            ends.push(OpenEnd { from: place(corner), to: place(following), rise_m, tag: face.tag });
        }
    }
    ends
}
