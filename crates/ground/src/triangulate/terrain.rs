//! From a survey to a surface.

use super::canonical;
use super::constrain::{Label, Lines, Piece, offset};
use super::delaunay::{Degenerate, delaunay};
use super::finish::{Finished, finish};
use super::mesh::{GHOST, Mesh, Spot, next, prev};
use super::planar::is_on_lattice;
use super::report::{BuildReport, Meeting, Merged};
use super::rings::{Ring, RingFault};
use crate::predicates::orient;
use crate::{Face, Lattice, LatticePoint, NONE, Plane, Surface, Tag};

/// What a surface is built from; heights are in metres.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Terrain {
    /// The lattice on which all places lie.
    pub lattice: Lattice,
    /// Surveyed points.
    pub points: Vec<(LatticePoint, f64)>,
    /// Lines that the triangles' edges follow.
    pub breaklines: Vec<Breakline>,
    /// The outline beyond which there is no ground; without one the convex hull.
    pub boundary: Option<Vec<LatticePoint>>,
    /// Outlines within which there is no ground.
    pub voids: Vec<Vec<LatticePoint>>,
    /// Whose the faces are.
    pub tag: Tag,
}

/// A line on the ground that the triangles' edges follow, such as the top of a bank.
///
/// It is open; a closed one repeats its first vertex at the end.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Breakline {
    /// Places and heights in metres, in order along the line.
    pub vertices: Vec<(LatticePoint, f64)>,
}

/// A surface and what was found while it was built.
#[derive(Clone, Debug, PartialEq)]
pub struct Built {
    /// The surface.
    pub surface: Surface,
    /// What the input held besides plain points and lines.
    pub report: BuildReport,
}

/// Which outline an error is about.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Outline {
    /// The boundary.
    Boundary,
    /// The void with this index.
    Void(usize),
}

/// Why no surface could be built.
#[derive(Clone, Copy, Debug, PartialEq, thiserror::Error)]
pub enum BuildError {
    /// Fewer than three distinct places.
    #[error("a surface needs three points, not {0}")]
    NeedsThree(usize),
    /// All places lie within the lattice's rounding of one line.
    #[error("the points are all on one line")]
    OneLine,
    /// A point's height is not a finite number.
    #[error("the height of point {point} is {height}")]
    PointHeight {
        /// Index of the point.
        point: usize,
        /// What it said.
        height: f64,
    },
    /// A breakline vertex's height is not a finite number.
    #[error("the height of vertex {vertex} of breakline {line} is {height}")]
    LineHeight {
        /// Index of the breakline.
        line: usize,
        /// Index of the vertex along it.
        vertex: usize,
        /// What it said.
        height: f64,
    },
    /// A place beyond the lattice.
    #[error("the place ({}, {}) lies beyond the lattice", at.x, at.y)]
    Beyond {
        /// The place.
        at: LatticePoint,
    },
    /// An outline that encloses nothing.
    #[error("{outline} encloses nothing")]
    Flat {
        /// The outline.
        outline: Outline,
    },
    /// An outline that crosses or touches itself.
    #[error("{outline} meets itself near lattice place ({}, {})", at.x, at.y)]
    MeetsItself {
        /// The outline.
        outline: Outline,
        /// One of its vertices, at or next to the meeting.
        at: LatticePoint,
    },
    /// A void that has no ground in common with the survey or its boundary.
    #[error("void {void} lies outside the ground, at lattice place ({}, {})", at.x, at.y)]
    VoidOutside {
        /// Index of the void.
        void: usize,
        /// Its first vertex.
        at: LatticePoint,
    },
    /// Boundary and voids leave no ground.
    #[error("the boundary and the voids leave no ground")]
    NothingLeft,
}

impl std::fmt::Display for Outline {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        match self {
            Self::Boundary => f.write_str("the boundary"),
            Self::Void(void) => write!(f, "void {void}"),
        }
    }
}

