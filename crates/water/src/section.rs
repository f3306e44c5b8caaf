//! The section of a stream: a level bed between two sloping sides.
//!
//! ```text
//!   \                 /      depth  from the bed up
//!    \~~~~ top ~~~~~~/       left   run of the left side for each rise, looking downstream
//!     \             /        right  run of the right side
//!      \___ bed ___/
//! ```

use crate::OutOfRange;
use crate::range::{between, flow, length};
use crate::solve::{first_that, root};

/// A bed with straight sides that go up as far as the water does.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Section {
    bed_width_m: f64,
    /// Run for each rise, left and right.
    sides: [f64; 2],
}

/// No garden bank is flatter; a flatter one is a wider bed.
const FLATTEST_RUN: f64 = 100.0;

impl Section {
    /// A section from the width of its bed, metres, and the run of its left and right side for each
    /// rise: 0 is upright.
    ///
    /// A bed of no width between sides that slope is a triangle.
    ///
    /// # Errors
    /// [`OutOfRange`] for a bed below zero, sides outside 0 to 100, or a section of no width at all.
    pub fn new(bed_width_m: f64, sides: [f64; 2]) -> Result<Self, OutOfRange> {
        for run in sides {
            let side = ("the run of a side for each rise", run);
            between((0.0, FLATTEST_RUN), "0 to 100", side)?;
        }
        let least_m = if sides[0] + sides[1] >= 1.0e-3 { 0.0 } else { 1.0e-4 };
        let bed = ("the width of a bed, m,", bed_width_m);
        let allowed = "0 to 1e5, and not 0 between upright sides";
        Ok(Self { bed_width_m: between((least_m, 1.0e5), allowed, bed)?, sides })
    }

    /// A bed between upright sides.
    ///
    /// # Errors
    /// [`OutOfRange`] for a width that is not above zero.
    pub fn rectangle(bed_width_m: f64) -> Result<Self, OutOfRange> {
        Self::new(length("the width of a bed, m,", bed_width_m)?, [0.0, 0.0])
    }

    /// The section a share of the way from one to another, each number changing evenly.
    pub(crate) fn part_way(from: Self, to: Self, share: f64) -> Self {
        let mix = |a: f64, b: f64| a + share * (b - a);
        Self {
            bed_width_m: mix(from.bed_width_m, to.bed_width_m),
            sides: [mix(from.sides[0], to.sides[0]), mix(from.sides[1], to.sides[1])],
        }
    }

    /// Width of the bed, metres.
    pub fn bed_width_m(self) -> f64 {
        self.bed_width_m
    }

    /// Run of the left and right side for each rise.
    pub fn sides(self) -> [f64; 2] {
        self.sides
    }

    /// Area of the water, square metres, at a depth, metres; none at no depth or below.
    pub fn area_m2(self, depth_m: f64) -> f64 {
        let y = not_below_zero(depth_m);
        y * (self.bed_width_m + 0.5 * self.spread() * y)
    }

    /// Width of the water's surface, metres; that of the bed at no depth.
    pub fn top_width_m(self, depth_m: f64) -> f64 {
        self.bed_width_m + self.spread() * not_below_zero(depth_m)
    }

    /// Length of bed and sides that are wet, metres.
    pub fn wetted_perimeter_m(self, depth_m: f64) -> f64 {
        let slants = self.sides.map(|run| (1.0 + run * run).sqrt());
        self.bed_width_m + (slants[0] + slants[1]) * not_below_zero(depth_m)
    }

    /// Area over wetted perimeter, metres; none at no depth. It grows with the depth.
    pub fn hydraulic_radius_m(self, depth_m: f64) -> f64 {
        if depth_m <= 0.0 { 0.0 } else { self.area_m2(depth_m) / self.wetted_perimeter_m(depth_m) }
    }

    /// Area over the width of the surface, metres: the depth of a rectangle that is as full.
    pub fn mean_depth_m(self, depth_m: f64) -> f64 {
        if depth_m <= 0.0 { 0.0 } else { self.area_m2(depth_m) / self.top_width_m(depth_m) }
    }

    /// The area times the depth of its centroid below the surface, cubic metres: the force of still
    /// water on the section over its unit weight.
    pub fn first_moment_m3(self, depth_m: f64) -> f64 {
        let y = not_below_zero(depth_m);
        y * y * (0.5 * self.bed_width_m + self.spread() * y / 6.0)
    }

    /// The depth, metres, at which the water has an area, square metres.
    pub(crate) fn depth_of_area_m(self, area_m2: f64) -> f64 {
        // The root of 0.5 s y^2 + b y - A that does not cancel.
        let b = self.bed_width_m;
        let root = (b * b + 2.0 * self.spread() * area_m2).sqrt();
        2.0 * area_m2 / (b + root)
    }

    fn spread(self) -> f64 {
        self.sides[0] + self.sides[1]
    }
}

/// Depth from which the search for a depth sets out.
pub(crate) const THINNEST_M: f64 = 1.0e-9;

/// Depths beyond this are sought for no garden; the search ends there.
pub(crate) const DEEPEST_M: f64 = 1.0e6;

/// The critical depth of a flow: the depth at which its energy is least and the Froude number 1.
///
/// ```
/// # use water::{Section, critical_depth_m};
/// // C-09: 6 m3/s in 2 m: (9 / 9.80665)^(1/3) = 0.972 m.
/// assert!((critical_depth_m(Section::rectangle(2.0)?, 6.0)? - 0.972).abs() < 5e-4);
/// # Ok::<(), water::OutOfRange>(())
/// ```
///
/// # Errors
/// [`OutOfRange`] for a flow that is not above zero.
///
/// # Source
/// Q^2 T = g A^3; V. T. Chow, *Open-Channel Hydraulics* (1959), ch. 4.
pub fn critical_depth_m(section: Section, flow_m3_s: f64) -> Result<f64, OutOfRange> {
    Ok(critical(section, flow("the flow of a stream, m3/s,", flow_m3_s)?))
}

