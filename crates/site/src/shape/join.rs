//! Two works made one: lines end to end, outlines along a side that both share.

use super::ShapeError;
use super::line::{Ends, main_curve, main_curve_mut, main_line};
use super::points::simple;
use crate::field::{Field, FieldValue, ListEdit, Parameters as _, Visitor};
use crate::works::{Side, TopRun, Wall};
use crate::{Edit, Site, Work, WorkId, WorkKind, apply};

/// Points nearer than this are one place when works are joined, metres.
const SAME_PLACE_M: f64 = 1e-6;

/// The site with the second work taken into the first; what referred to it refers to the first.
///
/// Lines join at the ends that lie nearest each other; where those are apart a straight piece joins
/// them. Outlines join along a side that both have. All else is as the first work says.
///
/// # Errors
/// [`ShapeError`] where the two are of different kinds, or hold water, or share no side.
pub fn join(site: &Site, first: WorkId, second: WorkId) -> Result<Site, ShapeError> {
    let work = |id| site.work(id).ok_or(ShapeError::NoWork(id));
    let (a, b) = (work(first)?, work(second)?);
    if first == second || std::mem::discriminant(&a.kind) != std::mem::discriminant(&b.kind) {
        return Err(ShapeError::NotThis("two works of one kind are joined"));
    }
    let joined = match (&a.kind, main_line(&a.kind).1) {
        (WorkKind::Stream(_), _) => {
            return Err(ShapeError::NotThis(
                "two streams stay two, each with its own source: add points to one and take the other out",
            ));
        }
        (WorkKind::Basin(_) | WorkKind::FilterBed(_) | WorkKind::IntakeBay(_), _) => {
            return Err(ShapeError::NotThis(
                "what holds water is not joined: let one join the other's water",
            ));
        }
        (WorkKind::Wall(first), _) if !has_top_like(first, &b.kind) => {
            return Err(ShapeError::NotThis("walls join whose tops both step or both slope"));
        }
        (_, Ends::Open) => end_to_end(a, b)?,
        (_, Ends::Closed) => side_by_side(a, b)?,
    };
    let mut site = apply(site, &Edit::SetWork(joined))?;
    let mut redirect = Redirect { from: second, to: first };
    site.works.iter_mut().for_each(|work| work.walk(&mut redirect));
    site.circulation.walk(&mut redirect);
    Ok(apply(&site, &Edit::RemoveWork(second))?)
}

/// Whether a work is a wall whose top runs from point to point as this one's does.
fn has_top_like(wall: &Wall, other: &WorkKind) -> bool {
    matches!(other, WorkKind::Wall(other) if other.top_run == wall.top_run)
}

/// The lines laid end to end, as the first one runs.
fn end_to_end(a: &Work, b: &Work) -> Result<Work, ShapeError> {
    let (p, q) = (&main_curve(&a.kind).points, &main_curve(&b.kind).points);
    let ends = |line: &[[f64; 2]]| [line.first().copied(), line.last().copied()];
    let ([Some(a0), Some(a1)], [Some(b0), Some(b1)]) = (ends(p), ends(q)) else {
        return Err(ShapeError::NotThis("a line without points is not joined"));
    };
    let gaps = [gap(a1, b0), gap(a1, b1), gap(a0, b1), gap(a0, b0)];
    let least = gaps.iter().copied().fold(f64::INFINITY, f64::min);
    let order = gaps.iter().position(|gap| *gap == least).unwrap_or_default();
    let other = if order % 2 == 1 { run_back(b) } else { b.clone() };
    let (before, behind) = if order < 2 { (a, &other) } else { (&other, a) };
    let mut joined = a.clone();
    joined.kind = concatenated(&before.kind, &behind.kind, least <= SAME_PLACE_M);
    keep_as(&a.kind, &mut joined.kind);
    Ok(joined)
}

/// The same line, run from its last point to its first: what lay left lies right.
fn run_back(work: &Work) -> Work {
    let n = main_curve(&work.kind).points.len();
    let mut back = work.clone();
    let recipe: Vec<_> = (0..n).rev().map(|i| (i, i, 0.0)).collect();
    super::blend::remake(&mut back, main_line(&work.kind).0, &recipe);
    match &mut back.kind {
        WorkKind::Hill(hill) => std::mem::swap(&mut hill.left, &mut hill.right),
        WorkKind::Wall(wall) => {
            wall.retains = if wall.retains == Side::Left { Side::Right } else { Side::Left };
            // A stepped top is told from each point to the next, not at the points.
            if wall.top_run == TopRun::Stepped && wall.top_m.len() == n {
                wall.top_m.rotate_left(1);
            }
        }
        _ => {}
    }
    back
}

