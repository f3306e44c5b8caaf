//! A filter with its lip, a wall, a path or a pad that stands on fresh fill, which settles.
//!
//! ```text
//!     ______ stands here          settles by the stated share of the fill's height under it
//!    /  fill \____
//!   ‾‾‾‾‾‾‾‾‾‾‾‾‾‾‾ stripped ground
//! ```

use std::collections::BTreeMap;

use site::works::Wall;
use site::{Work, WorkKind};
use units::length_text;

use super::COMMON_PRACTICE;
use super::near::{Grouped, Near};
use super::seen::Seen;
use super::standing::standing;
use super::words::{WALL_CAUTION, enough_text};
use crate::layers::Layers;
use crate::part::Part;
use crate::{Code, Finding, Measured, Remedy, Severity, Unit, WorkOutcome};

/// Half the side of the box in which the ground under a wall is looked for, metres.
const UNDER_M: f64 = 0.05;

pub(super) fn check(seen: &Seen<'_>) -> Vec<Finding> {
    let share = seen.site.digging.settlement;
    if share <= 0.0 {
        return Vec::new();
    }
    let laid = under_laid(seen);
    let of = |(work, outcome): (&Work, &WorkOutcome)| {
        let highest = match &work.kind {
            WorkKind::Wall(wall) => under_wall(seen, work, wall, outcome)?,
            _ => *laid.get(&work.id.0)?,
        };
        finding(seen, work, highest, share)
    };
    seen.built().filter_map(of).collect()
}

/// The highest fill under a work: where, and how high.
type Highest = ([f64; 2], f64);

/// The fill under filters, paths and pads, from the pieces of ground that they made.
fn under_laid(seen: &Seen<'_>) -> BTreeMap<u32, Highest> {
    let mut highest: BTreeMap<u32, Highest> = BTreeMap::new();
    let (Some(cells), Some(finished)) = (seen.cells(), seen.evaluation.finished.as_deref()) else {
        return highest;
    };
    let layers = Layers::of(seen.site);
    for (face, tag) in (0..).zip(finished.faces().iter().map(|face| face.tag)) {
        let part = Part::of(tag.part);
        let may_stand = matches!(part, Part::Floor | Part::Rim | Part::Path | Part::Pad);
        let stands = may_stand
            && match seen.owner(tag.owner).map(|work| &work.kind) {
                Some(WorkKind::FilterBed(_)) => matches!(part, Part::Floor | Part::Rim),
                Some(WorkKind::Path(_)) => part == Part::Path,
                Some(WorkKind::Pad(_)) => part == Part::Pad,
                _ => false,
            };
        if !stands {
            continue;
        }
        let under_m = layers.strip_m - layers.on(tag).thickness_m();
        for &[[x, y, rise_m], _] in cells.on(face).flat_map(|cell| cell.edges) {
            let best = highest.entry(tag.owner).or_insert(([x, y], f64::NEG_INFINITY));
            if rise_m + under_m > best.1 {
                *best = ([x, y], rise_m + under_m);
            }
        }
    }
    highest
}

/// The fill under a wall's front.
fn under_wall(seen: &Seen<'_>, work: &Work, wall: &Wall, outcome: &WorkOutcome) -> Option<Highest> {
    let standing = standing(seen, work, wall, outcome);
    let places: Vec<[f64; 2]> = standing.iter().map(|s| [s.top_m[0], s.top_m[1]]).collect();
    let existing = Near::new(&Grouped::new(seen.evaluation.existing.as_deref()?), &places, UNDER_M);
    let strip_m = seen.site.soils.topsoil.strip_m;
    let front = standing.iter().filter(|place| place.tier == 0);
    let fill = front.filter_map(|place| {
        let at = [place.top_m[0], place.top_m[1]];
        let stripped_m = existing.face_at(at)?.1 - strip_m;
        Some((at, place.foot_m - wall.embedment_m - stripped_m))
    });
    fill.max_by(|a, b| a.1.total_cmp(&b.1))
}

fn finding(seen: &Seen<'_>, work: &Work, (at, fill_m): Highest, share: f64) -> Option<Finding> {
    let (settles_m, limit_m) = (share * fill_m, seen.site.limits.fill_settlement_m);
    if settles_m <= limit_m {
        return None;
    }
    let what = match &work.kind {
        WorkKind::FilterBed(_) => "The filter with its lip",
        WorkKind::Wall(_) => "The wall",
        WorkKind::Path(_) => "The path",
        _ => "The pad",
    };
    let length = |m: f64| length_text(m, seen.unit);
    Some(Finding {
        code: Code::FillUnderfoot,
        severity: Severity::LookAt,
        work: Some(work.id),
        at_m: seen.on_ground(at),
        measured: Measured { value: settles_m, limit: limit_m, unit: Unit::Metre },
        message: format!(
            "{what} stands on up to {} of fresh fill, which settles by about {}; {} is let pass.",
            length(fill_m),
            length(settles_m),
            length(limit_m),
        ),
        remedy: Some(compacted(seen, fill_m, settles_m)),
        source: COMMON_PRACTICE,
        caution: matches!(work.kind, WorkKind::Wall(_)).then_some(WALL_CAUTION),
    })
}

/// Fill placed so that it settles by a smaller share of its height.
fn compacted(seen: &Seen<'_>, fill_m: f64, settles_m: f64) -> Remedy {
    let share = seen.site.limits.fill_settlement_m / fill_m;
    // Told in tenths of a percent, and held to what is told.
    let share = (share * 1000.0).floor() / 1000.0;
    let message = format!(
        "Place the fill in thin lifts and compact each until it settles by no more than {:.1} % of its \
         height; or build it {} higher and set levels after it has settled, or found it on standing \
         ground.",
        100.0 * share,
        enough_text(settles_m, seen.unit)
    );
    let mut site = seen.site.clone();
    site.digging.settlement = share;
    Remedy { message, site: (share > 0.0).then(|| Box::new(site)) }
}
