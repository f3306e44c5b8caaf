//! Every command of the screen, once: its label, its tooltip and its key.

mod words;

use design::hand::{Kind, Snap};
use egui::{Key, KeyboardShortcut, Modifiers};

use crate::hand::Deed;

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
    /// Do what the finding that is read advises.
    TakeRemedy,
    /// The section along a line.
    Section,
    /// The job, step by step.
    Play,
    /// Let the job go on by itself, or hold it.
    RunJob,
    /// The job's next step.
    StepOn,
    /// The job's step before.
    StepBack,
    /// The earth sheet.
    Earth,
    /// The water sheet.
    Water,
    /// Draw the section's line.
    DrawLine,
    /// Write the section as a sheet.
    PrintSection,
    /// Choose nothing.
    PutDown,
    /// The garden as it was, or as it will be.
    Before,
    /// What was surveyed.
    SurveyPoints,
    /// Plans and aerials on the ground.
    Pictures,
    /// Squared paper over the plan.
    Grid,
    /// Keep where the eye stands as a viewpoint.
    KeepView,
    /// Read and write in the next unit of length.
    Units,
    /// Dark paper, or pale.
    Evening,
    /// Larger letters.
    Larger,
    /// Smaller letters.
    Smaller,
    /// The least change that reaches a goal.
    Balance,
    /// Another version beside the present one.
    Beside,
    /// Still everything that moves by itself.
    Still,
    /// Draw a new work.
    Draw(Kind),
    /// Do something with the chosen work.
    Deed(Deed),
    /// Put a point behind the chosen one.
    AddPoint,
    /// Take out the chosen point, or the chosen work.
    TakeOut,
    /// Read levels and grades.
    Levels,
    /// Follow the rain.
    Rain,
    /// Whither the ground falls, all over it.
    Arrows,
    /// The ground by its height against a level.
    Heights,
    /// How ponds go round.
    Rounds,
    /// Be drawn to something, or not.
    Snap(Snap),
    /// Show the tools, or put them away.
    Tools,
    /// The works as they are built.
    Order,
    /// Build the chosen work one place earlier.
    Earlier,
    /// Build the chosen work one place later.
    Later,
    /// Draw what stands on the chosen work, or not.
    Hide,
    /// Every command by name.
    Find,
    /// Show hints anew.
    HintsAgain,
}

/// What can be drawn, in the order of the tools.
pub(crate) const DRAWS: [Command; 11] = [
    Command::Draw(Kind::Basin),
    Command::Draw(Kind::Stream),
    Command::Draw(Kind::FilterBed),
    Command::Draw(Kind::IntakeBay),
    Command::Draw(Kind::Hill),
    Command::Draw(Kind::Wall),
    Command::Draw(Kind::Pad),
    Command::Draw(Kind::Path),
    Command::Draw(Kind::PlaneGrade),
    Command::Draw(Kind::Trench),
    Command::Draw(Kind::Strip),
];

/// What can be done with a whole work.
pub(crate) const DEEDS: [Command; 5] = [
    Command::Deed(Deed::Copy),
    Command::Deed(Deed::Mirror),
    Command::Deed(Deed::Beside),
    Command::Deed(Deed::Cut),
    Command::Deed(Deed::Join),
];

/// How the ground is judged.
pub(crate) const JUDGES: [Command; 5] =
    [Command::Levels, Command::Rain, Command::Arrows, Command::Heights, Command::Rounds];

impl Command {
    /// Every command, in the order in which keys are read: longer shortcuts first.
    pub(crate) const ALL: [Self; 76] = [
        Self::HintsAgain,
        Self::Find,
        Self::Earlier,
        Self::Later,
        Self::Draw(Kind::Basin),
        Self::Draw(Kind::Stream),
        Self::Draw(Kind::IntakeBay),
        Self::Draw(Kind::Trench),
        Self::Draw(Kind::Strip),
        Self::Draw(Kind::Hill),
        Self::Draw(Kind::PlaneGrade),
        Self::Draw(Kind::Wall),
        Self::Draw(Kind::FilterBed),
        Self::Draw(Kind::Pad),
        Self::Draw(Kind::Path),
        Self::Deed(Deed::Copy),
        Self::Deed(Deed::Mirror),
        Self::Deed(Deed::Beside),
        Self::Deed(Deed::Cut),
        Self::Deed(Deed::Join),
        Self::Levels,
        Self::Rain,
        Self::Arrows,
        Self::Heights,
        Self::Rounds,
        Self::Snap(Snap::Survey),
        Self::Snap(Snap::Breaklines),
        Self::Snap(Snap::Works),
        Self::Snap(Snap::RightAngles),
        Self::Snap(Snap::Lengths),
        Self::Snap(Snap::Levels),
        Self::AddPoint,
        Self::TakeOut,
        Self::Tools,
        Self::Order,
        Self::Hide,
        Self::KeepView,
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
        Self::TakeRemedy,
        Self::PrintSection,
        Self::Section,
        Self::Play,
        Self::RunJob,
        Self::StepOn,
        Self::StepBack,
        Self::Earth,
        Self::Water,
        Self::DrawLine,
        Self::PutDown,
        Self::Before,
        Self::SurveyPoints,
        Self::Pictures,
        Self::Grid,
        Self::Units,
        Self::Evening,
        Self::Larger,
        Self::Smaller,
        Self::Balance,
        Self::Beside,
        Self::Still,
    ];

