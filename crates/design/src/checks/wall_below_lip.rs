//! A wall that holds water: its top against the lip plus clearance.
//!
//! ```text
//!          need = lip + clearance
//!      ____________________
//!     /|                  |\    past the water the top may fall at the chosen grade
//!    / |   water held     | \
//! ---s0-------------------s1---  stations along the wall
//! ```

use ground::curve::Closure;
use site::works::Wall;
use site::{Work, WorkKind};
use units::length_text;

use super::line::{Line, Stretch, least_share, stretches};
use super::seen::Seen;
use super::words::{WALL_CAUTION, along_line, enough_text, stretch_text};
use super::{COMMON_PRACTICE, SAME_LEVEL_M};
use crate::{Code, Finding, Measured, Remedy, Severity, Unit};

pub(super) fn check(seen: &Seen<'_>) -> Vec<Finding> {
    let wall = |work| match &work {
        &&Work { kind: WorkKind::Wall(ref wall), .. } => finding(seen, work, wall),
        _ => None,
    };
    seen.visible().filter_map(wall).collect()
}

/// What the wall has to hold, and where along it.
struct Held {
    line: Line,
    /// Stations between which the water stands beside the wall.
    beside_m: [f64; 2],
    /// Level of the lip or of the still water.
    water_m: f64,
    clearance_m: f64,
    fall: f64,
}

impl Held {
    fn new(seen: &Seen<'_>, wall: &Wall) -> Option<Self> {
        let holds = seen.work(wall.holds?).filter(|work| work.visible)?;
        let (outline, water_m) = match &holds.kind {
            WorkKind::FilterBed(filter) => (&filter.outline, filter.lip.elevation_m),
            WorkKind::Basin(basin) => (&basin.outline, basin.water_level_m),
            _ => return None,
        };
        let line = Line::new(&wall.line, Closure::Open)?;
        let outline = Line::new(outline, Closure::Closed)?;
        let stations = outline.path.points().iter().map(|&p| line.path.nearest(p).station_m);
        let beside_m = stations
            .fold([f64::INFINITY, f64::NEG_INFINITY], |[low, high], s| [low.min(s), high.max(s)]);
        let limits = &seen.site.limits;
        let (clearance_m, fall) = (limits.wall_clearance_m, limits.wall_fall_run_per_rise);
        Some(Self { line, beside_m, water_m, clearance_m, fall })
    }

    /// The level that the top must reach at a station.
    fn needed_m(&self, station_m: f64) -> f64 {
        let [from, to] = self.beside_m;
        let past_m = (from - station_m).max(station_m - to).max(0.0);
        self.water_m + self.clearance_m - past_m / self.fall
    }

    /// Stations at which tops or needs bend, with how far the top falls short there.
    fn shortfalls(&self, top_m: &[f64]) -> (Vec<f64>, Vec<f64>) {
        let tops = self.line.blended(top_m);
        let mut stations: Vec<f64> = self.line.stations_m().to_vec();
        stations.extend(self.beside_m);
        stations.sort_by(f64::total_cmp);
        stations.dedup();
        let short = |&at: &f64| self.needed_m(at) - self.line.value_at(&tops, at);
        let shorts = stations.iter().map(short).collect();
        (stations, shorts)
    }

    fn worst(&self, top_m: &[f64]) -> f64 {
        self.shortfalls(top_m).1.into_iter().fold(f64::NEG_INFINITY, f64::max)
    }
}

fn finding(seen: &Seen<'_>, work: &Work, wall: &Wall) -> Option<Finding> {
    let held = Held::new(seen, wall)?;
    let (stations, shorts) = held.shortfalls(&wall.top_m);
    let found = stretches(&stations, &shorts);
    let worst = *found.iter().max_by(|a, b| a.short_m.total_cmp(&b.short_m))?;
    let long_m: f64 = found.iter().map(|s| s.ends_m[1] - s.ends_m[0]).sum();
    let needed_m = held.needed_m(worst.worst_m);
    let top_m = needed_m - worst.short_m;
    let at = held.line.path.at_station(worst.worst_m).at;
    Some(Finding {
        code: Code::WallBelowLip,
        severity: Severity::Stop,
        work: Some(work.id),
        at_m: [at[0], at[1], top_m],
        measured: Measured { value: top_m, limit: needed_m, unit: Unit::Elevation },
        message: message(seen, &held, &worst, (top_m, long_m)),
        remedy: Some(remedy(seen, work, wall, &held)),
        source: COMMON_PRACTICE,
        caution: Some(WALL_CAUTION),
    })
}

