//! What is written beside surveyed points: their level, and their code.

use egui::{Painter, Pos2};
use units::elevation_text;

use super::Desk;
use crate::panels::plan::{self, Room, Word};
use crate::scene::present::Switch;
use crate::scene::survey::SurveyWord;
use crate::theme::paper;

/// Words for more points than this would be a carpet.
const MOST_WORDS: usize = 60;

/// Writes beside as many points as find room, those in the middle of the window first.
pub(super) fn over_garden(
    painter: &Painter,
    desk: &Desk<'_, '_>,
    on_screen: &dyn Fn([f64; 3]) -> Option<Pos2>,
    room: &mut Room,
) {
    let Some(scene) = desk.shown.scene.as_ref().filter(|_| desk.layers.survey == Switch::On) else {
        return;
    };
    let unit = desk.document.site().frame.unit;
    let mut near: Vec<(f32, Pos2, &SurveyWord)> = scene
        .survey
        .iter()
        .filter_map(|point| {
            let at = on_screen(point.at).filter(|at| room.bounds.contains(*at))?;
            Some((at.distance_sq(room.bounds.center()), at, point))
        })
        .collect();
    near.sort_by(|a, b| a.0.total_cmp(&b.0));
    near.truncate(MOST_WORDS);
    let text = |point: &SurveyWord| {
        let level = elevation_text(point.level_m, unit);
        if point.code.is_empty() { level } else { format!("{} {level}", point.code) }
    };
    let words: Vec<Word> =
        near.into_iter().map(|(_, at, point)| Word::beside(at, text(point))).collect();
    plan::write(painter, &words, paper::SECOND.ink(), room);
}
