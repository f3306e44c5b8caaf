//! Quantity newtypes and conversions; SI inside, feet and yards at the edges.

mod earth_volume;
mod length;
mod number;
mod parse;
mod slope;
mod text;

pub use earth_volume::{Bank, Compacted, Loose};
pub use length::LengthUnit;
pub use parse::{ParseLengthError, parse_length};
pub use slope::{Slope, SlopeError};
pub use text::{
    GALLON_L, accuracy_text, area_text, closing_text, earth_text, elevation_text, flow_text,
    length_text, loads_text, mass_text, rising_text, run_per_rise_text, thickness_text,
    velocity_text, water_text,
};
