//! Whether the gravel stays put: by velocity (Isbash), by shear (Shields), and the stone that a
//! velocity asks for.

use crate::fluid::{GRAVITY_M_S2, Water};
use crate::range::{between, flow_or_none, length, not_negative, positive};
use crate::{OutOfRange, Point};

/// Shields' number at which laid stone begins to move: F* of HEC-15.
///
/// # Source
/// FHWA HEC-15, 3rd ed., 0.047; from memory (C-20).
pub const COMMON_SHIELDS: f64 = 0.047;

/// How white the water is over the stone.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Turbulence {
    /// Smooth flow: C 1.20.
    Low,
    /// Below falls and jumps: C 0.86.
    High,
}

/// Stone on a bed.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct BedStone {
    /// Median size, metres.
    pub d50_m: f64,
    /// Density over that of water: 2.65 for most rock.
    pub specific_gravity: f64,
    /// Shields' number at which it moves; [`COMMON_SHIELDS`] unless known better.
    pub shields: f64,
}

/// How hard water pulls at stone.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct StoneHold {
    /// Shear on the bed, pascals.
    pub shear_pa: f64,
    /// Shear at which the stone moves, pascals.
    pub allowed_pa: f64,
    /// Shear over what is allowed: above 1 the stone moves.
    pub by_shear: f64,
    /// Velocity at which the stone moves by Isbash, metres per second.
    pub allowed_m_s: f64,
    /// Velocity over that: above 1 the stone moves.
    pub by_velocity: f64,
}

impl StoneHold {
    /// Whether the stone stays by both forms.
    pub fn stays(self) -> bool {
        self.by_shear < 1.0 && self.by_velocity < 1.0
    }
}

impl Turbulence {
    fn isbash(self) -> f64 {
        match self {
            Self::Low => 1.20,
            Self::High => 0.86,
        }
    }
}

/// Shear of running water on its bed, pascals: unit weight, hydraulic radius and friction slope.
///
/// # Errors
/// [`OutOfRange`] for a number below zero.
///
/// # Source
/// tau = gamma R S; Natarajan ex. 8.1 (C-08).
pub fn bed_shear_pa(hydraulic_radius_m: f64, friction_slope: f64) -> Result<f64, OutOfRange> {
    let radius_m = not_negative("the hydraulic radius, m,", hydraulic_radius_m)?;
    let slope = not_negative("the slope of the energy line", friction_slope)?;
    Ok(Water::COOL.unit_weight_n_m3() * radius_m * slope)
}

/// Shear at which stone on a bed moves, pascals.
///
/// # Errors
/// [`OutOfRange`] for a stone out of range.
///
/// # Source
/// FHWA HEC-15, 3rd ed., eq. 6.7: tau = F* (gamma_s - gamma) D50 (C-20).
pub fn allowed_shear_pa(stone: BedStone) -> Result<f64, OutOfRange> {
    let BedStone { d50_m, specific_gravity, shields } = stone;
    let shields = between((0.01, 0.3), "0.01 to 0.3", ("Shields' number", shields))?;
    let excess = gravity(specific_gravity)? - 1.0;
    Ok(shields * excess * Water::COOL.unit_weight_n_m3() * size(d50_m)?)
}

/// Velocity at which a stone moves, metres per second.
///
/// # Errors
/// [`OutOfRange`] for a stone out of range.
///
/// # Source
/// S. V. Isbash, V = C (2 g (S - 1) D)^0.5; USACE HDC 712-1, NCHRP 568 (C-26).
pub fn isbash_velocity_m_s(
    size_m: f64,
    specific_gravity: f64,
    turbulence: Turbulence,
) -> Result<f64, OutOfRange> {
    let excess = gravity(specific_gravity)? - 1.0;
    Ok(turbulence.isbash() * (2.0 * GRAVITY_M_S2 * excess * size(size_m)?).sqrt())
}

/// Size of stone that stays in a velocity, metres.
///
/// # Errors
/// [`OutOfRange`] for a velocity below zero or a specific gravity outside 1.2 to 5.
///
/// # Source
/// As [`isbash_velocity_m_s`].
pub fn isbash_stone_m(
    velocity_m_s: f64,
    specific_gravity: f64,
    turbulence: Turbulence,
) -> Result<f64, OutOfRange> {
    let velocity_m_s = flow_or_none("the velocity of water, m/s,", velocity_m_s)?;
    let excess = gravity(specific_gravity)? - 1.0;
    let ratio = velocity_m_s / turbulence.isbash();
    Ok(ratio * ratio / (2.0 * GRAVITY_M_S2 * excess))
}

