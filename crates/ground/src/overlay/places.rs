//! The vertices of an arrangement, each named exactly and computed once.

use std::collections::HashMap;
use std::hash::{BuildHasherDefault, Hasher};

use super::overlap::share;
use crate::LatticePoint;

/// A place this near its lattice point, in steps, cannot round to another.
const SURE_OFFSET: f64 = 0.499;

/// A place between lattice points: the nearest lattice point and the offset from it in steps, from
/// minus a half on to below a half.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Place {
    pub(crate) nearest: LatticePoint,
    pub(crate) offset: [f64; 2],
}

/// What makes a vertex; equal makers make the same vertex.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub(crate) struct Maker(u64, u64);

/// A vertex on the zero line: the two vertices between which it lies and how far from the lower.
#[derive(Clone, Copy, Debug)]
pub(crate) struct OnZero {
    pub(crate) between: [u32; 2],
    pub(crate) share: f64,
}

/// All vertices of an arrangement.
#[derive(Debug, Default)]
pub(crate) struct Places {
    ids: HashMap<Maker, u32, BuildHasherDefault<Mix>>,
    places: Vec<Place>,
    zeros: HashMap<u32, OnZero, BuildHasherDefault<Mix>>,
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
    /// The vertex on a lattice point.
    pub(crate) fn on_lattice(&mut self, point: LatticePoint) -> u32 {
        let packed = (u64::from(point.x as u32) << 32) | u64::from(point.y as u32);
        self.made_by(Maker(packed, u64::MAX), || Place::on(point))
    }

    /// The vertex where two edges cross, each known by a number of its own.
    pub(crate) fn crossing(&mut self, edges: [u32; 2], place: impl FnOnce() -> Place) -> u32 {
        self.made_by(Maker(pack(edges), u64::MAX - 1), place)
    }

    /// The vertex on the zero line between two vertices, a share of the way from the lower one.
    pub(crate) fn on_zero(&mut self, zero: OnZero) -> u32 {
        let [low, high] = zero.between.map(|v| self.places[v as usize]);
        let maker = Maker(pack(zero.between), zero.share.to_bits());
        let id = self.made_by(maker, || low.towards(&high, zero.share));
        self.zeros.insert(id, zero);
        id
    }

    /// The place of a vertex.
    #[inline]
    pub(crate) fn place(&self, vertex: u32) -> &Place {
        &self.places[vertex as usize]
    }

    /// Between which vertices a vertex on the zero line lies.
    pub(crate) fn zero(&self, vertex: u32) -> Option<&OnZero> {
        self.zeros.get(&vertex)
    }

    /// How many vertices there are.
    pub(crate) fn len(&self) -> usize {
        self.places.len()
    }

    fn made_by(&mut self, maker: Maker, place: impl FnOnce() -> Place) -> u32 {
        let places = &mut self.places;
        *self.ids.entry(maker).or_insert_with(|| {
            places.push(place());
            places.len() as u32 - 1
        })
    }
}

fn pack([high, low]: [u32; 2]) -> u64 {
    (u64::from(high) << 32) | u64::from(low)
}

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
