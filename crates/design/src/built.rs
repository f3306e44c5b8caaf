//! What works made of existing ground, cell by cell: volumes, and the pieces that checks look at.

use std::sync::Arc;

use ground::overlay::{Cell, CellVolumes, Corner, Pieces, Volumes};
use ground::{Surface, Total};

use crate::layers::Layers;

/// What lies between existing and finished ground.
///
/// The grounds between lie below these by what lies on each face, so all earth is measured in the very
/// cells that existing and finished ground share.
#[derive(Clone, Debug)]
pub(crate) struct BuiltCells {
    existing: Arc<Surface>,
    finished: Arc<Surface>,
    pieces: Pieces<Arc<Piece>>,
    /// The boxes around what works made of so many faces of finished ground each: those that follow
    /// one another mostly lie together.
    groups: Vec<Bounds>,
    /// The greatest rise of each face of finished ground over existing ground, metres; minus infinity
    /// where no work made it.
    highest_m: Vec<f64>,
    /// The earth between stripped ground and subgrade.
    volumes: Volumes,
    /// How deep works dig below existing ground, metres, and what they dig in each lift, cubic metres.
    lifts: (f64, Vec<f64>),
}

/// Faces in a group.
const GROUP: usize = 64;

/// A box on plan, metres.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Bounds {
    low: [f64; 2],
    high: [f64; 2],
}

/// What is measured in the cells.
#[derive(Clone, Debug, Default, PartialEq)]
pub(crate) struct Measure {
    /// What lies on the grounds.
    pub(crate) layers: Layers,
    /// Height of one lift, metres; zero where none is asked for.
    pub(crate) lift_m: f64,
}

/// One convex piece of finished ground over one face of existing ground.
#[derive(Debug)]
struct Piece {
    /// Between stripped ground and subgrade.
    volumes: CellVolumes,
    /// How deep the subgrade lies below existing ground, metres.
    deepest_m: f64,
    /// Cut in each lift below existing ground, as deep as there is any, square steps times metres.
    lifts: Vec<f64>,
    /// Its edges in no order, where a work made it.
    edges: Vec<CellEdge>,
    /// Its greatest rise over existing ground, metres, and its plan area, square metres.
    highest_m: f64,
    area_m2: f64,
    bounds: Bounds,
}

/// An edge of a piece: both ends as places east and north in metres, and the rise.
pub(crate) type CellEdge = [[f64; 3]; 2];

/// A convex piece of finished ground that a work made, over one face of existing ground.
#[derive(Clone, Copy, Debug)]
pub(crate) struct BuiltCell<'c> {
    /// The face of existing ground.
    pub(crate) from_face: u32,
    /// The face of finished ground.
    pub(crate) to_face: u32,
    /// Its edges in no order.
    pub(crate) edges: &'c [CellEdge],
    /// Its greatest rise over existing ground, metres.
    pub(crate) highest_m: f64,
    /// Plan area, square metres.
    pub(crate) area_m2: f64,
}

/// More lifts than a garden has.
pub(crate) const MOST_LIFTS: u32 = 1000;

impl BuiltCells {
    /// The pieces between two surfaces; `earlier` ones, of the same measure, are taken over where
    /// neither surface has changed.
    pub(crate) fn between(
        existing: &Arc<Surface>,
        finished: &Arc<Surface>,
        measure: &Measure,
        earlier: Option<&Self>,
    ) -> Self {
        let piece = |cell: &Cell<'_>| Arc::new(Piece::of(cell, [existing, finished], measure));
        let pieces = match earlier {
            None => Pieces::of(existing, finished, piece),
            Some(earlier) => {
                let known = [&*earlier.existing, &*earlier.finished];
                earlier.pieces.again(known, [existing, finished], piece)
            }
        };
        let (existing, finished) = (Arc::clone(existing), Arc::clone(finished));
        let mut groups = vec![Bounds::NONE; finished.faces().len().div_ceil(GROUP)];
        let mut highest_m = vec![f64::NEG_INFINITY; finished.faces().len()];
        let (mut deepest_m, mut lifts) = (0.0_f64, Vec::<Total>::new());
        // The pieces lie far apart in memory: each is visited once.
        let changed = pieces.iter().map(|(face, _, piece)| {
            let (face, group) = (face as usize, &mut groups[face as usize / GROUP]);
            *group = group.around(&piece.bounds);
            highest_m[face] = highest_m[face].max(piece.highest_m);
            deepest_m = deepest_m.max(piece.deepest_m);
            lifts.resize(lifts.len().max(piece.lifts.len()), Total::default());
            lifts.iter_mut().zip(&piece.lifts).for_each(|(sum, &dug)| sum.add(dug));
            piece.volumes
        });
        let unchanged = pieces.twins().map(|(face, _)| CellVolumes::unchanged(&finished, face));
        let volumes = Volumes::sum(finished.lattice(), unchanged.chain(changed));
        let step_m = finished.lattice().step_m();
        let lifts = lifts.iter().map(|sum| sum.value() * step_m * step_m).collect();
        let lifts = (deepest_m, lifts);
        Self { existing, finished, pieces, groups, highest_m, volumes, lifts }
    }

    /// The earth between stripped ground and subgrade.
    pub(crate) fn volumes(&self) -> Volumes {
        self.volumes
    }

    /// How deep works dig below existing ground, metres, and what they dig in each lift, cubic metres.
    pub(crate) fn lifts(&self) -> (f64, Vec<f64>) {
        self.lifts.clone()
    }

    /// The greatest rise of each face of finished ground over existing ground, metres; minus infinity
    /// where no work made it.
    pub(crate) fn highest_m(&self) -> &[f64] {
        &self.highest_m
    }

