//! Streams, circuits and ponds as they ran, kept between evaluations.
//!
//! Each is a pure answer of `water` and is found again by all that it follows from: an edit of a shelf
//! changes neither a stream's bed nor the pipes, one of a hill not how the pond goes round. Dropping it
//! changes only the time that running water takes.

use std::sync::{Mutex, PoisonError};

use ::water::{
    Circuit, CircuitError, CircuitFlow, Circulation, CirculationError, Drawn, Enters, FrictionLaw,
    PondGrid, Stream, StreamError, StreamProfile, Water, circulate,
};

use crate::memo::Memo;

/// What ran before.
#[derive(Debug)]
pub(crate) struct KeptRuns {
    streams: Kept<(Stream, ::water::Running), Result<StreamProfile, StreamError>>,
    circuits: Kept<Circuit, Result<CircuitFlow, CircuitError>>,
    ponds: Kept<Pond, Result<Circulation, CirculationError>>,
}

/// A pond with what enters it and what is drawn from it.
type Pond = (PondGrid, Vec<Enters>, Vec<Drawn>);

/// Answers that two threads may ask for.
type Kept<K, V> = Mutex<Memo<K, V>>;

/// Streams and pumps of a large site at the levels that they are tried at, and those before.
const ROOM: usize = 64;
/// Ponds, with what is tried in them.
const ROOM_FOR_PONDS: usize = 8;

impl Default for KeptRuns {
    fn default() -> Self {
        Self {
            streams: Mutex::new(Memo::with_room(ROOM)),
            circuits: Mutex::new(Memo::with_room(ROOM)),
            ponds: Mutex::new(Memo::with_room(ROOM_FOR_PONDS)),
        }
    }
}

impl KeptRuns {
    /// [`Stream::run`].
    pub(super) fn stream(
        &self,
        stream: Stream,
        running: ::water::Running,
    ) -> Result<StreamProfile, StreamError> {
        ask(&self.streams, (stream, running), |(stream, running)| stream.run(*running))
    }

    /// [`Circuit::run`] with cool water.
    pub(super) fn circuit(&self, circuit: Circuit) -> Result<CircuitFlow, CircuitError> {
        let run = |circuit: &Circuit| circuit.run(FrictionLaw::DarcyWeisbach(Water::COOL));
        ask(&self.circuits, circuit, run)
    }

    /// [`circulate`].
    pub(super) fn pond(
        &self,
        grid: PondGrid,
        enters: Vec<Enters>,
        drawn: Vec<Drawn>,
    ) -> Result<Circulation, CirculationError> {
        ask(&self.ponds, (grid, enters, drawn), |(grid, enters, drawn)| {
            circulate(grid, enters, drawn)
        })
    }
}

fn ask<K: PartialEq, V: Clone>(kept: &Kept<K, V>, key: K, answer: impl FnOnce(&K) -> V) -> V {
    // Answers are put in whole, so that a panic elsewhere leaves them sound.
    kept.lock().unwrap_or_else(PoisonError::into_inner).get(key, answer)
}
