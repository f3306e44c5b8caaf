//! Sorting and finding many things by whole numbers of small range.

use crate::surface::NONE;

/// Fewer things than this share of the keys are compared instead of counted.
const FEW: usize = 8;

/// Things in ascending order of their keys, which are below `n_keys`; those of one key stay in the
/// order in which they came.
pub(crate) fn in_order<T: Copy>(
    mut things: Vec<T>,
    n_keys: usize,
    key: impl Fn(&T) -> u32,
) -> Vec<T> {
    if things.len() < n_keys / FEW {
        things.sort_by_key(key);
        return things;
    }
    let mut slots = vec![0u32; n_keys + 1];
    for thing in &things {
        slots[key(thing) as usize + 1] += 1;
    }
    for i in 1..slots.len() {
        slots[i] += slots[i - 1];
    }
    let mut sorted = things.clone();
    for thing in &things {
        let slot = &mut slots[key(thing) as usize];
        sorted[*slot as usize] = *thing;
        *slot += 1;
    }
    sorted
}

/// Things hung on whole numbers of small range, a few on each.
///
/// Where few things share a number this finds them faster than hashing, and takes no order from it.
#[derive(Clone, Debug)]
pub(crate) struct Hooks<T> {
    /// The thing hung last on each number.
    latest: Vec<u32>,
    /// Each thing with the one hung before it on the same number.
    things: Vec<(T, u32)>,
}

impl<T> Default for Hooks<T> {
    fn default() -> Self {
        Self { latest: Vec::new(), things: Vec::new() }
    }
}

impl<T> Hooks<T> {
    /// Empty hooks for numbers below `n`; larger ones make more.
    pub(crate) fn below(n: usize) -> Self {
        Self { latest: vec![NONE; n], things: Vec::new() }
    }

    /// Hangs a thing on a number.
    #[inline]
    pub(crate) fn hang(&mut self, number: u32, thing: T) {
        let i = number as usize;
        if i >= self.latest.len() {
            self.latest.resize((i + 1).max(2 * self.latest.len()), NONE);
        }
        self.things.push((thing, self.latest[i]));
        self.latest[i] = self.things.len() as u32 - 1;
    }

    /// The things on a number, the latest first.
    #[inline]
    pub(crate) fn on(&self, number: u32) -> impl Iterator<Item = &T> + '_ {
        let mut at = self.latest.get(number as usize).copied().unwrap_or(NONE);
        std::iter::from_fn(move || {
            let (thing, before) = self.things.get(at as usize)?;
            at = *before;
            Some(thing)
        })
    }

    /// All things, in the order in which they were hung.
    pub(crate) fn all(&self) -> impl Iterator<Item = &T> + '_ {
        self.things.iter().map(|(thing, _)| thing)
    }

    /// The latest thing on a number for which `is_it` holds, to be changed.
    #[inline]
    pub(crate) fn find(&mut self, number: u32, is_it: impl Fn(&T) -> bool) -> Option<&mut T> {
        let mut at = self.latest.get(number as usize).copied().unwrap_or(NONE);
        while at != NONE && !is_it(&self.things[at as usize].0) {
            at = self.things[at as usize].1;
        }
        (at != NONE).then(|| &mut self.things[at as usize].0)
    }
}

#[cfg(test)]
mod tests {
    use super::{Hooks, in_order};

    #[test]
    fn things_are_found_on_their_own_number() {
        let mut hooks = Hooks::below(2);
        (0..30u32).for_each(|i| hooks.hang(i * 7 % 10, i));
        for number in 0..12 {
            let mut found: Vec<u32> = hooks.on(number).copied().collect();
            found.reverse();
            let hung: Vec<u32> = (0..30).filter(|i| i * 7 % 10 == number).collect();
            assert_eq!(found, hung);
        }
        *hooks.find(7, |&i| i == 11).expect("11 hangs on 7") = 99;
        assert!(hooks.on(7).eq(&[21, 99, 1]));
        assert!(hooks.find(11, |_| true).is_none());
    }

    #[test]
    fn counting_and_comparing_sort_alike() {
        let things: Vec<(u32, usize)> = (0..500).map(|i| ((i * 7919 % 97) as u32, i)).collect();
        let counted = in_order(things.clone(), 97, |t| t.0);
        let compared = in_order(things, 1_000_000, |t| t.0);
        assert_eq!(counted, compared);
        assert!(counted.windows(2).all(|pair| pair[0] < pair[1]));
    }
}
