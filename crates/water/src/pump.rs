//! Pumps: head and power by flow.

use crate::OutOfRange;
use crate::fluid::Water;
use crate::range::{between, flow, flow_or_none, length, not_negative, positive, some_share};

/// A pump by its curve and what it takes.
#[derive(Clone, Debug, PartialEq)]
pub struct Pump {
    curve: Curve,
    power: PumpPower,
}

#[derive(Clone, Debug, PartialEq)]
enum Curve {
    /// Flow and head, from no flow on, heads falling.
    Points(Vec<[f64; 2]>),
    Parabola {
        shut_off_m: f64,
        most_m3_s: f64,
    },
}

/// What a pump takes from the wire.
#[derive(Clone, Debug, PartialEq)]
pub enum PumpPower {
    /// The same at every flow, watts.
    Watts(f64),
    /// What the water gains over this share.
    Efficiency(f64),
    /// Flow, cubic metres per second, and watts, flows rising; held beyond the ends.
    Points(Vec<[f64; 2]>),
}

/// Why numbers make no pump.
#[derive(Clone, Copy, Debug, PartialEq, thiserror::Error)]
pub enum PumpError {
    /// A number is out of range.
    #[error(transparent)]
    Number(#[from] OutOfRange),
    /// Fewer than two points.
    #[error("a curve has 2 points or more, not {0}")]
    Points(usize),
    /// The curve does not start at no flow.
    #[error("a pump's curve starts at no flow, not at {0} m3/s")]
    Start(f64),
    /// A point's flow does not rise, or its head does not fall.
    #[error("point {0} of the curve must lie at more flow and less head than the one before it")]
    Order(usize),
}

/// A pump of a common size that is no maker's.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct GenericPump {
    /// Flow without head, litres per second.
    pub most_l_s: f64,
    /// Head without flow, metres.
    pub shut_off_m: f64,
    /// What it takes from the wire, watts.
    pub watts: f64,
}

/// Pumps by size, smallest first, each H = shut-off (1 - (Q / most)^2) and drawing what gives a
/// third of it to the water at best.
///
/// # Source
/// Common practice: sizes and heads as garden pumps have them; no maker's curve.
pub const GENERIC_PUMPS: [GenericPump; 8] = [
    GenericPump { most_l_s: 1.0, shut_off_m: 3.0, watts: 35.0 },
    GenericPump { most_l_s: 2.0, shut_off_m: 3.5, watts: 80.0 },
    GenericPump { most_l_s: 4.0, shut_off_m: 4.5, watts: 200.0 },
    GenericPump { most_l_s: 6.0, shut_off_m: 6.0, watts: 400.0 },
    GenericPump { most_l_s: 8.0, shut_off_m: 7.5, watts: 670.0 },
    GenericPump { most_l_s: 12.0, shut_off_m: 9.0, watts: 1200.0 },
    GenericPump { most_l_s: 20.0, shut_off_m: 11.0, watts: 2500.0 },
    GenericPump { most_l_s: 35.0, shut_off_m: 13.0, watts: 5100.0 },
];

impl GenericPump {
    /// The pump of this size.
    ///
    /// # Errors
    /// [`PumpError`] for a size out of range.
    pub fn pump(self) -> Result<Pump, PumpError> {
        let power = PumpPower::Watts(self.watts);
        Pump::from_formula(self.shut_off_m, self.most_l_s / 1000.0, power)
    }
}

impl Pump {
    /// A pump from points of flow, cubic metres per second, and head, metres; straight between them.
    ///
    /// The first is at no flow. Beyond the last the curve goes on as its last piece does, and a duty
    /// found there is an estimate.
    ///
    /// # Errors
    /// [`PumpError`] for fewer than two points, one whose flow does not rise or whose head does not
    /// fall, or a number out of range.
    pub fn from_points(points: &[[f64; 2]], power: PumpPower) -> Result<Self, PumpError> {
        let &[first, _, ..] = points else { return Err(PumpError::Points(points.len())) };
        for (point_idx, &[flow_m3_s, head_m]) in points.iter().enumerate() {
            flow_or_none("the flow of a pump, m3/s,", flow_m3_s)?;
            not_negative("the head of a pump, m,", head_m)?;
            if point_idx > 0 {
                let before = points[point_idx - 1];
                // So far apart that the curve's slope is a number.
                if flow_m3_s - before[0] < 1.0e-9 || before[1] - head_m < 1.0e-9 {
                    return Err(PumpError::Order(point_idx));
                }
            }
        }
        if first[0] != 0.0 {
            return Err(PumpError::Start(first[0]));
        }
        Self::new(Curve::Points(points.to_vec()), power)
    }

