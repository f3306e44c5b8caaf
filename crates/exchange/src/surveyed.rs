//! From a file of ground to a survey: points, breaklines and outlines from which the file's own
//! triangles come again.
//!
//! A survey is triangulated by the rule of empty circles, with edges along breaklines. So of a file's
//! triangles only those edges must be told that the rule would not draw, and the outline:
//!
//! ```text
//!         d            an edge a-b is drawn by the rule when d lies outside the circle through a, b
//!       / | \          and c; where it lies inside, or on the circle, where either edge would do, the
//!     a - + - b        edge becomes a breakline
//!       \ | /
//!         c
//! ```
//! Every other edge is then locally Delaunay, so that the constrained triangulation is the file's own.
//!
//! # Source
//! A triangulation whose every free edge is locally Delaunay is the constrained Delaunay
//! triangulation: Lee and Lin, Discrete & Computational Geometry 1 (1986), from memory.

mod chain;
mod posts;

#[cfg(test)]
mod tests;

use std::collections::BTreeMap;

use ground::predicates::{in_circle_sign, orient};
use ground::query::{RingPoint, outline_where};
use ground::{NONE, Surface};
use site::Frame;
use units::{LengthUnit, area_text};

use crate::content::{Content, Datum, Line, LineKind, LinePlace, world_m};
use crate::convert::{Asked, ConvertError, Held, thinned, tins};
use crate::points::{Point, doubts};
use crate::tin::{Tin, TinError};
use crate::watch::Watch;

/// A survey as points, breaklines and outlines, in metres of the world's frame.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Surveyed {
    /// What the file calls its ground; empty where it has no name.
    pub name: String,
    /// Points of the ground.
    pub points: Vec<Point>,
    /// Lines that edges follow.
    pub breaklines: Vec<Line>,
    /// The outline; none for the convex hull.
    pub boundary: Option<Line>,
    /// Outlines without ground.
    pub voids: Vec<Line>,
}

/// What a file holds as one surface, a cloud or a grid thinned to the error that was asked for.
///
/// What was measured and left out is added to `notes`.
///
/// # Errors
/// [`ConvertError`] when something must be told first: the error, or which of several surfaces.
pub fn one_ground(
    held: Held,
    asked: &Asked,
    notes: &mut Vec<String>,
    watch: &mut Watch<'_>,
) -> Result<Content, ConvertError> {
    let (unit, datum, mut tin) = match held {
        Held::Cloud(cloud) => {
            let ground = thinned(&cloud, asked, notes, watch)?;
            let (name, surface) = &ground.surfaces[0];
            (cloud.unit, cloud.datum, Tin::of(surface, &ground.frame, name))
        }
        Held::Content(Content { grid: Some(grid), unit, datum, .. }) => {
            (unit, datum, posts::thinned(&grid, unit, asked, notes, watch)?)
        }
        Held::Content(content) => {
            refuse_many(&content)?;
            return Ok(content);
        }
    };
    // A thinned surface tells its triangles alone: its breaklines are found when it is laid out.
    tin.fixed.clear();
    Ok(Content { unit, datum, surfaces: vec![tin], ..Content::default() })
}

/// The one surface of a content, as the file tells it, in a frame.
///
/// # Errors
/// [`ConvertError`] when there is none, or when it makes no surface.
pub fn own_surface(
    content: &Content,
    frame: &Frame,
    notes: &mut Vec<String>,
) -> Result<Surface, ConvertError> {
    refuse_many(content)?;
    let tins = tins(content, notes);
    let tin = tins.first().ok_or(NO_SURFACE)?;
    let (surface, made) = tin.surface(frame)?;
    notes.extend(made.doubts(&tin.name));
    Ok(surface)
}

