//! A stream as it runs: its computed levels from shore to shore, moving at its computed speeds, and
//! over its edge where it overtops that.
//!
//! ```text
//!        spilt  edge                       edge
//!          .____|   level, left   right     |
//!         /  rim \_____________ __________ /      one row of the sheet, seen downstream
//!        /        \____ bed __________/
//! ```

use bevy::math::Vec3;
use design::{RunPoint, StreamWater};

use super::shape::{Corner, Shape};
use super::terrain::Lie;
use crate::frame::SceneFrame;

/// The fastest water that the shader is told of, metres a second; 4 in `water.wgsl`.
const FASTEST_M_S: f64 = 4.0;
/// Two places nearer than this along the stream are one, metres.
const SAME_M: f64 = 1e-6;
/// A drop of the water at one place from which it is a fall, metres.
const FALL_M: f64 = 0.02;
/// A rise of the water at one place from which it is drawn as a jump, metres.
const JUMP_M: f64 = 0.003;
/// Rows stand no closer than this, metres.
const ROW_M: f64 = 0.12;
/// The way of the water is taken over this much of its line on both sides, metres.
const WAY_M: f64 = 0.30;
/// Steps in which shores are looked for, and how far, metres.
const LOOK_M: f64 = 0.05;
const FARTHEST_M: f64 = 2.5;
/// The sheet reaches so far under its shores, metres.
const UNDER_SHORE_M: f64 = 0.06;
/// Water that runs over an edge is drawn so far beyond it and so thick, metres.
const SPILT_M: f64 = 0.8;
const SPILT_THICK_M: f64 = 0.02;
/// Columns of a row from the middle to a shore, and from there on what is spilt.
const N_SIDE: usize = 6;
const N_SPILT: usize = 3;

/// Water across the stream at one place.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Row {
    /// Distance from the head, metres.
    pub along_m: f64,
    /// On the stream's line, local metres.
    pub at_m: [f64; 2],
    /// The way in which it runs, of length one.
    pub way: [f64; 2],
    /// Level on the left and on the right of the line, metres.
    pub level_m: [f64; 2],
    /// Velocity there, metres a second.
    velocity_m_s: [f64; 2],
    /// How white it is: zero smooth, one all air.
    white: f64,
    /// How far each edge stands above the water, metres.
    edge_m: [f64; 2],
}

/// Rows from head to mouth, cut at the falls.
pub(crate) fn rows(water: &StreamWater) -> Vec<Vec<Row>> {
    let mut pieces: Vec<Vec<Row>> = vec![Vec::new()];
    let mut previous: Option<Row> = None;
    for point in joined(&water.points) {
        let row = Row {
            along_m: point.left.along_m,
            at_m: point.left.at_m,
            way: [0.0; 2],
            level_m: [point.left.level_m, point.right.level_m],
            velocity_m_s: [point.left.velocity_m_s, point.right.velocity_m_s],
            white: whiteness(point.left.froude.max(point.right.froude)),
            edge_m: [point.left.edge_above_water_m[0], point.right.edge_above_water_m[1]],
        };
        let piece = pieces.last_mut().expect("there is always one");
        // Of two places at one distance the upper row may have been left out: it is the previous place
        // that tells a fall.
        let rise_m = previous
            .replace(row)
            .filter(|before| row.along_m - before.along_m < SAME_M)
            .map(|before| row.level_m[0] - before.level_m[0]);
        match (piece.last().copied(), rise_m) {
            (Some(_), Some(rise_m)) if rise_m < -FALL_M => pieces.push(vec![row]),
            // Where fast water meets slow it jumps, and takes in air.
            (Some(_), Some(rise_m)) if rise_m > JUMP_M => piece.push(Row { white: 0.75, ..row }),
            (Some(before), _) if row.along_m - before.along_m < ROW_M => {
                // Rows that are left out must not hide an edge that is overtopped.
                if let Some(last) = piece.last_mut() {
                    let lower = |i: usize| last.edge_m[i].min(row.edge_m[i]);
                    last.edge_m = [lower(0), lower(1)];
                }
            }
            _ => piece.push(row),
        }
    }
    close_ends(&mut pieces, &water.points);
    // The first piece stays however short, so that the others begin at falls; a foot alone tells how
    // high the water there stands.
    pieces.retain(|piece| !piece.is_empty());
    pieces.iter_mut().for_each(|piece| find_ways(piece));
    pieces
}

