//! A pump that doesn't lift the water so high, or moves less than the falls are wanted to have.

use site::circulation::{CommonPump, PumpCurve};
use units::{flow_text, length_text};

use super::seen::Seen;
use super::watered::{LIVE_CAUTION, at_pump, with_pump};
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
    let remedy = match &pump.size_for_wanted {
        Ok((size, flow_m3_s)) => larger(seen, i, *size, Some(*flow_m3_s)),
        Err(why) => Remedy { message: format!("Widen the pipe: {why}."), site: None },
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
            None => Remedy { message: "Lower the head of the stream.".into(), site: None },
        },
    };
    Some(finding(seen, (i, pump), Severity::Stop, (measured, message, remedy)))
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
