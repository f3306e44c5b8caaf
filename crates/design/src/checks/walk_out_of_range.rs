//! Paths and steps out of the range in which people walk with ease.
//!
//! ```text
//!            ____ tread          a lone step is not seen: three or more stand together
//!       ____|  riser
//!   ----
//! ```

use ground::curve::Path as Way;
use site::works::Path;
use site::{Site, Work, WorkKind};
use units::{length_text, run_per_rise_text};

use super::seen::Seen;
use super::words::percent;
use crate::works::path::{Profile, walked};
use crate::{Code, Finding, Measured, Remedy, Severity, Unit};

const GRADE_SOURCE: &str = "2010 ADA Standards 403.3 and 405.2: a walk to 1:20, a ramp to 1:12, nowhere \
     steeper than 1:8";
const CROSS_SOURCE: &str =
    "US Forest Service, outdoor developed areas: 1:20, on paving and boards 1:48";
const STEP_SOURCE: &str = "ABA Standards 504.2: risers 4 to 7 in, treads at least 11 in";
const FLIGHT_SOURCE: &str = "Construction for Landscape Architecture (2011), Steps: three risers or more \
     together";
const CAUTION: &str = "Planning help only: what must be walked without a step, and where a handrail is \
     wanted, the local code says.";

/// Fewer risers together are not seen (A-07).
const LEAST_RISERS: usize = 3;
/// What exceeds a limit by less than this share, or length in metres, is within it.
const SAME: f64 = 1e-6;
/// Stations nearer than this are one, metres.
const SAME_STATION_M: f64 = 1e-9;

pub(super) fn check(seen: &Seen<'_>) -> Vec<Finding> {
    let of = |work: &Work| match &work.kind {
        WorkKind::Path(path) => of_path(seen, work, path),
        _ => Vec::new(),
    };
    seen.visible().flat_map(of).collect()
}

/// Risers of one height that follow each other.
struct Flight {
    station_m: f64,
    n: usize,
    riser_m: f64,
    /// None of a lone step.
    tread_m: Option<f64>,
}

/// Something about a path that is out of its range.
struct Fault {
    station_m: f64,
    measured: Measured,
    message: String,
    to_do: String,
    site: Option<Box<Site>>,
    source: &'static str,
}

fn of_path(seen: &Seen<'_>, work: &Work, path: &Path) -> Vec<Finding> {
    let Some(existing) = seen.evaluation.existing.as_deref() else { return Vec::new() };
    let Some((way, profile)) = walked(path, existing.lattice()) else { return Vec::new() };
    let flights = flights(&profile);
    let faults = [
        too_steep(seen, work, &profile),
        too_aslant(seen, work, path),
        uneven(seen, work, &flights),
        short_treads(seen, work, &flights),
        lone(seen, &flights),
    ];
    faults.into_iter().flatten().map(|fault| finding(seen, work, &way, fault)).collect()
}

fn finding(seen: &Seen<'_>, work: &Work, way: &Way, fault: Fault) -> Finding {
    Finding {
        code: Code::WalkOutOfRange,
        severity: Severity::LookAt,
        work: Some(work.id),
        at_m: seen.on_ground(way.at_station(fault.station_m).at),
        measured: fault.measured,
        message: fault.message,
        remedy: Some(Remedy { message: fault.to_do, site: fault.site }),
        source: fault.source,
        caution: Some(CAUTION),
    }
}

fn flights(profile: &Profile) -> Vec<Flight> {
    let mut flights: Vec<Flight> = Vec::new();
    let mut last: Option<f64> = None;
    for pair in profile.windows(2) {
        let [[from_m, low_m], [to_m, high_m]] = [pair[0], pair[1]];
        if to_m - from_m > SAME_STATION_M {
            // A tread is level; whatever slopes ends a flight.
            if (high_m - low_m).abs() > SAME * (to_m - from_m) {
                last = None;
            }
            continue;
        }
        let riser_m = (high_m - low_m).abs();
        let follows = last.zip(flights.last_mut());
        match follows.filter(|(_, flight)| (flight.riser_m - riser_m).abs() < SAME) {
            Some((before_m, flight)) => {
                flight.n += 1;
                flight.tread_m = Some(from_m - before_m);
            }
            None => flights.push(Flight { station_m: from_m, n: 1, riser_m, tread_m: None }),
        }
        last = Some(from_m);
    }
    flights
}

/// The steepest slope between steps.
fn too_steep(seen: &Seen<'_>, work: &Work, profile: &Profile) -> Option<Fault> {
    let limit = seen.site.limits.path_run_per_rise;
    let slope = |pair: &[[f64; 2]]| {
        let (run_m, rise_m) = (pair[1][0] - pair[0][0], (pair[1][1] - pair[0][1]).abs());
        (run_m > SAME_STATION_M).then_some((pair[0][0] + 0.5 * run_m, rise_m / run_m))
    };
    let steepest = profile.windows(2).filter_map(slope).max_by(|a, b| a.1.total_cmp(&b.1))?;
    let (station_m, grade) = steepest;
    if grade * limit <= 1.0 + SAME {
        return None;
    }
    let (said, most) = (run_per_rise_text(1.0 / grade), run_per_rise_text(limit));
    Some(Fault {
        station_m,
        measured: Measured { value: 1.0 / grade, limit, unit: Unit::RunPerRise },
        message: format!("The path rises {said}; {most} is the most that is walked with ease."),
        to_do: format!("Let it rise no more than {most} between steps, or lead it a longer way."),
        site: seen.with(work.id, |kind| {
            if let WorkKind::Path(path) = kind {
                path.largest_grade = path.largest_grade.min(1.0 / limit);
            }
        }),
        source: GRADE_SOURCE,
    })
}

