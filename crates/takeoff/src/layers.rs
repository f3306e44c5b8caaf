//! Materials of a build-up: bedding, liner, stone, gravel, topsoil; what is needed and ordered.
//!
//! ```text
//!      ▒▒▒ topsoil     every layer is measured upright: its volume is plan area × thickness,
//!      ░░░ gravel      on a slope as on the level
//!      ─── liner       but a sheet is measured along the slope
//!      ... bedding
//! ```

use units::{Compacted, Slope};

use crate::range::{not_negative, positive, up_to};
use crate::{AnchorTrench, OutOfRange};

/// What a layer is made of.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum LayerMaterial {
    /// Sand under a liner or a pipe.
    Bedding,
    /// Washed gravel.
    Gravel,
    /// Stone laid or tipped, with its voids.
    Stone,
    /// Topsoil as it lies spread.
    Topsoil,
}

/// A layer as it lies when all is built.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct BuildUpLayer {
    /// What it is made of.
    pub material: LayerMaterial,
    /// Area on plan, square metres.
    pub plan_area_m2: f64,
    /// Upright thickness, metres.
    pub thickness_m: f64,
    /// What is ordered beyond the need, as a share: 0.05 to 0.10 is common practice.
    pub waste: f64,
    /// Density as delivered and placed, tonnes per cubic metre.
    pub density_t_m3: f64,
}

/// What a layer takes.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct LayerNeed {
    /// Its volume as it lies placed.
    pub placed: Compacted,
    /// What is ordered: with the waste, as it lies placed.
    pub order: Compacted,
    /// Mass of the order, tonnes.
    pub order_t: f64,
}

/// A part of a liner's bed of one slope.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct LinerFace {
    /// Area on plan, square metres.
    pub plan_area_m2: f64,
    /// Its slope.
    pub slope: Slope,
}

/// What a liner needs beyond its bed.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct LinerExtras {
    /// Length of the edge that is anchored, metres.
    pub edge_m: f64,
    /// Sheet that each metre of the edge takes beyond the bed, metres: flap and anchor trench.
    pub edge_allowance_m: f64,
    /// Length of the seams, metres.
    pub seams_m: f64,
    /// How far two sheets lie over each other at a seam, metres.
    pub overlap_m: f64,
    /// Folds and offcuts, as a share of all.
    pub waste: f64,
}

/// A liner's area.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct LinerNeed {
    /// On the slopes of its bed, square metres.
    pub bed_m2: f64,
    /// Along the anchored edge, square metres.
    pub edge_m2: f64,
    /// Lying double in seams, square metres.
    pub overlap_m2: f64,
    /// What is ordered: all of these with the waste, square metres.
    pub order_m2: f64,
}

impl LayerMaterial {
    /// A density to start from, tonnes per cubic metre; the supplier's own figure replaces it.
    ///
    /// # Source
    /// Gravel 110 and wet sand 120 lb/ft3: US Army TM 9-2320-366-10-1 table 2-15 (S-06). Stone with
    /// its voids and loose topsoil: common practice, no citable source.
    pub fn usual_density_t_m3(self) -> f64 {
        const POUND_PER_FOOT3_T_M3: f64 = 0.000_453_592_37 / (0.3048 * 0.3048 * 0.3048);
        match self {
            Self::Bedding => 120.0 * POUND_PER_FOOT3_T_M3,
            Self::Gravel => 110.0 * POUND_PER_FOOT3_T_M3,
            Self::Stone => 1.6,
            Self::Topsoil => 1.3,
        }
    }
}

impl BuildUpLayer {
    /// Plan area times upright thickness, the order with its waste, and the order's mass.
    ///
    /// ```
    /// # use takeoff::{BuildUpLayer, LayerMaterial};
    /// // 20 m2 at 0.15 m are 3 m3; with a tenth more 3.3 m3; at 1.8 t/m3 5.94 t.
    /// let gravel = BuildUpLayer {
    ///     material: LayerMaterial::Gravel,
    ///     plan_area_m2: 20.0,
    ///     thickness_m: 0.15,
    ///     waste: 0.10,
    ///     density_t_m3: 1.8,
    /// };
    /// let need = gravel.need()?;
    /// assert_eq!(need.placed.m3(), 3.0);
    /// assert!((need.order.m3() - 3.3).abs() < 1e-12 && (need.order_t - 5.94).abs() < 1e-12);
    /// # Ok::<(), takeoff::OutOfRange>(())
    /// ```
    ///
    /// # Errors
    /// [`OutOfRange`] for an area, thickness or waste below zero, or a density that is not above
    /// zero and at most 30 t/m3.
    pub fn need(self) -> Result<LayerNeed, OutOfRange> {
        let area_m2 = not_negative("a layer's plan area, m2,", self.plan_area_m2)?;
        let placed_m3 = area_m2 * not_negative("a layer's thickness, m,", self.thickness_m)?;
        let order_m3 = placed_m3 * (1.0 + not_negative("a layer's waste", self.waste)?);
        let density = ("a layer's density, t/m3,", self.density_t_m3);
        let density_t_m3 = up_to(30.0, "above 0 and at most 30", density)?;
        Ok(LayerNeed {
            placed: Compacted::from_m3(placed_m3),
            order: Compacted::from_m3(order_m3),
            order_t: order_m3 * density_t_m3,
        })
    }
}

