//! Numbers with their unit, as people read them.

use crate::LengthUnit;
use crate::number::{decimal, three_figures};

/// Cubic metres in one US gallon: 231 cubic inches exactly.
const GALLON_M3: f64 = 231.0 * 0.0254 * 0.0254 * 0.0254;

/// Litres in a US gallon, which is 231 cubic inches.
pub const GALLON_L: f64 = 1000.0 * GALLON_M3;

/// Kilograms in one pound, exactly.
const POUND_KG: f64 = 0.453_592_37;

/// A length: "1.20 m", "4.25 ft", or "9 ft 2 3/4 in" to the quarter inch.
///
/// What rounds to twelve inches carries into the feet.
pub fn length_text(length_m: f64, unit: LengthUnit) -> String {
    match unit {
        LengthUnit::FootInch if length_m.is_finite() => feet_and_inches(length_m),
        LengthUnit::Metre => format!("{} m", decimal(length_m, 2)),
        other => format!("{} ft", decimal(other.from_metres(length_m), 2)),
    }
}

/// How surely a level is known: "15 mm" or "0.05 ft", finer than lengths are built.
pub fn accuracy_text(accuracy_m: f64, unit: LengthUnit) -> String {
    match unit {
        LengthUnit::Metre => format!("{} mm", decimal(accuracy_m * 1000.0, 0)),
        other => format!("{} ft", decimal(other.from_metres(accuracy_m), 2)),
    }
}

/// How levels close: "3.8 mm" or "0.012 ft", as finely as a rod is read between its marks.
pub fn closing_text(length_m: f64, unit: LengthUnit) -> String {
    match unit {
        LengthUnit::Metre => format!("{} mm", decimal(length_m * 1000.0, 1)),
        other => format!("{} ft", decimal(other.from_metres(length_m), 3)),
    }
}

/// An elevation, always in decimals, as levels are read: "103.42 ft".
pub fn elevation_text(elevation_m: f64, unit: LengthUnit) -> String {
    format!("{} {}", decimal(unit.from_metres(elevation_m), 2), unit.sign())
}

/// An area: "12.3 m2" or "1,800 ft2".
pub fn area_text(area_m2: f64, unit: LengthUnit) -> String {
    let in_unit = unit.from_metres(unit.from_metres(area_m2));
    match unit {
        LengthUnit::Metre => format!("{} m2", three_figures(in_unit)),
        _ => format!("{} ft2", decimal(in_unit, if in_unit.abs() < 9.95 { 1 } else { 0 })),
    }
}

/// A volume of earth: "3.4 m3" or "41.2 yd3".
pub fn earth_text(volume_m3: f64, unit: LengthUnit) -> String {
    let cubed = unit.from_metres(unit.from_metres(unit.from_metres(volume_m3)));
    match unit {
        LengthUnit::Metre => format!("{} m3", decimal(cubed, 1)),
        _ => format!("{} yd3", decimal(cubed / 27.0, 1)),
    }
}

/// A volume of water: litres below ten cubic metres, else cubic metres, or US gallons.
pub fn water_text(volume_m3: f64, unit: LengthUnit) -> String {
    match unit {
        LengthUnit::Metre if volume_m3.abs() >= 10.0 => format!("{} m3", decimal(volume_m3, 1)),
        LengthUnit::Metre => format!("{} L", decimal(volume_m3 * 1000.0, 0)),
        _ => format!("{} gal", decimal(volume_m3 / GALLON_M3, 0)),
    }
}

/// Running water: "3.25 L/s" or "52 gpm".
pub fn flow_text(flow_m3_s: f64, unit: LengthUnit) -> String {
    match unit {
        LengthUnit::Metre => format!("{} L/s", three_figures(flow_m3_s * 1000.0)),
        _ => format!("{} gpm", three_figures(flow_m3_s * 60.0 / GALLON_M3)),
    }
}

/// A velocity: "1.52 m/s" or "4.99 ft/s".
pub fn velocity_text(velocity_m_s: f64, unit: LengthUnit) -> String {
    match unit {
        LengthUnit::Metre => format!("{} m/s", three_figures(velocity_m_s)),
        other => format!("{} ft/s", three_figures(other.from_metres(velocity_m_s))),
    }
}

/// Water that rises slowly through gravel: "1.4 mm each second" or "3.3 in each minute".
pub fn rising_text(velocity_m_s: f64, unit: LengthUnit) -> String {
    match unit {
        LengthUnit::Metre => format!("{} mm each second", decimal(velocity_m_s * 1000.0, 1)),
        _ => format!("{} in each minute", decimal(60.0 * velocity_m_s / 0.0254, 1)),
    }
}

/// Water over a crest, finer than lengths are built: "12 mm" or "0.47 in".
pub fn thickness_text(thickness_m: f64, unit: LengthUnit) -> String {
    match unit {
        LengthUnit::Metre => format!("{} mm", decimal(thickness_m * 1000.0, 0)),
        _ => format!("{} in", decimal(thickness_m / 0.0254, 2)),
    }
}

/// A mass that is lifted: "620 kg" or "1,367 lb".
pub fn mass_text(mass_kg: f64, unit: LengthUnit) -> String {
    match unit {
        LengthUnit::Metre => format!("{} kg", decimal(mass_kg, 0)),
        _ => format!("{} lb", decimal(mass_kg / POUND_KG, 0)),
    }
}