/// Builds the surface over the survey's points and lines.
///
/// It spans the convex hull of all points and breakline vertices, less what lies outside the
/// boundary or in a void. Heights named more than once for a place become their mean, and where
/// breaklines cross at different heights the crossing lies half-way: [`BuildReport`] names both.
/// A boundary and voids are laid on the ground and cut it without changing it; beyond the hull they
/// cut nothing. The surface does not depend on the order of the input.
///
/// # Errors
/// Fewer than three places, all on one line, a height that is not finite, a place beyond
/// [`Lattice::REACH`], an outline that is flat or meets itself, a void without ground, no ground
/// left.
pub fn build(terrain: &Terrain) -> Result<Built, BuildError> {
    check_input(terrain)?;
    let mut report = BuildReport::default();
    let Gathered { places, cells, heights, spot_of } = gather(terrain, &mut report);
    let n_places = places.len();
    if n_places > 2 && is_one_line(&places) {
        return Err(BuildError::OneLine);
    }
    let mesh = delaunay(places, &cells).map_err(|degenerate| match degenerate {
        Degenerate::TooFew => BuildError::NeedsThree(n_places),
        Degenerate::OneLine => BuildError::OneLine,
    })?;
    let mut lines = Lines::new(mesh, heights);
    lines.enforce(pieces(terrain, &spot_of, &mut report));
    settle(&mut lines, &mut report);
    let rings = rings(terrain)?;
    if rings.is_empty() {
        let finished = finish(&lines.mesh, n_places, |_| true);
        let faces = finished.faces(terrain.tag);
        let surface = surface(terrain, &finished, &lines.heights, faces, Vec::new());
        return Ok(Built { surface, report });
    }
    let ground = Ground { mesh: lines.mesh.clone(), heights: lines.heights.clone() };
    cut(terrain, lines, ground, &rings, report)
}

type Place = (LatticePoint, f64);

fn check_input(terrain: &Terrain) -> Result<(), BuildError> {
    for (point, &(_, height)) in terrain.points.iter().enumerate() {
        if !height.is_finite() {
            return Err(BuildError::PointHeight { point, height });
        }
    }
    for (line, breakline) in terrain.breaklines.iter().enumerate() {
        for (vertex, &(_, height)) in breakline.vertices.iter().enumerate() {
            if !height.is_finite() {
                return Err(BuildError::LineHeight { line, vertex, height });
            }
        }
    }
    let named = all_named(terrain).map(|p| p.0);
    let outlines = terrain.boundary.iter().chain(&terrain.voids).flatten().copied();
    match named.chain(outlines).find(|&p| !is_on_lattice(p)) {
        Some(at) => Err(BuildError::Beyond { at }),
        None => Ok(()),
    }
}

fn all_named(terrain: &Terrain) -> impl Iterator<Item = Place> + '_ {
    let on_lines = terrain.breaklines.iter().flat_map(|line| &line.vertices);
    terrain.points.iter().chain(on_lines).copied()
}

/// Whether the places could all be rounded from one line.
fn is_one_line(places: &[LatticePoint]) -> bool {
    let offset = |a: LatticePoint, b: LatticePoint| {
        [i64::from(b.x) - i64::from(a.x), i64::from(b.y) - i64::from(a.y)]
    };
    let square = |[x, y]: [i64; 2]| x * x + y * y;
    let farthest = |from: LatticePoint| {
        let by_distance = |&p: &LatticePoint| (square(offset(from, p)), p);
        places.iter().copied().max_by_key(by_distance).unwrap_or(from)
    };
    let a = farthest(places[0]);
    let b = farthest(a);
    // Rounding moves the two ends and the place itself by 0.71 steps at most each, so that a place
    // of the line lies within 1.5 steps of the line through the rounded ends.
    let reach = 9 * i128::from(square(offset(a, b)));
    places.iter().all(|&p| {
        let twice_area = i128::from(orient(a, b, p));
        4 * twice_area * twice_area <= reach
    })
}

/// The distinct places, in canonical order.
struct Gathered {
    places: Vec<LatticePoint>,
    /// Where on the curve each lies.
    cells: Vec<u32>,
    heights: Vec<f64>,
    /// Which place each breakline vertex became, line after line.
    spot_of: Vec<u32>,
}

