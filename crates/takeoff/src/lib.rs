//! From plain quantities to earth: its states, the balance of topsoil and subsoil, what is hauled,
//! heaped and carried.
//!
//! Nothing here knows a surface: volumes come measured. Every number out of range is an error that
//! names it.

mod accuracy;
mod balance;
mod carry;
mod dug;
mod fleet;
mod haul;
mod layers;
mod lot;
mod range;
mod settlement;
mod soil;
mod stockpile;

pub use accuracy::{RangedSoil, survey_bias_m3};
pub use balance::{
    Balance, BalanceError, Fitness, Layer, LayerBalance, Material, MaterialBalance, MaterialName,
    balance,
};
pub use carry::{Access, Carrier, Carry, Passage, carry};
pub use dug::{AnchorTrench, Backcut, Dug, OverDig};
pub use fleet::{Bucket, FleetError, FleetJob, Prices, Shift, TruckCycle};
pub use haul::{Governs, Haul, Hauls, LEAST_LOAD_SHARE, Truck, TruckError, haul, haul_apart};
pub use layers::{
    BuildUpLayer, LayerMaterial, LayerNeed, LinerExtras, LinerFace, LinerNeed, liner,
};
pub use lot::{Lot, RangedLot};
pub use range::OutOfRange;
pub use settlement::{Overbuild, overbuild, settlement_of_shrink};
pub use soil::{Soil, SoilError};
pub use stockpile::{
    COMMON_REPOSE_RUN_PER_RISE, Heap, HeapForm, Room, StockpileError, greatest_heap, stockpile,
};
