//! From plain quantities to bank, loose and compacted volumes, spoil, loads.

mod accuracy;
mod balance;
mod haul;
mod lot;
mod range;
mod soil;

pub use accuracy::{RangedSoil, survey_bias_m3};
pub use balance::{
    Balance, BalanceError, Fitness, Layer, LayerBalance, Material, MaterialBalance, MaterialName,
    balance,
};
pub use haul::{Governs, Haul, Hauls, Truck, TruckError, haul, haul_apart};
pub use lot::{Lot, RangedLot};
pub use range::OutOfRange;
pub use soil::{Soil, SoilError};
