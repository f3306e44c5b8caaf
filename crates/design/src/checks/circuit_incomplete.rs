//! A pump of which something is missing, so that nothing of its water can be told.

use super::COMMON_PRACTICE;
use super::seen::Seen;
use super::watered::{LIVE_CAUTION, at_pump};
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
        // What pump or pipe it is only who buys it knows: no number of the plan tells.
        remedy: Some(Remedy {
            message:
                "Give it: it stands on the pump's plate or the pipe's print, or is drawn from the \
                      ways on the plan."
                    .into(),
            site: None,
        }),
        source: COMMON_PRACTICE,
        caution: Some(LIVE_CAUTION),
    })
}
