//! What is being done, on a terminal; nothing where the output is piped.

use std::time::Duration;

use indicatif::ProgressBar;

/// Does `work` while a terminal shows `what`.
pub(crate) fn during<T>(what: &str, work: impl FnOnce() -> T) -> T {
    // The bar hides itself where standard error is no terminal.
    let bar = ProgressBar::new_spinner().with_message(what.to_owned());
    bar.enable_steady_tick(Duration::from_millis(120));
    let done = work();
    bar.finish_and_clear();
    done
}