impl LinerFace {
    /// Area on the slope: plan area times the root of one and the square of rise over run.
    ///
    /// # Errors
    /// [`OutOfRange`] when the plan area is below zero or not finite, or the slope nearly upright.
    pub fn area_m2(self) -> Result<f64, OutOfRange> {
        let plan_m2 = not_negative("a liner's plan area, m2,", self.plan_area_m2)?;
        let rise = not_negative("a liner's rise over run", self.slope.rise_per_run())?;
        Ok(plan_m2 * (1.0 + rise * rise).sqrt())
    }
}

impl LinerExtras {
    /// The sheet that an anchor trench takes beyond the rim: across to it, down its near side and
    /// over its floor, metres.
    ///
    /// # Errors
    /// [`OutOfRange`] for a setback that is below zero or a trench without width or depth.
    ///
    /// # Source
    /// NRCS Arizona 521A construction specification, January 2008 (K-24): a trench of 12 by 12 in,
    /// 24 in back from the inside edge of the berm. How far the sheet runs in the trench is common
    /// practice.
    pub fn anchor_allowance_m(setback_m: f64, trench: AnchorTrench) -> Result<f64, OutOfRange> {
        Ok(not_negative("the anchor trench's setback, m,", setback_m)?
            + positive("the anchor trench's depth, m,", trench.depth_m)?
            + positive("the anchor trench's width, m,", trench.width_m)?)
    }
}

