//! What holds water: a core of its own ground, and banks from its edges to the ground around.

use std::sync::Arc;

use ground::curve::{self, Blend, Closure, Run};
use ground::overlay::{Domain, Keep, Rooted, compose};
use ground::patch::{self, Ring3};
use ground::query::{RingPoint, outline};
use ground::{Face, Lattice, NONE, Surface, Tag};

use super::bank::{Bank, BankLine, GroundFaces, Way};
use super::kept::{Kept, KeptBounds, LidKey};
use super::outline::lifted;
use super::{Band, Footing, Inlay, LID};
use crate::part::Part;
use crate::water::Held;
use crate::{Problem, WaterBody};

/// A basin, a stream or a filter before it meets the ground.
#[derive(Clone, Debug)]
pub(super) struct Vessel {
    pub(super) owner: u32,
    /// The ground inside its edges.
    pub(super) core: Arc<Surface>,
    /// The core a little lower, where it may be filled: what is dug before it is filled.
    pub(super) sunk: Arc<Surface>,
    /// What is laid in the place of its core, where the core fills all within its outline.
    pub(super) lid: Option<Lid>,
    /// The edges from which banks run, outward on their right.
    pub(super) lines: Vec<BankLine>,
    /// Slopes of the banks: run per rise.
    pub(super) cut_bank: f64,
    pub(super) fill_bank: f64,
    /// Outlines within which it may not raise the ground.
    pub(super) no_fill: Vec<Vec<[f64; 2]>>,
    /// Outlines within which it may not lower the ground.
    pub(super) no_cut: Vec<Vec<[f64; 2]>>,
    /// The water that runs through it.
    pub(super) running: Option<WaterBody>,
    /// Where water stays when none runs.
    pub(super) held: Vec<Held>,
}

/// A few faces with the outline of a core: they are laid in its place, and the core is put in.
///
/// What is laid then follows from the outline alone, and an edit of what lies within it lays nothing
/// anew.
#[derive(Clone, Debug)]
pub(super) struct Lid {
    top: Arc<Surface>,
    sunk: Arc<Surface>,
}

/// One ring of a core: its places with elevations, and what the band inside it is.
#[derive(Clone, Debug)]
pub(super) struct Ring {
    pub(super) points: Vec<([f64; 2], f64)>,
    pub(super) part: Part,
    /// Which band of a basin it is: zero outside the first ring, one inside it.
    pub(super) band: u32,
}

/// The rim around an edge, level across: its rings, and the lines from which banks run.
pub(super) fn rim(
    lattice: Lattice,
    edge: &[([f64; 2], f64)],
    width_m: f64,
) -> Result<(Vec<Ring>, Vec<BankLine>), Problem> {
    if width_m < lattice.step_m() {
        return Ok((
            Vec::new(),
            vec![BankLine { points: edge.to_vec(), closure: Closure::Closed }],
        ));
    }
    let (places, z_m): (Vec<_>, Vec<_>) = edge.iter().copied().unzip();
    let rings = curve::outset(lattice, &places, Run::Even(width_m))
        .map_err(|error| Problem { message: error.to_string(), at_m: places[0] })?;
    // A bay whose mouth the rim closes is rim all over: its ring goes the other way round.
    let outer = rings.into_iter().filter(|ring| curve::signed_area_m2(&ring.points) > 0.0);
    let outer: Vec<_> =
        outer.map(|ring| lifted(&ring.points, &ring.carry(&z_m, Blend::Linear))).collect();
    let lines = outer
        .iter()
        .map(|points| BankLine { points: points.clone(), closure: Closure::Closed })
        .collect();
    Ok((outer.into_iter().map(|points| Ring { points, part: Part::Rim, band: 0 }).collect(), lines))
}

/// The surface of nested rings.
pub(super) fn core(lattice: Lattice, rings: &[Ring], owner: u32) -> Result<Surface, Problem> {
    let at_m = rings.first().and_then(|ring| ring.points.first()).map_or([0.0; 2], |p| p.0);
    let rings: Vec<Ring3> = rings
        .iter()
        .map(|ring| Ring3 { points: ring.points.clone(), part: ring.part.in_band(ring.band) })
        .collect();
    patch::rings(lattice, &rings, &[], owner)
        .map_err(|error| Problem { message: error.to_string(), at_m })
}

