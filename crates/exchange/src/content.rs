//! What files of ground hold, whatever their format: points, lines, triangles and grids, in metres of
//! the world's frame.

use std::collections::BTreeSet;

use site::Frame;
use units::LengthUnit;

use crate::grid::Grid;
use crate::points::{self, FARTHEST_M, HIGHEST_M, LOWEST_M, Point};
use crate::tin::Tin;

/// What a file of ground holds.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Content {
    /// The unit in which the file tells places.
    pub unit: LengthUnit,
    /// What the file says its coordinates hang on.
    pub datum: Datum,
    /// Points that belong to no surface.
    pub points: Vec<Point>,
    /// Lines and outlines that belong to no surface.
    pub lines: Vec<Line>,
    /// Surfaces, as triangles or as what they are made from.
    pub surfaces: Vec<Tin>,
    /// Heights at even steps.
    pub grid: Option<Grid>,
    /// What looks wrong, or was passed over; one plain sentence each.
    pub doubts: Vec<String>,
    /// Where the file ends too early; what stood before is kept.
    pub stopped: Option<Stopped>,
}

/// What coordinates hang on, in the file's own words; empty where it has none. Nothing is reckoned
/// from them.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Datum {
    /// Of eastings and northings.
    pub horizontal: String,
    /// Of elevations.
    pub vertical: String,
}

/// A line or an outline.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Line {
    /// Name or code, empty for none.
    pub name: String,
    /// What it is.
    pub kind: LineKind,
    /// Its places; a closed one repeats its first at the end.
    pub places: Vec<LinePlace>,
}

/// A place along a line.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct LinePlace {
    /// Easting and northing, metres.
    pub at_m: [f64; 2],
    /// Height, metres; none where the file tells none.
    pub z_m: Option<f64>,
}

/// What a line is.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum LineKind {
    /// Triangles' edges follow it.
    #[default]
    Breakline,
    /// Ground ends there.
    Boundary,
    /// Within it there is no ground.
    Void,
    /// All its places have one height.
    Contour,
    /// Anything else that is drawn.
    Other,
}

/// Where a file ended before its end.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Stopped {
    /// Line and column, record or byte, in words.
    pub at: String,
    /// What was read there and what was expected.
    pub message: String,
}

/// Why no frame was laid around places.
#[derive(Clone, Copy, Debug, PartialEq, thiserror::Error)]
pub enum FrameError {
    /// There are no places.
    #[error("read no places, expected points, lines or triangles")]
    NoPlaces,
    /// They spread farther than any lattice reaches.
    #[error("the places spread over {spread_m:.0} m, expected less than 1000 km: strays?")]
    TooWide {
        /// How far they spread, in metres.
        spread_m: f64,
    },
}

impl std::fmt::Display for Stopped {
    fn fmt(&self, out: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(out, "{}: {}", self.at, self.message)
    }
}

impl LineKind {
    /// The word for it.
    pub fn as_str(self) -> &'static str {
        match self {
            Self::Breakline => "breakline",
            Self::Boundary => "boundary",
            Self::Void => "void",
            Self::Contour => "contour",
            Self::Other => "line",
        }
    }

    /// The kind that `word` names.
    pub fn named(word: &str) -> Option<Self> {
        [Self::Breakline, Self::Boundary, Self::Void, Self::Contour, Self::Other]
            .into_iter()
            .find(|kind| kind.as_str() == word)
    }
}

impl Line {
    /// Whether it comes back to where it began.
    pub fn is_closed(&self) -> bool {
        self.places.len() > 3
            && self.places.first().map(|p| p.at_m) == self.places.last().map(|p| p.at_m)
    }

    /// Its places with heights; none where one has no height.
    pub(crate) fn solid_m(&self) -> Option<Vec<[f64; 3]>> {
        self.places.iter().map(|p| p.z_m.map(|z| [p.at_m[0], p.at_m[1], z])).collect()
    }
}

impl LinePlace {
    /// A place with a height.
    pub fn solid([x, y, z]: [f64; 3]) -> Self {
        Self { at_m: [x, y], z_m: Some(z) }
    }

    /// A place without a height.
    pub fn flat(at_m: [f64; 2]) -> Self {
        Self { at_m, z_m: None }
    }
}

