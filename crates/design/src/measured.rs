//! What moves between the grounds: measured once, for the balance of earth.

use std::sync::Arc;

use ground::overlay::{self, Domain, Keep, Rooted, Volumes, compose};
use ground::{Sum, Surface};
use site::earth::LayerTop;
use site::{Site, WorkId};

use crate::built::{BuiltCells, MOST_LIFTS, lift_depths_m};
use crate::earth::no_less_than_nothing;
use crate::ledger::Moved;
use crate::{Between, LaidVolumes, Lift, Problem, WorkOutcome, beside_walls, soil_layers, trench};

/// What was measured on the grounds.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct Measured {
    /// From stripped ground to subgrade.
    pub(crate) whole: Volumes,
    /// Fill that a later work digs again.
    pub(crate) recut_m3: f64,
    /// Dug of trenches, and filled into them again.
    pub(crate) trenches: Moved,
    /// Dug of each soil, trenches included.
    pub(crate) soils_m3: Vec<f64>,
    /// Plan area stripped, and of it what no work covers.
    pub(crate) stripped_m2: [f64; 2],
    /// Topsoil that the works lay.
    pub(crate) laid_topsoil_m3: f64,
    /// From existing ground down to the subgrade, lift by lift.
    pub(crate) lifts: Vec<Lift>,
    /// What is dug beside that.
    pub(crate) beside: Beside,
}

/// What is dug beside the lines of the design.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub(crate) struct Beside {
    /// Behind walls and for their footings, cubic metres.
    pub(crate) walls_m3: f64,
    /// Length of liner edges that are anchored, metres.
    pub(crate) anchored_m: f64,
}

/// The grounds of a site, what its works made of them, and what lies on them.
pub(crate) struct Grounds<'e> {
    pub(crate) site: &'e Site,
    pub(crate) existing: &'e Arc<Surface>,
    pub(crate) finished: &'e Arc<Surface>,
    /// The finished ground without all that lies on it, where there is more than one soil.
    pub(crate) dug: Option<&'e Surface>,
    /// What lies between existing and finished ground.
    pub(crate) cells: &'e BuiltCells,
    pub(crate) between: &'e Between,
    pub(crate) works: &'e [WorkOutcome],
    pub(crate) opened: &'e [Opened],
    pub(crate) laid: &'e [(WorkId, LaidVolumes)],
}

/// A trench while it is open.
pub(crate) struct Opened {
    before: Arc<Surface>,
    open: Surface,
    dug_m3: f64,
}

/// Measures what moves.
pub(crate) fn measured(grounds: &Grounds<'_>) -> Measured {
    let Grounds { between, works, laid, .. } = *grounds;
    let whole = grounds.cells.volumes();
    let sum = |of: fn(&WorkOutcome) -> f64| works.iter().map(of).collect::<Sum>().value();
    let lined = |work: WorkId| laid.iter().any(|(id, v)| *id == work && v.liner_plan_m2 > 0.0);
    Measured {
        recut_m3: sum(|work| work.recut_m3),
        trenches: Moved {
            cut_m3: sum(|work| work.trench.as_ref().map_or(0.0, |trench| trench.dug_m3)),
            fill_m3: sum(|work| work.trench.as_ref().map_or(0.0, |trench| trench.backfill_m3)),
            recut_m3: 0.0,
        },
        soils_m3: soils(grounds, &whole),
        stripped_m2: [between.stripped_m2, between.margin_m2],
        laid_topsoil_m3: laid.iter().map(|(_, laid)| laid.topsoil_m3).collect::<Sum>().value(),
        lifts: lifts(grounds),
        beside: Beside {
            walls_m3: beside_walls::volume_m3(grounds),
            anchored_m: works
                .iter()
                .filter(|outcome| lined(outcome.work))
                .flat_map(|outcome| &outcome.shape.liner_edges)
                .map(|edge| length_m(edge))
                .sum(),
        },
        whole,
    }
}

/// Dug of each soil: all of the cut is the one soil's where there is but one.
fn soils(grounds: &Grounds<'_>, whole: &Volumes) -> Vec<f64> {
    let Grounds { site, existing, opened, .. } = *grounds;
    let of = |dug: &Surface| by_soil(site, existing, dug);
    let mut soils_m3 = grounds.dug.map_or_else(|| vec![no_less_than_nothing(whole.cut_m3)], of);
    for hole in opened {
        let own = if grounds.dug.is_none() {
            vec![hole.dug_m3]
        } else {
            of(&hole.open)
                .iter()
                .zip(of(&hole.before))
                .map(|(open, before)| open - before)
                .collect()
        };
        soils_m3.iter_mut().zip(own).for_each(|(sum, own)| *sum += no_less_than_nothing(own));
    }
    soils_m3
}

