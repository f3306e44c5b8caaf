//! A flow that was tried, taken as the plan: by the gate valve, or by another pump and its valve.

use site::Site;
use site::circulation::{Circulation, CommonPump, Pipe, Pump, PumpCurve};
use units::flow_text;

use super::circuit::LEAST_OPEN;
use super::{Known, Unknown, running};
use crate::Evaluation;

/// Halvings of the valve's way: finer than a hand sets it.
const N_HALVINGS: u32 = 10;
/// A flow this near to what is asked is it, and one farther off is none, by the logarithm of their ratio.
const NEAR: f64 = 0.01;
const FARTHEST: f64 = 0.3;

/// Pumps and pipes with which a pump moves what was asked.
#[derive(Clone, Debug, PartialEq)]
pub struct FlowTaken {
    /// The pumps and pipes.
    pub circulation: Circulation,
    /// What the pump then moves, cubic metres a second.
    pub moves_m3_s: f64,
    /// What was changed, in a sentence.
    pub message: String,
}

/// The pumps and pipes with which the pump of this number moves a flow, cubic metres a second, or comes
/// nearest to it: its gate valve closed as far as that asks, no further than valves are measured, on the
/// planned pump or on the common one that then comes nearest. The works are taken as they are.
///
/// # Errors
/// [`Unknown`] says what is missing, or that nothing comes near to that flow.
pub fn with_flow(
    site: &Site,
    evaluation: &Evaluation,
    pump: usize,
    flow_m3_s: f64,
) -> Known<FlowTaken> {
    let mut trial = Trial { site: site.clone(), evaluation, pump };
    let mut nearest: Option<(f64, FlowTaken)> = None;
    for size in std::iter::once(None).chain(CommonPump::ALL.map(Some)) {
        if let Some(size) = size {
            let pump = trial.planned()?;
            (pump.curve, pump.watts) = (PumpCurve::Common(size), None);
        }
        let moves_m3_s = trial.throttled(flow_m3_s)?;
        let off = libm::log(moves_m3_s / flow_m3_s).abs();
        if nearest.as_ref().is_none_or(|(least, _)| off < *least) {
            nearest = Some((off, trial.taken(size, moves_m3_s)?));
        }
        if off <= NEAR {
            break;
        }
    }
    let nearest = nearest.filter(|(off, _)| *off <= FARTHEST).map(|(_, taken)| taken);
    nearest.ok_or(Unknown("no valve and no common pump comes near to that flow".into()))
}

struct Trial<'e> {
    site: Site,
    evaluation: &'e Evaluation,
    pump: usize,
}

impl Trial<'_> {
    fn planned(&mut self) -> Known<&mut Pump> {
        let pump = self.site.circulation.pumps.get_mut(self.pump);
        pump.ok_or(Unknown("there is no such pump".into()))
    }

    /// The pipe in which a valve rules all that the pump moves.
    fn valve(&mut self) -> Known<&mut Pipe> {
        let pump = self.planned()?;
        match (&mut pump.main, &mut pump.lines[..]) {
            (Some(main), _) => Ok(main),
            (None, [line]) => Ok(&mut line.pipe),
            _ => Err(Unknown("its lines have no main in which one valve rules them all".into())),
        }
    }

    fn moves_m3_s(&mut self, open: f64) -> Known<f64> {
        self.valve()?.gate_open = Some(open);
        let running = running(&self.site, self.evaluation);
        let duty = running.pumps.into_iter().nth(self.pump).map(|pump| pump.duty);
        Ok(duty.ok_or(Unknown("there is no such pump".into()))??.flow_m3_s)
    }

    /// Closes the valve until the flow is what is asked, or as near as it comes; what then is moved.
    fn throttled(&mut self, flow_m3_s: f64) -> Known<f64> {
        let open = self.moves_m3_s(1.0)?;
        if open <= flow_m3_s {
            return Ok(open);
        }
        let closed = self.moves_m3_s(LEAST_OPEN)?;
        if closed >= flow_m3_s {
            return Ok(closed);
        }
        let (mut low, mut high) = (LEAST_OPEN, 1.0);
        for _ in 0..N_HALVINGS {
            let middle = 0.5 * (low + high);
            if self.moves_m3_s(middle)? < flow_m3_s { low = middle } else { high = middle }
        }
        self.moves_m3_s(high)
    }

    fn taken(&mut self, size: Option<CommonPump>, moves_m3_s: f64) -> Known<FlowTaken> {
        let unit = self.site.frame.unit;
        let open = 100.0 * self.valve()?.gate_open.unwrap_or(1.0);
        let flow = flow_text(moves_m3_s, unit);
        let message = match size {
            None => format!("Its gate valve stands {open:.0} % open: {flow}."),
            Some(size) => {
                let free = flow_text(super::common_pump(size).most_l_s / 1000.0, unit);
                format!(
                    "A common pump that moves {free} without head, its gate valve {open:.0} % open: {flow}."
                )
            }
        };
        Ok(FlowTaken { circulation: self.site.circulation.clone(), moves_m3_s, message })
    }
}
