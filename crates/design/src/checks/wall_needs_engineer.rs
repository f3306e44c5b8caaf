//! Walls beyond the height, from the bottom of their footing, up to which permits and licensed design
//! are commonly not asked for: 4 ft (K-07), or 24 in with a surcharge (K-09); some places ask from 2 ft of
//! any wall (K-08).
//!
//! ```text
//!            top ___  ← slope, tier or water behind: a surcharge
//!               |   |
//!   ground _____|   |
//!               |___| bottom of the footing
//! ```

use site::works::{Side, Wall};
use site::{Work, WorkKind};
use units::length_text;

use super::near::{Near, Piece};
use super::seen::Seen;
use super::words::WALL_CAUTION;
use crate::part::Part;
use crate::{Code, Finding, Measured, Remedy, Severity, Unit, WorkOutcome};

const SOURCE: &str = "IRC 2009 R105.2(3), 4 ft from the bottom of the footing without surcharge; \
     R404.4, 24 in of unbalanced fill";
/// Ground behind a wall that stands higher than its top by more is a slope on it, metres.
const SLOPE_M: f64 = 0.1;
/// How far behind its back that is looked for, metres; at most.
const BEHIND_M: f64 = 1.0;
/// How far in front of its lean a wall's foot is looked for, metres.
const FRONT_M: f64 = 0.3;

pub(super) fn check(seen: &Seen<'_>) -> Vec<Finding> {
    let of = |(work, outcome): (&Work, &WorkOutcome)| match &work.kind {
        WorkKind::Wall(wall) => of_wall(seen, work, wall, outcome),
        _ => None,
    };
    seen.built().filter_map(of).collect()
}

/// A wall where it stands the highest.
struct Highest {
    height_m: f64,
    at_m: [f64; 3],
    /// The tier, counted from the front.
    tier: usize,
    slope_behind: bool,
}

fn of_wall(seen: &Seen<'_>, work: &Work, wall: &Wall, outcome: &WorkOutcome) -> Option<Finding> {
    let tops = &outcome.shape.wall_tops;
    let highest =
        tops.iter().enumerate().filter_map(|(tier, top)| highest(seen, work, wall, tier, top));
    let highest = highest.max_by(|a, b| a.height_m.total_cmp(&b.height_m))?;
    let mut behind = Vec::new();
    if let Some(held) = wall.holds.and_then(|id| seen.work(id)) {
        behind.push(format!("the water of {}", held.name));
    }
    if highest.tier < wall.tiers.len() {
        behind.push("the tier above it".to_owned());
    }
    if highest.slope_behind {
        behind.push("ground that rises behind it".to_owned());
    }
    let limits = &seen.site.limits;
    let limit_m =
        if behind.is_empty() { limits.wall_design_m } else { limits.wall_design_loaded_m };
    if highest.height_m <= limit_m {
        return None;
    }
    let length = |m: f64| length_text(m, seen.unit);
    let carries = if behind.is_empty() {
        String::new()
    } else {
        format!(" and carries {}", behind.join(" and "))
    };
    Some(Finding {
        code: Code::WallNeedsEngineer,
        severity: if highest.height_m > limits.wall_design_m {
            Severity::Stop
        } else {
            Severity::LookAt
        },
        work: Some(work.id),
        at_m: highest.at_m,
        measured: Measured { value: highest.height_m, limit: limit_m, unit: Unit::Metre },
        message: format!(
            "The wall stands {} from the bottom of its footing{carries}: above {} a permit and licensed \
             design are commonly required.",
            length(highest.height_m),
            length(limit_m),
        ),
        remedy: Some(Remedy {
            message: format!(
                "Have it designed, or lower it by {}, or part it into tiers that stand clear of each \
                 other.",
                length(highest.height_m - limit_m)
            ),
            site: None,
        }),
        source: SOURCE,
        caution: Some(WALL_CAUTION),
    })
}

fn highest(
    seen: &Seen<'_>,
    work: &Work,
    wall: &Wall,
    tier: usize,
    top: &[[f64; 3]],
) -> Option<Highest> {
    let places: Vec<[f64; 2]> = top.iter().map(|&[x, y, _]| [x, y]).collect();
    let lowest_m = ground::query::extent_z(seen.evaluation.existing.as_deref()?)?[0];
    let top_m = top.iter().map(|p| p[2]).fold(f64::NEG_INFINITY, f64::max);
    let front_m = wall.batter * (top_m - lowest_m).max(0.0) + FRONT_M;
    let behind_m = wall.thickness_m + BEHIND_M;
    let near = seen.near(&places, front_m.max(behind_m))?;
    let at_pair = |pair: &[[f64; 3]]| {
        let middle: [f64; 3] = [0, 1, 2].map(|k| 0.5 * (pair[0][k] + pair[1][k]));
        let way = [pair[1][0] - pair[0][0], pair[1][1] - pair[0][1]];
        let run_m = libm::hypot(way[0], way[1]);
        let left = (run_m > 0.0).then(|| [-way[1] / run_m, way[0] / run_m])?;
        let back = if wall.retains == Side::Left { left } else { left.map(|c| -c) };
        let aside = |by_m: f64| [0, 1].map(|k| middle[k] + by_m * back[k]);
        let from = [middle[0], middle[1]];
        let foot_m = foot_m(seen, &near, work, from, aside(-front_m))?;
        let behind = near.face_at(aside(behind_m)).map(|(_, z_m)| z_m);
        Some(Highest {
            height_m: middle[2] - foot_m + wall.embedment_m,
            at_m: middle,
            tier,
            slope_behind: behind.is_some_and(|z_m| z_m > middle[2] + SLOPE_M),
        })
    };
    top.windows(2).filter_map(at_pair).max_by(|a, b| a.height_m.total_cmp(&b.height_m))
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
