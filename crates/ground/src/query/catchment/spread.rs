//! Where the water of every place ends, face by face from what lies below.
//!
//! A face's water leaves it over its lower edges, so the ends of its strips are those of the places
//! that it comes to. What isn't known yet is asked for first, on a stack. Faces that lean round a
//! vertex, each onto the next, ask in a circle: there the part that is known grows with every round,
//! and what winds on after [`MOST_ROUNDS`] keeps to vertices, of which each is lower than the one
//! before.

use super::facet::Facet;
use super::fans::{Fans, Levels, Way};
use super::receiver::Received;
use crate::query::side::{edge_towards, next};
use crate::{NONE, Surface};

/// Rounds about a vertex before what is left of its water, next to nothing, is led down the edges.
const MOST_ROUNDS: usize = 64;

/// What winds on in less than this share of a face's width is left to what lies beside it.
const NEXT_TO_NOTHING: f64 = 1e-9;

/// The end of water that is not known yet.
const UNKNOWN: u32 = NONE;
/// The number of the border among the ends.
pub(super) const OFF: u32 = 0;

/// Where the water of every face and vertex ends.
pub(super) struct Spread<'a> {
    pub(super) surface: &'a Surface,
    pub(super) facets: Vec<Facet>,
    pub(super) fans: Fans,
    /// The ways from fans, where they were asked for.
    ways: Vec<Option<Way>>,
    levels: Levels,
    received: Received,
    /// Of each face its pieces: where each ends, as t, and the end of its water. Of a face without a
    /// way down the three corners' in their order.
    pieces: Vec<(f64, u32)>,
    of_face: Vec<(u32, u32)>,
    of_fan: Vec<u32>,
    /// Faces first, then fans.
    state: Vec<State>,
    /// Of each fan its number among the ends, where it is one.
    end_of_fan: Vec<u32>,
    /// The pits and pieces of level ground in which water ends: their fans.
    pub(super) ends: Vec<u32>,
}

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum State {
    New,
    Asked,
    Known,
}

/// A face or, past the last of them, a fan that must be known first.
type Missing = u32;

/// The ends of a stretch, in the order of t.
#[derive(Default)]
struct Stretch(Vec<(f64, u32)>);

impl Stretch {
    fn push(&mut self, to: f64, end: u32) {
        let from = self.0.last().map_or(0.0, |last| last.0);
        if end == UNKNOWN && to - from < NEXT_TO_NOTHING {
            return;
        }
        match self.0.last_mut() {
            Some(last) if last.1 == end => last.0 = last.0.max(to),
            _ if to > from => self.0.push((to, end)),
            _ => {}
        }
    }
}

/// An edge of a face with the face across and the heights on both sides.
#[derive(Clone, Copy)]
struct Rim {
    face: u32,
    edge: usize,
    /// Heights at the edge's start and end on the face's own way.
    z: [f64; 2],
    /// The face across and its edge, and its heights at the same two places.
    across: Option<(u32, usize, [f64; 2])>,
}

impl<'a> Spread<'a> {
    pub(super) fn of(surface: &'a Surface, received: Received) -> Self {
        let n_faces = surface.faces().len();
        let facets: Vec<Facet> = (0..n_faces as u32).map(|f| Facet::of(surface, f)).collect();
        let fans = Fans::of(surface);
        let mut ways = vec![None; fans.len()];
        let levels = Levels::of(surface, &facets, &fans, &mut ways);
        let n_fans = fans.len();
        let mut spread = Self {
            surface,
            facets,
            fans,
            ways,
            levels,
            received,
            pieces: Vec::with_capacity(2 * n_faces),
            of_face: vec![(0, 0); n_faces],
            of_fan: vec![UNKNOWN; n_fans],
            state: vec![State::New; n_faces + n_fans],
            end_of_fan: vec![NONE; n_fans],
            ends: Vec::new(),
        };
        let winding = spread.ask_all();
        spread.unwind(winding);
        spread
    }

