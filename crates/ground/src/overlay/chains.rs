//! The outlines of what each face keeps, as directed links between vertices of the arrangement.
//!
//! An *owner* is a face of the ground or of the patch; its region lies on the left of its links.

use super::buckets::in_order;
use super::compose::Domain;
use super::facet::{Turned, edge_number};
use super::overlap::{NO_EDGE, next};
use super::places::{Of, Places};
use super::snap::Lines;
use super::winners::{Part, PartCorner, Parts};
use crate::LatticePoint;
use crate::surface::{NONE, Surface};

/// A directed, straight piece of an owner's outline.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Link {
    /// A face of the ground, or of the patch after all those of the ground.
    pub(crate) owner: u32,
    pub(crate) from: u32,
    pub(crate) to: u32,
    /// The edge that it runs along, by a number of its own; [`NONE`] on the zero line.
    pub(crate) carrier: u32,
    /// Whether a breakline, an outline or the boundary runs here.
    pub(crate) fixed: bool,
    /// Heights of the owner at both ends, in metres.
    pub(crate) heights: [f64; 2],
}

/// What the outlines are made for.
#[derive(Clone, Copy)]
pub(crate) struct Pair<'s> {
    pub(crate) ground: &'s Surface,
    pub(crate) patch: &'s Surface,
    pub(crate) domain: Domain,
}

/// A piece of a face's own edge that another face wins.
#[derive(Clone, Copy, Debug)]
struct Gap {
    edge: u8,
    /// How far along the edge its middle lies.
    middle: f64,
    from: u32,
    to: u32,
    /// Heights of the face that loses it, at its ends.
    heights: [f64; 2],
}

impl Pair<'_> {
    /// The owner number of a patch face.
    pub(crate) fn patch_owner(&self, face: u32) -> u32 {
        self.ground.faces().len() as u32 + face
    }

    /// The surface and the face in it that an owner is.
    pub(crate) fn source(&self, owner: u32) -> (&Surface, u32) {
        let n_ground = self.ground.faces().len() as u32;
        if owner < n_ground { (self.ground, owner) } else { (self.patch, owner - n_ground) }
    }

    fn carrier(&self, owner: u32, edge: usize) -> (u32, Turned) {
        let (surface, face) = self.source(owner);
        let (number, turned) = edge_number(surface, face, edge);
        let n_ground = self.ground.faces().len() as u32;
        (if owner < n_ground { number } else { 3 * n_ground + number }, turned)
    }
}

impl Lines for Pair<'_> {
    /// The ends of the edge; none for the zero line.
    fn line(&self, carrier: u32) -> Option<[LatticePoint; 2]> {
        let n_ground_edges = 3 * self.ground.faces().len() as u32;
        let (surface, number) = match carrier {
            NONE => return None,
            edge if edge < n_ground_edges => (self.ground, edge),
            edge => (self.patch, edge - n_ground_edges),
        };
        let corners = surface.corners(number / 3);
        let edge = (number % 3) as usize;
        Some([corners[edge], corners[next(edge)]])
    }
}

/// The links of every owner that loses or wins something, and of the `whole` faces besides; they
/// come by owner.
pub(crate) fn links(pair: &Pair<'_>, parts: &mut Parts, whole: &[u32]) -> Vec<Link> {
    let n_ground = pair.ground.faces().len() as u32;
    let n_owners = n_ground as usize + pair.patch.faces().len();
    let mut takings: Vec<Taking> = Vec::with_capacity(2 * parts.parts.len());
    for (part, of) in (0..).zip(&parts.parts) {
        if of.won {
            takings.push(Taking { owner: of.ground, part });
        }
        if of.won == (pair.domain == Domain::Ground) {
            takings.push(Taking { owner: n_ground + of.patch, part });
        }
    }
    takings.extend(whole.iter().map(|&owner| Taking { owner, part: NONE }));
    let takings = in_order(takings, n_owners, |taking| taking.owner);
    let mut links = Vec::with_capacity(4 * takings.len());
    let mut draft = Draft::default();
    for of_one in takings.chunk_by(|a, b| a.owner == b.owner) {
        let owner = of_one[0].owner;
        let wins = owner >= n_ground && pair.domain == Domain::Ground;
        let taken = of_one.iter().filter(|taking| taking.part != NONE).map(|taking| taking.part);
        if wins {
            taken.for_each(|part| draft.win(parts, part));
        } else {
            taken.for_each(|part| draft.lose(pair, parts, part, owner));
            put_rest(pair, &mut parts.places, owner, &mut draft.gaps, &mut draft.rest);
            draft.take_rest();
        }
        draft.settle(pair, parts, owner, wins, &mut links);
    }
    simplify(links, parts.places.len())
}

