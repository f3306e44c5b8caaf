//! Water over a crest: head, flow, and how high its edges must stand.
//!
//! ```text
//!   ____ level upstream
//!       \___            head  = level - crest
//!   =======  `.___      yc    = critical depth, about two thirds of the head
//!    crest  |  |  `.    brink = depth where the water leaves the stone
//! ```

use crate::fluid::GRAVITY_M_S2;
use crate::range::{between, elevation, flow, length, not_negative, positive};
use crate::solve::{first_that, root};
use crate::{OutOfRange, Trust};

/// Heads below this are thinner than weir formulas were measured for: 0.2 ft.
///
/// # Source
/// USBR *Water Measurement Manual* ch. 7, section 7 (W-13).
pub const THIN_HEAD_M: f64 = 0.2 * 0.3048;

/// Depth at the brink of a free fall as a share of the critical depth.
///
/// # Source
/// Rouse 1936, from memory.
pub const BRINK_SHARE: f64 = 0.715;

/// Ends that are contracted take no more than this share of the width away.
const MOST_CONTRACTION: f64 = 0.2;

/// What the water runs over, which sets the flow for a head.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum CrestForm {
    /// A thin edge with air under the sheet: Q = 1.84 b H^1.5 (Francis, 3.33 in feet).
    Sharp,
    /// A stone as long as some heads in the direction of flow: Q = 1.705 b H^1.5.
    Broad,
    /// A crest whose coefficient C in Q = C b H^1.5 was measured: square root of metres per second,
    /// 1 to 2.6.
    Rated(f64),
}

/// A crest across the water, level or uneven, between upright ends.
#[derive(Clone, Debug, PartialEq)]
pub struct Crest {
    /// Offset across and elevation, left to right looking downstream, at least two.
    line: Vec<[f64; 2]>,
    form: CrestForm,
    n_contracted_ends: u8,
}

/// Why numbers make no crest.
#[derive(Clone, Copy, Debug, PartialEq, thiserror::Error)]
pub enum CrestError {
    /// A number is out of range.
    #[error(transparent)]
    Number(#[from] OutOfRange),
    /// Fewer than two points.
    #[error("a crest has 2 points or more, not {0}")]
    Points(usize),
    /// A point does not lie to the right of the one before it.
    #[error("point {0} of the crest must lie to the right of the one before it")]
    Order(usize),
    /// More ends than a crest has.
    #[error("a crest has 0, 1 or 2 contracted ends, not {0}")]
    Ends(u8),
}

/// How much higher than the water upstream of a crest its edge stones and liner are to stand.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct EdgeAllowance {
    /// The least, metres.
    pub least_m: f64,
    /// Share of the head, for waves and a crest that leaves sink in or settles: 0.5 is half the head.
    pub share_of_head: f64,
}

/// Water that runs over a crest.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct OverCrest {
    /// The flow over it, cubic metres per second.
    pub flow_m3_s: f64,
    /// Elevation of the still water upstream, metres.
    pub level_m: f64,
    /// Head over the lowest point: that level above it, metres.
    pub head_m: f64,
    /// Width that is wet, metres.
    pub wet_width_m: f64,
    /// Flow for each metre of width at the lowest point, square metres per second.
    pub unit_flow_m2_s: f64,
    /// Critical depth at the lowest point, metres.
    pub critical_depth_m: f64,
    /// Thickness of the water where it leaves the edge, at the lowest point, metres.
    pub brink_depth_m: f64,
    /// Flow as a share of what the same head gives when nothing stands below: 1 is undrowned.
    pub undrowned_share: f64,
    /// Height that edge stones and liner must stand above the lowest point of the crest, metres: the
    /// head and the allowance.
    pub edge_above_crest_m: f64,
    /// An estimate where the head is thinner than [`THIN_HEAD_M`] or the crest is drowned.
    pub trust: Trust,
}

impl CrestForm {
    /// C in Q = C b H^1.5, square root of metres per second.
    ///
    /// # Source
    /// Sharp: Francis, 3.33 in feet (W-01). Broad: critical flow, 2/3 of the root of 2g/3 (W-07).
    pub fn coefficient(self) -> f64 {
        match self {
            Self::Sharp => 3.33 * 0.552_086_950_042_06,
            Self::Broad => 2.0 / 3.0 * (2.0 * GRAVITY_M_S2 / 3.0).sqrt(),
            Self::Rated(coefficient) => coefficient,
        }
    }

