//! How far long work has come, and whether to go on.

use std::ops::ControlFlow;

/// How far long work has come.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Progress {
    /// What is being done: "reading points".
    pub what: &'static str,
    /// How much of it is done.
    pub done: u64,
    /// Of how much.
    pub of: u64,
}

/// Is told of progress, and answers whether to go on.
pub type Watch<'a> = dyn FnMut(Progress) -> ControlFlow<()> + 'a;

/// The user called the work off.
#[derive(Clone, Copy, Debug, PartialEq, Eq, thiserror::Error)]
#[error("called off while {what}")]
pub struct CalledOff {
    /// What was being done.
    pub what: &'static str,
}

/// Goes on to the end, and tells nobody.
pub fn unwatched(_: Progress) -> ControlFlow<()> {
    ControlFlow::Continue(())
}

/// Tells of progress.
pub(crate) fn tell(
    watch: &mut Watch<'_>,
    what: &'static str,
    done: usize,
    of: usize,
) -> Result<(), CalledOff> {
    match watch(Progress { what, done: done as u64, of: of as u64 }) {
        ControlFlow::Continue(()) => Ok(()),
        ControlFlow::Break(()) => Err(CalledOff { what }),
    }
}
