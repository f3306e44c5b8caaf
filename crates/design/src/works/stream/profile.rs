//! A stream's profile and widths along its line.

use site::works::{Fall, Station, Stream};

/// Length of the level stone over which a pool spills.
const SILL_M: f64 = 0.3;

/// The bed widens or narrows toward a crest over this much length for each metre of its width.
const TAPER_PER_WIDTH: f64 = 1.0;

/// Knots nearer than this along the line are one.
const SAME_KNOT_M: f64 = 1e-3;

/// The stream at one distance.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Knot {
    /// Distance from the head.
    pub(crate) along_m: f64,
    /// Elevation of the running profile: the bed without its pools.
    pub(crate) running_m: f64,
    /// Elevation of the bed.
    pub(crate) bed_m: f64,
    pub(crate) bed_width_m: f64,
    /// Slope of the sides: run per rise.
    pub(crate) side: f64,
    /// Heights of the liner's edges above the running profile, left and right.
    pub(crate) edge_m: [f64; 2],
}

impl Knot {
    /// The stream a part of the way to another place.
    pub(crate) fn toward(&self, to: &Self, along_m: f64) -> Self {
        let run_m = to.along_m - self.along_m;
        let share = if run_m > 0.0 { (along_m - self.along_m) / run_m } else { 0.0 };
        let blend = |a: f64, b: f64| a + share * (b - a);
        Self {
            along_m,
            running_m: blend(self.running_m, to.running_m),
            bed_m: blend(self.bed_m, to.bed_m),
            bed_width_m: blend(self.bed_width_m, to.bed_width_m),
            side: blend(self.side, to.side),
            edge_m: [0, 1].map(|k| blend(self.edge_m[k], to.edge_m[k])),
        }
    }
}

/// A stream's parameters as functions of the distance from its head.
#[derive(Clone, Debug)]
pub(super) struct Profile {
    stations: Vec<Station>,
    falls: Vec<Fall>,
    /// How far each fall's crest width reaches along the line.
    tapers_m: Vec<f64>,
    running: Steps,
    bed: Steps,
    crests: Vec<Crest>,
}

/// A crest behind which the bed lies lower: water stays there when none runs.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Crest {
    /// Distance from the head.
    pub(super) along_m: f64,
    pub(super) level_m: f64,
    /// Distance at which the bed steps up to the stone of the crest.
    pub(super) sill_m: f64,
}

/// A function of the distance, linear between its points; two points at one distance are a step.
#[derive(Clone, Debug, Default)]
struct Steps(Vec<[f64; 2]>);

/// Which side of a step is meant.
#[derive(Clone, Copy, PartialEq)]
enum Limit {
    Upstream,
    Downstream,
}

