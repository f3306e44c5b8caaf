//! The ground that each work has made: where it lies and its middle.

use std::collections::BTreeMap;

use ground::Surface;
use site::WorkId;

use super::terrain::corner_places;
use crate::frame::Extent;

/// One work's ground.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Owned {
    /// The box around it, local metres.
    pub extent: Extent,
    sum: [f64; 3],
    twice_area_m2: f64,
}

impl Owned {
    /// Its middle by area, at its mean height, local metres.
    pub(crate) fn middle(&self) -> Option<[f64; 3]> {
        (self.twice_area_m2 > 0.0).then(|| self.sum.map(|sum| sum / self.twice_area_m2))
    }
}

/// The ground of every work that has any.
pub(crate) fn owned(surface: &Surface) -> BTreeMap<WorkId, Owned> {
    let mut all = BTreeMap::new();
    for (idx, face) in surface.faces().iter().enumerate().filter(|(_, face)| face.tag.owner != 0) {
        let places = corner_places(surface, idx as u32);
        let [a, b, c] = places;
        let part = (b[0] - a[0]) * (c[1] - a[1]) - (c[0] - a[0]) * (b[1] - a[1]);
        let nothing = Owned { extent: Extent::nothing(), sum: [0.0; 3], twice_area_m2: 0.0 };
        let own = all.entry(WorkId(face.tag.owner)).or_insert(nothing);
        places.into_iter().for_each(|place| own.extent.take_in(place));
        for axis in 0..3 {
            own.sum[axis] += part * (a[axis] + b[axis] + c[axis]) / 3.0;
        }
        own.twice_area_m2 += part;
    }
    all
}