/// Median size of stone that stays on a gentle bed, metres, by shear with a factor of safety.
///
/// # Errors
/// [`OutOfRange`] for a number out of range.
///
/// # Source
/// FHWA HEC-15, 3rd ed., eq. 6.8: D50 = SF d S / (F* (SG - 1)) (C-20).
pub fn shear_stone_m(
    depth_m: f64,
    slope: f64,
    stone: BedStone,
    safety: f64,
) -> Result<f64, OutOfRange> {
    let depth_m = length("the depth of water, m,", depth_m)?;
    let slope = not_negative("the slope of the energy line", slope)?;
    let safety = between((1.0, 10.0), "1 to 10", ("the factor of safety", safety))?;
    let shields = between((0.01, 0.3), "0.01 to 0.3", ("Shields' number", stone.shields))?;
    Ok(safety * depth_m * slope / (shields * (gravity(stone.specific_gravity)? - 1.0)))
}

/// How much of its strength a side slope leaves to stone, by its run for each rise and the stone's
/// angle of repose, radians.
///
/// # Errors
/// [`OutOfRange`] for a side steeper than the angle of repose, or an angle outside 0.1 to 1.4.
///
/// # Source
/// FHWA HEC-11 (1989): K1 = (1 - sin^2 theta / sin^2 phi)^0.5 (C-18).
pub fn side_slope_share(run_per_rise: f64, repose_rad: f64) -> Result<f64, OutOfRange> {
    let run = between((0.0, 1.0e6), "0 to 1e6", ("the run of a side for each rise", run_per_rise))?;
    let repose = ("the angle of repose, radians,", repose_rad);
    let sine_repose = libm::sin(between((0.1, 1.4), "0.1 to 1.4", repose)?);
    let sine = 1.0 / (1.0 + run * run).sqrt();
    let left = 1.0 - (sine / sine_repose) * (sine / sine_repose);
    let allowed = "0 or more: the side is steeper than the stone's angle of repose";
    Ok(between((0.0, 1.0), allowed, ("what a side slope leaves", left))?.sqrt())
}

/// Median size of stone on the bank of a stream, metres, by HEC-11 in its metric form.
///
/// `safety` is 1.2 where the water runs straight (from memory).
///
/// # Errors
/// [`OutOfRange`] for a number out of range.
///
/// # Source
/// FHWA HEC-11 (1989): D50 = 0.00594 V^3 / (d^0.5 K1^1.5), times 2.12 / (SG - 1)^1.5 and (SF /
/// 1.2)^1.5 (C-18, C-19).
pub fn bank_stone_m(
    velocity_m_s: f64,
    depth_m: f64,
    side_slope_share: f64,
    (specific_gravity, safety): (f64, f64),
) -> Result<f64, OutOfRange> {
    let v = flow_or_none("the velocity of water, m/s,", velocity_m_s)?;
    let depth_m = length("the depth of water, m,", depth_m)?;
    let k1 = crate::range::some_share("what a side slope leaves", side_slope_share)?;
    let safety = between((1.0, 10.0), "1 to 10", ("the factor of safety", safety))?;
    let power = |x: f64| x * x.sqrt();
    let base = 0.005_94 * v * v * v / (depth_m.sqrt() * power(k1));
    Ok(base * 2.12 / power(gravity(specific_gravity)? - 1.0) * power(safety / 1.2))
}

/// Size of which 30 % of the stones on a bank are smaller, metres, by EM 1110-2-1601, where the
/// factors of safety, stability, bend and thickness are multiplied into one.
///
/// # Errors
/// [`OutOfRange`] for a number out of range.
///
/// # Source
/// USACE WES *Streambank Manual* app. A (C-15): D30 = Sf Cs Cv Ct d ((1 / (SG - 1))^0.5 V / (K1 g
/// d)^0.5)^2.5; constants from memory.
pub fn bank_d30_m(
    velocity_m_s: f64,
    depth_m: f64,
    (factors, side_factor): (f64, f64),
    specific_gravity: f64,
) -> Result<f64, OutOfRange> {
    let v = flow_or_none("the velocity of water, m/s,", velocity_m_s)?;
    let depth_m = length("the depth of water, m,", depth_m)?;
    let factors = positive("the factors on stone size", factors)?;
    let side = crate::range::some_share("the factor of a side slope", side_factor)?;
    let ratio =
        v / (gravity(specific_gravity)? - 1.0).sqrt() / (side * GRAVITY_M_S2 * depth_m).sqrt();
    Ok(factors * depth_m * ratio * ratio * ratio.sqrt())
}

