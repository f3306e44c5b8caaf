//! Slopes: one number, however it was said.

/// How steep ground is, from level upward; vertical is no slope.
///
/// Kept as rise over run, in metres for each metre.
#[derive(Clone, Copy, Debug, PartialEq, PartialOrd)]
pub struct Slope {
    rise_per_run: f64,
}

/// Why a number is no slope.
#[derive(Clone, Copy, Debug, PartialEq, thiserror::Error)]
pub enum SlopeError {
    /// The run is not above zero: vertical ground is a wall, not a slope.
    #[error("a slope runs more than 0 for each rise, not {0}")]
    Run(f64),
    /// The grade is below zero or not a number.
    #[error("a grade is 0 % or more, not {0} %")]
    Percent(f64),
    /// The angle is outside 0 to below 90 degrees.
    #[error("a slope lies between 0 and below 90 degrees, not at {0} degrees")]
    Angle(f64),
}

impl Slope {
    /// The slope that runs `run` for each rise of one: 3 for 1 in 3.
    ///
    /// # Errors
    /// [`SlopeError::Run`] unless `run` is above zero; infinity is level ground.
    pub fn from_run_per_rise(run: f64) -> Result<Self, SlopeError> {
        if run > 0.0 { Ok(Self { rise_per_run: 1.0 / run }) } else { Err(SlopeError::Run(run)) }
    }

    /// The slope of a grade in percent.
    ///
    /// # Errors
    /// [`SlopeError::Percent`] for a grade below zero, infinite or not a number.
    pub fn from_percent(percent: f64) -> Result<Self, SlopeError> {
        if percent >= 0.0 && percent.is_finite() {
            Ok(Self { rise_per_run: percent / 100.0 })
        } else {
            Err(SlopeError::Percent(percent))
        }
    }

    /// The slope at an angle above level, in radians.
    ///
    /// # Errors
    /// [`SlopeError::Angle`], in degrees, outside 0 to below a right angle.
    pub fn from_angle(angle_rad: f64) -> Result<Self, SlopeError> {
        if (0.0..core::f64::consts::FRAC_PI_2).contains(&angle_rad) {
            Ok(Self { rise_per_run: libm::tan(angle_rad) })
        } else {
            Err(SlopeError::Angle(angle_rad.to_degrees()))
        }
    }

    /// Rise over run.
    pub fn rise_per_run(self) -> f64 {
        self.rise_per_run
    }

    /// Run for each rise of one; infinite on level ground.
    pub fn run_per_rise(self) -> f64 {
        1.0 / self.rise_per_run
    }

    /// The grade in percent.
    pub fn percent(self) -> f64 {
        self.rise_per_run * 100.0
    }

    /// The angle above level, in radians.
    pub fn angle_rad(self) -> f64 {
        libm::atan(self.rise_per_run)
    }
}

#[cfg(test)]
mod tests {
    use super::{Slope, SlopeError};

    /// K-21 and K-22: 4:1 is 14.04 degrees, 50 % is 1 in 2 and 26.6 degrees.
    #[test]
    fn ratio_percent_and_angle_agree() {
        let mown = Slope::from_run_per_rise(4.0).unwrap();
        assert_eq!(mown.percent(), 25.0);
        assert!((mown.angle_rad().to_degrees() - 14.04).abs() < 0.005);
        let steepest_turf = Slope::from_percent(50.0).unwrap();
        assert_eq!(steepest_turf.run_per_rise(), 2.0);
        assert!((steepest_turf.angle_rad().to_degrees() - 26.57).abs() < 0.01);
        let half_right = Slope::from_angle(core::f64::consts::FRAC_PI_4).unwrap();
        assert!((half_right.run_per_rise() - 1.0).abs() < 1e-15);
    }

    #[test]
    fn what_is_no_slope_is_refused() {
        assert_eq!(Slope::from_run_per_rise(0.0), Err(SlopeError::Run(0.0)));
        assert!(Slope::from_run_per_rise(f64::NAN).is_err());
        assert!(Slope::from_percent(-1.0).is_err());
        assert!(Slope::from_percent(f64::INFINITY).is_err());
        assert!(Slope::from_angle(core::f64::consts::FRAC_PI_2).is_err());
    }
}