/// The links with those of more faces of the ground, which keep their whole.
pub(crate) fn with_whole(
    pair: &Pair<'_>,
    parts: &mut Parts,
    mut links: Vec<Link>,
    faces: &[u32],
) -> Vec<Link> {
    let mut gaps = Vec::new();
    for &face in faces {
        put_rest(pair, &mut parts.places, face, &mut gaps, &mut links);
    }
    let n_owners = pair.ground.faces().len() + pair.patch.faces().len();
    in_order(links, n_owners, |link| link.owner)
}

/// A part that an owner wins or loses; [`NONE`] where it keeps its whole.
#[derive(Clone, Copy, Debug)]
struct Taking {
    owner: u32,
    part: u32,
}

/// One owner's outline while it is found: pieces of it, of which those that run both ways between the
/// same vertices cancel. Only what stays is worth a link.
#[derive(Default)]
struct Draft {
    /// The vertices at a piece's ends, the lower first; its number, and whether it rises.
    pieces: Vec<(u64, u32)>,
    /// Of each piece the part and the corner that it leaves; [`NONE`] and which of the rest.
    sources: Vec<[u32; 2]>,
    /// Pieces of the owner's own edges.
    rest: Vec<Link>,
    gaps: Vec<Gap>,
}

impl Draft {
    fn put(&mut self, [from, to]: [u32; 2], source: [u32; 2]) {
        let ends = u64::from(from.min(to)) << 32 | u64::from(from.max(to));
        self.pieces.push((ends, 2 * self.sources.len() as u32 + u32::from(from < to)));
        self.sources.push(source);
    }

    /// Adds a won part's outline to the patch face that wins it.
    fn win(&mut self, parts: &Parts, part: u32) {
        let corners = parts.corners(&parts.parts[part as usize]);
        for (k, [corner, following]) in (0..).zip(around(corners)) {
            self.put([corner.vertex, following.vertex], [part, k]);
        }
    }

    /// Takes a part from the face that loses it.
    fn lose(&mut self, pair: &Pair<'_>, parts: &Parts, part: u32, owner: u32) {
        let is_ground = owner < pair.ground.faces().len() as u32;
        let corners = parts.corners(&parts.parts[part as usize]);
        for (k, [corner, following]) in (0..).zip(around(corners)) {
            let edge = if is_ground { corner.ground_edge } else { corner.patch_edge };
            let (from, to) = (corner.vertex, following.vertex);
            if edge == NO_EDGE {
                self.put([to, from], [part, k]);
                continue;
            }
            let heights =
                [corner, following].map(|c| if is_ground { c.ground_m } else { c.patch_m });
            let middle = middle_along(pair, &parts.places, owner, edge as usize, [from, to]);
            self.gaps.push(Gap { edge, middle, from, to, heights });
        }
    }

    fn take_rest(&mut self) {
        for i in 0..self.rest.len() {
            let link = &self.rest[i];
            self.put([link.from, link.to], [NONE, i as u32]);
        }
    }

    /// Moves what stays to the links, and begins anew.
    fn settle(
        &mut self,
        pair: &Pair<'_>,
        parts: &Parts,
        owner: u32,
        wins: bool,
        links: &mut Vec<Link>,
    ) {
        self.pieces.sort_unstable();
        for group in self.pieces.chunk_by(|a, b| a.0 == b.0) {
            let rises = |piece: &&(u64, u32)| piece.1 & 1 == 1;
            let n_up = group.iter().filter(rises).count();
            let n_down = group.len() - n_up;
            let staying = group.iter().filter(|piece| rises(piece) == (n_up > n_down));
            links.extend(staying.take(n_up.abs_diff(n_down)).map(|piece| {
                match self.sources[piece.1 as usize / 2] {
                    [NONE, i] => self.rest[i as usize],
                    [part, k] => link(pair, parts, owner, wins, part, k as usize),
                }
            }));
        }
        self.pieces.clear();
        self.sources.clear();
        self.rest.clear();
    }
}

/// The corners of a part, each with the one after it.
fn around(corners: &[PartCorner]) -> impl Iterator<Item = [&PartCorner; 2]> {
    let after = corners[1..].iter().chain(&corners[..1]);
    corners.iter().zip(after).map(|(corner, following)| [corner, following])
}

/// The link along the side of a part that leaves its corner `k`.
fn link(pair: &Pair<'_>, parts: &Parts, owner: u32, wins: bool, part: u32, k: usize) -> Link {
    let part = &parts.parts[part as usize];
    let corners = parts.corners(part);
    let (corner, following) =
        (&corners[k], &corners[if k + 1 == corners.len() { 0 } else { k + 1 }]);
    let (carrier, fixed) = carrier_of(pair, part, corner.ground_edge, corner.patch_edge);
    let is_ground = owner < pair.ground.faces().len() as u32;
    let height = |c: &PartCorner| if is_ground { c.ground_m } else { c.patch_m };
    let [start, end] = if wins { [corner, following] } else { [following, corner] };
    let heights = [height(start), height(end)];
    Link { owner, from: start.vertex, to: end.vertex, carrier, fixed, heights }
}

