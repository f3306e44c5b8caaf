//! From plain quantities to bank, loose and compacted volumes, spoil, loads.

mod accuracy;
mod balance;
mod dug;
mod haul;
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
pub use dug::{AnchorTrench, Backcut, Dug, OverDig};
pub use haul::{Governs, Haul, Hauls, Truck, TruckError, haul, haul_apart};
pub use lot::{Lot, RangedLot};
pub use range::OutOfRange;
pub use settlement::{Overbuild, overbuild, settlement_of_shrink};
pub use soil::{Soil, SoilError};
pub use stockpile::{
    COMMON_REPOSE_RUN_PER_RISE, Heap, HeapForm, Room, StockpileError, greatest_heap, stockpile,
};
