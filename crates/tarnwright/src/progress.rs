//! What is being done, on a terminal, and how far it has come; nothing where the output is piped.
//!
//! Once [`heed`] is called, the first Ctrl-C ends what is watched as if it had failed, so that nothing
//! stays half done; the second ends the program at once.

use std::ops::ControlFlow;
use std::sync::atomic::{AtomicBool, Ordering};
use std::time::Duration;

use anyhow::bail;
use exchange::watch::{Progress, Watch};
use indicatif::{ProgressBar, ProgressStyle};

/// Exit status of a program that the user has called off: 128 and the number of the signal.
pub(crate) const CALLED_OFF: u8 = 130;

/// Whether the user has called the work off.
static IS_CALLED_OFF: AtomicBool = AtomicBool::new(false);

/// Listens for Ctrl-C from here on.
pub(crate) fn heed() {
    let on_signal = || {
        if IS_CALLED_OFF.swap(true, Ordering::SeqCst) {
            std::process::exit(i32::from(CALLED_OFF));
        }
    };
    // Where nothing can listen, Ctrl-C ends the program as it always did.
    let _ = ctrlc::set_handler(on_signal);
}

/// Whether the user has called the work off.
pub(crate) fn is_called_off() -> bool {
    IS_CALLED_OFF.load(Ordering::SeqCst)
}

/// Goes on only while the user has not called the work off.
pub(crate) fn go_on() -> anyhow::Result<()> {
    if is_called_off() {
        bail!("called off: nothing is written");
    }
    Ok(())
}

/// Does `work` while a terminal shows `what`.
pub(crate) fn during<T>(what: &str, work: impl FnOnce() -> T) -> T {
    // The bar hides itself where standard error is no terminal.
    let bar = ProgressBar::new_spinner().with_message(what.to_owned());
    bar.enable_steady_tick(Duration::from_millis(120));
    let done = work();
    bar.finish_and_clear();
    done
}

/// Does `work`, which tells how far it has come, while a terminal shows `what` and that; answers
/// the watcher that the user has called it off, once he has.
pub(crate) fn watched<T>(what: &str, work: impl FnOnce(&mut Watch<'_>) -> T) -> T {
    let bar = ProgressBar::new(0).with_message(what.to_owned());
    if let Ok(style) = ProgressStyle::with_template("{msg}: {prefix} {wide_bar} {percent}%") {
        bar.set_style(style);
    }
    bar.enable_steady_tick(Duration::from_millis(120));
    let mut shown = |progress: Progress| {
        bar.set_prefix(progress.what);
        bar.set_length(progress.of);
        bar.set_position(progress.done);
        if is_called_off() { ControlFlow::Break(()) } else { ControlFlow::Continue(()) }
    };
    let done = work(&mut shown);
    bar.finish_and_clear();
    done
}
