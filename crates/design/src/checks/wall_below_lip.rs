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
use site::works::{TopRun, Wall};
use site::{Site, Work, WorkId, WorkKind};
use units::length_text;

use super::line::{Line, Stretch, Top, least_share, stretches};
use super::seen::Seen;
use super::words::{WALL_CAUTION, along_line, enough_text, stretch_text};
use super::{COMMON_PRACTICE, SAME_LEVEL_M};
use crate::{Code, Evaluation, Finding, Measured, Remedy, Severity, Unit};

pub(super) fn check(seen: &Seen<'_>) -> Vec<Finding> {
    let wall = |work| match &work {
        &&Work { kind: WorkKind::Wall(ref wall), .. } => finding(seen, work, wall),
        _ => None,
    };
    seen.visible().filter_map(wall).collect()
}

/// How far each wall that holds water falls short of what it must reach where it lacks most, metres;
/// below zero where its whole top stands higher.
pub(crate) fn shortfalls(site: &Site, evaluation: &Evaluation) -> Vec<(WorkId, f64)> {
    let seen = Seen::new(site, evaluation);
    let short = |work: &Work| match &work.kind {
        WorkKind::Wall(wall) => Some((work.id, Held::new(&seen, wall)?.worst(&wall.top_m))),
        _ => None,
    };
    seen.visible().filter_map(short).collect()
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
    run: TopRun,
    /// How far the top that holds the water stands above the wall's own: that of its hindmost tier in
    /// front of the water.
    tier_m: f64,
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
        let fall = limits.wall_fall_run_per_rise;
        let clearance_m = over_lip_m(seen, holds.id).unwrap_or(limits.wall_clearance_m);
        let points = outline.path.points().iter();
        let away_m = points.map(|&p| line.path.nearest(p).distance_m).fold(f64::INFINITY, f64::min);
        let (run, tier_m) = (wall.top_run, tier_before_m(wall, away_m));
        Some(Self { line, beside_m, water_m, clearance_m, fall, run, tier_m })
    }

    /// The level that the top must reach at a station.
    fn needed_m(&self, station_m: f64) -> f64 {
        let [from, to] = self.beside_m;
        let past_m = (from - station_m).max(station_m - to).max(0.0);
        self.water_m + self.clearance_m - past_m / self.fall
    }

    /// Stations at which tops or needs bend, with how far the top falls short there.
    fn shortfalls(&self, top_m: &[f64]) -> (Vec<f64>, Vec<f64>) {
        let top = Top::new(&self.line, self.run, top_m);
        let mut tops: Vec<(f64, f64)> =
            top.stations_m.iter().copied().zip(top.levels_m.iter().copied()).collect();
        for at in self.beside_m.into_iter().filter(|at| !top.stations_m.contains(at)) {
            let after = tops.partition_point(|&(station, _)| station <= at);
            tops.insert(after, (at, top.at_station(at)));
        }
        let short = |&(at, top_m): &(f64, f64)| self.needed_m(at) - top_m - self.tier_m;
        (tops.iter().map(|&(at, _)| at).collect(), tops.iter().map(short).collect())
    }

    fn worst(&self, top_m: &[f64]) -> f64 {
        self.shortfalls(top_m).1.into_iter().fold(f64::NEG_INFINITY, f64::max)
    }
}

/// What edges are to stand above a filter's lip by the water that runs over it, where that is known.
fn over_lip_m(seen: &Seen<'_>, filter: WorkId) -> Option<f64> {
    let filter = seen.running().filters.iter().find(|outcome| outcome.work == filter)?;
    filter.lip.as_ref().ok().map(|lip| lip.edge_above_crest_m)
}

/// How far the hindmost tier that stands in front of water at a distance rises above the wall's top.
fn tier_before_m(wall: &Wall, away_m: f64) -> f64 {
    let (mut back_m, mut rise_m) = (0.0, 0.0);
    for tier in &wall.tiers {
        back_m += tier.back_m;
        if back_m > away_m {
            break;
        }
        rise_m += tier.rise_m;
    }
    rise_m
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
    let full_m = held.water_m + held.clearance_m - held.tier_m;
    let stations = held.line.drawn_stations_m(wall.top_m.len());
    let [from, to] = held.beside_m;
    let last_before = stations.iter().rposition(|&s| s <= from).unwrap_or(0);
    let first_after = stations.iter().position(|&s| s >= to).unwrap_or(stations.len() - 1);
    let needed = |(i, (&old, &at)): (usize, (&f64, &f64))| {
        let beside = (last_before..=first_after).contains(&i);
        // A stepped top keeps a point's level up to the next one.
        let until = if held.run == TopRun::Stepped { stations.get(i + 1) } else { None };
        let needed_m =
            held.needed_m(at).max(until.map_or(f64::NEG_INFINITY, |&s| held.needed_m(s)));
        old.max(if beside { full_m } else { needed_m - held.tier_m })
    };
    wall.top_m.iter().zip(&stations).enumerate().map(needed).collect()
}
