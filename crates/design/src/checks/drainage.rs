//! Where rain runs on the finished ground, and on the ground while the works last.
//!
//! A pond's water is its basin's ground below the water, with that of the bays that draw from it, the
//! basins that join it and the mouths of the streams that run into it. Its shore is told apart by the
//! point of the compass in which it lies from the pond's middle, so that a finding can say from where
//! water comes.

use ground::query::{Catchments, Receiver, catchments};
use ground::{Surface, Tag};
use site::works::Basin;
use site::{WorkId, WorkKind};
use units::{LengthUnit, flow_text, length_text};
use water::rational_flow_m3_s;

use super::drains_to_house::gathers;
use super::seen::Seen;
use super::words::percent;
use crate::WaterKind;
use crate::part::Part;
use crate::running::{Known, Unknown, drain};

/// Stretches of a pond's shore, by their bearings from its middle.
pub(super) const N_SECTORS: usize = 16;
/// Shallower hollows pass on what they get, metres: they are the survey's; common practice.
const SHALLOW_M: f64 = 0.05;

/// The finished ground divided by where its water ends.
pub(crate) struct Drainage<'a> {
    pub(crate) surface: &'a Surface,
    pub(crate) catchments: Catchments<'a>,
    /// Where each end's water goes once hollows that are the survey's run over.
    pub(crate) to: Vec<usize>,
    pub(crate) ponds: Vec<Pond>,
    /// The ground outside each house whose rain comes to its walls, square metres.
    pub(super) at_houses_m2: Vec<f64>,
}

/// A pond's water as a receiver.
pub(crate) struct Pond {
    pub(crate) work: WorkId,
    /// The works that hold its water, rising.
    pub(super) holders: Vec<u32>,
    pub(super) middle: [f64; 2],
    pub(super) level_m: f64,
    /// Area of its water, square metres.
    pub(crate) area_m2: f64,
    /// The first of its sectors among the receivers.
    first: usize,
}

impl<'a> Drainage<'a> {
    pub(super) fn of(seen: &Seen<'a>) -> Option<Self> {
        let surface = seen.evaluation.finished.as_deref()?;
        let bodies = seen.evaluation.water.iter().filter(|body| body.kind == WaterKind::Basin);
        let mut ponds = Vec::new();
        let mut receivers = Vec::new();
        for body in bodies {
            let holders = holders(seen, body.work);
            let mouths = mouths(seen, &holders);
            let holds = |tag: Tag| is_inner(tag, &holders) || mouths.contains(&tag.owner);
            let faces: Vec<u32> = (0..surface.faces().len() as u32)
                .filter(|&f| holds(surface.faces()[f as usize].tag))
                .filter(|&f| surface.corner_heights(f).iter().any(|&z| z < body.level_m))
                .collect();
            let Some(middle) = middle(surface, &faces) else { continue };
            let mut sectors = vec![Vec::new(); N_SECTORS];
            for f in faces {
                sectors[sector(middle, place(surface, f))].push(f);
            }
            ponds.push(Pond {
                work: body.work,
                holders,
                middle,
                level_m: body.level_m,
                area_m2: body.area_m2,
                first: receivers.len(),
            });
            let level_m = body.level_m;
            receivers
                .extend(sectors.into_iter().map(|faces| Receiver { faces: faces.into(), level_m }));
        }
        let (houses, first) = (&seen.site.houses, receivers.len());
        receivers.extend(houses.iter().map(|house| gathers::footprint(surface, house)));
        if receivers.is_empty() {
            return None;
        }
        let catchments = catchments(surface, &receivers);
        let at_houses_m2 = gathers::at_houses_in(surface, houses, &catchments, first);
        let to = catchments.passed_on(SHALLOW_M);
        Some(Self { surface, catchments, to, ponds, at_houses_m2 })
    }
}

impl Pond {
    /// The sector of an end of the catchments, where it is this pond's.
    pub(crate) fn sector_of(&self, end: usize) -> Option<usize> {
        // The border stands first.
        let sector = end.checked_sub(self.first + 1)?;
        (sector < N_SECTORS).then_some(sector)
    }

    /// The way outward in the middle of a sector.
    pub(super) fn outward(sector: usize) -> [f64; 2] {
        let bearing_rad = std::f64::consts::TAU * (sector as f64 + 0.5) / N_SECTORS as f64;
        let (sin, cos) = libm::sincos(bearing_rad);
        [sin, cos]
    }
}

