//! How the water of each pond goes round while its pumps run, and where it stands: dead corners.
//!
//! Streams and pipes bring water with their speed, bays and pumps draw it. The pond is cut into a fixed
//! number of cells, so that a small one and a large one are told alike. A pump that stands in the pond
//! draws at its deepest place; a pipe that ends in it ends where its trench does.

use ::water::{Circulation, DeadCorner, Drawn, Enters, PondGrid};
use ground::{Surface, Tag};
use site::works::{IntakeBay, Stream, Trench};
use site::{Site, WorkId, WorkKind};

use super::pond::body_of;
use super::{KeptRuns, Known, Running, StreamOutcome, Unknown};
use crate::part::Part;
use crate::{Evaluation, WaterBody, WaterKind};

/// Cells of a pond, about.
const N_CELLS: f64 = 300.0;
/// And so many across at most: what is left of a pond that is all but dry may be no wider than a hand.
const MOST_ACROSS: f64 = 200.0;
/// Manning's roughness of a pond's floor of gravel, stone and plants; common practice.
const FLOOR_MANNING_N: f64 = 0.03;
/// Shallower cells are shore, metres.
const LEAST_DEPTH_M: f64 = 0.03;
/// What enters may differ from what is drawn by this share of it: pumps and streams are reckoned in turn.
const BALANCED_SHARE: f64 = 0.02;

/// How a pond's water goes round.
#[derive(Clone, Debug, PartialEq)]
pub struct PondRounds {
    /// The basin, the first where several are one water.
    pub work: WorkId,
    /// The cells, or why they cannot be told.
    pub rounds: Known<Rounds>,
}

/// A pond's cells with their water.
#[derive(Clone, Debug, PartialEq)]
pub struct Rounds {
    /// South-west corner of the cells, local metres.
    pub corner_m: [f64; 2],
    /// Side of a cell, metres.
    pub cell_m: f64,
    /// Columns of cells from west to east.
    pub n_columns: usize,
    /// Elevation of the water, metres.
    pub level_m: f64,
    /// The water of each cell.
    pub circulation: Circulation,
    /// Its dead corners, the largest first; their places are metres from the corner.
    pub dead: Vec<DeadCorner>,
}

impl Rounds {
    /// Share of the water's area that is dead.
    pub fn dead_share(&self) -> f64 {
        let wet = self.circulation.cells.iter().flatten().count() as f64;
        let dead: usize = self.dead.iter().map(|corner| corner.cells.len()).sum();
        dead as f64 / wet.max(1.0)
    }

    /// The middle of its water, local metres.
    pub fn middle_m(&self) -> [f64; 2] {
        let cells = self.circulation.cells.iter().enumerate();
        let wet = cells.filter(|(_, water)| water.is_some());
        let places: Vec<[f64; 2]> = wet.map(|(cell, _)| self.circulation.middle_m(cell)).collect();
        let mean =
            |k: usize| places.iter().map(|at| at[k]).sum::<f64>() / places.len().max(1) as f64;
        self.local_m([mean(0), mean(1)])
    }

    /// A place that is told from the cells' corner, in local metres.
    pub fn local_m(&self, at_m: [f64; 2]) -> [f64; 2] {
        [0, 1].map(|k| self.corner_m[k] + at_m[k])
    }
}

/// How the water of every pond from which a pump draws goes round.
pub fn rounds(site: &Site, evaluation: &Evaluation, running: &Running) -> Vec<PondRounds> {
    rounds_again(site, evaluation, running, &KeptRuns::default())
}

/// The same, finding again what went round before.
pub(crate) fn rounds_again(
    site: &Site,
    evaluation: &Evaluation,
    running: &Running,
    kept: &KeptRuns,
) -> Vec<PondRounds> {
    let bodies = evaluation.water.iter().filter(|body| body.kind == WaterKind::Basin);
    let ponds = bodies.map(|body| Pond { site, evaluation, running, body, kept });
    let drawn = ponds.filter(|pond| !pond.drawn_m3_s().is_empty());
    drawn.map(|pond| PondRounds { work: pond.body.work, rounds: pond.rounds(&[]) }).collect()
}

