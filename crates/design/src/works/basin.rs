//! The basin: nested rings from the rim down to the floor.
//!
//! One that joins an earlier basin raises no ground within that one's outline: there the lower of both
//! counts, their rims are open where their outlines overlap, and the water is one sheet.

mod joined;

use ground::Lattice;
use ground::curve::{self, Closure, Path, Run};
use site::works::{Basin, Floor, RingShape};
use units::LengthUnit;

use super::bank::BankLine;
use super::kept::Kept;
use super::outline::{Outline, lifted, traced};
use super::vessel::{Ring, Vessel, core, rim};
use super::{Body, CHORD_M, Form, LEAST_RUN_M};
use crate::part::Part;
use crate::{Problem, Shape};

/// A band that falls less than this is a shelf: 1 in 4, common practice.
const SHELF_GRADE: f64 = 0.25;

/// A basin as it is drawn, and what it takes from other works.
pub(super) struct Drawn<'a> {
    pub(super) basin: &'a Basin,
    /// The earlier basin whose water it joins: its outline and its level.
    pub(super) other: Option<&'a Basin>,
    /// The unit of the numbers in what it refuses.
    pub(super) unit: LengthUnit,
}

pub(super) fn form(drawn: &Drawn<'_>, owner: u32, lattice: Lattice, kept: &mut Kept) -> Form {
    let &Drawn { basin, other, unit } = drawn;
    let mut shape = Shape::default();
    let joined = other.and_then(|other| super::outline_ring(lattice, &other.outline));
    let vessel = rings(basin, lattice, &mut shape).and_then(|(rings, lines)| {
        let core = core(lattice, &rings, owner)?;
        let no_fill: Vec<Vec<[f64; 2]>> = joined.iter().cloned().collect();
        let banks = [basin.cut_bank, basin.fill_bank];
        Ok(Vessel::still(owner, core, lines, banks).beside(no_fill, kept).with_lid(kept))
    });
    if let Some(other) = other {
        shape.problems.extend(joined::unlike_levels(basin, other, unit));
    }
    if let Some(joined) = joined {
        shape.problems.extend(joined::apart(basin, &joined, lattice));
        shape.liner_edges =
            shape.liner_edges.iter().flat_map(|edge| joined::open(edge, &joined)).collect();
    }
    Form::new(vessel.map(|vessel| Body::Vessel(Box::new(vessel))), shape)
}

/// A ring on the way in, with what the rings inside it need.
struct Nest {
    points: Vec<[f64; 2]>,
    /// Runs of every inset ring at these points; empty for drawn rings.
    runs: Vec<Vec<f64>>,
}

type Rings = (Vec<Ring>, Vec<BankLine>);

fn rings(basin: &Basin, lattice: Lattice, shape: &mut Shape) -> Result<Rings, Problem> {
    let outline = Outline::ring(lattice, &basin.outline)?;
    let edge_m = outline.blended(&liner_edge(basin));
    let edge = lifted(&outline.points, &edge_m);
    shape.liner_edges.push(traced(&edge, Closure::Closed));
    let (mut rings, lines) = rim(lattice, &edge, basin.rim_width_m)?;
    rings.push(Ring { points: edge, part: Part::Side, band: 0 });
    let mut nested = Nested {
        nests: vec![Nest { points: outline.points.clone(), runs: runs(basin, &outline) }],
        z_m: basin.water_level_m + basin.freeboard_m,
        rings,
    };
    for (i, ring) in basin.rings.iter().enumerate() {
        let inner = match &ring.shape {
            RingShape::Drawn(drawn) => drawn_inside(lattice, drawn, &nested.nests, &outline, basin),
            RingShape::Inset { .. } => inset_inside(lattice, i, &nested.nests),
        };
        match inner {
            Ok(inner) if !inner.is_empty() => {
                nested.step_in(inner, basin.water_level_m - ring.depth_m, i as u32 + 1);
            }
            Ok(_) => shape.problems.push(Problem {
                message: format!("ring {} has no room inside the ring outside it", i + 1),
                at_m: nested.nests[0].points[0],
            }),
            Err(problem) => shape.problems.push(problem),
        }
    }
    floor(basin, &outline, &mut nested, shape)?;
    Ok((nested.rings, lines))
}

/// The floor inside the innermost rings: level, or with a sump.
fn floor(
    basin: &Basin,
    outline: &Outline,
    nested: &mut Nested,
    shape: &mut Shape,
) -> Result<(), Problem> {
    match basin.floor {
        Floor::Level if nested.z_m == basin.water_level_m + basin.freeboard_m => Err(Problem {
            message: "it has no ring that gives it a depth".into(),
            at_m: outline.points[0],
        }),
        Floor::Level => Ok(()),
        Floor::Sump { at, radius_m, depth_m } => {
            let points = circle(at, radius_m);
            if nested.nests.iter().any(|nest| lies_inside(&points, &nest.points)) {
                let sump = Nest { points, runs: Vec::new() };
                // What lies on the floor lies in the sump too.
                let band = basin.rings.len() as u32;
                nested.step_in(vec![sump], basin.water_level_m - depth_m, band);
            } else {
                let message = "the sump does not lie inside the innermost ring".into();
                shape.problems.push(Problem { message, at_m: at });
            }
            Ok(())
        }
    }
}

