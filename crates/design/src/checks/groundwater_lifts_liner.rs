//! Groundwater that lifts a pond's liner and what lies on it: with the pond full, low, and drained.
//!
//! ```text
//!      water        ~~~~~~~~~~~~~         the water and the cover hold the liner down,
//!   groundwater ▽___________________      the groundwater's head above it pushes it up
//!      cover        ::::::::::::
//!      liner        ============
//! ```
//! On a liner under water the head that lifts is how far the groundwater stands above the water, and
//! the cover weighs less by the water that it displaces; on one that lies dry it is how far the
//! groundwater stands above the liner, and all of the cover's weight counts (K-26). A pipe that runs
//! under the floor and on to lower ground holds the groundwater down to its highest invert there, when it
//! carries what the ground brings.

mod remedy;

use ground::Surface;
use ground::curve::contains;
use site::works::Trench;
use site::{KeepOutKind, Work, WorkId, WorkKind};
use units::{area_text, elevation_text, flow_text, length_text};

use super::seen::Seen;
use crate::layers::Layers;
use crate::running::drain;
use crate::works::outline_ring;
use crate::{Code, DrainOutcome, Finding, Measured, Severity, Unit, trench};

/// Weight of stone, gravel and earth on a liner over that of water: 120 lb in a cubic foot.
const COVER_DENSITY: f64 = 1.922;
/// A low pond stands this far below its level, metres: a dry month without a fill; common practice.
const LOW_M: f64 = 0.3;
/// A pipe's end stands in the open where the ground lies no higher above its invert, metres.
const COVERED_M: f64 = 0.05;
/// Places along a trench are looked at every so often, metres, and so many of them at most.
const LOOK_EVERY_M: f64 = 0.25;
const MOST_LOOKS: f64 = 2000.0;
/// A drain's outlet within this of a pipe's end takes its water, metres.
const AT_DRAIN_M: f64 = 1.0;

const SOURCE: &str = "hydrostatics; cover at 120 lb/ft3, factor 1.2 common practice";

pub(super) fn check(seen: &Seen<'_>) -> Vec<Finding> {
    let Some(water_table_m) = seen.site.soils.groundwater_m else { return Vec::new() };
    let between = seen.evaluation.between.as_ref();
    let Some(liner) = between.and_then(|between| between.liner.as_deref()) else {
        return Vec::new();
    };
    let layers = Layers::of(seen.site);
    let pond = |work: &Work| {
        let water_m = match &work.kind {
            WorkKind::Basin(basin) => basin.water_level_m,
            WorkKind::IntakeBay(bay) => bay.water_level_m,
            _ => return None,
        };
        of_pond(
            seen,
            work,
            &Lined { liner, layers: &layers, owner: work.id.0, water_m },
            water_table_m,
        )
    };
    seen.visible().filter_map(pond).collect()
}

/// A pond's liner.
struct Lined<'e> {
    liner: &'e Surface,
    layers: &'e Layers,
    owner: u32,
    /// Level of the full pond, metres.
    water_m: f64,
}

/// How much water stands in the pond.
#[derive(Clone, Copy, Debug, PartialEq)]
enum Filled {
    Full,
    Low,
    Drained,
}

/// Where a liner is held down least.
#[derive(Clone, Copy, Debug, PartialEq)]
struct Least {
    /// The cover's weight over the uplift.
    factor: f64,
    at: [f64; 3],
    /// The head that lifts, metres.
    head_m: f64,
    /// The cover's thickness, metres.
    cover_m: f64,
    /// Plan area on which the factor lies below its limit, of whole faces, square metres.
    area_m2: f64,
}

impl Lined<'_> {
    fn faces(&self) -> impl Iterator<Item = u32> + '_ {
        let own = |f: &u32| self.liner.faces()[*f as usize].tag.owner == self.owner;
        (0..self.liner.faces().len() as u32).filter(own)
    }

    /// Its area on plan, square metres.
    fn area_m2(&self) -> f64 {
        self.faces().map(|f| ground::query::face_area_m2(self.liner, f)).sum()
    }

    /// The level of its lowest place, metres.
    fn floor_m(&self) -> f64 {
        let lowest =
            |f: u32| self.liner.corner_heights(f).into_iter().fold(f64::INFINITY, f64::min);
        self.faces().map(lowest).fold(f64::INFINITY, f64::min)
    }

    /// Where groundwater at a level lifts it most; none where it lifts nothing.
    fn least(&self, water_table_m: f64, filled: Filled, limit: f64) -> Option<Least> {
        let water_m = match filled {
            Filled::Full => self.water_m,
            Filled::Low => self.water_m - LOW_M,
            Filled::Drained => f64::NEG_INFINITY,
        };
        let mut least: Option<Least> = None;
        let mut area_m2 = 0.0;
        for f in self.faces() {
            let cover_m = self.layers.on(self.liner.faces()[f as usize].tag).above_liner_m();
            let mut is_lifted = false;
            for (corner, z) in self.liner.corners(f).into_iter().zip(self.liner.corner_heights(f)) {
                let head_m = water_table_m - z.max(water_m);
                let weight = if z < water_m { COVER_DENSITY - 1.0 } else { COVER_DENSITY };
                let factor = cover_m * weight / head_m;
                if head_m > 0.0 && factor < limit {
                    is_lifted = true;
                    if least.is_none_or(|least| (factor, -head_m) < (least.factor, -least.head_m)) {
                        let [x, y] = self.liner.lattice().metres(corner);
                        least =
                            Some(Least { factor, at: [x, y, z], head_m, cover_m, area_m2: 0.0 });
                    }
                }
            }
            if is_lifted {
                area_m2 += ground::query::face_area_m2(self.liner, f);
            }
        }
        least.map(|least| Least { area_m2, ..least })
    }
}

