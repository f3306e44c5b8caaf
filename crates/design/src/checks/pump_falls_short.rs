//! A pump that doesn't lift the water so high, or moves less than the falls are wanted to have.

use site::circulation::{CommonPump, Pipe, Pump, PumpCurve};
use units::{flow_text, length_text};

use super::pipe_runs_fast::size_for;
use super::seen::Seen;
use super::watered::{LIVE_CAUTION, at_pump, chosen, moves_m3_s, with_own, with_pump};
use super::words::enough_text;
use crate::running::common_pump;
use crate::{Code, Finding, Measured, PumpDuty, PumpOutcome, Remedy, Severity, Unit};

const SOURCE: &str =
    "pump curve against lift and losses; thickness by the brink's depth (Rouse 1936)";
/// A pump is chosen that reaches this many times the lift without flow, where no flow is asked for.
const OVER_LIFT: f64 = 1.5;

pub(super) fn check(seen: &Seen<'_>) -> Vec<Finding> {
    let pumps = seen.running().pumps.iter().enumerate();
    pumps.filter_map(|(i, pump)| of_pump(seen, i, pump)).collect()
}

fn of_pump(seen: &Seen<'_>, i: usize, pump: &PumpOutcome) -> Option<Finding> {
    let duty = pump.duty.as_ref().ok()?;
    if duty.flow_m3_s <= 0.0 {
        return does_not_lift(seen, (i, pump), duty);
    }
    let wanted_m3_s = *pump.wanted_m3_s.as_ref().ok()?;
    if duty.flow_m3_s >= wanted_m3_s {
        return None;
    }
    let message = format!(
        "{} moves {} at {} of head; the water wanted over the crests takes {}.",
        pump.name,
        flow_text(duty.flow_m3_s, seen.unit),
        length_text(duty.head_m, seen.unit),
        flow_text(wanted_m3_s, seen.unit),
    );
    let measured =
        Measured { value: duty.flow_m3_s, limit: wanted_m3_s, unit: Unit::CubicMetrePerSecond };
    let remedy = match (widened(seen, i, wanted_m3_s), &pump.size_for_wanted) {
        (Some((_, inner_m)), _) => Remedy {
            message: format!(
                "Lay pipe of {} inside, and the pump that this asks for.",
                length_text(inner_m, seen.unit)
            ),
            site: None,
        },
        (None, Ok((size, flow_m3_s))) => larger(seen, i, *size, Some(*flow_m3_s)),
        (None, Err(why)) => Remedy { message: format!("Widen the pipe: {why}."), site: None },
    };
    Some(finding(seen, (i, pump), Severity::LookAt, (measured, message, remedy)))
}

fn does_not_lift(
    seen: &Seen<'_>,
    (i, pump): (usize, &PumpOutcome),
    duty: &PumpDuty,
) -> Option<Finding> {
    let shut_off_m = *pump.shut_off_m.as_ref().ok()?;
    let lift_m = duty.lines.iter().map(|line| line.lift_m).reduce(f64::min)?;
    let message = format!(
        "{} does not lift the water: it reaches {} without flow, and the lift is {}.",
        pump.name,
        length_text(shut_off_m, seen.unit),
        length_text(lift_m, seen.unit),
    );
    let measured = Measured { value: shut_off_m, limit: lift_m, unit: Unit::Metre };
    let sizes = CommonPump::ALL.into_iter();
    let high = |size: &CommonPump| common_pump(*size).shut_off_m >= OVER_LIFT * lift_m;
    let remedy = match &pump.size_for_wanted {
        Ok((size, flow_m3_s)) => larger(seen, i, *size, Some(*flow_m3_s)),
        Err(_) => match sizes.clone().find(high) {
            Some(size) => larger(seen, i, size, None),
            None => lower(seen, lift_m),
        },
    };
    Some(finding(seen, (i, pump), Severity::Stop, (measured, message, remedy)))
}