    /// Flow as a share of the undrowned one when water stands at `below` over the crest against
    /// `above` upstream; nothing flows when it stands as high.
    ///
    /// # Source
    /// Sharp: Villemonte 1947, (1 - r^1.5)^0.385, from memory. Broad and rated: undrowned up to two
    /// thirds; beyond, the lower water is the depth on the crest and the rest of the head its
    /// velocity, r (1 - r)^0.5 x 3^1.5 / 2, which takes over without a step.
    fn undrowned_share(self, above_m: f64, below_m: f64) -> f64 {
        if below_m <= 0.0 {
            return 1.0;
        }
        let r = below_m / above_m;
        if r >= 1.0 {
            return 0.0;
        }
        match self {
            Self::Sharp => libm::pow(1.0 - r * r.sqrt(), 0.385),
            Self::Broad | Self::Rated(_) if r <= 2.0 / 3.0 => 1.0,
            Self::Broad | Self::Rated(_) => r * (1.0 - r).sqrt() * 1.5 * 3.0_f64.sqrt(),
        }
    }
}

impl Default for EdgeAllowance {
    /// 50 mm, or half of the head where that is more: common practice for stones that settle and
    /// crests that leaves and algae thicken.
    fn default() -> Self {
        Self { least_m: 0.05, share_of_head: 0.5 }
    }
}

impl EdgeAllowance {
    /// Height above the water upstream, metres, for a head.
    ///
    /// # Errors
    /// [`OutOfRange`] when a part of the allowance or the head is below zero or no number.
    pub fn above_water_m(self, head_m: f64) -> Result<f64, OutOfRange> {
        let least_m = not_negative("the least allowance above water, m,", self.least_m)?;
        let share = not_negative("the allowance as a share of the head", self.share_of_head)?;
        Ok((share * not_negative("the head, m,", head_m)?).max(least_m))
    }
}

impl Crest {
    /// A level crest.
    ///
    /// # Errors
    /// [`CrestError`] for an elevation, width or coefficient out of range.
    pub fn level(elevation_m: f64, width_m: f64, form: CrestForm) -> Result<Self, CrestError> {
        let width_m = length("the width of a crest, m,", width_m)?;
        Self::uneven(&[[0.0, elevation_m], [width_m, elevation_m]], form)
    }

    /// A crest along points of offset across and elevation, left to right, straight between them.
    ///
    /// # Errors
    /// [`CrestError`] for fewer than two points, one that is not right of the one before, or a
    /// number out of range.
    pub fn uneven(points: &[[f64; 2]], form: CrestForm) -> Result<Self, CrestError> {
        if points.len() < 2 {
            return Err(CrestError::Points(points.len()));
        }
        for (point_idx, &[across_m, elevation_m]) in points.iter().enumerate() {
            elevation("the offset of a crest's point, m,", across_m)?;
            elevation("the elevation of a crest, m,", elevation_m)?;
            if point_idx > 0 {
                let run_m = across_m - points[point_idx - 1][0];
                length("the width of a crest, m,", run_m)
                    .map_err(|_| CrestError::Order(point_idx))?;
            }
        }
        if let CrestForm::Rated(coefficient) = form {
            between((1.0, 2.6), "1 to 2.6", ("a crest's coefficient, m^0.5/s,", coefficient))?;
        }
        Ok(Self { line: points.to_vec(), form, n_contracted_ends: 0 })
    }

    /// The same crest with 0, 1 or 2 ends at which the water is drawn in from a wider pool: each
    /// takes a tenth of the head off the width, at most a fifth of the width in all.
    ///
    /// # Errors
    /// [`CrestError::Ends`] for more than two.
    ///
    /// # Source
    /// Francis: L - 0.1 n H (W-02, W-06); the bound keeps the flow rising with the head.
    pub fn with_contracted_ends(self, n_contracted_ends: u8) -> Result<Self, CrestError> {
        if n_contracted_ends > 2 {
            return Err(CrestError::Ends(n_contracted_ends));
        }
        Ok(Self { n_contracted_ends, ..self })
    }

    /// What the water runs over.
    pub fn form(&self) -> CrestForm {
        self.form
    }

    /// Elevation of the lowest point, metres.
    pub fn lowest_m(&self) -> f64 {
        self.line.iter().map(|p| p[1]).fold(f64::INFINITY, f64::min)
    }

    /// Width from end to end, metres.
    pub fn width_m(&self) -> f64 {
        self.line[self.line.len() - 1][0] - self.line[0][0]
    }

    /// Width that lies below a level, metres.
    pub fn wet_width_m(&self, level_m: f64) -> f64 {
        self.wet_width_of_head(level_m - self.lowest_m())
    }

