//! Where plants grow: the filter's gravel, the flanks, the shelves, and grass near the eye.
//!
//! Planting is dressing: it follows from places alone, moves with no number and is never measured.

use bevy::math::Vec3;
use design::part::Part;
use site::{Site, WorkId, WorkKind};

use super::plants::{self, Mound, Tuft};
use super::seed::{Seed, patch_noise};
use super::shape::Shape;
use super::stuff::{self, Stuff};
use super::terrain::Lie;
use crate::frame::{Extent, SceneFrame};

/// What planting reads.
pub(crate) struct Bed<'a> {
    pub(crate) site: &'a Site,
    pub(crate) finished: &'a Lie,
    pub(crate) frame: SceneFrame,
}

/// Reach of single blades around the eye, in metres.
const BLADES_REACH_M: f64 = 8.5;

/// Side of the cells in which blades are scattered, in metres.
const BLADES_CELL_M: f64 = 0.25;

/// Plants of one work within the box around its ground, keyed by their places.
pub(crate) fn planted(bed: &Bed<'_>, work: WorkId, extent: Extent) -> Shape {
    let mut shape = Shape::default();
    scatter(extent, 0.32, 0x9127, &mut |at, mut seed| {
        let Some(face) = bed.finished.face_at(at) else { return };
        let tag = bed.finished.surface().faces()[face as usize].tag;
        if tag.owner == work.0 {
            grow(&mut shape, bed, work, at, Part::of(tag.part), &mut seed);
        }
    });
    lawn_edge(&mut shape, bed, work);
    shape
}

/// Longer grass where the lawn ends at a work, so that no edge is cut with a knife.
fn lawn_edge(shape: &mut Shape, bed: &Bed<'_>, work: WorkId) {
    const TUFTS_PER_M: f64 = 24.0;
    let surface = bed.finished.surface();
    for (idx, face) in surface.faces().iter().enumerate() {
        let is_lawn = || {
            let (owner, part) = (face.tag.owner, face.tag.part);
            stuff::of_part(bed.site, owner, part) == Stuff::Lawn
        };
        if face.tag.owner != work.0 || is_lawn() {
            continue;
        }
        let places = super::terrain::corner_places(surface, idx as u32);
        for edge in 0..3 {
            let across = surface.faces().get(face.neighbours[edge] as usize);
            if across.is_none_or(|other| other.tag.owner != 0) {
                continue;
            }
            let (a, b) = (places[edge], places[(edge + 1) % 3]);
            let mut seed = Seed::of_cell([0, 1].map(|i| (a[i] * 64.0) as i32), 0x1A3);
            let length = libm::hypot(b[0] - a[0], b[1] - a[1]);
            let n_blades = (length * TUFTS_PER_M * 5.0 + f64::from(seed.unit())) as usize;
            for _ in 0..n_blades {
                let t = f64::from(seed.unit());
                let at: [f64; 3] = std::array::from_fn(|i| a[i] + (b[i] - a[i]) * t);
                let off = f64::from(seed.between(-0.05, 0.05));
                let at = [at[0] + off, at[1] + f64::from(seed.between(-0.05, 0.05)), at[2]];
                let height = seed.between(0.03, 0.085);
                let tint = Vec3::new(1.0, 1.02, 0.9) * seed.between(0.8, 1.15);
                plants::grass_blade(shape, bed.frame.scene(at), height, tint, &mut seed);
            }
        }
    }
}

/// Rushes on a filter's gravel, wherever the gravel stands above the ground under it.
pub(crate) fn on_gravel(shape: &mut Shape, bed: &Bed<'_>, gravel: &[[[f64; 3]; 3]]) {
    let mut extent = Extent::nothing();
    for place in gravel.iter().flatten() {
        extent.take_in(*place);
    }
    if extent.low[0] > extent.high[0] {
        return;
    }
    scatter(extent, 0.34, 0x6EE7, &mut |at, mut seed| {
        let top = gravel.iter().find(|corners| holds(corners, at)).map(|corners| corners[0][2]);
        let ground = bed.finished.elevation(at);
        if let (Some(top), Some(ground)) = (top, ground)
            && top > ground + 0.04
            && seed.unit() < 0.30 + 0.70 * patch_noise(at, 0.9, 14)
        {
            let foot = bed.frame.scene([at[0], at[1], top]);
            rushes(shape, foot, &mut seed, patch_noise(at, 1.1, 11));
        }
    });
}

