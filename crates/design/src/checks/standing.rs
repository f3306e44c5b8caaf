//! Walls as they stand: how high from the bottom of their footing, and what is behind.
//!
//! ```text
//!            top ___  behind
//!               |   |‾‾‾‾
//!   foot   _____|   |
//!               |___| bottom of the footing
//! ```

use site::Work;
use site::works::{Side, Wall};

use super::near::{Near, Piece};
use super::seen::Seen;
use crate::WorkOutcome;
use crate::part::Part;

/// Ground behind a wall that stands higher than its top by more is a slope on it, metres.
const SLOPE_M: f64 = 0.1;
/// How far behind its back that is looked for, metres; at most.
const BEHIND_M: f64 = 1.0;
/// How far in front of its lean a wall's foot is looked for, metres.
const FRONT_M: f64 = 0.3;

/// A wall at one place.
pub(super) struct Standing {
    /// Its top there, east, north and up.
    pub(super) top_m: [f64; 3],
    /// From the bottom of its footing to its top.
    pub(super) height_m: f64,
    /// The ground in front.
    pub(super) foot_m: f64,
    /// The tier, counted from the front.
    pub(super) tier: usize,
    /// The ground a little behind its back, where there is any.
    behind_m: Option<f64>,
}

impl Standing {
    /// Whether ground rises behind it.
    pub(super) fn slope_behind(&self) -> bool {
        self.behind_m.is_some_and(|z_m| z_m > self.top_m[2] + SLOPE_M)
    }

    /// The slope of the ground behind it, rise per run; nought where it does not rise.
    pub(super) fn slope(&self) -> f64 {
        self.behind_m.map_or(0.0, |z_m| ((z_m - self.top_m[2]) / BEHIND_M).max(0.0))
    }
}

/// A wall in the middle of each straight stretch of each of its tops.
pub(super) fn standing(
    seen: &Seen<'_>,
    work: &Work,
    wall: &Wall,
    outcome: &WorkOutcome,
) -> Vec<Standing> {
    let tops = outcome.shape.wall_tops.iter().enumerate();
    tops.flat_map(|(tier, top)| along(seen, work, wall, (tier, top)).unwrap_or_default()).collect()
}

fn along(
    seen: &Seen<'_>,
    work: &Work,
    wall: &Wall,
    (tier, top): (usize, &[[f64; 3]]),
) -> Option<Vec<Standing>> {
    let places: Vec<[f64; 2]> = top.iter().map(|&[x, y, _]| [x, y]).collect();
    let lowest_m = ground::query::extent_z(seen.evaluation.existing.as_deref()?)?[0];
    let highest_m = top.iter().map(|p| p[2]).fold(f64::NEG_INFINITY, f64::max);
    let front_m = wall.batter * (highest_m - lowest_m).max(0.0) + FRONT_M;
    let behind_m = wall.thickness_m + BEHIND_M;
    let near = seen.near(&places, front_m.max(behind_m))?;
    let at_pair = |pair: &[[f64; 3]]| {
        let top_m: [f64; 3] = [0, 1, 2].map(|k| 0.5 * (pair[0][k] + pair[1][k]));
        let way = [pair[1][0] - pair[0][0], pair[1][1] - pair[0][1]];
        let run_m = libm::hypot(way[0], way[1]);
        let left = (run_m > 0.0).then(|| [-way[1] / run_m, way[0] / run_m])?;
        let back = if wall.retains == Side::Left { left } else { left.map(|c| -c) };
        let aside = |by_m: f64| [0, 1].map(|k| top_m[k] + by_m * back[k]);
        let foot_m = foot_m(seen, &near, work, [top_m[0], top_m[1]], aside(-front_m))?;
        Some(Standing {
            height_m: top_m[2] - foot_m + wall.embedment_m,
            top_m,
            foot_m,
            tier,
            behind_m: near.face_at(aside(behind_m)).map(|(_, z_m)| z_m),
        })
    };
    Some(top.windows(2).filter_map(at_pair).collect())
}

/// The ground in front of a wall: the first below its face. Before an upper tier that is the bench.
fn foot_m(seen: &Seen<'_>, near: &Near, work: &Work, from: [f64; 2], to: [f64; 2]) -> Option<f64> {
    let finished = seen.evaluation.finished.as_deref()?;
    let is_face = |piece: &Piece| {
        let tag = finished.faces()[piece.face as usize].tag;
        tag.owner == work.id.0 && Part::of(tag.part) == Part::WallFace
    };
    let pieces = near.section(from, to);
    let face = pieces.iter().position(is_face).unwrap_or(0);
    let foot = pieces[face..].iter().find(|piece| !is_face(piece));
    foot.or(pieces.last()).map(|piece| piece.z_m[0].min(piece.z_m[1]))
}
