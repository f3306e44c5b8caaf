//! Levels over time: what the pond loses to running water at start and takes back at stop, and what
//! an intake bay that stands apart does meanwhile.
//!
//! ```text
//!   pond ~~~~~~~~~.            bay
//!                 |~~~~~~~~~~~.
//!   _____________/sill\________|==> pump
//! ```

use crate::range::{between, elevation, flow, not_negative, positive};
use crate::solve::root;
use crate::{Crest, OutOfRange, StageTable};

/// Steps of a start-up, at most.
const MOST_STEPS: u32 = 20_000;

/// Levels of a pond at rest and running.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct StartStop {
    /// Level when the stream runs, after a start from the level given, metres.
    pub running_m: f64,
    /// How far that is below, metres.
    pub drop_m: f64,
    /// Level when the pump stops, if the pond stood at the level given while it ran, metres: filled up
    /// by rain or the top-up.
    pub stopped_m: f64,
    /// How far that is above, metres.
    pub rise_m: f64,
}

/// Why levels cannot be told.
#[derive(Clone, Copy, Debug, PartialEq, thiserror::Error)]
pub enum LevelError {
    /// A number is out of range.
    #[error(transparent)]
    Number(#[from] OutOfRange),
    /// The pond holds less than what is held in motion.
    #[error("the water in motion takes {in_motion_m3} m3, and the pond holds {holds_m3}")]
    RunsDry {
        /// Water in motion, cubic metres.
        in_motion_m3: f64,
        /// What the pond holds at the level given, cubic metres.
        holds_m3: f64,
    },
    /// The sill passes less than the pump draws.
    #[error("the sill passes {passes_m3_s} m3/s at most, and the pump draws {draws_m3_s}")]
    Starved {
        /// The most that passes at the pond's level, cubic metres per second.
        passes_m3_s: f64,
        /// What the pump draws, cubic metres per second.
        draws_m3_s: f64,
    },
}

/// A start of the pump, from water at rest.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct StartUp<'a> {
    /// The pond.
    pub pond: &'a StageTable,
    /// The bay from which the pump draws.
    pub bay: &'a StageTable,
    /// The sill between them.
    pub sill: &'a Crest,
    /// Level of both at rest, metres.
    pub level_m: f64,
    /// What the pump draws, cubic metres per second.
    pub flow_m3_s: f64,
    /// Water that the stream takes before it gives any back, cubic metres.
    pub in_motion_m3: f64,
}

/// A moment of a start-up.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Moment {
    /// Time since the start, seconds.
    pub time_s: f64,
    /// Level of the pond, metres.
    pub pond_m: f64,
    /// Level of the bay, metres.
    pub bay_m: f64,
    /// Water in the pond, cubic metres.
    pub pond_m3: f64,
    /// Water in the bay, cubic metres.
    pub bay_m3: f64,
    /// Water in motion, cubic metres.
    pub in_motion_m3: f64,
    /// What the pump could not draw so far because the bay was empty, cubic metres.
    pub short_m3: f64,
}

/// Levels of a pond at start and stop.
///
/// ```
/// # use water::{Stage, StageTable, start_stop};
/// // 20 m2 with upright sides and 0.5 m3 in motion: 25 mm down at start, 25 mm up at stop.
/// let row = |level_m, volume_m3| Stage { level_m, area_m2: 20.0, volume_m3 };
/// let pond = StageTable::new(vec![row(9.0, 0.0), row(10.0, 20.0)])?;
/// let levels = start_stop(&pond, 10.0, 0.5)?;
/// assert!((levels.drop_m - 0.025).abs() < 1e-12 && (levels.rise_m - 0.025).abs() < 1e-12);
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
///
/// # Errors
/// [`LevelError::RunsDry`] when the pond holds less than what is held in motion; others for a number
/// out of range.
///
/// # Source
/// Balance of volume: what runs is drawn from the pond, and comes back.
pub fn start_stop(
    pond: &StageTable,
    level_m: f64,
    in_motion_m3: f64,
) -> Result<StartStop, LevelError> {
    let level_m = elevation("the level of the pond, m,", level_m)?;
    let in_motion_m3 = not_negative("the water in motion, m3,", in_motion_m3)?;
    let volume_m3 = pond.volume_m3(level_m);
    let holds_m3 = volume_m3 - pond.bottom().volume_m3;
    if in_motion_m3 > holds_m3 {
        return Err(LevelError::RunsDry { in_motion_m3, holds_m3 });
    }
    let running_m = pond.level_m(volume_m3 - in_motion_m3);
    let stopped_m = pond.level_m(volume_m3 + in_motion_m3);
    let (drop_m, rise_m) = (level_m - running_m, stopped_m - level_m);
    Ok(StartStop { running_m, drop_m, stopped_m, rise_m })
}

