//! A hint for each tool: shown when the tool is first taken up, and not again once it was read.

use std::collections::BTreeSet;

use bevy::prelude::*;
use design::hand::Kind;

use crate::command::Command;
use crate::hand::Deed;
use crate::keep::Memory;

/// What each tool's hint says.
const HINTS: &[(Command, &str)] = &[
    (
        Command::Plan,
        "Looking straight down, true to scale. Drag slides the paper, the wheel nears it.",
    ),
    (
        Command::BirdsEye,
        "Looking from the air. Drag turns around the ground under the pointer, drag with the right \
         button slides, the wheel nears.",
    ),
    (
        Command::Walk,
        "Standing in the garden. W, A, S and D walk, drag looks around; steps and deep water stop \
         you as they would stop anyone.",
    ),
    (
        Command::Section,
        "The garden cut open. Move the pointer along it to read both levels. Its points can be pulled: the \
         staffs in it raise and lower levels and depths of the works that it cuts, its two ends on the \
         ground move the line.",
    ),
    (
        Command::DrawLine,
        "Click on the ground where the cut is to run: the second click ends it. With Shift held more \
         bends follow. Escape leaves it.",
    ),
    (
        Command::Play,
        "The job from survey to water. Slide to any step, or let it run: it waits where something \
         must be seen first.",
    ),
    (
        Command::Water,
        "What the pumps move and how the levels stand, with the pump running and at rest.",
    ),
    (
        Command::Heights,
        "Click a place, or type a level: ground above it is teal and dotted, ground below it brown and \
         hatched. Click again for another level; the word once more takes it away.",
    ),
    (
        Command::Order,
        "The works as they are built. Pull a number up or down; what that does to the earth is told \
         before you accept it.",
    ),
    (
        Command::Draw(Kind::Basin),
        "Click the pond's outline on the ground; the first point again closes it. Then pull its stakes, \
         and the staffs of its water and shelves; its card holds every number.",
    ),
    (
        Command::Draw(Kind::Stream),
        "Click from the head down to the mouth, then Enter. Begun at a filter and ended in a pond it joins \
         both. Then pull its bed's levels, its falls and its width.",
    ),
    (
        Command::Draw(Kind::FilterBed),
        "Click the filter's outline and close it. Its lip lies at its lowest ground: pull it to where the \
         water is to leave, and its staff to how high.",
    ),
    (
        Command::Draw(Kind::IntakeBay),
        "Click the bay's outline beside a pond: it draws from the nearest one.",
    ),
    (
        Command::Draw(Kind::Hill),
        "Click along the crest, then Enter; one point makes a round hill. Staffs raise the crest, whiskers \
         widen it and set its flanks.",
    ),
    (
        Command::Draw(Kind::Wall),
        "Click along the wall, then Enter. It holds the higher side; a staff at each point sets its top.",
    ),
    (
        Command::Draw(Kind::Pad),
        "Click the place's outline and close it: it is plane. Its staff sets its level.",
    ),
    (
        Command::Draw(Kind::Path),
        "Click along the path, then Enter: it lies on the ground as it is. A staff at each point sets its \
         level, a whisker its width.",
    ),
    (
        Command::Draw(Kind::PlaneGrade),
        "Click the lawn's outline and close it. It becomes one plane; its card sets how it falls.",
    ),
    (
        Command::Draw(Kind::Trench),
        "Click along the pipe, then Enter. The trench is dug and filled again: only its earth is counted.",
    ),
    (
        Command::Draw(Kind::Strip),
        "Click an outline and close it: topsoil comes off there too, beside what the works take.",
    ),
    (Command::Deed(Deed::Copy), "Click where the middle of the copy is to stand."),
    (
        Command::Deed(Deed::Mirror),
        "Click two places: the copy lies as in a mirror that stands on the line between them.",
    ),
    (Command::Deed(Deed::Beside), "Click where the line of the copy is to run beside this one."),
    (
        Command::Deed(Deed::Cut),
        "Click a point of a line, or two points of an outline, between which it is cut. Where a work \
         cannot be cut, the reason is told.",
    ),
    (
        Command::Deed(Deed::Join),
        "Click the work that is to be one with this: lines join at their nearest ends, outlines along a \
         side that both have.",
    ),
    (Command::Levels, "Click a place for its level, and a second one for the grade between them."),
    (Command::Rain, "Click where rain falls: the line shows where it runs, and into what."),
    (
        Command::Arrows,
        "Each arrow points downhill and is as long as the ground there is steep. The word once more takes \
         them away.",
    ),
    (
        Command::Rounds,
        "Arrows show how the pumps move a pond's water round; crosses stand where it stays. The word once \
         more takes them away.",
    ),
    (
        Command::Balance,
        "Choose what is to be reached and which numbers may change: each stands on the ground at its least \
         and its greatest. What is found changes nothing until you take it.",
    ),
    (
        Command::Beside,
        "Another version at the left, the present one at the right, seen alike. Only the present one can \
         be changed. The numbers of both stand below; Escape leaves.",
    ),
];

