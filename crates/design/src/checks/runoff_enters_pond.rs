//! Ground outside a pond that drains over its rim into its water: it brings silt, and what a lawn was
//! fed with.
//!
//! ```text
//!   lawn ‾‾‾‾----____   rim
//!                    ‾‾|___|  ~~~~~~~~~ water
//! ```
//! What a pond's own rim and banks, its streams, filters, walls and the hill behind them shed runs in by
//! nature and isn't counted; existing ground, lawns, paths and paving are, over whatever they run. A
//! place drains in when the steepest way down from it comes to the water's shore; hollows on the way
//! keep what they get, but for those that no survey tells from level ground.

use std::collections::BTreeMap;

use ground::query::face_area_m2;
use site::{Work, WorkKind};
use units::{LengthUnit, area_text, length_text, water_text};

use super::COMMON_PRACTICE;
use super::drainage::{Drainage, N_SECTORS, Pond, place, sector};
use super::seen::Seen;
use super::words::{compass, stretch_text};
use crate::{Code, Finding, Measured, Remedy, Severity, Unit};

/// Less ground than this is a strip along the rim, square metres.
const LEAST_M2: f64 = 1.0;
/// Water comes in along the stretches of the shore that take this share of all.
const MAIN_SHARE: f64 = 0.9;
/// Fall of a swale: rise per run. IBC 1804.3 asks for 2 % (H-12).
const SWALE_FALL: f64 = 0.02;
/// Rain that the finding reckons with, metres, and what it is called: about an inch.
const RAIN_METRIC: (f64, &str) = (0.025, "25 mm");
const RAIN_FEET: (f64, &str) = (0.0254, "1 in");

pub(super) fn check(seen: &Seen<'_>) -> Vec<Finding> {
    let Some(drainage) = seen.drainage() else { return Vec::new() };
    drainage.ponds.iter().filter_map(|pond| of_pond(seen, drainage, pond)).collect()
}

/// What drains into a pond from outside.
#[derive(Default)]
struct Inflow {
    area_m2: f64,
    by_sector: [f64; N_SECTORS],
    by_owner: BTreeMap<u32, f64>,
}

fn of_pond(seen: &Seen<'_>, drainage: &Drainage<'_>, pond: &Pond) -> Option<Finding> {
    let inflow = inflow(seen, drainage, pond);
    let limit_m2 = (seen.site.limits.pond_runoff_share * pond.area_m2).max(LEAST_M2);
    if inflow.area_m2 <= limit_m2 {
        return None;
    }
    let main = main_sectors(&inflow.by_sector);
    let outward = mean_outward(&inflow.by_sector);
    let (at, shore_m) = shore(drainage, pond, &main, outward);
    let owner = inflow.by_owner.iter().max_by(|a, b| a.1.total_cmp(b.1))?.0;
    let from = seen.owner(*owner).map_or("existing ground", |work| work.name.as_str());
    let area = |m2: f64| area_text(m2, seen.unit);
    let (rain_m, rain) = if seen.unit == LengthUnit::Metre { RAIN_METRIC } else { RAIN_FEET };
    let side = compass([0.0; 2], outward);
    let message = format!(
        "Rain on {} of ground outside the pond, most of it {from}, runs over its rim into the water, \
         most of it on the {side} side: up to {} with each {rain} of rain.",
        area(inflow.area_m2),
        water_text(inflow.area_m2 * rain_m, seen.unit),
    );
    let remedy = format!(
        "Lead it past in a swale along {} of the {side} side, which falls by {}, or raise the rim \
         above the ground beside it there.",
        stretch_text(shore_m, seen.unit),
        length_text(SWALE_FALL * shore_m, seen.unit),
    );
    Some(Finding {
        code: Code::RunoffEntersPond,
        severity: Severity::LookAt,
        work: Some(pond.work),
        at_m: [at[0], at[1], pond.level_m],
        measured: Measured { value: inflow.area_m2, limit: limit_m2, unit: Unit::SquareMetre },
        message,
        remedy: Some(Remedy { message: remedy, site: None }),
        source: COMMON_PRACTICE,
        caution: None,
    })
}

