//! From a work's parameters to the band that it asks of the ground.
//!
//! A work yields a band lo ≤ hi over a region, and the ground becomes max(lo, min(hi, ground)): a
//! hill has a lo alone, a basin, a stream and a filter have both, equal within their core and
//! parting along their banks. Daylight is never searched for: it is where the band stops binding.
//!
//! It goes in three steps, each kept by its inputs alone: a [`Form`] from the parameters, a
//! [`Footing`] from the form and the ground that the work finds (a few numbers, which a change of
//! the ground elsewhere leaves as they are), and the [`Band`] from both.

mod bank;
mod basin;
mod filter_bed;
mod hill;
mod intake_bay;
mod kept;
mod notch;
mod outline;
mod pad;
pub(crate) mod path;
mod raised;
mod stream;
mod terraced;
mod vessel;
mod wall;

use std::sync::Arc;

use ground::{Lattice, Surface, Tag, patch};
use site::works::{Basin, Wall};
use site::{Curve, Site, Work, WorkId, WorkKind};

pub(crate) use self::kept::Kept;
use self::outline::Outline;
use self::raised::Raised;
pub(crate) use self::stream::{Knot, StreamLine};
use self::terraced::Terraced;
use self::vessel::Vessel;
use crate::part::Part;
use crate::water::Held;
use crate::{Problem, Shape, WaterBody};

/// How far a chord may lie from its curve, on plan and in a flank's profile.
///
/// A crew sets out to a centimetre and a survey is no better; at the scale of a garden a chord this
/// near looks smooth. Half of it makes half as many faces again, and every edit takes as much longer.
pub(crate) const CHORD_M: f64 = 0.010;

/// The least run of a side inside a vessel: an upright side leans by this much, as a spade leaves it.
pub(crate) const LEAST_RUN_M: f64 = 0.005;

/// What a work is before it meets the ground.
#[derive(Clone, Debug)]
pub(crate) struct Form {
    /// Everything about the shape that is no surface.
    pub(crate) shape: Arc<Shape>,
    body: Option<Body>,
}

#[derive(Clone, Debug)]
enum Body {
    Vessel(Box<Vessel>),
    Raised(Raised),
    Terraced(Box<Terraced>),
}

/// What a band needs to know of the ground that the work finds.
#[derive(Clone, Debug, Default, PartialEq)]
pub(crate) struct Footing {
    /// How far cut banks run at each place of each line; empty where none is needed.
    cut_m: Vec<Vec<f64>>,
    /// How far fill banks and flanks run at each place of each line; empty where none is needed.
    fill_m: Vec<Vec<f64>>,
    /// Elevations of the feet of flanks that ease at the toe, left and right.
    feet_m: [Vec<f64>; 2],
}

/// What a work asks of the ground.
#[derive(Clone, Debug, Default)]
pub(crate) struct Band {
    /// The ground may not stand above this.
    pub(crate) hi: Option<Arc<Surface>>,
    /// The ground may not lie below this.
    pub(crate) lo: Option<Arc<Surface>>,
    /// What is put in place of a lid that both bounds have.
    pub(crate) inlay: Option<Inlay>,
    /// What of its banks could not be made.
    pub(crate) problems: Vec<Problem>,
}

/// A core that is put in place of its lid once that is laid.
#[derive(Clone, Debug)]
pub(crate) struct Inlay {
    /// What the lid's faces carry.
    pub(crate) lid: Tag,
    pub(crate) core: Arc<Surface>,
}

impl Band {
    /// Whether another binds the ground by the very same bounds.
    pub(crate) fn binds_like(&self, other: &Self) -> bool {
        is_same(&self.hi, &other.hi) && is_same(&self.lo, &other.lo)
    }

    /// The work that its faces carry; none where it has none.
    pub(crate) fn owner(&self) -> Option<u32> {
        let mut faces = self.hi.iter().chain(&self.lo).flat_map(|bound| bound.faces());
        faces.find(|face| face.tag.owner != 0).map(|face| face.tag.owner)
    }
}

/// Whether two are the very same surface, or neither is there.
pub(crate) fn is_same(a: &Option<Arc<Surface>>, b: &Option<Arc<Surface>>) -> bool {
    match (a, b) {
        (Some(a), Some(b)) => Arc::ptr_eq(a, b),
        (None, None) => true,
        _ => false,
    }
}

/// Parts from which a change must reach out: a bank or a flank alone moves no earth.
pub(crate) const CORE: [u32; N_CORE] = core_parts();

const N_CORE: usize = PLAIN_CORE.len() + BAND_CORE.len() * N_BANDS as usize;

