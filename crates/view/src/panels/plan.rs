//! What the plan writes over the garden: contour levels, names, a scale, north.

use egui::{Align2, Color32, Painter, Pos2, Rect, Stroke, pos2, vec2};
use site::Site;
use units::LengthUnit;

use super::words::label_on_paper;
use crate::scene::Scene;
use crate::scene::kept::KeptWord;
use crate::scene::present::Switch;
use crate::theme::{paper, size, text};

/// A word with the places where it may stand, the best first.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct Word {
    /// Where its middle may be on the screen, in points.
    pub places: Vec<Pos2>,
    /// What it says.
    pub text: String,
}

/// Everything that is written over the plan, already on the screen.
#[derive(Clone, Debug, Default)]
pub(crate) struct PlanSheet {
    /// Levels, each on its contour.
    pub levels: Vec<Word>,
    /// Names of the works.
    pub names: Vec<Word>,
    /// What is written beside what stays.
    pub kept: Vec<Word>,
}

/// Where something is already written, so that nothing is written over it.
#[derive(Clone, Debug)]
pub(crate) struct Room {
    /// What lies outside cannot be read.
    pub bounds: Rect,
    /// What is taken.
    pub taken: Vec<Rect>,
}

/// Shortest contour that carries its level, in points.
const LEAST_CONTOUR: f32 = 120.0;

/// Shares of a contour's length at which its level may stand, the best first.
const SHARES: [f64; 9] = [0.5, 0.35, 0.65, 0.22, 0.78, 0.43, 0.57, 0.12, 0.88];

impl PlanSheet {
    /// Collects the words of a scene, as `on_screen` shows its places.
    pub(crate) fn of(
        site: &Site,
        scene: &Scene,
        points_per_m: f32,
        on_screen: &dyn Fn([f64; 3]) -> Option<Pos2>,
    ) -> Self {
        let mut sheet = Self::default();
        let unit = site.frame.unit;
        for contour in scene.contours.iter() {
            let places = along(&contour.points, points_per_m);
            let places: Vec<Pos2> =
                places.into_iter().filter_map(|[x, y]| on_screen([x, y, contour.z])).collect();
            let number = unit.from_metres(contour.z);
            sheet.levels.push(Word { places, text: format!("{number:.1}") });
        }
        // What is built later lies on what is there: it keeps its own middle.
        for (work, middle) in scene.middles.iter().rev() {
            let name = site.work(*work).map(|work| work.name.clone());
            if let (Some(text), Some(at)) = (name, on_screen(*middle)) {
                const STEPS: [[f32; 2]; 9] = [
                    [0.0, 0.0],
                    [0.0, 1.0],
                    [0.0, -1.0],
                    [-3.6, 0.0],
                    [3.6, 0.0],
                    [0.0, 2.0],
                    [0.0, -2.0],
                    [-3.6, 1.0],
                    [3.6, -1.0],
                ];
                let places = STEPS.map(|[right, down]| at + vec2(right, down) * 24.0);
                sheet.names.push(Word { places: places.to_vec(), text });
            }
        }
        sheet
    }

    /// The same sheet with the words beside what stays, where that is marked.
    pub(crate) fn with_kept(
        mut self,
        scene: &Scene,
        shown: Switch,
        on_screen: &dyn Fn([f64; 3]) -> Option<Pos2>,
    ) -> Self {
        if shown == Switch::On {
            self.kept = kept_words(scene, on_screen);
        }
        self
    }

    /// Writes the words: names first, then what stays, then as many levels as find room.
    pub(crate) fn paint(&self, painter: &Painter, room: &mut Room) {
        let ink = paper::INK.ink();
        for (words, ink) in
            [(&self.names, ink), (&self.kept, ink), (&self.levels, paper::SECOND.ink())]
        {
            write(painter, words, ink, room);
        }
    }
}

impl Word {
    /// A word near a place, under it where that is free.
    pub(crate) fn beside(at: Pos2, text: impl Into<String>) -> Self {
        const STEPS: [[f32; 2]; 7] =
            [[0.0, 0.8], [0.0, -0.8], [1.0, 0.0], [-1.0, 0.0], [0.0, 1.8], [0.0, -1.8], [0.0, 2.8]];
        let text = text.into();
        // A long word that stands aside begins where its place ends.
        let aside = 3.4 * text.len() as f32;
        let places = STEPS.map(|[right, down]| at + vec2(right * aside, down * 24.0));
        Self { places: places.to_vec(), text }
    }
}

/// The words beside what stays, each near its place.
pub(crate) fn kept_words(scene: &Scene, on_screen: &dyn Fn([f64; 3]) -> Option<Pos2>) -> Vec<Word> {
    let word = |kept: &KeptWord| Some(Word::beside(on_screen(kept.at)?, kept.text.clone()));
    scene.kept.iter().filter_map(word).collect()
}

