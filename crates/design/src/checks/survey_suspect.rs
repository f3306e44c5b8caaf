//! Shots, lines, levels and known points that cannot be right, as the survey was made a surface.

mod borings;
mod known_points;
mod misclosure;

use std::sync::Arc;

use ground::{Sum, Surface, query};
use site::Site;
use units::{elevation_text, length_text};

use super::COMMON_PRACTICE;
use super::seen::Seen;
use super::words::percent;
use crate::levels::ground_points;
use crate::{Code, Finding, Measured, Remedy, Severity, Suspect, SuspectKind, Unit};

/// Heights apart by less than this many times the survey's accuracy are the same shot twice.
const ACCURACIES: f64 = 2.0;
/// Findings of one kind beyond which the rest are told together.
const MOST_OF_A_KIND: usize = 8;
/// A garden of which more than this share is steeper than 1 in 1 is no garden.
const CLIFFS_SHARE: f64 = 0.5;

pub(super) fn check(seen: &Seen<'_>) -> Vec<Finding> {
    let survey = &seen.evaluation.survey;
    let mut found: Vec<Finding> = survey.refused.iter().map(|why| refused(seen, why)).collect();
    found.extend(misclosure::check(seen));
    found.extend(borings::check(seen));
    found.extend(known_points::check(seen));
    found.extend(seen.evaluation.existing.as_deref().and_then(|e| swapped(seen, e)));
    let kinds = [
        SuspectKind::Stray,
        SuspectKind::Spike,
        SuspectKind::Duplicate,
        SuspectKind::Crossing,
        SuspectKind::OffLine,
        SuspectKind::Overlap,
        SuspectKind::ZeroLength,
        SuspectKind::Outside,
        SuspectKind::BoundaryBeyond,
    ];
    for kind in kinds {
        let of_kind: Vec<&Suspect> =
            survey.suspects.iter().filter(|s| s.kind == kind && matters(seen, s)).collect();
        // What moves no height is told once for all.
        let each = if moves_heights(kind) { MOST_OF_A_KIND } else { 0 };
        found.extend(of_kind.iter().take(each).map(|suspect| one(seen, suspect)));
        if let [first, ..] = of_kind[each.min(of_kind.len())..] {
            found.push(rest(seen, first, of_kind.len() - each.min(of_kind.len())));
        }
    }
    found
}

fn moves_heights(kind: SuspectKind) -> bool {
    match kind {
        SuspectKind::Stray
        | SuspectKind::Spike
        | SuspectKind::Duplicate
        | SuspectKind::Crossing
        | SuspectKind::OffLine => true,
        SuspectKind::Overlap
        | SuspectKind::ZeroLength
        | SuspectKind::Outside
        | SuspectKind::BoundaryBeyond => false,
    }
}

/// Whether the heights in question differ by more than the survey's own accuracy explains.
fn matters(seen: &Seen<'_>, suspect: &Suspect) -> bool {
    let apart_m = suspect.heights_m.map_or(f64::INFINITY, |[low, high]| (high - low).abs());
    match suspect.kind {
        SuspectKind::Duplicate | SuspectKind::Crossing | SuspectKind::OffLine => {
            apart_m > ACCURACIES * seen.site.survey.accuracy_m
        }
        _ => true,
    }
}

fn refused(seen: &Seen<'_>, why: &str) -> Finding {
    let at = seen.site.survey.points.first().map_or([0.0; 3], |point| point.at_m);
    let n_points = seen.site.survey.points.len() as f64;
    Finding {
        code: Code::SurveySuspect,
        severity: Severity::Stop,
        work: None,
        at_m: at,
        measured: Measured { value: n_points, limit: 3.0, unit: Unit::Count },
        message: format!("The survey makes no ground: {why}."),
        remedy: Some(Remedy {
            message: "Shoot at least three points that are not in one line; no number of the plan \
                      stands for them."
                .into(),
            site: None,
        }),
        source: COMMON_PRACTICE,
        caution: None,
    }
}

/// Ground that is steep nearly everywhere: elevations read from a column of places, or the units
/// mixed.
fn swapped(seen: &Seen<'_>, existing: &Surface) -> Option<Finding> {
    let (mut whole, mut steep) = (Sum::default(), Sum::default());
    let mut steepest: Option<(f64, u32)> = None;
    for face in 0..existing.faces().len() as u32 {
        let area_m2 = query::face_area_m2(existing, face);
        let grade = existing.plane(face).grade(existing.lattice());
        whole.add(area_m2);
        if grade > 1.0 {
            steep.add(area_m2);
            if steepest.is_none_or(|(g, _)| grade > g) {
                steepest = Some((grade, face));
            }
        }
    }
    let share = steep.value() / whole.value();
    let (_, face) = steepest.filter(|_| share > CLIFFS_SHARE)?;
    let at = existing.lattice().metres(existing.corners(face)[0]);
    Some(Finding {
        code: Code::SurveySuspect,
        severity: Severity::Stop,
        work: None,
        at_m: seen.on_ground(at),
        measured: Measured { value: share, limit: CLIFFS_SHARE, unit: Unit::Ratio },
        message: format!(
            "{} of the ground is steeper than 1 in 1. Columns of the point list look swapped, or \
             units mixed.",
            percent(share)
        ),
        remedy: Some(Remedy {
            message: "Read the point list again with its columns named.".into(),
            site: None,
        }),
        source: COMMON_PRACTICE,
        caution: None,
    })
}

