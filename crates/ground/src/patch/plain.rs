//! A surface in as few faces as it needs.
//!
//! ```text
//!   +--+-+---+            +--------+
//!   | /| |\  |            |      / |
//!   |/_|_|_\_|    ->      |    /   |      faces of one plane and one tag become one region;
//!   |  / | \ |            |  /     |      of its outline the places at which it bends are kept
//!   +-+--+---+            +--------+
//! ```
//! Composing cuts every face along every outline, and a face that was cut stays in pieces where an
//! earlier cut no longer shows. Each later composition cuts each piece again, so that a plain bank
//! comes to hold ten times the faces that its planes need.

use std::collections::BTreeMap;

use super::weld::{Tile, weld};
use crate::curve::{dot, lerp, norm, sub};
use crate::triangulate::constrained;
use crate::{LatticePoint, Mesh2, NONE, Plane, Surface, Tag};

/// A place of an outline nearer to its chord than this many lattice steps makes no bend: composing
/// moves a place by a step.
const STRAIGHT_STEPS: f64 = 2.0;

/// And heights there that differ by less from the chord's are level with it: a few lattice steps on
/// a steep face.
const STRAIGHT_M: f64 = 2e-5;

/// The same surface with faces of one plane and one tag joined and triangulated anew, without the
/// places of their outlines that make no bend.
///
/// Planes and tags stay; outlines move by at most a few lattice steps. The very surface where that
/// cannot be done without its outlines crossing.
pub fn plain(surface: &Surface) -> Surface {
    let regions = Regions::of(surface);
    if regions.all.len() == surface.faces().len() {
        return surface.clone();
    }
    redrawn(surface, &regions).unwrap_or_else(|| surface.clone())
}

/// Faces that hang together in one plane.
struct Regions {
    /// Of each face.
    of: Vec<u32>,
    all: Vec<Region>,
}

#[derive(Clone, Copy)]
struct Region {
    plane: Plane,
    tag: Tag,
    /// Its only face, when it has but one.
    single: Option<u32>,
}

impl Regions {
    fn of(surface: &Surface) -> Self {
        let faces = surface.faces();
        let (mut of, mut all) = (vec![NONE; faces.len()], Vec::new());
        for first in 0..faces.len() as u32 {
            if of[first as usize] != NONE {
                continue;
            }
            let region = all.len() as u32;
            let (plane, tag) = (surface.plane(first), faces[first as usize].tag);
            let (mut open, mut n_faces) = (vec![first], 0);
            of[first as usize] = region;
            while let Some(f) = open.pop() {
                n_faces += 1;
                for n in faces[f as usize].neighbours.into_iter().filter(|&n| n != NONE) {
                    let joins = of[n as usize] == NONE && faces[n as usize].tag == tag;
                    if joins && lies_in(surface, n, &plane) {
                        of[n as usize] = region;
                        open.push(n);
                    }
                }
            }
            all.push(Region { plane, tag, single: (n_faces == 1).then_some(first) });
        }
        Self { of, all }
    }
}

/// Whether a face's plane is this one to the last bit: pieces of one face, and what is level.
fn lies_in(surface: &Surface, face: u32, plane: &Plane) -> bool {
    let own = surface.plane(face);
    own.rise == plane.rise && own.at(plane.anchor) == plane.z && plane.at(own.anchor) == own.z
}

/// A stretch of an outline with a region on its left.
#[derive(Clone, Copy)]
struct Stretch {
    ends: [u32; 2],
    left: u32,
    fixed: bool,
}

/// The outlines of all regions.
struct Outlines<'a> {
    surface: &'a Surface,
    stretches: Vec<Stretch>,
    /// The heights that regions name at their outlines' places.
    heights: BTreeMap<(u32, u32), f64>,
    /// For each vertex the next ones along outlines.
    next: Vec<Vec<u32>>,
}

impl<'a> Outlines<'a> {
    fn of(surface: &'a Surface, regions: &Regions) -> Self {
        let n = surface.vertices().len();
        let mut outlines =
            Self { surface, stretches: vec![], heights: BTreeMap::new(), next: vec![vec![]; n] };
        for (f, face) in surface.faces().iter().enumerate() {
            let left = regions.of[f];
            for k in 0..3 {
                let across = face.neighbours[k];
                if across != NONE && regions.of[across as usize] == left {
                    continue;
                }
                let ends = [face.vertices[k], face.vertices[(k + 1) % 3]];
                outlines.stretches.push(Stretch { ends, left, fixed: face.fixed >> k & 1 == 1 });
                for corner in [k, (k + 1) % 3] {
                    let z = surface.heights()[face.heights[corner] as usize];
                    outlines.heights.entry((face.vertices[corner], left)).or_insert(z);
                }
                if across == NONE || (f as u32) < across {
                    outlines.next[ends[0] as usize].push(ends[1]);
                    outlines.next[ends[1] as usize].push(ends[0]);
                }
            }
        }
        outlines
    }

