//! A site's folder: `site.ron`, the survey that it names, the version before and the autosave.

mod keeper;
mod slot;

use std::fs::{self, File};
use std::io::{self, Write as _};
use std::path::{Path, PathBuf};
use std::sync::Arc;

use anyhow::{Context as _, anyhow, bail};
use exchange::landxml;
use exchange::level_book::{self, BookError};
use exchange::points::{self, PointsError, Told};
use exchange::raster::{self, Raster};
use site::{LevelNotes, Site, Survey, SurveyPoint};

use crate::survey_file;

pub(crate) use keeper::Keeper;

/// The document.
const SITE: &str = "site.ron";
/// The document as it was before the last save.
const BEFORE: &str = "site.ron.before";
/// The document with changes that are not saved yet.
const AUTOSAVE: &str = "site.ron.autosave";

/// A folder that holds a site.
#[derive(Clone, Debug)]
pub(crate) struct SiteFolder {
    path: PathBuf,
}

impl SiteFolder {
    /// The folder at `path`, which may also name the `site.ron` in it.
    pub(crate) fn at(path: &Path) -> Self {
        let is_document = path.file_name().is_some_and(|name| name == SITE);
        let folder = if is_document && !path.is_dir() { path.parent() } else { None };
        let path = match folder {
            Some(folder) if folder.as_os_str().is_empty() => Path::new("."),
            Some(folder) => folder,
            None => path,
        };
        Self { path: path.to_owned() }
    }

    /// Whether the folder holds a site.
    pub(crate) fn holds_site(&self) -> bool {
        self.path.join(SITE).is_file()
    }

    /// Where the folder is.
    pub(crate) fn path(&self) -> &Path {
        &self.path
    }

    /// The folder's own name.
    pub(crate) fn name(&self) -> String {
        let whole = self.path.canonicalize().unwrap_or_else(|_| self.path.clone());
        whole.file_name().map_or_else(
            || self.path.display().to_string(),
            |name| name.to_string_lossy().into_owned(),
        )
    }

    /// Reads the site and its survey.
    pub(crate) fn open(&self) -> anyhow::Result<Site> {
        self.read(SITE)
    }

    /// Saves the site: written beside, flushed, renamed; the version before is kept.
    ///
    /// Both files are written before either is renamed, so that a disk that is full leaves the
    /// folder as it was.
    pub(crate) fn save(&self, site: &Site) -> anyhow::Result<()> {
        let document = self.path.join(SITE);
        let text = text_of(site, &document)?;
        let before = match fs::read(&document) {
            Ok(before) => Some(Beside::write(&self.path.join(BEFORE), &before)?),
            Err(error) if error.kind() == io::ErrorKind::NotFound => None,
            Err(error) => return Err(cannot("read", &document, error)),
        };
        let now = Beside::write(&document, text.as_bytes())?;
        before.map_or(Ok(()), Beside::put)?;
        now.put()
    }

    /// Keeps unsaved changes beside the document under a name, so that they outlive a crash.
    fn autosave(&self, name: &str, site: &Site) -> anyhow::Result<()> {
        let path = self.path.join(name);
        write_whole(&path, text_of(site, &path)?.as_bytes())
    }

    fn read(&self, name: &str) -> anyhow::Result<Site> {
        let path = self.path.join(name);
        let bytes = fs::read(&path)
            .with_context(|| format!("{}: cannot be read, expected a site", path.display()))?;
        let text = String::from_utf8(bytes).map_err(|error| {
            let good = &error.as_bytes()[..error.utf8_error().valid_up_to()];
            let line = good.iter().filter(|byte| **byte == b'\n').count() + 1;
            let byte = error.as_bytes()[good.len()];
            let path = path.display();
            anyhow!("{path}: line {line}: read the byte {byte:#04x} of no text, expected a site")
        })?;
        let mut site =
            site::file::parse(&text).map_err(|error| anyhow!("{}: {error}", path.display()))?;
        self.read_survey(&mut site)?;
        Ok(site)
    }

