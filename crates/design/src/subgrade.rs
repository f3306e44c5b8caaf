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
//! again: there the subgrade is the stripped ground.

use std::sync::Arc;

use ground::overlay::{Domain, Keep, Rooted, compose};
use ground::query::outline_where;
use ground::{Lattice, LatticePoint, Surface, Terrain, build};
use i_overlay::i_float::int::point::IntPoint;
use i_overlay::mesh::int::outline::offset::IntOutlineOffset;
use i_overlay::mesh::int::style::IntOutlineStyle;

use crate::layers::Layers;

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
    existing: &Arc<Surface>,
    finished: &Arc<Surface>,
    layers: &Layers,
    margin_m: f64,
    strips: &[Vec<[f64; 2]>],
) -> Between {
    let dug = layers.dug(finished);
    let liner = liner(finished, layers);
    if layers.strip_m == 0.0 {
        return Between {
            stripped: Arc::clone(existing),
            subgrade: Arc::new(dug),
            liner,
            stripped_m2: 0.0,
            margin_m2: 0.0,
        };
    }
    let lattice = finished.lattice();
    let plates = plates(lattice, &footprint(finished, margin_m, strips));
    let down = existing.lowered(|_| layers.strip_m);
    let mut between = Between {
        stripped: Arc::clone(existing),
        subgrade: Arc::clone(finished),
        liner,
        stripped_m2: 0.0,
        margin_m2: 0.0,
    };
    for plate in &plates {
        let within = |ground: &Surface| {
            compose(plate, ground, Keep::Highest, Domain::Ground, Rooted::Anywhere).surface
        };
        let lowest = |ground: &Surface, part: &Surface| {
            compose(ground, part, Keep::Lowest, Domain::Ground, Rooted::Anywhere)
        };
        let stripped = lowest(&between.stripped, &within(&down));
        between.stripped_m2 += stripped.changed.won_area_m2;
        between.stripped = Arc::new(stripped.surface);
        let part = within(&dug);
        between.margin_m2 += ground::query::areas_where(&part, |face| {
            let face = &part.faces()[face as usize];
            face.tag.owner == 0 && face.tag != PLATE
        })
        .plan_m2;
        between.subgrade = Arc::new(lowest(&between.subgrade, &part).surface);
    }
    between
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

/// The regions that are stripped: each an outer ring and its holes.
fn footprint(finished: &Surface, margin_m: f64, strips: &[Vec<[f64; 2]>]) -> Vec<Vec<Ring>> {
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
    outlined(&rings, 0)
}

/// Regions grown by so many lattice steps and joined.
fn outlined(rings: &Vec<Ring>, by: i32) -> Vec<Vec<Ring>> {
    // Places lie within 2^29 steps, and a margin is metres: well within the range asked for.
    rings.outline(&IntOutlineStyle::new(by)).unwrap_or_default()
}

/// Far below any ground.
const NOWHERE_M: f64 = -1e5;

/// What a plate's faces carry: no work has this number.
const PLATE: ground::Tag = ground::Tag { owner: u32::MAX, part: 0 };

/// Level surfaces over the regions, far below any ground: what is laid on them covers just those.
fn plates(lattice: Lattice, regions: &[Vec<Ring>]) -> Vec<Surface> {
    let place = |p: &IntPoint<i32>| LatticePoint { x: p.x, y: p.y };
    let plate = |region: &Vec<Ring>| {
        let rings: Vec<Vec<LatticePoint>> =
            region.iter().map(|ring| ring.iter().map(place).collect()).collect();
        let (outer, holes) = rings.split_first()?;
        let points = rings.iter().flatten().map(|&p| (p, NOWHERE_M)).collect();
        let terrain = Terrain {
            lattice,
            points,
            boundary: Some(outer.clone()),
            voids: holes.to_vec(),
            tag: PLATE,
            ..Terrain::default()
        };
        build(&terrain).ok().map(|built| built.surface)
    };
    regions.iter().filter_map(plate).collect()
}
