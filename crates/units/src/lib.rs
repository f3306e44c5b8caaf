//! Quantity newtypes and conversions; SI inside, feet and yards at the edges.

mod length;

pub use length::LengthUnit;
