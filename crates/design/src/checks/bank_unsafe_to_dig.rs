//! Holes whose banks do not stand while they are open, and earth heaped too near their edge.
//!
//! ```text
//!        hill or heap beside the hole counts with its height
//!          ____q
//!         /         a bank is steep where q stands above p by more than the way between them allows:
//!    ____/          class C, 1 1/2 to 1
//!        |
//!   p____|  toe
//! ```
//! Looked for on the subgrade, which has every hole dug and every hill placed, along lines straight up
//! each face that is too steep by itself: no bank is too steep without such a face. Heights below those
//! at which protection is asked for are left to the eye of a competent person on the site, who looks at
//! every hole.

use std::collections::BTreeMap;

use site::earth::SoilClass;
use site::field::{Quantity, number_text};
use site::{Work, WorkKind};
use units::length_text;

use self::relief::{Line, Relief};
use super::near::{Grouped, Near, Piece};
use super::seen::Seen;
use super::words::enough_text;
use crate::part::Part;
use crate::{Code, Finding, Measured, Remedy, Severity, Unit};

mod heaps;
mod relief;

const SOURCE: &str = "29 CFR 1926.652(a)(1), 5 ft; 1926 Subpart P Appendix B table B-1, slopes by class of \
     soil, class C unless told";
const CAUTION: &str = "Planning help only. A bank can fall without a sign at any depth: a competent person \
     looks at it each day and after rain, keeps machines and people off the edge, and pumps the hole dry.";

/// Faces in one box of this side are looked at once, metres.
const EVERY_M: f64 = 0.5;
/// More places than a garden has.
const MOST_PLACES: usize = 2000;
/// What exceeds a grade by less is within it.
const SAME: f64 = 1e-6;

pub(super) fn check(seen: &Seen<'_>) -> Vec<Finding> {
    let mut findings: Vec<Finding> = steep(seen).into_iter().collect();
    findings.extend(heaps::check(seen));
    findings
}

/// Steepest bank of a class of soil while it is open, run per rise (K-01).
pub(super) fn run_per_rise(class: SoilClass) -> f64 {
    match class {
        SoilClass::StableRock => 0.0,
        SoilClass::A => 0.75,
        SoilClass::B => 1.0,
        SoilClass::C => 1.5,
    }
}

/// The loosest class of the site's soils: banks are cut through all of them.
pub(super) fn loosest(seen: &Seen<'_>) -> SoilClass {
    let classes = seen.site.soils.layers.iter().map(|soil| soil.class);
    classes.max_by(|a, b| run_per_rise(*a).total_cmp(&run_per_rise(*b))).unwrap_or(SoilClass::C)
}

/// A bank that is too steep: from its toe to the top of what stands beside it.
struct Bank {
    toe_m: [f64; 3],
    height_m: f64,
    /// Run over rise, where it is the steepest.
    run: f64,
    owner: u32,
}

fn steep(seen: &Seen<'_>) -> Option<Finding> {
    let run = run_per_rise(loosest(seen));
    let limit_m = seen.site.limits.open_depth_m;
    let trench = deepest_trench(seen, limit_m);
    let bank = tallest_bank(seen, run).filter(|bank| bank.height_m > limit_m);
    match (bank, trench) {
        (Some(bank), trench) if trench.as_ref().is_none_or(|t| t.height_m <= bank.height_m) => {
            Some(bank_finding(seen, &bank, run))
        }
        (_, trench) => trench.map(|trench| bank_finding(seen, &trench, run)),
    }
}