/// The rings so far, and the innermost of them.
struct Nested {
    rings: Vec<Ring>,
    nests: Vec<Nest>,
    /// Nominal elevation of the innermost.
    z_m: f64,
}

impl Nested {
    /// Adds rings inside the innermost and says what the band between is.
    fn step_in(&mut self, inner: Vec<Nest>, z_m: f64, band: u32) {
        let part = band_part(&self.nests, &inner, self.z_m - z_m);
        let from = self.rings.len() - self.nests.len();
        self.rings[from..].iter_mut().for_each(|ring| ring.part = part);
        self.rings.extend(inner.iter().map(|nest| Ring {
            points: nest.points.iter().map(|&p| (p, z_m)).collect(),
            part: Part::Floor,
            band,
        }));
        (self.nests, self.z_m) = (inner, z_m);
    }
}

/// Elevations of the liner's edge at the drawn points, or one for all.
fn liner_edge(basin: &Basin) -> Vec<f64> {
    if basin.liner_edge_m.is_empty() {
        vec![basin.water_level_m + basin.freeboard_m]
    } else {
        basin.liner_edge_m.clone()
    }
}

/// The run of each ring at each place of the outline; empty where the ring is drawn.
fn runs(basin: &Basin, outline: &Outline) -> Vec<Vec<f64>> {
    (basin.rings.iter())
        .map(|ring| match &ring.shape {
            RingShape::Inset { run_m } => {
                outline.blended(run_m).iter().map(|run| run.max(LEAST_RUN_M)).collect()
            }
            RingShape::Drawn(_) => Vec::new(),
        })
        .collect()
}

fn inset_inside(lattice: Lattice, i: usize, nests: &[Nest]) -> Result<Vec<Nest>, Problem> {
    let mut inner = Vec::new();
    for nest in nests {
        let runs = &nest.runs[i];
        let even = runs.iter().all(|run| *run == runs[0]);
        let run = if even { Run::Even(runs[0]) } else { Run::PerVertex(runs) };
        let rings = curve::inset(lattice, &nest.points, run)
            .map_err(|error| Problem { message: error.to_string(), at_m: nest.points[0] })?;
        for ring in rings {
            let carried = |runs: &Vec<f64>| {
                if runs.is_empty() { Vec::new() } else { ring.carry(runs, curve::Blend::Linear) }
            };
            let runs = nest.runs.iter().map(carried).collect();
            inner.push(Nest { runs, points: ring.points });
        }
    }
    Ok(inner)
}

fn drawn_inside(
    lattice: Lattice,
    drawn: &site::Curve,
    nests: &[Nest],
    outline: &Outline,
    basin: &Basin,
) -> Result<Vec<Nest>, Problem> {
    let ring = Outline::ring(lattice, drawn)?;
    if !nests.iter().any(|nest| lies_inside(&ring.points, &nest.points)) {
        return Ok(Vec::new());
    }
    let around = Path::new(&outline.points, Closure::Closed)
        .map_err(|error| Problem { message: error.to_string(), at_m: outline.points[0] })?;
    let at: Vec<f64> = ring.points.iter().map(|&p| around.nearest(p).parameter).collect();
    let carried = |runs: &Vec<f64>| {
        let run = |&at: &f64| curve::interpolate(runs, Closure::Closed, at, curve::Blend::Linear);
        if runs.is_empty() { Vec::new() } else { at.iter().map(run).collect() }
    };
    let runs = runs(basin, outline).iter().map(carried).collect();
    Ok(vec![Nest { runs, points: ring.points }])
}

/// Whether every place of a ring lies inside another; crossings between places are the patch
/// builder's to find.
fn lies_inside(ring: &[[f64; 2]], outer: &[[f64; 2]]) -> bool {
    ring.iter().all(|&p| curve::contains(outer, p))
}

/// What the band between rings is, by its mean fall.
fn band_part(outer: &[Nest], inner: &[Nest], drop_m: f64) -> Part {
    let paths: Vec<Path> =
        outer.iter().filter_map(|nest| Path::new(&nest.points, Closure::Closed).ok()).collect();
    let distance = |p: [f64; 2]| {
        paths.iter().map(|path| path.nearest(p).distance_m).fold(f64::INFINITY, f64::min)
    };
    let places: Vec<[f64; 2]> = inner.iter().flat_map(|nest| nest.points.iter().copied()).collect();
    let run_m = places.iter().map(|&p| distance(p)).sum::<f64>() / places.len() as f64;
    if drop_m.abs() < SHELF_GRADE * run_m { Part::Shelf } else { Part::Side }
}

/// A circle as a ring whose chords keep within the tolerance.
fn circle(at: [f64; 2], radius_m: f64) -> Vec<[f64; 2]> {
    let half_angle = libm::acos((1.0 - CHORD_M / radius_m.max(CHORD_M)).max(0.0));
    let n = (std::f64::consts::PI / half_angle).ceil().clamp(12.0, 720.0) as u32;
    (0..n)
        .map(|i| {
            let (sin, cos) = libm::sincos(f64::from(i) / f64::from(n) * std::f64::consts::TAU);
            [at[0] + radius_m * cos, at[1] + radius_m * sin]
        })
        .collect()
}