/// The liner over a bed of several slopes, with its edge, seams and waste.
///
/// At an outward corner the edge's strip is a little more than its length says, at an inward one a
/// little less; the waste takes that up. A liner bought in one piece is at least the rectangle around
/// its bed, and that is not reckoned here.
///
/// ```
/// # use takeoff::{LinerExtras, LinerFace, liner};
/// # use units::Slope;
/// // 30 m2 of level floor, 20 m2 on plan at 3 in 4 lie on 25; 24 m of edge at 1.25 m; 10 m of seam
/// // at 0.15 m: 86.5 m2, with a tenth more 95.15.
/// let floor = LinerFace { plan_area_m2: 30.0, slope: Slope::from_percent(0.0)? };
/// let banks = LinerFace { plan_area_m2: 20.0, slope: Slope::from_percent(75.0)? };
/// let extras = LinerExtras {
///     edge_m: 24.0,
///     edge_allowance_m: 1.25,
///     seams_m: 10.0,
///     overlap_m: 0.15,
///     waste: 0.10,
/// };
/// let need = liner(&[floor, banks], extras)?;
/// assert_eq!((need.bed_m2, need.edge_m2, need.overlap_m2), (55.0, 30.0, 1.5));
/// assert!((need.order_m2 - 95.15).abs() < 1e-12);
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
///
/// # Errors
/// [`OutOfRange`] when a number is below zero or not finite.
pub fn liner(bed: &[LinerFace], extras: LinerExtras) -> Result<LinerNeed, OutOfRange> {
    let mut bed_m2 = 0.0;
    for face in bed {
        bed_m2 += face.area_m2()?;
    }
    let edge_m2 = not_negative("the liner's edge, m,", extras.edge_m)?
        * not_negative("the liner's allowance at the edge, m,", extras.edge_allowance_m)?;
    let overlap_m2 = not_negative("the liner's seams, m,", extras.seams_m)?
        * not_negative("the liner's overlap, m,", extras.overlap_m)?;
    let waste = not_negative("the liner's waste", extras.waste)?;
    let order_m2 = (bed_m2 + edge_m2 + overlap_m2) * (1.0 + waste);
    Ok(LinerNeed { bed_m2, edge_m2, overlap_m2, order_m2 })
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;
    use proptest::test_runner::RngSeed;

    use super::*;

    fn slope(percent: f64) -> Slope {
        Slope::from_percent(percent).unwrap()
    }

    /// V-15: a round basin of 10 ft, 4 ft and 3 ft at 2 to 1 has 295.04 ft2 of side and 345.31 with
    /// its floor.
    #[test]
    fn the_liner_of_a_round_basin() {
        let pi = core::f64::consts::PI;
        let side = LinerFace { plan_area_m2: pi * (100.0 - 16.0), slope: slope(50.0) };
        let floor = LinerFace { plan_area_m2: pi * 16.0, slope: slope(0.0) };
        assert!((side.area_m2().unwrap() - 295.04).abs() < 0.01);
        let need = liner(&[side, floor], LinerExtras::default()).unwrap();
        assert!((need.bed_m2 - 345.31).abs() < 0.01);
        assert_eq!(need.order_m2, need.bed_m2);
    }

    /// T-08: a plan area of 50 at 22.36 % is 51.235 on the slope.
    #[test]
    fn area_on_a_slope() {
        let face = LinerFace { plan_area_m2: 50.0, slope: slope(100.0 * 0.05_f64.sqrt()) };
        assert!((face.area_m2().unwrap() - 51.235).abs() < 0.001);
    }

    /// K-24: 24 in across, 12 in down and 12 in over the floor are 4 ft.
    #[test]
    fn the_edge_in_its_anchor_trench() {
        let foot_m = 0.3048;
        let trench = AnchorTrench::of_length(1.0);
        let allowance_m = LinerExtras::anchor_allowance_m(2.0 * foot_m, trench).unwrap();
        assert!((allowance_m - 4.0 * foot_m).abs() < 1e-12);
    }

    /// S-06, TM 9-2320-366-10-1 table 2-15: gravel 2,970 lb/yd3, wet sand and gravel 3,240.
    #[test]
    fn densities_of_the_table() {
        let pound_per_yard3 = 0.000_453_592_37 / 0.9144_f64.powi(3);
        let of = |material: LayerMaterial| material.usual_density_t_m3() / pound_per_yard3;
        assert!((of(LayerMaterial::Gravel) - 2970.0).abs() < 1e-9 * 2970.0);
        assert!((of(LayerMaterial::Bedding) - 3240.0).abs() < 1e-9 * 3240.0);
    }

    #[test]
    fn what_is_out_of_range_is_refused() {
        let material = LayerMaterial::Stone;
        let density_t_m3 = material.usual_density_t_m3();
        let good = BuildUpLayer {
            material,
            plan_area_m2: 5.0,
            thickness_m: 0.2,
            waste: 0.05,
            density_t_m3,
        };
        let bad = [
            BuildUpLayer { plan_area_m2: -1.0, ..good },
            BuildUpLayer { thickness_m: f64::NAN, ..good },
            BuildUpLayer { waste: -0.1, ..good },
            BuildUpLayer { density_t_m3: 0.0, ..good },
        ];
        assert!(good.need().is_ok() && bad.iter().all(|layer| layer.need().is_err()));
        let face = LinerFace { plan_area_m2: f64::INFINITY, slope: slope(10.0) };
        assert!(liner(&[face], LinerExtras::default()).is_err());
        for bad in [
            LinerExtras { edge_m: -1.0, ..LinerExtras::default() },
            LinerExtras { edge_allowance_m: f64::NAN, ..LinerExtras::default() },
            LinerExtras { seams_m: -1.0, ..LinerExtras::default() },
            LinerExtras { overlap_m: -1.0, ..LinerExtras::default() },
            LinerExtras { waste: f64::NAN, ..LinerExtras::default() },
        ] {
            assert!(liner(&[], bad).is_err());
        }
    }

    proptest! {
        #![proptest_config(ProptestConfig { cases: 200, rng_seed: RngSeed::Fixed(38), ..ProptestConfig::default() })]

        /// A layer or a bed cut in two needs what the whole does.
        #[test]
        fn parts_sum_to_the_whole(
            areas in prop::array::uniform2(0.0..80.0f64),
            (thickness_m, waste, density_t_m3) in (0.0..0.6f64, 0.0..0.3f64, 0.5..3.0f64),
            percent in 0.0..150.0f64,
        ) {
            let material = LayerMaterial::Gravel;
            let of = |plan_area_m2| {
                BuildUpLayer { material, plan_area_m2, thickness_m, waste, density_t_m3 }.need().unwrap()
            };
            let (first, second, whole) = (of(areas[0]), of(areas[1]), of(areas[0] + areas[1]));
            prop_assert!((first.order_t + second.order_t - whole.order_t).abs() < 1e-9);
            prop_assert!(whole.order.m3() >= whole.placed.m3());
            let face = |plan_area_m2| LinerFace { plan_area_m2, slope: slope(percent) };
            let extras = LinerExtras { waste, ..LinerExtras::default() };
            let halves = liner(&areas.map(face), extras).unwrap().order_m2;
            let one = liner(&[face(areas[0] + areas[1])], extras).unwrap();
            prop_assert!((halves - one.order_m2).abs() < 1e-9);
            prop_assert!(one.bed_m2 >= areas[0] + areas[1] - 1e-9);
        }
    }
}
