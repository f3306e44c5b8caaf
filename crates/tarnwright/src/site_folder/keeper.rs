//! A site's folder while a window is open on it: nothing that anybody wrote there is lost.
//!
//! Beside `site.ron` may stand, each under the first name that is free: `site.ron.unsaved`, work that
//! a crash left and that was set aside; `site.ron.other`, what somebody else had written when this
//! window wrote over it; `site.ron.mine`, the work of this window when the other was taken.

use std::fs;
use std::hash::{DefaultHasher, Hash as _, Hasher as _};
use std::path::{Path, PathBuf};
use std::sync::{Mutex, MutexGuard, PoisonError};
use std::time::{Duration, SystemTime};

use anyhow::anyhow;
use exchange::pdf;
use exchange::raster::Raster;
use site::Site;
use view::{Keep, LeftCopy, NotSaved, Over};

use super::slot::{self, Slot};
use super::{BEFORE, SITE, SiteFolder, cannot, read_picture, text_of, write_whole};

/// What the version before the last save is called on the screen.
const BEFORE_SAVE: &str = "before the last save";

/// Keeps a site for one window.
pub(crate) struct Keeper {
    folder: SiteFolder,
    seen: Mutex<Seen>,
    /// The name of this window's autosave, once it has written one.
    slot: Mutex<Option<Slot>>,
}

/// What the site's files held.
struct Seen {
    /// The survey's file, by name and a number that tells its bytes from others.
    survey: Option<(String, u64)>,
    /// When this window last read or wrote it; none where there was no file.
    own: Option<Vec<u8>>,
    /// When it was last found changed.
    found: Option<Vec<u8>>,
}

impl Keeper {
    /// Opens the site in a folder.
    pub(crate) fn open(folder: SiteFolder) -> anyhow::Result<(Site, Self)> {
        // Read before the site is: a change in between is then noticed, not missed.
        let own = fs::read(folder.path.join(SITE)).ok();
        let site = folder.open()?;
        let survey = survey_of(&folder, &site);
        let seen = Mutex::new(Seen { survey, own, found: None });
        Ok((site, Self { folder, seen, slot: Mutex::new(None) }))
    }

    /// Unsaved work that crashes have left, the newest first; a copy of what the file holds is removed.
    pub(crate) fn copies(&self, site: &Site) -> Vec<LeftCopy> {
        let left = slot::left(&self.folder.path).into_iter();
        let mut left: Vec<(Option<Duration>, LeftCopy)> =
            left.filter_map(|name| self.left(name, site)).collect();
        left.sort_by_key(|(age, _)| age.unwrap_or(Duration::MAX));
        left.into_iter().map(|(_, copy)| copy).collect()
    }

    fn left(&self, name: String, site: &Site) -> Option<(Option<Duration>, LeftCopy)> {
        let path = self.folder.path.join(&name);
        let data = fs::metadata(&path).ok()?;
        let copy = self.folder.read(&name);
        if copy.as_ref().is_ok_and(|copy| copy == site) {
            // It holds nothing that the document does not; where it cannot be removed it does no harm.
            let _ = fs::remove_file(&path);
            return None;
        }
        let age = data.modified().ok().and_then(|at| SystemTime::now().duration_since(at).ok());
        let left = LeftCopy {
            name,
            site: copy.map(Box::new).map_err(|error| format!("{error:#}")),
            age: age.map_or_else(|| "some time".to_owned(), age_text),
        };
        Some((age, left))
    }

    /// The name of this window's autosave, if it has one.
    fn slot(&self) -> MutexGuard<'_, Option<Slot>> {
        self.slot.lock().unwrap_or_else(PoisonError::into_inner)
    }

    fn seen(&self) -> MutexGuard<'_, Seen> {
        self.seen.lock().unwrap_or_else(PoisonError::into_inner)
    }

    fn try_save(&self, site: &Site, over: Over) -> anyhow::Result<Option<NotSaved>> {
        let document = self.folder.path.join(SITE);
        let text = text_of(site, &document)?;
        let now = fs::read(&document).ok();
        let mut seen = self.seen();
        if now != seen.own {
            match (over, &now) {
                (Over::Own, Some(_)) => {
                    seen.found = now;
                    let theirs = self.folder.open();
                    return Ok(Some(NotSaved::Changed(
                        theirs.map(Box::new).map_err(|error| format!("{error:#}")),
                    )));
                }
                (Over::Others, Some(theirs)) => {
                    write_whole(&free(&self.folder.path, "site.ron.other"), theirs)?;
                }
                // What was removed is written again.
                (_, None) => {}
            }
        }
        self.folder.save(site)?;
        (seen.own, seen.found) = (Some(text.into_bytes()), None);
        self.drop_copy();
        Ok(None)
    }
}

