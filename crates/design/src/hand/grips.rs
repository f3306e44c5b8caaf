//! The handles of a work: where they stand, and what the work becomes when one is pulled.

mod kinds;

use ground::curve::Path;
use site::field::{FieldError, FieldValue, Quantity, fields, set};
use site::shape::{ShapeError, add_point, lines, main_line, middle, move_point, shifted, turned};
use site::{Work, shape};

use super::{closure, flattened};

/// One handle.
#[derive(Clone, Debug, PartialEq)]
pub struct Grip {
    /// Names it among the work's handles, for good while the hand holds it.
    pub name: String,
    /// What it changes, in a crew's words: "Ring 2 depth".
    pub label: String,
    /// Its place in plan, local metres.
    pub at: [f64; 2],
    /// How high it stands.
    pub stands: Stands,
    /// What pulling does.
    pub pull: Pull,
}

/// How high a handle stands.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Stands {
    /// On the ground that is drawn.
    OnGround,
    /// At this level, metres.
    At(f64),
}

/// What pulling a handle does.
#[derive(Clone, Debug, PartialEq)]
pub enum Pull {
    /// Moves a point of a line.
    Point {
        /// The line.
        path: String,
        /// The point's index.
        point: usize,
    },
    /// Makes a new point of a line and moves it.
    NewPoint {
        /// The line.
        path: String,
        /// Before which point it stands.
        at: usize,
    },
    /// Moves a place that stands by itself: a lip, a sump.
    Place {
        /// The field.
        path: String,
    },
    /// Raises or lowers a level, or deepens a depth.
    Rise {
        /// The field.
        path: String,
        /// The level from which it is measured downward; nothing for an elevation.
        below_m: Option<f64>,
    },
    /// Widens, or makes a bank flatter: a number that grows with the way from a place.
    Spread {
        /// The field.
        path: String,
        /// From where it is measured.
        from: [f64; 2],
        /// The way in which it grows, of length one.
        way: [f64; 2],
        /// The number for each metre.
        per_m: f64,
    },
    /// Moves a station along the work's line.
    Along {
        /// The field.
        path: String,
    },
    /// Moves the whole work.
    Whole,
    /// Turns the whole work about its middle.
    Turn,
}

/// Where the hand has come since it took hold.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Hold {
    /// The place in plan at which it took hold.
    pub from: [f64; 2],
    /// The place at which it is, snapped.
    pub at: [f64; 2],
    /// How far it has risen, metres.
    pub rise_m: f64,
}

/// A work as pulled, and the number that pulling has set.
#[derive(Clone, Debug, PartialEq)]
pub struct Pulled {
    /// The work.
    pub work: Work,
    /// The number, where a single one was set: its quantity and value.
    pub number: Option<(Quantity, f64)>,
}