/// The tallest bank that is steeper than its soil allows.
fn tallest_bank(seen: &Seen<'_>, run: f64) -> Option<Bank> {
    let subgrade = seen.evaluation.between.as_ref()?.subgrade.as_ref();
    let [low_m, high_m] = ground::query::extent_z(subgrade)?;
    // No bank is taller than what is dug and what is raised together.
    let earth = &seen.evaluation.earth;
    let most_m = (earth.deepest_cut_m + earth.highest_fill_m + seen.site.soils.topsoil.strip_m)
        .min(high_m - low_m);
    if most_m <= seen.site.limits.open_depth_m {
        return None;
    }
    let reach_m = run.max(0.1) * most_m;
    let end = |&(at, uphill, _): &SteepPlace, by_m: f64| [0, 1].map(|k| at[k] + by_m * uphill[k]);
    let mut places = steep_places(seen, subgrade, run);
    let relief = Relief::of(subgrade);
    places.retain(|place| {
        let line = Line { from: end(place, -reach_m), way: place.1, length_m: 2.0 * reach_m };
        relief.may_hold(&line, run, seen.site.limits.open_depth_m)
    });
    if places.is_empty() {
        return None;
    }
    let on_plan: Vec<[f64; 2]> = places.iter().map(|(at, ..)| *at).collect();
    let near = Near::new(&Grouped::new(subgrade), &on_plan, reach_m);
    let bank = |place: &SteepPlace| {
        let pieces = near.section(end(place, -reach_m), end(place, reach_m));
        let (toe, height_m, run) = tallest_pair(&pieces, run, seen.site.limits.open_depth_m)?;
        let toe_m = end(place, toe[0] - reach_m);
        Some(Bank { toe_m: [toe_m[0], toe_m[1], toe[1]], height_m, run, owner: place.2 })
    };
    places.iter().filter_map(bank).max_by(|a, b| a.height_m.total_cmp(&b.height_m))
}

/// The middle of a face, the way straight up it, and the work that dug it.
type SteepPlace = ([f64; 2], [f64; 2], u32);

/// Faces that works dug steeper than allowed, the steepest of each box.
fn steep_places(seen: &Seen<'_>, subgrade: &ground::Surface, run: f64) -> Vec<SteepPlace> {
    let lattice = subgrade.lattice();
    let mut boxes: BTreeMap<[i64; 2], (f64, SteepPlace)> = BTreeMap::new();
    for (face, of) in (0..).zip(subgrade.faces()) {
        let is_dug = matches!(
            Part::of(of.tag.part),
            Part::Side | Part::CutBank | Part::Shelf | Part::Floor | Part::Bed
        );
        if !is_dug || seen.owner(of.tag.owner).is_none() {
            continue;
        }
        let plane = subgrade.plane(face);
        let grade = plane.grade(lattice);
        if grade * run <= 1.0 + SAME || grade <= 0.0 {
            continue;
        }
        let corners = subgrade.corners(face).map(|p| lattice.metres(p));
        let heights = subgrade.corner_heights(face);
        let middle = [0, 1].map(|k| corners.iter().map(|c| c[k]).sum::<f64>() / 3.0);
        let Some(uphill) = uphill(corners, heights) else { continue };
        let key = middle.map(|c| (c / EVERY_M).floor() as i64);
        let steeper = boxes.get(&key).is_none_or(|(known, _)| grade > *known);
        if steeper {
            boxes.insert(key, (grade, (middle, uphill, of.tag.owner)));
        }
    }
    boxes.into_values().map(|(_, place)| place).take(MOST_PLACES).collect()
}

/// The way straight up a triangle, of length one; none where it is level or has no area.
fn uphill(corners: [[f64; 2]; 3], heights: [f64; 3]) -> Option<[f64; 2]> {
    let d = |k: usize| [corners[k][0] - corners[0][0], corners[k][1] - corners[0][1]];
    let (a, b) = (d(1), d(2));
    let (za, zb) = (heights[1] - heights[0], heights[2] - heights[0]);
    let area = a[0] * b[1] - a[1] * b[0];
    let slope = [za * b[1] - zb * a[1], zb * a[0] - za * b[0]].map(|c| c / area);
    let steep = libm::hypot(slope[0], slope[1]);
    (steep.is_finite() && steep > 0.0).then(|| slope.map(|c| c / steep))
}