fn gather(terrain: &Terrain, report: &mut BuildReport) -> Gathered {
    let named: Vec<Place> = all_named(terrain).collect();
    let all: Vec<LatticePoint> = named.iter().map(|p| p.0).collect();
    let n_points = terrain.points.len();
    let order = canonical::order(&all);
    let mut gathered = Gathered {
        places: Vec::with_capacity(all.len()),
        cells: Vec::with_capacity(all.len()),
        heights: Vec::with_capacity(all.len()),
        spot_of: vec![NONE; all.len() - n_points],
    };
    let mut start = 0;
    for same in order.indices.chunk_by(|&i, &j| all[i as usize] == all[j as usize]) {
        let spot = gathered.places.len() as u32;
        let at = all[same[0] as usize];
        gathered.places.push(at);
        gathered.cells.push(order.cells[start]);
        gathered.heights.push(match same {
            [only] => named[*only as usize].1,
            _ => merge(at, same.iter().map(|&i| named[i as usize].1).collect(), report),
        });
        for &i in same.iter().filter(|&&i| i as usize >= n_points) {
            gathered.spot_of[i as usize - n_points] = spot;
        }
        start += same.len();
    }
    report.merged.sort_unstable_by_key(|merged| merged.at);
    gathered
}

/// The mean of the heights named for one place.
fn merge(at: LatticePoint, mut heights: Vec<f64>, report: &mut BuildReport) -> f64 {
    heights.sort_unstable_by(f64::total_cmp);
    let (count, lowest, highest) = (heights.len(), heights[0], heights[heights.len() - 1]);
    // Offsets from the lowest keep the mean of equal heights equal to them.
    let rise: f64 = heights.iter().map(|z| z - lowest).sum();
    let height = lowest + rise / count as f64;
    report.merged.push(Merged { at, count, heights: [lowest, highest], height });
    height
}

/// The breaklines' pieces between vertices.
fn pieces(terrain: &Terrain, spot_of: &[u32], report: &mut BuildReport) -> Vec<Piece> {
    let label = Label { breakline: true, ..Label::default() };
    let mut pieces = Vec::new();
    let mut start = 0;
    for breakline in &terrain.breaklines {
        let end = start + breakline.vertices.len();
        for (ends, &(at, _)) in spot_of[start..end].windows(2).zip(&breakline.vertices) {
            if ends[0] == ends[1] {
                report.zero_length.push(at);
            } else {
                pieces.push(Piece { ends: [ends[0], ends[1]], label });
            }
        }
        start = end;
    }
    report.zero_length.sort_unstable();
    pieces
}

/// Moves what the lines met into the report.
fn settle(lines: &mut Lines, report: &mut BuildReport) {
    for met in std::mem::take(&mut lines.met) {
        let [p, q] = met.heights;
        let meeting = Meeting {
            at: lines.mesh.point(met.vertex),
            heights: [p.min(q), p.max(q)],
            height: lines.heights[met.vertex as usize],
        };
        if met.crossed {
            report.crossings.push(meeting);
        } else if meeting.differs() {
            report.bends.push(meeting);
        }
    }
    let by_place = |m: &Meeting, n: &Meeting| {
        m.at.cmp(&n.at)
            .then(m.heights[0].total_cmp(&n.heights[0]))
            .then(m.heights[1].total_cmp(&n.heights[1]))
    };
    report.crossings.sort_by(by_place);
    report.bends.sort_by(by_place);
    report.overlaps = std::mem::take(&mut lines.overlaps);
    report.overlaps.sort_unstable();
}

/// The boundary, if any, and the voids.
fn rings(terrain: &Terrain) -> Result<Vec<(Outline, Ring)>, BuildError> {
    let boundary = terrain.boundary.iter().map(|outline| (Outline::Boundary, outline));
    let voids = terrain.voids.iter().enumerate().map(|(k, outline)| (Outline::Void(k), outline));
    boundary
        .chain(voids)
        .map(|(outline, places)| match Ring::new(places) {
            Ok(ring) => Ok((outline, ring)),
            Err(RingFault::Flat) => Err(BuildError::Flat { outline }),
            Err(RingFault::MeetsItself(at)) => Err(BuildError::MeetsItself { outline, at }),
        })
        .collect()
}

/// The surface before it is cut.
struct Ground {
    mesh: Mesh,
    heights: Vec<f64>,
}

impl Ground {
    /// The height at a place, or beyond the hull the height at the hull's nearest place: rounding may
    /// move the outline of the survey out by a step.
    fn height(&mut self, at: LatticePoint) -> f64 {
        match self.plane(at) {
            Some(plane) => plane.at(at),
            None => self.height_beyond(at),
        }
    }

