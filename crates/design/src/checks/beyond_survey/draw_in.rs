//! How far a work reaches beyond the survey, and the work drawn in by as much.

use ground::curve::{self, Closure, Path};
use ground::query;
use site::field::{FieldValue, fields, set};
use site::works::Stream;
use site::{Curve, Site, Work, WorkKind};

use super::super::line::Line;
use super::super::seen::Seen;
use super::super::words::{compass, enough_text};
use crate::{OpenEnd, Remedy};

/// Open ends no farther from the survey's edge than this are cut off by it, metres.
const AT_EDGE_M: f64 = 0.1;
/// A work is drawn in by this much more than it must, metres, so that rounding leaves nothing.
const SPARE_M: f64 = 0.001;

/// The survey's edge nearest to a place.
struct Edge {
    /// How far the place lies beyond it, metres; below zero inside.
    beyond_m: f64,
    /// Square to it, from outside inward.
    inward: [f64; 2],
}

/// Shots farther out, or the work's own ground drawn in until none of it lies beyond.
pub(super) fn of_ground(seen: &Seen<'_>, work: &Work) -> Option<Remedy> {
    let (line, margin_m) = drawn(work)?;
    let border = border(seen)?;
    let edges = line.path.points().iter().filter_map(|&place| nearest(&border, place));
    let worst = edges.max_by(|a, b| a.beyond_m.total_cmp(&b.beyond_m))?;
    let by_m = worst.beyond_m + margin_m + SPARE_M;
    (by_m > 0.0).then(|| remedy(seen, work, &worst, by_m, ""))
}

/// Shots as far out as the bank runs on, or the work drawn in until the bank ends at the survey's
/// edge: on level ground, no higher than `least_m`.
pub(super) fn of_bank(seen: &Seen<'_>, work: &Work, end: &OpenEnd, least_m: f64) -> Option<Remedy> {
    let middle = [0, 1].map(|k| 0.5 * (end.ends_m[0][k] + end.ends_m[1][k]));
    let edge = nearest(&border(seen)?, middle)?;
    let run_m = runs_on_m(work, end, least_m);
    let cut_off = edge.beyond_m.abs() <= AT_EDGE_M;
    cut_off.then(|| remedy(seen, work, &edge, run_m + SPARE_M, ", or steepen the bank"))
}

/// How far a bank runs on beyond an open end until it stands no higher than `least_m` over ground that
/// goes on level, metres.
pub(super) fn runs_on_m(work: &Work, end: &OpenEnd, least_m: f64) -> f64 {
    (end.rise_m.abs() - least_m) * run_per_rise(work, end.rise_m > 0.0)
}

fn remedy(seen: &Seen<'_>, work: &Work, edge: &Edge, by_m: f64, or: &str) -> Remedy {
    let message = format!(
        "Shoot levels {} farther out on the {} side{or}, or draw the work in by as much.",
        enough_text(by_m, seen.unit),
        compass(edge.inward, [0.0; 2]),
    );
    let site = moved(seen.site, work, edge.inward.map(|way| by_m * way));
    Remedy { message, site: site.map(Box::new) }
}

/// The line that a work is drawn by, and how far its own ground reaches beyond that.
fn drawn(work: &Work) -> Option<(Line, f64)> {
    let ring = |curve: &Curve| Line::new(curve, Closure::Closed);
    let line = |curve: &Curve| Line::new(curve, Closure::Open);
    let widest = |values: &[f64]| values.iter().copied().fold(0.0, f64::max);
    Some(match &work.kind {
        WorkKind::Basin(basin) => (ring(&basin.outline)?, basin.rim_width_m),
        WorkKind::FilterBed(bed) => (ring(&bed.outline)?, bed.rim_width_m),
        WorkKind::Stream(stream) => (line(&stream.line)?, half_width_m(stream)),
        WorkKind::Hill(hill) => (line(&hill.crest)?, 0.5 * widest(&hill.width_m)),
        WorkKind::Wall(wall) => (line(&wall.line)?, wall.thickness_m),
        WorkKind::IntakeBay(bay) => (ring(&bay.outline)?, bay.rim_width_m),
        WorkKind::Pad(pad) => (ring(&pad.outline)?, 0.0),
        WorkKind::Path(path) => (line(&path.line)?, 0.5 * path.width_m),
        WorkKind::PlaneGrade(grade) => (ring(&grade.outline)?, 0.0),
        WorkKind::Trench(trench) => (line(&trench.line)?, 0.5 * trench.width_m),
        WorkKind::Strip(strip) => (ring(&strip.outline)?, 0.0),
    })
}

