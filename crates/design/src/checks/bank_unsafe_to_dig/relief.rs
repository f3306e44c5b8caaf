//! How much a ground rises along lines over squares of the plan: where it can hold no tall bank.

use ground::Surface;

/// Side of a square, metres, where the ground is no wider than so many of them.
const SIDE_M: f64 = 0.5;
const MOST_SQUARES: f64 = 256.0;
/// A face over more squares than this each way counts in all of them as one.
const MOST_OF_A_FACE: usize = 64;
/// A line counts in squares that it misses by less, in squares; looks along it have less slack.
const SLACK: f64 = 1e-5;
/// And by so much ways may be shorter and heights greater than squares tell, metres.
const MARGIN_M: f64 = 1e-3;

/// The lowest and the highest of a ground in each square; faces that are larger than a garden apart.
pub(super) struct Relief {
    low_m: [f64; 2],
    side_m: f64,
    n: [usize; 2],
    /// Column by column; from infinity down to minus infinity where there is no ground.
    squares: Vec<[f64; 2]>,
    everywhere: [f64; 2],
}

/// A straight line over the ground, up a bank.
#[derive(Clone, Copy, Debug)]
pub(super) struct Line {
    /// Its start, local metres.
    pub(super) from: [f64; 2],
    /// Its way, of length one.
    pub(super) way: [f64; 2],
    /// Its length, metres.
    pub(super) length_m: f64,
}

/// A stretch of a line over one square.
struct Stretch {
    stations_m: [f64; 2],
    /// The lowest and the highest of the ground in the square.
    range: [f64; 2],
}

/// What stands nowhere.
const NOTHING: [f64; 2] = [f64::INFINITY, f64::NEG_INFINITY];

impl Relief {
    pub(super) fn of(ground: &Surface) -> Self {
        let places = ground.vertices().iter().map(|&vertex| ground.lattice().metres(vertex));
        let (mut low_m, mut high_m) = ([f64::INFINITY; 2], [f64::NEG_INFINITY; 2]);
        for at in places {
            low_m = [0, 1].map(|k| low_m[k].min(at[k]));
            high_m = [0, 1].map(|k| high_m[k].max(at[k]));
        }
        let wide_m = [0, 1].map(|k| (high_m[k] - low_m[k]).max(0.0));
        let side_m = SIDE_M.max(wide_m[0].max(wide_m[1]) / MOST_SQUARES);
        let n = wide_m.map(|wide_m| (wide_m / side_m) as usize + 1);
        let squares = vec![NOTHING; n[0] * n[1]];
        let mut relief = Self { low_m, side_m, n, squares, everywhere: NOTHING };
        for face in 0..ground.faces().len() as u32 {
            relief.widen(ground, face);
        }
        relief
    }

    fn widen(&mut self, ground: &Surface, face: u32) {
        let z_m = ground.corner_heights(face);
        let range = z_m.into_iter().fold(NOTHING, |range, z_m| joined(range, [z_m, z_m]));
        let at = ground.corners(face).map(|p| self.square(ground.lattice().metres(p)));
        let first = [0, 1].map(|k| at[0][k].min(at[1][k]).min(at[2][k]));
        let last = [0, 1].map(|k| at[0][k].max(at[1][k]).max(at[2][k]));
        if (0..2).any(|k| last[k] - first[k] > MOST_OF_A_FACE) {
            self.everywhere = joined(self.everywhere, range);
            return;
        }
        for column in first[0]..=last[0] {
            for square in &mut self.squares[column * self.n[1]..][first[1]..=last[1]] {
                *square = joined(*square, range);
            }
        }
    }

    /// Whether along a line a place may stand more than `least_m` above an earlier one, with less way
    /// between them than `run` allows for its height: never no where one does.
    pub(super) fn may_hold(&self, line: &Line, run: f64, least_m: f64) -> bool {
        let stretches = self.along(line);
        stretches.iter().enumerate().any(|(i, low)| {
            stretches[i..].iter().any(|high| {
                let height_m = high.range[1] - low.range[0] + MARGIN_M;
                let way_m = high.stations_m[0] - low.stations_m[1] - MARGIN_M;
                height_m > least_m && way_m < run * height_m
            })
        })
    }

    /// The stretches of a line over the squares that it passes, by where they begin.
    fn along(&self, line: &Line) -> Vec<Stretch> {
        let from = [0, 1].map(|k| (line.from[k] - self.low_m[k]) / self.side_m);
        let way = line.way.map(|along| along / self.side_m);
        let stations_m = |k: usize, square: usize| {
            let ends = [square as f64 - SLACK, (square + 1) as f64 + SLACK];
            if way[k].abs() * line.length_m <= SLACK {
                let is_in = ends[0] <= from[k] && from[k] <= ends[1];
                return if is_in { [0.0, line.length_m] } else { NOTHING };
            }
            let [a, b] = ends.map(|end| (end - from[k]) / way[k]);
            [a.min(b).max(0.0), a.max(b).min(line.length_m)]
        };
        let squares = |k: usize, stations_m: [f64; 2]| {
            let [a, b] = stations_m.map(|station_m| from[k] + way[k] * station_m);
            let square = |along: f64| along.clamp(0.0, (self.n[k] - 1) as f64) as usize;
            square(a.min(b) - SLACK)..=square(a.max(b) + SLACK)
        };
        let mut found = Vec::new();
        for column in squares(0, [0.0, line.length_m]) {
            let across = stations_m(0, column);
            if across[0] > across[1] {
                continue;
            }
            for row in squares(1, across) {
                let up = stations_m(1, row);
                let stations_m = [across[0].max(up[0]), across[1].min(up[1])];
                let here = self.squares[column * self.n[1] + row];
                let range = joined(here, self.everywhere);
                if stations_m[0] <= stations_m[1] {
                    found.push(Stretch { stations_m, range });
                }
            }
        }
        found.sort_by(|a, b| a.stations_m[0].total_cmp(&b.stations_m[0]));
        found
    }

    /// The column and the row of a place; those nearest to one beyond the ground.
    fn square(&self, at: [f64; 2]) -> [usize; 2] {
        [0, 1].map(|k| {
            let along = (at[k] - self.low_m[k]) / self.side_m;
            along.clamp(0.0, (self.n[k] - 1) as f64) as usize
        })
    }
}

fn joined(known: [f64; 2], range: [f64; 2]) -> [f64; 2] {
    [known[0].min(range[0]), known[1].max(range[1])]
}
