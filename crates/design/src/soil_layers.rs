//! The top of a soil as borings found it.

use ground::{Lattice, Surface, Terrain, build};

/// The surface through the places where borings met a soil; none where they span no surface.
///
/// Beyond the borings nothing is known: there the soil above goes on.
pub(crate) fn top(lattice: Lattice, borings: &[[f64; 3]]) -> Option<Surface> {
    let places: Result<Vec<_>, _> =
        borings.iter().map(|&[x, y, z]| lattice.snap([x, y]).map(|p| (p, z))).collect();
    let terrain = Terrain { lattice, points: places.ok()?, ..Terrain::default() };
    build(&terrain).ok().map(|built| built.surface)
}
