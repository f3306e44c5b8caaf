//! The band below a section: at round stations both levels and what is dug or filled.

use design::section::{Section, level_at};
use units::{LengthUnit, elevation_text, length_text};

use super::SMALL;
use super::frame::Frame;
use crate::svg::{Anchor, Svg, Type};
use crate::{INK, RULE, SECOND};

/// Top of the band, and the height of one of its rows, millimetres.
const TOP: f64 = 162.0;
const ROW: f64 = 7.0;

/// Columns stand at least so far apart, millimetres.
const COLUMN_MM: f64 = 17.0;

/// Less than this is neither cut nor fill, metres.
const LEAST_M: f64 = 0.5e-3;

pub(super) fn draw(svg: &mut Svg, section: &Section, frame: &Frame, unit: LengthUnit) {
    let [left, _, right, _] = frame.within;
    for (row, word) in ["station", "existing", "finished", "cut or fill"].into_iter().enumerate() {
        let y = TOP + ROW * row as f64;
        svg.path(
            &format!("M4 {y}H{right}"),
            &format!("fill=\"none\" stroke=\"{RULE}\" stroke-width=\"0.2\""),
        );
        svg.text([4.0, y + 4.8], word, SMALL);
    }
    let number = Type { size_mm: 2.6, anchor: Anchor::Middle, ink: INK, ..SMALL };
    for station_m in stations(section, frame, unit) {
        let x = frame.on_paper([station_m, 0.0])[0].max(left).min(right);
        let existing = level_at(&section.existing, station_m);
        let finished = level_at(&section.finished, station_m);
        if let Some(level_m) = finished.or(existing) {
            let y = frame.on_paper([station_m, level_m])[1];
            svg.path(
                &format!("M{x:.2} {y:.2}V{TOP}"),
                &format!("fill=\"none\" stroke=\"{SECOND}\" stroke-width=\"0.1\""),
            );
        }
        let level = |level: Option<f64>| level.map(|z| elevation_text(z, unit));
        let moved = existing.zip(finished).map(|(from, to)| moved_text(to - from, unit));
        let rows = [Some(length_text(station_m, unit)), level(existing), level(finished), moved];
        for (row, words) in rows.into_iter().enumerate() {
            // Where there is no ground there is no level.
            let words = words.unwrap_or_else(|| "\u{2013}".into());
            svg.text([x, TOP + ROW * row as f64 + 4.8], &words, number);
        }
    }
    let note = "Levels are of the plan, for planning. Before anybody digs: buried lines marked, \
                banks and walls judged by a competent person; local codes decide.";
    svg.text([4.0, TOP + 4.0 * ROW + 8.0], note, SMALL);
}

fn moved_text(rise_m: f64, unit: LengthUnit) -> String {
    if rise_m > LEAST_M {
        format!("fill {}", length_text(rise_m, unit))
    } else if rise_m < -LEAST_M {
        format!("cut {}", length_text(-rise_m, unit))
    } else {
        "same".into()
    }
}

/// Round stations as close as columns fit, from nought on.
fn stations(section: &Section, frame: &Frame, unit: LengthUnit) -> Vec<f64> {
    const ROUND: [f64; 9] = [0.5, 1.0, 2.0, 2.5, 5.0, 10.0, 20.0, 50.0, 100.0];
    let wide = |every_m: f64| 1000.0 * every_m / frame.scale;
    let mut intervals = ROUND.into_iter().map(|round| unit.to_metres(round));
    let every_m = intervals.find(|m| wide(*m) >= COLUMN_MM).unwrap_or(section.length_m);
    let n = (section.length_m / every_m).floor() as usize;
    (0..=n).map(|k| k as f64 * every_m).collect()
}