    /// The ends of a face's water: up to which t, and which.
    pub(super) fn pieces(&self, face_idx: u32) -> &[(f64, u32)] {
        let (start, n) = self.of_face[face_idx as usize];
        &self.pieces[start as usize..(start + n) as usize]
    }

    /// Whether a fan in which water ends lies on level ground.
    pub(super) fn is_flat(&self, fan: u32) -> bool {
        self.levels.flat[fan as usize] != NONE
    }

    /// Finds what can be found; what asks in a circle is left over, lower ones first.
    fn ask_all(&mut self) -> Vec<u32> {
        let (mut winding, mut stack, mut scratch) = (Vec::new(), Vec::new(), Stretch::default());
        for face_idx in 0..self.facets.len() as u32 {
            stack.push(face_idx);
            while let Some(&item) = stack.last() {
                if self.state[item as usize] == State::Known {
                    stack.pop();
                    continue;
                }
                self.state[item as usize] = State::Asked;
                match self.find(item, &mut scratch) {
                    Ok(is_whole) => {
                        self.state[item as usize] = State::Known;
                        stack.pop();
                        if !is_whole {
                            winding.push(item);
                        }
                    }
                    Err(missing) => stack.push(missing),
                }
            }
        }
        winding
    }

    /// Goes round until all is known, then leads what winds on down the edges.
    fn unwind(&mut self, mut winding: Vec<u32>) {
        let mut scratch = Stretch::default();
        for _ in 0..MOST_ROUNDS {
            let before = self.unknown(&winding);
            let mut left = Vec::new();
            for item in winding {
                // All are asked by now, so nothing is missing.
                if self.find(item, &mut scratch) != Ok(true) {
                    left.push(item);
                }
            }
            winding = left;
            if winding.is_empty() || self.unknown(&winding) == before {
                break;
            }
        }
        for item in winding {
            self.lead_down(item);
        }
    }

    /// How much is not known.
    fn unknown(&self, of: &[u32]) -> f64 {
        let share = |&item: &u32| {
            if item as usize >= self.facets.len() {
                return 1.0;
            }
            let mut from = 0.0;
            let mut sum = 0.0;
            for &(to, end) in self.pieces(item) {
                if end == UNKNOWN {
                    sum += to - from;
                }
                from = to;
            }
            sum
        };
        of.iter().map(share).sum()
    }

    /// Gives what winds for ever the end of the vertices below.
    fn lead_down(&mut self, item: u32) {
        let n_faces = self.facets.len() as u32;
        if item >= n_faces {
            let fan = item - n_faces;
            if self.of_fan[fan as usize] == UNKNOWN {
                self.of_fan[fan as usize] = self.end_along_edges(fan);
            }
            return;
        }
        let z = self.surface.corner_heights(item);
        let lowest = (1..3).fold(0, |low, k| if z[k] < z[low] { k } else { low });
        let end = self.end_along_edges(self.fans.at[item as usize][lowest]);
        let (start, n) = self.of_face[item as usize];
        for piece in &mut self.pieces[start as usize..(start + n) as usize] {
            if piece.1 == UNKNOWN {
                piece.1 = end;
            }
        }
    }

    fn end_along_edges(&mut self, fan: u32) -> u32 {
        let mut fan = fan;
        // Each is lower than the one before, so that this ends.
        while self.of_fan[fan as usize] == UNKNOWN {
            match self.fans.along_edges(self.surface, fan) {
                Some(below) => fan = below,
                None => return self.number(fan),
            }
        }
        self.of_fan[fan as usize]
    }

