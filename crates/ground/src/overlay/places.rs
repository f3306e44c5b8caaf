//! The vertices of an arrangement, each named exactly and computed once.

use std::collections::HashMap;
use std::hash::{BuildHasherDefault, Hasher};

use super::buckets::Hooks;
use super::overlap::share;
use crate::LatticePoint;
use crate::surface::{NONE, Surface};

/// A place this near its lattice point, in steps, cannot round to another.
const SURE_OFFSET: f64 = 0.499;

/// A place between lattice points: the nearest lattice point and the offset from it in steps, from
/// minus a half on to below a half.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Place {
    pub(crate) nearest: LatticePoint,
    pub(crate) offset: [f64; 2],
}

/// A vertex on the zero line: the two vertices between which it lies and how far from the lower.
#[derive(Clone, Copy, Debug)]
pub(crate) struct OnZero {
    pub(crate) between: [u32; 2],
    pub(crate) share: f64,
}

/// One of the two surfaces of an arrangement.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Of {
    Ground,
    Patch,
}

/// All vertices of an arrangement.
///
/// A vertex is named by what makes it: a vertex of the ground or of the patch, two edges that cross,
/// or a share of the way between two other vertices.
#[derive(Debug)]
pub(crate) struct Places {
    places: Vec<Place>,
    /// How each vertex on the zero line was made; for others between nothing.
    zeros: Vec<OnZero>,
    /// The vertex at each vertex of the ground.
    at_ground: Vec<u32>,
    /// The vertex at each vertex of the patch.
    at_patch: Vec<u32>,
    /// The vertex of the ground that each vertex of the patch stands on, where that was looked for.
    under_patch: Vec<u32>,
    /// By the patch's edge: the ground's edge and the vertex where they cross.
    crossings: Hooks<(u32, u32)>,
    /// By the lower vertex: the upper one and the vertex between them.
    between: Hooks<(u32, u32)>,
}

impl Place {
    /// A lattice point as a place.
    pub(crate) fn on(point: LatticePoint) -> Self {
        Self { nearest: point, offset: [0.0; 2] }
    }

    /// The place a share of the way from here to there.
    pub(crate) fn towards(&self, there: &Place, share: f64) -> Self {
        let [dx, dy] = self.to(there);
        let moved = [self.offset[0] + share * dx, self.offset[1] + share * dy];
        let whole = moved.map(|m| (m + 0.5).floor());
        Self {
            nearest: LatticePoint {
                x: self.nearest.x + whole[0] as i32,
                y: self.nearest.y + whole[1] as i32,
            },
            offset: [moved[0] - whole[0], moved[1] - whole[1]],
        }
    }

    /// The place on an edge that parts it as `before` to `after`.
    ///
    /// Its pixel is the true one: a place near the border between two pixels is rounded exactly.
    pub(crate) fn parting([p, q]: [LatticePoint; 2], before: i64, after: i64) -> Self {
        let place = Self::on(p).towards(&Self::on(q), share(before, after));
        if place.offset.iter().all(|o| o.abs() < SURE_OFFSET) {
            return place;
        }
        let whole = i128::from(before) + i128::from(after);
        let exact = |p: i32, q: i32| {
            let way = i128::from(before) * (i128::from(q) - i128::from(p));
            let steps = (2 * way + whole).div_euclid(2 * whole);
            (p + steps as i32, (way - steps * whole) as f64 / whole as f64)
        };
        let (x, y) = (exact(p.x, q.x), exact(p.y, q.y));
        Self { nearest: LatticePoint { x: x.0, y: y.0 }, offset: [x.1, y.1] }
    }

    /// The way from here to there in steps.
    #[inline]
    pub(crate) fn to(&self, there: &Place) -> [f64; 2] {
        let (a, b) = (self.nearest, there.nearest);
        [
            (i64::from(b.x) - i64::from(a.x)) as f64 + (there.offset[0] - self.offset[0]),
            (i64::from(b.y) - i64::from(a.y)) as f64 + (there.offset[1] - self.offset[1]),
        ]
    }
}

impl Places {
    /// No vertices yet of two surfaces; where these overlap nowhere, vertices that both have are
    /// named twice unless [`Self::join`] is called.
    pub(crate) fn new(ground: &Surface, patch: &Surface) -> Self {
        Self {
            places: Vec::new(),
            zeros: Vec::new(),
            at_ground: vec![NONE; ground.vertices().len()],
            at_patch: vec![NONE; patch.vertices().len()],
            under_patch: Vec::new(),
            crossings: Hooks::below(3 * patch.faces().len()),
            between: Hooks::default(),
        }
    }

