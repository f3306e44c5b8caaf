//! LandXML 1.2: surfaces with faces, breaklines and boundaries, and points.
//!
//! Places stand as northing, easting, elevation. The text is read from front to back without a tree,
//! so that a large file needs little more than what it holds; a document type is refused, and no
//! entity is expanded. Where the file ends too early, what stood before is kept.

mod measures;
mod read;
mod source;
mod write;

#[cfg(test)]
mod tests;

use units::LengthUnit;

use crate::points::Place;

pub use read::read;
pub use write::{Stamp, write};

/// What the user tells about a LandXML file.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Told {
    /// The unit of places, where the file tells none.
    pub unit: Option<LengthUnit>,
    /// The unit of elevations, where the file tells another than for places.
    pub z_unit: Option<LengthUnit>,
    /// Which number stands first.
    pub axes: Axes,
}

/// The order in which a file tells places.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Axes {
    /// Northing, easting, elevation, as the schema says.
    #[default]
    NorthingFirst,
    /// Easting, northing, elevation, as some programs write by mistake.
    EastingFirst,
}

/// Why a LandXML file was refused.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum LandXmlError {
    /// The declared encoding is not known.
    #[error("line 1: read the encoding `{read}`, expected UTF-8 or another that the web knows")]
    Encoding {
        /// What is declared.
        read: String,
    },
    /// The text is no XML, or holds a document type.
    #[error("{place}, in {within}: read `{read}`, expected {expected}")]
    Xml {
        /// Where.
        place: Place,
        /// The elements that are open there.
        within: String,
        /// What stands there.
        read: String,
        /// What should.
        expected: String,
    },
    /// Another kind of XML.
    #[error("{place}: read the element `{read}`, expected `LandXML`")]
    OtherXml {
        /// Where the outermost element begins.
        place: Place,
        /// Its name.
        read: String,
    },
    /// An attribute, a number or a reference is not what its element needs.
    #[error("{place}, {element}: read `{read}`, expected {expected}")]
    Field {
        /// Where.
        place: Place,
        /// The element, with what names it.
        element: String,
        /// What stands there.
        read: String,
        /// What should.
        expected: String,
    },
    /// Neither the file nor the user tells a unit.
    #[error("read no element Units, expected --units with {}", crate::unit_words::EXPECTED)]
    UnitUnknown,
    /// The user tells another unit than the file.
    #[error("{place}: read the unit `{read}`, expected {expected} as told")]
    UnitContradicted {
        /// Where the file tells it.
        place: Place,
        /// What it tells.
        read: String,
        /// What the user told.
        expected: &'static str,
    },
    /// Places and elevations are in different units.
    #[error(
        "{place}: read places in `{read}` and elevations in `{read_z}`, expected one unit; if both \
         are meant, name the elevations' too: --z-units with m, ft or us-ft"
    )]
    UnitMixed {
        /// Where the file tells them.
        place: Place,
        /// The unit of places.
        read: String,
        /// The unit of elevations.
        read_z: String,
    },
    /// No point and no surface.
    #[error(
        "line {line}: read to the end without a point or a surface, expected CgPoints or Surfaces"
    )]
    Nothing {
        /// The last line.
        line: u32,
    },
}

/// Whether the bytes look like LandXML.
pub fn is_landxml(bytes: &[u8]) -> bool {
    const LOOKED_AT: usize = 4096;
    crate::xml::decode(&bytes[..bytes.len().min(LOOKED_AT)])
        .is_ok_and(|decoded| decoded.text.contains("<LandXML") || decoded.text.contains(":LandXML"))
}