/// The places in plan of the one surface of a content, in metres of the world's frame.
///
/// # Errors
/// [`ConvertError`] when there is none, or more than one.
pub fn ground_places_m(content: &Content) -> Result<Vec<[f64; 2]>, ConvertError> {
    refuse_many(content)?;
    let tins = tins(content, &mut Vec::new());
    Ok(tins.first().ok_or(NO_SURFACE)?.places_m().collect())
}

const NO_SURFACE: ConvertError =
    ConvertError::Untold("read no points that span a surface, expected some");

impl Surveyed {
    /// The survey of a content of one surface, laid out on the lattice of `frame`.
    ///
    /// # Errors
    /// [`ConvertError`] when there is no surface, or more than one.
    pub fn of(
        content: &Content,
        frame: &Frame,
        notes: &mut Vec<String>,
    ) -> Result<Self, ConvertError> {
        refuse_many(content)?;
        let tins = tins(content, notes);
        let tin = tins.first().ok_or(NO_SURFACE)?;
        if !tin.faces.is_empty() {
            let (surface, made) = tin.surface(frame)?;
            notes.extend(made.doubts(&tin.name));
            let laid = laid_out(&surface, frame, content.unit, notes);
            let points = named(&laid.vertices_m, &content.points);
            return Ok(Self { name: tin.name.clone(), points, ..laid.survey });
        }
        let of_kind = |kind: LineKind| tin.lines.iter().filter(move |line| line.kind == kind);
        let n_read = of_kind(LineKind::Boundary).count();
        if n_read > 1 {
            return Err(TinError::Boundaries { name: tin.name.clone(), n_read }.into());
        }
        let breaklines = of_kind(LineKind::Breakline).chain(of_kind(LineKind::Contour));
        Ok(Self {
            name: tin.name.clone(),
            points: named(&tin.vertices_m, &content.points),
            breaklines: breaklines.filter(|line| line.solid_m().is_some()).cloned().collect(),
            boundary: of_kind(LineKind::Boundary).next().cloned(),
            voids: of_kind(LineKind::Void).cloned().collect(),
        })
    }

    /// The survey as a content that is read back as this survey; `named` are the points that the
    /// file names, of the ground or not.
    pub fn content(&self, unit: LengthUnit, datum: &Datum, named: &[Point]) -> Content {
        let lines = self.breaklines.iter().chain(&self.boundary).chain(&self.voids);
        let tin = Tin {
            name: self.name.clone(),
            vertices_m: self.points.iter().map(|point| point.at_m).collect(),
            lines: lines.cloned().collect(),
            ..Tin::default()
        };
        Content {
            unit,
            datum: datum.clone(),
            points: named.to_vec(),
            surfaces: vec![tin],
            ..Content::default()
        }
    }
}

/// Refuses a choice between surfaces that nobody has made.
fn refuse_many(content: &Content) -> Result<(), ConvertError> {
    if content.surfaces.len() < 2 {
        return Ok(());
    }
    let there: Vec<&str> = content.surfaces.iter().map(|tin| tin.name.as_str()).collect();
    Err(ConvertError::WhichSurface { there: there.join(", ") })
}

/// A survey of which the points have no names yet.
struct Laid {
    survey: Surveyed,
    vertices_m: Vec<[f64; 3]>,
}