    /// Every piece that a work made.
    pub(crate) fn iter(&self) -> impl Iterator<Item = BuiltCell<'_>> {
        (0..self.finished.faces().len() as u32).flat_map(|face| self.on(face))
    }

    /// The pieces of one face of finished ground; none where no work made it.
    pub(crate) fn on(&self, to_face: u32) -> impl Iterator<Item = BuiltCell<'_>> {
        self.on_where(to_face, |_| true)
    }

    /// The pieces whose boxes meet a box, as [`Self::iter`] gives them.
    pub(crate) fn meeting(&self, bounds: Bounds) -> impl Iterator<Item = BuiltCell<'_>> {
        let n_faces = self.finished.faces().len();
        let groups = self.groups.iter().enumerate().filter(move |(_, group)| group.meet(&bounds));
        groups
            .flat_map(move |(i, _)| i * GROUP..((i + 1) * GROUP).min(n_faces))
            .flat_map(move |face| self.on_where(face as u32, move |of| of.meet(&bounds)))
    }

    fn on_where(
        &self,
        to_face: u32,
        wanted: impl Fn(&Bounds) -> bool,
    ) -> impl Iterator<Item = BuiltCell<'_>> {
        let is_built = move |piece: &Piece| !piece.edges.is_empty() && wanted(&piece.bounds);
        let pieces = self.pieces.on(to_face).iter().filter(move |(_, piece)| is_built(piece));
        pieces.map(move |(from_face, piece)| BuiltCell {
            from_face: *from_face,
            to_face,
            edges: &piece.edges,
            highest_m: piece.highest_m,
            area_m2: piece.area_m2,
        })
    }
}

impl Bounds {
    /// Around nothing.
    const NONE: Self = Self { low: [f64::INFINITY; 2], high: [f64::NEG_INFINITY; 2] };

    /// Around some places.
    pub(crate) fn of(places: impl Iterator<Item = [f64; 2]>) -> Self {
        places.fold(Self::NONE, |all, place| all.around(&Self { low: place, high: place }))
    }

    fn around(&self, other: &Self) -> Self {
        Self {
            low: [0, 1].map(|k| self.low[k].min(other.low[k])),
            high: [0, 1].map(|k| self.high[k].max(other.high[k])),
        }
    }

    fn meet(&self, other: &Self) -> bool {
        (0..2).all(|k| self.low[k] <= other.high[k] && other.low[k] <= self.high[k])
    }
}

impl Piece {
    fn of(cell: &Cell<'_>, [existing, finished]: [&Surface; 2], measure: &Measure) -> Self {
        let tag = finished.faces()[cell.to_face as usize].tag;
        let is_built = tag.owner != 0;
        let (layers, dug_m) = (&measure.layers, measure.layers.dug_m(tag));
        let volumes = shifted(cell, layers.strip_m - dug_m, CellVolumes::of);
        // Where no work is, existing ground is stripped as far as the margin reaches.
        let (deepest_m, lifts) = if is_built && measure.lift_m > 0.0 {
            shifted(cell, -dug_m, |cell| {
                let lifts = cell.slices(lift_depths_m(measure.lift_m));
                (CellVolumes::of(cell).deepest_m(), lifts)
            })
        } else {
            (0.0, Vec::new())
        };
        let (lattice, edges) = (existing.lattice(), if is_built { cell.edges } else { &[] });
        let ([x, y], step_m) = (lattice.metres(cell.anchor), lattice.step_m());
        let place = |c: Corner| [x + c.x * step_m, y + c.y * step_m, c.rise_m];
        let edges: Vec<CellEdge> = edges.iter().map(|edge| edge.map(place)).collect();
        let highest_m = edges.iter().map(|e| e[0][2]).fold(f64::NEG_INFINITY, f64::max);
        let area_m2 = area_m2(&edges);
        let bounds = Bounds::of(edges.iter().map(|edge| [edge[0][0], edge[0][1]]));
        Self { volumes, deepest_m, lifts, edges, highest_m, area_m2, bounds }
    }
}

/// Plan area within the edges of a piece, square metres.
fn area_m2(edges: &[CellEdge]) -> f64 {
    let Some(&[[ox, oy, _], _]) = edges.first() else { return 0.0 };
    let twice = |[a, b]: &CellEdge| (a[0] - ox) * (b[1] - oy) - (a[1] - oy) * (b[0] - ox);
    0.5 * edges.iter().map(twice).sum::<f64>()
}

/// Depths that bound the lifts, from zero to beyond the deepest.
pub(crate) fn lift_depths_m(lift_m: f64) -> impl Iterator<Item = f64> {
    (0..MOST_LIFTS).map(move |i| f64::from(i) * lift_m).chain([f64::INFINITY])
}

/// What is measured in a cell whose change is greater by so many metres.
pub(crate) fn shifted<T>(cell: &Cell<'_>, by_m: f64, measure: impl FnOnce(&Cell<'_>) -> T) -> T {
    let mut edges = [[Corner::default(); 2]; 6];
    let raise = |corner: Corner| Corner { rise_m: corner.rise_m + by_m, ..corner };
    edges.iter_mut().zip(cell.edges).for_each(|(slot, edge)| *slot = edge.map(raise));
    measure(&Cell { edges: &edges[..cell.edges.len()], ..*cell })
}

impl BuiltCell<'_> {
    /// A place amid it.
    pub(crate) fn middle(&self) -> [f64; 2] {
        let n = self.edges.len().max(1) as f64;
        [0, 1].map(|k| self.edges.iter().map(|e| e[0][k]).sum::<f64>() / n)
    }
}
