//! The document: the one thing that is stored, and the one place that may change it.

pub(crate) mod safe;

use std::sync::Arc;

use bevy::prelude::*;
use bevy::window::{PrimaryWindow, WindowCloseRequested};
use site::{Edit, Gesture, History, Site};

use crate::keep::{Keep, NotSaved, Opened, Over};
use crate::schedule::ViewSet;
use safe::{Question, Safe};

/// The site with its history, and a number that grows with every change.
#[derive(Resource)]
pub(crate) struct Document {
    history: History,
    /// The site as this window opened it.
    first: Arc<Site>,
    revision: u64,
}

/// Something asked of the document.
#[derive(Message, Clone, Debug)]
pub(crate) enum Ask {
    /// Change the site; the edits of one drag are one step.
    Edit(Box<Edit>, Held),
    /// Take a whole site, such as one with a remedy taken.
    Replace(Arc<Site>),
    /// Go back one step.
    Undo,
    /// Go forward one step.
    Redo,
    /// Write the site to its folder.
    Save,
    /// Do what was answered to the question that stands.
    Settle(safe::Answer),
}

/// Whether the hand still holds what it changes.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Held {
    /// Typed, or let go.
    Once,
    /// Dragged: more will follow.
    Dragging,
}

/// Who keeps the site in its folder; none while there is no site.
#[derive(Resource, Clone)]
pub(crate) struct Saving {
    /// The keeper.
    pub keep: Arc<dyn Keep>,
}

/// What the screen says for a while.
#[derive(Resource, Default)]
pub(crate) struct Notice {
    /// One sentence.
    pub text: String,
    /// Seconds for which it still stands.
    pub left_s: f32,
}

/// Seconds after the first change that is not saved until a copy is written.
const AUTOSAVE_AFTER_S: f32 = 2.0;

/// A sentence grows no older than this within one frame, in seconds.
const LONGEST_FRAME_S: f32 = 0.25;

/// What is said when a site was saved whose survey somebody has changed meanwhile.
const SURVEY_CHANGED: &str = "Saved; but the survey's file has changed since this window read it. \
    Open the site again to work on the new one";

impl Document {
    /// Begins with a site as read from its file.
    pub(crate) fn opened(site: Site) -> Self {
        let history = History::opened(site);
        Self { first: history.present().clone(), history, revision: 1 }
    }

    /// Begins with nothing.
    pub(crate) fn empty() -> Self {
        Self::opened(safe::nothing())
    }

    /// The site as this window opened it.
    pub(crate) fn first(&self) -> &Arc<Site> {
        &self.first
    }

    /// The site as the file was last known to hold it.
    pub(crate) fn saved(&self) -> &Arc<Site> {
        self.history.saved().unwrap_or(&self.first)
    }

    /// The site as it stands.
    pub(crate) fn site(&self) -> &Arc<Site> {
        self.history.present()
    }

    /// Grows with every change.
    pub(crate) fn revision(&self) -> u64 {
        self.revision
    }

    /// Whether the file holds the site as it stands.
    pub(crate) fn is_saved(&self) -> bool {
        self.history.is_saved()
    }

    /// Whether there is a step back.
    pub(crate) fn can_undo(&self) -> bool {
        self.history.can_undo()
    }

    /// Whether there is a step forward.
    pub(crate) fn can_redo(&self) -> bool {
        self.history.can_redo()
    }
}

impl Notice {
    /// Says a sentence for a few seconds.
    pub(crate) fn say(&mut self, text: impl Into<String>) {
        self.text = text.into();
        self.left_s = 6.0;
    }
}

pub(crate) fn plugin(app: &mut App) {
    app.add_message::<Ask>();
    app.init_resource::<Notice>();
    app.init_resource::<Safe>();
    app.add_message::<WindowCloseRequested>();
    app.add_systems(Update, (apply, autosave, fade).chain().in_set(ViewSet::Apply));
    app.add_systems(Last, keep_at_the_end);
}

/// Takes a site that was opened in place of what stood before.
pub(crate) fn take(world: &mut World, opened: Opened) {
    let revision = world.resource::<Document>().revision + 1;
    world.insert_resource(Document { revision, ..Document::opened(opened.site) });
    world.insert_resource(Saving { keep: opened.keep });
    *world.resource_mut::<Safe>() = Safe::asking(opened.copies);
    let mut windows = world.query_filtered::<&mut Window, With<PrimaryWindow>>();
    for mut window in windows.iter_mut(world) {
        window.title = format!("{} - Tarnwright", opened.folder_name);
    }
}

