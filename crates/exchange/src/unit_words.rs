//! The words by which files and people name a unit of length.

use units::LengthUnit;

/// What may stand where a unit is asked for, for messages.
pub const EXPECTED: &str =
    "m, ft (international foot), ft-in (feet and inches) or us-ft (US survey foot)";

/// The unit that `word` names, if it names one.
///
/// A bare `ft` is the international foot: where both feet are possible, ask.
pub fn unit_of(word: &str) -> Option<LengthUnit> {
    match word.trim().to_lowercase().as_str() {
        "m" | "metre" | "metres" | "meter" | "meters" => Some(LengthUnit::Metre),
        "ft" | "foot" | "feet" | "intl-ft" => Some(LengthUnit::Foot),
        "ft-in" | "feet-inches" => Some(LengthUnit::FootInch),
        "us-ft" | "usft" | "ftus" | "us survey foot" | "us survey feet" => {
            Some(LengthUnit::UsSurveyFoot)
        }
        _ => None,
    }
}

/// The word that names `unit` on the command line and in files.
pub fn word_of(unit: LengthUnit) -> &'static str {
    match unit {
        LengthUnit::Metre => "m",
        LengthUnit::Foot => "ft",
        LengthUnit::FootInch => "ft-in",
        LengthUnit::UsSurveyFoot => "us-ft",
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_unit_is_read_back_from_its_own_word() {
        for unit in
            [LengthUnit::Metre, LengthUnit::Foot, LengthUnit::FootInch, LengthUnit::UsSurveyFoot]
        {
            assert_eq!(unit_of(word_of(unit)), Some(unit));
        }
        assert_eq!(unit_of("furlong"), None);
    }
}
