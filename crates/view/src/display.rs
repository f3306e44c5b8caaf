//! Whether there is a screen and a graphics driver, asked before anything relies on them.

use std::sync::mpsc::channel;
use std::time::{Duration, Instant};

use bevy::tasks::block_on;
use x11rb::errors::ConnectError;
use x11rb::rust_connection::RustConnection;

use crate::ViewError;

/// Longest wait for a display to say yes or no.
const PATIENCE: Duration = Duration::from_secs(5);

/// Pause before a display that hung up, as one does that is just starting, is asked again.
const PAUSE: Duration = Duration::from_millis(200);

/// A display that has let this program in.
///
/// It is kept while a window is opened: some displays begin anew when the last program leaves, and let
/// nobody in meanwhile.
pub struct Display {
    _line: RustConnection,
}

/// Checks that a window can be opened, by opening a connection as the window will.
///
/// # Errors
/// [`ViewError::NoDisplay`] where no display is named or the named one does not answer,
/// [`ViewError::Refused`] where it answers and lets nobody in.
pub fn display() -> Result<Display, ViewError> {
    let is_named = |name| std::env::var_os(name).is_some_and(|value| !value.is_empty());
    if !is_named("DISPLAY") {
        return Err(ViewError::NoDisplay(
            if is_named("WAYLAND_DISPLAY") || is_named("WAYLAND_SOCKET") {
                "DISPLAY is not set; on Wayland the window opens through Xwayland".into()
            } else {
                "DISPLAY is not set".into()
            },
        ));
    }
    let name =
        std::env::var("DISPLAY").map_err(|_| ViewError::NoDisplay("DISPLAY names none".into()))?;
    Ok(Display { _line: lets_in(&name, PATIENCE)? })
}

/// Checks that a graphics driver answers, a software one included.
///
/// # Errors
/// [`ViewError::NoAdapter`] when none does.
pub fn adapter() -> Result<(), ViewError> {
    adapter_kind().map(|_| ())
}

/// What sort of adapter would draw; a real one before a software one.
pub(crate) fn adapter_kind() -> Result<wgpu::DeviceType, ViewError> {
    let instance = wgpu::Instance::new(wgpu::InstanceDescriptor::new_without_display_handle());
    let found = block_on(instance.enumerate_adapters(wgpu::Backends::PRIMARY));
    let kinds: Vec<wgpu::DeviceType> =
        found.iter().map(|adapter| adapter.get_info().device_type).collect();
    let real = kinds.iter().find(|kind| **kind != wgpu::DeviceType::Cpu);
    real.or(kinds.first()).copied().ok_or(ViewError::NoAdapter)
}

/// Asks the display of a name, `[host]:number[.screen]`, to let this program in.
///
/// A display may take a call and never answer it, so that another thread waits for the answer.
fn lets_in(name: &str, patience: Duration) -> Result<RustConnection, ViewError> {
    let (tell, told) = channel();
    let asked = name.to_owned();
    std::thread::spawn(move || {
        // Nobody listens any more once the wait is over.
        let _ = tell.send(ask(&asked, patience));
    });
    let answer = told.recv_timeout(patience).ok();
    let silent = || ViewError::NoDisplay(format!("DISPLAY names {name}, which does not answer"));
    answer.ok_or_else(silent)?.map_err(|why| match why {
        ConnectError::SetupFailed(_) | ConnectError::SetupAuthenticate(_) => {
            ViewError::Refused(name.to_owned())
        }
        ConnectError::DisplayParsingError(_) | ConnectError::InvalidScreen => {
            ViewError::NoDisplay(format!("DISPLAY names {name}, which is no display"))
        }
        _ => silent(),
    })
}

/// Connects, again while the display takes calls and drops them.
fn ask(name: &str, patience: Duration) -> Result<RustConnection, ConnectError> {
    let start = Instant::now();
    loop {
        match x11rb::connect(Some(name)).map(|(line, _)| line) {
            Err(why) if has_hung_up(&why) && start.elapsed() + PAUSE < patience => {
                std::thread::sleep(PAUSE);
            }
            answer => return answer,
        }
    }
}

fn has_hung_up(why: &ConnectError) -> bool {
    use std::io::ErrorKind::{BrokenPipe, ConnectionReset, UnexpectedEof};
    match why {
        ConnectError::Incomplete { .. } => true,
        ConnectError::IoError(error) => {
            matches!(error.kind(), BrokenPipe | ConnectionReset | UnexpectedEof)
        }
        _ => false,
    }
}

#[cfg(test)]
mod tests {
    use std::io::{Read as _, Write as _};
    use std::net::TcpListener;

    use super::*;

    /// A display of another machine, by what it does with each of its calls in turn.
    fn served(answers: Vec<&'static [u8]>) -> Option<String> {
        let free = |n: &u16| TcpListener::bind(("127.0.0.1", 6000 + n)).ok();
        let (number, listener) = (700..800).find_map(|n| Some((n, free(&n)?)))?;
        std::thread::spawn(move || {
            for answer in answers {
                let Ok((mut call, _)) = listener.accept() else { return };
                let _ = call.read(&mut [0; 64]);
                let _ = call.write_all(answer);
            }
        });
        Some(format!("127.0.0.1:{number}"))
    }

    #[test]
    fn a_display_that_nobody_serves_does_not_answer() {
        for name in [":49731", "nonsense", ""] {
            let said = lets_in(name, PATIENCE).err().unwrap();
            assert!(matches!(said, ViewError::NoDisplay(_)), "{name}: {said}");
        }
    }

    /// What a server of X11 writes to a caller without the right to come in: X Window System Protocol,
    /// version 11, section 8, "Connection Setup": 0, length of the reason, version, words to follow.
    #[test]
    fn a_display_that_lets_nobody_in_is_said_to_refuse_after_it_has_started() {
        let refuses = b"\0\x08\x0b\0\0\0\x02\0No entry";
        let name = served(vec![b"", b"", refuses]).expect("a free number");
        assert_eq!(lets_in(&name, PATIENCE).err(), Some(ViewError::Refused(name)));
    }

    #[test]
    fn a_display_that_only_ever_hangs_up_does_not_answer() {
        let name = served(vec![b""; 40]).expect("a free number");
        let said = lets_in(&name, Duration::from_secs(1)).err().unwrap();
        assert!(matches!(said, ViewError::NoDisplay(_)), "{said}");
    }
}
