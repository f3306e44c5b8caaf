//! The lines that a work is drawn with.

use crate::works::RingShape;
use crate::{Curve, WorkKind, crossing};

/// Whether a drawn line closes on itself.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Ends {
    /// From its first point to its last.
    Open,
    /// An outline.
    Closed,
}

/// One line of a work.
#[derive(Clone, Debug, PartialEq)]
pub struct DrawnLine<'a> {
    /// Where it stands in the work, as in its fields: `outline`, `rings[1].shape`.
    pub path: String,
    /// Whether it closes on itself.
    pub ends: Ends,
    /// The line.
    pub curve: &'a Curve,
}

/// The path of the line that a work is first of all drawn with, and whether it closes.
pub fn main_line(kind: &WorkKind) -> (&'static str, Ends) {
    match kind {
        WorkKind::Basin(_)
        | WorkKind::FilterBed(_)
        | WorkKind::IntakeBay(_)
        | WorkKind::Pad(_)
        | WorkKind::PlaneGrade(_)
        | WorkKind::Strip(_) => ("outline", Ends::Closed),
        WorkKind::Hill(_) => ("crest", Ends::Open),
        WorkKind::Stream(_) | WorkKind::Wall(_) | WorkKind::Path(_) | WorkKind::Trench(_) => {
            ("line", Ends::Open)
        }
    }
}

/// Every line of a work, the main one first.
pub fn lines(kind: &WorkKind) -> Vec<DrawnLine<'_>> {
    let (path, ends) = main_line(kind);
    let mut lines = vec![DrawnLine { path: path.into(), ends, curve: main_curve(kind) }];
    match kind {
        WorkKind::Basin(basin) => {
            for (i, ring) in basin.rings.iter().enumerate() {
                if let RingShape::Drawn(curve) = &ring.shape {
                    let path = format!("rings[{i}].shape");
                    lines.push(DrawnLine { path, ends: Ends::Closed, curve });
                }
            }
        }
        WorkKind::Stream(stream) => {
            for (i, island) in stream.islands.iter().enumerate() {
                let path = format!("islands[{i}].outline");
                lines.push(DrawnLine { path, ends: Ends::Closed, curve: &island.outline });
            }
        }
        _ => {}
    }
    lines
}

/// Whether no outline of a work crosses itself.
pub fn is_simple(kind: &WorkKind) -> bool {
    let crosses =
        |line: &DrawnLine<'_>| line.ends == Ends::Closed && crossing(&line.curve.points).is_some();
    !lines(kind).iter().any(crosses)
}

/// How few points a line may have.
pub(super) fn least_points(kind: &WorkKind, ends: Ends) -> usize {
    match (ends, kind) {
        (Ends::Closed, _) => 3,
        (Ends::Open, WorkKind::Hill(_)) => 1,
        (Ends::Open, _) => 2,
    }
}

pub(super) fn main_curve(kind: &WorkKind) -> &Curve {
    match kind {
        WorkKind::Basin(basin) => &basin.outline,
        WorkKind::Stream(stream) => &stream.line,
        WorkKind::Hill(hill) => &hill.crest,
        WorkKind::Wall(wall) => &wall.line,
        WorkKind::FilterBed(bed) => &bed.outline,
        WorkKind::IntakeBay(bay) => &bay.outline,
        WorkKind::Pad(pad) => &pad.outline,
        WorkKind::Path(path) => &path.line,
        WorkKind::PlaneGrade(grade) => &grade.outline,
        WorkKind::Trench(trench) => &trench.line,
        WorkKind::Strip(strip) => &strip.outline,
    }
}

pub(super) fn main_curve_mut(kind: &mut WorkKind) -> &mut Curve {
    match kind {
        WorkKind::Basin(basin) => &mut basin.outline,
        WorkKind::Stream(stream) => &mut stream.line,
        WorkKind::Hill(hill) => &mut hill.crest,
        WorkKind::Wall(wall) => &mut wall.line,
        WorkKind::FilterBed(bed) => &mut bed.outline,
        WorkKind::IntakeBay(bay) => &mut bay.outline,
        WorkKind::Pad(pad) => &mut pad.outline,
        WorkKind::Path(path) => &mut path.line,
        WorkKind::PlaneGrade(grade) => &mut grade.outline,
        WorkKind::Trench(trench) => &mut trench.line,
        WorkKind::Strip(strip) => &mut strip.outline,
    }
}

/// The line at a path, to be changed.
pub(super) fn curve_mut<'a>(kind: &'a mut WorkKind, path: &str) -> Option<&'a mut Curve> {
    if path == main_line(kind).0 {
        return Some(main_curve_mut(kind));
    }
    let numbered = |head: &str, tail: &str| -> Option<usize> {
        path.strip_prefix(head)?.strip_suffix(tail)?.parse().ok()
    };
    match kind {
        WorkKind::Basin(basin) => {
            match &mut basin.rings.get_mut(numbered("rings[", "].shape")?)?.shape {
                RingShape::Drawn(curve) => Some(curve),
                RingShape::Inset { .. } => None,
            }
        }
        WorkKind::Stream(stream) => {
            let island = stream.islands.get_mut(numbered("islands[", "].outline")?)?;
            Some(&mut island.outline)
        }
        _ => None,
    }
}

/// The line at a path.
pub(super) fn line_at<'a>(kind: &'a WorkKind, path: &str) -> Option<DrawnLine<'a>> {
    lines(kind).into_iter().find(|line| line.path == path)
}
