//! The order of a frame.

use bevy::prelude::*;

/// The stages of a frame, in order; each reads what the ones before it have settled.
///
/// Panels run after all of them, in egui's own pass, so an edit is applied at the start of the next
/// frame.
#[derive(SystemSet, Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub(crate) enum ViewSet {
    /// Edits change the document: the only stage that may.
    Apply,
    /// The document is evaluated off the main thread; finished answers come in.
    Derive,
    /// Entities follow the newest evaluation.
    Present,
    /// Keys and pointer move the eye and choose; they send edits.
    Input,
}

pub(crate) fn plugin(app: &mut App) {
    app.configure_sets(
        Update,
        (ViewSet::Apply, ViewSet::Derive, ViewSet::Present, ViewSet::Input).chain(),
    );
}
