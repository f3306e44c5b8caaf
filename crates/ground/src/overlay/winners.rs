//! Which part of each shared cell the patch wins.
//!
//! ```text
//!      0 +----------+ +          the zero line parts the cell into the part that the patch wins
//!        |   won   /  |          and the part that the ground keeps; where both are level with
//!        |        / - |          each other the ground stays
//!      + +-------x----+ -
//! ```

use super::cells::{change_at_corners, shared_area};
use super::compose::{Keep, Rooted};
use super::facet::{Facet, Facets, Turned, steepness_m};
use super::overlap::{NO_EDGE, Overlap, Turn, next};
use super::places::{Of, OnZero, Place, Places};
use super::reach::{FacePair, Spread, reached};
use super::walk::pairs;
use crate::surface::{NONE, Plane, Surface};
use crate::{LatticePoint, Sum};

/// Vertices lie within a step or so of the places that made them, and corner heights are those of
/// the places: by this many steps two surfaces may seem apart that are one.
const TIE_STEPS: f64 = 4.0;
/// Surfaces closer than this in metres are level with each other, whatever their grade.
const TIE_M: f64 = 3e-9;
/// A part narrower than this, in steps, is the trace of a rounded line.
const THIN_STEPS: f64 = 4.0;

/// A part of a cell that a ground face and a patch face share.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Part {
    pub(crate) ground: u32,
    pub(crate) patch: u32,
    /// Whether the patch wins it.
    pub(crate) won: bool,
    /// Whether it is so narrow that it may be no more than the trace of a rounded line.
    pub(crate) thin: bool,
    /// Whether it lies along the border of the patch.
    pub(crate) at_border: bool,
    /// Plan area in square steps, where the patch wins it.
    pub(crate) area: f64,
    first: u32,
    n_corners: u32,
}

/// A corner of a part, and the edge of the part that leaves it counter-clockwise.
#[derive(Clone, Copy, Debug)]
pub(crate) struct PartCorner {
    pub(crate) vertex: u32,
    /// Height of the ground here, in metres.
    pub(crate) ground_m: f64,
    /// Height of the patch here, in metres.
    pub(crate) patch_m: f64,
    /// The edge of the ground's face that the leaving edge runs along, or [`NO_EDGE`].
    pub(crate) ground_edge: u8,
    /// The edge of the patch's face that it runs along, or [`NO_EDGE`].
    pub(crate) patch_edge: u8,
}

/// The parts of all cells that matter, over the vertices of the arrangement.
#[derive(Debug)]
pub(crate) struct Parts {
    pub(crate) places: Places,
    pub(crate) parts: Vec<Part>,
    corners: Vec<PartCorner>,
    /// Which faces of the patch are roots.
    pub(crate) roots: Vec<bool>,
    /// Plan area of the patch's roots over the ground, in square steps.
    pub(crate) root_area: Sum,
    pub(crate) any_won: bool,
    /// The faces of the ground that a rooted patch may win from, and others that it covers or meets;
    /// none where it is not rooted.
    pub(crate) reached: Option<[Vec<u32>; 2]>,
}

/// Whether parts that the ground keeps are wanted too.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Want {
    Won,
    Both,
}