impl Keep for Keeper {
    fn save(&self, site: &Site, over: Over) -> Result<(), NotSaved> {
        match self.try_save(site, over) {
            Ok(None) => Ok(()),
            Ok(Some(changed)) => Err(changed),
            Err(error) => Err(NotSaved::Failed(format!("{error:#}"))),
        }
    }

    fn autosave(&self, site: &Site) -> Result<(), String> {
        let mut slot = self.slot();
        if slot.is_none() {
            *slot = Slot::claim(&self.folder.path);
        }
        let own = slot.as_ref().ok_or("too many windows keep copies of this site")?;
        self.folder.autosave(&own.name, site).map_err(|error| format!("{error:#}"))
    }

    fn set_copy_aside(&self, copy: &LeftCopy) -> Result<String, String> {
        let from = self.folder.path.join(&copy.name);
        let to = free(&self.folder.path, "site.ron.unsaved");
        fs::rename(&from, &to).map_err(|error| cannot("move", &from, error).to_string())?;
        Ok(to.display().to_string())
    }

    fn take_copy(&self, copy: &LeftCopy, site: &Site) -> Result<(), String> {
        self.autosave(site)?;
        let left = self.folder.path.join(&copy.name);
        fs::remove_file(&left).map_err(|error| cannot("remove", &left, error).to_string())
    }

    fn drop_copy(&self) {
        if let Some(own) = &*self.slot() {
            // What is not there needs no taking away; what cannot be is offered at the next start.
            let _ = fs::remove_file(self.folder.path().join(&own.name));
        }
    }

    fn has_survey_changed(&self) -> bool {
        let seen = self.seen();
        let now = seen.survey.as_ref().map(|(name, _)| number_of(&self.folder, name));
        now.is_some_and(|now| now != seen.survey.as_ref().map(|(_, number)| *number))
    }

    fn keep_beside(&self, site: &Site) -> Result<String, String> {
        let path = free(&self.folder.path, "site.ron.mine");
        text_of(site, &path)
            .and_then(|text| write_whole(&path, text.as_bytes()))
            .map(|()| path.display().to_string())
            .map_err(|error| format!("{error:#}"))
    }

    fn agree(&self) {
        let mut seen = self.seen();
        if let Some(found) = seen.found.take() {
            seen.own = Some(found);
            // Theirs was read with the survey as it is now.
            seen.survey = seen.survey.take().map(|(name, number)| {
                let now = number_of(&self.folder, &name);
                (name, now.unwrap_or(number))
            });
        }
    }

    fn print(&self, name: &str, svg: &str) -> Result<String, String> {
        print(self.folder.path(), name, svg).map_err(|error| format!("{error:#}"))
    }

    fn picture(&self, file: &str) -> Result<Raster, String> {
        read_picture(&self.folder.path().join(file)).map_err(|error| format!("{error:#}"))
    }

    fn versions(&self) -> Vec<String> {
        let before = self.folder.path.join(BEFORE).is_file().then(|| BEFORE_SAVE.to_owned());
        before.into_iter().chain(neighbours(&self.folder)).collect()
    }

    fn version(&self, name: &str) -> Result<Site, String> {
        let own = self.folder.path.join(BEFORE);
        let read = if name == BEFORE_SAVE && own.is_file() {
            self.folder.read(BEFORE)
        } else {
            // Beside the site's own folder, unless the path begins at the root.
            let whole = self.folder.path.canonicalize().unwrap_or_default();
            let beside = whole.parent().unwrap_or(&whole).join(name);
            SiteFolder::at(&beside).open()
        };
        read.map_err(|error| format!("{error:#}"))
    }
}