    /// Whether its key gives it again and again while it is held down.
    pub(crate) fn repeats(self) -> bool {
        matches!(
            self,
            Self::Undo | Self::Redo | Self::Larger | Self::Smaller | Self::StepOn | Self::StepBack
        )
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
            Self::TakeRemedy => (Modifiers::NONE, Key::Enter),
            Self::Section => (Modifiers::NONE, Key::X),
            Self::Play => (Modifiers::NONE, Key::J),
            Self::RunJob => (Modifiers::NONE, Key::Space),
            Self::StepOn => (Modifiers::NONE, Key::Period),
            Self::StepBack => (Modifiers::NONE, Key::Comma),
            Self::Earth => (Modifiers::NONE, Key::Num9),
            Self::Water => (Modifiers::NONE, Key::R),
            Self::DrawLine => (Modifiers::NONE, Key::L),
            Self::PrintSection => (Modifiers::NONE, Key::P),
            Self::PutDown => (Modifiers::NONE, Key::Escape),
            Self::Before => (Modifiers::NONE, Key::E),
            Self::SurveyPoints => (Modifiers::NONE, Key::Y),
            Self::Pictures => (Modifiers::NONE, Key::Q),
            Self::Grid => (Modifiers::NONE, Key::Num8),
            Self::KeepView => (Modifiers::SHIFT, Key::V),
            Self::Units => (Modifiers::NONE, Key::U),
            Self::Evening => (Modifiers::NONE, Key::I),
            Self::Larger => (Modifiers::COMMAND, Key::Plus),
            Self::Smaller => (Modifiers::COMMAND, Key::Minus),
            Self::Balance => (Modifiers::NONE, Key::N),
            Self::Beside => (Modifiers::NONE, Key::Num0),
            Self::Still => (Modifiers::NONE, Key::M),
            Self::Draw(kind) => {
                let key = match kind {
                    Kind::Basin => Key::P,
                    Kind::Stream => Key::S,
                    Kind::IntakeBay => Key::I,
                    Kind::Trench => Key::T,
                    Kind::Strip => Key::O,
                    Kind::Hill => Key::H,
                    Kind::PlaneGrade => Key::L,
                    Kind::Wall => Key::W,
                    Kind::FilterBed => Key::F,
                    Kind::Pad => Key::B,
                    Kind::Path => Key::A,
                };
                (Modifiers::SHIFT, key)
            }
            Self::Deed(deed) => {
                let key = match deed {
                    Deed::Copy => Key::C,
                    Deed::Mirror => Key::M,
                    Deed::Beside => Key::N,
                    Deed::Cut => Key::X,
                    Deed::Join => Key::J,
                };
                (Modifiers::SHIFT, key)
            }
            Self::AddPoint => (Modifiers::NONE, Key::Insert),
            Self::TakeOut => (Modifiers::NONE, Key::Delete),
            Self::Levels => (Modifiers::SHIFT, Key::G),
            Self::Rain => (Modifiers::SHIFT, Key::R),
            Self::Arrows => (Modifiers::SHIFT, Key::Y),
            Self::Heights => (Modifiers::SHIFT, Key::E),
            Self::Rounds => (Modifiers::SHIFT, Key::K),
            Self::Snap(snap) => {
                let key = match snap {
                    Snap::Survey => Key::Num1,
                    Snap::Breaklines => Key::Num2,
                    Snap::Works => Key::Num3,
                    Snap::RightAngles => Key::Num4,
                    Snap::Lengths => Key::Num5,
                    Snap::Levels => Key::Num6,
                };
                (Modifiers::ALT, key)
            }
            Self::Tools => (Modifiers::NONE, Key::T),
            Self::Order => (Modifiers::NONE, Key::B),
            Self::Earlier => (Modifiers::COMMAND, Key::ArrowUp),
            Self::Later => (Modifiers::COMMAND, Key::ArrowDown),
            Self::Hide => (Modifiers::NONE, Key::H),
            Self::Find => (Modifiers::NONE, Key::F1),
            Self::HintsAgain => (Modifiers::SHIFT, Key::F1),
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
        if shortcut.modifiers.alt {
            text.push_str("Alt ");
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
    fn no_shortcut_is_taken_by_one_that_is_read_before_it() {
        // A shorter one is logically pressed too while a longer one is.
        for (i, early) in Command::ALL.iter().enumerate() {
            for late in &Command::ALL[i + 1..] {
                let [first, then] = [early, late].map(|command| command.shortcut());
                let takes = first.logical_key == then.logical_key
                    && then.modifiers.matches_logically(first.modifiers);
                assert!(!takes, "{early:?} hides {late:?}");
            }
        }
    }
}
