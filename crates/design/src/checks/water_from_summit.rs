//! Water that seems to spring from the top: too little ground rises behind the lip.
//!
//! ```text
//!        . - - - .        half circle behind the lip, 36 bearings 5 degrees apart,
//!      /     ^     \      the first 2.5 degrees off its edge
//!     |      |      |
//!     +---- lip ----+     a bearing is backed when ground on it rises enough within reach
//!            v water
//! ```

use ground::curve::Closure;
use site::works::FilterBed;
use site::{Work, WorkKind};
use units::length_text;

use super::line::Line;
use super::seen::Seen;
use super::words::{enough_text, percent};
use crate::{Code, Finding, Measured, Remedy, Severity, Unit};

/// Bearings over the half circle.
const N_BEARINGS: u32 = 36;

const SOURCE: &str = "this program's own measure";

pub(super) fn check(seen: &Seen<'_>) -> Vec<Finding> {
    let check = |work: &&Work| match &work.kind {
        WorkKind::FilterBed(filter) => finding(seen, work, filter),
        _ => None,
    };
    seen.visible().filter_map(|work| check(&work)).collect()
}

fn finding(seen: &Seen<'_>, work: &Work, filter: &FilterBed) -> Option<Finding> {
    let limits = &seen.site.limits;
    let share = backed_share(seen, filter)?;
    if share >= limits.lip_backdrop_share {
        return None;
    }
    let [x, y] = filter.lip.at;
    Some(Finding {
        code: Code::WaterFromSummit,
        severity: Severity::LookAt,
        work: Some(work.id),
        at_m: [x, y, filter.lip.elevation_m],
        measured: Measured { value: share, limit: limits.lip_backdrop_share, unit: Unit::Ratio },
        message: format!(
            "Water seems to spring from the top: within {} behind the lip, ground rises {} above \
             it on {} of the half circle; {} is wanted.",
            length_text(limits.lip_backdrop_reach_m, seen.unit),
            length_text(limits.lip_backdrop_rise_m, seen.unit),
            if share > 0.0 { percent(share) } else { "none".into() },
            percent(limits.lip_backdrop_share),
        ),
        remedy: Some(remedy(seen, work, filter)),
        source: SOURCE,
        caution: None,
    })
}

/// Share of the half circle behind the lip on which ground rises enough; none without ground.
fn backed_share(seen: &Seen<'_>, filter: &FilterBed) -> Option<f64> {
    let limits = &seen.site.limits;
    let near = seen.near(&[filter.lip.at], limits.lip_backdrop_reach_m)?;
    let behind = behind(filter)?;
    let start_rad = libm::atan2(behind[1], behind[0]) - std::f64::consts::FRAC_PI_2;
    let level_m = filter.lip.elevation_m + limits.lip_backdrop_rise_m - super::SAME_LEVEL_M;
    let is_backed = |i: &u32| {
        let angle_rad =
            start_rad + (f64::from(*i) + 0.5) * std::f64::consts::PI / f64::from(N_BEARINGS);
        let (sin, cos) = libm::sincos(angle_rad);
        let reach_m = limits.lip_backdrop_reach_m;
        let end = [filter.lip.at[0] + reach_m * cos, filter.lip.at[1] + reach_m * sin];
        near.section(filter.lip.at, end).iter().any(|p| p.z_m[0].max(p.z_m[1]) >= level_m)
    };
    Some((0..N_BEARINGS).filter(is_backed).count() as f64 / f64::from(N_BEARINGS))
}

/// The direction against the flow: into the filter, square to its outline at the lip.
fn behind(filter: &FilterBed) -> Option<[f64; 2]> {
    let outline = Line::new(&filter.outline, Closure::Closed)?;
    let station = outline.path.nearest(filter.lip.at).station_m;
    let [tx, ty] = outline.path.at_station(station).tangent;
    // The inside lies on the left of a ring that goes counter-clockwise.
    let turn = ground::curve::signed_area_m2(outline.path.points()).signum();
    Some([-ty * turn, tx * turn])
}

/// Raises the filter's own rim to the backdrop's height.
fn remedy(seen: &Seen<'_>, work: &Work, filter: &FilterBed) -> Remedy {
    let rise_m = seen.site.limits.lip_backdrop_rise_m;
    if filter.freeboard_m >= rise_m {
        let message = "Raise ground behind the lip, nearer to it.".into();
        return Remedy { message, site: None };
    }
    let site = seen.with(work.id, |kind| {
        if let WorkKind::FilterBed(filter) = kind {
            filter.freeboard_m = rise_m;
        }
    });
    let message = format!(
        "Raise the filter's rim by {}, to {} above the lip.",
        enough_text(rise_m - filter.freeboard_m, seen.unit),
        length_text(rise_m, seen.unit)
    );
    Remedy { message, site }
}
