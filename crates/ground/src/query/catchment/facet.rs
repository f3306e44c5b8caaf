//! A face as the strips in which water runs down it.
//!
//! ```text
//!            q                    u runs square to the way down; t is its share of the face's
//!          / : \                  whole width, from 0 to 1, so that water keeps its t while it
//!     in  /  :  \ out             runs down the face. One edge, the long one, spans all of it;
//!        /   :   \                the other two meet at the third corner q.
//!       0 ---:--- 1   t
//!          long
//! ```
//! Seen from inside, t grows along the edges over which water leaves and falls along those over which
//! it enters, on the face's counter-clockwise way.

use crate::query::side::{between, cross, next, steps};
use crate::{Plane, Surface};

/// How water crosses one face.
#[derive(Clone, Copy, Debug)]
pub(super) struct Facet {
    /// The place of each corner across the way down.
    pub(super) t: [f64; 3],
    /// Whether the way down leads from each edge into the face (1), out of it (-1) or along it (0).
    pub(super) leans: [i8; 3],
    /// Its grade squared, in metres for each lattice step.
    pub(super) squared_grade: f64,
    /// The edge that spans the whole width; three where the face is level, or where numbers fail.
    long: u8,
}

impl Facet {
    /// Reads the same slope as [`descend`](crate::query::descend) does.
    pub(super) fn of(surface: &Surface, face_idx: u32) -> Self {
        let level = Self { t: [0.0; 3], leans: [0; 3], squared_grade: 0.0, long: 3 };
        let (p, z) = (surface.corners(face_idx), surface.corner_heights(face_idx));
        if z[0] == z[1] && z[1] == z[2] {
            return level;
        }
        let rise = Plane::through([(p[0], z[0]), (p[1], z[1]), (p[2], z[2])]).rise;
        let (c, down) = (p.map(steps), rise.map(|r| -r));
        let lean = [0, 1, 2].map(|k| cross(between(c[k], c[next(k)]), down));
        let long = (1..3).fold(0, |m, k| if lean[k].abs() > lean[m].abs() { k } else { m });
        let (second, third) = (next(long), next(next(long)));
        let is_out = lean[long] < 0.0;
        // In exact numbers the three add up to nothing: the other two lean the other way.
        let width = |k: usize| if is_out { lean[k].max(0.0) } else { (-lean[k]).max(0.0) };
        let (a, b) = (width(second), width(third));
        let from_end = a / (a + b);
        if !from_end.is_finite() {
            return level;
        }
        let squared_grade = rise[0] * rise[0] + rise[1] * rise[1];
        let mut facet = Self { squared_grade, long: long as u8, ..level };
        facet.t[if is_out { second } else { long }] = 1.0;
        facet.t[third] = if is_out { b / (a + b) } else { from_end };
        let other = if is_out { 1 } else { -1 };
        facet.leans[long] = -other;
        facet.leans[second] = if a > 0.0 { other } else { 0 };
        facet.leans[third] = if b > 0.0 { other } else { 0 };
        facet
    }

    /// Whether no way leads down it.
    pub(super) fn is_still(&self) -> bool {
        self.long == 3
    }

    /// Where the edge over which water leaves bends, or at which two such edges meet.
    fn third(&self) -> f64 {
        self.t[(self.long as usize + 2) % 3]
    }

    /// Where a place at `t` lies on an edge that runs across the way down, as a share of its length.
    pub(super) fn share_on(&self, k: usize, t: f64) -> f64 {
        (t - self.t[k]) / (self.t[next(k)] - self.t[k])
    }

    /// The share of the face's area between 0 and `t`.
    pub(super) fn share_to(&self, t: f64) -> f64 {
        let w = self.third();
        if t <= w && w > 0.0 {
            t * t / w
        } else if w < 1.0 {
            1.0 - (1.0 - t) * (1.0 - t) / (1.0 - w)
        } else {
            1.0
        }
    }

    /// The edges over which water leaves, in the order of t.
    pub(super) fn outs(&self) -> impl Iterator<Item = usize> + use<> {
        let long = self.long as usize;
        let leans = self.leans;
        // With the long edge leading in, t grows past the third edge, then past the second.
        let order = [long, next(long), next(next(long))];
        order.into_iter().filter(move |&k| k < 3 && leans[k] < 0)
    }

    /// The corners of the strip between two values of t, as shares of the three corners,
    /// counter-clockwise.
    pub(super) fn strip(&self, from: f64, to: f64) -> Vec<[f64; 3]> {
        let (long, w) = (self.long as usize, self.third());
        let (second, third) = (next(long), next(next(long)));
        let on = |a: usize, b: usize, t: f64| {
            let share = (t - self.t[a]) / (self.t[b] - self.t[a]);
            let share = if share.is_finite() { share.clamp(0.0, 1.0) } else { 0.0 };
            let mut at = [0.0; 3];
            at[a] = 1.0 - share;
            at[b] += share;
            at
        };
        let across = |t: f64| {
            let start = if self.t[long] < self.t[second] { t <= w } else { t >= w };
            if start { on(long, third, t) } else { on(second, third, t) }
        };
        // Along the long edge from its start, back over the other two.
        let (first, last) = if self.t[long] < self.t[second] { (from, to) } else { (to, from) };
        let mut ring = vec![on(long, second, first), on(long, second, last), across(last)];
        if from <= w && w <= to {
            let mut at = [0.0; 3];
            at[third] = 1.0;
            ring.push(at);
        }
        ring.push(across(first));
        ring.dedup();
        if ring.len() > 1 && ring[0] == ring[ring.len() - 1] {
            ring.pop();
        }
        ring
    }
}
