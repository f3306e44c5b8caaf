//! Standing water: the ground below a level that holds together around a place.

use super::region::{Measure, Worst};
use super::side::{faces_at, height_at, next};
use super::trace::{Border, Field, Flats, Tracer};
use crate::{LatticeError, LatticePoint, NONE, Surface};

/// The water that stands at a level around a place.
#[derive(Clone, Debug, PartialEq)]
pub struct Pool {
    /// The water's level, in metres.
    pub level_m: f64,
    /// The water's area in plan, in square metres.
    pub area_m2: f64,
    /// The water's volume, in cubic metres: prisms over the faces, exactly clipped.
    pub volume_m3: f64,
    /// The greatest depth, in metres.
    pub deepest_m: f64,
    /// The first place of that depth, in local metres.
    pub deepest_at: [f64; 2],
    /// The water's edge in local metres: outer rings counter-clockwise, islands clockwise.
    pub rings: Vec<Vec<[f64; 2]>>,
    /// The faces that are wet, wholly or in part, rising.
    pub faces: Vec<u32>,
    /// The deepest place where the water reaches the border of the surface, in local metres: what
    /// holds it there is not known, and the figures cover the surface only.
    pub open_at: Option<[f64; 2]>,
}

/// One line of a stage curve.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Stage {
    /// The water's level, in metres.
    pub level_m: f64,
    /// The water's area in plan, in square metres; zero at and below the ground in the seed.
    pub area_m2: f64,
    /// The water's volume, in cubic metres.
    pub volume_m3: f64,
}

/// Why no pool stands.
#[derive(Clone, Copy, Debug, PartialEq, thiserror::Error)]
pub enum PoolError {
    /// The seed is not a place on the lattice.
    #[error(transparent)]
    Beyond(#[from] LatticeError),
    /// No ground lies under the seed.
    #[error("there is no ground at ({x}, {y}) m")]
    Outside {
        /// Metres east.
        x: f64,
        /// Metres north.
        y: f64,
    },
    /// The level is not a finite number.
    #[error("a water level must be finite, not {0}")]
    Level(f64),
    /// The ground in the seed stands at or above the level.
    #[error("the ground at {ground_m} m is not below the water at {level_m} m")]
    Dry {
        /// Height of the lowest ground in the seed, in metres.
        ground_m: f64,
        /// The level as given.
        level_m: f64,
    },
}

/// The water at `level_m` around `seed`: the part of {ground < level} that holds together with it.
///
/// Water passes an edge where ground is below the level on both sides of it; it does not pass through
/// a single point. Level ground exactly at the level is dry.
///
/// # Errors
/// [`PoolError`] when the seed is off the surface or dry, or the level is not a number.
pub fn pool(surface: &Surface, seed: [f64; 2], level_m: f64) -> Result<Pool, PoolError> {
    let seeds = Seeds::at(surface, seed)?;
    let starts = seeds.below(level_m)?;
    if starts.is_empty() {
        return Err(PoolError::Dry { ground_m: seeds.lowest_m(), level_m });
    }
    let faces = flood(&depth(surface, level_m), starts);
    let mut wet = vec![false; surface.faces().len()];
    faces.iter().for_each(|&f| wet[f as usize] = true);
    let field = depth(surface, level_m);
    let pool = Field {
        surface,
        values: |f| if wet[f as usize] { (field.values)(f) } else { [-1.0; 3] },
        flats: Flats::Outside,
    };
    let rings = Tracer::new(surface).loops(&pool, faces.iter().copied(), Border::Counts);
    let measure = Measure::of(&field, faces.iter().copied());
    let Worst { value: deepest_m, at: deepest_at, .. } =
        measure.worst.expect("the seed's face is below the level");
    Ok(Pool {
        level_m,
        area_m2: measure.area.value(),
        volume_m3: measure.integral.value(),
        deepest_m,
        deepest_at,
        rings: rings.iter().map(|ring| ring.iter().map(|node| node.at).collect()).collect(),
        open_at: open_at(&field, &faces),
        faces,
    })
}

/// Area and volume of the water around `seed` at each of several levels, in the order given.
///
/// # Errors
/// [`PoolError`] when the seed is off the surface or a level is not a number; a dry seed is none.
pub fn stages(surface: &Surface, seed: [f64; 2], levels: &[f64]) -> Result<Vec<Stage>, PoolError> {
    let seeds = Seeds::at(surface, seed)?;
    let stage = |&level_m: &f64| {
        let field = depth(surface, level_m);
        let measure = Measure::of(&field, flood(&field, seeds.below(level_m)?));
        let (area_m2, volume_m3) = (measure.area.value(), measure.integral.value());
        Ok(Stage { level_m, area_m2, volume_m3 })
    };
    levels.iter().map(stage).collect()
}

/// The depth of water at a level, below zero on dry ground.
fn depth(surface: &Surface, level_m: f64) -> Field<'_, impl Fn(u32) -> [f64; 3]> {
    let values = move |f| surface.corner_heights(f).map(|z| level_m - z);
    Field { surface, values, flats: Flats::Outside }
}

