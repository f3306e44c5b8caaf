//! A drawn line with values along it, and the stretches on which something falls short.

use ground::curve::{self, Blend, Closure, Path};
use site::Curve;
use site::works::TopRun;

use super::SAME_LEVEL_M;

/// How far a chord may lie from its curve: as the works themselves are drawn.
const CHORD_M: f64 = crate::works::CHORD_M;

/// No lattice reaches farther: 2^29 steps of a millimetre. What lies beyond is drawn nowhere.
const REACH_M: f64 = 536_870.912;

/// A drawn curve, flattened as the works flatten it.
pub(crate) struct Line {
    pub(crate) path: Path,
    parameters: Vec<f64>,
    closure: Closure,
}

/// A stretch on which something falls short.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Stretch {
    /// Stations of its ends; on a closed line the second may lie beyond the line's length.
    pub(super) ends_m: [f64; 2],
    /// Station of the worst place.
    pub(super) worst_m: f64,
    /// How far it falls short there.
    pub(super) short_m: f64,
}

impl Line {
    /// The line as drawn; none where it has no length, or lies beyond any site.
    pub(crate) fn new(drawn: &Curve, closure: Closure) -> Option<Self> {
        if !drawn.points.iter().flatten().all(|c| c.abs() <= REACH_M) {
            return None;
        }
        let plain = || (0..drawn.points.len()).map(|i| i as f64).collect();
        let (points, parameters) = if drawn.smooth {
            let smoothed = curve::smooth(&drawn.points, closure, CHORD_M).ok()?;
            (smoothed.points, smoothed.parameters)
        } else {
            (drawn.points.clone(), plain())
        };
        Some(Self { path: Path::new(&points, closure).ok()?, parameters, closure })
    }

    /// Values at the drawn points, blended to every place of the line; one serves all.
    pub(super) fn blended(&self, drawn: &[f64]) -> Vec<f64> {
        let closure = if drawn.len() > 1 { self.closure } else { Closure::Open };
        let blend = |&at: &f64| curve::interpolate(drawn, closure, at, Blend::Smooth);
        self.parameters.iter().map(blend).collect()
    }

    /// Stations of the line's places, one for each.
    pub(super) fn stations_m(&self) -> &[f64] {
        &self.path.stations_m()[..self.parameters.len()]
    }

    /// Stations of the drawn points.
    pub(super) fn drawn_stations_m(&self, n_drawn: usize) -> Vec<f64> {
        let station = |drawn: usize| {
            let at = self.parameters.partition_point(|&p| p < drawn as f64 - 1e-9);
            self.stations_m()[at.min(self.parameters.len() - 1)]
        };
        (0..n_drawn).map(station).collect()
    }
}

/// A wall's top edge along its line, as it is built: stations, rising, and elevations. Where it steps
/// two elevations stand at one station.
pub(super) struct Top {
    pub(super) stations_m: Vec<f64>,
    pub(super) levels_m: Vec<f64>,
}

impl Top {
    pub(super) fn new(line: &Line, run: TopRun, drawn_m: &[f64]) -> Self {
        let stations_m = line.stations_m().to_vec();
        if run == TopRun::Sloping || drawn_m.len() < 2 {
            return Self { stations_m, levels_m: line.blended(drawn_m) };
        }
        let starts_m = line.drawn_stations_m(drawn_m.len());
        let mut top = Self { stations_m: Vec::new(), levels_m: Vec::new() };
        for (ends_m, &level_m) in starts_m.windows(2).zip(drawn_m) {
            top.stations_m.extend(ends_m);
            top.levels_m.extend([level_m; 2]);
        }
        top
    }

    /// Its elevation at a station; at a step that of the stretch that begins there.
    pub(super) fn at_station(&self, station_m: f64) -> f64 {
        between(&self.stations_m, &self.levels_m, station_m)
    }
}

/// A value at a station, straight between stations and level beyond them.
pub(super) fn between(stations_m: &[f64], values: &[f64], station_m: f64) -> f64 {
    let after = stations_m.partition_point(|&s| s <= station_m);
    match (after.checked_sub(1), stations_m.get(after)) {
        (None, _) => values.first().copied().unwrap_or(f64::NAN),
        (Some(i), None) => values[i],
        (Some(i), Some(next)) => {
            let share = (station_m - stations_m[i]) / (next - stations_m[i]);
            values[i] + (values[i + 1] - values[i]) * share
        }
    }
}

