//! Safe hands: what is asked before anything that somebody did could be lost.

use std::collections::VecDeque;
use std::sync::Arc;

use bevy::prelude::*;
use bevy::tasks::{Task, block_on};
use site::{Frame, Limits, Site, Soils, Survey};
use units::LengthUnit;

use super::{Document, Saving};
use crate::keep::{Keep, LeftCopy, NotSaved, Over};

/// The question that stands, if any.
#[derive(Resource, Default)]
pub(crate) struct Safe {
    /// What is asked.
    pub question: Option<Question>,
    /// What crashes left besides, to be asked about next.
    waiting: VecDeque<LeftCopy>,
    /// The copy that is being written.
    pub(super) copying: Option<Task<()>>,
}

/// What a person is to decide.
#[derive(Clone, Debug, PartialEq)]
pub(crate) enum Question {
    /// A crash has left work that was not saved.
    Left(LeftCopy),
    /// Somebody else has changed the file since it was read: what it holds, or why not.
    Changed(Result<Box<Site>, String>),
}

/// What was decided.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Answer {
    /// Go on with the work that a crash left.
    TakeCopy,
    /// Go on with the saved site, the other kept beside it.
    SetCopyAside,
    /// Write this window's site, theirs kept beside it.
    WriteMine,
    /// Take theirs, this window's kept beside it.
    TakeTheirs,
    /// Decide later; nothing is written.
    Later,
}

impl Safe {
    /// Asks about each copy that a crash has left, one after another.
    pub(super) fn asking(copies: Vec<LeftCopy>) -> Self {
        let mut safe = Self { waiting: copies.into(), ..Self::default() };
        safe.go_on();
        safe
    }

    /// Asks what is to be asked next, if anything.
    fn go_on(&mut self) {
        self.question = self.waiting.pop_front().map(Question::Left);
    }

    /// Waits until no copy is being written, so that none comes after what is written next.
    pub(super) fn wait(&mut self) {
        if let Some(task) = self.copying.take() {
            block_on(task);
        }
    }

    /// Keeps a copy of what is not saved, when there is no later.
    ///
    /// # Errors
    /// A sentence when it cannot be written.
    pub(crate) fn keep_unsaved(&mut self, site: &Site, keep: &dyn Keep) -> Result<(), String> {
        self.wait();
        keep.autosave(site)
    }
}

/// Does what was decided; answers with what is to be said.
///
/// The question stands until that is done.
pub(super) fn settle(
    answer: Answer,
    document: &mut Document,
    saving: Option<&Saving>,
    safe: &mut Safe,
) -> Result<Option<String>, String> {
    let Some(keep) = saving.map(|saving| &saving.keep) else { return Ok(None) };
    safe.wait();
    let said = match (answer, &safe.question) {
        (Answer::TakeCopy, Some(Question::Left(left @ LeftCopy { site: Ok(copy), .. }))) => {
            if !document.is_saved() {
                // Another copy was taken before: undo alone would not outlive a crash.
                keep.keep_beside(document.site())?;
            }
            copy.check().map_err(|e| e.to_string())?;
            // First its file: what is on the screen must outlive a crash.
            keep.take_copy(left, copy)?;
            document.history.replace(Site::clone(copy)).map_err(|e| e.to_string())?;
            Some("The unsaved work is open again; save it to keep it, undo to leave it".to_owned())
        }
        (Answer::SetCopyAside, Some(Question::Left(left))) => {
            Some(format!("The unsaved work stands in {}", keep.set_copy_aside(left)?))
        }
        (Answer::WriteMine, Some(Question::Changed(_))) => {
            let site = document.site().clone();
            keep.save(&site, Over::Others).map_err(|not| match not {
                NotSaved::Failed(why) => why,
                NotSaved::Changed(_) => "the file changed once more; save again".to_owned(),
            })?;
            document.history.mark_saved(&site);
            Some("Saved; what the other had written stands beside it, in site.ron.other".to_owned())
        }
        (Answer::TakeTheirs, Some(Question::Changed(Ok(theirs)))) => {
            let stands = keep.keep_beside(document.site())?;
            document.history.replace(Site::clone(theirs)).map_err(|e| e.to_string())?;
            keep.agree();
            let taken = document.site().clone();
            document.history.mark_saved(&taken);
            keep.drop_copy();
            Some(format!("Theirs is open; yours stands in {stands}"))
        }
        (Answer::Later, Some(Question::Changed(_))) => Some("Nothing is written".to_owned()),
        _ => return Ok(None),
    };
    safe.go_on();
    Ok(said)
}