impl Parts {
    /// Splits the cells that the two surfaces share: those that the patch can win, or all of them.
    pub(crate) fn new(
        ground: &Surface,
        patch: &Surface,
        keep: Keep,
        want: Want,
        rooted: Rooted<'_>,
    ) -> Self {
        let mut places = Places::new(ground, patch);
        if want == Want::Both {
            places.join(ground, patch);
        }
        let found = Self { roots: rooted.roots(patch), ..Self::none(places) };
        let mut splitter = Splitter { ground, patch, keep, want, found };
        let (mut grounds, mut patches) = (Facets::of(ground), Facets::of(patch));
        let mut split = |splitter: &mut Splitter<'_>, over: u32, under: u32, shared: &Overlap| {
            splitter.split(grounds.at(under), patches.at(over), shared);
        };
        if want == Want::Won && rooted != Rooted::Anywhere {
            let pairs = reached(patch, ground, &splitter);
            splitter.found.reached = Some(pairs.grounds());
            splitter.found.make_room(pairs.len());
            for ([over, under], shared) in pairs.iter() {
                split(&mut splitter, over, under, shared);
            }
        } else {
            // The patch is the smaller: walking it visits no more of the ground than it covers.
            pairs(patch, ground, |over, under, shared| split(&mut splitter, over, under, shared));
        }
        splitter.found
    }

    /// No parts yet.
    pub(crate) fn none(places: Places) -> Self {
        Self {
            places,
            parts: Vec::new(),
            corners: Vec::new(),
            roots: Vec::new(),
            root_area: Sum::default(),
            any_won: false,
            reached: None,
        }
    }

    /// Makes room for the parts of so many cells.
    pub(crate) fn make_room(&mut self, n_cells: usize) {
        self.parts.reserve(n_cells);
        self.corners.reserve(4 * n_cells);
    }

    /// Adds a part that a face of the patch wins from one of the ground, by its corners in order.
    pub(crate) fn win(&mut self, [ground, patch]: [u32; 2], corners: Vec<PartCorner>) {
        let (first, n_corners) = (self.corners.len() as u32, corners.len() as u32);
        self.corners.extend(corners);
        let (thin, at_border, area) = (false, false, 0.0);
        self.parts.push(Part { ground, patch, won: true, thin, at_border, area, first, n_corners });
        self.any_won = true;
    }

    /// The faces of the ground on which the composition of a rooted patch rests: those that it may
    /// win from; those of which only that matters that it loses there; and those beside any that are
    /// split and those drawn whole, of which the plan matters.
    pub(crate) fn read(&mut self, ground: &Surface, whole: &[u32]) -> Option<[Vec<u32>; 3]> {
        let [read, lost] = self.reached.take()?;
        let beside = |part: &Part| ground.faces()[part.ground as usize].neighbours;
        let mut near: Vec<u32> = self.parts.iter().flat_map(beside).collect();
        near.retain(|&face| face != NONE);
        near.extend(whole);
        Some([read, lost, near])
    }

    /// The corners of a part, counter-clockwise.
    pub(crate) fn corners(&self, part: &Part) -> &[PartCorner] {
        &self.corners[part.first as usize..(part.first + part.n_corners) as usize]
    }
}

/// A corner of a whole cell.
#[derive(Clone, Copy)]
struct CellCorner {
    turn: Turn,
    ground_m: f64,
    patch_m: f64,
    /// By how much the patch wins here, in metres.
    gain: f64,
    ground_edge: u8,
    patch_edge: u8,
    vertex: u32,
}

struct Splitter<'s> {
    ground: &'s Surface,
    patch: &'s Surface,
    keep: Keep,
    want: Want,
    found: Parts,
}

impl Spread for Splitter<'_> {
    fn is_root(&self, patch_face: u32) -> bool {
        self.found.roots[patch_face as usize]
    }

    /// Planes and the heights of corners differ by less than the tie.
    fn may_win(&self, [patch, ground]: FacePair, shared: &Overlap) -> bool {
        let planes = [self.ground.plane(ground), self.patch.plane(patch)];
        let corners = [self.patch.corners(patch), self.ground.corners(ground)];
        may_win(self.keep, planes, corners, shared)
    }
}

/// Whether a patch's face may win somewhere over a face of the ground, by their planes, of the ground
/// first, and their corners, of the patch first.
pub(crate) fn may_win(
    keep: Keep,
    planes: [Plane; 2],
    corners: [[LatticePoint; 3]; 2],
    shared: &Overlap,
) -> bool {
    let tie = tie_m(planes.each_ref().map(steepness_m));
    change_at_corners(shared, corners, [&planes[0], &planes[1]]).any(|rise_m| {
        let gain = if keep == Keep::Highest { rise_m } else { -rise_m };
        gain > -tie
    })
}

/// Heights at corners may tell two surfaces apart by this much that are one, in metres, given how
/// steep their planes are.
pub(super) fn tie_m([ground, patch]: [f64; 2]) -> f64 {
    TIE_STEPS * (ground + patch) + TIE_M
}