    /// A pump by the formula H = shut-off (1 - (Q / most)^2).
    ///
    /// # Errors
    /// [`PumpError`] when head without flow or flow without head is not above zero.
    pub fn from_formula(
        shut_off_m: f64,
        most_m3_s: f64,
        power: PumpPower,
    ) -> Result<Self, PumpError> {
        let shut_off_m = length("the head of a pump without flow, m,", shut_off_m)?;
        let most_m3_s = flow("the flow of a pump without head, m3/s,", most_m3_s)?;
        Self::new(Curve::Parabola { shut_off_m, most_m3_s }, power)
    }

    fn new(curve: Curve, power: PumpPower) -> Result<Self, PumpError> {
        match &power {
            PumpPower::Watts(watts) => {
                not_negative("the power of a pump, W,", *watts)?;
            }
            PumpPower::Efficiency(efficiency) => {
                some_share("the efficiency of a pump", *efficiency)?;
            }
            PumpPower::Points(points) if points.is_empty() => return Err(PumpError::Points(0)),
            PumpPower::Points(points) => {
                for (point_idx, &[flow_m3_s, watts]) in points.iter().enumerate() {
                    flow_or_none("the flow of a pump, m3/s,", flow_m3_s)?;
                    not_negative("the power of a pump, W,", watts)?;
                    if point_idx > 0 && flow_m3_s - points[point_idx - 1][0] < 1.0e-9 {
                        return Err(PumpError::Order(point_idx));
                    }
                }
            }
        }
        Ok(Self { curve, power })
    }

    /// The same pump at another speed: flow goes with the speed, head with its square, power with its
    /// cube.
    ///
    /// # Errors
    /// [`PumpError`] for a ratio of speeds outside 0.1 to 10.
    ///
    /// # Source
    /// Affinity laws; Fox and McDonald ch. 10 (P-11).
    pub fn at_speed(&self, ratio: f64) -> Result<Self, PumpError> {
        let ratio = between((0.1, 10.0), "0.1 to 10", ("a pump's speed over its own", ratio))?;
        let (head, power) = (ratio * ratio, ratio * ratio * ratio);
        let power = match &self.power {
            PumpPower::Watts(watts) => PumpPower::Watts(watts * power),
            PumpPower::Efficiency(efficiency) => PumpPower::Efficiency(*efficiency),
            PumpPower::Points(points) => {
                PumpPower::Points(points.iter().map(|[q, w]| [q * ratio, w * power]).collect())
            }
        };
        match &self.curve {
            Curve::Points(points) => {
                let points: Vec<_> = points.iter().map(|[q, h]| [q * ratio, h * head]).collect();
                Self::from_points(&points, power)
            }
            Curve::Parabola { shut_off_m, most_m3_s } => {
                Self::from_formula(shut_off_m * head, most_m3_s * ratio, power)
            }
        }
    }

    /// Head without flow, metres.
    pub fn shut_off_m(&self) -> f64 {
        match &self.curve {
            Curve::Points(points) => points[0][1],
            Curve::Parabola { shut_off_m, .. } => *shut_off_m,
        }
    }

    /// The most flow that the curve tells of, cubic metres per second.
    pub fn most_m3_s(&self) -> f64 {
        match &self.curve {
            Curve::Points(points) => points[points.len() - 1][0],
            Curve::Parabola { most_m3_s, .. } => *most_m3_s,
        }
    }

    /// Head at a flow, metres.
    ///
    /// Falls all the way, below zero beyond the most flow; above the shut-off head for a flow that is
    /// pressed back.
    pub fn head_m(&self, flow_m3_s: f64) -> f64 {
        match &self.curve {
            Curve::Points(points) => {
                let last = points.len() - 1;
                let after = points.iter().position(|p| p[0] >= flow_m3_s).unwrap_or(last).max(1);
                let ([q0, h0], [q1, h1]) = (points[after - 1], points[after]);
                h0 + (flow_m3_s - q0) / (q1 - q0) * (h1 - h0)
            }
            Curve::Parabola { shut_off_m, most_m3_s } => {
                let share = flow_m3_s / most_m3_s;
                shut_off_m * (1.0 - share * share.abs())
            }
        }
    }

