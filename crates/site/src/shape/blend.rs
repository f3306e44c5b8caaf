//! Lists that follow a line's points: each new entry between two old ones.

use crate::works::{Flank, RingShape, TopRun};
use crate::{Work, WorkKind};

/// A new entry: the old one at `.0`, gone on toward the old one at `.1` by the share `.2`.
pub(super) type Mix = (usize, usize, f64);

/// Something that can lie between two of its kind.
trait Between: Copy {
    fn between(self, other: Self, share: f64) -> Self;
}

impl Between for f64 {
    fn between(self, other: Self, share: f64) -> Self {
        // So that an entry that is only carried over keeps every bit.
        if share == 0.0 { self } else { self + (other - self) * share }
    }
}

impl Between for [f64; 2] {
    fn between(self, other: Self, share: f64) -> Self {
        [0, 1].map(|axis| self[axis].between(other[axis], share))
    }
}

impl Between for Flank {
    fn between(self, other: Self, share: f64) -> Self {
        Self {
            run_per_rise: self.run_per_rise.between(other.run_per_rise, share),
            shoulder_m: self.shoulder_m.between(other.shoulder_m, share),
            toe_m: self.toe_m.between(other.toe_m, share),
        }
    }
}

/// Every entry as it is.
pub(super) fn same(n: usize) -> Vec<Mix> {
    (0..n).map(|i| (i, i, 0.0)).collect()
}

/// Makes the points of a work's line anew, and with the main line all lists that follow it.
///
/// The caller has seen that every index of `recipe` stands in the line.
pub(super) fn remake(work: &mut Work, path: &str, recipe: &[Mix]) {
    let Some(curve) = super::line::curve_mut(&mut work.kind, path) else { return };
    let n = curve.points.len();
    curve.points = mixed(&curve.points, recipe);
    if path == super::line::main_line(&work.kind).0 {
        follow(&mut work.kind, n, recipe);
    }
}

fn follow(kind: &mut WorkKind, n: usize, recipe: &[Mix]) {
    match kind {
        WorkKind::Basin(basin) => {
            list(&mut basin.liner_edge_m, n, recipe);
            for ring in &mut basin.rings {
                if let RingShape::Inset { run_m } = &mut ring.shape {
                    list(run_m, n, recipe);
                }
            }
        }
        WorkKind::Hill(hill) => {
            list(&mut hill.crest_m, n, recipe);
            list(&mut hill.width_m, n, recipe);
            list(&mut hill.left, n, recipe);
            list(&mut hill.right, n, recipe);
        }
        WorkKind::Wall(wall) => match wall.top_run {
            TopRun::Sloping => list(&mut wall.top_m, n, recipe),
            // A new point on a level run is no new step.
            TopRun::Stepped => {
                let level: Vec<Mix> = recipe.iter().map(|(a, _, _)| (*a, *a, 0.0)).collect();
                list(&mut wall.top_m, n, &level);
            }
        },
        WorkKind::Path(path) => list(&mut path.level_m, n, recipe),
        WorkKind::Trench(trench) => list(&mut trench.invert_m, n, recipe),
        WorkKind::Stream(_)
        | WorkKind::FilterBed(_)
        | WorkKind::IntakeBay(_)
        | WorkKind::Pad(_)
        | WorkKind::PlaneGrade(_)
        | WorkKind::Strip(_) => {}
    }
}

/// A list with one entry for each of `n` points follows; one entry for all stays.
fn list<T: Between>(entries: &mut Vec<T>, n: usize, recipe: &[Mix]) {
    if entries.len() != n {
        return;
    }
    // Entries for a single point serve all that come beside it.
    if n == 1 && recipe.len() > 1 {
        return;
    }
    *entries = mixed(entries, recipe);
}

fn mixed<T: Between>(entries: &[T], recipe: &[Mix]) -> Vec<T> {
    recipe.iter().map(|(a, b, share)| entries[*a].between(entries[*b], *share)).collect()
}
