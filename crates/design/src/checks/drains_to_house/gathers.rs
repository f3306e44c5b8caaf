//! Ground whose rain comes to the walls of a house, or stands in a hollow beside them, since the works.
//!
//! What came there before is the owner's to judge; what the works add is told.

use ground::Surface;
use ground::curve::contains;
use ground::query::{Catchments, DrainsTo, Receiver, catchments, face_area_m2};
use site::House;
use units::{area_text, length_text};

use crate::checks::drainage::place;
use crate::checks::seen::Seen;
use crate::stretch::to_stretch_m;
use crate::{Code, Finding, Measured, Remedy, Severity, Unit};

/// More than this must be added to be told, square metres: less is a change of how triangles lie.
const LEAST_M2: f64 = 10.0;
/// A hollow this near to a wall stands beside it, metres: common practice.
const BESIDE_M: f64 = 1.0;

const SOURCE: &str = "IRC R401.3, water is led away from foundations; least area common practice";

pub(super) fn check(seen: &Seen<'_>) -> Vec<Finding> {
    let (Some(now), Some(before)) = (seen.drainage(), seen.at_houses_before) else {
        return Vec::new();
    };
    let houses = seen.site.houses.iter().zip(&now.at_houses_m2).zip(before);
    houses.filter_map(|((house, now), before)| finding(seen, house, *now, *before)).collect()
}

/// The area of the ground outside each house whose rain comes to its walls, square metres.
pub(in crate::checks) fn at_houses(surface: &Surface, houses: &[House]) -> Vec<f64> {
    let receivers: Vec<Receiver<'_>> =
        houses.iter().map(|house| footprint(surface, house)).collect();
    let found = catchments(surface, &receivers);
    at_houses_in(surface, houses, &found, 0, &receivers)
}

/// The same from catchments in which the houses are the receivers from number `first` on.
pub(in crate::checks) fn at_houses_in(
    surface: &Surface,
    houses: &[House],
    found: &Catchments<'_>,
    first: usize,
    receivers: &[Receiver<'_>],
) -> Vec<f64> {
    let of = |(i, house): (usize, &House)| {
        let own = |to: DrainsTo| match to {
            DrainsTo::Receiver(number) => number == first + i,
            DrainsTo::Pit { vertex } | DrainsTo::Flat { vertex } => {
                let at = surface.lattice().metres(surface.vertices()[vertex as usize]);
                to_house_m(house, at) <= BESIDE_M
            }
            DrainsTo::Border => false,
        };
        let all_m2: f64 = found.all().iter().filter(|c| own(c.to)).map(|c| c.area_m2).sum();
        let under = receivers[first + i].faces.iter().map(|&f| face_area_m2(surface, f));
        (all_m2 - under.sum::<f64>()).max(0.0)
    };
    houses.iter().enumerate().map(of).collect()
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
            message:
                "Let the worked ground shed away from the house, or lead its water past in a swale \
                      or a drain."
                    .into(),
            site: None,
        }),
        source: SOURCE,
        caution: None,
    })
}
