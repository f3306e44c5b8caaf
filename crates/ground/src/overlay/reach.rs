//! Finding the pairs of faces that a rooted patch can win, without walking over all that it covers.
//!
//! A bank runs as far as any ground could meet it, yet wins only what its work's core is joined to.
//! The flood starts from the patch's roots and goes on from a pair only where the patch may win: a
//! ring of lost pairs ends it.

use std::collections::HashSet;
use std::hash::BuildHasherDefault;

use super::overlap::{NO_EDGE, Overlap, overlap};
use super::places::Mix;
use super::walk::Finder;
use crate::surface::{NONE, Surface};

/// A face of the patch and a face of the ground that share an area.
pub(crate) type FacePair = [u32; 2];

/// Which pairs a flood goes on from.
pub(crate) trait Spread {
    /// Whether everything under a face of the patch counts, won or not.
    fn is_root(&self, patch_face: u32) -> bool;
    /// Whether the patch may win somewhere in a pair's cell.
    fn may_win(&self, pair: FacePair, shared: &Overlap) -> bool;
}

/// Pairs of faces with what they share, ascending.
pub(crate) struct Reached {
    /// The pairs with where to find what they share.
    pairs: Vec<(FacePair, u32)>,
    shared: Vec<Overlap>,
    /// Beside what is shared, whether the patch may win there.
    may_win: Vec<bool>,
}

impl Reached {
    /// How many pairs there are.
    pub(crate) fn len(&self) -> usize {
        self.pairs.len()
    }

    /// Every pair with what it shares.
    pub(crate) fn iter(&self) -> impl Iterator<Item = (FacePair, &Overlap)> {
        self.pairs.iter().map(|&(pair, at)| (pair, &self.shared[at as usize]))
    }

    /// The faces of the ground from which the patch may win, and those where it is sure to lose.
    pub(crate) fn grounds(&self) -> [Vec<u32>; 2] {
        [true, false].map(|wanted| {
            let of = self.pairs.iter().filter(|&&(_, at)| self.may_win[at as usize] == wanted);
            of.map(|(pair, _)| pair[1]).collect()
        })
    }
}

/// Every pair in which a root lies, or that is joined to a root through pairs that the patch may
/// win, and the pairs around those.
pub(crate) fn reached(patch: &Surface, ground: &Surface, spread: &impl Spread) -> Reached {
    assert_eq!(patch.lattice(), ground.lattice(), "surfaces of one site share its lattice");
    let mut flood = Flood {
        patch,
        ground,
        finder: Finder::new(ground),
        seen: HashSet::with_capacity_and_hasher(FEW_PAIRS, BuildHasherDefault::default()),
        waiting: Vec::new(),
        reached: Reached {
            pairs: Vec::new(),
            shared: Vec::with_capacity(FEW_PAIRS),
            may_win: Vec::with_capacity(FEW_PAIRS),
        },
        begun: vec![false; patch.faces().len()],
        cut: Vec::new(),
    };
    for root in (0..patch.faces().len() as u32).filter(|&face| spread.is_root(face)) {
        if !flood.begun[root as usize] {
            let start = flood.finder.face_under(patch.corners(root));
            flood.put(start.map(|under| [root, under]));
            flood.run(spread);
        }
    }
    while let Some(root) = flood.cut.pop() {
        let near = flood.finder.near(patch.corners(root));
        flood.put(near.into_iter().map(|under| [root, under]));
        flood.run(spread);
    }
    flood.reached.pairs.sort_unstable();
    flood.reached
}

/// Room for the pairs of a small work from the start: what they share is large to move.
const FEW_PAIRS: usize = 8192;

struct Flood<'s> {
    patch: &'s Surface,
    ground: &'s Surface,
    finder: Finder<'s>,
    /// Pairs as one number each.
    seen: HashSet<u64, BuildHasherDefault<Mix>>,
    waiting: Vec<FacePair>,
    reached: Reached,
    /// Whether a face of the patch has met any face of the ground.
    begun: Vec<bool>,
    /// Roots through which a border of the ground runs: the ground may come back elsewhere in them.
    cut: Vec<u32>,
}

impl Flood<'_> {
    fn put(&mut self, pairs: impl IntoIterator<Item = FacePair>) {
        for pair in pairs {
            if self.seen.insert(u64::from(pair[0]) << 32 | u64::from(pair[1])) {
                self.waiting.push(pair);
            }
        }
    }

    fn run(&mut self, spread: &impl Spread) {
        while let Some(pair) = self.waiting.pop() {
            let [above, under] = pair;
            let shared = overlap(self.patch.corners(above), self.ground.corners(under));
            let Some(shared) = shared else { continue };
            self.reached.pairs.push((pair, self.reached.shared.len() as u32));
            self.reached.shared.push(shared);
            let may_win = spread.may_win(pair, &shared);
            self.reached.may_win.push(may_win);
            self.begun[above as usize] = true;
            if may_win || spread.is_root(above) {
                self.go_on(pair, &shared, spread);
            }
        }
    }

    /// Puts the pairs across every piece of a cell's outline.
    fn go_on(&mut self, [above, under]: FacePair, shared: &Overlap, spread: &impl Spread) {
        let beyond_above = self.patch.faces()[above as usize].neighbours;
        let beyond_under = self.ground.faces()[under as usize].neighbours;
        for piece in shared.pieces() {
            let on_above = piece.a_edge != NO_EDGE;
            let on_under = piece.b_edge != NO_EDGE;
            let next_above = if on_above { beyond_above[piece.a_edge as usize] } else { above };
            let next_under = if on_under { beyond_under[piece.b_edge as usize] } else { under };
            if next_above != NONE && next_under != NONE {
                self.put([[next_above, next_under]]);
            } else if !on_above && spread.is_root(above) && !self.cut.contains(&above) {
                self.cut.push(above);
            }
        }
    }
}
