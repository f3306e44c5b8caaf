//! Pipes: what friction and fittings take from the head.

use crate::fittings::Fitting;
use crate::fluid::{GRAVITY_M_S2, Water};
use crate::range::{between, flow_or_none, length, not_negative};
use crate::{OutOfRange, Trust};

/// Below this Reynolds number the water runs in layers.
const LAMINAR: f64 = 2000.0;

/// Above this it is turbulent; between the two the friction factor is taken along a straight line.
const TURBULENT: f64 = 4000.0;

/// Which formula gives the friction.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum FrictionLaw {
    /// Darcy-Weisbach with Colebrook's factor, for water of a temperature.
    DarcyWeisbach(Water),
    /// Hazen-Williams, for cool water in turbulent flow.
    HazenWilliams,
}

/// The inside of a pipe.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct PipeWall {
    /// Height of its roughness, metres, for Darcy-Weisbach.
    pub roughness_m: f64,
    /// C of Hazen-Williams.
    pub hazen_williams_c: f64,
}

/// A pipe of one diameter with the fittings in it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Pipe {
    diameter_m: f64,
    length_m: f64,
    wall: PipeWall,
    loss_coefficient: f64,
}

/// Pipes in a row, as the water runs through them.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Line {
    pipes: Vec<Pipe>,
}

/// Velocity in a pipe above which a garden's line is too narrow: it costs head and wears.
///
/// # Source
/// Common practice, 5 ft/s.
pub const COMMON_PIPE_VELOCITY_M_S: f64 = 1.5;

/// What a flow through a line loses.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct LineLoss {
    /// To friction along the pipes, metres.
    pub friction_m: f64,
    /// To fittings, metres.
    pub fittings_m: f64,
    /// The greatest velocity in any pipe, metres per second.
    pub velocity_m_s: f64,
    /// An estimate where the flow is between layered and turbulent, or where Hazen-Williams is asked
    /// beyond turbulent flow in pipes of 50 mm and more (from memory).
    pub trust: Trust,
}

impl PipeWall {
    /// Smooth plastic, new: 0.0015 mm and C 150 (P-08; roughness from memory).
    pub const SMOOTH_PLASTIC: Self = Self { roughness_m: 1.5e-6, hazen_williams_c: 150.0 };
    /// Plastic grown over with slime: 0.3 mm and C 120, common practice.
    pub const GROWN_OVER: Self = Self { roughness_m: 3.0e-4, hazen_williams_c: 120.0 };
    /// Hose with a spiral inside: 0.5 mm and C 110, common practice.
    pub const SPIRAL_HOSE: Self = Self { roughness_m: 5.0e-4, hazen_williams_c: 110.0 };
}

impl LineLoss {
    /// The head that is lost in all, metres.
    pub fn total_m(self) -> f64 {
        self.friction_m + self.fittings_m
    }
}

impl Pipe {
    /// A pipe from its inside diameter and length, metres, and its wall.
    ///
    /// # Errors
    /// [`OutOfRange`] for a diameter outside 1 mm to 10 m, a length below zero, a roughness of more
    /// than a twentieth of the diameter or a C outside 40 to 200.
    pub fn new(diameter_m: f64, length_m: f64, wall: PipeWall) -> Result<Self, OutOfRange> {
        let diameter = ("the inside diameter of a pipe, m,", diameter_m);
        let diameter_m = between((1.0e-3, 10.0), "0.001 to 10", diameter)?;
        let length = ("the length of a pipe, m,", length_m);
        let length_m = between((0.0, 1.0e5), "0 to 1e5", length)?;
        let relative = ("a pipe's roughness over its diameter", wall.roughness_m / diameter_m);
        between((0.0, 0.05), "0 to 0.05", relative)?;
        let c = ("the C of Hazen-Williams", wall.hazen_williams_c);
        between((40.0, 200.0), "40 to 200", c)?;
        Ok(Self { diameter_m, length_m, wall, loss_coefficient: 0.0 })
    }

    /// The same pipe with so many more fittings of a kind.
    ///
    /// # Errors
    /// [`OutOfRange`] where the fitting's loss is no number or they take more than 1e9 velocity
    /// heads.
    pub fn with(self, fitting: Fitting, count: u32) -> Result<Self, OutOfRange> {
        self.with_loss(fitting.loss_coefficient()? * f64::from(count))
    }

