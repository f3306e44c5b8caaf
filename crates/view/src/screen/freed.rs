//! What the solver may change, on the ground: each freed number at its least and at its greatest value,
//! in marking paint, while the balance of the earth is open.

use design::hand::{Pull, Stands, flattened, grips};
use design::solver::{Adjustable, Freed, Number, set_to};
use egui::{Painter, Pos2, Rect, Shape, Stroke, Vec2};
use site::field::number_text;
use site::shape::{Ends, lines, main_line, middle};
use site::{Work, WorkKind};

use super::Desk;
use super::hand::level_at;
use crate::panels::plan::{self, Room, Word};
use crate::scene::present::Switch;
use crate::theme::paper;

/// Ends that are nearer than this on the screen are written as one, in points.
const APART: f32 = 26.0;

/// Lengths of the dashes of what is least and of what is greatest, in points.
const DASHES: [f32; 2] = [3.0, 9.0];

/// A freed number at one of its bounds.
struct Bound {
    /// The line that it moves, where it moves one.
    line: Vec<[f64; 3]>,
    /// Where its handle would stand, or the middle of its work.
    at: [f64; 3],
    /// Its value, as people read it.
    value: String,
}

/// Draws every freed number with its bounds.
pub(super) fn over_garden(
    painter: &Painter,
    desk: &Desk<'_, '_>,
    on_screen: &dyn Fn([f64; 3]) -> Option<Pos2>,
    (open, room): (Rect, &mut Room),
) {
    if !is_shown(desk) {
        return;
    }
    let ink = paper::MARKING.ink();
    let mut words = Vec::new();
    for freed in &desk.solving.freed {
        let Some(known) = freed.number.on(desk.document.site()) else { continue };
        let bounds = [freed.least, freed.most].map(|value| bound(desk, freed, &known, value));
        let [Some(least), Some(most)] = &bounds else { continue };
        for (bound, dash) in [least, most].into_iter().zip(DASHES) {
            let line: Vec<Pos2> = bound.line.iter().filter_map(|at| on_screen(*at)).collect();
            painter.extend(Shape::dashed_line(
                &line,
                Stroke::new(4.0, paper::SHEET.ink()),
                dash,
                4.0,
            ));
            painter.extend(Shape::dashed_line(&line, Stroke::new(2.0, ink), dash, 4.0));
        }
        // Where its handle would stand behind paper, what is open of its line is written on.
        let spot = |bound: &Bound| {
            let places = std::iter::once(&bound.at).chain(&bound.line);
            places.filter_map(|at| on_screen(*at)).find(|at| open.contains(*at))
        };
        let (Some(low), Some(high)) = (spot(least), spot(most)) else { continue };
        let way = (high - low).normalized();
        let across = if way == Vec2::ZERO { Vec2::X } else { way.rot90() } * 6.0;
        for stroke in [Stroke::new(4.0, paper::SHEET.ink()), Stroke::new(2.0, ink)] {
            painter.line_segment([low, high], stroke);
            for end in [low, high] {
                painter.line_segment([end - across, end + across], stroke);
            }
        }
        if (high - low).length() < APART {
            let text = format!("{}, {} to {}", known.label(), least.value, most.value);
            words.push(Word::beside(high, text));
        } else {
            words.push(Word::beside(high, format!("{}, at most {}", known.label(), most.value)));
            words.push(Word::beside(low, format!("at least {}", least.value)));
        }
    }
    plan::write(painter, &words, ink, room);
}

/// Whether freed numbers stand on the ground: other flags give way to them.
pub(super) fn is_shown(desk: &Desk<'_, '_>) -> bool {
    desk.solving.shown == Switch::On && !desk.solving.freed.is_empty()
}

/// A freed number on the site at one of its bounds.
fn bound(desk: &Desk<'_, '_>, freed: &Freed, known: &Adjustable, value: f64) -> Option<Bound> {
    let site = set_to(desk.document.site(), &freed.number, value)?;
    let work = site.work(freed.number.work())?;
    let grip = freed.number.path(&work.kind).and_then(|path| {
        grips(work).into_iter().find(|grip| match &grip.pull {
            Pull::Rise { path: own, .. } | Pull::Spread { path: own, .. } => *own == path,
            Pull::Along { path: own } | Pull::Place { path: own } => *own == path,
            _ => false,
        })
    });
    let at = match grip {
        Some(grip) => match grip.stands {
            Stands::At(level_m) => [grip.at[0], grip.at[1], level_m],
            Stands::OnGround => level_at(desk, grip.at),
        },
        None => level_at(desk, middle(&work.kind)),
    };
    let value = number_text(value, known.quantity, site.frame.unit);
    Some(Bound { line: line(&freed.number, work), at, value })
}

/// The line of a work that a number moves, as it then lies; nothing where it moves no line.
fn line(number: &Number, work: &Work) -> Vec<[f64; 3]> {
    let drawn = lines(&work.kind)[0].curve;
    let at_level = |level_m: f64| {
        let ends = main_line(&work.kind).1;
        let mut outline = flattened(drawn, ends);
        if ends == Ends::Closed {
            outline.extend(outline.first().copied());
        }
        outline.into_iter().map(|[x, y]| [x, y, level_m]).collect::<Vec<_>>()
    };
    let along = |levels_m: &[f64]| {
        let level_m = |i: usize| levels_m.get(i).or(levels_m.first()).copied();
        let places = drawn.points.iter().enumerate();
        places.filter_map(|(i, [x, y])| Some([*x, *y, level_m(i)?])).collect::<Vec<_>>()
    };
    match (number, &work.kind) {
        (Number::WaterLevel(_), WorkKind::Basin(basin)) => at_level(basin.water_level_m),
        (Number::LipLevel(_), WorkKind::FilterBed(bed)) => at_level(bed.lip.elevation_m),
        (Number::CrestLevel(_) | Number::Shoulder(..), WorkKind::Hill(hill)) => {
            along(&hill.crest_m)
        }
        (Number::WallTops(_), WorkKind::Wall(wall)) => along(&wall.top_m),
        (Number::PathLevel(_), WorkKind::Path(path)) => along(&path.level_m),
        _ => Vec::new(),
    }
}