fn too_aslant(seen: &Seen<'_>, work: &Work, path: &Path) -> Option<Fault> {
    let (cross, limit) = (path.cross_fall.abs(), seen.site.limits.path_cross_fall);
    (cross > limit + SAME).then(|| Fault {
        station_m: 0.0,
        measured: Measured { value: cross, limit, unit: Unit::Ratio },
        message: format!(
            "The path falls {} from side to side; {} is the most that is walked with ease.",
            percent(cross),
            percent(limit)
        ),
        to_do: format!("Let it fall {} across.", percent(limit)),
        site: seen.with(work.id, |kind| {
            if let WorkKind::Path(path) = kind {
                path.cross_fall = path.cross_fall.min(limit).max(-limit);
            }
        }),
        source: CROSS_SOURCE,
    })
}

/// Risers higher or lower than the foot expects; the worst of them.
fn uneven(seen: &Seen<'_>, work: &Work, flights: &[Flight]) -> Option<Fault> {
    let limits = &seen.site.limits;
    let off_m = |flight: &Flight| {
        (flight.riser_m - limits.riser_most_m).max(limits.riser_least_m - flight.riser_m)
    };
    let worst = flights.iter().max_by(|a, b| off_m(a).total_cmp(&off_m(b)))?;
    if off_m(worst) <= SAME {
        return None;
    }
    let high = worst.riser_m > limits.riser_most_m;
    let limit = if high { limits.riser_most_m } else { limits.riser_least_m };
    let length = |m: f64| length_text(m, seen.unit);
    let (word, bound) = if high { ("high", "most") } else { ("low", "least") };
    let to_do = match high {
        true => format!("Let a riser be {} at most, with more steps.", length(limit)),
        false => "Take out a step, or lead the path level there.".to_owned(),
    };
    let lowered = || {
        seen.with(work.id, |kind| {
            if let WorkKind::Path(path) = kind {
                path.steps.riser_m = path.steps.riser_m.min(limit);
            }
        })
    };
    Some(Fault {
        station_m: worst.station_m,
        measured: Measured { value: worst.riser_m, limit, unit: Unit::Metre },
        message: format!(
            "{} {} {} {word}; {} is the {bound}.",
            if worst.n == 1 { "One step".to_owned() } else { format!("{} steps", worst.n) },
            if worst.n == 1 { "is" } else { "are" },
            length(worst.riser_m),
            length(limit),
        ),
        to_do,
        site: if high { lowered() } else { None },
        source: STEP_SOURCE,
    })
}

fn short_treads(seen: &Seen<'_>, work: &Work, flights: &[Flight]) -> Option<Fault> {
    let limit = seen.site.limits.tread_least_m;
    let treads = flights.iter().filter_map(|flight| Some((flight, flight.tread_m?)));
    let (flight, tread_m) = treads.min_by(|a, b| a.1.total_cmp(&b.1))?;
    if tread_m >= limit - SAME {
        return None;
    }
    let riser_m = flight.riser_m;
    Some(Fault {
        station_m: flight.station_m,
        measured: Measured { value: tread_m, limit, unit: Unit::Metre },
        message: format!(
            "The treads of {} steps are {}; a foot wants {}.",
            flight.n,
            length_text(tread_m, seen.unit),
            length_text(limit, seen.unit)
        ),
        to_do: format!(
            "Let them be {} deep: the flight is longer then.",
            length_text(limit, seen.unit)
        ),
        site: seen.with(work.id, |kind| {
            if let WorkKind::Path(path) = kind {
                path.steps.two_risers_and_tread_m = limit + 2.0 * riser_m.max(path.steps.riser_m);
            }
        }),
        source: STEP_SOURCE,
    })
}

/// One or two steps alone, which people stumble over.
fn lone(seen: &Seen<'_>, flights: &[Flight]) -> Option<Fault> {
    let flight = flights.iter().min_by_key(|flight| flight.n)?;
    if flight.n >= LEAST_RISERS {
        return None;
    }
    let (said, rise_m) = match flight.n {
        1 => ("One step stands alone", flight.riser_m),
        _ => ("Two steps stand alone", 2.0 * flight.riser_m),
    };
    let run_m = rise_m * seen.site.limits.path_run_per_rise;
    Some(Fault {
        station_m: flight.station_m,
        measured: Measured {
            value: flight.n as f64,
            limit: LEAST_RISERS as f64,
            unit: Unit::Count,
        },
        message: format!("{said}: people stumble over what they do not see."),
        to_do: format!(
            "Lead the path up as a slope of {} there, or set {LEAST_RISERS} lower steps.",
            length_text(run_m, seen.unit)
        ),
        site: None,
        source: FLIGHT_SOURCE,
    })
}
