//! What lies around the survey: nothing is invented there.
//!
//! Beyond an inked line the ground pales within a few strides and eases from the survey's border to
//! one level, into haze and hedges; it stands for nothing measured and carries no number.

use std::collections::BTreeMap;
use std::f32::consts::TAU;

use bevy::math::Vec3;
use ground::{NONE, Surface};

use super::plants::{blob, fringe};
use super::seed::{Seed, patch_noise};
use super::shape::{Corner, Shape};
use super::stuff::Stuff;
use super::terrain::{Lie, corner_places};
use crate::frame::{Extent, SceneFrame};
use crate::theme::paper;

/// One stretch of the survey's border, its places in local metres.
type Stretch = [[f64; 3]; 2];

/// How far the wash reaches beyond the survey's middle, in its own radii.
const REACH: f64 = 9.0;

/// The border of a surface: edges that no second face shares, the survey on their left.
pub(crate) fn border(surface: &Surface) -> Vec<Stretch> {
    let mut border = Vec::new();
    for (idx, face) in surface.faces().iter().enumerate() {
        let places = corner_places(surface, idx as u32);
        for edge in 0..3 {
            if face.neighbours[edge] == NONE {
                border.push([places[edge], places[(edge + 1) % 3]]);
            }
        }
    }
    border
}

/// The inked line along the border, lying a finger above the ground.
pub(crate) fn border_line(border: &[Stretch], frame: SceneFrame) -> Shape {
    const HALF_M: f32 = 0.014;
    const DASH_M: f32 = 0.45;
    let mut shape = Shape::default();
    for [a, b] in border {
        let (from, to) = (frame.scene(*a), frame.scene(*b));
        let way = to - from;
        let along = way.normalize_or(Vec3::X);
        let side = Vec3::new(-along.z, 0.0, along.x).normalize_or(Vec3::X) * HALF_M;
        let n = (way.length() / (2.0 * DASH_M)).ceil().max(1.0) as usize;
        for k in 0..n {
            let start = from + way * (k as f32 / n as f32);
            let end = from + way * ((k as f32 + 0.6) / n as f32);
            let lift = Vec3::Y * 0.025;
            let corners = [start - side, start + side, end + side, end - side].map(|at| {
                Corner::new(at + lift, Vec3::Y, Stuff::Plain).tinted(paper::SECOND.linear())
            });
            let names = corners.map(|corner| shape.corner(corner));
            shape.triangle([names[0], names[1], names[2]]);
            shape.triangle([names[0], names[2], names[3]]);
        }
    }
    shape
}

/// The pale wash around the survey: it begins at the border and eases outward to one level.
pub(crate) fn wash(border: &[Stretch], lie: &Lie, extent: Extent, frame: SceneFrame) -> Shape {
    let mut shape = Shape::default();
    for line in outer_lines(border) {
        skirt(&mut shape, &line, lie, &Ease::of(border, extent), frame);
    }
    shape
}

/// Rings of the wash around one line of the border, each farther out.
fn skirt(shape: &mut Shape, line: &[[f64; 3]], lie: &Lie, ease: &Ease, frame: SceneFrame) {
    let n = line.len();
    let out: Vec<[f64; 2]> = (0..n).map(|k| outward(line, k)).collect();
    let place = |ring: usize, k: usize| -> [f64; 3] {
        let (from, off) = (line[k % n], ease.reaches[ring]);
        let radial = unit([from[0] - ease.middle[0], from[1] - ease.middle[1]]);
        // Near the border it follows the border, far out it is round.
        let share = off / (off + 0.35 * ease.radius_m);
        let way = unit([0, 1].map(|i| out[k % n][i] * (1.0 - share) + radial[i] * share));
        let at = [from[0] + way[0] * off, from[1] + way[1] * off];
        // Under the survey's own ground nothing may show.
        let sink = if off > 0.0 && lie.face_at(at).is_some() { 1.0 } else { 0.0 };
        [at[0], at[1], ease.height(from[2], off) - sink]
    };
    let names: Vec<Vec<u32>> = (0..ease.reaches.len())
        .map(|ring| {
            (0..n)
                .map(|k| {
                    let at = |ring: usize, k: usize| frame.scene(place(ring, k));
                    let along = at(ring, k + 1) - at(ring, k + n - 1);
                    let onward = at((ring + 1).min(ease.reaches.len() - 1), k)
                        - at(ring.saturating_sub(1), k);
                    let up = onward.cross(along).normalize_or(Vec3::Y);
                    let up = if up.y < 0.0 { -up } else { up };
                    let corner = Corner::new(at(ring, k), up, Stuff::Beyond);
                    shape.corner(corner.risen(ease.reaches[ring] as f32))
                })
                .collect()
        })
        .collect();
    for (inner, outer) in names.windows(2).map(|pair| (&pair[0], &pair[1])) {
        for k in 0..n {
            let next = (k + 1) % n;
            shape.triangle([inner[k], outer[k], outer[next]]);
            shape.triangle([inner[k], outer[next], inner[next]]);
        }
    }
}