/// The faces that hold a seed, and the heights there.
struct Seeds(Vec<(u32, f64)>);

impl Seeds {
    fn at(surface: &Surface, seed: [f64; 2]) -> Result<Self, PoolError> {
        let p: LatticePoint = surface.lattice().snap(seed)?;
        let named = faces_at(surface, p).into_iter();
        let seeds = named.map(|(f, lies)| (f, height_at(surface, f, p, lies))).collect::<Vec<_>>();
        match seeds.is_empty() {
            true => Err(PoolError::Outside { x: seed[0], y: seed[1] }),
            false => Ok(Self(seeds)),
        }
    }

    fn lowest_m(&self) -> f64 {
        self.0.iter().fold(f64::INFINITY, |low, &(_, z)| low.min(z))
    }

    fn below(&self, level_m: f64) -> Result<Vec<u32>, PoolError> {
        if !level_m.is_finite() {
            return Err(PoolError::Level(level_m));
        }
        Ok(self.0.iter().filter(|&&(_, z)| z < level_m).map(|&(f, _)| f).collect())
    }
}

/// The faces that water reaches from the `starts`, rising.
fn flood<V: Fn(u32) -> [f64; 3]>(field: &Field<V>, starts: Vec<u32>) -> Vec<u32> {
    let mut reached = vec![false; field.surface.faces().len()];
    starts.iter().for_each(|&f| reached[f as usize] = true);
    let mut faces = starts.clone();
    let mut ahead = starts;
    while let Some(face_idx) = ahead.pop() {
        for other in (0..3).filter_map(|k| field.above_across(face_idx, k)) {
            if !std::mem::replace(&mut reached[other as usize], true) {
                faces.push(other);
                ahead.push(other);
            }
        }
    }
    faces.sort_unstable();
    faces
}

