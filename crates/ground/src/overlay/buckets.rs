//! Sorting many things by whole numbers of small range.

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

#[cfg(test)]
mod tests {
    use super::in_order;

    #[test]
    fn counting_and_comparing_sort_alike() {
        let things: Vec<(u32, usize)> = (0..500).map(|i| ((i * 7919 % 97) as u32, i)).collect();
        let counted = in_order(things.clone(), 97, |t| t.0);
        let compared = in_order(things, 1_000_000, |t| t.0);
        assert_eq!(counted, compared);
        assert!(counted.windows(2).all(|pair| pair[0] < pair[1]));
    }
}
