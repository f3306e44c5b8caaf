//! A circuit of several pumps and branches: what each carries when all run at once.
//!
//! ```text
//!   pond ---pump 1---.            .--- lip
//!                     >-- joint -<
//!   pond ---pump 2---'            '--- second fall (valve)
//! ```
//!
//! How: each joint has a head, and each way between two places a flow that rises with the difference
//! of their heads. The heads are sought at which as much comes to each joint as leaves it: the least
//! of a convex function, by Newton's direction and an exact search along it, which cannot miss.

mod search;

use crate::range::elevation;
use crate::{FrictionLaw, Line, OutOfRange, Pump, Trust};
use search::{Balance, balance};

/// Joints of one circuit, at most.
const MOST_JOINTS: usize = 200;

/// A place in a circuit.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct PlaceId(usize);

/// A way between two places of a circuit.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct WayId(usize);

/// Pumps and lines between waters, outlets and joints.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Circuit {
    places: Vec<Place>,
    ways: Vec<Way>,
}

#[derive(Clone, Copy, Debug, PartialEq)]
enum Place {
    /// Water of a level, from which and into which water may run.
    Water(f64),
    /// An outlet in the air at an elevation: nothing runs back from it.
    Outlet(f64),
    Joint,
}

#[derive(Clone, Debug, PartialEq)]
struct Way {
    from: usize,
    to: usize,
    line: Line,
    pump: Option<Pump>,
}

/// A running circuit.
#[derive(Clone, Debug, PartialEq)]
pub struct CircuitFlow {
    /// Head at each place, metres, in the order made; that of a joint to which no water comes is
    /// what leaking valves would make it.
    pub heads_m: Vec<f64>,
    /// Each way, in the order made.
    pub ways: Vec<WayFlow>,
    /// The most by which what comes to a joint and what leaves it differ, cubic metres per second.
    pub imbalance_m3_s: f64,
}

/// A way of a running circuit.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct WayFlow {
    /// Flow, cubic metres per second; below zero where it runs back.
    pub flow_m3_s: f64,
    /// The greatest velocity in any of its pipes, metres per second.
    pub velocity_m_s: f64,
    /// What friction and fittings take, metres.
    pub loss_m: f64,
    /// The head that its pump gives, metres; none without a pump.
    pub pump_head_m: Option<f64>,
    /// What its pump takes from the wire, watts; none without a pump.
    pub power_w: Option<f64>,
    /// An estimate beyond the pump's curve or where the losses are one.
    pub trust: Trust,
}

/// Why a circuit does not run.
#[derive(Clone, Copy, Debug, PartialEq, thiserror::Error)]
pub enum CircuitError {
    /// A number is out of range.
    #[error(transparent)]
    Number(#[from] OutOfRange),
    /// A way that leads from a place to itself.
    #[error("a way leads from place {0} to itself")]
    Loop(usize),
    /// A place of another circuit.
    #[error("there is no place {0} in this circuit")]
    NoPlace(usize),
    /// A joint to which no way leads from any water or outlet.
    #[error("joint {0} is connected to no water and no outlet")]
    Unconnected(usize),
    /// More joints than are reckoned.
    #[error("a circuit has 200 joints at most, not {0}")]
    Joints(usize),
    /// The search ended before all joints were in balance.
    #[error("the flows do not settle: a joint is out of balance by {imbalance_m3_s} m3/s")]
    Unsettled {
        /// By how much, cubic metres per second.
        imbalance_m3_s: f64,
    },
}

impl Circuit {
    /// A circuit without anything in it.
    pub fn new() -> Self {
        Self::default()
    }

    /// Adds water of a level, metres.
    ///
    /// # Errors
    /// [`CircuitError`] for a level that is no elevation.
    pub fn water(&mut self, level_m: f64) -> Result<PlaceId, CircuitError> {
        let level_m = elevation("the level of water, m,", level_m)?;
        Ok(self.place(Place::Water(level_m)))
    }

    /// Adds an outlet in the air at an elevation, metres. What leaves there has an exit's loss only
    /// if its line has the fitting.
    ///
    /// # Errors
    /// [`CircuitError`] for a number that is no elevation.
    pub fn outlet(&mut self, elevation_m: f64) -> Result<PlaceId, CircuitError> {
        let elevation_m = elevation("the elevation of an outlet, m,", elevation_m)?;
        Ok(self.place(Place::Outlet(elevation_m)))
    }

    /// Adds a joint, where pipes meet. It has no elevation: that water is not torn there by suction is
    /// not looked at.
    pub fn joint(&mut self) -> PlaceId {
        self.place(Place::Joint)
    }

    /// Adds a line from one place to another; water may run both ways, but not out of an outlet.
    ///
    /// # Errors
    /// [`CircuitError`] for a place of another circuit or a way to itself.
    pub fn line(&mut self, from: PlaceId, to: PlaceId, line: Line) -> Result<WayId, CircuitError> {
        self.way(Way { from: from.0, to: to.0, line, pump: None })
    }

