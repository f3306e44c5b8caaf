//! What each part of a scene took to compose.

use std::time::Instant;

/// Times of parts made one after another, milliseconds.
#[derive(Clone, Debug)]
pub(crate) struct Laps {
    last: Instant,
    /// The parts by name, in the order they were made.
    pub parts_ms: Vec<(&'static str, f64)>,
}

impl Default for Laps {
    fn default() -> Self {
        Self { last: Instant::now(), parts_ms: Vec::new() }
    }
}

impl Laps {
    /// Ends a part: what follows is another's.
    pub(crate) fn end(&mut self, part: &'static str) {
        let now = Instant::now();
        self.parts_ms.push((part, (now - self.last).as_secs_f64() * 1e3));
        self.last = now;
    }
}