/// The sheet of a stream's rows, and under the water that it runs into.
pub(crate) fn sheet(pieces: &[Vec<Row>], finished: &Lie, frame: SceneFrame) -> Shape {
    let mut shape = Shape::default();
    for (idx, piece) in pieces.iter().enumerate() {
        let mut rows = piece.clone();
        if let Some(last) = rows.last().copied().filter(|_| idx + 1 == pieces.len()) {
            let at_m = [0, 1].map(|i| last.at_m[i] + 0.35 * last.way[i]);
            let level_m = last.level_m.map(|level| level - 0.03);
            rows.push(Row { at_m, level_m, ..last });
        }
        let names: Vec<Vec<u32>> = rows
            .iter()
            .map(|row| {
                let corners = across(row, finished, frame);
                corners.into_iter().map(|corner| shape.corner(corner)).collect()
            })
            .collect();
        for pair in names.windows(2) {
            for (up, down) in pair[0].windows(2).zip(pair[1].windows(2)) {
                // From left to right, so that the sheet is seen from above.
                shape.triangle([up[0], down[0], down[1]]);
                shape.triangle([up[0], down[1], up[1]]);
            }
        }
    }
    shape
}

/// What the shader reads of water's way and speed, metres a second in the scene.
pub(crate) fn tint_of(velocity: Vec3) -> Vec3 {
    let most = FASTEST_M_S as f32;
    let share = |part: f32| (part / most).clamp(-1.0, 1.0) * 0.5 + 0.5;
    Vec3::new(share(velocity.x), share(velocity.z), 0.0)
}

/// A place on both sides of the line; the same unless a rock parts the water.
#[derive(Clone, Copy)]
struct Both {
    left: RunPoint,
    right: RunPoint,
}

/// The arms around rocks, told one after the other, side by side.
fn joined(points: &[RunPoint]) -> Vec<Both> {
    let mut joined: Vec<Both> = Vec::with_capacity(points.len());
    let mut points = points.iter().copied().peekable();
    while let Some(point) = points.next() {
        let goes_back = joined.last().is_some_and(|b| point.along_m < b.left.along_m - SAME_M);
        if !goes_back {
            joined.push(Both { left: point, right: point });
            continue;
        }
        // The right arm begins anew where the left one began.
        let end_m = joined.last().map_or(0.0, |both| both.left.along_m);
        let mut right = vec![point];
        while let Some(next) = points.next_if(|next| next.along_m <= end_m + SAME_M) {
            right.push(next);
            if next.along_m >= end_m - SAME_M {
                break;
            }
        }
        for both in joined.iter_mut().rev() {
            if both.left.along_m < point.along_m - SAME_M {
                break;
            }
            let nearest = right.iter().min_by(|a, b| {
                let off = |p: &RunPoint| (p.along_m - both.left.along_m).abs();
                off(a).total_cmp(&off(b))
            });
            both.right = nearest.copied().unwrap_or(both.right);
        }
    }
    joined
}

/// Puts the rows at the ends of pieces where the water ends, however near the one before stands.
fn close_ends(pieces: &mut [Vec<Row>], points: &[RunPoint]) {
    let starts: Vec<f64> =
        pieces.iter().skip(1).filter_map(|piece| Some(piece.first()?.along_m)).collect();
    let last_m = points.last().map_or(0.0, |point| point.along_m);
    for (piece, end_m) in pieces.iter_mut().zip(starts.into_iter().chain([last_m])) {
        let end = points.iter().find(|point| (point.along_m - end_m).abs() < SAME_M);
        if let (Some(row), Some(end)) = (piece.last_mut(), end)
            && row.along_m < end_m - SAME_M
        {
            let ended = Row { along_m: end_m, at_m: end.at_m, ..*row };
            let level_m = [end.level_m; 2];
            piece.push(Row { level_m, velocity_m_s: [end.velocity_m_s; 2], ..ended });
        }
    }
}

