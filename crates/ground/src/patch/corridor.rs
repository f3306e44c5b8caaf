//! Cross sections along a line, joined into strips.
//!
//! ```text
//!   section i+1   b0 ------- b1 ------ b2        strip k lies between points k and k + 1
//!                 |        / |       / |
//!                 |      /   |     /   |
//!                 |    /     |   /     |
//!   section i     a0 ------- a1 ------ a2
//! ```
//! Two consecutive sections at the same places and different heights are a step across the line: a
//! fall. Two points of one section at the same place are a step along it: a wall's face.

use super::weld::{Tile, is_proper, weld};
use crate::{Fault, Lattice, LatticeError, LatticePoint, NONE, Surface, Tag};

/// One cross section: places in metres with elevations, from side to side.
#[derive(Clone, Debug, PartialEq)]
pub struct Section {
    /// The points, in the same order in every section.
    pub points: Vec<([f64; 2], f64)>,
}

/// Why sections could not be joined.
#[derive(Clone, Copy, Debug, PartialEq, thiserror::Error)]
pub enum CorridorError {
    /// There are fewer than two sections or fewer than two points in them.
    #[error("a corridor needs two sections of two points")]
    TooFew,
    /// A section has another number of points than the first, or there is not one part a strip.
    #[error("section {section} has {found} points and should have {expected}")]
    Unequal {
        /// Index of the section.
        section: usize,
        /// Its number of points.
        found: usize,
        /// One more than there are parts.
        expected: usize,
    },
    /// An elevation is not finite.
    #[error("point {point} of section {section} has no elevation")]
    NotFinite {
        /// Index of the section.
        section: usize,
        /// Index of the point in it.
        point: usize,
    },
    /// A place lies off the lattice.
    #[error(transparent)]
    Lattice(#[from] LatticeError),
    /// Two consecutive sections cross each other.
    #[error("sections {section} and the next cross in strip {strip}")]
    Folds {
        /// Index of the first of the two.
        section: usize,
        /// Index of the strip.
        strip: usize,
    },
    /// No two sections differ in place.
    #[error("the corridor covers nothing")]
    Empty,
    /// Far apart stretches of the corridor overlap.
    #[error("the corridor overlaps itself near ({:.3}, {:.3}) m", at[0], at[1])]
    Overlaps {
        /// A place at or near the overlap, in metres.
        at: [f64; 2],
    },
}

/// A section with its places on the lattice.
type Snapped = Vec<(LatticePoint, f64)>;

/// The surface between consecutive sections, tagged `owner` and the part of each strip.
///
/// The sections follow one another along a line; their points run from side to side, either way, all
/// the same way, and `parts` has one entry for each strip between them. Each quadrilateral is cut
/// along its shorter diagonal that keeps both triangles proper. Points of consecutive sections that
/// coincide without the whole sections doing so (the inside of a tight bend) get their mean height.
///
/// # Errors
/// [`CorridorError`], naming the section.
pub fn corridor(
    lattice: Lattice,
    sections: &[Section],
    owner: u32,
    parts: &[u32],
) -> Result<Surface, CorridorError> {
    let mut sections = snapped(lattice, sections, parts.len() + 1)?;
    level_shared_points(&mut sections);
    if runs_to_the_right(&sections) {
        sections.iter_mut().for_each(|s| s.reverse());
        let parts: Vec<u32> = parts.iter().rev().copied().collect();
        return join(lattice, &sections, owner, &parts).map_err(|e| match e {
            CorridorError::Folds { section, strip } => {
                CorridorError::Folds { section, strip: parts.len() - 1 - strip }
            }
            other => other,
        });
    }
    join(lattice, &sections, owner, parts)
}

fn snapped(
    lattice: Lattice,
    sections: &[Section],
    n_points: usize,
) -> Result<Vec<Snapped>, CorridorError> {
    if sections.len() < 2 || n_points < 2 {
        return Err(CorridorError::TooFew);
    }
    let mut all = Vec::with_capacity(sections.len());
    for (i, section) in sections.iter().enumerate() {
        let found = section.points.len();
        if found != n_points {
            return Err(CorridorError::Unequal { section: i, found, expected: n_points });
        }
        let mut here = Vec::with_capacity(n_points);
        for (point, &(at, z)) in section.points.iter().enumerate() {
            if !z.is_finite() {
                return Err(CorridorError::NotFinite { section: i, point });
            }
            here.push((lattice.snap(at)?, z));
        }
        all.push(here);
    }
    Ok(all)
}

fn same_places(a: &Snapped, b: &Snapped) -> bool {
    a.iter().zip(b).all(|(p, q)| p.0 == q.0)
}

/// Gives points that were drawn together their mean height.
///
/// Drawn together are points of consecutive sections at one place, other than at a step, and
/// neighbours of one section at one place where the strip between them opens in the section before or
/// after; neighbours that stay at one place all along are a wall's face and keep their heights.
fn level_shared_points(sections: &mut [Snapped]) {
    let n_points = sections[0].len();
    let mut root: Vec<usize> = (0..sections.len() * n_points).collect();
    let find = |root: &[usize], mut i: usize| {
        while root[i] != i {
            i = root[i];
        }
        i
    };
    let mut unite = |i: usize, j: usize| {
        let (a, b) = (find(&root, i), find(&root, j));
        root[a.max(b)] = a.min(b);
    };
    let is_closed = |s: &Snapped, point: usize| s[point].0 == s[point + 1].0;
    for (i, pair) in sections.windows(2).enumerate() {
        if same_places(&pair[0], &pair[1]) {
            continue;
        }
        for (point, (a, b)) in pair[0].iter().zip(&pair[1]).enumerate() {
            if a.0 == b.0 {
                unite(i * n_points + point, (i + 1) * n_points + point);
            }
        }
        for point in 0..n_points - 1 {
            match [is_closed(&pair[0], point), is_closed(&pair[1], point)] {
                [true, false] => unite(i * n_points + point, i * n_points + point + 1),
                [false, true] => unite((i + 1) * n_points + point, (i + 1) * n_points + point + 1),
                _ => {}
            }
        }
    }
    let mut sums = vec![(0.0, 0.0); root.len()];
    for (k, (_, z)) in sections.iter().flatten().enumerate() {
        let sum: &mut (f64, f64) = &mut sums[find(&root, k)];
        *sum = (sum.0 + z, sum.1 + 1.0);
    }
    for (k, point) in sections.iter_mut().flatten().enumerate() {
        let (sum, count) = sums[find(&root, k)];
        if count > 1.0 {
            point.1 = sum / count;
        }
    }
}

/// Whether the points run to the right as seen along the line, by the area of all strips.
fn runs_to_the_right(sections: &[Snapped]) -> bool {
    let last = sections[0].len() - 1;
    let twice_area: i128 = sections
        .windows(2)
        .map(|w| {
            let [a0, b0, b1, a1] = [w[0][0].0, w[1][0].0, w[1][last].0, w[0][last].0];
            i128::from(crate::predicates::orient(a0, b0, b1))
                + i128::from(crate::predicates::orient(a0, b1, a1))
        })
        .sum();
    twice_area < 0
}

fn join(
    lattice: Lattice,
    sections: &[Snapped],
    owner: u32,
    parts: &[u32],
) -> Result<Surface, CorridorError> {
    let mut tiles = Vec::new();
    for (section, pair) in sections.windows(2).enumerate() {
        if same_places(&pair[0], &pair[1]) {
            continue;
        }
        for (strip, &part) in parts.iter().enumerate() {
            let [a0, a1] = [pair[0][strip], pair[0][strip + 1]];
            let [b0, b1] = [pair[1][strip], pair[1][strip + 1]];
            let cut = quad([a0, b0, b1, a1]).ok_or(CorridorError::Folds { section, strip })?;
            let tag = Tag { owner, part };
            tiles.extend(cut.into_iter().flatten().map(|(corners, fixed)| Tile {
                corners,
                tag,
                plane: NONE,
                fixed,
            }));
        }
    }
    if tiles.is_empty() {
        return Err(CorridorError::Empty);
    }
    let overlaps = |at| CorridorError::Overlaps { at: lattice.metres(at) };
    let surface = weld(lattice, &tiles, Vec::new()).map_err(|o| overlaps(o.at))?;
    match surface.check() {
        Ok(()) => Ok(surface),
        Err(Fault::Overlap { at }) => Err(overlaps(at)),
        Err(Fault::OffPlane { face, .. } | Fault::Turned { face }) => {
            Err(overlaps(surface.corners(face)[0]))
        }
        Err(_) => Err(overlaps(surface.vertices()[0])),
    }
}

type Corners = [(LatticePoint, f64); 3];

/// A quadrilateral cut into two triangles, those without area left out; none when it folds.
fn quad(q: [(LatticePoint, f64); 4]) -> Option<[Option<(Corners, u8)>; 2]> {
    // Edges of the quadrilateral are breaks, the diagonal is not.
    let across_02 = [([q[0], q[1], q[2]], 0b011), ([q[0], q[2], q[3]], 0b110)];
    let across_13 = [([q[0], q[1], q[3]], 0b101), ([q[1], q[2], q[3]], 0b011)];
    let squared = |a: LatticePoint, b: LatticePoint| {
        let d = |a: i32, b: i32| i128::from(i64::from(b) - i64::from(a));
        d(a.x, b.x) * d(a.x, b.x) + d(a.y, b.y) * d(a.y, b.y)
    };
    let length = |i: usize, j: usize| (squared(q[i].0, q[j].0), q[i].0.min(q[j].0));
    let order =
        if length(0, 2) <= length(1, 3) { [across_02, across_13] } else { [across_13, across_02] };
    order.into_iter().find_map(|cut| {
        let sound = |c: Corners| is_proper(c) || has_twin(c);
        cut.iter().all(|(c, _)| sound(*c)).then(|| cut.map(|t| is_proper(t.0).then_some(t)))
    })
}

fn has_twin(c: Corners) -> bool {
    c[0].0 == c[1].0 || c[1].0 == c[2].0 || c[2].0 == c[0].0
}

#[cfg(test)]
mod tests;
