//! The limits of the checks, each with its default and where that comes from.
//!
//! Every one can be changed, and a changed one shows as changed.

use serde::{Deserialize, Serialize};

use crate::field::Quantity::{self, Length, Number, RunPerRise, Share};

/// Limits of the checks, in SI.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields, default)]
pub struct Limits {
    /// Steepest flank of a hill: metres run for each metre of rise.
    pub flank_run_per_rise: f64,
    /// Steepest lawn: metres run for each metre of rise.
    pub mown_run_per_rise: f64,
    /// Height by which wall tops must stand above the filter's lip, metres.
    pub wall_clearance_m: f64,
    /// Grade at which the wall's top may fall once past the water that it holds: run per rise.
    pub wall_fall_run_per_rise: f64,
    /// Height of a wall from the bottom of its footing beyond which design is asked for, metres.
    pub wall_design_m: f64,
    /// The same for a wall with a slope, a tier or water behind, metres.
    pub wall_design_loaded_m: f64,
    /// Least safety of a wall against sliding and against overturning.
    pub wall_safety: f64,
    /// Angle of internal friction of the earth behind and under walls, degrees.
    pub wall_friction_deg: f64,
    /// Settlement that a lip, a wall, a path or a pad on fill may come to, metres.
    pub fill_settlement_m: f64,
    /// Greatest gap when lip, drops, bed falls and waterline are added up, metres.
    pub stream_closure_m: f64,
    /// Least width of a shelf, metres.
    pub shelf_least_width_m: f64,
    /// Greatest depth of a shelf below the water, metres.
    pub shelf_greatest_depth_m: f64,
    /// Steepest bank of water on which gravel or earth lies on the liner: run per rise.
    pub covered_bank_run_per_rise: f64,
    /// Steepest bank of water on which the liner lies bare: run per rise.
    pub bare_liner_run_per_rise: f64,
    /// Depth of water from which a barrier around it is commonly required, metres.
    pub barrier_depth_m: f64,
    /// Depth of an open hole from which protection is asked for, metres.
    pub open_depth_m: f64,
    /// Distance of heaped earth from the edge of a hole, metres.
    pub spoil_setback_m: f64,
    /// Least factor of the weight on a liner over the groundwater's uplift.
    pub uplift_factor: f64,
    /// Ground outside a pond that may drain into it: share of the area of its water.
    pub pond_runoff_share: f64,
    /// Open soil that may drain into an open pond or off the site while the works last, square metres.
    pub bare_soil_m2: f64,
    /// How far from a house ground must fall away from it, metres.
    pub house_fall_reach_m: f64,
    /// What it must fall by within that, metres.
    pub house_fall_m: f64,
    /// Fall of paving beside a house: rise per run.
    pub house_fall_paved: f64,
    /// Share of a root zone that may be worked without a word.
    pub root_zone_least: f64,
    /// Share of a root zone beyond which it is not to be worked.
    pub root_zone_most: f64,
    /// Steepest walk between steps: metres run for each metre of rise.
    pub path_run_per_rise: f64,
    /// Greatest fall across a path: rise per run.
    pub path_cross_fall: f64,
    /// Least riser, metres.
    pub riser_least_m: f64,
    /// Greatest riser, metres.
    pub riser_most_m: f64,
    /// Least tread, metres.
    pub tread_least_m: f64,
    /// Grade that ground has by nature: run per rise, for the mound measure.
    pub natural_run_per_rise: f64,
    /// Mound measure from which advice is given.
    pub mound_advice: f64,
    /// Mound measure from which the hill reads as a heap.
    pub mound_heap: f64,
    /// Height below which a raise is no hill, metres.
    pub mound_least_height_m: f64,
    /// Ground behind the lip must rise by this much, metres.
    pub lip_backdrop_rise_m: f64,
    /// How far behind the lip that rise is looked for, metres.
    pub lip_backdrop_reach_m: f64,
    /// Share of the half circle behind the lip on which ground must rise.
    pub lip_backdrop_share: f64,
    /// Longest edge of a survey triangle under a work before the survey is thin, metres.
    pub survey_spacing_m: f64,
    /// Robust deviations beyond which a shot is doubtful.
    pub survey_spike_deviations: f64,
}

/// One limit of [`Limits`], as a person sees it.
#[derive(Clone, Copy, Debug)]
pub struct Limit {
    /// Its field.
    pub field: &'static str,
    /// What a crew calls it.
    pub label: &'static str,
    /// What it measures.
    pub quantity: Quantity,
    /// Least value allowed, in SI.
    pub least: f64,
    /// Greatest value allowed, in SI.
    pub most: f64,
    /// Where its default comes from; "common practice" where it has no source.
    pub source: &'static str,
    /// Where its value stands.
    pub(crate) slot: fn(&mut Limits) -> &mut f64,
}