    /// Flow over the crest, cubic metres per second, from a level upstream, metres, and the level
    /// below it, if water stands there.
    ///
    /// None at or below the crest, and none when the water below stands as high as that upstream:
    /// a crest is asked for the flow downstream alone. Rises with the level upstream; never falls as
    /// the water below sinks. What is no number gives no number.
    ///
    /// # Source
    /// Q = C b H^1.5, summed over the width as C times the integral of h^1.5; see [`CrestForm`] for C
    /// and for the drowned crest, which is reckoned with the heads over the lowest point.
    pub fn flow_m3_s(&self, level_m: f64, below_m: Option<f64>) -> f64 {
        let lowest_m = self.lowest_m();
        self.flow_of_heads(level_m - lowest_m, below_m.map(|below_m| below_m - lowest_m))
    }

    /// The level upstream, metres, at which a flow passes, with water below it if any stands there.
    ///
    /// # Errors
    /// [`OutOfRange`] for a flow that is not above zero or a level below that is no elevation.
    pub fn level_for_m(&self, flow_m3_s: f64, below_m: Option<f64>) -> Result<f64, OutOfRange> {
        Ok(self.level_of(self.head_for_m(flow_m3_s, below_m)?, below_m))
    }

    /// What a flow over the crest looks like, with water below it if any stands there.
    ///
    /// ```
    /// # use water::{Crest, CrestForm, EdgeAllowance};
    /// // 1.705 x 0.5 m x 0.09^1.5 = 0.023 m3/s; q 0.046, yc 0.060, brink 0.043 m.
    /// let crest = Crest::level(10.0, 0.5, CrestForm::Broad)?;
    /// let over = crest.over(0.023, None, EdgeAllowance::default())?;
    /// assert!((over.head_m - 0.090).abs() < 5e-4);
    /// assert!((over.critical_depth_m - 0.060).abs() < 5e-4);
    /// assert!((over.brink_depth_m - 0.043).abs() < 5e-4);
    /// assert!((over.edge_above_crest_m - 0.140).abs() < 5e-4);
    /// # Ok::<(), Box<dyn std::error::Error>>(())
    /// ```
    ///
    /// # Errors
    /// [`OutOfRange`] for a flow that is not above zero, a level below that is no elevation, or an
    /// allowance below zero.
    pub fn over(
        &self,
        flow_m3_s: f64,
        below_m: Option<f64>,
        allowance: EdgeAllowance,
    ) -> Result<OverCrest, OutOfRange> {
        let head_m = self.head_for_m(flow_m3_s, below_m)?;
        let level_m = self.level_of(head_m, below_m);
        // From the flow, which is known, not from near-equal levels, which hold few of its digits.
        let undrowned_m3_s = self.undrowned_flow_m3_s(head_m);
        let undrowned_share = if below_m.is_some_and(|below_m| below_m > self.lowest_m()) {
            (flow_m3_s / undrowned_m3_s).min(1.0)
        } else {
            1.0
        };
        let at_lowest_m2_s =
            self.form.coefficient() * head_m * head_m.sqrt() * self.contraction(head_m);
        let unit_flow_m2_s = flow_m3_s * at_lowest_m2_s / undrowned_m3_s;
        let critical_depth_m = critical_depth_of_unit_flow(unit_flow_m2_s);
        Ok(OverCrest {
            flow_m3_s,
            level_m,
            head_m,
            wet_width_m: self.wet_width_of_head(head_m),
            unit_flow_m2_s,
            critical_depth_m,
            brink_depth_m: BRINK_SHARE * critical_depth_m,
            undrowned_share,
            edge_above_crest_m: head_m + allowance.above_water_m(head_m)?,
            trust: Trust::when(head_m >= THIN_HEAD_M && undrowned_share > 1.0 - 1.0e-9),
        })
    }

    /// The head over the lowest point at which a flow passes, found above whatever stands below.
    fn head_for_m(&self, flow_m3_s: f64, below_m: Option<f64>) -> Result<f64, OutOfRange> {
        let flow_m3_s = flow("the flow over a crest, m3/s,", flow_m3_s)?;
        if let Some(below_m) = below_m {
            elevation("the level below a crest, m,", below_m)?;
        }
        let below_m = below_m.map(|below_m| below_m - self.lowest_m());
        let least_m = below_m.unwrap_or(0.0).max(0.0);
        let excess = |rise_m: f64| self.flow_of_heads(least_m + rise_m, below_m) - flow_m3_s;
        let most_m = first_that(1.0e-12, 4.0, 60, |rise_m| excess(rise_m) >= 0.0).unwrap_or(1.0e9);
        Ok(least_m + root(0.0, most_m, excess))
    }

