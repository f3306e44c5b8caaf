//! What earth pushes, and what a wall of its own weight holds against it.
//!
//! ```text
//!        top ____
//!            \   \ |        Pa at a third of the height, along the slope behind
//!     batter  \   \|  H
//!              \___\
//!          toe  t
//! ```

use std::f64::consts::PI;

/// Standard gravity, metres per second squared.
const GRAVITY_M_S2: f64 = 9.806_65;
/// Weight of water, kilonewtons per cubic metre.
const WATER_KN_M3: f64 = 9.81;

/// Rankine's coefficient of active pressure of earth with the friction angle `friction_rad` behind an
/// upright back, its top rising at `slope_rad` (0 to `friction_rad`; above, as at `friction_rad`).
///
/// # Source
/// W. J. M. Rankine, "On the stability of loose earth", 1857; values after Bowles, *Foundation Analysis
/// and Design*, 5th edition (K-15, K-16).
pub(crate) fn active_pressure(friction_rad: f64, slope_rad: f64) -> f64 {
    let slope = slope_rad.min(friction_rad).max(0.0);
    let (cos_slope, cos_friction) = (libm::cos(slope), libm::cos(friction_rad));
    let root = libm::sqrt((cos_slope * cos_slope - cos_friction * cos_friction).max(0.0));
    cos_slope * (cos_slope - root) / (cos_slope + root)
}

/// A wall that holds earth by its weight, for each metre of its length.
#[derive(Clone, Copy, Debug)]
pub(crate) struct GravityWall {
    /// From the bottom of its footing to its top, metres.
    pub(crate) height_m: f64,
    /// From its face to its back, metres.
    pub(crate) thickness_m: f64,
    /// Lean of its face and back toward the earth: run per rise.
    pub(crate) batter: f64,
    /// Weight of its stone, with the gaps, tonnes per cubic metre.
    pub(crate) density_t_m3: f64,
    /// Weight of the earth behind, tonnes per cubic metre.
    pub(crate) earth_t_m3: f64,
    /// Friction of the earth behind and under it.
    pub(crate) friction_rad: f64,
    /// Slope of the earth behind, upward from its top.
    pub(crate) slope_rad: f64,
    /// Whether water stands behind it up to its top.
    pub(crate) is_saturated: bool,
}

/// How safe a wall stands: what holds, over what pushes.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Stability {
    pub(crate) sliding: f64,
    pub(crate) overturning: f64,
}

impl GravityWall {
    /// Its safety against sliding on its base and against tipping over its toe.
    ///
    /// The earth pushes by Rankine on the upright plane through the heel, nothing in front helps, and
    /// friction on the base is that of the earth. Water behind a saturated wall pushes besides, and
    /// the earth then weighs less by the water's weight.
    pub(crate) fn stability(&self) -> Stability {
        let h = self.height_m;
        let (water, earth_t_m3) = match self.is_saturated {
            true => (0.5 * WATER_KN_M3 * h * h, self.earth_t_m3 - WATER_KN_M3 / GRAVITY_M_S2),
            false => (0.0, self.earth_t_m3),
        };
        let ka = active_pressure(self.friction_rad, self.slope_rad);
        let push = 0.5 * ka * earth_t_m3.max(0.0) * GRAVITY_M_S2 * h * h;
        let (sin, cos) = libm::sincos(self.slope_rad.min(self.friction_rad).max(0.0));
        let weight = self.density_t_m3 * GRAVITY_M_S2 * self.thickness_m * h;
        let lean_m = self.batter * h;
        let holds = weight * 0.5 * (self.thickness_m + lean_m)
            + push * sin * (self.thickness_m + lean_m / 3.0);
        let tips = (push * cos + water) * h / 3.0;
        Stability {
            sliding: (weight + push * sin) * libm::tan(self.friction_rad) / (push * cos + water),
            overturning: holds / tips,
        }
    }
}

/// Degrees to radians.
pub(crate) fn radians(degrees: f64) -> f64 {
    degrees * PI / 180.0
}

