//! Lowering a ground within regions of the plan, and what was found of that before.
//!
//! ```text
//!   ____________________            beyond       as it was
//!   \___/\___/\___|____/\__         crossed      cut along the ring, the inner piece laid lower
//!         |<- region ->|            within       lower, triangle by triangle
//! ```
//! Faces within are lowered as they are. Only those through which a ring runs are cut: their pieces
//! within the region are laid on the ground like a patch. Most edits change neither the rings nor the
//! faces that they cross, so that all of this is found again.

use std::sync::Arc;

use ground::overlay::{Domain, Keep, Rooted, Trace, compose};
use ground::query::{ToRings, areas_where, to_rings};
use ground::{Lattice, LatticePoint, Surface, Tag, Terrain, build};

use crate::AnswerKind;
use crate::memo::{ByIdentity, Memo, Tally};

/// Regions of the plan: each an outer ring, counter-clockwise, and its holes.
pub(crate) type Regions = Vec<Vec<Vec<LatticePoint>>>;

/// Level surfaces over regions, far below any ground: what is laid on them covers just those.
#[derive(Clone, Debug)]
pub(crate) struct Plates {
    rings: Vec<Vec<LatticePoint>>,
    surfaces: Vec<Arc<Surface>>,
}

/// A ground lowered within regions.
pub(crate) struct Lowered {
    pub(crate) ground: Arc<Surface>,
    to: Vec<ToRings>,
    /// What is left within of the faces through which a ring runs.
    pieces: Vec<Arc<Surface>>,
}

/// Plates, pieces and grounds found before.
#[derive(Debug)]
pub(crate) struct KeptPlates {
    plates: Memo<(Lattice, Regions), Arc<Plates>>,
    stripped: Memo<StrippedKey, (Arc<Surface>, f64)>,
    pieces: Memo<(ByIdentity<Surface>, Surface), Option<Arc<Surface>>>,
    laid: Memo<[ByIdentity<Surface>; 2], Arc<Laid>>,
}

/// What a stripped ground follows from.
#[derive(Clone, Debug, PartialEq)]
struct StrippedKey {
    existing: ByIdentity<Surface>,
    plates: ByIdentity<Plates>,
    strip_m: f64,
}

/// A piece laid on a ground.
#[derive(Debug)]
struct Laid {
    before: Arc<Surface>,
    after: Arc<Surface>,
    trace: Option<Trace>,
}

/// Regions of a large site, in a few evaluations.
const ROOM: usize = 16;

impl Default for KeptPlates {
    fn default() -> Self {
        Self {
            plates: Memo::with_room(ROOM),
            stripped: Memo::with_room(ROOM),
            pieces: Memo::with_room(ROOM),
            laid: Memo::with_room(ROOM),
        }
    }
}

impl KeptPlates {
    /// What was counted of each kind.
    pub(crate) fn tallies(&mut self) -> [(AnswerKind, &mut Tally); 3] {
        [
            (AnswerKind::Plate, self.plates.tally()),
            (AnswerKind::Piece, self.pieces.tally()),
            (AnswerKind::Lowered, self.laid.tally()),
        ]
    }

    /// The plates over some regions.
    pub(crate) fn plates(&mut self, lattice: Lattice, regions: Regions) -> Arc<Plates> {
        self.plates.get((lattice, regions), |(lattice, regions)| {
            let made = regions.iter().filter_map(|region| Some((region, plate(*lattice, region)?)));
            let (rings, surfaces): (Vec<_>, Vec<_>) = made.unzip();
            Arc::new(Plates { rings: rings.into_iter().flatten().cloned().collect(), surfaces })
        })
    }

    /// A ground without its topsoil within the plates, and the area of that in square metres.
    pub(crate) fn stripped(
        &mut self,
        existing: &Arc<Surface>,
        plates: &Arc<Plates>,
        strip_m: f64,
    ) -> (Arc<Surface>, f64) {
        let key = StrippedKey {
            existing: ByIdentity(Arc::clone(existing)),
            plates: ByIdentity(Arc::clone(plates)),
            strip_m,
        };
        if let Some(found) = self.stripped.find(&key) {
            return found;
        }
        let taken = self.lowered_within(existing, plates, |_| strip_m);
        let found = (Arc::clone(&taken.ground), taken.area_m2(existing, |_| true));
        self.stripped.put(key, found.clone());
        found
    }