/// The stretches of an open line on which `short_m` is above zero; it runs straight between
/// stations.
pub(super) fn stretches(stations_m: &[f64], short_m: &[f64]) -> Vec<Stretch> {
    let mut found: Vec<Stretch> = Vec::new();
    let mut open: Option<Stretch> = None;
    for (i, (&at, &short)) in stations_m.iter().zip(short_m).enumerate() {
        let before = i.checked_sub(1).map(|j| (stations_m[j], short_m[j]));
        if short > SAME_LEVEL_M {
            let from = before.map_or(at, |before| zero_between(before, (at, short)));
            let stretch =
                open.get_or_insert(Stretch { ends_m: [from, at], worst_m: at, short_m: short });
            stretch.ends_m[1] = at;
            if short > stretch.short_m {
                (stretch.worst_m, stretch.short_m) = (at, short);
            }
        } else if let Some(mut stretch) = open.take() {
            stretch.ends_m[1] = before.map_or(at, |before| zero_between(before, (at, short)));
            found.push(stretch);
        }
    }
    found.extend(open);
    found
}

/// The stretches of a closed line of the given length; one may run through its start.
pub(super) fn stretches_around(stations_m: &[f64], short_m: &[f64], length_m: f64) -> Vec<Stretch> {
    let start = short_m.iter().position(|&s| s <= SAME_LEVEL_M).unwrap_or(0);
    let n = stations_m.len();
    let turned = (0..=n).map(|k| (start + k) % n);
    let mut laps_m: Vec<f64> = turned.clone().map(|i| stations_m[i]).collect();
    let around: Vec<f64> = turned.map(|i| short_m[i]).collect();
    for k in 1..=n {
        if laps_m[k] <= laps_m[k - 1] {
            laps_m[k] += length_m;
        }
    }
    stretches(&laps_m, &around)
}

/// Where a straight change between two stations passes zero; the end that is short where neither
/// is at zero.
fn zero_between((a, short_a): (f64, f64), (b, short_b): (f64, f64)) -> f64 {
    if (short_a > 0.0) == (short_b > 0.0) {
        return if short_a > short_b { a } else { b };
    }
    a + (b - a) * (short_a / (short_a - short_b))
}

/// The least share of a raise that leaves nothing short, between zero and one.
///
/// `short_m` says how far the worst place falls short after a share of the raise; it never grows
/// with the share. One when even the whole raise leaves something.
pub(super) fn least_share(short_m: impl Fn(f64) -> f64) -> f64 {
    let (mut low, mut high) = (0.0, 1.0);
    for _ in 0..60 {
        let middle = 0.5 * (low + high);
        if short_m(middle) > SAME_LEVEL_M { low = middle } else { high = middle }
    }
    high
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn stretches_begin_and_end_where_the_shortfall_passes_zero() {
        let found = stretches(&[0.0, 2.0, 4.0, 6.0, 8.0], &[-1.0, 1.0, 3.0, -3.0, -1.0]);
        assert_eq!(found, [Stretch { ends_m: [1.0, 5.0], worst_m: 4.0, short_m: 3.0 }]);
        let ends = stretches(&[0.0, 2.0, 4.0], &[1.0, -1.0, 1.0]);
        assert_eq!(ends.len(), 2);
        assert_eq!((ends[0].ends_m, ends[1].ends_m), ([0.0, 1.0], [3.0, 4.0]));
    }

    #[test]
    fn a_closed_line_has_no_start() {
        let around = stretches_around(&[0.0, 2.0, 4.0, 6.0], &[1.0, -1.0, -1.0, 1.0], 8.0);
        assert_eq!(around.len(), 1);
        assert_eq!(around[0].ends_m, [5.0, 9.0]);
        let whole = stretches_around(&[0.0, 2.0, 4.0, 6.0], &[1.0, 2.0, 1.0, 1.0], 8.0);
        assert_eq!((whole.len(), whole[0].ends_m, whole[0].worst_m), (1, [0.0, 8.0], 2.0));
    }

    #[test]
    fn the_least_share_leaves_nothing_short() {
        let share = least_share(|share| 0.3 - 0.5 * share);
        assert!((share - 0.6).abs() < 1e-5);
    }
}
