//! One pump on one line: where they agree, what it costs, and which pump gives a wanted flow.

use crate::range::{between, flow};
use crate::solve::{first_that, root};
use crate::{FrictionLaw, GENERIC_PUMPS, GenericPump, Line, OutOfRange, Pump, PumpError, Trust};

/// What a pump is to deliver against.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Delivery<'a> {
    /// The line, from the intake to the outlet.
    pub line: &'a Line,
    /// Lift, metres: from the water that the pump draws from up to the outlet, or to the water that
    /// it ends under; below zero where it falls.
    pub lift_m: f64,
    /// Which formula gives the losses.
    pub law: FrictionLaw,
}

/// A pump at work on a line.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Duty {
    /// What it moves, cubic metres per second.
    pub flow_m3_s: f64,
    /// The head that it gives, metres: lift and losses.
    pub head_m: f64,
    /// What friction and fittings take of it, metres.
    pub loss_m: f64,
    /// The greatest velocity in any pipe, metres per second.
    pub velocity_m_s: f64,
    /// What it takes from the wire, watts.
    pub power_w: f64,
    /// An estimate beyond the curve's last point or where the losses are one.
    pub trust: Trust,
}

/// Why there is no duty.
#[derive(Clone, Copy, Debug, PartialEq, thiserror::Error)]
pub enum DutyError {
    /// A number is out of range.
    #[error(transparent)]
    Number(#[from] OutOfRange),
    /// The pump does not lift the water so high.
    #[error("the pump lifts {shut_off_m} m at most, and the lift is {lift_m} m")]
    Lift {
        /// Head of the pump without flow, metres.
        shut_off_m: f64,
        /// The lift, metres.
        lift_m: f64,
    },
    /// No pump of those offered moves the flow.
    #[error("no pump of those offered moves {flow_m3_s} m3/s over this line")]
    NoPump {
        /// The wanted flow, cubic metres per second.
        flow_m3_s: f64,
    },
    /// A pump that is offered is none.
    #[error(transparent)]
    Pump(#[from] PumpError),
}

/// What a line asks of a pump at a flow, metres: lift and losses.
///
/// # Errors
/// [`OutOfRange`] for a flow below zero or a lift beyond 10 km.
///
/// # Source
/// Total dynamic head; P-14.
pub fn head_wanted_m(delivery: Delivery<'_>, flow_m3_s: f64) -> Result<f64, OutOfRange> {
    let Delivery { line, lift_m, law } = delivery;
    Ok(lift(lift_m)? + line.loss(flow_m3_s, law)?.total_m())
}

/// The flow at which a pump gives the head that a line asks for.
///
/// ```
/// # use water::{Delivery, FrictionLaw, Line, Pipe, PipeWall, Pump, PumpPower, duty};
/// // No friction and a fitting of K = 2 in 50 mm: 2 V^2 / 2g = 2 m less 2 m (Q / 0.004)^2, so
/// // V = 509 Q and 26,450 Q^2 = 2 - 125,000 Q^2: 3.63 L/s.
/// let line = Line::new(vec![Pipe::new(0.05, 0.0, PipeWall::SMOOTH_PLASTIC)?.with_loss(2.0)?]);
/// let pump = Pump::from_formula(3.0, 0.004899, PumpPower::Watts(60.0))?;
/// let law = FrictionLaw::HazenWilliams;
/// let duty = duty(&pump, Delivery { line: &line, lift_m: 1.0, law })?;
/// assert!((duty.flow_m3_s - 0.00363).abs() < 1e-5);
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
///
/// # Errors
/// [`DutyError`] when the pump does not lift so high or a number is out of range.
///
/// # Source
/// Pump curve against system curve; the losses by [`Line::loss`].
pub fn duty(pump: &Pump, delivery: Delivery<'_>) -> Result<Duty, DutyError> {
    let Delivery { line, law, .. } = delivery;
    let lift_m = lift(delivery.lift_m)?;
    let shut_off_m = pump.shut_off_m();
    if shut_off_m <= lift_m {
        return Err(DutyError::Lift { shut_off_m, lift_m });
    }
    let excess = |m3_s: f64| pump.head_m(m3_s) - lift_m - line.loss_at(m3_s, law).total_m();
    let most_m3_s = first_that(pump.most_m3_s(), 2.0, 60, |m3_s| excess(m3_s) <= 0.0);
    let flow_m3_s = root(0.0, most_m3_s.unwrap_or(pump.most_m3_s()), excess);
    let loss = line.loss_at(flow_m3_s, law);
    let on_curve = Trust::when(flow_m3_s <= pump.most_m3_s());
    Ok(Duty {
        flow_m3_s,
        head_m: pump.head_m(flow_m3_s),
        loss_m: loss.total_m(),
        velocity_m_s: loss.velocity_m_s,
        power_w: pump.power_w(flow_m3_s)?,
        trust: loss.trust.and(on_curve),
    })
}

/// The first of the generic pumps, smallest first, that moves a wanted flow, and its duty: more than
/// is wanted, to be throttled or bypassed.
///
/// # Errors
/// [`DutyError::NoPump`] when none does; others for a number out of range.
pub fn pump_for(
    wanted_m3_s: f64,
    delivery: Delivery<'_>,
) -> Result<(GenericPump, Duty), DutyError> {
    let wanted_m3_s = flow("the wanted flow, m3/s,", wanted_m3_s)?;
    for generic in GENERIC_PUMPS {
        match duty(&generic.pump()?, delivery) {
            Ok(duty) if duty.flow_m3_s >= wanted_m3_s => return Ok((generic, duty)),
            Ok(_) | Err(DutyError::Lift { .. }) => {}
            Err(error) => return Err(error),
        }
    }
    Err(DutyError::NoPump { flow_m3_s: wanted_m3_s })
}

fn lift(lift_m: f64) -> Result<f64, OutOfRange> {
    between((-1.0e4, 1.0e4), "-1e4 to 1e4", ("the lift of a pump, m,", lift_m))
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;
    use proptest::test_runner::RngSeed;

    use super::*;
    use crate::{Fitting, Pipe, PipeWall, PumpPower, Water, water_power_w};

    const FOOT_M: f64 = 0.3048;
    const INCH_M: f64 = 0.0254;
    const GPM_M3_S: f64 = 231.0 * INCH_M * INCH_M * INCH_M / 60.0;

    fn over(line: &Line, lift_m: f64, law: FrictionLaw) -> Delivery<'_> {
        Delivery { line, lift_m, law }
    }

    fn pond_line() -> Line {
        let pipe = Pipe::new(2.067 * INCH_M, 40.0 * FOOT_M, PipeWall::SMOOTH_PLASTIC).unwrap();
        let pipe = pipe.with(Fitting::EntranceSharp, 1).unwrap();
        let pipe = pipe.with(Fitting::ElbowThreaded, 3).unwrap();
        Line::new(vec![pipe.with(Fitting::Exit, 1).unwrap()])
    }

    /// P-14, computed there: 50 gpm, lift 5 ft, 40 ft of 2 in plastic, K 6.0: friction 1.59, minor
    /// 2.13, total 8.72 ft, 0.110 hp to the water.
    #[test]
    fn a_pond_pumps_chain() {
        let (line, law) = (pond_line(), FrictionLaw::HazenWilliams);
        let loss = line.loss(50.0 * GPM_M3_S, law).unwrap();
        assert!((loss.friction_m / FOOT_M / 1.59 - 1.0).abs() < 5e-3);
        assert!((loss.fittings_m / FOOT_M / 2.13 - 1.0).abs() < 5e-3);
        let head = head_wanted_m(over(&line, 5.0 * FOOT_M, law), 50.0 * GPM_M3_S).unwrap();
        assert!((head / FOOT_M / 8.72 - 1.0).abs() < 5e-3);
        let power = water_power_w(50.0 * GPM_M3_S, head, Water::COOL) / 745.7;
        assert!((power / 0.110 - 1.0).abs() < 5e-3, "{power}");
    }

    #[test]
    fn a_clogged_strainer_or_a_valve_takes_flow() {
        let law = FrictionLaw::DarcyWeisbach(Water::COOL);
        let pump = GENERIC_PUMPS[2].pump().unwrap();
        let flow = |line: Line| duty(&pump, over(&line, 1.5, law)).unwrap().flow_m3_s;
        let clean = flow(pond_line());
        let clogged = Fitting::Strainer { clean: 1.0, clogged: 0.8 };
        assert!(flow(pond_line().with(clogged).unwrap()) < 0.8 * clean);
        let half = flow(pond_line().with(Fitting::Gate(0.5)).unwrap());
        assert!(half < clean && half > 0.85 * clean, "{half} {clean}");
    }

    #[test]
    fn the_pump_for_a_wanted_flow() {
        let law = FrictionLaw::DarcyWeisbach(Water::COOL);
        let (generic, found) = pump_for(0.003, over(&pond_line(), 1.5, law)).unwrap();
        assert!(found.flow_m3_s >= 0.003);
        let smaller = GENERIC_PUMPS.iter().rposition(|g| g.most_l_s < generic.most_l_s).unwrap();
        let less =
            duty(&GENERIC_PUMPS[smaller].pump().unwrap(), over(&pond_line(), 1.5, law)).unwrap();
        assert!(less.flow_m3_s < 0.003);
        let none = pump_for(0.003, over(&pond_line(), 50.0, law));
        assert_eq!(none, Err(DutyError::NoPump { flow_m3_s: 0.003 }));
        assert!(pump_for(f64::NAN, over(&pond_line(), 1.5, law)).is_err());
        let pump = GENERIC_PUMPS[0].pump().unwrap();
        assert!(matches!(duty(&pump, over(&pond_line(), 3.0, law)), Err(DutyError::Lift { .. })));
        assert!(duty(&pump, over(&pond_line(), f64::NAN, law)).is_err());
    }

    /// A fall instead of a lift drives the pump beyond its curve: found, and marked.
    #[test]
    fn beyond_the_curve_is_an_estimate() {
        let pump = Pump::from_points(&[[0.0, 2.0], [0.002, 1.0]], PumpPower::Watts(40.0)).unwrap();
        let law = FrictionLaw::DarcyWeisbach(Water::COOL);
        let found = duty(&pump, over(&pond_line(), -3.0, law)).unwrap();
        assert!(found.flow_m3_s > 0.002 && found.trust == Trust::Estimate);
    }

    proptest! {
        #![proptest_config(ProptestConfig { cases: 200, rng_seed: RngSeed::Fixed(62), failure_persistence: None, ..ProptestConfig::default() })]

        #[test]
        fn head_given_is_head_asked(
            (shut_off, log_most) in (0.2..30.0f64, -4.0..0.0f64),
            (log_diameter, length, k) in (-2.3..0.0f64, 0.0..300.0f64, 0.0..60.0f64),
            lift in -3.0..20.0f64,
        ) {
            let pump = Pump::from_formula(shut_off, libm::exp10(log_most), PumpPower::Watts(1.0)).unwrap();
            let pipe = Pipe::new(libm::exp10(log_diameter), length, PipeWall::SMOOTH_PLASTIC).unwrap();
            let line = Line::new(vec![pipe.with_loss(k).unwrap()]);
            for law in [FrictionLaw::DarcyWeisbach(Water::COOL), FrictionLaw::HazenWilliams] {
                match duty(&pump, over(&line, lift, law)) {
                    Ok(found) => {
                        prop_assert!((found.head_m - lift - found.loss_m).abs() < 1e-9 * (shut_off + 3.0));
                        let higher = duty(&pump, over(&line, lift + 0.1, law));
                        prop_assert!(higher.map_or(true, |higher| higher.flow_m3_s <= found.flow_m3_s));
                    }
                    Err(error) => {
                        let too_high = matches!(error, DutyError::Lift { .. });
                        prop_assert!(too_high && shut_off <= lift);
                    }
                }
            }
        }
    }
}
