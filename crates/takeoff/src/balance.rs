//! The balance of the two materials, topsoil and subsoil, each by its soil layers.
//!
//! ```text
//!                    ┌─ to fill ── (1 - shrink) ──► placed ─┐
//!   cut of a layer ──┤                                      ├─► fill
//!                    └─ spoil        import ──► placed ─────┘
//! ```
//!
//! The fill takes of every fit layer in proportion to what that layer's cut would fill; layers unfit
//! for fill are all spoil. What the fit layers cannot fill is imported. Neither material stands in
//! for the other: surplus topsoil fills no hill, and subsoil is not respread as topsoil.

use core::fmt;

use units::{Bank, Compacted};

use crate::accuracy::corners;
use crate::range::not_negative;
use crate::{Lot, OutOfRange, RangedLot, RangedSoil, Soil};

/// Whether a layer's earth may be used as fill.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Fitness {
    /// It is placed where fill is wanted.
    #[default]
    Fit,
    /// It is all hauled away.
    Unfit,
}

/// What is dug of one soil layer.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Layer {
    /// The layer's soil.
    pub soil: RangedSoil,
    /// What is dug of it, zero or more.
    pub cut: Bank,
    /// What the survey may be out by over the area in which it is dug.
    pub cut_bias: Bank,
    /// Whether it may be used as fill.
    pub fitness: Fitness,
}

/// One material: what is dug of it and what is placed.
///
/// For topsoil the fill is what is respread, as it lies placed; its shrink is that of spreading.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Material<'a> {
    /// The layers dug, from the top down.
    pub layers: &'a [Layer],
    /// What stands as fill when all is built, zero or more.
    pub fill: Compacted,
    /// What the survey may be out by over the area that is filled.
    pub fill_bias: Compacted,
    /// Fill that a later work digs again: placed once more than it stands, and no earth of the bank.
    pub recut: Compacted,
    /// The soil that is brought when earth is lacking; the first fit layer's when not told.
    pub import: Option<RangedSoil>,
}

/// Where the earth of one layer goes.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct LayerBalance {
    /// The layer's soil at the middle of its ranges.
    pub soil: Soil,
    /// What is dug.
    pub cut: Bank,
    /// What of that goes into fill, in the bank.
    pub to_fill: Bank,
    /// The fill that this makes.
    pub placed: Compacted,
    /// What is left over.
    pub spoil: RangedLot,
}

/// Where the earth of one material goes, and what it lacks.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct MaterialBalance {
    /// Each layer, in the order given.
    pub layers: Vec<LayerBalance>,
    /// What is dug in all.
    pub cut: Bank,
    /// All fill as it is placed, what is dug again counted each time.
    pub placed: Compacted,
    /// What is left over of all layers.
    pub spoil: RangedLot,
    /// What is brought.
    pub import: RangedLot,
    /// The soil that is brought, where one is known.
    pub import_soil: Option<Soil>,
    /// Spoil less import in the bank; below zero is import.
    pub net: Bank,
    /// The greatest departure of the net.
    pub net_plus_minus: Bank,
}

/// Topsoil and subsoil, side by side and never netted.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Balance {
    /// Stripped, respread, and the surplus.
    pub topsoil: MaterialBalance,
    /// Cut, fill, and the spoil.
    pub subsoil: MaterialBalance,
}

/// The two materials by name.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum MaterialName {
    /// What is stripped and respread.
    Topsoil,
    /// What is cut and filled.
    Subsoil,
}

/// Why quantities make no balance.
#[derive(Clone, Copy, Debug, PartialEq, thiserror::Error)]
pub enum BalanceError {
    /// A number of a layer is out of range; layers count from 1.
    #[error("{material}, layer {layer}: {number}")]
    Layer {
        /// Whose layer.
        material: MaterialName,
        /// Which, from 1 at the top.
        layer: usize,
        /// What is wrong.
        number: OutOfRange,
    },
    /// A number of the fill is out of range.
    #[error("{material}: {number}")]
    Fill {
        /// Whose fill.
        material: MaterialName,
        /// What is wrong.
        number: OutOfRange,
    },
    /// Fill is wanted, no layer is fit for it, and no soil to import is named.
    #[error("{0}: no layer is fit for fill, and no soil to import is named")]
    NoFillSoil(MaterialName),
}

