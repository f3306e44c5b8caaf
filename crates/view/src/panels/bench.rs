//! A panel on its own, for tests: its state, and where its widgets are.

use egui::{Event, Key, Modifiers, PointerButton, Ui, Vec2};
use egui_kittest::Harness;

use crate::marks::{self, Marks};

/// What a panel was given and what it showed.
pub(crate) struct Bench<S> {
    /// The panel's state with its answers.
    pub state: S,
    /// Where widgets were in the last pass.
    pub marks: Marks,
    passes: usize,
}

/// Shows a panel.
pub(crate) fn bench<'a, S>(
    size: Vec2,
    state: S,
    mut show: impl FnMut(&mut Ui, &mut S) + 'a,
) -> Harness<'a, Bench<S>> {
    let bench = Bench { state, marks: Marks::new(), passes: 0 };
    let mut harness = Harness::builder().with_size(size).build_ui_state(
        move |ui, bench: &mut Bench<S>| {
            // Fonts are there from the pass after the one that names them.
            bench.passes += 1;
            if bench.passes == 1 {
                return crate::theme::install(ui.ctx());
            }
            marks::keep(ui.ctx());
            show(ui, &mut bench.state);
            bench.marks = marks::take(ui.ctx());
        },
        bench,
    );
    harness.run_steps(3);
    harness
}

/// Clicks on the middle of a widget.
pub(crate) fn click<S>(harness: &mut Harness<'_, Bench<S>>, mark: &str) {
    let marks = &harness.state().marks;
    let rect = marks.get(mark).unwrap_or_else(|| panic!("{mark} is not among {:?}", marks.keys()));
    let pos = rect.center();
    harness.event(Event::PointerMoved(pos));
    harness.run_steps(1);
    for pressed in [true, false] {
        let modifiers = Modifiers::NONE;
        let button = PointerButton::Primary;
        harness.event(Event::PointerButton { pos, button, pressed, modifiers });
        harness.run_steps(1);
    }
    harness.run_steps(2);
}

/// Types letters.
pub(crate) fn type_words<S>(harness: &mut Harness<'_, Bench<S>>, words: &str) {
    harness.event(Event::Text(words.into()));
    harness.run_steps(2);
}

/// Presses a key.
pub(crate) fn press<S>(harness: &mut Harness<'_, Bench<S>>, key: Key) {
    harness.key_press(key);
    harness.run_steps(2);
}