/// The folders beside a site's own that hold a site, by name.
fn neighbours(folder: &SiteFolder) -> Vec<String> {
    let Ok(own) = folder.path.canonicalize() else { return Vec::new() };
    let beside = own.parent().and_then(|parent| fs::read_dir(parent).ok());
    let is_other =
        |path: &PathBuf| *path != own && path.is_dir() && SiteFolder::at(path).holds_site();
    let others = beside.into_iter().flatten().flatten().map(|entry| entry.path()).filter(is_other);
    let mut names: Vec<String> = others
        .filter_map(|path| Some(path.file_name()?.to_string_lossy().into_owned()))
        .filter(|name| !name.starts_with('.'))
        .collect();
    names.sort();
    names
}

/// The survey's file as it is now; none where the site's own document holds the survey.
fn survey_of(folder: &SiteFolder, site: &Site) -> Option<(String, u64)> {
    let name = site.survey.file.clone();
    number_of(folder, &name).map(|number| (name, number))
}

/// A number for a file's bytes; none where it cannot be read.
fn number_of(folder: &SiteFolder, name: &str) -> Option<u64> {
    let bytes = fs::read(folder.path().join(name)).ok()?;
    let mut hasher = DefaultHasher::new();
    bytes.hash(&mut hasher);
    Some(hasher.finish())
}

/// Writes a sheet beside the site, as SVG and as PDF, under the first name that is free: what was printed
/// before stays. Answers where the PDF is.
fn print(folder: &Path, name: &str, svg: &str) -> anyhow::Result<String> {
    let stem = |n: usize| match n {
        1 => name.to_owned(),
        n => format!("{name}-{n}"),
    };
    let paths =
        |n: usize| ["svg", "pdf"].map(|ending| folder.join(format!("{}.{ending}", stem(n))));
    let free = (1..).map(paths).find(|paths| !paths.iter().any(|path| path.exists()));
    let [svg_path, pdf_path] =
        free.ok_or_else(|| anyhow!("{}: no name is free", folder.display()))?;
    let page = pdf::write(name, &[svg])?;
    write_whole(&svg_path, svg.as_bytes())?;
    write_whole(&pdf_path, &page)?;
    Ok(pdf_path.display().to_string())
}

/// A name in a folder that nothing has yet.
fn free(folder: &Path, name: &str) -> PathBuf {
    let numbered = (2..).map(|n| folder.join(format!("{name}-{n}")));
    let mut names = std::iter::once(folder.join(name)).chain(numbered);
    names.find(|path| !path.exists()).unwrap_or_else(|| folder.join(name))
}

/// How long ago something was, as people say it.
fn age_text(age: Duration) -> String {
    let counted = |n: u64, what: &str| format!("{n} {what}{}", if n == 1 { "" } else { "s" });
    match age.as_secs() {
        seconds @ 0..60 => counted(seconds, "second"),
        seconds @ 60..3600 => counted(seconds / 60, "minute"),
        seconds @ 3600..172_800 => counted(seconds / 3600, "hour"),
        seconds => counted(seconds / 86_400, "day"),
    }
}

#[cfg(test)]
mod tests {
    use super::super::AUTOSAVE;
    use super::super::tests::{demo, names};
    use super::*;

    /// A window on a copy of the demo site.
    fn window() -> (tempfile::TempDir, Site, Keeper) {
        let (folder, site_folder) = demo();
        let (site, keeper) = Keeper::open(site_folder).unwrap();
        (folder, site, keeper)
    }

    fn titled(site: &Site, title: &str) -> Site {
        Site { title: title.to_owned(), ..site.clone() }
    }

    fn file(folder: &Path, name: &str) -> Site {
        SiteFolder::at(folder).read(name).unwrap()
    }

    #[test]
    fn other_versions_are_those_beside_and_the_one_before_the_last_save() {
        let (folder, demo) = demo();
        let copy = |name: &str| {
            let to = folder.path().join(name);
            fs::create_dir(&to).unwrap();
            for file in [SITE, "survey.csv"] {
                fs::copy(demo.path().join(file), to.join(file)).unwrap();
            }
            to
        };
        let own = copy("garden");
        let (site, keeper) = Keeper::open(SiteFolder::at(&own)).unwrap();
        assert_eq!(keeper.versions(), Vec::<String>::new());
        keeper.save(&titled(&site, "Second"), Over::Own).unwrap();
        let other = copy("other");
        fs::create_dir(folder.path().join("empty")).unwrap();
        assert_eq!(keeper.versions(), [BEFORE_SAVE, "other"]);
        assert_eq!(keeper.version(BEFORE_SAVE).unwrap().title, site.title);
        assert_eq!(file(&own, SITE).title, "Second");
        assert_eq!(keeper.version("other").unwrap(), site);
        assert_eq!(keeper.version(&other.display().to_string()).unwrap(), site);
        let none = keeper.version("empty").unwrap_err();
        assert!(none.contains("empty"), "{none}");
    }

