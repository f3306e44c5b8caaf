//! What a surface is read as, before the file's unit is known.

use super::measures::{Raw, Scale};
use super::{LandXmlError, Told};
use crate::content::{Line, LineKind, LinePlace, out_of_range};
use crate::tin::Tin;
use crate::xml::place_at;

/// A surface under way.
#[derive(Default)]
pub(super) struct RawSurface {
    pub(super) name: String,
    pub(super) points: Vec<Raw>,
    /// The points of a definition, with their ids.
    pub(super) vertices: Vec<Raw>,
    pub(super) ids: Vec<u64>,
    pub(super) faces: Vec<RawFace>,
    pub(super) lines: Vec<RawLine>,
    pub(super) n_invisible: usize,
}

/// A line or an outline under way.
pub(super) struct RawLine {
    pub(super) name: String,
    pub(super) kind: LineKind,
    pub(super) places: Vec<Raw>,
}

/// A face by the ids of its three or four points.
#[derive(Clone, Copy)]
pub(super) struct RawFace {
    pub(super) ids: [u64; 4],
    pub(super) n: usize,
    /// Bit i is set when side i has a breakline.
    pub(super) bits: u8,
    pub(super) at: usize,
}

impl RawSurface {
    /// The surface in metres, and what to say of it.
    pub(super) fn finish(
        self,
        scale: &Scale,
        told: &Told,
        text: &str,
    ) -> Result<(Tin, Vec<String>), LandXmlError> {
        let mut doubts = Vec::new();
        let corners = self.corners(text)?;
        let solid = |raw: &Raw, element: &str| self.solid(raw, element, scale, text);
        let has_faces = !self.faces.is_empty();
        let mut vertices_m =
            self.vertices.iter().map(|raw| solid(raw, "P")).collect::<Result<Vec<_>, _>>()?;
        if !has_faces {
            // Without faces all points are what the surface is made from.
            let points = self.points.iter().map(|raw| solid(raw, "DataPoints"));
            vertices_m.extend(points.collect::<Result<Vec<_>, _>>()?);
        }
        let (mut faces, mut fixed) = (Vec::new(), Vec::new());
        let mut n_clockwise = 0;
        for (face, corners) in self.faces.iter().zip(&corners) {
            let [a, b, c] = [0, 1, 2].map(|k| vertices_m[corners[k] as usize]);
            let doubled = (b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0]);
            n_clockwise += usize::from(doubled < 0.0);
            for (corners, bits) in triangles(face, corners, &vertices_m) {
                faces.push(corners);
                fixed.push(bits);
            }
        }
        let name = &self.name;
        if self.n_invisible > 0 {
            doubts.push(format!(
                "the surface {name}: {} faces are marked invisible and left out",
                self.n_invisible
            ));
        }
        if has_faces && n_clockwise == self.faces.len() && told.axes == super::Axes::NorthingFirst {
            doubts.push(format!(
                "the surface {name}: all faces run clockwise when its places are read northing \
                 first: are northing and easting swapped?"
            ));
        }
        let lines = self.lines.iter().map(|line| line.finish(scale, text));
        let lines = lines.collect::<Result<Vec<_>, _>>()?;
        for line in lines.iter().filter(|line| line.kind == LineKind::Breakline) {
            if !has_faces && line.solid_m().is_none() {
                doubts.push(format!(
                    "the surface {name}: the breakline `{}` has no elevations and is left out",
                    line.name
                ));
            }
        }
        if fixed.iter().all(|bits| *bits == 0) {
            fixed.clear();
        }
        Ok((Tin { name: self.name, vertices_m, faces, fixed, lines }, doubts))
    }

    /// The corners of each face, by index.
    fn corners(&self, text: &str) -> Result<Vec<[u32; 4]>, LandXmlError> {
        let mut order: Vec<(u64, u32)> = self.ids.iter().copied().zip(0..).collect();
        order.sort_unstable();
        if let Some(pair) = order.windows(2).find(|pair| pair[0].0 == pair[1].0) {
            let at = self.vertices[pair[1].1 as usize].at;
            return Err(self.field(at, "P id", &pair[1].0.to_string(), "an id of its own", text));
        }
        let idx = |id: u64, face: &RawFace| {
            let found = order.binary_search_by_key(&id, |(id, _)| *id);
            found.map(|at| order[at].1).map_err(|_| {
                let expected = format!("the id of one of its {} points", order.len());
                self.field(face.at, "F", &id.to_string(), &expected, text)
            })
        };
        let corners = |face: &RawFace| {
            let mut corners = [0; 4];
            for (corner, id) in corners.iter_mut().zip(&face.ids[..face.n]) {
                *corner = idx(*id, face)?;
            }
            Ok(corners)
        };
        self.faces.iter().map(corners).collect()
    }

    fn solid(
        &self,
        raw: &Raw,
        element: &str,
        scale: &Scale,
        text: &str,
    ) -> Result<[f64; 3], LandXmlError> {
        let [x, y] = scale.plan_m(raw);
        let z = scale.z_m(raw).unwrap_or(f64::NAN);
        match out_of_range([x, y, z]) {
            Some(expected) => {
                let z = raw.z.map_or_else(String::new, |z| format!(" {z}"));
                let read = format!("{} {}{z}", raw.first, raw.second);
                Err(self.field(raw.at, element, &read, expected, text))
            }
            None => Ok([x, y, z]),
        }
    }

    fn field(
        &self,
        at: usize,
        element: &str,
        read: &str,
        expected: &str,
        text: &str,
    ) -> LandXmlError {
        LandXmlError::Field {
            place: place_at(text, at),
            element: format!("{element} of the surface {}", self.name),
            read: read.to_owned(),
            expected: expected.to_owned(),
        }
    }
}

