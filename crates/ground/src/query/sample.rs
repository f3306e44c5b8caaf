//! Small surfaces for the tests of this folder.

use std::collections::BTreeMap;

use crate::{Face, Lattice, LatticePoint, NONE, Surface, Tag};

/// A surface of one triangle with corners `[x, y, z]`.
pub(super) fn triangle(corners: [[f64; 3]; 3]) -> Surface {
    patches(&[corners.to_vec()])
}

/// A surface of convex flat-edged patches, each a counter-clockwise ring of `[x, y, z]` cut into a
/// fan; where patches name different heights for a place, a step stands.
pub(super) fn patches(rings: &[Vec<[f64; 3]>]) -> Surface {
    let lattice = Lattice::default();
    let mut places: BTreeMap<LatticePoint, u32> = BTreeMap::new();
    let (mut vertices, mut heights, mut faces) = (Vec::new(), Vec::new(), Vec::new());
    for ring in rings {
        for k in 1..ring.len() - 1 {
            let corners = [ring[0], ring[k], ring[k + 1]];
            let named = corners.map(|[x, y, z]| {
                let place = lattice.snap([x, y]).expect("samples lie within reach");
                let vertex = *places.entry(place).or_insert_with(|| {
                    vertices.push(place);
                    vertices.len() as u32 - 1
                });
                heights.push(z);
                (vertex, heights.len() as u32 - 1)
            });
            faces.push(Face {
                vertices: named.map(|(vertex, _)| vertex),
                heights: named.map(|(_, height)| height),
                neighbours: [NONE; 3],
                plane: NONE,
                tag: Tag { owner: 0, part: faces.len() as u32 },
                fixed: 0,
            });
        }
    }
    join(&mut faces);
    Surface::from_parts(lattice, vertices, heights, faces, vec![])
}

/// A field of squares of the given side, each of four triangles about its middle, with the heights
/// of `z` at their corners and middles.
pub(super) fn grid([columns, rows]: [u32; 2], side_m: f64, z: impl Fn([f64; 2]) -> f64) -> Surface {
    let place = |c: f64, r: f64| {
        let at = [c * side_m, r * side_m];
        [at[0], at[1], z(at)]
    };
    let mut rings = Vec::new();
    for row in 0..rows {
        for column in 0..columns {
            let (c, r) = (f64::from(column), f64::from(row));
            let middle = place(c + 0.5, r + 0.5);
            let rim = [place(c, r), place(c + 1.0, r), place(c + 1.0, r + 1.0), place(c, r + 1.0)];
            for k in 0..4 {
                rings.push(vec![middle, rim[k], rim[(k + 1) % 4]]);
            }
        }
    }
    patches(&rings)
}

/// A regular cone or pit of `n` sides: `z_rim` at the radius, `z_middle` in the middle, which lies
/// at the origin.
pub(super) fn cone(n: u32, radius_m: f64, z_rim: f64, z_middle: f64) -> Surface {
    let rim = |k: u32| {
        let angle = std::f64::consts::TAU * f64::from(k % n) / f64::from(n);
        [radius_m * libm::cos(angle), radius_m * libm::sin(angle), z_rim]
    };
    let rings = (0..n).map(|k| vec![[0.0, 0.0, z_middle], rim(k), rim(k + 1)]).collect::<Vec<_>>();
    patches(&rings)
}

/// Level ground at 0 west of x = 2 and at 1 east of it, 4 by 2 metres in squares of one metre.
pub(super) fn terrace() -> Surface {
    let square = |x: f64, y: f64| {
        let z = if x < 2.0 { 0.0 } else { 1.0 };
        vec![[x, y, z], [x + 1.0, y, z], [x + 1.0, y + 1.0, z], [x, y + 1.0, z]]
    };
    let squares = [0.0, 1.0].map(|y| [0.0, 1.0, 2.0, 3.0].map(|x| square(x, y)));
    patches(&squares.concat())
}

fn join(faces: &mut [Face]) {
    let mut sides = BTreeMap::new();
    for (f, face) in faces.iter().enumerate() {
        for k in 0..3 {
            sides.insert((face.vertices[k], face.vertices[(k + 1) % 3]), f as u32);
        }
    }
    for face in faces {
        for k in 0..3 {
            let back = (face.vertices[(k + 1) % 3], face.vertices[k]);
            face.neighbours[k] = sides.get(&back).copied().unwrap_or(NONE);
        }
    }
}
