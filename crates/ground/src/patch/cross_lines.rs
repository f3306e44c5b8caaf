//! Cross lines along a line that do not cross one another.
//!
//! At each vertex the cross line bisects the bend. Where the line bends so tightly that cross lines
//! would meet on its inside, their ends are drawn together into one pivot.

use crate::curve::{along, cross, dot, left_of, lerp, norm, sub, unit};

/// The line across at one vertex: places at an offset to its left or right.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct CrossLine {
    /// The vertex, in metres.
    pub at: [f64; 2],
    left: Arm,
    right: Arm,
}

/// Why cross lines could not be laid.
#[derive(Clone, Copy, Debug, PartialEq, thiserror::Error)]
pub enum CrossLineError {
    /// The line has no two different places.
    #[error("the line needs two different points")]
    NoLength,
    /// A coordinate or a width is not finite, or a width is below zero or missing.
    #[error("vertex {vertex} has a bad coordinate or width")]
    Bad {
        /// Index of the vertex.
        vertex: usize,
    },
    /// The line doubles back within its width.
    #[error("the line doubles back at vertex {vertex}")]
    DoublesBack {
        /// Index of the vertex.
        vertex: usize,
    },
}

/// One half of a cross line.
#[derive(Clone, Copy, Debug, PartialEq)]
struct Arm {
    direction: [f64; 2],
    /// Length for each metre of offset: the mitre at a bend.
    stretch: f64,
    /// Its greatest length, in metres.
    reach_m: f64,
}

/// The longest mitre, as a multiple of the offset: sharper bends are cut short.
const LONGEST_MITRE: f64 = 2.0;

impl CrossLine {
    /// The place at an offset from the line: to its left above zero, to its right below.
    ///
    /// The offset is measured square to the line's segments. On the inside of a tight bend it stops
    /// at the pivot that neighbouring cross lines share.
    pub fn at_offset(&self, offset_m: f64) -> [f64; 2] {
        let arm = if offset_m >= 0.0 { &self.left } else { &self.right };
        along(self.at, arm.direction, (offset_m.abs() * arm.stretch).min(arm.reach_m))
    }
}

/// One cross line for each vertex of an open line, as wide as `half_widths_m` says (left, right) and
/// trimmed where they would cross on the inside of a bend.
///
/// Vertices that repeat the one before them (a fall) get the same cross line.
///
/// # Errors
/// [`CrossLineError`], naming the vertex.
pub fn cross_lines(
    line: &[[f64; 2]],
    half_widths_m: &[[f64; 2]],
) -> Result<Vec<CrossLine>, CrossLineError> {
    let is_good = |i: usize| {
        line[i].iter().all(|c| c.is_finite())
            && half_widths_m.get(i).is_some_and(|w| w.iter().all(|w| *w >= 0.0 && w.is_finite()))
    };
    if let Some(vertex) = (0..line.len()).find(|&i| !is_good(i)) {
        return Err(CrossLineError::Bad { vertex });
    }
    let mut first_of: Vec<usize> = (0..line.len()).collect();
    first_of.dedup_by(|b, a| line[*a] == line[*b]);
    if first_of.len() < 2 {
        return Err(CrossLineError::NoLength);
    }
    let places: Vec<[f64; 2]> = first_of.iter().map(|&i| line[i]).collect();
    let place_of = |i: usize| first_of.partition_point(|&f| f <= i) - 1;
    let mut widths = vec![[0.0_f64; 2]; places.len()];
    for (i, w) in half_widths_m.iter().enumerate().take(line.len()) {
        let widest = &mut widths[place_of(i)];
        *widest = [widest[0].max(w[0]), widest[1].max(w[1])];
    }
    let named = |k: usize| CrossLineError::DoublesBack { vertex: first_of[k] };
    let left = arms(&places, &widths, 1.0).map_err(named)?;
    let right = arms(&places, &widths, -1.0).map_err(named)?;
    Ok((0..line.len())
        .map(|i| {
            let k = place_of(i);
            CrossLine { at: line[i], left: left[k], right: right[k] }
        })
        .collect())
}

/// A run of vertices whose arms end together.
struct Group {
    first: usize,
    last: usize,
    end: [f64; 2],
}

/// The arms on one side: 1 for the left, -1 for the right. Fails at a vertex that doubles back.
fn arms(places: &[[f64; 2]], widths: &[[f64; 2]], side: f64) -> Result<Vec<Arm>, usize> {
    let mut arms = Vec::with_capacity(places.len());
    for (k, &at) in places.iter().enumerate() {
        let before = (k > 0).then(|| unit(places[k - 1], at)).flatten();
        let after = places.get(k + 1).and_then(|&next| unit(at, next));
        let [t0, t1] = match (before, after) {
            (Some(t0), Some(t1)) => [t0, t1],
            (Some(t), None) | (None, Some(t)) => [t, t],
            (None, None) => return Err(k),
        };
        let middle = unit([0.0, 0.0], [t0[0] + t1[0], t0[1] + t1[1]]).ok_or(k)?;
        let stretch = (1.0 / dot(middle, t1)).clamp(1.0, LONGEST_MITRE);
        let direction = left_of(middle).map(|c| side * c);
        let width = widths[k][if side > 0.0 { 0 } else { 1 }];
        arms.push(Arm { direction, stretch, reach_m: width * stretch });
    }
    trim(places, &mut arms, side)?;
    Ok(arms)
}