    /// For each vertex whether it is kept: where outlines meet, and where one bends.
    fn kept(&self) -> Vec<bool> {
        let n = self.next.len();
        let mut kept: Vec<bool> =
            self.next.iter().map(|next| !matches!(next.len(), 0 | 2)).collect();
        let mut walked = vec![false; n];
        for start in 0..n as u32 {
            if kept[start as usize] {
                for &second in &self.next[start as usize] {
                    if !walked[second as usize] {
                        let chain = self.chain(start, second, &kept);
                        self.keep_bends(&chain, &mut kept, &mut walked);
                    }
                }
            }
        }
        // What is left are rings that meet no other.
        for start in 0..n as u32 {
            if !self.next[start as usize].is_empty()
                && !walked[start as usize]
                && !kept[start as usize]
            {
                kept[start as usize] = true;
                let ring = self.chain(start, self.next[start as usize][0], &kept);
                // The lowest place bends whatever else does, so that where one starts is no matter.
                let at = |v: u32| self.surface.vertices()[v as usize];
                let lowest = ring.iter().copied().min_by_key(|&v| (at(v).x, at(v).y));
                kept[start as usize] = false;
                let start = lowest.unwrap_or(start);
                kept[start as usize] = true;
                let mut ring = self.chain(start, self.next[start as usize][0], &kept);
                let away = |&v: &u32| norm(sub(self.place(v), self.place(start)));
                let far =
                    (0..ring.len()).max_by(|&a, &b| away(&ring[a]).total_cmp(&away(&ring[b])));
                let Some(far) = far else { continue };
                kept[ring[far] as usize] = true;
                let rest = ring.split_off(far);
                ring.push(rest[0]);
                self.keep_bends(&ring, &mut kept, &mut walked);
                self.keep_bends(&rest, &mut kept, &mut walked);
            }
        }
        kept
    }

    /// The vertices from a kept one on, to the next that is kept.
    fn chain(&self, start: u32, second: u32, kept: &[bool]) -> Vec<u32> {
        let mut chain = vec![start, second];
        while let [.., before, at] = chain[..] {
            if kept[at as usize] || chain.len() > self.next.len() {
                break;
            }
            let [a, b] = [self.next[at as usize][0], self.next[at as usize][1]];
            chain.push(if a == before { b } else { a });
        }
        chain
    }

    /// Keeps the places of a chain that lie off its chord, and those off the chords then left.
    fn keep_bends(&self, chain: &[u32], kept: &mut [bool], walked: &mut [bool]) {
        let Some(inner) = chain.get(1..chain.len() - 1) else { return };
        inner.iter().for_each(|&v| walked[v as usize] = true);
        let mut open = vec![[0, chain.len() - 1]];
        while let Some([first, last]) = open.pop() {
            let chord = [chain[first], chain[last]];
            let farthest = (first + 1..last)
                .map(|i| (self.off_chord(chord, chain[i]), i))
                .max_by(|a, b| a.0.total_cmp(&b.0).then(b.1.cmp(&a.1)));
            if let Some((_, bend)) = farthest.filter(|(off, _)| *off > 1.0) {
                kept[chain[bend] as usize] = true;
                open.extend([[first, bend], [bend, last]]);
            }
        }
    }

    /// How far a place lies off a chord, in what counts as straight.
    fn off_chord(&self, [from, to]: [u32; 2], at: u32) -> f64 {
        let [a, b, p] = [from, to, at].map(|v| self.place(v));
        let along = sub(b, a);
        let share = (dot(sub(p, a), along) / dot(along, along)).clamp(0.0, 1.0);
        let share = if share.is_finite() { share } else { 0.0 };
        let plan = norm(sub(p, lerp(a, b, share))) / STRAIGHT_STEPS;
        let sides = self.heights.range((at, 0)..=(at, NONE));
        let rises = sides.filter_map(|(&(_, region), z)| {
            let [za, zb] = [from, to].map(|v| self.heights.get(&(v, region)));
            Some((z - (za? + share * (zb? - za?))).abs() / STRAIGHT_M)
        });
        rises.fold(plan, f64::max)
    }

    /// A vertex's place in lattice steps.
    fn place(&self, vertex: u32) -> [f64; 2] {
        let p = self.surface.vertices()[vertex as usize];
        [f64::from(p.x), f64::from(p.y)]
    }

