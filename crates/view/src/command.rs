//! Every command of the screen, once: its label, its tooltip and its key.

use egui::{Key, KeyboardShortcut, Modifiers};

/// Something that a key or a word on the screen does.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub(crate) enum Command {
    /// Go back one step.
    Undo,
    /// Go forward one step.
    Redo,
    /// Write the site.
    Save,
    /// Look from above.
    Plan,
    /// Look from the air.
    BirdsEye,
    /// Stand in the garden.
    Walk,
    /// Cut and fill in colours.
    Depths,
    /// Slopes in colours.
    Slopes,
    /// The old ground's ghost.
    Existing,
    /// Marks of what stays, and heaps.
    KeepOuts,
    /// The garden when all is built.
    Finished,
    /// The ground without its topsoil.
    Stripped,
    /// The ground to which the machine digs and fills.
    Subgrade,
    /// The subgrade with its liner.
    Liner,
    /// Bring all works into view.
    Whole,
    /// Go to the next viewpoint.
    NextViewpoint,
    /// Go to the next finding.
    NextFinding,
    /// The section along a line.
    Section,
    /// The job, step by step.
    Play,
    /// The water sheet.
    Water,
    /// Draw the section's line.
    DrawLine,
    /// Write the section as a sheet.
    PrintSection,
    /// Choose nothing.
    PutDown,
    /// Still everything that moves by itself.
    Still,
}

impl Command {
    /// Every command, in the order in which keys are read: longer shortcuts first.
    pub(crate) const ALL: [Self; 24] = [
        Self::Redo,
        Self::Undo,
        Self::Save,
        Self::Plan,
        Self::BirdsEye,
        Self::Walk,
        Self::Depths,
        Self::Slopes,
        Self::Existing,
        Self::KeepOuts,
        Self::Finished,
        Self::Stripped,
        Self::Subgrade,
        Self::Liner,
        Self::Whole,
        Self::NextViewpoint,
        Self::NextFinding,
        Self::PrintSection,
        Self::Section,
        Self::Play,
        Self::Water,
        Self::DrawLine,
        Self::PutDown,
        Self::Still,
    ];

    /// What it is called.
    pub(crate) fn label(self) -> &'static str {
        match self {
            Self::Undo => "Undo",
            Self::Redo => "Redo",
            Self::Save => "Save",
            Self::Plan => "Plan",
            Self::BirdsEye => "Bird's-eye",
            Self::Walk => "Walk",
            Self::Depths => "Cut and fill",
            Self::Slopes => "Slopes",
            Self::Existing => "Old ground",
            Self::KeepOuts => "Keep-outs",
            Self::Finished => "Finished",
            Self::Stripped => "Stripped",
            Self::Subgrade => "Subgrade",
            Self::Liner => "Liner",
            Self::Whole => "All works",
            Self::NextViewpoint => "Next viewpoint",
            Self::NextFinding => "Next finding",
            Self::Section => "Section",
            Self::Play => "Play the job",
            Self::Water => "Water",
            Self::DrawLine => "draw another line",
            Self::PrintSection => "print",
            Self::PutDown => "Put down",
            Self::Still => "Stillness",
        }
    }

    /// What it does, in a sentence.
    pub(crate) fn tooltip(self) -> &'static str {
        match self {
            Self::Undo => "Take back the last change",
            Self::Redo => "Make the change again that was taken back",
            Self::Save => "Write the site to its folder; the one before is kept beside it",
            Self::Plan => "Look from above, true to scale",
            Self::BirdsEye => "Look from the air; drag turns, right drag slides, the wheel nears",
            Self::Walk => "Stand in the garden; W A S D walks, drag looks around",
            Self::Depths => "Show where ground is cut and where it is filled, and how much",
            Self::Slopes => "Show how steep the ground is",
            Self::Existing => "Show the old ground where it differs from the finished",
            Self::KeepOuts => {
                "Mark trees' roots, buried lines, distances to keep, and heaps of earth"
            }
            Self::Finished => "Show the garden when all is built",
            Self::Stripped => "Show the ground with its topsoil off, before anything is dug",
            Self::Subgrade => "Show the ground to which the machine digs and fills",
            Self::Liner => "Show the liner laid on the subgrade",
            Self::Whole => "Bring all works into view",
            Self::NextViewpoint => "Stand where people will look from",
            Self::NextFinding => "Go to the next finding",
            Self::Section => {
                "Cut the garden open along a line: across the chosen work, or through it all"
            }
            Self::Water => "What the pumps move, how thick the water falls, and the levels",
            Self::Play => "Run the job from survey to water, step by step",
            Self::DrawLine => "Click where the section is to run",
            Self::PrintSection => "Write the section as a sheet, true to scale, beside the site",
            Self::PutDown => "Close the card",
            Self::Still => "Hold water and moves of the eye still, or let them go on",
        }
    }

    /// Its key.
    pub(crate) fn shortcut(self) -> KeyboardShortcut {
        let (modifiers, key) = match self {
            Self::Undo => (Modifiers::COMMAND, Key::Z),
            Self::Redo => (Modifiers::COMMAND.plus(Modifiers::SHIFT), Key::Z),
            Self::Save => (Modifiers::COMMAND, Key::S),
            Self::Plan => (Modifiers::NONE, Key::Num1),
            Self::BirdsEye => (Modifiers::NONE, Key::Num2),
            Self::Walk => (Modifiers::NONE, Key::Num3),
            Self::Depths => (Modifiers::NONE, Key::C),
            Self::Slopes => (Modifiers::NONE, Key::G),
            Self::Existing => (Modifiers::NONE, Key::O),
            Self::KeepOuts => (Modifiers::NONE, Key::K),
            Self::Finished => (Modifiers::NONE, Key::Num7),
            Self::Stripped => (Modifiers::NONE, Key::Num4),
            Self::Subgrade => (Modifiers::NONE, Key::Num5),
            Self::Liner => (Modifiers::NONE, Key::Num6),
            Self::Whole => (Modifiers::NONE, Key::Home),
            Self::NextViewpoint => (Modifiers::NONE, Key::V),
            Self::NextFinding => (Modifiers::NONE, Key::F),
            Self::Section => (Modifiers::NONE, Key::X),
            Self::Play => (Modifiers::NONE, Key::J),
            Self::Water => (Modifiers::NONE, Key::R),
            Self::DrawLine => (Modifiers::NONE, Key::L),
            Self::PrintSection => (Modifiers::NONE, Key::P),
            Self::PutDown => (Modifiers::NONE, Key::Escape),
            Self::Still => (Modifiers::NONE, Key::M),
        };
        KeyboardShortcut::new(modifiers, key)
    }

    /// Its key as people read it.
    pub(crate) fn key_text(self) -> String {
        let shortcut = self.shortcut();
        let mut text = String::new();
        if shortcut.modifiers.command {
            text.push_str("Ctrl ");
        }
        if shortcut.modifiers.shift {
            text.push_str("Shift ");
        }
        text + shortcut.logical_key.name()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_key_stands_for_one_command() {
        let mut keys: Vec<_> = Command::ALL.iter().map(|command| command.key_text()).collect();
        keys.sort();
        keys.dedup();
        assert_eq!(keys.len(), Command::ALL.len());
    }

    #[test]
    fn longer_shortcuts_are_read_first() {
        let place = |command| Command::ALL.iter().position(|c| *c == command).unwrap();
        assert!(place(Command::Redo) < place(Command::Undo));
    }
}
