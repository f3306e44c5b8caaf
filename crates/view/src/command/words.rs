//! What commands are called and what they do, in words.

use design::hand::{Kind, Snap};

use super::Command;
use crate::hand::Deed;

impl Command {
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
            Self::TakeRemedy => "Do what is advised",
            Self::Section => "Section",
            Self::Play => "Play the job",
            Self::RunJob => "Let the job go on, or hold it",
            Self::StepOn => "The job's next step",
            Self::StepBack => "The job's step before",
            Self::Earth => "The earth",
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
            Self::Beside => "Beside",
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
            Self::Beside => "Two versions side by side",
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
            Self::TakeRemedy => {
                "Change the site as the finding that is read advises; it can be undone"
            }
            Self::Section => {
                "Cut the garden open along a line: across the chosen work, or through it all"
            }
            Self::Earth => "What is dug, placed, left over and hauled: by stage, depth and work",
            Self::Water => "What the pumps move, how thick the water falls, and the levels",
            Self::Play => "Run the job from survey to water, step by step",
            Self::RunJob => "Let the job go on by itself, or hold it where it is",
            Self::StepOn => "Show the job's next step",
            Self::StepBack => "Show the job's step before this one",
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
            Self::Beside => {
                "Part the window: an earlier or another version at the left, the present one at the right"
            }
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
}