fn find_ways(piece: &mut [Row]) {
    let rows = piece.to_vec();
    for (idx, row) in piece.iter_mut().enumerate() {
        let before = rows[..=idx].iter().rev().find(|r| row.along_m - r.along_m > WAY_M);
        let after = rows[idx..].iter().find(|r| r.along_m - row.along_m > WAY_M);
        let from = before.or(rows.first()).map_or(row.at_m, |r| r.at_m);
        let to = after.or(rows.last()).map_or(row.at_m, |r| r.at_m);
        let [dx, dy] = [to[0] - from[0], to[1] - from[1]];
        let length = libm::hypot(dx, dy);
        row.way = if length > SAME_M { [dx / length, dy / length] } else { [1.0, 0.0] };
    }
}

/// Fast water takes in air.
fn whiteness(froude: f64) -> f64 {
    ((froude - 0.9) / 2.2).clamp(0.0, 1.0) * 0.5
}

/// The corners of a row from the far left to the far right.
fn across(row: &Row, finished: &Lie, frame: SceneFrame) -> Vec<Corner> {
    let [wx, wy] = row.way;
    let mut corners = Vec::with_capacity(2 * (N_SIDE + N_SPILT) + 1);
    let place = |offset: f64| [row.at_m[0] - wy * offset, row.at_m[1] + wx * offset];
    let mut put = |offset: f64, level_m: f64, share: f64, (velocity, spilt): (f64, bool)| {
        let [x, y] = place(offset);
        let ground = finished.elevation([x, y]).unwrap_or(level_m);
        let z = if spilt { level_m.min(ground + SPILT_THICK_M) } else { level_m };
        let speed = velocity * (1.0 - 0.55 * share * share);
        let mut way = Vec3::new((wx * speed) as f32, 0.0, (-wy * speed) as f32);
        if spilt {
            // What is spilt runs off to the side.
            let out = offset.signum() * 0.6;
            way = Vec3::new((-wy * out) as f32, 0.0, (-wx * out) as f32);
        }
        let white = if spilt { 0.6 } else { row.white * (1.0 - 0.3 * share) };
        let corner =
            Corner::wet(frame.scene([x, y, z]), Vec3::Y, (z - ground) as f32, white as f32);
        corners.push(corner.tinted(tint_of(way)));
    };
    let shores = [0, 1].map(|side| shore(row, side, finished));
    for side in [0, 1] {
        let sign = if side == 0 { 1.0 } else { -1.0 };
        let (level_m, velocity) = (row.level_m[side], row.velocity_m_s[side]);
        let (edge, is_over) = shores[side];
        let inner = (1..=N_SIDE).map(|k| (k as f64 / N_SIDE as f64, false));
        let outer = (1..=N_SPILT).map(|k| (k as f64 / N_SPILT as f64, true));
        let mut columns: Vec<(f64, bool)> = inner.chain(outer).collect();
        if side == 0 {
            columns.reverse();
        }
        for (share, beyond) in columns {
            match (beyond, is_over) {
                (false, _) => put(sign * edge * share, level_m, share, (velocity, false)),
                (true, true) => {
                    put(sign * (edge + SPILT_M * share), level_m, 1.0, (velocity, true));
                }
                (true, false) => put(sign * edge, level_m, 1.0, (velocity, false)),
            }
        }
        if side == 0 {
            let level_m = 0.5 * (row.level_m[0] + row.level_m[1]);
            let velocity = 0.5 * (row.velocity_m_s[0] + row.velocity_m_s[1]);
            put(0.0, level_m, 0.0, (velocity, false));
        }
    }
    corners
}