/// Whether a triangle holds a place in plan.
fn holds(corners: &[[f64; 3]; 3], at: [f64; 2]) -> bool {
    let side = |k: usize| {
        let (a, b) = (corners[k], corners[(k + 1) % 3]);
        (b[0] - a[0]) * (at[1] - a[1]) - (b[1] - a[1]) * (at[0] - a[0])
    };
    let sides = [side(0), side(1), side(2)];
    sides.iter().all(|s| *s >= 0.0) || sides.iter().all(|s| *s <= 0.0)
}

/// Blades of grass around a place, thinning outward.
pub(crate) fn grass(bed: &Bed<'_>, around: [f64; 2]) -> Shape {
    let mut shape = Shape::default();
    let reach = BLADES_REACH_M;
    let extent = Extent {
        low: [around[0] - reach, around[1] - reach, 0.0],
        high: [around[0] + reach, around[1] + reach, 0.0],
    };
    each_cell(extent, BLADES_CELL_M, &mut |cell| {
        let mut seed = Seed::of_cell(cell, 0x6A55);
        let middle = cell.map(|c| (f64::from(c) + 0.5) * BLADES_CELL_M);
        let far = libm::hypot(middle[0] - around[0], middle[1] - around[1]) / reach;
        let share = (1.0 - far * far).max(0.0);
        let n_blades = (95.0 * share) as usize;
        for _ in 0..n_blades {
            let at = cell.map(|c| (f64::from(c) + f64::from(seed.unit())) * BLADES_CELL_M);
            let Some(face) = bed.finished.face_at(at) else { continue };
            let tag = bed.finished.surface().faces()[face as usize].tag;
            if stuff::of_part(bed.site, tag.owner, tag.part) != Stuff::Lawn {
                continue;
            }
            let Some(z) = bed.finished.elevation(at) else { continue };
            let patch = patch_noise(at, 1.3, 3);
            let tint = Vec3::new(1.0 + 0.12 * patch, 1.02, 0.92) * seed.between(0.84, 1.16);
            let height = seed.between(0.020, 0.046) * (0.8 + 0.5 * patch);
            let foot = bed.frame.scene([at[0], at[1], z - 0.003]);
            plants::grass_blade(&mut shape, foot, height, tint, &mut seed);
        }
    });
    shape
}

fn grow(shape: &mut Shape, bed: &Bed<'_>, work: WorkId, at: [f64; 2], part: Part, seed: &mut Seed) {
    let Some(kind) = bed.site.work(work).map(|work| &work.kind) else { return };
    let Some(ground) = bed.finished.elevation(at) else { return };
    let foot = bed.frame.scene([at[0], at[1], ground]);
    match (kind, part) {
        (WorkKind::Basin(basin), Part::Shelf | Part::Side) => {
            let depth = basin.water_level_m - ground;
            // In stands, thick where they grow at all.
            if (0.02..0.42).contains(&depth) && patch_noise(at, 1.5, 12) > 0.68 {
                rushes(shape, foot, seed, 0.45 + depth as f32);
            }
        }
        (WorkKind::Basin(basin), Part::Floor) => {
            let depth = basin.water_level_m - ground;
            if depth > 0.3 && patch_noise(at, 1.4, 13) > 0.70 {
                let level = bed.frame.scene([at[0], at[1], basin.water_level_m + 0.008]);
                plants::lily_pad(shape, level, seed.between(0.08, 0.15), seed);
            }
        }
        (WorkKind::Basin(_), Part::Rim) if patch_noise(at, 1.2, 15) > 0.74 && seed.unit() < 0.5 => {
            sedge(shape, foot, seed);
        }
        (WorkKind::PlaneGrade(_) | WorkKind::Path(_), Part::CutBank | Part::FillBank) => {}
        (_, Part::CutBank) if seed.unit() < 0.75 => border(shape, foot, seed, at),
        (_, Part::Flank | Part::Crest | Part::FillBank | Part::Backfill) => {
            border(shape, foot, seed, at);
        }
        (WorkKind::FilterBed(_), Part::Rim) if seed.unit() < 0.5 => border(shape, foot, seed, at),
        _ => {}
    }
}

