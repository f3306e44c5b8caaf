//! The document: the one thing that is stored, and the one place that may change it.

use std::sync::Arc;

use bevy::prelude::*;
use site::{Edit, Gesture, History, Site};

use crate::schedule::ViewSet;

/// The site with its history, and a number that grows with every change.
#[derive(Resource)]
pub(crate) struct Document {
    history: History,
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
}

/// Whether the hand still holds what it changes.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Held {
    /// Typed, or let go.
    Once,
    /// Dragged: more will follow.
    Dragging,
}

/// Writes a site; answers with a sentence when it cannot.
pub type SaveSite = Arc<dyn Fn(&Site) -> Result<(), String> + Send + Sync>;

/// Writes a sheet under a name; answers with where it stands, or with a sentence when it cannot.
pub type PrintSheet = Arc<dyn Fn(&str, &str) -> Result<String, String> + Send + Sync>;

/// How the document is written.
#[derive(Resource, Clone)]
pub(crate) struct Saving {
    /// Writes the site when asked to.
    pub save: SaveSite,
    /// Writes a copy that survives a crash.
    pub autosave: Option<SaveSite>,
    /// Writes a sheet to print.
    pub print: Option<PrintSheet>,
}

/// What the screen says for a while.
#[derive(Resource, Default)]
pub(crate) struct Notice {
    /// One sentence.
    pub text: String,
    /// Seconds for which it still stands.
    pub left_s: f32,
}

/// Seconds after the last change until a copy is written.
const AUTOSAVE_AFTER_S: f32 = 3.0;

impl Document {
    /// Begins with a site as read from its file.
    pub(crate) fn opened(site: Site) -> Self {
        Self { history: History::opened(site), revision: 1 }
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
    app.add_systems(Update, (apply, autosave, fade).chain().in_set(ViewSet::Apply));
}

fn apply(
    mut asks: MessageReader<Ask>,
    mut document: ResMut<Document>,
    mut notice: ResMut<Notice>,
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
            Ask::Save => save(document, saving.as_deref(), &mut notice),
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
    notice: &mut Notice,
) -> Result<(), String> {
    let Some(saving) = saving else { return Err("there is no folder to save to".into()) };
    let site = document.site().clone();
    (saving.save)(&site)?;
    document.history.mark_saved(&site);
    notice.say("Saved");
    Ok(())
}

fn autosave(
    document: Res<Document>,
    saving: Option<Res<Saving>>,
    time: Res<Time<Real>>,
    mut pending: Local<Option<(u64, f32)>>,
) {
    let Some(write) = saving.as_ref().and_then(|saving| saving.autosave.clone()) else { return };
    let (revision, waited) = pending.unwrap_or((document.revision, f32::INFINITY));
    if revision != document.revision {
        *pending = Some((document.revision, 0.0));
    } else if waited <= AUTOSAVE_AFTER_S {
        let waited = waited + time.delta_secs();
        *pending = Some((revision, waited));
        if waited > AUTOSAVE_AFTER_S && !document.is_saved() {
            let site = document.site().clone();
            // A copy that cannot be written must not disturb the work; the next one tries again.
            bevy::tasks::IoTaskPool::get()
                .spawn(async move { write(&site).unwrap_or_default() })
                .detach();
        }
    } else {
        *pending = Some((revision, waited));
    }
}

fn fade(time: Res<Time<Real>>, mut notice: ResMut<Notice>) {
    if notice.left_s > 0.0 {
        notice.left_s -= time.delta_secs();
        if notice.left_s <= 0.0 {
            notice.text.clear();
        }
    }
}

/// A library's message as a sentence for people.
fn sentence(message: &str) -> String {
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
