//! Between the site's local frame and the scene.
//!
//! The scene is single precision with y up: east is x, up is y, south is z. Its origin lies amid the
//! site, so that a garden far from the local origin loses nothing.

use bevy::prelude::*;
use ground::Surface;

/// Where the scene's origin lies in the site's local frame, in metres.
#[derive(Resource, Clone, Copy, Debug, Default, PartialEq)]
pub(crate) struct SceneFrame {
    origin_m: [f64; 3],
}

/// The box around a surface in local metres.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Extent {
    /// Least east, north and up.
    pub low: [f64; 3],
    /// Greatest east, north and up.
    pub high: [f64; 3],
}

impl SceneFrame {
    /// A frame amid `extent`, on whole metres so that it moves with nothing but the survey.
    pub(crate) fn amid(extent: Extent) -> Self {
        Self { origin_m: extent.centre().map(f64::round) }
    }

    /// A local place in the scene.
    pub(crate) fn scene(&self, local_m: [f64; 3]) -> Vec3 {
        let [east, north, up] = std::array::from_fn(|i| (local_m[i] - self.origin_m[i]) as f32);
        Vec3::new(east, up, -north)
    }

    /// A place of the scene in local metres.
    pub(crate) fn local(&self, scene: Vec3) -> [f64; 3] {
        let [x, y, z] = scene.to_array().map(f64::from);
        [x + self.origin_m[0], self.origin_m[1] - z, y + self.origin_m[2]]
    }
}

impl Extent {
    /// A box that holds no place yet.
    pub(crate) fn nothing() -> Self {
        Self { low: [f64::INFINITY; 3], high: [f64::NEG_INFINITY; 3] }
    }

    /// The box around `surface`, if it has any face.
    pub(crate) fn of(surface: &Surface) -> Option<Self> {
        let mut extent = Self::nothing();
        for face in surface.faces() {
            for (vertex, height) in face.vertices.into_iter().zip(face.heights) {
                let [x, y] = surface.lattice().metres(surface.vertices()[vertex as usize]);
                extent.take_in([x, y, surface.heights()[height as usize]]);
            }
        }
        (extent.low[0] <= extent.high[0]).then_some(extent)
    }

    /// Grows to hold a place.
    pub(crate) fn take_in(&mut self, place: [f64; 3]) {
        for (axis, value) in place.into_iter().enumerate() {
            self.low[axis] = self.low[axis].min(value);
            self.high[axis] = self.high[axis].max(value);
        }
    }

    /// Its middle.
    pub(crate) fn centre(&self) -> [f64; 3] {
        std::array::from_fn(|axis| 0.5 * (self.low[axis] + self.high[axis]))
    }

    /// Half its diagonal in plan.
    pub(crate) fn radius_m(&self) -> f64 {
        0.5 * libm::hypot(self.high[0] - self.low[0], self.high[1] - self.low[1])
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn north_is_away_and_up_is_up() {
        let extent = Extent { low: [500.0, 900.0, 10.0], high: [520.0, 940.0, 14.0] };
        let frame = SceneFrame::amid(extent);
        assert_eq!(frame.scene([511.5, 921.0, 12.25]), Vec3::new(1.5, 0.25, -1.0));
        assert_eq!(frame.local(Vec3::new(1.5, 0.25, -1.0)), [511.5, 921.0, 12.25]);
    }
}
