//! A hint for each tool: shown when the tool is first taken up, and not again once it was read.

use std::collections::BTreeSet;

use bevy::prelude::*;

use crate::command::Command;
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
        "The garden cut open. Move the pointer along it to read both levels; pull the two ends of \
         its line on the ground.",
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
    fn no_tool_has_two_hints() {
        let mut tools: Vec<Command> = HINTS.iter().map(|(tool, _)| *tool).collect();
        tools.sort();
        tools.dedup();
        assert_eq!(tools.len(), HINTS.len());
    }
}
