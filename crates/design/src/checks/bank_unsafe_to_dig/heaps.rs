//! Earth heaped too near the edge of a hole.

use site::WorkId;
use site::earth::Stockpile;
use units::length_text;

use super::super::loads::Load;
use super::super::seen::Seen;
use super::super::words::enough_text;
use super::CAUTION;
use crate::built::{Bounds, BuiltCell};
use crate::layers::Layers;
use crate::{Code, Finding, Measured, Remedy, Severity, Unit};

const SOURCE: &str = "29 CFR 1926.651(j)(2): 2 ft from the edge";
/// Less is scraped and no hole, metres below existing ground.
const LEAST_HOLE_M: f64 = 0.3;

pub(super) fn check(seen: &Seen<'_>) -> Vec<Finding> {
    seen.site.stockpiles.iter().filter_map(|heap| of_heap(seen, heap)).collect()
}

/// The hole nearest to a heap: how far, where and whose.
struct Nearest {
    apart_m: f64,
    at: [f64; 2],
    owner: u32,
}

fn of_heap(seen: &Seen<'_>, heap: &Stockpile) -> Option<Finding> {
    let limit_m = seen.site.limits.spoil_setback_m;
    let nearest = nearest_hole(seen, heap, limit_m)?;
    let length = |m: f64| length_text(m, seen.unit);
    let by_m = limit_m - nearest.apart_m;
    Some(Finding {
        code: Code::BankUnsafeToDig,
        severity: Severity::LookAt,
        work: Some(WorkId(nearest.owner)),
        at_m: seen.on_ground(nearest.at),
        measured: Measured { value: nearest.apart_m, limit: limit_m, unit: Unit::Metre },
        message: format!(
            "{} comes within {} of the hole; heaped earth stays {} from its edge.",
            heap.name,
            length(nearest.apart_m),
            length(limit_m)
        ),
        remedy: Some(Remedy {
            message: format!("Draw the heap in by {} there.", enough_text(by_m, seen.unit)),
            site: None,
        }),
        source: SOURCE,
        caution: Some(CAUTION),
    })
}

/// The nearest hole within a distance of a heap.
fn nearest_hole(seen: &Seen<'_>, heap: &Stockpile, within_m: f64) -> Option<Nearest> {
    let (cells, finished) = (seen.cells()?, seen.evaluation.finished.as_deref()?);
    let layers = Layers::of(seen.site);
    let load = Load::heap(heap);
    let dug = |cell: &BuiltCell<'_>| {
        let tag = finished.faces()[cell.to_face as usize].tag;
        let laid_m = layers.on(tag).thickness_m();
        let lowest_m = cell.edges.iter().map(|edge| edge[0][2] - laid_m).fold(0.0, f64::min);
        (lowest_m < -LEAST_HOLE_M).then_some(tag.owner)
    };
    let reach = |&p: &[f64; 2]| [-within_m, within_m].map(|by_m| p.map(|c| c + by_m));
    let around = Bounds::of(heap.outline_m.iter().flat_map(reach));
    let mut nearest: Option<Nearest> = None;
    for cell in cells.meeting(around) {
        let Some(owner) = dug(&cell) else { continue };
        for edge in cell.edges {
            let (apart_m, at) = load.apart_m(edge.map(|[x, y, _]| [x, y]));
            let known_m = nearest.as_ref().map_or(within_m, |known| known.apart_m);
            if apart_m < known_m {
                nearest = Some(Nearest { apart_m, at, owner });
            }
        }
    }
    nearest
}
