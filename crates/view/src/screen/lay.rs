//! How paper shares the window with the garden: what stands where, and what makes room for what.

use bevy::window::Window;
use egui::{Rect, pos2};

use super::{job, section, tools};
use crate::look::Pane;
use crate::panels::beside;
use crate::scene::present::Switch;
use crate::theme;

/// Width of the list of works, in points.
pub(super) const LIST_WIDTH: f32 = 228.0;

/// Where paper begins under the balance line, in points.
pub(super) const TOP: f32 = 72.0;

/// Height of the strip below with what stands under it, in points.
const STRIP_HEIGHT: f32 = 92.0;

/// In a window narrower than this, in points, the list makes room for a card, and tools are put away.
const NARROW: f32 = 900.0;

/// In a window lower than this, in points, the section, the job or a tool takes the strip's place.
const LOW: f32 = 480.0;

/// In a window lower than this, in points, the section waits for the job: together they would hide it.
const BOTH: f32 = 860.0;

/// In a window lower than this, in points, the numbers of two versions wait.
const LEDGER: f32 = 640.0;

/// Where less of the window's height than this would be left to the garden, the tools are put away.
const LEAST_GARDEN: f32 = 0.25;

/// What is open beside the garden.
#[derive(Clone, Copy, Debug, Default)]
pub(crate) struct Open {
    /// A card or a sheet at the right.
    pub card: Switch,
    /// The section below.
    pub section: Switch,
    /// The job below.
    pub job: Switch,
    /// Another version at the left, with the numbers of both below.
    pub beside: Switch,
    /// A tool in the hand, whose hint stands below.
    pub tool: Switch,
    /// The tools, where they are put away by hand.
    pub put_away: Switch,
}

/// Where paper stands; lengths in points of paper.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Lay {
    whole: [f32; 2],
    /// Left, top, right and bottom of what no paper covers.
    open: [f32; 4],
    /// Whether the list of works has room.
    pub list: Switch,
    /// Whether the tools have room.
    pub tools: Switch,
    /// Whether the strip has room.
    pub strip: Switch,
    /// Height of the section's drawing, where it shows.
    pub section: Option<f32>,
    /// Whether the job shows.
    pub job: Switch,
    /// Whether another version stands beside the present one.
    pub beside: Switch,
}

impl Lay {
    /// Of a window whose points are each worth `scale` points of paper.
    pub(crate) fn of(window: &Window, scale: f32, open: Open) -> Self {
        Self::on([window.width() / scale, window.height() / scale], open)
    }

    fn on([width, height]: [f32; 2], open: Open) -> Self {
        let is = |so| if so { Switch::On } else { Switch::Off };
        let (is_narrow, is_low) = (width < NARROW, height < LOW);
        let has_card = open.card == Switch::On;
        let has_job = open.job == Switch::On;
        // The job is the one that tells what shows.
        let has_section = open.section == Switch::On && !(height < BOTH && has_job);
        let has_foot = has_section || has_job || open.tool == Switch::On;
        let list = !(is_narrow && (has_card || (is_low && has_foot)));
        let strip = !(is_low && has_foot);
        let section = has_section.then(|| section::drawing(height));
        let foot = section.map_or(0.0, section::height) + if has_job { job::HEIGHT } else { 0.0 };
        // Their numbers wait where nothing would be seen of the versions.
        let has_beside = open.beside == Switch::On;
        let ledger = if has_beside && height >= LEDGER { beside::STRIP } else { 0.0 };
        let foot = foot + ledger;
        let under = if strip { STRIP_HEIGHT } else { theme::EDGE };
        let bare = height - TOP - tools::HEIGHT - under - foot;
        let tools = open.put_away == Switch::Off && !is_narrow && bare >= LEAST_GARDEN * height;
        let right = if has_card { theme::CARD_WIDTH + theme::EDGE } else { 0.0 };
        let open = [
            if list { LIST_WIDTH + theme::EDGE + 32.0 } else { theme::EDGE - 6.0 },
            TOP + if tools { tools::HEIGHT } else { 0.0 },
            (width - right - 8.0).max(LIST_WIDTH + 120.0),
            (height - under - foot).max(120.0),
        ];
        Self {
            whole: [width, height],
            open,
            list: is(list),
            tools: is(tools),
            strip: is(strip),
            section,
            job: is(has_job),
            beside: is(has_beside),
        }
    }