    /// Names vertices that both surfaces have once, although their faces share no area.
    pub(crate) fn join(&mut self, ground: &Surface, patch: &Surface) {
        let known: HashMap<LatticePoint, u32, BuildHasherDefault<Mix>> =
            ground.vertices().iter().copied().zip(0..).collect();
        let under = |at| known.get(at).copied().unwrap_or(NONE);
        self.under_patch = patch.vertices().iter().map(under).collect();
    }

    /// The vertex at a vertex of one of the surfaces.
    #[inline]
    pub(crate) fn on_vertex(&mut self, of: Of, vertex: u32, at: LatticePoint) -> u32 {
        let i = vertex as usize;
        let under = match of {
            Of::Patch => self.under_patch.get(i).copied().unwrap_or(NONE),
            Of::Ground => vertex,
        };
        let known = if under == NONE { self.at_patch[i] } else { self.at_ground[under as usize] };
        if known != NONE {
            return known;
        }
        let id = self.push(Place::on(at), NOT_ON_ZERO);
        *(if under == NONE {
            &mut self.at_patch[i]
        } else {
            &mut self.at_ground[under as usize]
        }) = id;
        id
    }

    /// The vertex where an edge of the ground crosses one of the patch.
    #[inline]
    pub(crate) fn crossing(
        &mut self,
        [of_ground, of_patch]: [u32; 2],
        place: impl FnOnce() -> Place,
    ) -> u32 {
        let known = self.crossings.on(of_patch).find(|known| known.0 == of_ground);
        if let Some(&(_, id)) = known {
            return id;
        }
        let id = self.push(place(), NOT_ON_ZERO);
        self.crossings.hang(of_patch, (of_ground, id));
        id
    }

    /// The vertex on the zero line between two vertices, a share of the way from the lower one.
    #[inline]
    pub(crate) fn on_zero(&mut self, zero: OnZero) -> u32 {
        let ([low, high], bits) = (zero.between, zero.share.to_bits());
        let is_it = |id: u32| self.zeros[id as usize].share.to_bits() == bits;
        let known = self.between.on(low).find(|known| known.0 == high && is_it(known.1));
        if let Some(&(_, id)) = known {
            return id;
        }
        let [from, to] = zero.between.map(|v| self.places[v as usize]);
        let id = self.push(from.towards(&to, zero.share), zero);
        self.between.hang(low, (high, id));
        id
    }

    /// The place of a vertex.
    #[inline]
    pub(crate) fn place(&self, vertex: u32) -> &Place {
        &self.places[vertex as usize]
    }

    /// Between which vertices a vertex on the zero line lies.
    #[inline]
    pub(crate) fn zero(&self, vertex: u32) -> Option<&OnZero> {
        Some(&self.zeros[vertex as usize]).filter(|zero| zero.between[0] != NONE)
    }

    /// How many vertices there are.
    pub(crate) fn len(&self) -> usize {
        self.places.len()
    }

    #[inline]
    fn push(&mut self, place: Place, zero: OnZero) -> u32 {
        self.places.push(place);
        self.zeros.push(zero);
        self.places.len() as u32 - 1
    }
}

const NOT_ON_ZERO: OnZero = OnZero { between: [NONE; 2], share: 0.0 };

/// A quick hash for keys that no adversary picks; results never depend on it.
#[derive(Clone, Copy, Debug, Default)]
pub(crate) struct Mix(u64);

impl Hasher for Mix {
    fn finish(&self) -> u64 {
        self.0 ^ (self.0 >> 29)
    }

    fn write(&mut self, bytes: &[u8]) {
        for chunk in bytes.chunks(8) {
            let word = chunk.iter().rev().fold(0, |word, &byte| (word << 8) | u64::from(byte));
            self.write_u64(word);
        }
    }

    fn write_u32(&mut self, word: u32) {
        self.write_u64(u64::from(word));
    }

    fn write_i32(&mut self, word: i32) {
        self.write_u64(u64::from(word as u32));
    }

    fn write_usize(&mut self, word: usize) {
        self.write_u64(word as u64);
    }

    fn write_u64(&mut self, word: u64) {
        self.0 = (self.0.rotate_left(26) ^ word).wrapping_mul(0x9E37_79B9_7F4A_7C15);
    }
}
