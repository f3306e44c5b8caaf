//! One stage after another: each work's band laid on the ground that the works before it left.

use std::sync::Arc;

use ground::Surface;
use ground::overlay::{self, Changed, Domain, Keep, Rooted};

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
    }
    settled
}

impl Settled {
    fn take(&mut self, changed: &Changed) {
        self.beyond_m2 = self.beyond_m2.max(changed.beyond_area_m2);
        let open = changed.open_ends.iter().filter(|end| MUST_MEET.contains(&end.tag.part));
        self.open_ends.extend(open.map(|end| OpenEnd {
            ends_m: [end.from, end.to],
            rise_m: if end.rise_m[0].abs() > end.rise_m[1].abs() {
                end.rise_m[0]
            } else {
                end.rise_m[1]
            },
        }));
    }
}
