//! Every command of the screen, once: its label, its tooltip and its key.

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
    pub(crate) const ALL: [Self; 70] = [
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
        Self::PrintSection,
        Self::Section,
        Self::Play,
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
            Self::Before => "Before",
            Self::SurveyPoints => "Survey",
            Self::Pictures => "Draped picture",
            Self::Grid => "Squares",
            Self::KeepView => "Keep this view",
            Self::Units => "Units",
            Self::Evening => "Evening",
            Self::Larger => "Larger",
            Self::Smaller => "Smaller",
            Self::Balance => "Balance the earth",
            Self::Still => "Stillness",
            Self::Draw(kind) => kind.word(),
            Self::Deed(Deed::Copy) => "copy",
            Self::Deed(Deed::Mirror) => "mirror",
            Self::Deed(Deed::Beside) => "beside",
            Self::Deed(Deed::Cut) => "cut",
            Self::Deed(Deed::Join) => "join",
            Self::AddPoint => "add point",
            Self::TakeOut => "take out",
            Self::Levels => "levels",
            Self::Rain => "rain",
            Self::Arrows => "arrows",
            Self::Heights => "heights",
            Self::Rounds => "rounds",
            Self::Snap(Snap::Survey) => "survey points",
            Self::Snap(Snap::Breaklines) => "breaklines",
            Self::Snap(Snap::Works) => "other works",
            Self::Snap(Snap::RightAngles) => "right angles",
            Self::Snap(Snap::Lengths) => "even lengths",
            Self::Snap(Snap::Levels) => "equal levels",
            Self::Tools => "Tools",
            Self::Order => "Build order",
            Self::Earlier => "Build earlier",
            Self::Later => "Build later",
            Self::Hide => "Hide",
            Self::Find => "Find a command",
            Self::HintsAgain => "Show hints again",
        }
    }

    /// What it is called where nothing around it tells what it is about.
    pub(crate) fn name(self) -> &'static str {
        match self {
            Self::Water => "The water sheet",
            Self::DrawLine => "Draw the section's line",
            Self::PrintSection => "Print the section",
            Self::PutDown => "Put down what is chosen",
            Self::Draw(kind) => match kind {
                Kind::Basin => "Draw a pond",
                Kind::Stream => "Draw a stream",
                Kind::IntakeBay => "Draw an intake bay",
                Kind::Trench => "Draw a trench",
                Kind::Strip => "Draw where topsoil comes off",
                Kind::Hill => "Draw a hill",
                Kind::PlaneGrade => "Draw a lawn",
                Kind::Wall => "Draw a wall",
                Kind::FilterBed => "Draw a planted filter",
                Kind::Pad => "Draw a place to sit",
                Kind::Path => "Draw a path",
            },
            Self::Deed(Deed::Copy) => "Copy the chosen work",
            Self::Deed(Deed::Mirror) => "Mirror the chosen work",
            Self::Deed(Deed::Beside) => "Set the chosen work's line beside itself",
            Self::Deed(Deed::Cut) => "Cut the chosen work in two",
            Self::Deed(Deed::Join) => "Join the chosen work to another",
            Self::AddPoint => "Add a point behind the chosen one",
            Self::TakeOut => "Take out the chosen point or work",
            Self::Levels => "Read levels and the grade between",
            Self::Rain => "See where rain runs",
            Self::Arrows => "Slope arrows",
            Self::Heights => "Heights above a level",
            Self::Rounds => "How ponds go round",
            Self::Snap(Snap::Survey) => "Be drawn to survey points",
            Self::Snap(Snap::Breaklines) => "Be drawn to breaklines",
            Self::Snap(Snap::Works) => "Be drawn to other works",
            Self::Snap(Snap::RightAngles) => "Be drawn to right angles",
            Self::Snap(Snap::Lengths) => "Be drawn to even lengths",
            Self::Snap(Snap::Levels) => "Be drawn to equal levels",
            Self::Hide => "Hide or show what stands on the chosen work",
            other => other.label(),
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
            Self::Before => "Show the ground as it was before; once more shows it as it will be",
            Self::SurveyPoints => "Mark what was surveyed: points with their codes, and breaklines",
            Self::Pictures => "Show the plan or aerial that is draped on the ground",
            Self::Grid => "Rule the plan in squares, true to scale; their step stands by the scale",
            Self::KeepView => "Keep what is seen now as a viewpoint of the site, to come back to",
            Self::Units => "Read and write in feet and inches, in decimal feet, or in metres",
            Self::Evening => "Dark paper for a dark room, or pale paper for a bright one",
            Self::Larger => "Make all letters larger, up to double",
            Self::Smaller => "Make all letters smaller",
            Self::Balance => {
                "Find the least change of some numbers that reaches a goal, such as no truck"
            }
            Self::Still => "Hold water and moves of the eye still, or let them go on",
            Self::Draw(kind) => match kind {
                Kind::Basin => "Draw a pond's outline; it begins with two plant shelves",
                Kind::Stream => {
                    "Draw a stream; it runs downhill and joins the filter and pond at its ends"
                }
                Kind::IntakeBay => "Draw where the pump draws, beside a pond",
                Kind::Trench => "Draw a trench for a pipe",
                Kind::Strip => "Outline ground whose topsoil comes off too",
                Kind::Hill => "Draw a hill along its crest; one point makes a round one",
                Kind::PlaneGrade => "Outline a lawn that is graded to one plane",
                Kind::Wall => "Draw a wall; it holds the higher side",
                Kind::FilterBed => "Outline a planted filter; its lip lies at its lowest ground",
                Kind::Pad => "Outline a plane place to sit",
                Kind::Path => "Draw a path on the ground as it lies",
            },
            Self::Deed(Deed::Copy) => "Build the chosen work once more, elsewhere",
            Self::Deed(Deed::Mirror) => "Build the chosen work once more, mirrored in a line",
            Self::Deed(Deed::Beside) => "Build it once more with its line beside this one",
            Self::Deed(Deed::Cut) => {
                "Make two works of it: a line at a point, an outline between two"
            }
            Self::Deed(Deed::Join) => "Make one work of it and another of its kind",
            Self::AddPoint => "Put a point behind the chosen one",
            Self::TakeOut => "Take out the chosen point; without one, the chosen work",
            Self::Levels => "Click two places: their levels and the grade between them",
            Self::Rain => "Click where rain falls, and see where it runs",
            Self::Arrows => "Show whither the ground falls, and how steeply, all over it",
            Self::Heights => {
                "Click or type a level: all ground is coloured by its height above and below it"
            }
            Self::Rounds => "Show how the pumps move each pond's water round, and where it stands",
            Self::Snap(Snap::Survey) => "Draw the hand to surveyed points",
            Self::Snap(Snap::Breaklines) => "Draw the hand to breaklines of the survey",
            Self::Snap(Snap::Works) => {
                "Draw the hand to points and edges of other works and houses"
            }
            Self::Snap(Snap::RightAngles) => {
                "Draw the hand straight on and square to the piece before"
            }
            Self::Snap(Snap::Lengths) => "Draw the hand to even lengths",
            Self::Snap(Snap::Levels) => "Draw levels to those of lips, waters, tops and crests",
            Self::Tools => "Show the tools for drawing and judging, or put them away",
            Self::Order => "List the works as they are built, and try another order",
            Self::Earlier => "Try the chosen work one place earlier in the order of building",
            Self::Later => "Try the chosen work one place later in the order of building",
            Self::Hide => {
                "Leave the water, stones and plants of the chosen work undrawn; it stays built"
            }
            Self::Find => "Find any command by a few letters",
            Self::HintsAgain => "Show each tool's hint once more when it is next taken up",
        }
    }

    /// Whether its key gives it again and again while it is held down.
    pub(crate) fn repeats(self) -> bool {
        matches!(self, Self::Undo | Self::Redo | Self::Larger | Self::Smaller)
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