/// The same of one pond, with a share of what a pump gives led back at a place as a jet.
pub(crate) fn with_return(
    (site, evaluation, running): (&Site, &Evaluation, &Running),
    work: WorkId,
    jet: Enters,
) -> Known<Rounds> {
    let body = evaluation.water.iter().find(|body| body.work == work);
    let body = body.ok_or(Unknown("the pond holds no water".into()))?;
    let kept = &KeptRuns::default();
    Pond { site, evaluation, running, body, kept }.rounds(&[jet])
}

struct Pond<'s> {
    site: &'s Site,
    evaluation: &'s Evaluation,
    running: &'s Running,
    body: &'s WaterBody,
    kept: &'s KeptRuns,
}

/// A pond's cells as they lie on plan.
struct Cells {
    corner_m: [f64; 2],
    grid: PondGrid,
}

impl Pond<'_> {
    /// `extra` enters besides, taken from what the others bring.
    fn rounds(&self, extra: &[Enters]) -> Known<Rounds> {
        let cells = self.cells()?;
        let from_corner = |at: [f64; 2]| [0, 1].map(|k| at[k] - cells.corner_m[k]);
        let mut enters = self.enters()?;
        let all: f64 = enters.iter().map(|one| one.flow_m3_s).sum();
        self.balances(all)?;
        let led_off: f64 = extra.iter().map(|one| one.flow_m3_s).sum();
        for one in &mut enters {
            one.flow_m3_s *= 1.0 - led_off / all;
        }
        enters.extend(extra);
        for one in &mut enters {
            one.at_m = from_corner(one.at_m);
        }
        let deepest = cells.deepest();
        let drawn: Vec<Drawn> = self
            .drawn_m3_s()
            .into_iter()
            .map(|(bay, share)| {
                let at_m = bay.map_or(deepest, |bay| from_corner(bay.sill.at));
                Drawn { at_m, share }
            })
            .collect();
        let (cell_m, n_columns) = (cells.grid.cell_m, cells.grid.n_columns);
        let circulation = self.kept.pond(cells.grid, enters, drawn).map_err(Unknown::because)?;
        let dead = circulation.dead_corners(self.site.limits.dead_turnovers);
        Ok(Rounds {
            corner_m: cells.corner_m,
            cell_m,
            n_columns,
            level_m: self.body.level_m,
            circulation,
            dead,
        })
    }

    fn is_own(&self, id: WorkId) -> bool {
        body_of(self.site, self.evaluation, id).is_some_and(|body| body.work == self.body.work)
    }

    /// What the pumps draw from the pond, and through which bay.
    fn drawn_m3_s(&self) -> Vec<(Option<&IntakeBay>, f64)> {
        let of = |pump: &crate::PumpOutcome| {
            let from = pump.draws_from.filter(|&id| self.is_own(id))?;
            let flow_m3_s = pump.duty.as_ref().ok()?.flow_m3_s;
            let bay = match &self.site.work(from)?.kind {
                WorkKind::IntakeBay(bay) => Some(bay),
                _ => None,
            };
            (flow_m3_s > 0.0).then_some((bay, flow_m3_s))
        };
        self.running.pumps.iter().filter_map(of).collect()
    }

    fn balances(&self, enters_m3_s: f64) -> Known<()> {
        let drawn_m3_s: f64 = self.drawn_m3_s().iter().map(|(_, flow)| flow).sum();
        if enters_m3_s <= 0.0 {
            return Err(Unknown("no stream and no pipe brings water into it".into()));
        }
        if (enters_m3_s - drawn_m3_s).abs() > BALANCED_SHARE * drawn_m3_s {
            return Err(Unknown("what enters it is not what is drawn from it".into()));
        }
        Ok(())
    }

    /// The streams and pipes that end in the pond, in local metres.
    fn enters(&self) -> Known<Vec<Enters>> {
        let mut enters = Vec::new();
        // A stream that no pump feeds is dry: what then lacks is told by the balance.
        for outcome in self.running.streams.iter().filter(|outcome| outcome.flow_m3_s.is_ok()) {
            match self.site.work(outcome.work).map(|work| &work.kind) {
                Some(WorkKind::Stream(stream)) if stream.into.is_some_and(|id| self.is_own(id)) => {
                    enters.push(mouth(stream, outcome)?);
                }
                _ => {}
            }
        }
        for (pump, planned) in self.running.pumps.iter().zip(&self.site.circulation.pumps) {
            let Ok(duty) = &pump.duty else { continue };
            for (line, drawn) in duty.lines.iter().zip(&planned.lines) {
                let is_basin =
                    |id| matches!(self.site.work(id).map(|w| &w.kind), Some(WorkKind::Basin(_)));
                if is_basin(line.feeds) && self.is_own(line.feeds) {
                    let trench = drawn.pipe.trench.and_then(|id| self.trench(id));
                    let ends = trench.and_then(|trench| end(&trench.line.points)).ok_or(
                        Unknown("where a pipe ends in it is not drawn: give it its trench".into()),
                    )?;
                    enters.push(entering(ends, line.flow_m3_s, line.velocity_m_s));
                }
            }
        }
        Ok(enters)
    }

    fn trench(&self, id: WorkId) -> Option<&Trench> {
        match &self.site.work(id)?.kind {
            WorkKind::Trench(trench) => Some(trench),
            _ => None,
        }
    }

    fn cells(&self) -> Known<Cells> {
        let surface = self.evaluation.finished.as_deref();
        let surface = surface.ok_or(Unknown("the survey makes no ground".into()))?;
        let holds = |tag: Tag| {
            let id = WorkId(tag.owner);
            let is_basin = matches!(self.site.work(id).map(|w| &w.kind), Some(WorkKind::Basin(_)));
            let is_wet = matches!(Part::of(tag.part), Part::Floor | Part::Side | Part::Shelf);
            is_wet && is_basin && self.is_own(id)
        };
        Cells::of(surface, holds, self.body)
            .ok_or(Unknown("no ground of its own lies under its water".into()))
    }
}

