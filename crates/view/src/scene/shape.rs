//! Triangles on their way to the graphics card.

use bevy::asset::RenderAssetUsages;
use bevy::math::{Vec2, Vec3};
use bevy::mesh::{Indices, Mesh, PrimitiveTopology};

use super::stuff::Stuff;

/// A mesh under construction, in the scene's frame.
///
/// Every vertex carries its stuff, its tint, how open it lies to the sky and how far the ground
/// there has moved, since one shader draws the whole garden.
#[derive(Clone, Debug, Default, PartialEq)]
pub(crate) struct Shape {
    positions: Vec<[f32; 3]>,
    normals: Vec<[f32; 3]>,
    colours: Vec<[f32; 4]>,
    marks: Vec<[f32; 2]>,
    indices: Vec<u32>,
}

/// One corner of a [`Shape`].
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Corner {
    /// Where it lies in the scene.
    pub at: Vec3,
    /// Its normal.
    pub normal: Vec3,
    /// Tint in linear light, white leaves the stuff's own colour; for water the way it flows.
    pub tint: Vec3,
    /// Share of the sky that it sees.
    pub open: f32,
    /// For the solid garden the metres by which ground has risen and the stuff's number; for water
    /// its depth in metres and how much it falls.
    pub mark: Vec2,
}

impl Corner {
    /// A corner that sees the whole sky and has no tint of its own.
    pub(crate) fn new(at: Vec3, normal: Vec3, stuff: Stuff) -> Self {
        Self { at, normal, tint: Vec3::ONE, open: 1.0, mark: Vec2::new(0.0, stuff.code()) }
    }

    /// A corner of water, `depth_m` deep; `falling` is zero for still water and one for a fall.
    pub(crate) fn wet(at: Vec3, normal: Vec3, depth_m: f32, falling: f32) -> Self {
        Self { at, normal, tint: Vec3::splat(0.5), open: 1.0, mark: Vec2::new(depth_m, falling) }
    }

    /// The same corner with a tint.
    pub(crate) fn tinted(self, tint: Vec3) -> Self {
        Self { tint, ..self }
    }

    /// The same corner with a share of the sky.
    pub(crate) fn open(self, open: f32) -> Self {
        Self { open, ..self }
    }

    /// The same corner of stuff laid so many half turns off east, between minus a half and a half.
    pub(crate) fn laid(self, half_turns: f32) -> Self {
        // The shader reads the stuff from the nearest whole number, the way from what is left.
        Self { mark: Vec2::new(self.mark.x, self.mark.y + 0.9 * half_turns), ..self }
    }

    /// The same corner on ground that has risen by so many metres.
    pub(crate) fn risen(self, rise_m: f32) -> Self {
        Self { mark: Vec2::new(rise_m, self.mark.y), ..self }
    }
}

impl Shape {
    /// Whether nothing would be drawn.
    pub(crate) fn is_empty(&self) -> bool {
        self.indices.is_empty()
    }

    /// How many triangles there are.
    pub(crate) fn n_triangles(&self) -> usize {
        self.indices.len() / 3
    }

    /// What its triangles are drawn with, corner after corner: place, normal, colours and marks.
    #[cfg(test)]
    pub(crate) fn triangles(&self) -> impl Iterator<Item = Vec<f32>> {
        let numbers = |name: &u32| {
            let k = *name as usize;
            let (at, normal) = (self.positions[k], self.normals[k]);
            [&at[..], &normal, &self.colours[k], &self.marks[k]].concat()
        };
        self.indices.chunks(3).map(move |names| names.iter().flat_map(numbers).collect())
    }

    /// Least and greatest of each of its corners' coordinates.
    pub(crate) fn span(&self) -> (Vec3, Vec3) {
        let start = (Vec3::INFINITY, Vec3::NEG_INFINITY);
        self.positions.iter().fold(start, |(low, high), at| {
            let at = Vec3::from_array(*at);
            (low.min(at), high.max(at))
        })
    }

    /// Adds a corner and names it.
    pub(crate) fn corner(&mut self, corner: Corner) -> u32 {
        let name = self.positions.len() as u32;
        self.positions.push(corner.at.to_array());
        self.normals.push(corner.normal.to_array());
        self.colours.push([corner.tint.x, corner.tint.y, corner.tint.z, corner.open]);
        self.marks.push(corner.mark.to_array());
        name
    }

    /// Joins three corners, counter-clockwise seen from outside.
    pub(crate) fn triangle(&mut self, corners: [u32; 3]) {
        self.indices.extend(corners);
    }

    /// Adds a triangle with its own three corners.
    pub(crate) fn facet(&mut self, corners: [Corner; 3]) {
        let names = corners.map(|corner| self.corner(corner));
        self.triangle(names);
    }

    /// Adds all of another shape.
    pub(crate) fn append(&mut self, other: &Self) {
        let first = self.positions.len() as u32;
        self.positions.extend_from_slice(&other.positions);
        self.normals.extend_from_slice(&other.normals);
        self.colours.extend_from_slice(&other.colours);
        self.marks.extend_from_slice(&other.marks);
        self.indices.extend(other.indices.iter().map(|name| first + name));
    }

    /// Adds a flat four-cornered face, counter-clockwise seen from outside.
    pub(crate) fn quad(&mut self, at: [Vec3; 4], stuff: Stuff) {
        let normal = (at[1] - at[0]).cross(at[3] - at[0]).normalize_or(Vec3::Y);
        let names = at.map(|at| self.corner(Corner::new(at, normal, stuff)));
        self.triangle([names[0], names[1], names[2]]);
        self.triangle([names[0], names[2], names[3]]);
    }

    /// The mesh that the renderer takes.
    pub(crate) fn mesh(self) -> Mesh {
        Mesh::new(PrimitiveTopology::TriangleList, RenderAssetUsages::RENDER_WORLD)
            .with_inserted_attribute(Mesh::ATTRIBUTE_POSITION, self.positions)
            .with_inserted_attribute(Mesh::ATTRIBUTE_NORMAL, self.normals)
            .with_inserted_attribute(Mesh::ATTRIBUTE_COLOR, self.colours)
            .with_inserted_attribute(Mesh::ATTRIBUTE_UV_0, self.marks)
            .with_inserted_indices(Indices::U32(self.indices))
    }
}
