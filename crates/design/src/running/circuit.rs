//! Pumps on their lines: what they move at the levels between which they stand.

use std::collections::BTreeMap;

use site::circulation::{CommonPump, FittingKind, Pipe, PipeWall, PumpCurve};
use site::{Site, WorkId, WorkKind};
use water::{
    Circuit, Fitting, GENERIC_PUMPS, Line, Pump, PumpPower, Trust, energy_kwh_per_month,
    flow_for_brink_m3_s,
};

use super::{KeptRuns, Known, Levels, Unknown, stream};
use crate::{Evaluation, trench};

/// Share of an intake guard that is clogged in the case that is told beside the clean one.
const CLOGGED: f64 = 0.5;
/// A gate valve is told of no less open than this.
pub(super) const LEAST_OPEN: f64 = 0.25;
/// Flows below this are none, cubic metres a second.
const NO_FLOW_M3_S: f64 = 1.0e-7;

/// A pump of the site, and what it moves.
#[derive(Clone, Debug, PartialEq)]
pub struct PumpOutcome {
    /// What people call it.
    pub name: String,
    /// The basin or bay that it draws from.
    pub draws_from: Option<WorkId>,
    /// Head without flow, metres.
    pub shut_off_m: Known<f64>,
    /// What it moves, as planned.
    pub duty: Known<PumpDuty>,
    /// What it moves with half of its intake guard clogged, cubic metres a second.
    pub clogged_m3_s: Known<f64>,
    /// What it moves with its gate valve half closed, cubic metres a second.
    pub half_closed_m3_s: Known<f64>,
    /// Flow at which its crests have the thickness that is wanted, cubic metres a second.
    pub wanted_m3_s: Known<f64>,
    /// The smallest common pump that gives that flow, with what it then moves, cubic metres a second.
    pub size_for_wanted: Known<(CommonPump, f64)>,
}

/// A pump at work.
#[derive(Clone, Debug, PartialEq)]
pub struct PumpDuty {
    /// What it moves in all, cubic metres a second.
    pub flow_m3_s: f64,
    /// The head that it gives, metres.
    pub head_m: f64,
    /// The fastest water in its pipes, metres a second.
    pub velocity_m_s: f64,
    /// What it takes from the wire, watts.
    pub power_w: Known<f64>,
    /// Energy in a month of 365.25 / 12 days, kilowatt-hours.
    pub kwh_month: Known<f64>,
    /// What that costs, in the money of the site.
    pub cost_month: Known<f64>,
    /// Its lines, in the order of the site.
    pub lines: Vec<LineDuty>,
    /// An estimate where the curve or the losses are asked beyond what they tell.
    pub trust: Trust,
}

/// A line at work.
#[derive(Clone, Debug, PartialEq)]
pub struct LineDuty {
    /// What it feeds.
    pub feeds: WorkId,
    /// Flow, cubic metres a second.
    pub flow_m3_s: f64,
    /// Velocity in its pipe, metres a second.
    pub velocity_m_s: f64,
    /// What friction and fittings take, those of the main included, metres.
    pub loss_m: f64,
    /// Height to which it lifts the water, metres.
    pub lift_m: f64,
    /// Water that runs back out of it when the pump stops, cubic metres.
    pub runs_back_m3: f64,
}

/// How much of the pumps is asked for.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Asked {
    /// What they move as planned.
    Duties,
    /// That, and what they would move in other cases.
    All,
}

impl PumpOutcome {
    /// Moves a share of what it does, as a valve or another pump would have it.
    pub(super) fn moves_share(&mut self, share: f64) {
        let Ok(duty) = &mut self.duty else { return };
        duty.flow_m3_s *= share;
        duty.velocity_m_s *= share;
        for line in &mut duty.lines {
            line.flow_m3_s *= share;
            line.velocity_m_s *= share;
        }
    }
}

