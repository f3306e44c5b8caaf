//! Drawn curves as the flattened rings and lines that patches are made of.

use ground::Lattice;
use ground::curve::{self, Blend, Closure};
use site::Curve;

use super::CHORD_M;
use crate::Problem;

/// A flattened line or ring, and where each of its places lies between the drawn points.
#[derive(Clone, Debug)]
pub(super) struct Outline {
    /// The places, local metres; a ring goes counter-clockwise.
    pub(super) points: Vec<[f64; 2]>,
    /// Index of the drawn point before plus the fraction to the next.
    parameters: Vec<f64>,
    closure: Closure,
    /// How many points were drawn.
    n_drawn: usize,
}

impl Outline {
    /// A closed curve, counter-clockwise.
    pub(super) fn ring(lattice: Lattice, drawn: &Curve) -> Result<Self, Problem> {
        let mut ring = Self::flattened(lattice, drawn, Closure::Closed, CHORD_M)?;
        if curve::signed_area_m2(&ring.points) < 0.0 {
            ring.points.reverse();
            ring.parameters.reverse();
        }
        Ok(ring)
    }

    /// An open curve whose chords keep within a tolerance; a single point is one.
    pub(super) fn line(lattice: Lattice, drawn: &Curve, chord_m: f64) -> Result<Self, Problem> {
        Self::flattened(lattice, drawn, Closure::Open, chord_m)
    }

    /// Values at the drawn points, blended smoothly to every place; one value serves all.
    pub(super) fn blended(&self, drawn: &[f64]) -> Vec<f64> {
        let closure = if drawn.len() > 1 { self.closure } else { Closure::Open };
        (self.parameters.iter())
            .map(|&at| curve::interpolate(drawn, closure, at, Blend::Smooth))
            .collect()
    }

    /// Places with the level of the drawn point before each: where two differ there are two places,
    /// one above the other. The last drawn point begins no stretch; one level serves all.
    pub(super) fn stepped(&self, drawn: &[f64]) -> Vec<([f64; 2], f64)> {
        /// Drawn points come back from smoothing as whole numbers but for this.
        const ROUNDING: f64 = 1e-9;
        let n_stretches = self.n_drawn.saturating_sub(1).max(1);
        let level_m = |parameter: f64| {
            let stretch = ((parameter + ROUNDING) as usize).min(n_stretches - 1);
            drawn.get(stretch).or(drawn.first()).copied().unwrap_or(f64::NAN)
        };
        let mut line: Vec<([f64; 2], f64)> = Vec::with_capacity(self.points.len());
        for (&at, &parameter) in self.points.iter().zip(&self.parameters) {
            let z = level_m(parameter);
            line.extend(line.last().filter(|last| last.1 != z).map(|last| (at, last.1)));
            line.push((at, z));
        }
        line
    }

    fn flattened(
        lattice: Lattice,
        drawn: &Curve,
        closure: Closure,
        chord_m: f64,
    ) -> Result<Self, Problem> {
        let n_least = if closure == Closure::Closed { 3 } else { 1 };
        let at_m = drawn.points.first().copied().unwrap_or_default();
        let problem = |message: String| Problem { message, at_m };
        if drawn.points.len() < n_least {
            return Err(problem(format!(
                "it needs {n_least} points, and has {}",
                drawn.points.len()
            )));
        }
        let (points, parameters) = if drawn.smooth {
            let smoothed = curve::smooth(&drawn.points, closure, chord_m)
                .map_err(|error| problem(error.to_string()))?;
            (smoothed.points, smoothed.parameters)
        } else {
            (drawn.points.clone(), (0..drawn.points.len()).map(|i| i as f64).collect())
        };
        let mut outline = Self::distinct(lattice, points, parameters, closure).map_err(problem)?;
        outline.n_drawn = drawn.points.len();
        if outline.points.len() < n_least {
            return Err(problem("its points fall together".into()));
        }
        match curve::first_crossing(lattice, &outline.points, closure) {
            Ok(None) => Ok(outline),
            Ok(Some(crossing)) => {
                Err(Problem { message: "it crosses itself".into(), at_m: crossing.at })
            }
            Err(error) => Err(problem(error.to_string())),
        }
    }

    /// Leaves out places that fall on the one before them.
    fn distinct(
        lattice: Lattice,
        points: Vec<[f64; 2]>,
        parameters: Vec<f64>,
        closure: Closure,
    ) -> Result<Self, String> {
        let snapped = (points.iter().map(|&p| lattice.snap(p)))
            .collect::<Result<Vec<_>, _>>()
            .map_err(|error| error.to_string())?;
        let n = snapped.len();
        let repeats = |i: usize| match (i, closure) {
            (0, _) => false,
            (i, Closure::Closed) if i + 1 == n && snapped[i] == snapped[0] => true,
            (i, _) => snapped[i] == snapped[i - 1],
        };
        let kept: Vec<usize> = (0..n).filter(|&i| !repeats(i)).collect();
        Ok(Self {
            points: kept.iter().map(|&i| points[i]).collect(),
            n_drawn: points.len(),
            parameters: kept.iter().map(|&i| parameters[i]).collect(),
            closure,
        })
    }
}

/// How far along the segment `leg` it crosses the segment `edge`, as a share of its length.
pub(super) fn crossing_share(leg: [[f64; 2]; 2], edge: [[f64; 2]; 2]) -> Option<f64> {
    let between = |a: [f64; 2], b: [f64; 2]| [b[0] - a[0], b[1] - a[1]];
    let cross = |a: [f64; 2], b: [f64; 2]| a[0] * b[1] - a[1] * b[0];
    let (along, across) = (between(leg[0], leg[1]), between(edge[0], edge[1]));
    let (to_edge, turn) = (between(leg[0], edge[0]), cross(along, across));
    let [share, on_edge] = [cross(to_edge, across) / turn, cross(to_edge, along) / turn];
    let is_on = |share: f64| (0.0..=1.0).contains(&share);
    (turn != 0.0 && is_on(share) && is_on(on_edge)).then_some(share)
}

/// Places and their elevations side by side.
pub(super) fn lifted(points: &[[f64; 2]], z_m: &[f64]) -> Vec<([f64; 2], f64)> {
    points.iter().copied().zip(z_m.iter().copied()).collect()
}

/// A line of places in three dimensions; a ring repeats its first place.
pub(super) fn traced(points: &[([f64; 2], f64)], closure: Closure) -> Vec<[f64; 3]> {
    let first = if closure == Closure::Closed { points.first() } else { None };
    points.iter().chain(first).map(|&([x, y], z)| [x, y, z]).collect()
}