    #[test]
    fn work_that_a_crash_left_is_offered_until_it_is_saved_or_set_aside() {
        let (folder, site, keeper) = window();
        assert_eq!(keeper.copies(&site), []);
        keeper.autosave(&titled(&site, "Not saved")).unwrap();
        // It is no crash's while its window lives.
        let (_, other) = Keeper::open(SiteFolder::at(folder.path())).unwrap();
        assert_eq!(other.copies(&site), []);
        drop(keeper);
        // The window is gone; another opens, and then a third: nothing is taken without a word.
        for _ in 0..2 {
            let (opened, keeper) = Keeper::open(SiteFolder::at(folder.path())).unwrap();
            assert_eq!(opened, site);
            let copies = keeper.copies(&opened);
            assert_eq!(copies[0].site.as_ref().unwrap().title, "Not saved");
            assert!(copies[0].age.contains("second"), "{}", copies[0].age);
        }
        let (_, keeper) = Keeper::open(SiteFolder::at(folder.path())).unwrap();
        let stands = keeper.set_copy_aside(&keeper.copies(&site)[0]).unwrap();
        assert!(stands.ends_with("site.ron.unsaved"), "{stands}");
        assert_eq!(keeper.copies(&site), []);
        // A second one has a name of its own, and a save touches neither.
        other.autosave(&titled(&site, "Again")).unwrap();
        drop(other);
        let again = &keeper.copies(&site)[0];
        assert!(keeper.set_copy_aside(again).unwrap().ends_with("site.ron.unsaved-2"));
        keeper.save(&titled(&site, "Saved"), Over::Own).unwrap();
        assert_eq!(file(folder.path(), "site.ron.unsaved").title, "Not saved");
        assert_eq!(file(folder.path(), "site.ron.unsaved-2").title, "Again");
    }

    #[test]
    fn a_copy_that_cannot_be_read_is_told_and_one_of_the_saved_site_goes() {
        let (folder, site, keeper) = window();
        fs::write(folder.path().join(AUTOSAVE), "(format: 1,").unwrap();
        let copies = keeper.copies(&site);
        assert!(copies[0].site.as_ref().unwrap_err().contains("site.ron.autosave: line 1"));
        assert!(keeper.set_copy_aside(&copies[0]).is_ok());
        keeper.autosave(&site).unwrap();
        drop(keeper);
        let (_, keeper) = Keeper::open(SiteFolder::at(folder.path())).unwrap();
        assert_eq!(keeper.copies(&site), []);
        let lock = ".site.ron.autosave.lock";
        assert_eq!(names(folder.path()), [lock, SITE, "site.ron.unsaved", "survey.csv"]);
    }

    #[test]
    fn two_windows_keep_a_copy_each_and_a_third_is_offered_both() {
        let (folder, site, keeper) = window();
        let (_, other) = Keeper::open(SiteFolder::at(folder.path())).unwrap();
        keeper.autosave(&titled(&site, "One")).unwrap();
        other.autosave(&titled(&site, "Two")).unwrap();
        keeper.autosave(&titled(&site, "One, further")).unwrap();
        drop((keeper, other));
        let (_, third) = Keeper::open(SiteFolder::at(folder.path())).unwrap();
        let copies = third.copies(&site);
        let mut titles: Vec<&str> =
            copies.iter().map(|copy| copy.site.as_ref().unwrap().title.as_str()).collect();
        titles.sort_unstable();
        assert_eq!(titles, ["One, further", "Two"]);
        // What is taken is this window's own from then on, and goes when it is saved.
        for copy in &copies {
            let work = copy.site.clone().unwrap();
            third.take_copy(copy, &work).unwrap();
        }
        assert_eq!(
            file(folder.path(), "site.ron.autosave-3").title,
            copies[1].site.as_ref().unwrap().title
        );
        third.save(&titled(&site, "Saved"), Over::Own).unwrap();
        assert!(!names(folder.path()).iter().any(|name| name.starts_with("site.ron.autosave")));
    }