    /// The same pipe with a further loss of so many velocity heads.
    ///
    /// # Errors
    /// [`OutOfRange`] for a loss below zero or beyond 1e9.
    pub fn with_loss(self, velocity_heads: f64) -> Result<Self, OutOfRange> {
        let added = not_negative("the loss of a fitting, velocity heads,", velocity_heads)?;
        let sum = self.loss_coefficient + added;
        let loss_coefficient = not_negative("the loss of fittings, velocity heads,", sum)?;
        Ok(Self { loss_coefficient, ..self })
    }

    /// Inside diameter, metres.
    pub fn diameter_m(self) -> f64 {
        self.diameter_m
    }

    /// Length, metres.
    pub fn length_m(self) -> f64 {
        self.length_m
    }

    /// Mean velocity of a flow, metres per second.
    pub fn velocity_m_s(self, flow_m3_s: f64) -> f64 {
        flow_m3_s / (0.25 * core::f64::consts::PI * self.diameter_m * self.diameter_m)
    }

    /// Volume of water in the pipe, cubic metres: it runs back when the pump stops, unless a valve
    /// holds it.
    pub fn volume_m3(self) -> f64 {
        0.25 * core::f64::consts::PI * self.diameter_m * self.diameter_m * self.length_m
    }

    fn loss(self, flow_m3_s: f64, law: FrictionLaw) -> LineLoss {
        let velocity_m_s = self.velocity_m_s(flow_m3_s);
        let velocity_head_m = velocity_m_s * velocity_m_s / (2.0 * GRAVITY_M_S2);
        let fittings_m = self.loss_coefficient * velocity_head_m;
        if flow_m3_s == 0.0 {
            let (friction_m, trust) = (0.0, Trust::Calibrated);
            return LineLoss { friction_m, fittings_m, velocity_m_s, trust };
        }
        let (friction_m, within) = match law {
            FrictionLaw::DarcyWeisbach(water) => {
                let reynolds = velocity_m_s * self.diameter_m / water.viscosity_m2_s();
                let factor = factor(reynolds, self.wall.roughness_m / self.diameter_m);
                let friction_m = factor * self.length_m / self.diameter_m * velocity_head_m;
                (friction_m, !(LAMINAR..TURBULENT).contains(&reynolds))
            }
            FrictionLaw::HazenWilliams => {
                let ratio = libm::pow(flow_m3_s / self.wall.hazen_williams_c, 1.852);
                let friction_m =
                    10.6668 * self.length_m * ratio / libm::pow(self.diameter_m, 4.871);
                let cool = Water::COOL.viscosity_m2_s();
                let turbulent = velocity_m_s * self.diameter_m / cool >= TURBULENT;
                (friction_m, turbulent && self.diameter_m >= 0.05)
            }
        };
        LineLoss { friction_m, fittings_m, velocity_m_s, trust: Trust::when(within) }
    }
}

impl Line {
    /// Pipes in the order in which the water runs through them; none is a joint without loss.
    pub fn new(pipes: Vec<Pipe>) -> Self {
        Self { pipes }
    }

    /// The pipes.
    pub fn pipes(&self) -> &[Pipe] {
        &self.pipes
    }

    /// The same line with a fitting more in its first pipe: a strainer that clogs, a valve that is
    /// half closed. A line without pipes has no place for one and stays as it is.
    ///
    /// # Errors
    /// [`OutOfRange`] as [`Pipe::with`].
    pub fn with(mut self, fitting: Fitting) -> Result<Self, OutOfRange> {
        if let Some(first) = self.pipes.first_mut() {
            *first = first.with(fitting, 1)?;
        }
        Ok(self)
    }

    /// Volume of water in the pipes, cubic metres.
    pub fn volume_m3(&self) -> f64 {
        self.pipes.iter().map(|pipe| pipe.volume_m3()).sum()
    }

