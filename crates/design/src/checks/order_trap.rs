//! Works built in an order that undoes one of them: a stream or a filter whose bed a later work
//! fills, a wall whose face stands in fill that was placed before it, a bay before its pond, a trench
//! through what is lined by then, a way in that is closed, heaped over or too narrow, and stones that the
//! machine does not lift.
//!
//! ```text
//!   fill bank first:  ____                 wall first:  ____
//!                         `.| top                           `.| top
//!                           |`.                               |
//!                           |   `. buried face                | exposed face
//!    _______________________|_____`.__      __________________|________
//! ```
//! A bank that is built first runs on through the place of the wall; one that is built after the wall
//! ends behind it, as long as its top stands higher.

mod closed_bay;
mod drain_after_liner;
mod shut_in;
mod too_heavy;

use std::collections::BTreeMap;
use std::sync::Arc;

use ground::Surface;
use ground::curve::Closure;
use site::works::{Side, Stream, Wall};
use site::{Site, Work, WorkId, WorkKind};
use units::length_text;

use super::COMMON_PRACTICE;
use super::line::{Line, Top};
use super::near::{Grouped, Near};
use super::seen::Seen;
use super::words::{WALL_CAUTION, along_line, percent, stretch_text};
use crate::part::Part;
use crate::{Code, Finding, Measured, Remedy, Severity, Unit, WorkOutcome};

/// Lines are looked at every so often, metres: narrower fill is a shovel's.
const LOOK_EVERY_M: f64 = 0.25;
/// Fill in a bed below this is raked out, metres.
const LEAST_FILL_M: f64 = 0.02;
/// A face of which fill hides more than this share of the height is buried there.
const HIDDEN_SHARE: f64 = 0.5;
/// A wall whose face is buried along more than this share of its length has lost it: ends may die
/// into a bank.
const BURIED_SHARE: f64 = 0.5;
/// A wall that stands out of the ground by less is a kerb, metres.
const LEAST_FACE_M: f64 = 0.1;
/// How far in front of its line a face's foot is looked for beyond its lean, metres.
const FOOT_REACH_M: f64 = 0.3;
/// How far around a line the ground is kept at hand, metres.
const BESIDE_M: f64 = 0.05;

pub(super) fn check(seen: &Seen<'_>) -> Vec<Finding> {
    let finished = seen.evaluation.finished.as_ref();
    let is_last = |outcome: &WorkOutcome| {
        finished.is_some_and(|finished| Arc::ptr_eq(finished, &outcome.after))
    };
    let finding = |(work, outcome): (&Work, &WorkOutcome)| match &work.kind {
        // Nothing fills what is built last.
        WorkKind::Stream(_) | WorkKind::FilterBed(_) if is_last(outcome) => None,
        WorkKind::Stream(stream) => filled_bed(seen, work, stream, outcome),
        WorkKind::Wall(wall) => buried_face(seen, work, wall),
        WorkKind::FilterBed(_) => filled_filter(seen, work, outcome),
        // What is heaped into a pond later may be its island.
        WorkKind::Basin(_) | WorkKind::Hill(_) => None,
        WorkKind::IntakeBay(bay) => closed_bay::check(seen, work, bay),
        WorkKind::Trench(trench) => drain_after_liner::check(seen, work, trench),
        WorkKind::Pad(_) | WorkKind::Path(_) | WorkKind::PlaneGrade(_) | WorkKind::Strip(_) => None,
    };
    let heavy = seen.built().filter_map(|(work, _)| too_heavy::check(seen, work));
    seen.built().filter_map(finding).chain(shut_in::check(seen)).chain(heavy).collect()
}

/// Places along a line, from its first to its last, with their stations.
fn looks(line: &Line) -> Vec<f64> {
    let length_m = line.path.length_m();
    let n = (length_m / LOOK_EVERY_M).ceil().max(1.0);
    (0..=n as usize).map(|i| length_m * i as f64 / n).collect()
}

