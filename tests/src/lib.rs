//! The acceptance suite lives in `tests/tests`; this library holds what its files share.

use std::collections::BTreeMap;
use std::fs;
use std::path::{Path, PathBuf};
use std::process::Command;

/// How a run of the program ended and what it said.
#[derive(Clone, Debug)]
pub struct Ran {
    /// Exit status.
    pub status: i32,
    /// Standard output.
    pub out: String,
    /// Standard error.
    pub err: String,
}

/// The shipped program, which cargo builds beside the tests.
///
/// # Panics
/// When it is not built: `cargo verify` builds it first.
pub fn program() -> PathBuf {
    let own = std::env::current_exe().expect("a test knows where it stands");
    let name = format!("tarnwright{}", std::env::consts::EXE_SUFFIX);
    let path = own.ancestors().nth(2).map(|folder| folder.join(name)).unwrap_or_default();
    assert!(
        path.is_file(),
        "{} is missing: build it with `cargo build --package tarnwright`",
        path.display()
    );
    path
}

/// Runs the program in the folder `at`.
pub fn tarnwright(at: &Path, arguments: &[&str]) -> Ran {
    let ran = Command::new(program())
        .args(arguments)
        .current_dir(at)
        .output()
        .expect("the program can be started");
    let text = |bytes: &[u8]| String::from_utf8_lossy(bytes).into_owned();
    Ran { status: ran.status.code().unwrap_or(-1), out: text(&ran.stdout), err: text(&ran.stderr) }
}

/// Every file under `folder` with its bytes.
pub fn snapshot(folder: &Path) -> BTreeMap<PathBuf, Vec<u8>> {
    let mut files = BTreeMap::new();
    for entry in fs::read_dir(folder).expect("the folder can be read").flatten() {
        let path = entry.path();
        if path.is_dir() {
            files.extend(snapshot(&path));
            files.insert(path, Vec::new());
        } else {
            let bytes = fs::read(&path).expect("the file can be read");
            files.insert(path, bytes);
        }
    }
    files
}

/// The repository's top folder.
pub fn top() -> PathBuf {
    // Clones may share one target folder, so where cargo runs this counts before where it was built.
    let here = std::env::var_os("CARGO_MANIFEST_DIR");
    let here = here.map_or_else(|| PathBuf::from(env!("CARGO_MANIFEST_DIR")), PathBuf::from);
    here.parent().map_or_else(|| here.clone(), Path::to_owned)
}

/// Copies the demo site to a folder of the test's own and answers where it stands.
pub fn demo_site(to: &Path) -> PathBuf {
    let site = to.join("site");
    fs::create_dir_all(&site).expect("a folder for the test can be made");
    for entry in fs::read_dir(top().join("demo-sites/rear-garden")).expect("it stands").flatten() {
        if entry.path().is_file() {
            fs::copy(entry.path(), site.join(entry.file_name())).expect("a file can be copied");
        }
    }
    site
}