/// Levels of a pond and of the bay that stands apart from it, at start and stop.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct BayStartStop {
    /// Pond and bay at rest, running and stopped, as for one water: levels of the pond.
    pub pond: StartStop,
    /// Level of the bay when the stream runs, after a start from the level given, metres.
    pub bay_running_m: f64,
    /// How far that is below the level at rest, metres.
    pub bay_drop_m: f64,
}

/// Levels of a pond and its bay at start and stop, both at one level when at rest.
///
/// The pump's draw holds the bay below the pond by what its sill asks; when it stops, bay and pond
/// come to one level.
///
/// # Errors
/// [`LevelError::RunsDry`] when pond and bay together hold too little, [`LevelError::Starved`] when
/// the sill passes less than the draw at the level to which the pond falls; others for a number out
/// of range.
///
/// # Source
/// Balance of volume, with [`bay_level_m`].
pub fn start_stop_with_bay(start: StartUp<'_>) -> Result<BayStartStop, LevelError> {
    let level_m = elevation("the level of the pond, m,", start.level_m)?;
    let in_motion_m3 = not_negative("the water in motion, m3,", start.in_motion_m3)?;
    let StartUp { pond, bay, sill, flow_m3_s, .. } = start;
    let both_m3 = |pond_m: f64, bay_m: f64| pond.volume_m3(pond_m) + bay.volume_m3(bay_m);
    let lowest_m = pond.bottom().level_m.min(bay.bottom().level_m).min(level_m);
    let whole_m3 = both_m3(level_m, level_m);
    let holds_m3 = whole_m3 - both_m3(lowest_m, lowest_m);
    if in_motion_m3 > holds_m3 {
        return Err(LevelError::RunsDry { in_motion_m3, holds_m3 });
    }
    // A level at which the sill passes too little holds as if the bay were down at the sill.
    let running_m3 = |pond_m: f64| {
        let bay_m = bay_level_m(pond_m, sill, flow_m3_s).unwrap_or(pond_m.min(sill.lowest_m()));
        both_m3(pond_m, bay_m)
    };
    let fall_m = root(0.0, level_m - lowest_m, |fall_m| {
        whole_m3 - in_motion_m3 - running_m3(level_m - fall_m)
    });
    let running_m = level_m - fall_m;
    let bay_running_m = bay_level_m(running_m, sill, flow_m3_s)?;
    let at_stop_m3 = both_m3(level_m, bay_level_m(level_m, sill, flow_m3_s)?) + in_motion_m3;
    let least_area_m2 = pond.top().area_m2 + bay.top().area_m2;
    let most_m = in_motion_m3 / least_area_m2 + (pond.top().level_m - level_m).max(0.0) + 1.0;
    let rise_m = root(-(level_m - lowest_m), most_m, |rise_m| {
        both_m3(level_m + rise_m, level_m + rise_m) - at_stop_m3
    });
    let stopped_m = level_m + rise_m;
    Ok(BayStartStop {
        pond: StartStop { running_m, drop_m: fall_m, stopped_m, rise_m },
        bay_running_m,
        bay_drop_m: level_m - bay_running_m,
    })
}

/// Water that has come back so long after the stop, cubic metres: most of it at first, the rest as a
/// trickle.
///
/// ```
/// # use water::run_out_m3;
/// // 0.3 m3 at 6 L/s: after 50 s (1 + 2/3 x 6 x 50 / 300)^-1.5 = 0.465 of it is still there.
/// assert!((run_out_m3(0.3, 0.006, 50.0)? - 0.3 * (1.0 - 0.4648)).abs() < 1e-4);
/// # Ok::<(), water::OutOfRange>(())
/// ```
///
/// # Errors
/// [`OutOfRange`] when flow or water in motion is not above zero, or the time is below.
///
/// # Source
/// A stream empties as a reservoir whose flow goes with the 5/3 power of what it holds, as Manning's
/// equation has it for a wide bed: V = V0 (1 + 2 Q0 t / 3 V0)^-1.5.
pub fn run_out_m3(in_motion_m3: f64, flow_m3_s: f64, time_s: f64) -> Result<f64, OutOfRange> {
    let in_motion_m3 = positive("the water in motion, m3,", in_motion_m3)?;
    let flow_m3_s = flow("the flow of a stream, m3/s,", flow_m3_s)?;
    let time_s = not_negative("the time since the stop, s,", time_s)?;
    let left = 1.0 + 2.0 / 3.0 * flow_m3_s * time_s / in_motion_m3;
    Ok(in_motion_m3 * (1.0 - 1.0 / (left * left.sqrt())))
}