    fn read_survey(&self, site: &mut Site) -> anyhow::Result<()> {
        let typed = site.survey.levels.as_ref().map(|notes| !notes.rows.is_empty());
        if site.survey.file.is_empty() && typed == Some(true) {
            return Ok(());
        }
        let name = Path::new(&site.survey.file);
        if name.file_name() != Some(name.as_os_str()) {
            let path = self.path.join(SITE);
            let read = &site.survey.file;
            bail!(
                "{}: survey.file: read `{read}`, expected the name of a file in the site's folder",
                path.display()
            );
        }
        let path = self.path.join(name);
        let bytes = fs::read(&path)
            .with_context(|| format!("{}: cannot be read, expected a survey", path.display()))?;
        if level_book::is_level_book(&bytes) {
            return self.read_book(site, &path, &bytes);
        }
        let at_path = |error: &dyn std::fmt::Display| anyhow!("{}: {error}", path.display());
        if typed == Some(false) {
            bail!(
                "{}: survey.levels: read level notes without rows, expected rows, or a level book \
                 in {}",
                self.path.join(SITE).display(),
                path.display()
            );
        }
        if landxml::is_landxml(&bytes) {
            // Outlines are those of the document, as they are for a point list.
            let (points, breaklines) =
                survey_file::of_landxml(&bytes, &site.frame).map_err(|error| at_path(&error))?;
            site.survey = Arc::new(Survey { points, breaklines, ..Survey::clone(&site.survey) });
            return Ok(());
        }
        // A list that does not tell its unit is in the one that its site tells.
        let list = match points::read(&bytes, &Told::default()) {
            Err(PointsError::UnitUnknown) => {
                let unit = Some(site.frame.unit);
                points::read(&bytes, &Told { unit, ..Told::default() })
            }
            other => other,
        };
        let list = list.map_err(|error| at_path(&error))?;
        points::check_spread(&list.points).map_err(|error| at_path(&error))?;
        let points = local(&list.points, site.frame.origin_m);
        site.survey = Arc::new(Survey { points, ..Survey::clone(&site.survey) });
        Ok(())
    }

    /// Reads the survey from a level book, whose limit and shares are those of the document.
    fn read_book(&self, site: &mut Site, path: &Path, bytes: &[u8]) -> anyhow::Result<()> {
        let stored = site.survey.levels.clone();
        if stored.as_ref().is_some_and(|notes| !notes.rows.is_empty()) {
            bail!(
                "{}: survey.levels.rows: read level notes, expected them here or in {}, not in both",
                self.path.join(SITE).display(),
                path.display()
            );
        }
        let book = match level_book::read(bytes, &level_book::Told::default()) {
            Err(BookError::Text(PointsError::UnitUnknown)) => {
                let unit = Some(site.frame.unit);
                level_book::read(bytes, &level_book::Told { unit, bench: None })
            }
            other => other,
        };
        let book = book.map_err(|error| anyhow!("{}: {error}", path.display()))?;
        points::check_spread(&book.list.points)
            .map_err(|error| anyhow!("{}: {error}", path.display()))?;
        let LevelNotes { permitted, share, .. } = stored.unwrap_or(book.notes.clone());
        let notes = LevelNotes { permitted, share, ..book.notes };
        if let Err(fault) = notes.set_ups() {
            bail!("{}: {}", path.display(), level_book::at_line(&notes, fault));
        }
        let levels = Some(local_notes(notes, site.frame.origin_m));
        site.survey = Arc::new(Survey { levels, ..Survey::clone(&site.survey) });
        Ok(())
    }
}

/// Level notes in the frame whose origin is `origin_m`.
pub(crate) fn local_notes(mut notes: LevelNotes, [east, north]: [f64; 2]) -> LevelNotes {
    for row in &mut notes.file_rows {
        row.at_m = row.at_m.map(|[x, y]| [x - east, y - north]);
    }
    notes
}

/// The points in the frame whose origin is `origin_m`.
pub(crate) fn local(points: &[points::Point], origin_m: [f64; 2]) -> Vec<SurveyPoint> {
    let [east, north] = origin_m;
    points
        .iter()
        .map(|point| SurveyPoint {
            name: point.name.clone(),
            at_m: [point.at_m[0] - east, point.at_m[1] - north, point.at_m[2]],
            code: point.code.clone(),
            line: point.line,
        })
        .collect()
}

