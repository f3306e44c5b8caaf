//! The liner's edge against the water beside it plus freeboard.
//!
//! The liner's edge is the true edge of the water: higher ground outside it does not help, and where
//! a later work digs the ground away from under it, the edge falls with it.

mod filter;
mod stream;

use ground::curve::Closure;
use site::works::Basin;
use site::{Work, WorkId, WorkKind};
use units::elevation_text;

use self::filter::filter_findings;
use self::stream::stream_findings;
use super::line::{Line, Stretch, between, least_share, stretches_around};
use super::near::Near;
use super::seen::Seen;
use super::words::{compass, enough_text, short_text, stretch_text};
use super::{COMMON_PRACTICE, SAME_LEVEL_M};
use crate::{Code, Finding, Measured, Remedy, Severity, Unit};

/// Ground this much below the liner's edge no longer carries it, metres.
const UNDERCUT_M: f64 = 0.005;

pub(super) fn check(seen: &Seen<'_>) -> Vec<Finding> {
    let check = |work: &&Work| match &work.kind {
        WorkKind::Basin(basin) => Some(basin_findings(seen, work, basin)),
        WorkKind::FilterBed(bed) => Some(filter_findings(seen, work, bed)),
        WorkKind::Stream(stream) => Some(stream_findings(seen, work, stream)),
        WorkKind::Hill(_)
        | WorkKind::Wall(_)
        | WorkKind::IntakeBay(_)
        | WorkKind::Pad(_)
        | WorkKind::Path(_)
        | WorkKind::PlaneGrade(_)
        | WorkKind::Trench(_)
        | WorkKind::Strip(_) => None,
    };
    seen.visible().filter_map(|work| check(&work)).flatten().collect()
}

/// An edge that lacks less of its freeboard stands within what a crew levels to with a laser, metres;
/// common practice. Below the water no tolerance counts.
const LEVELLED_M: f64 = 0.003;

/// A closed liner's edge beside still water.
struct Edge {
    line: Line,
    /// Stations at which the ground is looked at.
    stations_m: Vec<f64>,
    /// Elevation of the edge there, by its own parameters.
    drawn_m: Vec<f64>,
    /// What of it the finished ground carries.
    carried_m: Vec<f64>,
    water_m: f64,
    need_m: f64,
}

/// The ground under an edge is looked at every so often, metres: narrower cuts are a shovel's.
const LOOK_EVERY_M: f64 = 0.25;

impl Edge {
    fn new(
        seen: &Seen<'_>,
        work: WorkId,
        line: Line,
        edge_m: &[f64],
        (water_m, need_m): (f64, f64),
    ) -> Self {
        let stations_m = looks(line.stations_m(), line.path.length_m());
        let mut edge =
            Self { drawn_m: Vec::new(), carried_m: Vec::new(), line, stations_m, water_m, need_m };
        edge.drawn_m = edge.levels(edge_m);
        let near = seen.near(edge.line.path.points(), UNDERCUT_M);
        let carried = |(&station, &drawn): (&f64, &f64)| {
            let at = edge.line.path.at_station(station).at;
            match near.as_ref().and_then(|near| ground_beside(seen, near, work, at)) {
                Some(z_m) if z_m < drawn - UNDERCUT_M => z_m,
                _ => drawn,
            }
        };
        edge.carried_m = edge.stations_m.iter().zip(&edge.drawn_m).map(carried).collect();
        edge
    }

    /// Levels given at the drawn points, at every station looked at.
    fn levels(&self, edge_m: &[f64]) -> Vec<f64> {
        let (mut stations, mut levels) =
            (self.line.stations_m().to_vec(), self.line.blended(edge_m));
        stations.push(self.line.path.length_m());
        levels.push(levels[0]);
        self.stations_m.iter().map(|&at| between(&stations, &levels, at)).collect()
    }

    fn stretches(&self) -> Vec<Stretch> {
        self.stretches_below(&self.carried_m)
    }

    /// The stretches on which levels at the stations looked at are below the need.
    fn stretches_below(&self, levels_m: &[f64]) -> Vec<Stretch> {
        let shorts: Vec<f64> = levels_m.iter().map(|z| self.need_m - z).collect();
        stretches_around(&self.stations_m, &shorts, self.line.path.length_m())
    }