    /// Finds the ends of a face or a fan; whether all of it is known.
    fn find(&mut self, item: u32, scratch: &mut Stretch) -> Result<bool, Missing> {
        let n_faces = self.facets.len() as u32;
        if item >= n_faces {
            let end = self.end_of(item - n_faces)?;
            self.of_fan[(item - n_faces) as usize] = end;
            return Ok(end != UNKNOWN);
        }
        scratch.0.clear();
        if self.facets[item as usize].is_still() {
            self.still_face(item, scratch)?;
        } else if let Some(end) = self.arrived(item) {
            scratch.0.push((1.0, end));
        } else {
            for k in self.facets[item as usize].outs() {
                self.over(item, k, scratch)?;
            }
        }
        // In place where it has room there, so that rounds take none.
        let (start, n) = self.of_face[item as usize];
        if scratch.0.len() <= n as usize {
            let place = start as usize..start as usize + scratch.0.len();
            self.pieces[place].copy_from_slice(&scratch.0);
            self.of_face[item as usize].1 = scratch.0.len() as u32;
        } else {
            self.of_face[item as usize] = (self.pieces.len() as u32, scratch.0.len() as u32);
            self.pieces.extend_from_slice(&scratch.0);
        }
        Ok(scratch.0.iter().all(|piece| piece.1 != UNKNOWN))
    }

    /// The receiver in which all of a face's water has arrived: all of the face lies below its level.
    fn arrived(&self, f: u32) -> Option<u32> {
        let z = self.surface.corner_heights(f);
        let ends = z.map(|z| self.received.at(f, z));
        ends[0].filter(|_| ends[0] == ends[1] && ends[0] == ends[2])
    }

    /// The ends of a face without a way down: those of its corners.
    fn still_face(&mut self, f: u32, out: &mut Stretch) -> Result<(), Missing> {
        let z = self.surface.corner_heights(f);
        for (k, &z) in z.iter().enumerate() {
            let end = match self.received.at(f, z) {
                Some(end) => end,
                None => self.on_level(self.fans.at[f as usize][k], z)?,
            };
            out.0.push((1.0, end));
        }
        Ok(())
    }

    /// The ends of the water that leaves a face over one of its edges.
    fn over(&mut self, f: u32, k: usize, out: &mut Stretch) -> Result<(), Missing> {
        let rim = self.rim(f, k);
        let facet = &self.facets[f as usize];
        let (t0, t1) = (facet.t[k], facet.t[next(k)]);
        let t = |s: f64| if s == 1.0 { t1 } else { t0 + s * (t1 - t0) };
        let (breaks, n) = self.breaks(&rim);
        let mut from = 0.0;
        for &to in breaks[..n].iter().chain(&[1.0]) {
            if to > from {
                let middle = 0.5 * (from + to);
                match self.arrive(&rim, middle)? {
                    Arrival::End(end) => out.push(t(to), end),
                    Arrival::Enters(other, edge) => self.copy(other, edge, [from, to], t, out),
                }
                from = to;
            }
        }
        Ok(())
    }

    fn rim(&self, f: u32, k: usize) -> Rim {
        let face = &self.surface.faces()[f as usize];
        let z = self.surface.corner_heights(f);
        let other = face.neighbours[k];
        let across = (other != NONE).then(|| {
            let j = edge_towards(self.surface, other, f, face.vertices[k]);
            let there = self.surface.corner_heights(other);
            (other, j, [there[next(j)], there[j]])
        });
        Rim { face: f, edge: k, z: [z[k], z[next(k)]], across }
    }

    /// Where on an edge something changes, as shares of its length, rising: where the ground sinks
    /// below the receiving water, where a step turns, and in the middle of level edges.
    fn breaks(&self, rim: &Rim) -> ([f64; 4], usize) {
        let (mut found, mut n) = ([0.0; 4], 0);
        let mut add = |share: f64| {
            if share > 0.0 && share < 1.0 {
                found[n] = share;
                n += 1;
            }
        };
        let passes = |z: [f64; 2], level: f64| (z[0] - level) / (z[0] - z[1]);
        if let Some(level) = self.received.level(rim.face) {
            add(passes(rim.z, level));
        }
        if rim.z[0] == rim.z[1] {
            add(0.5);
        }
        if let Some((other, _, there)) = rim.across {
            let over = [rim.z[0] - there[0], rim.z[1] - there[1]];
            if over[0] * over[1] < 0.0 || (over[0] != 0.0 && over[1] != 0.0) {
                add(over[0] / (over[0] - over[1]));
            }
            if let Some(level) = self.received.level(other) {
                add(passes(there, level));
            }
        }
        found[..n].sort_by(f64::total_cmp);
        (found, n)
    }