impl Profile {
    /// The profile over a line of the given length; distances beyond its ends count as the ends.
    pub(super) fn new(stream: &Stream, length_m: f64) -> Result<Self, &'static str> {
        let mut stations = stream.stations.clone();
        stations.iter_mut().for_each(|s| s.along_m = s.along_m.clamp(0.0, length_m));
        stations.sort_by(|a, b| a.along_m.total_cmp(&b.along_m));
        stations.dedup_by(|b, a| b.along_m - a.along_m < SAME_KNOT_M);
        let mut falls = stream.falls.clone();
        falls.iter_mut().for_each(|f| f.along_m = f.along_m.clamp(0.0, length_m));
        falls.sort_by(|a, b| a.along_m.total_cmp(&b.along_m));
        falls.dedup_by(|b, a| b.along_m - a.along_m < SAME_KNOT_M);
        if stations.is_empty() {
            return Err("it has no station");
        }
        let mut profile = Self {
            tapers_m: Vec::new(),
            running: Steps::default(),
            bed: Steps::default(),
            crests: Vec::new(),
            stations,
            falls,
        };
        profile.tapers_m = profile.tapers(length_m);
        profile.lay();
        Ok(profile)
    }

    /// The crests that hold a pool.
    pub(super) fn crests(&self) -> &[Crest] {
        &self.crests
    }

    /// Width of the bed at a distance.
    pub(super) fn bed_width_m(&self, along_m: f64) -> f64 {
        self.width(along_m, self.station(along_m).bed_width_m)
    }

    /// The knots at every place where anything bends: the line, the profile or the widths. A step
    /// has two, first the upstream one.
    pub(super) fn knots(&self, line_stations_m: &[f64], step_m: f64) -> Vec<Knot> {
        let tapers = (self.falls.iter().zip(&self.tapers_m))
            .flat_map(|(fall, taper)| [fall.along_m - taper, fall.along_m + taper]);
        let bends = self.stations.iter().map(|s| s.along_m).chain(tapers);
        // Steps come first: where two knots are one, a step stays at its exact distance.
        let mut at: Vec<(f64, u8)> = self.bed.0.iter().map(|p| (p[0], 0)).collect();
        at.extend(bends.map(|along| (along, 1)));
        at.extend(line_stations_m.iter().map(|&along| (along, 2)));
        let length_m = line_stations_m.last().copied().unwrap_or(0.0);
        at.retain(|(along, _)| (0.0..=length_m).contains(along));
        at.sort_by(|a, b| a.0.total_cmp(&b.0).then(a.1.cmp(&b.1)));
        let mut merged: Vec<(f64, u8)> = Vec::new();
        for (along, rank) in at {
            match merged.last_mut() {
                Some(last) if along - last.0 < SAME_KNOT_M.max(step_m) => {
                    // The ends of the line are kept exactly.
                    let is_end = along == length_m;
                    if (rank < last.1 && last.0 > 0.0) || is_end {
                        *last = (along, rank.min(last.1));
                    }
                }
                _ => merged.push((along, rank)),
            }
        }
        let mut knots = Vec::with_capacity(merged.len() + 2 * self.falls.len());
        for (along, _) in merged {
            let above = self.knot(along, Limit::Upstream);
            let below = self.knot(along, Limit::Downstream);
            let steps = above.bed_m != below.bed_m || above.running_m != below.running_m;
            if steps && along > 0.0 && along < length_m {
                knots.extend([above, below]);
            } else {
                knots.push(if along > 0.0 { above } else { below });
            }
        }
        knots
    }

    fn knot(&self, along_m: f64, limit: Limit) -> Knot {
        let station = self.station(along_m);
        Knot {
            along_m,
            running_m: self.running.at(along_m, limit),
            bed_m: self.bed.at(along_m, limit),
            bed_width_m: self.bed_width_m(along_m),
            side: station.side,
            edge_m: station.edge_m,
        }
    }

    /// The stations blended straight between neighbours.
    fn station(&self, along_m: f64) -> Station {
        let after = self.stations.partition_point(|s| s.along_m <= along_m);
        if after == 0 {
            return self.stations[0];
        }
        let a = self.stations[after - 1];
        let Some(b) = self.stations.get(after) else { return a };
        let share = (along_m - a.along_m) / (b.along_m - a.along_m);
        let blend = |a: f64, b: f64| a + share * (b - a);
        Station {
            along_m,
            invert_m: blend(a.invert_m, b.invert_m),
            bed_width_m: blend(a.bed_width_m, b.bed_width_m),
            side: blend(a.side, b.side),
            edge_m: [0, 1].map(|k| blend(a.edge_m[k], b.edge_m[k])),
        }
    }

    /// The bed's width, drawn to the crest's beside a fall.
    fn width(&self, along_m: f64, plain_m: f64) -> f64 {
        let near = (self.falls.iter().zip(&self.tapers_m))
            .find(|(fall, taper)| (along_m - fall.along_m).abs() < **taper);
        match near {
            Some((fall, taper)) => {
                let share = (along_m - fall.along_m).abs() / taper;
                fall.crest_width_m + share * (plain_m - fall.crest_width_m)
            }
            None => plain_m,
        }
    }

    /// Lengths over which widths change, at most half-way to the next fall.
    fn tapers(&self, length_m: f64) -> Vec<f64> {
        let at = |i: usize| self.falls[i].along_m;
        (0..self.falls.len())
            .map(|i| {
                let change = self.falls[i].crest_width_m - self.station(at(i)).bed_width_m;
                let before = if i > 0 { 0.5 * (at(i) - at(i - 1)) } else { length_m };
                let after =
                    if i + 1 < self.falls.len() { 0.5 * (at(i + 1) - at(i)) } else { length_m };
                (TAPER_PER_WIDTH * change.abs()).max(SILL_M).min(before).min(after)
            })
            .collect()
    }

    /// Lays the running profile and the bed through stations, falls and pools.
    fn lay(&mut self) {
        let (stations, falls) = (self.stations.clone(), self.falls.clone());
        let mut falls = falls.iter().peekable();
        let mut last_m = 0.0;
        for station in &stations {
            while let Some(fall) = falls.next_if(|f| f.along_m < station.along_m + SAME_KNOT_M) {
                self.lay_fall(fall, last_m);
                last_m = fall.along_m;
            }
            if station.along_m - last_m >= SAME_KNOT_M || self.running.0.is_empty() {
                self.running.0.push([station.along_m, station.invert_m]);
                self.bed.0.push([station.along_m, station.invert_m]);
                last_m = station.along_m;
            }
        }
        for fall in falls {
            self.lay_fall(fall, last_m);
            last_m = fall.along_m;
        }
    }

    fn lay_fall(&mut self, fall: &Fall, last_m: f64) {
        let (along_m, level_m) = (fall.along_m, fall.crest_m);
        let sill_m = along_m - SILL_M.min(0.5 * (along_m - last_m));
        if fall.pool_m > 0.0 && along_m - sill_m > SAME_KNOT_M {
            self.bed.0.extend([[sill_m, level_m - fall.pool_m], [sill_m, level_m]]);
            self.crests.push(Crest { along_m, level_m, sill_m });
        }
        let lip = [[along_m, level_m], [along_m, level_m - fall.drop_m]];
        self.running.0.extend(lip);
        self.bed.0.extend(lip);
    }
}

impl Steps {
    fn at(&self, along_m: f64, limit: Limit) -> f64 {
        let points = &self.0;
        let after = points.partition_point(|p| match limit {
            Limit::Upstream => p[0] < along_m,
            Limit::Downstream => p[0] <= along_m,
        });
        let (Some(b), Some(a)) = (points.get(after), after.checked_sub(1).map(|i| points[i]))
        else {
            return points.get(after).or(points.last()).map_or(f64::NAN, |p| p[1]);
        };
        a[1] + (b[1] - a[1]) * ((along_m - a[0]) / (b[0] - a[0]))
    }
}
