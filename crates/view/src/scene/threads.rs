//! Making many things at once, without keeping the frames from their cores.

use std::sync::atomic::{AtomicUsize, Ordering};

/// No more threads than this make one scene: what is left to make after an edit is soon made.
const MOST_THREADS: usize = 6;

/// What `make` makes of every item, in their order, on half of the machine's cores.
pub(crate) fn each<T: Sync, R: Send>(items: &[T], make: impl Fn(&T) -> R + Sync) -> Vec<R> {
    let n_cores = std::thread::available_parallelism().map_or(1, usize::from);
    on(n_cores / 2, items, make)
}

/// What two makers make, at once where the machine has cores to spare.
pub(crate) fn both<A: Send, B: Send>(
    one: impl FnOnce() -> A + Send,
    other: impl FnOnce() -> B + Send,
) -> (A, B) {
    let n_cores = std::thread::available_parallelism().map_or(1, usize::from);
    if n_cores < 4 {
        return (one(), other());
    }
    std::thread::scope(|scope| {
        let other = scope.spawn(other);
        let one = one();
        match other.join() {
            Ok(other) => (one, other),
            Err(panic) => std::panic::resume_unwind(panic),
        }
    })
}

fn on<T: Sync, R: Send>(n_threads: usize, items: &[T], make: impl Fn(&T) -> R + Sync) -> Vec<R> {
    let next = AtomicUsize::new(0);
    let take = || {
        let next_item = || {
            let idx = next.fetch_add(1, Ordering::Relaxed);
            items.get(idx).map(|item| (idx, make(item)))
        };
        std::iter::from_fn(next_item).collect::<Vec<_>>()
    };
    let mut made = std::thread::scope(|scope| {
        let n_others = n_threads.min(MOST_THREADS).min(items.len()).saturating_sub(1);
        let others: Vec<_> = (0..n_others).map(|_| scope.spawn(take)).collect();
        let mut made = take();
        for other in others {
            match other.join() {
                Ok(theirs) => made.extend(theirs),
                Err(panic) => std::panic::resume_unwind(panic),
            }
        }
        made
    });
    made.sort_by_key(|(idx, _)| *idx);
    made.into_iter().map(|(_, made)| made).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn everything_is_made_once_and_in_order_on_any_number_of_threads() {
        let items: Vec<u64> = (0..500).collect();
        let squares: Vec<u64> = items.iter().map(|n| n * n).collect();
        for n_threads in [0, 1, 2, 9] {
            assert_eq!(on(n_threads, &items, |n| n * n), squares);
        }
        assert!(on(4, &[], |n: &u64| *n).is_empty());
        assert_eq!(both(|| 1, || "two"), (1, "two"));
    }
}
