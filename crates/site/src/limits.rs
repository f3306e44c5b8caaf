//! The limits of the checks, each with its default and where that comes from.
//!
//! Every one can be changed, and a changed one shows as changed.

mod table;

use serde::{Deserialize, Serialize};

use crate::field::Quantity;

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
    /// Thinnest water over a crest that falls as a sheet, metres at the brink.
    pub crest_thin_m: f64,
    /// Thickest water over a crest of a garden, metres at the brink.
    pub crest_thick_m: f64,
    /// Least height of edge stones and liner above the water upstream of a crest, metres.
    pub edge_stone_m: f64,
    /// That height as a share of the head over the crest, where that is more.
    pub edge_stone_share: f64,
    /// Least that one side of a split takes, as a share of what its width would.
    pub split_least_share: f64,
    /// Fastest water in a pipe, metres a second.
    pub pipe_m_s: f64,
    /// Least reach of the liner beyond where a fall lands, metres.
    pub splash_m: f64,
    /// That reach as a share of the drop, where that is more.
    pub splash_share: f64,
    /// Least depth of water over a pump's intake while it runs, metres.
    pub intake_cover_m: f64,
    /// Least height of the liner's edge above the water when the storm runs over, metres.
    pub storm_edge_m: f64,
    /// Water of a pond is dead when it is older than so many times what fills the pond.
    pub dead_turnovers: f64,
    /// Share of a pond's water that may be dead without a word.
    pub dead_share: f64,
    /// Density of the stones to be set, tonnes per cubic metre.
    pub stone_t_m3: f64,
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

impl Limits {
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
            crest_thin_m: 0.006,
            crest_thick_m: 0.03,
            edge_stone_m: 0.05,
            edge_stone_share: 0.5,
            split_least_share: 0.5,
            pipe_m_s: 1.5,
            splash_m: 0.3,
            splash_share: 0.5,
            intake_cover_m: 0.05,
            storm_edge_m: 0.025,
            dead_turnovers: 2.0,
            dead_share: 0.05,
            stone_t_m3: 2.65,
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
