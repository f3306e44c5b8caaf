//! Shores: the lines along which a work's water side meets its rim.

use std::collections::BTreeMap;

use design::part::Part;
use ground::{LatticePoint, NONE, Surface};
use site::WorkId;

/// A line where water ends, local metres.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct Shore {
    /// Its places, the water on the left.
    pub points: Vec<[f64; 3]>,
    /// Whether it runs back to its start.
    pub closed: bool,
}

/// The shores of one work: edges between what lies under its water and what does not. They begin where
/// the ground says, whatever the numbers of its corners.
pub(crate) fn shores(surface: &Surface, work: WorkId) -> Vec<Shore> {
    let wet = |face: u32| {
        let tag = surface.faces()[face as usize].tag;
        tag.owner == work.0
            && matches!(Part::of(tag.part), Part::Floor | Part::Side | Part::Shelf | Part::Bed)
    };
    let mut onward: BTreeMap<LatticePoint, Vec<LatticePoint>> = BTreeMap::new();
    let mut heights: BTreeMap<LatticePoint, f64> = BTreeMap::new();
    for (_, face) in surface.faces().iter().enumerate().filter(|(i, _)| wet(*i as u32)) {
        for edge in 0..3 {
            let across = face.neighbours[edge];
            let meets_own_rim = across != NONE && !wet(across) && {
                let tag = surface.faces()[across as usize].tag;
                tag.owner == work.0
            };
            if meets_own_rim {
                let place = |corner: usize| surface.vertices()[face.vertices[corner] as usize];
                let (a, b) = (place(edge), place((edge + 1) % 3));
                onward.entry(a).or_default().push(b);
                for (place, corner) in [(a, edge), (b, (edge + 1) % 3)] {
                    let z = surface.heights()[face.heights[corner] as usize];
                    heights.entry(place).and_modify(|h| *h = h.max(z)).or_insert(z);
                }
            }
        }
    }
    onward.values_mut().for_each(|ends| ends.sort());
    chain(surface, onward, &heights)
}

fn chain(
    surface: &Surface,
    mut onward: BTreeMap<LatticePoint, Vec<LatticePoint>>,
    heights: &BTreeMap<LatticePoint, f64>,
) -> Vec<Shore> {
    let mut reached: BTreeMap<LatticePoint, usize> = BTreeMap::new();
    for ends in onward.values() {
        for end in ends {
            *reached.entry(*end).or_default() += 1;
        }
    }
    let starts: Vec<LatticePoint> = onward
        .keys()
        .copied()
        .filter(|v| !reached.contains_key(v))
        .chain(onward.keys().copied())
        .collect();
    let mut shores = Vec::new();
    for start in starts {
        let mut line = vec![start];
        let mut at = start;
        while let Some(next) = onward.get_mut(&at).and_then(Vec::pop) {
            line.push(next);
            at = next;
        }
        if line.len() < 2 {
            continue;
        }
        let closed = line.len() > 3 && line.first() == line.last();
        if closed {
            line.pop();
        }
        let points = line
            .iter()
            .map(|place| {
                let [x, y] = surface.lattice().metres(*place);
                [x, y, heights.get(place).copied().unwrap_or_default()]
            })
            .collect();
        shores.push(Shore { points, closed });
    }
    shores
}
