//! The outlines of what each face keeps, as directed links between vertices of the arrangement.
//!
//! An *owner* is a face of the ground or of the patch; its region lies on the left of its links.

use super::buckets::in_order;
use super::compose::Domain;
use super::facet::{Turned, edge_number};
use super::overlap::{NO_EDGE, next};
use super::places::{Of, Places};
use super::winners::{Part, Parts};
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

    /// The ends of the edge that a carrier stands for; none for the zero line.
    pub(crate) fn line(&self, carrier: u32) -> Option<[LatticePoint; 2]> {
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

    fn carrier(&self, owner: u32, edge: usize) -> (u32, Turned) {
        let (surface, face) = self.source(owner);
        let (number, turned) = edge_number(surface, face, edge);
        let n_ground = self.ground.faces().len() as u32;
        (if owner < n_ground { number } else { 3 * n_ground + number }, turned)
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
    let (mut own, mut gaps) = (Vec::new(), Vec::new());
    for of_one in takings.chunk_by(|a, b| a.owner == b.owner) {
        let owner = of_one[0].owner;
        let wins = owner >= n_ground && pair.domain == Domain::Ground;
        for taking in of_one.iter().filter(|taking| taking.part != NONE) {
            let part = &parts.parts[taking.part as usize];
            if wins {
                win(pair, parts, part, &mut own);
            } else {
                lose(pair, parts, part, owner, &mut own, &mut gaps);
            }
        }
        if !wins {
            put_rest(pair, &mut parts.places, owner, &mut gaps, &mut own);
        }
        cancel(&mut own, &mut links);
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

/// Adds a won part's outline to the patch face that wins it.
fn win(pair: &Pair<'_>, parts: &Parts, part: &Part, links: &mut Vec<Link>) {
    let owner = pair.patch_owner(part.patch);
    let corners = parts.corners(part);
    for (i, corner) in corners.iter().enumerate() {
        let following = &corners[if i + 1 == corners.len() { 0 } else { i + 1 }];
        let (carrier, fixed) = carrier_of(pair, part, corner.ground_edge, corner.patch_edge);
        links.push(Link {
            owner,
            from: corner.vertex,
            to: following.vertex,
            carrier,
            fixed,
            heights: [corner.patch_m, following.patch_m],
        });
    }
}

/// Takes a part from the face that loses it.
fn lose(
    pair: &Pair<'_>,
    parts: &Parts,
    part: &Part,
    owner: u32,
    links: &mut Vec<Link>,
    gaps: &mut Vec<Gap>,
) {
    let is_ground = owner < pair.ground.faces().len() as u32;
    let corners = parts.corners(part);
    for (i, corner) in corners.iter().enumerate() {
        let following = &corners[if i + 1 == corners.len() { 0 } else { i + 1 }];
        let (own_edge, heights) = if is_ground {
            (corner.ground_edge, [corner.ground_m, following.ground_m])
        } else {
            (corner.patch_edge, [corner.patch_m, following.patch_m])
        };
        let (from, to) = (corner.vertex, following.vertex);
        if own_edge == NO_EDGE {
            let (carrier, fixed) = carrier_of(pair, part, corner.ground_edge, corner.patch_edge);
            let heights = [heights[1], heights[0]];
            links.push(Link { owner, from: to, to: from, carrier, fixed, heights });
        } else {
            let middle = middle_along(pair, &parts.places, owner, own_edge as usize, [from, to]);
            gaps.push(Gap { edge: own_edge, middle, from, to, heights });
        }
    }
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

/// Moves an owner's links over, without those that run both ways between the same vertices.
fn cancel(own: &mut Vec<Link>, links: &mut Vec<Link>) {
    let key = |l: &Link| (l.from.min(l.to), l.from.max(l.to));
    own.sort_by_key(key);
    for group in own.chunk_by(|a, b| key(a) == key(b)) {
        let n_up = group.iter().filter(|l| l.from < l.to).count();
        let n_down = group.len() - n_up;
        let up = n_up > n_down;
        let n_kept = n_up.abs_diff(n_down);
        links.extend(group.iter().filter(|l| (l.from < l.to) == up).take(n_kept));
    }
    own.clear();
}

/// Drops every vertex at which no outline bends: no winner needs it.
fn simplify(links: Vec<Link>, n_vertices: usize) -> Vec<Link> {
    const UNSEEN: u32 = NONE - 1;
    let mut carriers = vec![UNSEEN; n_vertices];
    let mut leaving = vec![NONE; n_vertices];
    let owner_groups = || links.chunk_by(|a, b| a.owner == b.owner);
    for group in owner_groups() {
        for link in group {
            for vertex in [link.from, link.to] {
                let known = &mut carriers[vertex as usize];
                *known =
                    if *known == UNSEEN || *known == link.carrier { link.carrier } else { NONE };
            }
            if leaving[link.from as usize] == link.owner {
                carriers[link.from as usize] = NONE;
            }
            leaving[link.from as usize] = link.owner;
        }
    }
    let straight = |vertex: u32| carriers[vertex as usize] != NONE;
    let mut kept = Vec::with_capacity(links.len());
    for group in owner_groups() {
        for (i, link) in group.iter().enumerate() {
            leaving[link.from as usize] = i as u32;
        }
        for link in group.iter().filter(|link| !straight(link.from)) {
            let mut whole = *link;
            for _ in 0..group.len() {
                if !straight(whole.to) {
                    break;
                }
                let following = &group[leaving[whole.to as usize] as usize];
                whole.to = following.to;
                whole.heights[1] = following.heights[1];
                whole.fixed |= following.fixed;
            }
            kept.push(whole);
        }
    }
    kept
}
