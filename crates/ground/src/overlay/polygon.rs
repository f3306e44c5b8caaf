//! Triangulating what an owner keeps: loops of lattice points that may touch themselves.

use crate::predicates::{in_circle_sign, orient};
use crate::triangulate::constrained;
use crate::{Lattice, LatticePoint, NONE};

/// Cuts regions into triangles, one after the other.
#[derive(Debug, Default)]
pub(crate) struct Cutter {
    sorted: Vec<[u32; 2]>,
    used: Vec<bool>,
    /// The corners of all loops, and where each loop ends.
    corners: Vec<u32>,
    ends: Vec<usize>,
    rest: Vec<u32>,
}

/// The edges bound no region.
pub(crate) struct Unbounded;

/// Ears are sought in quadratic time: longer loops are triangulated as a mesh.
const MOST_EARS: usize = 40;

impl Cutter {
    /// Adds the triangles of the region on the left of directed edges between nodes.
    ///
    /// Every node on an edge becomes a corner.
    pub(crate) fn cut(
        &mut self,
        nodes: &[LatticePoint],
        edges: &[[u32; 2]],
        triangles: &mut Vec<[u32; 3]>,
    ) -> Result<(), Unbounded> {
        self.follow(nodes, edges)?;
        let n_before = triangles.len();
        if self.cut_loops(nodes, triangles).is_none() {
            triangles.truncate(n_before);
            triangles.extend(by_mesh(nodes, edges).ok_or(Unbounded)?);
        }
        Ok(())
    }

    /// Follows the edges into loops, each the outline of one piece or of one hole.
    fn follow(&mut self, nodes: &[LatticePoint], edges: &[[u32; 2]]) -> Result<(), Unbounded> {
        let Self { sorted, used, corners, ends, .. } = self;
        sorted.clear();
        sorted.extend(edges);
        sorted.sort_unstable();
        used.clear();
        used.resize(sorted.len(), false);
        corners.clear();
        ends.clear();
        let place = |v: u32| nodes[v as usize];
        for first in 0..sorted.len() {
            if used[first] {
                continue;
            }
            let mut at = first;
            while !used[at] {
                used[at] = true;
                let [from, to] = sorted[at];
                corners.push(from);
                let start = sorted.partition_point(|e| e[0] < to);
                let leaving = (start..sorted.len()).take_while(|&i| sorted[i][0] == to);
                let sooner = |best: usize, i: usize| {
                    let [there, known] = [i, best].map(|k| place(sorted[k][1]));
                    if turns_sooner(place(to), place(from), there, known) { i } else { best }
                };
                let open = leaving.filter(|&i| !used[i] || i == first);
                at = open.reduce(sooner).ok_or(Unbounded)?;
            }
            if at != first {
                return Err(Unbounded);
            }
            ends.push(corners.len());
        }
        Ok(())
    }

    /// Cuts each loop by itself; none where one is a hole or has too many corners.
    fn cut_loops(&mut self, nodes: &[LatticePoint], triangles: &mut Vec<[u32; 3]>) -> Option<()> {
        let starts = std::iter::once(0).chain(self.ends.iter().copied());
        let mut loops = starts.zip(&self.ends).map(|(start, &end)| &self.corners[start..end]);
        if !loops.clone().all(|l| l.len() <= MOST_EARS && twice_area(nodes, l) > 0) {
            return None;
        }
        loops.try_for_each(|l| clip_ears(nodes, l, &mut self.rest, triangles))
    }
}

/// Whether turning clockwise about `v` from `u` one meets `a` before `b`.
fn turns_sooner(v: LatticePoint, u: LatticePoint, a: LatticePoint, b: LatticePoint) -> bool {
    let half = |p: LatticePoint| match orient(v, u, p) {
        s if s < 0 => 0,
        0 if is_behind(v, u, p) => 1,
        0 => 3,
        _ => 2,
    };
    match half(a).cmp(&half(b)) {
        std::cmp::Ordering::Equal => orient(v, a, b) < 0,
        order => order.is_lt(),
    }
}

/// Whether `p` lies on the other side of `v` than `u`, all on one line.
fn is_behind(v: LatticePoint, u: LatticePoint, p: LatticePoint) -> bool {
    let dot = |a: i32, b: i32, c: i32| {
        ((i128::from(b) - i128::from(a)) * (i128::from(c) - i128::from(a))).signum()
    };
    dot(v.x, u.x, p.x) + dot(v.y, u.y, p.y) < 0
}

fn twice_area(nodes: &[LatticePoint], corners: &[u32]) -> i128 {
    let origin = nodes[corners[0] as usize];
    (1..corners.len() - 1)
        .map(|i| {
            let (p, q) = (nodes[corners[i] as usize], nodes[corners[i + 1] as usize]);
            i128::from(orient(origin, p, q))
        })
        .sum()
}

/// Cuts ears off a loop, then flips diagonals until the triangles are Delaunay within it.
pub(super) fn clip_ears(
    nodes: &[LatticePoint],
    corners: &[u32],
    rest: &mut Vec<u32>,
    triangles: &mut Vec<[u32; 3]>,
) -> Option<()> {
    let place = |v: u32| nodes[v as usize];
    let first = triangles.len();
    rest.clear();
    rest.extend(corners);
    while rest.len() > 3 {
        let n = rest.len();
        let ear = (0..n).find(|&i| {
            let [a, b, c] = about(rest, i).map(place);
            is_ear([a, b, c], rest.iter().map(|&v| place(v)))
        })?;
        triangles.push(about(rest, ear));
        rest.remove(ear);
    }
    let last = [rest[0], rest[1], rest[2]];
    if orient(place(last[0]), place(last[1]), place(last[2])) <= 0 {
        return None;
    }
    triangles.push(last);
    flip(nodes, &mut triangles[first..]);
    Some(())
}

