//! Water that runs too fast in a pipe: it costs head, wears, and hums.

use site::circulation::Pipe;
use units::{length_text, velocity_text};
use water::diameter_for_velocity_m;

use super::seen::Seen;
use super::watered::{at_pump, with_pump};
use crate::{Code, Finding, Measured, PumpDuty, Remedy, Severity, Unit};

const SOURCE: &str = "common practice: 5 ft/s";
/// Inner diameters of common plastic pipe from 1 to 8 in, metres: schedule 40 (P-08; some from memory).
const SIZES_M: [f64; 9] = [0.0266, 0.0351, 0.0409, 0.0525, 0.0627, 0.0779, 0.1023, 0.1541, 0.2027];
/// A wider pipe carries more: room for it, as a share of the diameter.
const ROOM: f64 = 0.08;

pub(super) fn check(seen: &Seen<'_>) -> Vec<Finding> {
    let pumps = seen.running().pumps.iter().enumerate();
    pumps.filter_map(|(i, pump)| of_pump(seen, i, pump.duty.as_ref().ok()?)).collect()
}

fn of_pump(seen: &Seen<'_>, i: usize, duty: &PumpDuty) -> Option<Finding> {
    let limit = seen.site.limits.pipe_m_s;
    if duty.velocity_m_s <= limit {
        return None;
    }
    let pump = seen.site.circulation.pumps.get(i)?;
    let flows = std::iter::once(duty.flow_m3_s).chain(duty.lines.iter().map(|line| line.flow_m3_s));
    let wider: Vec<Option<f64>> = flows.map(|flow| size_for(flow, limit)).collect();
    let pipes = pump.main.iter().chain(pump.lines.iter().map(|line| &line.pipe));
    let narrowest = pipes.filter_map(|pipe| pipe.inner_m).reduce(f64::min)?;
    let needed = wider.iter().flatten().copied().fold(0.0, f64::max);
    let site = with_pump(seen, i, |pump| {
        let widen = |pipe: &mut Pipe, to: Option<f64>| {
            if let (Some(inner_m), Some(to_m)) = (&mut pipe.inner_m, to) {
                *inner_m = inner_m.max(to_m);
            }
        };
        pump.main.iter_mut().for_each(|pipe| widen(pipe, wider[0]));
        let lines = pump.lines.iter_mut().zip(wider.iter().skip(1));
        lines.for_each(|(line, to)| widen(&mut line.pipe, *to));
    });
    Some(Finding {
        code: Code::PipeRunsFast,
        severity: Severity::LookAt,
        work: pump.draws_from,
        at_m: at_pump(seen, i),
        measured: Measured { value: duty.velocity_m_s, limit, unit: Unit::MetrePerSecond },
        message: format!(
            "The water runs at {} in the pipes of {}, {} wide inside where they are narrowest; {} is \
             the common limit.",
            velocity_text(duty.velocity_m_s, seen.unit),
            pump.name,
            length_text(narrowest, seen.unit),
            velocity_text(limit, seen.unit),
        ),
        remedy: Some(Remedy {
            message: format!("Lay pipe of {} inside.", length_text(needed, seen.unit)),
            site: site.filter(|_| needed > 0.0),
        }),
        source: SOURCE,
        caution: None,
    })
}

/// The common pipe that is a share of the way from a bore to the widest.
pub(super) fn wider_m(inner_m: f64, share: f64) -> f64 {
    let wider: Vec<f64> = SIZES_M.into_iter().filter(|size_m| *size_m > inner_m).collect();
    let at = (share * wider.len() as f64).ceil() as usize;
    at.checked_sub(1).and_then(|at| wider.get(at).copied()).unwrap_or(inner_m)
}

/// The smallest common pipe in which a flow stays below a velocity; none where none does.
pub(super) fn size_for(flow_m3_s: f64, limit_m_s: f64) -> Option<f64> {
    let least_m = diameter_for_velocity_m(flow_m3_s, limit_m_s).ok()? * (1.0 + ROOM);
    SIZES_M.into_iter().find(|size_m| *size_m >= least_m)
}
