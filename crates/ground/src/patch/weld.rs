//! Triangles joined into a surface where they share edges.

use std::collections::HashMap;
use std::hash::BuildHasherDefault;

use crate::overlay::Mix;
use crate::predicates::orient;
use crate::{Face, Lattice, LatticePoint, NONE, Plane, Surface, Tag};

/// A triangle on its way into a surface.
#[derive(Clone, Copy, Debug)]
pub(super) struct Tile {
    /// Corners with heights in metres, counter-clockwise.
    pub(super) corners: [(LatticePoint, f64); 3],
    pub(super) tag: Tag,
    /// Index among the planes, or [`NONE`].
    pub(super) plane: u32,
    /// Bit i is set when edge i is a break.
    pub(super) fixed: u8,
}

/// An edge that more than two triangles share, or two on the same side.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Overlap {
    pub(super) at: LatticePoint,
}

/// Whether a triangle has an area and turns left.
pub(super) fn is_proper(corners: [(LatticePoint, f64); 3]) -> bool {
    orient(corners[0].0, corners[1].0, corners[2].0) > 0
}

/// Joins proper triangles at shared edges; corners at one place with one height become one.
///
/// Edges between unlike heights are steps. Whether triangles overlap elsewhere is not looked at.
pub(super) fn weld(
    lattice: Lattice,
    tiles: &[Tile],
    planes: Vec<Plane>,
) -> Result<Surface, Overlap> {
    let mut vertices = Vec::new();
    let mut heights = Vec::new();
    let mut vertex_of: HashMap<LatticePoint, u32, BuildHasherDefault<Mix>> = HashMap::default();
    let mut height_of: HashMap<(u32, u64), u32, BuildHasherDefault<Mix>> = HashMap::default();
    let mut faces: Vec<Face> = Vec::with_capacity(tiles.len());
    for tile in tiles {
        let corner_vertices = tile.corners.map(|(p, _)| {
            *vertex_of.entry(p).or_insert_with(|| {
                vertices.push(p);
                vertices.len() as u32 - 1
            })
        });
        let corner_heights = std::array::from_fn(|k| {
            // Adding zero makes minus zero plain, so that the two share a height.
            let z = tile.corners[k].1 + 0.0;
            *height_of.entry((corner_vertices[k], z.to_bits())).or_insert_with(|| {
                heights.push(z);
                heights.len() as u32 - 1
            })
        });
        faces.push(Face {
            vertices: corner_vertices,
            heights: corner_heights,
            neighbours: [NONE; 3],
            plane: tile.plane,
            tag: tile.tag,
            fixed: tile.fixed,
        });
    }
    join(&mut faces).map_err(|v| Overlap { at: vertices[v as usize] })?;
    Ok(Surface::from_parts(lattice, vertices, heights, faces, planes))
}

/// Finds neighbours across shared edges and marks outlines and breaks on both sides.
fn join(faces: &mut [Face]) -> Result<(), u32> {
    let mut edges: Vec<([u32; 2], bool, u32, usize)> = Vec::with_capacity(3 * faces.len());
    for (i, face) in faces.iter().enumerate() {
        for k in 0..3 {
            let (a, b) = (face.vertices[k], face.vertices[(k + 1) % 3]);
            edges.push(([a.min(b), a.max(b)], a < b, i as u32, k));
        }
    }
    edges.sort_unstable();
    for sides in edges.chunk_by(|e, f| e.0 == f.0) {
        match *sides {
            [(_, _, f, k)] => faces[f as usize].fixed |= 1 << k,
            [(_, false, f, j), (_, true, g, k)] => {
                faces[f as usize].neighbours[j] = g;
                faces[g as usize].neighbours[k] = f;
                let fixed = faces[f as usize].fixed >> j & 1 | faces[g as usize].fixed >> k & 1;
                faces[f as usize].fixed |= fixed << j;
                faces[g as usize].fixed |= fixed << k;
            }
            _ => return Err(sides[0].0[0]),
        }
    }
    Ok(())
}