/// What was read, and the hint that shows.
#[derive(Resource)]
pub(crate) struct Hints {
    memory: Memory,
    now: Option<Command>,
}

impl Hints {
    /// Hints for a person who has read these before.
    pub(crate) fn of(memory: Memory) -> Self {
        Self { memory, now: None }
    }

    /// A tool is taken up: its hint shows unless it was read, and the one before counts as read.
    pub(crate) fn meet(&mut self, tool: Command) {
        if tool == Command::PutDown {
            self.read();
            return;
        }
        let is_new = text(tool).is_some() && !self.memory.read.contains(tool.label());
        if is_new && self.now != Some(tool) {
            self.read();
            self.now = Some(tool);
        }
    }

    /// The hint that shows was read.
    pub(crate) fn read(&mut self) {
        if let Some(tool) = self.now.take() {
            self.memory.read.insert(tool.label().to_owned());
            (self.memory.keep)(&self.memory.read);
        }
    }

    /// All hints show again when their tools are next taken up.
    pub(crate) fn again(&mut self) {
        self.now = None;
        self.memory.read = BTreeSet::new();
        (self.memory.keep)(&self.memory.read);
    }

    /// The tool and what its hint says, while one shows.
    pub(crate) fn now(&self) -> Option<(Command, &'static str)> {
        self.now.and_then(|tool| Some((tool, text(tool)?)))
    }
}

pub(crate) fn plugin(app: &mut App) {
    if !app.world().contains_resource::<Hints>() {
        app.insert_resource(Hints::of(Memory::default()));
    }
}

fn text(tool: Command) -> Option<&'static str> {
    HINTS.iter().find(|(of, _)| *of == tool).map(|(_, says)| *says)
}

#[cfg(test)]
mod tests {
    use std::sync::{Arc, Mutex};

    use super::*;

    #[test]
    fn a_hint_shows_once_and_is_known_the_next_time() {
        let kept = Arc::new(Mutex::new(BTreeSet::new()));
        let into = kept.clone();
        let memory = |read| {
            let into = into.clone();
            let keep = move |read: &BTreeSet<String>| into.lock().unwrap().clone_from(read);
            Memory { read, keep: Arc::new(keep) }
        };
        let mut hints = Hints::of(memory(BTreeSet::new()));
        hints.meet(Command::Save);
        assert_eq!(hints.now(), None);
        hints.meet(Command::Walk);
        assert_eq!(hints.now().map(|(tool, _)| tool), Some(Command::Walk));
        hints.meet(Command::Section);
        assert_eq!(hints.now().map(|(tool, _)| tool), Some(Command::Section));
        hints.meet(Command::Walk);
        assert_eq!(hints.now().map(|(tool, _)| tool), Some(Command::Section));
        hints.meet(Command::PutDown);
        assert_eq!(hints.now(), None);
        // Another run.
        let read = kept.lock().unwrap().clone();
        let mut later = Hints::of(memory(read));
        later.meet(Command::Section);
        assert_eq!(later.now(), None);
        later.again();
        later.meet(Command::Section);
        assert!(later.now().is_some());
    }

    #[test]
    fn every_tool_that_the_hand_takes_up_has_a_hint() {
        use crate::command::{DEEDS, DRAWS, JUDGES};
        let tools = DRAWS.iter().chain(&DEEDS).chain(&JUDGES);
        let others = [Command::Section, Command::DrawLine, Command::Balance, Command::Beside];
        for tool in tools.chain(&others) {
            assert!(text(*tool).is_some(), "{tool:?} has no hint");
        }
    }

    #[test]
    fn no_tool_has_two_hints() {
        let mut tools: Vec<Command> = HINTS.iter().map(|(tool, _)| *tool).collect();
        tools.sort();
        tools.dedup();
        assert_eq!(tools.len(), HINTS.len());
    }
}
