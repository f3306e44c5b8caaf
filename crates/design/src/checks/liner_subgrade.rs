//! Ground on which a liner, or what lies on it, does not stay.
//!
//! ```text
//!     gravel or earth on the liner slides from 2 1/2 to 1; a bare liner is stretched from 1 to 1
//!    ‾‾\
//!       \ side        a shelf that falls outward, to the bank, lets gravel and pots slide off it
//!        \____
//! ```
//! Boulders set on a shelf stand by themselves, and a side under stone is not looked at. Overhangs
//! cannot be drawn: no ground stands over itself.

use std::collections::BTreeMap;

use ground::{Sum, Tag, query};
use site::field::{Quantity, number_text};
use site::works::{Basin, BasinRing, BuildUp};
use site::{Work, WorkKind};
use units::{area_text, length_text};

use super::COMMON_PRACTICE;
use super::seen::Seen;
use super::words::percent;
use crate::layers::Layers;
use crate::part::Part;
use crate::{Code, Finding, Measured, Remedy, Severity, Unit};

/// A grade that exceeds the limit by less than this share is within it.
const SAME_GRADE: f64 = 1e-3;
/// Less steep ground than this is a corner, square metres.
const LEAST_AREA_M2: f64 = 0.25;
const SOURCE: &str = "NRCS Arizona construction specification 521A (2008): exposed liner banks to 1 to 1, \
     buried ones to 2 1/2 to 1";
/// Thinner cover is silt, metres.
const LEAST_COVER_M: f64 = 0.005;
/// A shelf that rises inward by less is level as a crew digs it, metres.
const LEAST_TILT_M: f64 = 0.01;

pub(super) fn check(seen: &Seen<'_>) -> Vec<Finding> {
    let layers = Layers::of(seen.site);
    let mut findings = steep(seen, &layers);
    for work in seen.visible() {
        findings.extend(unbedded(seen, work, &layers));
        if let WorkKind::Basin(basin) = &work.kind {
            findings.extend(tilted(seen, work, basin));
        }
    }
    findings
}

/// A ring that lies higher than the one outside it: the ground between falls outward.
fn tilted(seen: &Seen<'_>, work: &Work, basin: &Basin) -> Option<Finding> {
    let rise_m = |pair: &[BasinRing]| pair[0].depth_m - pair[1].depth_m;
    let pairs = (1..).zip(basin.rings.windows(2));
    let (outer, pair) = pairs.max_by(|a, b| rise_m(a.1).total_cmp(&rise_m(b.1)))?;
    let rise_m = rise_m(pair);
    if rise_m <= LEAST_TILT_M {
        return None;
    }
    let depth_m = pair[0].depth_m;
    let at = basin.outline.points.first().copied()?;
    Some(Finding {
        code: Code::LinerSubgrade,
        severity: Severity::LookAt,
        work: Some(work.id),
        at_m: seen.on_ground(at),
        measured: Measured { value: rise_m, limit: 0.0, unit: Unit::Metre },
        message: format!(
            "Ring {} lies {} higher than ring {outer}, which is outside it: the shelf between falls \
             toward the bank, and what lies on it slides off the liner there.",
            outer + 1,
            length_text(rise_m, seen.unit),
        ),
        remedy: Some(Remedy {
            message: format!(
                "Dig ring {} to {} under water, level with ring {outer} or lower.",
                outer + 1,
                length_text(depth_m, seen.unit)
            ),
            site: seen.with(work.id, |kind| {
                if let WorkKind::Basin(basin) = kind {
                    basin.rings[outer].depth_m = depth_m;
                }
            }),
        }),
        source: COMMON_PRACTICE,
        caution: None,
    })
}

/// What lies on a liner's bank.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
enum Cover {
    Bare,
    Loose,
}

