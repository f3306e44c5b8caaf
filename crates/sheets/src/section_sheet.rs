//! A section on paper: both grounds, liner, water, lips and walls, grades, and levels in a band below.
//!
//! A4, landscape, true to scale; where heights are stretched to be legible, the sheet says by how much.

mod band;
mod frame;

use design::section::{Gap, Grade, Mark, MarkKind, Section};
use ground::query::{Ahead, SectionPoint};
use site::Site;
use units::{LengthUnit, area_text, elevation_text, length_text, run_per_rise_text};

use crate::depth_colours::{Class, Side, define_hatching};
use crate::labels::Labels;
use crate::svg::{Anchor, End, Svg, Type, path_data};
use crate::{INK, PAINT, PAPER, SECOND, WATER};
use frame::Frame;

/// What a section sheet shows.
#[derive(Clone, Copy, Debug)]
pub struct SectionSheet<'a> {
    /// What the section is of: "Along the stream".
    pub name: &'a str,
    /// The section.
    pub section: &'a Section,
    /// The site, for its title and its works' names.
    pub site: &'a Site,
}

/// The sheet, millimetres.
const SHEET: [f64; 2] = [297.0, 210.0];

/// Left, top, right and bottom of the drawing on it.
const DRAWING: [f64; 4] = [24.0, 34.0, 285.0, 150.0];

/// Water and gravel cover the hatching of the ground that was dug for them.
const WASH: &str = "#cfe3e2";
const GRAVEL: &str = "#d9d1c2";

const BODY: Type = Type { size_mm: 3.3, anchor: Anchor::Start, ink: INK, weight: "normal" };
const SMALL: Type = Type { size_mm: 2.8, ink: SECOND, ..BODY };

/// Draws the sheet as SVG.
pub fn section_sheet(sheet: &SectionSheet<'_>) -> String {
    let section = sheet.section;
    let frame = Frame::fitting(section, DRAWING);
    let mut svg = Svg::sheet(SHEET, PAPER);
    svg.raw("<defs>");
    define_hatching(&mut svg);
    svg.raw("</defs>");
    head(&mut svg, sheet, &frame);
    frame.levels(&mut svg, sheet.site.frame.unit);
    moved(&mut svg, section, &frame);
    for wet in &section.wet {
        let data: String = wet.gaps.iter().map(|gap| outline(gap, &frame)).collect();
        svg.path(&data, &format!("fill=\"{WASH}\""));
        let tops = wet.gaps.iter().map(|gap| line(gap.stations, gap.levels[1], &frame));
        let tops: String = tops.collect();
        svg.path(&tops, &format!("fill=\"none\" stroke=\"{WATER}\" stroke-width=\"0.4\""));
    }
    let gravel: String = section.gravel.iter().map(|gap| outline(gap, &frame)).collect();
    if !gravel.is_empty() {
        svg.path(&gravel, &format!("fill=\"{GRAVEL}\""));
    }
    grounds(&mut svg, section, &frame);
    let mut labels = Labels::within([2.0, 26.0, 295.0, 156.0]);
    for mark in &section.marks {
        marked(&mut svg, mark, sheet.site.frame.unit, &frame, &mut labels);
    }
    for grade in &section.grades {
        graded(&mut svg, grade, &frame, &mut labels);
    }
    band::draw(&mut svg, section, &frame, sheet.site.frame.unit);
    svg.finish()
}

/// Title, what is moved, what the lines are, and the scale.
fn head(svg: &mut Svg, sheet: &SectionSheet<'_>, frame: &Frame) {
    let (section, unit) = (sheet.section, sheet.site.frame.unit);
    let title = format!("{}: {}", sheet.site.title, sheet.name);
    svg.text([12.0, 14.0], &title, Type { size_mm: 5.0, weight: "bold", ..BODY });
    let words = format!(
        "{} long, runs to the {}. In this section {} of cut and {} of fill.",
        length_text(section.length_m, unit),
        bearing_word(section),
        area_text(section.cut_m2, unit),
        area_text(section.fill_m2, unit),
    );
    svg.text([12.0, 20.0], &words, SMALL);
    let scale = match frame.stretch {
        1.0 => format!("1 : {} on A4, heights true", frame.scale),
        stretch => format!("1 : {} on A4, heights drawn {stretch} times", frame.scale),
    };
    svg.text([285.0, 14.0], &scale, Type { anchor: Anchor::End, ..SMALL });
    let keys = [
        (
            "existing",
            format!("stroke=\"{SECOND}\" stroke-width=\"0.3\" stroke-dasharray=\"1.6 1.2\""),
        ),
        ("finished", format!("stroke=\"{INK}\" stroke-width=\"0.55\"")),
        ("subgrade", format!("stroke=\"{INK}\" stroke-width=\"0.18\"")),
        ("liner", format!("stroke=\"{WATER}\" stroke-width=\"0.35\" stroke-dasharray=\"3 0.6\"")),
    ];
    let mut x = 285.0 - 4.0 * 27.0;
    for (word, ink) in keys {
        svg.path(&format!("M{x} 19h8"), &format!("fill=\"none\" {ink}"));
        svg.text([x + 9.5, 20.0], word, SMALL);
        x += 27.0;
    }
}

