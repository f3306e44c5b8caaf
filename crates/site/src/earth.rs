//! The ground's materials, and how they are dug, heaped, carried and hauled.

use serde::{Deserialize, Serialize};

/// The ground's materials from the top down.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Soils {
    /// What is stripped first.
    pub topsoil: Topsoil,
    /// The subsoil, from the top down; each reaches down to where the next begins. Never empty.
    pub layers: Vec<Soil>,
    /// Highest level of the groundwater in a year, metres, where it is known.
    #[serde(default)]
    pub groundwater_m: Option<f64>,
    /// Lowest level of the groundwater in a year, metres, where it is known.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub groundwater_low_m: Option<f64>,
    /// Readiness of the soil that lies open to be washed away, K, t ha h / (ha MJ mm).
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub erodibility: Option<f64>,
    /// The smallest of its grains that a settling place is to hold, metres.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub settling_grain_m: Option<f64>,
}

/// The growing earth on top, which is stripped, kept and spread again.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Topsoil {
    /// How deep it is stripped under the works, metres; zero where none is.
    pub strip_m: f64,
    /// How far around the works it is stripped, metres on plan.
    pub margin_m: f64,
    /// Density in the bank, tonnes per cubic metre.
    pub bank_density_t_m3: f64,
    /// Growth in volume from bank to loose, as a share.
    pub swell: f64,
    /// Loss of volume from bank to spread and settled, as a share.
    pub shrink: f64,
}

/// One soil below the topsoil.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Soil {
    /// What people call it.
    pub name: String,
    /// Where it begins.
    pub top: LayerTop,
    /// Density in the bank, tonnes per cubic metre.
    pub bank_density_t_m3: f64,
    /// Growth in volume from bank to loose, as a share.
    pub swell: f64,
    /// Plus or minus on the swell.
    pub swell_range: f64,
    /// Loss of volume from bank to compacted, as a share; negative for blasted rock.
    pub shrink: f64,
    /// Plus or minus on the shrink.
    pub shrink_range: f64,
    /// How it stands in an open hole.
    pub class: SoilClass,
    /// Whether it may be used as fill.
    pub fill: FillUse,
    /// Rate at which water seeps into it, millimetres an hour.
    pub infiltration_mm_h: f64,
}

/// Where a soil begins.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub enum LayerTop {
    /// At this depth below existing ground, metres; zero for the uppermost.
    Depth(f64),
    /// At these levels: places of borings with the elevation of its top, joined to a surface.
    Levels(Vec<[f64; 3]>),
}

/// How a soil stands in an open hole: the classes of 29 CFR 1926 Subpart P Appendix A (K-01).
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub enum SoilClass {
    /// Solid rock that stands upright.
    StableRock,
    /// Stiff clay.
    A,
    /// Silt, angular gravel, firm loam.
    B,
    /// Sand, gravel, wet or loose earth; whatever has not been looked at.
    C,
}

/// Whether a soil may be used as fill.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub enum FillUse {
    /// It may.
    Fit,
    /// It all leaves the site.
    Unfit,
}

/// How the ground is dug and filled beyond the lines of the design.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields, default)]
pub struct Digging {
    /// Height of one lift, metres below existing ground.
    pub lift_m: f64,
    /// Dug below subgrade where a machine cannot dig to the line, metres.
    pub over_dig_m: f64,
    /// Room to work behind a wall, metres on plan.
    pub behind_wall_m: f64,
    /// Width of the trench that anchors a liner's edge, metres; zero where none is.
    pub anchor_width_m: f64,
    /// Depth of that trench, metres.
    pub anchor_depth_m: f64,
    /// Share of its height by which fill settles.
    pub settlement: f64,
}

/// The trucks that carry spoil away or fill in.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Haul {
    /// Struck volume of one load, cubic metres.
    pub struck_m3: f64,
    /// Legal payload of one load, tonnes.
    pub payload_t: f64,
    /// Loose volume that the machine loads in an hour, cubic metres.
    #[serde(default = "loading")]
    pub load_m3_h: f64,
    /// Time of a truck from full to back at the machine, minutes.
    #[serde(default = "round_trip")]
    pub round_trip_min: f64,
    /// Hours of work in a day.
    #[serde(default = "day")]
    pub day_h: f64,
}