    /// The levels carried, enough where a station lies within `reach_m` of another.
    fn carried_except(&self, station_m: f64, reach_m: f64) -> Vec<f64> {
        let length_m = self.line.path.length_m();
        let apart_m = |at: f64| {
            let along_m = (at - station_m).rem_euclid(length_m);
            along_m.min(length_m - along_m)
        };
        let levels = self.stations_m.iter().zip(&self.carried_m);
        levels.map(|(&at, &z)| if apart_m(at) <= reach_m { self.need_m } else { z }).collect()
    }

    /// Whether a station lies in a stretch or within `reach_m` of it.
    fn holds(&self, stretch: &Stretch, station_m: f64, reach_m: f64) -> bool {
        let length_m = self.line.path.length_m();
        let within = |s: f64| s >= stretch.ends_m[0] - reach_m && s <= stretch.ends_m[1] + reach_m;
        within(station_m) || within(station_m + length_m)
    }

    fn finding(
        &self,
        seen: &Seen<'_>,
        work: &Work,
        found: Vec<Stretch>,
        remedy: Option<Remedy>,
    ) -> Option<Finding> {
        let worst = *found.iter().max_by(|a, b| a.short_m.total_cmp(&b.short_m))?;
        let long_m: f64 = found.iter().map(|s| s.ends_m[1] - s.ends_m[0]).sum();
        let at = self.line.path.at_station(worst.worst_m).at;
        let edge_m = self.need_m - worst.short_m;
        let points = self.line.path.points();
        let n = points.len() as f64;
        let middle = [0, 1].map(|k| points.iter().map(|p| p[k]).sum::<f64>() / n);
        let below_water = edge_m < self.water_m - SAME_LEVEL_M;
        if worst.short_m < LEVELLED_M && !below_water {
            return None;
        }
        let mut message = format!(
            "The liner's edge is {} too low for {}, lowest on the {} side: {} beside water at {}.",
            short_text(worst.short_m, seen.unit),
            stretch_text(long_m, seen.unit),
            compass(middle, at),
            elevation_text(edge_m, seen.unit),
            elevation_text(self.water_m, seen.unit),
        );
        let station = worst.worst_m.rem_euclid(self.line.path.length_m());
        if edge_m < between(&self.stations_m, &self.drawn_m, station) - UNDERCUT_M {
            message.push_str(" A later work digs the ground away from under it.");
        } else if below_water {
            message.push_str(" The water leaves here.");
        }
        Some(Finding {
            code: Code::RimLow,
            severity: if below_water { Severity::Stop } else { Severity::LookAt },
            work: Some(work.id),
            at_m: [at[0], at[1], edge_m],
            measured: Measured { value: edge_m, limit: self.need_m, unit: Unit::Elevation },
            message,
            remedy,
            source: COMMON_PRACTICE,
            caution: None,
        })
    }
}

/// The finished ground beside a work's edge, unless another vessel joins the water there.
fn ground_beside(seen: &Seen<'_>, near: &Near, work: WorkId, at: [f64; 2]) -> Option<f64> {
    let (face, z_m) = near.face_at(at)?;
    let owner = seen.owner_of(face);
    let joined = match seen.work(work).map(|work| &work.kind) {
        Some(WorkKind::Basin(basin)) => basin.joins,
        _ => None,
    };
    let joins = seen.owner(owner).is_some_and(|other| match &other.kind {
        WorkKind::Basin(basin) => basin.joins == Some(work) || joined == Some(other.id),
        WorkKind::Stream(stream) => stream.from == Some(work) || stream.into == Some(work),
        WorkKind::FilterBed(_) => owner != work.0,
        WorkKind::IntakeBay(bay) => bay.from == Some(work),
        _ => false,
    });
    if joins { None } else { Some(z_m) }
}

