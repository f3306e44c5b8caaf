//! The ground near a place, for short looks in plenty.
//!
//! Sorting the whole ground takes longer than all the looks of a check together, so the few faces
//! around are picked by their boxes, and by boxes around faces that follow one another. Looks are in floating point: checks ask for heights, never for
//! topology.

use ground::{NONE, Surface};

/// Places this far outside a face still lie on it, metres: far below what is looked for.
const SLACK_M: f64 = 1e-7;
/// Cells across the box, each way.
const CELLS: usize = 32;

/// A surface with the boxes around groups of its faces.
pub(crate) struct Grouped<'s> {
    surface: &'s Surface,
    /// The least and the greatest corner of each group, in lattice steps.
    boxes: Vec<[[i32; 2]; 2]>,
}

/// Faces in a group.
const GROUP: u32 = 32;

impl<'s> Grouped<'s> {
    pub(crate) fn new(surface: &'s Surface) -> Self {
        let n_faces = surface.faces().len() as u32;
        let around = |first: u32| {
            let faces = first..(first + GROUP).min(n_faces);
            faces.flat_map(|face| surface.corners(face)).fold(
                [[i32::MAX; 2], [i32::MIN; 2]],
                |[low, high], at| {
                    [[low[0].min(at.x), low[1].min(at.y)], [high[0].max(at.x), high[1].max(at.y)]]
                },
            )
        };
        Self { surface, boxes: (0..n_faces).step_by(GROUP as usize).map(around).collect() }
    }

    /// The faces that may reach into a box, given in lattice steps.
    fn within(&self, low: [f64; 2], high: [f64; 2]) -> impl Iterator<Item = u32> {
        let n_faces = self.surface.faces().len() as u32;
        let reaches = move |[least, most]: &[[i32; 2]; 2]| {
            (0..2).all(|k| f64::from(most[k]) >= low[k] && f64::from(least[k]) <= high[k])
        };
        let groups = (0..n_faces).step_by(GROUP as usize).zip(&self.boxes);
        groups
            .filter(move |(_, around)| reaches(around))
            .flat_map(move |(first, _)| first..(first + GROUP).min(n_faces))
    }
}

/// The faces of a surface within a box.
pub(crate) struct Near {
    low: [f64; 2],
    cell_m: [f64; 2],
    /// Where in `held` the face put last into each cell stands.
    cells: Vec<u32>,
    /// Faces with where the one put before into the same cell stands: a look makes two lists and not
    /// one for every cell.
    held: Vec<[u32; 2]>,
    faces: Vec<NearFace>,
}

/// A face with its corners east, north and up in metres.
struct NearFace {
    face: u32,
    corners: [[f64; 3]; 3],
}

/// A stretch of a straight line over one face.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Piece {
    /// The face.
    pub(crate) face: u32,
    /// Distances along the line of both ends, metres.
    pub(crate) stations_m: [f64; 2],
    /// Heights of both ends, metres.
    pub(crate) z_m: [f64; 2],
}

impl Near {
    /// The faces within `reach_m` of any of the places.
    pub(crate) fn new(ground: &Grouped<'_>, places: &[[f64; 2]], reach_m: f64) -> Self {
        let surface = ground.surface;
        let fold = |start: f64, pick: fn(f64, f64) -> f64, k: usize| {
            places.iter().map(|p| p[k]).fold(start, pick)
        };
        let low = [0, 1].map(|k| fold(f64::INFINITY, f64::min, k) - reach_m);
        let high = [0, 1].map(|k| fold(f64::NEG_INFINITY, f64::max, k) + reach_m);
        let cell_m = [0, 1].map(|k| ((high[k] - low[k]) / CELLS as f64).max(1e-3));
        let cells = vec![NONE; CELLS * CELLS];
        let mut near = Self { low, cell_m, cells, held: Vec::new(), faces: Vec::new() };
        let per_m = 1.0 / surface.lattice().step_m();
        let bounds = [0, 1].map(|k| [low[k] * per_m, high[k] * per_m]);
        for face in ground.within(bounds.map(|b| b[0]), bounds.map(|b| b[1])) {
            let at = surface.corners(face);
            let outside = |of: [i32; 3], [low, high]: [f64; 2]| {
                of.iter().all(|&c| f64::from(c) < low) || of.iter().all(|&c| f64::from(c) > high)
            };
            if !outside(at.map(|p| p.x), bounds[0]) && !outside(at.map(|p| p.y), bounds[1]) {
                near.add(surface, face);
            }
        }
        near
    }

    /// The face under a place and the height there; of several the one that stands highest.
    pub(crate) fn face_at(&self, at: [f64; 2]) -> Option<(u32, f64)> {
        let cell = self.cell_of(at);
        let under = self.in_cell(cell[1] * CELLS + cell[0]).filter_map(|i| {
            let near = &self.faces[i as usize];
            Some((near.face, near.height_at(at)?))
        });
        under.max_by(|a, b| a.1.total_cmp(&b.1).then(b.0.cmp(&a.0)))
    }

