//! Where lines cross, exactly, once their places are on the lattice.

use super::Closure;
use crate::predicates::orient;
use crate::{Lattice, LatticeError, LatticePoint};

/// Two segments of a line that meet where they should not.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Crossing {
    /// The place, in metres.
    pub at: [f64; 2],
    /// The indices of the two segments, the lower one first.
    pub segments: [usize; 2],
}

/// How two segments of non-zero length meet.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Meeting {
    /// Not at all.
    Apart,
    /// At a common end and nowhere else.
    Ends,
    /// At an end of one within the other, or along a stretch.
    Touch,
    /// In the interior of both, at one place.
    Cross,
}

/// The first place where a line meets itself other than from one segment to the next.
///
/// Decided exactly on the lattice, so a line passes only when it is still simple there. Segments
/// without length are passed over.
///
/// # Errors
/// [`LatticeError::Beyond`] when a place lies off the lattice.
pub fn first_crossing(
    lattice: Lattice,
    points: &[[f64; 2]],
    closure: Closure,
) -> Result<Option<Crossing>, LatticeError> {
    let snapped = points.iter().map(|&p| lattice.snap(p)).collect::<Result<Vec<_>, _>>()?;
    let mut kept = Vec::new();
    for i in 0..closure.n_segments(points.len()) {
        let (a, b) = (snapped[i], snapped[(i + 1) % points.len()]);
        if a != b {
            kept.push((i, [a, b]));
        }
    }
    let segments: Vec<_> = kept.iter().map(|&(_, s)| s).collect();
    let mut first: Option<[usize; 2]> = None;
    meeting_pairs(&segments, |i, j| {
        let next = j == i + 1 || (closure == Closure::Closed && i == 0 && j + 1 == kept.len());
        let fault = match meet(segments[i], segments[j]) {
            Meeting::Apart => false,
            Meeting::Ends => !next,
            Meeting::Touch | Meeting::Cross => true,
        };
        if fault && first.is_none_or(|f| [i, j] < f) {
            first = Some([i, j]);
        }
    });
    Ok(first.map(|[i, j]| Crossing {
        at: lattice.metres(meeting_place(segments[i], segments[j])),
        segments: [kept[i].0, kept[j].0],
    }))
}

/// How two segments meet, exactly.
pub(crate) fn meet(s: [LatticePoint; 2], t: [LatticePoint; 2]) -> Meeting {
    let [a, b] = s;
    let [c, d] = t;
    let (oc, od) = (orient(a, b, c).signum(), orient(a, b, d).signum());
    let (oa, ob) = (orient(c, d, a).signum(), orient(c, d, b).signum());
    if oc * od > 0 || oa * ob > 0 {
        return Meeting::Apart;
    }
    if oc * od < 0 && oa * ob < 0 {
        return Meeting::Cross;
    }
    let within = |p: LatticePoint, [a, b]: [LatticePoint; 2], o: i64| {
        o == 0 && p != a && p != b && in_box(p, a, b)
    };
    if within(c, s, oc) || within(d, s, od) || within(a, t, oa) || within(b, t, ob) {
        return Meeting::Touch;
    }
    let same = [a == c, a == d, b == c, b == d].into_iter().filter(|&e| e).count();
    match same {
        0 => Meeting::Apart,
        1 => Meeting::Ends,
        _ => Meeting::Touch,
    }
}

/// Calls `found` with each pair of segments whose boxes overlap, the lower index first.
pub(crate) fn meeting_pairs(segments: &[[LatticePoint; 2]], mut found: impl FnMut(usize, usize)) {
    let mut order: Vec<(i32, i32, u32)> = segments
        .iter()
        .enumerate()
        .map(|(i, [a, b])| (a.x.min(b.x), a.x.max(b.x), i as u32))
        .collect();
    order.sort_unstable();
    for (k, &(_, right, i)) in order.iter().enumerate() {
        let [a, b] = segments[i as usize];
        let (low, high) = (a.y.min(b.y), a.y.max(b.y));
        for &(_, _, j) in order[k + 1..].iter().take_while(|&&(left, _, _)| left <= right) {
            let [c, d] = segments[j as usize];
            if c.y.min(d.y) <= high && c.y.max(d.y) >= low {
                found(i.min(j) as usize, i.max(j) as usize);
            }
        }
    }
}

/// The lattice place nearest to where two segments meet; an end that lies on the other when they
/// touch.
pub(crate) fn meeting_place(s: [LatticePoint; 2], t: [LatticePoint; 2]) -> LatticePoint {
    let [a, b] = s;
    let on = |p: LatticePoint, [a, b]: [LatticePoint; 2]| orient(a, b, p) == 0 && in_box(p, a, b);
    if let Some(&p) = s.iter().find(|&&p| on(p, t)).or_else(|| t.iter().find(|&&p| on(p, s))) {
        return p;
    }
    let (from, to) = (orient(t[0], t[1], a) as f64, orient(t[0], t[1], b) as f64);
    let fraction = from / (from - to);
    let at =
        |from: i32, to: i32| from + ((f64::from(to) - f64::from(from)) * fraction).round() as i32;
    LatticePoint { x: at(a.x, b.x), y: at(a.y, b.y) }
}

fn in_box(p: LatticePoint, a: LatticePoint, b: LatticePoint) -> bool {
    p.x >= a.x.min(b.x) && p.x <= a.x.max(b.x) && p.y >= a.y.min(b.y) && p.y <= a.y.max(b.y)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn crossings_touches_and_overlaps_are_found() {
        let lattice = Lattice::default();
        let bow = [[0.0, 0.0], [2.0, 2.0], [2.0, 0.0], [0.0, 2.0]];
        let found = first_crossing(lattice, &bow, Closure::Open).unwrap().unwrap();
        assert_eq!((found.at, found.segments), ([1.0, 1.0], [0, 2]));
        let square = [[0.0, 0.0], [2.0, 0.0], [2.0, 0.0], [2.0, 2.0], [0.0, 2.0]];
        assert_eq!(first_crossing(lattice, &square, Closure::Closed).unwrap(), None);
        let back = [[0.0, 0.0], [2.0, 0.0], [1.0, 0.0]];
        assert_eq!(
            first_crossing(lattice, &back, Closure::Open).unwrap().map(|c| c.segments),
            Some([0, 1])
        );
        let tee = [[0.0, 0.0], [2.0, 0.0], [2.0, 1.0], [1.0, 1.0], [1.0, 0.0]];
        assert_eq!(
            first_crossing(lattice, &tee, Closure::Open).unwrap().map(|c| c.at),
            Some([1.0, 0.0])
        );
        assert!(first_crossing(lattice, &[[f64::NAN, 0.0]], Closure::Open).is_err());
    }
}