impl RawLine {
    fn finish(&self, scale: &Scale, text: &str) -> Result<Line, LandXmlError> {
        let place = |raw: &Raw| {
            let at_m = scale.plan_m(raw);
            let z_m = scale.z_m(raw);
            match out_of_range([at_m[0], at_m[1], z_m.unwrap_or(0.0)]) {
                Some(expected) => Err(LandXmlError::Field {
                    place: place_at(text, raw.at),
                    element: format!("{} `{}`", self.kind.as_str(), self.name),
                    read: format!("{} {}", raw.first, raw.second),
                    expected: expected.to_owned(),
                }),
                None => Ok(LinePlace { at_m, z_m }),
            }
        };
        let mut places = self.places.iter().map(place).collect::<Result<Vec<_>, _>>()?;
        let is_outline = matches!(self.kind, LineKind::Boundary | LineKind::Void);
        let ends = [places.first().copied(), places.last().copied()];
        if let (true, [Some(first), Some(last)]) = (is_outline, ends)
            && first.at_m != last.at_m
        {
            places.push(first);
        }
        Ok(Line { name: self.name.clone(), kind: self.kind, places })
    }
}

/// A face as triangles with their breakline bits; one of four points is parted along its shorter
/// diagonal, between first and third point where both are as long.
fn triangles(face: &RawFace, corners: &[u32; 4], vertices_m: &[[f64; 3]]) -> Vec<([u32; 3], u8)> {
    let &[a, b, c, d] = corners;
    if face.n == 3 {
        return vec![([a, b, c], face.bits & 7)];
    }
    let length = |u: u32, v: u32| {
        let (u, v) = (vertices_m[u as usize], vertices_m[v as usize]);
        libm::hypot(u[0] - v[0], u[1] - v[1])
    };
    let side = |k: u32| face.bits >> k & 1;
    if length(a, c) <= length(b, d) {
        vec![([a, b, c], side(0) | side(1) << 1), ([a, c, d], side(2) << 1 | side(3) << 2)]
    } else {
        vec![([a, b, d], side(0) | side(3) << 2), ([b, c, d], side(1) | side(2) << 1)]
    }
}
