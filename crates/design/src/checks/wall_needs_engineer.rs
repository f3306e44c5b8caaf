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

use site::works::Wall;
use site::{Work, WorkKind};
use units::length_text;

use super::seen::Seen;
use super::standing::standing;
use super::words::WALL_CAUTION;
use crate::{Code, Finding, Measured, Remedy, Severity, Unit, WorkOutcome};

const SOURCE: &str = "IRC 2009 R105.2(3), 4 ft from the bottom of the footing without surcharge; \
     R404.4, 24 in of unbalanced fill";

pub(super) fn check(seen: &Seen<'_>) -> Vec<Finding> {
    let of = |(work, outcome): (&Work, &WorkOutcome)| match &work.kind {
        WorkKind::Wall(wall) => of_wall(seen, work, wall, outcome),
        _ => None,
    };
    seen.built().filter_map(of).collect()
}

fn of_wall(seen: &Seen<'_>, work: &Work, wall: &Wall, outcome: &WorkOutcome) -> Option<Finding> {
    let standing = standing(seen, work, wall, outcome);
    let highest = standing.iter().max_by(|a, b| a.height_m.total_cmp(&b.height_m))?;
    let mut behind = Vec::new();
    if let Some(held) = wall.holds.and_then(|id| seen.work(id)) {
        behind.push(format!("the water of {}", held.name));
    }
    if highest.tier < wall.tiers.len() {
        behind.push("the tier above it".to_owned());
    }
    if highest.slope_behind() {
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
        at_m: highest.top_m,
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