fn rushes(shape: &mut Shape, foot: Vec3, seed: &mut Seed, vigour: f32) {
    let height = seed.between(0.32, 0.62) * (0.75 + 0.5 * vigour);
    let broad = seed.unit() < 0.4;
    plants::tuft(
        shape,
        Tuft {
            foot,
            height,
            spread: if broad { 0.55 } else { 0.28 },
            n_blades: if broad { 13 } else { 22 },
            width: if broad { 0.030 } else { 0.011 },
            tint: Vec3::new(0.80, 1.0, 0.72) * seed.between(0.8, 1.15),
        },
        seed,
    );
}

/// A clump of broad fronds.
fn fern(shape: &mut Shape, foot: Vec3, seed: &mut Seed) {
    plants::tuft(
        shape,
        Tuft {
            foot,
            height: seed.between(0.24, 0.40),
            spread: 1.1,
            n_blades: 26,
            width: 0.032,
            tint: Vec3::new(0.62, 0.95, 0.48) * seed.between(0.85, 1.1),
        },
        seed,
    );
}

/// A low clump of fine leaves that arch to the ground.
fn sedge(shape: &mut Shape, foot: Vec3, seed: &mut Seed) {
    plants::tuft(
        shape,
        Tuft {
            foot,
            height: seed.between(0.24, 0.44),
            spread: 0.85,
            n_blades: 34,
            width: 0.009,
            tint: Vec3::new(1.15, 1.10, 0.68) * seed.between(0.80, 1.1),
        },
        seed,
    );
}

/// Cushions and grasses of a planted flank, in drifts of one kind.
fn border(shape: &mut Shape, foot: Vec3, seed: &mut Seed, at: [f64; 2]) {
    let drift = patch_noise(at, 1.7, 21);
    let kind = patch_noise(at, 2.6, 22);
    if seed.unit() > 0.25 + 0.65 * drift {
        return;
    }
    if kind < 0.34 {
        return sedge(shape, foot, seed);
    }
    const LILAC: Vec3 = Vec3::new(2.4, 0.80, 11.0);
    const ROSE: Vec3 = Vec3::new(4.4, 0.90, 6.5);
    const CREAM: Vec3 = Vec3::new(4.8, 2.7, 11.0);
    let (tint, flowers) = match kind {
        k if k < 0.46 => (Vec3::new(0.80, 0.96, 0.95), Some(LILAC)),
        k if k < 0.58 => return fern(shape, foot, seed),
        k if k < 0.68 => (Vec3::new(0.80, 1.05, 0.55), None),
        k if k < 0.80 => (Vec3::new(1.0, 1.08, 0.65), Some(CREAM)),
        _ => (Vec3::new(0.62, 0.82, 0.52), Some(ROSE)),
    };
    let radius = seed.between(0.14, 0.30);
    plants::mound(
        shape,
        Mound { foot, radius, height: radius * seed.between(0.7, 1.05), tint, flowers },
        seed,
    );
}

/// Visits one place in every cell of a grid, each with numbers of its own.
fn scatter(extent: Extent, cell_m: f64, salt: u64, visit: &mut impl FnMut([f64; 2], Seed)) {
    each_cell(extent, cell_m, &mut |cell| {
        let mut seed = Seed::of_cell(cell, salt);
        let at = cell.map(|c| (f64::from(c) + f64::from(seed.unit())) * cell_m);
        visit(at, seed);
    });
}

fn each_cell(extent: Extent, cell_m: f64, visit: &mut impl FnMut([i32; 2])) {
    let low = [0, 1].map(|i| (extent.low[i] / cell_m).floor() as i32);
    let high = [0, 1].map(|i| (extent.high[i] / cell_m).ceil() as i32);
    for north in low[1]..high[1] {
        for east in low[0]..high[0] {
            visit([east, north]);
        }
    }
}
