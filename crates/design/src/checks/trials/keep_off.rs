//! Works and heaps that come too near to what is kept: moved off it, point by point or as a whole.

use ground::curve::contains;
use site::field::{FieldValue, fields, set};
use site::works::{Floor, Plane};
use site::{KeepOut, KeepOutKind, Site, WorkId, WorkKind};

use super::super::beyond_survey::moved;
use super::super::seen::Seen;
use super::super::words::compass;
use super::super::{buried_line_near, over_boundary, root_zone_cut};
use super::{Trial, by, told_of};
use crate::stretch::Stretch;
use crate::{Finding, Unit};

/// Farther than this nothing is moved, metres.
const MOST_M: f64 = 4.0;
/// A plane that digs too deep is raised by at most this, metres.
const PLANE_RISE_M: f64 = 0.5;
/// A place nearer to a line than this lies on it, metres.
const ON_LINE_M: f64 = 1e-6;

/// What is kept clear of, as stretches on plan; a stem is one of no length.
#[derive(Clone)]
struct Kept {
    stretches: Vec<Stretch>,
    /// The side on which a site lies of a line that is its edge: a place within.
    within: Option<[f64; 2]>,
    /// The outline of ground that is kept as a whole; empty where it is lines or stems.
    ground: Vec<[f64; 2]>,
    /// How far off is far enough, metres; more is tried too.
    reach_m: f64,
}

pub(super) fn of(seen: &Seen<'_>, finding: &Finding) -> Vec<Trial> {
    let at = [finding.at_m[0], finding.at_m[1]];
    let Some(kept) = kept(seen, finding) else { return from_hole(seen, finding) };
    let away = kept.away(at);
    match finding.work {
        Some(id) => {
            let mut trials = vec![points_off(seen, id, kept)];
            trials.extend(away.map(|away| work_off(seen, id, away)));
            trials.push(dug_less(seen, id));
            trials
        }
        None => {
            let mut trials = heaps_off(seen, finding, at, away);
            trials.extend(way_round(seen, finding, at, away));
            trials
        }
    }
}

/// A work that reaches beyond the survey, moved in or made to reach less deep.
pub(super) fn in_from_edge(seen: &Seen<'_>, finding: &Finding) -> Vec<Trial> {
    let (Some(id), Some(middle)) = (finding.work, middle(seen)) else { return Vec::new() };
    let inward = [0, 1].map(|k| middle[k] - finding.at_m[k]);
    let length_m = libm::hypot(inward[0], inward[1]);
    let way = (length_m > 0.0).then(|| inward.map(|c| c / length_m));
    way.map(|way| work_off(seen, id, way)).into_iter().chain([dug_less(seen, id)]).collect()
}

/// The keep-out that a finding tells of: the one that gives the same finding again.
fn kept(seen: &Seen<'_>, finding: &Finding) -> Option<Kept> {
    let gives = |kept: &&KeepOut| {
        let found = root_zone_cut::of(seen, kept)
            .into_iter()
            .chain(buried_line_near::of(seen, kept))
            .chain(over_boundary::of(seen, kept));
        found.into_iter().any(|found| found == *finding)
    };
    let kept = seen.site.keep_outs.iter().find(gives)?;
    let pairs = |line: &[[f64; 2]]| line.windows(2).map(|pair| [pair[0], pair[1]]).collect();
    // A share of roots is no distance.
    let limit_m = match finding.measured.unit {
        Unit::Metre => finding.measured.limit,
        _ => 0.0,
    };
    let plain = |stretches: Vec<Stretch>| Kept {
        stretches,
        within: None,
        ground: Vec::new(),
        reach_m: limit_m,
    };
    Some(match &kept.kind {
        KeepOutKind::Tree(tree) => Kept {
            reach_m: tree.roots_m().max(tree.published_roots_m()),
            ..plain(vec![[tree.at; 2]])
        },
        KeepOutKind::BuriedLine(line) => plain(pairs(&line.line_m)),
        KeepOutKind::Boundary(boundary) => {
            Kept { within: middle(seen), ..plain(pairs(&boundary.line_m)) }
        }
        KeepOutKind::Septic(field) => {
            let mut ring = field.outline_m.clone();
            ring.extend(field.outline_m.first());
            Kept { ground: field.outline_m.clone(), ..plain(pairs(&ring)) }
        }
        KeepOutKind::Drain(drain) => plain(vec![[drain.at; 2]]),
        _ => return None,
    })
}