/// The level of a bay, metres, at which its sill passes what the pump draws, with the pond at a
/// level: where both come to rest while it runs.
///
/// # Errors
/// [`LevelError::Starved`] when the sill passes less even into an empty bay; others for a number out
/// of range.
///
/// # Source
/// [`Crest::flow_m3_s`] with the bay as the water below.
pub fn bay_level_m(pond_level_m: f64, sill: &Crest, flow_m3_s: f64) -> Result<f64, LevelError> {
    let pond_level_m = elevation("the level of the pond, m,", pond_level_m)?;
    let draws_m3_s = flow("what the pump draws, m3/s,", flow_m3_s)?;
    let passes_m3_s = sill.flow_m3_s(pond_level_m, None);
    if passes_m3_s < draws_m3_s {
        return Err(LevelError::Starved { passes_m3_s, draws_m3_s });
    }
    let head_m = pond_level_m - sill.lowest_m();
    let excess = |below_m: f64| {
        sill.flow_m3_s(pond_level_m, Some(pond_level_m - head_m + below_m)) - draws_m3_s
    };
    Ok(pond_level_m - head_m + root(0.0, head_m, excess))
}

/// Pond and bay from the start of the pump, in even steps of `step_s`, for `n_steps`.
///
/// The stream gives nothing back until all the water in motion is in it, then what it takes: the
/// hardest case for the bay. Each step moves over the sill what the levels at its end would: it never
/// overshoots, however long the step, and no water is lost.
///
/// # Errors
/// [`LevelError`] for a number out of range; a bay that empties is no error: `short_m3` tells.
///
/// # Source
/// Balance of volume in pond, bay and stream, the sill by [`Crest::flow_m3_s`].
pub fn start_up(start: StartUp<'_>, step_s: f64, n_steps: u32) -> Result<Vec<Moment>, LevelError> {
    let level_m = elevation("the level of the pond, m,", start.level_m)?;
    let flow_m3_s = flow("what the pump draws, m3/s,", start.flow_m3_s)?;
    let takes_m3 = not_negative("the water in motion, m3,", start.in_motion_m3)?;
    let step_s = positive("the step of time, s,", step_s)?;
    let count = ("the number of steps", f64::from(n_steps));
    between((1.0, f64::from(MOST_STEPS)), "1 to 20,000", count)?;
    let StartUp { pond, bay, .. } = start;
    let moment = |time_s: f64, [pond_m3, bay_m3, in_motion_m3, short_m3]: [f64; 4]| Moment {
        time_s,
        pond_m: pond.level_m(pond_m3),
        bay_m: bay.level_m(bay_m3),
        pond_m3,
        bay_m3,
        in_motion_m3,
        short_m3,
    };
    let mut state = [pond.volume_m3(level_m), bay.volume_m3(level_m), 0.0, 0.0];
    let mut moments = vec![moment(0.0, state)];
    for step in 1..=n_steps {
        let [pond_m3, bay_m3, in_motion_m3, short_m3] = state;
        let wanted_m3 = flow_m3_s * step_s;
        let drawn_m3 = wanted_m3.min(bay_m3 - bay.bottom().volume_m3);
        let back_m3 = (in_motion_m3 + drawn_m3 - takes_m3).max(0.0);
        let (pond_m3, bay_m3) = (pond_m3 + back_m3, bay_m3 - drawn_m3);
        let over_m3 = over_sill_m3(start, [pond_m3, bay_m3], step_s);
        state = [
            pond_m3 - over_m3,
            bay_m3 + over_m3,
            in_motion_m3 + drawn_m3 - back_m3,
            short_m3 + wanted_m3 - drawn_m3,
        ];
        moments.push(moment(f64::from(step) * step_s, state));
    }
    Ok(moments)
}