impl Cells {
    /// The depths at the middles of cells over the faces of some tags.
    fn of(surface: &Surface, holds: impl Fn(Tag) -> bool, body: &WaterBody) -> Option<Self> {
        let level_m = body.level_m;
        let mut known: Vec<(Tag, bool)> = Vec::new();
        let mut is_held = |tag: Tag| match known.iter().find(|(other, _)| *other == tag) {
            Some((_, held)) => *held,
            None => {
                known.push((tag, holds(tag)));
                known[known.len() - 1].1
            }
        };
        let faces: Vec<u32> = (0..surface.faces().len() as u32)
            .filter(|&f| is_held(surface.faces()[f as usize].tag))
            .filter(|&f| surface.corner_heights(f).iter().any(|&z| z < level_m))
            .collect();
        let corners = |f: u32| surface.corners(f).map(|c| surface.lattice().metres(c));
        let (mut low, mut high) = ([f64::INFINITY; 2], [f64::NEG_INFINITY; 2]);
        for at in faces.iter().flat_map(|&f| corners(f)) {
            low = [0, 1].map(|k| at[k].min(low[k]));
            high = [0, 1].map(|k| at[k].max(high[k]));
        }
        if faces.is_empty() {
            return None;
        }
        let cell_m = side_m(body.area_m2, [0, 1].map(|k| high[k] - low[k]));
        let [n_columns, n_rows] = [0, 1].map(|k| ((high[k] - low[k]) / cell_m).ceil() as usize + 1);
        let mut depths_m = vec![0.0; n_columns * n_rows];
        for f in faces {
            let (p, z) = (corners(f), surface.corner_heights(f));
            let reach = |k: usize, n: usize| {
                let ends = [f64::min, f64::max].map(|pick| pick(pick(p[0][k], p[1][k]), p[2][k]));
                let at = |m: f64| ((m - low[k]) / cell_m - 0.5).max(0.0);
                (at(ends[0]).ceil() as usize)..((at(ends[1]).floor() as usize + 1).min(n))
            };
            for j in reach(1, n_rows) {
                for i in reach(0, n_columns) {
                    let at = [(0, i), (1, j)].map(|(k, i)| low[k] + (i as f64 + 0.5) * cell_m);
                    if let Some(ground_m) = height_at(p, z, at) {
                        let depth_m = level_m - ground_m;
                        if depth_m >= LEAST_DEPTH_M {
                            depths_m[j * n_columns + i] = depth_m;
                        }
                    }
                }
            }
        }
        let grid = PondGrid { cell_m, n_columns, depths_m, manning_n: FLOOR_MANNING_N };
        Some(Self { corner_m: low, grid })
    }