/// As [`critical_depth_m`], for a flow that is known to be one.
pub(crate) fn critical(section: Section, flow_m3_s: f64) -> f64 {
    let square = flow_m3_s * flow_m3_s / crate::GRAVITY_M_S2;
    if section.spread() == 0.0 {
        return libm::cbrt(square / (section.bed_width_m * section.bed_width_m));
    }
    let excess = |y: f64| {
        let area = section.area_m2(y);
        area * area * area / section.top_width_m(y) - square
    };
    let (least, most) = if section.bed_width_m >= 1.0e-4 {
        // Between the depth in an upright bed and that in one as wide as the surface would be there.
        let in_width = |width_m: f64| libm::cbrt(square / (width_m * width_m));
        let most = in_width(section.bed_width_m);
        (in_width(section.top_width_m(most)), most)
    } else {
        let most = first_that(THINNEST_M, 4.0, 60, |y| excess(y) >= 0.0).unwrap_or(DEEPEST_M);
        (0.25 * most, most)
    };
    root(least, most, excess)
}

/// A depth below zero is none; what is no number stays so.
fn not_below_zero(depth_m: f64) -> f64 {
    if depth_m < 0.0 { 0.0 } else { depth_m }
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;
    use proptest::test_runner::RngSeed;

    use super::*;

    /// C-09 and C-10, Subramanya ex. 12.25 and 12.28: 6 m3/s in 2 m, in 3 m, in a triangle of 1.5.
    #[test]
    fn critical_depth_of_rectangle_and_triangle() {
        let depth = |bed: f64, side: f64| {
            critical_depth_m(Section::new(bed, [side, side]).unwrap(), 6.0).unwrap()
        };
        assert!((depth(2.0, 0.0) / 0.9717 - 1.0).abs() < 1e-3);
        assert!((depth(3.0, 0.0) / 0.7415 - 1.0).abs() < 1e-3);
        assert!((depth(0.0, 1.5) / 1.2668 - 1.0).abs() < 1e-3);
        assert!((depth(3.0, 1.5) / 0.660 - 1.0).abs() < 1e-3);
    }

    /// C-11, Subramanya ex. 12.29: the flows that are critical at 1.2 m.
    #[test]
    fn flow_that_is_critical_at_a_depth() {
        for (bed, side, flow) in [(3.0, 0.0, 12.352), (0.0, 2.0, 6.987), (2.5, 1.5, 14.864)] {
            let section = Section::new(bed, [side, side]).unwrap();
            assert!((critical_depth_m(section, flow).unwrap() / 1.2 - 1.0).abs() < 1e-3);
        }
    }

    #[test]
    fn a_trapezoid_by_hand() {
        let section = Section::new(2.0, [1.0, 3.0]).unwrap();
        assert_eq!((section.area_m2(0.5), section.top_width_m(0.5)), (1.5, 4.0));
        let wet = 2.0 + 0.5 * (2.0_f64.sqrt() + 10.0_f64.sqrt());
        assert!((section.wetted_perimeter_m(0.5) - wet).abs() < 1e-15);
        // Rectangle 1.0 x 0.25 and two triangles of 0.125 and 0.375 at a third of the depth.
        assert!((section.first_moment_m3(0.5) - (0.25 + 0.5 / 6.0)).abs() < 1e-15);
        assert_eq!((section.area_m2(-1.0), section.hydraulic_radius_m(0.0)), (0.0, 0.0));
        assert!(
            section.area_m2(f64::NAN).is_nan() && section.hydraulic_radius_m(f64::NAN).is_nan()
        );
    }

    #[test]
    fn what_is_no_section_is_refused() {
        assert!(Section::new(0.0, [0.0, 0.0]).is_err());
        assert!(Section::new(0.0, [1.0, 0.0]).is_ok());
        assert!(Section::new(1.0, [-0.1, 0.0]).is_err());
        assert!(Section::new(1.0, [0.0, f64::NAN]).is_err());
        assert!(Section::new(f64::INFINITY, [0.0, 0.0]).is_err());
        assert!(critical_depth_m(Section::rectangle(1.0).unwrap(), 0.0).is_err());
    }

    proptest! {
        #![proptest_config(ProptestConfig { cases: 300, rng_seed: RngSeed::Fixed(52), failure_persistence: None, ..ProptestConfig::default() })]

        #[test]
        fn depths_and_areas_go_together(
            (bed, left, right) in (0.001..50.0f64, 0.0..20.0f64, 0.0..20.0f64),
            (depth, magnitude) in (0.0001..20.0f64, -8.0..4.0f64),
        ) {
            let section = Section::new(bed, [left, right]).unwrap();
            let more = depth * 1.01;
            prop_assert!(section.area_m2(more) > section.area_m2(depth));
            prop_assert!(section.hydraulic_radius_m(more) > section.hydraulic_radius_m(depth));
            prop_assert!((section.depth_of_area_m(section.area_m2(depth)) / depth - 1.0).abs() < 1e-12);
            let flow = libm::exp10(magnitude);
            let critical = critical_depth_m(section, flow).unwrap();
            let (area, top) = (section.area_m2(critical), section.top_width_m(critical));
            let froude_squared = flow * flow * top / (crate::GRAVITY_M_S2 * area * area * area);
            prop_assert!((froude_squared - 1.0).abs() < 1e-9, "{}", froude_squared);
        }
    }
}