impl Splitter<'_> {
    /// `shared` has the patch's face as `a` and the ground's as `b`.
    fn split(&mut self, under: &Facet, above: &Facet, shared: &Overlap) {
        if self.is_root(above.face) {
            self.found.root_area.add(shared_area(shared, above.corners, under.corners));
        }
        let mut cell = [BLANK; 6];
        let order = shared.order();
        for (corner, &i) in cell.iter_mut().zip(&order[..shared.pieces().len()]) {
            let piece = &shared.pieces()[i as usize];
            let (ground_m, patch_m) = heights_at(under, above, shared, piece.start);
            let gain = match self.keep {
                Keep::Highest => patch_m - ground_m,
                Keep::Lowest => ground_m - patch_m,
            };
            *corner = CellCorner {
                turn: piece.start,
                ground_m,
                patch_m,
                gain,
                ground_edge: piece.b_edge,
                patch_edge: piece.a_edge,
                vertex: NONE,
            };
        }
        let cell = &mut cell[..shared.pieces().len()];
        let tie = tie_m([under.steepness_m, above.steepness_m]);
        let level = cell.iter().all(|c| c.gain <= tie) || under.plane == above.plane;
        if level && self.want == Want::Won {
            return;
        }
        for corner in cell.iter_mut() {
            corner.vertex = self.vertex(under, above, shared, corner.turn);
        }
        let faces = [under.face, above.face];
        if level {
            self.put_whole(faces, cell, false);
            return;
        }
        make_regular(cell, tie);
        let any_lost = cell.iter().any(|c| c.gain < 0.0);
        let any_won = cell.iter().any(|c| c.gain > 0.0);
        match (any_won, any_lost) {
            (true, false) => self.put_whole(faces, cell, true),
            (false, _) => self.put_whole(faces, cell, false),
            (true, true) => {
                self.put_side(faces, cell, true);
                self.put_side(faces, cell, false);
            }
        }
    }

    fn vertex(&mut self, under: &Facet, above: &Facet, shared: &Overlap, turn: Turn) -> u32 {
        let places = &mut self.found.places;
        match turn {
            Turn::A(i) => {
                let i = i as usize;
                places.on_vertex(Of::Patch, above.vertices[i], above.corners[i])
            }
            Turn::B(j) => {
                let j = j as usize;
                places.on_vertex(Of::Ground, under.vertices[j], under.corners[j])
            }
            Turn::Cross(p_edge, g_edge) => {
                let (pe, ge) = (p_edge as usize, g_edge as usize);
                let ((g_number, turned), (p_number, _)) = (under.edge(ge), above.edge(pe));
                let [start, end] = [ge, next(ge)].map(|i| shared.b_sides[pe][i].abs());
                let ends = [under.corners[ge], under.corners[next(ge)]];
                places.crossing([g_number, p_number], || match turned {
                    Turned::No => Place::parting(ends, start, end),
                    Turned::Yes => Place::parting([ends[1], ends[0]], end, start),
                })
            }
        }
    }

    fn put_whole(&mut self, faces: [u32; 2], cell: &[CellCorner], won: bool) {
        let first = self.found.corners.len() as u32;
        self.found.corners.extend(cell.iter().map(whole_corner));
        self.finish(faces, first, won);
    }

    /// Puts the part on one side of the zero line.
    fn put_side(&mut self, faces: [u32; 2], cell: &[CellCorner], won: bool) {
        if !won && self.want == Want::Won {
            return;
        }
        let first = self.found.corners.len() as u32;
        let side = |c: &CellCorner| if won { c.gain } else { -c.gain };
        for (i, here) in cell.iter().enumerate() {
            let there = &cell[if i + 1 == cell.len() { 0 } else { i + 1 }];
            let (from, to) = (side(here), side(there));
            if from > 0.0 || (from == 0.0 && bounds_part(cell, i, side)) {
                let along = from > 0.0 || to >= 0.0;
                self.found.corners.push(if along { whole_corner(here) } else { bare(here) });
            }
            if from * to < 0.0 {
                let mut zero = self.zero_corner(here, there);
                if from < 0.0 {
                    zero.ground_edge = here.ground_edge;
                    zero.patch_edge = here.patch_edge;
                }
                self.found.corners.push(zero);
            }
        }
        self.finish(faces, first, won);
    }

    fn zero_corner(&mut self, here: &CellCorner, there: &CellCorner) -> PartCorner {
        let (low, high) = if here.vertex < there.vertex { (here, there) } else { (there, here) };
        let share = low.gain / (low.gain - high.gain);
        let vertex =
            self.found.places.on_zero(OnZero { between: [low.vertex, high.vertex], share });
        let height_m = if here.ground_edge != NO_EDGE {
            low.ground_m + share * (high.ground_m - low.ground_m)
        } else {
            low.patch_m + share * (high.patch_m - low.patch_m)
        };
        PartCorner {
            vertex,
            ground_m: height_m,
            patch_m: height_m,
            ground_edge: NO_EDGE,
            patch_edge: NO_EDGE,
        }
    }

    fn finish(&mut self, [ground, patch]: [u32; 2], first: u32, won: bool) {
        let n_corners = self.found.corners.len() as u32 - first;
        if n_corners < 3 || (!won && self.want == Want::Won) {
            self.found.corners.truncate(first as usize);
            return;
        }
        let mut part =
            Part { ground, patch, won, thin: false, at_border: false, area: 0.0, first, n_corners };
        if won {
            let (area, rim) = extent(&self.found, &part);
            let face = &self.patch.faces()[patch as usize];
            let beyond = |c: &PartCorner| face.neighbours.get(c.patch_edge as usize);
            part.area = area;
            part.thin = 4.0 * area / rim <= THIN_STEPS;
            part.at_border = self.found.corners(&part).iter().any(|c| beyond(c) == Some(&NONE));
            self.found.any_won = true;
        }
        self.found.parts.push(part);
    }
}

