//! The fields of a build-up.

use super::Quantity;
use super::walk::{Visitor, number, says};
use crate::works::BuildUp;

/// Thickest layer, metres.
const THICKEST_M: f64 = 2.0;

pub(super) fn walk(visitor: &mut dyn Visitor, (path, label): (&str, &str), of: &mut BuildUp) {
    let BuildUp { bedding_m, liner_m, stone_m, gravel_m, topsoil_m } = of;
    let rows = [
        ("bedding_m", "bedding", THICKEST_M, bedding_m),
        ("liner_m", "liner", 0.1, liner_m),
        ("stone_m", "stone", THICKEST_M, stone_m),
        ("gravel_m", "gravel", THICKEST_M, gravel_m),
        ("topsoil_m", "topsoil", THICKEST_M, topsoil_m),
    ];
    for (field, what, most_m, slot) in rows {
        let says = says(format!("{path}.{field}"), format!("{label}, {what}"));
        number(visitor, says.is(Quantity::Length, 0.0, most_m), slot);
    }
}