/// The border's lines with the survey inside, cut fine enough to bend.
fn outer_lines(border: &[Stretch]) -> Vec<Vec<[f64; 3]>> {
    const LONGEST_M: f64 = 1.5;
    let key = |p: [f64; 3]| [p[0].to_bits(), p[1].to_bits()];
    let mut onward: BTreeMap<[u64; 2], Stretch> = border.iter().map(|s| (key(s[0]), *s)).collect();
    let mut lines = Vec::new();
    while let Some((start, _)) = onward.first_key_value() {
        let mut at = *start;
        let mut line = Vec::new();
        let mut twice_area = 0.0;
        while let Some([a, b]) = onward.remove(&at) {
            let n = (libm::hypot(b[0] - a[0], b[1] - a[1]) / LONGEST_M).ceil().max(1.0);
            line.extend((0..n as usize).map(|k| -> [f64; 3] {
                std::array::from_fn(|i| a[i] + (b[i] - a[i]) * k as f64 / n)
            }));
            twice_area += a[0] * b[1] - a[1] * b[0];
            at = key(b);
        }
        // A line the other way round bounds a hole, which stays one.
        if twice_area > 0.0 && line.len() > 2 {
            lines.push(line);
        }
    }
    lines
}

fn outward(line: &[[f64; 3]], k: usize) -> [f64; 2] {
    let n = line.len();
    let (before, after) = (line[(k + n - 1) % n], line[(k + 1) % n]);
    unit([after[1] - before[1], before[0] - after[0]])
}

fn unit(way: [f64; 2]) -> [f64; 2] {
    let length = libm::hypot(way[0], way[1]).max(1e-9);
    way.map(|c| c / length)
}

/// How the wash eases from the border's heights to their mean.
struct Ease {
    middle: [f64; 3],
    radius_m: f64,
    level: f64,
    /// Distances of its rings from the border, in metres.
    reaches: Vec<f64>,
}

impl Ease {
    fn of(border: &[Stretch], extent: Extent) -> Self {
        let radius_m = extent.radius_m().max(2.0);
        let (sum, length) = border.iter().fold((0.0, 0.0), |(sum, total), [a, b]| {
            let length = libm::hypot(b[0] - a[0], b[1] - a[1]);
            (sum + length * 0.5 * (a[2] + b[2]), total + length)
        });
        let level = if length > 0.0 { sum / length } else { extent.low[2] };
        let mut reaches = vec![0.0, 0.25, 0.6];
        let mut off = 1.1;
        while off < radius_m * REACH {
            reaches.push(off);
            off *= 1.35;
        }
        Self { middle: extent.centre(), radius_m, level, reaches }
    }

    /// The wash's height so far out from a border of height `z`.
    fn height(&self, z: f64, off: f64) -> f64 {
        let ease = (off / (1.2 * self.radius_m + 6.0)).min(1.0);
        z + (self.level - z) * ease * ease * (3.0 - 2.0 * ease)
    }
}

/// Hedges and trees far out, before the sky.
pub(crate) fn horizon(extent: Extent, border: &[Stretch], frame: SceneFrame) -> Shape {
    let mut shape = Shape::default();
    let (centre, radius) = (extent.centre(), extent.radius_m());
    let ease = Ease::of(border, extent);
    for (row, band) in ROWS.into_iter().enumerate() {
        let distance = radius * (1.15 + 1.6 * band.far) + 9.0 + 14.0 * band.far;
        let n = (f64::from(TAU) * distance / f64::from(band.apart_m)) as usize;
        for k in 0..n {
            let mut seed = Seed::of_index(k, 0x4ED6E + row as u64);
            let angle = f64::from(TAU) * (k as f64 + 0.5 * f64::from(seed.unit())) / n as f64;
            let out = distance * (1.0 + 0.10 * f64::from(seed.between(-1.0, 1.0)));
            let at = [centre[0] + out * libm::cos(angle), centre[1] + out * libm::sin(angle)];
            // Gaps let the haze through.
            if patch_noise(at, 7.0, 41 + row as u64) < 0.16 {
                continue;
            }
            let tall = patch_noise(at, 6.0, 31 + row as u64) * 0.7 + 0.3 * seed.unit();
            let height = band.low_m + (band.high_m - band.low_m) * tall;
            let foot = frame.scene([at[0], at[1], wash_height(at, border, &ease)]);
            crown(&mut shape, foot, height, band.slender, &mut seed);
        }
    }
    shape
}

