//! The grounds between existing and finished: stripped, subgrade, and the liner's surface.
//!
//! ```text
//!   existing   ____________________________
//!   stripped       |____ margin, works ____|        lower by the topsoil, once
//!   finished   _______                 _____
//!                     \___ topsoil ___/             lower by each face's build-up:
//!   subgrade   ----|   \___ gravel __/  |---        the subgrade
//! ```
//! What a face carries is known from its work and its part, so the subgrade is the finished ground
//! with each face lowered by its own build-up. Around the works the topsoil is taken off and spread
//! again: there the subgrade is the stripped ground. Beyond that nothing is cut, so that the grounds
//! share most of their triangles with existing and finished ground.

use std::sync::Arc;

use ground::query::outline_where;
use ground::{LatticePoint, Surface};
use i_overlay::i_float::int::point::IntPoint;
use i_overlay::mesh::int::outline::offset::IntOutlineOffset;
use i_overlay::mesh::int::style::IntOutlineStyle;

use crate::layers::Layers;
use crate::plates::{KeptPlates, Regions};

/// The grounds between existing and finished.
#[derive(Clone, Debug)]
pub struct Between {
    /// Existing ground without its topsoil under and around the works.
    pub stripped: Arc<Surface>,
    /// The ground to which the machine digs and fills.
    pub subgrade: Arc<Surface>,
    /// The liner's top, where a liner lies; none without a liner.
    pub liner: Option<Arc<Surface>>,
    /// Plan area that is stripped, square metres.
    pub stripped_m2: f64,
    /// Of it, what no work covers: its topsoil is spread again.
    pub margin_m2: f64,
}

/// The grounds between `existing` and `finished`.
///
/// `margin_m` is how far around the works existing ground is stripped; corners are cut straight.
/// `strips` are outlines that are stripped besides, local metres.
pub(crate) fn between(
    kept: &mut KeptPlates,
    existing: &Arc<Surface>,
    finished: &Arc<Surface>,
    layers: &Layers,
    margin_m: f64,
    strips: &[Vec<[f64; 2]>],
) -> Between {
    let liner = liner(finished, layers);
    if layers.strip_m == 0.0 {
        return Between {
            stripped: Arc::clone(existing),
            subgrade: Arc::new(layers.dug(finished)),
            liner,
            stripped_m2: 0.0,
            margin_m2: 0.0,
        };
    }
    let plates = kept.plates(finished.lattice(), footprint(finished, margin_m, strips));
    let (stripped, stripped_m2) = kept.stripped(existing, &plates, layers.strip_m);
    let taken = kept.lowered_within(finished, &plates, |tag| layers.dug_m(tag));
    let margin_m2 = taken.area_m2(finished, |tag| tag.owner == 0);
    Between { stripped, subgrade: taken.ground, liner, stripped_m2, margin_m2 }
}

/// The liner's top: the finished ground where a liner lies, lower by all that lies on it.
fn liner(finished: &Surface, layers: &Layers) -> Option<Arc<Surface>> {
    let on = |face: u32| layers.on(finished.faces()[face as usize].tag);
    let lined = finished.part(|face| on(face).liner_m > 0.0)?;
    let lowered = lined.lowered(|face| layers.on(lined.faces()[face as usize].tag).above_liner_m());
    Some(Arc::new(lowered))
}

/// A closed ring of lattice places; outer ones run counter-clockwise, holes clockwise.
type Ring = Vec<IntPoint<i32>>;

/// The regions that are stripped.
fn footprint(finished: &Surface, margin_m: f64, strips: &[Vec<[f64; 2]>]) -> Regions {
    let lattice = finished.lattice();
    let point = |p: LatticePoint| IntPoint::new(p.x, p.y);
    let is_work = |face: u32| finished.faces()[face as usize].tag.owner != 0;
    let works: Vec<Ring> = outline_where(finished, is_work)
        .iter()
        .map(|ring| ring.iter().map(|p| point(finished.vertices()[p.vertex as usize])).collect())
        .collect();
    let margin = (margin_m / lattice.step_m()).round() as i32;
    let mut rings: Vec<Ring> = outlined(&works, margin).into_iter().flatten().collect();
    for strip in strips {
        let ring: Result<Ring, _> = strip.iter().map(|&p| lattice.snap(p).map(point)).collect();
        rings.extend(ring.ok());
    }
    let place = |p: IntPoint<i32>| LatticePoint { x: p.x, y: p.y };
    let ring = |ring: Ring| ring.into_iter().map(place).collect();
    let region = |region: Vec<Ring>| region.into_iter().map(ring).collect();
    outlined(&rings, 0).into_iter().map(region).collect()
}

/// Regions grown by so many lattice steps and joined.
fn outlined(rings: &Vec<Ring>, by: i32) -> Vec<Vec<Ring>> {
    // Places lie within 2^29 steps, and a margin is metres: well within the range asked for.
    rings.outline(&IntOutlineStyle::new(by)).unwrap_or_default()
}
