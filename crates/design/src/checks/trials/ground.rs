//! Banks, planes, hills, walls and steps changed until they hold, shed, or look right.

use ground::curve::signed_area_m2;
use site::works::{Flank, Path, Plane, RingShape};
use site::{WorkId, WorkKind};
use units::run_per_rise_text;

use super::super::bank_unsafe_to_dig::{loosest, run_per_rise};
use super::super::seen::Seen;
use super::super::words::enough_text;
use super::{Trial, by, toward};
use crate::{Finding, Unit};

/// No plane is let fall more than this, rise per run: beyond, it is no place to sit or play.
const MOST_FALL: f64 = 0.12;
/// Nothing is raised or lowered by more, metres.
const MOST_M: f64 = 1.2;
/// A wall is left at least so high, metres.
const LEAST_WALL_M: f64 = 0.2;
/// Banks are steepened by at most this share of their run.
const MOST_STEEPER: f64 = 0.75;
/// Flanks are eased to at most this many times the natural grade's run.
const MOST_EASE: f64 = 1.5;

/// A work's banks made steeper, so that they come to the ground sooner.
pub(super) fn steeper_banks(seen: &Seen<'_>, finding: &Finding) -> Option<Trial> {
    let edit = |kind: &mut WorkKind, share: f64| {
        let steepen = |bank: &mut f64| *bank *= 1.0 - MOST_STEEPER * share;
        match kind {
            WorkKind::Basin(basin) => [&mut basin.cut_bank, &mut basin.fill_bank].map(steepen),
            WorkKind::FilterBed(bed) => [&mut bed.cut_bank, &mut bed.fill_bank].map(steepen),
            WorkKind::IntakeBay(bay) => [&mut bay.cut_bank, &mut bay.fill_bank].map(steepen),
            WorkKind::Stream(stream) => [&mut stream.cut_bank, &mut stream.fill_bank].map(steepen),
            WorkKind::Pad(pad) => [&mut pad.cut_bank, &mut pad.fill_bank].map(steepen),
            WorkKind::Path(path) => [&mut path.cut_bank, &mut path.fill_bank].map(steepen),
            WorkKind::PlaneGrade(lawn) => [&mut lawn.cut_bank, &mut lawn.fill_bank].map(steepen),
            WorkKind::Hill(_) | WorkKind::Wall(_) | WorkKind::Trench(_) | WorkKind::Strip(_) => {
                [(), ()]
            }
        };
    };
    let told = |share: f64| {
        let percent = (100.0 * MOST_STEEPER * share).ceil();
        format!("Make its banks steeper: {percent:.0} % less run for the same rise.")
    };
    Some(Trial::of_work(seen, finding.work?, edit, told))
}

/// A hole's own banks laid back toward what its soil allows.
pub(super) fn laid_back(seen: &Seen<'_>, finding: &Finding) -> Option<Trial> {
    let (id, run) = (finding.work?, run_per_rise(loosest(seen)));
    let edit = move |kind: &mut WorkKind, share: f64| {
        let ease = |slope: &mut f64| *slope = toward(*slope, run, share);
        match kind {
            WorkKind::Basin(basin) => {
                ease(&mut basin.cut_bank);
                let mut above_m = 0.0;
                for ring in &mut basin.rings {
                    let deep_m = (ring.depth_m - above_m).max(0.0);
                    above_m = ring.depth_m;
                    if let RingShape::Inset { run_m } = &mut ring.shape {
                        run_m.iter_mut().for_each(|m| *m = toward(*m, run * deep_m, share));
                    }
                }
            }
            WorkKind::FilterBed(bed) => {
                ease(&mut bed.side);
                ease(&mut bed.cut_bank);
            }
            WorkKind::IntakeBay(bay) => {
                ease(&mut bay.side);
                ease(&mut bay.cut_bank);
            }
            WorkKind::Stream(stream) => {
                ease(&mut stream.cut_bank);
                stream.stations.iter_mut().for_each(|station| ease(&mut station.side));
            }
            WorkKind::Trench(trench) => ease(&mut trench.side),
            WorkKind::Pad(pad) => ease(&mut pad.cut_bank),
            WorkKind::Path(path) => ease(&mut path.cut_bank),
            WorkKind::PlaneGrade(lawn) => ease(&mut lawn.cut_bank),
            WorkKind::Hill(_) | WorkKind::Wall(_) | WorkKind::Strip(_) => {}
        }
    };
    let to = run_per_rise_text(run);
    let told = move |share: f64| match share {
        1.0 => format!("Lay its banks back to {to}."),
        _ => format!("Lay its banks back {:.0} % of the way to {to}.", (100.0 * share).ceil()),
    };
    Some(Trial::of_work(seen, id, edit, told))
}