    /// The ground along a straight line, piece by piece; where none is, a piece is missing.
    ///
    /// Of faces beside an edge that the line runs along, the upper counts.
    pub(crate) fn section(&self, a: [f64; 2], b: [f64; 2]) -> Vec<Piece> {
        let held = self.along(a, b);
        let mut pieces: Vec<Piece> =
            held.iter().filter_map(|&i| self.faces[i as usize].piece(a, b)).collect();
        pieces.sort_by(|p, q| {
            (p.stations_m[0].total_cmp(&q.stations_m[0]))
                .then((q.z_m[0] + q.z_m[1]).total_cmp(&(p.z_m[0] + p.z_m[1])))
        });
        let mut end_m = f64::NEG_INFINITY;
        pieces.retain(|piece| {
            let adds = piece.stations_m[1] > end_m + SLACK_M;
            if adds {
                end_m = piece.stations_m[1];
            }
            adds
        });
        pieces
    }

    /// The faces in the cells that a line passes, each once.
    fn along(&self, a: [f64; 2], b: [f64; 2]) -> Vec<u32> {
        let (from, to) = (self.cell_of(a), self.cell_of(b));
        let mut held: Vec<u32> = Vec::new();
        for row in from[1].min(to[1])..=from[1].max(to[1]) {
            // The part of the line within the row, a hair more on either side.
            let edges = [row, row + 1].map(|r| self.low[1] + r as f64 * self.cell_m[1]);
            let share = |y: f64| ((y - a[1]) / (b[1] - a[1])).clamp(0.0, 1.0);
            let ends = if from[1] == to[1] { [0.0, 1.0] } else { edges.map(share) };
            let x = ends.map(|s| a[0] + s * (b[0] - a[0]));
            let first = self.cell_of([x[0].min(x[1]) - SLACK_M, a[1]])[0];
            let last = self.cell_of([x[0].max(x[1]) + SLACK_M, a[1]])[0];
            for column in first..=last {
                held.extend(self.in_cell(row * CELLS + column));
            }
        }
        held.sort_unstable();
        held.dedup();
        held
    }

    fn add(&mut self, surface: &Surface, face: u32) {
        let (at, z) = (surface.corners(face), surface.corner_heights(face));
        let corner = |k: usize| {
            let [x, y] = surface.lattice().metres(at[k]);
            [x, y, z[k]]
        };
        let corners = [corner(0), corner(1), corner(2)];
        let reach = |pick: fn(f64, f64) -> f64, slack_m: f64| {
            let along =
                |k: usize| pick(pick(corners[0][k], corners[1][k]), corners[2][k]) + slack_m;
            self.cell_of([along(0), along(1)])
        };
        let (first, last) = (reach(f64::min, -SLACK_M), reach(f64::max, SLACK_M));
        let index = self.faces.len() as u32;
        for row in first[1]..=last[1] {
            for column in first[0]..=last[0] {
                let latest = &mut self.cells[row * CELLS + column];
                self.held.push([index, *latest]);
                *latest = self.held.len() as u32 - 1;
            }
        }
        self.faces.push(NearFace { face, corners });
    }

    /// The faces in a cell, the one put last first.
    fn in_cell(&self, cell: usize) -> impl Iterator<Item = u32> + '_ {
        let mut at = self.cells[cell];
        std::iter::from_fn(move || {
            let &[face, before] = self.held.get(at as usize)?;
            at = before;
            Some(face)
        })
    }

    /// Column and row of a place; of the nearest cell for one outside the box.
    fn cell_of(&self, at: [f64; 2]) -> [usize; 2] {
        [0, 1].map(|k| {
            let cell = ((at[k] - self.low[k]) / self.cell_m[k]).floor();
            cell.clamp(0.0, (CELLS - 1) as f64) as usize
        })
    }
}

impl NearFace {
    /// Height at a place on the face.
    fn height_at(&self, at: [f64; 2]) -> Option<f64> {
        let [a, b, c] = self.corners;
        let twice = cross(sub(b, a), sub(c, a));
        let place = [at[0], at[1], 0.0];
        let mut z_m = 0.0;
        for (p, q, r) in [(a, b, c), (b, c, a), (c, a, b)] {
            let (side, from) = (sub(q, p), sub(place, p));
            let off = cross(side, from);
            if off < -SLACK_M * libm::hypot(side[0], side[1]) {
                return None;
            }
            z_m += off / twice * r[2];
        }
        Some(z_m)
    }

