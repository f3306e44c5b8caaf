//! Two things at once, where an evaluation may take a thread beside the caller's.

use std::sync::Mutex;
use std::thread::{Builder, scope};

/// How many threads an evaluation runs on. What it yields is the same bytes.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Hash)]
pub enum Threads {
    /// The caller's alone.
    #[default]
    One,
    /// One beside the caller's, for as long as there is something to do on it.
    Two,
}

/// Something to do once, by whoever comes first.
pub(crate) struct Waiting<F>(Mutex<Option<F>>);

impl Threads {
    /// Does both things: one of them beside the caller's thread, where that is allowed, there is a
    /// thread and it is quicker than the caller.
    pub(crate) fn both<A: Send, B>(
        self,
        beside: impl FnOnce() -> A + Send,
        here: impl FnOnce() -> B,
    ) -> (A, B) {
        if self == Self::One {
            return (beside(), here());
        }
        // On a busy machine a thread may come late.
        let waiting = Waiting::new(beside);
        scope(|scope| {
            let helper = Builder::new().spawn_scoped(scope, || waiting.take());
            let done_here = here();
            let done_beside = waiting.take().or_else(|| match helper.ok()?.join() {
                Ok(done) => done,
                Err(panic) => std::panic::resume_unwind(panic),
            });
            match done_beside {
                Some(done) => (done, done_here),
                None => unreachable!("what waits is taken once, here or there"),
            }
        })
    }
}

impl<F> Waiting<F> {
    /// Nobody has come yet.
    pub(crate) fn new(what: F) -> Self {
        Self(Mutex::new(Some(what)))
    }

    /// What comes of doing it; none where it was taken before.
    pub(crate) fn take<A>(&self) -> Option<A>
    where
        F: FnOnce() -> A,
    {
        let what = self.0.lock().ok()?.take()?;
        Some(what())
    }
}

#[cfg(test)]
mod tests {
    use super::Threads;

    #[test]
    fn both_are_done_whoever_does_them() {
        for threads in [Threads::One, Threads::Two] {
            let mut seen = Vec::new();
            let done = threads.both(|| 3, || seen.push(4));
            assert_eq!((done, seen), ((3, ()), vec![4]));
        }
    }

    #[test]
    fn what_panics_beside_panics_here() {
        let fails = || {
            let started = std::sync::Barrier::new(2);
            let beside = || {
                started.wait();
                panic!("beside")
            };
            Threads::Two.both(beside, || started.wait()).0
        };
        assert!(std::panic::catch_unwind(fails).is_err());
    }
}
