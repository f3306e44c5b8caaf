//! A pump of which something is missing, so that nothing of its water can be told.

use site::circulation::{FeedLine, Pipe, Pump, PumpCurve};
use site::{Work, WorkId, WorkKind};
use units::length_text;

use super::COMMON_PRACTICE;
use super::pipe_runs_fast::size_for;
use super::seen::Seen;
use super::watered::{LIVE_CAUTION, at_pump, with_pump};
use crate::running::common_pump;
use crate::{Code, Finding, Measured, PumpOutcome, Remedy, Severity, Unit};

pub(super) fn check(seen: &Seen<'_>) -> Vec<Finding> {
    let pumps = seen.running().pumps.iter().enumerate();
    pumps.filter_map(|(i, pump)| of_pump(seen, i, pump)).collect()
}

fn of_pump(seen: &Seen<'_>, i: usize, pump: &PumpOutcome) -> Option<Finding> {
    let why = pump.duty.as_ref().err()?;
    Some(Finding {
        code: Code::CircuitIncomplete,
        severity: Severity::LookAt,
        work: pump.draws_from,
        at_m: at_pump(seen, i),
        measured: Measured { value: 1.0, limit: 0.0, unit: Unit::Count },
        message: format!("What {} moves cannot be told: {why}.", pump.name),
        remedy: Some(joined(seen, i, pump).unwrap_or_else(|| Remedy {
            // What pump it is only who buys it knows: no number of the plan tells.
            message: "Give it: it stands on the pump's plate or the pipe's print, or is drawn from the \
                      ways on the plan."
                .into(),
            site: None,
        })),
        source: COMMON_PRACTICE,
        caution: Some(LIVE_CAUTION),
    })
}

/// The pump joined to what it may draw from and feed, by pipe in which what it is to move runs no faster
/// than the limit; none where nothing of this is missing, or there is nothing to join it to.
fn joined(seen: &Seen<'_>, i: usize, outcome: &PumpOutcome) -> Option<Remedy> {
    let drawn = seen.site.circulation.pumps.get(i)?;
    let source = drawn.draws_from.or_else(|| source(seen))?;
    let fed = drawn.lines.iter().find_map(|line| line.feeds).or_else(|| fed(seen, source))?;
    let [a, b] = [seen.lowest_place(source)?, seen.lowest_place(fed)?];
    let flow_m3_s = outcome.wanted_m3_s.clone().ok().or_else(|| most_m3_s(drawn))?;
    let inner_m = size_for(flow_m3_s, seen.site.limits.pipe_m_s)?;
    let way_m = libm::hypot(b[0] - a[0], b[1] - a[1]);
    let site = with_pump(seen, i, |pump| {
        pump.draws_from = Some(source);
        if pump.lines.is_empty() {
            pump.lines.push(FeedLine { feeds: None, outlet_m: None, pipe: Pipe::default() });
        }
        pump.lines.iter_mut().for_each(|line| line.feeds = line.feeds.or(Some(fed)));
        let lines = pump.lines.iter_mut().map(|line| &mut line.pipe);
        for pipe in pump.main.iter_mut().chain(lines) {
            pipe.inner_m = pipe.inner_m.or(Some(inner_m));
            if pipe.trench.is_none() {
                pipe.length_m = pipe.length_m.or(Some(way_m));
            }
        }
    })?;
    let name = |id: WorkId| seen.work(id).map_or("", |work| work.name.as_str());
    let message = format!(
        "Until it is known, let it draw from {} and feed {} by pipe of {} inside, {} long the straight way, \
         where that is not given: what the pump's plate, the pipe's print and the ways on the ground say \
         counts.",
        name(source),
        name(fed),
        length_text(inner_m, seen.unit),
        length_text(way_m, seen.unit),
    );
    Some(Remedy { message, site: Some(site) })
}

/// What a pump may draw from: a bay, else a pond.
fn source(seen: &Seen<'_>) -> Option<WorkId> {
    let bay = seen.visible().find(|work| matches!(work.kind, WorkKind::IntakeBay(_)));
    let pond = || seen.visible().find(|work| matches!(work.kind, WorkKind::Basin(_)));
    bay.or_else(pond).map(|work| work.id)
}

/// What a pump may feed: a filter, else a stream that springs from nothing yet.
fn fed(seen: &Seen<'_>, source: WorkId) -> Option<WorkId> {
    let filter = seen.visible().find(|work| matches!(work.kind, WorkKind::FilterBed(_)));
    let springs = |work: &&Work| match &work.kind {
        WorkKind::Stream(stream) => stream.from.is_none(),
        _ => false,
    };
    let found = filter.or_else(|| seen.visible().find(springs))?;
    (found.id != source).then_some(found.id)
}

/// The most that a pump moves, without head, cubic metres a second.
fn most_m3_s(pump: &Pump) -> Option<f64> {
    let most_l_s = match &pump.curve {
        PumpCurve::Common(size) => common_pump(*size).most_l_s,
        PumpCurve::Points(points) => points.iter().map(|p| p.flow_l_s).reduce(f64::max)?,
    };
    Some(f64::from(pump.count) * most_l_s / 1000.0)
}
