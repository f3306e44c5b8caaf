//! Ground whose rain comes to the walls of a house, or stands in a hollow beside them, since the works.
//!
//! What came there before is the owner's to judge; what the works add is told.

use ground::Surface;
use ground::curve::contains;
use ground::query::{Catchments, DrainsTo, Receiver, catchments, face_area_m2};
use site::House;
use units::{area_text, length_text};

use crate::checks::drainage::{drain_text, place, storm_m3_s};
use crate::checks::seen::Seen;
use crate::stretch::to_stretch_m;
use crate::{Code, Finding, Measured, Remedy, Severity, Unit};

/// More than this must be added to be told, square metres: less is a change of how triangles lie.
const LEAST_M2: f64 = 10.0;
/// A hollow this near to a wall stands beside it, metres: common practice.
const BESIDE_M: f64 = 1.0;

const SOURCE: &str = "IRC R401.3, water is led away from foundations; least area common practice";

/// What the works bring to the house of this number.
pub(super) fn of_house(seen: &Seen<'_>, number: usize) -> Option<Finding> {
    let now_m2 = *seen.drainage()?.at_houses_m2.get(number)?;
    let before_m2 = *seen.at_houses_before?.get(number)?;
    finding(seen, seen.site.houses.get(number)?, now_m2, before_m2)
}

/// The area of the sloping ground outside each house whose rain comes to its walls, square metres.
pub(in crate::checks) fn at_houses(surface: &Surface, houses: &[House]) -> Vec<f64> {
    if houses.is_empty() {
        return Vec::new();
    }
    let receivers: Vec<_> = houses.iter().map(|house| footprint(surface, house)).collect();
    at_houses_in(surface, houses, &catchments(surface, &receivers), 0)
}

/// The same from catchments in which the houses are the receivers from number `first` on.
///
/// Level ground has no way of its own: it isn't counted.
pub(in crate::checks) fn at_houses_in(
    surface: &Surface,
    houses: &[House],
    found: &Catchments<'_>,
    first: usize,
) -> Vec<f64> {
    let beside = |vertex: u32| {
        let at = surface.lattice().metres(surface.vertices()[vertex as usize]);
        houses.iter().position(|house| to_house_m(house, at) <= BESIDE_M)
    };
    let house_of = |to: DrainsTo| match to {
        DrainsTo::Receiver(number) => number.checked_sub(first).filter(|&i| i < houses.len()),
        DrainsTo::Pit { vertex } | DrainsTo::Flat { vertex } => beside(vertex),
        DrainsTo::Border => None,
    };
    let house_of: Vec<Option<usize>> = found.all().iter().map(|c| house_of(c.to)).collect();
    let mut areas_m2 = vec![0.0; houses.len()];
    for f in 0..surface.faces().len() as u32 {
        let z = surface.corner_heights(f);
        if z[0] == z[1] && z[1] == z[2] {
            continue;
        }
        found.each_part(f, |part| {
            if let Some(i) = house_of[part.end]
                && !contains(&houses[i].outline_m, place(surface, f))
            {
                areas_m2[i] += part.share * face_area_m2(surface, f);
            }
        });
    }
    areas_m2
}

/// The ground under a house as a receiver.
pub(in crate::checks) fn footprint(surface: &Surface, house: &House) -> Receiver<'static> {
    let within = |&f: &u32| contains(&house.outline_m, place(surface, f));
    Receiver::faces((0..surface.faces().len() as u32).filter(within).collect())
}

/// How far a place lies from a house's walls, metres.
fn to_house_m(house: &House, at: [f64; 2]) -> f64 {
    let n = house.outline_m.len();
    let walls = (0..n).map(|i| [house.outline_m[i], house.outline_m[(i + 1) % n]]);
    walls.map(|wall| to_stretch_m(at, wall)).fold(f64::INFINITY, f64::min)
}

fn finding(seen: &Seen<'_>, house: &House, now_m2: f64, before_m2: f64) -> Option<Finding> {
    let limit_m2 = before_m2 + LEAST_M2;
    if now_m2 <= limit_m2 {
        return None;
    }
    let n = house.outline_m.len();
    let middle = |i: usize| {
        let (a, b) = (house.outline_m[i], house.outline_m[(i + 1) % n]);
        seen.on_ground([0.5 * (a[0] + b[0]), 0.5 * (a[1] + b[1])])
    };
    // Where the ground beside it is lowest.
    let at_m = (0..n).map(middle).min_by(|a, b| a[2].total_cmp(&b[2]))?;
    let area = |m2: f64| area_text(m2, seen.unit);
    Some(Finding {
        code: Code::DrainsToHouse,
        severity: Severity::LookAt,
        work: None,
        at_m,
        measured: Measured { value: now_m2, limit: limit_m2, unit: Unit::SquareMetre },
        message: format!(
            "Rain on {} of ground runs to the walls of {} or stands within {} of them, {} more than \
             before the works.",
            area(now_m2),
            house.name,
            length_text(BESIDE_M, seen.unit),
            area(now_m2 - before_m2),
        ),
        remedy: Some(Remedy {
            // Where a drain runs is drawn by who sees the place; what it carries is reckoned.
            message: format!(
                "Let the worked ground shed away from the house, or lead its water past in a swale or {}.",
                drain_text(&storm_m3_s(seen, now_m2), seen.unit)
            ),
            site: None,
        }),
        source: SOURCE,
        caution: None,
    })
}