/// Every pump of the site at some levels.
pub(super) fn pumps(
    site: &Site,
    evaluation: &Evaluation,
    levels: &Levels,
    asked: Asked,
    kept: &KeptRuns,
) -> Vec<PumpOutcome> {
    let outcome = |pump: &site::circulation::Pump| {
        let planned = Planned { site, evaluation, levels, pump, kept };
        let wanted_m3_s = wanted_m3_s(site, pump);
        let duty = planned.duty(&Case::default());
        let beside = |case: Known<Case>| match asked {
            Asked::Duties => Err(Unknown("it was not asked for".into())),
            Asked::All => case,
        };
        let flow = |case| planned.duty(&beside(case)?).map(|duty| duty.flow_m3_s);
        PumpOutcome {
            name: pump.name.clone(),
            draws_from: pump.draws_from,
            shut_off_m: curve(pump).map(|(pump, _)| pump.shut_off_m()),
            clogged_m3_s: flow(planned.clogged()),
            half_closed_m3_s: flow(planned.half_closed()),
            size_for_wanted: beside(Ok(Case::default()))
                .and_then(|_| planned.size_for(wanted_m3_s.clone())),
            wanted_m3_s,
            duty,
        }
    };
    site.circulation.pumps.iter().map(outcome).collect()
}

/// What comes to each work from all pumps, cubic metres a second; nothing where some pump that feeds
/// it cannot be told.
pub(super) fn flows(pumps: &[PumpOutcome]) -> BTreeMap<WorkId, f64> {
    let mut flows = BTreeMap::new();
    for line in pumps.iter().filter_map(|pump| pump.duty.as_ref().ok()).flat_map(|duty| &duty.lines)
    {
        *flows.entry(line.feeds).or_insert(0.0) += line.flow_m3_s;
    }
    flows
}

/// The flow at which the crests that a pump feeds have the thickness that is wanted.
pub(crate) fn wanted_m3_s(site: &Site, pump: &site::circulation::Pump) -> Known<f64> {
    let mut whole: Option<f64> = None;
    let feeds = pump.lines.iter().filter_map(|line| line.feeds);
    for stream in feeds.flat_map(|fed| stream::fed_by(site, fed)) {
        let Some(brink_m) = stream.sheet_m else { continue };
        // The widest crest has the thinnest water.
        let widths = stream.falls.iter().map(|fall| fall.crest_width_m);
        let Some(width_m) = widths.reduce(f64::max) else { continue };
        let flow = flow_for_brink_m3_s(width_m, brink_m).map_err(Unknown::because)?;
        whole = Some(whole.unwrap_or(0.0) + flow);
    }
    whole.ok_or_else(|| Unknown("no thickness of water over crests is asked for".into()))
}

/// A pump of a common size.
pub(crate) fn common_pump(size: CommonPump) -> water::GenericPump {
    let rank = CommonPump::ALL.iter().position(|one| *one == size).unwrap_or(0);
    GENERIC_PUMPS[rank.min(GENERIC_PUMPS.len() - 1)]
}

/// What differs from what is planned.
#[derive(Clone, Debug, Default)]
struct Case {
    clogged: f64,
    /// How far the gate valve is open, where another share than planned.
    gate_share: Option<f64>,
    /// Another pump.
    size: Option<CommonPump>,
}

/// A pump in its place.
struct Planned<'s> {
    site: &'s Site,
    evaluation: &'s Evaluation,
    levels: &'s Levels,
    pump: &'s site::circulation::Pump,
    kept: &'s KeptRuns,
}

