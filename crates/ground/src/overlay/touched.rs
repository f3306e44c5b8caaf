//! Which faces a composition touches, and their outlines drawn on the lattice.

use super::buckets::Hooks;
use super::chains::{Link, Pair};
use super::compose::Domain;
use super::snap::{Segment, Snapped, snap};
use super::winners::Parts;
use crate::surface::{NONE, Surface};

/// The faces that take part in a composition: those that lose or win something, and a ring around
/// them, since a rounded vertex may come to lie on an edge next to it.
#[derive(Debug)]
pub(crate) struct Touched {
    /// What each owner is to the composition.
    states: Vec<State>,
    whole: Vec<u32>,
    /// About which vertices of the ground all faces are drawn.
    circled: Vec<bool>,
}

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum State {
    /// Far away.
    Apart,
    /// Its outline is drawn, but unless that bends it stays as it is.
    Near,
    /// It is made anew.
    Anew,
}

/// The outlines of owners on the lattice.
#[derive(Debug)]
pub(crate) struct Drawn {
    pub(crate) links: Vec<Link>,
    pub(crate) snapped: Snapped,
    /// For each link the path that it takes.
    pub(crate) path_of: Vec<u32>,
}

impl Drawn {
    /// The nodes along a link, from its start.
    pub(crate) fn nodes(&self, link: usize) -> impl DoubleEndedIterator<Item = u32> + '_ {
        let path = self.snapped.paths.at(self.path_of[link]);
        let forward = self.links[link].from < self.links[link].to;
        let n = path.len();
        (0..n).map(move |i| path[if forward { i } else { n - 1 - i }])
    }

    /// The links of each owner, as ranges.
    pub(crate) fn owners(&self) -> impl Iterator<Item = (u32, std::ops::Range<usize>)> + '_ {
        let mut start = 0;
        self.links.chunk_by(|a, b| a.owner == b.owner).map(move |group| {
            let range = start..start + group.len();
            start = range.end;
            (group[0].owner, range)
        })
    }
}

impl Touched {
    /// The faces that lose or win something, and the ring around them.
    pub(crate) fn new(pair: &Pair<'_>, parts: &Parts) -> Self {
        let n_owners = pair.ground.faces().len() + pair.patch.faces().len();
        let mut touched = Self {
            states: vec![State::Apart; n_owners],
            whole: Vec::new(),
            circled: vec![false; pair.ground.vertices().len()],
        };
        let mut anew = Vec::new();
        for part in &parts.parts {
            let owners = match (part.won, pair.domain) {
                (true, _) => [part.ground, pair.patch_owner(part.patch)],
                (false, Domain::Union) => [pair.patch_owner(part.patch); 2],
                (false, Domain::Ground) => continue,
            };
            for owner in owners {
                if touched.states[owner as usize] != State::Anew {
                    touched.states[owner as usize] = State::Anew;
                    anew.push(owner);
                }
            }
        }
        if pair.domain == Domain::Union {
            touched.whole = (0..n_owners as u32).collect();
            for state in touched.states.iter_mut().filter(|s| **s == State::Apart) {
                *state = State::Near;
            }
        } else {
            let n_ground = pair.ground.faces().len() as u32;
            anew.retain(|&owner| owner < n_ground);
            let mut wide = anew.clone();
            for &face in &anew {
                let around = pair.ground.faces()[face as usize].neighbours;
                wide.extend(around.iter().filter(|&&n| n != NONE));
            }
            touched.surround(pair.ground, &wide);
        }
        touched
    }

    /// The faces whose own edges are drawn whole where nothing cuts them.
    pub(crate) fn whole(&self) -> &[u32] {
        &self.whole
    }

    /// Whether a face is made anew.
    pub(crate) fn is_anew(&self, owner: u32) -> bool {
        self.states[owner as usize] == State::Anew
    }

    /// The faces that are made anew and of which nothing is left.
    pub(crate) fn emptied(&self, drawn: &Drawn) -> Vec<u32> {
        let mut drawn = drawn.owners().map(|(owner, _)| owner).peekable();
        let anew = (0..self.states.len() as u32).filter(|&owner| self.is_anew(owner));
        anew.filter(|&owner| {
            while drawn.next_if(|&known| known < owner).is_some() {}
            drawn.next_if_eq(&owner).is_none()
        })
        .collect()
    }

    /// Rounds the links to the lattice.
    pub(crate) fn draw(&self, pair: &Pair<'_>, parts: &Parts, links: Vec<Link>) -> Drawn {
        let mut path_of = Vec::with_capacity(links.len());
        let mut segments: Vec<Segment> = Vec::with_capacity(links.len() / 2 + 3);
        let mut known: Hooks<[u32; 2]> = Hooks::below(parts.places.len());
        for link in &links {
            let [low, high] = [link.from.min(link.to), link.from.max(link.to)];
            let known_path = known.on(low).find(|known| known[0] == high).map(|known| known[1]);
            let path = known_path.unwrap_or(segments.len() as u32);
            if known_path.is_none() {
                known.hang(low, [high, path]);
                segments.push(Segment { vertices: [low, high], carrier: link.carrier });
            }
            // Links of one stretch may name edges of both surfaces: all draws take the same.
            let carrier = &mut segments[path as usize].carrier;
            *carrier = link.carrier.min(*carrier);
            path_of.push(path);
        }
        drop(known);
        Drawn { snapped: snap(&parts.places, &segments, pair), links, path_of }
    }

    /// Makes faces anew whose outlines bent; returns those around them that have to be drawn too.
    pub(crate) fn grow(&mut self, pair: &Pair<'_>, drawn: &Drawn) -> &[u32] {
        let mut bent = Vec::new();
        for (owner, range) in drawn.owners() {
            if self.states[owner as usize] == State::Near
                && range.clone().any(|link| drawn.nodes(link).count() > 2)
            {
                self.states[owner as usize] = State::Anew;
                bent.push(owner);
            }
        }
        if pair.domain == Domain::Union {
            return &[];
        }
        let n_before = self.whole.len();
        self.surround(pair.ground, &bent);
        &self.whole[n_before..]
    }

    /// Adds every face that shares a vertex with some faces of the ground.
    fn surround(&mut self, ground: &Surface, faces: &[u32]) {
        for &face in faces {
            self.put_near(face);
            for corner in ground.faces()[face as usize].vertices {
                if std::mem::replace(&mut self.circled[corner as usize], true) {
                    continue;
                }
                for turn in [Turn::Left, Turn::Right] {
                    let mut at = face;
                    while let Some(beyond) = beyond(ground, at, corner, turn) {
                        if beyond == face {
                            break;
                        }
                        self.put_near(beyond);
                        at = beyond;
                    }
                }
            }
        }
    }

    fn put_near(&mut self, face: u32) {
        if self.states[face as usize] == State::Apart {
            self.states[face as usize] = State::Near;
            self.whole.push(face);
        }
    }
}

#[derive(Clone, Copy, PartialEq, Eq)]
enum Turn {
    Left,
    Right,
}

/// The next face about a corner.
fn beyond(ground: &Surface, face: u32, corner: u32, turn: Turn) -> Option<u32> {
    let here = &ground.faces()[face as usize];
    let i = here.vertices.iter().position(|&v| v == corner)?;
    let edge = if turn == Turn::Left { (i + 2) % 3 } else { i };
    let next = here.neighbours[edge];
    (next != NONE).then_some(next)
}