/// The text of a valid site.
pub(crate) fn text_of(site: &Site, path: &Path) -> anyhow::Result<String> {
    site.check().map_err(|error| anyhow!("{}: not written: {error}", path.display()))?;
    Ok(site::file::write(site))
}

/// Reads a plan or an aerial; messages begin with its path.
pub(crate) fn read_picture(path: &Path) -> anyhow::Result<Raster> {
    let bytes = fs::read(path)
        .with_context(|| format!("{}: cannot be read, expected a PNG or JPEG", path.display()))?;
    raster::read(&bytes).map_err(|error| anyhow!("{}: {error}", path.display()))
}

/// Writes a file whole or not at all: beside, flushed, renamed.
pub(crate) fn write_whole(path: &Path, bytes: &[u8]) -> anyhow::Result<()> {
    Beside::write(path, bytes)?.put()
}

/// A file that is written and flushed beside the one whose place it is to take.
#[derive(Debug)]
struct Beside {
    path: PathBuf,
    beside: PathBuf,
}

impl Beside {
    fn write(path: &Path, bytes: &[u8]) -> anyhow::Result<Self> {
        let name = path.file_name().ok_or_else(|| anyhow!("{}: names no file", path.display()))?;
        let name = format!(".{}.{}", name.to_string_lossy(), std::process::id());
        let file = Self { path: path.to_owned(), beside: path.with_file_name(name) };
        File::create(&file.beside)
            .and_then(|mut written| {
                written.write_all(bytes)?;
                written.sync_all()
            })
            .map_err(|error| cannot("write", path, error))?;
        Ok(file)
    }

    /// Takes the place that it was written for.
    fn put(self) -> anyhow::Result<()> {
        fs::rename(&self.beside, &self.path).map_err(|error| cannot("write", &self.path, error))?;
        flush_folder(&self.path);
        Ok(())
    }
}

impl Drop for Beside {
    /// What has not taken its place is of no use; the error that stopped it is what matters.
    fn drop(&mut self) {
        let _ = fs::remove_file(&self.beside);
    }
}

/// Makes a rename outlive a power cut where the system can; elsewhere the rename stands as it is.
fn flush_folder(path: &Path) {
    let folder = path.parent().filter(|folder| !folder.as_os_str().is_empty());
    if let Ok(folder) = File::open(folder.unwrap_or(Path::new("."))) {
        let _ = folder.sync_all();
    }
}

fn cannot(what: &str, path: &Path, error: io::Error) -> anyhow::Error {
    anyhow!("{}: cannot {what} this file: {error}", path.display())
}

#[cfg(test)]
mod tests {
    use super::*;

    pub(super) fn demo() -> (tempfile::TempDir, SiteFolder) {
        let folder = tempfile::tempdir().unwrap();
        // Clones may share one target folder: where cargo runs this counts before where it was built.
        let here = std::env::var_os("CARGO_MANIFEST_DIR");
        let here = here.map_or_else(|| PathBuf::from(env!("CARGO_MANIFEST_DIR")), PathBuf::from);
        let demo = here.join("../../demo-sites/rear-garden");
        for name in [SITE, "survey.csv"] {
            fs::copy(demo.join(name), folder.path().join(name)).unwrap();
        }
        let site = SiteFolder::at(&folder.path().join(SITE));
        (folder, site)
    }

    pub(super) fn names(folder: &Path) -> Vec<String> {
        let mut names: Vec<String> = fs::read_dir(folder)
            .unwrap()
            .map(|entry| entry.unwrap().file_name().to_string_lossy().into_owned())
            .collect();
        names.sort();
        names
    }