fn one(seen: &Seen<'_>, suspect: &Suspect) -> Finding {
    let at = match suspect.heights_m {
        Some([low, high]) => [suspect.at_m[0], suspect.at_m[1], 0.5 * (low + high)],
        None => seen.on_ground(suspect.at_m),
    };
    Finding {
        code: Code::SurveySuspect,
        severity: Severity::LookAt,
        work: None,
        at_m: at,
        measured: measured(seen, suspect),
        message: message(seen, suspect),
        remedy: Some(set_aside(seen, suspect).unwrap_or_else(resurvey)),
        source: COMMON_PRACTICE,
        caution: None,
    }
}

/// How far off it is; heights on one place by how far they are apart.
fn measured(seen: &Seen<'_>, suspect: &Suspect) -> Measured {
    let apart_m = || {
        let apart_m = suspect.heights_m.map_or(f64::NAN, |[low, high]| (high - low).abs());
        [apart_m, ACCURACIES * seen.site.survey.accuracy_m]
    };
    let [value, limit] = suspect.off_m.unwrap_or_else(apart_m);
    Measured { value, limit, unit: Unit::Metre }
}

fn message(seen: &Seen<'_>, suspect: &Suspect) -> String {
    let name = suspect.name.as_ref().map_or("A point".into(), |name| format!("Point {name}"));
    let [low, high] =
        suspect.heights_m.unwrap_or([f64::NAN; 2]).map(|z| elevation_text(z, seen.unit));
    let off = suspect.off_m.map_or(String::new(), |[off_m, _]| length_text(off_m, seen.unit));
    match suspect.kind {
        SuspectKind::Stray => {
            format!("{name} lies {off} from the middle of the survey and is set aside.")
        }
        SuspectKind::Spike => {
            format!(
                "{name} stands out from its neighbours by {off}. Shoot it again, or set it aside."
            )
        }
        SuspectKind::Duplicate => {
            format!("Shots on one place read {low} and {high}; their mean is used.")
        }
        SuspectKind::Crossing => {
            format!("Two breaklines cross here at {low} and {high}; the mean is used.")
        }
        SuspectKind::OffLine => {
            format!("A shot on a breakline and the line differ here: {low} and {high}.")
        }
        SuspectKind::Overlap => "Breaklines run along each other.".into(),
        SuspectKind::ZeroLength => "A breakline repeats a point.".into(),
        SuspectKind::Outside => "A point lies outside the boundary or in a void.".into(),
        SuspectKind::BoundaryBeyond => {
            "The boundary or a void runs beyond the points; no ground is made there.".into()
        }
    }
}

fn rest(seen: &Seen<'_>, first: &Suspect, count: usize) -> Finding {
    let what = match first.kind {
        SuspectKind::Stray => "points far off all others, set aside",
        SuspectKind::Spike => "points that stand out from their neighbours",
        SuspectKind::Duplicate => "places with shots at different heights",
        SuspectKind::Crossing => "crossings of breaklines at different heights",
        SuspectKind::OffLine => "shots that differ from the breakline they stand on",
        SuspectKind::Overlap => "stretches where breaklines run along each other",
        SuspectKind::ZeroLength => "breaklines that repeat a point",
        SuspectKind::Outside => "points outside the boundary or in a void, left out",
        SuspectKind::BoundaryBeyond => "corners of the boundary or a void beyond the points",
    };
    let more = if moves_heights(first.kind) { " more" } else { "" };
    let message = if count == 1 && more.is_empty() {
        message(seen, first)
    } else {
        format!("There are {count}{more} {what}.")
    };
    Finding {
        code: Code::SurveySuspect,
        severity: Severity::LookAt,
        work: None,
        at_m: seen.on_ground(first.at_m),
        measured: Measured { value: count as f64, limit: 0.0, unit: Unit::Count },
        message,
        remedy: Some(resurvey()),
        source: COMMON_PRACTICE,
        caution: None,
    }
}

/// Where no one point can be set aside: which of the heights is right only the ground tells.
fn resurvey() -> Remedy {
    let message =
        "Look at the notes, or shoot these places again: which is right only the ground tells.";
    Remedy { message: message.into(), site: None }
}

/// Sets the point aside that the suspicion names.
fn set_aside(seen: &Seen<'_>, suspect: &Suspect) -> Option<Remedy> {
    let name = suspect.name.as_ref()?;
    let survey = &seen.site.survey;
    let levels = survey.levels.as_ref().zip(seen.evaluation.survey.levels.as_ref());
    let levelled = levels.map_or(Vec::new(), |(notes, levels)| ground_points(notes, levels));
    let points = survey.points.iter().chain(&levelled);
    let unique = points.filter(|point| point.name == *name).count() == 1;
    if survey.set_aside.contains(name) || !unique {
        return None;
    }
    let mut survey = (**survey).clone();
    survey.set_aside.push(name.clone());
    let site = Site { survey: Arc::new(survey), ..seen.site.clone() };
    Some(Remedy { message: format!("Set point {name} aside."), site: Some(Box::new(site)) })
}
