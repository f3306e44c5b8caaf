//! Fields of the circulation: pumps, their pipes, and their running.

use super::Quantity::{self, Elevation, Flow, Length, Number, Share};
use super::walk::{
    ELEVATION, Parameters, Says, Visitor, choice, copied_list, count, number, number_or_none, says,
    text, work_or_none,
};
use crate::Circulation;
use crate::circulation::{
    CommonPump, CurvePoint, FeedLine, FittingKind, Fittings, Pipe, PipeWall, Pump, PumpCurve,
};

/// Beside every pump: water and the wire.
const LIVE: &str = "Planning help only. Electricity beside water kills: a licensed electrician wires it, \
                    behind a ground-fault or residual-current device, as local codes ask.";

impl Parameters for Circulation {
    fn walk(&mut self, visitor: &mut dyn Visitor) {
        copied_list(visitor, says("pumps", "Pumps"), (0, 20), &mut self.pumps, Pump::default);
        for (i, pump) in self.pumps.iter_mut().enumerate() {
            walk_pump(pump, (&format!("pumps[{i}]."), &format!("Pump {}, ", i + 1)), visitor);
        }
        let price = says("price_per_kwh", "Price of a kilowatt-hour").is(Number, 0.0, 1000.0);
        number_or_none(visitor, price, 0.2, &mut self.price_per_kwh);
        let supply = says("supply_l_min", "Hose or top-up");
        number_or_none(visitor, supply.is(Flow, 0.1, 10_000.0), 20.0, &mut self.supply_l_min);
        let splash = says("splash_loss", "Splashes beyond the liner").is(Share, 0.0, 0.1);
        number_or_none(visitor, splash, 1.0e-5, &mut self.splash_loss);
    }
}

fn walk_pump(pump: &mut Pump, (path, label): (&str, &str), visitor: &mut dyn Visitor) {
    let of = |field: &str, what: &str| says(format!("{path}{field}"), format!("{label}{what}"));
    text(visitor, of("name", "name"), &mut pump.name);
    work_or_none(visitor, of("draws_from", "draws from"), &mut pump.draws_from);
    walk_curve(&mut pump.curve, (path, label), visitor);
    let many = of("count", "of them side by side").is(Number, 1.0, 10.0);
    count(visitor, many, &mut pump.count);
    let watts = of("watts", "watts of one").is(Number, 0.0, 50_000.0).caution(LIVE);
    number_or_none(visitor, watts, 200.0, &mut pump.watts);
    let hours = of("hours_per_day", "hours in a day").is(Number, 0.0, 24.0);
    number_or_none(visitor, hours, 24.0, &mut pump.hours_per_day);
    let intake = of("intake_m", "intake's top").is(Elevation, ELEVATION.0, ELEVATION.1);
    number_or_none(visitor, intake, 0.0, &mut pump.intake_m);
    let guard = of("guard_heads", "intake guard, velocity heads").is(Number, 0.0, 1000.0);
    number_or_none(visitor, guard, 1.0, &mut pump.guard_heads);
    let mut main: Vec<Pipe> = pump.main.take().into_iter().collect();
    let has_main = of("mains", "main pipe, planned");
    copied_list(visitor, has_main, (0, 1), &mut main, Pipe::default);
    if let Some(pipe) = main.first_mut() {
        walk_pipe(pipe, (&format!("{path}main."), &format!("{label}main ")), visitor);
    }
    pump.main = main.pop();
    let first = || FeedLine { feeds: None, outlet_m: None, pipe: Pipe::default() };
    copied_list(visitor, of("lines", "lines"), (0, 20), &mut pump.lines, first);
    for (i, line) in pump.lines.iter_mut().enumerate() {
        let (path, label) = (format!("{path}lines[{i}]."), format!("{label}line {} ", i + 1));
        let of = |field: &str, what: &str| says(format!("{path}{field}"), format!("{label}{what}"));
        work_or_none(visitor, of("feeds", "feeds"), &mut line.feeds);
        let outlet = of("outlet_m", "ends in the air at").is(Elevation, ELEVATION.0, ELEVATION.1);
        number_or_none(visitor, outlet, 0.0, &mut line.outlet_m);
        walk_pipe(&mut line.pipe, (&format!("{path}pipe."), &label), visitor);
    }
}