fn ends(line: &Line) -> [[f64; 2]; 2] {
    [0.0, line.path.length_m()].map(|s| line.path.at_station(s).at)
}

/// Fill in a bed at one station.
struct Fill {
    station_m: f64,
    height_m: f64,
    /// Elevation of the finished ground.
    z_m: f64,
    owner: u32,
}

/// A stream's bed that later works fill.
fn filled_bed(
    seen: &Seen<'_>,
    work: &Work,
    stream: &Stream,
    outcome: &WorkOutcome,
) -> Option<Finding> {
    let line = Line::new(&stream.line, Closure::Open)?;
    let fills = fills(seen, work.id, &line, &outcome.after)?;
    let worst = fills.iter().max_by(|a, b| a.height_m.total_cmp(&b.height_m))?;
    let by = seen.owner(worst.owner)?;
    let at = line.path.at_station(worst.station_m).at;
    let blocked = worst.height_m > stream.water_depth_m;
    let place = along_line(worst.station_m / line.path.length_m(), ends(&line));
    Some(Finding {
        code: Code::OrderTrap,
        severity: if blocked { Severity::Stop } else { Severity::LookAt },
        work: Some(work.id),
        at_m: [at[0], at[1], worst.z_m],
        measured: Measured { value: worst.height_m, limit: LEAST_FILL_M, unit: Unit::Metre },
        message: format!(
            "The stream's bed is filled by up to {} {place}, for {}: {} is built after it.{}",
            length_text(worst.height_m, seen.unit),
            stretch_text(fills.len() as f64 * LOOK_EVERY_M, seen.unit),
            by.name,
            if blocked { " The water does not pass." } else { "" },
        ),
        remedy: Some(built_after(
            seen.site,
            work.id,
            last_built(seen, fills.iter().map(|f| f.owner)),
        )),
        source: COMMON_PRACTICE,
        caution: None,
    })
}

/// Where the finished ground stands above the bed as the stream left it.
fn fills(seen: &Seen<'_>, stream: WorkId, line: &Line, left: &Surface) -> Option<Vec<Fill>> {
    let places = line.path.points();
    let before = Near::new(&Grouped::new(left), places, BESIDE_M);
    let after = seen.near(places, BESIDE_M)?;
    let fill = |station_m: f64| {
        let at = line.path.at_station(station_m).at;
        let (bed, bed_m) = before.face_at(at)?;
        let (face, z_m) = after.face_at(at)?;
        let owner = seen.owner_of(face);
        let is_filled = left.faces()[bed as usize].tag.owner == stream.0
            && is_later(seen, owner, stream)
            && z_m - bed_m > LEAST_FILL_M;
        is_filled.then_some(Fill { station_m, height_m: z_m - bed_m, z_m, owner })
    };
    Some(looks(line).into_iter().filter_map(fill).collect())
}