/// Writes words where they find room.
pub(crate) fn write(painter: &Painter, words: &[Word], ink: Color32, room: &mut Room) {
    for word in words {
        let galley = painter.layout_no_wrap(word.text.clone(), text(size::SMALL), ink);
        let fits = |at: &&Pos2| room.is_free(Rect::from_center_size(**at, galley.size()));
        if let Some(at) = word.places.iter().find(fits).copied() {
            let rect = label_on_paper(painter, at, Align2::CENTER_CENTER, &word.text, ink);
            room.taken.push(rect);
        }
    }
}

impl Room {
    /// Room for words within `bounds`.
    pub(crate) fn within(bounds: Rect) -> Self {
        Self { bounds, taken: Vec::new() }
    }

    /// Whether nothing is written there, with some room around it.
    pub(crate) fn is_free(&self, rect: Rect) -> bool {
        let padded = rect.expand2(vec2(8.0, 4.0));
        self.bounds.contains_rect(padded) && !self.taken.iter().any(|t| t.intersects(padded))
    }
}

/// Places along a line at set shares of its length; none when it is too short to be lettered.
fn along(points: &[[f64; 2]], points_per_m: f32) -> Vec<[f64; 2]> {
    let step = |pair: &[[f64; 2]]| libm::hypot(pair[1][0] - pair[0][0], pair[1][1] - pair[0][1]);
    let length: f64 = points.windows(2).map(step).sum();
    if length * f64::from(points_per_m) < f64::from(LEAST_CONTOUR) {
        return Vec::new();
    }
    SHARES
        .iter()
        .filter_map(|share| {
            let mut left = share * length;
            points.windows(2).find_map(|pair| {
                let piece = step(pair);
                if left > piece || piece == 0.0 {
                    left -= piece;
                    return None;
                }
                let t = left / piece;
                Some([0, 1].map(|i| pair[0][i] + (pair[1][i] - pair[0][i]) * t))
            })
        })
        .collect()
}

/// Paints a scale bar of a round length, its middle at `at` and at most `most` points long.
pub(crate) fn scale(
    painter: &Painter,
    at: Pos2,
    most: f32,
    points_per_m: f32,
    unit: LengthUnit,
) -> Rect {
    let points_per_unit = points_per_m * unit.metres() as f32;
    let lengths = [1.0, 2.0, 5.0, 10.0, 20.0, 50.0, 100.0, 200.0, 500.0];
    let fits = |length: &f32| length * points_per_unit <= most;
    let length = lengths.into_iter().rev().find(fits).unwrap_or(lengths[0]);
    let half = 0.5 * length * points_per_unit;
    let ink = Stroke::new(1.5, paper::INK.ink());
    painter.line_segment([at - vec2(half, 0.0), at + vec2(half, 0.0)], ink);
    for x in [-half, 0.0, half] {
        painter.line_segment([at + vec2(x, -4.0), at + vec2(x, 4.0)], ink);
    }
    let words = format!("{length:.0} {}", unit.sign());
    let ink = paper::INK.ink();
    let top = at - vec2(0.0, 7.0);
    let words = painter.text(top, Align2::CENTER_BOTTOM, words, text(size::SMALL), ink);
    words.union(Rect::from_center_size(at, vec2(2.0 * half, 10.0)))
}

/// Paints an arrow to the north, its middle at `at`.
pub(crate) fn north(painter: &Painter, at: Pos2) -> Rect {
    let ink = Stroke::new(1.5, paper::INK.ink());
    painter.line_segment([at + vec2(0.0, 18.0), at + vec2(0.0, -18.0)], ink);
    painter.line(vec![at + vec2(-6.0, -6.0), pos2(at.x, at.y - 18.0), at + vec2(6.0, -6.0)], ink);
    let top = at + vec2(0.0, -20.0);
    let ink = paper::INK.ink();
    let word = painter.text(top, Align2::CENTER_BOTTOM, "N", text(size::SMALL), ink);
    word.union(Rect::from_center_size(at, vec2(14.0, 36.0)))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_short_line_is_not_lettered_and_a_long_one_is_in_its_middle_first() {
        let line = [[0.0, 0.0], [4.0, 0.0], [10.0, 0.0]];
        assert!(along(&line, 5.0).is_empty());
        let places = along(&line, 20.0);
        assert_eq!(places[0], [5.0, 0.0]);
        assert_eq!(places.len(), SHARES.len());
    }

    #[test]
    fn nothing_is_written_over_something_else_or_over_the_edge() {
        let bounds = Rect::from_min_size(Pos2::ZERO, vec2(200.0, 100.0));
        let mut room = Room::within(bounds);
        let word = |x: f32| Rect::from_center_size(pos2(x, 50.0), vec2(30.0, 14.0));
        assert!(room.is_free(word(100.0)));
        room.taken.push(word(100.0));
        assert!(!room.is_free(word(125.0)));
        assert!(room.is_free(word(150.0)));
        assert!(!room.is_free(word(190.0)));
    }
}