/// A surface as points, the edges that the rule of empty circles would not draw, and its outline.
fn laid_out(surface: &Surface, frame: &Frame, unit: LengthUnit, notes: &mut Vec<String>) -> Laid {
    let (is_kept, boundary, voids) = outlines(surface, unit, notes);
    let told = Told::of(surface, &is_kept);
    if told.n_second > 0 {
        notes.push(format!(
            "{} places have a second height, as the foot and the top of a wall have: a survey has \
             one, and their mean counts; draw the wall as a work",
            told.n_second
        ));
    }
    let solid = |vertex: u32| {
        let at = surface.lattice().metres(surface.vertices()[vertex as usize]);
        let [x, y] = world_m(frame, at);
        [x, y, told.z_m[vertex as usize]]
    };
    let line = |kind: LineKind, places: Vec<LinePlace>| Line { name: String::new(), kind, places };
    let ring = |kind: LineKind, ring: &[RingPoint]| {
        let closed = ring.iter().chain(ring.first());
        line(kind, closed.map(|point| LinePlace::solid(solid(point.vertex))).collect())
    };
    let breakline = |chain: &Vec<u32>| {
        line(LineKind::Breakline, chain.iter().map(|v| LinePlace::solid(solid(*v))).collect())
    };
    let used = (0..surface.vertices().len() as u32).filter(|v| !told.z_m[*v as usize].is_nan());
    let vertices_m = used.map(solid).collect();
    let survey = Surveyed {
        breaklines: chain::chained(&told.edges).iter().map(breakline).collect(),
        boundary: boundary.map(|points| ring(LineKind::Boundary, &points)),
        voids: voids.iter().map(|points| ring(LineKind::Void, points)).collect(),
        ..Surveyed::default()
    };
    Laid { survey, vertices_m }
}

/// Which faces belong to the largest part, its outline and its holes.
type Outlines = (Vec<bool>, Option<Vec<RingPoint>>, Vec<Vec<RingPoint>>);

fn outlines(surface: &Surface, unit: LengthUnit, notes: &mut Vec<String>) -> Outlines {
    let (part, areas) = parts(surface);
    let largest = (0..areas.len()).rev().max_by(|a, b| areas[*a].cmp(&areas[*b])).unwrap_or(0);
    if areas.len() > 1 {
        let per_m = 1.0 / surface.lattice().step_m();
        let left: i128 = areas.iter().sum::<i128>() - areas[largest];
        let area_m2 = left as f64 / (2.0 * per_m * per_m);
        notes.push(format!(
            "the ground lies in {} parts: the largest is taken, {} in others are left out",
            areas.len(),
            area_text(area_m2, unit)
        ));
    }
    let is_kept: Vec<bool> = part.iter().map(|p| *p as usize == largest).collect();
    let rings = outline_where(surface, |face| is_kept[face as usize]);
    let rings = rings.into_iter().map(|ring| corners(surface, &ring));
    let (outer, holes): (Vec<_>, Vec<_>) = rings.partition(|ring| twice_area(surface, ring) > 0);
    let outer = outer.into_iter().max_by_key(|ring| twice_area(surface, ring));
    // The convex hull needs no words.
    let boundary = outer.filter(|ring| !holes.is_empty() || !is_convex(surface, ring));
    (is_kept, boundary, holes)
}

/// The vertices of a ring at which it turns: those between stand on the line that is drawn anyway.
fn corners(surface: &Surface, ring: &[RingPoint]) -> Vec<RingPoint> {
    let at = |i: usize| surface.vertices()[ring[i % ring.len()].vertex as usize];
    let turns = |i: &usize| orient(at(i + ring.len() - 1), at(*i), at(i + 1)) != 0;
    (0..ring.len()).filter(turns).map(|i| ring[i]).collect()
}

fn is_convex(surface: &Surface, ring: &[RingPoint]) -> bool {
    let at = |i: usize| surface.vertices()[ring[i % ring.len()].vertex as usize];
    (0..ring.len()).all(|i| orient(at(i), at(i + 1), at(i + 2)) >= 0)
}

/// The part that each face belongs to, and twice the area of each part in square steps.
fn parts(surface: &Surface) -> (Vec<u32>, Vec<i128>) {
    let faces = surface.faces();
    let mut part = vec![NONE; faces.len()];
    let mut areas = Vec::new();
    for start in 0..faces.len() as u32 {
        if part[start as usize] != NONE {
            continue;
        }
        let number = areas.len() as u32;
        let mut area = 0;
        let mut open = vec![start];
        part[start as usize] = number;
        while let Some(face) = open.pop() {
            let [a, b, c] = surface.corners(face);
            area += i128::from(orient(a, b, c));
            for next in faces[face as usize].neighbours {
                if next != NONE && part[next as usize] == NONE {
                    part[next as usize] = number;
                    open.push(next);
                }
            }
        }
        areas.push(area);
    }
    (part, areas)
}

