//! Ground as meshes: chunked, smooth to the eye, refined for colour only.
//!
//! Every drawn point lies on a face of the surface. Edges are halved by their own length alone, so
//! the two sides of an edge are halved alike and no crack opens:
//!
//! ```text
//!        c                c
//!       / \              / \
//!      /   \    ->      m---n      m, n, o: middles of edges longer than their limit
//!     /     \          / \ / \
//!    a-------b        a---o---b
//! ```

use std::collections::{BTreeMap, BTreeSet, HashMap};
use std::sync::Arc;

use bevy::math::Vec3;
use design::job::Built;
use ground::query::Locator;
use ground::{Surface, Tag};
use site::{Site, WorkId};

use super::Scene;
use super::before::Before;
use super::shape::{Corner, Shape};
use super::stuff::{self, Stuff};
use crate::frame::{Extent, SceneFrame};

/// A surface with a quick way to the face at a place.
pub(crate) type Lie = Locator<Arc<Surface>>;

/// The chunk that holds a face, by its place in plan.
pub(crate) type ChunkKey = [i32; 2];

/// Side of a chunk, in metres.
const CHUNK_M: f64 = 6.0;

/// Longest drawn edge where works have changed the ground, in metres.
const FINE_M: f64 = 0.35;

/// Longest drawn edge elsewhere, in metres.
const COARSE_M: f64 = 1.4;

/// Most edges across the site, so that a large survey stays drawable.
const MOST_ACROSS: f64 = 220.0;

/// Faces that meet at less than this angle are shaded as one: its cosine.
const CREASE_COS: f32 = 0.80;

/// How far from a place the ground matters to how it is drawn, metres: as far as it looks for the sky,
/// and what lies between two places of the grid.
const REACH_M: f64 = 1.65;

/// Everything that the finished ground is drawn from.
pub(crate) struct Ground<'a> {
    /// The document, for what works are.
    pub site: &'a Site,
    /// The ground to draw.
    pub finished: &'a Lie,
    /// The ground as it was, for depth colours.
    pub existing: Option<&'a Lie>,
    /// Where the scene lies.
    pub frame: SceneFrame,
    /// How far the garden is built on it.
    pub dress: Built,
}

/// The finished ground, chunk by chunk; those that no change comes near are the ones before.
pub(crate) fn chunks(
    ground: &Ground<'_>,
    before: Option<&Before<'_>>,
) -> Vec<(ChunkKey, Arc<Shape>)> {
    let surface: &Surface = ground.finished.surface();
    let mut by_key: BTreeMap<ChunkKey, Chunk> = BTreeMap::new();
    for face in 0..surface.faces().len() as u32 {
        let places = corner_places(surface, face);
        let key = key_of(places);
        let chunk = by_key.entry(key).or_insert_with(|| Chunk::at(key));
        chunk.faces.push(face);
        places.into_iter().for_each(|place| chunk.extent.take_in(place));
    }
    let changed_dress = before.map(|before| changed_dress(ground, before.scene));
    let kept = |key: ChunkKey, chunk: &Chunk| {
        let (before, changed_dress) = before.zip(changed_dress.as_ref())?;
        let is_dressed_anew =
            || chunk.faces.iter().any(|face| changed_dress.contains(&tag_of(surface, *face)));
        let is_same = !before.changed.is_near(chunk.extent, REACH_M) && !is_dressed_anew();
        is_same.then(|| before.shape(super::Piece::Ground(key)))
    };
    let (mut made, mut anew) = (Vec::new(), Vec::new());
    for (key, chunk) in by_key {
        match kept(key, &chunk) {
            Some(shape) => made.push((key, shape)),
            None => anew.push((key, chunk)),
        }
    }
    let normals = corner_normals(surface, anew.iter().flat_map(|(_, chunk)| &chunk.faces));
    let maker = Maker { ground, normals, floor_m: longest_side_m(surface) / MOST_ACROSS };
    let shapes = super::threads::each(&anew, |(_, chunk)| Arc::new(maker.shape(&chunk.faces)));
    made.extend(anew.into_iter().map(|(key, _)| key).zip(shapes));
    made
}