/// A site that holds nothing, for a window without one.
pub(super) fn nothing() -> Site {
    Site {
        format: Site::FORMAT,
        title: String::new(),
        frame: Frame {
            unit: LengthUnit::Metre,
            step_um: 10,
            origin_m: [0.0, 0.0],
            horizontal_datum: String::new(),
            vertical_datum: String::new(),
        },
        survey: Arc::new(Survey::default()),
        soils: Soils::default(),
        works: Vec::new(),
        next_id: 1,
        circulation: site::Circulation::default(),
        weather: site::Weather::default(),
        houses: Vec::new(),
        keep_outs: Vec::new(),
        limits: Limits::default(),
        digging: site::Digging::default(),
        haul: site::Haul::default(),
        carry: site::Carry::default(),
        stockpiles: Vec::new(),
        viewpoints: Vec::new(),
        pictures: Vec::new(),
    }
}

#[cfg(test)]
mod tests {
    use std::sync::Mutex;
    use std::sync::atomic::{AtomicBool, Ordering};

    use site::Edit;

    use super::super::{Ask, Held, Notice};
    use super::*;
    use crate::keep::Opened;

    /// A folder in memory.
    #[derive(Default)]
    struct Shelf {
        file: Mutex<Option<Site>>,
        copies: Mutex<Vec<String>>,
        theirs: Mutex<Option<Site>>,
        survey_changed: AtomicBool,
        is_full: AtomicBool,
    }

    impl Shelf {
        fn note(&self, what: &str, site: &Site) {
            self.copies.lock().unwrap().push(format!("{what} {}", site.title));
        }
    }

    impl Keep for Shelf {
        fn save(&self, site: &Site, over: Over) -> Result<(), NotSaved> {
            match (&*self.theirs.lock().unwrap(), over) {
                (Some(theirs), Over::Own) => Err(NotSaved::Changed(Ok(Box::new(theirs.clone())))),
                _ => {
                    *self.file.lock().unwrap() = Some(site.clone());
                    Ok(())
                }
            }
        }
        fn autosave(&self, site: &Site) -> Result<(), String> {
            self.note("copy of", site);
            Ok(())
        }
        fn set_copy_aside(&self, copy: &LeftCopy) -> Result<String, String> {
            Ok(format!("there, from {}", copy.name))
        }
        fn take_copy(&self, copy: &LeftCopy, site: &Site) -> Result<(), String> {
            if self.is_full.load(Ordering::Relaxed) {
                return Err("the disk is full".into());
            }
            self.note(&format!("from {}", copy.name), site);
            Ok(())
        }
        fn has_survey_changed(&self) -> bool {
            self.survey_changed.load(Ordering::Relaxed)
        }
        fn drop_copy(&self) {
            self.copies.lock().unwrap().push("no copy".into());
        }
        fn keep_beside(&self, site: &Site) -> Result<String, String> {
            self.note("beside", site);
            Ok("here".into())
        }
        fn agree(&self) {
            *self.theirs.lock().unwrap() = None;
        }
        fn print(&self, name: &str, _: &str) -> Result<String, String> {
            Ok(name.into())
        }
        fn picture(&self, _: &str) -> Result<exchange::raster::Raster, String> {
            Err("no picture".into())
        }
        fn versions(&self) -> Vec<String> {
            Vec::new()
        }
        fn version(&self, name: &str) -> Result<Site, String> {
            Err(format!("{name}: no version"))
        }
    }

    fn titled(title: &str) -> Site {
        Site { title: title.into(), ..nothing() }
    }

    fn window(copies: &[&str]) -> (App, Arc<Shelf>) {
        bevy::tasks::IoTaskPool::get_or_init(Default::default);
        let shelf = Arc::new(Shelf::default());
        let mut app = App::new();
        app.add_plugins((crate::schedule::plugin, super::super::plugin))
            .init_resource::<Time<Real>>()
            .add_message::<AppExit>()
            .insert_resource(Document::empty());
        let left = |title: &&str| LeftCopy {
            name: format!("copy {title}"),
            site: Ok(Box::new(titled(title))),
            age: "now".into(),
        };
        let opened = Opened {
            site: titled("Saved"),
            folder_name: "garden".into(),
            keep: shelf.clone(),
            copies: copies.iter().map(left).collect(),
        };
        super::super::take(app.world_mut(), opened);
        (app, shelf)
    }

    fn ask(app: &mut App, ask: Ask) {
        app.world_mut().write_message(ask);
        app.update();
    }

    fn name(app: &mut App, title: &str) {
        ask(app, Ask::Edit(Box::new(Edit::SetTitle(title.into())), Held::Once));
    }

    fn title(app: &App) -> String {
        app.world().resource::<Document>().site().title.clone()
    }

    fn said(app: &App) -> String {
        app.world().resource::<Notice>().text.clone()
    }