/// A filter's floor that later works fill.
fn filled_filter(seen: &Seen<'_>, work: &Work, outcome: &WorkOutcome) -> Option<Finding> {
    let left = &*outcome.after;
    let is_floor = |face: &&ground::Face| {
        face.tag.owner == work.id.0 && Part::of(face.tag.part) == Part::Floor
    };
    let middle = |face: &ground::Face| {
        let corners = face.vertices.map(|v| left.lattice().metres(left.vertices()[v as usize]));
        let heights = face.heights.map(|h| left.heights()[h as usize]);
        let mean = |of: [f64; 3]| of.iter().sum::<f64>() / 3.0;
        [mean(corners.map(|c| c[0])), mean(corners.map(|c| c[1])), mean(heights)]
    };
    let floors: Vec<[f64; 3]> = left.faces().iter().filter(is_floor).map(middle).collect();
    let places: Vec<[f64; 2]> = floors.iter().map(|&[x, y, _]| [x, y]).collect();
    let near = seen.near(&places, BESIDE_M)?;
    let fill = |&[x, y, floor_m]: &[f64; 3]| {
        let (face, z_m) = near.face_at([x, y])?;
        let owner = seen.owner_of(face);
        (is_later(seen, owner, work.id) && z_m - floor_m > LEAST_FILL_M).then_some((
            [x, y, z_m],
            z_m - floor_m,
            owner,
        ))
    };
    let fills: Vec<([f64; 3], f64, u32)> = floors.iter().filter_map(fill).collect();
    let &(at_m, height_m, owner) = fills.iter().max_by(|a, b| a.1.total_cmp(&b.1))?;
    let by = seen.owner(owner)?;
    Some(Finding {
        code: Code::OrderTrap,
        severity: Severity::Stop,
        work: Some(work.id),
        at_m,
        measured: Measured { value: height_m, limit: LEAST_FILL_M, unit: Unit::Metre },
        message: format!(
            "The filter's floor is filled by up to {}: {} is built after it.",
            length_text(height_m, seen.unit),
            by.name,
        ),
        remedy: Some(built_after(seen.site, work.id, last_built(seen, fills.iter().map(|f| f.2)))),
        source: COMMON_PRACTICE,
        caution: None,
    })
}

/// A wall's face along its line.
#[derive(Default)]
struct Faces {
    n_standing: usize,
    /// Stations at which fill hides it, by the work that placed the fill.
    buried_m: BTreeMap<u32, Vec<f64>>,
    /// The least of it that shows at such a station, and where.
    worst: Option<(f64, f64, f64)>,
}

/// A wall whose face stands in other works' fill along most of its length.
fn buried_face(seen: &Seen<'_>, work: &Work, wall: &Wall) -> Option<Finding> {
    let line = Line::new(&wall.line, Closure::Open)?;
    let faces = faces(seen, work.id, wall, &line)?;
    let n_buried: usize = faces.buried_m.values().map(Vec::len).sum();
    let share = n_buried as f64 / faces.n_standing.max(1) as f64;
    if share <= BURIED_SHARE {
        return None;
    }
    let most = |(_, stations): &(&u32, &Vec<f64>)| stations.len();
    let by = seen.owner(*faces.buried_m.iter().max_by_key(most)?.0)?;
    let is_earlier = position(seen.site, by.id) < position(seen.site, work.id);
    let (when, remedy) = match is_earlier {
        true => ("before", built_after(seen.site, by.id, work)),
        false => ("after", held_back(seen, by, work)),
    };
    let (shown_m, station_m, foot_m) = faces.worst?;
    let at = line.path.at_station(station_m).at;
    let place = along_line(station_m / line.path.length_m(), ends(&line));
    Some(Finding {
        code: Code::OrderTrap,
        severity: Severity::LookAt,
        work: Some(work.id),
        at_m: [at[0], at[1], foot_m],
        measured: Measured { value: share, limit: BURIED_SHARE, unit: Unit::Ratio },
        message: format!(
            "The wall stands in fill along {} of its length, and shows {} {place}: {} is built \
             {when} it.",
            percent(share),
            length_text(shown_m.max(0.0), seen.unit),
            by.name,
        ),
        remedy: Some(remedy),
        source: COMMON_PRACTICE,
        caution: Some(WALL_CAUTION),
    })
}