/// A pad or a lawn that falls straight off the house.
pub(super) fn shed_away(seen: &Seen<'_>, finding: &Finding) -> Option<Trial> {
    let at = [finding.at_m[0], finding.at_m[1]];
    let outward = seen.site.houses.iter().find_map(|house| outward(&house.outline_m, at))?;
    let id = finding.work?;
    let drawn = match &seen.work(id)?.kind {
        WorkKind::Pad(pad) => pad.plane,
        WorkKind::PlaneGrade(lawn) => lawn.plane,
        _ => return None,
    };
    // The plane turns about the place at the wall, which keeps its level.
    let level_m = drawn.level_m - drawn.fall * along(&drawn, at);
    let plane = move |share: f64| Plane {
        at,
        level_m,
        toward: [0, 1].map(|k| at[k] + outward[k]),
        fall: share * MOST_FALL,
    };
    let edit = move |kind: &mut WorkKind, share: f64| match kind {
        WorkKind::Pad(pad) => pad.plane = plane(share),
        WorkKind::PlaneGrade(lawn) => lawn.plane = plane(share),
        _ => {}
    };
    let told = |share: f64| {
        format!("Let it fall {:.1} % straight away from the house.", 100.0 * share * MOST_FALL)
    };
    Some(Trial::of_work(seen, id, edit, told))
}

/// How far a place lies along the way that a plane falls, metres.
fn along(plane: &Plane, at: [f64; 2]) -> f64 {
    let way = [0, 1].map(|k| plane.toward[k] - plane.at[k]);
    let length_m = libm::hypot(way[0], way[1]);
    let off = [0, 1].map(|k| at[k] - plane.at[k]);
    if length_m > 0.0 { (off[0] * way[0] + off[1] * way[1]) / length_m } else { 0.0 }
}

/// The way outward from the wall on which a place lies; none where it lies on none.
fn outward(outline_m: &[[f64; 2]], at: [f64; 2]) -> Option<[f64; 2]> {
    const ON_WALL_M: f64 = 0.05;
    let n = outline_m.len();
    let turn = signed_area_m2(outline_m).signum();
    let sides = (0..n).map(|i| [outline_m[i], outline_m[(i + 1) % n]]);
    let [a, b] = sides.into_iter().find(|&s| crate::stretch::to_stretch_m(at, s) < ON_WALL_M)?;
    let run_m = libm::hypot(b[0] - a[0], b[1] - a[1]);
    (run_m > 0.0).then(|| [turn * (b[1] - a[1]) / run_m, turn * (a[0] - b[0]) / run_m])
}

/// A hill's crest drawn level.
pub(super) fn level_top(seen: &Seen<'_>, finding: &Finding) -> Option<Trial> {
    let id = finding.work?;
    let edit = |kind: &mut WorkKind, share: f64| {
        if let WorkKind::Hill(hill) = kind {
            let least_m = hill.crest_m.iter().copied().fold(f64::INFINITY, f64::min);
            hill.crest_m.iter_mut().for_each(|m| *m -= share * (*m - least_m));
            for flank in hill.left.iter_mut().chain(&mut hill.right) {
                let Flank { run_per_rise, .. } = flank;
                *run_per_rise *= 1.0 + share;
            }
        }
    };
    let told = |share: f64| {
        let percent = (100.0 * share).ceil();
        format!("Draw the flanks out by {percent:.0} % and level the crest by as much of its fall.")
    };
    let is_hill = matches!(seen.work(id)?.kind, WorkKind::Hill(_));
    is_hill.then(|| Trial::of_work(seen, id, edit, told))
}

/// A hill behind the lip raised.
pub(super) fn raised_behind(seen: &Seen<'_>) -> Vec<Trial> {
    let hills = seen.visible().filter(|work| matches!(work.kind, WorkKind::Hill(_)));
    let raised = |work: &site::Work| {
        let edit = |kind: &mut WorkKind, share: f64| {
            if let WorkKind::Hill(hill) = kind {
                hill.crest_m.iter_mut().for_each(|m| *m += share * MOST_M);
            }
        };
        let (length, name) = (by(MOST_M, seen.unit), work.name.clone());
        let told = move |share| format!("Raise the crest of {name} by {}.", length(share));
        Trial::of_work(seen, work.id, edit, told)
    };
    hills.map(raised).collect()
}

