//! From a cloud of points to a surface with few of them, none of the others farther from it than a
//! stated height.
//!
//! 1. Points go to the lattice and are sorted along a curve, so that neighbours stand together; those
//!    at one place become their mean. Points far from all others are set aside.
//! 2. The hull of all points and an even few of them are triangulated.
//! 3. Every triangle keeps the points over it. The point farthest above or below its triangle goes in
//!    next, by the rule of empty circles, until none is farther than asked for.
//! 4. The kept points are triangulated anew by `ground`, and every point is measured against that
//!    surface: the error that is told is this one. Where it is above what was asked for (triangulations
//!    of points on one circle differ), the farthest point of each face is added, and so on.
//!
//! # Source
//! Greedy insertion with lists of points per triangle: Garland and Heckbert, "Fast polygonal
//! approximation of terrains and height fields", CMU-CS-95-181 (1995), from memory.

mod hull;
mod mesh;
mod prove;
mod spots;

#[cfg(test)]
mod tests;

use ground::{BuildError, LatticeError, LatticePoint, Surface, Terrain};
use site::Frame;
use units::{LengthUnit, closing_text};

use crate::content::{FrameError, frame_around};
use crate::understood::points_text;
use crate::watch::{CalledOff, Watch, tell};
use mesh::Refined;
use spots::Spots;

/// A thinned cloud.
#[derive(Clone, Debug, PartialEq)]
pub struct Thinned {
    /// The surface, local to `frame`.
    pub surface: Surface,
    /// The frame around all points but those set aside.
    pub frame: Frame,
    /// What was found on the way.
    pub report: ThinReport,
}

/// What thinning found.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct ThinReport {
    /// Points given.
    pub n_points: usize,
    /// Points far from all others, set aside.
    pub n_far_off: usize,
    /// Points at a place that another has; such places stand at the mean of their heights.
    pub n_at_one_place: usize,
    /// The widest difference of heights at one place, in metres.
    pub widest_at_one_place_m: f64,
    /// Points of the surface.
    pub n_kept: usize,
    /// The largest vertical distance of any place from the surface, measured, in metres.
    pub largest_error_m: f64,
}

impl ThinReport {
    /// What to say of it, one plain sentence each.
    pub fn words(&self, unit: LengthUnit) -> Vec<String> {
        let mut words = vec![format!(
            "{} of {} points are kept; every place was measured, and the farthest lies {} from the \
             surface",
            self.n_kept,
            self.n_points,
            closing_text(self.largest_error_m, unit)
        )];
        if self.n_far_off > 0 {
            let are = if self.n_far_off == 1 { "is" } else { "are" };
            let points = points_text(self.n_far_off);
            words.push(format!("{points} far from all others {are} set aside"));
        }
        if self.n_at_one_place > 0 {
            let stand = if self.n_at_one_place == 1 { "stands" } else { "stand" };
            words.push(format!(
                "{} {stand} at the place of another, up to {} apart in height: the mean counts",
                points_text(self.n_at_one_place),
                closing_text(self.widest_at_one_place_m, unit)
            ));
        }
        words
    }
}