fn walk_curve(curve: &mut PumpCurve, (path, label): (&str, &str), visitor: &mut dyn Visitor) {
    let of = |field: &str, what: &str| says(format!("{path}{field}"), format!("{label}{what}"));
    let now = usize::from(matches!(curve, PumpCurve::Points(_)));
    match choice(visitor, of("curve", "is"), &["of a common size", "by its curve"], now) {
        Some(0) => *curve = PumpCurve::Common(CommonPump::Litres4),
        Some(_) => *curve = PumpCurve::Points(first_curve().to_vec()),
        None => {}
    }
    match curve {
        PumpCurve::Common(size) => {
            let now = CommonPump::ALL.iter().position(|one| one == size).unwrap_or(0);
            let sizes = &[
                "1 L/s, to 3 m",
                "2 L/s, to 3.5 m",
                "4 L/s, to 4.5 m",
                "6 L/s, to 6 m",
                "8 L/s, to 7.5 m",
                "12 L/s, to 9 m",
                "20 L/s, to 11 m",
                "35 L/s, to 13 m",
            ];
            let most = of("curve.common", "size, without head and without flow").caution(LIVE);
            if let Some(new) = choice(visitor, most, sizes, now) {
                *size = CommonPump::ALL[new];
            }
        }
        PumpCurve::Points(points) => {
            let first = || CurvePoint { flow_l_s: 0.0, head_m: 4.0 };
            copied_list(visitor, of("curve.points", "curve's points"), (2, 50), points, first);
            for (i, point) in points.iter_mut().enumerate() {
                let of = |field: &str, what: &str| {
                    of(&format!("curve[{i}].{field}"), &format!("point {} {what}", i + 1))
                };
                let flow = of("flow_l_s", "flow, L/s").is(Number, 0.0, 1000.0);
                number(visitor, flow, &mut point.flow_l_s);
                number(visitor, of("head_m", "head").is(Length, 0.0, 200.0), &mut point.head_m);
            }
        }
    }
}

/// A small pump's curve, to be typed over.
fn first_curve() -> [CurvePoint; 3] {
    [[0.0, 4.5], [2.0, 3.4], [4.0, 0.0]].map(|[flow_l_s, head_m]| CurvePoint { flow_l_s, head_m })
}

fn walk_pipe(pipe: &mut Pipe, (path, label): (&str, &str), visitor: &mut dyn Visitor) {
    let of = |field: &str, what: &str| says(format!("{path}{field}"), format!("{label}{what}"));
    let length = |says: Says, least: f64, most: f64| says.is(Quantity::Length, least, most);
    let inner = length(of("inner_m", "pipe, inner diameter"), 0.005, 1.0);
    number_or_none(visitor, inner, 0.05, &mut pipe.inner_m);
    work_or_none(visitor, of("trench", "lies in trench"), &mut pipe.trench);
    let outside = length(of("length_m", "length outside a trench"), 0.0, 10_000.0);
    number_or_none(visitor, outside, 10.0, &mut pipe.length_m);
    let now = PipeWall::ALL.iter().position(|wall| *wall == pipe.wall).unwrap_or(0);
    let walls = &["smooth plastic", "plastic grown over", "spiral hose"];
    if let Some(new) = choice(visitor, of("wall", "pipe's inside"), walls, now) {
        pipe.wall = PipeWall::ALL[new];
    }
    let gate = of("gate_open", "gate valve, open by").is(Share, 0.25, 1.0);
    number_or_none(visitor, gate, 1.0, &mut pipe.gate_open);
    let first = || Fittings { kind: FittingKind::Elbow, count: 1 };
    copied_list(visitor, of("fittings", "kinds of fittings"), (0, 20), &mut pipe.fittings, first);
    for (i, fittings) in pipe.fittings.iter_mut().enumerate() {
        let of = |field: &str, what: &str| {
            of(&format!("fittings[{i}].{field}"), &format!("fittings {} {what}", i + 1))
        };
        let now = FittingKind::ALL.iter().position(|kind| *kind == fittings.kind).unwrap_or(0);
        let kinds = &[
            "sharp entry",
            "end of the pipe",
            "short bend",
            "sweeping bend",
            "half bend",
            "through a tee",
            "branch of a tee",
            "globe valve, open",
            "check valve",
        ];
        if let Some(new) = choice(visitor, of("kind", "are"), kinds, now) {
            fittings.kind = FittingKind::ALL[new];
        }
        count(visitor, of("count", "count").is(Number, 1.0, 1000.0), &mut fittings.count);
    }
}
