//! Decimal numbers as people read them.

/// A half is rounded away from zero, and what reads as a half is one: 0.015 is held a hair below
/// itself, and reads 0.02 all the same. In shares of the value, far below what any survey knows.
const HALF_UP: f64 = 1.0 + 1e-12;

/// `value` to `places` decimals, thousands set apart by commas, never a minus before zero.
///
/// Halves go away from zero. Infinity and what is not a number read "not known".
pub(crate) fn decimal(value: f64, places: usize) -> String {
    if !value.is_finite() {
        return "not known".into();
    }
    let plain = format!("{:.places$}", value.abs() * HALF_UP);
    let (whole, rest) = plain.split_at(plain.find('.').unwrap_or(plain.len()));
    let minus = if value < 0.0 && plain.bytes().any(|b| b.is_ascii_digit() && b != b'0') {
        "-"
    } else {
        ""
    };
    format!("{minus}{}{rest}", grouped(whole))
}

/// `value` with as many decimals as keep about three figures: 3.33, 41.2, 1,234.
pub(crate) fn three_figures(value: f64) -> String {
    let places = match value.abs() {
        v if v < 9.995 => 2,
        v if v < 999.95 => 1,
        _ => 0,
    };
    decimal(value, places)
}

fn grouped(digits: &str) -> String {
    let mut text = String::with_capacity(digits.len() + digits.len() / 3);
    for (i, digit) in digits.chars().enumerate() {
        if i > 0 && (digits.len() - i).is_multiple_of(3) {
            text.push(',');
        }
        text.push(digit);
    }
    text
}

#[cfg(test)]
mod tests {
    use super::{decimal, three_figures};

    #[test]
    fn thousands_signs_and_zero() {
        assert_eq!(decimal(1_234_567.891, 1), "1,234,567.9");
        assert_eq!(decimal(-0.001, 2), "0.00");
        assert_eq!(decimal(-12.5, 1), "-12.5");
        assert_eq!(decimal(999.96, 1), "1,000.0");
        assert_eq!(decimal(f64::NAN, 1), "not known");
    }

    #[test]
    fn halves_go_away_from_zero_however_they_are_held() {
        for (value, places, read) in [
            (0.015, 2, "0.02"),
            (0.125, 2, "0.13"),
            (2.675, 2, "2.68"),
            (1.005, 2, "1.01"),
            (-0.005, 2, "-0.01"),
            (0.25, 1, "0.3"),
            (0.5, 0, "1"),
            (0.014_999, 2, "0.01"),
        ] {
            assert_eq!(decimal(value, places), read);
        }
        for thousandths in 0..100_000_u32 {
            let half_up = (thousandths + 5) / 10;
            let read = decimal(f64::from(thousandths) / 1000.0, 2).replace([',', '.'], "");
            assert_eq!(read.parse(), Ok(half_up), "{thousandths}");
        }
    }

    #[test]
    fn three_figures_keep_their_count_across_carries() {
        assert_eq!(three_figures(9.996), "10.0");
        assert_eq!(three_figures(999.96), "1,000");
        assert_eq!(three_figures(3.333), "3.33");
    }
}
