//! Numbering of places, heights and edges, in the order in which a file tells them.

use ground::{LatticePoint, NONE};

/// Distinct places and heights of the vertices that faces use.
pub(super) struct Places {
    pub(super) spots: Vec<LatticePoint>,
    pub(super) heights: Vec<f64>,
    /// For each vertex of the file its place, or [`NONE`].
    pub(super) vertex_of: Vec<u32>,
    /// For each vertex of the file its height, or [`NONE`].
    pub(super) height_of: Vec<u32>,
    pub(super) n_unused: usize,
}

impl Places {
    pub(super) fn new(
        spots: &[LatticePoint],
        vertices_m: &[[f64; 3]],
        faces: impl Iterator<Item = [u32; 3]>,
    ) -> Self {
        let mut is_used = vec![false; spots.len()];
        faces.flatten().for_each(|v| is_used[v as usize] = true);
        let used = |v: &u32| is_used[*v as usize];
        let mut order: Vec<u32> = (0..spots.len() as u32).filter(used).collect();
        // By place, then by height: the first of equals, in the file's order, stands for all.
        order.sort_by(|&u, &v| {
            let z = |v: u32| vertices_m[v as usize][2];
            let by_place = spots[u as usize].cmp(&spots[v as usize]);
            by_place.then(z(u).total_cmp(&z(v))).then(u.cmp(&v))
        });
        let mut place_first = vec![NONE; spots.len()];
        let mut height_first = vec![NONE; spots.len()];
        for same in order.chunk_by(|&u, &v| spots[u as usize] == spots[v as usize]) {
            let first = same.iter().copied().min().expect("a chunk is never empty");
            same.iter().for_each(|&v| place_first[v as usize] = first);
            for equal in
                same.chunk_by(|&u, &v| vertices_m[u as usize][2] == vertices_m[v as usize][2])
            {
                let first = equal.iter().copied().min().expect("a chunk is never empty");
                equal.iter().for_each(|&v| height_first[v as usize] = first);
            }
        }
        let mut places = Self {
            spots: Vec::new(),
            heights: Vec::new(),
            vertex_of: vec![NONE; spots.len()],
            height_of: vec![NONE; spots.len()],
            n_unused: spots.len() - order.len(),
        };
        for v in 0..spots.len() {
            if place_first[v] == v as u32 {
                places.vertex_of[v] = places.spots.len() as u32;
                places.spots.push(spots[v]);
            } else if place_first[v] != NONE {
                places.vertex_of[v] = places.vertex_of[place_first[v] as usize];
            }
            if height_first[v] == v as u32 {
                places.height_of[v] = places.heights.len() as u32;
                places.heights.push(vertices_m[v][2]);
            } else if height_first[v] != NONE {
                places.height_of[v] = places.height_of[height_first[v] as usize];
            }
        }
        places
    }
}

/// The edges of triangles, each with the triangles beside it.
pub(super) struct Edges {
    /// Lower vertex, higher vertex, triangle, edge of it.
    sorted: Vec<([u32; 2], u32, u8)>,
}

impl Edges {
    /// None when an edge has more than two triangles, or two on one side.
    pub(super) fn new(triangles: &[[u32; 3]]) -> Option<Self> {
        let mut sorted = Vec::with_capacity(3 * triangles.len());
        for (t, &[a, b, c]) in (0..).zip(triangles) {
            for (k, [u, v]) in (0..).zip([[a, b], [b, c], [c, a]]) {
                sorted.push(([u.min(v), u.max(v)], t, k));
            }
        }
        sorted.sort_unstable();
        let start = |&(_, t, k): &([u32; 2], u32, u8)| triangles[t as usize][usize::from(k)];
        let fits = |edge: &[([u32; 2], u32, u8)]| match edge {
            [_] => true,
            [one, other] => start(one) != start(other),
            _ => false,
        };
        sorted.chunk_by(|one, other| one.0 == other.0).all(fits).then_some(Self { sorted })
    }

    pub(super) fn neighbours(&self, n_triangles: usize) -> Vec<[u32; 3]> {
        let mut across = vec![[NONE; 3]; n_triangles];
        for edge in self.sorted.chunk_by(|one, other| one.0 == other.0) {
            if let [(_, t, k), (_, u, l)] = *edge {
                across[t as usize][usize::from(k)] = u;
                across[u as usize][usize::from(l)] = t;
            }
        }
        across
    }
}