/// The flanks of a hill eased to the natural grade and beyond, hill by hill.
pub(super) fn eased(seen: &Seen<'_>, finding: &Finding) -> Vec<Trial> {
    let most = MOST_EASE * seen.site.limits.natural_run_per_rise;
    let is_hill = |work: &&site::Work| matches!(work.kind, WorkKind::Hill(_));
    let own = finding.work.and_then(|id| seen.work(id)).filter(is_hill);
    let hills =
        seen.visible().filter(is_hill).filter(|hill| own.is_none_or(|own| own.id == hill.id));
    let eased = |hill: &site::Work| {
        let edit = move |kind: &mut WorkKind, share: f64| {
            if let WorkKind::Hill(hill) = kind {
                let flanks = hill.left.iter_mut().chain(&mut hill.right);
                flanks.for_each(|f| f.run_per_rise = toward(f.run_per_rise, most, share));
            }
        };
        let name = hill.name.clone();
        let told = move |share: f64| {
            let (percent, to) = ((100.0 * share).ceil(), run_per_rise_text(most));
            format!("Ease the flanks of {name} {percent:.0} % of the way to {to}.")
        };
        Trial::of_work(seen, hill.id, edit, told)
    };
    hills.map(eased).collect()
}

/// Paths lowered, where they raise the ground beside a house.
pub(super) fn lower_paths(seen: &Seen<'_>) -> Vec<Trial> {
    let lower = |work: &site::Work| {
        let (length, name) = (by(MOST_M, seen.unit), work.name.clone());
        path(
            seen,
            work.id,
            |path, share| path.level_m.iter_mut().for_each(|m| *m -= share * MOST_M),
            move |share| format!("Lower {name} by {}.", length(share)),
        )
    };
    let paths = seen.visible().filter(|work| matches!(work.kind, WorkKind::Path(_)));
    paths.map(lower).collect()
}

/// A wall lowered.
pub(super) fn lower_wall(seen: &Seen<'_>, finding: &Finding) -> Option<Trial> {
    let id = finding.work?;
    let WorkKind::Wall(wall) = &seen.work(id)?.kind else { return None };
    // What it measures is its height from the footing; of a light wall that is not told.
    let height_m =
        if finding.measured.unit == Unit::Metre { finding.measured.value } else { MOST_M };
    let most_m = height_m - LEAST_WALL_M - wall.embedment_m;
    let edit = move |kind: &mut WorkKind, share: f64| {
        if let WorkKind::Wall(wall) = kind {
            wall.top_m.iter_mut().for_each(|m| *m -= share * most_m);
        }
    };
    let length = by(most_m, seen.unit);
    (most_m > 0.0).then(|| {
        Trial::of_work(seen, id, edit, move |share| format!("Lower it by {}.", length(share)))
    })
}

/// A wall raised, so that what is filled against it ends behind it.
pub(super) fn higher_wall(seen: &Seen<'_>, finding: &Finding) -> Option<Trial> {
    let id = finding.work?;
    let is_wall = matches!(seen.work(id)?.kind, WorkKind::Wall(_));
    let edit = |kind: &mut WorkKind, share: f64| {
        if let WorkKind::Wall(wall) = kind {
            wall.top_m.iter_mut().for_each(|m| *m += share * MOST_M);
        }
    };
    let length = by(MOST_M, seen.unit);
    is_wall.then(|| {
        Trial::of_work(seen, id, edit, move |share| {
            format!("Raise the wall's top by {}.", length(share))
        })
    })
}

/// A path with lower steps, or with slopes where steps stood.
pub(super) fn other_steps(seen: &Seen<'_>, finding: &Finding) -> Vec<Trial> {
    let Some(id) = finding.work else { return Vec::new() };
    let Some(WorkKind::Path(drawn)) = seen.work(id).map(|work| &work.kind) else {
        return Vec::new();
    };
    let limits = &seen.site.limits;
    let (riser_m, least_m) = (drawn.steps.riser_m, limits.riser_least_m);
    let (grade, most) = (drawn.largest_grade, 1.0 / limits.path_run_per_rise);
    let unit = seen.unit;
    vec![
        path(
            seen,
            id,
            move |path, share| path.steps.riser_m = riser_m + share * (least_m - riser_m),
            move |share| {
                let to_m = riser_m + share * (least_m - riser_m);
                format!("Let a riser be {} at most.", enough_text(to_m, unit))
            },
        ),
        path(
            seen,
            id,
            move |path, share| path.largest_grade = toward(grade, most, share),
            move |share| {
                let run = 1.0 / toward(grade, most, share).max(1e-3);
                format!("Let it rise {} without steps.", run_per_rise_text(run))
            },
        ),
    ]
}

fn path(
    seen: &Seen<'_>,
    id: WorkId,
    edit: impl Fn(&mut Path, f64) + 'static,
    told: impl Fn(f64) -> String + 'static,
) -> Trial {
    let edit = move |kind: &mut WorkKind, share: f64| {
        if let WorkKind::Path(path) = kind {
            edit(path, share);
        }
    };
    Trial::of_work(seen, id, edit, told)
}
