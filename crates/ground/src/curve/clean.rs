//! Loops cleaned by winding number: what a raw offset curve truly encloses.
//!
//! The raw curve is split wherever it meets itself, on the lattice, until its pieces meet only at
//! their ends. A piece is kept when the winding number is one or more on one side of it and not on
//! the other; the kept pieces are then traced into simple rings.

use std::collections::BTreeMap;

use super::{Meeting, crossing, meet, meeting_pairs};
use crate::LatticePoint;
use crate::predicates::orient;

/// A place of a cleaned ring, with the parameters of the two pieces that meet there.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Corner {
    pub(super) at: LatticePoint,
    pub(super) origins: [f64; 2],
}

/// A directed piece of the raw curve and the parameters at its ends.
#[derive(Clone, Copy, Debug)]
struct Piece {
    ends: [LatticePoint; 2],
    parameters: [f64; 2],
}

/// Rounds of splitting after which rounding is taken to have gone in circles.
const MOST_ROUNDS: usize = 64;

/// The simple rings around what the closed curve winds around counter-clockwise.
///
/// Outlines come counter-clockwise, holes clockwise; none when nothing is enclosed. `parameters`
/// holds each segment's parameters at its ends.
pub(super) fn wound_once(points: &[LatticePoint], parameters: &[[f64; 2]]) -> Vec<Vec<Corner>> {
    let n = points.len();
    let pieces: Vec<Piece> = (0..n)
        .map(|i| Piece { ends: [points[i], points[(i + 1) % n]], parameters: parameters[i] })
        .filter(|p| p.ends[0] != p.ends[1])
        .collect();
    trace(&boundary(&split(pieces)))
}

/// Splits pieces until they meet only at their ends.
fn split(mut pieces: Vec<Piece>) -> Vec<Piece> {
    for _ in 0..MOST_ROUNDS {
        let segments: Vec<_> = pieces.iter().map(|p| p.ends).collect();
        let mut cuts: Vec<(u32, LatticePoint)> = Vec::new();
        meeting_pairs(&segments, |i, j| {
            let (s, t) = (segments[i], segments[j]);
            match meet(s, t) {
                Meeting::Apart | Meeting::Ends => {}
                Meeting::Cross => {
                    let at = crossing::meeting_place(s, t);
                    cuts.push((i as u32, at));
                    cuts.push((j as u32, at));
                }
                Meeting::Touch => {
                    cuts.extend(t.iter().map(|&p| (i as u32, p)));
                    cuts.extend(s.iter().map(|&p| (j as u32, p)));
                }
            }
        });
        cuts.retain(|&(i, p)| cuts_piece(segments[i as usize], p));
        if cuts.is_empty() {
            return pieces;
        }
        pieces = cut_all(&pieces, cuts);
    }
    pieces
}

/// Whether a place divides a piece: not an end, and within a step of its line.
fn cuts_piece([a, b]: [LatticePoint; 2], p: LatticePoint) -> bool {
    if p == a || p == b {
        return false;
    }
    let (dx, dy) = (f64::from(b.x) - f64::from(a.x), f64::from(b.y) - f64::from(a.y));
    let length = libm::hypot(dx, dy);
    let along = (f64::from(p.x) - f64::from(a.x)) * dx + (f64::from(p.y) - f64::from(a.y)) * dy;
    (orient(a, b, p) as f64).abs() <= length && along > 0.0 && along < length * length
}

