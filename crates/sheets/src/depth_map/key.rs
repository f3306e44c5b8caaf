//! The strip beside a depth map: what it shows, its classes in numbers, its volumes, north and scale.

use units::{LengthUnit, area_text, earth_text, length_text};

use super::{DepthMap, Shows, contour_interval_m};
use crate::depth_colours::{Class, N_CLASSES, Side};
use crate::paper::Plan;
use crate::svg::{Anchor, Svg, Type};
use crate::{INK, SECOND};

/// Left and right of the strip, millimetres on the sheet.
const LEFT: f64 = 216.0;
const RIGHT: f64 = 285.0;

const BODY: Type = Type { size_mm: 3.3, anchor: Anchor::Start, ink: INK, weight: "normal" };
const SMALL: Type = Type { size_mm: 2.8, ink: SECOND, ..BODY };
const HEAD: Type = Type { size_mm: 5.0, weight: "bold", ..BODY };

pub(super) fn draw(svg: &mut Svg, map: &DepthMap<'_>, plan: &Plan, width_m: f64) {
    let title = shortened(&map.site.title, 34);
    svg.text([LEFT, 18.0], &title, Type { size_mm: fitting_mm(&title), ..HEAD });
    svg.text([LEFT, 24.0], map.shows.words().what, SMALL);
    if let Shows::Versions(names) = map.shows {
        let [a, b] = names.map(|name| shortened(name, 34));
        for (letter, name, y) in [("A", a, 31.0), ("B", b, 36.0)] {
            svg.text([LEFT, y], letter, Type { weight: "bold", ..BODY });
            svg.text([LEFT + 5.0, y], &name, BODY);
        }
    }
    let below = scale_of_classes(svg, map, width_m, 46.0);
    volumes(svg, map, below + 8.0);
    foot(svg, map, plan);
}

/// One row a class, from the greatest rise down to the greatest fall; answers where it ends.
fn scale_of_classes(svg: &mut Svg, map: &DepthMap<'_>, width_m: f64, top: f64) -> f64 {
    const ROW: f64 = 7.0;
    let (unit, words) = (map.unit, map.shows.words());
    let mut y = top;
    svg.text([LEFT, y - 2.0], words.raised, Type { weight: "bold", ..BODY });
    for class in Class::all().collect::<Vec<_>>().into_iter().rev() {
        if class.side == Side::Lower && class.rank == 0 {
            svg.text([LEFT, y + 5.0], words.lowered, Type { weight: "bold", ..BODY });
            y += 7.0;
        }
        swatch(svg, class, [LEFT, y], ROW - 1.0);
        svg.text([LEFT + 24.0, y + 4.2], &class_text(class, unit, width_m), BODY);
        y += ROW;
    }
    svg.text([LEFT, y + 3.6], "Less than 1 mm is left as paper", SMALL);
    y + 4.0
}

fn swatch(svg: &mut Svg, class: Class, [x, y]: [f64; 2], height: f64) {
    for fill in [class.colour().to_owned(), format!("url(#{})", class.hatch())] {
        svg.raw(&format!(
            "<rect x=\"{x}\" y=\"{y:.2}\" width=\"20\" height=\"{height}\" fill=\"{fill}\" \
             stroke=\"{SECOND}\" stroke-width=\"0.15\"/>"
        ));
    }
}

/// "0.10 to 0.20 m": the change that a class stands for.
fn class_text(class: Class, unit: LengthUnit, width_m: f64) -> String {
    let at = |rank: usize| length_text(rank as f64 * width_m, unit);
    match class.rank {
        0 => format!("up to {}", at(1)),
        rank if rank + 1 == N_CLASSES => format!("{} and more", at(rank)),
        rank => format!("{} to {}", at(rank), at(rank + 1)),
    }
}

fn volumes(svg: &mut Svg, map: &DepthMap<'_>, top: f64) {
    let (between, unit, words) = (map.between, map.unit, map.shows.words());
    let rows = [
        (words.higher, between.fill_m3, between.fill_area_m2, between.highest_fill_m),
        (words.lower, between.cut_m3, between.cut_area_m2, between.deepest_cut_m),
    ];
    let mut y = top;
    for (word, volume_m3, area_m2, most_m) in rows {
        let head = format!("{} {word}", earth_text(volume_m3, unit));
        svg.text([LEFT, y], &head, Type { weight: "bold", ..BODY });
        let over =
            format!("over {}, {} at most", area_text(area_m2, unit), length_text(most_m, unit));
        svg.text([LEFT, y + 4.4], &over, SMALL);
        y += 11.0;
    }
}

/// North, the scale as a ratio and as a bar, and what the thin lines are.
fn foot(svg: &mut Svg, map: &DepthMap<'_>, plan: &Plan) {
    if let Some((_, interval_m)) = contour_interval_m(map.grounds[1], map.unit) {
        let contours = map.shows.words().contours;
        let words = format!("Thin lines: {contours} every {}", length_text(interval_m, map.unit));
        svg.text([LEFT, 177.0], &words, SMALL);
    }
    let arrow = format!("M{x} 197v-12l-2.2 5m2.2 -5l2.2 5", x = LEFT + 4.0);
    svg.path(&arrow, &format!("fill=\"none\" stroke=\"{INK}\" stroke-width=\"0.5\""));
    svg.text([LEFT + 8.0, 189.0], "N", Type { weight: "bold", ..BODY });
    let (bar_m, bar_mm) = bar(plan, map.unit);
    let (left, right) = (RIGHT - bar_mm, RIGHT);
    let data = format!("M{left:.2} 191v3H{right:.2}v-3");
    svg.path(&data, &format!("fill=\"none\" stroke=\"{INK}\" stroke-width=\"0.4\""));
    let over = Type { anchor: Anchor::End, ..BODY };
    svg.text([RIGHT, 189.5], &length_text(bar_m, map.unit), over);
    let ratio = format!("1 : {} on A4", plan.scale);
    svg.text([RIGHT, 198.0], &ratio, Type { anchor: Anchor::End, ..SMALL });
}

/// The longest round length that the bar's room holds, in metres and on paper.
fn bar(plan: &Plan, unit: LengthUnit) -> (f64, f64) {
    const ROUND: [f64; 10] = [0.5, 1.0, 2.0, 5.0, 10.0, 20.0, 50.0, 100.0, 200.0, 500.0];
    const MOST_MM: f64 = 45.0;
    let lengths = ROUND.into_iter().rev().map(|round| unit.to_metres(round));
    let mut fitting = lengths.map(|length_m| (length_m, plan.mm(length_m)));
    fitting.find(|(_, mm)| *mm <= MOST_MM).unwrap_or((unit.to_metres(0.5), MOST_MM))
}

/// The size at which a bold line keeps within the strip, at most the head's own.
fn fitting_mm(text: &str) -> f64 {
    /// Breadth of a bold letter over its size: a wide sans, so that any font keeps within.
    const BREADTH: f64 = 0.68;
    let fits_mm = (RIGHT - LEFT) / (BREADTH * text.chars().count().max(1) as f64);
    HEAD.size_mm.min((fits_mm * 100.0).floor() / 100.0)
}

/// A text that keeps within the strip.
fn shortened(text: &str, n_most: usize) -> String {
    if text.chars().count() <= n_most {
        return text.to_owned();
    }
    let front: String = text.chars().take(n_most - 1).collect();
    format!("{}\u{2026}", front.trim_end())
}