/// The deepest wet corner on the border.
fn open_at<V: Fn(u32) -> [f64; 3]>(field: &Field<V>, faces: &[u32]) -> Option<[f64; 2]> {
    let mut deepest: Option<(f64, LatticePoint)> = None;
    for &face_idx in faces {
        let (values, corners) = ((field.values)(face_idx), field.surface.corners(face_idx));
        let neighbours = field.surface.faces()[face_idx as usize].neighbours;
        for k in (0..3).filter(|&k| neighbours[k] == NONE).flat_map(|k| [k, next(k)]) {
            if values[k] > 0.0 && deepest.is_none_or(|(depth, _)| values[k] > depth) {
                deepest = Some((values[k], corners[k]));
            }
        }
    }
    deepest.map(|(_, p)| field.surface.lattice().metres(p))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::query::sample;

    #[test]
    fn a_facetted_cone_holds_its_closed_volume() {
        let n = 48;
        let pit = sample::cone(n, 2.0, 0.0, -1.0);
        for level in [-0.9, -0.5, -0.1] {
            let pond = pool(&pit, [0.1, -0.05], level).unwrap();
            let depth = 1.0 + level;
            let radius = 2.0 * depth;
            let sides = f64::from(n);
            let area = 0.5 * sides * radius * radius * libm::sin(std::f64::consts::TAU / sides);
            // The rim's vertices lie within half a lattice step of their places.
            assert!((pond.area_m2 / area - 1.0).abs() < 1e-6);
            assert!((pond.volume_m3 / (area * depth / 3.0) - 1.0).abs() < 1e-6);
            assert!((pond.deepest_m - depth).abs() < 1e-12);
            assert_eq!((pond.deepest_at, pond.rings.len()), ([0.0, 0.0], 1));
            assert_eq!(pond.open_at, None);
        }
    }

    #[test]
    fn water_does_not_pass_a_ridge() {
        let two = sample::grid([8, 4], 1.0, |[x, y]| {
            (x - 2.0).abs().min((x - 6.0).abs()).max((y - 2.0).abs())
        });
        let west = pool(&two, [2.0, 2.0], 1.5).unwrap();
        assert!((west.area_m2 - 9.0).abs() < 1e-9);
        let both = pool(&two, [2.0, 2.0], 2.0).unwrap();
        assert!(both.area_m2 < 16.0 + 1e-9, "the ridge stands at the level");
        let over = pool(&two, [2.0, 2.0], 2.1).unwrap();
        assert!(over.area_m2 > 31.0 && over.open_at.is_some());
    }

    #[test]
    fn a_step_holds_water_up_to_its_top() {
        let below = pool(&sample::terrace(), [0.5, 0.5], 0.6).unwrap();
        assert!((below.area_m2 - 4.0).abs() < 1e-12 && (below.volume_m3 - 2.4).abs() < 1e-12);
        let above = pool(&sample::terrace(), [0.5, 0.5], 1.25).unwrap();
        assert!((above.area_m2 - 8.0).abs() < 1e-12 && (above.volume_m3 - 6.0).abs() < 1e-12);
    }

    #[test]
    fn an_island_is_a_hole() {
        let ring = sample::grid([8, 8], 1.0, |[x, y]| {
            let out = (x - 4.0).abs().max((y - 4.0).abs());
            (out - 2.0).abs()
        });
        let pond = pool(&ring, [2.0, 4.0], 0.5).unwrap();
        assert_eq!(pond.rings.len(), 2);
        assert!((pond.area_m2 - (25.0 - 9.0)).abs() < 1e-9);
    }

    #[test]
    fn stages_rise_with_the_level() {
        let pit = sample::cone(4, 2.0, 0.0, -1.0);
        let curve = stages(&pit, [0.0, 0.0], &[-2.0, -1.0, -0.5, 0.0]).unwrap();
        assert_eq!((curve[0].area_m2, curve[1].volume_m3), (0.0, 0.0));
        assert!((curve[2].area_m2 - 2.0).abs() < 1e-6);
        assert!((curve[3].volume_m3 - 8.0 / 3.0).abs() < 1e-6);
    }

    #[test]
    fn what_holds_no_water_is_refused() {
        let pit = sample::cone(8, 2.0, 0.0, -1.0);
        let refused = |seed, level| pool(&pit, seed, level).unwrap_err();
        assert!(matches!(refused([0.0, 0.0], -1.0), PoolError::Dry { ground_m: -1.0, .. }));
        assert!(matches!(refused([9.0, 0.0], 0.0), PoolError::Outside { .. }));
        assert!(matches!(refused([0.0, 0.0], f64::NAN), PoolError::Level(_)));
        assert!(matches!(refused([f64::NAN, 0.0], 0.0), PoolError::Beyond(_)));
        assert!(stages(&pit, [0.0, 0.0], &[f64::INFINITY]).is_err());
    }
}