    /// The stretch of a line over the face, if it is longer than a point.
    fn piece(&self, a: [f64; 2], b: [f64; 2]) -> Option<Piece> {
        let along = [b[0] - a[0], b[1] - a[1]];
        let length_m = libm::hypot(along[0], along[1]);
        let (mut from, mut to) = (0.0_f64, 1.0_f64);
        for k in 0..3 {
            let (p, q) = (self.corners[k], self.corners[(k + 1) % 3]);
            let side = sub(q, p);
            let slack = SLACK_M * libm::hypot(side[0], side[1]);
            let start = cross(side, [a[0] - p[0], a[1] - p[1]]) + slack;
            let change = cross(side, along);
            if change.abs() * length_m < SLACK_M * slack {
                if start < 0.0 {
                    return None;
                }
            } else if change > 0.0 {
                from = from.max(-start / change);
            } else {
                to = to.min(-start / change);
            }
        }
        if (to - from) * length_m <= 4.0 * SLACK_M {
            return None;
        }
        let z_at = |share: f64| self.plane_at([a[0] + share * along[0], a[1] + share * along[1]]);
        Some(Piece {
            face: self.face,
            stations_m: [from * length_m, to * length_m],
            z_m: [z_at(from), z_at(to)],
        })
    }

    fn plane_at(&self, at: [f64; 2]) -> f64 {
        let [a, b, c] = self.corners;
        let (u, v, p) = (sub(b, a), sub(c, a), [at[0] - a[0], at[1] - a[1]]);
        let twice = cross(u, v);
        a[2] + (cross(p, v) * (b[2] - a[2]) + cross(u, p) * (c[2] - a[2])) / twice
    }
}

fn sub(a: [f64; 3], b: [f64; 3]) -> [f64; 2] {
    [a[0] - b[0], a[1] - b[1]]
}

fn cross(a: [f64; 2], b: [f64; 2]) -> f64 {
    a[0] * b[1] - a[1] * b[0]
}

#[cfg(test)]
mod tests {
    use ground::overlay::{Domain, Keep, Rooted, compose};
    use ground::{Lattice, Tag, Terrain, build};

    use super::*;

    fn surface(points: &[[f64; 3]]) -> Surface {
        let lattice = Lattice::default();
        let spot = |p: &[f64; 3]| (lattice.snap([p[0], p[1]]).expect("near"), p[2]);
        let points = points.iter().map(spot).collect();
        let tag = Tag::default();
        let terrain =
            Terrain { lattice, points, breaklines: vec![], boundary: None, voids: vec![], tag };
        build(&terrain).expect("a surface").surface
    }

    /// Level ground at 0 with a block of 1 m standing on it from x = 1 to 2.
    fn block() -> Surface {
        let ground =
            surface(&[[-3.0, -3.0, 0.0], [5.0, -3.0, 0.0], [5.0, 3.0, 0.0], [-3.0, 3.0, 0.0]]);
        let top = surface(&[[1.0, -1.0, 1.0], [2.0, -1.0, 1.0], [2.0, 1.0, 1.0], [1.0, 1.0, 1.0]]);
        compose(&ground, &top, Keep::Highest, Domain::Ground, Rooted::Anywhere).surface
    }

    #[test]
    fn a_section_climbs_the_block_and_leaves_it() {
        let surface = block();
        let near = Near::new(&Grouped::new(&surface), &[[0.0, 0.1]], 4.0);
        let pieces = near.section([0.0, 0.1], [3.0, 0.3]);
        let covered: f64 = pieces.iter().map(|p| p.stations_m[1] - p.stations_m[0]).sum();
        assert!((covered - libm::hypot(3.0, 0.2)).abs() < 1e-5, "{pieces:?}");
        let highest = pieces.iter().flat_map(|p| p.z_m).fold(0.0, f64::max);
        assert!((highest - 1.0).abs() < 1e-12);
        let high_m: f64 = (pieces.iter().filter(|p| p.z_m[0] > 0.5))
            .map(|p| p.stations_m[1] - p.stations_m[0])
            .sum();
        assert!((high_m - libm::hypot(1.0, 0.2 / 3.0)).abs() < 1e-5, "{pieces:?}");
    }

    #[test]
    fn heights_agree_with_the_exact_search() {
        let surface = block();
        let near = Near::new(&Grouped::new(&surface), &[[0.0, 0.0], [2.0, 0.0]], 0.5);
        let exact = ground::Locator::new(&surface);
        for i in 0..200 {
            let at = [-0.4 + 0.0137 * f64::from(i), 0.4 - 0.0041 * f64::from(i)];
            let found = near.face_at(at).map(|(_, z)| z);
            let expected = exact.elevation(at);
            assert!((found.expect("ground") - expected.expect("ground")).abs() < 1e-9, "{at:?}");
        }
        assert_eq!(near.face_at([100.0, 0.0]), None);
    }

    #[test]
    fn beyond_the_ground_there_is_none() {
        let surface = block();
        let near = Near::new(&Grouped::new(&surface), &[[4.0, 0.0]], 3.0);
        let pieces = near.section([4.0, 0.0], [6.0, 0.0]);
        let end_m = pieces.last().expect("ground").stations_m[1];
        assert!((end_m - 1.0).abs() < 1e-5);
    }
}
