//! Contours: the boundary of the ground that stands at or above a level.

use super::side::next;
use super::trace::{Along, Border, Field, Flats, Loop, Tracer};
use crate::{NONE, Surface};

/// A contour line, the higher ground on its left.
///
/// A level shelf at the level is bounded once, on its lower side; on a step the line runs along its
/// foot and top, which are one in plan. Ridges and summits that only touch the level have none.
#[derive(Clone, Debug, PartialEq)]
pub struct Contour {
    /// The level, in metres.
    pub z: f64,
    /// The line in local metres; a closed one does not repeat its first point.
    pub points: Vec<[f64; 2]>,
    /// Whether the line comes back to its start; an open one runs from border to border.
    pub closed: bool,
}

/// Why no contour levels were given.
#[derive(Clone, Copy, Debug, PartialEq, thiserror::Error)]
pub enum ContourError {
    /// The interval is not a finite number above zero.
    #[error("the contour interval must be above zero, not {0}")]
    Interval(f64),
    /// An end of the range is not a finite number.
    #[error("the range of contours must be finite, not {low} to {high}")]
    Range {
        /// Lower end as given.
        low: f64,
        /// Upper end as given.
        high: f64,
    },
    /// More levels than anyone can read.
    #[error("an interval of {interval_m} m gives more than {most} contours")]
    TooMany {
        /// The interval as given.
        interval_m: f64,
        /// The most levels that are given.
        most: usize,
    },
}

/// The most levels that [`contour_levels`] gives.
const MOST_LEVELS: usize = 100_000;

/// The contours at one level, none where no ground reaches it or it is not a number.
pub fn contours(surface: &Surface, z: f64) -> Vec<Contour> {
    contour_set(surface, &[z])
}

/// The contours at each of several levels, level by level in the order given.
pub fn contour_set(surface: &Surface, levels: &[f64]) -> Vec<Contour> {
    let mut by_height = (0..levels.len()).collect::<Vec<_>>();
    by_height.retain(|&i| levels[i].is_finite());
    by_height.sort_by(|&i, &j| levels[i].total_cmp(&levels[j]));
    let rising = by_height.iter().map(|&i| levels[i]).collect::<Vec<_>>();
    let near = NearLevels::new(surface, &rising);
    let mut tracer = Tracer::new(surface);
    let mut found = vec![Vec::new(); levels.len()];
    for (nth, &i) in by_height.iter().enumerate() {
        let z = levels[i];
        let field = Field {
            surface,
            values: |f| surface.corner_heights(f).map(|corner| corner - z),
            flats: Flats::Inside,
        };
        for ring in tracer.loops(&field, near.faces(nth), Border::LeftOut) {
            open_at_border(ring, z, &mut found[i]);
        }
    }
    found.into_iter().flatten().collect()
}

/// The whole multiples of `interval_m` from `range_z[0]` to `range_z[1]`, both included, rising.
///
/// # Errors
/// [`ContourError`] when the interval is not above zero, when the range is not finite, or when there
/// are more levels than 100,000.
pub fn contour_levels(range_z: [f64; 2], interval_m: f64) -> Result<Vec<f64>, ContourError> {
    if !(interval_m.is_finite() && interval_m > 0.0) {
        return Err(ContourError::Interval(interval_m));
    }
    let [low, high] = range_z;
    if !(low.is_finite() && high.is_finite()) {
        return Err(ContourError::Range { low, high });
    }
    let (first, last) = ((low / interval_m).ceil(), (high / interval_m).floor());
    if last - first >= MOST_LEVELS as f64 {
        return Err(ContourError::TooMany { interval_m, most: MOST_LEVELS });
    }
    let n_levels = (last - first + 1.0).max(0.0) as usize;
    Ok((0..n_levels).map(|i| (first + i as f64) * interval_m).collect())
}

/// The faces that may hold a stretch of contour, level by level.
struct NearLevels {
    starts: Vec<usize>,
    faces: Vec<u32>,
}

impl NearLevels {
    fn new(surface: &Surface, rising: &[f64]) -> Self {
        let n_faces = surface.faces().len() as u32;
        let spans = (0..n_faces).map(|f| span(surface, f, rising)).collect::<Vec<_>>();
        let mut starts = vec![0; rising.len() + 1];
        for &[first, end] in &spans {
            (first..end).for_each(|level| starts[level as usize + 1] += 1);
        }
        for level in 1..starts.len() {
            starts[level] += starts[level - 1];
        }
        let mut faces = vec![0; starts[rising.len()]];
        let mut ends = starts.clone();
        for (face_idx, &[first, end]) in spans.iter().enumerate() {
            for level in first..end {
                faces[ends[level as usize]] = face_idx as u32;
                ends[level as usize] += 1;
            }
        }
        Self { starts, faces }
    }

    fn faces(&self, level: usize) -> impl Iterator<Item = u32> {
        self.faces[self.starts[level]..self.starts[level + 1]].iter().copied()
    }
}

/// The levels within a face's heights and those of the steps below it, as a range of indices.
fn span(surface: &Surface, face_idx: u32, rising: &[f64]) -> [u32; 2] {
    let z = surface.corner_heights(face_idx);
    let (mut low, high) = (z[0].min(z[1]).min(z[2]), z[0].max(z[1]).max(z[2]));
    let face = &surface.faces()[face_idx as usize];
    for k in (0..3).filter(|&k| face.neighbours[k] != NONE) {
        let other = &surface.faces()[face.neighbours[k] as usize];
        for v in [k, next(k)] {
            let there = (0..3).find(|&c| other.vertices[c] == face.vertices[v]);
            let there = there.expect("neighbours share their edge's ends");
            low = low.min(surface.heights()[other.heights[there] as usize]);
        }
    }
    let first = rising.partition_point(|&level| level < low);
    let end = rising.partition_point(|&level| level <= high);
    [first as u32, end.max(first) as u32]
}

/// Adds a boundary as a closed line, or as the lines between its stretches of border.
fn open_at_border(ring: Loop, z: f64, found: &mut Vec<Contour>) {
    let is_border = |i: usize| ring[i % ring.len()].along == Along::Border;
    let Some(last_border) = (0..ring.len()).rfind(|&i| is_border(i)) else {
        let points = ring.iter().map(|node| node.at).collect();
        found.push(Contour { z, points, closed: true });
        return;
    };
    let mut points = Vec::new();
    for i in last_border + 1..=last_border + ring.len() {
        points.push(ring[i % ring.len()].at);
        if is_border(i) {
            let line = std::mem::take(&mut points);
            if line.len() > 1 {
                found.push(Contour { z, points: line, closed: false });
            }
        }
    }
}

#[cfg(test)]
#[path = "contour_tests.rs"]
mod tests;