/// The works that hold a pond's water: it, those that join it, and the bays that draw from these.
pub(super) fn holders(seen: &Seen<'_>, pond: WorkId) -> Vec<u32> {
    let mut holders = vec![pond.0];
    // A basin joins an earlier one, a bay draws from an earlier one.
    for work in seen.visible() {
        let from = match &work.kind {
            WorkKind::Basin(Basin { joins, .. }) => *joins,
            WorkKind::IntakeBay(bay) => bay.from,
            _ => None,
        };
        if from.is_some_and(|from| holders.contains(&from.0)) {
            holders.push(work.id.0);
        }
    }
    holders.sort_unstable();
    holders.dedup();
    holders
}

/// The streams that run into one of some basins.
fn mouths(seen: &Seen<'_>, basins: &[u32]) -> Vec<u32> {
    let into = |work: &&site::Work| match &work.kind {
        WorkKind::Stream(stream) => stream.into.is_some_and(|into| basins.contains(&into.0)),
        _ => false,
    };
    seen.visible().filter(into).map(|work| work.id.0).collect()
}

/// Whether a face lies within the rim of one of some works that hold water.
pub(super) fn is_inner(tag: Tag, holders: &[u32]) -> bool {
    holders.binary_search(&tag.owner).is_ok()
        && matches!(Part::of(tag.part), Part::Floor | Part::Side | Part::Shelf)
}

/// Fall of a drain that leads rain past a house: 1 in 100, common practice.
const DRAIN_FALL: f64 = 0.01;

/// A drain that carries a storm's water, in words.
pub(super) fn drain_text(storm_m3_s: &Known<f64>, unit: LengthUnit) -> String {
    let flow = |m3_s: f64| flow_text(m3_s, unit);
    match storm_m3_s.as_ref().map(|m3_s| (*m3_s, drain::pipe_for(*m3_s, DRAIN_FALL))) {
        Ok((m3_s, Some(inside_m))) => format!(
            "a drain of {} inside that falls {}, which carries the storm's {}",
            length_text(inside_m, unit),
            percent(DRAIN_FALL),
            flow(m3_s),
        ),
        Ok((m3_s, None)) => {
            format!("several drains: no common one carries the storm's {}", flow(m3_s))
        }
        Err(why) => format!("a drain, whose size is not known: {why}"),
    }
}

/// What a storm brings off an area of ground, cubic metres a second.
pub(super) fn storm_m3_s(seen: &Seen<'_>, area_m2: f64) -> Known<f64> {
    let weather = &seen.site.weather;
    let mm_h = weather.storm_mm_h.ok_or(Unknown("the storm is not given".into()))?;
    let share = weather.runoff_share;
    let share = share.ok_or(Unknown("the share that runs off is not given".into()))?;
    rational_flow_m3_s(share, mm_h, area_m2).map_err(Unknown::because)
}

/// The middle of a face on plan, metres.
pub(super) fn place(surface: &Surface, f: u32) -> [f64; 2] {
    let corners = surface.corners(f).map(|c| surface.lattice().metres(c));
    [0, 1].map(|k| (corners[0][k] + corners[1][k] + corners[2][k]) / 3.0)
}

/// The middle of the box around some faces.
pub(super) fn middle(surface: &Surface, faces: &[u32]) -> Option<[f64; 2]> {
    let places = || faces.iter().map(|&f| place(surface, f));
    let fold =
        |k: usize, start: f64, pick: fn(f64, f64) -> f64| places().map(|p| p[k]).fold(start, pick);
    (!faces.is_empty()).then(|| {
        [0, 1].map(|k| {
            0.5 * (fold(k, f64::INFINITY, f64::min) + fold(k, f64::NEG_INFINITY, f64::max))
        })
    })
}

/// The sector in which a place lies from a middle.
pub(super) fn sector(middle: [f64; 2], at: [f64; 2]) -> usize {
    let bearing_rad = libm::atan2(at[0] - middle[0], at[1] - middle[1]);
    let turns = (bearing_rad / std::f64::consts::TAU).rem_euclid(1.0);
    ((turns * N_SECTORS as f64) as usize).min(N_SECTORS - 1)
}