#[cfg(test)]
mod tests {
    use super::*;

    fn ka(friction: f64, slope: f64) -> f64 {
        active_pressure(radians(friction), radians(slope))
    }

    /// K-15: Delft/CRESS "B24", after Bowles, 5th edition.
    #[test]
    fn level_backfill_pushes_as_the_table_says() {
        let printed = [0.3905, 0.3610, 0.3333, 0.3073, 0.2827, 0.2596, 0.2379, 0.2174, 0.1982];
        for (i, printed) in printed.into_iter().enumerate() {
            let friction = 26.0 + 2.0 * i as f64;
            assert!((ka(friction, 0.0) / printed - 1.0).abs() < 3e-4, "{friction}");
        }
    }

    /// K-16, the same source.
    #[test]
    fn sloping_backfill_pushes_as_the_table_says() {
        let printed = [
            (30.0, 10.0, 0.3495),
            (30.0, 20.0, 0.4142),
            (34.0, 20.0, 0.3381),
            (36.0, 25.0, 0.3431),
            (30.0, 30.0, 0.8660),
        ];
        for (friction, slope, printed) in printed {
            assert!((ka(friction, slope) / printed - 1.0).abs() < 2e-4, "{friction} {slope}");
        }
    }

    /// K-17: Das, *Principles of Geotechnical Engineering*, example 13.2: 74.8 kN/m.
    #[test]
    fn a_wall_of_six_metres_is_pushed_as_the_book_says() {
        let push = 0.5 * ka(36.0, 0.0) * 16.0 * 36.0;
        assert!((push - 74.8).abs() < 0.1, "{push}");
    }

    /// K-19: Sarkar, *Strength of Materials*, problem 14.12: a wall of 6 m, 1.5 m thick at the top and
    /// 3.5 m at the base, 22.5 kN/m3, holds earth of 16 kN/m3 and 30 degrees: weight 337.5 kN/m, push
    /// 96 kN/m, safety against overturning 3.84. Ours is of one thickness: the same weight and arm.
    #[test]
    fn a_masonry_wall_stands_as_the_book_says() {
        let (weight, push) = (337.5, 96.0);
        let mean_m = weight / (22.5 * 6.0);
        // The book's upright back: the weight acts at 3.5 - 1.277 m from the toe.
        let arm_m =
            (1.5 * 6.0 * (3.5 - 0.75) + 0.5 * 2.0 * 6.0 * (2.0 * 2.0 / 3.0)) * 22.5 / weight;
        let wall = GravityWall {
            height_m: 6.0,
            thickness_m: mean_m,
            batter: (2.0 * arm_m - mean_m) / 6.0,
            density_t_m3: 22.5 / GRAVITY_M_S2,
            earth_t_m3: 16.0 / GRAVITY_M_S2,
            friction_rad: radians(30.0),
            slope_rad: 0.0,
            is_saturated: false,
        };
        let stability = wall.stability();
        assert!((stability.overturning - 3.84).abs() < 0.02, "{stability:?}");
        let slides = weight * libm::tan(radians(30.0)) / push;
        assert!((stability.sliding - slides).abs() < 1e-3 * slides, "{stability:?}");
    }

    #[test]
    fn water_behind_a_wall_makes_it_less_safe() {
        let dry = GravityWall {
            height_m: 1.0,
            thickness_m: 0.5,
            batter: 0.1,
            density_t_m3: 2.0,
            earth_t_m3: 1.8,
            friction_rad: radians(30.0),
            slope_rad: 0.0,
            is_saturated: false,
        };
        let wet = GravityWall { is_saturated: true, ..dry };
        assert!(wet.stability().sliding < 0.7 * dry.stability().sliding);
        // By hand: weight 9.807 kN, push 0.5 * 0.3333 * 17.65 = 2.942 kN.
        assert!((dry.stability().sliding - 9.807 * 0.57735 / 2.942).abs() < 2e-3);
        assert!((dry.stability().overturning - 9.807 * 0.3 / (2.942 / 3.0)).abs() < 2e-3);
    }
}