fn cut_all(pieces: &[Piece], mut cuts: Vec<(u32, LatticePoint)>) -> Vec<Piece> {
    let place = |piece: &Piece, p: LatticePoint| {
        let [a, b] = piece.ends;
        let d = [f64::from(b.x) - f64::from(a.x), f64::from(b.y) - f64::from(a.y)];
        let e = [f64::from(p.x) - f64::from(a.x), f64::from(p.y) - f64::from(a.y)];
        super::dot(d, e) / super::dot(d, d)
    };
    cuts.sort_unstable();
    cuts.dedup();
    let mut out = Vec::with_capacity(pieces.len() + cuts.len());
    let mut next = 0;
    for (i, piece) in pieces.iter().enumerate() {
        let mut here: Vec<(f64, LatticePoint)> = Vec::new();
        while next < cuts.len() && cuts[next].0 as usize == i {
            here.push((place(piece, cuts[next].1), cuts[next].1));
            next += 1;
        }
        here.sort_by(|a, b| a.0.total_cmp(&b.0));
        let [from, to] = piece.parameters;
        let (mut start, mut start_parameter) = (piece.ends[0], from);
        for (fraction, p) in here {
            let parameter = from + (to - from) * fraction;
            out.push(Piece { ends: [start, p], parameters: [start_parameter, parameter] });
            (start, start_parameter) = (p, parameter);
        }
        out.push(Piece { ends: [start, piece.ends[1]], parameters: [start_parameter, to] });
    }
    out
}

/// The pieces between inside and outside, directed with the inside on their left.
fn boundary(pieces: &[Piece]) -> Vec<Piece> {
    // Coincident pieces are counted as one, with the net number of times it is run forward.
    let mut net: BTreeMap<[LatticePoint; 2], (i64, Piece)> = BTreeMap::new();
    for piece in pieces.iter().filter(|p| p.ends[0] != p.ends[1]) {
        let (forward, ordered) =
            if piece.ends[0] < piece.ends[1] { (1, *piece) } else { (-1, reversed(piece)) };
        net.entry(ordered.ends).or_insert((0, ordered)).0 += forward;
    }
    let edges: Vec<(i64, Piece)> = net.into_values().filter(|(n, _)| *n != 0).collect();
    if edges.is_empty() {
        // Every piece runs as often back as forth: nothing is inside.
        return Vec::new();
    }
    let bands = Bands::new(&edges);
    let mut kept = Vec::new();
    for (i, (count, piece)) in edges.iter().enumerate() {
        let (left, right) = windings(&edges, &bands, i, *count);
        match (left >= 1, right >= 1) {
            (true, false) => kept.push(*piece),
            (false, true) => kept.push(reversed(piece)),
            _ => {}
        }
    }
    kept
}

/// Edges sorted into level bands, so that a ray meets only those at its height.
struct Bands {
    lowest: i64,
    height: i64,
    members: Vec<Vec<u32>>,
}

impl Bands {
    fn new(edges: &[(i64, Piece)]) -> Self {
        let span = |piece: &Piece| {
            let [a, b] = piece.ends.map(|p| i64::from(p.y));
            (a.min(b), a.max(b))
        };
        let (lowest, highest) = edges.iter().fold((i64::MAX, i64::MIN), |(low, high), (_, e)| {
            (low.min(span(e).0), high.max(span(e).1))
        });
        let n_bands = (edges.len() as i64 / 4).clamp(1, 4096);
        let height = ((highest - lowest) / n_bands + 1).max(1);
        let mut members = vec![Vec::new(); n_bands as usize + 1];
        for (i, (_, edge)) in edges.iter().enumerate() {
            let (low, high) = span(edge);
            for band in (low - lowest) / height..=(high - lowest) / height {
                members[band as usize].push(i as u32);
            }
        }
        Self { lowest, height, members }
    }

    /// Edges that may reach the height `twice_y / 2`.
    fn at(&self, twice_y: i64) -> &[u32] {
        let band = (twice_y.div_euclid(2) - self.lowest).div_euclid(self.height);
        &self.members[band as usize]
    }
}

