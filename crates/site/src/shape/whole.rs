//! A whole work: shifted, turned, mirrored. Everything that is drawn goes with it: lips, sills,
//! sumps, islands. Levels stay.

use super::blend::remake;
use super::line::{Ends, lines, main_curve};
use crate::field::{Field, FieldValue, ListEdit, Parameters as _, Visitor};
use crate::works::Side;
use crate::{Work, WorkKind};

/// The work, shifted by metres east and north.
pub fn shifted(work: &Work, [east, north]: [f64; 2]) -> Work {
    moved(work, |[x, y]| [x + east, y + north])
}

/// The work, turned about a place by an angle, counter-clockwise, in radians.
pub fn turned(work: &Work, about: [f64; 2], angle_rad: f64) -> Work {
    let (sin, cos) = libm::sincos(angle_rad);
    moved(work, |[x, y]| {
        let [dx, dy] = [x - about[0], y - about[1]];
        [about[0] + dx * cos - dy * sin, about[1] + dx * sin + dy * cos]
    })
}

/// The work, mirrored in the line from `a` to `b`; nothing where those are one place.
///
/// What lay on the left lies on the right: flanks, edges, the ground that a wall holds. Outlines keep
/// their sense of going round.
pub fn mirrored(work: &Work, [a, b]: [[f64; 2]; 2]) -> Option<Work> {
    let way = [b[0] - a[0], b[1] - a[1]];
    let square = way[0] * way[0] + way[1] * way[1];
    if !(square > 0.0 && square.is_finite()) {
        return None;
    }
    let mut new = moved(work, |[x, y]| {
        let off = [x - a[0], y - a[1]];
        let along = (off[0] * way[0] + off[1] * way[1]) / square;
        [0, 1].map(|axis| 2.0 * (a[axis] + along * way[axis]) - [x, y][axis])
    });
    let outlines: Vec<(String, usize)> = lines(&new.kind)
        .into_iter()
        .filter(|line| line.ends == Ends::Closed)
        .map(|line| (line.path, line.curve.points.len()))
        .collect();
    for (path, n) in outlines {
        let back: Vec<_> = (0..n).rev().map(|i| (i, i, 0.0)).collect();
        remake(&mut new, &path, &back);
    }
    swap_sides(&mut new.kind);
    Some(new)
}

/// The middle of the box around a work's main line, local metres.
pub fn middle(kind: &WorkKind) -> [f64; 2] {
    let points = &main_curve(kind).points;
    [0, 1].map(|axis| {
        let low = points.iter().map(|p| p[axis]).fold(f64::INFINITY, f64::min);
        let high = points.iter().map(|p| p[axis]).fold(f64::NEG_INFINITY, f64::max);
        if low <= high { 0.5 * (low + high) } else { 0.0 }
    })
}

fn moved(work: &Work, to: impl Fn([f64; 2]) -> [f64; 2]) -> Work {
    let mut new = work.clone();
    new.walk(&mut Mover { to });
    new
}

/// Answers each place with another.
struct Mover<F> {
    to: F,
}

impl<F: Fn([f64; 2]) -> [f64; 2]> Visitor for Mover<F> {
    fn visit(&mut self, field: Field) -> Option<FieldValue> {
        match field.value {
            FieldValue::Place(Some(at)) => Some(FieldValue::Place(Some((self.to)(at)))),
            _ => None,
        }
    }

    fn visit_list(&mut self, _: Field) -> Vec<ListEdit> {
        Vec::new()
    }
}

fn swap_sides(kind: &mut WorkKind) {
    match kind {
        WorkKind::Hill(hill) => std::mem::swap(&mut hill.left, &mut hill.right),
        WorkKind::Wall(wall) => {
            wall.retains = match wall.retains {
                Side::Left => Side::Right,
                Side::Right => Side::Left,
            };
        }
        WorkKind::Stream(stream) => {
            stream.stations.iter_mut().for_each(|station| station.edge_m.reverse());
            stream.falls.iter_mut().for_each(|fall| fall.parts.reverse());
        }
        WorkKind::Path(path) if path.cross_fall != 0.0 => path.cross_fall = -path.cross_fall,
        WorkKind::Basin(_)
        | WorkKind::FilterBed(_)
        | WorkKind::IntakeBay(_)
        | WorkKind::Pad(_)
        | WorkKind::Path(_)
        | WorkKind::PlaneGrade(_)
        | WorkKind::Trench(_)
        | WorkKind::Strip(_) => {}
    }
}