/// Draws the ends of arms that would cross together.
fn trim(places: &[[f64; 2]], arms: &mut [Arm], side: f64) -> Result<(), usize> {
    let ends: Vec<[f64; 2]> =
        places.iter().zip(&*arms).map(|(&p, a)| along(p, a.direction, a.reach_m)).collect();
    let mut groups: Vec<Group> = Vec::new();
    for (k, &end) in ends.iter().enumerate() {
        groups.push(Group { first: k, last: k, end });
        while let [.., a, b] = &groups[..] {
            if is_open(places[a.last], places[b.first], b.end, a.end, side) {
                break;
            }
            let (first, last) = (a.first, b.last);
            let end = pivot(places, &ends, first, last, side).ok_or(last)?;
            groups.truncate(groups.len() - 2);
            groups.push(Group { first, last, end });
        }
    }
    for group in groups.iter().filter(|g| g.last > g.first) {
        for k in group.first..=group.last {
            let to_pivot = sub(group.end, places[k]);
            arms[k].direction = unit(places[k], group.end).ok_or(k)?;
            // The whole width reaches the pivot, also where that is farther away; the last digits
            // may not fall short of it.
            let width = arms[k].reach_m / arms[k].stretch;
            arms[k].reach_m = norm(to_pivot);
            let to_width = if width > 0.0 { arms[k].reach_m / width } else { 1.0 };
            arms[k].stretch = (to_width * (1.0 + 1e-12)).max(1.0);
        }
    }
    Ok(())
}

/// Whether the quadrilateral between two arms can be cut into triangles that do not fold.
fn is_open(p: [f64; 2], q: [f64; 2], q_end: [f64; 2], p_end: [f64; 2], side: f64) -> bool {
    let turn = |a: [f64; 2], b: [f64; 2], c: [f64; 2]| side * cross(sub(b, a), sub(c, a));
    // Arms of no length leave nothing that could fold.
    let slack = 1e-9 * dot(sub(q, p), sub(q, p));
    let opens = |first: f64, second: f64| first > slack && second > slack;
    (p_end == p && q_end == q)
        || opens(turn(p, q, q_end), turn(p, q_end, p_end))
        || opens(turn(p, q, p_end), turn(q, q_end, p_end))
        || (p_end == p && turn(p, q, q_end) > slack)
        || (q_end == q && turn(p, q, p_end) > slack)
}

/// A place that all segments of a run see on the given side: as near to the mean of the arms' ends
/// as may be.
fn pivot(
    places: &[[f64; 2]],
    ends: &[[f64; 2]],
    first: usize,
    last: usize,
    side: f64,
) -> Option<[f64; 2]> {
    let mean = |of: &[[f64; 2]]| {
        let n = (last - first + 1) as f64;
        let sum = |k: usize| of[first..=last].iter().map(|p| p[k]).sum::<f64>() / n;
        [sum(0), sum(1)]
    };
    let (near, far) = (mean(places), mean(ends));
    [1.0, 0.8, 0.6, 0.4, 0.2, 0.1, 0.05].into_iter().map(|s| lerp(near, far, s)).find(|&end| {
        places[first..=last].windows(2).all(|w| {
            let d = sub(w[1], w[0]);
            side * cross(d, sub(end, w[0])) > 1e-6 * dot(d, d)
        })
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_right_angle_is_mitred() {
        let line = [[0.0, 0.0], [4.0, 0.0], [4.0, 4.0]];
        let lines = cross_lines(&line, &[[1.0, 1.0]; 3]).unwrap();
        let near = |p: [f64; 2], q: [f64; 2]| norm(sub(p, q)) < 1e-12;
        assert!(near(lines[1].at_offset(1.0), [3.0, 1.0]));
        assert!(near(lines[1].at_offset(-1.0), [5.0, -1.0]));
        assert!(near(lines[0].at_offset(0.5), [0.0, 0.5]));
    }

    #[test]
    fn a_fall_keeps_its_cross_line_and_bad_input_is_named() {
        let line = [[0.0, 0.0], [2.0, 0.0], [2.0, 0.0], [4.0, 1.0]];
        let lines = cross_lines(&line, &[[1.0, 1.0], [1.0, 1.0], [2.0, 1.0], [1.0, 1.0]]).unwrap();
        assert_eq!(lines[1], lines[2]);
        assert_eq!(
            cross_lines(&[[0.0, 0.0], [2.0, 0.0], [0.0, 0.0]], &[[1.0, 1.0]; 3]),
            Err(CrossLineError::DoublesBack { vertex: 1 })
        );
        assert_eq!(cross_lines(&line, &[[1.0, 1.0]; 2]), Err(CrossLineError::Bad { vertex: 2 }));
        assert_eq!(cross_lines(&[[1.0, 0.0]; 2], &[[1.0, 1.0]; 2]), Err(CrossLineError::NoLength));
    }
}
