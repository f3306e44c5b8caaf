//! What a hill is held against, drawn where it is: the fan of falls around its summit, and its skyline
//! from each viewpoint.

use design::{Mound, Skyline};
use egui::{Painter, Pos2, Shape, Stroke};
use units::run_per_rise_text;

use super::plan::{self, Room, Word};
use crate::theme::paper;

/// A hill with what is drawn of it, local metres.
pub(crate) struct Drawn {
    /// Its measure, its fan and its skylines.
    pub mound: Mound,
    /// The ends of the fan's rays on the ground.
    pub ends_m: Vec<[f64; 3]>,
}

/// Draws a hill's fan and skylines.
pub(crate) fn hill(
    painter: &Painter,
    drawn: &Drawn,
    on_screen: &dyn Fn([f64; 3]) -> Option<Pos2>,
    room: &mut Room,
) {
    fan(painter, drawn, on_screen);
    let ink = paper::INK.ink();
    if let Some(at) = on_screen(drawn.mound.summit_m) {
        let closed = 100.0 * drawn.mound.closed;
        let words = format!("closed on {closed:.0} % of its sides");
        plan::write(painter, &[Word::beside(at, words)], ink, room);
    }
    for outline in &drawn.mound.skyline {
        skyline(painter, outline, on_screen);
        let brow = outline.outlines_m[0].iter().max_by(|a, b| a[2].total_cmp(&b[2]));
        if let Some(at) = brow.and_then(|at| on_screen(*at)) {
            let words = skyline_words(outline);
            plan::write(painter, &[Word::beside(at, words)], ink, room);
        }
    }
}

/// Rays that are closed are full and dark; half of one is dashed; open ones are thin and green.
fn fan(painter: &Painter, drawn: &Drawn, on_screen: &dyn Fn([f64; 3]) -> Option<Pos2>) {
    let Some(summit) = on_screen(drawn.mound.summit_m) else { return };
    for (ray, end) in drawn.mound.fan.iter().zip(&drawn.ends_m) {
        let Some(end) = on_screen(*end) else { continue };
        let line = [summit, end];
        if ray.weight >= 1.0 {
            painter.line_segment(line, Stroke::new(2.2, paper::STOP.ink()));
        } else if ray.weight > 0.0 {
            let ink = Stroke::new(2.0, paper::LOOK_AT.ink());
            painter.extend(Shape::dashed_line(&line, ink, 7.0, 4.0));
        } else {
            painter.line_segment(line, Stroke::new(1.0, paper::GOOD.ink()));
            painter.circle_stroke(end, 2.5, Stroke::new(1.0, paper::GOOD.ink()));
        }
    }
    let corners = drawn.mound.rectangle_m.map(|[x, y]| on_screen([x, y, drawn.mound.summit_m[2]]));
    if let [Some(a), Some(b), Some(c), Some(d)] = corners {
        let ink = Stroke::new(1.4, paper::MARKING.ink());
        painter.extend(Shape::dashed_line(&[a, b, c, d, a], ink, 5.0, 4.0));
    }
    painter.circle_filled(summit, 4.0, paper::STOP.ink());
}

/// The finished outline full, the one before dashed, and a sight line to the highest place.
fn skyline(painter: &Painter, outline: &Skyline, on_screen: &dyn Fn([f64; 3]) -> Option<Pos2>) {
    let line = |places: &[[f64; 3]]| -> Vec<Pos2> {
        places.iter().filter_map(|at| on_screen(*at)).collect()
    };
    let [finished_m, existing_m] = &outline.outlines_m;
    let before = Stroke::new(1.6, paper::INK.ink());
    for run in runs(existing_m, outline.eye_m) {
        painter.extend(Shape::dashed_line(&line(run), before, 6.0, 4.0));
    }
    for run in runs(finished_m, outline.eye_m) {
        painter.line(line(run), Stroke::new(2.4, paper::MARKING.ink()));
    }
    if let Some(eye) = on_screen(outline.eye_m) {
        painter.circle_filled(eye, 4.0, paper::MARKING.ink());
        painter.circle_stroke(eye, 7.0, Stroke::new(1.4, paper::MARKING.ink()));
        let ends = [finished_m.first(), finished_m.last()];
        for end in ends.into_iter().flatten().filter_map(|at| on_screen(*at)) {
            let thin = Stroke::new(0.8, paper::MARKING.ink());
            painter.extend(Shape::dashed_line(&[eye, end], thin, 3.0, 5.0));
        }
    }
}

/// An outline cut where it leaps from what stands near to what stands far: elsewhere than from its own eye
/// these are not neighbours.
fn runs(places: &[[f64; 3]], eye_m: [f64; 3]) -> impl Iterator<Item = &[[f64; 3]]> {
    let away = move |at: &[f64; 3]| libm::hypot(at[0] - eye_m[0], at[1] - eye_m[1]);
    let is_near =
        move |a: &[f64; 3], b: &[f64; 3]| (away(a) - away(b)).abs() < 0.12 * away(a).max(4.0);
    places.chunk_by(is_near).filter(|run| run.len() > 1)
}

/// "Seat on the terrace: 2.1 degrees above what was there, shoulders 1 in 2 and 1 in 4".
fn skyline_words(outline: &Skyline) -> String {
    let grade = |grade: f64| match grade > 1e-3 {
        true => run_per_rise_text(1.0 / grade),
        false => "level".to_owned(),
    };
    let [left, right] = outline.shoulders.map(grade);
    format!(
        "{}: {:.1} degrees above what was there, shoulders {left} and {right}",
        outline.viewpoint,
        outline.above_rad.to_degrees()
    )
}