    /// Where water goes that comes over an edge from its face at a share of its length.
    fn arrive(&mut self, rim: &Rim, s: f64) -> Result<Arrival, Missing> {
        let z = at(rim.z, s);
        if let Some(end) = self.received.at(rim.face, z) {
            return Ok(Arrival::End(end));
        }
        let Some((other, j, there)) = rim.across else { return Ok(Arrival::End(OFF)) };
        let is_level = rim.z[0] == rim.z[1];
        let over = at([rim.z[0] - there[0], rim.z[1] - there[1]], s);
        let enters = self.facets[other as usize].leans[j] > 0;
        if over > 0.0
            && let Some(end) = self.received.at(other, at(there, s))
        {
            return Ok(Arrival::End(end));
        }
        if over >= 0.0 && enters {
            let is_new = self.state[other as usize] == State::New;
            return if is_new { Err(other) } else { Ok(Arrival::Enters(other, j)) };
        }
        let end = if over > 0.0 {
            self.run(other, j, 1.0 - s)?
        } else if is_level {
            let nearer = if s < 0.5 { rim.edge } else { next(rim.edge) };
            self.on_level(self.fans.at[rim.face as usize][nearer], rim.z[0])?
        } else if over == 0.0 && other < rim.face {
            self.run(other, j, 1.0 - s)?
        } else {
            self.run(rim.face, rim.edge, s)?
        };
        Ok(Arrival::End(end))
    }

    /// Takes over the ends of what lies beyond an edge, between two shares of its length.
    fn copy(
        &self,
        other: u32,
        edge: usize,
        [from, to]: [f64; 2],
        t: impl Fn(f64) -> f64,
        out: &mut Stretch,
    ) {
        if self.state[other as usize] != State::Known {
            return out.push(t(to), UNKNOWN);
        }
        // The other face runs the edge the other way, and its t falls on that way.
        let facet = &self.facets[other as usize];
        let (start, end) = (facet.t[next(edge)], facet.t[edge]);
        let there = |s: f64| if s == 1.0 { end } else { start + s * (end - start) };
        let pieces = self.pieces(other);
        let first = pieces.partition_point(|piece| piece.0 <= there(from));
        for &(until, end_of) in &pieces[first.min(pieces.len().saturating_sub(1))..] {
            let s = ((until - start) / (end - start)).min(to);
            if s >= to || until >= there(to) {
                return out.push(t(to), end_of);
            }
            out.push(t(s), end_of);
        }
        // Rounding left a gap at the far end.
        let last = pieces.last().map_or(UNKNOWN, |piece| piece.1);
        out.push(t(to), last);
    }

    /// The end of water that runs down along an edge of a face from a share of its length, unless the
    /// ground beside it drops below the edge on the way.
    fn run(&mut self, f: u32, k: usize, s: f64) -> Result<u32, Missing> {
        let rim = self.rim(f, k);
        let end = if rim.z[1] < rim.z[0] { 1.0 } else { 0.0 };
        if let Some((other, j, there)) = rim.across {
            let over = [rim.z[0] - there[0], rim.z[1] - there[1]];
            let (start, last) = if end == 1.0 { (over[0], over[1]) } else { (over[1], over[0]) };
            let turn = over[0] / (over[0] - over[1]);
            let is_ahead = if end == 1.0 { turn > s } else { turn < s };
            if start < 0.0 && last > 0.0 && is_ahead {
                return self.fall(other, j, 1.0 - turn);
            }
        }
        // A shore on the way ends it there, in the face beside it.
        let here = self.received.at(f, if end == 1.0 { rim.z[1] } else { rim.z[0] });
        let across = rim.across.and_then(|(other, _, there)| {
            self.received.at(other, if end == 1.0 { there[1] } else { there[0] })
        });
        match here.or(across) {
            Some(end) => Ok(end),
            None => self.at_fan(self.fans.at[f as usize][if end == 1.0 { next(k) } else { k }]),
        }
    }