/// One band of growth around the garden.
struct Band {
    /// How far out it stands, beyond the nearest.
    far: f64,
    low_m: f32,
    high_m: f32,
    apart_m: f32,
    /// Width of a crown as a share of its height.
    slender: f32,
}

const ROWS: [Band; 3] = [
    Band { far: 0.0, low_m: 1.3, high_m: 3.0, apart_m: 1.3, slender: 0.62 },
    Band { far: 0.7, low_m: 3.0, high_m: 6.5, apart_m: 3.6, slender: 0.50 },
    Band { far: 1.6, low_m: 4.5, high_m: 9.0, apart_m: 7.5, slender: 0.60 },
];

/// A shrub or a tree: a few lumps of leaves grown into each other.
fn crown(shape: &mut Shape, foot: Vec3, height: f32, slender: f32, seed: &mut Seed) {
    let shade = seed.between(0.74, 1.12);
    let hue = seed.between(0.80, 1.20);
    let tint = Vec3::new(shade * hue, shade, shade * seed.between(0.75, 1.0));
    let wide = height * slender * seed.between(0.8, 1.2);
    let n_lumps = if height < 3.0 { 3 } else { 5 };
    for k in 0..n_lumps {
        // Evenly round the crown and from its skirt to its top, each lump a little off its place.
        let up = (k as f32 + seed.between(0.3, 0.9)) / n_lumps as f32;
        let round = 2.4 * k as f32 + seed.between(0.0, 0.8);
        let bulge = (1.0 - (1.7 * up - 0.75).powi(2)).max(0.1).sqrt();
        let off = wide * 0.62 * bulge;
        let at = Vec3::new(round.cos() * off, height * (0.16 + 0.62 * up), round.sin() * off);
        let size = height * seed.between(0.19, 0.27);
        let half = Vec3::new(size * 1.15, size, size * 1.15);
        let offset = Vec3::splat(seed.between(0.0, 80.0));
        let tint = tint * seed.between(0.86, 1.10) * (0.80 + 0.28 * up);
        blob(shape, foot + at, half, tint * 0.86, offset, Stuff::Foliage);
        fringe(shape, foot + at, half, tint, offset);
    }
    // What the lumps grow on, and what keeps them from being seen through.
    let half = Vec3::new(0.72 * wide, 0.44 * height, 0.72 * wide);
    let middle = foot + Vec3::Y * 0.44 * height;
    blob(shape, middle, half, tint * 0.62, Vec3::splat(3.0), Stuff::Foliage);
}

/// A dome that holds everything, drawn from within.
pub(crate) fn dome(extent: Extent, frame: SceneFrame) -> Shape {
    let mut shape = Shape::default();
    let middle = frame.scene(extent.centre());
    let radius = (extent.radius_m() * REACH * 1.4).max(180.0) as f32;
    blob_inward(&mut shape, middle, radius);
    shape
}

fn blob_inward(shape: &mut Shape, middle: Vec3, radius: f32) {
    const AROUND: usize = 32;
    const UP: usize = 16;
    let names: Vec<Vec<u32>> = (0..=UP)
        .map(|ring| {
            let polar = std::f32::consts::PI * ring as f32 / UP as f32;
            (0..=AROUND)
                .map(|k| {
                    let round = TAU * k as f32 / AROUND as f32;
                    let way = Vec3::new(
                        polar.sin() * round.cos(),
                        polar.cos(),
                        polar.sin() * round.sin(),
                    );
                    shape.corner(Corner::new(middle + way * radius, -way, Stuff::Plain))
                })
                .collect()
        })
        .collect();
    for ring in 0..UP {
        for k in 0..AROUND {
            let (a, b) = (names[ring][k], names[ring][k + 1]);
            let (c, d) = (names[ring + 1][k], names[ring + 1][k + 1]);
            shape.triangle([a, d, b]);
            shape.triangle([a, c, d]);
        }
    }
}

/// Height of the wash at a place: that of the nearest border, eased by its distance.
fn wash_height(at: [f64; 2], border: &[Stretch], ease: &Ease) -> f64 {
    let mut nearest = (f64::INFINITY, ease.level);
    for [a, b] in border {
        let d = [b[0] - a[0], b[1] - a[1]];
        let length2 = d[0] * d[0] + d[1] * d[1];
        let along = ((at[0] - a[0]) * d[0] + (at[1] - a[1]) * d[1]) / length2.max(1e-12);
        let t = along.clamp(0.0, 1.0);
        let off = libm::hypot(at[0] - a[0] - d[0] * t, at[1] - a[1] - d[1] * t);
        if off < nearest.0 {
            nearest = (off, a[2] + (b[2] - a[2]) * t);
        }
    }
    ease.height(nearest.1, nearest.0)
}
