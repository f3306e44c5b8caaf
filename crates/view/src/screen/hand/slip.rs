//! The slip of paper at the pointer: what the hand sets, to what it is drawn, and what is typed.

use egui::{Align2, Context, pos2};
use site::field::{FieldValue, Quantity, fields, number_text};
use units::{LengthUnit, elevation_text, length_text, run_per_rise_text};

use super::super::Desk;
use super::{REACH, Sight, level_at, wish};
use crate::hand::drawing::Drawing;
use crate::hand::held::{Held, target_words};
use crate::hand::{Deed, Tool, typed};
use crate::panels::change;
use crate::panels::words::label_on_paper;
use crate::theme::paper;

/// As wide as a slip commonly is, in points.
const WIDTH: f32 = 240.0;

/// Writes the slip; nothing where the hand rests.
pub(super) fn at_pointer(ctx: &Context, desk: &Desk<'_, '_>, sight: &Sight<'_>) {
    let unit = desk.document.site().frame.unit;
    let mut lines = match (&desk.hand.held, &desk.hand.tool) {
        (Some(held), _) => of_held(desk, held),
        (None, Tool::Draw(drawing)) => of_drawing(desk, sight, drawing, unit),
        (None, Tool::Deed(deed, places)) => vec![asks(*deed, places.len()).to_owned()],
        (None, Tool::Levels(places)) => {
            vec![
                if places.len() == 1 { "Click the second place" } else { "Click a place" }
                    .to_owned(),
            ]
        }
        (None, Tool::Rain(_)) => vec!["Click where the rain falls".to_owned()],
        (None, Tool::Height) => vec!["Click a place of that level, or type one".to_owned()],
        (None, Tool::Rest) => return,
    };
    if desk.hand.held.is_none() && ctx.is_pointer_over_egui() {
        return;
    }
    if let Some(words) = &desk.hand.typed {
        lines.push(format!("{words}|  Enter takes it"));
    }
    let painter = ctx.layer_painter(egui::LayerId::background());
    let words = lines.join("\n");
    let [x, y] = desk.under.pointer.to_array();
    // Beside a card there is room only to the left.
    let (at, anchor) = if x + WIDTH > sight.bounds.right() {
        (pos2(x - 16.0, y + 16.0), Align2::RIGHT_TOP)
    } else {
        (pos2(x + 18.0, y + 16.0), Align2::LEFT_TOP)
    };
    label_on_paper(&painter, at, anchor, &words, paper::INK.ink());
}

/// What a deed waits for.
pub(in super::super) fn asks(deed: Deed, n_places: usize) -> &'static str {
    match (deed, n_places) {
        (Deed::Copy, _) => "Click where the copy's middle stands",
        (Deed::Mirror, 0) => "Click one end of the mirror",
        (Deed::Mirror, _) => "Click its other end",
        (Deed::Beside, _) => "Click where the line beside it runs",
        (Deed::Cut, 0) => "Click the point at which it is cut",
        (Deed::Cut, _) => "Click the point to which it is cut",
        (Deed::Join, _) => "Click the work to be joined with it",
    }
}

/// What a held handle has come to, line by line.
pub(in super::super) fn of_held(desk: &Desk<'_, '_>, held: &Held) -> Vec<String> {
    let unit = desk.document.site().frame.unit;
    let mut lines = vec![held.grip.label.clone()];
    match held.now.number {
        Some((quantity, number)) => {
            let first = fields(&held.work).into_iter().find(|field| field.path == held.grip.name);
            let first = match first.map(|field| field.value) {
                Some(FieldValue::Number(first)) => first,
                _ => number,
            };
            let said = number_text(number, quantity, unit);
            lines.push(match change::between(first, number, quantity, unit) {
                Some(change) => format!("{said}  ({change})"),
                None => said,
            });
            if quantity == Quantity::Elevation {
                lines.extend(against_existing(desk, held.grip.at, number, unit));
            }
        }
        None => {
            let at = held.now.at;
            lines.extend(from_before(held.before()[0].or(Some(held.grip.at)), at, desk, unit));
            lines.push(ground_words(desk, at, unit));
        }
    }
    lines.extend(held.now.snapped.clone());
    lines
}

fn of_drawing(
    desk: &Desk<'_, '_>,
    sight: &Sight<'_>,
    drawing: &Drawing,
    unit: LengthUnit,
) -> Vec<String> {
    let Some(at) = desk.under.plan else { return Vec::new() };
    let reach_m = f64::from(REACH) * sight.metres_per_point(level_at(desk, at));
    if drawing.closes(at, reach_m) {
        return vec!["Click to close the outline".to_owned()];
    }
    let snapped = desk.hand.snapped(&wish(at, &drawing.points, reach_m, desk));
    let mut lines = from_before(drawing.points.last().copied(), snapped.at, desk, unit);
    lines.push(ground_words(desk, snapped.at, unit));
    lines.extend(snapped.to.map(|target| target_words(&target, unit)));
    lines
}

/// Length, bearing and grade from the point before.
fn from_before(
    from: Option<[f64; 2]>,
    at: [f64; 2],
    desk: &Desk<'_, '_>,
    unit: LengthUnit,
) -> Vec<String> {
    let Some(from) = from.filter(|from| *from != at) else { return Vec::new() };
    let run_m = libm::hypot(at[0] - from[0], at[1] - from[1]);
    let fall_m = level_at(desk, from)[2] - level_at(desk, at)[2];
    let grade = if fall_m.abs() < 0.002 {
        "level".to_owned()
    } else {
        let way = if fall_m > 0.0 { "down" } else { "up" };
        format!("{} {way}", run_per_rise_text(run_m / fall_m.abs()))
    };
    let bearing = typed::bearing_deg(from, at);
    vec![format!("{} at {bearing:.0}°, {grade}", length_text(run_m, unit))]
}

fn ground_words(desk: &Desk<'_, '_>, at: [f64; 2], unit: LengthUnit) -> String {
    let scene = desk.shown.scene.as_ref();
    match scene.and_then(|scene| scene.finished.elevation(at)) {
        Some(level_m) => format!("ground {}", elevation_text(level_m, unit)),
        None => "off the survey: nothing is known here".to_owned(),
    }
}

fn against_existing(
    desk: &Desk<'_, '_>,
    at: [f64; 2],
    level_m: f64,
    unit: LengthUnit,
) -> Option<String> {
    let existing = desk.shown.scene.as_ref()?.existing.as_ref()?.elevation(at)?;
    let off = level_m - existing;
    let word = if off >= 0.0 { "above" } else { "below" };
    Some(format!("{} {word} existing ground", length_text(off.abs(), unit)))
}
