//! Which format a file has.

use crate::{geojson, geotiff, landxml, las, plain_grid};

/// A format of files.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Format {
    /// A text table of points, or a level book.
    PointList,
    /// LandXML 1.2.
    LandXml,
    /// LAS.
    Las,
    /// LAZ.
    Laz,
    /// GeoTIFF.
    GeoTiff,
    /// A grid as plain text.
    PlainGrid,
    /// GeoJSON.
    GeoJson,
    /// Binary glTF.
    Gltf,
    /// SVG.
    Svg,
    /// PDF.
    Pdf,
}

impl std::fmt::Display for Format {
    fn fmt(&self, out: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        out.write_str(match self {
            Self::PointList => "a point list",
            Self::LandXml => "LandXML",
            Self::Las => "LAS",
            Self::Laz => "LAZ",
            Self::GeoTiff => "GeoTIFF",
            Self::PlainGrid => "a plain grid",
            Self::GeoJson => "GeoJSON",
            Self::Gltf => "glTF",
            Self::Svg => "SVG",
            Self::Pdf => "PDF",
        })
    }
}

impl Format {
    /// What a name may end in, for messages.
    pub const EXPECTED: &str = ".csv or .txt (point list), .xml (LandXML), .las, .laz, .tif \
                                (GeoTIFF), .asc (plain grid), .geojson, .glb, .svg or .pdf";
    /// What can be read, for messages.
    pub const READ: &str = "a point list, LandXML, LAS, LAZ, GeoTIFF, a plain grid or GeoJSON";

    /// The format that a name asks for, by its ending.
    pub fn of_name(name: &str) -> Option<Self> {
        let (_, ending) = name.rsplit_once('.')?;
        match ending.to_lowercase().as_str() {
            "csv" | "txt" | "pts" | "xyz" | "pnezd" => Some(Self::PointList),
            "xml" | "landxml" => Some(Self::LandXml),
            "las" => Some(Self::Las),
            "laz" => Some(Self::Laz),
            "tif" | "tiff" => Some(Self::GeoTiff),
            "asc" | "grd" => Some(Self::PlainGrid),
            "geojson" | "json" => Some(Self::GeoJson),
            "glb" => Some(Self::Gltf),
            "svg" => Some(Self::Svg),
            "pdf" => Some(Self::Pdf),
            _ => None,
        }
    }

    /// The format of a file: by what it holds, and where that does not tell, by its name.
    pub fn of(bytes: &[u8], name: &str) -> Option<Self> {
        if las::is_las(bytes) {
            let is_packed = bytes.get(104).is_some_and(|format| format & 0x80 != 0);
            return Some(if is_packed { Self::Laz } else { Self::Las });
        }
        if geotiff::is_tiff(bytes) {
            return Some(Self::GeoTiff);
        }
        if bytes.starts_with(b"glTF") {
            return Some(Self::Gltf);
        }
        if bytes.starts_with(b"%PDF") {
            return Some(Self::Pdf);
        }
        if landxml::is_landxml(bytes) {
            return Some(Self::LandXml);
        }
        if plain_grid::is_plain_grid(bytes) {
            return Some(Self::PlainGrid);
        }
        if geojson::is_geojson(bytes) {
            return Some(Self::GeoJson);
        }
        // A name that promises bytes of a kind which are not there does not make them that kind;
        // the reader of that kind says what stands there instead.
        Self::of_name(name).or(is_text(bytes).then_some(Self::PointList))
    }
}

fn is_text(bytes: &[u8]) -> bool {
    const LOOKED_AT: usize = 4096;
    let head = &bytes[..bytes.len().min(LOOKED_AT)];
    !head.is_empty() && crate::points::text::decode(head).is_ok()
}