fn message(seen: &Seen<'_>, held: &Held, worst: &Stretch, (top_m, long_m): (f64, f64)) -> String {
    let length_m = held.line.path.length_m();
    let ends = [0.0, length_m].map(|s| held.line.path.at_station(s).at);
    let place = along_line(worst.worst_m / length_m, ends);
    let beside = worst.worst_m >= held.beside_m[0] && worst.worst_m <= held.beside_m[1];
    let below_m = held.water_m - top_m;
    let [short, below, clearance] =
        [worst.short_m, below_m, held.clearance_m].map(|m| length_text(m, seen.unit));
    let long = stretch_text(long_m, seen.unit);
    if beside && below_m > SAME_LEVEL_M && held.clearance_m > 0.0 {
        format!(
            "The wall is {below} below the lip for {long}, worst {place}; with {clearance} of \
             clearance it is {short} short. Raise it, or lower the lip."
        )
    } else if beside && below_m > SAME_LEVEL_M {
        format!(
            "The wall is {below} below the lip for {long}, worst {place}. Raise it, or lower the lip."
        )
    } else if beside {
        format!(
            "The wall lacks {short} of the {clearance} that it must stand above the lip, for \
             {long}, worst {place}. Raise it, or lower the lip."
        )
    } else {
        format!(
            "Past the water the wall's top falls too soon: it is {short} short for {long}, worst \
             {place}. Raise it, or lower the lip."
        )
    }
}

/// Raises the tops at the points concerned, by no more than it takes.
fn remedy(seen: &Seen<'_>, work: &Work, wall: &Wall, held: &Held) -> Remedy {
    let whole = raised(wall, held);
    let part = |share: f64| -> Vec<f64> {
        wall.top_m.iter().zip(&whole).map(|(old, new)| old + (new - old) * share).collect()
    };
    let share = least_share(|share| held.worst(&part(share)));
    let tops = part(share);
    let most_m = tops.iter().zip(&wall.top_m).map(|(new, old)| new - old).fold(0.0, f64::max);
    let n_points = tops.iter().zip(&wall.top_m).filter(|(new, old)| new != old).count();
    let which = match (wall.top_m.len(), n_points) {
        (1, _) => "its whole length".to_owned(),
        (_, 1) => "one point".to_owned(),
        (_, n) => format!("{n} points"),
    };
    let message =
        format!("Raise the wall's top at {which}, by up to {}.", enough_text(most_m, seen.unit));
    let site = seen.with(work.id, |kind| {
        if let WorkKind::Wall(wall) = kind {
            wall.top_m = tops;
        }
    });
    Remedy { message, site }
}

/// Tops that are surely enough: full height beside the water and at the first point past it.
fn raised(wall: &Wall, held: &Held) -> Vec<f64> {
    if wall.top_m.len() == 1 {
        return vec![wall.top_m[0] + held.worst(&wall.top_m).max(0.0)];
    }
    let full_m = held.water_m + held.clearance_m;
    let stations = held.line.drawn_stations_m(wall.top_m.len());
    let [from, to] = held.beside_m;
    let last_before = stations.iter().rposition(|&s| s <= from).unwrap_or(0);
    let first_after = stations.iter().position(|&s| s >= to).unwrap_or(stations.len() - 1);
    let needed = |(i, (&old, &at)): (usize, (&f64, &f64))| {
        let beside = (last_before..=first_after).contains(&i);
        old.max(if beside { full_m } else { held.needed_m(at) })
    };
    wall.top_m.iter().zip(&stations).enumerate().map(needed).collect()
}