/// How a running stream pulls at the stone of its bed at a point of its profile.
///
/// The shear is all that friction takes. Where the water is no deeper than the stones, most of that
/// goes into eddies between them, not into what lies loose: there the shear is on the safe side, far
/// so at the drawdown to a crest, and the velocity tells more.
///
/// # Errors
/// [`OutOfRange`] for a stone out of range.
///
/// # Source
/// [`bed_shear_pa`] against [`allowed_shear_pa`], and the velocity against [`isbash_velocity_m_s`].
pub fn stone_hold(
    point: &Point,
    stone: BedStone,
    turbulence: Turbulence,
) -> Result<StoneHold, OutOfRange> {
    let shear_pa = bed_shear_pa(point.hydraulic_radius_m, point.friction_slope)?;
    let allowed_pa = allowed_shear_pa(stone)?;
    let allowed_m_s = isbash_velocity_m_s(stone.d50_m, stone.specific_gravity, turbulence)?;
    let velocity_m_s = flow_or_none("the velocity of water, m/s,", point.velocity_m_s)?;
    Ok(StoneHold {
        shear_pa,
        allowed_pa,
        by_shear: shear_pa / allowed_pa,
        allowed_m_s,
        by_velocity: velocity_m_s / allowed_m_s,
    })
}

fn gravity(specific_gravity: f64) -> Result<f64, OutOfRange> {
    between((1.2, 5.0), "1.2 to 5", ("the specific gravity of stone", specific_gravity))
}