fn of_pond(seen: &Seen<'_>, work: &Work, lined: &Lined<'_>, water_table_m: f64) -> Option<Finding> {
    let limit = seen.site.limits.uplift_factor;
    let worst = |water_table_m: f64| {
        let states = [Filled::Full, Filled::Low, Filled::Drained];
        let found = |filled| Some((filled, lined.least(water_table_m, filled, limit)?));
        states.into_iter().find_map(found)
    };
    worst(water_table_m)?;
    let area_m2 = lined.area_m2();
    let outcome = |under: &UnderDrain| drain::outcome(seen.site, work.id, area_m2, under);
    let drains: Vec<DrainOutcome> = drains(seen, work, lined).iter().map(outcome).collect();
    let holding = drains.iter().filter(|drain| drain.is_open && !drain.is_small());
    let falling = holding.map(|drain| drain.invert_m);
    let held_m = falling.fold(water_table_m, f64::min);
    let (filled, least) = worst(held_m)?;
    let length = |m: f64| length_text(m, seen.unit);
    let state = match filled {
        Filled::Full => "even with the pond full".to_string(),
        Filled::Low => format!("with the pond {} low", length(LOW_M)),
        Filled::Drained => "when the pond is drained".to_string(),
    };
    let stands = if held_m < water_table_m {
        format!("Groundwater that the drain holds down to {}", elevation_text(held_m, seen.unit))
    } else {
        format!("Groundwater at {}", elevation_text(water_table_m, seen.unit))
    };
    let small = drains.iter().find(|drain| drain.is_open && drain.is_small());
    let blocked = match small {
        Some(small) => too_small(seen, small),
        None if drains.iter().any(|drain| !drain.is_open) => {
            " The drain under it does not fall to lower ground.".to_owned()
        }
        None => String::new(),
    };
    let message = format!(
        "{stands} lifts the liner {state}: its head of {} stands against {} of cover, on {} of the \
         liner.{blocked}",
        length(least.head_m),
        length(least.cover_m),
        area_text(least.area_m2, seen.unit),
    );
    let severity = if filled == Filled::Drained { Severity::LookAt } else { Severity::Stop };
    Some(Finding {
        code: Code::GroundwaterLiftsLiner,
        severity,
        work: Some(work.id),
        at_m: least.at,
        measured: Measured { value: least.factor, limit, unit: Unit::Ratio },
        message,
        remedy: Some(match small.and_then(|small| remedy::wider(seen, lined, small)) {
            Some(wider) => wider,
            None => remedy::drain_or_cover(seen, work, lined, &least, filled),
        }),
        source: SOURCE,
        caution: None,
    })
}

/// What a drain carries beside what comes to it, in words.
fn too_small(seen: &Seen<'_>, drain: &DrainOutcome) -> String {
    let both = drain.carries_m3_s.as_ref().ok().zip(drain.brought_m3_s.as_ref().ok());
    let told = both.map(|(carries, brought)| {
        let [carries, brought] = [carries, brought].map(|flow| flow_text(*flow, seen.unit));
        format!(" The drain under it carries {carries} at most; the ground may bring {brought}.")
    });
    told.unwrap_or_default()
}

/// A trench that runs under a pond's liner.
pub(crate) struct UnderDrain {
    pub(crate) trench: WorkId,
    /// Inside diameter of its pipe, metres.
    pub(crate) pipe_m: f64,
    /// The highest of its inverts there, metres.
    pub(crate) invert_m: f64,
    /// Its invert where it leaves the liner on the way to its end, metres.
    pub(crate) leaves_m: f64,
    /// Whether it falls from there to its end in the open, or to a drain.
    pub(crate) falls: bool,
    /// How far it is from under the liner to that end, metres, and the end with its invert.
    pub(crate) way_m: f64,
    pub(crate) end_m: [f64; 3],
}

