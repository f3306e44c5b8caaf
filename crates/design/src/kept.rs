//! What stays in the garden, in numbers: levels of the ground beside it, cover above buried lines,
//! root zones.

use ground::query::SectionPoint;
use ground::{Locator, Surface};
use site::keep_out::BuriedLine;
use site::{House, KeepOut, KeepOutKind, Site};

use crate::Evaluation;

/// A house and the finished ground at its walls.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct HouseOutcome {
    /// The highest finished ground along its outline, elevation in metres.
    pub highest_m: f64,
    /// Where that is, local metres.
    pub highest_at: [f64; 2],
    /// How far its lowest sill stands above that, metres; below zero the ground is higher.
    pub sill_above_m: f64,
}

/// One of a site's keep-outs and the ground there.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum KeptOutcome {
    /// Ground at a tree's stem, before and after, elevations in metres; none beyond the survey.
    Tree {
        /// Existing and finished ground.
        ground_m: Option<[f64; 2]>,
        /// Radius of the root zone by the published rule, and as chosen, metres.
        roots_m: [f64; 2],
    },
    /// Cover above a buried line; none beyond the survey.
    BuriedLine(Option<Cover>),
    /// Depth of a drain's invert below existing and finished ground, metres.
    Drain {
        /// Below existing and finished ground; none beyond the survey.
        below_m: Option<[f64; 2]>,
    },
    /// Length of a boundary, metres.
    Boundary {
        /// On plan.
        length_m: f64,
    },
    /// Area of a septic field, square metres.
    Septic {
        /// On plan.
        area_m2: f64,
    },
    /// Clear width of a gate, metres.
    Gate {
        /// Between its posts.
        width_m: f64,
    },
}

/// The ground above a buried line, where least is left of it while the site is dug.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Cover {
    /// Least height of the subgrade above the line's top, metres; below zero the line is dug into.
    /// Trenches, which are filled again, are not in it: the check on buried lines has them.
    pub least_m: f64,
    /// Where that is, local metres.
    pub at_m: [f64; 2],
    /// Elevation of the line's top there, metres.
    pub top_m: f64,
}

/// The site's houses, in its order; none for one whose walls stand beyond the survey.
pub fn houses(site: &Site, evaluation: &Evaluation) -> Vec<Option<HouseOutcome>> {
    let Some(finished) = &evaluation.finished else { return vec![None; site.houses.len()] };
    site.houses.iter().map(|house| at_walls(house, finished)).collect()
}

/// The site's keep-outs, in its order.
pub fn kept(site: &Site, evaluation: &Evaluation) -> Vec<KeptOutcome> {
    site.keep_outs.iter().map(|kept| outcome(kept, evaluation)).collect()
}

fn outcome(kept: &KeepOut, evaluation: &Evaluation) -> KeptOutcome {
    let levels = |at: [f64; 2]| {
        let at = |ground: &Option<std::sync::Arc<Surface>>| {
            Locator::new(&**ground.as_ref()?).elevation(at)
        };
        Some([at(&evaluation.existing)?, at(&evaluation.finished)?])
    };
    match &kept.kind {
        KeepOutKind::Tree(tree) => KeptOutcome::Tree {
            ground_m: levels(tree.at),
            roots_m: [tree.published_roots_m(), tree.roots_m()],
        },
        KeepOutKind::BuriedLine(line) => KeptOutcome::BuriedLine(cover(line, evaluation)),
        KeepOutKind::Drain(drain) => KeptOutcome::Drain {
            below_m: levels(drain.at).map(|levels| levels.map(|z| z - drain.invert_m)),
        },
        KeepOutKind::Boundary(boundary) => KeptOutcome::Boundary {
            length_m: ground::curve::length_m(&boundary.line_m, ground::curve::Closure::Open),
        },
        KeepOutKind::Septic(septic) => {
            KeptOutcome::Septic { area_m2: ground::curve::signed_area_m2(&septic.outline_m).abs() }
        }
        KeepOutKind::Gate(gate) => KeptOutcome::Gate { width_m: gate.width_m() },
    }
}

/// The highest ground along a house's outline, among all corners of the ground there.
fn at_walls(house: &House, finished: &Surface) -> Option<HouseOutcome> {
    let mut line = house.outline_m.clone();
    line.extend(house.outline_m.first().copied());
    let points = ground::query::drape(finished, &line).ok()?;
    let highest = points.iter().max_by(|a, b| a.z.total_cmp(&b.z))?;
    Some(HouseOutcome {
        highest_m: highest.z,
        highest_at: highest.at,
        sill_above_m: house.sill_m - highest.z,
    })
}

/// Where the subgrade comes nearest to a line that lies at its depth below existing ground.
///
/// Both grounds are straight between the corners of either along the line, so the least is at one of
/// these.
fn cover(line: &BuriedLine, evaluation: &Evaluation) -> Option<Cover> {
    let existing = evaluation.existing.as_deref()?;
    let dug = &*evaluation.between.as_ref()?.subgrade;
    let [before, after] =
        [existing, dug].map(|ground| ground::query::drape(ground, &line.line_m).ok());
    let (before, after) = (before?, after?);
    let stations = before.iter().chain(&after).map(|point| (point.station_m, point.at));
    let covers = stations.filter_map(|(station_m, at_m)| {
        let top_m = lowest_at(&before, station_m)? - line.depth_m;
        Some(Cover { least_m: lowest_at(&after, station_m)? - top_m, at_m, top_m })
    });
    covers.min_by(|a, b| a.least_m.total_cmp(&b.least_m))
}

/// The ground of a section at a station, the lower where it steps.
fn lowest_at(section: &[SectionPoint], station_m: f64) -> Option<f64> {
    let after = section.partition_point(|point| point.station_m < station_m);
    let before = section.get(after.checked_sub(1)?.min(section.len() - 1));
    let on = section[after..].iter().take_while(|point| point.station_m == station_m);
    let lowest = on.map(|point| point.z).min_by(f64::total_cmp);
    lowest.or_else(|| {
        let (a, b) = (before?, section.get(after)?);
        let run = b.station_m - a.station_m;
        let meets = matches!(a.ahead, ground::query::Ahead::Face(_)) && run > 0.0;
        meets.then(|| a.z + (b.z - a.z) * (station_m - a.station_m) / run)
    })
}