fn half_width_m(stream: &Stream) -> f64 {
    let half = |s: &site::works::Station| {
        0.5 * s.bed_width_m + s.side * s.edge_m[0].max(s.edge_m[1]) + stream.rim_width_m
    };
    stream.stations.iter().map(half).fold(0.0, f64::max)
}

/// Slope of the bank that runs from a work down, or up.
fn run_per_rise(work: &Work, down: bool) -> f64 {
    let bank = |cut: f64, fill: f64| if down { fill } else { cut };
    match &work.kind {
        WorkKind::Basin(basin) => bank(basin.cut_bank, basin.fill_bank),
        WorkKind::FilterBed(bed) => bank(bed.cut_bank, bed.fill_bank),
        WorkKind::Stream(stream) => bank(stream.cut_bank, stream.fill_bank),
        WorkKind::Hill(hill) => {
            hill.left.iter().chain(&hill.right).map(|flank| flank.run_per_rise).fold(0.0, f64::max)
        }
        WorkKind::Wall(wall) => wall.backfill,
        WorkKind::IntakeBay(bay) => bank(bay.cut_bank, bay.fill_bank),
        WorkKind::Pad(pad) => bank(pad.cut_bank, pad.fill_bank),
        WorkKind::Path(path) => bank(path.cut_bank, path.fill_bank),
        WorkKind::PlaneGrade(grade) => bank(grade.cut_bank, grade.fill_bank),
        WorkKind::Trench(trench) => trench.side,
        WorkKind::Strip(_) => 0.0,
    }
}

/// The survey's outer edge, counter-clockwise.
fn border(seen: &Seen<'_>) -> Option<Vec<Path>> {
    let existing = seen.evaluation.existing.as_deref()?;
    let place =
        |p: &query::RingPoint| existing.lattice().metres(existing.vertices()[p.vertex as usize]);
    let rings = query::outline(existing).into_iter();
    let rings = rings.map(|ring| ring.iter().map(place).collect::<Vec<_>>());
    rings.map(|ring| Path::new(&ring, Closure::Closed).ok()).collect()
}

fn nearest(border: &[Path], place: [f64; 2]) -> Option<Edge> {
    let rings = border.iter().map(|ring| (ring, ring.nearest(place)));
    let (ring, near) = rings.min_by(|a, b| a.1.distance_m.total_cmp(&b.1.distance_m))?;
    let [tx, ty] = ring.at_station(near.station_m).tangent;
    let inward = [-ty, tx];
    let off = [0, 1].map(|k| place[k] - near.at[k]);
    let inside =
        curve::contains(ring.points(), place) == (curve::signed_area_m2(ring.points()) > 0.0);
    let away = off[0] * inward[0] + off[1] * inward[1];
    let beyond_m = if inside { -away.abs() } else { away.abs() };
    Some(Edge { beyond_m, inward })
}

/// The site with every place of a work moved.
pub(in crate::checks) fn moved(site: &Site, work: &Work, by_m: [f64; 2]) -> Option<Site> {
    let mut site = site.clone();
    let moved = site.works.iter_mut().find(|other| other.id == work.id)?;
    for field in fields(work) {
        if let FieldValue::Place(Some(at)) = field.value {
            let to = [0, 1].map(|k| at[k] + by_m[k]);
            set(moved, &field.path, FieldValue::Place(Some(to))).ok()?;
        }
    }
    Some(site)
}