/// Balances topsoil and subsoil, each on its own.
///
/// ```
/// # use takeoff::*;
/// # use units::{Bank, Compacted};
/// // 30 in the bank; 18 of fill take 18 / (1 - 0.10) = 20 of it; 10 are left, 12.5 when dug.
/// let soil = Soil::new(1.6, 0.25, 0.10)?;
/// let layer = Layer {
///     soil: soil.into(),
///     cut: Bank::from_m3(30.0),
///     cut_bias: Bank::from_m3(0.0),
///     fitness: Fitness::Fit,
/// };
/// let subsoil =
///     Material { layers: &[layer], fill: Compacted::from_m3(18.0), ..Material::default() };
/// let balance = balance(&Material::default(), &subsoil)?;
/// assert_eq!(balance.subsoil.net.m3(), 10.0);
/// assert_eq!(balance.subsoil.spoil.lot.loose.m3(), 12.5);
/// assert_eq!(balance.topsoil.net.m3(), 0.0);
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
///
/// # Errors
/// [`BalanceError`] names the material, the layer and the number that is out of range.
pub fn balance(topsoil: &Material<'_>, subsoil: &Material<'_>) -> Result<Balance, BalanceError> {
    Ok(Balance {
        topsoil: material_balance(MaterialName::Topsoil, topsoil)?,
        subsoil: material_balance(MaterialName::Subsoil, subsoil)?,
    })
}

impl Balance {
    /// What is hauled, apart: each layer's spoil, and imports below zero; topsoil first.
    pub fn hauled(&self) -> Vec<(Bank, Soil)> {
        [self.topsoil.hauled(), self.subsoil.hauled()].concat()
    }
}

impl MaterialBalance {
    /// What is hauled of this material, apart: each layer's spoil, and the import below zero.
    pub fn hauled(&self) -> Vec<(Bank, Soil)> {
        let import = self.import_soil.map(|soil| (-self.import.lot.bank.m3(), soil));
        let spoils = self.layers.iter().map(|l| (l.spoil.lot.bank.m3(), l.soil));
        spoils
            .chain(import)
            .filter(|&(m3, _)| m3 != 0.0)
            .map(|(m3, soil)| (Bank::from_m3(m3), soil))
            .collect()
    }
}

impl fmt::Display for MaterialName {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self {
            Self::Topsoil => "topsoil",
            Self::Subsoil => "subsoil",
        })
    }
}

/// One layer at one corner of its ranges.
struct Dug {
    soil: Soil,
    cut_m3: f64,
    fitness: Fitness,
}

/// A material at one corner of its ranges.
struct Case {
    layers: Vec<Dug>,
    fill_m3: f64,
    import: Option<Soil>,
}

/// Where the earth of a case goes: placed and left over by layer, and brought.
struct Split {
    layers: Vec<(f64, Lot)>,
    import: Lot,
}

fn material_balance(
    name: MaterialName,
    given: &Material<'_>,
) -> Result<MaterialBalance, BalanceError> {
    check(name, given)?;
    let import_soil = import_soil(given);
    let case = |soil_at: &dyn Fn(RangedSoil) -> Soil, bias_way: f64| Case {
        layers: given
            .layers
            .iter()
            .map(|l| Dug {
                soil: soil_at(l.soil),
                cut_m3: biased(l.cut.m3(), bias_way * l.cut_bias.m3()),
                fitness: l.fitness,
            })
            .collect(),
        fill_m3: biased(given.fill.m3(), -bias_way * given.fill_bias.m3()),
        import: import_soil.map(soil_at),
    };
    let middle = case(&RangedSoil::middle, 0.0);
    let mut balance = told(given, &middle, &middle.split());
    for corner in corners() {
        balance.widen(&case(&|soil| soil.at(corner), corner.bias_way).split());
    }
    Ok(balance)
}

fn check(material: MaterialName, given: &Material<'_>) -> Result<(), BalanceError> {
    for (i, layer) in given.layers.iter().enumerate() {
        not_negative("the cut, m3,", layer.cut.m3())
            .and_then(|_| not_negative("the cut's bias, m3,", layer.cut_bias.m3()))
            .map_err(|number| BalanceError::Layer { material, layer: i + 1, number })?;
    }
    for (what, fill) in [
        ("the fill, m3,", given.fill),
        ("the fill's bias, m3,", given.fill_bias),
        ("the recut, m3,", given.recut),
    ] {
        not_negative(what, fill.m3()).map_err(|number| BalanceError::Fill { material, number })?;
    }
    let has_fill = given.fill.m3() + given.fill_bias.m3() > 0.0;
    if has_fill && import_soil(given).is_none() {
        return Err(BalanceError::NoFillSoil(material));
    }
    Ok(())
}