impl Planned<'_> {
    fn clogged(&self) -> Known<Case> {
        match self.pump.guard_heads {
            Some(_) => Ok(Case { clogged: CLOGGED, ..Case::default() }),
            None => Err(Unknown("what its intake guard takes is not given".into())),
        }
    }

    fn half_closed(&self) -> Known<Case> {
        let pipes = self.pump.main.iter().chain(self.pump.lines.iter().map(|line| &line.pipe));
        match pipes.filter_map(|pipe| pipe.gate_open).next() {
            Some(_) => Ok(Case { gate_share: Some(0.5), ..Case::default() }),
            None => Err(Unknown("no pipe of it has a gate valve".into())),
        }
    }

    /// The smallest common pump that moves a flow on these lines.
    fn size_for(&self, wanted_m3_s: Known<f64>) -> Known<(CommonPump, f64)> {
        let wanted_m3_s = wanted_m3_s?;
        for size in CommonPump::ALL {
            let case = Case { size: Some(size), ..Case::default() };
            let duty = self.duty(&case)?;
            if duty.flow_m3_s >= wanted_m3_s {
                return Ok((size, duty.flow_m3_s));
            }
        }
        Err(Unknown("no pump of a common size moves the wanted flow on these pipes".into()))
    }

    fn duty(&self, case: &Case) -> Known<PumpDuty> {
        let source =
            self.pump.draws_from.ok_or(Unknown("what it draws from is not given".into()))?;
        let from_m = self.levels.waters_m.get(&source).copied();
        let from_m = from_m.ok_or(Unknown("what it draws from holds no water".into()))?;
        if self.pump.lines.is_empty() {
            return Err(Unknown("it has no line to anything that it feeds".into()));
        }
        let (pump, watts) = match case.size {
            Some(size) => sized(common_pump(size), self.pump.count)?,
            None => curve(self.pump)?,
        };
        let ends =
            self.pump.lines.iter().map(|line| self.end(line)).collect::<Known<Vec<End>>>()?;
        let lines = self.lines(case)?;
        let run = run(from_m, pump, &lines, &ends, self.kept)?;
        let power_w = watts.clone().and_then(|_| {
            run.power_w.ok_or_else(|| Unknown("what it takes from the wire is not known".into()))
        });
        let hours = self.pump.hours_per_day;
        let hours = hours.ok_or(Unknown("the hours that it runs in a day are not given".into()));
        let kwh_month = power_w
            .clone()
            .and_then(|watts| energy_kwh_per_month(watts, hours?).map_err(Unknown::because));
        let price = self.site.circulation.price_per_kwh;
        let price = price.ok_or(Unknown("the price of energy is not given".into()));
        let duties =
            ends.iter().zip(&run.ways).zip(&lines.branches).map(|((end, way), line)| LineDuty {
                feeds: end.feeds,
                flow_m3_s: way.flow_m3_s,
                velocity_m_s: way.velocity_m_s,
                loss_m: way.loss_m + run.main_loss_m,
                lift_m: end.level_m() - from_m,
                runs_back_m3: if lines.holds { 0.0 } else { line.volume_m3() },
            });
        let mut duties: Vec<LineDuty> = duties.collect();
        if let Some(first) = duties.first_mut().filter(|_| !lines.holds) {
            first.runs_back_m3 += lines.main.volume_m3();
        }
        Ok(PumpDuty {
            flow_m3_s: run.flow_m3_s,
            head_m: run.head_m,
            velocity_m_s: run.velocity_m_s,
            cost_month: kwh_month.clone().and_then(|kwh| Ok(kwh * price?)),
            kwh_month,
            power_w,
            lines: duties,
            trust: run.trust,
        })
    }

    /// Where a line ends.
    fn end(&self, line: &site::circulation::FeedLine) -> Known<End> {
        let feeds = line.feeds.ok_or(Unknown("what a line feeds is not given".into()))?;
        let work = self.site.work(feeds).filter(|work| work.visible);
        let work = work.ok_or(Unknown("what a line feeds is not built".into()))?;
        if let Some(outlet_m) = line.outlet_m {
            return Ok(End { feeds, at: EndAt::Air(outlet_m) });
        }
        let level_m = match &work.kind {
            WorkKind::Basin(_) => self.levels.waters_m.get(&feeds),
            _ => self.levels.fed_m.get(&feeds),
        };
        let level_m = level_m.ok_or(Unknown(format!("{} holds no water", work.name)))?;
        Ok(End { feeds, at: EndAt::Water(*level_m) })
    }

    fn lines(&self, case: &Case) -> Known<Lines> {
        let mut first = true;
        let mut line = |pipe: &Pipe, label: &str| {
            let mut laid = self.pipe(pipe, label, case)?;
            if let (true, Some(clean)) = (first, self.pump.guard_heads) {
                let guard = Fitting::Strainer { clean, clogged: case.clogged };
                laid = laid.with(guard, 1).map_err(Unknown::because)?;
            }
            first = false;
            Ok(Line::new(vec![laid]))
        };
        let main = self.pump.main.as_ref().map(|pipe| line(pipe, "the main")).transpose()?;
        let lines = self.pump.lines.iter().enumerate();
        let branches = lines.map(|(i, one)| line(&one.pipe, &format!("line {}", i + 1)));
        let branches = branches.collect::<Known<Vec<Line>>>()?;
        let pipes = self.pump.main.iter().chain(self.pump.lines.iter().map(|line| &line.pipe));
        let holds =
            pipes.flat_map(|pipe| &pipe.fittings).any(|f| f.kind == FittingKind::CheckValve);
        Ok(Lines { main: main.unwrap_or_else(|| Line::new(Vec::new())), branches, holds })
    }

    fn pipe(&self, pipe: &Pipe, label: &str, case: &Case) -> Known<water::Pipe> {
        let missing = |what: &str| Unknown(format!("{what} of {label} is not given"));
        let inner_m = pipe.inner_m.ok_or_else(|| missing("the inner diameter"))?;
        let in_trench = pipe.trench.map(|id| self.trench_m(id)).transpose()?;
        let length_m = match (in_trench, pipe.length_m) {
            (None, None) => return Err(missing("the length")),
            (a, b) => a.unwrap_or(0.0) + b.unwrap_or(0.0),
        };
        let wall = match pipe.wall {
            PipeWall::SmoothPlastic => water::PipeWall::SMOOTH_PLASTIC,
            PipeWall::GrownOver => water::PipeWall::GROWN_OVER,
            PipeWall::SpiralHose => water::PipeWall::SPIRAL_HOSE,
        };
        let mut laid = water::Pipe::new(inner_m, length_m, wall).map_err(Unknown::because)?;
        for fittings in &pipe.fittings {
            let fitting = fitting(fittings.kind);
            laid = laid.with(fitting, fittings.count).map_err(Unknown::because)?;
        }
        if let Some(open) = pipe.gate_open {
            let open = case.gate_share.map_or(open, |share| (share * open).max(LEAST_OPEN));
            laid = laid.with(Fitting::Gate(open), 1).map_err(Unknown::because)?;
        }
        Ok(laid)
    }

    /// Length of a trench's pipe, metres.
    fn trench_m(&self, id: WorkId) -> Known<f64> {
        let work = self.site.work(id).filter(|work| work.visible);
        let Some((work, WorkKind::Trench(trench))) = work.map(|work| (work, &work.kind)) else {
            return Err(Unknown("the trench of a pipe is not built".into()));
        };
        let dug = self.evaluation.works.iter().find(|outcome| outcome.work == id);
        let length_m = dug.and_then(|outcome| outcome.trench.as_ref()).map(|dug| dug.length_m);
        match length_m {
            Some(length_m) => Ok(length_m),
            None => trench::pipe_length_m(trench)
                .map_err(|why| Unknown(format!("{} has no length: {why}", work.name))),
        }
    }
}