/// The tags of works whose parts are of another stuff than before.
fn changed_dress(ground: &Ground<'_>, before: &Scene) -> BTreeSet<Tag> {
    let now = ground.site;
    let is_other = |tag: &Tag| {
        let dress = |site: &Site| {
            let stuff = stuff::of_part(site, tag.owner, tag.part);
            (stuff, stuff::half_turns(site, tag.owner))
        };
        now.work(WorkId(tag.owner)) != before.site.work(WorkId(tag.owner))
            && dress(now) != dress(&before.site)
    };
    let tags: BTreeSet<Tag> =
        ground.finished.surface().faces().iter().map(|face| face.tag).collect();
    tags.into_iter().filter(is_other).collect()
}

/// The faces of a chunk, and the box around them and its place.
struct Chunk {
    faces: Vec<u32>,
    extent: Extent,
}

impl Chunk {
    fn at(key: ChunkKey) -> Self {
        let [east, north] = key.map(|cell| f64::from(cell) * CHUNK_M);
        // The middle of a face that has gone lay within its chunk's own place.
        let extent =
            Extent { low: [east, north, 0.0], high: [east + CHUNK_M, north + CHUNK_M, 0.0] };
        Self { faces: Vec::new(), extent }
    }
}

/// Makes chunks.
struct Maker<'a> {
    ground: &'a Ground<'a>,
    normals: Vec<[Vec3; 3]>,
    floor_m: f64,
}

impl Maker<'_> {
    fn shape(&self, faces: &[u32]) -> Shape {
        let mut painter = Painter { ground: self.ground, seen: HashMap::new() };
        let mut shape = Shape::default();
        faces.iter().for_each(|face| self.add(*face, &mut painter, &mut shape));
        shape
    }

    fn add(&self, idx: u32, painter: &mut Painter<'_>, shape: &mut Shape) {
        let (ground, surface): (_, &Surface) = (self.ground, self.ground.finished.surface());
        let face = &surface.faces()[idx as usize];
        let limit_of = |owner: u32| if owner == 0 { COARSE_M } else { FINE_M }.max(self.floor_m);
        let places = corner_places(surface, idx);
        let own = limit_of(face.tag.owner);
        let limits = face.neighbours.map(|n| match surface.faces().get(n as usize) {
            Some(other) => own.min(limit_of(other.tag.owner)),
            None => own,
        });
        let stuff = if ground.dress >= Built::Dry {
            stuff::of_part(ground.site, face.tag.owner, face.tag.part)
        } else {
            ground.bare(places, face.tag.owner)
        };
        let turns = match stuff {
            Stuff::Paving => stuff::half_turns(ground.site, face.tag.owner),
            _ => 0.0,
        };
        let normals = &self.normals[idx as usize];
        let piece = Piece {
            corners: std::array::from_fn(|i| Place { at: places[i], normal: normals[i] }),
            limits,
        };
        refine(piece, own, &mut |corners| {
            shape.facet(corners.map(|corner| painter.corner(corner, stuff).laid(turns)));
        });
    }
}

fn tag_of(surface: &Surface, face: u32) -> Tag {
    surface.faces()[face as usize].tag
}

/// A surface of one stuff.
pub(crate) fn sheet_of(surface: &Surface, stuff: Stuff, frame: SceneFrame) -> Shape {
    let normals = all_normals(surface);
    let mut shape = Shape::default();
    for (idx, normals) in normals.iter().enumerate() {
        let places = corner_places(surface, idx as u32);
        shape
            .facet(std::array::from_fn(|i| Corner::new(frame.scene(places[i]), normals[i], stuff)));
    }
    shape
}

/// The old ground where it lies off the finished by more than a fingertip.
pub(crate) fn ghost(existing: &Lie, finished: &Lie, frame: SceneFrame) -> Shape {
    const FINGERTIP_M: f64 = 0.015;
    let mut shape = Shape::default();
    pieces(existing.surface(), 0.5, |corners| {
        let off = |place: &Place| {
            let now = finished.elevation([place.at[0], place.at[1]]);
            now.is_some_and(|now| (now - place.at[2]).abs() > FINGERTIP_M)
        };
        if corners.iter().any(off) {
            shape.facet(corners.map(|c| Corner::new(frame.scene(c.at), c.normal, Stuff::Ghost)));
        }
    });
    shape
}

