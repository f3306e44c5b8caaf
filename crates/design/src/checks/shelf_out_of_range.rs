//! Shelves too narrow to stand on or to plant, or too deep for either.
//!
//! ```text
//!   ~~~~~~~~~ water
//!     \ side
//!      \_______ shelf: measured across, from its outer to its inner edge
//!              \
//! ```
//! Measured on the finished ground: what a stream or a path takes of a shelf is no shelf.

use std::collections::BTreeMap;

use ground::Surface;
use site::works::{Basin, RingShape};
use site::{Site, Work, WorkId, WorkKind};
use units::length_text;

use super::COMMON_PRACTICE;
use super::seen::Seen;
use super::words::{enough_text, stretch_text};
use crate::part::Part;
use crate::stretch::to_stretch_m;
use crate::{Code, Finding, Measured, Remedy, Severity, Unit};

/// A shelf narrower along less than this is a corner, metres.
const LEAST_STRETCH_M: f64 = 0.5;
/// What falls short by less is as a crew digs it, metres.
const SAME_M: f64 = 0.005;

type Place = [f64; 2];

/// A shelf of one basin: its edges outward and inward, and how deep it lies.
#[derive(Default)]
struct Shelf {
    outer: Vec<[Place; 2]>,
    inner: Vec<[Place; 2]>,
    lowest: Option<[f64; 3]>,
}

pub(super) fn check(seen: &Seen<'_>) -> Vec<Finding> {
    let Some(finished) = seen.evaluation.finished.as_deref() else { return Vec::new() };
    let mut findings = Vec::new();
    for ((owner, band), shelf) in shelves(finished) {
        let Some(work) = seen.owner(owner) else { continue };
        let WorkKind::Basin(basin) = &work.kind else { continue };
        // Inside the last ring is the floor, which may fall to a sump.
        if band as usize >= basin.rings.len() {
            continue;
        }
        findings.extend(too_narrow(seen, work, basin, band, &shelf));
        findings.extend(too_deep(seen, work, basin, band, &shelf));
    }
    findings
}

/// Every shelf, by the basin and the band that it is: the ring that is its outer edge, counted from one;
/// nought is the outline.
fn shelves(finished: &Surface) -> BTreeMap<(u32, u32), Shelf> {
    let mut shelves: BTreeMap<(u32, u32), Shelf> = BTreeMap::new();
    let band = |face: u32| {
        let tag = finished.faces()[face as usize].tag;
        let is_inside = matches!(Part::of(tag.part), Part::Floor | Part::Side | Part::Shelf);
        is_inside.then(|| (tag.owner, Part::band_of(tag.part)))
    };
    let n_faces = finished.faces().len() as u32;
    for face in 0..n_faces {
        let own = &finished.faces()[face as usize];
        if Part::of(own.tag.part) != Part::Shelf {
            continue;
        }
        let at = (own.tag.owner, Part::band_of(own.tag.part));
        let shelf = shelves.entry(at).or_default();
        let corners = finished.corners(face).map(|p| finished.lattice().metres(p));
        let heights = finished.corner_heights(face);
        for k in 0..3 {
            let [x, y] = corners[k];
            if shelf.lowest.is_none_or(|lowest| heights[k] < lowest[2]) {
                shelf.lowest = Some([x, y, heights[k]]);
            }
            let beside = own.neighbours[k];
            if beside >= n_faces {
                continue;
            }
            let edge = [corners[k], corners[(k + 1) % 3]];
            match band(beside) {
                Some((owner, other)) if owner == at.0 && other < at.1 => shelf.outer.push(edge),
                Some((owner, other)) if owner == at.0 && other > at.1 => shelf.inner.push(edge),
                _ => {}
            }
        }
    }
    shelves
}