    #[test]
    fn what_a_crash_left_is_offered_and_can_be_undone_when_taken() {
        let (mut app, shelf) = window(&["Left"]);
        app.update();
        assert_eq!(title(&app), "Saved");
        // While it waits nothing is written over it.
        name(&mut app, "Changed");
        ask(&mut app, Ask::Save);
        assert!(said(&app).starts_with("Say first"), "{}", said(&app));
        assert!(shelf.file.lock().unwrap().is_none());
        ask(&mut app, Ask::Undo);
        ask(&mut app, Ask::Settle(Answer::TakeCopy));
        assert_eq!(title(&app), "Left");
        assert!(!app.world().resource::<Document>().is_saved());
        ask(&mut app, Ask::Undo);
        assert_eq!(title(&app), "Saved");
        ask(&mut app, Ask::Redo);
        ask(&mut app, Ask::Save);
        assert_eq!(
            shelf.file.lock().unwrap().as_ref().map(|s| s.title.clone()).as_deref(),
            Some("Left")
        );
    }

    #[test]
    fn what_a_crash_left_can_be_set_aside() {
        let (mut app, _) = window(&["Left"]);
        ask(&mut app, Ask::Settle(Answer::SetCopyAside));
        assert_eq!(
            (title(&app).as_str(), said(&app).as_str()),
            ("Saved", "The unsaved work stands in there, from copy Left")
        );
        assert!(app.world().resource::<Safe>().question.is_none());
    }

    #[test]
    fn a_copy_whose_file_cannot_be_written_is_not_taken_and_asked_about_again() {
        let (mut app, shelf) = window(&["Left"]);
        shelf.is_full.store(true, Ordering::Relaxed);
        ask(&mut app, Ask::Settle(Answer::TakeCopy));
        assert_eq!((title(&app).as_str(), said(&app).as_str()), ("Saved", "The disk is full"));
        assert!(matches!(app.world().resource::<Safe>().question, Some(Question::Left(_))));
        shelf.is_full.store(false, Ordering::Relaxed);
        ask(&mut app, Ask::Settle(Answer::TakeCopy));
        assert_eq!(title(&app), "Left");
        assert!(app.world().resource::<Safe>().question.is_none());
    }

    #[test]
    fn each_copy_is_asked_about_and_none_taken_is_lost() {
        let (mut app, shelf) = window(&["First", "Second", "Third"]);
        ask(&mut app, Ask::Settle(Answer::TakeCopy));
        ask(&mut app, Ask::Settle(Answer::SetCopyAside));
        assert_eq!(said(&app), "The unsaved work stands in there, from copy Second");
        ask(&mut app, Ask::Settle(Answer::TakeCopy));
        assert_eq!(title(&app), "Third");
        assert!(app.world().resource::<Safe>().question.is_none());
        let copies = ["from copy First First", "beside First", "from copy Third Third"];
        assert_eq!(*shelf.copies.lock().unwrap(), copies);
    }

    #[test]
    fn a_survey_that_somebody_changed_is_told_when_the_site_is_saved() {
        let (mut app, shelf) = window(&[]);
        name(&mut app, "Mine");
        shelf.survey_changed.store(true, Ordering::Relaxed);
        ask(&mut app, Ask::Save);
        assert!(said(&app).contains("the survey's file has changed"), "{}", said(&app));
        assert!(app.world().resource::<Document>().is_saved());
    }

    #[test]
    fn a_file_that_changed_is_asked_about_and_both_stay() {
        let (mut app, shelf) = window(&[]);
        *shelf.theirs.lock().unwrap() = Some(titled("Theirs"));
        name(&mut app, "Mine");
        for answer in [Answer::Later, Answer::TakeTheirs] {
            ask(&mut app, Ask::Save);
            assert!(matches!(
                app.world().resource::<Safe>().question,
                Some(Question::Changed(Ok(_)))
            ));
            assert!(shelf.file.lock().unwrap().is_none());
            ask(&mut app, Ask::Settle(answer));
        }
        assert_eq!(title(&app), "Theirs");
        assert!(app.world().resource::<Document>().is_saved());
        assert_eq!(*shelf.copies.lock().unwrap(), ["beside Mine", "no copy"]);
        ask(&mut app, Ask::Undo);
        assert_eq!(title(&app), "Mine");
        *shelf.theirs.lock().unwrap() = Some(titled("Theirs again"));
        ask(&mut app, Ask::Save);
        ask(&mut app, Ask::Settle(Answer::WriteMine));
        assert_eq!(
            shelf.file.lock().unwrap().as_ref().map(|s| s.title.clone()).as_deref(),
            Some("Mine")
        );
    }

    #[test]
    fn a_window_that_closes_keeps_what_was_not_saved() {
        let (mut app, shelf) = window(&[]);
        app.world_mut().write_message(AppExit::Success);
        app.update();
        assert!(shelf.copies.lock().unwrap().is_empty());
        name(&mut app, "Mine");
        app.world_mut().write_message(AppExit::Success);
        app.update();
        assert_eq!(*shelf.copies.lock().unwrap(), ["copy of Mine"]);
    }
}
