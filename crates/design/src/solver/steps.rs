//! What a crew can set out: the steps to which changed numbers are rounded.

use site::field::Quantity;
use units::LengthUnit;

/// The step of a number: whole multiples of it are set out.
///
/// It is kept as a fraction, so that a multiple is the nearest number to its decimals.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Step {
    over: f64,
    under: f64,
    unit: LengthUnit,
    is_length: bool,
}

/// A laser and a rod set a level to this, metres.
const METRIC: (f64, f64) = (5.0, 1000.0);
/// The same in feet and inches: a quarter inch, in feet.
const QUARTER_INCH: (f64, f64) = (1.0, 48.0);
/// The same in decimal feet: two marks of the rod.
const DECIMAL_FOOT: (f64, f64) = (2.0, 100.0);
/// A flank is built to a tenth of run per rise.
const RUN: (f64, f64) = (1.0, 10.0);
/// A fall is set to a tenth of a percent.
const FALL: (f64, f64) = (1.0, 1000.0);

/// The step to which a number of a quantity is set out, in SI; none where it is no number that a crew
/// sets out.
pub fn step_of(quantity: Quantity, unit: LengthUnit) -> Option<f64> {
    Step::of(quantity).map(|step| step.in_unit(unit).size())
}

impl Step {
    /// The step of a quantity, in metres where it is a length.
    pub(super) fn of(quantity: Quantity) -> Option<Self> {
        let (is_length, (over, under)) = match quantity {
            Quantity::Length | Quantity::Elevation => (true, METRIC),
            Quantity::RunPerRise => (false, RUN),
            Quantity::Share => (false, FALL),
            _ => return None,
        };
        Some(Self { over, under, unit: LengthUnit::Metre, is_length })
    }

    /// The same step as it is set out in another unit of length.
    pub(super) fn in_unit(self, unit: LengthUnit) -> Self {
        let (over, under) = match (self.is_length, unit) {
            (false, _) | (true, LengthUnit::Metre) => return self,
            (true, LengthUnit::FootInch) => QUARTER_INCH,
            (true, LengthUnit::Foot | LengthUnit::UsSurveyFoot) => DECIMAL_FOOT,
        };
        Self { over, under, unit, ..self }
    }

    /// Its size, in SI.
    pub(super) fn size(self) -> f64 {
        self.at(1.0)
    }

    /// So many steps, in SI.
    pub(super) fn at(self, count: f64) -> f64 {
        self.unit.to_metres(count * self.over / self.under)
    }

    /// How many steps a value is.
    pub(super) fn count(self, value: f64) -> f64 {
        value / self.size()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn multiples_are_the_nearest_numbers_to_their_decimals() {
        let step = Step::of(Quantity::Elevation).unwrap();
        assert_eq!(step.at(9957.0), 49.785);
        assert_eq!(step.count(49.785).round(), 9957.0);
        assert_eq!(Step::of(Quantity::RunPerRise).unwrap().at(33.0), 3.3);
        assert_eq!(step_of(Quantity::Choice(&[]), LengthUnit::Metre), None);
    }

    #[test]
    fn a_crew_that_works_in_feet_sets_feet_out() {
        let inch = step_of(Quantity::Length, LengthUnit::FootInch).unwrap();
        assert!((inch - 0.0254 / 4.0).abs() < 1e-15);
        let foot = step_of(Quantity::Length, LengthUnit::Foot).unwrap();
        assert!((foot - 0.02 * 0.3048).abs() < 1e-15);
        // A flank is a flank in any unit.
        assert_eq!(step_of(Quantity::RunPerRise, LengthUnit::Foot), Some(0.1));
    }
}