/// The outer edges of a core, from which banks run.
fn edges(core: &Surface) -> Vec<BankLine> {
    let place = |p: &RingPoint| (core.lattice().metres(core.vertices()[p.vertex as usize]), p.z);
    let rings = outline(core).into_iter().map(|ring| ring.iter().map(place).collect::<Vec<_>>());
    let is_outer = |points: &Vec<([f64; 2], f64)>| {
        let places: Vec<[f64; 2]> = points.iter().map(|point| point.0).collect();
        curve::signed_area_m2(&places) > 0.0
    };
    let outer = rings.filter(is_outer);
    outer.map(|points| BankLine { points, closure: Closure::Closed }).collect()
}

/// How far below its core a vessel is dug before the core is laid.
///
/// Where the core cuts the ground, digging to the core and filling up to it would part each of its
/// faces along that line and to no end. Dug a little deeper, the whole core is laid in one. It is
/// below the step that a check takes for a wall.
const SUNK_M: f64 = 0.01;

/// And so many lattice steps for each of its steepest grade, so that what composing takes for level
/// is less.
const SUNK_STEPS: f64 = 16.0;

/// A core sunk all over.
pub(super) fn sunk(core: &Surface) -> Surface {
    let lattice = core.lattice();
    let grade = |face: u32| core.plane(face).grade(lattice);
    let steepest = (0..core.faces().len() as u32).map(grade).fold(0.0, f64::max);
    core.raised(-SUNK_M - SUNK_STEPS * lattice.step_m() * steepest)
}

/// A sunk core, but as high as the core within outlines where the work may not fill up again.
pub(super) fn sunk_beside(
    sunk: &Arc<Surface>,
    core: &Surface,
    no_fill: &[Vec<[f64; 2]>],
    kept: &mut Kept,
) -> Arc<Surface> {
    if no_fill.is_empty() {
        return Arc::clone(sunk);
    }
    let open = kept.unbound(Arc::clone(sunk), no_fill, Way::Up);
    Arc::new(compose(&open, core, Keep::Lowest, Domain::Union, Rooted::Anywhere).surface)
}

impl Lid {
    /// The lid inside an outline; none where that spans no surface.
    pub(super) fn of(key: &LidKey) -> Option<Self> {
        let spanned = |part| {
            let ring = Ring3 { points: key.outline.clone(), part };
            patch::rings(key.lattice, &[ring], &[], key.owner).ok()
        };
        // What is dug a step beyond the lid, where rounding bends its outline, is the core's.
        Some(Self { sunk: Arc::new(sunk(&spanned(key.part)?)), top: Arc::new(spanned(LID)?) })
    }
}

impl Vessel {
    /// What holds still water: banks all round, no other work's outline to keep clear of.
    pub(super) fn still(
        owner: u32,
        core: Surface,
        lines: Vec<BankLine>,
        [cut_bank, fill_bank]: [f64; 2],
    ) -> Self {
        let (no_fill, no_cut) = (Vec::new(), Vec::new());
        let (sunk, core) = (Arc::new(sunk(&core)), Arc::new(core));
        let (running, held) = (None, Vec::new());
        let lid = None;
        Self { owner, core, sunk, lid, lines, cut_bank, fill_bank, no_fill, no_cut, running, held }
    }

    /// The same, dug through by channels, with banks along the edges of what that makes; within an
    /// outline it raises no ground.
    pub(super) fn opened(self, channels: &[Surface], into: Vec<[f64; 2]>, kept: &mut Kept) -> Self {
        let dig = |core: Arc<Surface>, channel: &Surface| {
            let (keep, rooted) = (Keep::Lowest, Rooted::Anywhere);
            Arc::new(compose(&core, channel, keep, Domain::Union, rooted).surface)
        };
        let core = channels.iter().fold(self.core, dig);
        let lines = if channels.is_empty() { self.lines } else { edges(&core) };
        Self { sunk: Arc::new(sunk(&core)), core, lines, ..self }.beside(vec![into], kept)
    }