/// The drains under every pond's liner, with the liner's area on plan, square metres.
pub(crate) fn under_drains(seen: &Seen<'_>) -> Vec<(WorkId, f64, UnderDrain)> {
    let between = seen.evaluation.between.as_ref();
    let Some(liner) = between.and_then(|between| between.liner.as_deref()) else {
        return Vec::new();
    };
    let layers = Layers::of(seen.site);
    let of_pond = |work: &Work| {
        let lined = Lined { liner, layers: &layers, owner: work.id.0, water_m: f64::NAN };
        let area_m2 = lined.area_m2();
        let id = work.id;
        drains(seen, work, &lined).into_iter().map(move |drain| (id, area_m2, drain))
    };
    seen.visible().flat_map(of_pond).collect()
}

fn drains(seen: &Seen<'_>, pond: &Work, lined: &Lined<'_>) -> Vec<UnderDrain> {
    let outline = match &pond.kind {
        WorkKind::Basin(basin) => &basin.outline,
        WorkKind::IntakeBay(bay) => &bay.outline,
        _ => return Vec::new(),
    };
    let Some(ring) = outline_ring(lined.liner.lattice(), outline) else { return Vec::new() };
    let floor_m = lined.floor_m();
    let trenches = seen.visible().filter_map(|work| match &work.kind {
        WorkKind::Trench(trench) => Some((work.id, trench)),
        _ => None,
    });
    trenches.filter_map(|(id, trench)| under(seen, (id, trench), &ring, floor_m)).collect()
}

fn under(
    seen: &Seen<'_>,
    (id, trench): (WorkId, &Trench),
    ring: &[[f64; 2]],
    floor_m: f64,
) -> Option<UnderDrain> {
    let bottom = trench::bottom_line(trench).ok()?;
    let places: Vec<([f64; 2], f64)> = looks(&bottom, trench.bedding_m);
    let is_under = |&&(at, invert_m): &&([f64; 2], f64)| invert_m < floor_m && contains(ring, at);
    let invert_m = places.iter().filter(is_under).map(|p| p.1).fold(f64::NEG_INFINITY, f64::max);
    let first = places.iter().position(|p| is_under(&p))?;
    let last = places.iter().rposition(|p| is_under(&p))?;
    let onward: Vec<_> = places[last..].to_vec();
    let back: Vec<_> = places[..=first].iter().rev().copied().collect();
    let ways = [onward, back];
    let falling = ways.iter().find(|way| falls(seen, trench, way));
    let way = falling.unwrap_or(&ways[0]);
    let leg_m = |pair: &[([f64; 2], f64)]| {
        libm::hypot(pair[1].0[0] - pair[0].0[0], pair[1].0[1] - pair[0].0[1])
    };
    let &([x, y], end_m) = way.last()?;
    Some(UnderDrain {
        trench: id,
        pipe_m: trench.pipe_m,
        invert_m,
        leaves_m: way.first()?.1,
        falls: falling.is_some(),
        way_m: way.windows(2).map(leg_m).sum(),
        end_m: [x, y, end_m],
    })
}

/// Places along a pipe with its inverts, near enough to each other.
fn looks(bottom: &[([f64; 2], f64)], bedding_m: f64) -> Vec<([f64; 2], f64)> {
    let mut places = Vec::new();
    for pair in bottom.windows(2) {
        let [(a, a_m), (b, b_m)] = [pair[0], pair[1]];
        let run_m = libm::hypot(b[0] - a[0], b[1] - a[1]);
        let n = (run_m / LOOK_EVERY_M).ceil().clamp(1.0, MOST_LOOKS) as usize;
        for i in 0..n {
            let share = i as f64 / n as f64;
            let at = [0, 1].map(|k| a[k] + share * (b[k] - a[k]));
            places.push((at, a_m + share * (b_m - a_m) + bedding_m));
        }
    }
    places.extend(bottom.last().map(|&(at, bottom_m)| (at, bottom_m + bedding_m)));
    places
}

/// Whether a pipe falls all its way to an end in the open or at a lower drain.
fn falls(seen: &Seen<'_>, trench: &Trench, way: &[([f64; 2], f64)]) -> bool {
    let (Some(&(_, start_m)), Some(&(at, end_m))) = (way.first(), way.last()) else { return false };
    // What rises by less is a bend's rounding.
    let never_rises = way.windows(2).all(|pair| pair[1].1 <= pair[0].1 + 1e-6);
    if way.len() < 2 || !never_rises || end_m >= start_m {
        return false;
    }
    let ground_m = seen.near(&[at], LOOK_EVERY_M).and_then(|near| near.face_at(at)).map(|p| p.1);
    let in_the_open = ground_m.is_some_and(|z_m| z_m <= end_m + trench.pipe_m + COVERED_M);
    let to_drain = seen.site.keep_outs.iter().any(|kept| match &kept.kind {
        KeepOutKind::Drain(drain) => {
            let apart_m = libm::hypot(drain.at[0] - at[0], drain.at[1] - at[1]);
            apart_m <= AT_DRAIN_M && drain.invert_m <= end_m
        }
        _ => false,
    });
    in_the_open || to_drain
}