impl Shelf {
    /// Where it is narrowest and how wide there, and the length of its outer edge from which it is
    /// narrower than `limit_m`; none where it is nowhere.
    fn narrowest(&self, limit_m: f64) -> Option<(Place, f64, f64)> {
        // Whatever lies beside, before or behind by more than the limit is no nearer than it.
        let is_near = |at: Place, [a, b]: &[Place; 2]| {
            (0..2).all(|k| a[k].min(b[k]) < at[k] + limit_m && a[k].max(b[k]) > at[k] - limit_m)
        };
        let width_m = |at: Place| {
            let near = self.inner.iter().filter(|edge| is_near(at, edge));
            let width_m = near.map(|&edge| to_stretch_m(at, edge)).min_by(f64::total_cmp);
            width_m.filter(|width_m| *width_m < limit_m)
        };
        let (mut narrowest, mut short_m) = (None::<(Place, f64)>, 0.0);
        for &[a, b] in &self.outer {
            let middle = [0.5 * (a[0] + b[0]), 0.5 * (a[1] + b[1])];
            let Some(width_m) = width_m(middle) else { continue };
            short_m += libm::hypot(b[0] - a[0], b[1] - a[1]);
            if narrowest.is_none_or(|(_, least_m)| width_m < least_m) {
                narrowest = Some((middle, width_m));
            }
        }
        narrowest.map(|(at, width_m)| (at, width_m, short_m))
    }
}

fn too_narrow(
    seen: &Seen<'_>,
    work: &Work,
    basin: &Basin,
    band: u32,
    shelf: &Shelf,
) -> Option<Finding> {
    let limit_m = seen.site.limits.shelf_least_width_m;
    let (at, width_m, short_m) = shelf.narrowest(limit_m - SAME_M)?;
    if short_m < LEAST_STRETCH_M {
        return None;
    }
    Some(Finding {
        code: Code::ShelfOutOfRange,
        severity: Severity::LookAt,
        work: Some(work.id),
        at_m: seen.on_ground(at),
        measured: Measured { value: width_m, limit: limit_m, unit: Unit::Metre },
        message: format!(
            "The shelf outside ring {} is narrower than {} for {}, at the narrowest {}.",
            band + 1,
            length_text(limit_m, seen.unit),
            stretch_text(short_m, seen.unit),
            length_text(width_m, seen.unit),
        ),
        remedy: Some(Remedy {
            message: format!(
                "Widen it by up to {}; what lies inside it moves in.",
                enough_text(limit_m - width_m, seen.unit)
            ),
            site: widened(seen.site, work.id, basin, band, limit_m),
        }),
        source: COMMON_PRACTICE,
        caution: None,
    })
}

/// The site with every run of a shelf at least as wide as asked; none where its edge is drawn.
fn widened(site: &Site, id: WorkId, basin: &Basin, band: u32, width_m: f64) -> Option<Box<Site>> {
    let ring = band as usize;
    let RingShape::Inset { run_m } = &basin.rings.get(ring)?.shape else { return None };
    let wide: Vec<f64> = run_m.iter().map(|&run| run.max(width_m)).collect();
    edited(site, id, |basin| basin.rings[ring].shape = RingShape::Inset { run_m: wide })
}

fn too_deep(
    seen: &Seen<'_>,
    work: &Work,
    basin: &Basin,
    band: u32,
    shelf: &Shelf,
) -> Option<Finding> {
    let limit_m = seen.site.limits.shelf_greatest_depth_m;
    let lowest = shelf.lowest?;
    let depth_m = basin.water_level_m - lowest[2];
    if depth_m <= limit_m + SAME_M {
        return None;
    }
    let length = |m: f64| length_text(m, seen.unit);
    let raised = edited(seen.site, work.id, |basin| {
        // Both of its edges: the ring inside it, and the one outside where that lies as deep.
        for ring in basin.rings.iter_mut().take(band as usize + 1) {
            ring.depth_m = ring.depth_m.min(limit_m);
        }
    });
    Some(Finding {
        code: Code::ShelfOutOfRange,
        severity: Severity::LookAt,
        work: Some(work.id),
        at_m: lowest,
        measured: Measured { value: depth_m, limit: limit_m, unit: Unit::Metre },
        message: format!(
            "The shelf outside ring {} lies {} under water; below {} little is planted and nobody \
             stands.",
            band + 1,
            length(depth_m),
            length(limit_m)
        ),
        remedy: Some(Remedy {
            message: format!("Raise it by {}.", enough_text(depth_m - limit_m, seen.unit)),
            site: raised,
        }),
        source: COMMON_PRACTICE,
        caution: None,
    })
}

fn edited(site: &Site, id: WorkId, change: impl FnOnce(&mut Basin)) -> Option<Box<Site>> {
    let mut site = site.clone();
    let work = site.works.iter_mut().find(|work| work.id == id)?;
    let WorkKind::Basin(basin) = &mut work.kind else { return None };
    change(basin);
    Some(Box::new(site))
}
