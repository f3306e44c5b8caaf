//! Rocks in the bed around which the water parts and joins again.
//!
//! ```text
//!            top
//!   ~~~~~~~ .___. ~~~~~~~   water
//!           |   |
//!   ________|   |________   bed; the rock's drawn outline is its foot
//! ```

use ground::curve::{self, Closure, Path, Run};
use ground::overlay::{self, Domain, Keep, Rooted, compose};
use ground::patch::{self, Section};
use ground::query::Locator;
use ground::{Lattice, Surface};
use site::works::Island;
use units::{LengthUnit, elevation_text, length_text};

use super::Cut;
use crate::part::Part;
use crate::works::LEAST_RUN_M;
use crate::works::outline::Outline;
use crate::works::vessel::{Ring, core};
use crate::{Problem, Shape};

/// The places of a section at the edges of its bed.
const BED_EDGES: [usize; 2] = [2, 3];

/// The rocks of a stream.
pub(super) struct Islands<'s> {
    pub(super) drawn: &'s [Island],
    pub(super) owner: u32,
    pub(super) unit: LengthUnit,
}

/// What rocks take of the running water.
#[derive(Clone, Copy, Debug, Default)]
pub(super) struct Displaced {
    pub(super) area_m2: f64,
    pub(super) volume_m3: f64,
}

impl Islands<'_> {
    /// A stream's core with its rocks; those that do not stand in the bed are told and left out.
    pub(super) fn raised(
        &self,
        bare: Surface,
        cuts: &[Cut],
        water_depth_m: f64,
        shape: &mut Shape,
    ) -> Result<(Surface, Displaced), Problem> {
        if self.drawn.is_empty() {
            return Ok((bare, Displaced::default()));
        }
        let (lattice, bed) = (bare.lattice(), bed(cuts));
        let ground = Locator::new(&bare);
        let (mut whole, mut standing) = (bare.clone(), Vec::new());
        for (i, island) in self.drawn.iter().enumerate() {
            let rock = self.foot(lattice, island, &bed, &standing).and_then(|foot| {
                let rock = self.rock(lattice, island, &foot, &ground)?;
                Ok((foot, rock))
            });
            match rock {
                Ok((foot, rock)) => {
                    let (keep, rooted) = (Keep::Highest, Rooted::Anywhere);
                    whole = compose(&whole, &rock, keep, Domain::Ground, rooted).surface;
                    standing.push(foot);
                }
                Err(Problem { message, at_m }) => {
                    let message = format!("island {} {message}", i + 1);
                    shape.problems.push(Problem { message, at_m });
                }
            }
        }
        let displaced = displaced([&bare, &whole], cuts, water_depth_m)?;
        Ok((whole, displaced))
    }

    /// The outline of a rock that stands in the bed, clear of the others.
    fn foot(
        &self,
        lattice: Lattice,
        island: &Island,
        bed: &[[f64; 2]],
        standing: &[Vec<[f64; 2]>],
    ) -> Result<Vec<[f64; 2]>, Problem> {
        let foot = Outline::ring(lattice, &island.outline)
            .map_err(|p| Problem { message: format!("has no outline: {}", p.message), ..p })?
            .points;
        let at_m = foot[0];
        let edge = Path::new(bed, Closure::Closed)
            .map_err(|e| Problem { message: e.to_string(), at_m })?;
        let beyond = (foot.iter().filter(|p| !curve::contains(bed, **p)))
            .map(|&p| (edge.nearest(p).distance_m, p))
            .max_by(|a, b| a.0.total_cmp(&b.0));
        if let Some((beyond_m, at_m)) = beyond {
            let beyond = length_text(beyond_m, self.unit);
            return Err(Problem { message: format!("reaches {beyond} beyond the bed"), at_m });
        }
        if let Some(&at_m) = bed.iter().find(|p| curve::contains(&foot, **p)) {
            return Err(Problem { message: "reaches beyond the bed at a bend".into(), at_m });
        }
        let meets =
            |a: &[[f64; 2]], b: &[[f64; 2]]| a.iter().copied().find(|&p| curve::contains(b, p));
        match standing.iter().find_map(|other| meets(&foot, other).or(meets(other, &foot))) {
            Some(at_m) => Err(Problem { message: "stands in another".into(), at_m }),
            None => Ok(foot),
        }
    }

    /// The rock's own ground: its level top, and sides that lean as little as a vessel's.
    fn rock(
        &self,
        lattice: Lattice,
        island: &Island,
        foot: &[[f64; 2]],
        ground: &Locator<&Surface>,
    ) -> Result<Surface, Problem> {
        let at_m = foot[0];
        let problem = |message: String| Problem { message, at_m };
        let bed_m = foot.iter().filter_map(|&p| ground.elevation(p)).fold(f64::INFINITY, f64::min);
        if island.top_m.is_nan() || island.top_m <= bed_m {
            let [top, bed] = [island.top_m, bed_m].map(|z_m| elevation_text(z_m, self.unit));
            return Err(problem(format!(
                "does not stand out: its top is at {top}, the bed at {bed}"
            )));
        }
        let tops = curve::inset(lattice, foot, Run::Even(LEAST_RUN_M))
            .map_err(|e| problem(e.to_string()))?;
        if tops.is_empty() {
            return Err(problem("is too narrow to have a top".into()));
        }
        let ring = |points: &[[f64; 2]], z_m: f64| Ring {
            points: points.iter().map(|&p| (p, z_m)).collect(),
            part: Part::Island,
            band: 0,
        };
        let mut rings = vec![ring(foot, bed_m)];
        rings.extend(tops.iter().map(|top| ring(&top.points, island.top_m)));
        core(lattice, &rings, self.owner)
    }
}

/// The bed's outline: down its right edge and back up its left.
fn bed(cuts: &[Cut]) -> Vec<[f64; 2]> {
    let [left, right] = BED_EDGES.map(|k| cuts.iter().map(move |cut| cut.points[k].0));
    let mut ring: Vec<[f64; 2]> = right.chain(left.rev()).collect();
    ring.dedup();
    ring
}

/// What the rocks take of the water that runs at a depth over the bed.
fn displaced(
    [bare, whole]: [&Surface; 2],
    cuts: &[Cut],
    depth_m: f64,
) -> Result<Displaced, Problem> {
    let level = |cut: &Cut| Section {
        points: BED_EDGES.map(|k| (cut.points[k].0, cut.knot.running_m + depth_m)).to_vec(),
    };
    let sections: Vec<Section> = cuts.iter().map(level).collect();
    let water = patch::corridor(bare.lattice(), &sections, 0, &[0])
        .map_err(|e| Problem { message: e.to_string(), at_m: cuts[0].line.at })?;
    let [before, after] = [bare, whole].map(|ground| overlay::volumes(&water, ground));
    Ok(Displaced {
        area_m2: before.cut_area_m2 - after.cut_area_m2,
        volume_m3: before.cut_m3 - after.cut_m3,
    })
}