    /// The height at the place of the hull that is nearest to a place beyond it.
    fn height_beyond(&mut self, at: LatticePoint) -> f64 {
        let t = self.triangle(at);
        let mesh = &self.mesh;
        let from_ghost =
            [3 * t, 3 * t + 1, 3 * t + 2].into_iter().find(|&e| mesh.origin(e) == GHOST);
        let mut e = from_ghost.expect("beyond the hull stand ghosts");
        let mut came_from = GHOST;
        loop {
            let [u, v] = [mesh.origin(prev(e)), mesh.origin(next(e))];
            let [p, q] = [u, v].map(|w| mesh.point(w));
            let (run, part) = (offset(p, q), offset(p, at));
            let share = (part[0] * run[0] + part[1] * run[1]) / (run[0] * run[0] + run[1] * run[1]);
            let (z, rise) =
                (self.heights[u as usize], self.heights[v as usize] - self.heights[u as usize]);
            // Each step comes nearer, so the walk around the hull ends.
            let (corner, onward) = if share <= 0.0 {
                (u, mesh.twin(prev(e)))
            } else if share >= 1.0 {
                (v, next(mesh.twin(e)))
            } else {
                return z + rise * share;
            };
            if corner == came_from {
                return self.heights[corner as usize];
            }
            came_from = corner;
            e = onward;
        }
    }

    /// The plane of the triangle at a place, if there is ground.
    fn plane(&mut self, at: LatticePoint) -> Option<Plane> {
        let t = self.triangle(at);
        if self.mesh.is_ghost(t) {
            return None;
        }
        let corner = |v: u32| (self.mesh.point(v), self.heights[v as usize]);
        Some(Plane::through(self.mesh.triangle(t).map(corner)))
    }

    /// The triangle at a place; beyond the hull a ghost.
    fn triangle(&mut self, at: LatticePoint) -> u32 {
        match self.mesh.locate(at) {
            Spot::Face(t) => t,
            Spot::Edge(e) => e / 3,
            Spot::Vertex(v) => self
                .mesh
                .around(v)
                .map(|e| e / 3)
                .find(|&t| !self.mesh.is_ghost(t))
                .expect("every vertex has a triangle"),
        }
    }
}

/// Lays the outlines on the ground and keeps what lies inside.
fn cut(
    terrain: &Terrain,
    mut lines: Lines,
    mut ground: Ground,
    rings: &[(Outline, Ring)],
    mut report: BuildReport,
) -> Result<Built, BuildError> {
    let n_ground = lines.mesh.points.len();
    check_voids(&lines.mesh, rings)?;
    hold_ground(&mut lines);
    lay(&mut lines, rings);
    for v in n_ground..lines.mesh.points.len() {
        if lines.heights[v].is_nan() {
            let at = lines.mesh.points[v];
            lines.heights[v] = ground.height(at);
        }
    }
    lines.keep_labelled();
    let kept = inside(&lines, terrain.boundary.is_some());
    if !kept.contains(&true) {
        return Err(BuildError::NothingLeft);
    }
    let finished = finish(&lines.mesh, n_ground, |t| kept[t as usize]);
    let cut_away = |v: usize| finished.vertex_of[v] == NONE;
    report.outside = (0..n_ground).filter(|&v| cut_away(v)).map(|v| lines.mesh.points[v]).collect();
    report.outside.sort_unstable();
    let outlines = rings.iter().flat_map(|(_, ring)| ring.places());
    report.beyond_survey = outlines.copied().filter(|&p| ground.plane(p).is_none()).collect();
    report.beyond_survey.sort_unstable();
    let mut faces = finished.faces(terrain.tag);
    let places = finished.places();
    let mut is_new = vec![false; places.len()];
    for &v in finished.vertex_of[n_ground..].iter().filter(|&&v| v != NONE) {
        is_new[v as usize] = true;
    }
    let mut planes = Vec::new();
    for face in &mut faces {
        if face.vertices.iter().any(|&v| is_new[v as usize]) {
            // A cut face lies in the plane of the face that it was cut from: the rounding of its
            // corners to the lattice does not tilt it.
            if let Some(plane) = ground.plane(middle(face.vertices.map(|v| places[v as usize]))) {
                face.plane = planes.len() as u32;
                planes.push(plane);
            }
        }
    }
    let surface = surface(terrain, &finished, &lines.heights, faces, planes);
    Ok(Built { surface, report })
}