/// A slope by its run for each rise: "1 in 3", "1 in 2.4".
pub fn run_per_rise_text(run: f64) -> String {
    let rounded = decimal(run, 1);
    format!("1 in {}", rounded.strip_suffix(".0").unwrap_or(&rounded))
}

/// A count of truck loads: "1 load", "3 loads".
pub fn loads_text(loads: u32) -> String {
    if loads == 1 { "1 load".into() } else { format!("{} loads", decimal(f64::from(loads), 0)) }
}

fn feet_and_inches(length_m: f64) -> String {
    let quarters = (length_m.abs() / 0.0254 * 4.0).round();
    let feet = (quarters / 48.0).floor();
    let rest = quarters - 48.0 * feet;
    let (inches, quarter) = ((rest / 4.0).floor(), rest % 4.0);
    let mut parts = Vec::new();
    if feet > 0.0 || quarters == 0.0 {
        parts.push(format!("{} ft", decimal(feet, 0)));
    }
    let fraction = ["", "1/4", "1/2", "3/4"][quarter as usize];
    match (inches > 0.0, quarter > 0.0) {
        (true, true) => parts.push(format!("{inches} {fraction} in")),
        (true, false) => parts.push(format!("{inches} in")),
        (false, true) => parts.push(format!("{fraction} in")),
        (false, false) => {}
    }
    let minus = if length_m < 0.0 && quarters > 0.0 { "-" } else { "" };
    format!("{minus}{}", parts.join(" "))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn inches_carry_into_feet() {
        let text = |inches: f64| length_text(inches * 0.0254, LengthUnit::FootInch);
        assert_eq!(text(2.75), "2 3/4 in");
        assert_eq!(text(11.99), "1 ft");
        assert_eq!(text(23.99), "2 ft");
        assert_eq!(text(108.0), "9 ft");
        assert_eq!(text(110.75), "9 ft 2 3/4 in");
        assert_eq!(text(0.26), "1/4 in");
        assert_eq!(text(12.2), "1 ft 1/4 in");
        assert_eq!(text(0.1), "0 ft");
        assert_eq!(text(-30.0), "-2 ft 6 in");
        assert_eq!(text(-0.01), "0 ft");
    }

    #[test]
    fn no_length_ever_shows_twelve_inches() {
        for step in 0..20_000 {
            let text = length_text(f64::from(step) * 0.0003, LengthUnit::FootInch);
            assert!(
                !text.contains("12 in") && !text.contains("12 1") && !text.contains("4/4"),
                "{text}"
            );
        }
    }

    #[test]
    fn areas_volumes_and_slopes() {
        let square_foot_m2 = 0.3048 * 0.3048;
        assert_eq!(area_text(1800.0 * square_foot_m2, LengthUnit::Foot), "1,800 ft2");
        assert_eq!(area_text(12.34, LengthUnit::Metre), "12.3 m2");
        let cubic_yard_m3 = 0.9144 * 0.9144 * 0.9144;
        assert_eq!(earth_text(41.2 * cubic_yard_m3, LengthUnit::FootInch), "41.2 yd3");
        assert_eq!(water_text(3730.0 * 0.003_785_411_784, LengthUnit::Foot), "3,730 gal");
        assert_eq!(water_text(1.234, LengthUnit::Metre), "1,234 L");
        // 1 gpm is 0.0630902 L/s: the rows P-14 and P-15.
        assert_eq!(flow_text(50.0 * 6.309_02e-5, LengthUnit::FootInch), "50.0 gpm");
        assert_eq!(flow_text(0.003_25, LengthUnit::Metre), "3.25 L/s");
        assert_eq!(velocity_text(1.524, LengthUnit::Foot), "5.00 ft/s");
        assert_eq!(velocity_text(1.524, LengthUnit::Metre), "1.52 m/s");
        assert_eq!(thickness_text(0.012, LengthUnit::FootInch), "0.47 in");
        assert_eq!(thickness_text(0.012, LengthUnit::Metre), "12 mm");
        assert_eq!(rising_text(0.001_27, LengthUnit::Foot), "3.0 in each minute");
        assert_eq!(rising_text(0.001_27, LengthUnit::Metre), "1.3 mm each second");
        assert_eq!(mass_text(453.592_37, LengthUnit::Foot), "1,000 lb");
        assert_eq!(mass_text(620.4, LengthUnit::Metre), "620 kg");
        assert_eq!(run_per_rise_text(3.0), "1 in 3");
        assert_eq!(run_per_rise_text(2.44), "1 in 2.4");
        assert_eq!(loads_text(1), "1 load");
        assert_eq!(length_text(1.2, LengthUnit::Metre), "1.20 m");
        assert_eq!(accuracy_text(0.015, LengthUnit::Metre), "15 mm");
        assert_eq!(accuracy_text(0.015_24, LengthUnit::FootInch), "0.05 ft");
        assert_eq!(closing_text(0.003_84, LengthUnit::Metre), "3.8 mm");
        assert_eq!(closing_text(0.003_66, LengthUnit::FootInch), "0.012 ft");
        assert_eq!(elevation_text(30.48, LengthUnit::FootInch), "100.00 ft");
    }
}
