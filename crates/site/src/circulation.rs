//! How the water is moved: pumps, and the pipes from them to what they feed.
//!
//! ```text
//!   pond or bay ── guard ── pump ── main ──┬── line ── filter bed
//!                                          └── line ── stream, basin
//! ```
//! What is not planned yet is absent, and nothing is guessed in its place.

use serde::{Deserialize, Serialize};

use crate::WorkId;

/// The pumps of a site with their pipes, and what is known of their running; none where the water is
/// not planned yet.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields, default)]
pub struct Circulation {
    /// The pumps.
    pub pumps: Vec<Pump>,
    /// What a kilowatt-hour costs, in the money of the site.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub price_per_kwh: Option<f64>,
    /// What a hose or a top-up valve gives, litres a minute.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub supply_l_min: Option<f64>,
    /// Share of the running water that splashes beyond the liner.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub splash_loss: Option<f64>,
}

/// Pumps of one kind side by side, and the lines that they feed.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Pump {
    /// What people call it.
    pub name: String,
    /// The basin or intake bay that it draws from.
    #[serde(default)]
    pub draws_from: Option<WorkId>,
    /// What it gives.
    pub curve: PumpCurve,
    /// How many of them run side by side into the same lines.
    #[serde(default = "one")]
    pub count: u32,
    /// What one of them takes from the wire, watts; none where a common pump's is meant or it is not
    /// known.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub watts: Option<f64>,
    /// Hours that it runs in a day.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub hours_per_day: Option<f64>,
    /// Elevation of the top of the opening by which it draws, metres.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub intake_m: Option<f64>,
    /// What its clean intake guard takes, velocity heads of the first pipe.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub guard_heads: Option<f64>,
    /// The pipe that all of its lines branch from, if they do.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub main: Option<Pipe>,
    /// The lines that it feeds.
    #[serde(default)]
    pub lines: Vec<FeedLine>,
}

/// What a pump gives against what head.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub enum PumpCurve {
    /// A pump of a common size, no maker's.
    Common(CommonPump),
    /// The maker's curve, from no flow on; heads fall as flows rise.
    Points(Vec<CurvePoint>),
}

/// Sizes of common pumps, by what they move without head, litres a second.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
pub enum CommonPump {
    /// 1 L/s, to 3 m.
    Litres1,
    /// 2 L/s, to 3.5 m.
    Litres2,
    /// 4 L/s, to 4.5 m.
    Litres4,
    /// 6 L/s, to 6 m.
    Litres6,
    /// 8 L/s, to 7.5 m.
    Litres8,
    /// 12 L/s, to 9 m.
    Litres12,
    /// 20 L/s, to 11 m.
    Litres20,
    /// 35 L/s, to 13 m.
    Litres35,
}

/// A point of a pump's curve.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct CurvePoint {
    /// Flow, litres a second.
    pub flow_l_s: f64,
    /// Head, metres.
    pub head_m: f64,
}

/// A line from a pump, or from its main, to what it feeds.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct FeedLine {
    /// The filter bed, the head of the stream or the basin that it feeds.
    #[serde(default)]
    pub feeds: Option<WorkId>,
    /// Elevation of its end, metres, where that is in the air; none where it ends under the water that
    /// it feeds.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub outlet_m: Option<f64>,
    /// Its pipe.
    pub pipe: Pipe,
}

/// A pipe of one diameter with its fittings.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Pipe {
    /// Inner diameter, metres.
    #[serde(default)]
    pub inner_m: Option<f64>,
    /// The trench that it lies in, whose length it has.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub trench: Option<WorkId>,
    /// Its length outside that trench, metres; its whole length where it lies in none.
    #[serde(default)]
    pub length_m: Option<f64>,
    /// Its inside.
    pub wall: PipeWall,
    /// Its bends, tees and valves.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub fittings: Vec<Fittings>,
    /// Share of its way by which its gate valve stands open; none where it has no such valve.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub gate_open: Option<f64>,
}

/// The inside of a pipe.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub enum PipeWall {
    /// Smooth plastic, new.
    SmoothPlastic,
    /// Plastic grown over with slime.
    GrownOver,
    /// Hose with a spiral inside.
    SpiralHose,
}

/// Fittings of one kind.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Fittings {
    /// What they are.
    pub kind: FittingKind,
    /// How many.
    pub count: u32,
}

/// Kinds of fittings.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub enum FittingKind {
    /// A sharp entry, flush with a wall.
    SharpEntry,
    /// The end, where the water's speed is lost.
    Exit,
    /// A short bend of 90 degrees.
    Elbow,
    /// A sweeping bend of 90 degrees.
    SweepBend,
    /// A bend of 45 degrees.
    HalfBend,
    /// Straight through a tee.
    TeeThrough,
    /// Into or out of the branch of a tee.
    TeeBranch,
    /// A globe valve, open.
    GlobeValve,
    /// A valve that lets water one way.
    CheckValve,
}

impl Circulation {
    /// Whether nothing of it is planned.
    pub fn is_none(&self) -> bool {
        *self == Self::default()
    }

    /// The works that it names, each in its place.
    pub(crate) fn works(&mut self) -> impl Iterator<Item = &mut Option<WorkId>> {
        self.pumps.iter_mut().flat_map(|pump| {
            let main = pump.main.iter_mut().map(|pipe| &mut pipe.trench);
            let lines = pump.lines.iter_mut();
            let lines = lines.flat_map(|line| [&mut line.feeds, &mut line.pipe.trench]);
            std::iter::once(&mut pump.draws_from).chain(main).chain(lines)
        })
    }
}

impl CommonPump {
    /// Every size, smallest first.
    pub const ALL: [Self; 8] = [
        Self::Litres1,
        Self::Litres2,
        Self::Litres4,
        Self::Litres6,
        Self::Litres8,
        Self::Litres12,
        Self::Litres20,
        Self::Litres35,
    ];
}

impl PipeWall {
    /// Every kind.
    pub const ALL: [Self; 3] = [Self::SmoothPlastic, Self::GrownOver, Self::SpiralHose];
}

impl FittingKind {
    /// Every kind.
    pub const ALL: [Self; 9] = [
        Self::SharpEntry,
        Self::Exit,
        Self::Elbow,
        Self::SweepBend,
        Self::HalfBend,
        Self::TeeThrough,
        Self::TeeBranch,
        Self::GlobeValve,
        Self::CheckValve,
    ];
}

impl Default for Pump {
    /// A pump of a common size with nothing planned around it.
    fn default() -> Self {
        Self {
            name: "Pump".into(),
            draws_from: None,
            curve: PumpCurve::Common(CommonPump::Litres4),
            count: 1,
            watts: None,
            hours_per_day: None,
            intake_m: None,
            guard_heads: None,
            main: None,
            lines: Vec::new(),
        }
    }
}

impl Default for Pipe {
    /// Smooth plastic of no known size.
    fn default() -> Self {
        Self {
            inner_m: None,
            trench: None,
            length_m: None,
            wall: PipeWall::SmoothPlastic,
            fittings: Vec::new(),
            gate_open: None,
        }
    }
}

fn one() -> u32 {
    1
}
