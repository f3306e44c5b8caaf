//! A drain under the liner that carries what the ground brings, or so much more cover.

use site::works::Trench;
use site::{Curve, Site, Work, WorkId, WorkKind};
use units::{elevation_text, flow_text, length_text};

use super::super::seen::Seen;
use super::super::words::enough_text;
use super::{COVER_DENSITY, Filled, LOOK_EVERY_M, Least, Lined};
use crate::running::drain;
use crate::{DrainOutcome, Remedy};

/// Fall of a drain under a liner: rise per run; common practice.
const DRAIN_FALL: f64 = 0.01;
/// Sand between a drain's pipe and the lowest liner, metres; common practice.
const SAND_M: f64 = 0.1;
/// A trench's bottom is so much wider than its pipe, metres; common practice.
const BESIDE_M: f64 = 0.2;
/// More drains than this under one pond nobody lays.
const MOST_DRAINS: u32 = 12;
/// What ground low enough is looked for with where no common pipe is wide enough, metres.
const WIDEST_M: f64 = 0.4;

/// A drain under the floor where ground low enough lies around, else so much more cover.
pub(super) fn drain_or_cover(
    seen: &Seen<'_>,
    pond: &Work,
    lined: &Lined<'_>,
    least: &Least,
    filled: Filled,
) -> Remedy {
    let limit = seen.site.limits.uplift_factor;
    let weight = if filled == Filled::Drained { COVER_DENSITY } else { COVER_DENSITY - 1.0 };
    let more = enough_text(limit * least.head_m / weight - least.cover_m, seen.unit);
    let inside_m = inside_m(seen, lined, DRAIN_FALL);
    let invert_m = lined.floor_m() - SAND_M - drain::outside_m(inside_m.unwrap_or(WIDEST_M));
    let from = [least.at[0], least.at[1]];
    let outlet = outlet(seen, lined, from, invert_m);
    match inside_m.zip(outlet) {
        Some((inside_m, (to, run_m))) => {
            let end_m = invert_m - DRAIN_FALL * run_m;
            let message = format!(
                "Lay a drain of {} inside under the floor before the liner, its invert at {}, which falls \
                 by {} over {} to lower ground.",
                length_text(inside_m, seen.unit),
                elevation_text(invert_m, seen.unit),
                length_text(invert_m - end_m, seen.unit),
                length_text(run_m, seen.unit),
            );
            let site =
                drained(seen, pond.id, drain::outside_m(inside_m), [(from, invert_m), (to, end_m)]);
            Remedy { message, site: Some(Box::new(site)) }
        }
        None if outlet.is_some() => Remedy {
            message: format!(
                "No common pipe carries what the ground brings: {}, or lay {more} more cover.",
                parted(seen, lined),
            ),
            site: None,
        },
        None => Remedy {
            message: format!(
                "No ground on the site lies low enough for a drain from an invert at {}: {}, or lay {more} \
                 more cover.{}",
                elevation_text(invert_m, seen.unit),
                pumped(seen, lined),
                kept_full(seen, lined, least),
            ),
            site: None,
        },
    }
}

/// The fewest drains of a common size that carry together what the ground brings.
fn parted(seen: &Seen<'_>, lined: &Lined<'_>) -> String {
    let size_of = |n: u32| {
        let flow_m3_s = drain::brought_m3_s(seen.site, lined.area_m2()).ok()?;
        Some((n, drain::pipe_for(flow_m3_s / f64::from(n), DRAIN_FALL)?))
    };
    match (2..=MOST_DRAINS).find_map(size_of) {
        Some((n, inside_m)) => {
            format!("part it among {n} drains of {} inside", length_text(inside_m, seen.unit))
        }
        None => format!("nor do {MOST_DRAINS} together"),
    }
}

/// What a pump in a sump under the liner has to move.
fn pumped(seen: &Seen<'_>, lined: &Lined<'_>) -> String {
    let size = match drain::brought_m3_s(seen.site, lined.area_m2()) {
        Ok(flow_m3_s) => {
            format!("{}, all that the ground may bring", flow_text(flow_m3_s, seen.unit))
        }
        Err(why) => format!("what the ground brings, which is not known: {why}"),
    };
    format!("pump from a sump under the liner while the pond is low ({size})")
}