fn faces(seen: &Seen<'_>, id: WorkId, wall: &Wall, line: &Line) -> Option<Faces> {
    let top = Top::new(line, wall.top_run, &wall.top_m);
    let lowest_m = ground::query::extent_z(seen.evaluation.existing.as_deref()?)?[0];
    let highest_m = top.levels_m.iter().copied().fold(f64::NEG_INFINITY, f64::max);
    let reach_m = wall.batter * (highest_m - lowest_m).max(0.0) + FOOT_REACH_M;
    let places = line.path.points();
    let near = seen.near(places, reach_m)?;
    let existing = Grouped::new(seen.evaluation.existing.as_deref()?);
    let existing = Near::new(&existing, places, reach_m);
    let own = position(seen.site, id);
    // A stream that is built later runs through the wall, and its bed is raised in front of it.
    let is_fill = |owner: u32| match seen.owner(owner) {
        Some(by) if matches!(by.kind, WorkKind::Stream(_)) => position(seen.site, by.id) < own,
        Some(by) => by.id != id,
        None => false,
    };
    let mut faces = Faces::default();
    for station_m in looks(line) {
        let [a, b] = outward(line, station_m, wall.retains, reach_m);
        let pieces = near.section(a, b);
        let foot = pieces.iter().find(|piece| seen.owner_of(piece.face) != id.0);
        let Some(foot) = foot else { continue };
        let share = foot.stations_m[0] / reach_m;
        let at = [0, 1].map(|k| a[k] + share * (b[k] - a[k]));
        let Some((_, ground_m)) = existing.face_at(at) else { continue };
        let (top_m, foot_m) = (top.at_station(station_m), foot.z_m[0]);
        if top_m - ground_m < LEAST_FACE_M {
            continue;
        }
        faces.n_standing += 1;
        let owner = seen.owner_of(foot.face);
        if is_fill(owner) && foot_m - ground_m > HIDDEN_SHARE * (top_m - ground_m) {
            faces.buried_m.entry(owner).or_default().push(station_m);
            let shown_m = top_m - foot_m;
            if faces.worst.is_none_or(|worst| shown_m < worst.0) {
                faces.worst = Some((shown_m, station_m, foot_m));
            }
        }
    }
    Some(faces)
}

/// From a wall's line square outward, away from what it holds.
fn outward(line: &Line, station_m: f64, retains: Side, reach_m: f64) -> [[f64; 2]; 2] {
    let at = line.path.at_station(station_m);
    let [tx, ty] = at.tangent;
    let way = match retains {
        Side::Left => [ty, -tx],
        Side::Right => [-ty, tx],
    };
    [at.at, [0, 1].map(|k| at.at[k] + reach_m * way[k])]
}

fn position(site: &Site, id: WorkId) -> usize {
    site.works.iter().position(|work| work.id == id).unwrap_or(usize::MAX)
}

/// Whether a face that stands over a work's own is another work's.
fn is_later(seen: &Seen<'_>, owner: u32, work: WorkId) -> bool {
    owner != work.0 && seen.owner(owner).is_some()
}

/// Of some works, at least one, the one that is built last.
fn last_built<'a>(seen: &Seen<'a>, owners: impl Iterator<Item = u32>) -> &'a Work {
    let works = owners.filter_map(|owner| seen.owner(owner));
    works.max_by_key(|work| position(seen.site, work.id)).expect("fill has the work that placed it")
}

/// Fill that is placed in front of a wall after it, kept behind it: a hill by letting the wall hold it.
fn held_back(seen: &Seen<'_>, fill: &Work, wall: &Work) -> Remedy {
    if !matches!(fill.kind, WorkKind::Hill(_)) {
        let message =
            format!("Draw {} back from the wall's face, or leave the wall out.", fill.name);
        return Remedy { message, site: None };
    }
    let site = seen.with(fill.id, |kind| {
        if let WorkKind::Hill(hill) = kind {
            hill.held_by = Some(wall.id);
        }
    });
    Remedy {
        message: format!("Let {} hold {}: it then ends behind it.", wall.name, fill.name),
        site,
    }
}

/// Builds a work directly after another.
pub(super) fn built_after(drawn: &Site, moved: WorkId, after: &Work) -> Remedy {
    let mut site = drawn.clone();
    let work = site.works.remove(position(drawn, moved));
    let message = format!("Build {} after {}.", work.name, after.name);
    site.works.insert(position(&site, after.id) + 1, work);
    Remedy { message, site: Some(Box::new(site)) }
}