/// What passes the sill in a step, by the levels at its end; below zero back into the pond.
fn over_sill_m3(start: StartUp<'_>, [pond_m3, bay_m3]: [f64; 2], step_s: f64) -> f64 {
    let StartUp { pond, bay, sill, .. } = start;
    let excess = |over_m3: f64| {
        let (a, b) = (pond.level_m(pond_m3 - over_m3), bay.level_m(bay_m3 + over_m3));
        let passes_m3_s =
            if a >= b { sill.flow_m3_s(a, Some(b)) } else { -sill.flow_m3_s(b, Some(a)) };
        over_m3 - step_s * passes_m3_s
    };
    root(bay.bottom().volume_m3 - bay_m3, pond_m3 - pond.bottom().volume_m3, excess)
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;
    use proptest::test_runner::RngSeed;

    use super::*;
    use crate::CrestForm;
    use crate::stage::tests::pyramid;

    fn sill(elevation_m: f64, width_m: f64) -> Crest {
        Crest::level(elevation_m, width_m, CrestForm::Broad).unwrap()
    }

    #[test]
    fn a_pond_gives_and_takes_back() {
        let pond = pyramid(3.0, 9.0, 1.0);
        let levels = start_stop(&pond, 10.0, 0.6).unwrap();
        // 25 m2 at the top: 24 mm and a little more down, 24 mm up as the table's sides are upright.
        assert!((levels.rise_m - 0.6 / 25.0).abs() < 1e-12);
        assert!(levels.drop_m > levels.rise_m && levels.drop_m < 1.05 * levels.rise_m);
        let dry = start_stop(&pond, 10.0, 50.0);
        assert!(matches!(dry, Err(LevelError::RunsDry { .. })));
        assert!(start_stop(&pond, f64::NAN, 0.1).is_err());
        assert!(start_stop(&pond, 10.0, -0.1).is_err());
    }

    /// A broad sill passes up to two thirds undrowned: the bay stands at that when it is just enough.
    #[test]
    fn a_bay_stands_below_its_pond() {
        let sill = sill(9.9, 0.6);
        let most = sill.flow_m3_s(10.0, None);
        let level = bay_level_m(10.0, &sill, most * (1.0 - 1e-9)).unwrap();
        assert!((level - 9.9 - 0.2 / 3.0).abs() < 1e-4, "{level}");
        let gentle = bay_level_m(10.0, &sill, 0.2 * most).unwrap();
        assert!(gentle > level && gentle < 10.0);
        assert!((sill.flow_m3_s(10.0, Some(gentle)) / (0.2 * most) - 1.0).abs() < 1e-9);
        let starved = bay_level_m(10.0, &sill, 1.01 * most);
        assert!(matches!(starved, Err(LevelError::Starved { .. })));
        assert!(bay_level_m(f64::NAN, &sill, 0.01).is_err());
    }

    /// After the start pond and bay come to rest at the levels that start_stop and bay_level tell.
    #[test]
    fn a_start_comes_to_rest() {
        let (pond, bay, sill) = (pyramid(3.0, 9.0, 1.0), pyramid(0.5, 9.2, 0.8), sill(9.8, 0.6));
        let start = StartUp {
            pond: &pond,
            bay: &bay,
            sill: &sill,
            level_m: 10.0,
            flow_m3_s: 0.008,
            in_motion_m3: 0.4,
        };
        let moments = start_up(start, 1.0, 600).unwrap();
        let last = moments[600];
        let rest = bay_level_m(last.pond_m, &sill, 0.008).unwrap();
        assert!((last.bay_m - rest).abs() < 1e-6, "{} {rest}", last.bay_m);
        assert_eq!((last.short_m3, last.in_motion_m3), (0.0, 0.4));
        let both = |m: &Moment| m.pond_m3 + m.bay_m3 + m.in_motion_m3;
        assert!((both(&last) - both(&moments[0])).abs() < 1e-12);
        // Halving the step changes little.
        let finer = start_up(start, 0.5, 1200).unwrap();
        let lowest = |m: &[Moment]| m.iter().map(|m| m.bay_m).fold(f64::INFINITY, f64::min);
        assert!((lowest(&finer) - lowest(&moments)).abs() < 1e-4);
    }

    /// At first the stream gives what it ran with, and in the end all that was in motion.
    #[test]
    fn a_stream_runs_out() {
        let back = |t: f64| run_out_m3(0.3, 0.006, t).unwrap();
        assert!((back(0.01) / 0.01 / 0.006 - 1.0).abs() < 1e-3);
        assert!(back(1e6) > 0.2999 && back(1e6) <= 0.3 && back(0.0) == 0.0);
        assert!(run_out_m3(0.0, 0.006, 1.0).is_err() && run_out_m3(0.3, 0.006, f64::NAN).is_err());
    }

    /// The levels told at once are those to which the start-up comes, and at stop no water is lost.
    #[test]
    fn start_and_stop_with_a_bay() {
        let (pond, bay, sill) = (pyramid(3.0, 9.0, 1.0), pyramid(0.5, 9.2, 0.8), sill(9.8, 0.6));
        let start = StartUp {
            pond: &pond,
            bay: &bay,
            sill: &sill,
            level_m: 10.0,
            flow_m3_s: 0.008,
            in_motion_m3: 0.4,
        };
        let told = start_stop_with_bay(start).unwrap();
        let last = start_up(start, 1.0, 900).unwrap()[900];
        assert!((told.pond.running_m - last.pond_m).abs() < 1e-6);
        assert!((told.bay_running_m - last.bay_m).abs() < 1e-6);
        assert!(told.bay_drop_m > told.pond.drop_m);
        let bay_m = bay_level_m(10.0, &sill, 0.008).unwrap();
        let before = pond.volume_m3(10.0) + bay.volume_m3(bay_m) + 0.4;
        let stopped = told.pond.stopped_m;
        assert!((pond.volume_m3(stopped) + bay.volume_m3(stopped) - before).abs() < 1e-9);
        let alone = start_stop(&pond, 10.0, 0.4).unwrap();
        assert!(told.pond.rise_m < alone.rise_m && told.pond.rise_m > 0.0);
        let high = Crest::level(9.99, 0.2, CrestForm::Broad).unwrap();
        let starved = start_stop_with_bay(StartUp { sill: &high, ..start });
        assert!(matches!(starved, Err(LevelError::Starved { .. })));
        let dry = start_stop_with_bay(StartUp { in_motion_m3: 100.0, ..start });
        assert!(matches!(dry, Err(LevelError::RunsDry { .. })));
    }

    /// A narrow, high sill empties the bay: the pump runs short, and no water is lost.
    #[test]
    fn a_high_sill_empties_the_bay() {
        let (pond, bay, sill) = (pyramid(3.0, 9.0, 1.0), pyramid(0.5, 9.2, 0.8), sill(9.99, 0.2));
        let start = StartUp {
            pond: &pond,
            bay: &bay,
            sill: &sill,
            level_m: 10.0,
            flow_m3_s: 0.008,
            in_motion_m3: 0.4,
        };
        let moments = start_up(start, 2.0, 200).unwrap();
        assert!(moments[200].short_m3 > 0.0);
        assert!(start_up(start, 0.0, 10).is_err() && start_up(start, 1.0, 0).is_err());
        assert!(start_up(StartUp { flow_m3_s: f64::NAN, ..start }, 1.0, 10).is_err());
    }

    proptest! {
        #![proptest_config(ProptestConfig { cases: 60, rng_seed: RngSeed::Fixed(65), failure_persistence: None, ..ProptestConfig::default() })]

        #[test]
        fn no_water_is_lost(
            (floor, bay_floor, sill_z, width) in (0.2..5.0f64, 0.1..1.0f64, 9.1..10.2f64, 0.05..2.0f64),
            (log_flow, motion, step) in (-5.0..0.0f64, 0.0..3.0f64, 0.01..100.0f64),
        ) {
            let (pond, bay, sill) = (pyramid(floor, 9.0, 1.0), pyramid(bay_floor, 9.2, 0.8), sill(sill_z, width));
            let start = StartUp {
                pond: &pond, bay: &bay, sill: &sill, level_m: 10.0,
                flow_m3_s: libm::exp10(log_flow), in_motion_m3: motion,
            };
            let moments = start_up(start, step, 60).unwrap();
            let whole = moments[0].pond_m3 + moments[0].bay_m3;
            for m in &moments {
                prop_assert!((m.pond_m3 + m.bay_m3 + m.in_motion_m3 - whole).abs() < 1e-9);
                prop_assert!(m.pond_m3 >= -1e-9 && m.bay_m3 >= -1e-9 && m.in_motion_m3 >= 0.0);
                prop_assert!(m.in_motion_m3 <= motion + 1e-9);
            }
        }
    }
}
