//! Format 3 of the site document.
//!
//! The types that a later format changed are frozen here as they were published, also for format 2,
//! whose works, soils and carrying were the same. All else of it is still as today's types have it: a
//! type that changes in a later format is first copied here as it was.

mod today;

use serde::Deserialize;

use crate::earth::Topsoil;
use crate::works::{
    BasinRing, BuildUp, Floor, Hill, IntakeBay, Island, Lip, Pad, Path, PlaneGrade, Side, Station,
    Strip, Tier, TopRun, Trench, WallMaterial,
};
use crate::{
    Curve, Digging, Frame, Haul, House, KeepOut, Soil, Stockpile, Survey, Viewpoint, WorkId,
};

/// Reads a text of format 3 as a site of today.
///
/// # Errors
/// The reader's own, with its place in the text.
pub(super) fn read(text: &str) -> Result<crate::Site, ron::error::SpannedError> {
    ron::from_str::<Site>(text).map(Into::into)
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Site {
    #[serde(rename = "format")]
    _format: u32,
    title: String,
    frame: Frame,
    survey: Survey,
    #[serde(default)]
    soils: Soils,
    #[serde(default)]
    works: Vec<Work>,
    next_id: u32,
    #[serde(default)]
    houses: Vec<House>,
    #[serde(default)]
    keep_outs: Vec<KeepOut>,
    #[serde(default)]
    limits: Limits,
    #[serde(default)]
    digging: Digging,
    #[serde(default)]
    haul: Haul,
    #[serde(default)]
    carry: Carry,
    #[serde(default)]
    stockpiles: Vec<Stockpile>,
    #[serde(default)]
    viewpoints: Vec<Viewpoint>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct Soils {
    topsoil: Topsoil,
    layers: Vec<Soil>,
    #[serde(default)]
    groundwater_m: Option<f64>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields, default)]
pub(super) struct Carry {
    access_m: Vec<[f64; 2]>,
    access_width_m: f64,
    carrier_width_m: f64,
    body_m3: f64,
    speed_m_s: f64,
    load_and_tip_min: f64,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct Work {
    id: WorkId,
    name: String,
    #[serde(default)]
    note: String,
    #[serde(default = "shown")]
    visible: bool,
    kind: WorkKind,
}

#[derive(Deserialize)]
enum WorkKind {
    Basin(Basin),
    Stream(Stream),
    Hill(Hill),
    Wall(Wall),
    FilterBed(FilterBed),
    IntakeBay(IntakeBay),
    Pad(Pad),
    Path(Path),
    PlaneGrade(PlaneGrade),
    Trench(Trench),
    Strip(Strip),
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Basin {
    outline: Curve,
    water_level_m: f64,
    freeboard_m: f64,
    #[serde(default)]
    liner_edge_m: Vec<f64>,
    #[serde(default)]
    overflow: Option<[f64; 2]>,
    rim_width_m: f64,
    cut_bank: f64,
    fill_bank: f64,
    rings: Vec<BasinRing>,
    floor: Floor,
    #[serde(default)]
    joins: Option<WorkId>,
    #[serde(default)]
    rim_build_up: BuildUp,
    #[serde(default)]
    build_up: BuildUp,
    #[serde(default)]
    bank_build_up: BuildUp,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Stream {
    line: Curve,
    #[serde(default)]
    from: Option<WorkId>,
    #[serde(default)]
    into: Option<WorkId>,
    stations: Vec<Station>,
    #[serde(default)]
    falls: Vec<Fall>,
    water_depth_m: f64,
    freeboard_m: f64,
    cut_bank: f64,
    fill_bank: f64,
    rim_width_m: f64,
    #[serde(default)]
    islands: Vec<Island>,
    #[serde(default)]
    bed_build_up: BuildUp,
    #[serde(default)]
    side_build_up: BuildUp,
    #[serde(default)]
    bank_build_up: BuildUp,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Fall {
    along_m: f64,
    crest_m: f64,
    crest_width_m: f64,
    drop_m: f64,
    #[serde(default)]
    pool_m: f64,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct FilterBed {
    outline: Curve,
    lip: Lip,
    depth_m: f64,
    side: f64,
    freeboard_m: f64,
    rim_width_m: f64,
    cut_bank: f64,
    fill_bank: f64,
    gravel_below_lip_m: f64,
    #[serde(default)]
    build_up: BuildUp,
    #[serde(default)]
    bank_build_up: BuildUp,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Wall {
    line: Curve,
    top_m: Vec<f64>,
    #[serde(default)]
    top_run: TopRun,
    batter: f64,
    thickness_m: f64,
    embedment_m: f64,
    retains: Side,
    backfill: f64,
    material: WallMaterial,
    #[serde(default)]
    holds: Option<WorkId>,
    #[serde(default)]
    tiers: Vec<Tier>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields, default)]
pub(super) struct Limits {
    flank_run_per_rise: f64,
    mown_run_per_rise: f64,
    wall_clearance_m: f64,
    wall_fall_run_per_rise: f64,
    wall_design_m: f64,
    wall_design_loaded_m: f64,
    wall_safety: f64,
    wall_friction_deg: f64,
    fill_settlement_m: f64,
    stream_closure_m: f64,
    shelf_least_width_m: f64,
    shelf_greatest_depth_m: f64,
    covered_bank_run_per_rise: f64,
    bare_liner_run_per_rise: f64,
    barrier_depth_m: f64,
    open_depth_m: f64,
    spoil_setback_m: f64,
    uplift_factor: f64,
    pond_runoff_share: f64,
    bare_soil_m2: f64,
    house_fall_reach_m: f64,
    house_fall_m: f64,
    house_fall_paved: f64,
    root_zone_least: f64,
    root_zone_most: f64,
    path_run_per_rise: f64,
    path_cross_fall: f64,
    riser_least_m: f64,
    riser_most_m: f64,
    tread_least_m: f64,
    natural_run_per_rise: f64,
    mound_advice: f64,
    mound_heap: f64,
    mound_least_height_m: f64,
    lip_backdrop_rise_m: f64,
    lip_backdrop_reach_m: f64,
    lip_backdrop_share: f64,
    survey_spacing_m: f64,
    survey_spike_deviations: f64,
}

fn shown() -> bool {
    true
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

impl Default for Carry {
    fn default() -> Self {
        Self {
            access_m: Vec::new(),
            access_width_m: 1.2,
            carrier_width_m: 0.75,
            body_m3: 0.3,
            speed_m_s: 0.8,
            load_and_tip_min: 4.0,
        }
    }
}

impl Default for Soils {
    fn default() -> Self {
        Self { topsoil: Topsoil::default(), layers: vec![Soil::default()], groundwater_m: None }
    }
}