/// What carries earth within the site, from where it is dug to where it is placed or loaded.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields, default)]
pub struct Carry {
    /// The way from where trucks are loaded into the garden, local metres; empty where none is drawn.
    pub access_m: Vec<[f64; 2]>,
    /// Clear width of its narrowest place, metres.
    pub access_width_m: f64,
    /// Width of the barrow or machine, metres.
    pub carrier_width_m: f64,
    /// Loose volume that it carries, cubic metres.
    pub body_m3: f64,
    /// Speed, loaded or empty, metres a second.
    pub speed_m_s: f64,
    /// Time to load and to tip, minutes.
    pub load_and_tip_min: f64,
    /// What sets stones, if anything is planned to.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub machine: Option<Machine>,
}

/// A machine that sets stones.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Machine {
    /// What it lifts at that reach with its gear on, kilograms, by its maker's table.
    pub lifts_kg: f64,
    /// How far from its turning middle the stones are set, metres.
    pub reach_m: f64,
}

/// Where earth may be heaped until it is used or leaves.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Stockpile {
    /// What people call it.
    pub name: String,
    /// What is heaped there.
    pub holds: Heaped,
    /// Its outline, local metres.
    pub outline_m: Vec<[f64; 2]>,
    /// Slope at which the heap stands: run per rise.
    pub run_per_rise: f64,
    /// Greatest height of the heap, metres.
    pub height_m: f64,
}

/// What a heap is of.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub enum Heaped {
    /// Topsoil.
    Topsoil,
    /// Subsoil.
    Subsoil,
}

fn loading() -> f64 {
    Haul::default().load_m3_h
}

fn round_trip() -> f64 {
    Haul::default().round_trip_min
}

fn day() -> f64 {
    Haul::default().day_h
}

impl Default for Soils {
    fn default() -> Self {
        Self {
            topsoil: Topsoil::default(),
            layers: vec![Soil::default()],
            groundwater_m: None,
            groundwater_low_m: None,
            erodibility: None,
            settling_grain_m: None,
        }
    }
}

impl Default for Topsoil {
    /// None is stripped. Loam from memory of FM 5-434 table 1-1: swell 25 %; density and shrink common
    /// practice.
    fn default() -> Self {
        Self { strip_m: 0.0, margin_m: 0.5, bank_density_t_m3: 1.4, swell: 0.25, shrink: 0.10 }
    }
}

impl Default for Soil {
    /// Common earth. From memory of FM 5-434 table 1-1: swell 25 %, shrink 10 %; density and seepage
    /// common practice. What has not been looked at is of class C (K-02).
    fn default() -> Self {
        Self {
            name: "Common earth".into(),
            top: LayerTop::Depth(0.0),
            bank_density_t_m3: 1.6,
            swell: 0.25,
            swell_range: 0.05,
            shrink: 0.10,
            shrink_range: 0.03,
            class: SoilClass::C,
            fill: FillUse::Fit,
            infiltration_mm_h: 10.0,
        }
    }
}

impl Default for Digging {
    /// Lifts, over-dig, room and settlement are common practice, no source; the anchor trench is
    /// 12 by 12 in (K-24).
    fn default() -> Self {
        Self {
            lift_m: 0.3,
            over_dig_m: 0.0,
            behind_wall_m: 0.3,
            anchor_width_m: 0.3048,
            anchor_depth_m: 0.3048,
            settlement: 0.05,
        }
    }
}

impl Default for Haul {
    /// A tandem dump truck and a small excavator; common practice, no source.
    fn default() -> Self {
        Self { struck_m3: 7.6, payload_t: 12.0, load_m3_h: 20.0, round_trip_min: 60.0, day_h: 8.0 }
    }
}

impl Default for Carry {
    /// A small tracked carrier at a walk; common practice, no source.
    fn default() -> Self {
        Self {
            access_m: Vec::new(),
            access_width_m: 1.2,
            carrier_width_m: 0.75,
            body_m3: 0.3,
            speed_m_s: 0.8,
            load_and_tip_min: 4.0,
            machine: None,
        }
    }
}