fn basin_findings(seen: &Seen<'_>, work: &Work, basin: &Basin) -> Vec<Finding> {
    let Some(line) = Line::new(&basin.outline, Closure::Closed) else { return Vec::new() };
    let (water_m, need_m) = (basin.water_level_m, basin.water_level_m + basin.freeboard_m);
    let level = [need_m];
    let edge_m = if basin.liner_edge_m.is_empty() { &level[..] } else { &basin.liner_edge_m };
    let edge = Edge::new(seen, work.id, line, edge_m, (water_m, need_m));
    let overflow = basin.overflow.map(|at| edge.line.path.nearest(at).station_m);
    let is_overflow = |s: &Stretch| overflow.is_some_and(|at| edge.holds(s, at, OVERFLOW_REACH_M));
    let (meant, low): (Vec<Stretch>, Vec<Stretch>) =
        edge.stretches().into_iter().partition(|s| is_overflow(s));
    let mut found = Vec::new();
    if let Some(mut finding) = edge.finding(seen, work, low, basin_remedy(seen, work, basin, &edge))
    {
        if overflow.is_some() {
            finding.message.push_str(" It is not the intended overflow.");
        }
        found.push(finding);
    }
    // An overflow may stand below the freeboard, but not below the water that it keeps.
    let drains =
        meant.into_iter().filter(|s| need_m - s.short_m < water_m - SAME_LEVEL_M).collect();
    if let Some(mut finding) =
        edge.finding(seen, work, drains, basin_remedy(seen, work, basin, &edge))
    {
        finding.message.push_str(" It is the intended overflow, below the water that it keeps.");
        found.push(finding);
    }
    found
}

/// What the ground under an edge lacks, where the edge as drawn is high enough.
fn filled_again(seen: &Seen<'_>, low: &[Stretch]) -> Remedy {
    let short_m = low.iter().map(|stretch| stretch.short_m).fold(0.0, f64::max);
    let message = format!(
        "Fill under the liner's edge again by up to {}, or move the work that digs there.",
        enough_text(short_m, seen.unit)
    );
    Remedy { message, site: None }
}

/// An overflow drawn this near to a low stretch is meant by it, metres.
const OVERFLOW_REACH_M: f64 = 0.3;

/// Raises the edge at its low points; the overflow only up to the water.
fn basin_remedy(seen: &Seen<'_>, work: &Work, basin: &Basin, edge: &Edge) -> Option<Remedy> {
    if basin.liner_edge_m.is_empty() {
        return Some(filled_again(seen, &edge.stretches()));
    }
    let old = &basin.liner_edge_m;
    let overflow = basin.overflow.map(|at| edge.line.path.nearest(at).station_m);
    let stations = edge.line.drawn_stations_m(old.len());
    let found = edge.stretches_below(&edge.levels(old));
    let meant = |station: f64| {
        found.iter().any(|s| {
            overflow.is_some_and(|at| edge.holds(s, at, OVERFLOW_REACH_M))
                && edge.holds(s, station, 0.0)
        })
    };
    let target =
        |(&old, &at): (&f64, &f64)| old.max(if meant(at) { edge.water_m } else { edge.need_m });
    let whole: Vec<f64> = old.iter().zip(&stations).map(target).collect();
    let part = |share: f64| -> Vec<f64> {
        old.iter().zip(&whole).map(|(old, new)| old + (new - old) * share).collect()
    };
    let short = |share: f64| {
        let tops = edge.levels(&part(share));
        let stations = edge.stations_m.iter();
        let need = |at: f64| if meant(at) { edge.water_m } else { edge.need_m };
        stations.zip(tops).map(|(&at, z)| need(at) - z).fold(f64::NEG_INFINITY, f64::max)
    };
    let levels = part(least_share(short));
    let most_m = levels.iter().zip(old).map(|(new, old)| new - old).fold(0.0, f64::max);
    let message = format!("Raise the liner's edge by up to {}.", enough_text(most_m, seen.unit));
    let site = seen.with(work.id, |kind| {
        if let WorkKind::Basin(basin) = kind {
            basin.liner_edge_m = levels;
        }
    });
    Some(Remedy { message, site })
}

/// The stations of a closed line's places, and more between them.
fn looks(stations_m: &[f64], length_m: f64) -> Vec<f64> {
    let ends = stations_m.iter().skip(1).copied().chain([length_m]);
    let pieces = stations_m.iter().zip(ends).flat_map(|(&from, to)| {
        let n = ((to - from) / LOOK_EVERY_M).ceil().max(1.0);
        (0..n as usize).map(move |i| from + (to - from) * i as f64 / n)
    });
    pieces.collect()
}