    #[test]
    fn a_survey_that_was_changed_or_removed_is_noticed() {
        let (folder, site, keeper) = window();
        assert!(!keeper.has_survey_changed());
        let survey = folder.path().join(&site.survey.file);
        let first = fs::read(&survey).unwrap();
        fs::write(&survey, [&first[..], b"9999,1.0,1.0,30.0,spot\n"].concat()).unwrap();
        assert!(keeper.has_survey_changed());
        fs::write(&survey, first).unwrap();
        assert!(!keeper.has_survey_changed());
        fs::remove_file(&survey).unwrap();
        assert!(keeper.has_survey_changed());
    }

    #[test]
    fn a_change_by_somebody_else_is_noticed_and_both_are_kept() {
        let (folder, site, keeper) = window();
        let (_, theirs) = Keeper::open(SiteFolder::at(folder.path())).unwrap();
        theirs.save(&titled(&site, "Theirs"), Over::Own).unwrap();
        let mine = titled(&site, "Mine");
        let Err(NotSaved::Changed(Ok(found))) = keeper.save(&mine, Over::Own) else {
            panic!("the change is noticed");
        };
        assert_eq!(found.title, "Theirs");
        // Not before it is decided, however often it is asked for.
        assert!(keeper.save(&mine, Over::Own).is_err());
        assert_eq!(file(folder.path(), SITE).title, "Theirs");
        keeper.save(&mine, Over::Others).unwrap();
        assert_eq!(file(folder.path(), SITE).title, "Mine");
        assert_eq!(file(folder.path(), "site.ron.other").title, "Theirs");
        // From then on it is this window's file again.
        keeper.save(&titled(&site, "Mine again"), Over::Own).unwrap();
    }

    #[test]
    fn their_site_can_be_taken_with_mine_kept_beside() {
        let (folder, site, keeper) = window();
        let (_, theirs) = Keeper::open(SiteFolder::at(folder.path())).unwrap();
        theirs.save(&titled(&site, "Theirs"), Over::Own).unwrap();
        let mine = titled(&site, "Mine");
        assert!(keeper.save(&mine, Over::Own).is_err());
        assert!(keeper.keep_beside(&mine).unwrap().ends_with("site.ron.mine"));
        keeper.agree();
        keeper.save(&titled(&site, "Theirs and more"), Over::Own).unwrap();
        assert_eq!(file(folder.path(), "site.ron.mine").title, "Mine");
        assert_eq!(file(folder.path(), SITE).title, "Theirs and more");
    }

    #[test]
    fn a_file_that_somebody_broke_or_removed_loses_nothing() {
        let (folder, site, keeper) = window();
        fs::write(folder.path().join(SITE), "by hand").unwrap();
        let Err(NotSaved::Changed(Err(why))) = keeper.save(&site, Over::Own) else {
            panic!("the change is noticed");
        };
        assert!(why.contains("site.ron: line 1"), "{why}");
        keeper.save(&site, Over::Others).unwrap();
        let kept = fs::read(folder.path().join("site.ron.other")).unwrap();
        assert_eq!(kept, b"by hand");
        fs::remove_file(folder.path().join(SITE)).unwrap();
        keeper.save(&site, Over::Own).unwrap();
        assert_eq!(file(folder.path(), SITE), site);
    }

    #[test]
    fn sheets_are_never_written_over() {
        let (_folder, _, keeper) = window();
        let sheet = "<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"10mm\" height=\"10mm\"/>";
        assert!(keeper.print("section", sheet).unwrap().ends_with("section.pdf"));
        assert!(keeper.print("section", sheet).unwrap().ends_with("section-2.pdf"));
        assert!(keeper.print("section", "no sheet").unwrap_err().contains("sheet 1"));
    }

    #[test]
    fn ages_read_as_people_say_them() {
        let said = [1, 59, 61, 7300, 200_000].map(|s| age_text(Duration::from_secs(s)));
        assert_eq!(said, ["1 second", "59 seconds", "1 minute", "2 hours", "2 days"]);
    }
}
