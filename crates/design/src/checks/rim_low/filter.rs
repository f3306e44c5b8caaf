//! A filter's edge against the water beside it: what stands in it up to its lip and as deep over the
//! lip as it runs off, and that of a pond that it stands in.

use ground::curve::Closure;
use site::works::FilterBed;
use site::{Work, WorkId, WorkKind};
use units::length_text;

use super::super::line::Line;
use super::super::seen::Seen;
use super::super::words::enough_text;
use super::{Edge, LOOK_EVERY_M, Stretch, filled_again};
use crate::{Finding, Remedy};

pub(super) fn filter_findings(seen: &Seen<'_>, work: &Work, bed: &FilterBed) -> Vec<Finding> {
    let Some(line) = Line::new(&bed.outline, Closure::Closed) else { return Vec::new() };
    let rim_m = bed.lip.elevation_m + bed.freeboard_m;
    let Beside { water_m, need_m } = beside(seen, work.id, bed, &line);
    let need_m = need_m.max(rim_m);
    let edge = Edge::new(seen, work.id, line, &[rim_m], (water_m, need_m));
    // At the lip the edge is meant to be low, and beside it the notch runs up to the rim.
    let at_lip = edge.line.path.nearest(bed.lip.at).station_m;
    let notch_m = 0.5 * bed.lip.width_m + bed.freeboard_m + LOOK_EVERY_M;
    let found = edge.stretches_below(&edge.carried_except(at_lip, notch_m));
    let remedy = remedy(seen, work, bed, (need_m, &found));
    edge.finding(seen, work, found, Some(remedy)).into_iter().collect()
}

/// The water beside a filter's edge, and what the edge needs.
struct Beside {
    water_m: f64,
    need_m: f64,
}

fn beside(seen: &Seen<'_>, id: WorkId, bed: &FilterBed, line: &Line) -> Beside {
    let lip_m = bed.lip.elevation_m;
    let water = |work: &Work| match &work.kind {
        // It stands over the lip by its head, or as deep as it is drawn to run in the stream below.
        WorkKind::Stream(stream) if stream.from == Some(id) => {
            let over_m = head_m(seen, id).unwrap_or(stream.water_depth_m);
            Some((lip_m + over_m, stream.freeboard_m))
        }
        WorkKind::Basin(basin) => {
            let pond = Line::new(&basin.outline, Closure::Closed)?;
            let inside = |&p: &[f64; 2]| ground::curve::contains(pond.path.points(), p);
            let stands_in = line.path.points().iter().any(inside);
            stands_in.then_some((basin.water_level_m, basin.freeboard_m))
        }
        _ => None,
    };
    let start = Beside { water_m: lip_m, need_m: lip_m };
    seen.visible().filter_map(water).fold(start, |beside, (water_m, freeboard_m)| Beside {
        water_m: beside.water_m.max(water_m),
        need_m: beside.need_m.max(water_m + freeboard_m),
    })
}

/// Head of the water that runs over the lip, where that is known.
fn head_m(seen: &Seen<'_>, id: WorkId) -> Option<f64> {
    let filter = seen.running().filters.iter().find(|filter| filter.work == id)?;
    filter.lip.as_ref().ok().map(|lip| lip.head_m)
}

/// Raises the rim, where it is drawn too low.
fn remedy(
    seen: &Seen<'_>,
    work: &Work,
    bed: &FilterBed,
    (need_m, low): (f64, &[Stretch]),
) -> Remedy {
    let freeboard_m = need_m - bed.lip.elevation_m;
    if freeboard_m <= bed.freeboard_m {
        return filled_again(seen, low);
    }
    let message = format!(
        "Raise the filter's rim by {}, to {} above the lip.",
        enough_text(freeboard_m - bed.freeboard_m, seen.unit),
        length_text(freeboard_m, seen.unit),
    );
    let site = seen.with(work.id, |kind| {
        if let WorkKind::FilterBed(bed) = kind {
            bed.freeboard_m = freeboard_m;
        }
    });
    Remedy { message, site }
}