/// Where one ground would differ from the present by more than a hair, in marking paint: at the higher
/// of the two, so that what is to be dug is seen as well as what is to be raised.
pub(crate) fn changed(then: &Lie, now: &Lie, frame: SceneFrame) -> Shape {
    const HAIR_M: f64 = 0.004;
    const LIFT_M: f64 = 0.012;
    // The ghost's pale brown becomes marking paint.
    let tint = crate::theme::paper::MARKING.linear() / crate::theme::garden::GHOST.linear();
    let mut shape = Shape::default();
    pieces(then.surface(), 0.4, |corners| {
        let rise = |place: &Place| {
            let present = now.elevation([place.at[0], place.at[1]]);
            present.map_or(0.0, |present| place.at[2] - present)
        };
        if corners.iter().any(|corner| rise(corner).abs() > HAIR_M) {
            shape.facet(corners.map(|corner| {
                let [x, y, z] = corner.at;
                let z = z - rise(&corner).min(0.0) + LIFT_M;
                Corner::new(frame.scene([x, y, z]), corner.normal, Stuff::Ghost).tinted(tint)
            }));
        }
    });
    shape
}

/// A surface in pieces no longer than `longest_m`; on a large ground longer ones do.
fn pieces(surface: &Surface, longest_m: f64, mut emit: impl FnMut([Place; 3])) {
    let limit = longest_m.max(longest_side_m(surface) / MOST_ACROSS);
    for (idx, normals) in all_normals(surface).iter().enumerate() {
        let places = corner_places(surface, idx as u32);
        let corners = std::array::from_fn(|i| Place { at: places[i], normal: normals[i] });
        refine(Piece { corners, limits: [limit; 3] }, limit, &mut emit);
    }
}

/// The corners of a face in local metres, each at the height that the face names.
pub(crate) fn corner_places(surface: &Surface, face_idx: u32) -> [[f64; 3]; 3] {
    let (plan, heights) = (surface.corners(face_idx), surface.corner_heights(face_idx));
    std::array::from_fn(|i| {
        let [x, y] = surface.lattice().metres(plan[i]);
        [x, y, heights[i]]
    })
}

/// Splits a triangle until no edge is longer than `limit_m`.
pub(crate) fn split(corners: [[f64; 3]; 3], limit_m: f64, emit: &mut impl FnMut([[f64; 3]; 3])) {
    let piece =
        Piece { corners: corners.map(|at| Place { at, normal: Vec3::Y }), limits: [limit_m; 3] };
    refine(piece, limit_m, &mut |corners| emit(corners.map(|corner| corner.at)));
}

impl Ground<'_> {
    /// What unfinished ground shows: earth where it is stripped, dug or filled, else its grass.
    fn bare(&self, places: [[f64; 3]; 3], owner: u32) -> Stuff {
        const GRAIN_M: f64 = 0.002;
        let middle: [f64; 3] =
            std::array::from_fn(|i| places.iter().map(|place| place[i]).sum::<f64>() / 3.0);
        let before = self.existing.and_then(|lie| lie.elevation([middle[0], middle[1]]));
        match before {
            Some(before) if owner == 0 && (before - middle[2]).abs() < GRAIN_M => Stuff::Lawn,
            _ => Stuff::Soil,
        }
    }
}

#[derive(Clone, Copy)]
struct Place {
    at: [f64; 3],
    normal: Vec3,
}

#[derive(Clone, Copy)]
struct Piece {
    corners: [Place; 3],
    /// Longest that edge i, from corner i to the next, may be.
    limits: [f64; 3],
}

struct Painter<'a> {
    ground: &'a Ground<'a>,
    seen: HashMap<[u64; 3], (f32, f32)>,
}

impl Painter<'_> {
    fn corner(&mut self, place: Place, stuff: Stuff) -> Corner {
        let key = place.at.map(f64::to_bits);
        let ground = self.ground;
        let (rise, open) = *self.seen.entry(key).or_insert_with(|| {
            let [x, y, z] = place.at;
            let before = ground.existing.and_then(|lie| lie.elevation([x, y]));
            (before.map_or(0.0, |before| (z - before) as f32), openness(ground.finished, place.at))
        });
        Corner::new(ground.frame.scene(place.at), place.normal, stuff).risen(rise).open(open)
    }
}