/// Why a work stays as it was.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum PullError {
    /// Its line would not do.
    #[error(transparent)]
    Shape(#[from] ShapeError),
    /// A number would leave its range.
    #[error(transparent)]
    Field(#[from] FieldError),
}

/// The handles of a work: its points and the middles between them, its levels, depths, widths and
/// slopes, and the work as a whole.
pub fn grips(work: &Work) -> Vec<Grip> {
    let mut grips = Vec::new();
    let labels = fields(work);
    for line in lines(&work.kind) {
        let points = &line.curve.points;
        for (point, at) in points.iter().enumerate() {
            let path = line.path.clone();
            grips.push(Grip {
                name: format!("{path}.points[{point}]"),
                label: format!("Point {}", point + 1),
                at: *at,
                stands: Stands::OnGround,
                pull: Pull::Point { path, point },
            });
        }
        between(&line, &mut grips);
    }
    kinds::add(work, &labels, &mut grips);
    let main = Grip {
        name: "whole".into(),
        label: format!("Move {}", work.name),
        at: middle(&work.kind),
        stands: Stands::OnGround,
        pull: Pull::Whole,
    };
    let (north, n) = (farthest_north(&work.kind), shape::lines(&work.kind)[0].curve.points.len());
    if n > 1 {
        grips.push(Grip {
            name: "turn".into(),
            label: format!("Turn {}", work.name),
            at: [main.at[0], north + 0.9],
            pull: Pull::Turn,
            ..main.clone()
        });
    }
    grips.push(main);
    grips
}

/// The work with a handle pulled; `work` is as it was when the hand took hold.
///
/// # Errors
/// [`PullError`] says why it stays as it was.
pub fn pulled(work: &Work, pull: &Pull, hold: &Hold) -> Result<Pulled, PullError> {
    let by = [0, 1].map(|k| hold.at[k] - hold.from[k]);
    let number = |path: &str, value: f64| -> Result<Pulled, PullError> {
        let mut new = work.clone();
        set(&mut new, path, FieldValue::Number(value))?;
        let quantity = fields(work).into_iter().find(|field| field.path == path);
        Ok(Pulled { work: new, number: quantity.map(|field| (field.quantity, value)) })
    };
    let plain = |work: Work| Pulled { work, number: None };
    match pull {
        Pull::Point { path, point } => Ok(plain(move_point(work, path, *point, hold.at)?)),
        Pull::NewPoint { path, at } => Ok(plain(add_point(work, path, *at, hold.at)?)),
        Pull::Place { path } => {
            let mut new = work.clone();
            set(&mut new, path, FieldValue::Place(Some(hold.at)))?;
            Ok(plain(new))
        }
        Pull::Rise { path, below_m } => {
            let now = number_at(work, path);
            number(path, if below_m.is_some() { now - hold.rise_m } else { now + hold.rise_m })
        }
        Pull::Spread { path, from, way, per_m } => {
            let run = (0..2).map(|k| (hold.at[k] - from[k]) * way[k]).sum::<f64>();
            number(path, run * per_m)
        }
        Pull::Along { path } => {
            let station = main_path(work).map(|line| line.nearest(hold.at).station_m);
            number(path, station.unwrap_or_else(|| number_at(work, path)))
        }
        Pull::Whole => Ok(plain(shifted(work, by))),
        Pull::Turn => {
            let about = middle(&work.kind);
            let bearing = |at: [f64; 2]| libm::atan2(at[1] - about[1], at[0] - about[0]);
            let angle = bearing(hold.at) - bearing(hold.from);
            Ok(plain(turned(work, about, angle)))
        }
    }
}

/// A new point may be made amid each piece of a line.
fn between(line: &shape::DrawnLine<'_>, grips: &mut Vec<Grip>) {
    let n = line.curve.points.len();
    let drawn = flattened(line.curve, line.ends);
    let Ok(path) = Path::new(&drawn, closure(line.ends)) else { return };
    for piece in 0..closure(line.ends).n_segments(n) {
        let ends = [line.curve.points[piece], line.curve.points[(piece + 1) % n]];
        let stations = ends.map(|at| path.nearest(at).station_m);
        let far = if stations[1] <= stations[0] { path.length_m() } else { stations[1] };
        grips.push(Grip {
            name: format!("{}.between[{piece}]", line.path),
            label: "New point".into(),
            at: path.at_station(0.5 * (stations[0] + far)).at,
            stands: Stands::OnGround,
            pull: Pull::NewPoint { path: line.path.clone(), at: piece + 1 },
        });
    }
}

/// The work's main line as it is built.
fn main_path(work: &Work) -> Option<Path> {
    let line = lines(&work.kind).into_iter().next()?;
    Path::new(&flattened(line.curve, line.ends), closure(main_line(&work.kind).1)).ok()
}

fn number_at(work: &Work, path: &str) -> f64 {
    let field = fields(work).into_iter().find(|field| field.path == path);
    match field.map(|field| field.value) {
        Some(FieldValue::Number(number)) => number,
        _ => f64::NAN,
    }
}

fn farthest_north(kind: &site::WorkKind) -> f64 {
    let points = lines(kind)[0].curve.points.iter();
    points.map(|at| at[1]).fold(f64::NEG_INFINITY, f64::max)
}
