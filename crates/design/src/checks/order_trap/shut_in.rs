//! The way in: too narrow for what carries the earth, or closed by a work that is built while others
//! still want earth carried.

use ground::curve::{Closure, Path};
use site::{KeepOutKind, Work, WorkId, WorkKind};
use units::length_text;

use super::super::COMMON_PRACTICE;
use super::super::seen::Seen;
use super::super::words::enough_text;
use super::{BESIDE_M, LOOK_EVERY_M, position};
use crate::handling::{Passing, passing};
use crate::stretch::cross;
use crate::{Code, Finding, Measured, Remedy, Severity, Unit, WorkOutcome};

/// Earth that a crew brings in by hand, cubic metres.
const BY_HAND_M3: f64 = 0.5;
/// More looks than a way in needs.
const MOST_LOOKS: f64 = 2000.0;

pub(super) fn check(seen: &Seen<'_>) -> Vec<Finding> {
    let Some(passing) = passing(seen.site) else { return Vec::new() };
    narrow(seen, &passing).into_iter().chain(closed(seen)).chain(heaped(seen)).collect()
}

fn narrow(seen: &Seen<'_>, passing: &Passing) -> Option<Finding> {
    if passing.passes() {
        return None;
    }
    let length = |m: f64| length_text(m, seen.unit);
    let short_m = passing.needed_m - passing.narrowest_m;
    let at = *seen.site.carry.access_m.last()?;
    Some(Finding {
        code: Code::OrderTrap,
        severity: Severity::Stop,
        work: None,
        at_m: seen.on_ground(at),
        measured: Measured {
            value: passing.needed_m,
            limit: passing.narrowest_m,
            unit: Unit::Metre,
        },
        message: format!(
            "The way in is {} at its narrowest; the carrier needs {}.",
            length(passing.narrowest_m),
            length(passing.needed_m)
        ),
        remedy: Some(narrower(seen, short_m).unwrap_or_else(|| opened(seen, passing))),
        source: COMMON_PRACTICE,
        caution: None,
    })
}

/// The narrowest barrow, metres; common practice.
const BARROW_M: f64 = 0.6;

/// A carrier that passes, where there is one.
fn narrower(seen: &Seen<'_>, short_m: f64) -> Option<Remedy> {
    let mut site = seen.site.clone();
    site.carry.carrier_width_m -= short_m;
    let message = format!(
        "Take a carrier that is {} narrower, or open the way by as much.",
        enough_text(short_m, seen.unit)
    );
    (site.carry.carrier_width_m >= BARROW_M).then(|| Remedy { message, site: Some(Box::new(site)) })
}

/// The way in opened for the carrier, with the gates across it: no barrow is narrow enough.
fn opened(seen: &Seen<'_>, passing: &Passing) -> Remedy {
    let mut site = seen.site.clone();
    let needed_m = passing.needed_m;
    site.carry.access_width_m = site.carry.access_width_m.max(needed_m);
    for kept in &mut site.keep_outs {
        if let KeepOutKind::Gate(gate) = &mut kept.kind {
            let width_m = gate.width_m();
            if 0.0 < width_m && width_m < needed_m {
                let middle = [0, 1].map(|k| 0.5 * (gate.from[k] + gate.to[k]));
                let wider = |post: [f64; 2]| {
                    [0, 1].map(|k| middle[k] + needed_m / width_m * (post[k] - middle[k]))
                };
                (gate.from, gate.to) = (wider(gate.from), wider(gate.to));
            }
        }
    }
    Remedy {
        message: format!(
            "Open the way in to {}, a fence or a gate for the time of the work: no barrow is narrow \
             enough for it as it is.",
            enough_text(needed_m, seen.unit)
        ),
        site: Some(Box::new(site)),
    }
}

