//! A site's folder while a window is open on it: nothing that anybody wrote there is lost.
//!
//! Beside `site.ron` may stand, each under the first name that is free: `site.ron.unsaved`, work that
//! a crash left and that was set aside; `site.ron.other`, what somebody else had written when this
//! window wrote over it; `site.ron.mine`, the work of this window when the other was taken.

use std::fs;
use std::path::{Path, PathBuf};
use std::sync::{Mutex, MutexGuard, PoisonError};
use std::time::{Duration, SystemTime};

use anyhow::anyhow;
use exchange::pdf;
use exchange::raster::Raster;
use site::Site;
use view::{Keep, LeftCopy, NotSaved, Over};

use super::{AUTOSAVE, SITE, SiteFolder, cannot, read_picture, text_of, write_whole};

/// Keeps a site for one window.
pub(crate) struct Keeper {
    folder: SiteFolder,
    seen: Mutex<Seen>,
}

/// What the document's file held.
struct Seen {
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
        Ok((site, Self { folder, seen: Mutex::new(Seen { own, found: None }) }))
    }

    /// Unsaved work that a crash has left; a copy of what the file holds is removed.
    pub(crate) fn copy(&self, site: &Site) -> Option<LeftCopy> {
        let path = self.folder.path.join(AUTOSAVE);
        let data = fs::metadata(&path).ok()?;
        let copy = self.folder.read(AUTOSAVE);
        if copy.as_ref().is_ok_and(|copy| copy == site) {
            // It holds nothing that the document does not; where it cannot be removed it does no harm.
            let _ = fs::remove_file(&path);
            return None;
        }
        let age = data.modified().ok().and_then(|at| SystemTime::now().duration_since(at).ok());
        Some(LeftCopy {
            site: copy.map(Box::new).map_err(|error| format!("{error:#}")),
            age: age.map_or_else(|| "some time".to_owned(), age_text),
        })
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
        *seen = Seen { own: Some(text.into_bytes()), found: None };
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
        self.folder.autosave(site).map_err(|error| format!("{error:#}"))
    }

    fn set_copy_aside(&self) -> Result<String, String> {
        let (from, to) =
            (self.folder.path.join(AUTOSAVE), free(&self.folder.path, "site.ron.unsaved"));
        fs::rename(&from, &to).map_err(|error| cannot("move", &from, error).to_string())?;
        Ok(to.display().to_string())
    }

    fn drop_copy(&self) {
        // What is not there needs no taking away; what cannot be is offered at the next start.
        let _ = fs::remove_file(self.folder.path().join(AUTOSAVE));
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
        }
    }

    fn print(&self, name: &str, svg: &str) -> Result<String, String> {
        print(self.folder.path(), name, svg).map_err(|error| format!("{error:#}"))
    }

    fn picture(&self, file: &str) -> Result<Raster, String> {
        read_picture(&self.folder.path().join(file)).map_err(|error| format!("{error:#}"))
    }
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
    fn work_that_a_crash_left_is_offered_until_it_is_saved_or_set_aside() {
        let (folder, site, keeper) = window();
        assert_eq!(keeper.copy(&site), None);
        keeper.autosave(&titled(&site, "Not saved")).unwrap();
        // The window is gone; another opens, and then a third: nothing is taken without a word.
        for _ in 0..2 {
            let (opened, keeper) = Keeper::open(SiteFolder::at(folder.path())).unwrap();
            assert_eq!(opened, site);
            let copy = keeper.copy(&opened).unwrap();
            assert_eq!(copy.site.unwrap().title, "Not saved");
            assert!(copy.age.contains("second"), "{}", copy.age);
        }
        let stands = keeper.set_copy_aside().unwrap();
        assert!(stands.ends_with("site.ron.unsaved"), "{stands}");
        assert_eq!(keeper.copy(&site), None);
        // A second one has a name of its own, and a save touches neither.
        keeper.autosave(&titled(&site, "Again")).unwrap();
        assert!(keeper.set_copy_aside().unwrap().ends_with("site.ron.unsaved-2"));
        keeper.save(&titled(&site, "Saved"), Over::Own).unwrap();
        assert_eq!(file(folder.path(), "site.ron.unsaved").title, "Not saved");
        assert_eq!(file(folder.path(), "site.ron.unsaved-2").title, "Again");
    }

    #[test]
    fn a_copy_that_cannot_be_read_is_told_and_one_of_the_saved_site_goes() {
        let (folder, site, keeper) = window();
        fs::write(folder.path().join(AUTOSAVE), "(format: 1,").unwrap();
        let copy = keeper.copy(&site).unwrap();
        assert!(copy.site.unwrap_err().contains("site.ron.autosave: line 1"));
        assert!(keeper.set_copy_aside().is_ok());
        keeper.autosave(&site).unwrap();
        assert_eq!(keeper.copy(&site), None);
        assert_eq!(names(folder.path()), [SITE, "site.ron.unsaved", "survey.csv"]);
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