    #[test]
    fn a_save_keeps_the_version_before_and_nothing_half_written() {
        let (folder, site_folder) = demo();
        let first = fs::read(folder.path().join(SITE)).unwrap();
        let mut site = site_folder.open().unwrap();
        assert!(site.survey.points.len() > 100);
        site.title = "Changed".to_owned();
        site_folder.save(&site).unwrap();
        assert_eq!(names(folder.path()), [SITE, BEFORE, "survey.csv"]);
        assert_eq!(fs::read(folder.path().join(BEFORE)).unwrap(), first);
        assert_eq!(site_folder.open().unwrap(), site);
        let second = fs::read(folder.path().join(SITE)).unwrap();
        site_folder.save(&site).unwrap();
        assert_eq!(fs::read(folder.path().join(SITE)).unwrap(), second);
    }

    #[test]
    fn a_site_that_breaks_a_rule_is_not_written() {
        let (folder, site_folder) = demo();
        let first = fs::read(folder.path().join(SITE)).unwrap();
        let mut site = site_folder.open().unwrap();
        site.soils.layers[0].swell = f64::NAN;
        let error = site_folder.save(&site).unwrap_err().to_string();
        assert!(error.contains("soils.layers[0].swell"), "{error}");
        assert_eq!(names(folder.path()), [SITE, "survey.csv"]);
        assert_eq!(fs::read(folder.path().join(SITE)).unwrap(), first);
    }

    /// The folder's files with their bytes.
    fn contents(folder: &Path) -> Vec<(String, Option<Vec<u8>>)> {
        let read = |name: String| (fs::read(folder.join(&name)).ok(), name);
        names(folder).into_iter().map(read).map(|(bytes, name)| (name, bytes)).collect()
    }

    /// Whatever file the disk has no room for, nothing has changed and nothing is left behind.
    #[cfg(target_os = "linux")]
    #[test]
    fn a_full_disk_leaves_the_folder_as_it_was() {
        let (folder, site_folder) = demo();
        let mut site = site_folder.open().unwrap();
        site.title = "Once".to_owned();
        site_folder.save(&site).unwrap();
        site.title = "Twice".to_owned();
        site_folder.autosave(AUTOSAVE, &site).unwrap();
        let as_it_was = contents(folder.path());
        for name in [SITE, BEFORE, AUTOSAVE] {
            // Writing to this device fails as on a disk without room.
            let beside = folder.path().join(format!(".{name}.{}", std::process::id()));
            std::os::unix::fs::symlink("/dev/full", &beside).unwrap();
            site.title = "Thrice".to_owned();
            let saved = if name == AUTOSAVE {
                site_folder.autosave(AUTOSAVE, &site)
            } else {
                site_folder.save(&site)
            };
            let error = saved.unwrap_err().to_string();
            assert!(error.contains(name) && error.contains("cannot write this file"), "{error}");
            assert_eq!(contents(folder.path()), as_it_was, "{name}");
        }
        assert_eq!(site_folder.open().unwrap().title, "Once");
        site_folder.save(&site).unwrap();
        assert_eq!(site_folder.open().unwrap().title, "Thrice");
    }

    #[test]
    fn a_folder_that_takes_no_files_is_told_and_nothing_changes() {
        let (folder, site_folder) = demo();
        let site = site_folder.open().unwrap();
        let as_it_was = contents(folder.path());
        // A file stands where the folder should.
        let blocked = SiteFolder::at(&folder.path().join("survey.csv").join("garden"));
        for saved in [blocked.save(&site), blocked.autosave(AUTOSAVE, &site)] {
            let error = saved.unwrap_err().to_string();
            assert!(error.contains("survey.csv") && error.contains("cannot "), "{error}");
        }
        // A folder stands where a file should: the version before has no place.
        fs::create_dir(folder.path().join(BEFORE)).unwrap();
        let error = site_folder.save(&site).unwrap_err().to_string();
        assert!(error.contains(BEFORE) && error.contains("cannot write this file"), "{error}");
        fs::remove_dir(folder.path().join(BEFORE)).unwrap();
        assert_eq!(contents(folder.path()), as_it_was);
        // The folder is gone.
        let (gone, site_folder) = demo();
        drop(gone);
        assert!(site_folder.save(&site).is_err() && site_folder.autosave(AUTOSAVE, &site).is_err());
    }
}
