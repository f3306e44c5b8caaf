//! The depth map: where one ground lies below or above another. Of two versions, or of one site: what is
//! dug and what is filled.
//!
//! A4, landscape, true to scale. Colour says how far; hatching says the same without colour.

mod key;
mod regions;

use ground::Surface;
use ground::overlay::Volumes;
use ground::query::{contour_levels, contour_set, extent_z, outline};
use site::field::{FieldValue, fields};
use site::{Site, Work};
use units::{LengthUnit, length_text};

use crate::depth_colours::{Class, class_width_m, define_hatching};
use crate::labels::Labels;
use crate::paper::{Plan, extent_m};
use crate::svg::{End, Svg, path_data};
use crate::{INK, PAINT, PAPER, RULE, SECOND};
use regions::regions;

/// What a depth map shows.
#[derive(Clone, Copy, Debug)]
pub struct DepthMap<'a> {
    /// What the two grounds are.
    pub shows: Shows<'a>,
    /// The site, of two versions the second: for its title, its works' names and its houses.
    pub site: &'a Site,
    /// The two grounds, on one lattice.
    pub grounds: [&'a Surface; 2],
    /// What lies between them.
    pub between: &'a Volumes,
    /// The unit of its words.
    pub unit: LengthUnit,
}

/// What the two grounds of a depth map are.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Shows<'a> {
    /// The finished grounds of two versions, which people call so.
    Versions([&'a str; 2]),
    /// The existing and the finished ground of one site.
    Earthwork,
}

/// The words in which a map tells what it shows.
struct Words {
    what: &'static str,
    raised: &'static str,
    lowered: &'static str,
    higher: &'static str,
    lower: &'static str,
    contours: &'static str,
}

impl Shows<'_> {
    fn words(self) -> Words {
        match self {
            Self::Versions(_) => Words {
                what: "Finished ground of B less that of A",
                raised: "B stands higher by",
                lowered: "B lies lower by",
                higher: "higher",
                lower: "lower",
                contours: "contours of B",
            },
            Self::Earthwork => Words {
                what: "Cut and fill: finished less existing ground",
                raised: "Fill comes up by",
                lowered: "Cut goes down by",
                higher: "fill",
                lower: "cut",
                contours: "finished contours",
            },
        }
    }
}

/// The sheet, millimetres.
const SHEET: [f64; 2] = [297.0, 210.0];
/// Left, top, right and bottom of the plan on it.
const PLAN: [f64; 4] = [12.0, 12.0, 208.0, 198.0];

/// Half the size of the mark where the ground moves the most, millimetres.
const MARK: f64 = 1.5;

/// Draws the map as SVG.
///
/// # Panics
/// When the grounds lie on different lattices.
pub fn depth_map(map: &DepthMap<'_>) -> String {
    let reach_m = map.between.deepest_cut_m.max(map.between.highest_fill_m);
    let width_m = class_width_m(reach_m, map.unit);
    let regions = regions(map.grounds[0], map.grounds[1], width_m);
    let plan = Plan::fitting(shown_m(map.grounds[1], &regions), PLAN);
    let mut svg = Svg::sheet(SHEET, PAPER);
    svg.raw("<defs>");
    define_hatching(&mut svg);
    let [left, top, right, bottom] = PLAN;
    let frame = format!("M{left} {top}H{right}V{bottom}H{left}Z");
    svg.raw(&format!("<clipPath id=\"plan\"><path d=\"{frame}\"/></clipPath>"));
    svg.raw("</defs>");
    svg.group("clip-path=\"url(#plan)\"", |svg| {
        classes(svg, &regions, &plan);
        ground_lines(svg, map, &plan);
        let mut labels = Labels::within(PLAN);
        for at in [map.between.deepest_at, map.between.highest_at].into_iter().flatten() {
            labels.keep_off(plan.on_paper(at), MARK);
        }
        houses(svg, map.site, &plan, &mut labels);
        names(svg, map.site, &plan, &mut labels);
        extremes(svg, map, &plan, &mut labels);
    });
    svg.path(&frame, &format!("fill=\"none\" stroke=\"{RULE}\" stroke-width=\"0.3\""));
    key::draw(&mut svg, map, &plan, width_m);
    svg.finish()
}

/// Room around the ground that moves, as a share of its span, and the least of it in metres.
const AROUND: (f64, f64) = (0.12, 2.0);

/// The part of the garden that is shown: the ground that moves and some around it, or all of it.
fn shown_m(ground: &Surface, regions: &[Vec<Vec<[f64; 2]>>]) -> [[f64; 2]; 2] {
    let [low, high] = extent_m(ground);
    let places = || regions.iter().flatten().flatten();
    if places().next().is_none() {
        return [low, high];
    }
    let [mut from, mut to] = [[0.0; 2]; 2];
    for axis in 0..2 {
        let along = || places().map(|place| place[axis]);
        let (least, most) =
            (along().fold(f64::INFINITY, f64::min), along().fold(f64::NEG_INFINITY, f64::max));
        let around_m = (AROUND.0 * (most - least)).max(AROUND.1);
        from[axis] = (least - around_m).max(low[axis]);
        to[axis] = (most + around_m).min(high[axis]);
    }
    [from, to]
}

