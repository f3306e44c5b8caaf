//! How much a ground rises within squares of the plan: where it can hold no tall bank.

use std::collections::BTreeMap;

use ground::Surface;

/// Side of a square, metres.
const SIDE_M: f64 = 1.0;
/// A face over more squares than this each way counts in all of them as one.
const MOST_SQUARES: i64 = 64;

/// The lowest and the highest of a ground in each square; faces that are larger than a garden apart.
pub(super) struct Relief {
    squares: BTreeMap<[i64; 2], [f64; 2]>,
    everywhere: Option<[f64; 2]>,
}

impl Relief {
    pub(super) fn of(ground: &Surface) -> Self {
        let mut relief = Self { squares: BTreeMap::new(), everywhere: None };
        for face in 0..ground.faces().len() as u32 {
            let corners = ground.corners(face).map(|p| ground.lattice().metres(p));
            let z_m = ground.corner_heights(face);
            let range = [
                z_m.into_iter().fold(f64::INFINITY, f64::min),
                z_m.into_iter().fold(f64::NEG_INFINITY, f64::max),
            ];
            let bounds = |k: usize| {
                let along = corners.map(|c| c[k]);
                let least = along.into_iter().fold(f64::INFINITY, f64::min);
                let most = along.into_iter().fold(f64::NEG_INFINITY, f64::max);
                [square(least), square(most)]
            };
            relief.widen([bounds(0), bounds(1)], range);
        }
        relief
    }

    fn widen(&mut self, [[west, east], [south, north]]: [[i64; 2]; 2], range: [f64; 2]) {
        if east - west > MOST_SQUARES || north - south > MOST_SQUARES {
            self.everywhere = Some(joined(self.everywhere, range));
            return;
        }
        for column in west..=east {
            for row in south..=north {
                let known = self.squares.get(&[column, row]).copied();
                self.squares.insert([column, row], joined(known, range));
            }
        }
    }

    /// How much it may rise within `reach_m` of a place, metres: never too little; beyond any number where
    /// they are many squares.
    pub(super) fn around_m(&self, at: [f64; 2], reach_m: f64) -> f64 {
        if reach_m.is_nan() || reach_m > MOST_SQUARES as f64 * SIDE_M {
            return f64::INFINITY;
        }
        let [columns, rows] = at.map(|c| square(c - reach_m)..=square(c + reach_m));
        let mut range = self.everywhere;
        for column in columns {
            let beside = self.squares.range([column, *rows.start()]..=[column, *rows.end()]);
            range = beside.fold(range, |range, (_, &square)| Some(joined(range, square)));
        }
        range.map_or(0.0, |[low, high]| high - low)
    }
}

fn square(along_m: f64) -> i64 {
    (along_m / SIDE_M).floor() as i64
}

fn joined(known: Option<[f64; 2]>, range: [f64; 2]) -> [f64; 2] {
    known.map_or(range, |known| [known[0].min(range[0]), known[1].max(range[1])])
}
