//! A wall that the earth behind it may tip or push, by its weight alone: an indicative check.
//!
//! Earth pressure by Rankine, nothing in front, friction on the base (K-15 to K-19). Behind a wall that
//! holds water the earth is judged saturated.

use site::works::{Wall, WallMaterial};
use site::{Work, WorkKind};

use super::seen::Seen;
use super::standing::{Standing, standing};
use super::words::{WALL_CAUTION, enough_text};
use crate::earth_pressure::{GravityWall, radians};
use crate::{Code, Finding, Measured, Remedy, Severity, Unit, WorkOutcome};

const SOURCE: &str = "IRC 2009 R404.4, 1.5 against sliding and overturning; pressure by Rankine; an \
     indicative check";
/// Lower walls are kerbs, metres: common practice.
const LEAST_M: f64 = 0.45;
/// Weight of water-filled earth over that in the bank, tonnes per cubic metre: a fifth of it is gaps
/// that fill; common practice.
const SOAKED_T_M3: f64 = 0.2;
/// Thickest wall that is offered, metres.
const THICKEST_M: f64 = 5.0;
/// Thickness is offered to this, metres.
const FINENESS_M: f64 = 0.001;

pub(super) fn check(seen: &Seen<'_>) -> Vec<Finding> {
    let of = |(work, outcome): (&Work, &WorkOutcome)| match &work.kind {
        WorkKind::Wall(wall) => of_wall(seen, work, wall, outcome),
        _ => None,
    };
    seen.built().filter_map(of).collect()
}

/// Weight of a wall with its gaps, tonnes per cubic metre; common practice.
fn density_t_m3(material: WallMaterial) -> f64 {
    match material {
        WallMaterial::Stone => 2.2,
        WallMaterial::Block => 2.0,
        WallMaterial::Boulder => 1.9,
    }
}

fn of_wall(seen: &Seen<'_>, work: &Work, wall: &Wall, outcome: &WorkOutcome) -> Option<Finding> {
    let standing = standing(seen, work, wall, outcome);
    let high = standing.iter().filter(|place| place.height_m > LEAST_M);
    let least = |place: &Standing| {
        let stability = as_built(seen, wall, place).stability();
        stability.sliding.min(stability.overturning)
    };
    let worst = high.min_by(|a, b| least(a).total_cmp(&least(b)))?;
    let (safety, limit) = (least(worst), seen.site.limits.wall_safety);
    // A thickness of nought or a number that is none gives no safety to speak of.
    if !safety.is_finite() || safety >= limit {
        return None;
    }
    let built = as_built(seen, wall, worst);
    let slides = built.stability().sliding <= built.stability().overturning;
    let thicker = thick_enough(built, limit);
    let to_do = match thicker {
        Some(thick_m) => format!(
            "Make it {} thicker, or lower it, or part it into tiers.",
            enough_text(thick_m - wall.thickness_m, seen.unit)
        ),
        None => "Lower it, or part it into tiers, or have it designed.".to_owned(),
    };
    let site = thicker.and_then(|thick_m| {
        seen.with(work.id, |kind| {
            if let WorkKind::Wall(wall) = kind {
                wall.thickness_m = thick_m;
            }
        })
    });
    Some(Finding {
        code: Code::WallTooLight,
        severity: Severity::LookAt,
        work: Some(work.id),
        at_m: worst.top_m,
        measured: Measured { value: safety, limit, unit: Unit::Ratio },
        message: format!(
            "By its weight alone the wall is safe against {} by {safety:.2} only, {limit:.2} asked for{}.",
            if slides { "being pushed out" } else { "tipping over" },
            if built.is_saturated { "; the earth behind it is taken as full of water" } else { "" },
        ),
        remedy: Some(Remedy { message: to_do, site }),
        source: SOURCE,
        caution: Some(WALL_CAUTION),
    })
}

/// The wall at one place with the earth behind it.
fn as_built(seen: &Seen<'_>, wall: &Wall, place: &Standing) -> GravityWall {
    let soil_t_m3 = seen.site.soils.layers.first().map_or(1.6, |soil| soil.bank_density_t_m3);
    let is_saturated = wall.holds.is_some();
    GravityWall {
        height_m: place.height_m,
        thickness_m: wall.thickness_m,
        batter: wall.batter,
        density_t_m3: density_t_m3(wall.material),
        earth_t_m3: soil_t_m3 + if is_saturated { SOAKED_T_M3 } else { 0.0 },
        friction_rad: radians(seen.site.limits.wall_friction_deg),
        slope_rad: libm::atan(place.slope()),
        is_saturated,
    }
}

/// The least thickness that is safe, to a millimetre; none up to the thickest.
fn thick_enough(wall: GravityWall, limit: f64) -> Option<f64> {
    let is_safe = |thickness_m: f64| {
        let stability = GravityWall { thickness_m, ..wall }.stability();
        stability.sliding.min(stability.overturning) >= limit
    };
    let (mut low, mut high) = (wall.thickness_m, THICKEST_M);
    if !is_safe(high) {
        return None;
    }
    while high - low > FINENESS_M {
        let middle = 0.5 * (low + high);
        if is_safe(middle) { high = middle } else { low = middle }
    }
    Some(high)
}