fn twice_area(surface: &Surface, ring: &[RingPoint]) -> i128 {
    let at = |point: &RingPoint| surface.vertices()[point.vertex as usize];
    let first = at(&ring[0]);
    let corner = |pair: &[RingPoint]| i128::from(orient(first, at(&pair[0]), at(&pair[1])));
    ring.windows(2).map(corner).sum()
}

/// What of a surface a survey must tell.
struct Told {
    /// Edges, by their vertices, that the rule of empty circles would not draw.
    edges: Vec<[u32; 2]>,
    /// One height for each vertex, the mean of those that faces name; none where no kept face does.
    z_m: Vec<f64>,
    /// Places with more heights than one.
    n_second: usize,
}

impl Told {
    fn of(surface: &Surface, is_kept: &[bool]) -> Self {
        let mut edges = Vec::new();
        let mut z_m = vec![f64::NAN; surface.vertices().len()];
        let mut more: BTreeMap<u32, Vec<f64>> = BTreeMap::new();
        for (idx, face) in surface.faces().iter().enumerate().filter(|(idx, _)| is_kept[*idx]) {
            for k in 0..3 {
                let (vertex, z) = (face.vertices[k], surface.heights()[face.heights[k] as usize]);
                let first = &mut z_m[vertex as usize];
                if first.is_nan() {
                    *first = z;
                } else if *first != z {
                    let all = more.entry(vertex).or_insert_with(|| vec![*first]);
                    if !all.contains(&z) {
                        all.push(z);
                    }
                }
                if is_told(surface, idx as u32, k) {
                    let next = face.vertices[(k + 1) % 3];
                    edges.push([vertex.min(next), vertex.max(next)]);
                }
            }
        }
        for (vertex, all) in &more {
            z_m[*vertex as usize] = all.iter().sum::<f64>() / all.len() as f64;
        }
        Self { edges, z_m, n_second: more.values().map(|all| all.len() - 1).sum() }
    }
}

/// Whether an edge of a face must be told; each is looked at from one side, and those of the outline
/// are told by it.
fn is_told(surface: &Surface, face_idx: u32, k: usize) -> bool {
    let face = &surface.faces()[face_idx as usize];
    let across = face.neighbours[k];
    if across == NONE || across < face_idx {
        return false;
    }
    let ends = [face.vertices[k], face.vertices[(k + 1) % 3]];
    let other = &surface.faces()[across as usize];
    let apex = other.vertices.into_iter().find(|vertex| !ends.contains(vertex));
    let at = |vertex: u32| surface.vertices()[vertex as usize];
    let [a, b, c] = face.vertices.map(at);
    let is_drawn = apex.is_some_and(|d| in_circle_sign(a, b, c, at(d)).is_lt());
    !is_drawn || face.fixed >> k & 1 == 1
}

/// Points at these places, with name and code of those of the file that stand there; others are
/// called by their numbers.
fn named(vertices_m: &[[f64; 3]], of_file: &[Point]) -> Vec<Point> {
    let bits = |at_m: [f64; 3]| at_m.map(f64::to_bits);
    let mut there: BTreeMap<[u64; 3], &Point> = BTreeMap::new();
    of_file.iter().rev().for_each(|point| {
        there.insert(bits(point.at_m), point);
    });
    let point = |(line, at_m): (u32, &[f64; 3])| match there.remove(&bits(*at_m)) {
        Some(point) => Point { line, ..point.clone() },
        None => Point { at_m: *at_m, line, ..Point::default() },
    };
    let mut points: Vec<Point> = (1..).zip(vertices_m).map(point).collect();
    // What is renamed here is only a number that is a name already.
    doubts::make_names_unique(&mut points);
    points
}
