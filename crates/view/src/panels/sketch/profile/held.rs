//! The section of a wall: one tier or several.

use site::works::Wall;

use super::{Dimension, Line, Profile, Stand};

/// Height of the face that the sketch shows, in metres: the ground in front is not stored.
const EXPOSED_M: f64 = 0.9;

/// Tiers whose numbers stand on the sketch; those of further ones stand in the list below it.
const N_NUMBERED: usize = 2;

/// Across the wall: footing, face, top, the tiers behind, and the fill behind them.
pub(super) fn of_wall(wall: &Wall) -> Profile {
    let thick = wall.thickness_m;
    let lean = wall.batter * EXPOSED_M;
    let foot = -wall.embedment_m;
    let front = vec![[-1.2, 0.0], [0.0, 0.0]];
    let mut lines = vec![Line::Finished(front), Line::Stone(tier(wall, [lean, EXPOSED_M], 0.0))];
    let mut dimensions = vec![
        beside("embedment_m", [[-0.12, foot], [-0.12, 0.0]], [-0.55, foot - 0.02]),
        beside("batter", [[0.0, 0.02], [lean, EXPOSED_M - 0.02]], [-0.5, 0.55 * EXPOSED_M]),
    ];
    let mut top = [lean, EXPOSED_M];
    for (idx, behind) in wall.tiers.iter().enumerate() {
        let next = [top[0] + behind.back_m, top[1] + behind.rise_m];
        let face = next[0] - wall.batter * behind.rise_m;
        lines.push(Line::Finished(vec![[top[0] + thick, top[1]], [face, top[1]]]));
        lines.push(Line::Stone(tier(wall, next, top[1])));
        if idx < N_NUMBERED {
            let across = [[top[0], top[1] + 0.04], [next[0], top[1] + 0.04]];
            let up = [[next[0] + 0.5 * thick, top[1]], [next[0] + 0.5 * thick, next[1]]];
            dimensions.push(below(format!("tiers[{idx}].back_m"), across));
            dimensions.push(below(format!("tiers[{idx}].rise_m"), up));
        }
        top = next;
    }
    let slope = wall.backfill.max(0.1);
    let back = (EXPOSED_M * slope).min(2.4);
    let edge = [top[0] + thick, top[1]];
    let on_fill = |share: f64| [edge[0] + share * back, edge[1] - share * back / slope];
    lines.push(Line::Finished(vec![edge, on_fill(1.0)]));
    dimensions.push(beside(
        "backfill",
        [on_fill(0.3), on_fill(0.8)],
        [edge[0] + 0.75 * back, edge[1]],
    ));
    let over = top[1] + 0.06;
    dimensions.push(beside(
        "thickness_m",
        [[top[0], over], [edge[0], over]],
        [top[0] + 0.5 * thick, top[1] + 0.22],
    ));
    Profile { lines, water: None, dimensions }
}

/// One tier from its footing up, the ground in front of it at a level.
fn tier(wall: &Wall, [x, z]: [f64; 2], ground: f64) -> Vec<[f64; 2]> {
    let (toe, foot) = (x - wall.batter * (z - ground), ground - wall.embedment_m);
    let back = x + wall.thickness_m;
    vec![[toe, foot], [toe, ground], [x, z], [back, z], [back, foot], [toe, foot]]
}

fn beside(path: &str, [from, to]: [[f64; 2]; 2], at: [f64; 2]) -> Dimension {
    Dimension { path: path.into(), from, to, at, stand: Stand::Beside }
}

fn below(path: String, [from, to]: [[f64; 2]; 2]) -> Dimension {
    Dimension { path, from, to, at: from, stand: Stand::Below }
}
