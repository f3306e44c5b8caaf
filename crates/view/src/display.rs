//! Whether there is a screen and a graphics driver, asked before anything relies on them.

use std::os::unix::net::UnixStream;
use std::path::PathBuf;

use bevy::tasks::block_on;

use crate::ViewError;

/// Checks that a window can be opened.
///
/// # Errors
/// [`ViewError::NoDisplay`] where no display is named or the named one does not answer.
pub fn display() -> Result<(), ViewError> {
    let name = std::env::var("DISPLAY").unwrap_or_default();
    if name.is_empty() {
        return Err(ViewError::NoDisplay("DISPLAY is not set".into()));
    }
    if answers(&name) {
        Ok(())
    } else {
        Err(ViewError::NoDisplay(format!("DISPLAY names {name}, which does not answer")))
    }
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

/// Whether an X server listens at a display's name, `[host]:number[.screen]`.
fn answers(name: &str) -> bool {
    let Some((host, rest)) = name.rsplit_once(':') else {
        return false;
    };
    let number = rest.split('.').next().unwrap_or_default();
    if host.is_empty() || host == "unix" {
        return listens_locally(number);
    }
    let Ok(display) = number.parse::<u16>() else {
        return false;
    };
    std::net::TcpStream::connect((host, 6000u16.saturating_add(display))).is_ok()
}

fn listens_locally(number: &str) -> bool {
    let socket = PathBuf::from(format!("/tmp/.X11-unix/X{number}"));
    UnixStream::connect(&socket).is_ok() || abstract_socket(&socket)
}

#[cfg(target_os = "linux")]
fn abstract_socket(path: &std::path::Path) -> bool {
    use std::os::linux::net::SocketAddrExt;
    use std::os::unix::ffi::OsStrExt;
    std::os::unix::net::SocketAddr::from_abstract_name(path.as_os_str().as_bytes())
        .is_ok_and(|address| UnixStream::connect_addr(&address).is_ok())
}

#[cfg(not(target_os = "linux"))]
fn abstract_socket(_path: &std::path::Path) -> bool {
    false
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_display_that_nobody_serves_does_not_answer() {
        assert!(!answers(":49731"));
        assert!(!answers("nonsense"));
        assert!(!answers(""));
    }
}