    /// Adds a pump and its line, with a valve that lets nothing run back.
    ///
    /// # Errors
    /// [`CircuitError`] for a place of another circuit or a way to itself.
    pub fn pump(
        &mut self,
        from: PlaceId,
        to: PlaceId,
        line: Line,
        pump: Pump,
    ) -> Result<WayId, CircuitError> {
        self.way(Way { from: from.0, to: to.0, line, pump: Some(pump) })
    }

    /// What every way carries when all pumps run.
    ///
    /// Joints are in balance to a part in a million of the greatest flow, mostly far better;
    /// `imbalance_m3_s` says.
    ///
    /// # Errors
    /// [`CircuitError`] for a joint without any water or outlet, too many joints, or flows that do
    /// not settle.
    ///
    /// # Source
    /// Balance at joints and the losses of [`Line::loss`]; the least of the co-content, as in the
    /// literature on pipe networks (Collins et al. 1978, from memory).
    pub fn run(&self, law: FrictionLaw) -> Result<CircuitFlow, CircuitError> {
        self.check()?;
        let Balance { heads_m, flows_m3_s, imbalance_m3_s } = balance(self, law);
        let most_m3_s = flows_m3_s.iter().fold(0.0_f64, |most, flow| most.max(flow.abs()));
        // What is no number is no balance either.
        if imbalance_m3_s.is_nan() || imbalance_m3_s > 1.0e-6 * most_m3_s + 1.0e-9 {
            return Err(CircuitError::Unsettled { imbalance_m3_s });
        }
        let way_flow = |(way, flow_m3_s): (&Way, f64)| way.flow(flow_m3_s, law);
        let ways = self.ways.iter().zip(flows_m3_s).map(way_flow).collect::<Result<_, _>>()?;
        Ok(CircuitFlow { heads_m, ways, imbalance_m3_s })
    }

    fn place(&mut self, place: Place) -> PlaceId {
        self.places.push(place);
        PlaceId(self.places.len() - 1)
    }

    fn way(&mut self, way: Way) -> Result<WayId, CircuitError> {
        for place in [way.from, way.to] {
            if place >= self.places.len() {
                return Err(CircuitError::NoPlace(place));
            }
        }
        if way.from == way.to {
            return Err(CircuitError::Loop(way.from));
        }
        self.ways.push(way);
        Ok(WayId(self.ways.len() - 1))
    }

    /// Whether every joint hangs on some water or outlet.
    fn check(&self) -> Result<(), CircuitError> {
        let n_joints = self.places.iter().filter(|place| **place == Place::Joint).count();
        if n_joints > MOST_JOINTS {
            return Err(CircuitError::Joints(n_joints));
        }
        let mut known: Vec<bool> = self.places.iter().map(|place| *place != Place::Joint).collect();
        for _ in 0..=n_joints {
            for way in &self.ways {
                let either = known[way.from] || known[way.to];
                (known[way.from], known[way.to]) = (either, either);
            }
        }
        known
            .iter()
            .position(|known| !known)
            .map_or(Ok(()), |joint| Err(CircuitError::Unconnected(joint)))
    }
}

impl CircuitFlow {
    /// Head at a place, metres.
    ///
    /// # Errors
    /// [`CircuitError::NoPlace`] for a place of another circuit.
    pub fn head_m(&self, place: PlaceId) -> Result<f64, CircuitError> {
        self.heads_m.get(place.0).copied().ok_or(CircuitError::NoPlace(place.0))
    }

    /// What a way carries.
    ///
    /// # Errors
    /// [`CircuitError::NoPlace`] for a way of another circuit.
    pub fn way(&self, way: WayId) -> Result<WayFlow, CircuitError> {
        self.ways.get(way.0).copied().ok_or(CircuitError::NoPlace(way.0))
    }

    /// What all pumps take from the wire, watts.
    pub fn power_w(&self) -> f64 {
        self.ways.iter().filter_map(|way| way.power_w).sum()
    }
}

impl Way {
    fn flow(&self, flow_m3_s: f64, law: FrictionLaw) -> Result<WayFlow, CircuitError> {
        let loss = self.line.loss_at(flow_m3_s.abs(), law);
        let pump = self.pump.as_ref();
        let on_curve = pump.is_none_or(|pump| flow_m3_s <= pump.most_m3_s());
        Ok(WayFlow {
            flow_m3_s,
            velocity_m_s: loss.velocity_m_s,
            loss_m: loss.total_m(),
            pump_head_m: pump.map(|pump| pump.head_m(flow_m3_s)),
            power_w: pump.map(|pump| pump.power_w(flow_m3_s)).transpose()?,
            trust: loss.trust.and(Trust::when(on_curve)),
        })
    }
}

#[cfg(test)]
mod tests;