impl Cover {
    /// None where no liner lies, and under stone, which stands by itself.
    fn of(on: BuildUp) -> Option<Self> {
        if on.liner_m <= 0.0 || on.stone_m > 0.0 {
            return None;
        }
        Some(if on.gravel_m + on.topsoil_m > LEAST_COVER_M { Self::Loose } else { Self::Bare })
    }
}

/// Steep ground under a liner.
#[derive(Default)]
struct Tally {
    /// The bands in which it lies, one bit for each.
    bands: u64,
    area: Sum,
    whole: Sum,
    steepest: Option<(f64, [f64; 2])>,
}

fn steep(seen: &Seen<'_>, layers: &Layers) -> Vec<Finding> {
    let Some(finished) = seen.evaluation.finished.as_deref() else { return Vec::new() };
    let mut tallies: BTreeMap<(u32, Cover), Tally> = BTreeMap::new();
    for (face, of) in (0..).zip(finished.faces()) {
        if !matches!(Part::of(of.tag.part), Part::Side | Part::Shelf | Part::Bed) {
            continue;
        }
        // A filter is filled with gravel, which holds its sides, and a bay has one build-up for its floor
        // and its sides, which are of stone.
        let of_kind = seen.owner(of.tag.owner).map(|work| &work.kind);
        if !matches!(of_kind, Some(WorkKind::Basin(_) | WorkKind::Stream(_))) {
            continue;
        }
        let Some(cover) = Cover::of(layers.on(of.tag)) else { continue };
        let grade = finished.plane(face).grade(finished.lattice());
        let tally = tallies.entry((of.tag.owner, cover)).or_default();
        let area_m2 = query::face_area_m2(finished, face);
        tally.whole.add(area_m2);
        if grade * limit(seen, cover) > 1.0 + SAME_GRADE {
            tally.area.add(area_m2);
            tally.bands |= 1_u64.checked_shl(Part::band_of(of.tag.part)).unwrap_or(0);
            if tally.steepest.is_none_or(|(steepest, _)| grade > steepest) {
                let corners = finished.corners(face).map(|p| finished.lattice().metres(p));
                let middle = [0, 1].map(|k| corners.iter().map(|c| c[k]).sum::<f64>() / 3.0);
                tally.steepest = Some((grade, middle));
            }
        }
    }
    tallies
        .into_iter()
        .filter_map(|((owner, cover), tally)| too_steep(seen, seen.owner(owner)?, cover, &tally))
        .collect()
}

fn limit(seen: &Seen<'_>, cover: Cover) -> f64 {
    match cover {
        Cover::Bare => seen.site.limits.bare_liner_run_per_rise,
        Cover::Loose => seen.site.limits.covered_bank_run_per_rise,
    }
}

fn too_steep(seen: &Seen<'_>, work: &Work, cover: Cover, tally: &Tally) -> Option<Finding> {
    let (grade, at) = tally.steepest.filter(|_| tally.area.value() >= LEAST_AREA_M2)?;
    let (run, limit) = (1.0 / grade, limit(seen, cover));
    let slope_text = |run: f64| number_text(run, Quantity::RunPerRise, seen.unit);
    let (what, to_do) = match cover {
        Cover::Bare => ("bare liner", "Ease the bank, or set stone on it"),
        Cover::Loose => (
            "gravel or earth on the liner",
            "Set stone on that bank, which holds what lies \
             on it, or ease it",
        ),
    };
    Some(Finding {
        code: Code::LinerSubgrade,
        severity: Severity::LookAt,
        work: Some(work.id),
        at_m: seen.on_ground(at),
        measured: Measured { value: run, limit, unit: Unit::RunPerRise },
        message: format!(
            "{} of the banks under {what} ({}) are steeper than {}, at the steepest {}: it does not stay.",
            area_text(tally.area.value(), seen.unit),
            percent(tally.area.value() / tally.whole.value()),
            slope_text(limit),
            slope_text(run),
        ),
        remedy: Some(Remedy {
            message: format!(
                "{to_do} to {}; the stone {} thick.",
                slope_text(limit),
                length_text(STONE_M, seen.unit)
            ),
            site: seen.with(work.id, |kind| set_stone(kind, tally.bands)),
        }),
        source: SOURCE,
        caution: None,
    })
}