/// The lattice place at or just beside the middle of a triangle.
fn middle(corners: [LatticePoint; 3]) -> LatticePoint {
    let mean = |c: [i32; 3]| c.iter().map(|&c| i64::from(c)).sum::<i64>().div_euclid(3) as i32;
    LatticePoint { x: mean(corners.map(|p| p.x)), y: mean(corners.map(|p| p.y)) }
}

/// Refuses voids that have nothing in common with the ground.
fn check_voids(mesh: &Mesh, rings: &[(Outline, Ring)]) -> Result<(), BuildError> {
    let hull = hull(mesh);
    let boundary = rings.iter().find(|(outline, _)| *outline == Outline::Boundary);
    for (outline, ring) in rings {
        if let &Outline::Void(void) = outline
            && !(ring.meets(&hull) && boundary.is_none_or(|(_, boundary)| ring.meets(boundary)))
        {
            return Err(BuildError::VoidOutside { void, at: ring.places()[0] });
        }
    }
    Ok(())
}

/// The mesh's outline.
fn hull(mesh: &Mesh) -> Ring {
    let ghosts = (0..mesh.origins.len() as u32).filter(|&e| mesh.origin(e) == GHOST);
    let first = ghosts.min().expect("every mesh has a hull");
    let mut places = Vec::new();
    let mut e = first;
    loop {
        // From ghost triangle to ghost triangle, counter-clockwise around the hull.
        places.push(mesh.point(mesh.origin(prev(e))));
        e = mesh.twin(prev(e));
        if e == first {
            return Ring::convex(places);
        }
    }
}

/// Holds every edge of the ground in place and marks its outline.
fn hold_ground(lines: &mut Lines) {
    for e in 0..lines.mesh.origins.len() as u32 {
        let ends = [lines.mesh.origin(e), lines.mesh.origin(next(e))];
        if ends.contains(&GHOST) {
            continue;
        }
        lines.mesh.set_fixed(e, true);
        if lines.mesh.is_ghost(lines.mesh.twin(e) / 3) {
            lines.join_label(ends, Label { survey: 1, ..Label::default() });
        }
    }
}

/// Makes edges of the outlines.
fn lay(lines: &mut Lines, rings: &[(Outline, Ring)]) {
    let mut pieces = Vec::new();
    for (outline, ring) in rings {
        let label = match outline {
            Outline::Boundary => Label { boundary: 1, ..Label::default() },
            Outline::Void(_) => Label { voids: 1, ..Label::default() },
        };
        let vertices: Vec<u32> = ring.places().iter().map(|&at| lines.insert(at).0).collect();
        let after = vertices.iter().cycle().skip(1);
        pieces.extend(vertices.iter().zip(after).map(|(&a, &b)| Piece { ends: [a, b], label }));
    }
    lines.enforce(pieces);
}

/// Which triangles lie inside the survey and the boundary and in no void.
fn inside(lines: &Lines, is_bounded: bool) -> Vec<bool> {
    let mesh = &lines.mesh;
    let mut state: Vec<Option<Label>> = vec![None; mesh.n_triangles() as usize];
    let mut open: Vec<u32> = (0..mesh.n_triangles()).filter(|&t| mesh.is_ghost(t)).collect();
    open.iter().for_each(|&t| state[t as usize] = Some(Label::default()));
    while let Some(t) = open.pop() {
        let here = state[t as usize].expect("only triangles with a state are open");
        for f in [3 * t, 3 * t + 1, 3 * t + 2].map(|e| mesh.twin(e)) {
            if state[f as usize / 3].is_none() {
                let rise = if mesh.is_fixed(f) { lines.label(f) } else { Label::default() };
                state[f as usize / 3] = Some(here.joined(rise));
                open.push(f / 3);
            }
        }
    }
    let keeps = |s: Label| s.survey > 0 && (s.boundary > 0 || !is_bounded) && s.voids <= 0;
    state.into_iter().map(|s| s.is_some_and(keeps)).collect()
}

fn surface(
    terrain: &Terrain,
    finished: &Finished<'_>,
    heights: &[f64],
    faces: Vec<Face>,
    planes: Vec<Plane>,
) -> Surface {
    let heights = finished.in_order(heights);
    Surface::from_parts(terrain.lattice, finished.places(), heights, faces, planes)
}