/// The middle of the surveyed ground.
fn middle(seen: &Seen<'_>) -> Option<[f64; 2]> {
    let surface = seen.evaluation.existing.as_deref()?;
    let places = surface.vertices().iter().map(|&v| surface.lattice().metres(v));
    let n = surface.vertices().len().max(1) as f64;
    Some(places.fold([0.0; 2], |sum, at| [0, 1].map(|k| sum[k] + at[k] / n)))
}

/// The place of some stretches that lies nearest.
fn nearest(stretches: &[Stretch], at: [f64; 2]) -> Option<[f64; 2]> {
    let foot = |&[a, b]: &Stretch| {
        let d = [b[0] - a[0], b[1] - a[1]];
        let squared = d[0] * d[0] + d[1] * d[1];
        let along = (at[0] - a[0]) * d[0] + (at[1] - a[1]) * d[1];
        let share = if squared > 0.0 { (along / squared).clamp(0.0, 1.0) } else { 0.0 };
        [0, 1].map(|k| a[k] + share * d[k])
    };
    let apart_m = |p: &[f64; 2]| libm::hypot(at[0] - p[0], at[1] - p[1]);
    stretches.iter().map(foot).min_by(|a, b| apart_m(a).total_cmp(&apart_m(b)))
}

impl Kept {
    /// The way from it to a place, of length one; back over it for a place beyond a site's edge, or on
    /// ground that is kept.
    fn away(&self, at: [f64; 2]) -> Option<[f64; 2]> {
        let foot = nearest(&self.stretches, at)?;
        let off = [at[0] - foot[0], at[1] - foot[1]];
        let inward = self.within.map(|within| [within[0] - foot[0], within[1] - foot[1]]);
        let length_m = libm::hypot(off[0], off[1]);
        let [x, y] = match inward {
            _ if contains(&self.ground, at) => off.map(|c| -c),
            Some(inward) if length_m < ON_LINE_M => inward,
            Some(inward) if inward[0] * off[0] + inward[1] * off[1] < 0.0 => off.map(|c| -c),
            _ => off,
        };
        let length_m = libm::hypot(x, y);
        (length_m > 0.0).then(|| [x / length_m, y / length_m])
    }
}

/// A work's points that lie nearer than a reach are moved out to it.
fn points_off(seen: &Seen<'_>, id: WorkId, kept: Kept) -> Trial {
    let (site, unit) = (seen.site.clone(), seen.unit);
    let most_m = kept.reach_m + MOST_M;
    let made = move |share: f64| {
        let reach_m = share * most_m;
        let mut site = site.clone();
        let work = site.works.iter_mut().find(|work| work.id == id)?;
        for field in fields(&work.clone()) {
            let FieldValue::Place(Some(at)) = field.value else { continue };
            let (foot, away) = (nearest(&kept.stretches, at)?, kept.away(at)?);
            let off_m = (at[0] - foot[0]) * away[0] + (at[1] - foot[1]) * away[1];
            if off_m < reach_m {
                let to = [0, 1].map(|k| foot[k] + reach_m * away[k]);
                set(work, &field.path, FieldValue::Place(Some(to))).ok()?;
            }
        }
        Some(site)
    };
    let length = by(most_m, unit);
    Trial::new(made, move |share| format!("Draw its points back to {} from it.", length(share)))
}

/// A whole work moved off.
fn work_off(seen: &Seen<'_>, id: WorkId, away: [f64; 2]) -> Trial {
    let site = seen.site.clone();
    let made = move |share: f64| {
        let work = site.work(id)?;
        moved(&site, work, away.map(|way| share * MOST_M * way))
    };
    let (length, side) = (by(MOST_M, seen.unit), compass([0.0; 2], away));
    Trial::new(made, move |share| format!("Move the whole work {} to the {side}.", length(share)))
}