/// The first kind with the second's points and levels behind its own; `share` drops a point that
/// both have.
fn concatenated(first: &WorkKind, second: &WorkKind, share: bool) -> WorkKind {
    let (n, m) = (main_curve(first).points.len(), main_curve(second).points.len());
    let mut kind = first.clone();
    let tail = main_curve(second).points[usize::from(share)..].to_vec();
    main_curve_mut(&mut kind).points.extend(tail);
    match (&mut kind, second) {
        (WorkKind::Hill(a), WorkKind::Hill(b)) => {
            behind((&mut a.crest_m, n), (&b.crest_m, m), share);
            behind((&mut a.width_m, n), (&b.width_m, m), share);
            behind((&mut a.left, n), (&b.left, m), share);
            behind((&mut a.right, n), (&b.right, m), share);
        }
        (WorkKind::Wall(a), WorkKind::Wall(b)) => {
            behind((&mut a.top_m, n), (&b.top_m, m), share);
            // The point that both have tells the level of the second's first run.
            if share && b.top_run == TopRun::Stepped && a.top_m.len() > n {
                a.top_m[n - 1] = b.top_m[0];
            }
        }
        (WorkKind::Path(a), WorkKind::Path(b)) => {
            behind((&mut a.level_m, n), (&b.level_m, m), share);
        }
        (WorkKind::Trench(a), WorkKind::Trench(b)) => {
            behind((&mut a.invert_m, n), (&b.invert_m, m), share);
        }
        _ => {}
    }
    kind
}

/// One list behind another; one value for all stays so where both say the same.
fn behind<T: Copy + PartialEq>(
    (list, n): (&mut Vec<T>, usize),
    (other, m): (&[T], usize),
    share: bool,
) {
    let each = |list: &[T], n: usize| -> Vec<T> {
        if list.len() == n {
            list.to_vec()
        } else {
            list.first().map_or(Vec::new(), |one| vec![*one; n])
        }
    };
    if list.len() == 1 && other.len() == 1 && list[0] == other[0] {
        return;
    }
    let mut all = each(list, n);
    all.extend(each(other, m).into_iter().skip(usize::from(share)));
    *list = all;
}

/// Gives a joined line all that is not said point by point as the first work has it.
fn keep_as(first: &WorkKind, joined: &mut WorkKind) {
    match (first, joined) {
        (WorkKind::Hill(a), WorkKind::Hill(j)) => {
            (j.held_by, j.build_up, j.crest.smooth) = (a.held_by, a.build_up, a.crest.smooth);
        }
        (WorkKind::Wall(a), WorkKind::Wall(j)) => {
            let (line, top_m) = (std::mem::take(&mut j.line), std::mem::take(&mut j.top_m));
            *j = a.clone();
            (j.line.points, j.top_m) = (line.points, top_m);
        }
        (WorkKind::Path(a), WorkKind::Path(j)) => {
            let (line, level_m) = (std::mem::take(&mut j.line), std::mem::take(&mut j.level_m));
            *j = a.clone();
            (j.line.points, j.level_m) = (line.points, level_m);
        }
        (WorkKind::Trench(a), WorkKind::Trench(j)) => {
            let (line, invert_m) = (std::mem::take(&mut j.line), std::mem::take(&mut j.invert_m));
            *j = a.clone();
            (j.line.points, j.invert_m) = (line.points, invert_m);
        }
        _ => {}
    }
}

/// One outline of two that have a side in common.
fn side_by_side(a: &Work, b: &Work) -> Result<Work, ShapeError> {
    let p = main_curve(&a.kind).points.clone();
    let other = if area(&p) * area(&main_curve(&b.kind).points) < 0.0 {
        main_curve(&b.kind).points.iter().rev().copied().collect()
    } else {
        main_curve(&b.kind).points.clone()
    };
    let (n, m) = (p.len(), other.len());
    let same = |a: [f64; 2], b: [f64; 2]| gap(a, b) <= SAME_PLACE_M;
    let shared = (0..n).find_map(|i| {
        let side = [p[i], p[(i + 1) % n]];
        let j = (0..m).find(|&j| same(side[0], other[(j + 1) % m]) && same(side[1], other[j]))?;
        Some((i, j))
    });
    let Some((i, j)) = shared else {
        return Err(ShapeError::NotThis(
            "outlines join along a side that both have: snap two points together first",
        ));
    };
    // Round the first outline to the side, then round the second until it comes back.
    let mut points: Vec<[f64; 2]> = (0..n).map(|k| p[(i + 1 + k) % n]).collect();
    points.extend((2..m).map(|k| other[(j + k) % m]));
    let mut joined = a.clone();
    main_curve_mut(&mut joined.kind).points = points;
    simple(joined, main_line(&a.kind).0)
}

fn gap(a: [f64; 2], b: [f64; 2]) -> f64 {
    libm::hypot(a[0] - b[0], a[1] - b[1])
}

fn area(ring: &[[f64; 2]]) -> f64 {
    let n = ring.len();
    (0..n).map(|i| ring[i][0] * ring[(i + 1) % n][1] - ring[(i + 1) % n][0] * ring[i][1]).sum()
}

/// Lets references to one work name another.
struct Redirect {
    from: WorkId,
    to: WorkId,
}

impl Visitor for Redirect {
    fn visit(&mut self, field: Field) -> Option<FieldValue> {
        (field.value == FieldValue::Work(Some(self.from)))
            .then_some(FieldValue::Work(Some(self.to)))
    }

    fn visit_list(&mut self, _: Field) -> Vec<ListEdit> {
        Vec::new()
    }
}
