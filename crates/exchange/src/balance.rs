//! Balancing a site: what is freed and aimed at, read from words; what came of it, as words and JSON.

mod json;
mod read;
mod text;

#[cfg(test)]
mod tests;

use design::solver::{Changed, Goal, Measures};
use site::Site;
use site::field::{Quantity, number_text};
use units::{LengthUnit, earth_text, length_text};

pub use json::json;
pub use read::{AskError, GOALS, freed, goal, listed};
pub use text::text;

/// A number as it is set out: finer than lengths are told elsewhere, since a crew sets 5 mm.
fn set_out_text(number: f64, quantity: Quantity, unit: LengthUnit) -> String {
    match (quantity, unit) {
        (Quantity::Length | Quantity::Elevation, LengthUnit::Metre) => format!("{number:.3} m"),
        _ => number_text(number, quantity, unit),
    }
}

/// By how much a number changed: "up 0.045 m", "gentler by 0.3", "steeper by 0.3".
fn change_text(number: &Changed, unit: LengthUnit) -> String {
    let by = number.to - number.from;
    match number.quantity {
        Quantity::RunPerRise => {
            let way = if by > 0.0 { "gentler" } else { "steeper" };
            format!("{way} by {:.1}", by.abs())
        }
        Quantity::Elevation => {
            let way = if by > 0.0 { "up" } else { "down" };
            // An elevation is told in decimals, but it is raised by a length.
            format!("{way} {}", set_out_text(by.abs(), Quantity::Length, unit))
        }
        other => {
            let way = if by > 0.0 { "more by" } else { "less by" };
            format!("{way} {}", set_out_text(by.abs(), other, unit))
        }
    }
}

/// What a goal is called on the command line.
fn goal_word(goal: Goal) -> &'static str {
    match goal {
        Goal::NoSpoil => "no-spoil",
        Goal::Spoil { .. } => "spoil",
        Goal::NoTruck => "no-truck",
        Goal::NoMound => "no-mound",
        Goal::WallTopsAtLip => "wall-tops-at-lip",
    }
}

/// What is measured, as people call it.
fn measures_text(measures: Measures, site: &Site) -> String {
    match measures {
        Measures::Spoil => "subsoil left over".to_owned(),
        Measures::Topsoil => "topsoil left over".to_owned(),
        Measures::Mound => "measure of the hill".to_owned(),
        Measures::Wall(id) => {
            let name = site.work(id).map_or_else(|| format!("work {}", id.0), |w| w.name.clone());
            format!("{name} below what it must reach")
        }
    }
}

/// Earth that is left over: "6.2 yd3", or "11.3 yd3 short".
fn left_over_text(volume_m3: f64, unit: LengthUnit) -> String {
    match earth_text(volume_m3, unit).strip_prefix('-') {
        Some(short) => format!("{short} short"),
        None => earth_text(volume_m3, unit),
    }
}

/// A measured value in its unit.
fn measure_text(measures: Measures, value: f64, unit: LengthUnit) -> String {
    match measures {
        Measures::Spoil | Measures::Topsoil => left_over_text(value, unit),
        Measures::Mound => format!("{value:.2}"),
        Measures::Wall(_) if unit == LengthUnit::Metre => format!("{value:.3} m"),
        Measures::Wall(_) => length_text(value, unit),
    }
}