/// A limit that is not the program's own.
#[derive(Clone, Copy, Debug)]
pub struct ChangedLimit {
    /// Which.
    pub limit: &'static Limit,
    /// What it was changed to, in SI.
    pub value: f64,
    /// What it is unless changed, in SI.
    pub default: f64,
}

/// Stands as the source of limits that the trade keeps without one.
const COMMON: &str = "common practice";
/// Stands as the source of measures that are the program's own.
const OWN: &str = "this program's own measure";
const FLANKS: &str = "common practice: 1 in 3 planted, 1 in 4 mown, 1 in 2 bare";
const HOUSE: &str = "IRC R401.3: 6 in within the first 10 ft";
const STEPS: &str = "ABA Standards 504.2: risers 4 to 7 in, treads at least 11 in";

impl Limits {
    /// Every limit, in the order of the checks.
    pub const TABLE: &'static [Limit] = &[
        Limit {
            field: "flank_run_per_rise",
            label: "Steepest flank",
            quantity: RunPerRise,
            least: 0.5,
            most: 100.0,
            source: FLANKS,
            slot: |of| &mut of.flank_run_per_rise,
        },
        Limit {
            field: "mown_run_per_rise",
            label: "Steepest mown ground",
            quantity: RunPerRise,
            least: 0.5,
            most: 100.0,
            source: "Georgia DOT Design Policy Manual 6.2.3 (K-21): 4 to 1 is easily mown",
            slot: |of| &mut of.mown_run_per_rise,
        },
        Limit {
            field: "wall_clearance_m",
            label: "Wall top above lip",
            quantity: Length,
            least: 0.0,
            most: 2.0,
            source: COMMON,
            slot: |of| &mut of.wall_clearance_m,
        },
        Limit {
            field: "wall_fall_run_per_rise",
            label: "Wall top may fall past the water",
            quantity: RunPerRise,
            least: 0.1,
            most: 1000.0,
            source: COMMON,
            slot: |of| &mut of.wall_fall_run_per_rise,
        },
        Limit {
            field: "wall_design_m",
            label: "Wall that wants design, plain",
            quantity: Length,
            least: 0.0,
            most: 10.0,
            source: "IRC 2009 R105.2(3): 4 ft from the bottom of the footing",
            slot: |of| &mut of.wall_design_m,
        },
        Limit {
            field: "wall_design_loaded_m",
            label: "Wall that wants design, loaded",
            quantity: Length,
            least: 0.0,
            most: 10.0,
            source: "IRC 2009 R404.4: 24 in of unbalanced fill",
            slot: |of| &mut of.wall_design_loaded_m,
        },
        Limit {
            field: "wall_safety",
            label: "Wall, safety against sliding and overturning",
            quantity: Number,
            least: 1.0,
            most: 10.0,
            source: "IRC 2009 R404.4: 1.5",
            slot: |of| &mut of.wall_safety,
        },
        Limit {
            field: "wall_friction_deg",
            label: "Wall, friction of the earth behind, degrees",
            quantity: Number,
            least: 15.0,
            most: 45.0,
            source: COMMON,
            slot: |of| &mut of.wall_friction_deg,
        },
        Limit {
            field: "fill_settlement_m",
            label: "Settlement under what stands on fill",
            quantity: Length,
            least: 0.0,
            most: 1.0,
            source: COMMON,
            slot: |of| &mut of.fill_settlement_m,
        },
        Limit {
            field: "stream_closure_m",
            label: "Stream levels may miss by",
            quantity: Length,
            least: 0.0,
            most: 1.0,
            source: COMMON,
            slot: |of| &mut of.stream_closure_m,
        },
        Limit {
            field: "shelf_least_width_m",
            label: "Narrowest shelf",
            quantity: Length,
            least: 0.0,
            most: 10.0,
            source: COMMON,
            slot: |of| &mut of.shelf_least_width_m,
        },
        Limit {
            field: "shelf_greatest_depth_m",
            label: "Deepest shelf",
            quantity: Length,
            least: 0.0,
            most: 10.0,
            source: COMMON,
            slot: |of| &mut of.shelf_greatest_depth_m,
        },
        Limit {
            field: "covered_bank_run_per_rise",
            label: "Steepest bank under gravel or earth",
            quantity: RunPerRise,
            least: 0.0,
            most: 100.0,
            source: "NRCS Arizona construction specification 521A (2008): buried liner 2 1/2 to 1",
            slot: |of| &mut of.covered_bank_run_per_rise,
        },
        Limit {
            field: "bare_liner_run_per_rise",
            label: "Steepest bank of bare liner",
            quantity: RunPerRise,
            least: 0.0,
            most: 100.0,
            source: "NRCS Arizona construction specification 521A (2008): exposed liner 1 to 1",
            slot: |of| &mut of.bare_liner_run_per_rise,
        },
        Limit {
            field: "barrier_depth_m",
            label: "Depth from which a barrier is asked for",
            quantity: Length,
            least: 0.0,
            most: 10.0,
            source: "the lowest found in local codes: 18 in, San Joaquin County, California",
            slot: |of| &mut of.barrier_depth_m,
        },
        Limit {
            field: "open_depth_m",
            label: "Open hole that wants protection",
            quantity: Length,
            least: 0.0,
            most: 10.0,
            source: "29 CFR 1926.652(a)(1): 5 ft",
            slot: |of| &mut of.open_depth_m,
        },
        Limit {
            field: "spoil_setback_m",
            label: "Spoil from the edge of a hole",
            quantity: Length,
            least: 0.0,
            most: 20.0,
            source: "29 CFR 1926.651(j)(2): 2 ft",
            slot: |of| &mut of.spoil_setback_m,
        },
        Limit {
            field: "uplift_factor",
            label: "Weight over uplift of the liner",
            quantity: Number,
            least: 1.0,
            most: 10.0,
            source: COMMON,
            slot: |of| &mut of.uplift_factor,
        },
        Limit {
            field: "pond_runoff_share",
            label: "Ground that drains into a pond, share of its water",
            quantity: Share,
            least: 0.0,
            most: 1000.0,
            source: COMMON,
            slot: |of| &mut of.pond_runoff_share,
        },
        Limit {
            field: "bare_soil_m2",
            label: "Open soil that drains away, square metres",
            quantity: Number,
            least: 0.0,
            most: 1e6,
            source: COMMON,
            slot: |of| &mut of.bare_soil_m2,
        },
        Limit {
            field: "house_fall_reach_m",
            label: "Ground falls from the house within",
            quantity: Length,
            least: 0.1,
            most: 100.0,
            source: HOUSE,
            slot: |of| &mut of.house_fall_reach_m,
        },
        Limit {
            field: "house_fall_m",
            label: "Ground falls from the house by",
            quantity: Length,
            least: 0.0,
            most: 10.0,
            source: HOUSE,
            slot: |of| &mut of.house_fall_m,
        },
        Limit {
            field: "house_fall_paved",
            label: "Fall of paving by the house",
            quantity: Share,
            least: 0.0,
            most: 0.5,
            source: "IBC 2012 1804.3: 2 %",
            slot: |of| &mut of.house_fall_paved,
        },
        Limit {
            field: "root_zone_least",
            label: "Root zone worked, from",
            quantity: Share,
            least: 0.0,
            most: 1.0,
            source: COMMON,
            slot: |of| &mut of.root_zone_least,
        },
        Limit {
            field: "root_zone_most",
            label: "Root zone worked, at most",
            quantity: Share,
            least: 0.0,
            most: 1.0,
            source: "BS 5837:2012 7.4.2.3: a fifth of unsurfaced ground; from memory",
            slot: |of| &mut of.root_zone_most,
        },
        Limit {
            field: "path_run_per_rise",
            label: "Steepest path",
            quantity: RunPerRise,
            least: 1.0,
            most: 100.0,
            source: "2010 ADA Standards 405.2: never steeper than 1:8, 1:12 for a ramp",
            slot: |of| &mut of.path_run_per_rise,
        },
        Limit {
            field: "path_cross_fall",
            label: "Cross fall of paths and paving",
            quantity: Share,
            least: 0.0,
            most: 0.5,
            source: "USFS outdoor developed areas: 1:20, on paving 1:48",
            slot: |of| &mut of.path_cross_fall,
        },
        Limit {
            field: "riser_least_m",
            label: "Lowest step",
            quantity: Length,
            least: 0.01,
            most: 1.0,
            source: STEPS,
            slot: |of| &mut of.riser_least_m,
        },
        Limit {
            field: "riser_most_m",
            label: "Highest step",
            quantity: Length,
            least: 0.01,
            most: 1.0,
            source: STEPS,
            slot: |of| &mut of.riser_most_m,
        },
        Limit {
            field: "tread_least_m",
            label: "Narrowest tread",
            quantity: Length,
            least: 0.05,
            most: 2.0,
            source: STEPS,
            slot: |of| &mut of.tread_least_m,
        },
        Limit {
            field: "natural_run_per_rise",
            label: "Natural grade",
            quantity: RunPerRise,
            least: 0.5,
            most: 100.0,
            source: OWN,
            slot: |of| &mut of.natural_run_per_rise,
        },
        Limit {
            field: "mound_advice",
            label: "Mound measure, advice from",
            quantity: Number,
            least: 0.0,
            most: 10.0,
            source: OWN,
            slot: |of| &mut of.mound_advice,
        },
        Limit {
            field: "mound_heap",
            label: "Mound measure, a heap from",
            quantity: Number,
            least: 0.0,
            most: 10.0,
            source: OWN,
            slot: |of| &mut of.mound_heap,
        },
        Limit {
            field: "mound_least_height_m",
            label: "Least height of a hill",
            quantity: Length,
            least: 0.0,
            most: 10.0,
            source: OWN,
            slot: |of| &mut of.mound_least_height_m,
        },
        Limit {
            field: "lip_backdrop_rise_m",
            label: "Ground behind the lip rises",
            quantity: Length,
            least: 0.0,
            most: 10.0,
            source: OWN,
            slot: |of| &mut of.lip_backdrop_rise_m,
        },
        Limit {
            field: "lip_backdrop_reach_m",
            label: "Looked for behind the lip within",
            quantity: Length,
            least: 0.01,
            most: 100.0,
            source: OWN,
            slot: |of| &mut of.lip_backdrop_reach_m,
        },
        Limit {
            field: "lip_backdrop_share",
            label: "Share of the half circle",
            quantity: Share,
            least: 0.0,
            most: 1.0,
            source: OWN,
            slot: |of| &mut of.lip_backdrop_share,
        },
        Limit {
            field: "survey_spacing_m",
            label: "Longest survey edge",
            quantity: Length,
            least: 0.01,
            most: 1000.0,
            source: COMMON,
            slot: |of| &mut of.survey_spacing_m,
        },
        Limit {
            field: "survey_spike_deviations",
            label: "A shot is doubtful from, deviations",
            quantity: Number,
            least: 1.0,
            most: 1000.0,
            source: COMMON,
            slot: |of| &mut of.survey_spike_deviations,
        },
    ];

    /// The limits that differ from the program's own, in the order of [`Self::TABLE`].
    pub fn changed(&self) -> Vec<ChangedLimit> {
        let (mut own, mut default) = (*self, Self::default());
        let changed = |limit: &'static Limit| {
            let (value, default) = (*(limit.slot)(&mut own), *(limit.slot)(&mut default));
            (value != default).then_some(ChangedLimit { limit, value, default })
        };
        Self::TABLE.iter().filter_map(changed).collect()
    }
}

