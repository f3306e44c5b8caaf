//! Stones on which a path crosses water.
//!
//! ```text
//!   shore |  (stone) gap (stone) gap (stone)  | shore
//! ```
//! On each stretch over water stand as many whole stones as fit, evenly about its middle, so that a
//! step from the shore is shorter than half a stone and half a gap.

use ground::curve::{self, Path};
use site::works::SteppingStones;

use crate::Stone;
use crate::works::outline::crossing_share;

/// No row has more stones.
const MOST_STONES: f64 = 1000.0;

/// The stones along a line over the water in a ring.
pub(super) fn across(
    way: &Path,
    ring: &[[f64; 2]],
    rule: SteppingStones,
    water_m: f64,
) -> Vec<Stone> {
    let pitch_m = rule.stone_m + rule.gap_m;
    let mut stones = Vec::new();
    for [from_m, to_m] in stretches_within(way, ring) {
        let n = ((to_m - from_m + rule.gap_m) / pitch_m).floor().clamp(0.0, MOST_STONES);
        let first_m = 0.5 * (from_m + to_m - (n - 1.0) * pitch_m);
        stones.extend((0..n as u32).map(|i| Stone {
            at_m: way.at_station(first_m + f64::from(i) * pitch_m).at,
            radius_m: 0.5 * rule.stone_m,
            top_m: water_m + rule.above_water_m,
        }));
    }
    stones
}

/// The stretches of a line that lie in a ring: pairs of distances along it.
fn stretches_within(way: &Path, ring: &[[f64; 2]]) -> Vec<[f64; 2]> {
    let mut at_m = vec![0.0, way.length_m()];
    for (leg, station_m) in way.points().windows(2).zip(way.stations_m().windows(2)) {
        for (k, &b) in ring.iter().enumerate() {
            let a = ring[(k + ring.len() - 1) % ring.len()];
            let share = crossing_share([leg[0], leg[1]], [a, b]);
            at_m.extend(share.map(|s| station_m[0] + s * (station_m[1] - station_m[0])));
        }
    }
    at_m.sort_by(f64::total_cmp);
    let is_within =
        |pair: &[f64]| curve::contains(ring, way.at_station(0.5 * (pair[0] + pair[1])).at);
    let mut stretches: Vec<[f64; 2]> = Vec::new();
    for pair in at_m.windows(2).filter(|pair| pair[1] > pair[0] && is_within(pair)) {
        match stretches.last_mut() {
            Some(last) if last[1] == pair[0] => last[1] = pair[1],
            _ => stretches.push([pair[0], pair[1]]),
        }
    }
    stretches
}

#[cfg(test)]
mod tests {
    use ground::curve::Closure;
    use site::WorkId;

    use super::*;

    /// A pond with a bay that the line crosses too: water from 2 to 5 m and from 6 to 6.4 m.
    const POND: [[f64; 2]; 8] = [
        [2.0, -1.0],
        [6.4, -1.0],
        [6.4, 1.0],
        [6.0, 1.0],
        [6.0, -0.5],
        [5.0, -0.5],
        [5.0, 1.0],
        [2.0, 1.0],
    ];

    #[test]
    fn as_many_stones_as_fit_stand_evenly_on_each_water() {
        let way = Path::new(&[[0.0, 0.0], [3.0, 0.0], [8.0, 0.0]], Closure::Open).unwrap();
        let rule =
            SteppingStones { across: WorkId(1), stone_m: 0.4, gap_m: 0.2, above_water_m: 0.1 };
        let stones = across(&way, &POND, rule, 1.0);
        // Five stones and four gaps take 2.8 of 3 m; one stone takes all of the bay.
        let expected = [2.3, 2.9, 3.5, 4.1, 4.7, 6.2];
        assert_eq!(stones.len(), expected.len());
        for (stone, x) in stones.iter().zip(expected) {
            assert!((stone.at_m[0] - x).abs() < 1e-12 && stone.at_m[1] == 0.0, "{stone:?}");
            assert_eq!((stone.radius_m, stone.top_m), (0.2, 1.1));
        }
        let beside = Path::new(&[[0.0, 2.0], [8.0, 2.0]], Closure::Open).unwrap();
        assert_eq!(across(&beside, &POND, rule, 1.0), []);
    }
}
