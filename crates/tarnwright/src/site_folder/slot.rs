//! The autosaves of a folder: each window writes its own, and none that another one needs.
//!
//! A window locks a small hidden file beside its autosave for as long as it lives; the system lets the
//! lock go however the window ends. So an autosave without a lock is what a crash has left. The lock's
//! file stays: to remove it could leave two windows with a lock each on two files of one name.

use std::fs::{self, File, TryLockError};
use std::path::Path;

use super::AUTOSAVE;

/// As many windows as may keep copies of one site at once.
const MOST: usize = 64;

/// A name for autosaves that is one window's own while it lives.
pub(super) struct Slot {
    /// The name of the autosave.
    pub(super) name: String,
    /// Held for its lock.
    _lock: Option<File>,
}

impl Slot {
    /// The first name under which no other window writes and no crash has left anything.
    pub(super) fn claim(folder: &Path) -> Option<Self> {
        names().find_map(|name| {
            let lock = free(folder, &name).ok()?;
            // Looked for under the lock: nobody else can begin to write there now.
            (!folder.join(&name).exists()).then_some(Self { name, _lock: lock })
        })
    }
}

/// The names of autosaves that no living window writes.
pub(super) fn left(folder: &Path) -> Vec<String> {
    let is_left = |name: &String| {
        let locked = folder.join(lock_name(name)).exists() && free(folder, name).is_err();
        folder.join(name).is_file() && !locked
    };
    names().filter(is_left).collect()
}

/// Another window holds the name.
struct Taken;

/// The lock of a name; none where the disk knows no locks, and all windows have to share.
fn free(folder: &Path, name: &str) -> Result<Option<File>, Taken> {
    let path = folder.join(lock_name(name));
    let Ok(lock) = fs::OpenOptions::new().create(true).append(true).open(path) else {
        return Ok(None);
    };
    match lock.try_lock() {
        Ok(()) => Ok(Some(lock)),
        Err(TryLockError::WouldBlock) => Err(Taken),
        Err(TryLockError::Error(_)) => Ok(None),
    }
}

fn names() -> impl Iterator<Item = String> {
    let numbered = (2..=MOST).map(|n| format!("{AUTOSAVE}-{n}"));
    std::iter::once(AUTOSAVE.to_owned()).chain(numbered)
}

fn lock_name(name: &str) -> String {
    format!(".{name}.lock")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn two_windows_never_have_one_name_and_a_dead_one_leaves_its_copy() {
        let folder = tempfile::tempdir().unwrap();
        let first = Slot::claim(folder.path()).unwrap();
        let second = Slot::claim(folder.path()).unwrap();
        assert_eq!([&first.name[..], &second.name[..]], [AUTOSAVE, "site.ron.autosave-2"]);
        for slot in [&first, &second] {
            fs::write(folder.path().join(&slot.name), "work").unwrap();
        }
        // Both live: nothing is left of anybody.
        assert_eq!(left(folder.path()), Vec::<String>::new());
        drop(first);
        assert_eq!(left(folder.path()), [AUTOSAVE]);
        // What was left is not written over before somebody has decided about it.
        let third = Slot::claim(folder.path()).unwrap();
        assert_eq!(third.name, "site.ron.autosave-3");
        drop(second);
        assert_eq!(left(folder.path()), [AUTOSAVE, "site.ron.autosave-2"]);
    }
}