/// Digs a trench and fills it again.
pub(crate) fn open(
    trench: &site::works::Trench,
    ground: &Arc<Surface>,
    outcome: &mut WorkOutcome,
) -> Option<Opened> {
    match trench::dig(trench, ground) {
        Ok(hole) => {
            let hole = hole?;
            outcome.take(Moved {
                cut_m3: hole.outcome.dug_m3,
                fill_m3: hole.outcome.backfill_m3,
                recut_m3: 0.0,
            });
            let dug_m3 = hole.outcome.dug_m3;
            outcome.trench = Some(hole.outcome);
            Some(Opened { before: Arc::clone(ground), open: hole.open, dug_m3 })
        }
        Err(problem) => {
            outcome.refuse(problem);
            None
        }
    }
}

impl WorkOutcome {
    /// Says what of the work cannot be built.
    pub(crate) fn refuse(&mut self, problem: Problem) {
        Arc::make_mut(&mut self.shape).problems.push(problem);
    }

    pub(crate) fn take(&mut self, moved: Moved) {
        (self.cut_m3, self.fill_m3, self.recut_m3) = (moved.cut_m3, moved.fill_m3, moved.recut_m3);
    }
}

/// What is dug from existing ground down to the subgrade, lift by lift, trenches included.
fn lifts(grounds: &Grounds<'_>) -> Vec<Lift> {
    let Grounds { site, existing, between, opened, .. } = *grounds;
    let lift_m = site.digging.lift_m;
    let (works_m, mut dug) = grounds.cells.lifts();
    let margin_m = if between.margin_m2 > 0.0 { site.soils.topsoil.strip_m } else { 0.0 };
    let open_m = |hole: &Opened| overlay::volumes(existing, &hole.open).deepest_cut_m;
    let deepest_m = opened.iter().map(open_m).fold(works_m.max(margin_m), f64::max);
    if deepest_m <= 0.0 {
        return Vec::new();
    }
    let n = (deepest_m / lift_m).ceil().clamp(1.0, f64::from(MOST_LIFTS)) as usize;
    if n == 0 {
        // A lift of no height that is a number.
        return Vec::new();
    }
    let depths_m: Vec<f64> = lift_depths_m(lift_m).take(n).chain([f64::INFINITY]).collect();
    // A lift deeper than the deepest may hold what rounding leaves.
    let beyond_m3: f64 = dug.drain(n.min(dug.len())..).sum();
    dug.resize(n, 0.0);
    dug[n - 1] += beyond_m3;
    // Around the works all is dug alike.
    for (sum, pair) in dug.iter_mut().zip(depths_m.windows(2)) {
        *sum += between.margin_m2 * (margin_m.min(pair[1]) - pair[0]).max(0.0);
    }
    for hole in opened {
        let slices = |to: &Surface| overlay::depth_slices(existing, to, &depths_m);
        let [open, before] = [&hole.open, &*hole.before].map(slices);
        for (sum, (open, before)) in dug.iter_mut().zip(open.iter().zip(before)) {
            *sum += no_less_than_nothing(open - before);
        }
    }
    let ends = depths_m.windows(2).zip(dug);
    ends.map(|(pair, dug_m3)| Lift {
        from_m: pair[0],
        to_m: if pair[1].is_finite() { pair[1] } else { deepest_m },
        dug_m3,
    })
    .collect()
}

/// Dug of each soil between stripped ground and subgrade: the part of the cut that lies below each
/// soil's top, less what lies below the next one's.
fn by_soil(site: &Site, existing: &Surface, dug: &Surface) -> Vec<f64> {
    let strip_m = site.soils.topsoil.strip_m;
    let mut top: Option<Surface> = None;
    let mut below_m3 = Vec::new();
    for layer in &site.soils.layers {
        let own = match &layer.top {
            LayerTop::Depth(depth_m) => Some(existing.raised(-depth_m.max(strip_m))),
            LayerTop::Levels(borings) => soil_layers::top(existing.lattice(), borings),
        };
        let next = match (top, own) {
            (None, own) => own.unwrap_or_else(|| existing.raised(-strip_m)),
            (Some(above), None) => above,
            (Some(above), Some(own)) => {
                compose(&above, &own, Keep::Lowest, Domain::Ground, Rooted::Anywhere).surface
            }
        };
        below_m3.push(overlay::volumes(&next, dug).cut_m3);
        top = Some(next);
    }
    let n = below_m3.len();
    let less = |i: usize| if i + 1 < n { below_m3[i + 1] } else { 0.0 };
    (0..n).map(|i| no_less_than_nothing(below_m3[i] - less(i))).collect()
}

fn length_m(line: &[[f64; 3]]) -> f64 {
    line.windows(2).map(|p| libm::hypot(p[1][0] - p[0][0], p[1][1] - p[0][1])).sum()
}