/// Along which edge a piece of a part's outline runs, and whether that is fixed.
fn carrier_of(pair: &Pair<'_>, part: &Part, ground_edge: u8, patch_edge: u8) -> (u32, bool) {
    let mut fixed = false;
    let mut carrier = NONE;
    if patch_edge != NO_EDGE {
        let face = &pair.patch.faces()[part.patch as usize];
        let border = face.neighbours[patch_edge as usize] == NONE;
        fixed |= border || face.fixed >> patch_edge & 1 == 1;
        carrier = pair.carrier(pair.patch_owner(part.patch), patch_edge as usize).0;
    }
    if ground_edge != NO_EDGE {
        let face = &pair.ground.faces()[part.ground as usize];
        fixed |= face.fixed >> ground_edge & 1 == 1;
        carrier = pair.carrier(part.ground, ground_edge as usize).0;
    }
    (carrier, fixed)
}

fn middle_along(pair: &Pair<'_>, places: &Places, owner: u32, edge: usize, ends: [u32; 2]) -> f64 {
    let (surface, face) = pair.source(owner);
    let corners = surface.corners(face);
    let start = super::places::Place::on(corners[edge]);
    let way = start.to(&super::places::Place::on(corners[next(edge)]));
    let along = |vertex: u32| {
        let to = start.to(places.place(vertex));
        to[0] * way[0] + to[1] * way[1]
    };
    (along(ends[0]) + along(ends[1])) / (2.0 * (way[0] * way[0] + way[1] * way[1]))
}

/// Adds what the gaps leave of an owner's own edges, and empties them.
fn put_rest(
    pair: &Pair<'_>,
    places: &mut Places,
    owner: u32,
    gaps: &mut Vec<Gap>,
    links: &mut Vec<Link>,
) {
    gaps.sort_unstable_by(|a, b| a.edge.cmp(&b.edge).then(a.middle.total_cmp(&b.middle)));
    let (surface, face) = pair.source(owner);
    let corners: [LatticePoint; 3] = surface.corners(face);
    let heights = surface.corner_heights(face);
    let source = &surface.faces()[face as usize];
    let of = if owner < pair.ground.faces().len() as u32 { Of::Ground } else { Of::Patch };
    let vertices = [0, 1, 2].map(|k| places.on_vertex(of, source.vertices[k], corners[k]));
    let mut rest = &gaps[..];
    for edge in 0..3 {
        let fixed = source.fixed >> edge & 1 == 1;
        let carrier = pair.carrier(owner, edge).0;
        let mut at = (vertices[edge], heights[edge]);
        let end = (vertices[next(edge)], heights[next(edge)]);
        let n_here = rest.iter().take_while(|gap| gap.edge as usize == edge).count();
        let (here, beyond) = rest.split_at(n_here);
        rest = beyond;
        for gap in here {
            if at.0 != gap.from {
                let heights = [at.1, gap.heights[0]];
                links.push(Link { owner, from: at.0, to: gap.from, carrier, fixed, heights });
            }
            at = (gap.to, gap.heights[1]);
        }
        if at.0 != end.0 {
            let heights = [at.1, end.1];
            links.push(Link { owner, from: at.0, to: end.0, carrier, fixed, heights });
        }
    }
    gaps.clear();
}

/// Drops every vertex at which no outline bends: no winner needs it.
fn simplify(mut links: Vec<Link>, n_vertices: usize) -> Vec<Link> {
    const UNSEEN: u32 = NONE - 1;
    /// The only carrier of the links at a vertex, and the last owner, or its link, to leave it.
    #[derive(Clone, Copy)]
    struct At {
        carrier: u32,
        leaving: u32,
    }
    let mut at = vec![At { carrier: UNSEEN, leaving: NONE }; n_vertices];
    for link in &links {
        for vertex in [link.from, link.to] {
            let known = &mut at[vertex as usize].carrier;
            *known = if *known == UNSEEN || *known == link.carrier { link.carrier } else { NONE };
        }
        let from = &mut at[link.from as usize];
        if from.leaving == link.owner {
            from.carrier = NONE;
        }
        from.leaving = link.owner;
    }
    let (mut n_kept, mut start) = (0, 0);
    let mut group: Vec<Link> = Vec::new();
    while start < links.len() {
        let of_one = |link: &&Link| link.owner == links[start].owner;
        group.clear();
        group.extend(links[start..].iter().take_while(of_one));
        start += group.len();
        for (i, link) in (0..).zip(&group) {
            at[link.from as usize].leaving = i;
        }
        let is_straight = |vertex: u32| at[vertex as usize].carrier != NONE;
        for link in group.iter().filter(|link| !is_straight(link.from)) {
            let mut whole = *link;
            for _ in 0..group.len() {
                if !is_straight(whole.to) {
                    break;
                }
                let following = &group[at[whole.to as usize].leaving as usize];
                whole.to = following.to;
                whole.heights[1] = following.heights[1];
                whole.fixed |= following.fixed;
            }
            links[n_kept] = whole;
            n_kept += 1;
        }
    }
    links.truncate(n_kept);
    links
}