fn inflow(seen: &Seen<'_>, drainage: &Drainage<'_>, pond: &Pond) -> Inflow {
    let mut inflow = Inflow::default();
    for f in 0..drainage.surface.faces().len() as u32 {
        let owner = drainage.surface.faces()[f as usize].tag.owner;
        if !counts(seen.owner(owner)) || pond.holders.binary_search(&owner).is_ok() {
            continue;
        }
        let mut face_m2 = None;
        drainage.catchments.each_part(f, |part| {
            if let Some(sector) = pond.sector_of(drainage.to[part.end]) {
                let face_m2 = *face_m2.get_or_insert_with(|| face_area_m2(drainage.surface, f));
                let area_m2 = part.share * face_m2;
                inflow.area_m2 += area_m2;
                inflow.by_sector[sector] += area_m2;
                *inflow.by_owner.entry(owner).or_default() += area_m2;
            }
        });
    }
    inflow
}

/// Whether what a work's ground sheds into a pond is told.
fn counts(work: Option<&Work>) -> bool {
    match work.map(|work| &work.kind) {
        None | Some(WorkKind::PlaneGrade(_) | WorkKind::Pad(_) | WorkKind::Path(_)) => true,
        Some(
            WorkKind::Basin(_)
            | WorkKind::Stream(_)
            | WorkKind::Hill(_)
            | WorkKind::Wall(_)
            | WorkKind::FilterBed(_)
            | WorkKind::IntakeBay(_)
            | WorkKind::Trench(_)
            | WorkKind::Strip(_),
        ) => false,
    }
}

/// The way from which the most comes.
fn mean_outward(by_sector: &[f64; N_SECTORS]) -> [f64; 2] {
    let mut sum = [0.0, 0.0];
    for (sector, area_m2) in by_sector.iter().enumerate() {
        let outward = Pond::outward(sector);
        sum = [0, 1].map(|k| sum[k] + area_m2 * outward[k]);
    }
    let length = libm::hypot(sum[0], sum[1]);
    // From all sides alike.
    if length > 0.0 { sum.map(|part| part / length) } else { [0.0, 1.0] }
}

/// The fewest sectors that take nearly all.
fn main_sectors(by_sector: &[f64; N_SECTORS]) -> Vec<usize> {
    let all: f64 = by_sector.iter().sum();
    let mut order: Vec<usize> = (0..N_SECTORS).collect();
    order.sort_by(|&a, &b| by_sector[b].total_cmp(&by_sector[a]).then(a.cmp(&b)));
    let mut taken = 0.0;
    order
        .into_iter()
        .take_while(|&sector| {
            let goes_on = taken < MAIN_SHARE * all && by_sector[sector] > 0.0;
            taken += by_sector[sector];
            goes_on
        })
        .collect()
}

/// The place of the shore in some sectors that lies nearest to a direction from the pond's middle, and
/// the shore's length there, metres.
fn shore(
    drainage: &Drainage<'_>,
    pond: &Pond,
    sectors: &[usize],
    outward: [f64; 2],
) -> ([f64; 2], f64) {
    let surface = drainage.surface;
    let mut length_m = 0.0;
    let mut best: Option<(f64, [f64; 2])> = None;
    for f in 0..surface.faces().len() as u32 {
        if pond.holders.binary_search(&surface.faces()[f as usize].tag.owner).is_err() {
            continue;
        }
        let Some([a, b]) = waterline(surface, f, pond.level_m) else { continue };
        // A face is of one sector, wherever the water lies on it.
        if !sectors.contains(&sector(pond.middle, place(surface, f))) {
            continue;
        }
        length_m += libm::hypot(b[0] - a[0], b[1] - a[1]);
        let middle = [0.5 * (a[0] + b[0]), 0.5 * (a[1] + b[1])];
        for at in [middle, a, b] {
            let way = [at[0] - pond.middle[0], at[1] - pond.middle[1]];
            let along = (way[0] * outward[0] + way[1] * outward[1]) / libm::hypot(way[0], way[1]);
            if best.is_none_or(|(most, _)| along > most) {
                best = Some((along, at));
            }
        }
    }
    // Water that comes in by a stream's mouth alone crosses no shore of the pond's own.
    (best.map_or(pond.middle, |(_, at)| at), length_m)
}

/// Where a level crosses a face.
fn waterline(surface: &ground::Surface, f: u32, level_m: f64) -> Option<[[f64; 2]; 2]> {
    let z = surface.corner_heights(f);
    let p = surface.corners(f).map(|c| surface.lattice().metres(c));
    let mut ends = (0..3).filter_map(|k| {
        let n = (k + 1) % 3;
        let share = (level_m - z[k]) / (z[n] - z[k]);
        ((z[k] < level_m) != (z[n] < level_m))
            .then(|| [0, 1].map(|i| p[k][i] + share * (p[n][i] - p[k][i])))
    });
    Some([ends.next()?, ends.next()?])
}
