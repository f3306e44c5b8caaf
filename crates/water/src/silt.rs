//! Silt from bare soil, and the place where it is to settle.

use crate::OutOfRange;
use crate::fluid::{GRAVITY_M_S2, Water};
use crate::range::{between, flow, length, not_negative, share, some_share};

/// Storage for silt below ground that lies bare, metres of its area: 3,600 cubic feet an acre.
///
/// # Source
/// EPA Construction General Permit, sediment basins; from memory.
pub const SILT_STORAGE_M: f64 = 3600.0 / 43_560.0 * 0.3048;

/// Density of quartz grains, kilograms per cubic metre.
const GRAIN_KG_M3: f64 = 2650.0;

/// Factor by which a settling place is larger than still water would ask.
///
/// # Source
/// EPA and state manuals for sediment basins: area = 1.2 Q / settling velocity; from memory.
const SETTLING_FACTOR: f64 = 1.2;

/// Bare soil as it washes.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct BareSoil {
    /// Area on plan, square metres.
    pub area_m2: f64,
    /// Length of the slope, metres.
    pub slope_length_m: f64,
    /// Its grade, rise over run.
    pub grade: f64,
    /// Rain's power to wash, R, MJ mm / (ha h) a year, from a map.
    pub rain_erosivity: f64,
    /// The soil's readiness to wash, K, t ha h / (ha MJ mm): 0.01 sand to 0.07 silt (from memory).
    pub erodibility: f64,
    /// What cover and practice leave of it, C P: 1 bare, 0.1 mulched (from memory).
    pub cover_share: f64,
    /// Part of the year for which it lies bare.
    pub year_share: f64,
}

/// What a settling place must be.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct SettlingPlace {
    /// Velocity at which the grain sinks, metres per second.
    pub settling_m_s: f64,
    /// Surface of the water, square metres.
    pub area_m2: f64,
    /// Volume kept for silt, cubic metres.
    pub storage_m3: f64,
}

/// Soil that washes off bare ground while it lies bare, tonnes.
///
/// Measured for fields: for a garden's slope an estimate by its nature.
///
/// # Errors
/// [`OutOfRange`] for a number out of range.
///
/// # Source
/// Universal soil loss equation, A = R K LS C P, with LS = (l / 22.13)^m (65.41 sin^2 + 4.56 sin +
/// 0.065), m 0.2 to 0.5 by grade; Wischmeier and Smith, USDA Agriculture Handbook 537 (1978), from
/// memory.
pub fn washed_soil_t(soil: BareSoil) -> Result<f64, OutOfRange> {
    let area_m2 = not_negative("the area of bare soil, m2,", soil.area_m2)?;
    let length_m = length("the length of a slope, m,", soil.slope_length_m)?;
    let grade = between((0.0, 2.0), "0 to 2", ("the grade of bare soil", soil.grade))?;
    let rain = ("the power of rain to wash", soil.rain_erosivity);
    let rain = between((0.0, 30_000.0), "0 to 30,000", rain)?;
    let erodibility = ("the readiness of soil to wash", soil.erodibility);
    let erodibility = between((0.0, 0.2), "0 to 0.2", erodibility)?;
    let cover_share = share("what cover leaves of washing", soil.cover_share)?;
    let year_share = share("the part of a year in which soil is bare", soil.year_share)?;
    let exponent = match grade {
        grade if grade < 0.01 => 0.2,
        grade if grade < 0.03 => 0.3,
        grade if grade < 0.05 => 0.4,
        _ => 0.5,
    };
    let sine = grade / (1.0 + grade * grade).sqrt();
    let steepness = 65.41 * sine * sine + 4.56 * sine + 0.065;
    let t_per_ha =
        rain * erodibility * libm::pow(length_m / 22.13, exponent) * steepness * cover_share;
    Ok(t_per_ha * year_share * area_m2 / 10_000.0)
}

/// Velocity at which a grain of soil sinks in still water, metres per second.
///
/// # Errors
/// [`OutOfRange`] for a grain outside 1 micrometre to 10 cm.
///
/// # Source
/// R. I. Ferguson and M. Church, J. Sedimentary Research 74 (2004): w = r g D^2 / (18 v + (0.75
/// r g D^3)^0.5), r = 1.65, for natural grains; from memory. Stokes' law for silt.
pub fn settling_m_s(grain_m: f64, water: Water) -> Result<f64, OutOfRange> {
    let grain = ("the size of a grain, m,", grain_m);
    let d = between((1.0e-6, 0.1), "1e-6 to 0.1", grain)?;
    let excess = GRAIN_KG_M3 / water.density_kg_m3() - 1.0;
    let weight = excess * GRAVITY_M_S2 * d;
    Ok(weight * d / (18.0 * water.viscosity_m2_s() + (0.75 * weight * d * d).sqrt()))
}

