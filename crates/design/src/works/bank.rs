//! Banks: from an edge outward, up or down at a slope, as far as any ground could meet them.

use ground::Surface;
use ground::curve::Closure;

/// An edge from which banks run, outward on its right.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct BankLine {
    pub(super) points: Vec<([f64; 2], f64)>,
    pub(super) closure: Closure,
}

/// Reaches that are asked for: few, so that a small edit of the ground leaves a bank as it is.
const REACHES_M: [f64; 20] = [
    0.25, 0.5, 0.75, 1.0, 1.5, 2.0, 3.0, 4.0, 6.0, 8.0, 12.0, 16.0, 24.0, 32.0, 48.0, 64.0, 96.0,
    128.0, 192.0, 256.0,
];

/// Which way a bank runs from its edge.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Way {
    /// Up, to ground that is higher.
    Up,
    /// Down, to ground that is lower.
    Down,
}

/// A bank that is to reach the ground.
#[derive(Clone, Copy, Debug)]
pub(super) struct Bank {
    pub(super) way: Way,
    pub(super) run_per_rise: f64,
    /// How far out its slope could be said to start.
    pub(super) lead_m: f64,
}

impl Bank {
    /// How far the bank must run to meet any ground around its edges; zero where none needs it.
    ///
    /// The least of a few fixed reaches at whose end a bank, started at the least favourable
    /// elevation of its edge, has passed all ground within that reach.
    pub(super) fn reach_m(&self, ground: &Surface, around: &Extent) -> f64 {
        let faces = FaceReaches::new(ground, around, self.way);
        let start_m = match self.way {
            Way::Up => around.z_m[0],
            Way::Down => -around.z_m[1],
        };
        let run_m = |highest_m: f64| (highest_m - start_m) * self.run_per_rise + self.lead_m;
        for reach_m in REACHES_M {
            match faces.highest_within(reach_m) {
                Some(highest_m) if highest_m > start_m && run_m(highest_m) >= reach_m => {}
                Some(highest_m) if highest_m > start_m => return reach_m,
                _ => return 0.0,
            }
        }
        run_m(faces.highest_m).max(0.0)
    }
}

/// The box around edges, and their range of elevations.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Extent {
    pub(super) low: [f64; 2],
    pub(super) high: [f64; 2],
    pub(super) z_m: [f64; 2],
}

impl Extent {
    pub(super) fn of<'a>(points: impl Iterator<Item = &'a ([f64; 2], f64)>) -> Self {
        let start = Self {
            low: [f64::INFINITY; 2],
            high: [f64::NEG_INFINITY; 2],
            z_m: [f64::INFINITY, f64::NEG_INFINITY],
        };
        points.fold(start, |e, &([x, y], z)| Self {
            low: [e.low[0].min(x), e.low[1].min(y)],
            high: [e.high[0].max(x), e.high[1].max(y)],
            z_m: [e.z_m[0].min(z), e.z_m[1].max(z)],
        })
    }
}

/// How far each face lies from the box, and how high it stands (how low it lies, for [`Way::Down`]).
struct FaceReaches {
    faces: Vec<[f64; 2]>,
    highest_m: f64,
}

impl FaceReaches {
    fn new(ground: &Surface, around: &Extent, way: Way) -> Self {
        let lattice = ground.lattice();
        let faces: Vec<[f64; 2]> = (0..ground.faces().len() as u32)
            .map(|f| {
                let corners = ground.corners(f).map(|p| lattice.metres(p));
                let gap = |k: usize| {
                    let low = corners.iter().map(|c| c[k]).fold(f64::INFINITY, f64::min);
                    let high = corners.iter().map(|c| c[k]).fold(f64::NEG_INFINITY, f64::max);
                    (low - around.high[k]).max(around.low[k] - high).max(0.0)
                };
                let heights = ground.corner_heights(f).map(|z| if way == Way::Up { z } else { -z });
                let highest = heights.into_iter().fold(f64::NEG_INFINITY, f64::max);
                [gap(0).max(gap(1)), highest]
            })
            .collect();
        let highest_m = faces.iter().map(|f| f[1]).fold(f64::NEG_INFINITY, f64::max);
        Self { faces, highest_m }
    }

    fn highest_within(&self, reach_m: f64) -> Option<f64> {
        (self.faces.iter().filter(|f| f[0] <= reach_m).map(|f| f[1])).max_by(f64::total_cmp)
    }
}
