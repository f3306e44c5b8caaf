//! Ground raised above the existing: its connected parts, their height and their top.

use std::collections::BTreeMap;

use ground::{NONE, Surface, Tag, query};

use crate::built::{BuiltCells, CellEdge};

/// Levels within this of the highest are the top, metres: what no eye tells apart.
const LEVEL_TOP_M: f64 = 0.02;

/// The upper half begins at this share of the height.
const HALF: f64 = 0.5;

/// One connected part of raised ground.
#[derive(Clone, Debug)]
pub(super) struct Raised {
    /// The greatest height above existing ground, metres.
    pub(super) height_m: f64,
    /// The owner of most of its area.
    pub(super) owner: u32,
    /// Its faces of the finished ground.
    pub(super) faces: Vec<u32>,
    /// Edges of its cells that reach into its upper half: places east and north in metres, and the rise.
    edges: Vec<CellEdge>,
}

/// The parts of the finished ground that stand at least `least_m` above the existing somewhere and
/// to which a face that makes a hill belongs; in the order of their first face.
///
/// `cells` are the pieces of finished ground that works made.
pub(super) fn hills(
    cells: &BuiltCells,
    finished: &Surface,
    least_m: f64,
    makes_hill: impl Fn(Tag) -> bool,
) -> Vec<Raised> {
    let highest = cells.highest_m();
    connected(finished, |face| highest[face as usize] >= least_m)
        .into_iter()
        .filter_map(|faces| {
            let height_m =
                faces.iter().map(|&f| highest[f as usize]).fold(f64::NEG_INFINITY, f64::max);
            let owner = main_owner(finished, &faces, &makes_hill)?;
            let from_m = least_m.max(HALF * height_m);
            let upper = |&face: &u32| cells.on(face).filter(|cell| cell.highest_m >= from_m);
            let edges = faces.iter().flat_map(upper).flat_map(|cell| cell.edges);
            let edges = edges.copied().collect();
            Some(Raised { height_m, owner, faces, edges })
        })
        .collect()
}

impl Raised {
    /// Places around the part that stands at least half of the height above existing ground: the
    /// corners of its convex pieces.
    pub(super) fn upper_half(&self) -> Vec<[f64; 2]> {
        let half_m = HALF * self.height_m;
        let mut places = Vec::new();
        for &[a, b] in &self.edges {
            if a[2] >= half_m {
                places.push([a[0], a[1]]);
            }
            if (a[2] >= half_m) != (b[2] >= half_m) {
                let share = (half_m - a[2]) / (b[2] - a[2]);
                places.push([a[0] + share * (b[0] - a[0]), a[1] + share * (b[1] - a[1])]);
            }
        }
        places
    }

    /// The highest built point; on a level top the place of its edge, or of its ridge, that is
    /// nearest to its middle.
    pub(super) fn summit(&self, finished: &Surface) -> Option<[f64; 3]> {
        let heights = |f: &u32| finished.corner_heights(*f);
        let top_m = self.faces.iter().flat_map(heights).max_by(f64::total_cmp)?;
        let is_top = |z: f64| z >= top_m - LEVEL_TOP_M;
        let rim = self.top_rim(finished, is_top);
        let corners: Vec<[f64; 2]> = rim.iter().flatten().map(|p| [p[0], p[1]]).collect();
        let middle = crate::rectangle::middle_of_hull(&corners)?;
        let nearest = rim.iter().map(|edge| nearest_on(edge, middle));
        let best = nearest.min_by(|a, b| {
            let distance = |p: &[f64; 3]| libm::hypot(p[0] - middle[0], p[1] - middle[1]);
            // Equal distances go by the place, so that the order of faces does not matter.
            let key = |p: &[f64; 3]| ((distance(p) * 1e6).round(), p[0], p[1]);
            let (a, b) = (key(a), key(b));
            a.0.total_cmp(&b.0).then(a.1.total_cmp(&b.1)).then(a.2.total_cmp(&b.2))
        })?;
        Some(best)
    }

    /// The edges at the top that no two top faces share, and single top corners as edges of no
    /// length.
    fn top_rim(&self, finished: &Surface, is_top: impl Fn(f64) -> bool) -> Vec<[[f64; 3]; 2]> {
        let lattice = finished.lattice();
        let whole = |face: u32| finished.corner_heights(face).into_iter().all(&is_top);
        let mut rim = Vec::new();
        for &face in &self.faces {
            let corners = finished.corners(face).map(|p| lattice.metres(p));
            let z = finished.corner_heights(face);
            let place = |i: usize| [corners[i][0], corners[i][1], z[i]];
            for i in 0..3 {
                let j = (i + 1) % 3;
                let across = finished.faces()[face as usize].neighbours[i];
                let inside = whole(face)
                    && across != NONE
                    && finished.faces()[across as usize].tag.owner != 0
                    && whole(across);
                if is_top(z[i]) && is_top(z[j]) && !inside {
                    rim.push([place(i), place(j)]);
                } else if is_top(z[i]) && !inside {
                    rim.push([place(i), place(i)]);
                }
            }
        }
        rim
    }
}

fn nearest_on([a, b]: &[[f64; 3]; 2], to: [f64; 2]) -> [f64; 3] {
    let (dx, dy) = (b[0] - a[0], b[1] - a[1]);
    let length2 = dx * dx + dy * dy;
    let along = (to[0] - a[0]) * dx + (to[1] - a[1]) * dy;
    let share = if length2 > 0.0 { (along / length2).clamp(0.0, 1.0) } else { 0.0 };
    [0, 1, 2].map(|k| a[k] + share * (b[k] - a[k]))
}

/// The connected sets of the faces that `wanted` names; each in the order of its faces.
fn connected(surface: &Surface, wanted: impl Fn(u32) -> bool) -> Vec<Vec<u32>> {
    let n = surface.faces().len();
    let mut seen = vec![false; n];
    let mut parts = Vec::new();
    for first in 0..n as u32 {
        if seen[first as usize] || !wanted(first) {
            continue;
        }
        let (mut part, mut open) = (Vec::new(), vec![first]);
        seen[first as usize] = true;
        while let Some(face) = open.pop() {
            part.push(face);
            for next in surface.faces()[face as usize].neighbours {
                if next != NONE && !seen[next as usize] && wanted(next) {
                    seen[next as usize] = true;
                    open.push(next);
                }
            }
        }
        part.sort_unstable();
        parts.push(part);
    }
    parts
}

/// The hill-making owner of the greatest area, if there is one.
fn main_owner(surface: &Surface, faces: &[u32], makes_hill: impl Fn(Tag) -> bool) -> Option<u32> {
    let mut areas: BTreeMap<u32, f64> = BTreeMap::new();
    for &face in faces {
        let tag = surface.faces()[face as usize].tag;
        if makes_hill(tag) {
            *areas.entry(tag.owner).or_default() += query::face_area_m2(surface, face);
        }
    }
    areas.into_iter().max_by(|a, b| a.1.total_cmp(&b.1)).map(|(owner, _)| owner)
}
