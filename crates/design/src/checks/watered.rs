//! What the checks on running water share: its crests, its words, and remedies to pumps.

use site::circulation::{CommonPump, Pump, PumpCurve};
use site::{Site, WorkKind};

use super::seen::Seen;
use crate::{CrestOutcome, CrestPlace};

/// Beside every pump.
pub(super) const LIVE_CAUTION: &str = "Planning help only. Electricity beside water kills: a licensed \
    electrician wires it, behind a ground-fault or residual-current device, as local codes ask.";

/// Every crest over which water is known to run: of streams, and lips from which no stream runs.
pub(super) fn crests<'s>(seen: &'s Seen<'_>) -> impl Iterator<Item = &'s CrestOutcome> {
    let running = seen.running();
    let streams = running.streams.iter().filter_map(|stream| stream.crests.as_ref().ok());
    let in_streams = streams.flatten();
    let lips = running.filters.iter().filter_map(|filter| filter.lip.as_ref().ok());
    let told = |lip: &&CrestOutcome| {
        let streams = running.streams.iter().filter_map(|stream| stream.crests.as_ref().ok());
        !streams.flatten().any(|crest| crest.crest == lip.crest)
    };
    in_streams.chain(lips.filter(told))
}

/// What people call a crest.
pub(super) fn crest_name(crest: CrestPlace) -> String {
    match crest {
        CrestPlace::Lip(_) => "the filter's lip".into(),
        CrestPlace::Head(_) => "the stream's head".into(),
        CrestPlace::Fall(_, i) => format!("fall {}", i + 1),
    }
}

/// The site with a crest of another width; stones side by side that make it are all wider by one share.
pub(super) fn with_width(seen: &Seen<'_>, crest: CrestPlace, width_m: f64) -> Option<Box<Site>> {
    seen.with(work_of(crest), |kind| match (kind, crest) {
        (WorkKind::FilterBed(bed), _) => bed.lip.width_m = width_m,
        (WorkKind::Stream(stream), CrestPlace::Fall(_, i)) => {
            if let Some(fall) = stream.falls.get_mut(i) {
                let whole_m: f64 = fall.parts.iter().map(|part| part.width_m).sum();
                fall.parts.iter_mut().for_each(|part| part.width_m *= width_m / whole_m);
                fall.crest_width_m = width_m;
            }
        }
        (WorkKind::Stream(stream), CrestPlace::Head(_)) => {
            stream.stations.iter_mut().take(1).for_each(|head| head.bed_width_m = width_m);
        }
        _ => {}
    })
}

/// The work that a crest belongs to.
pub(super) fn work_of(crest: CrestPlace) -> site::WorkId {
    match crest {
        CrestPlace::Lip(id) | CrestPlace::Head(id) | CrestPlace::Fall(id, _) => id,
    }
}

/// The site with a pump changed.
pub(super) fn with_pump(
    seen: &Seen<'_>,
    i: usize,
    change: impl FnOnce(&mut site::circulation::Pump),
) -> Option<Box<Site>> {
    let mut site = seen.site.clone();
    change(site.circulation.pumps.get_mut(i)?);
    (site != *seen.site).then(|| Box::new(site))
}

/// The site with a pump as the one of a number, or as one more.
pub(super) fn with_own(seen: &Seen<'_>, i: usize, pump: Pump) -> Site {
    let mut site = seen.site.clone();
    match site.circulation.pumps.get_mut(i) {
        Some(own) => *own = pump,
        None => site.circulation.pumps.push(pump),
    }
    site
}

/// What a pump would move as the one of a number, or as one more, cubic metres a second.
pub(super) fn moves_m3_s(seen: &Seen<'_>, i: usize, pump: Pump) -> Option<f64> {
    let running = crate::running(&with_own(seen, i, pump), seen.evaluation);
    Some(running.pumps.get(i)?.duty.as_ref().ok()?.flow_m3_s)
}

/// The smallest common pump that moves a flow on a pump's pipes, and what it moves, cubic metres a second.
pub(super) fn chosen(
    seen: &Seen<'_>,
    (i, pump): (usize, &Pump),
    flow_m3_s: f64,
) -> Option<(CommonPump, f64)> {
    let moving = CommonPump::ALL.into_iter().filter_map(|size| {
        let pump = Pump { curve: PumpCurve::Common(size), watts: None, ..pump.clone() };
        Some((size, moves_m3_s(seen, i, pump)?))
    });
    moving.into_iter().find(|(_, moves_m3_s)| *moves_m3_s >= flow_m3_s)
}

/// A place that stands for a pump: where it draws, else what it feeds; the middle of the ground where it
/// is joined to nothing yet.
pub(super) fn at_pump(seen: &Seen<'_>, i: usize) -> [f64; 3] {
    let pump = seen.site.circulation.pumps.get(i);
    let joined = pump.into_iter().flat_map(|pump| {
        pump.draws_from.into_iter().chain(pump.lines.iter().filter_map(|line| line.feeds))
    });
    let place = joined.into_iter().find_map(|id| seen.lowest_place(id));
    seen.on_ground(place.or_else(|| middle(seen)).unwrap_or([f64::NAN; 2]))
}

/// The middle of the box around the ground; none where there is no ground.
fn middle(seen: &Seen<'_>) -> Option<[f64; 2]> {
    let surface = seen.evaluation.finished.as_deref()?;
    let places = || surface.vertices().iter().map(|&vertex| surface.lattice().metres(vertex));
    let least = |k: usize| places().map(|at| at[k]).reduce(f64::min);
    let most = |k: usize| places().map(|at| at[k]).reduce(f64::max);
    Some([0.5 * (least(0)? + most(0)?), 0.5 * (least(1)? + most(1)?)])
}