/// A corner of a loop between the one before it and the one after it.
fn about(corners: &[u32], i: usize) -> [u32; 3] {
    let n = corners.len();
    let before = if i == 0 { n - 1 } else { i - 1 };
    let after = if i + 1 == n { 0 } else { i + 1 };
    [corners[before], corners[i], corners[after]]
}

fn is_ear([a, b, c]: [LatticePoint; 3], mut others: impl Iterator<Item = LatticePoint>) -> bool {
    orient(a, b, c) > 0
        && others.all(|p| {
            p == a
                || p == b
                || p == c
                || orient(a, b, p) < 0
                || orient(b, c, p) < 0
                || orient(c, a, p) < 0
        })
}

/// Flips diagonals between the triangles of one region until each passes the in-circle test.
fn flip(nodes: &[LatticePoint], triangles: &mut [[u32; 3]]) {
    let place = |v: u32| nodes[v as usize];
    let mut flipped = true;
    let mut rounds = 0;
    while flipped && rounds < 4 * triangles.len() + 8 {
        flipped = false;
        rounds += 1;
        for i in 0..triangles.len() {
            for j in i + 1..triangles.len() {
                let Some([a, b, c, d]) = across(triangles[i], triangles[j]) else { continue };
                // The diagonal b c parts the triangles a b c and d c b.
                if orient(place(a), place(b), place(d)) > 0
                    && orient(place(a), place(d), place(c)) > 0
                    && in_circle_sign(place(a), place(b), place(c), place(d)).is_gt()
                {
                    triangles[i] = [a, b, d];
                    triangles[j] = [a, d, c];
                    flipped = true;
                }
            }
        }
    }
}

/// Two triangles `a b c` and `d c b` as `a`, `b`, `c`, `d`, when they share an edge.
fn across(s: [u32; 3], t: [u32; 3]) -> Option<[u32; 4]> {
    (0..3).find_map(|i| {
        let (a, b, c) = (s[i], s[(i + 1) % 3], s[(i + 2) % 3]);
        let j = (0..3).find(|&j| t[(j + 1) % 3] == c && t[(j + 2) % 3] == b)?;
        Some([a, b, c, t[j]])
    })
}

/// Triangulates the hull of the edges and keeps what lies on their left.
fn by_mesh(nodes: &[LatticePoint], edges: &[[u32; 2]]) -> Option<Vec<[u32; 3]>> {
    let mut used: Vec<u32> = edges.iter().flatten().copied().collect();
    used.sort_unstable();
    used.dedup();
    let local = |v: u32| used.partition_point(|&u| u < v) as u32;
    let points: Vec<LatticePoint> = used.iter().map(|&v| nodes[v as usize]).collect();
    let local_edges: Vec<[u32; 2]> = edges.iter().map(|e| e.map(local)).collect();
    let mesh = constrained(Lattice::default(), &points, &local_edges).ok()?;
    if mesh.vertices.len() != points.len() {
        return None;
    }
    let mut original = vec![NONE; points.len()];
    for (i, &m) in mesh.merged.iter().enumerate() {
        original[m as usize] = used[i];
    }
    if original.contains(&NONE) {
        return None;
    }
    let mut bounds: Vec<[u32; 2]> =
        local_edges.iter().map(|e| e.map(|v| mesh.merged[v as usize])).collect();
    bounds.sort_unstable();
    let inside = left_of(&mesh.triangles, &mesh.neighbours, &bounds);
    let kept = mesh.triangles.iter().zip(&inside).filter(|&(_, &inside)| inside);
    let triangles: Vec<[u32; 3]> = kept.map(|(t, _)| t.map(|v| original[v as usize])).collect();
    // The flood has leaked out unless the triangles have the area that the edges go around.
    let place = |v: u32| nodes[v as usize];
    let origin = place(edges[0][0]);
    let around = |e: &[u32; 2]| i128::from(orient(origin, place(e[0]), place(e[1])));
    let covered = |t: &[u32; 3]| i128::from(orient(place(t[0]), place(t[1]), place(t[2])));
    let is_whole =
        edges.iter().map(around).sum::<i128>() == triangles.iter().map(covered).sum::<i128>();
    is_whole.then_some(triangles)
}

/// Which triangles lie on the left of the directed `bounds`, which are edges of the mesh, sorted.
fn left_of(triangles: &[[u32; 3]], neighbours: &[[u32; 3]], bounds: &[[u32; 2]]) -> Vec<bool> {
    let mut inside = vec![false; triangles.len()];
    let mut waiting = Vec::new();
    let is_bound = |from: u32, to: u32| bounds.binary_search(&[from, to]).is_ok();
    for (t, corners) in triangles.iter().enumerate() {
        if (0..3).any(|i| is_bound(corners[i], corners[(i + 1) % 3])) {
            inside[t] = true;
            waiting.push(t);
        }
    }
    while let Some(t) = waiting.pop() {
        for i in 0..3 {
            let beyond = neighbours[t][i];
            let (from, to) = (triangles[t][i], triangles[t][(i + 1) % 3]);
            if beyond == NONE || inside[beyond as usize] || is_bound(from, to) {
                continue;
            }
            inside[beyond as usize] = true;
            waiting.push(beyond as usize);
        }
    }
    inside
}
