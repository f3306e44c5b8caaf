//! Words that several findings share.

use units::{LengthUnit, length_text, thickness_text};

/// Planning help beside walls (K-07, K-08).
pub(super) const WALL_CAUTION: &str = "Planning help, no design by a licensed person. Walls above \
    4 ft from the bottom of the footing, or with any load behind, commonly need a permit and \
    licensed design; some places ask from 2 ft. Local codes and the authority decide.";

/// A length for a remedy: the least that can be written and is enough.
pub(super) fn enough_text(length_m: f64, unit: LengthUnit) -> String {
    let step_m = match unit {
        LengthUnit::FootInch => 0.0254 / 4.0,
        other => other.to_metres(0.01),
    };
    // A hair above a whole step is that step.
    length_text((length_m / step_m - 1e-3).ceil() * step_m, unit)
}

/// How much something falls short; finer than lengths are built where it is less than one is built to.
pub(super) fn short_text(length_m: f64, unit: LengthUnit) -> String {
    if length_m < FINE_M { thickness_text(length_m, unit) } else { length_text(length_m, unit) }
}

/// Lengths below this are told more finely, metres.
const FINE_M: f64 = 0.005;

/// How long a stretch is, as a person paces it off: "9 ft", "2 ft 6 in", "1.4 m".
pub(super) fn stretch_text(length_m: f64, unit: LengthUnit) -> String {
    let foot_m = unit.to_metres(1.0);
    let step_m = match unit {
        LengthUnit::Metre => 0.1,
        _ if length_m < 2.0 * foot_m => foot_m / 12.0,
        _ if length_m < 6.0 * foot_m => foot_m / 2.0,
        _ => foot_m,
    };
    // A stretch that is there is not told as none.
    let rounded_m = (length_m / step_m).round().max(1.0) * step_m;
    match unit {
        LengthUnit::FootInch => length_text(rounded_m, unit),
        other => {
            format!("{} {}", (other.from_metres(rounded_m) * 10.0).round() / 10.0, other.sign())
        }
    }
}

/// The point of the compass in which `to` lies from `from`: "north", "south-west".
pub(crate) fn compass(from: [f64; 2], to: [f64; 2]) -> &'static str {
    const POINTS: [&str; 8] =
        ["north", "north-east", "east", "south-east", "south", "south-west", "west", "north-west"];
    let bearing_rad = libm::atan2(to[0] - from[0], to[1] - from[1]);
    let eighths = (bearing_rad / std::f64::consts::FRAC_PI_4).round();
    POINTS[eighths.rem_euclid(8.0) as usize % 8]
}

/// Where a place lies along a line: "at its south end" or "in its middle".
pub(super) fn along_line(share: f64, ends: [[f64; 2]; 2]) -> String {
    match share {
        s if s < 1.0 / 3.0 => format!("at its {} end", compass(ends[1], ends[0])),
        s if s > 2.0 / 3.0 => format!("at its {} end", compass(ends[0], ends[1])),
        _ => "in its middle".into(),
    }
}

/// Percent to the nearest whole, never 0 for something.
pub(super) fn percent(share: f64) -> String {
    match (100.0 * share).round() {
        0.0 if share > 0.0 => "below 1 %".into(),
        whole => format!("{whole} %"),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_compass_and_the_ends() {
        assert_eq!(compass([0.0, 0.0], [0.0, 5.0]), "north");
        assert_eq!(compass([0.0, 0.0], [-5.0, -5.2]), "south-west");
        assert_eq!(compass([0.0, 0.0], [-5.0, 0.1]), "west");
        assert_eq!(along_line(0.9, [[0.0, 0.0], [0.0, -4.0]]), "at its south end");
        assert_eq!(along_line(0.1, [[0.0, 0.0], [0.0, -4.0]]), "at its north end");
    }

    #[test]
    fn stretches_are_paced_off() {
        let said = |feet: f64, unit| stretch_text(unit_m(feet), unit);
        assert_eq!(said(13.02, LengthUnit::FootInch), "13 ft");
        assert_eq!(said(2.6, LengthUnit::FootInch), "2 ft 6 in");
        assert_eq!(said(0.01, LengthUnit::FootInch), "1 in");
        assert_eq!(said(13.02, LengthUnit::Foot), "13 ft");
        assert_eq!(stretch_text(1.44, LengthUnit::Metre), "1.4 m");
    }

    fn unit_m(feet: f64) -> f64 {
        feet * 0.3048
    }

    #[test]
    fn what_is_said_is_enough() {
        assert_eq!(enough_text(2.76 * 0.0254, LengthUnit::FootInch), "3 in");
        assert_eq!(enough_text(2.75 * 0.0254, LengthUnit::FootInch), "2 3/4 in");
        assert_eq!(enough_text(0.101, LengthUnit::Metre), "0.11 m");
    }
}