/// The level down to which the pond's own water holds its liner; nothing where even a full pond doesn't.
fn kept_full(seen: &Seen<'_>, lined: &Lined<'_>, least: &Least) -> String {
    let Some(groundwater_m) = seen.site.soils.groundwater_m else { return String::new() };
    let held_m = least.cover_m * (COVER_DENSITY - 1.0) / seen.site.limits.uplift_factor;
    let level_m = groundwater_m - held_m;
    if level_m > lined.water_m {
        return String::new();
    }
    let level = elevation_text(level_m, seen.unit);
    format!(" Until then its water must not stand below {level} while the groundwater is so high.")
}

/// The drain that lies there with a pipe that carries what comes, as deep as that asks; none where no
/// common one does.
pub(super) fn wider(seen: &Seen<'_>, lined: &Lined<'_>, drain: &DrainOutcome) -> Option<Remedy> {
    let inside_m = inside_m(seen, lined, *drain.fall.as_ref().ok()?)?;
    let pipe_m = drain::outside_m(inside_m);
    let lower_m = (drain.invert_m + pipe_m + SAND_M - lined.floor_m()).max(0.0);
    let site = seen.with(drain.work, |kind| {
        if let WorkKind::Trench(trench) = kind {
            trench.pipe_m = pipe_m;
            trench.width_m = trench.width_m.max(pipe_m + BESIDE_M);
            trench.invert_m.iter_mut().for_each(|invert_m| *invert_m -= lower_m);
        }
    });
    let size = length_text(inside_m, seen.unit);
    let deeper = match lower_m > 0.0 {
        true => format!(", {} deeper", enough_text(lower_m, seen.unit)),
        false => String::new(),
    };
    Some(Remedy { message: format!("Lay a drain of {size} inside{deeper}."), site })
}

/// The inside of the common pipe that carries what the ground brings when it falls so much for each metre; where no
/// soil tells what comes the narrowest that is laid.
fn inside_m(seen: &Seen<'_>, lined: &Lined<'_>, fall: f64) -> Option<f64> {
    match drain::brought_m3_s(seen.site, lined.area_m2()) {
        Ok(flow_m3_s) => drain::pipe_for(flow_m3_s, fall),
        Err(_) => Some(drain::NARROWEST_M),
    }
}

/// The nearest vertex of the finished ground to which a pipe from `from` can fall, and how far it is.
fn outlet(
    seen: &Seen<'_>,
    lined: &Lined<'_>,
    from: [f64; 2],
    invert_m: f64,
) -> Option<([f64; 2], f64)> {
    let finished = seen.evaluation.finished.as_deref()?;
    let mut best: Option<([f64; 2], f64)> = None;
    for (f, face) in finished.faces().iter().enumerate() {
        if face.tag.owner == lined.owner {
            continue;
        }
        let heights = finished.corner_heights(f as u32);
        for (corner, z_m) in finished.corners(f as u32).into_iter().zip(heights) {
            let at = finished.lattice().metres(corner);
            let run_m = libm::hypot(at[0] - from[0], at[1] - from[1]);
            let is_low = z_m <= invert_m - DRAIN_FALL * run_m;
            if is_low && run_m > LOOK_EVERY_M && best.is_none_or(|(_, nearest_m)| run_m < nearest_m)
            {
                best = Some((at, run_m));
            }
        }
    }
    best
}

/// The site with a drain laid before a pond.
fn drained(seen: &Seen<'_>, pond: WorkId, pipe_m: f64, line: [([f64; 2], f64); 2]) -> Site {
    let mut site = seen.site.clone();
    let Some(next_id) = site.next_id.checked_add(1) else { return site };
    let name = site.work(pond).map_or_else(String::new, |work| work.name.clone());
    let drain = Work {
        id: WorkId(site.next_id),
        name: format!("Drain under {name}"),
        note: String::new(),
        group: String::new(),
        visible: true,
        kind: WorkKind::Trench(Trench {
            line: Curve { points: line.map(|place| place.0).to_vec(), smooth: false },
            invert_m: line.map(|place| place.1).to_vec(),
            width_m: pipe_m + BESIDE_M,
            side: 0.0,
            bedding_m: 0.05,
            pipe_m,
        }),
    };
    site.next_id = next_id;
    let at = site.works.iter().position(|work| work.id == pond).unwrap_or(0);
    site.works.insert(at, drain);
    site
}
