//! A swale as it is dug: how deep, where it comes out on the ground, and what it carries.
//!
//! ```text
//!   ground ___                 ____
//!             \               /    `--.__
//!              \_____________/           `--.__
//!               bottom, 2 in 100 ----______    `--o comes out
//! ```

use site::works::{Plane, PlaneGrade};
use site::{Curve, KeepOutKind, WorkKind};
use units::{LengthUnit, earth_text, flow_text, length_text};
use water::{
    Channel, Roughness, Section, curve_number_runoff_m, normal_depth_m, uniform_flow_m3_s,
};

use super::to_walls_m;
use crate::Code;
use crate::checks::drainage::storm_m3_s;
use crate::checks::near::Near;
use crate::checks::seen::Seen;
use crate::running::{Known, Unknown, rain};
use crate::stretch::to_stretch_m;

/// Fall along a swale beside a house: IRC R401.3 (H-12).
pub(super) const FALL: f64 = 0.02;
/// Half the width of its bottom, metres; the slope of its sides is mown: common practice.
pub(super) const HALF_WIDE_M: f64 = 0.25;
const SIDE: f64 = 3.0;
/// It is dug by at most this below the ground where that lies lowest over its fall, metres.
const MOST_DEEP_M: f64 = 0.5;
/// Manning's n of high grass: Chow 1959 table 5-6 D-2a, normal 0.035, greatest 0.050; from memory.
const GRASS_N: f64 = 0.05;
/// Where it has come out is looked for as far as this past the walls, metres: common practice.
const MOST_RUN_OUT_M: f64 = 20.0;
/// The ground there is looked at this often, metres.
const LOOK_EVERY_M: f64 = 0.25;
/// It keeps this far from other houses, metres: common practice.
const OFF_HOUSES_M: f64 = 3.0;
/// Voids between the stones of a pit, as a share: common practice.
const VOIDS: f64 = 0.4;

/// A swale, dug by some share of the most.
pub(super) struct Swale {
    /// Its upper end, and the way in which it falls.
    pub(super) from: [f64; 2],
    pub(super) way: [f64; 2],
    /// Its length past the house, metres.
    pub(super) length_m: f64,
    /// The level of its bottom at its upper end when it is dug by none, metres: nowhere above the ground.
    pub(super) highest_m: f64,
    /// How far that is below the ground where that lies lowest over its fall, metres.
    pub(super) spare_m: f64,
    /// Levels of the ground beyond its lower end, one each step, as far as it may run on.
    pub(super) beyond_m: Vec<f64>,
    /// What comes to it.
    pub(super) comes: Comes,
}

/// The water that comes to a swale.
pub(super) struct Comes {
    /// In the storm, cubic metres a second.
    storm_m3_s: Known<f64>,
    /// On the wet day, cubic metres.
    wet_day_m3: Known<f64>,
}

impl Comes {
    /// What comes to a house's walls, all of it, or over a pond's overflow.
    pub(super) fn to(
        seen: &Seen<'_>,
        code: Code,
        (house, pond): (usize, Option<site::WorkId>),
    ) -> Self {
        if code == Code::OverflowRunsToHouse {
            let why = || Unknown("what runs over is not known".into());
            let found = rain(seen).into_iter().find(|rain| Some(rain.work) == pond);
            return match found {
                Some(rain) => Self { storm_m3_s: rain.storm_m3_s, wet_day_m3: rain.wet_day_m3 },
                None => Self { storm_m3_s: Err(why()), wet_day_m3: Err(why()) },
            };
        }
        let area_m2 = seen.drainage().and_then(|found| found.at_houses_m2.get(house)).copied();
        let area_m2 = area_m2.ok_or(Unknown("what drains to it is not known".into()));
        let weather = &seen.site.weather;
        let given = |value: Option<f64>, what: &str| {
            value.ok_or_else(|| Unknown(format!("{what} is not given")))
        };
        let storm = || storm_m3_s(seen, area_m2.clone()?);
        let wet_day = || {
            let rain_m = given(weather.storm_m, "the wet day's rain")?;
            let number = given(weather.curve_number, "the curve number")?;
            let off_m = curve_number_runoff_m(rain_m, number).map_err(Unknown::because)?;
            Ok(off_m * area_m2.clone()?)
        };
        Self { storm_m3_s: storm(), wet_day_m3: wet_day() }
    }
}

impl Swale {
    /// How deep it is where the ground lies lowest over its fall, metres: the storm's water keeps
    /// within it; none where that takes more than it may be dug by.
    pub(super) fn deep_m(&self, share: f64) -> Option<f64> {
        let water_m = match self.water_m() {
            Ok(water_m) => water_m,
            Err(_) if self.comes.storm_m3_s.is_ok() => return None,
            Err(_) => 0.0,
        };
        Some((self.spare_m + share * MOST_DEEP_M).max(water_m))
    }

    /// As a work of the plan.
    pub(super) fn work(&self, share: f64) -> Option<WorkKind> {
        let deep_m = self.deep_m(share)?;
        let long_m = self.length_m + self.runs_on_m(deep_m).unwrap_or(0.0);
        let to = [0, 1].map(|k| self.from[k] + long_m * self.way[k]);
        let aside = [-self.way[1], self.way[0]].map(|part| HALF_WIDE_M * part);
        let corner = |at: [f64; 2], side: f64| [0, 1].map(|k| at[k] + side * aside[k]);
        let points = vec![
            corner(self.from, -1.0),
            corner(to, -1.0),
            corner(to, 1.0),
            corner(self.from, 1.0),
        ];
        let level_m = self.top_m() - deep_m;
        Some(WorkKind::PlaneGrade(PlaneGrade {
            outline: Curve { points, smooth: false },
            plane: Plane { at: self.from, level_m, toward: to, fall: FALL },
            cut_bank: SIDE,
            fill_bank: SIDE,
            build_up: Default::default(),
        }))
    }