fn longest_side_m(surface: &Surface) -> f64 {
    Extent::of(surface).map_or(0.0, |e| (e.high[0] - e.low[0]).max(e.high[1] - e.low[1]))
}

fn key_of(places: [[f64; 3]; 3]) -> ChunkKey {
    let mean = |axis: usize| places.iter().map(|p| p[axis]).sum::<f64>() / 3.0;
    [(mean(0) / CHUNK_M).floor() as i32, (mean(1) / CHUNK_M).floor() as i32]
}

fn refine(piece: Piece, inner_m: f64, emit: &mut impl FnMut([Place; 3])) {
    let [a, b, c] = piece.corners;
    let long: [bool; 3] = std::array::from_fn(|i| {
        let (p, q) = (piece.corners[i].at, piece.corners[(i + 1) % 3].at);
        let d: [f64; 3] = std::array::from_fn(|axis| p[axis] - q[axis]);
        d[0] * d[0] + d[1] * d[1] + d[2] * d[2] > piece.limits[i] * piece.limits[i]
    });
    let mut go = |corners: [Place; 3], limits: [f64; 3]| {
        refine(Piece { corners, limits }, inner_m, emit);
    };
    let [la, lb, lc] = piece.limits;
    let (m, n, o) = (middle(a, b), middle(b, c), middle(c, a));
    match long {
        [false, false, false] => emit(piece.corners),
        [true, true, true] => {
            go([a, m, o], [la, inner_m, lc]);
            go([m, b, n], [la, lb, inner_m]);
            go([o, n, c], [inner_m, lb, lc]);
            go([m, n, o], [inner_m; 3]);
        }
        [true, false, false] => {
            go([a, m, c], [la, inner_m, lc]);
            go([m, b, c], [la, lb, inner_m]);
        }
        [true, true, false] => {
            go([m, b, n], [la, lb, inner_m]);
            go([a, m, n], [la, inner_m, inner_m]);
            go([a, n, c], [inner_m, lb, lc]);
        }
        // The other cases are these, begun at another corner.
        [false, true, _] => go([b, c, a], [lb, lc, la]),
        [_, false, true] => go([c, a, b], [lc, la, lb]),
    }
}

fn middle(p: Place, q: Place) -> Place {
    Place {
        at: std::array::from_fn(|axis| 0.5 * (p.at[axis] + q.at[axis])),
        normal: (p.normal + q.normal).normalize_or(p.normal),
    }
}

fn all_normals(surface: &Surface) -> Vec<[Vec3; 3]> {
    let faces: Vec<u32> = (0..surface.faces().len() as u32).collect();
    corner_normals(surface, faces.iter())
}

/// Normals by face and corner of the faces that are `wanted`, the other ones' are nothing: faces that
/// meet in one height without a crease are shaded as one.
fn corner_normals<'a>(surface: &Surface, wanted: impl Iterator<Item = &'a u32>) -> Vec<[Vec3; 3]> {
    let faces = surface.faces();
    let mut normals = vec![[Vec3::ZERO; 3]; faces.len()];
    let wanted: Vec<u32> = wanted.copied().collect();
    let mut is_asked = vec![false; surface.vertices().len()];
    for face in &wanted {
        for vertex in faces[*face as usize].vertices {
            is_asked[vertex as usize] = true;
        }
    }
    let mut flat = vec![Vec3::ZERO; faces.len()];
    let mut around: Vec<Vec<(u32, u32, f32)>> = vec![Vec::new(); surface.vertices().len()];
    for (idx, face) in faces.iter().enumerate() {
        if !face.vertices.iter().any(|vertex| is_asked[*vertex as usize]) {
            continue;
        }
        flat[idx] = plane_normal(surface, idx as u32);
        let places = corner_places(surface, idx as u32);
        for i in (0..3).filter(|i| is_asked[face.vertices[*i] as usize]) {
            let angle = corner_angle(places[i], places[(i + 1) % 3], places[(i + 2) % 3]);
            around[face.vertices[i] as usize].push((idx as u32, face.heights[i], angle));
        }
    }
    let smooth = |face_idx: usize, corner: usize| {
        let face = &faces[face_idx];
        let own = flat[face_idx];
        let level = surface.heights()[face.heights[corner] as usize];
        around[face.vertices[corner] as usize]
            .iter()
            .filter(|(other, height, _)| {
                surface.heights()[*height as usize] == level
                    && flat[*other as usize].dot(own) > CREASE_COS
            })
            .map(|(other, _, angle)| flat[*other as usize] * *angle)
            .sum::<Vec3>()
            .normalize_or(own)
    };
    for face in wanted {
        normals[face as usize] = std::array::from_fn(|corner| smooth(face as usize, corner));
    }
    normals
}

