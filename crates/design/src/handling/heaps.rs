//! What waits on the site, and the heaps that it makes in the places drawn for them.

use site::earth::Heaped;
use site::{Site, Stockpile};
use takeoff::{Heap, Room, greatest_heap, stockpile};
use units::{Loose, Slope};

use super::{Soils, places};
use crate::Evaluation;

/// What must wait on the site until it is used, loose, cubic metres.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Waiting {
    /// Topsoil: all that is stripped.
    pub topsoil_m3: f64,
    /// Subsoil, at most: what is dug in building order and placed only by a later work. What is left
    /// over is taken to leave as it is dug.
    pub subsoil_m3: f64,
    /// Of each, what the places for heaps do not take; all of it where none is drawn.
    pub without_room_m3: [f64; 2],
}

/// What one place for a heap takes.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct HeapOutcome {
    /// What it takes, loose, cubic metres.
    pub holds_m3: f64,
    /// What it could take at its slope and height, loose, cubic metres; its corners stay empty
    /// because a heap's ends are round.
    pub room_m3: f64,
    /// Height of the heap, metres; zero where nothing is heaped.
    pub height_m: f64,
    /// Ground that the heap covers, square metres.
    pub footprint_m2: f64,
    /// Middle of its room, local metres.
    pub at_m: [f64; 2],
}

/// What waits, before any of it has found room.
pub(super) fn waiting(site: &Site, evaluation: &Evaluation, soils: &Soils) -> Waiting {
    let topsoil_m3 = Soils::loose_m3(soils.topsoil, evaluation.earth.topsoil.strip_m3);
    let subsoil_m3 = Soils::loose_m3(soils.subsoil, most_waiting_m3(evaluation, soils));
    let mut waiting = Waiting { topsoil_m3, subsoil_m3, without_room_m3: [0.0; 2] };
    waiting.without_room_m3 = [Heaped::Topsoil, Heaped::Subsoil].map(|what| {
        let taken = heaps(site, waiting);
        let own = site.stockpiles.iter().zip(taken).filter(|(pile, _)| pile.holds == what);
        let left = waiting.of(what) - own.map(|(_, heap)| heap.holds_m3).sum::<f64>();
        if left > ROUNDING * waiting.of(what) { left } else { 0.0 }
    });
    waiting
}

/// What each place takes: those of one material are filled in the site's order.
pub(super) fn heaps(site: &Site, waiting: Waiting) -> Vec<HeapOutcome> {
    let mut left = waiting;
    let fill = |pile: &Stockpile| {
        let left_m3 = match pile.holds {
            Heaped::Topsoil => &mut left.topsoil_m3,
            Heaped::Subsoil => &mut left.subsoil_m3,
        };
        let heap = heaped(pile, *left_m3);
        *left_m3 -= heap.holds_m3;
        heap
    };
    site.stockpiles.iter().map(fill).collect()
}

/// A remainder below this share is rounding.
const ROUNDING: f64 = 1e-9;

/// The greatest amount of the bank that waits for a later work, cubic metres.
///
/// Work by work what is dug comes to what is there, and what is placed goes from it; of that only so
/// much waits as later works still place.
fn most_waiting_m3(evaluation: &Evaluation, soils: &Soils) -> f64 {
    let needs: Vec<f64> =
        evaluation.works.iter().map(|work| soils.bank_for_fill_m3(work.fill_m3)).collect();
    let (mut there_m3, mut most_m3) = (0.0_f64, 0.0_f64);
    for (rank, work) in evaluation.works.iter().enumerate() {
        there_m3 = (there_m3 + work.cut_m3 - needs[rank]).max(0.0);
        let to_come_m3: f64 = needs[rank + 1..].iter().sum();
        most_m3 = most_m3.max(there_m3.min(to_come_m3));
    }
    most_m3
}

/// The heap of `loose_m3` in a place, or as much of it as the place takes.
fn heaped(pile: &Stockpile, loose_m3: f64) -> HeapOutcome {
    let room = places::room(&pile.outline_m);
    let at_m = room.map_or_else(|| places::middle(&pile.outline_m), |room| room.middle_m);
    let none = HeapOutcome { holds_m3: 0.0, room_m3: 0.0, height_m: 0.0, footprint_m2: 0.0, at_m };
    let (Some(room), Ok(repose)) = (room, Slope::from_run_per_rise(pile.run_per_rise)) else {
        return none;
    };
    let room = Room { length_m: room.long_m, width_m: room.short_m, height_m: Some(pile.height_m) };
    let Ok(greatest) = greatest_heap(room, repose) else { return none };
    let room_m3 = greatest.volume().m3();
    let heap = match loose_m3 {
        m3 if m3 >= room_m3 => Some(greatest),
        m3 if m3 > 0.0 => stockpile(Loose::from_m3(m3), room, repose).ok(),
        _ => None,
    };
    HeapOutcome {
        holds_m3: loose_m3.clamp(0.0, room_m3),
        room_m3,
        height_m: heap.map_or(0.0, Heap::height_m),
        footprint_m2: heap.map_or(0.0, Heap::footprint_m2),
        at_m,
    }
}

impl Waiting {
    /// What waits of one material, loose, cubic metres.
    pub fn of(&self, what: Heaped) -> f64 {
        match what {
            Heaped::Topsoil => self.topsoil_m3,
            Heaped::Subsoil => self.subsoil_m3,
        }
    }
}
