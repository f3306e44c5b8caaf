//! A pump of which something is missing, or a stream that no pump feeds, so that nothing of its water can be
//! told.

use site::circulation::{FeedLine, Pipe, Pump, PumpCurve};
use site::works::Stream;
use site::{Work, WorkId, WorkKind};
use units::{flow_text, length_text, velocity_text};
use water::diameter_for_velocity_m;

use super::COMMON_PRACTICE;
use super::pipe_runs_fast::size_for;
use super::seen::Seen;
use super::watered::{LIVE_CAUTION, at_pump, chosen, with_own};
use crate::running::{common_pump, wanted_m3_s};
use crate::{Code, Finding, Measured, PumpOutcome, Remedy, Severity, Unit};

/// A pump for which no thickness of water is wanted turns its pond over in this time, hours: common
/// practice (E-06).
const TURNOVER_H: f64 = 2.0;

const NO_PUMP: &str = "No pump feeds it: what runs in it cannot be told.";

pub(super) fn check(seen: &Seen<'_>) -> Vec<Finding> {
    let pumps = seen.running().pumps.iter().enumerate();
    let pumps = pumps.filter_map(|(i, pump)| of_pump(seen, i, pump));
    pumps.chain(seen.visible().filter_map(|work| of_stream(seen, work))).collect()
}

/// A stream into which no pump's line leads, straight or through what it runs from.
fn of_stream(seen: &Seen<'_>, work: &Work) -> Option<Finding> {
    let WorkKind::Stream(stream) = &work.kind else { return None };
    let head = Some(work.id);
    let is_above = |fed: Option<WorkId>| fed.is_some() && (fed == head || fed == stream.from);
    let lines = seen.site.circulation.pumps.iter().flat_map(|pump| &pump.lines);
    let from_stream = seen.visible().any(|other| match &other.kind {
        WorkKind::Stream(other) => is_above(other.into),
        _ => false,
    });
    if from_stream || lines.map(|line| line.feeds).any(is_above) {
        return None;
    }
    // A pump whose line leads nowhere yet is told by itself.
    let open = |pump: &Pump| pump.lines.iter().all(|line| line.feeds.is_none());
    if seen.site.circulation.pumps.iter().any(open) {
        return None;
    }
    let place = stream.line.points.first().copied().unwrap_or([f64::NAN; 2]);
    Some(Finding {
        code: Code::CircuitIncomplete,
        severity: Severity::LookAt,
        work: Some(work.id),
        at_m: seen.on_ground(place),
        measured: Measured { value: 1.0, limit: 0.0, unit: Unit::Count },
        message: NO_PUMP.into(),
        remedy: Some(Remedy {
            message: "Draw the pond that it runs into and plan a pump there: its size and its pipe's are \
                      reckoned from what it is to move."
                .into(),
            site: None,
        }),
        source: COMMON_PRACTICE,
        caution: Some(LIVE_CAUTION),
    })
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
        remedy: Some(Remedy {
            // Where nothing is drawn that it could draw from or feed, no number of the plan says what it
            // is to do.
            message:
                "Give it, or draw what the pump is to draw from and to feed: then its size and its \
                      pipe are reckoned."
                    .into(),
            site: None,
        }),
        source: COMMON_PRACTICE,
        caution: Some(LIVE_CAUTION),
    })
}

/// What a finding lacks, given: the drawn pump with all that is missing, or a new one for the stream. This
/// tries pumps, so it is for when it is asked for.
pub(super) fn mended(seen: &Seen<'_>, finding: &Finding) -> Option<Remedy> {
    if finding.message == NO_PUMP {
        let id = finding.work?;
        let WorkKind::Stream(stream) = &seen.work(id)?.kind else { return None };
        let pump = new_pump(seen, id, stream);
        let wanted = wanted_m3_s(seen.site, &pump).ok();
        return completed(seen, (seen.site.circulation.pumps.len(), &pump), wanted);
    }
    let pumps = seen.running().pumps.iter().enumerate();
    let is_it = |(i, pump): &(usize, &PumpOutcome)| {
        of_pump(seen, *i, pump).is_some_and(|of| of.message == finding.message)
    };
    let (i, outcome) = pumps.into_iter().find(is_it)?;
    let drawn = seen.site.circulation.pumps.get(i)?;
    completed(seen, (i, drawn), outcome.wanted_m3_s.clone().ok())
}

/// A pump for a stream: into what it runs from, or into its head, out of what it runs into.
fn new_pump(seen: &Seen<'_>, id: WorkId, stream: &Stream) -> Pump {
    let above = stream.from.filter(|from| seen.visible().any(|work| work.id == *from));
    let line = FeedLine { feeds: above.or(Some(id)), outlet_m: None, pipe: Pipe::default() };
    Pump {
        name: format!("Pump of {}", seen.work(id).map_or("the stream", |work| work.name.as_str())),
        curve: PumpCurve::Points(Vec::new()),
        lines: vec![line],
        draws_from: stream.into,
        ..Pump::default()
    }
}

