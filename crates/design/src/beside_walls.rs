//! What is dug behind walls and for their footings.

use ground::Sum;
use site::WorkKind;
use site::works::{Side, Wall};

use crate::WorkOutcome;
use crate::checks::near::{Grouped, Near};
use crate::measured::Grounds;

/// Dug behind walls, so that there is room to work, and below them for their footings.
///
/// At places along each wall's top: the existing ground over the room behind its back down to the
/// footing's bottom, and the ground in front over its thickness down to there.
pub(crate) fn volume_m3(grounds: &Grounds<'_>) -> f64 {
    let mut walls: Vec<(&WorkOutcome, &Wall)> = Vec::new();
    for outcome in grounds.works {
        if let Some(WorkKind::Wall(wall)) = grounds.site.work(outcome.work).map(|work| &work.kind) {
            walls.push((outcome, wall));
        }
    }
    if walls.is_empty() {
        return 0.0;
    }
    let grouped = [grounds.existing, grounds.finished].map(|ground| Grouped::new(ground));
    let mut sum = Sum::default();
    for (outcome, wall) in walls {
        for top in &outcome.shape.wall_tops {
            add(&mut sum, top, wall, grounds.site.digging.behind_wall_m, &grouped);
        }
    }
    sum.value()
}

/// Adds what is dug along one top edge.
fn add(sum: &mut Sum, top: &[[f64; 3]], wall: &Wall, room_m: f64, grounds: &[Grouped<'_>; 2]) {
    let front_m = wall.thickness_m.min(IN_FRONT_M);
    let behind_m = wall.thickness_m + 0.5 * room_m;
    let places: Vec<[f64; 2]> = top.iter().map(|&[x, y, _]| [x, y]).collect();
    let [existing, finished] =
        grounds.each_ref().map(|ground| Near::new(ground, &places, front_m.max(behind_m)));
    let side = if wall.retains == Side::Left { 1.0 } else { -1.0 };
    for pair in places.windows(2) {
        let [a, b] = [pair[0], pair[1]];
        let way = [b[0] - a[0], b[1] - a[1]];
        let run_m = libm::hypot(way[0], way[1]);
        if run_m == 0.0 {
            continue;
        }
        let beside = |off_m: f64| {
            let share = side * off_m / run_m;
            [0.5 * (a[0] + b[0]) - share * way[1], 0.5 * (a[1] + b[1]) + share * way[0]]
        };
        let front = finished.face_at(beside(-front_m));
        let behind = existing.face_at(beside(behind_m));
        let (Some((_, front_m)), Some((_, behind_m))) = (front, behind) else { continue };
        let foot_m = front_m - wall.embedment_m;
        sum.add(run_m * room_m * (behind_m - foot_m).max(0.0));
        sum.add(run_m * wall.thickness_m * wall.embedment_m);
    }
}

/// How far in front of a wall's top its foot is looked for, metres.
const IN_FRONT_M: f64 = 0.3;