    /// A ground lower within the plates, each face by what its maker says, metres.
    pub(crate) fn lowered_within(
        &mut self,
        ground: &Arc<Surface>,
        plates: &Plates,
        by_m: impl Fn(Tag) -> f64,
    ) -> Lowered {
        let to = to_rings(ground, &plates.rings);
        let within_m = |face: u32| match to[face as usize] {
            ToRings::Within => by_m(ground.faces()[face as usize].tag),
            ToRings::Beyond | ToRings::Crossed => 0.0,
        };
        let mut lowered =
            Lowered { ground: Arc::new(ground.lowered(within_m)), to, pieces: vec![] };
        let is_crossed = |face: u32| lowered.to[face as usize] == ToRings::Crossed;
        let Some(crossed) = ground.part(is_crossed) else { return lowered };
        let crossed = crossed.lowered(|face| by_m(crossed.faces()[face as usize].tag));
        for plate in &plates.surfaces {
            let key = (ByIdentity(Arc::clone(plate)), crossed.clone());
            let piece = self.pieces.get(key, |(plate, crossed)| piece(&plate.0, crossed));
            if let Some(piece) = piece {
                lowered.ground = self.laid(&lowered.ground, &piece);
                lowered.pieces.push(piece);
            }
        }
        lowered
    }

    /// The ground with a piece laid into it.
    fn laid(&mut self, ground: &Arc<Surface>, piece: &Arc<Surface>) -> Arc<Surface> {
        let key = [ground, piece].map(|surface| ByIdentity(Arc::clone(surface)));
        let earlier = self.laid.latest(|known| known[1] == key[1]).map(Arc::clone);
        let laid = self.laid.get(key, |[ground, piece]| {
            let again = earlier.as_ref().and_then(|earlier| {
                earlier.trace.as_ref()?.again(&piece.0, &earlier.before, &ground.0)
            });
            let (after, trace) = match again {
                Some(again) => (again.surface, Some(again.trace)),
                None => lay(&ground.0, &piece.0),
            };
            Arc::new(Laid { before: Arc::clone(&ground.0), after: Arc::new(after), trace })
        });
        Arc::clone(&laid.after)
    }
}

impl Lowered {
    /// Plan area of what was lowered of the faces whose makers are named, square metres; `ground` is
    /// what was lowered.
    pub(crate) fn area_m2(&self, ground: &Surface, is_named: impl Fn(Tag) -> bool) -> f64 {
        let named = |surface: &Surface, face: u32| is_named(surface.faces()[face as usize].tag);
        let within = |face: u32| self.to[face as usize] == ToRings::Within && named(ground, face);
        let cut = |piece: &Arc<Surface>| areas_where(piece, |face| named(piece, face)).plan_m2;
        areas_where(ground, within).plan_m2 + self.pieces.iter().map(cut).sum::<f64>()
    }
}

/// Far below any ground.
const NOWHERE_M: f64 = -1e5;

/// What a plate's faces carry: no work has this number.
const PLATE: Tag = Tag { owner: u32::MAX, part: 0 };

fn plate(lattice: Lattice, region: &[Vec<LatticePoint>]) -> Option<Arc<Surface>> {
    let (outer, holes) = region.split_first()?;
    let terrain = Terrain {
        lattice,
        points: region.iter().flatten().map(|&p| (p, NOWHERE_M)).collect(),
        boundary: Some(outer.clone()),
        voids: holes.to_vec(),
        tag: PLATE,
        ..Terrain::default()
    };
    build(&terrain).ok().map(|built| Arc::new(built.surface))
}

/// What lies of some faces within a plate; none where none does.
fn piece(plate: &Surface, faces: &Surface) -> Option<Arc<Surface>> {
    let (keep, rooted) = (Keep::Highest, Rooted::Anywhere);
    let laid = compose(plate, faces, keep, Domain::Ground, rooted).surface;
    laid.part(|face| laid.faces()[face as usize].tag != PLATE).map(Arc::new)
}

/// Lays a piece into the ground where it is lower. All of it is a root, so that a trace is left.
fn lay(ground: &Surface, piece: &Surface) -> (Surface, Option<Trace>) {
    let mut parts: Vec<u32> = piece.faces().iter().map(|face| face.tag.part).collect();
    parts.sort_unstable();
    parts.dedup();
    let laid = compose(ground, piece, Keep::Lowest, Domain::Ground, Rooted::Parts(&parts));
    (laid.surface, laid.trace)
}