    /// What the pump takes from the wire at a flow, watts.
    ///
    /// # Errors
    /// [`OutOfRange`] for a flow below zero.
    pub fn power_w(&self, flow_m3_s: f64) -> Result<f64, OutOfRange> {
        let flow_m3_s = flow_or_none("the flow of a pump, m3/s,", flow_m3_s)?;
        Ok(match &self.power {
            PumpPower::Watts(watts) => *watts,
            PumpPower::Efficiency(efficiency) => {
                water_power_w(flow_m3_s, self.head_m(flow_m3_s).max(0.0), Water::COOL) / efficiency
            }
            PumpPower::Points(points) => {
                let last = points.len() - 1;
                match points.iter().position(|p| p[0] >= flow_m3_s) {
                    Some(0) => points[0][1],
                    None => points[last][1],
                    Some(after) => {
                        let ([q0, w0], [q1, w1]) = (points[after - 1], points[after]);
                        w0 + (flow_m3_s - q0) / (q1 - q0) * (w1 - w0)
                    }
                }
            }
        })
    }
}

/// Power that water gains, watts: unit weight times flow times head.
///
/// # Source
/// P = rho g Q H; Natarajan ex. 5.9 (P-13).
pub fn water_power_w(flow_m3_s: f64, head_m: f64, water: Water) -> f64 {
    water.unit_weight_n_m3() * flow_m3_s * head_m
}

/// Energy of a month of 365.25 / 12 days, kilowatt-hours, at so many hours a day.
///
/// ```
/// # use water::energy_kwh_per_month;
/// // 300 W day and night: 0.3 x 24 x 30.4375 = 219.15 kWh.
/// assert!((energy_kwh_per_month(300.0, 24.0)? - 219.15).abs() < 1e-9);
/// # Ok::<(), water::OutOfRange>(())
/// ```
///
/// # Errors
/// [`OutOfRange`] for a power below zero or hours outside 0 to 24.
pub fn energy_kwh_per_month(power_w: f64, hours_per_day: f64) -> Result<f64, OutOfRange> {
    let power_w = not_negative("the power of a pump, W,", power_w)?;
    let hours = between((0.0, 24.0), "0 to 24", ("hours of running in a day", hours_per_day))?;
    Ok(power_w / 1000.0 * hours * (365.25 / 12.0))
}

/// Specific speed, rpm x Q^0.5 / H^0.75, in the units of flow and head given.
///
/// # Errors
/// [`OutOfRange`] for a number that is not above zero.
///
/// # Source
/// Fox and McDonald ch. 10 (P-12).
pub fn specific_speed(rpm: f64, at_flow: f64, at_head: f64) -> Result<f64, OutOfRange> {
    let rpm = positive("the speed of a pump, rpm,", rpm)?;
    let at_flow = positive("the flow of a pump", at_flow)?;
    let at_head = positive("the head of a pump", at_head)?;
    Ok(rpm * at_flow.sqrt() / libm::pow(at_head, 0.75))
}

#[cfg(test)]
mod tests {
    use super::*;

    const GPM_M3_S: f64 = 231.0 * 0.0254 * 0.0254 * 0.0254 / 60.0;
    const FOOT_M: f64 = 0.3048;

    /// P-11, Fox and McDonald ex. 10.7: 300 gpm at 21.9 ft and 1,170 rpm are 448.7 gpm at 49.0 ft and
    /// 1,750 rpm.
    #[test]
    fn affinity() {
        let points = [[0.0, 25.0 * FOOT_M], [300.0 * GPM_M3_S, 21.9 * FOOT_M]];
        let pump = Pump::from_points(&points, PumpPower::Watts(100.0)).unwrap();
        let faster = pump.at_speed(1750.0 / 1170.0).unwrap();
        assert!((faster.most_m3_s() / GPM_M3_S / 448.72 - 1.0).abs() < 1e-3);
        assert!((faster.head_m(faster.most_m3_s()) / FOOT_M / 49.0 - 1.0).abs() < 1e-3);
        let ratio: f64 = 1750.0 / 1170.0;
        let power = faster.power_w(0.0).unwrap();
        assert!((power / (100.0 * ratio * ratio * ratio) - 1.0).abs() < 1e-12);
    }