    /// The stretches between kept vertices. A region whose two sides fall together is no more.
    fn straightened(&self, kept: &[bool]) -> Option<Vec<Stretch>> {
        let mut by_ends: BTreeMap<[u32; 2], [Vec<Stretch>; 2]> = BTreeMap::new();
        let mut after: BTreeMap<(u32, u32), Vec<Stretch>> = BTreeMap::new();
        self.stretches.iter().for_each(|s| after.entry((s.ends[0], s.left)).or_default().push(*s));
        for start in self.stretches.iter().filter(|s| kept[s.ends[0] as usize]) {
            let mut whole = *start;
            let mut n = 0;
            while !kept[whole.ends[1] as usize] {
                // A place that is not kept has one stretch in and one out for each side.
                let [next] = after.get(&(whole.ends[1], whole.left))?[..] else { return None };
                whole.ends[1] = next.ends[1];
                whole.fixed |= next.fixed;
                n += 1;
                if n > self.stretches.len() {
                    return None;
                }
            }
            let [a, b] = whole.ends;
            by_ends.entry([a.min(b), a.max(b)]).or_default()[usize::from(a > b)].push(whole);
        }
        let mut straight = Vec::new();
        for [there, back] in by_ends.into_values() {
            let lasts = |s: &&Stretch, other: &[Stretch]| !other.iter().any(|o| o.left == s.left);
            let sides = [(&there, &back), (&back, &there)]
                .map(|(one, other)| one.iter().filter(|s| lasts(s, other)).collect::<Vec<_>>());
            if sides.iter().any(|side| side.len() > 1) {
                return None;
            }
            straight.extend(sides.into_iter().flatten().copied());
        }
        Some(straight)
    }
}

fn redrawn(surface: &Surface, regions: &Regions) -> Option<Surface> {
    let outlines = Outlines::of(surface, regions);
    let stretches = outlines.straightened(&outlines.kept())?;
    let mut used: Vec<u32> = stretches.iter().flat_map(|s| s.ends).collect();
    used.sort_unstable();
    used.dedup();
    let index = |v: u32| used.binary_search(&v).map(|i| i as u32).ok();
    let places: Vec<LatticePoint> = used.iter().map(|&v| surface.vertices()[v as usize]).collect();
    let edges: Vec<[u32; 2]> = (stretches.iter())
        .map(|s| Some([index(s.ends[0])?, index(s.ends[1])?]))
        .collect::<Option<_>>()?;
    let mesh = constrained(surface.lattice(), &places, &edges).ok()?;
    if mesh.vertices.len() != places.len() {
        return None;
    }
    let mut vertex_of = vec![NONE; places.len()];
    mesh.merged.iter().zip(&used).for_each(|(&m, &v)| vertex_of[m as usize] = v);
    let (owners, fixed) = owners(&mesh, &vertex_of, &stretches)?;
    let mut planes = Vec::new();
    let mut plane_of = vec![NONE; regions.all.len()];
    let mut tiles = Vec::with_capacity(mesh.triangles.len());
    for (t, owner) in owners.into_iter().enumerate() {
        let Some(owner) = owner else { continue };
        let region = regions.all[owner as usize];
        let has_plane = region.single.is_none_or(|f| surface.faces()[f as usize].plane != NONE);
        if has_plane && plane_of[owner as usize] == NONE {
            plane_of[owner as usize] = planes.len() as u32;
            planes.push(region.plane);
        }
        let mut corners = [(LatticePoint { x: 0, y: 0 }, 0.0); 3];
        for (corner, &m) in corners.iter_mut().zip(&mesh.triangles[t]) {
            let z = outlines.heights.get(&(vertex_of[m as usize], owner))?;
            *corner = (mesh.vertices[m as usize], *z);
        }
        let plane = plane_of[owner as usize];
        tiles.push(Tile { corners, tag: region.tag, plane, fixed: fixed[t] });
    }
    let plain = weld(surface.lattice(), &tiles, planes).ok()?;
    plain.check().is_ok().then_some(plain)
}