    /// Whether the window is too low for all that could stand in it.
    pub(super) fn is_low(&self) -> bool {
        self.whole[1] < LOW
    }

    /// The part of the window in which the present version stands.
    pub(crate) fn pane(&self) -> Pane {
        let Rect { min, max } = self.garden();
        let open = [min.x, min.y, max.x, max.y];
        Pane { whole: self.whole.map(f64::from), open: open.map(f64::from) }
    }

    /// The same as a rectangle: all that no paper covers, or its right half where another version stands
    /// at the left.
    pub(super) fn garden(&self) -> Rect {
        let paper = self.paper();
        match self.beside {
            Switch::On => paper.with_min_x(paper.center().x),
            Switch::Off => paper,
        }
    }

    /// The part of the window that no paper covers.
    pub(super) fn paper(&self) -> Rect {
        let [left, top, right, bottom] = self.open;
        Rect::from_min_max(pos2(left, top), pos2(right, bottom))
    }

    /// Whether the numbers of two versions have room.
    pub(super) fn has_ledger(&self) -> bool {
        self.beside == Switch::On && self.whole[1] >= LEDGER
    }

    /// How far above the window's lower edge the lowest piece stands.
    pub(super) fn under(&self) -> f32 {
        if self.strip == Switch::On { STRIP_HEIGHT } else { theme::EDGE }
    }

    /// How far above the window's lower edge the garden begins.
    pub(super) fn foot(&self) -> f32 {
        self.whole[1] - self.open[3]
    }

    /// How far right of the window's middle the garden's is.
    pub(super) fn aside(&self) -> f32 {
        0.5 * (self.open[0] + self.open[2] - self.whole[0])
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const ON: Switch = Switch::On;

    /// A laptop's window at 100, 125, 150 and 200 % and a large one, by what is open.
    #[test]
    fn every_window_keeps_garden_whatever_is_open() {
        for size in
            [[1920.0, 1080.0], [1280.0, 720.0], [1024.0, 576.0], [853.0, 480.0], [640.0, 360.0]]
        {
            for bits in 0..16_u8 {
                let is = |bit: u8| if bits & bit > 0 { Switch::On } else { Switch::Off };
                let tool = is(8);
                let open =
                    Open { card: is(1), section: is(2), job: is(4), tool, ..Open::default() };
                let garden = Lay::on(size, open).garden();
                let share = garden.area() / (size[0] * size[1]);
                assert!(garden.height() >= 0.25 * size[1], "{size:?} {open:?}: {garden}");
                assert!(share > 0.12, "{size:?} {open:?}: {share}");
            }
        }
    }

    #[test]
    fn a_low_window_gives_the_strips_place_to_the_job_before_the_section() {
        let both = Open { section: ON, job: ON, ..Open::default() };
        let low = Lay::on([640.0, 360.0], both);
        assert_eq!(
            (low.strip, low.list, low.section, low.job),
            (Switch::Off, Switch::Off, None, ON)
        );
        let laptop = Lay::on([1280.0, 720.0], both);
        assert_eq!((laptop.strip, laptop.list, laptop.section, laptop.job), (ON, ON, None, ON));
        let tall = Lay::on([1920.0, 1080.0], both);
        assert_eq!((tall.strip, tall.list, tall.job), (ON, ON, ON));
        assert!(tall.section.is_some());
        let bare = Lay::on([640.0, 360.0], Open::default());
        assert_eq!((bare.strip, bare.list), (ON, ON));
    }
}
