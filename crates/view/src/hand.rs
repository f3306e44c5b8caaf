//! The hand on the ground: what it draws, which handle it holds, what it snaps to, what it judges.
//!
//! View state, neither stored nor undone; what the hand changes it asks of the document.

pub(crate) mod drawing;
pub(crate) mod held;
pub(crate) mod judge;
pub(crate) mod typed;

use std::sync::Arc;

use bevy::prelude::*;
use design::hand::{Kind, Snapped, Snaps, Targets, Wish};
use site::{Site, WorkId};

use self::drawing::Drawing;
use self::held::Held;
use self::judge::Rain;
use crate::scene::present::Switch;

/// What the hand is about.
#[derive(Clone, Debug, Default)]
pub(crate) enum Tool {
    /// Nothing: clicks choose, drags turn the eye.
    #[default]
    Rest,
    /// Draws a new work.
    Draw(Drawing),
    /// Does something with the chosen work at the places that are clicked.
    Deed(Deed, Vec<[f64; 2]>),
    /// Reads levels and the grade between two places.
    Levels(Vec<[f64; 3]>),
    /// Follows the rain from a place.
    Rain(Option<Rain>),
    /// Takes the level of a place, against which heights are shown.
    Height,
}

/// Something done with a whole work by clicks.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub(crate) enum Deed {
    /// A copy whose middle stands where it is clicked.
    Copy,
    /// A copy mirrored in the line between two clicks.
    Mirror,
    /// A copy whose line runs through the click.
    Beside,
    /// The work cut in two at the clicked point, or between two.
    Cut,
    /// The work and the clicked one made one.
    Join,
}

/// A click on the ground, or on level ground beyond the survey.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Click {
    /// Where, local metres.
    pub at: [f64; 2],
    /// Whether the key for straight lines was held.
    pub straight: Switch,
}

/// A drawn point that is chosen: its work, its line and its index.
pub(crate) type ChosenPoint = (WorkId, String, usize);

/// The hand.
#[derive(Resource, Default)]
pub(crate) struct Hand {
    /// What it is about.
    pub tool: Tool,
    /// What it snaps to.
    pub snaps: Snaps,
    /// Whether its tools are put away.
    pub put_away: Switch,
    /// The handle that it holds.
    pub held: Option<Held>,
    /// Whether the pointer is over a handle: a press there does not turn the eye.
    pub over: Switch,
    /// The point that was clicked last.
    pub point: Option<ChosenPoint>,
    /// What is being typed for the place or the number in the hand.
    pub typed: Option<String>,
    /// A click that nobody has answered yet.
    pub click: Option<Click>,
    targets: Option<(Arc<Site>, Option<WorkId>, Arc<Targets>)>,
}

impl Hand {
    /// Whether clicks on the ground are the hand's.
    pub(crate) fn takes_clicks(&self) -> bool {
        !matches!(self.tool, Tool::Rest)
    }

    /// Whether the hand is in the middle of something.
    pub(crate) fn is_busy(&self) -> bool {
        self.takes_clicks() || self.held.is_some()
    }

    /// Begins to draw a kind of work; what is drawn already goes on as that kind where it can.
    pub(crate) fn draw(&mut self, kind: Kind) {
        let drawing = match std::mem::take(&mut self.tool) {
            Tool::Draw(drawing) if drawing.kind.ends() == kind.ends() => {
                Drawing { kind, ..drawing }
            }
            _ => Drawing::new(kind),
        };
        self.rest();
        self.tool = Tool::Draw(drawing);
    }

    /// Takes hold of a handle; what the others are is looked up anew.
    pub(crate) fn take_hold(&mut self, held: Held) {
        (self.typed, self.targets) = (None, None);
        self.held = Some(held);
    }

    /// Lays everything down.
    pub(crate) fn rest(&mut self) {
        self.tool = Tool::Rest;
        self.typed = None;
        self.click = None;
    }

    /// The place to which a wish is drawn, by the targets that were gathered last.
    pub(crate) fn snapped(&self, wish: &Wish) -> Snapped {
        match &self.targets {
            Some((.., targets)) => targets.snap(wish, &self.snaps),
            None => Snapped { at: wish.at, to: None },
        }
    }

    /// What the hand snaps to on a site; gathered once for each site.
    pub(crate) fn targets(&mut self, site: &Arc<Site>) -> Arc<Targets> {
        // What is held was the same when the drag began: other works do not move meanwhile.
        let held = self.held.as_ref().map(|held| held.work.id);
        if let Some((of, without, targets)) = &self.targets
            && *without == held
            && (Arc::ptr_eq(of, site) || held.is_some())
        {
            return targets.clone();
        }
        let targets = Arc::new(Targets::of(site, held));
        self.targets = Some((site.clone(), held, targets.clone()));
        targets
    }
}