/// What a line ends in.
struct End {
    feeds: WorkId,
    at: EndAt,
}

enum EndAt {
    Water(f64),
    Air(f64),
}

impl End {
    fn level_m(&self) -> f64 {
        match self.at {
            EndAt::Water(level_m) | EndAt::Air(level_m) => level_m,
        }
    }
}

/// The lines of a pump.
struct Lines {
    main: Line,
    branches: Vec<Line>,
    /// Whether a check valve keeps the water in them.
    holds: bool,
}

/// A pump's circuit at work.
struct Run {
    flow_m3_s: f64,
    head_m: f64,
    velocity_m_s: f64,
    main_loss_m: f64,
    power_w: Option<f64>,
    ways: Vec<water::WayFlow>,
    trust: Trust,
}

fn run(from_m: f64, pump: Pump, lines: &Lines, ends: &[End], kept: &KeptRuns) -> Known<Run> {
    let told = |error: water::CircuitError| Unknown::because(error);
    let mut circuit = Circuit::new();
    let source = circuit.water(from_m).map_err(told)?;
    let joint = circuit.joint();
    let main = circuit.pump(source, joint, lines.main.clone(), pump).map_err(told)?;
    let mut branches = Vec::with_capacity(ends.len());
    for (end, line) in ends.iter().zip(&lines.branches) {
        let to = match end.at {
            EndAt::Water(level_m) => circuit.water(level_m),
            EndAt::Air(outlet_m) => circuit.outlet(outlet_m),
        };
        branches.push(circuit.line(joint, to.map_err(told)?, line.clone()).map_err(told)?);
    }
    let flow = kept.circuit(circuit).map_err(told)?;
    let main = flow.way(main).map_err(told)?;
    let ways = branches.into_iter().map(|way| flow.way(way).map_err(told));
    let ways = ways.collect::<Known<Vec<_>>>()?;
    Ok(Run {
        // What only leaks is no flow.
        flow_m3_s: if main.flow_m3_s > NO_FLOW_M3_S { main.flow_m3_s } else { 0.0 },
        head_m: main.pump_head_m.unwrap_or(f64::NAN),
        velocity_m_s: ways.iter().map(|way| way.velocity_m_s).fold(main.velocity_m_s, f64::max),
        main_loss_m: main.loss_m,
        power_w: main.power_w,
        trust: ways.iter().fold(main.trust, |trust, way| trust.and(way.trust)),
        ways,
    })
}

