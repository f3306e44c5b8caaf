//! What helps a hand on the ground: what a place snaps to, how a new work begins, and where the
//! handles of a work stand.
//!
//! Nothing here is stored or evaluated: a hand's answers are edits.

mod begin;
mod grips;
mod near;
mod snap;
#[cfg(test)]
mod tests;

pub use begin::{BeginError, Begun, Kind, begin};
pub use grips::{Grip, Hold, Pull, PullError, Pulled, Stands, grips, pulled};
pub use near::work_at;
pub use snap::{LevelMark, Snap, Snapped, Snaps, Target, Targets, Wish};

use ground::Lattice;
use ground::curve::{self, Closure};
use site::shape::Ends;
use site::{Curve, WorkKind};

/// The line as it is built: smooth where it is drawn so, local metres.
///
/// One that cannot be smoothed is answered straight.
pub fn flattened(drawn: &Curve, ends: Ends) -> Vec<[f64; 2]> {
    let closure = closure(ends);
    if !drawn.smooth {
        return drawn.points.clone();
    }
    curve::smooth(&drawn.points, closure, crate::works::CHORD_M)
        .map_or_else(|_| drawn.points.clone(), |smooth| smooth.points)
}

/// Where a line crosses itself as it would be built, or as it is drawn; nothing where it does not.
pub fn crossing_at(drawn: &Curve, ends: Ends) -> Option<[f64; 2]> {
    let lattice = Lattice::new(1).ok()?;
    let first = |points: &[[f64; 2]]| {
        curve::first_crossing(lattice, points, closure(ends)).ok().flatten().map(|found| found.at)
    };
    first(&drawn.points).or_else(|| first(&flattened(drawn, ends)))
}

/// Gives drawn points of a line the levels that were asked for there.
///
/// Outlines and streams have no level for each point: they stay as they are.
pub fn give_levels(kind: &mut WorkKind, levels_m: &[Option<f64>]) {
    let list = match kind {
        WorkKind::Hill(hill) => &mut hill.crest_m,
        WorkKind::Wall(wall) => &mut wall.top_m,
        WorkKind::Path(path) => &mut path.level_m,
        WorkKind::Trench(trench) => &mut trench.invert_m,
        _ => return,
    };
    if levels_m.iter().all(Option::is_none) {
        return;
    }
    if let [one] = list[..] {
        *list = vec![one; levels_m.len()];
    }
    for (slot, level_m) in list.iter_mut().zip(levels_m) {
        *slot = level_m.unwrap_or(*slot);
    }
}

fn closure(ends: Ends) -> Closure {
    match ends {
        Ends::Open => Closure::Open,
        Ends::Closed => Closure::Closed,
    }
}

fn apart(a: [f64; 2], b: [f64; 2]) -> f64 {
    libm::hypot(a[0] - b[0], a[1] - b[1])
}