fn plane_normal(surface: &Surface, face_idx: u32) -> Vec3 {
    let per_step = surface.lattice().step_m();
    let [east, north] = surface.plane(face_idx).rise.map(|rise| (rise / per_step) as f32);
    Vec3::new(-east, 1.0, north).normalize_or(Vec3::Y)
}

fn corner_angle(at: [f64; 3], one: [f64; 3], two: [f64; 3]) -> f32 {
    let toward = |to: [f64; 3]| {
        Vec3::from_array(std::array::from_fn(|i| (to[i] - at[i]) as f32)).normalize_or(Vec3::X)
    };
    toward(one).dot(toward(two)).clamp(-1.0, 1.0).acos().max(1e-4)
}

/// Share of the sky that a place on the ground sees, from the ground's rise in eight directions.
fn openness(lie: &Lie, at: [f64; 3]) -> f32 {
    const DIAGONAL: f64 = std::f64::consts::FRAC_1_SQRT_2;
    const WAYS: [[f64; 2]; 8] = [
        [1.0, 0.0],
        [DIAGONAL, DIAGONAL],
        [0.0, 1.0],
        [-DIAGONAL, DIAGONAL],
        [-1.0, 0.0],
        [-DIAGONAL, -DIAGONAL],
        [0.0, -1.0],
        [DIAGONAL, -DIAGONAL],
    ];
    let hidden: f64 = WAYS
        .iter()
        .map(|way| {
            let steepest = [0.25, 0.7, 1.6]
                .into_iter()
                .filter_map(|reach| {
                    let there = lie.elevation([at[0] + way[0] * reach, at[1] + way[1] * reach])?;
                    Some((there - at[2] - 0.01) / reach)
                })
                .fold(0.0, f64::max);
            steepest / (1.0 + steepest * steepest).sqrt()
        })
        .sum();
    (1.0 - hidden / 8.0).clamp(0.0, 1.0) as f32
}

#[cfg(test)]
mod tests {
    use super::*;

    fn area(corners: [[f64; 3]; 3]) -> f64 {
        let [a, b, c] = corners;
        0.5 * ((b[0] - a[0]) * (c[1] - a[1]) - (c[0] - a[0]) * (b[1] - a[1]))
    }

    #[test]
    fn splitting_keeps_area_and_direction_and_obeys_the_limit() {
        let whole = [[0.0, 0.0, 0.0], [3.0, 0.2, 1.0], [0.4, 2.0, 0.5]];
        let mut total = 0.0;
        split(whole, 0.4, &mut |piece| {
            assert!(area(piece) > 0.0);
            for i in 0..3 {
                let d: f64 = (0..3).map(|k| (piece[i][k] - piece[(i + 1) % 3][k]).powi(2)).sum();
                assert!(d <= 0.4 * 0.4);
            }
            total += area(piece);
        });
        assert!((total - area(whole)).abs() < 1e-12);
    }

    #[test]
    fn both_sides_of_an_edge_are_split_alike() {
        let (a, b) = ([0.0, 0.0, 0.0], [2.0, 0.3, 0.7]);
        let on_edge = |third: [f64; 3], corners: [[f64; 3]; 3]| {
            let mut places = std::collections::BTreeSet::new();
            split(corners, 0.3, &mut |piece| {
                for p in piece {
                    if (p[0] * 0.3 - p[1] * 2.0).abs() < 1e-12 {
                        places.insert(p.map(f64::to_bits));
                    }
                }
            });
            assert!(!places.contains(&third.map(f64::to_bits)));
            places
        };
        let (c, d) = ([1.0, 1.5, 0.0], [0.8, -2.5, 0.2]);
        assert_eq!(on_edge(c, [a, b, c]), on_edge(d, [b, a, d]));
    }
}