/// All the pumps of a kind as one, and what it takes from the wire, if that is known.
fn curve(pump: &site::circulation::Pump) -> Known<(Pump, Known<f64>)> {
    match &pump.curve {
        PumpCurve::Common(size) => {
            let common = common_pump(*size);
            let watts = pump.watts.unwrap_or(common.watts);
            sized(water::GenericPump { watts, ..common }, pump.count)
        }
        PumpCurve::Points(points) => {
            let many = f64::from(pump.count.max(1));
            let points: Vec<[f64; 2]> =
                points.iter().map(|p| [many * p.flow_l_s / 1000.0, p.head_m]).collect();
            let power = PumpPower::Watts(many * pump.watts.unwrap_or(0.0));
            let watts = pump.watts.ok_or(Unknown("its watts are not given".into()));
            Ok((Pump::from_points(&points, power).map_err(Unknown::because)?, watts))
        }
    }
}

fn sized(common: water::GenericPump, count: u32) -> Known<(Pump, Known<f64>)> {
    let many = f64::from(count.max(1));
    let whole = water::GenericPump {
        most_l_s: many * common.most_l_s,
        watts: many * common.watts,
        ..common
    };
    Ok((whole.pump().map_err(Unknown::because)?, Ok(whole.watts)))
}

fn fitting(kind: FittingKind) -> Fitting {
    match kind {
        FittingKind::SharpEntry => Fitting::EntranceSharp,
        FittingKind::Exit => Fitting::Exit,
        FittingKind::Elbow => Fitting::ElbowThreaded,
        FittingKind::SweepBend => Fitting::ElbowSmooth,
        FittingKind::HalfBend => Fitting::Elbow45,
        FittingKind::TeeThrough => Fitting::TeeLine,
        FittingKind::TeeBranch => Fitting::TeeBranch,
        FittingKind::GlobeValve => Fitting::GlobeOpen,
        FittingKind::CheckValve => Fitting::CheckValve,
    }
}