/// Parts of a core that stand once in a work.
const PLAIN_CORE: [Part; 8] = [
    Part::Rim,
    Part::Bed,
    Part::Crest,
    Part::WallTop,
    Part::Pad,
    Part::Lawn,
    Part::Path,
    Part::Island,
];

/// Parts of a core that each band of a basin may be.
const BAND_CORE: [Part; 3] = [Part::Floor, Part::Side, Part::Shelf];

/// Bands of a basin: outside its first ring, inside each of at most twenty, and one to spare.
const N_BANDS: u32 = 22;

/// The part of a lid: a floor in the band that no basin has.
pub(crate) const LID: u32 = Part::Floor.in_band(N_BANDS - 1);

const fn core_parts() -> [u32; N_CORE] {
    let mut parts = [0; N_CORE];
    let mut i = 0;
    while i < PLAIN_CORE.len() {
        parts[i] = number(PLAIN_CORE[i]);
        i += 1;
    }
    while i < N_CORE {
        let k = i - PLAIN_CORE.len();
        let band = (k / BAND_CORE.len()) as u32;
        parts[i] = BAND_CORE[k % BAND_CORE.len()].in_band(band);
        i += 1;
    }
    parts
}

impl Form {
    /// The form of one work; a poor work has no body, and its shape's problems say why.
    pub(crate) fn of(work: &Work, site: &Site, lattice: Lattice, kept: &mut Kept) -> Self {
        let (owner, unit) = (work.id.0, site.frame.unit);
        match &work.kind {
            WorkKind::Basin(basin) => {
                let other = joined_basin(basin, work.id, site);
                basin::form(&basin::Drawn { basin, other, unit }, owner, lattice, kept)
            }
            WorkKind::Stream(stream) => {
                let joined = joined_outlines(work, site);
                stream::form(&stream::Drawn { stream, joined, unit }, owner, lattice, kept)
            }
            WorkKind::Hill(hill) => hill::form(hill, owner, holding_wall(work, site), lattice),
            WorkKind::Wall(wall) => {
                let [held, _] = joined_outlines(work, site);
                wall::form(&wall::Drawn { wall, held, unit }, owner, lattice)
            }
            WorkKind::FilterBed(bed) => filter_bed::form(bed, owner, lattice),
            WorkKind::IntakeBay(bay) => {
                let [pond, _] = joined_outlines(work, site);
                intake_bay::form(&intake_bay::Drawn { bay, pond, unit }, owner, lattice, kept)
            }
            WorkKind::Pad(pad) => pad::form(pad, owner, lattice),
            WorkKind::PlaneGrade(grade) => pad::lawn(grade, owner, lattice),
            WorkKind::Path(path) => {
                let crossed = crossed(path, site);
                path::form(&path::Drawn { path, crossed, unit }, owner, lattice, kept)
            }
            // Both are dug below the finished ground and change nothing of it.
            WorkKind::Trench(_) | WorkKind::Strip(_) => Self::of_nothing(),
        }
    }

    /// How far its banks and flanks must run on a ground.
    pub(crate) fn footing(&self, ground: &Surface) -> Footing {
        match &self.body {
            Some(Body::Vessel(vessel)) => vessel.footing(ground),
            Some(Body::Raised(raised)) => raised.footing(ground),
            Some(Body::Terraced(wall)) => wall.footing(ground),
            None => Footing::default(),
        }
    }

    /// What it asks of a ground with that footing.
    pub(crate) fn band(&self, footing: &Footing, lattice: Lattice, kept: &mut Kept) -> Band {
        match &self.body {
            Some(Body::Vessel(vessel)) => vessel.band(footing, kept),
            Some(Body::Raised(raised)) => raised.band(footing, lattice, kept),
            Some(Body::Terraced(wall)) => wall.band(footing, lattice, kept),
            None => Band::default(),
        }
    }

    /// The same by its core itself, where a lid does not do.
    pub(crate) fn whole_band(&self, footing: &Footing, lattice: Lattice, kept: &mut Kept) -> Band {
        match &self.body {
            Some(Body::Vessel(vessel)) => vessel.whole_band(footing, kept),
            _ => self.band(footing, lattice, kept),
        }
    }

    /// The water that runs through it.
    pub(crate) fn running(&self) -> Option<&WaterBody> {
        match &self.body {
            Some(Body::Vessel(vessel)) => vessel.running.as_ref(),
            _ => None,
        }
    }

    /// Where water stays in it when none runs.
    pub(crate) fn held(&self) -> &[Held] {
        match &self.body {
            Some(Body::Vessel(vessel)) => &vessel.held,
            _ => &[],
        }
    }

    /// A place on its lowest ground, local metres, where it holds water.
    pub(crate) fn lowest_place(&self) -> Option<[f64; 2]> {
        match &self.body {
            Some(Body::Vessel(vessel)) => vessel.lowest_place(),
            _ => None,
        }
    }

