//! What a person has read before: a small file outside every site.
//!
//! It stands in the folder for a user's state: `$XDG_STATE_HOME/tarnwright/read`, or where that is not
//! told `$HOME/.local/state/tarnwright/read`, one name a line.

use std::collections::BTreeSet;
use std::fs;
use std::path::PathBuf;
use std::sync::Arc;

use view::Memory;

use crate::site_folder::write_whole;

/// What has been read, and how more is kept.
pub(crate) fn memory() -> Memory {
    match file() {
        Some(path) => of(path),
        None => Memory::default(),
    }
}

fn file() -> Option<PathBuf> {
    let told = |name: &str| std::env::var_os(name).filter(|told| !told.is_empty());
    let state = told("XDG_STATE_HOME").map(PathBuf::from);
    let state = state.or_else(|| Some(PathBuf::from(told("HOME")?).join(".local/state")))?;
    Some(state.join("tarnwright/read"))
}

fn of(path: PathBuf) -> Memory {
    let text = fs::read_to_string(&path).unwrap_or_default();
    let read = text.lines().map(str::to_owned).filter(|line| !line.is_empty()).collect();
    let keep = move |read: &BTreeSet<String>| {
        let text: String = read.iter().map(|name| format!("{name}\n")).collect();
        let folder = path.parent().map(fs::create_dir_all);
        // What cannot be kept is shown once more the next time: no reason to disturb the work.
        if folder.is_some_and(|made| made.is_ok()) {
            let _ = write_whole(&path, text.as_bytes());
        }
    };
    Memory { read, keep: Arc::new(keep) }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_was_read_is_known_the_next_time() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("state/tarnwright/read");
        let mut first = of(path.clone());
        assert!(first.read.is_empty());
        first.read.extend(["Section".to_owned(), "Play".to_owned()]);
        (first.keep)(&first.read);
        assert_eq!(of(path).read, first.read);
    }
}
