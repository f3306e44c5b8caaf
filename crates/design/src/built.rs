//! What works made of existing ground, cell by cell: volumes, and the pieces that checks look at.

use std::sync::Arc;

use ground::Surface;
use ground::overlay::{Cell, CellVolumes, Corner, Pieces, Volumes};

/// What lies between existing and finished ground.
#[derive(Clone, Debug)]
pub(crate) struct BuiltCells {
    existing: Arc<Surface>,
    finished: Arc<Surface>,
    pieces: Pieces<Piece>,
}

/// One convex piece of finished ground over one face of existing ground.
#[derive(Clone, Debug)]
struct Piece {
    volumes: CellVolumes,
    /// Its edges in no order, where a work made it.
    edges: Arc<[CellEdge]>,
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
}

impl BuiltCells {
    /// The pieces between two surfaces; `earlier` ones are taken over where neither has changed.
    pub(crate) fn between(
        existing: &Arc<Surface>,
        finished: &Arc<Surface>,
        earlier: Option<&Self>,
    ) -> Self {
        let measure = |cell: &Cell<'_>| Piece::of(cell, existing, finished);
        let pieces = match earlier {
            None => Pieces::of(existing, finished, measure),
            Some(earlier) => {
                let known = [&*earlier.existing, &*earlier.finished];
                earlier.pieces.again(known, [existing, finished], measure)
            }
        };
        Self { existing: Arc::clone(existing), finished: Arc::clone(finished), pieces }
    }

    /// The earth between the two.
    pub(crate) fn volumes(&self) -> Volumes {
        let unchanged = |(face, _)| CellVolumes::unchanged(&self.finished, face);
        let unchanged = self.pieces.twins().map(unchanged);
        let changed = self.pieces.iter().map(|(_, _, piece)| piece.volumes);
        Volumes::sum(self.finished.lattice(), unchanged.chain(changed))
    }

    /// Every piece that a work made.
    pub(crate) fn iter(&self) -> impl Iterator<Item = BuiltCell<'_>> {
        (0..self.finished.faces().len() as u32).flat_map(|face| self.on(face))
    }

    /// The pieces of one face of finished ground; none where no work made it.
    pub(crate) fn on(&self, to_face: u32) -> impl Iterator<Item = BuiltCell<'_>> {
        let pieces = self.pieces.on(to_face).iter().filter(|(_, piece)| !piece.edges.is_empty());
        pieces.map(move |(from_face, piece)| BuiltCell {
            from_face: *from_face,
            to_face,
            edges: &piece.edges,
        })
    }
}

impl Piece {
    fn of(cell: &Cell<'_>, existing: &Surface, finished: &Surface) -> Self {
        let is_built = finished.faces()[cell.to_face as usize].tag.owner != 0;
        let (lattice, edges) = (existing.lattice(), if is_built { cell.edges } else { &[] });
        let ([x, y], step_m) = (lattice.metres(cell.anchor), lattice.step_m());
        let place = |c: Corner| [x + c.x * step_m, y + c.y * step_m, c.rise_m];
        let edges = edges.iter().map(|edge| edge.map(place)).collect();
        Self { volumes: CellVolumes::of(cell), edges }
    }
}

impl BuiltCell<'_> {
    /// The greatest rise over existing ground, metres.
    pub(crate) fn highest_m(&self) -> f64 {
        self.edges.iter().map(|e| e[0][2]).fold(f64::NEG_INFINITY, f64::max)
    }

    /// Plan area, square metres.
    pub(crate) fn area_m2(&self) -> f64 {
        let Some(&[[ox, oy, _], _]) = self.edges.first() else { return 0.0 };
        let twice = |[a, b]: &CellEdge| (a[0] - ox) * (b[1] - oy) - (a[1] - oy) * (b[0] - ox);
        0.5 * self.edges.iter().map(twice).sum::<f64>()
    }

    /// A place amid it.
    pub(crate) fn middle(&self) -> [f64; 2] {
        let n = self.edges.len().max(1) as f64;
        [0, 1].map(|k| self.edges.iter().map(|e| e[0][k]).sum::<f64>() / n)
    }
}