const BLANK: CellCorner = CellCorner {
    turn: Turn::B(0),
    ground_m: 0.0,
    patch_m: 0.0,
    gain: 0.0,
    ground_edge: NO_EDGE,
    patch_edge: NO_EDGE,
    vertex: NONE,
};

fn whole_corner(c: &CellCorner) -> PartCorner {
    PartCorner {
        vertex: c.vertex,
        ground_m: c.ground_m,
        patch_m: c.patch_m,
        ground_edge: c.ground_edge,
        patch_edge: c.patch_edge,
    }
}

/// A corner from which the zero line leaves.
fn bare(c: &CellCorner) -> PartCorner {
    PartCorner { ground_edge: NO_EDGE, patch_edge: NO_EDGE, ..whole_corner(c) }
}

/// Whether a corner on the zero line has a corner of the wanted side before or after it.
fn bounds_part(cell: &[CellCorner], i: usize, side: impl Fn(&CellCorner) -> f64) -> bool {
    let n = cell.len();
    let after = (1..n).map(|k| side(&cell[(i + k) % n])).find(|&s| s != 0.0);
    let before = (1..n).map(|k| side(&cell[(i + n - k) % n])).find(|&s| s != 0.0);
    after.is_some_and(|s| s > 0.0) || before.is_some_and(|s| s > 0.0)
}

/// Makes the signs of the gain change at most twice around the cell, as those of a plane do: heights
/// taken from edges may differ from the planes by a hair where the surfaces are nearly level.
fn make_regular(cell: &mut [CellCorner], tie: f64) {
    if n_changes(cell) <= 2 {
        return;
    }
    for corner in cell.iter_mut().filter(|c| c.gain.abs() <= tie) {
        corner.gain = 0.0;
    }
    if n_changes(cell) > 2 {
        let total: f64 = cell.iter().map(|c| c.gain).sum();
        for corner in cell.iter_mut() {
            corner.gain = total;
        }
    }
}

/// How often the sign of the gain changes around a cell; corners on the zero line do not count.
fn n_changes(cell: &[CellCorner]) -> usize {
    let signs = || cell.iter().filter(|c| c.gain != 0.0).map(|c| c.gain > 0.0);
    let Some(mut latest) = signs().next_back() else { return 0 };
    signs().filter(|&sign| std::mem::replace(&mut latest, sign) != sign).count()
}

/// Heights of the ground and of the patch where the outline of a cell turns, in metres.
///
/// On an edge they are taken along it, in the edge's own direction, so that all cells about a place
/// see the same bits.
fn heights_at(under: &Facet, above: &Facet, shared: &Overlap, turn: Turn) -> (f64, f64) {
    match turn {
        Turn::A(i) => {
            let i = i as usize;
            let on = (0..3).find(|&e| shared.a_sides[e][i] == 0);
            let ground_m = match on {
                Some(e) => under.on_edge(e, above.corners[i]),
                None => under.plane.at(above.corners[i]),
            };
            (ground_m, above.heights[i])
        }
        Turn::B(j) => {
            let j = j as usize;
            let at = under.corners[j];
            let on = (0..3).find(|&e| shared.b_sides[e][j] == 0);
            let patch_m = match on {
                None => above.plane.at(at),
                Some(e) => match (0..3).find(|&i| above.corners[i] == at) {
                    Some(i) => above.heights[i],
                    None => above.on_edge(e, at),
                },
            };
            (under.heights[j], patch_m)
        }
        Turn::Cross(p_edge, g_edge) => {
            let (pe, ge) = (p_edge as usize, g_edge as usize);
            let (g_turned, p_turned) = (under.edge(ge).1, above.edge(pe).1);
            let g_t = under.crossing_share(ge, g_turned, &shared.b_sides[pe]);
            let p_t = above.crossing_share(pe, p_turned, &shared.a_sides[ge]);
            (under.along(ge, g_turned, g_t), above.along(pe, p_turned, p_t))
        }
    }
}

/// Plan area of a part in square steps, and the length of its rim in steps; four times the one over
/// the other is the width of a narrow part.
fn extent(parts: &Parts, part: &Part) -> (f64, f64) {
    let corners = parts.corners(part);
    let origin = parts.places.place(corners[0].vertex);
    let at = |c: &PartCorner| origin.to(parts.places.place(c.vertex));
    let (mut twice_area, mut rim) = (0.0, 0.0);
    let mut p = at(&corners[corners.len() - 1]);
    for corner in corners {
        let q = at(corner);
        twice_area += p[0] * q[1] - p[1] * q[0];
        rim += ((q[0] - p[0]) * (q[0] - p[0]) + (q[1] - p[1]) * (q[1] - p[1])).sqrt();
        p = q;
    }
    (twice_area / 2.0, rim)
}
