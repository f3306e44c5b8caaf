//! A plan on paper: which place of the garden stands where on the sheet.

use ground::Surface;

/// A part of the sheet that shows a part of the garden, true to scale.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Plan {
    /// The scale: 1 to this.
    pub scale: f64,
    /// Middle of the part, millimetres on paper.
    middle_mm: [f64; 2],
    /// The place that stands there, local metres.
    centre_m: [f64; 2],
}

/// Scales that a scale rule has, and then what a large garden wants.
pub(crate) const SCALES: [f64; 17] = [
    10.0, 20.0, 25.0, 50.0, 75.0, 100.0, 125.0, 150.0, 200.0, 250.0, 300.0, 400.0, 500.0, 750.0,
    1000.0, 2500.0, 5000.0,
];

impl Plan {
    /// A plan of the places from `low_m` to `high_m` that fits a rectangle of the sheet, given by its
    /// left, top, right and bottom in millimetres.
    pub(crate) fn fitting([low_m, high_m]: [[f64; 2]; 2], within_mm: [f64; 4]) -> Self {
        let [left, top, right, bottom] = within_mm;
        let span_m = [high_m[0] - low_m[0], high_m[1] - low_m[1]];
        let least = (1000.0 * span_m[0] / (right - left)).max(1000.0 * span_m[1] / (bottom - top));
        let scale = SCALES.into_iter().find(|scale| *scale >= least).unwrap_or(least.ceil());
        Self {
            scale,
            middle_mm: [0.5 * (left + right), 0.5 * (top + bottom)],
            centre_m: [0.5 * (low_m[0] + high_m[0]), 0.5 * (low_m[1] + high_m[1])],
        }
    }

    /// A place of the garden on the sheet; north is up.
    pub(crate) fn on_paper(&self, [x, y]: [f64; 2]) -> [f64; 2] {
        [
            self.middle_mm[0] + self.mm(x - self.centre_m[0]),
            self.middle_mm[1] - self.mm(y - self.centre_m[1]),
        ]
    }

    /// A length of the garden on paper.
    pub(crate) fn mm(&self, length_m: f64) -> f64 {
        1000.0 * length_m / self.scale
    }
}

/// The least and the greatest easting and northing of a surface, local metres.
pub(crate) fn extent_m(surface: &Surface) -> [[f64; 2]; 2] {
    let lattice = surface.lattice();
    let none = [[f64::INFINITY; 2], [f64::NEG_INFINITY; 2]];
    surface.vertices().iter().fold(none, |[low, high], &vertex| {
        let at = lattice.metres(vertex);
        [[low[0].min(at[0]), low[1].min(at[1])], [high[0].max(at[0]), high[1].max(at[1])]]
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_plan_fits_its_part_at_a_round_scale() {
        // 18 m on 190 mm: 1 to 94.7, so 1 to 100.
        let plan = Plan::fitting([[0.0, 0.0], [18.0, 10.0]], [10.0, 10.0, 200.0, 200.0]);
        assert_eq!(plan.scale, 100.0);
        assert_eq!(plan.on_paper([9.0, 5.0]), [105.0, 105.0]);
        assert_eq!(plan.on_paper([10.0, 6.0]), [115.0, 95.0]);
        assert_eq!(plan.mm(2.5), 25.0);
    }
}