fn size(size_m: f64) -> Result<f64, OutOfRange> {
    length("the size of stone, m,", size_m)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{
        Ends, Inlet, Outlet, Reach, Roughness, Section, Station, profile, uniform_flow_m3_s,
    };

    const FOOT_M: f64 = 0.3048;

    /// C-08, Natarajan ex. 8.1: 4 m wide, 1.2 m deep, 0.001: 7.36 N/m2, with 9,810 N/m3 where this water
    /// of 15 degrees has 9,798.
    #[test]
    fn shear_on_a_bed() {
        let radius = Section::rectangle(4.0).unwrap().hydraulic_radius_m(1.2);
        assert!((bed_shear_pa(radius, 0.001).unwrap() / 7.36 - 1.0).abs() < 2e-3);
    }

    /// C-26: 6 fps and 2.65: 0.458 ft in white water, 0.235 ft in smooth.
    #[test]
    fn isbash() {
        let stone = |turbulence| isbash_stone_m(6.0 * FOOT_M, 2.65, turbulence).unwrap() / FOOT_M;
        assert!((stone(Turbulence::High) / 0.458 - 1.0).abs() < 5e-3);
        assert!((stone(Turbulence::Low) / 0.235 - 1.0).abs() < 5e-3);
        let back = isbash_velocity_m_s(0.458 * FOOT_M, 2.65, Turbulence::High).unwrap();
        assert!((back / FOOT_M / 6.0 - 1.0).abs() < 2e-3);
    }

    /// C-20, HEC-15: 165 lb/ft3, 0.5 ft, 0.02, F* 0.047: D50 0.129 ft; shear 0.624 lb/ft2.
    #[test]
    fn stone_by_shear() {
        let stone = BedStone {
            d50_m: 0.129 * FOOT_M,
            specific_gravity: 165.0 / 62.4,
            shields: COMMON_SHIELDS,
        };
        let d50 = shear_stone_m(0.5 * FOOT_M, 0.02, stone, 1.0).unwrap();
        assert!((d50 / FOOT_M / 0.129 - 1.0).abs() < 5e-3, "{}", d50 / FOOT_M);
        let shear = bed_shear_pa(0.5 * FOOT_M, 0.02).unwrap() / 47.880_26;
        assert!((shear / 0.624 - 1.0).abs() < 1e-3);
        // The stone that the formula gives is on the point of moving.
        let allowed = allowed_shear_pa(BedStone { d50_m: d50, ..stone }).unwrap();
        assert!((allowed / 47.880_26 / shear - 1.0).abs() < 1e-9);
    }

    /// C-18 and C-19, FHWA HEC-11: 1.87 m/s, 0.1219 m, 3:1, 45 degrees.
    #[test]
    fn stone_on_a_bank() {
        let repose = 45.0_f64.to_radians();
        let k1 = side_slope_share(3.0, repose).unwrap();
        assert!((k1 - 0.8944).abs() < 1e-4);
        assert!((side_slope_share(2.0, repose).unwrap() - 0.7746).abs() < 1e-4);
        let d50 = bank_stone_m(1.87, 0.1219, k1, (2.65, 1.2)).unwrap();
        assert!((d50 / 0.1315 - 1.0).abs() < 2e-3, "{d50}");
        assert!(side_slope_share(0.9, repose).is_err());
    }

    /// C-15, *Streambank Manual* app. A ex. 1: 10.5 fps, 12 ft, 165 lb/ft3, K1 0.88, Cv 1.185, Sf 1.1,
    /// Cs 0.30: D30 0.62 ft.
    #[test]
    fn d30_on_a_bank() {
        let factors = 1.1 * 0.30 * 1.185;
        let d30 = bank_d30_m(10.5 * FOOT_M, 12.0 * FOOT_M, (factors, 0.88), 165.0 / 62.4).unwrap();
        assert!((d30 / FOOT_M / 0.62 - 1.0).abs() < 1e-2, "{}", d30 / FOOT_M);
    }

    /// C-16, *Streambank Manual* A.3.1: rock no steeper than 1.5, best at 2 to 3: what the slope
    /// leaves falls off steeply there.
    #[test]
    fn steep_banks_leave_little() {
        let at = |run| side_slope_share(run, 40.0_f64.to_radians()).unwrap();
        assert!(at(1.5) < 0.55 && at(2.0) > 0.7 && at(3.0) > 0.85);
    }

    /// In even flow the shear of the profile is that of the bed's slope.
    #[test]
    fn the_stone_of_a_running_stream() {
        let section = Section::rectangle(0.6).unwrap();
        let roughness = Roughness::manning(0.04).unwrap();
        let station = |along_m: f64| Station {
            along_m,
            invert_m: 10.0 - 0.02 * along_m,
            section,
            roughness,
            edges_m: [11.0, 11.0],
        };
        let flow = uniform_flow_m3_s(section, roughness, 0.02, 0.08).unwrap();
        let reach = Reach::new(vec![station(0.0), station(20.0)]).unwrap();
        let outlet = Outlet::Level(9.6 + 0.08);
        let found = profile(&reach, flow, Ends { inlet: Inlet::Quiet, outlet }, 0.05).unwrap();
        let even = bed_shear_pa(section.hydraulic_radius_m(0.08), 0.02).unwrap();
        let gravel = BedStone { d50_m: 0.008, specific_gravity: 2.65, shields: COMMON_SHIELDS };
        let hold = stone_hold(&found.points[0], gravel, Turbulence::Low).unwrap();
        assert!((hold.shear_pa / even - 1.0).abs() < 0.01);
        assert!(!hold.stays() && hold.by_shear > 1.0);
        let cobble = BedStone { d50_m: 0.08, ..gravel };
        assert!(stone_hold(&found.points[0], cobble, Turbulence::Low).unwrap().stays());
    }

    #[test]
    fn what_is_no_stone_is_refused() {
        let stone = BedStone { d50_m: 0.02, specific_gravity: 2.65, shields: COMMON_SHIELDS };
        assert!(allowed_shear_pa(BedStone { d50_m: f64::NAN, ..stone }).is_err());
        assert!(allowed_shear_pa(BedStone { specific_gravity: 1.0, ..stone }).is_err());
        assert!(allowed_shear_pa(BedStone { shields: 0.0, ..stone }).is_err());
        assert!(isbash_stone_m(f64::INFINITY, 2.65, Turbulence::Low).is_err());
        assert!(bank_stone_m(1.0, 0.1, 0.0, (2.65, 1.2)).is_err());
        assert!(bank_d30_m(1.0, f64::NAN, (1.0, 1.0), 2.65).is_err());
        assert!(shear_stone_m(0.1, 0.02, stone, 0.5).is_err());
    }
}
