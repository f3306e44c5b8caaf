//! Writing GeoJSON.

use std::fmt::Write as _;

use ground::Surface;
use ground::query::{Contour, contour_set, outline};
use site::Frame;
use units::LengthUnit;

use crate::content::{Content, Line, LineKind, LinePlace, in_unit, world_m};
use crate::unit_words::word_of;

const STRING: &str = "a string takes any text";

/// A surface to be drawn as lines.
pub struct Drawn<'a> {
    /// What it is called.
    pub name: &'a str,
    /// The surface.
    pub surface: &'a Surface,
    /// Its frame.
    pub frame: &'a Frame,
    /// Levels of its contours, in metres; none for its outline alone.
    pub levels_m: &'a [f64],
}

/// Points, lines, outlines of surfaces as polygons, and contours as lines, in `unit`.
pub fn write(content: &Content, drawn: &[Drawn<'_>], unit: LengthUnit) -> String {
    let mut features = Vec::new();
    for point in &content.points {
        let geometry = format!(
            "{{\"type\":\"Point\",\"coordinates\":{}}}",
            place(&LinePlace::solid(point.at_m), unit)
        );
        let told = [("name", &point.name), ("code", &point.code), ("note", &point.note)];
        let told = told.iter().filter(|(_, text)| !text.is_empty());
        let told: Vec<String> =
            told.map(|(key, text)| format!("\"{key}\":{}", quoted(text))).collect();
        features.push(feature(&told, &geometry));
    }
    let beside = content.surfaces.iter().flat_map(|tin| &tin.lines);
    // The outlines of surfaces are what their boundaries and voids have become.
    let is_told = |line: &&Line| {
        drawn.is_empty() || !matches!(line.kind, LineKind::Boundary | LineKind::Void)
    };
    let lines = content.lines.iter().chain(beside).filter(is_told);
    features.extend(lines.map(|line| line_feature(line, unit)));
    for surface in drawn {
        features.extend(outlines(surface, unit));
        let contours = contour_set(surface.surface, surface.levels_m);
        features.extend(contours.iter().map(|contour| contour_feature(surface, contour, unit)));
    }
    let mut out =
        format!("{{\"type\":\"FeatureCollection\",\"unit\":\"{}\",\"features\":[\n", word_of(unit));
    out.push_str(&features.join(",\n"));
    out.push_str("\n]}\n");
    out
}

fn feature(told: &[String], geometry: &str) -> String {
    let told = told.join(",");
    format!("{{\"type\":\"Feature\",\"properties\":{{{told}}},\"geometry\":{geometry}}}")
}

fn line_feature(line: &Line, unit: LengthUnit) -> String {
    let told = told(&line.name, line.kind);
    let places = places(&line.places, unit);
    let is_outline = matches!(line.kind, LineKind::Boundary | LineKind::Void) && line.is_closed();
    let geometry = if is_outline {
        format!("{{\"type\":\"Polygon\",\"coordinates\":[{places}]}}")
    } else {
        format!("{{\"type\":\"LineString\",\"coordinates\":{places}}}")
    };
    feature(&told, &geometry)
}

fn told(name: &str, kind: LineKind) -> Vec<String> {
    let mut told = vec![format!("\"kind\":\"{}\"", kind.as_str())];
    if !name.is_empty() {
        told.push(format!("\"name\":{}", quoted(name)));
    }
    told
}

/// A polygon for each part of the surface, with its holes.
fn outlines(drawn: &Drawn<'_>, unit: LengthUnit) -> Vec<String> {
    let lattice = drawn.surface.lattice();
    let rings: Vec<Vec<LinePlace>> = outline(drawn.surface)
        .into_iter()
        .map(|ring| {
            let place = |point: &ground::query::RingPoint| {
                let at = drawn.surface.vertices()[point.vertex as usize];
                let [x, y] = world_m(drawn.frame, lattice.metres(at));
                LinePlace::solid([x, y, point.z])
            };
            let mut places: Vec<LinePlace> = ring.iter().map(place).collect();
            places.extend(places.first().copied());
            places
        })
        .collect();
    let (outer, holes): (Vec<_>, Vec<_>) = rings.iter().partition(|ring| doubled_area(ring) > 0.0);
    let mut polygons: Vec<(&Vec<LinePlace>, Vec<&Vec<LinePlace>>)> =
        outer.into_iter().map(|ring| (ring, Vec::new())).collect();
    // A hole belongs to the smallest ring around it.
    polygons.sort_by(|a, b| doubled_area(a.0).total_cmp(&doubled_area(b.0)));
    for hole in holes {
        let owner = polygons.iter().position(|(ring, _)| holds(ring, hole[0].at_m));
        if let Some(owner) = owner.or(polygons.len().checked_sub(1)) {
            polygons[owner].1.push(hole);
        }
    }
    let told = told(drawn.name, LineKind::Boundary);
    let polygon = |(ring, holes): &(&Vec<LinePlace>, Vec<&Vec<LinePlace>>)| {
        let rings: Vec<String> =
            std::iter::once(ring).chain(holes.iter()).map(|ring| places(ring, unit)).collect();
        feature(&told, &format!("{{\"type\":\"Polygon\",\"coordinates\":[{}]}}", rings.join(",")))
    };
    polygons.iter().map(polygon).collect()
}

fn contour_feature(drawn: &Drawn<'_>, contour: &Contour, unit: LengthUnit) -> String {
    let place = |at: &[f64; 2]| {
        let [x, y] = world_m(drawn.frame, *at);
        LinePlace::solid([x, y, contour.z])
    };
    let mut line: Vec<LinePlace> = contour.points.iter().map(place).collect();
    if contour.closed {
        line.extend(line.first().copied());
    }
    let mut told = told(drawn.name, LineKind::Contour);
    told.push(format!("\"elevation\":{}", in_unit(contour.z, unit)));
    let places = places(&line, unit);
    feature(&told, &format!("{{\"type\":\"LineString\",\"coordinates\":{places}}}"))
}

fn places(line: &[LinePlace], unit: LengthUnit) -> String {
    let all: Vec<String> = line.iter().map(|p| place(p, unit)).collect();
    format!("[{}]", all.join(","))
}

fn place(place: &LinePlace, unit: LengthUnit) -> String {
    let [x, y] = place.at_m.map(|c| in_unit(c, unit));
    let mut out = format!("[{x},{y}");
    if let Some(z) = place.z_m {
        write!(out, ",{}", in_unit(z, unit)).expect(STRING);
    }
    out.push(']');
    out
}

fn quoted(text: &str) -> String {
    serde_json::to_string(text).expect("a text is always JSON")
}

fn doubled_area(ring: &[LinePlace]) -> f64 {
    let [x0, y0] = ring[0].at_m;
    let cross = |pair: &[LinePlace]| {
        let ([ax, ay], [bx, by]) = (pair[0].at_m, pair[1].at_m);
        (ax - x0) * (by - y0) - (bx - x0) * (ay - y0)
    };
    ring.windows(2).map(cross).sum()
}

/// Whether a place lies within a ring, by the crossings of a ray to the east.
fn holds(ring: &[LinePlace], [x, y]: [f64; 2]) -> bool {
    let crosses = |pair: &&[LinePlace]| {
        let ([ax, ay], [bx, by]) = (pair[0].at_m, pair[1].at_m);
        (ay > y) != (by > y) && x < ax + (y - ay) / (by - ay) * (bx - ax)
    };
    ring.windows(2).filter(crosses).count() % 2 == 1
}