/// The ground that moves, by class: colour, then hatching over it.
fn classes(svg: &mut Svg, regions: &[Vec<Vec<[f64; 2]>>], plan: &Plan) {
    for (class, rings) in Class::all().zip(regions) {
        let ring = |ring: &Vec<[f64; 2]>| {
            let places: Vec<[f64; 2]> = ring.iter().map(|&at| plan.on_paper(at)).collect();
            path_data(&places, End::Closed)
        };
        let data: String = rings.iter().map(ring).collect();
        if !data.is_empty() {
            svg.path(&data, &format!("fill=\"{}\"", class.colour()));
            svg.path(&data, &format!("fill=\"url(#{})\"", class.hatch()));
        }
    }
}

/// Contours of the second ground, to find one's way, and its edge.
fn ground_lines(svg: &mut Svg, map: &DepthMap<'_>, plan: &Plan) {
    let ground = map.grounds[1];
    let path = |points: &[[f64; 2]], end: End| {
        let places: Vec<[f64; 2]> = points.iter().map(|&at| plan.on_paper(at)).collect();
        path_data(&places, end)
    };
    let contours: String = contour_interval_m(ground, map.unit)
        .map(|(levels, _)| contour_set(ground, &levels))
        .unwrap_or_default()
        .iter()
        .map(|line| path(&line.points, if line.closed { End::Closed } else { End::Open }))
        .collect();
    let thin =
        format!("fill=\"none\" stroke=\"{SECOND}\" stroke-width=\"0.12\" stroke-opacity=\"0.7\"");
    svg.path(&contours, &thin);
    let lattice = ground.lattice();
    let place = |vertex: u32| lattice.metres(ground.vertices()[vertex as usize]);
    let edge: String = outline(ground)
        .iter()
        .map(|ring| {
            let points: Vec<[f64; 2]> = ring.iter().map(|point| place(point.vertex)).collect();
            path(&points, End::Closed)
        })
        .collect();
    svg.path(&edge, &format!("fill=\"none\" stroke=\"{INK}\" stroke-width=\"0.3\""));
}

/// The levels of the contours and the rise between them: about a dozen, round in people's unit.
fn contour_interval_m(ground: &Surface, unit: LengthUnit) -> Option<(Vec<f64>, f64)> {
    const ROUND: [f64; 8] = [0.1, 0.2, 0.25, 0.5, 1.0, 2.0, 5.0, 10.0];
    let range = extent_z(ground)?;
    let least_m = (range[1] - range[0]) / 14.0;
    let mut intervals = ROUND.into_iter().map(|round| unit.to_metres(round));
    let interval_m = intervals.find(|interval_m| *interval_m >= least_m)?;
    Some((contour_levels(range, interval_m).ok()?, interval_m))
}

fn houses(svg: &mut Svg, site: &Site, plan: &Plan, labels: &mut Labels) {
    for house in &site.houses {
        let places: Vec<[f64; 2]> = house.outline_m.iter().map(|&at| plan.on_paper(at)).collect();
        let ink = format!("fill=\"{RULE}\" stroke=\"{INK}\" stroke-width=\"0.35\"");
        svg.path(&path_data(&places, End::Closed), &ink);
        labels.put(svg, middle(&places), &house.name, 3.0);
    }
}

/// The names of the works that are built, each amid its drawn points.
fn names(svg: &mut Svg, site: &Site, plan: &Plan, labels: &mut Labels) {
    for work in site.works.iter().filter(|work| work.visible) {
        let places: Vec<[f64; 2]> = drawn(work).into_iter().map(|at| plan.on_paper(at)).collect();
        if !places.is_empty() {
            labels.put(svg, middle(&places), &work.name, 3.2);
        }
    }
}

/// Where the ground goes down and comes up the most, with how far.
fn extremes(svg: &mut Svg, map: &DepthMap<'_>, plan: &Plan, labels: &mut Labels) {
    let (between, words) = (map.between, map.shows.words());
    let marks = [
        (between.deepest_at, between.deepest_cut_m, words.lower),
        (between.highest_at, between.highest_fill_m, words.higher),
    ];
    for (at_m, far_m, word) in marks {
        let Some(at_m) = at_m.filter(|_| far_m >= regions::LEAST_M) else { continue };
        let [x, y] = plan.on_paper(at_m);
        let (left, top, whole) = (x - MARK, y - MARK, 2.0 * MARK);
        let cross = format!("M{left:.2} {y:.2}h{whole}M{x:.2} {top:.2}v{whole}");
        svg.path(&cross, &format!("stroke=\"{PAINT}\" stroke-width=\"0.5\" fill=\"none\""));
        let words = format!("{} {word}", length_text(far_m, map.unit));
        labels.put(svg, [x, y - 3.4], &words, 2.8);
    }
}

/// The places that a work is drawn with.
fn drawn(work: &Work) -> Vec<[f64; 2]> {
    let place = |value| match value {
        FieldValue::Place(place) => place,
        _ => None,
    };
    fields(work).into_iter().filter_map(|field| place(field.value)).collect()
}

fn middle(places: &[[f64; 2]]) -> [f64; 2] {
    let n = places.len().max(1) as f64;
    [0, 1].map(|axis| places.iter().map(|place| place[axis]).sum::<f64>() / n)
}

#[cfg(test)]
mod tests;