/// The direction of the line from its start to its end, by eight points of the compass.
fn bearing_word(section: &Section) -> &'static str {
    const WORDS: [&str; 8] =
        ["east", "north-east", "north", "north-west", "west", "south-west", "south", "south-east"];
    let (Some(from), Some(to)) = (section.line_m.first(), section.line_m.last()) else {
        return WORDS[0];
    };
    let angle = libm::atan2(to[1] - from[1], to[0] - from[0]);
    let eighths = libm::round(angle / std::f64::consts::FRAC_PI_4) as i64;
    WORDS[eighths.rem_euclid(8) as usize]
}

/// Cut and fill, in colour and hatched.
fn moved(svg: &mut Svg, section: &Section, frame: &Frame) {
    for (side, sign) in [(Side::Lower, -1.0), (Side::Higher, 1.0)] {
        let class = Class { side, rank: 0 };
        let gaps = section.gaps.iter().filter(|gap| sign * gap.area_m2() > 0.0);
        let data: String = gaps.map(|gap| outline(gap, frame)).collect();
        if !data.is_empty() {
            svg.path(&data, &format!("fill=\"{}\"", class.colour()));
            svg.path(&data, &format!("fill=\"url(#{})\"", class.hatch()));
        }
    }
}

fn outline(gap: &Gap, frame: &Frame) -> String {
    let [[a0, a1], [b0, b1]] = gap.levels;
    let [s0, s1] = gap.stations;
    let corners = [[s0, a0], [s1, a1], [s1, b1], [s0, b0]].map(|at| frame.on_paper(at));
    path_data(&corners, End::Closed)
}

fn line(stations: [f64; 2], levels: [f64; 2], frame: &Frame) -> String {
    let ends = [0, 1].map(|end| frame.on_paper([stations[end], levels[end]]));
    path_data(&ends, End::Open)
}

fn grounds(svg: &mut Svg, section: &Section, frame: &Frame) {
    let lines = [
        (&section.subgrade, INK, "stroke-width=\"0.18\""),
        (&section.liner, WATER, "stroke-width=\"0.35\" stroke-dasharray=\"3 0.6\""),
        (&section.existing, SECOND, "stroke-width=\"0.3\" stroke-dasharray=\"1.6 1.2\""),
        (&section.finished, INK, "stroke-width=\"0.55\" stroke-linejoin=\"round\""),
    ];
    for (profile, ink, how) in lines {
        let data: String = pieces(profile)
            .iter()
            .map(|piece| path_data(&frame.places(piece), End::Open))
            .collect();
        svg.path(&data, &format!("fill=\"none\" stroke=\"{ink}\" {how}"));
    }
}

/// The parts of a profile between its gaps.
fn pieces(profile: &[SectionPoint]) -> Vec<Vec<[f64; 2]>> {
    let mut pieces: Vec<Vec<[f64; 2]>> = vec![Vec::new()];
    for point in profile {
        if let Some(piece) = pieces.last_mut() {
            piece.push([point.station_m, point.z]);
        }
        if point.ahead == Ahead::Gap {
            pieces.push(Vec::new());
        }
    }
    pieces.retain(|piece| piece.len() > 1);
    pieces
}

/// A small flag with what stands there and its level.
fn marked(svg: &mut Svg, mark: &Mark, unit: LengthUnit, frame: &Frame, labels: &mut Labels) {
    let [x, y] = frame.on_paper([mark.station_m, mark.z]);
    let word = match mark.kind {
        MarkKind::Lip => "lip",
        MarkKind::WallTop => "wall top",
        MarkKind::LinerEdge => "liner edge",
    };
    let ink = if mark.kind == MarkKind::LinerEdge { WATER } else { PAINT };
    svg.path(
        &format!("M{x:.2} {y:.2}m-1 -1.6l1 1.6l1 -1.6z"),
        &format!("fill=\"{ink}\" stroke=\"none\""),
    );
    let words = format!("{word} {}", elevation_text(mark.z, unit));
    labels.put(svg, [x, y - 4.2], &words, 2.6);
}

/// The grade of a stretch, below its middle.
fn graded(svg: &mut Svg, grade: &Grade, frame: &Frame, labels: &mut Labels) {
    let middle = |ends: [f64; 2]| 0.5 * (ends[0] + ends[1]);
    let [x, y] = frame.on_paper([middle(grade.stations), middle(grade.levels)]);
    labels.put(svg, [x, y + 3.4], &run_per_rise_text(grade.run_per_rise), 2.4);
}

#[cfg(test)]
mod tests;