    /// The end of water that comes to a face over its edge at a share of its length.
    fn fall(&mut self, f: u32, k: usize, s: f64) -> Result<u32, Missing> {
        let z = self.surface.corner_heights(f);
        if let Some(end) = self.received.at(f, at([z[k], z[next(k)]], s)) {
            return Ok(end);
        }
        let facet = &self.facets[f as usize];
        if facet.leans[k] > 0 {
            return self.at_place(f, facet.t[k] + s * (facet.t[next(k)] - facet.t[k]));
        }
        self.at_fan(self.fans.at[f as usize][if z[next(k)] < z[k] { next(k) } else { k }])
    }

    /// The end of water on a face at t.
    fn at_place(&self, f: u32, t: f64) -> Result<u32, Missing> {
        match self.state[f as usize] {
            State::New => Err(f),
            State::Asked => Ok(UNKNOWN),
            State::Known => Ok(self.end_at(f, t)),
        }
    }

    /// The end of water on a known face at t.
    pub(super) fn end_at(&self, f: u32, t: f64) -> u32 {
        let pieces = self.pieces(f);
        let first = pieces.partition_point(|piece| piece.0 < t);
        pieces.get(first).or(pieces.last()).map_or(UNKNOWN, |piece| piece.1)
    }

    /// The end of water in a vertex.
    fn at_fan(&self, fan: u32) -> Result<u32, Missing> {
        let item = self.facets.len() as u32 + fan;
        match self.state[item as usize] {
            State::New => Err(item),
            State::Asked => Ok(UNKNOWN),
            State::Known => Ok(self.of_fan[fan as usize]),
        }
    }

    /// The end of water in a vertex, found from the way that it takes.
    fn end_of(&mut self, fan: u32) -> Result<u32, Missing> {
        let z = self.fans.low_m(fan);
        let lowest = |&(f, k): &(u32, usize)| self.surface.corner_heights(f)[k] == z;
        let lowest = self.fans.corners(fan).filter(lowest);
        if let Some(end) = lowest.filter_map(|(f, _)| self.received.at(f, z)).next() {
            return Ok(end);
        }
        let (fans, facets) = (&self.fans, &self.facets);
        let way =
            self.ways[fan as usize].get_or_insert_with(|| fans.way(self.surface, facets, fan));
        match *way {
            Way::Down(f, k) => self.at_place(f, self.facets[f as usize].t[k]),
            Way::Along(f, k, end) => self.run(f, k, if end == k { 1.0 } else { 0.0 }),
            Way::Off => Ok(OFF),
            Way::Level => self.on_level(fan, z),
            Way::Pit => Ok(self.number(fan)),
        }
    }

    /// The end of water on level ground at `z` that has come to a vertex of it.
    fn on_level(&mut self, fan: u32, z: f64) -> Result<u32, Missing> {
        let (outlet, flat) = (self.levels.outlet[fan as usize], self.levels.flat[fan as usize]);
        let is_low = self.fans.low_m(fan) >= z;
        match (outlet, flat) {
            (NONE, flat) if flat != NONE && is_low => Ok(self.number(flat)),
            (outlet, _) if outlet != NONE && is_low => self.at_fan(outlet),
            _ => self.at_fan(fan),
        }
    }

    /// The number of a pit or of level ground among the ends.
    fn number(&mut self, fan: u32) -> u32 {
        let number = &mut self.end_of_fan[fan as usize];
        if *number == NONE {
            *number = self.received.first_free() + self.ends.len() as u32;
            self.ends.push(fan);
        }
        *number
    }
}

/// Where water goes that comes over an edge.
enum Arrival {
    End(u32),
    /// Into the face across, over its edge.
    Enters(u32, usize),
}

fn at(ends: [f64; 2], s: f64) -> f64 {
    ends[0] + s * (ends[1] - ends[0])
}