/// The region of each triangle, none outside all, and its fixed edges; none where the stretches do
/// not stand in the mesh as they were asked for.
fn owners(
    mesh: &Mesh2,
    vertex_of: &[u32],
    stretches: &[Stretch],
) -> Option<(Vec<Option<u32>>, Vec<u8>)> {
    let mut by_ends: Vec<([u32; 2], u32, bool)> =
        stretches.iter().map(|s| (s.ends, s.left, s.fixed)).collect();
    by_ends.sort_unstable();
    let mut owners: Vec<Option<u32>> = vec![None; mesh.triangles.len()];
    let mut fixed = vec![0; mesh.triangles.len()];
    let (mut open, mut n_found) = (Vec::new(), 0);
    for (t, corners) in mesh.triangles.iter().enumerate() {
        for k in 0..3 {
            let ends = [corners[k], corners[(k + 1) % 3]].map(|m| vertex_of[m as usize]);
            let Ok(i) = by_ends.binary_search_by_key(&ends, |s| s.0) else { continue };
            n_found += 1;
            fixed[t] |= u8::from(by_ends[i].2) << k;
            if owners[t].is_some_and(|owner| owner != by_ends[i].1) {
                return None;
            }
            owners[t] = Some(by_ends[i].1);
            open.push(t);
        }
    }
    while let Some(t) = open.pop() {
        for k in 0..3 {
            let n = mesh.neighbours[t][k];
            if n == NONE || mesh.fixed[t] >> k & 1 == 1 {
                continue;
            }
            match owners[n as usize] {
                None => {
                    owners[n as usize] = owners[t];
                    open.push(n as usize);
                }
                Some(owner) if Some(owner) != owners[t] => return None,
                Some(_) => {}
            }
        }
    }
    (n_found == stretches.len()).then_some((owners, fixed))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::overlay::{Domain, Keep, Rooted, compose, volumes};
    use crate::patch::{Ring3, rings};
    use crate::{Lattice, query};

    fn sheet(points: &[[f64; 3]], part: u32) -> Surface {
        let points = points.iter().map(|p| ([p[0], p[1]], p[2])).collect();
        rings(Lattice::default(), &[Ring3 { points, part }], &[], 1).unwrap()
    }

    fn square(low: f64, high: f64, z: impl Fn([f64; 2]) -> f64, part: u32) -> Surface {
        let corners = [[low, low], [high, low], [high, high], [low, high]];
        sheet(&corners.map(|p| [p[0], p[1], z(p)]), part)
    }

    /// A plane cut by many blocks that are lowered away again.
    fn cut_up() -> Surface {
        let mut ground = square(0.0, 20.0, |p| 0.1 * p[0], 1);
        for i in 0..6 {
            let at = 1.0 + 3.0 * f64::from(i);
            let block = square(at, at + 1.7, |p| 2.0 + 0.01 * p[1], 2);
            ground =
                compose(&ground, &block, Keep::Highest, Domain::Ground, Rooted::Anywhere).surface;
        }
        let plane = square(-1.0, 21.0, |p| 0.1 * p[0], 1);
        compose(&ground, &plane, Keep::Lowest, Domain::Ground, Rooted::Anywhere).surface
    }

    #[test]
    fn what_was_cut_and_lies_in_one_plane_is_whole_again() {
        let level = compose(
            &square(0.0, 9.0, |_| 1.0, 1),
            &square(3.0, 4.0, |_| 1.0, 1).raised(-0.5),
            Keep::Lowest,
            Domain::Ground,
            Rooted::Anywhere,
        );
        let filled = compose(
            &level.surface,
            &square(2.0, 5.0, |_| 1.0, 1),
            Keep::Highest,
            Domain::Ground,
            Rooted::Anywhere,
        );
        assert!(filled.surface.faces().len() > 2);
        let plain = plain(&filled.surface);
        assert_eq!((plain.faces().len(), plain.vertices().len()), (2, 4));
        assert!((query::plan_area_m2(&plain) - 81.0).abs() < 1e-9);
    }

    #[test]
    fn heights_tags_and_steps_stay() {
        let ground = cut_up();
        let plain = plain(&ground);
        plain.check().unwrap();
        assert!(plain.faces().len() < ground.faces().len());
        let between = volumes(&ground, &plain);
        assert!(between.cut_m3 < 1e-7 && between.fill_m3 < 1e-7, "{between:?}");
        for part in [1, 2] {
            let area = |s: &Surface| {
                query::areas_where(s, |f| s.faces()[f as usize].tag.part == part).plan_m2
            };
            assert!((area(&ground) - area(&plain)).abs() < 1e-6);
        }
        assert_eq!(super::plain(&plain), plain);
    }

    #[test]
    fn blocks_keep_their_upright_sides() {
        let ground = square(0.0, 20.0, |p| 0.1 * p[0], 1);
        let block = square(4.0, 7.0, |p| 3.0 - 0.1 * p[1], 2);
        let built = compose(&ground, &block, Keep::Highest, Domain::Ground, Rooted::Anywhere);
        let plain = plain(&built.surface);
        let locator = crate::Locator::new(&plain);
        assert!((locator.elevation([4.001, 5.0]).unwrap() - 2.5).abs() < 1e-9);
        assert!((locator.elevation([3.999, 5.0]).unwrap() - 0.3999).abs() < 1e-9);
    }
}
