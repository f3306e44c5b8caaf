//! Undo and redo without limit: whole earlier sites, cheap since the survey is shared.

use std::sync::Arc;

use crate::Site;
use crate::edit::{Edit, EditError, apply};

/// Whether an edit stands alone or belongs to a drag.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Gesture {
    /// One edit is one step.
    Single,
    /// Edits of one drag share a number and are one step together.
    Drag(u64),
}

/// A site with its earlier and later versions.
#[derive(Clone, Debug)]
pub struct History {
    past: Vec<Arc<Site>>,
    present: Arc<Site>,
    future: Vec<Arc<Site>>,
    saved: Option<Arc<Site>>,
    open: Option<u64>,
}

impl History {
    /// Begins with a site as it was read from its file: saved, nothing to undo.
    pub fn opened(site: Site) -> Self {
        let present = Arc::new(site);
        let saved = Some(Arc::clone(&present));
        Self { past: Vec::new(), present, future: Vec::new(), saved, open: None }
    }

    /// Begins with a new site that no file holds yet.
    pub fn unsaved(site: Site) -> Self {
        Self { saved: None, ..Self::opened(site) }
    }

    /// The site as it stands.
    pub fn present(&self) -> &Arc<Site> {
        &self.present
    }

    /// Edits the site; what was undone can no longer be redone.
    ///
    /// An edit that changes nothing makes no step.
    ///
    /// # Errors
    /// [`EditError`] when the edit is refused; nothing has changed then.
    pub fn edit(&mut self, edit: &Edit, gesture: Gesture) -> Result<(), EditError> {
        let new = apply(&self.present, edit)?;
        self.put(new, gesture);
        Ok(())
    }

    /// Takes a whole site, such as one with a remedy taken, as one step.
    ///
    /// # Errors
    /// [`EditError::Invalid`] when the site breaks a rule.
    pub fn replace(&mut self, site: Site) -> Result<(), EditError> {
        site.check()?;
        self.put(site, Gesture::Single);
        Ok(())
    }

    /// Ends the drag: the next edit is a step of its own.
    ///
    /// A drag that came back to where it began leaves no step.
    pub fn end_gesture(&mut self) {
        if self.open.take().is_some() && self.past.last().is_some_and(|p| **p == *self.present) {
            self.present = self.past.pop().unwrap_or_else(|| Arc::clone(&self.present));
        }
    }

    /// Goes back one step; false when there is none.
    pub fn undo(&mut self) -> bool {
        self.end_gesture();
        let Some(earlier) = self.past.pop() else { return false };
        self.future.push(std::mem::replace(&mut self.present, earlier));
        true
    }

    /// Goes forward one step that was undone; false when there is none.
    pub fn redo(&mut self) -> bool {
        self.end_gesture();
        let Some(later) = self.future.pop() else { return false };
        self.past.push(std::mem::replace(&mut self.present, later));
        true
    }

    /// Whether there is a step to undo.
    pub fn can_undo(&self) -> bool {
        !self.past.is_empty()
    }

    /// Whether there is a step to redo.
    pub fn can_redo(&self) -> bool {
        !self.future.is_empty()
    }

    /// Notes that a file now holds `site`, which may be older than the present one.
    pub fn mark_saved(&mut self, site: &Arc<Site>) {
        self.saved = Some(Arc::clone(site));
    }

    /// The site that a file was last known to hold, if any does.
    pub fn saved(&self) -> Option<&Arc<Site>> {
        self.saved.as_ref()
    }

    /// Whether the file holds the site as it stands.
    pub fn is_saved(&self) -> bool {
        self.saved.as_ref().is_some_and(|saved| Arc::ptr_eq(saved, &self.present))
    }

    fn put(&mut self, new: Site, gesture: Gesture) {
        if new == *self.present {
            return;
        }
        let goes_on = matches!(gesture, Gesture::Drag(n) if self.open == Some(n));
        let old = std::mem::replace(&mut self.present, Arc::new(new));
        if !goes_on {
            self.past.push(old);
        }
        self.open = match gesture {
            Gesture::Single => None,
            Gesture::Drag(n) => Some(n),
        };
        self.future.clear();
    }
}
