//! Water and places in which water from the ground has arrived.

use std::borrow::Cow;

use crate::query::Pool;
use crate::{NONE, Surface};

/// Where water has arrived: the ground of some faces below a level.
#[derive(Clone, Debug, PartialEq)]
pub struct Receiver<'a> {
    /// The faces, in any order.
    pub faces: Cow<'a, [u32]>,
    /// The level in metres; infinite for the whole of the faces.
    pub level_m: f64,
}

impl<'a> Receiver<'a> {
    /// Standing water: what reaches its shore has arrived.
    pub fn water(pool: &'a Pool) -> Self {
        Self { faces: Cow::Borrowed(&pool.faces), level_m: pool.level_m }
    }

    /// Some faces, whole.
    pub fn faces(faces: Vec<u32>) -> Self {
        Self { faces: Cow::Owned(faces), level_m: f64::INFINITY }
    }
}

/// The receivers by the faces that they cover; of several on one face the first counts.
pub(super) struct Received {
    levels_m: Vec<f64>,
    of_face: Vec<u32>,
}

impl Received {
    pub(super) fn of(surface: &Surface, receivers: &[Receiver<'_>]) -> Self {
        let mut of_face =
            if receivers.is_empty() { Vec::new() } else { vec![NONE; surface.faces().len()] };
        for (receiver, number) in receivers.iter().zip(0..) {
            for &f in receiver.faces.iter() {
                if let Some(slot) = of_face.get_mut(f as usize).filter(|slot| **slot == NONE) {
                    *slot = number;
                }
            }
        }
        Self { levels_m: receivers.iter().map(|receiver| receiver.level_m).collect(), of_face }
    }

    /// The level below which a face's water has arrived.
    pub(super) fn level(&self, f: u32) -> Option<f64> {
        let number = *self.of_face.get(f as usize)?;
        self.levels_m.get(number as usize).copied()
    }

    /// The number among the ends of the receiver that takes water on a face at a height.
    pub(super) fn at(&self, f: u32, z: f64) -> Option<u32> {
        let number = *self.of_face.get(f as usize)?;
        let level_m = *self.levels_m.get(number as usize)?;
        (z < level_m).then_some(number + 1)
    }

    /// The first number among the ends after the receivers'.
    pub(super) fn first_free(&self) -> u32 {
        self.levels_m.len() as u32 + 1
    }
}