fn import_soil(given: &Material<'_>) -> Option<RangedSoil> {
    let first_fit = given.layers.iter().find(|l| l.fitness == Fitness::Fit);
    given.import.or(first_fit.map(|l| l.soil))
}

/// A bias takes no more away than there is.
fn biased(volume_m3: f64, bias_m3: f64) -> f64 {
    (volume_m3 + bias_m3).max(0.0)
}

/// Where all earth finds its place, rounding leaves a hair, and a hair must not order a truck.
fn more_than_rounding(left_m3: f64, of_m3: f64) -> f64 {
    const ROUNDING: f64 = 1.0e-12;
    if left_m3 > of_m3 * ROUNDING { left_m3 } else { 0.0 }
}

/// The balance at the middle of all ranges, nothing widened yet.
fn told(given: &Material<'_>, middle: &Case, split: &Split) -> MaterialBalance {
    let exact = |lot| RangedLot { lot, plus_minus: Lot::default() };
    let layers = middle.layers.iter().zip(&split.layers).map(|(dug, &(placed_m3, spoil))| {
        let placed = Compacted::from_m3(placed_m3);
        let cut = Bank::from_m3(dug.cut_m3);
        let to_fill = Bank::from_m3(dug.cut_m3 - spoil.bank.m3());
        LayerBalance { soil: dug.soil, cut, to_fill, placed, spoil: exact(spoil) }
    });
    MaterialBalance {
        layers: layers.collect(),
        cut: Bank::from_m3(middle.layers.iter().map(|dug| dug.cut_m3).sum()),
        placed: Compacted::from_m3(given.fill.m3() + given.recut.m3()),
        spoil: exact(split.spoil()),
        import: exact(split.import),
        import_soil: middle.import,
        net: Bank::from_m3(split.net_m3()),
        net_plus_minus: Bank::default(),
    }
}

impl Case {
    fn split(&self) -> Split {
        let fillable = |dug: &Dug| match dug.fitness {
            Fitness::Fit => dug.soil.compacted(Bank::from_m3(dug.cut_m3)).m3(),
            Fitness::Unfit => 0.0,
        };
        let all_m3: f64 = self.layers.iter().map(fillable).sum();
        let lacking_m3 = more_than_rounding(self.fill_m3 - all_m3, self.fill_m3);
        let layers = self.layers.iter().map(|dug| {
            let can_m3 = fillable(dug);
            if lacking_m3 > 0.0 || can_m3 == 0.0 {
                let left_m3 = if can_m3 == 0.0 { dug.cut_m3 } else { 0.0 };
                return (can_m3, Lot::of(dug.soil, Bank::from_m3(left_m3)));
            }
            let placed_m3 = self.fill_m3 * (can_m3 / all_m3);
            let taken = dug.soil.bank_of_compacted(Compacted::from_m3(placed_m3));
            let left_m3 = more_than_rounding(dug.cut_m3 - taken.m3(), dug.cut_m3);
            (placed_m3, Lot::of(dug.soil, Bank::from_m3(left_m3)))
        });
        let brought = self
            .import
            .map(|soil| Lot::of(soil, soil.bank_of_compacted(Compacted::from_m3(lacking_m3))));
        Split { layers: layers.collect(), import: brought.unwrap_or_default() }
    }
}

impl Split {
    fn spoil(&self) -> Lot {
        self.layers.iter().fold(Lot::default(), |sum, &(_, spoil)| sum.and(spoil))
    }

    fn net_m3(&self) -> f64 {
        self.spoil().bank.m3() - self.import.bank.m3()
    }
}

impl MaterialBalance {
    /// Widens every plus or minus to take in another case.
    fn widen(&mut self, other: &Split) {
        for (layer, &(_, spoil)) in self.layers.iter_mut().zip(&other.layers) {
            layer.spoil.widen(spoil);
        }
        self.spoil.widen(other.spoil());
        self.import.widen(other.import);
        let off_m3 = (other.net_m3() - self.net.m3()).abs();
        self.net_plus_minus = Bank::from_m3(self.net_plus_minus.m3().max(off_m3));
    }
}

#[cfg(test)]
mod tests;