    /// What a flow through the line loses.
    ///
    /// ```
    /// # use water::{FrictionLaw, Line, Pipe, PipeWall, Water};
    /// // P-01: 6 L/s through 60 m of 50 mm, 0.002 mm rough: f 0.0172, 9.82 m.
    /// let wall = PipeWall { roughness_m: 2.0e-6, ..PipeWall::SMOOTH_PLASTIC };
    /// let line = Line::new(vec![Pipe::new(0.05, 60.0, wall)?]);
    /// let water = Water::new(999.0, 1.138e-3 / 999.0)?;
    /// let loss = line.loss(0.006, FrictionLaw::DarcyWeisbach(water))?;
    /// assert!((loss.total_m() - 9.82).abs() < 0.02);
    /// # Ok::<(), water::OutOfRange>(())
    /// ```
    ///
    /// # Errors
    /// [`OutOfRange`] for a flow below zero or no number.
    ///
    /// # Source
    /// h = (f L / D + K) V^2 / 2g; or Hazen-Williams, h = 10.6668 L (Q / C)^1.852 / D^4.871 in metres
    /// (EPA EPANET 2 Users Manual table 3.1, P-07), with K V^2 / 2g.
    pub fn loss(&self, flow_m3_s: f64, law: FrictionLaw) -> Result<LineLoss, OutOfRange> {
        Ok(self.loss_at(flow_or_none("the flow through a pipe, m3/s,", flow_m3_s)?, law))
    }

    /// As [`Line::loss`], for a flow that is known to be one.
    pub(crate) fn loss_at(&self, flow_m3_s: f64, law: FrictionLaw) -> LineLoss {
        let none = LineLoss {
            friction_m: 0.0,
            fittings_m: 0.0,
            velocity_m_s: 0.0,
            trust: Trust::Calibrated,
        };
        self.pipes.iter().fold(none, |sum, pipe| {
            let loss = pipe.loss(flow_m3_s, law);
            LineLoss {
                friction_m: sum.friction_m + loss.friction_m,
                fittings_m: sum.fittings_m + loss.fittings_m,
                velocity_m_s: sum.velocity_m_s.max(loss.velocity_m_s),
                trust: sum.trust.and(loss.trust),
            }
        })
    }
}

/// The Darcy friction factor for a Reynolds number and a roughness over the diameter.
///
/// 64 / Re in layered flow up to 2000, Colebrook's from 4000, a straight line between.
///
/// # Errors
/// [`OutOfRange`] for a Reynolds number outside 1e-9 to 1e9 or a relative roughness outside 0 to
/// 0.05.
///
/// # Source
/// C. F. Colebrook 1939: 1 / f^0.5 = -2 log(e / 3.7 D + 2.51 / (Re f^0.5)).
pub fn friction_factor(reynolds: f64, relative_roughness: f64) -> Result<f64, OutOfRange> {
    let reynolds = crate::range::positive("the Reynolds number", reynolds)?;
    let relative = ("a pipe's roughness over its diameter", relative_roughness);
    Ok(factor(reynolds, between((0.0, 0.05), "0 to 0.05", relative)?))
}

/// The least diameter, metres, at which a flow stays below a velocity, metres per second.
///
/// # Errors
/// [`OutOfRange`] when flow or velocity is not above zero.
pub fn diameter_for_velocity_m(flow_m3_s: f64, velocity_m_s: f64) -> Result<f64, OutOfRange> {
    let flow_m3_s = crate::range::flow("the flow through a pipe, m3/s,", flow_m3_s)?;
    let velocity_m_s = length("the velocity in a pipe, m/s,", velocity_m_s)?;
    Ok((flow_m3_s / (0.25 * core::f64::consts::PI * velocity_m_s)).sqrt())
}

fn factor(reynolds: f64, relative_roughness: f64) -> f64 {
    let turbulent = |re: f64| {
        let (a, b) = (relative_roughness / 3.7, 2.51 / re);
        // x = f^-0.5, at first by Swamee and Jain 1976, within a hundredth.
        let mut x = -2.0 * libm::log10(a + 5.74 / libm::pow(re, 0.9));
        // Newton's steps: the function is concave and rises, and four reach the last digit.
        for _ in 0..4 {
            let inside = a + b * x;
            let value = x + 2.0 * libm::log10(inside);
            x -= value / (1.0 + 2.0 * core::f64::consts::LOG10_E * b / inside);
        }
        1.0 / (x * x)
    };
    if reynolds <= LAMINAR {
        64.0 / reynolds
    } else if reynolds >= TURBULENT {
        turbulent(reynolds)
    } else {
        let share = (reynolds - LAMINAR) / (TURBULENT - LAMINAR);
        64.0 / LAMINAR + share * (turbulent(TURBULENT) - 64.0 / LAMINAR)
    }
}

#[cfg(test)]
mod tests;