/// Stone upon a liner that has nothing under it.
fn unbedded(seen: &Seen<'_>, work: &Work, layers: &Layers) -> Option<Finding> {
    let finished = seen.evaluation.finished.as_deref()?;
    let on = |tag: Tag| (tag.owner == work.id.0).then(|| layers.on(tag));
    let face = finished.faces().iter().position(|face| {
        on(face.tag).is_some_and(|on| on.liner_m > 0.0 && on.stone_m > 0.0 && on.bedding_m <= 0.0)
    })? as u32;
    let stone_m = layers.on(finished.faces()[face as usize].tag).stone_m;
    let corners = finished.corners(face).map(|p| finished.lattice().metres(p));
    let middle = [0, 1].map(|k| corners.iter().map(|c| c[k]).sum::<f64>() / 3.0);
    Some(Finding {
        code: Code::LinerSubgrade,
        severity: Severity::LookAt,
        work: Some(work.id),
        at_m: seen.on_ground(middle),
        measured: Measured { value: 0.0, limit: UNDER_STONE_M, unit: Unit::Metre },
        message: format!(
            "{} of stone lies on the liner, and nothing lies under it.",
            length_text(stone_m, seen.unit)
        ),
        remedy: Some(Remedy {
            message: format!(
                "Lay {} of bedding or underlay under the liner.",
                length_text(UNDER_STONE_M, seen.unit)
            ),
            site: seen.with(work.id, bed),
        }),
        source: COMMON_PRACTICE,
        caution: None,
    })
}

/// Bedding under a liner that carries stone, metres: an inch, or a heavy underlay.
const UNDER_STONE_M: f64 = 0.0254;

/// Stone that holds what lies on a steep bank, metres: common practice.
const STONE_M: f64 = 0.1;

/// Sets stone in some bands of a pond, on its bedding, or on the bed and the sides of a stream.
fn set_stone(kind: &mut WorkKind, bands: u64) {
    let set = |on: &mut BuildUp| {
        on.stone_m = STONE_M;
        on.bedding_m = on.bedding_m.max(UNDER_STONE_M);
    };
    match kind {
        WorkKind::Basin(basin) => {
            let rings = basin.rings.iter_mut().map(|ring| &mut ring.build_up);
            let all = std::iter::once(&mut basin.build_up).chain(rings);
            for (band, on) in all.enumerate() {
                if bands >> band.min(63) & 1 == 1 {
                    set(on);
                }
            }
        }
        WorkKind::Stream(stream) => {
            set(&mut stream.bed_build_up);
            set(&mut stream.side_build_up);
        }
        _ => {}
    }
}

/// Lays bedding wherever stone lies on a liner without it.
fn bed(kind: &mut WorkKind) {
    let lay = |on: &mut BuildUp| {
        if on.liner_m > 0.0 && on.stone_m > 0.0 && on.bedding_m <= 0.0 {
            on.bedding_m = UNDER_STONE_M;
        }
    };
    match kind {
        WorkKind::Basin(basin) => {
            lay(&mut basin.build_up);
            lay(&mut basin.rim_build_up);
            lay(&mut basin.bank_build_up);
            basin.rings.iter_mut().for_each(|ring| lay(&mut ring.build_up));
        }
        WorkKind::Stream(stream) => {
            lay(&mut stream.bed_build_up);
            lay(&mut stream.side_build_up);
            lay(&mut stream.bank_build_up);
        }
        WorkKind::FilterBed(bed) => {
            lay(&mut bed.build_up);
            lay(&mut bed.bank_build_up);
        }
        WorkKind::IntakeBay(bay) => {
            lay(&mut bay.build_up);
            lay(&mut bay.bank_build_up);
        }
        _ => {}
    }
}
