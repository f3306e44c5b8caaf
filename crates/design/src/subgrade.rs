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

use ground::Surface;

use crate::footprint::Footprint;
use crate::layers::Layers;
use crate::plates::{KeptPlates, Lowering};

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
    let plates = kept.plates(Footprint::of(finished, margin_m, strips));
    let stripped = kept.lowered_within(existing, &plates, Lowering::Alike(layers.strip_m));
    let dug = kept.lowered_within(finished, &plates, Lowering::ToDug(layers.clone()));
    Between {
        stripped: Arc::clone(&stripped.ground),
        subgrade: Arc::clone(&dug.ground),
        liner,
        stripped_m2: stripped.area_m2(existing, |_| true),
        margin_m2: dug.area_m2(finished, |tag| tag.owner == 0),
    }
}

/// The liner's top: the finished ground where a liner lies, lower by all that lies on it.
fn liner(finished: &Surface, layers: &Layers) -> Option<Arc<Surface>> {
    let on = |face: u32| layers.on(finished.faces()[face as usize].tag);
    let lined = finished.part(|face| on(face).liner_m > 0.0)?;
    let lowered = lined.lowered(|face| layers.on(lined.faces()[face as usize].tag).above_liner_m());
    Some(Arc::new(lowered))
}