    /// A work that leaves the finished ground as it is.
    fn of_nothing() -> Self {
        Self { shape: Arc::default(), body: None }
    }

    fn new(body: Result<Body, Problem>, mut shape: Shape) -> Self {
        let body = body.map_err(|problem| shape.problems.push(problem)).ok();
        Self { shape: Arc::new(shape), body }
    }
}

/// The outlines of the works that a work joins, as long as they are built: of a stream at its head and
/// at its mouth, of a wall that of the water it holds, of a bay that of its pond. They are all that its
/// form takes from them.
pub(crate) fn joined_outlines<'s>(work: &Work, site: &'s Site) -> [Option<&'s Curve>; 2] {
    let joined = match &work.kind {
        WorkKind::Stream(stream) => [stream.from, stream.into],
        WorkKind::Wall(wall) => [wall.holds, None],
        WorkKind::Path(path) => [path.stones.map(|stones| stones.across), None],
        WorkKind::IntakeBay(bay) => [bay.from, None],
        WorkKind::Basin(basin) => {
            return [joined_basin(basin, work.id, site).map(|other| &other.outline), None];
        }
        WorkKind::Hill(_)
        | WorkKind::FilterBed(_)
        | WorkKind::Pad(_)
        | WorkKind::PlaneGrade(_)
        | WorkKind::Trench(_)
        | WorkKind::Strip(_) => [None; 2],
    };
    joined.map(|id| match &site.work(id?).filter(|work| work.visible)?.kind {
        WorkKind::Basin(basin) => Some(&basin.outline),
        WorkKind::FilterBed(bed) => Some(&bed.outline),
        _ => None,
    })
}

/// The basin that a path crosses on stones, as long as it is built.
fn crossed<'s>(path: &site::works::Path, site: &'s Site) -> Option<path::Crossed<'s>> {
    let across = site.work(path.stones?.across).filter(|work| work.visible)?;
    let WorkKind::Basin(basin) = &across.kind else { return None };
    Some(path::Crossed { outline: &basin.outline, water_m: basin.water_level_m })
}

/// The level of the water that a work's form rests on, where it does.
pub(crate) fn crossed_water_m(work: &Work, site: &Site) -> Option<f64> {
    match &work.kind {
        WorkKind::Path(path) => crossed(path, site).map(|crossed| crossed.water_m),
        WorkKind::Basin(basin) => {
            joined_basin(basin, work.id, site).map(|other| other.water_level_m)
        }
        _ => None,
    }
}

/// The wall that holds a hill, as long as it is built.
pub(crate) fn holding_wall<'s>(work: &Work, site: &'s Site) -> Option<&'s Wall> {
    let WorkKind::Hill(hill) = &work.kind else { return None };
    match &site.work(hill.held_by?).filter(|work| work.visible)?.kind {
        WorkKind::Wall(wall) => Some(wall),
        _ => None,
    }
}

/// The earlier basin whose water one joins, as long as it is built.
pub(crate) fn joined_basin<'s>(basin: &Basin, id: WorkId, site: &'s Site) -> Option<&'s Basin> {
    let mut earlier = site.works.iter().take_while(|work| work.id != id);
    let other = earlier.find(|work| Some(work.id) == basin.joins && work.visible)?;
    match &other.kind {
        WorkKind::Basin(other) => Some(other),
        _ => None,
    }
}

/// The part's number as faces carry it.
pub(crate) const fn number(part: Part) -> u32 {
    part as u32
}

/// The level triangles inside a ring; none where the ring encloses nothing.
pub(crate) fn flat_triangles(lattice: Lattice, ring: &[[f64; 2]], z_m: f64) -> Vec<[[f64; 3]; 3]> {
    let points = ring.iter().map(|&p| (p, z_m)).collect();
    let surface = patch::rings(lattice, &[patch::Ring3 { points, part: 0 }], &[], 0);
    surface.map(|surface| triangles(&surface)).unwrap_or_default()
}

/// A closed curve's places, counter-clockwise; none where it makes no ring.
pub(crate) fn outline_ring(lattice: Lattice, drawn: &Curve) -> Option<Vec<[f64; 2]>> {
    Outline::ring(lattice, drawn).ok().map(|ring| ring.points)
}

/// A surface's triangles, local metres.
pub(crate) fn triangles(surface: &Surface) -> Vec<[[f64; 3]; 3]> {
    let lattice = surface.lattice();
    (0..surface.faces().len() as u32)
        .map(|f| {
            let (places, z) = (surface.corners(f), surface.corner_heights(f));
            [0, 1, 2].map(|k| {
                let [x, y] = lattice.metres(places[k]);
                [x, y, z[k]]
            })
        })
        .collect()
}