    /// P-12, Fox and McDonald ex. 10.6: 1,170 rpm, 300 gpm, 21.9 ft.
    #[test]
    fn specific_speed_in_gallons_and_feet() {
        assert!((specific_speed(1170.0, 300.0, 21.9).unwrap() / 2001.77 - 1.0).abs() < 1e-4);
    }

    /// P-13, Natarajan ex. 5.9: 12 L/s to 10 m and the velocity head in 75 mm: 1.221 kW.
    #[test]
    fn power_of_a_lift() {
        let velocity = 0.012 / (0.25 * core::f64::consts::PI * 0.075 * 0.075);
        let head = 10.0 + velocity * velocity / (2.0 * crate::GRAVITY_M_S2);
        let watts = water_power_w(0.012, head, Water::new(1000.0, 1e-6).unwrap());
        assert!((velocity / 2.716 - 1.0).abs() < 1e-3 && (watts / 1221.0 - 1.0).abs() < 2e-3);
    }

    #[test]
    fn curves_fall_all_the_way() {
        let points = [[0.0, 5.0], [0.001, 4.5], [0.003, 1.0]];
        let pump = Pump::from_points(&points, PumpPower::Efficiency(0.4)).unwrap();
        assert_eq!((pump.head_m(0.0), pump.head_m(0.001), pump.head_m(0.002)), (5.0, 4.5, 2.75));
        assert!((pump.head_m(0.004) + 0.75).abs() < 1e-12 && pump.head_m(-0.001) > 5.0);
        let power = pump.power_w(0.001).unwrap();
        assert!((power - 0.001 * 4.5 * Water::COOL.unit_weight_n_m3() / 0.4).abs() < 1e-9);
        let power = PumpPower::Points(vec![[0.001, 50.0], [0.003, 70.0]]);
        let pump = Pump::from_points(&points, power).unwrap();
        let at = |q: f64| pump.power_w(q).unwrap();
        assert_eq!((at(0.0), at(0.001), at(0.004)), (50.0, 50.0, 70.0));
        assert!((at(0.002) - 60.0).abs() < 1e-9);
    }

    /// What the table says of itself: a third of the wire's power reaches the water at best.
    #[test]
    fn generic_pumps_draw_what_they_say() {
        for generic in GENERIC_PUMPS {
            let pump = generic.pump().unwrap();
            let flow = pump.most_m3_s() / 3.0_f64.sqrt();
            let best = water_power_w(flow, pump.head_m(flow), Water::COOL);
            let efficiency = best / generic.watts;
            assert!((0.3..0.36).contains(&efficiency), "{generic:?} {efficiency}");
        }
        assert!(GENERIC_PUMPS.is_sorted_by(|a, b| a.most_l_s < b.most_l_s));
    }

    #[test]
    fn what_is_no_pump_is_refused() {
        let watts = || PumpPower::Watts(50.0);
        let pump = |points: &[[f64; 2]]| Pump::from_points(points, watts());
        assert_eq!(pump(&[[0.0, 5.0]]), Err(PumpError::Points(1)));
        assert_eq!(pump(&[[0.1, 5.0], [0.2, 3.0]]), Err(PumpError::Start(0.1)));
        assert_eq!(pump(&[[0.0, 5.0], [0.1, 5.5]]), Err(PumpError::Order(1)));
        assert!(pump(&[[0.0, f64::NAN], [0.1, 5.5]]).is_err());
        assert!(Pump::from_formula(0.0, 0.01, watts()).is_err());
        assert!(Pump::from_formula(5.0, 0.01, PumpPower::Efficiency(0.0)).is_err());
        assert!(Pump::from_formula(5.0, 0.01, PumpPower::Points(vec![])).is_err());
        let good = Pump::from_formula(5.0, 0.01, watts()).unwrap();
        assert!(good.at_speed(0.0).is_err() && good.power_w(f64::NAN).is_err());
        assert!(energy_kwh_per_month(100.0, 25.0).is_err());
        assert!(specific_speed(0.0, 1.0, 1.0).is_err());
    }
}
