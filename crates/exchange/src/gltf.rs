//! glTF 2.0, binary: surfaces as meshes to look at.
//!
//! Places are metres from the frame's origin, which stands in the scene's `extras` with full
//! precision; y is up, x east, so z is south. Walls and falls are drawn: an edge whose sides name
//! different heights gets its upright face.
//!
//! # Source
//! Khronos glTF 2.0 (ISO/IEC 12113), sections 3 and 4.4.

use ground::{NONE, Surface};
use site::Frame;

/// A surface and what it is called.
pub struct Named<'a> {
    /// What it is called.
    pub name: &'a str,
    /// The surface.
    pub surface: &'a Surface,
}

/// Surfaces of one frame as one binary file.
pub fn write(surfaces: &[Named<'_>], frame: &Frame) -> Vec<u8> {
    let mut cells: Vec<u8> = Vec::new();
    let (mut meshes, mut nodes, mut views, mut accessors) =
        (Vec::new(), Vec::new(), Vec::new(), Vec::new());
    for (nth, named) in surfaces.iter().enumerate() {
        let mesh = Mesh::of(named.surface);
        let name = serde_json::to_string(named.name).expect("a text is always JSON");
        let (low, high) = mesh.bounds();
        let start = cells.len();
        cells.extend(mesh.places.iter().flatten().flat_map(|c| c.to_le_bytes()));
        let middle = cells.len();
        cells.extend(mesh.corners.iter().flat_map(|v| v.to_le_bytes()));
        views.push(format!(
            "{{\"buffer\":0,\"byteOffset\":{start},\"byteLength\":{},\"target\":34962}}",
            middle - start
        ));
        views.push(format!(
            "{{\"buffer\":0,\"byteOffset\":{middle},\"byteLength\":{},\"target\":34963}}",
            cells.len() - middle
        ));
        accessors.push(format!(
            "{{\"bufferView\":{},\"componentType\":5126,\"count\":{},\"type\":\"VEC3\",\
             \"min\":{low:?},\"max\":{high:?}}}",
            2 * nth,
            mesh.places.len()
        ));
        accessors.push(format!(
            "{{\"bufferView\":{},\"componentType\":5125,\"count\":{},\"type\":\"SCALAR\"}}",
            2 * nth + 1,
            mesh.corners.len()
        ));
        meshes.push(format!(
            "{{\"name\":{name},\"primitives\":[{{\"attributes\":{{\"POSITION\":{}}},\"indices\":{},\
             \"material\":0}}]}}",
            2 * nth,
            2 * nth + 1
        ));
        nodes.push(format!("{{\"name\":{name},\"mesh\":{nth}}}"));
    }
    let all: Vec<String> = (0..surfaces.len()).map(|n| n.to_string()).collect();
    let [east, north] = frame.origin_m;
    let json = format!(
        "{{\"asset\":{{\"version\":\"2.0\",\"generator\":\"Tarnwright\"}},\"scene\":0,\
         \"scenes\":[{{\"nodes\":[{}],\"extras\":{{\"origin_easting_m\":{east},\
         \"origin_northing_m\":{north}}}}}],\"nodes\":[{}],\"meshes\":[{}],\
         \"materials\":[{{\"name\":\"ground\",\"doubleSided\":true,\"pbrMetallicRoughness\":\
         {{\"baseColorFactor\":[0.55,0.52,0.42,1.0],\"metallicFactor\":0.0,\"roughnessFactor\":1.0}}}}],\
         \"accessors\":[{}],\"bufferViews\":[{}],\"buffers\":[{{\"byteLength\":{}}}]}}",
        all.join(","),
        nodes.join(","),
        meshes.join(","),
        accessors.join(","),
        views.join(","),
        cells.len()
    );
    packed(json.into_bytes(), cells)
}

/// Head and chunks.
fn packed(mut json: Vec<u8>, mut cells: Vec<u8>) -> Vec<u8> {
    json.resize(json.len().next_multiple_of(4), b' ');
    cells.resize(cells.len().next_multiple_of(4), 0);
    let total = 12 + 8 + json.len() + 8 + cells.len();
    let mut out = Vec::with_capacity(total);
    out.extend(b"glTF");
    out.extend(2_u32.to_le_bytes());
    out.extend((total as u32).to_le_bytes());
    for (kind, chunk) in [(b"JSON", json), (b"BIN\0", cells)] {
        out.extend((chunk.len() as u32).to_le_bytes());
        out.extend(kind);
        out.extend(chunk);
    }
    out
}

struct Mesh {
    places: Vec<[f32; 3]>,
    corners: Vec<u32>,
}

impl Mesh {
    fn of(surface: &Surface) -> Self {
        let mut pairs: Vec<[u32; 2]> = surface
            .faces()
            .iter()
            .flat_map(|face| (0..3).map(|k| [face.vertices[k], face.heights[k]]))
            .collect();
        pairs.sort_unstable();
        pairs.dedup();
        let number = |vertex, height| {
            pairs.binary_search(&[vertex, height]).expect("every corner was gathered") as u32
        };
        let place = |&[vertex, height]: &[u32; 2]| {
            let [x, y] = surface.lattice().metres(surface.vertices()[vertex as usize]);
            [x as f32, surface.heights()[height as usize] as f32, -y as f32]
        };
        let mut corners = Vec::with_capacity(3 * surface.faces().len());
        for face in surface.faces() {
            corners.extend((0..3).map(|k| number(face.vertices[k], face.heights[k])));
        }
        for (f, face) in (0..).zip(surface.faces()) {
            for k in 0..3 {
                let across = face.neighbours[k];
                // Each wall once, from its first face.
                if across != NONE && f < across {
                    corners.extend(wall(surface, face, k, across, &number));
                }
            }
        }
        Self { places: pairs.iter().map(place).collect(), corners }
    }

    fn bounds(&self) -> ([f32; 3], [f32; 3]) {
        let first = self.places.first().copied().unwrap_or_default();
        self.places.iter().fold((first, first), |(low, high), p| {
            let least = |k: usize| low[k].min(p[k]);
            let most = |k: usize| high[k].max(p[k]);
            ([least(0), least(1), least(2)], [most(0), most(1), most(2)])
        })
    }
}

/// The upright face along an edge, as none, one or two triangles that are seen from the lower side.
fn wall(
    surface: &Surface,
    face: &ground::Face,
    k: usize,
    across: u32,
    number: &dyn Fn(u32, u32) -> u32,
) -> Vec<u32> {
    let other = &surface.faces()[across as usize];
    let [a, b] = [face.vertices[k], face.vertices[(k + 1) % 3]];
    let [ha, hb] = [face.heights[k], face.heights[(k + 1) % 3]];
    let there = |vertex: u32| {
        let corner = (0..3).find(|&i| other.vertices[i] == vertex);
        other.heights[corner.expect("neighbours share an edge")]
    };
    let [oa, ob] = [there(a), there(b)];
    let z = |height: u32| surface.heights()[height as usize];
    let mut triangles = Vec::new();
    if z(oa) != z(ha) {
        triangles.extend([number(a, ha), number(a, oa), number(b, hb)]);
    }
    if z(ob) != z(hb) {
        triangles.extend([number(b, hb), number(a, oa), number(b, ob)]);
    }
    triangles
}

#[cfg(test)]
mod tests {
    use ground::{LatticePoint, Terrain, build};
    use serde_json::Value;

    use super::*;
    use crate::tin::tests::frame;

    fn step() -> Surface {
        let at = |i: i32| (LatticePoint { x: 1_000_000 * (i % 3), y: 1_000_000 * (i / 3) }, 5.0);
        let flat = build(&Terrain { points: (0..9).map(at).collect(), ..Terrain::default() });
        let flat = flat.unwrap().surface;
        flat.lowered(|f| {
            let west = flat.corners(f).iter().all(|p| p.x <= 1_000_000);
            if west { 1.0 } else { 0.0 }
        })
    }

    #[test]
    fn walls_are_drawn_and_the_file_holds_together() {
        let surface = step();
        let bytes = write(&[Named { name: "a \"b\"", surface: &surface }], &frame([5e5, 5.4e6]));
        assert_eq!(&bytes[..4], b"glTF");
        assert_eq!(u32::from_le_bytes(bytes[8..12].try_into().unwrap()) as usize, bytes.len());
        let n_json = u32::from_le_bytes(bytes[12..16].try_into().unwrap()) as usize;
        let json: Value = serde_json::from_slice(&bytes[20..20 + n_json]).unwrap();
        assert_eq!(json["scenes"][0]["extras"]["origin_northing_m"], 5.4e6);
        assert_eq!(json["nodes"][0]["name"], "a \"b\"");
        // Eight faces and two walls of two triangles.
        assert_eq!(json["accessors"][1]["count"], 3 * (8 + 4));
        assert_eq!(json["accessors"][0]["count"], 12);
        assert_eq!(json["accessors"][0]["min"][1], 4.0);
        let n_cells = json["buffers"][0]["byteLength"].as_u64().unwrap() as usize;
        assert_eq!(n_cells, 12 * 12 + 36 * 4);
        assert_eq!(bytes.len(), 20 + n_json + 8 + n_cells);
        let upper = Mesh::of(&surface);
        // Upright faces close the mesh: every edge inside has a triangle on both its sides.
        let mut edges: Vec<[u32; 2]> = upper
            .corners
            .chunks(3)
            .flat_map(|t| [[t[0], t[1]], [t[1], t[2]], [t[2], t[0]]])
            .collect();
        edges.sort_unstable();
        assert!(edges.windows(2).all(|pair| pair[0] != pair[1]));
        let open = edges.iter().filter(|[a, b]| edges.binary_search(&[*b, *a]).is_err()).count();
        assert_eq!(open, 8 + 2);
    }
}