/// A pump with all that it lacks; none where nothing of this is missing, or there is nothing to join it
/// to. `wanted_m3_s` is what the crests ask of it.
fn completed(
    seen: &Seen<'_>,
    (i, drawn): (usize, &Pump),
    wanted_m3_s: Option<f64>,
) -> Option<Remedy> {
    let source = drawn.draws_from.or_else(|| source(seen))?;
    let fed = drawn.lines.iter().find_map(|line| line.feeds).or_else(|| fed(seen, source))?;
    let wanted = wanted(seen, drawn, (wanted_m3_s, source));
    let flow_m3_s = wanted.as_ref().map(|wanted| wanted.0).or_else(|| most_m3_s(drawn))?;
    let joined = joined(seen, drawn, ([source, fed], flow_m3_s))?;
    let mut told = Vec::new();
    if joined.pump != *drawn {
        told.push(joined.told);
    }
    let mut pump = joined.pump;
    if !has_curve(&pump) {
        let (flow_m3_s, why) = wanted?;
        let (size, moves_m3_s) = chosen(seen, (i, &pump), flow_m3_s)?;
        let common = common_pump(size);
        (pump.curve, pump.watts) = (PumpCurve::Common(size), None);
        told.push(format!(
            "Take a pump of {} without head that reaches {}: on its pipes it moves {}; {why} takes {}.",
            flow_text(common.most_l_s / 1000.0, seen.unit),
            length_text(common.shut_off_m, seen.unit),
            flow_text(moves_m3_s, seen.unit),
            flow_text(flow_m3_s, seen.unit),
        ));
    }
    let site = with_own(seen, i, pump);
    (site != *seen.site).then(|| Remedy { message: told.join(" "), site: Some(Box::new(site)) })
}

/// What a pump is to move, cubic metres a second, and why.
fn wanted(
    seen: &Seen<'_>,
    pump: &Pump,
    (wanted_m3_s, source): (Option<f64>, WorkId),
) -> Option<(f64, &'static str)> {
    if let Some(wanted_m3_s) = wanted_m3_s {
        return Some((wanted_m3_s, "the water wanted over the crests"));
    }
    if has_curve(pump) {
        return None;
    }
    let holder = match &seen.work(source)?.kind {
        WorkKind::IntakeBay(bay) => bay.from.unwrap_or(source),
        _ => source,
    };
    let body = seen.evaluation.water.iter().find(|body| body.work == holder)?;
    let flow_m3_s = body.volume_m3 / (3600.0 * TURNOVER_H);
    (flow_m3_s > 0.0).then_some((flow_m3_s, "to turn the pond over in 2 hours"))
}

/// A pump that is joined to what it draws from and feeds.
struct Joined {
    pump: Pump,
    told: String,
}

/// The pump joined, where it isn't, by pipe laid straight in which the flow runs no faster than the limit.
fn joined(
    seen: &Seen<'_>,
    drawn: &Pump,
    ([source, fed], flow_m3_s): ([WorkId; 2], f64),
) -> Option<Joined> {
    let [a, b] = [source, fed].map(|id| seen.lowest_place(id).map(|at| seen.on_ground(at)));
    let ([ax, ay, az], [bx, by, bz]) = (a?, b?);
    let inner_m = size_for(flow_m3_s, seen.site.limits.pipe_m_s)?;
    let way_m = libm::hypot(libm::hypot(bx - ax, by - ay), bz - az);
    let mut pump = drawn.clone();
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
    let name = |id: WorkId| seen.work(id).map_or("", |work| work.name.as_str());
    // A pipe that is as wide as the flow at one unit of speed asks for, and this one.
    let unit_m = diameter_for_velocity_m(flow_m3_s, 1.0).ok()?;
    let told = format!(
        "Let it draw from {} and feed {} by pipe of {} inside, {} long laid straight, where these are not \
         given: {} run at {} in it.",
        name(source),
        name(fed),
        length_text(inner_m, seen.unit),
        length_text(way_m, seen.unit),
        flow_text(flow_m3_s, seen.unit),
        velocity_text((unit_m / inner_m) * (unit_m / inner_m), seen.unit),
    );
    Some(Joined { pump, told })
}

/// Whether what a pump gives is known.
fn has_curve(pump: &Pump) -> bool {
    match &pump.curve {
        PumpCurve::Common(_) => true,
        PumpCurve::Points(points) => {
            let points: Vec<[f64; 2]> =
                points.iter().map(|p| [p.flow_l_s / 1000.0, p.head_m]).collect();
            water::Pump::from_points(&points, water::PumpPower::Watts(0.0)).is_ok()
        }
    }
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