/// Why a cloud was not thinned.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum ThinError {
    /// The error asked for is no length.
    #[error("read {0} m as the largest error, expected a length above zero")]
    Tolerance(f64),
    /// More points than can be numbered.
    #[error("read {0} points, expected fewer than 4,000 million")]
    TooMany(usize),
    /// No frame can be laid around the points.
    #[error(transparent)]
    Frame(#[from] FrameError),
    /// A point is no number, or beyond the lattice.
    #[error("point {point}: {fault}")]
    Point {
        /// The point, counted from one.
        point: usize,
        /// What is wrong.
        fault: LatticeError,
    },
    /// The points span no surface.
    #[error(transparent)]
    Build(#[from] BuildError),
    /// The user called it off.
    #[error(transparent)]
    CalledOff(#[from] CalledOff),
}

/// Points to be thinned: how many, and where each stands, in metres of the world's frame.
pub struct Points<'a> {
    /// How many.
    pub n: usize,
    /// Where a point stands.
    pub at_m: &'a dyn Fn(usize) -> [f64; 3],
    /// The unit that people read.
    pub unit: LengthUnit,
}

/// A point is far off beyond this many times the reach of nine tenths of all. Our own measure.
const FAR_OFF_REACHES: f64 = 8.0;
/// One in so many points is triangulated to begin with.
const SEED_SHARE: usize = 400;
/// And this many at the most.
const MOST_SEEDS: usize = 1 << 15;
/// So many places show what is wrong with all.
const FEW: usize = 1000;

/// Thins points to a surface from which none of them is farther than `tolerance_m`, vertically.
///
/// Places are rounded to the lattice; what is measured is every place, at the mean of its heights.
///
/// # Errors
/// [`ThinError`] when the points span no surface, when one is no number, or when the watcher calls it
/// off.
pub fn thin(
    points: &Points<'_>,
    tolerance_m: f64,
    watch: &mut Watch<'_>,
) -> Result<Thinned, ThinError> {
    if !(tolerance_m.is_finite() && tolerance_m > 0.0) {
        return Err(ThinError::Tolerance(tolerance_m));
    }
    if points.n >= u32::MAX as usize {
        return Err(ThinError::TooMany(points.n));
    }
    tell(watch, "sorting points", 0, 1)?;
    let near = near(points);
    let inside = (0..points.n).map(points.at_m).filter(|at| holds(near, *at));
    let frame = frame_around(inside.map(|at| [at[0], at[1]]), points.unit)?;
    let spots = Spots::new(points, near, &frame)?;
    let mut report = spots.report;
    report.n_points = points.n;
    let hull = hull::hull(&spots.at);
    let mut seeds = hull;
    let step = (spots.at.len() / MOST_SEEDS).max(SEED_SHARE);
    seeds.extend((step / 2..spots.at.len()).step_by(step).map(|spot| spot as u32));
    seeds.sort_unstable();
    seeds.dedup();
    let mut kept = if seeds.len() < 3 {
        // Too few places for any surface, or all on one line: the build says which.
        (0..spots.at.len().min(FEW) as u32).chain(seeds).collect()
    } else {
        match Refined::new(&spots, frame_lattice(&frame)?, &seeds) {
            Some(refined) => refined.run(tolerance_m, watch)?,
            None => seeds,
        }
    };
    loop {
        kept.sort_unstable();
        kept.dedup();
        tell(watch, "measuring every point", 0, 1)?;
        let surface = surface(&spots, &frame, &kept)?;
        let proof = prove::measured(&surface, &spots, &kept, tolerance_m);
        if proof.farthest.is_empty() {
            report.n_kept = kept.len();
            report.largest_error_m = proof.largest_error_m;
            return Ok(Thinned { surface, frame, report });
        }
        kept.extend(proof.farthest);
    }
}

fn frame_lattice(frame: &Frame) -> Result<ground::Lattice, ThinError> {
    ground::Lattice::new(frame.step_um).map_err(|fault| ThinError::Point { point: 1, fault })
}

fn surface(spots: &Spots, frame: &Frame, kept: &[u32]) -> Result<Surface, ThinError> {
    let place = |&spot: &u32| -> (LatticePoint, f64) {
        (spots.at[spot as usize], spots.z_m[spot as usize])
    };
    let terrain = Terrain {
        lattice: frame_lattice(frame)?,
        points: kept.iter().map(place).collect(),
        ..Terrain::default()
    };
    Ok(ground::build(&terrain)?.surface)
}

/// The box beyond which a point is far off, in metres.
pub(crate) fn near(points: &Points<'_>) -> [[f64; 2]; 2] {
    const SAMPLED: usize = 20_000;
    let everywhere = [[f64::NEG_INFINITY, f64::INFINITY]; 2];
    let step = (points.n / SAMPLED).max(1);
    let sample: Vec<[f64; 3]> = (0..points.n).step_by(step).map(points.at_m).collect();
    if sample.len() < 4 {
        return everywhere;
    }
    let middle = [0, 1].map(|axis| {
        let mut along: Vec<f64> = sample.iter().map(|at| at[axis]).collect();
        along.sort_by(f64::total_cmp);
        along[along.len() / 2]
    });
    let mut away: Vec<f64> =
        sample.iter().map(|at| (at[0] - middle[0]).abs().max((at[1] - middle[1]).abs())).collect();
    away.sort_by(f64::total_cmp);
    let reach = FAR_OFF_REACHES * away[(away.len() * 9 / 10).min(away.len() - 2)];
    if reach > 0.0 { middle.map(|m| [m - reach, m + reach]) } else { everywhere }
}

pub(crate) fn holds(near: [[f64; 2]; 2], at: [f64; 3]) -> bool {
    // What is no number is not far off: it is refused by name later.
    (0..2).all(|axis| !(at[axis] < near[axis][0] || at[axis] > near[axis][1]))
}