    /// Its length, what the storm is in it, and where its water goes, in words.
    pub(super) fn told(&self, share: f64, unit: LengthUnit) -> String {
        let deep_m = self.deep_m(share).unwrap_or(f64::NAN);
        let storm = match (&self.comes.storm_m3_s, &self.water_m()) {
            (Ok(flow_m3_s), Ok(water_m)) => format!(
                "The storm's {} run {} deep in it",
                flow_text(*flow_m3_s, unit),
                length_text(*water_m, unit)
            ),
            (Err(why), _) | (_, Err(why)) => {
                match uniform_flow_m3_s(section(), grass(), FALL, deep_m) {
                    Ok(most_m3_s) => format!(
                        "It carries {} where it is shallowest; what comes is not known: {why}",
                        flow_text(most_m3_s, unit)
                    ),
                    Err(_) => format!("What comes is not known: {why}"),
                }
            }
        };
        let end = match self.runs_on_m(deep_m) {
            Some(_) => "at its end it comes out on the ground, over a bed of stones".into(),
            None => self.pit(deep_m, unit),
        };
        format!("{storm}; {end}.")
    }

    /// How far it runs on past the house until its bottom comes out on the ground; none where it does
    /// not.
    pub(super) fn runs_on_m(&self, deep_m: f64) -> Option<f64> {
        let bottom_m = |on_m: f64| self.top_m() - deep_m - FALL * (self.length_m + on_m);
        let levels = self.beyond_m.iter().enumerate();
        let mut on = levels.map(|(i, z_m)| (LOOK_EVERY_M * i as f64, *z_m));
        on.find(|(on_m, z_m)| *z_m <= bottom_m(*on_m)).map(|(on_m, _)| on_m)
    }

    /// The level at its upper end of a line with its fall that touches the ground from below, metres.
    fn top_m(&self) -> f64 {
        self.highest_m + self.spare_m
    }

    /// The pit in which it ends where it does not come out.
    fn pit(&self, deep_m: f64, unit: LengthUnit) -> String {
        let bottom_m = self.top_m() - deep_m - FALL * self.length_m;
        let below = self.beyond_m.first().map_or(deep_m, |z_m| z_m - bottom_m);
        let below = length_text(below, unit);
        match &self.comes.wet_day_m3 {
            Ok(day_m3) => format!(
                "at its end, {below} below the ground, it comes out nowhere: a pit of {} of stones there \
                 holds the wet day's water, without what soaks away",
                earth_text(day_m3 / VOIDS, unit)
            ),
            Err(why) => format!(
                "at its end, {below} below the ground, it comes out nowhere and asks for a pit of stones, \
                 whose size is not known: {why}"
            ),
        }
    }

    /// Depth of the storm's water in it, metres.
    fn water_m(&self) -> Known<f64> {
        let flow_m3_s = self.comes.storm_m3_s.clone()?;
        if flow_m3_s <= 0.0 {
            return Ok(0.0);
        }
        let channel = Channel {
            section: section(),
            roughness: grass(),
            bed_slope: FALL,
            edge_height_m: MOST_DEEP_M,
        };
        normal_depth_m(channel, flow_m3_s).map_err(Unknown::because)
    }
}

/// The levels of the ground past a swale's lower end, one each step, as far as it may run on: over the
/// survey, off works and houses, within the boundary.
pub(super) fn beyond_m(seen: &Seen<'_>, near: &Near, (end, way): ([f64; 2], [f64; 2])) -> Vec<f64> {
    let n = (MOST_RUN_OUT_M / LOOK_EVERY_M) as usize;
    let place = |i: usize| [0, 1].map(|k| end[k] + LOOK_EVERY_M * i as f64 * way[k]);
    let level_m = |at: [f64; 2]| {
        let (face, z_m) = near.face_at(at)?;
        (seen.owner_of(face) == 0 && is_free(seen, at)).then_some(z_m)
    };
    (0..=n).map_while(|i| level_m(place(i))).collect()
}

/// How far beyond its end the ground of a swale is looked at, metres.
pub(super) fn reach_m() -> f64 {
    MOST_RUN_OUT_M
}

/// Whether water may come out at a place: clear of houses and within the boundaries' setbacks.
fn is_free(seen: &Seen<'_>, at: [f64; 2]) -> bool {
    let near_house = seen.site.houses.iter().any(|house| to_walls_m(house, at) < OFF_HOUSES_M);
    let over = seen.site.keep_outs.iter().any(|kept| match &kept.kind {
        KeepOutKind::Boundary(boundary) => {
            let keep_m = boundary.setback_m + HALF_WIDE_M;
            boundary.line_m.windows(2).any(|line| to_stretch_m(at, [line[0], line[1]]) < keep_m)
        }
        _ => false,
    });
    !near_house && !over
}

fn section() -> Section {
    Section::new(2.0 * HALF_WIDE_M, [SIDE, SIDE]).expect("a swale's section is in range")
}

fn grass() -> Roughness {
    Roughness::manning(GRASS_N).expect("grass has an n in range")
}
