//! Water and soil: groundwater by season under liners, and what rain washes off while soil lies open.

use ground::Surface;
use ground::query::{face_area_m2, fall};
use site::works::Basin;
use site::{Site, WorkId, WorkKind};
use water::{
    BareSoil, LinerGround, rational_flow_m3_s, settling_place, uplift_drained, uplift_with_water,
    washed_soil_t,
};

use super::{Known, Unknown};
use crate::{Evaluation, WaterKind};

/// Stone, gravel and earth on a liner: 120 lb in a cubic foot (K-26), kilograms per cubic metre.
const COVER_KG_M3: f64 = 1922.0;
/// A low pond stands this far below its level, metres: a dry month without a fill; common practice.
const LOW_M: f64 = 0.3;
/// Longest slope over which open soil is taken to wash, metres.
const LONGEST_SLOPE_M: f64 = 100.0;
/// Weeks in a year.
const YEAR_WEEKS: f64 = 365.25 / 7.0;

/// Groundwater and soil.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct SoilWater {
    /// Uplift of each pond's liner at its floor, by season.
    pub uplifts: Vec<Uplifts>,
    /// What rain washes off the open soil.
    pub washing: Option<Known<Washing>>,
}

/// What holds over what lifts at the floor of a pond; infinite where nothing lifts.
#[derive(Clone, Debug, PartialEq)]
pub struct Uplifts {
    /// The pond.
    pub work: WorkId,
    /// When: `wettest` or `driest`.
    pub season: &'static str,
    /// Level of the groundwater then, metres.
    pub groundwater_m: f64,
    /// With the pond full, low, and drained.
    pub factors: [Known<f64>; 3],
}

/// What rain washes off open soil, and the place that holds it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Washing {
    /// Soil that lies open, square metres on plan.
    pub open_m2: f64,
    /// What washes off while it does, tonnes.
    pub washed_t: f64,
    /// Surface of the settling place, square metres.
    pub settling_m2: f64,
    /// Volume that it keeps for silt, cubic metres.
    pub storage_m3: f64,
}

/// Groundwater and soil of an evaluated site.
pub(super) fn soil(site: &Site, evaluation: &Evaluation) -> SoilWater {
    let seasons = [("wettest", site.soils.groundwater_m), ("driest", site.soils.groundwater_low_m)];
    let mut found = Vec::new();
    for body in evaluation.water.iter().filter(|body| body.kind == WaterKind::Basin) {
        let basin = match site.work(body.work).map(|work| &work.kind) {
            Some(WorkKind::Basin(basin)) => basin,
            _ => continue,
        };
        let floor_m = body.stages.first().map_or(f64::NAN, |stage| stage[0]);
        for (season, groundwater_m) in seasons {
            let Some(groundwater_m) = groundwater_m else { continue };
            let factors = factors(site, basin, [floor_m, body.level_m], groundwater_m);
            found.push(Uplifts { work: body.work, season, groundwater_m, factors });
        }
    }
    let has_weather = !site.weather.is_none() && evaluation.finished.is_some();
    SoilWater { uplifts: found, washing: has_weather.then(|| washing(site, evaluation)) }
}

/// What holds over what lifts at a pond's floor, with the pond full, low and drained.
fn factors(
    site: &Site,
    basin: &Basin,
    [floor_m, level_m]: [f64; 2],
    groundwater_m: f64,
) -> [Known<f64>; 3] {
    let build_up = basin.rings.last().map_or(&basin.build_up, |ring| &ring.build_up);
    let cover_m = build_up.above_liner_m();
    let ground = LinerGround {
        liner_m: floor_m - cover_m,
        groundwater_m,
        cover_m,
        cover_saturated_kg_m3: COVER_KG_M3,
        cover_drained_kg_m3: COVER_KG_M3,
    };
    let asked = site.limits.uplift_factor;
    let with_water = |level_m: f64| uplift_with_water(ground, level_m, asked);
    [with_water(level_m), with_water(level_m - LOW_M), uplift_drained(ground, asked)]
        .map(|found| found.map(|uplift| uplift.factor).map_err(Unknown::because))
}

/// What rain washes off all that is dug or raised while it lies open.
fn washing(site: &Site, evaluation: &Evaluation) -> Known<Washing> {
    let (weather, soils) = (&site.weather, &site.soils);
    let given = |value: Option<f64>, what: &str| {
        value.ok_or_else(|| Unknown(format!("{what} is not given")))
    };
    let open_m2 = evaluation.earth.cut_area_m2 + evaluation.earth.fill_area_m2;
    let soil = BareSoil {
        area_m2: open_m2,
        slope_length_m: open_m2.sqrt().min(LONGEST_SLOPE_M),
        grade: mean_grade(evaluation),
        rain_erosivity: given(weather.erosivity, "the rain's power to wash soil")?,
        erodibility: given(soils.erodibility, "the soil's readiness to wash")?,
        cover_share: 1.0,
        year_share: given(weather.open_weeks, "how long soil lies open")? / YEAR_WEEKS,
    };
    let storm = given(weather.storm_mm_h, "the storm")?;
    let grain_m = given(soils.settling_grain_m, "the smallest grain to settle")?;
    // Open soil sheds all of a hard rain: the safe side.
    let flow = rational_flow_m3_s(1.0, storm, open_m2).map_err(Unknown::because)?;
    let place = settling_place(flow, grain_m, open_m2).map_err(Unknown::because)?;
    Ok(Washing {
        open_m2,
        washed_t: washed_soil_t(soil).map_err(Unknown::because)?,
        settling_m2: place.area_m2,
        storage_m3: place.storage_m3,
    })
}

/// Mean grade of the ground as surveyed, by area.
fn mean_grade(evaluation: &Evaluation) -> f64 {
    let Some(existing) = evaluation.existing.as_deref() else { return f64::NAN };
    let face = |f: u32| (face_area_m2(existing, f), fall(existing, f).grade);
    let faces = |surface: &Surface| 0..surface.faces().len() as u32;
    let (mut area, mut rise) = (ground::Sum::default(), ground::Sum::default());
    for (area_m2, grade) in faces(existing).map(face) {
        area.add(area_m2);
        rise.add(area_m2 * grade);
    }
    rise.value() / area.value()
}