/// Winding numbers to the left and right of an edge, seen from its middle.
fn windings(edges: &[(i64, Piece)], bands: &Bands, i: usize, count: i64) -> (i64, i64) {
    let [a, b] = edges[i].1.ends;
    // Doubled coordinates keep the middle on whole numbers.
    let (mx, my) = (i64::from(a.x) + i64::from(b.x), i64::from(a.y) + i64::from(b.y));
    let mut east = 0;
    for &j in bands.at(my) {
        let (n, other) = &edges[j as usize];
        let [c, d] = other.ends;
        let (cy, dy) = (2 * i64::from(c.y), 2 * i64::from(d.y));
        if j as usize == i || (cy <= my) == (dy <= my) {
            continue;
        }
        let (cx, dx) = (2 * i64::from(c.x), 2 * i64::from(d.x));
        if cx.max(dx) <= mx {
            continue;
        }
        let side =
            i128::from(dx - cx) * i128::from(my - cy) - i128::from(dy - cy) * i128::from(mx - cx);
        if dy > cy && side > 0 {
            east += n;
        } else if dy < cy && side < 0 {
            east -= n;
        }
    }
    // Ends are in ascending order: an edge runs north, south-east or due east. The ray starts east
    // of one that rises or falls, and just above one that lies level.
    if b.y > a.y { (east + count, east) } else { (east, east - count) }
}

fn reversed(piece: &Piece) -> Piece {
    let ([a, b], [from, to]) = (piece.ends, piece.parameters);
    Piece { ends: [b, a], parameters: [to, from] }
}

/// Joins boundary pieces into rings, taking the sharpest turn that keeps to the same inside.
fn trace(pieces: &[Piece]) -> Vec<Vec<Corner>> {
    let mut leaving: BTreeMap<LatticePoint, Vec<usize>> = BTreeMap::new();
    for (i, piece) in pieces.iter().enumerate() {
        leaving.entry(piece.ends[0]).or_default().push(i);
    }
    let mut used = vec![false; pieces.len()];
    let mut rings = Vec::new();
    for first in 0..pieces.len() {
        if used[first] {
            continue;
        }
        let mut ring = Vec::new();
        let mut at = first;
        loop {
            used[at] = true;
            let [from, corner] = pieces[at].ends;
            let choices = leaving.get(&corner).map_or(&[][..], Vec::as_slice);
            let next =
                choices.iter().copied().filter(|&k| !used[k] || k == first).reduce(|best, k| {
                    let (b, c) = (pieces[best].ends[1], pieces[k].ends[1]);
                    if clockwise_before(corner, from, c, b) { k } else { best }
                });
            let Some(next) = next else { break };
            ring.push(Corner {
                at: corner,
                origins: [pieces[at].parameters[1], pieces[next].parameters[0]],
            });
            if next == first {
                break;
            }
            at = next;
        }
        if is_wider_than_rounding(&ring) {
            rings.push(ring);
        }
    }
    rings
}

/// Whether, turning clockwise about `centre` from the direction of `back`, `a` comes before `b`.
fn clockwise_before(
    centre: LatticePoint,
    back: LatticePoint,
    a: LatticePoint,
    b: LatticePoint,
) -> bool {
    // Half-plane first: directions to the right of `back` come before those on its line and left.
    let half = |p: LatticePoint| match orient(centre, back, p) {
        o if o < 0 => 0,
        0 => {
            let d = |q: LatticePoint| {
                [f64::from(q.x) - f64::from(centre.x), f64::from(q.y) - f64::from(centre.y)]
            };
            if super::dot(d(back), d(p)) < 0.0 { 1 } else { 3 }
        }
        _ => 2,
    };
    let (ha, hb) = (half(a), half(b));
    ha < hb || (ha == hb && orient(centre, a, b) < 0)
}

/// A ring no wider than a few lattice steps along its whole length is a product of rounding.
fn is_wider_than_rounding(ring: &[Corner]) -> bool {
    const STEPS: f64 = 4.0;
    let Some(origin) = ring.first().map(|c| c.at) else { return false };
    let (mut twice_area, mut length) = (0.0, 0.0);
    for (i, corner) in ring.iter().enumerate() {
        let (a, b) = (corner.at, ring[(i + 1) % ring.len()].at);
        twice_area += orient(origin, a, b) as f64;
        length += libm::hypot(f64::from(b.x) - f64::from(a.x), f64::from(b.y) - f64::from(a.y));
    }
    twice_area.abs() > STEPS * length
}