fn apply(
    mut asks: MessageReader<Ask>,
    mut document: ResMut<Document>,
    mut notice: ResMut<Notice>,
    mut safe: ResMut<Safe>,
    mut drags: Local<u64>,
    saving: Option<Res<Saving>>,
    buttons: Option<Res<ButtonInput<MouseButton>>>,
) {
    let document = &mut *document;
    for ask in asks.read() {
        let before = document.site().clone();
        let outcome = match ask {
            Ask::Edit(edit, Held::Dragging) => {
                document.history.edit(edit, Gesture::Drag(*drags)).map_err(|e| e.to_string())
            }
            Ask::Edit(edit, Held::Once) => {
                document.history.edit(edit, Gesture::Single).map_err(|e| e.to_string())
            }
            Ask::Replace(site) => {
                document.history.replace(Site::clone(site)).map_err(|e| e.to_string())
            }
            Ask::Undo => {
                document.history.undo();
                Ok(())
            }
            Ask::Redo => {
                document.history.redo();
                Ok(())
            }
            Ask::Save => save(document, saving.as_deref(), &mut safe, &mut notice),
            Ask::Settle(answer) => {
                let done = safe::settle(*answer, document, saving.as_deref(), &mut safe);
                done.map(|said| said.into_iter().for_each(|said| notice.say(said)))
            }
        };
        if let Err(refused) = outcome {
            notice.say(sentence(&refused));
        }
        if !Arc::ptr_eq(&before, document.site()) {
            document.revision += 1;
        }
    }
    if buttons.is_some_and(|buttons| buttons.just_released(MouseButton::Left)) {
        *drags += 1;
        document.history.end_gesture();
    }
}

fn save(
    document: &mut Document,
    saving: Option<&Saving>,
    safe: &mut Safe,
    notice: &mut Notice,
) -> Result<(), String> {
    let Some(saving) = saving else { return Err("there is no folder to save to".into()) };
    if safe.question.is_some() {
        return Err("say first what is to become of the other work".into());
    }
    safe.wait();
    let site = document.site().clone();
    match saving.keep.save(&site, Over::Own) {
        Ok(()) => {
            document.history.mark_saved(&site);
            notice.say(if saving.keep.has_survey_changed() { SURVEY_CHANGED } else { "Saved" });
            Ok(())
        }
        Err(NotSaved::Failed(why)) => Err(why),
        Err(NotSaved::Changed(theirs)) => {
            safe.question = Some(Question::Changed(theirs));
            Ok(())
        }
    }
}

fn autosave(
    document: Res<Document>,
    saving: Option<Res<Saving>>,
    mut safe: ResMut<Safe>,
    time: Res<Time<Real>>,
    mut written: Local<u64>,
    mut waited_s: Local<f32>,
) {
    let Some(saving) = saving else { return };
    if document.is_saved() || *written == document.revision {
        *waited_s = 0.0;
        if document.is_saved() && *written != 0 {
            // Undone to what is saved: a copy would tell of work that nobody lost.
            safe.wait();
            saving.keep.drop_copy();
            *written = 0;
        }
        return;
    }
    *waited_s += time.delta_secs();
    let is_copying = safe.copying.as_ref().is_some_and(|task| !task.is_finished());
    if *waited_s > AUTOSAVE_AFTER_S && !is_copying {
        (*waited_s, *written) = (0.0, document.revision);
        let (site, keep) = (document.site().clone(), saving.keep.clone());
        // A copy that cannot be written must not disturb the work; the next one tries again.
        let task = bevy::tasks::IoTaskPool::get()
            .spawn(async move { keep.autosave(&site).unwrap_or_default() });
        safe.copying = Some(task);
    }
}

/// A window that closes leaves a copy of what was not saved.
fn keep_at_the_end(
    mut closes: MessageReader<WindowCloseRequested>,
    mut exits: MessageReader<AppExit>,
    document: Res<Document>,
    saving: Option<Res<Saving>>,
    mut safe: ResMut<Safe>,
) {
    let ends = closes.read().count() + exits.read().count() > 0;
    if let Some(saving) = saving.filter(|_| ends && !document.is_saved())
        && let Err(why) = safe.keep_unsaved(document.site(), &*saving.keep)
    {
        bevy::log::error!("what was not saved could not be kept: {why}");
    }
}

fn fade(time: Res<Time<Real>>, mut notice: ResMut<Notice>) {
    if notice.left_s > 0.0 {
        // However long a frame takes, what is said is seen for some frames.
        notice.left_s -= time.delta_secs().min(LONGEST_FRAME_S);
        if notice.left_s <= 0.0 {
            notice.text.clear();
        }
    }
}

/// A library's message as a sentence for people.
pub(crate) fn sentence(message: &str) -> String {
    let mut letters = message.chars();
    letters.next().map_or_else(String::new, |first| first.to_uppercase().chain(letters).collect())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn messages_begin_like_sentences() {
        assert_eq!(sentence("there is no work 4"), "There is no work 4");
        assert_eq!(sentence(""), "");
    }
}
