//! Answers kept by the content of their questions, and how often that served.

use crate::work_done::Clock;

/// Keeps the latest answers to questions that compare equal.
///
/// Dropping it changes only the time that answers take.
#[derive(Debug)]
pub(crate) struct Memo<K, V> {
    /// The latest asked last.
    kept: Vec<(K, V)>,
    room: usize,
    tally: Tally,
}

/// How often answers were found again and made anew, and what making them took.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Tally {
    pub(crate) found_again: u32,
    pub(crate) made_anew: u32,
    pub(crate) seconds: f64,
    clock: Clock,
}

impl Default for Tally {
    fn default() -> Self {
        // Without a clock no time passes.
        Self { found_again: 0, made_anew: 0, seconds: 0.0, clock: || 0.0 }
    }
}

impl Tally {
    /// The same clock, and nothing counted.
    pub(crate) fn begin(&mut self) {
        *self = Self { clock: self.clock, ..Self::default() };
    }

    /// The clock that is read from now on.
    pub(crate) fn set_clock(&mut self, clock: Clock) {
        self.clock = clock;
    }

    /// Counts what `make` makes anew.
    pub(crate) fn make<T>(&mut self, make: impl FnOnce() -> T) -> T {
        let start = (self.clock)();
        let made = make();
        self.made_anew += 1;
        self.seconds += (self.clock)() - start;
        made
    }
}

impl<K: PartialEq, V: Clone> Memo<K, V> {
    /// A memo with room for this many answers.
    pub(crate) fn with_room(room: usize) -> Self {
        Self { kept: Vec::new(), room, tally: Tally::default() }
    }

    /// What was counted.
    pub(crate) fn tally(&mut self) -> &mut Tally {
        &mut self.tally
    }

    /// The answer given last to a question like another.
    pub(crate) fn latest(&self, is_like: impl Fn(&K) -> bool) -> Option<&V> {
        self.kept.iter().rev().find(|(key, _)| is_like(key)).map(|(_, answer)| answer)
    }

    /// The answer to `key`, found by `answer` when it isn't kept.
    pub(crate) fn get(&mut self, key: K, answer: impl FnOnce(&K) -> V) -> V {
        if let Some(found) = self.find(&key) {
            return found;
        }
        let value = self.tally.make(|| answer(&key));
        self.put(key, value.clone());
        value
    }

    /// The answer to `key` where it is kept.
    pub(crate) fn find(&mut self, key: &K) -> Option<V> {
        let at = self.kept.iter().rposition(|(kept, _)| kept == key)?;
        let found = self.kept.remove(at);
        let value = found.1.clone();
        self.kept.push(found);
        self.tally.found_again += 1;
        Some(value)
    }

    /// Keeps an answer that was not kept.
    pub(crate) fn put(&mut self, key: K, value: V) {
        if self.kept.len() == self.room {
            self.kept.remove(0);
        }
        self.kept.push((key, value));
    }
}

/// Compares shared values by identity: the same allocation is the same content.
///
/// The pair holds the value alive, so that its address is not used again while it is a key.
#[derive(Clone, Debug)]
pub(crate) struct ByIdentity<T>(pub(crate) std::sync::Arc<T>);

impl<T> PartialEq for ByIdentity<T> {
    fn eq(&self, other: &Self) -> bool {
        std::sync::Arc::ptr_eq(&self.0, &other.0)
    }
}

#[cfg(test)]
mod tests {
    use super::Memo;

    #[test]
    fn an_answer_is_found_once_and_the_oldest_makes_room() {
        let (mut memo, mut n_asked) = (Memo::with_room(2), 0);
        for key in [1, 2, 1, 3, 1, 2] {
            let answer = memo.get(key, |&key| {
                n_asked += 1;
                10 * key
            });
            assert_eq!(answer, 10 * key);
        }
        assert_eq!(n_asked, 4);
    }

    #[test]
    fn what_is_no_number_is_never_found_again() {
        let (mut memo, mut n_asked) = (Memo::with_room(4), 0);
        for _ in 0..3 {
            memo.get(f64::NAN, |_| n_asked += 1);
        }
        assert_eq!(n_asked, 3);
    }
}
