//! A wall that ends before the fill behind it has come down.
//!
//! ```text
//!   from above:   fill            turned back:  fill   :
//!        ________________                ______________: run: the rise at the end times the slope
//!        |  step              face                     |      of the fill, its top falling with it
//!        |____________________                _________|
//! ```
//! Fill goes round the end of its wall only as far as the face's own plane, where it stands up as a
//! step: there is no earth that lies so. Turned back, with its top down to what a shovel trims, the wall
//! holds it.

use ground::curve::Closure;
use site::works::{Side, TopRun, Wall};
use site::{Work, WorkKind};

use super::super::line::Line;
use super::super::seen::Seen;
use super::super::words::enough_text;
use crate::{OpenEnd, Remedy};

/// Open ends that begin no farther than this beyond a wall's round end are its own, metres.
const AT_END_M: f64 = 0.1;
/// A step that a shovel trims may be left at the end, metres.
const TRIMMED_M: f64 = 0.095;

/// The wall's ends turned back until the fill is down; none when none of its ends is open.
pub(super) fn turned_back(seen: &Seen<'_>, work: &Work, open: &[&OpenEnd]) -> Option<Remedy> {
    let WorkKind::Wall(wall) = &work.kind else { return None };
    // A top that falls is no step, and every tier would have to turn.
    if wall.top_run == TopRun::Stepped || !wall.tiers.is_empty() {
        return None;
    }
    let line = Line::new(&wall.line, Closure::Open)?;
    let length_m = line.path.length_m();
    let near_m = wall.thickness_m + AT_END_M;
    let rises_m =
        [0.0, length_m].map(|station| rise_at(line.path.at_station(station).at, near_m, open));
    let mut turned = wall.clone();
    if turned.top_m.len() == 1 {
        turned.top_m = vec![wall.top_m[0]; wall.line.points.len()];
    }
    let (mut longest_m, mut lowest_m) = (0.0_f64, 0.0_f64);
    for (i, station) in [0.0, length_m].into_iter().enumerate() {
        let down_m = rises_m[i] - TRIMMED_M;
        if down_m > 0.0 {
            let run_m = down_m * wall.backfill + wall.thickness_m;
            (longest_m, lowest_m) = (longest_m.max(run_m), lowest_m.max(down_m));
            let at = if i == 0 { 0 } else { turned.line.points.len() };
            turn(&mut turned, at, back(&line, station, wall.retains), [run_m, down_m]);
        }
    }
    (longest_m > 0.0).then(|| Remedy {
        message: format!(
            "Turn the wall's ends back into the fill by {}, their tops falling by {}.",
            enough_text(longest_m, seen.unit),
            enough_text(lowest_m, seen.unit),
        ),
        site: seen.with(work.id, |kind| *kind = WorkKind::Wall(turned)),
    })
}

/// How high the fill stands up at an end; zero where it does not.
fn rise_at(end: [f64; 2], near_m: f64, open: &[&OpenEnd]) -> f64 {
    let is_at = |p: &[f64; 2]| libm::hypot(p[0] - end[0], p[1] - end[1]) < near_m;
    let own = open.iter().filter(|step| step.ends_m.iter().any(is_at));
    own.map(|step| step.rise_m).fold(0.0, f64::max)
}

/// The way square to the line into what the wall holds.
fn back(line: &Line, station_m: f64, retains: Side) -> [f64; 2] {
    let [tx, ty] = line.path.at_station(station_m).tangent;
    match retains {
        Side::Left => [-ty, tx],
        Side::Right => [ty, -tx],
    }
}

/// Puts a place before the wall's point `at`, or after its last, so far out and down from its end.
fn turn(wall: &mut Wall, at: usize, way: [f64; 2], [run_m, down_m]: [f64; 2]) {
    let end = at.min(wall.line.points.len() - 1);
    let [x, y] = wall.line.points[end];
    let point = [x + run_m * way[0], y + run_m * way[1]];
    let top_m = wall.top_m[end] - down_m;
    wall.line.points.insert(at, point);
    wall.top_m.insert(at, top_m);
}