/// How far from the line the water ends on a side, and whether it runs over the edge there.
fn shore(row: &Row, side: usize, finished: &Lie) -> (f64, bool) {
    let [wx, wy] = row.way;
    let sign = if side == 0 { 1.0 } else { -1.0 };
    let level_m = row.level_m[side];
    let is_over = row.edge_m[side] < 0.0;
    // Where it is overtopped, the edge itself ends the stream.
    let ends_at_m = if is_over { level_m + row.edge_m[side] - 0.004 } else { level_m };
    let mut was_wet = false;
    let n = (FARTHEST_M / LOOK_M) as usize;
    for k in 0..n {
        let offset = k as f64 * LOOK_M;
        let at = [row.at_m[0] - wy * sign * offset, row.at_m[1] + wx * sign * offset];
        let Some(ground) = finished.elevation(at) else { return (offset, false) };
        if ground < ends_at_m {
            was_wet = true;
        } else if was_wet {
            return (offset + if is_over { 0.0 } else { UNDER_SHORE_M }, is_over);
        }
    }
    (if was_wet { FARTHEST_M } else { LOOK_M }, false)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn point(along_m: f64, level_m: f64) -> RunPoint {
        RunPoint {
            along_m,
            at_m: [along_m, 0.0],
            bed_m: level_m - 0.05,
            level_m,
            velocity_m_s: 0.5,
            froude: 0.7,
            edge_above_water_m: [0.1, 0.1],
            of_stones_velocity: None,
            trust: design::Trust::Calibrated,
        }
    }

    fn water(points: Vec<RunPoint>) -> StreamWater {
        StreamWater { head_m: 1.0, in_motion_m3: 0.0, still_m3: 0.0, points, arms: Vec::new() }
    }

    #[test]
    fn a_fall_cuts_the_rows_and_a_jump_does_not() {
        let points = [(0.0, 1.0), (1.0, 1.0), (1.0, 0.6), (2.0, 0.58), (2.0, 0.64), (3.0, 0.63)];
        let pieces = rows(&water(points.map(|(along, level)| point(along, level)).to_vec()));
        let ends: Vec<[f64; 2]> =
            pieces.iter().map(|piece| [piece[0].along_m, piece[piece.len() - 1].along_m]).collect();
        assert_eq!(ends, [[0.0, 1.0], [1.0, 3.0]]);
        assert!(pieces[1].iter().any(|row| row.white > 0.7), "the jump takes in air");
        assert!(pieces.iter().flatten().all(|row| row.way == [1.0, 0.0]));
    }

    #[test]
    fn a_fall_between_rows_that_are_left_out_cuts_them_too() {
        // As a profile steps: every 5 cm, nearer than rows are drawn.
        let above = (0..=21).map(|k| point(0.05 * f64::from(k), 1.0));
        let below = (21..=60).map(|k| point(0.05 * f64::from(k), 0.6));
        let pieces = rows(&water(above.chain(below).collect()));
        let ends: Vec<[f64; 2]> =
            pieces.iter().map(|piece| [piece[0].along_m, piece[piece.len() - 1].along_m]).collect();
        assert_eq!(ends, [[0.0, 0.05 * 21.0], [0.05 * 21.0, 0.05 * 60.0]]);
        assert!(pieces[0].iter().all(|row| row.level_m == [1.0, 1.0]));
        assert!(pieces[1].iter().all(|row| row.level_m == [0.6, 0.6]));
    }

    #[test]
    fn arms_around_a_rock_are_the_two_sides_of_one_row() {
        let arm = |level: f64| [0.5, 1.0, 1.5].map(|along| point(along, level));
        let mut points = vec![point(0.0, 1.0), point(0.5, 1.0)];
        points.extend(arm(0.9));
        points.extend(arm(0.8));
        points.extend([point(1.5, 0.8), point(2.0, 0.8)]);
        let pieces = rows(&water(points));
        let amid = pieces.iter().flatten().find(|row| row.along_m == 1.0).unwrap();
        assert_eq!(amid.level_m, [0.9, 0.8]);
        assert!(pieces.iter().flatten().is_sorted_by_key(|row| row.along_m));
    }

    #[test]
    fn the_shader_is_told_of_still_water_as_before_and_of_speed_in_its_share() {
        assert_eq!(tint_of(Vec3::ZERO), Vec3::new(0.5, 0.5, 0.0));
        assert_eq!(tint_of(Vec3::new(2.0, 0.0, -8.0)), Vec3::new(0.75, 0.0, 0.0));
    }
}