/// A work that digs less deep, down to not at all.
fn dug_less(seen: &Seen<'_>, id: WorkId) -> Trial {
    let edit = |kind: &mut WorkKind, share: f64| {
        let left = 1.0 - share;
        match kind {
            WorkKind::Basin(basin) => {
                basin.rings.iter_mut().for_each(|ring| ring.depth_m *= left);
                if let Floor::Sump { depth_m, .. } = &mut basin.floor {
                    *depth_m *= left;
                }
            }
            WorkKind::IntakeBay(bay) => bay.depth_m *= left,
            WorkKind::FilterBed(bed) => bed.depth_m *= left,
            WorkKind::PlaneGrade(lawn) => flatter(&mut lawn.plane, share),
            WorkKind::Pad(pad) => flatter(&mut pad.plane, share),
            WorkKind::Trench(trench) => {
                trench.invert_m.iter_mut().for_each(|m| *m += share * MOST_M);
            }
            _ => {}
        }
    };
    let (rise, pipe) = (by(PLANE_RISE_M, seen.unit), by(MOST_M, seen.unit));
    let less = |share: f64| format!("{:.0} %", (100.0 * share).ceil());
    match seen.work(id).map(|work| &work.kind) {
        Some(WorkKind::PlaneGrade(_) | WorkKind::Pad(_)) => {
            Trial::of_work(seen, id, edit, move |share| {
                format!("Let it fall {} less, and raise it by {}.", less(share), rise(share))
            })
        }
        Some(WorkKind::Trench(_)) => {
            Trial::of_work(seen, id, edit, move |share| format!("Lay it {} higher.", pipe(share)))
        }
        _ => Trial::of_work(seen, id, edit, move |share| {
            format!("Let it reach {} less deep.", less(share))
        }),
    }
}

/// A plane that falls less, and lies higher.
fn flatter(plane: &mut Plane, share: f64) {
    plane.fall *= 1.0 - share;
    plane.level_m += share * PLANE_RISE_M;
}

/// The heap that lies nearest to the place of a finding, moved off.
fn heaps_off(
    seen: &Seen<'_>,
    finding: &Finding,
    at: [f64; 2],
    away: Option<[f64; 2]>,
) -> Vec<Trial> {
    let names = seen.site.stockpiles.iter().map(|heap| heap.name.as_str());
    let Some(place) = told_of(finding, names) else { return Vec::new() };
    let outline = &seen.site.stockpiles[place].outline_m;
    let n = outline.len().max(1) as f64;
    let heap = [0, 1].map(|k| outline.iter().map(|p| p[k]).sum::<f64>() / n);
    let from = [heap[0] - at[0], heap[1] - at[1]];
    let length_m = libm::hypot(from[0], from[1]);
    let to_middle = (length_m > 0.0).then(|| from.map(|c| c / length_m));
    let name = seen.site.stockpiles[place].name.clone();
    let ways = [to_middle, away].into_iter().flatten();
    let reach_m = if finding.measured.unit == Unit::Metre { finding.measured.limit } else { 0.0 };
    let most_m = MOST_M + reach_m;
    let off = |way: [f64; 2]| {
        let (site, name) = (seen.site.clone(), name.clone());
        let made = move |share: f64| {
            let mut site: Site = site.clone();
            for point in &mut site.stockpiles[place].outline_m {
                *point = [0, 1].map(|k| point[k] + share * most_m * way[k]);
            }
            Some(site)
        };
        let (length, side) = (by(most_m, seen.unit), compass([0.0; 2], way));
        Trial::new(made, move |share| format!("Move {name} {} to the {side}.", length(share)))
    };
    ways.map(off).collect()
}

/// A heap beside a hole or in the way in, moved off it.
pub(super) fn from_hole(seen: &Seen<'_>, finding: &Finding) -> Vec<Trial> {
    heaps_off(seen, finding, [finding.at_m[0], finding.at_m[1]], None)
}

/// The way in led round: one more point of it, off the place where it comes nearest.
fn way_round(
    seen: &Seen<'_>,
    finding: &Finding,
    at: [f64; 2],
    away: Option<[f64; 2]>,
) -> Option<Trial> {
    let carry = &seen.site.carry;
    if !finding.message.starts_with("The way in") || carry.access_m.len() < 2 {
        return None;
    }
    let line: Vec<Stretch> = carry.access_m.windows(2).map(|pair| [pair[0], pair[1]]).collect();
    let foot = nearest(&line, at)?;
    let is_on = |[a, b]: &Stretch| crate::stretch::to_stretch_m(foot, [*a, *b]) < ON_LINE_M;
    let stretch = line.iter().position(is_on)?;
    let off = [foot[0] - at[0], foot[1] - at[1]];
    let length_m = libm::hypot(off[0], off[1]);
    let way = if length_m > ON_LINE_M { off.map(|c| c / length_m) } else { away? };
    let site = seen.site.clone();
    let made = move |share: f64| {
        let mut site = site.clone();
        let round = [0, 1].map(|k| foot[k] + share * MOST_M * way[k]);
        site.carry.access_m.insert(stretch + 1, round);
        Some(site)
    };
    let (length, side) = (by(MOST_M, seen.unit), compass([0.0; 2], way));
    let told = move |share| format!("Lead the way in round it, {} to the {side}.", length(share));
    Some(Trial::new(made, told))
}
