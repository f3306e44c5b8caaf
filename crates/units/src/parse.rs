//! Lengths as people type them.

use crate::LengthUnit;

/// Why a typed length was not read.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum ParseLengthError {
    /// Nothing was typed.
    #[error("expected a length such as 1.2 m, 4.5 or 3'-2 1/2\"")]
    Empty,
    /// A part is no number.
    #[error("expected a number, read {0:?}")]
    Number(String),
    /// A number is followed by an unknown unit.
    #[error("expected m, cm, mm, ft or in, read {0:?}")]
    Unit(String),
    /// Feet and inches stand in the wrong order, or a unit is given twice.
    #[error("expected feet before inches and each unit once, read {0:?}")]
    Order(String),
}

/// Reads a length into metres: "2 3/4 in", "3'-2\"", "9 ft 2 1/2 in", "1.2 m", "45 cm", "4.5".
///
/// A number without a unit is in `unit`; feet mean `unit`'s own foot, inches a twelfth of it. One
/// minus sign may stand in front of the whole.
///
/// # Errors
/// [`ParseLengthError`] names what was read; NaN and infinity are no numbers.
pub fn parse_length(text: &str, unit: LengthUnit) -> Result<f64, ParseLengthError> {
    let trimmed = text.trim();
    let (sign, body) = match trimmed.strip_prefix(['-', '\u{2212}']) {
        Some(rest) => (-1.0, rest.trim_start()),
        None => (1.0, trimmed),
    };
    if body.is_empty() {
        return Err(ParseLengthError::Empty);
    }
    let mut rest = body;
    let mut total_m = 0.0;
    let mut last_rank = 0;
    while !rest.is_empty() {
        let (number, after_number) = take_number(rest)?;
        let (metres, rank, after_unit) = take_unit(after_number, unit, last_rank)?;
        if rank <= last_rank {
            return Err(ParseLengthError::Order(text.into()));
        }
        last_rank = rank;
        total_m += number * metres;
        rest = after_unit.trim_start_matches(|c: char| c.is_whitespace() || c == '-');
    }
    Ok(sign * total_m)
}

/// Reads "3", "2.5", "3/4" or "2 3/4" and returns what follows.
fn take_number(text: &str) -> Result<(f64, &str), ParseLengthError> {
    let (first, rest) = take_simple(text)?;
    if first.fract() != 0.0 {
        return Ok((first, rest));
    }
    if let Some(under) = rest.strip_prefix('/') {
        let (divisor, rest) = take_divisor(under)?;
        return Ok((first / divisor, rest));
    }
    let gap = rest.trim_start_matches([' ', '-']);
    if gap.len() < rest.len() && gap.starts_with(|c: char| c.is_ascii_digit()) {
        let (above, after) = take_simple(gap)?;
        if let Some(under) = after.strip_prefix('/') {
            let (divisor, rest) = take_divisor(under)?;
            return Ok((first + above / divisor, rest));
        }
    }
    Ok((first, rest))
}

fn take_divisor(text: &str) -> Result<(f64, &str), ParseLengthError> {
    match take_simple(text)? {
        (divisor, rest) if divisor > 0.0 => Ok((divisor, rest)),
        _ => Err(ParseLengthError::Number(text.into())),
    }
}

fn take_simple(text: &str) -> Result<(f64, &str), ParseLengthError> {
    let end = text.find(|c: char| !c.is_ascii_digit() && c != '.').unwrap_or(text.len());
    let (digits, rest) = text.split_at(end);
    match digits.parse::<f64>() {
        Ok(number) if number.is_finite() => Ok((number, rest)),
        _ => Err(ParseLengthError::Number(text.into())),
    }
}

/// Reads a unit: its metres, its rank (feet before inches, others alone) and what follows.
fn take_unit(
    text: &str,
    unit: LengthUnit,
    last_rank: u8,
) -> Result<(f64, u8, &str), ParseLengthError> {
    let foot_m = match unit {
        LengthUnit::Metre => LengthUnit::Foot.metres(),
        other => other.metres(),
    };
    let text = text.trim_start();
    let end = text
        .find(|c: char| c.is_whitespace() || c.is_ascii_digit() || c == '-')
        .unwrap_or(text.len());
    let (word, rest) = text.split_at(end);
    let (metres, rank) = match word {
        // Inches may go without their sign behind feet: 3' 2.
        "" if last_rank == 1 => (foot_m / 12.0, 2),
        "" => (unit.metres(), 3),
        "ft" | "'" | "\u{2032}" | "feet" | "foot" => (foot_m, 1),
        "in" | "\"" | "\u{2033}" | "''" | "inch" | "inches" => (foot_m / 12.0, 2),
        "m" => (1.0, 3),
        "cm" => (0.01, 3),
        "mm" => (0.001, 3),
        other => return Err(ParseLengthError::Unit(other.into())),
    };
    if rank == 3 && last_rank > 0 {
        return Err(ParseLengthError::Order(word.into()));
    }
    Ok((metres, rank, rest))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn inches(text: &str, unit: LengthUnit) -> f64 {
        parse_length(text, unit).unwrap() / 0.0254
    }

    #[test]
    fn feet_inches_and_fractions() {
        let unit = LengthUnit::FootInch;
        for (text, expected) in [
            ("2 3/4 in", 2.75),
            ("3'-2\"", 38.0),
            ("3' 2", 38.0),
            ("3'-2 1/2\"", 38.5),
            ("9 ft 2 3/4 in", 110.75),
            ("9ft", 108.0),
            ("-6 in", -6.0),
            ("3/4\"", 0.75),
            ("4.5", 54.0),
            ("2-3/4 in", 2.75),
        ] {
            assert!((inches(text, unit) - expected).abs() < 1e-9, "{text}");
        }
    }

    #[test]
    fn metric_and_the_sites_own_foot() {
        assert_eq!(parse_length("1.2 m", LengthUnit::Foot), Ok(1.2));
        assert_eq!(parse_length("45cm", LengthUnit::Metre), Ok(0.45));
        assert_eq!(parse_length("4.5", LengthUnit::Metre), Ok(4.5));
        assert_eq!(
            parse_length("3937 ft", LengthUnit::UsSurveyFoot),
            Ok(3937.0 * (1200.0 / 3937.0))
        );
    }

    #[test]
    fn what_is_no_length_is_refused() {
        for text in [
            "",
            "  ",
            "-",
            "NaN",
            "inf",
            "1e9",
            "four",
            "3 in 2 ft",
            "3 ft 2 ft",
            "1 m 2 in",
            "1/0 in",
            "1..2",
            "--3",
            "5 yd",
        ] {
            assert!(parse_length(text, LengthUnit::FootInch).is_err(), "{text}");
        }
    }

    #[test]
    fn what_is_shown_is_read_back() {
        for quarters in -500..500 {
            let length_m = f64::from(quarters) * 0.0254 / 4.0;
            let text = crate::length_text(length_m, LengthUnit::FootInch);
            let back = parse_length(&text, LengthUnit::FootInch).unwrap();
            assert!((back - length_m).abs() < 1e-12, "{text}");
        }
    }
}
