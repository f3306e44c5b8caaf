//! What is dug behind walls and for their footings.

use ground::{Locator, Sum};
use site::WorkKind;
use site::works::Side;

use crate::measured::Grounds;

/// Dug behind walls, so that there is room to work, and below them for their footings.
///
/// At places along each wall's top: the existing ground over the room behind its back down to the
/// footing's bottom, and the ground in front over its thickness down to there.
pub(crate) fn volume_m3(grounds: &Grounds<'_>) -> f64 {
    let [existing, finished] =
        [grounds.existing, grounds.finished].map(|ground| Locator::new(&**ground));
    let room_m = grounds.site.digging.behind_wall_m;
    let mut sum = Sum::default();
    for outcome in grounds.works {
        let Some(WorkKind::Wall(wall)) = grounds.site.work(outcome.work).map(|work| &work.kind)
        else {
            continue;
        };
        let side = if wall.retains == Side::Left { 1.0 } else { -1.0 };
        for pair in outcome.shape.wall_tops.iter().flat_map(|top| top.windows(2)) {
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
            let front = finished.elevation(beside(-wall.thickness_m.min(IN_FRONT_M)));
            let behind = existing.elevation(beside(wall.thickness_m + 0.5 * room_m));
            let (Some(front_m), Some(behind_m)) = (front, behind) else { continue };
            let foot_m = front_m - wall.embedment_m;
            sum.add(run_m * room_m * (behind_m - foot_m).max(0.0));
            sum.add(run_m * wall.thickness_m * wall.embedment_m);
        }
    }
    sum.value()
}

/// How far in front of a wall's top its foot is looked for, metres.
const IN_FRONT_M: f64 = 0.3;