impl Default for Limits {
    fn default() -> Self {
        Self {
            flank_run_per_rise: 3.0,
            mown_run_per_rise: 4.0,
            wall_clearance_m: 0.05,
            wall_fall_run_per_rise: 6.0,
            wall_design_m: 1.2192,
            wall_design_loaded_m: 0.6096,
            wall_safety: 1.5,
            wall_friction_deg: 30.0,
            fill_settlement_m: 0.0127,
            stream_closure_m: 0.01,
            shelf_least_width_m: 0.3,
            shelf_greatest_depth_m: 0.75,
            covered_bank_run_per_rise: 2.5,
            bare_liner_run_per_rise: 1.0,
            barrier_depth_m: 0.4572,
            open_depth_m: 1.524,
            spoil_setback_m: 0.6096,
            uplift_factor: 1.2,
            pond_runoff_share: 0.1,
            bare_soil_m2: 20.0,
            house_fall_reach_m: 3.048,
            house_fall_m: 0.1524,
            house_fall_paved: 0.02,
            root_zone_least: 0.01,
            root_zone_most: 0.2,
            path_run_per_rise: 8.0,
            path_cross_fall: 0.05,
            riser_least_m: 0.1016,
            riser_most_m: 0.1778,
            tread_least_m: 0.2794,
            natural_run_per_rise: 4.0,
            mound_advice: 0.35,
            mound_heap: 0.60,
            mound_least_height_m: 0.15,
            lip_backdrop_rise_m: 0.15,
            lip_backdrop_reach_m: 3.0,
            lip_backdrop_share: 1.0 / 3.0,
            survey_spacing_m: 3.0,
            survey_spike_deviations: 6.0,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_is_changed_is_named_with_its_default() {
        assert!(Limits::default().changed().is_empty());
        let changed = Limits { uplift_factor: 1.5, ..Limits::default() }.changed();
        let [one] = &changed[..] else { panic!("{changed:?}") };
        assert_eq!((one.limit.field, one.value, one.default), ("uplift_factor", 1.5, 1.2));
    }

    #[test]
    fn every_default_lies_within_its_range_and_has_a_source() {
        for limit in Limits::TABLE {
            let value = *(limit.slot)(&mut Limits::default());
            assert!((limit.least..=limit.most).contains(&value), "{}", limit.field);
            assert!(!limit.source.is_empty(), "{}", limit.field);
        }
    }
}
