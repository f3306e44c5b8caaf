//! Decimal numbers as people read them.

/// `value` to `places` decimals, thousands set apart by commas, never a minus before zero.
///
/// Infinity and what is not a number read "not known".
pub(crate) fn decimal(value: f64, places: usize) -> String {
    if !value.is_finite() {
        return "not known".into();
    }
    let plain = format!("{:.places$}", value.abs());
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
    fn three_figures_keep_their_count_across_carries() {
        assert_eq!(three_figures(9.996), "10.0");
        assert_eq!(three_figures(999.96), "1,000");
        assert_eq!(three_figures(3.333), "3.33");
    }
}