impl Content {
    /// All places in plan.
    pub fn places_m(&self) -> impl Iterator<Item = [f64; 2]> + '_ {
        let plan = |at: &[f64; 3]| [at[0], at[1]];
        let points = self.points.iter().map(move |point| plan(&point.at_m));
        let lines = self.lines.iter().flat_map(|line| line.places.iter().map(|p| p.at_m));
        let surfaces = self.surfaces.iter().flat_map(Tin::places_m);
        let grid = self.grid.iter().flat_map(Grid::corners_m);
        points.chain(lines).chain(surfaces).chain(grid)
    }

    /// A frame around all places: its origin in their middle at whole metres, its lattice the finest
    /// that reaches them.
    ///
    /// # Errors
    /// [`FrameError`] when there are none, or when they spread farther than a lattice reaches.
    pub fn frame(&self) -> Result<Frame, FrameError> {
        frame_around(self.places_m(), self.unit)
    }

    /// The content with its places in plan divided by the combined factor of a survey's grid (grid
    /// length over ground length), about the grid's origin; elevations stay.
    pub(crate) fn on_the_ground(mut self, grid_factor: f64) -> Self {
        self.each_place(&|at| at.map(|c| c / grid_factor));
        self.grid = self.grid.map(|grid| grid.stretched(1.0 / grid_factor));
        self
    }

    /// The content with easting and northing of every place changed for one another; grids stay.
    pub(crate) fn turned(mut self) -> Self {
        self.each_place(&|[x, y]| [y, x]);
        self.doubts.retain(|said| said != points::doubts::TURNED);
        self
    }

    fn each_place(&mut self, change: &dyn Fn([f64; 2]) -> [f64; 2]) {
        let solid = |at: &mut [f64; 3]| {
            let [x, y] = change([at[0], at[1]]);
            *at = [x, y, at[2]];
        };
        self.points.iter_mut().for_each(|point| solid(&mut point.at_m));
        let of_surfaces = self.surfaces.iter_mut().flat_map(|tin| {
            tin.vertices_m.iter_mut().for_each(solid);
            &mut tin.lines
        });
        for line in self.lines.iter_mut().chain(of_surfaces) {
            line.places.iter_mut().for_each(|place| place.at_m = change(place.at_m));
        }
    }

    /// The points as a list with surfaces and lines told by their corners: what a point list of this
    /// content holds. A corner that stands where a point does is told once, by the point.
    pub fn all_points(&self) -> Vec<Point> {
        let mut points = self.points.clone();
        let bits = |at_m: &[f64; 3]| at_m.map(f64::to_bits);
        let told: BTreeSet<[u64; 3]> = points.iter().map(|point| bits(&point.at_m)).collect();
        for tin in &self.surfaces {
            let corners = tin.vertices_m.iter().filter(|at_m| !told.contains(&bits(at_m)));
            points.extend(numbered(corners.copied(), &tin.name));
        }
        for line in &self.lines {
            // A gap in the numbering stands for the blank line that ends the run before.
            let first = points.last().map_or(1, |point| point.line + 2);
            let solid = line.places.iter().filter_map(|p| Some([p.at_m[0], p.at_m[1], p.z_m?]));
            let named = numbered(solid, &line.name);
            points.extend((first..).zip(named).map(|(line, point)| Point { line, ..point }));
        }
        if let Some(grid) = &self.grid {
            points.extend(numbered(grid.posts_m(), ""));
        }
        for (row, point) in points.iter_mut().enumerate() {
            if point.name.is_empty() {
                point.name = (row + 1).to_string();
            }
        }
        points
    }
}

fn numbered(at_m: impl Iterator<Item = [f64; 3]>, code: &str) -> impl Iterator<Item = Point> {
    at_m.zip(1..).map(move |(at_m, line)| Point {
        name: String::new(),
        at_m,
        code: code.to_owned(),
        note: String::new(),
        line,
    })
}

/// A frame around places, as [`Content::frame`] lays it.
///
/// # Errors
/// [`FrameError`] when there are none, or when they spread farther than a lattice reaches.
pub fn frame_around(
    places_m: impl Iterator<Item = [f64; 2]>,
    unit: LengthUnit,
) -> Result<Frame, FrameError> {
    let mut range = [[f64::INFINITY, f64::NEG_INFINITY]; 2];
    for place in places_m {
        for (range, c) in range.iter_mut().zip(place) {
            *range = [range[0].min(c), range[1].max(c)];
        }
    }
    let half = range.map(|[low, high]| (high - low) / 2.0 + 1.0);
    if !half.iter().all(|half| half.is_finite() && *half >= 1.0) {
        return Err(FrameError::NoPlaces);
    }
    let reach_m = half[0].max(half[1]);
    let lattice = ground::Lattice::reaching(reach_m)
        .ok_or(FrameError::TooWide { spread_m: 2.0 * reach_m })?;
    Ok(Frame {
        unit,
        step_um: lattice.step_um(),
        origin_m: range.map(|[low, high]| ((low + high) / 2.0).round()),
        horizontal_datum: String::new(),
        vertical_datum: String::new(),
    })
}

/// What is wrong with a place, if anything.
pub(crate) fn out_of_range(at_m: [f64; 3]) -> Option<&'static str> {
    if at_m[..2].iter().any(|c| c.is_nan() || c.abs() > FARTHEST_M) {
        Some("an easting and a northing within 100,000 km of zero")
    } else if !(LOWEST_M..=HIGHEST_M).contains(&at_m[2]) {
        Some("an elevation from -500 m to 9000 m")
    } else {
        None
    }
}

/// A doubt about places that may have northing and easting swapped, by the digits of the first.
pub(crate) fn swap_doubt(
    at_m: &mut dyn Iterator<Item = [f64; 3]>,
    unit: LengthUnit,
) -> Option<String> {
    let first = Point { at_m: at_m.next()?, ..Point::default() };
    points::doubts::turned_grid(&first, unit)
}

/// The number in `unit` that is read back as `metres` where there is one, else the nearest.
pub(crate) fn in_unit(metres: f64, unit: LengthUnit) -> f64 {
    points::in_unit(metres, unit)
}

/// A place on a lattice in a frame, in metres of the world; decimals of the lattice stay decimals.
pub(crate) fn world_m(frame: &Frame, local_m: [f64; 2]) -> [f64; 2] {
    // A millionth of a metre is the finest step: rounding to it takes the sum's own rounding away.
    [0, 1].map(|axis| ((local_m[axis] + frame.origin_m[axis]) * 1e6).round() / 1e6)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_corner_that_stands_on_a_point_is_told_once() {
        let point = Point { name: "A".into(), at_m: [1.0, 2.0, 3.0], ..Point::default() };
        let vertices_m = vec![[1.0, 2.0, 3.0], [4.0, 2.0, 3.0], [1.0, 2.0, 9.0]];
        let tin = Tin { vertices_m, ..Tin::default() };
        let content = Content { points: vec![point], surfaces: vec![tin], ..Content::default() };
        let told: Vec<[f64; 3]> = content.all_points().iter().map(|p| p.at_m).collect();
        assert_eq!(told, [[1.0, 2.0, 3.0], [4.0, 2.0, 3.0], [1.0, 2.0, 9.0]]);
    }
}
