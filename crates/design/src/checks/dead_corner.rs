//! Water of a pond that hardly goes round: leaves gather there and algae grow.
//!
//! ```text
//!     stream ══>──>──> bay        drawn beside where it enters:
//!      ╭ ─ ─ ─ ─ ─ ─ ╮            the far end is passed by
//!      │ · dead · ·  │
//!      ╰ ─ ─ ─ ─ ─ ─ ╯
//! ```

use ::water::Enters;
use site::WorkId;
use units::{area_text, flow_text};

use super::seen::Seen;
use super::words::{compass, percent};
use crate::running::with_return;
use crate::{Code, Finding, Measured, PondRounds, Remedy, Rounds, Severity, Unit};

/// Shares of the flow that a return is tried with.
const SHARES: [f64; 4] = [0.1, 0.2, 0.35, 0.5];
/// Speed of the water from a return's nozzle, metres a second; common practice.
const NOZZLE_M_S: f64 = 1.0;
/// Ways that a return is pointed, in a round.
const N_WAYS: usize = 8;

/// Smaller corners a rake reaches and a fish stirs, square metres: nobody leads water there; common
/// practice.
const LEAST_M2: f64 = 0.5;

const SOURCE: &str = "Levenspiel, Chemical Reaction Engineering: water older than twice the mean stay is \
                      stagnant, from memory; the share that may be is common practice";

pub(super) fn check(seen: &Seen<'_>) -> Vec<Finding> {
    seen.rounds().iter().filter_map(|pond| of_pond(seen, pond)).collect()
}

fn of_pond(seen: &Seen<'_>, pond: &PondRounds) -> Option<Finding> {
    let rounds = pond.rounds.as_ref().ok()?;
    let limits = &seen.site.limits;
    let share = rounds.dead_share();
    let largest = rounds.dead.first().filter(|_| share > limits.dead_share)?;
    if largest.area_m2 < LEAST_M2 {
        return None;
    }
    let [x, y] = rounds.local_m(largest.oldest_at_m);
    let side = compass(rounds.middle_m(), [x, y]);
    let turnover_h = rounds.circulation.turnover_s() / 3600.0;
    let area_m2: f64 = rounds.dead.iter().map(|corner| corner.area_m2).sum();
    Some(Finding {
        code: Code::DeadCorner,
        severity: Severity::LookAt,
        work: Some(pond.work),
        at_m: [x, y, rounds.level_m],
        measured: Measured { value: share, limit: limits.dead_share, unit: Unit::Ratio },
        message: format!(
            "{} of the pond's water, {}, stands on a day without wind, most of it on the {side} side: it \
             has been there for more than {} turnovers of {turnover_h:.1} hours.",
            percent(share),
            area_text(area_m2, seen.unit),
            limits.dead_turnovers,
        ),
        remedy: Some(Remedy {
            message: "Lead a part of the water back into that corner, or draw from there.".into(),
            site: None,
        }),
        source: SOURCE,
        caution: None,
    })
}

/// The least part of the flow that stirs the corners when it is led back into the largest; none where
/// no part of it does.
///
/// No edit of the site's: where a return is built is drawn as the trench of its pipe, by who lays it.
pub(super) fn remedy(seen: &Seen<'_>, work: WorkId) -> Option<Remedy> {
    let pond = seen.rounds().iter().find(|pond| pond.work == work)?;
    let rounds = pond.rounds.as_ref().ok()?;
    let corner = rounds.dead.first()?;
    let at_m = rounds.local_m(corner.oldest_at_m);
    let (share, way) = SHARES.into_iter().find_map(|share| {
        let way = least_way(seen, work, rounds, (at_m, share))?;
        Some((share, way))
    })?;
    let flow = flow_text(share * rounds.circulation.flow_m3_s, seen.unit);
    let toward = compass([0.0; 2], way);
    let message = format!(
        "Lead {flow} of it, {} of all, back into that corner by a pipe under water that points {toward}, \
         its nozzle narrow enough for {} there: then no more than {} stands.",
        percent(share),
        units::velocity_text(NOZZLE_M_S, seen.unit),
        percent(seen.site.limits.dead_share),
    );
    Some(Remedy { message, site: None })
}

/// The way that leaves least dead, where that is little enough.
fn least_way(
    seen: &Seen<'_>,
    work: WorkId,
    rounds: &Rounds,
    (at_m, share): ([f64; 2], f64),
) -> Option<[f64; 2]> {
    let of_site = (seen.site, seen.evaluation, seen.running());
    let tried = (0..N_WAYS).filter_map(|i| {
        let (east, north) = libm::sincos(std::f64::consts::TAU * i as f64 / N_WAYS as f64);
        let flow_m3_s = share * rounds.circulation.flow_m3_s;
        let velocity_m_s = [NOZZLE_M_S * east, NOZZLE_M_S * north];
        let jet = Enters { at_m, flow_m3_s, velocity_m_s };
        let then = with_return(of_site, work, jet).ok()?;
        Some((then.dead_share(), [east, north]))
    });
    let (least, way) = tried.min_by(|a, b| a.0.total_cmp(&b.0))?;
    (least <= seen.site.limits.dead_share).then_some(way)
}
