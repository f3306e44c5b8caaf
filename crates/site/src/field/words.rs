//! What fields look like to people.

use units::{GALLON_L, LengthUnit, elevation_text, length_text, run_per_rise_text};

use super::Quantity;

/// A number of a quantity as people read it: "4.25 ft", "1 in 3", "25 %".
pub fn number_text(number: f64, quantity: Quantity, unit: LengthUnit) -> String {
    match quantity {
        Quantity::Length => length_text(number, unit),
        Quantity::Elevation => elevation_text(number, unit),
        // A steep face leans so far for each rise: "1 in 0.1" would say nothing.
        Quantity::RunPerRise if number < 0.5 => format!("{} to 1", trimmed(number, 3)),
        Quantity::RunPerRise => run_per_rise_text(number),
        Quantity::Share => format!("{} %", trimmed(100.0 * number, 1)),
        Quantity::Flow => match unit {
            LengthUnit::Metre => format!("{} L/min", trimmed(number, 1)),
            _ => format!("{} gpm", trimmed(number / GALLON_L, 2)),
        },
        Quantity::Density => format!("{} t/m3", trimmed(number, 3)),
        Quantity::Volume => format!("{} m3", trimmed(number, 3)),
        Quantity::Mass => format!("{} t", trimmed(number, 3)),
        _ => trimmed(number, 4),
    }
}

fn trimmed(number: f64, decimals: usize) -> String {
    let text = format!("{number:.decimals$}");
    if text.contains('.') {
        text.trim_end_matches('0').trim_end_matches('.').to_owned()
    } else {
        text
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_quantity_reads_with_its_unit() {
        let text = |number, quantity| number_text(number, quantity, LengthUnit::Metre);
        assert_eq!(text(1.2, Quantity::Length), "1.20 m");
        assert_eq!(text(3.0, Quantity::RunPerRise), "1 in 3");
        assert_eq!(text(0.1, Quantity::RunPerRise), "0.1 to 1");
        assert_eq!(text(0.25, Quantity::Share), "25 %");
        assert_eq!(text(1.6, Quantity::Density), "1.6 t/m3");
        assert_eq!(text(6.0, Quantity::Number), "6");
        assert_eq!(text(20.0, Quantity::Flow), "20 L/min");
        // A US gallon is 231 cubic inches, 3.785411784 L.
        assert_eq!(number_text(37.854_117_84, Quantity::Flow, LengthUnit::Foot), "10 gpm");
    }
}
