//! Elements joined where they share rays, composed where they overlap.

use super::fissures::without_fissures;
use super::panels::Element;
use super::{Sweep, SweepError};
use crate::Surface;
use crate::overlay::{Domain, Rooted, compose};
use crate::patch::weld::weld;

/// The envelope of elements in the order of the walk.
///
/// Divide and conquer, neighbours first: a run of elements that join one another and do not overlap
/// is one surface as it stands; any other is parted in two and the halves composed.
pub(super) fn envelope(sweep: &Sweep, elements: &[Element]) -> Result<Surface, SweepError> {
    let Some(first) = elements.first() else { return Err(SweepError::Empty) };
    if let Some(joined) = joined(sweep, elements) {
        return Ok(joined);
    }
    if elements.len() == 1 {
        let at = sweep.lattice.metres(first.tiles[0].corners[0].0);
        return Err(SweepError::Folds { at });
    }
    let (first, second) = elements.split_at(parting(elements));
    let (first, second) = (envelope(sweep, first)?, envelope(sweep, second)?);
    let composed = compose(&first, &second, sweep.keep, Domain::Union, Rooted::Anywhere);
    Ok(without_fissures(composed.surface))
}

/// The elements as one surface, when they do not overlap.
fn joined(sweep: &Sweep, elements: &[Element]) -> Option<Surface> {
    let mut tiles = Vec::new();
    let mut planes = Vec::new();
    for element in elements {
        let first = planes.len() as u32;
        planes.extend_from_slice(&element.planes);
        tiles.extend(
            element.tiles.iter().map(|t| crate::patch::weld::Tile { plane: t.plane + first, ..*t }),
        );
    }
    let surface = weld(sweep.lattice, &tiles, planes).ok()?;
    // One element is planar pieces between two rays: nothing in it can overlap.
    (elements.len() == 1 || surface.check().is_ok()).then_some(surface)
}

/// Where to part elements: at the break nearest to the middle, else in the middle.
fn parting(elements: &[Element]) -> usize {
    let middle = elements.len() / 2;
    (1..elements.len())
        .filter(|&i| !elements[i].joins_last)
        .min_by_key(|&i| (i.abs_diff(middle), i))
        .unwrap_or(middle)
}