    /// The level of a head, by rounding never under the water below.
    fn level_of(&self, head_m: f64, below_m: Option<f64>) -> f64 {
        (self.lowest_m() + head_m).max(below_m.unwrap_or(f64::NEG_INFINITY))
    }

    fn flow_of_heads(&self, head_m: f64, below_m: Option<f64>) -> f64 {
        let share = below_m.map_or(1.0, |below_m| self.form.undrowned_share(head_m, below_m));
        self.undrowned_flow_m3_s(head_m) * share
    }

    fn undrowned_flow_m3_s(&self, head_m: f64) -> f64 {
        let sum: f64 = self.pieces(head_m).map(|(run_m, ends)| head_integral(run_m, ends)).sum();
        self.form.coefficient() * sum * self.contraction(head_m)
    }

    fn wet_width_of_head(&self, head_m: f64) -> f64 {
        self.pieces(head_m).map(|(run_m, ends)| wet_run_m(run_m, ends)).sum()
    }

    /// Width of each piece with the lower and the higher head over its ends.
    fn pieces(&self, head_m: f64) -> impl Iterator<Item = (f64, [f64; 2])> + '_ {
        let lowest_m = self.lowest_m();
        self.line.windows(2).map(move |pair| {
            let heads = [0, 1].map(|end: usize| head_m - (pair[end][1] - lowest_m));
            let ordered = if heads[0] <= heads[1] { heads } else { [heads[1], heads[0]] };
            (pair[1][0] - pair[0][0], ordered)
        })
    }

    fn contraction(&self, head_m: f64) -> f64 {
        let lost = 0.1 * f64::from(self.n_contracted_ends) * head_m / self.width_m();
        if lost > 0.0 { 1.0 - lost.min(MOST_CONTRACTION) } else { 1.0 }
    }
}

/// The width of a level crest over which a flow passes with a head, metres.
///
/// # Errors
/// [`OutOfRange`] for a flow, head or coefficient out of range.
///
/// # Source
/// b = Q / (C H^1.5); see [`CrestForm`].
pub fn width_for_head_m(flow_m3_s: f64, head_m: f64, form: CrestForm) -> Result<f64, OutOfRange> {
    let flow_m3_s = flow("the flow over a crest, m3/s,", flow_m3_s)?;
    let head_m = length("the head over a crest, m,", head_m)?;
    let coefficient = positive("a crest's coefficient, m^0.5/s,", form.coefficient())?;
    Ok(flow_m3_s / (coefficient * head_m * head_m.sqrt()))
}

/// The width of a level crest, metres, that a flow leaves with a thickness at the brink.
///
/// # Errors
/// [`OutOfRange`] for a flow or thickness out of range.
///
/// # Source
/// q = (g yc^3)^0.5 with the brink at 0.715 yc (Rouse 1936, from memory).
pub fn width_for_brink_m(flow_m3_s: f64, brink_depth_m: f64) -> Result<f64, OutOfRange> {
    let flow_m3_s = flow("the flow over a crest, m3/s,", flow_m3_s)?;
    let critical_m = length("the thickness at the brink, m,", brink_depth_m)? / BRINK_SHARE;
    Ok(flow_m3_s / (GRAVITY_M_S2 * critical_m * critical_m * critical_m).sqrt())
}

/// Critical depth, metres, of a flow for each metre of width: (q^2 / g)^(1/3).
pub(crate) fn critical_depth_of_unit_flow(unit_flow_m2_s: f64) -> f64 {
    libm::cbrt(unit_flow_m2_s * unit_flow_m2_s / GRAVITY_M_S2)
}

/// The part of a piece of crest that is wet.
fn wet_run_m(run_m: f64, [low, high]: [f64; 2]) -> f64 {
    if high <= 0.0 {
        0.0
    } else if low >= 0.0 {
        run_m
    } else {
        run_m * high / (high - low)
    }
}

/// The integral of h^1.5 over a piece of crest along which the head h changes evenly.
fn head_integral(run_m: f64, [low, high]: [f64; 2]) -> f64 {
    let power = |h: f64| h * h.sqrt();
    if high <= 0.0 {
        0.0
    } else if high - low < 0.01 * high {
        // Simpson's rule, exact here to 1e-10 where the closed form would cancel.
        run_m * (power(low) + 4.0 * power(0.5 * (low + high)) + power(high)) / 6.0
    } else {
        let low_part = if low > 0.0 { low * power(low) } else { 0.0 };
        run_m * 0.4 * (high * power(high) - low_part) / (high - low)
    }
}

#[cfg(test)]
mod tests;