/// A pump on pipe in which what is wanted runs no faster than the limit, and the inside of that pipe; none
/// where its own is wide enough.
fn widened(seen: &Seen<'_>, i: usize, wanted_m3_s: f64) -> Option<(Pump, f64)> {
    let drawn = seen.site.circulation.pumps.get(i)?;
    let mut pump = drawn.clone();
    // Without a main the lines share it.
    let (pipes, n_alike): (Vec<&mut Pipe>, usize) = match &mut pump.main {
        Some(main) => (vec![main], 1),
        None => {
            let n_lines = pump.lines.len();
            (pump.lines.iter_mut().map(|line| &mut line.pipe).collect(), n_lines)
        }
    };
    let inner_m = size_for(wanted_m3_s / n_alike.max(1) as f64, seen.site.limits.pipe_m_s)?;
    for pipe in pipes {
        pipe.inner_m = pipe.inner_m.map(|own_m| own_m.max(inner_m));
    }
    (pump != *drawn).then_some((pump, inner_m))
}

/// That pipe, and the smallest common pump that moves what is wanted there where the drawn one does not: no
/// pump makes up for a pipe that is too thin. This tries pumps, so it is for when it is asked for.
pub(super) fn on_wider_pipe(seen: &Seen<'_>, finding: &Finding) -> Option<Remedy> {
    let pumps = seen.running().pumps.iter().enumerate();
    let is_it = |(i, pump): &(usize, &PumpOutcome)| {
        of_pump(seen, *i, pump).is_some_and(|of| of.message == finding.message)
    };
    let (i, outcome) = pumps.into_iter().find(is_it)?;
    let wanted_m3_s = *outcome.wanted_m3_s.as_ref().ok()?;
    let (mut pump, inner_m) = widened(seen, i, wanted_m3_s)?;
    let wide = length_text(inner_m, seen.unit);
    let own_m3_s = moves_m3_s(seen, i, pump.clone())?;
    let message = if own_m3_s >= wanted_m3_s {
        format!("Lay pipe of {wide} inside: then it moves {}.", flow_text(own_m3_s, seen.unit))
    } else {
        let (size, moves_m3_s) = chosen(seen, (i, &pump), wanted_m3_s)?;
        (pump.curve, pump.watts) = (PumpCurve::Common(size), None);
        let common = common_pump(size);
        format!(
            "Lay pipe of {wide} inside and take a pump of {} without head that reaches {}, which then \
             moves {}.",
            flow_text(common.most_l_s / 1000.0, seen.unit),
            length_text(common.shut_off_m, seen.unit),
            flow_text(moves_m3_s, seen.unit),
        )
    };
    Some(Remedy { message, site: Some(Box::new(with_own(seen, i, pump))) })
}

/// The lift lowered to what the strongest common pump bears.
fn lower(seen: &Seen<'_>, lift_m: f64) -> Remedy {
    let strongest_m = CommonPump::ALL.into_iter().map(|size| common_pump(size).shut_off_m);
    let strongest_m = strongest_m.fold(0.0, f64::max);
    let message = format!(
        "Lower what it feeds by {}: the strongest common pump reaches {}, which moves something up to {}.",
        enough_text(lift_m - strongest_m / OVER_LIFT, seen.unit),
        length_text(strongest_m, seen.unit),
        length_text(strongest_m / OVER_LIFT, seen.unit),
    );
    Remedy { message, site: None }
}

fn larger(seen: &Seen<'_>, i: usize, size: CommonPump, moves_m3_s: Option<f64>) -> Remedy {
    let common = common_pump(size);
    let moves = moves_m3_s.map(|flow| format!(", which then moves {}", flow_text(flow, seen.unit)));
    let message = format!(
        "Take a pump of {} without head that reaches {}{}.",
        flow_text(common.most_l_s / 1000.0, seen.unit),
        length_text(common.shut_off_m, seen.unit),
        moves.unwrap_or_default(),
    );
    let site = with_pump(seen, i, |pump| {
        pump.curve = PumpCurve::Common(size);
        pump.watts = None;
    });
    Remedy { message, site }
}

fn finding(
    seen: &Seen<'_>,
    (i, pump): (usize, &PumpOutcome),
    severity: Severity,
    (measured, message, remedy): (Measured, String, Remedy),
) -> Finding {
    Finding {
        code: Code::PumpFallsShort,
        severity,
        work: pump.draws_from,
        at_m: at_pump(seen, i),
        measured,
        message,
        remedy: Some(remedy),
        source: SOURCE,
        caution: Some(LIVE_CAUTION),
    }
}