/// A heap through which the way in runs; one at its end is where it leads.
fn heaped(seen: &Seen<'_>) -> Option<Finding> {
    let way = &seen.site.carry.access_m;
    let mut through = seen.site.stockpiles.iter().filter_map(|heap| {
        let n = heap.outline_m.len();
        let side = |i: usize| [heap.outline_m[i], heap.outline_m[(i + 1) % n]];
        let crossed =
            |pair: &[[f64; 2]]| (0..n).filter(|&i| cross(side(i), [pair[0], pair[1]])).count();
        let n_crossed: usize = way.windows(2).map(crossed).sum();
        let middle = [0, 1].map(|k| heap.outline_m.iter().map(|p| p[k]).sum::<f64>() / n as f64);
        (n_crossed > 1).then_some((heap, middle))
    });
    let (heap, middle) = through.next()?;
    let line = Path::new(way, Closure::Open).ok()?;
    let at = line.nearest(middle).at;
    Some(Finding {
        code: Code::OrderTrap,
        severity: Severity::Stop,
        work: None,
        at_m: seen.on_ground(at),
        measured: Measured { value: 0.0, limit: seen.site.carry.access_width_m, unit: Unit::Metre },
        message: format!("{} stands in the way in: nothing passes.", heap.name),
        remedy: Some(Remedy {
            message: format!("Heap it beside the way, or lead the way round {}.", heap.name),
            site: None,
        }),
        source: COMMON_PRACTICE,
        caution: None,
    })
}

/// The first work to stand in the way in, with earth still to be moved for later ones.
fn closed(seen: &Seen<'_>) -> Option<Finding> {
    let way = Path::new(&seen.site.carry.access_m, Closure::Open).ok()?;
    let near = seen.near(way.points(), BESIDE_M)?;
    let n = (way.length_m() / LOOK_EVERY_M).ceil().clamp(1.0, MOST_LOOKS);
    let looks = (0..=n as usize).map(|i| way.length_m() * i as f64 / n);
    let standing = looks.filter_map(|station_m| {
        let at = way.at_station(station_m).at;
        let (face, z_m) = near.face_at(at)?;
        let work = seen.owner(seen.owner_of(face)).filter(|work| is_closing(work))?;
        Some((work, [at[0], at[1], z_m]))
    });
    let first = standing.min_by_key(|(work, _)| position(seen.site, work.id));
    let (work, at_m) = first?;
    let wanting = last_wanting(seen, work.id)?;
    let mut site = seen.site.clone();
    let moved = site.works.remove(position(&site, work.id));
    site.works.insert(position(&site, wanting.0.id) + 1, moved);
    Some(Finding {
        code: Code::OrderTrap,
        severity: Severity::LookAt,
        work: Some(work.id),
        at_m,
        measured: Measured { value: wanting.1, limit: BY_HAND_M3, unit: Unit::CubicMetre },
        message: format!(
            "{} stands in the way in, and {} is still to be carried when it is built, the last of it \
             for {}.",
            work.name,
            units::earth_text(wanting.1, seen.unit),
            wanting.0.name
        ),
        remedy: Some(Remedy {
            message: format!(
                "Build {} after {}, or lead the way in round it.",
                work.name, wanting.0.name
            ),
            site: Some(Box::new(site)),
        }),
        source: COMMON_PRACTICE,
        caution: None,
    })
}

/// Whether no carrier drives over it.
fn is_closing(work: &Work) -> bool {
    match work.kind {
        WorkKind::Basin(_)
        | WorkKind::Stream(_)
        | WorkKind::Wall(_)
        | WorkKind::FilterBed(_)
        | WorkKind::IntakeBay(_) => true,
        WorkKind::Hill(_)
        | WorkKind::Pad(_)
        | WorkKind::Path(_)
        | WorkKind::PlaneGrade(_)
        | WorkKind::Trench(_)
        | WorkKind::Strip(_) => false,
    }
}

/// The last work after another for which a machine carries earth, and the earth of all those.
fn last_wanting<'a>(seen: &Seen<'a>, id: WorkId) -> Option<(&'a Work, f64)> {
    let own = position(seen.site, id);
    let moved_m3 = |outcome: &WorkOutcome| outcome.cut_m3 + outcome.fill_m3;
    let later: Vec<(&Work, f64)> = seen
        .built()
        .filter(|(work, _)| position(seen.site, work.id) > own)
        .map(|(work, outcome)| (work, moved_m3(outcome)))
        .filter(|(_, m3)| *m3 > BY_HAND_M3)
        .collect();
    let whole_m3 = later.iter().map(|(_, m3)| m3).sum();
    later.last().map(|(work, _)| (*work, whole_m3))
}
