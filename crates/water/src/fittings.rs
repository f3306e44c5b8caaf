//! Fittings: bends, valves, tees, strainers, by the velocity heads that they take.

use crate::OutOfRange;
use crate::range::{between, share};

/// A fitting in a pipe.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Fitting {
    /// Pipe that starts flush with a wall, sharp: 0.5.
    EntranceSharp,
    /// Pipe that ends under water or in the air: its velocity head is lost, 1.0.
    Exit,
    /// Bend of 90 degrees, threaded or glued short: 1.5.
    ElbowThreaded,
    /// Bend of 90 degrees, flanged or sweeping: 0.3.
    ElbowSmooth,
    /// Bend of 45 degrees, threaded: 0.4 (from memory).
    Elbow45,
    /// Straight through a tee, threaded: 0.9.
    TeeLine,
    /// Into or out of the branch of a tee, threaded: 2.0.
    TeeBranch,
    /// Globe valve, open: 10.
    GlobeOpen,
    /// Valve that lets water one way, swinging: 2.0 (from memory).
    CheckValve,
    /// Gate valve, open by a share of its way from 1 to 0.25; 0.2 when open.
    Gate(f64),
    /// Ball valve, open by a share of its turn from 1 to one third; 0.05 when open.
    Ball(f64),
    /// Strainer or intake guard with a share of its openings clogged, 0 to 0.99; its loss when clean
    /// is given in velocity heads of the pipe.
    Strainer {
        /// Loss when clean, velocity heads.
        clean: f64,
        /// Share of the openings that is clogged.
        clogged: f64,
    },
    /// Any other, by its velocity heads.
    Other(f64),
}

/// Shares of its way by which a gate valve is open, and its velocity heads.
const GATE: [[f64; 2]; 4] = [[0.25, 17.0], [0.5, 2.1], [0.75, 0.26], [1.0, 0.2]];

/// Shares of its turn by which a ball valve is open, and its velocity heads.
const BALL: [[f64; 2]; 3] = [[1.0 / 3.0, 210.0], [2.0 / 3.0, 5.5], [1.0, 0.05]];

impl Fitting {
    /// Velocity heads that the fitting takes.
    ///
    /// Between the tabulated openings of a valve the logarithm of the loss goes evenly. What is
    /// clogged narrows the openings, and the loss grows with the square of the velocity in them.
    ///
    /// # Errors
    /// [`OutOfRange`] for a valve less open than the table tells, or a share or loss out of range.
    ///
    /// # Source
    /// Munson, Young and Okiishi table 8.2 and Cengel and Cimbala table 8-4 as used in P-02 and P-03
    /// (P-10); valves part open and what is marked so from memory of the first.
    pub fn loss_coefficient(self) -> Result<f64, OutOfRange> {
        Ok(match self {
            Self::EntranceSharp => 0.5,
            Self::Exit => 1.0,
            Self::ElbowThreaded => 1.5,
            Self::ElbowSmooth => 0.3,
            Self::Elbow45 => 0.4,
            Self::TeeLine => 0.9,
            Self::TeeBranch => 2.0,
            Self::GlobeOpen => 10.0,
            Self::CheckValve => 2.0,
            Self::Gate(open) => {
                let open = ("the share by which a gate valve is open", open);
                interpolated(&GATE, between((0.25, 1.0), "0.25 to 1", open)?)
            }
            Self::Ball(open) => {
                let open = ("the share by which a ball valve is open", open);
                interpolated(&BALL, between((1.0 / 3.0, 1.0), "1/3 to 1", open)?)
            }
            Self::Strainer { clean, clogged } => {
                share("the share of a strainer that is clogged", clogged)?;
                let clogged = ("the share of a strainer that is clogged", clogged);
                let open = 1.0 - between((0.0, 0.99), "0 to 0.99", clogged)?;
                heads(clean)? / (open * open)
            }
            Self::Other(velocity_heads) => heads(velocity_heads)?,
        })
    }
}

fn heads(velocity_heads: f64) -> Result<f64, OutOfRange> {
    let loss = ("the loss of a fitting, velocity heads,", velocity_heads);
    between((0.0, 1.0e6), "0 to 1e6", loss)
}

fn interpolated(table: &[[f64; 2]], open: f64) -> f64 {
    let after = table.iter().position(|row| row[0] >= open).unwrap_or(table.len() - 1).max(1);
    let ([x0, k0], [x1, k1]) = (table[after - 1], table[after]);
    let share = (open - x0) / (x1 - x0);
    libm::exp(libm::log(k0) + share * (libm::log(k1) - libm::log(k0)))
}

#[cfg(test)]
mod tests {
    use super::*;

    /// P-10: the values used in P-02 and P-03.
    #[test]
    fn fittings_of_the_examples() {
        for (fitting, k) in [
            (Fitting::EntranceSharp, 0.5),
            (Fitting::Exit, 1.0),
            (Fitting::ElbowThreaded, 1.5),
            (Fitting::ElbowSmooth, 0.3),
            (Fitting::GlobeOpen, 10.0),
            (Fitting::TeeLine, 0.9),
            (Fitting::TeeBranch, 2.0),
        ] {
            assert_eq!(fitting.loss_coefficient(), Ok(k));
        }
        let open = Fitting::Gate(1.0).loss_coefficient().unwrap();
        assert!((open - 0.2).abs() < 1e-12);
    }

    #[test]
    fn a_valve_that_closes_takes_more() {
        let half = Fitting::Gate(0.5).loss_coefficient().unwrap();
        assert!((half - 2.1).abs() < 1e-12);
        let mut before = 0.0;
        for percent in (34..=100).rev() {
            let open = f64::from(percent) / 100.0;
            let ball = Fitting::Ball(open).loss_coefficient().unwrap();
            assert!(ball > before);
            before = ball;
        }
        assert!(Fitting::Gate(0.1).loss_coefficient().is_err());
        assert!(Fitting::Ball(f64::NAN).loss_coefficient().is_err());
    }

    #[test]
    fn a_strainer_half_clogged_takes_four_times_as_much() {
        let strainer = |clogged| Fitting::Strainer { clean: 1.2, clogged }.loss_coefficient();
        assert_eq!((strainer(0.0), strainer(0.5)), (Ok(1.2), Ok(4.8)));
        assert!(strainer(1.0).is_err() && strainer(f64::NAN).is_err());
        assert!(Fitting::Other(-1.0).loss_coefficient().is_err());
    }
}