/// Of two places along a line, the later one too high above the earlier one, the pair that is the
/// farthest apart in height: the earlier one's station and level, the height, and the least run over
/// rise of any that are more than `least_m` apart.
fn tallest_pair(pieces: &[Piece], run: f64, least_m: f64) -> Option<([f64; 2], f64, f64)> {
    let places: Vec<[f64; 2]> = pieces
        .iter()
        .flat_map(|piece| [0, 1].map(|k| [piece.stations_m[k], piece.z_m[k]]))
        .collect();
    let mut tallest: Option<([f64; 2], f64)> = None;
    let mut steepest = f64::INFINITY;
    // From each place on the highest.
    let mut highest_m: Vec<f64> = places.iter().map(|place| place[1]).collect();
    for i in (1..places.len()).rev() {
        highest_m[i - 1] = highest_m[i - 1].max(highest_m[i]);
    }
    for (i, low) in places.iter().enumerate() {
        if highest_m[i] - low[1] <= least_m {
            continue;
        }
        for high in &places[i + 1..] {
            let (way_m, height_m) = (high[0] - low[0], high[1] - low[1]);
            let is_steep = height_m > least_m && way_m < run * height_m - SAME;
            if is_steep {
                steepest = f64::min(steepest, way_m / height_m);
                if tallest.is_none_or(|(_, known_m)| height_m > known_m) {
                    tallest = Some((*low, height_m));
                }
            }
        }
    }
    tallest.map(|(low, height_m)| (low, height_m, steepest))
}

/// The deepest open trench below a limit, whose sides are steeper than its soil allows.
fn deepest_trench(seen: &Seen<'_>, limit_m: f64) -> Option<Bank> {
    let run = run_per_rise(loosest(seen));
    let deepest = seen.built().filter_map(|(work, outcome)| {
        let WorkKind::Trench(trench) = &work.kind else { return None };
        let deepest_m = outcome.trench.as_ref()?.deepest_m;
        let at = *trench.line.points.first()?;
        let [x, y, z_m] = seen.on_ground(at);
        let bank =
            Bank { toe_m: [x, y, z_m], height_m: deepest_m, run: trench.side, owner: work.id.0 };
        (deepest_m > limit_m && trench.side < run - SAME).then_some(bank)
    });
    deepest.max_by(|a, b| a.height_m.total_cmp(&b.height_m))
}

fn bank_finding(seen: &Seen<'_>, bank: &Bank, run: f64) -> Finding {
    let limit_m = seen.site.limits.open_depth_m;
    let length = |m: f64| length_text(m, seen.unit);
    let work = seen.owner(bank.owner);
    let is_trench = matches!(work, Some(Work { kind: WorkKind::Trench(_), .. }));
    let (what, tall, shape) = if is_trench {
        ("The trench is", "deep", "sides stand")
    } else {
        ("From its toe to the top of what stands beside it the open bank is", "high", "bank stands")
    };
    let [stands, asked] = both_lean(seen, [bank.run, run]);
    Finding {
        code: Code::BankUnsafeToDig,
        severity: Severity::Stop,
        work: work.map(|work| work.id),
        at_m: bank.toe_m,
        measured: Measured { value: bank.height_m, limit: limit_m, unit: Unit::Metre },
        message: format!(
            "{what} {} {tall}, and its {shape} at {}: from {} it must be shored or lie back at {} in this soil.",
            length(bank.height_m),
            stands,
            length(limit_m),
            asked,
        ),
        remedy: Some(Remedy {
            message: format!(
                "Lay it back by {} more while it is open, bench it, or shore it; raise the hill \
                 beside it after the hole is lined.",
                enough_text((run - bank.run).max(0.0) * bank.height_m, seen.unit)
            ),
            site: None,
        }),
        source: SOURCE,
        caution: Some(CAUTION),
    }
}

/// How a bank leans and how it should, so that two that differ read so.
fn both_lean(seen: &Seen<'_>, [run, asked]: [f64; 2]) -> [String; 2] {
    let [stands, asks] = [run, asked].map(|run| leans(seen, run));
    if stands == asks {
        [format!("1 in {run:.2}"), format!("1 in {asked:.2}")]
    } else {
        [stands, asks]
    }
}

/// How a bank leans: "0.2 to 1", "1 in 1.5".
fn leans(seen: &Seen<'_>, run: f64) -> String {
    number_text(run, Quantity::RunPerRise, seen.unit)
}
