//! Which water a work's is.

use site::{Site, WorkId, WorkKind};

use crate::{Evaluation, WaterBody, WaterKind};

/// A basin joins another, a bay draws from a basin: so many steps at most.
const MOST_STEPS: usize = 20;

/// The still water that a basin or bay holds a part of; none where it holds none.
pub(super) fn body_of<'e>(
    site: &Site,
    evaluation: &'e Evaluation,
    id: WorkId,
) -> Option<&'e WaterBody> {
    let mut id = id;
    for _ in 0..MOST_STEPS {
        let own = |body: &&WaterBody| body.work == id && body.kind == WaterKind::Basin;
        if let Some(body) = evaluation.water.iter().find(own) {
            return Some(body);
        }
        id = match &site.work(id)?.kind {
            WorkKind::Basin(basin) => basin.joins?,
            WorkKind::IntakeBay(bay) => bay.from?,
            _ => return None,
        };
    }
    None
}
