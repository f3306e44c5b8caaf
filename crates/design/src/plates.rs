//! Lowering a ground within regions of the plan, and what was found of that before.
//!
//! ```text
//!   ____________________            beyond       as it was
//!   \___/\___/\___|____/\__         crossed      cut along the ring, the inner piece laid lower
//!         |<- region ->|            within       lower, triangle by triangle
//! ```
//! Faces within are lowered as they are; only those through which a ring runs are parted along it.
//! Most edits change neither the rings nor the faces that they cross, so that the cut is found again.

use std::sync::Arc;

use ground::overlay::{Cutting, Trace};
use ground::query::{ToRings, areas_where, to_rings};
use ground::{Lattice, LatticePoint, Surface, Tag, Terrain, build};

use crate::AnswerKind;
use crate::footprint::Footprint;
use crate::layers::Layers;
use crate::memo::{ByIdentity, Memo, Tally};

/// Regions as rings, and as a level surface that covers just those.
#[derive(Clone, Debug)]
pub(crate) struct Plates {
    rings: Vec<Vec<LatticePoint>>,
    surface: Option<Surface>,
}

/// By how much each face within is lowered.
#[derive(Clone, Debug, PartialEq)]
pub(crate) enum Lowering {
    /// All by the same depth, metres.
    Alike(f64),
    /// By all that lies on it.
    ToDug(Layers),
}

/// A ground lowered within regions.
#[derive(Debug)]
pub(crate) struct Lowered {
    /// With whole faces lowered only.
    before: Surface,
    pub(crate) ground: Arc<Surface>,
    to: Vec<ToRings>,
    /// Plan area within of the faces through which a ring runs, square metres, by what they carry.
    parted_m2: Vec<(Tag, f64)>,
    trace: Option<Trace>,
}

/// Plates and grounds found before.
#[derive(Debug)]
pub(crate) struct KeptPlates {
    plates: Memo<Footprint, Arc<Plates>>,
    lowered: Memo<LoweredKey, Arc<Lowered>>,
}

/// What a lowered ground follows from.
#[derive(Clone, Debug, PartialEq)]
struct LoweredKey {
    ground: ByIdentity<Surface>,
    plates: ByIdentity<Plates>,
    by: Lowering,
}

/// Regions of a large site, in a few evaluations.
const ROOM: usize = 16;

impl Default for KeptPlates {
    fn default() -> Self {
        Self { plates: Memo::with_room(ROOM), lowered: Memo::with_room(ROOM) }
    }
}

impl KeptPlates {
    /// What was counted of each kind.
    pub(crate) fn tallies(&mut self) -> [(AnswerKind, &mut Tally); 2] {
        [(AnswerKind::Plate, self.plates.tally()), (AnswerKind::Lowered, self.lowered.tally())]
    }

    /// The plates over what is stripped.
    pub(crate) fn plates(&mut self, footprint: Footprint) -> Arc<Plates> {
        self.plates.get(footprint, |footprint| {
            let regions = footprint.regions();
            let lattice = footprint.lattice;
            let made = regions.iter().filter_map(|region| Some((region, plate(lattice, region)?)));
            let (rings, surfaces): (Vec<_>, Vec<_>) = made.unzip();
            let rings = rings.into_iter().flatten().cloned().collect();
            Arc::new(Plates { rings, surface: Surface::side_by_side(&surfaces) })
        })
    }

    /// A ground lower within the plates.
    pub(crate) fn lowered_within(
        &mut self,
        ground: &Arc<Surface>,
        plates: &Arc<Plates>,
        by: Lowering,
    ) -> Arc<Lowered> {
        let key = LoweredKey {
            ground: ByIdentity(Arc::clone(ground)),
            plates: ByIdentity(Arc::clone(plates)),
            by,
        };
        let is_like = |known: &LoweredKey| known.plates == key.plates && known.by == key.by;
        let earlier = self.lowered.latest(is_like).map(Arc::clone);
        self.lowered.get(key, |LoweredKey { ground, plates, by }| {
            Arc::new(Lowered::of(&ground.0, &plates.0, by, earlier.as_deref()))
        })
    }
}

impl Lowering {
    /// How far a face is lowered, metres.
    fn by_m(&self, tag: Tag) -> f64 {
        match self {
            Self::Alike(depth_m) => *depth_m,
            Self::ToDug(layers) => layers.dug_m(tag),
        }
    }
}

impl Lowered {
    /// `earlier` is how the same plates lowered another ground by the same.
    fn of(ground: &Surface, plates: &Plates, by: &Lowering, earlier: Option<&Self>) -> Self {
        let to = to_rings(ground, &plates.rings);
        let by_m = |face: u32| by.by_m(ground.faces()[face as usize].tag);
        let before = ground.lowered(|face| match to[face as usize] {
            ToRings::Within => by_m(face),
            ToRings::Beyond | ToRings::Crossed => 0.0,
        });
        let is_crossed = |&face: &u32| to[face as usize] == ToRings::Crossed;
        let crossed: Vec<u32> = (0..to.len() as u32).filter(is_crossed).collect();
        let Some(region) = plates.surface.as_ref().filter(|_| !crossed.is_empty()) else {
            let ground = Arc::new(before.clone());
            return Self { before, ground, to, parted_m2: Vec::new(), trace: None };
        };
        let again = earlier.and_then(|earlier| {
            let again = earlier.trace.as_ref()?.again(region, &earlier.before, &before)?;
            Some((again.surface, earlier.parted_m2.clone(), again.trace))
        });
        let (surface, parted_m2, trace) = again.unwrap_or_else(|| {
            let lowered = ground.lowered(by_m);
            let cutting = Cutting { ground: &before, lowered: &lowered, region, crossed: &crossed };
            let cut = cutting.cut();
            (cut.surface, cut.within_m2, cut.trace)
        });
        Self { before, ground: Arc::new(surface), to, parted_m2, trace: Some(trace) }
    }

    /// Plan area of what was lowered of the faces whose makers are named, square metres; `ground` is
    /// what was lowered.
    pub(crate) fn area_m2(&self, ground: &Surface, is_named: impl Fn(Tag) -> bool) -> f64 {
        let named = |face: u32| is_named(ground.faces()[face as usize].tag);
        let within = |face: u32| self.to[face as usize] == ToRings::Within && named(face);
        let parted = self.parted_m2.iter().filter(|(tag, _)| is_named(*tag));
        areas_where(ground, within).plan_m2 + parted.map(|(_, area_m2)| area_m2).sum::<f64>()
    }
}

/// Where the plates lie says nothing.
const LEVEL_M: f64 = 0.0;

fn plate(lattice: Lattice, region: &[Vec<LatticePoint>]) -> Option<Surface> {
    let (outer, holes) = region.split_first()?;
    let terrain = Terrain {
        lattice,
        points: region.iter().flatten().map(|&p| (p, LEVEL_M)).collect(),
        boundary: Some(outer.clone()),
        voids: holes.to_vec(),
        ..Terrain::default()
    };
    build(&terrain).ok().map(|built| built.surface)
}
