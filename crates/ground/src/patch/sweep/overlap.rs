//! Which elements of a sweep overlap in plan.

use super::panels::Element;
use crate::LatticePoint;
use crate::curve::{Meeting, meet, meeting_pairs};
use crate::predicates::orient;

/// For each element those that it overlaps, in ascending order.
///
/// Elements that share whole rays or stretches of the line, or single corners, do not overlap.
/// Elements that touch otherwise count as overlapping, so that what stands apart can be joined.
pub(super) fn overlaps(elements: &[Element]) -> Vec<Vec<u32>> {
    let boxes: Vec<[LatticePoint; 2]> = elements.iter().map(|e| box_of(&e.outline)).collect();
    let mut found = vec![Vec::new(); elements.len()];
    meeting_pairs(&boxes, |i, j| {
        if overlap(&elements[i].outline, &elements[j].outline) {
            found[i].push(j as u32);
            found[j].push(i as u32);
        }
    });
    found.iter_mut().for_each(|f| f.sort_unstable());
    found
}

fn box_of(outline: &[LatticePoint]) -> [LatticePoint; 2] {
    let mut ends = [outline[0]; 2];
    for p in outline {
        ends[0] = LatticePoint { x: ends[0].x.min(p.x), y: ends[0].y.min(p.y) };
        ends[1] = LatticePoint { x: ends[1].x.max(p.x), y: ends[1].y.max(p.y) };
    }
    ends
}

fn edges(outline: &[LatticePoint]) -> impl Iterator<Item = [LatticePoint; 2]> + '_ {
    (0..outline.len()).map(|k| [outline[k], outline[(k + 1) % outline.len()]])
}

fn overlap(a: &[LatticePoint], b: &[LatticePoint]) -> bool {
    for s in edges(a) {
        for t in edges(b) {
            let shared = s == t || s == [t[1], t[0]];
            if s == t || (!shared && matches!(meet(s, t), Meeting::Cross | Meeting::Touch)) {
                // Outlines run counter-clockwise: the same edge the same way is the same side of it.
                return true;
            }
        }
    }
    // Without crossings one lies within the other or they stand apart: any corner off the other's
    // outline tells.
    let within = |a: &[LatticePoint], b: &[LatticePoint]| {
        a.iter().find(|p| !b.contains(p)).is_some_and(|&p| is_inside(b, p))
    };
    within(a, b) || within(b, a)
}

fn is_inside(outline: &[LatticePoint], p: LatticePoint) -> bool {
    edges(outline)
        .filter(|[a, b]| (a.y > p.y) != (b.y > p.y))
        .fold(false, |inside, [a, b]| inside ^ ((orient(a, b, p) > 0) == (b.y > a.y)))
}
