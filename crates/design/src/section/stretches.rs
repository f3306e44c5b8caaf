//! Straight stretches of a profile, and what lies between two profiles.

use ground::query::{Ahead, SectionPoint};

/// A straight stretch of a profile: stations and levels of its ends, metres.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Stretch {
    pub(super) stations: [f64; 2],
    pub(super) levels: [f64; 2],
}

impl Stretch {
    /// The level at a station, on the stretch's whole line.
    pub(super) fn level(&self, station_m: f64) -> f64 {
        let ([s0, s1], [z0, z1]) = (self.stations, self.levels);
        z0 + (station_m - s0) / (s1 - s0) * (z1 - z0)
    }

    /// Rise per run.
    pub(super) fn grade(&self) -> f64 {
        (self.levels[1] - self.levels[0]) / (self.stations[1] - self.stations[0])
    }
}

/// What lies between two profiles on one straight stretch of both, on which they do not cross.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Gap {
    /// Stations of its ends, metres.
    pub stations: [f64; 2],
    /// Levels at both ends, metres: of the first profile, and of the second.
    pub levels: [[f64; 2]; 2],
}

impl Gap {
    /// Area between the two, square metres; below zero where the second lies lower.
    pub fn area_m2(&self) -> f64 {
        0.5 * (self.stations[1] - self.stations[0]) * (self.rise(0) + self.rise(1))
    }

    /// Height of the second above the first at an end, metres.
    fn rise(&self, end: usize) -> f64 {
        self.levels[1][end] - self.levels[0][end]
    }

    /// Whether the two are farther apart than `least_m` anywhere.
    pub(super) fn is_open(&self, least_m: f64) -> bool {
        self.rise(0).abs().max(self.rise(1).abs()) > least_m
    }
}

/// The level of a profile at a station, metres; the last one at a step, none in a gap or beyond.
pub fn level_at(profile: &[SectionPoint], station_m: f64) -> Option<f64> {
    let end = profile.partition_point(|point| point.station_m <= station_m);
    let point = profile.get(end.checked_sub(1)?)?;
    match (point.ahead, profile.get(end)) {
        _ if point.station_m == station_m => Some(point.z),
        (Ahead::Face(_), Some(next)) => {
            let stations = [point.station_m, next.station_m];
            Some(Stretch { stations, levels: [point.z, next.z] }.level(station_m))
        }
        _ => None,
    }
}

/// The stretches of a profile on which there is ground, in order; steps and gaps lie between them.
pub(super) fn of(profile: &[SectionPoint]) -> Vec<Stretch> {
    profile
        .windows(2)
        .filter(|pair| matches!(pair[0].ahead, Ahead::Face(_)))
        .filter(|pair| pair[1].station_m > pair[0].station_m)
        .map(|pair| Stretch {
            stations: [pair[0].station_m, pair[1].station_m],
            levels: [pair[0].z, pair[1].z],
        })
        .collect()
}

/// What lies between two profiles wherever there are both, in order of the stations.
///
/// Either is given by stretches in order that do not overlap.
pub(super) fn between(first: &[Stretch], second: &[Stretch]) -> Vec<Gap> {
    let (mut gaps, mut i, mut j) = (Vec::new(), 0, 0);
    while let (Some(a), Some(b)) = (first.get(i), second.get(j)) {
        let from = a.stations[0].max(b.stations[0]);
        let to = a.stations[1].min(b.stations[1]);
        if to > from {
            push_parted(&mut gaps, a, b, [from, to]);
        }
        if a.stations[1] <= b.stations[1] {
            i += 1;
        } else {
            j += 1;
        }
    }
    gaps
}

/// Adds what lies between two stretches, in two parts where they cross.
fn push_parted(gaps: &mut Vec<Gap>, a: &Stretch, b: &Stretch, [from, to]: [f64; 2]) {
    let gap = |from: f64, to: f64| Gap {
        stations: [from, to],
        levels: [[a.level(from), a.level(to)], [b.level(from), b.level(to)]],
    };
    let rise = [b.level(from) - a.level(from), b.level(to) - a.level(to)];
    let cross = from + rise[0] / (rise[0] - rise[1]) * (to - from);
    if rise[0] * rise[1] < 0.0 && from < cross && cross < to {
        let level = a.level(cross);
        let (mut before, mut after) = (gap(from, cross), gap(cross, to));
        (before.levels[0][1], before.levels[1][1]) = (level, level);
        (after.levels[0][0], after.levels[1][0]) = (level, level);
        gaps.extend([before, after]);
    } else {
        gaps.push(gap(from, to));
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn stretch(stations: [f64; 2], levels: [f64; 2]) -> Stretch {
        Stretch { stations, levels }
    }

    #[test]
    fn what_lies_between_a_level_and_a_slope_is_two_triangles() {
        // A slope from -1 to +3 over 4 m against zero: 1/2 * 1 * 1 below, 1/2 * 3 * 3 above.
        let gaps = between(
            &[stretch([0.0, 4.0], [0.0, 0.0])],
            &[stretch([0.0, 1.5], [-1.0, 0.5]), stretch([1.5, 4.0], [0.5, 3.0])],
        );
        let area = |sign: f64| gaps.iter().map(|g| (sign * g.area_m2()).max(0.0)).sum::<f64>();
        assert!((area(-1.0) - 0.5).abs() < 1e-12);
        assert!((area(1.0) - 4.5).abs() < 1e-12);
    }

    #[test]
    fn nothing_lies_where_one_profile_has_no_ground() {
        let gaps = between(
            &[stretch([0.0, 1.0], [0.0, 0.0]), stretch([2.0, 3.0], [0.0, 0.0])],
            &[stretch([0.5, 2.5], [1.0, 1.0])],
        );
        let stations: Vec<[f64; 2]> = gaps.iter().map(|gap| gap.stations).collect();
        assert_eq!(stations, [[0.5, 1.0], [2.0, 2.5]]);
    }

    #[test]
    fn a_level_is_read_between_points_and_nowhere_else() {
        let point =
            |station_m, z, ahead| SectionPoint { station_m, at: [station_m, 0.0], z, ahead };
        let profile = [
            point(0.0, 1.0, Ahead::Face(0)),
            point(2.0, 2.0, Ahead::Step),
            point(2.0, 5.0, Ahead::Gap),
            point(4.0, 5.0, Ahead::Face(1)),
            point(5.0, 4.0, Ahead::End),
        ];
        let levels = [0.5, 2.0, 3.0, 4.5, 5.0, 6.0, -1.0].map(|s| level_at(&profile, s));
        assert_eq!(levels, [Some(1.25), Some(5.0), None, Some(4.5), Some(4.0), None, None]);
    }
}
