//! From a field's text to a number, strictly.

/// The sign that parts a number's whole from its fraction.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Decimal {
    /// `1.5`
    Point,
    /// `1,5`
    Comma,
}

impl Decimal {
    /// The words that people read.
    pub fn as_str(self) -> &'static str {
        match self {
            Self::Point => "decimal point",
            Self::Comma => "decimal comma",
        }
    }
}

/// Reads digits with at most one decimal sign and an exponent, and says which sign there was.
///
/// Answers nothing for words (`nan` and `inf` among them), groups of thousands and empty text;
/// the value may be infinite when the exponent is too great.
pub(crate) fn read(text: &str) -> Option<(f64, Option<Decimal>)> {
    let minus = text.strip_prefix(['-', '\u{2212}']);
    let digits = minus.or_else(|| text.strip_prefix('+')).unwrap_or(text);
    let (mantissa, exponent) = match digits.find(['e', 'E']) {
        Some(at) => (&digits[..at], Some(&digits[at + 1..])),
        None => (digits, None),
    };
    let exponent_holds = exponent.is_none_or(|text| {
        let digits = text.strip_prefix(['+', '-']).unwrap_or(text);
        !digits.is_empty() && digits.bytes().all(|byte| byte.is_ascii_digit())
    });
    let sign_at = mantissa.find(['.', ',']);
    let (whole, fraction) = match sign_at {
        Some(at) => (&mantissa[..at], &mantissa[at + 1..]),
        None => (mantissa, ""),
    };
    let all_digits = whole.bytes().chain(fraction.bytes()).all(|byte| byte.is_ascii_digit());
    if !exponent_holds || !all_digits || whole.len() + fraction.len() == 0 {
        return None;
    }
    let decimal = sign_at.map(|at| match mantissa.as_bytes()[at] {
        b',' => Decimal::Comma,
        _ => Decimal::Point,
    });
    let magnitude: f64 = match decimal {
        Some(Decimal::Comma) => digits.replacen(',', ".", 1).parse().ok()?,
        _ => digits.parse().ok()?,
    };
    Some((if minus.is_some() { -magnitude } else { magnitude }, decimal))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn numbers_are_read_to_the_last_digit() {
        assert_eq!(read("1.5"), Some((1.5, Some(Decimal::Point))));
        assert_eq!(read("-1,5"), Some((-1.5, Some(Decimal::Comma))));
        assert_eq!(read("\u{2212}12"), Some((-12.0, None)));
        assert_eq!(read("+5.0e2"), Some((500.0, Some(Decimal::Point))));
        assert_eq!(read(".25"), Some((0.25, Some(Decimal::Point))));
        assert_eq!(read("500000.123456"), Some((500_000.123_456, Some(Decimal::Point))));
    }

    #[test]
    fn words_and_groups_are_no_numbers() {
        for text in [
            "",
            "-",
            ".",
            "nan",
            "NaN",
            "inf",
            "-infinity",
            "1.234,5",
            "1,234.5",
            "1 2",
            "0x1",
            "1_0",
            "1e",
            "e5",
            "12a",
            "--1",
            "+-1",
        ] {
            assert_eq!(read(text), None, "{text}");
        }
    }
}
