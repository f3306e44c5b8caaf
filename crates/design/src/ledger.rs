//! The earth that each work moves, cell by cell.

use std::sync::Arc;

use ground::overlay::{Cell, CellVolumes, Pieces, Volumes};
use ground::{Plane, Surface};

use crate::built::shifted;
use crate::earth::no_less_than_nothing;
use crate::layers::Layers;
use crate::recut::{self, Recut};

/// Cut, fill and recut of one work, cubic metres.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub(crate) struct Moved {
    pub(crate) cut_m3: f64,
    pub(crate) fill_m3: f64,
    pub(crate) recut_m3: f64,
}

/// What a work moves from the ground before it to the ground after it, cell by cell.
#[derive(Clone, Debug)]
pub(crate) struct Ledger {
    before: Arc<Surface>,
    after: Arc<Surface>,
    cells: Pieces<Entry>,
}

/// What a work moves in one cell.
#[derive(Clone, Debug)]
struct Entry {
    volumes: CellVolumes,
    /// Who made the ground that it finds.
    maker: Maker,
    recut: Recut,
}

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Maker {
    Nature,
    Work,
}

impl Ledger {
    /// What a work moves of the subsoil, below all that lies on each face; `earlier` entries, of a
    /// ground that descends from the same existing one and carries the same, are taken over where they
    /// stand.
    pub(crate) fn of(
        existing: &Surface,
        [before, after]: [&Arc<Surface>; 2],
        layers: &Layers,
        earlier: Option<&Self>,
    ) -> Self {
        let entry = |cell: &Cell<'_>| Entry::of(cell, [before, after], layers);
        let mut cells = match earlier {
            None => Pieces::of(before, after, entry),
            Some(earlier) => {
                earlier.cells.again([&earlier.before, &earlier.after], [before, after], entry)
            }
        };
        recut::settle(existing, layers.strip_m, cells.values_mut().map(|entry| &mut entry.recut));
        Self { before: Arc::clone(before), after: Arc::clone(after), cells }
    }

    /// The sums.
    pub(crate) fn moved(&self) -> Moved {
        let lattice = self.before.lattice();
        let entries = || self.cells.iter().map(|(_, _, entry)| entry);
        let [native, made] = [Maker::Nature, Maker::Work].map(|maker| {
            let of_maker = entries().filter(|entry| entry.maker == maker);
            Volumes::sum(lattice, of_maker.map(|entry| entry.volumes))
        });
        let recuts = || entries().map(|entry| &entry.recut);
        let recut_m3 = if made.cut_m3 > 0.0 { recut::volume_m3(lattice, recuts()) } else { 0.0 };
        let recut_m3 = no_less_than_nothing(recut_m3);
        let (cut_m3, fill_m3) = (native.cut_m3 + made.cut_m3, native.fill_m3 + made.fill_m3);
        Moved { cut_m3, fill_m3, recut_m3 }
    }
}

impl Entry {
    fn of(cell: &Cell<'_>, [before, after]: [&Surface; 2], layers: &Layers) -> Self {
        let tag = before.faces()[cell.from_face as usize].tag;
        let maker = if tag.owner == 0 { Maker::Nature } else { Maker::Work };
        let from_m = layers.dug_m(tag);
        let to_m = layers.dug_m(after.faces()[cell.to_face as usize].tag);
        let plane = before.plane(cell.from_face);
        let before = Plane { z: plane.z - from_m, ..plane };
        shifted(cell, from_m - to_m, |cell| {
            let recut = match maker {
                Maker::Work => Recut::of(cell, before),
                Maker::Nature => Recut::default(),
            };
            Self { volumes: CellVolumes::of(cell), maker, recut }
        })
    }
}
