//! Stones: seated, a third buried, long side along the water or the wall.

use bevy::math::{EulerRot, Quat, Vec3};

use super::seed::Seed;
use super::shape::{Corner, Shape};
use super::stuff::Stuff;

/// How a stone was made.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Cut {
    /// Rounded by water and time.
    Field,
    /// Split to be laid in courses.
    Laid,
}

/// One stone where it lies.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Stone {
    /// Its middle in the scene.
    pub at: Vec3,
    /// The direction of its long side in the scene, level.
    pub along: Vec3,
    /// Half its length, height and depth, in metres.
    pub half: Vec3,
    /// How it was made.
    pub cut: Cut,
    /// Its own number, from which its shape and tint come.
    pub number: usize,
}

/// Divisions of each side of the cube that a stone is worked from: a pebble needs few.
fn divisions(half: Vec3) -> i32 {
    match half.max_element() {
        size if size < 0.05 => 2,
        size if size < 0.15 => 4,
        _ => 5,
    }
}

/// Adds a stone to a shape.
pub(crate) fn add(shape: &mut Shape, stone: &Stone) {
    let mut seed = Seed::of_index(stone.number, 0x57_0E);
    let grey = seed.between(0.80, 1.14);
    let warm = seed.between(-0.05, 0.06);
    let tint = Vec3::new(grey + warm, grey, grey - warm);
    let tilt = match stone.cut {
        Cut::Field => 0.16,
        Cut::Laid => 0.035,
    };
    let yaw = f32::atan2(-stone.along.z, stone.along.x) + seed.between(-tilt, tilt) * 1.6;
    let lean = [seed.between(-tilt, tilt), seed.between(-tilt, tilt)];
    let turn = Quat::from_euler(EulerRot::YXZ, yaw, lean[0], lean[1]);
    let body = Body::new(&mut seed, stone.cut);
    for face in 0..6 {
        add_side(shape, face, divisions(stone.half), &|p: Vec3| {
            let at = |p: Vec3| stone.at + turn * (body.surface(p) * stone.half);
            let (here, e) = (at(p), 0.05);
            let (one, two) = Body::tangents(p);
            let normal = (at(p + one * e) - here).cross(at(p + two * e) - here);
            // The foot of a seated stone lies in its own shade.
            let open = 0.45 + 0.55 * ((p.y + 0.9) / 1.3).clamp(0.0, 1.0);
            Corner::new(here, normal.normalize_or(Vec3::Y), Stuff::Stone).tinted(tint).open(open)
        });
    }
}

/// The form of a stone: a rounded cube, dented by noise and with a few flat breaks.
struct Body {
    round: f32,
    offset: Vec3,
    rough: f32,
    breaks: [(Vec3, f32); 4],
}

impl Body {
    fn new(seed: &mut Seed, cut: Cut) -> Self {
        let (round, rough, depth) = match cut {
            Cut::Field => (2.5, 0.17, [0.62, 0.86]),
            Cut::Laid => (6.0, 0.07, [0.86, 1.02]),
        };
        let offset =
            Vec3::new(seed.between(0.0, 60.0), seed.between(0.0, 60.0), seed.between(0.0, 60.0));
        let breaks = std::array::from_fn(|_| {
            let way = Vec3::new(
                seed.between(-1.0, 1.0),
                seed.between(-0.3, 1.0),
                seed.between(-1.0, 1.0),
            );
            (way.normalize_or(Vec3::Y), seed.between(depth[0], depth[1]))
        });
        Self { round, offset, rough, breaks }
    }

    /// The stone's surface in the direction of `p`, within the cube from -1 to 1.
    fn surface(&self, p: Vec3) -> Vec3 {
        let a = p.abs();
        let n = self.round;
        let norm = (a.x.powf(n) + a.y.powf(n) + a.z.powf(n)).powf(1.0 / n);
        let mut q = p / norm.max(1e-4);
        let way = q.normalize_or(Vec3::Y);
        q *= 1.0
            + self.rough * (solid_noise(way * 1.7 + self.offset) - 0.5) * 2.0
            + 0.4 * self.rough * (solid_noise(way * 4.3 + self.offset) - 0.5) * 2.0;
        for (normal, reach) in self.breaks {
            let beyond = q.dot(normal) - reach;
            if beyond > 0.0 {
                q -= normal * beyond * 0.92;
            }
        }
        q
    }

    /// Two ways across the direction `p` such that their cross product points outward.
    fn tangents(p: Vec3) -> (Vec3, Vec3) {
        let way = p.normalize_or(Vec3::Y);
        let one = way.any_orthonormal_vector();
        (one, way.cross(one))
    }
}

fn add_side(shape: &mut Shape, face: usize, n: i32, corner: &dyn Fn(Vec3) -> Corner) {
    let (normal, right) = [
        (Vec3::X, Vec3::NEG_Z),
        (Vec3::NEG_X, Vec3::Z),
        (Vec3::Y, Vec3::X),
        (Vec3::NEG_Y, Vec3::X),
        (Vec3::Z, Vec3::X),
        (Vec3::NEG_Z, Vec3::NEG_X),
    ][face];
    let up = normal.cross(right);
    let mut names = Vec::with_capacity(((n + 1) * (n + 1)) as usize);
    for row in 0..=n {
        for column in 0..=n {
            let u = column as f32 / n as f32 * 2.0 - 1.0;
            let v = row as f32 / n as f32 * 2.0 - 1.0;
            names.push(shape.corner(corner(normal + right * u + up * v)));
        }
    }
    for row in 0..n {
        for column in 0..n {
            let at = |r: i32, c: i32| names[(r * (n + 1) + c) as usize];
            shape.triangle([at(row, column), at(row, column + 1), at(row + 1, column + 1)]);
            shape.triangle([at(row, column), at(row + 1, column + 1), at(row + 1, column)]);
        }
    }
}

/// Smooth noise in space, from zero to one.
pub(crate) fn solid_noise(p: Vec3) -> f32 {
    let cell = p.floor();
    let f = p - cell;
    let s = f * f * (Vec3::splat(3.0) - 2.0 * f);
    let base = cell.as_ivec3();
    let at = |x: i32, y: i32, z: i32| {
        Seed::of_cell([base.x + x, base.y + y], (base.z + z) as u32 as u64 ^ 0xA0A0).unit()
    };
    let mix = |a: f32, b: f32, t: f32| a + (b - a) * t;
    let plane = |z: i32| {
        let south = mix(at(0, 0, z), at(1, 0, z), s.x);
        let north = mix(at(0, 1, z), at(1, 1, z), s.x);
        mix(south, north, s.y)
    };
    mix(plane(0), plane(1), s.z)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_stone_keeps_to_its_room_and_has_a_closed_skin() {
        let stone = Stone {
            at: Vec3::new(3.0, 1.0, -2.0),
            along: Vec3::X,
            half: Vec3::new(0.4, 0.2, 0.3),
            cut: Cut::Field,
            number: 7,
        };
        let mut shape = Shape::default();
        add(&mut shape, &stone);
        assert_eq!(shape.n_triangles(), 6 * 2 * 5 * 5);
        assert_eq!(shape, {
            let mut again = Shape::default();
            add(&mut again, &stone);
            again
        });
    }
}