/// The settling place that a flow off bare soil asks for, to hold grains down to a size.
///
/// # Errors
/// [`OutOfRange`] for a number out of range.
///
/// # Source
/// Area 1.2 Q / w; storage [`SILT_STORAGE_M`] of the bare area; from memory.
pub fn settling_place(
    flow_m3_s: f64,
    grain_m: f64,
    bare_m2: f64,
) -> Result<SettlingPlace, OutOfRange> {
    let flow_m3_s = flow("the flow off bare soil, m3/s,", flow_m3_s)?;
    let settling_m_s = settling_m_s(grain_m, Water::COOL)?;
    let bare_m2 = not_negative("the area of bare soil, m2,", bare_m2)?;
    let storage_m3 = SILT_STORAGE_M * bare_m2;
    Ok(SettlingPlace {
        settling_m_s,
        area_m2: SETTLING_FACTOR * flow_m3_s / settling_m_s,
        storage_m3,
    })
}

/// Depth of silt, metres, that washed soil makes in a place, at a density of the settled silt in
/// tonnes per cubic metre.
///
/// # Errors
/// [`OutOfRange`] for an area that is not above zero, a density outside 0.3 to 2.5 or a trapped share
/// outside 0 to 1.
pub fn silt_depth_m(
    washed_t: f64,
    trapped_share: f64,
    area_m2: f64,
    silt_t_m3: f64,
) -> Result<f64, OutOfRange> {
    let washed_t = not_negative("washed soil, t,", washed_t)?;
    let trapped = some_share("the share of silt that settles", trapped_share)?;
    let area_m2 = crate::range::positive("the area of a settling place, m2,", area_m2)?;
    let density = ("the density of settled silt, t/m3,", silt_t_m3);
    Ok(washed_t * trapped / (between((0.3, 2.5), "0.3 to 2.5", density)? * area_m2))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn soil() -> BareSoil {
        BareSoil {
            area_m2: 10_000.0,
            slope_length_m: 22.13,
            grade: 0.09,
            rain_erosivity: 1000.0,
            erodibility: 0.03,
            cover_share: 1.0,
            year_share: 1.0,
        }
    }

    /// The unit plot: 22.13 m at 9 % has LS 1 by definition (AH 537, from memory), so A = R K.
    #[test]
    fn the_unit_plot_loses_r_times_k() {
        assert!((washed_soil_t(soil()).unwrap() / 30.0 - 1.0).abs() < 0.02);
        let steeper = BareSoil { grade: 0.33, ..soil() };
        assert!(washed_soil_t(steeper).unwrap() > 5.0 * washed_soil_t(soil()).unwrap());
        let mulched = BareSoil { cover_share: 0.1, year_share: 0.5, ..soil() };
        assert!(
            (washed_soil_t(mulched).unwrap() / washed_soil_t(soil()).unwrap() - 0.05).abs() < 1e-12
        );
    }

    /// Stokes' law for silt of 0.02 mm, within a fiftieth; sand of 1 mm sinks at 0.1 to 0.16 m/s.
    #[test]
    fn fine_grains_sink_by_stokes() {
        let water = Water::at_celsius(20.0).unwrap();
        let d: f64 = 2.0e-5;
        let excess = GRAIN_KG_M3 / water.density_kg_m3() - 1.0;
        let stokes = excess * GRAVITY_M_S2 * d * d / (18.0 * water.viscosity_m2_s());
        assert!((settling_m_s(d, water).unwrap() / stokes - 1.0).abs() < 0.02);
        assert!((0.1..0.16).contains(&settling_m_s(1.0e-3, water).unwrap()));
    }

    #[test]
    fn the_place_for_silt() {
        let place = settling_place(0.002, 2.0e-5, 500.0).unwrap();
        assert!((place.area_m2 * place.settling_m_s / 0.0024 - 1.0).abs() < 1e-12);
        // 3,600 ft3 an acre is 252 m3 a hectare.
        assert!((place.storage_m3 * 20.0 - 252.0).abs() < 0.5);
        assert!((silt_depth_m(3.0, 0.8, 12.0, 1.2).unwrap() - 2.0 / 12.0).abs() < 1e-12);
    }

    #[test]
    fn what_is_no_soil_is_refused() {
        assert!(washed_soil_t(BareSoil { grade: f64::NAN, ..soil() }).is_err());
        assert!(washed_soil_t(BareSoil { cover_share: 2.0, ..soil() }).is_err());
        assert!(settling_m_s(0.0, Water::COOL).is_err());
        assert!(settling_place(0.0, 2.0e-5, 1.0).is_err());
        assert!(silt_depth_m(1.0, 0.0, 1.0, 1.2).is_err());
    }
}