    /// The same, laid by a lid where nothing lies apart within its core and no ground is kept there.
    pub(super) fn with_lid(self, kept: &mut Kept) -> Self {
        let lattice = self.core.lattice();
        let [outer] = &outline(&self.core)[..] else { return self };
        if !self.no_fill.is_empty() || !self.no_cut.is_empty() {
            return self;
        }
        let place = |p: &RingPoint| (lattice.metres(self.core.vertices()[p.vertex as usize]), p.z);
        let outline = outer.iter().map(place).collect();
        let is_outermost = |face: &&Face| face.neighbours.contains(&NONE);
        let part = self.core.faces().iter().find(is_outermost).map_or(LID, |face| face.tag.part);
        let lid = kept.lid(LidKey { lattice, owner: self.owner, part, outline });
        Self { lid, ..self }
    }

    /// The same, raising no ground within some outlines.
    pub(super) fn beside(self, no_fill: Vec<Vec<[f64; 2]>>, kept: &mut Kept) -> Self {
        Self { sunk: sunk_beside(&self.sunk, &self.core, &no_fill, kept), no_fill, ..self }
    }

    /// How far its banks must run on a ground.
    pub(super) fn footing(&self, ground: &Surface) -> Footing {
        let faces = GroundFaces::new(ground);
        let [cut_m, fill_m] = [Way::Up, Way::Down].map(|way| {
            let bank = self.bank(way);
            self.lines.iter().map(|line| bank.reaches_m(&faces, line)).collect()
        });
        Footing { cut_m, fill_m, feet_m: Default::default() }
    }

    /// The band of its core, or of the lid in its place, and its banks.
    pub(super) fn band(&self, footing: &Footing, kept: &mut Kept) -> Band {
        match &self.lid {
            Some(lid) => {
                let inlay = Inlay { lid: self.lid_tag(), core: Arc::clone(&self.core) };
                let band = self.bounds([&lid.sunk, &lid.top], footing, kept);
                Band { inlay: Some(inlay), ..band }
            }
            None => self.whole_band(footing, kept),
        }
    }

    /// The band of its core itself and its banks.
    pub(super) fn whole_band(&self, footing: &Footing, kept: &mut Kept) -> Band {
        self.bounds([&self.sunk, &self.core], footing, kept)
    }

    fn lid_tag(&self) -> Tag {
        Tag { owner: self.owner, part: LID }
    }

    fn bounds(&self, [sunk, core]: [&Arc<Surface>; 2], footing: &Footing, kept: &mut Kept) -> Band {
        let threads = kept.threads;
        let [up, down] = kept.both_ways();
        let ((hi, refused_up), (lo, refused_down)) = threads.both(
            || self.bound(sunk, Way::Up, &footing.cut_m, up),
            || self.bound(core, Way::Down, &footing.fill_m, down),
        );
        let problems = refused_up.into_iter().chain(refused_down).collect();
        Band { hi: Some(hi), lo: Some(lo), inlay: None, problems }
    }

    /// A core and the banks that run one way, and what of these could not be made.
    fn bound(
        &self,
        core: &Arc<Surface>,
        way: Way,
        reaches_m: &[Vec<f64>],
        kept: &mut KeptBounds,
    ) -> (Arc<Surface>, Option<Problem>) {
        let free = if way == Way::Up { &self.no_cut } else { &self.no_fill };
        let (bound, problem) = match kept.banked(core, &self.lines, self.bank(way), reaches_m) {
            Ok(bound) => (bound, None),
            Err(problem) => (Arc::clone(core), Some(problem)),
        };
        (kept.unbound(bound, free, way), problem)
    }

    fn bank(&self, way: Way) -> Bank {
        let run_per_rise = if way == Way::Up { self.cut_bank } else { self.fill_bank };
        Bank { way, run_per_rise, owner: self.owner, lead_m: 0.0 }
    }

    /// The middle of its lowest face.
    pub(super) fn lowest_place(&self) -> Option<[f64; 2]> {
        let lattice = self.core.lattice();
        let mean_m = |f: u32| self.core.corner_heights(f).iter().sum::<f64>();
        let face =
            (0..self.core.faces().len() as u32).min_by(|&f, &g| mean_m(f).total_cmp(&mean_m(g)))?;
        let corners = self.core.corners(face).map(|p| lattice.metres(p));
        Some([0, 1].map(|k| corners.iter().map(|c| c[k]).sum::<f64>() / 3.0))
    }
}
