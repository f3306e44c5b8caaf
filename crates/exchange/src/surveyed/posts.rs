//! A grid thinned to a surface within the outline of its posts.

use ground::query::RingPoint;
use ground::{LatticePoint, Locator, Surface};
use site::Frame;
use units::{LengthUnit, closing_text};

use super::outlines;
use crate::content::{Content, Line, LineKind, LinePlace, world_m};
use crate::convert::{Asked, ConvertError, ERROR_UNTOLD};
use crate::grid::Grid;
use crate::thin::{self, Points};
use crate::tin::Tin;
use crate::watch::{Watch, tell};

/// The grid's surface with few of its posts, none of the others farther from it than was asked for.
///
/// Where posts lack their heights there is no ground: the outline is that of the grid's own triangles.
pub(super) fn thinned(
    grid: &Grid,
    unit: LengthUnit,
    asked: &Asked,
    notes: &mut Vec<String>,
    watch: &mut Watch<'_>,
) -> Result<Tin, ConvertError> {
    let error_m = asked.error_m.ok_or(ERROR_UNTOLD)?;
    let [columns, rows] = grid.size();
    let mut posts: Vec<[f64; 3]> = grid.posts_m().collect();
    let rings = match posts.len() == columns * rows {
        true => Vec::new(),
        false => rings(grid, unit, &mut posts, notes)?,
    };
    let at_m = |idx: usize| posts[idx];
    let thinned = thin::thin(&Points { n: posts.len(), at_m: &at_m, unit }, error_m, watch)?;
    let kept = Tin::of(&thinned.surface, &thinned.frame, "grid");
    if rings.is_empty() {
        notes.extend(thinned.report.words(unit));
        return Ok(kept);
    }
    let cut = Tin { vertices_m: kept.vertices_m, lines: rings, ..Tin::default() };
    let within = Within { posts: &posts, frame: &thinned.frame, error_m };
    within.proven(Tin { name: "grid".to_owned(), ..cut }, unit, notes, watch)
}

/// The outline and the holes of the largest part of a grid; of `posts` those of that part stay.
fn rings(
    grid: &Grid,
    unit: LengthUnit,
    posts: &mut Vec<[f64; 3]>,
    notes: &mut Vec<String>,
) -> Result<Vec<Line>, ConvertError> {
    let tin = grid.tin("grid");
    let frame = Content { surfaces: vec![tin.clone()], unit, ..Content::default() }.frame()?;
    let (surface, _) = tin.surface(&frame)?;
    let (is_kept, boundary, voids) = outlines(&surface, unit, notes);
    let line = |kind: LineKind, ring: &[RingPoint]| {
        let place = |point: &RingPoint| {
            let at = surface.vertices()[point.vertex as usize];
            let [x, y] = world_m(&frame, surface.lattice().metres(at));
            LinePlace::flat([x, y])
        };
        let closed = ring.iter().chain(ring.first());
        Line { name: String::new(), kind, places: closed.map(place).collect() }
    };
    *posts = of_part(&surface, &frame, &is_kept);
    let outer = boundary.iter().map(|ring| line(LineKind::Boundary, ring));
    Ok(outer.chain(voids.iter().map(|ring| line(LineKind::Void, ring))).collect())
}

/// The corners of the faces that are kept.
fn of_part(surface: &Surface, frame: &Frame, is_kept: &[bool]) -> Vec<[f64; 3]> {
    let mut z_m = vec![f64::NAN; surface.vertices().len()];
    for (face, _) in surface.faces().iter().zip(is_kept).filter(|(_, is_kept)| **is_kept) {
        for (vertex, height) in face.vertices.iter().zip(face.heights) {
            z_m[*vertex as usize] = surface.heights()[height as usize];
        }
    }
    let corners = surface.vertices().iter().zip(z_m).filter(|(_, z)| !z.is_nan());
    let corner = |(at, z): (&LatticePoint, f64)| {
        let [x, y] = world_m(frame, surface.lattice().metres(*at));
        [x, y, z]
    };
    corners.map(corner).collect()
}

/// Posts that a surface within outlines must come near to.
struct Within<'a> {
    posts: &'a [[f64; 3]],
    frame: &'a Frame,
    error_m: f64,
}

impl Within<'_> {
    /// The surface of the kept posts and of as many more as it takes.
    fn proven(
        &self,
        mut kept: Tin,
        unit: LengthUnit,
        notes: &mut Vec<String>,
        watch: &mut Watch<'_>,
    ) -> Result<Tin, ConvertError> {
        loop {
            tell(watch, "measuring every point", 0, 1)?;
            let (surface, _) = kept.surface(self.frame)?;
            let (largest_m, farthest) = self.farthest(&surface);
            if farthest.is_empty() {
                notes.push(format!(
                    "{} of {} posts are kept; every post was measured, and the farthest lies {} \
                     from the surface",
                    kept.vertices_m.len(),
                    self.posts.len(),
                    closing_text(largest_m, unit)
                ));
                return Ok(Tin::of(&surface, self.frame, &kept.name));
            }
            kept.vertices_m.extend(farthest);
        }
    }

    /// How far the farthest post is, and over each face the farthest of those that are too far.
    fn farthest(&self, surface: &Surface) -> (f64, Vec<[f64; 3]>) {
        let locator = Locator::new(surface);
        let mut largest_m: f64 = 0.0;
        let mut too_far: Vec<(u32, f64, usize)> = Vec::new();
        for (idx, [x, y, z]) in self.posts.iter().enumerate() {
            let local = [x - self.frame.origin_m[0], y - self.frame.origin_m[1]];
            // A post in a corner of the outline may lie a rounding outside it.
            let (Some(face), Some(there)) = (locator.face_at(local), locator.elevation(local))
            else {
                continue;
            };
            let error_m = (there - z).abs();
            largest_m = largest_m.max(error_m);
            if error_m > self.error_m {
                too_far.push((face, error_m, idx));
            }
        }
        too_far.sort_by(|a, b| a.0.cmp(&b.0).then(b.1.total_cmp(&a.1)).then(a.2.cmp(&b.2)));
        too_far.dedup_by_key(|(face, ..)| *face);
        (largest_m, too_far.into_iter().map(|(_, _, idx)| self.posts[idx]).collect())
    }
}