    /// The middle of the deepest cell, metres from the corner.
    fn deepest(&self) -> [f64; 2] {
        let PondGrid { cell_m, n_columns, depths_m, .. } = &self.grid;
        let cells =
            depths_m.iter().enumerate().max_by(|a, b| a.1.total_cmp(b.1).then(b.0.cmp(&a.0)));
        let cell = cells.map_or(0, |(cell, _)| cell);
        [cell % n_columns, cell / n_columns].map(|i| (i as f64 + 0.5) * cell_m)
    }
}

/// The side of the cells of a water of an area whose ground reaches so far east and north, metres.
fn side_m(area_m2: f64, reach_m: [f64; 2]) -> f64 {
    (area_m2.max(0.0) / N_CELLS).sqrt().max(reach_m[0].max(reach_m[1]) / MOST_ACROSS)
}

/// The height of a triangle at a place; none outside it.
fn height_at(p: [[f64; 2]; 3], z: [f64; 3], at: [f64; 2]) -> Option<f64> {
    let cross =
        |a: [f64; 2], b: [f64; 2]| (b[0] - a[0]) * (at[1] - a[1]) - (b[1] - a[1]) * (at[0] - a[0]);
    let shares = [cross(p[1], p[2]), cross(p[2], p[0]), cross(p[0], p[1])];
    let whole: f64 = shares.iter().sum();
    let is_within = whole > 0.0 && shares.iter().all(|share| *share >= 0.0);
    is_within.then(|| (0..3).map(|k| shares[k] * z[k]).sum::<f64>() / whole)
}

/// The water at a stream's mouth.
fn mouth(stream: &Stream, outcome: &StreamOutcome) -> Known<Enters> {
    let flow_m3_s = outcome.flow_m3_s.clone()?;
    let water = outcome.water.as_ref().map_err(Clone::clone)?;
    let ends = end(&stream.line.points);
    let ends = ends.ok_or(Unknown("a stream that runs into it has no length".into()))?;
    Ok(entering(ends, flow_m3_s, water.points.last().map_or(0.0, |point| point.velocity_m_s)))
}

/// The end of a line and the way that it has there.
fn end(points: &[[f64; 2]]) -> Option<([f64; 2], [f64; 2])> {
    let (&last, before) = points.split_last()?;
    let from = before.iter().rev().find(|from| **from != last)?;
    let way = [last[0] - from[0], last[1] - from[1]];
    let length = libm::hypot(way[0], way[1]);
    Some((last, way.map(|part| part / length)))
}

fn entering((at_m, way): ([f64; 2], [f64; 2]), flow_m3_s: f64, velocity_m_s: f64) -> Enters {
    Enters { at_m, flow_m3_s, velocity_m_s: way.map(|part| velocity_m_s * part) }
}

#[cfg(test)]
mod tests {
    use super::{MOST_ACROSS, side_m};

    #[test]
    fn a_puddle_on_a_wide_floor_is_cut_into_no_more_cells_than_a_pond() {
        assert_eq!(side_m(27.0, [8.0, 5.0]), 0.3);
        for area_m2 in [0.0, 1e-12, 1e-4] {
            assert!(20.0 / side_m(area_m2, [20.0, 3.0]) <= MOST_ACROSS);
        }
    }
}
