//! Where widgets are on the screen, kept for whoever asks: tests that drive the real window.

use std::collections::BTreeMap;

use egui::{Context, Id, Rect};

/// Rectangles by name, in points.
pub(crate) type Marks = BTreeMap<String, Rect>;

fn id() -> Id {
    Id::new("tarnwright marks")
}

/// Begins to keep rectangles.
pub(crate) fn keep(ctx: &Context) {
    ctx.data_mut(|data| data.insert_temp(id(), Some(Marks::new())));
}

/// Notes where a widget is, if rectangles are kept.
pub(crate) fn note(ctx: &Context, name: &str, rect: Rect) {
    ctx.data_mut(|data| {
        if let Some(marks) = data.get_temp_mut_or_default::<Option<Marks>>(id()) {
            marks.insert(name.to_owned(), rect);
        }
    });
}

/// Forgets what was noted in this pass: something has not found its place yet.
pub(crate) fn unsettled(ctx: &Context) {
    ctx.data_mut(|data| data.insert_temp(id().with("unsettled"), true));
}

/// Takes what was noted since the last time.
pub(crate) fn take(ctx: &Context) -> Marks {
    ctx.data_mut(|data| {
        let noted = data.get_temp_mut_or_default::<Option<Marks>>(id()).as_mut();
        let noted = noted.map(std::mem::take).unwrap_or_default();
        let is_settled = data.remove_temp::<bool>(id().with("unsettled")).is_none();
        if is_settled { noted } else { Marks::new() }
    })
}
