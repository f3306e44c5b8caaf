//! The convex hull of very many places.

use ground::LatticePoint;
use ground::predicates::orient;

/// Columns over which the lowest and the highest place are found first.
const COLUMNS: usize = 2048;

/// The corners of the hull, by index; places along its sides are none.
pub(super) fn hull(at: &[LatticePoint]) -> Vec<u32> {
    let all = 0..at.len() as u32;
    if at.len() < 4 * COLUMNS {
        return chain(at, all.collect());
    }
    // The hull of the columns' ends lies within the true one and leaves little outside it.
    let rough = chain(at, column_ends(at));
    let split = |upper: bool| Side::new(at, &rough, upper);
    let (lower, upper) = (split(false), split(true));
    let mut left: Vec<u32> =
        all.filter(|&spot| lower.is_outside(at, spot) || upper.is_outside(at, spot)).collect();
    left.extend(&rough);
    left.sort_unstable();
    left.dedup();
    chain(at, left)
}

fn column_ends(at: &[LatticePoint]) -> Vec<u32> {
    let low = at.iter().map(|p| i64::from(p.x)).min().unwrap_or(0);
    let high = at.iter().map(|p| i64::from(p.x)).max().unwrap_or(0);
    let width = (high - low) / COLUMNS as i64 + 1;
    let mut ends = vec![[u32::MAX; 2]; COLUMNS];
    for (spot, p) in (0..).zip(at) {
        let ends = &mut ends[((i64::from(p.x) - low) / width) as usize];
        let y = |spot: u32| at[spot as usize].y;
        if ends[0] == u32::MAX || p.y < y(ends[0]) {
            ends[0] = spot;
        }
        if ends[1] == u32::MAX || p.y > y(ends[1]) {
            ends[1] = spot;
        }
    }
    let mut all: Vec<u32> = ends.into_iter().flatten().filter(|spot| *spot != u32::MAX).collect();
    all.sort_unstable();
    all.dedup();
    all
}

/// The lower or the upper side of a convex ring, from west to east.
struct Side {
    corners: Vec<u32>,
    is_upper: bool,
}

impl Side {
    fn new(at: &[LatticePoint], ring: &[u32], is_upper: bool) -> Self {
        let key = |spot: &u32| at[*spot as usize];
        let (first, last) =
            (ring.iter().min_by_key(|s| key(s)), ring.iter().max_by_key(|s| key(s)));
        let ends = [first, last].map(|end| end.map_or(LatticePoint::default(), key));
        let is_here = |spot: &u32| {
            let turn = orient(ends[0], ends[1], key(spot));
            turn == 0 || (turn > 0) == is_upper
        };
        let mut corners: Vec<u32> = ring.iter().copied().filter(is_here).collect();
        corners.sort_unstable_by_key(|spot| at[*spot as usize]);
        Self { corners, is_upper }
    }

    fn is_outside(&self, at: &[LatticePoint], spot: u32) -> bool {
        let p = at[spot as usize];
        let next = self.corners.partition_point(|&corner| at[corner as usize].x < p.x);
        let next = next.clamp(1, self.corners.len().saturating_sub(1).max(1));
        let [Some(&a), Some(&b)] = [self.corners.get(next - 1), self.corners.get(next)] else {
            return true;
        };
        let turn = orient(at[a as usize], at[b as usize], p);
        if self.is_upper { turn > 0 } else { turn < 0 }
    }
}

/// The hull by sorting: Andrew's chains.
fn chain(at: &[LatticePoint], mut spots: Vec<u32>) -> Vec<u32> {
    spots.sort_unstable_by_key(|spot| at[*spot as usize]);
    if spots.len() < 3 {
        return spots;
    }
    let mut ring: Vec<u32> = Vec::new();
    for half in 0..2 {
        let start = ring.len();
        let mut push = |spot: u32| {
            while ring.len() >= start + 2 {
                let [a, b] = [ring[ring.len() - 2], ring[ring.len() - 1]];
                if orient(at[a as usize], at[b as usize], at[spot as usize]) > 0 {
                    break;
                }
                ring.pop();
            }
            ring.push(spot);
        };
        if half == 0 {
            spots.iter().for_each(|spot| push(*spot));
        } else {
            spots.iter().rev().for_each(|spot| push(*spot));
        }
        // The last of one half begins the other.
        ring.pop();
    }
    ring
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn many_places_have_the_hull_of_all_of_them() {
        let mut seed = 7_u64;
        let mut next = |most: i64| {
            seed = seed.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1);
            ((i128::from(seed >> 33) * i128::from(most)) >> 31) as i32
        };
        for turned in [false, true] {
            let at: Vec<LatticePoint> = (0..20_000)
                .map(|_| {
                    let (u, v) = (next(1_000_000), next(400_000));
                    if turned {
                        LatticePoint { x: u - v, y: u + v }
                    } else {
                        LatticePoint { x: u, y: v }
                    }
                })
                .collect();
            let all = (0..at.len() as u32).collect();
            assert_eq!(hull(&at), chain(&at, all));
        }
    }

    #[test]
    fn places_on_sides_are_no_corners() {
        let at: Vec<LatticePoint> = (0..9).map(|i| LatticePoint { x: i % 3, y: i / 3 }).collect();
        assert_eq!(hull(&at), [0, 2, 8, 6]);
        let line: Vec<LatticePoint> = (0..5).map(|x| LatticePoint { x, y: 2 * x }).collect();
        assert_eq!(hull(&line), [0, 4]);
    }
}
