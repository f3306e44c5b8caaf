//! One stage after another: each work's band laid on the ground that the works before it left.

use std::sync::Arc;

use ground::overlay::{self, Changed, Domain, Keep, Rooted};
use ground::query::Locator;
use ground::{NONE, Surface};

use crate::OpenEnd;
use crate::part::Part;
use crate::works::{Band, CORE, number};

/// The ground after a work, and how the work's shape met it.
#[derive(Clone, Debug)]
pub(crate) struct Settled {
    pub(crate) after: Arc<Surface>,
    pub(crate) open_ends: Vec<OpenEnd>,
    pub(crate) beyond_m2: f64,
}

/// Parts whose outline must meet the ground; any other part ends in a step because it is drawn so.
const MUST_MEET: [u32; 4] =
    [number(Part::CutBank), number(Part::FillBank), number(Part::Flank), number(Part::Backfill)];

/// Lays a band on the ground: max(lo, min(hi, ground)), where it reaches out from the work's core.
pub(crate) fn settle(before: &Arc<Surface>, band: &Band) -> Settled {
    let mut settled = Settled { after: Arc::clone(before), open_ends: Vec::new(), beyond_m2: 0.0 };
    for (bound, keep) in [(&band.hi, Keep::Lowest), (&band.lo, Keep::Highest)] {
        let Some(bound) = bound else { continue };
        let rooted = Rooted::Parts(&CORE);
        let composed = overlay::compose(&settled.after, bound, keep, Domain::Ground, rooted);
        settled.take(&composed.changed);
        if composed.changed.won_area_m2 > 0.0 {
            settled.after = Arc::new(composed.surface);
        }
        settled.beyond_m2 = settled.beyond_m2.max(composed.changed.beyond_area_m2);
    }
    if let Some(owner) = band.owner() {
        settled.open_ends.extend(cut_off(before, &settled.after, owner));
    }
    settled
}

/// The stretches of the ground's border at which a work's banks are cut off before they meet it.
fn cut_off(before: &Surface, after: &Surface, owner: u32) -> Vec<OpenEnd> {
    let at_border: Vec<_> = (after.faces().iter())
        .filter(|face| face.tag.owner == owner && MUST_MEET.contains(&face.tag.part))
        .flat_map(|face| (0..3).filter(|&k| face.neighbours[k] == NONE).map(move |k| (face, k)))
        .collect();
    if at_border.is_empty() {
        return Vec::new();
    }
    let (lattice, ground) = (after.lattice(), Locator::new(before));
    at_border
        .into_iter()
        .filter_map(|(face, k)| {
            let ends = [k, (k + 1) % 3];
            let ends_m = ends.map(|c| lattice.metres(after.vertices()[face.vertices[c] as usize]));
            let rises = ends.map(|c| {
                let at = lattice.metres(after.vertices()[face.vertices[c] as usize]);
                let ground_m = ground.elevation(at)?;
                Some(after.heights()[face.heights[c] as usize] - ground_m)
            });
            let rise_m = greater(rises[0]?, rises[1]?);
            (rise_m.abs() > LEAST_RISE_M).then_some(OpenEnd { ends_m, rise_m })
        })
        .collect()
}

/// Lower steps than this are none: the survey is no better.
const LEAST_RISE_M: f64 = 1e-3;

/// A bank's end lower than this is trimmed by the shovel: common practice.
const TRIM_M: f64 = 0.10;

fn greater(a: f64, b: f64) -> f64 {
    if a.abs() > b.abs() { a } else { b }
}

impl Settled {
    fn take(&mut self, changed: &Changed) {
        let open = changed.open_ends.iter().filter(|end| {
            MUST_MEET.contains(&end.tag.part)
                && greater(end.rise_m[0], end.rise_m[1]).abs() > TRIM_M
        });
        self.open_ends.extend(open.map(|end| OpenEnd {
            ends_m: [end.from, end.to],
            rise_m: greater(end.rise_m[0], end.rise_m[1]),
        }));
    }
}
