//! Format 1 of the site document, frozen as it was published.
//!
//! Nothing here changes when today's types do: a field that a later format renames, adds or drops
//! is dealt with in [`today`], and a text of format 1 is read for good.

mod today;

use serde::Deserialize;

/// Reads a text of format 1 as a site of today.
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
    soil: Soil,
    #[serde(default)]
    works: Vec<Work>,
    next_id: u32,
    #[serde(default)]
    houses: Vec<House>,
    #[serde(default)]
    limits: Limits,
    #[serde(default)]
    haul: Haul,
    #[serde(default)]
    viewpoints: Vec<Viewpoint>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Frame {
    unit: LengthUnit,
    step_um: u32,
    origin_m: [f64; 2],
    #[serde(default)]
    horizontal_datum: String,
    #[serde(default)]
    vertical_datum: String,
}

#[derive(Deserialize)]
enum LengthUnit {
    Metre,
    Foot,
    FootInch,
    UsSurveyFoot,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Survey {
    file: String,
    #[serde(default)]
    line_codes: Vec<String>,
    #[serde(default)]
    boundary: Vec<[f64; 2]>,
    #[serde(default)]
    voids: Vec<Vec<[f64; 2]>>,
    #[serde(default)]
    set_aside: Vec<String>,
    accuracy_m: f64,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Soil {
    bank_density_t_m3: f64,
    swell: f64,
    swell_range: f64,
    shrink: f64,
    shrink_range: f64,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct House {
    name: String,
    outline_m: Vec<[f64; 2]>,
    floor_m: f64,
    height_m: f64,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields, default)]
pub(super) struct Limits {
    flank_run_per_rise: f64,
    wall_clearance_m: f64,
    wall_fall_run_per_rise: f64,
    stream_closure_m: f64,
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

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Haul {
    struck_m3: f64,
    payload_t: f64,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Viewpoint {
    name: String,
    at_m: [f64; 2],
    eye_m: f64,
    toward_m: [f64; 3],
}

#[derive(Deserialize)]
#[serde(transparent)]
struct WorkId(u32);

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Work {
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
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Curve {
    points: Vec<[f64; 2]>,
    #[serde(default = "shown")]
    smooth: bool,
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
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct BasinRing {
    shape: RingShape,
    depth_m: f64,
}

#[derive(Deserialize)]
enum RingShape {
    Drawn(Curve),
    Inset { run_m: Vec<f64> },
}

#[derive(Deserialize)]
enum Floor {
    Level,
    Sump { at: [f64; 2], radius_m: f64, depth_m: f64 },
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
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Station {
    along_m: f64,
    invert_m: f64,
    bed_width_m: f64,
    side: f64,
    edge_m: [f64; 2],
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
struct Hill {
    crest: Curve,
    crest_m: Vec<f64>,
    width_m: Vec<f64>,
    left: Vec<Flank>,
    right: Vec<Flank>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Flank {
    run_per_rise: f64,
    shoulder_m: f64,
    toe_m: f64,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Wall {
    line: Curve,
    top_m: Vec<f64>,
    batter: f64,
    thickness_m: f64,
    embedment_m: f64,
    retains: Side,
    backfill: f64,
    material: WallMaterial,
    #[serde(default)]
    holds: Option<WorkId>,
}

#[derive(Deserialize)]
enum Side {
    Left,
    Right,
}

#[derive(Deserialize)]
enum WallMaterial {
    Stone,
    Block,
    Boulder,
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
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Lip {
    at: [f64; 2],
    width_m: f64,
    elevation_m: f64,
}

fn shown() -> bool {
    true
}

impl Default for Soil {
    fn default() -> Self {
        Self {
            bank_density_t_m3: 1.6,
            swell: 0.25,
            swell_range: 0.05,
            shrink: 0.10,
            shrink_range: 0.03,
        }
    }
}

impl Default for Limits {
    fn default() -> Self {
        Self {
            flank_run_per_rise: 3.0,
            wall_clearance_m: 0.05,
            wall_fall_run_per_rise: 6.0,
            stream_closure_m: 0.01,
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

impl Default for Haul {
    fn default() -> Self {
        Self { struck_m3: 7.6, payload_t: 12.0 }
    }
}
