//! From plain quantities to bank, loose and compacted volumes, spoil, loads.

mod accuracy;
mod haul;
mod soil;

pub use accuracy::{SpoilRange, spoil_range, survey_bias_m3};
pub use haul::{Governs, Haul, Truck, TruckError, haul};
pub use soil::{Soil, SoilError};
