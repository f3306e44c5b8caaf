//! Numbers and units of a LandXML file.

use units::LengthUnit;

use super::{Axes, LandXmlError, Told};
use crate::points::shortened;
use crate::unit_words::word_of;
use crate::xml::{Tag, place_at};

/// What a list of places reads as, in the file's unit: northing, easting and elevation, and where
/// the first number stands.
pub(super) struct Raw {
    pub(super) first: f64,
    pub(super) second: f64,
    pub(super) z: Option<f64>,
    pub(super) at: usize,
}

/// The unit that the file tells.
#[derive(Clone, Debug)]
pub(super) struct FileUnit {
    unit: LengthUnit,
    word: String,
    z_word: Option<String>,
    at: usize,
}

/// From numbers of the file to metres of the world's frame.
#[derive(Clone, Copy, Debug)]
pub(super) struct Scale {
    pub(super) unit: LengthUnit,
    z_unit: LengthUnit,
    axes: Axes,
}

/// Numbers parted by blanks; each with its offset.
pub(super) fn words(text: &str) -> impl Iterator<Item = (usize, &str)> {
    let base = text.as_ptr() as usize;
    // Where a word stands in the text it was split from.
    text.split_ascii_whitespace().map(move |word| (word.as_ptr() as usize - base, word))
}

/// A finite decimal number; what spells infinity or no number is none.
pub(super) fn decimal(word: &str) -> Option<f64> {
    let is_plain =
        |byte: u8| byte.is_ascii_digit() || matches!(byte, b'+' | b'-' | b'.' | b'e' | b'E');
    word.bytes().all(is_plain).then(|| word.parse().ok()).flatten().filter(|n: &f64| n.is_finite())
}

/// Why a list of numbers is none: the word's offset, the word, what was expected.
pub(super) type Wrong = (usize, String, &'static str);

/// Numbers as places of `n` numbers each.
pub(super) fn places(text: &str, n: usize) -> Result<Vec<Raw>, Wrong> {
    const EXPECTED: [&str; 2] =
        ["pairs of northing and easting", "triples of northing, easting and elevation"];
    let mut places = Vec::new();
    let mut words = words(text);
    loop {
        let mut numbers = [0.0; 3];
        let mut first_at = 0;
        for (k, number) in numbers.iter_mut().enumerate().take(n) {
            let Some((at, word)) = words.next() else {
                if k == 0 {
                    return Ok(places);
                }
                let read = format!("{k} numbers at the end");
                return Err((text.trim_end().len(), read, EXPECTED[n - 2]));
            };
            if k == 0 {
                first_at = at;
            }
            *number =
                decimal(word).ok_or((at, shortened(word), "a number with a decimal point"))?;
        }
        let z = (n == 3).then_some(numbers[2]);
        places.push(Raw { first: numbers[0], second: numbers[1], z, at: first_at });
    }
}

impl FileUnit {
    /// The unit that an element Metric or Imperial tells.
    pub(super) fn of(tag: &Tag<'_>, text: &str) -> Result<Self, LandXmlError> {
        let read = tag.attribute("linearUnit").unwrap_or("").trim();
        let refused = |expected: &str| LandXmlError::Field {
            place: place_at(text, tag.at_of("linearUnit")),
            element: format!("{} linearUnit", tag.name),
            read: shortened(read),
            expected: expected.to_owned(),
        };
        let unit = match (tag.name, read) {
            ("Metric", "meter" | "metre") => LengthUnit::Metre,
            ("Metric", _) => return Err(refused("`meter`")),
            (_, "foot") => LengthUnit::Foot,
            (_, "USSurveyFoot") => LengthUnit::UsSurveyFoot,
            _ => return Err(refused("`foot` (0.3048 m) or `USSurveyFoot` (1200/3937 m)")),
        };
        let z_word = tag.attribute("elevationUnit").map(|word| word.trim().to_owned());
        Ok(Self { unit, word: read.to_owned(), z_word, at: tag.at })
    }

    /// Whether elevations are told in the unit of places.
    fn is_one(&self) -> bool {
        match self.z_word.as_deref() {
            None | Some("") => true,
            Some("meter" | "metre") => self.unit == LengthUnit::Metre,
            // The schema has one word for both feet: it says no more than that feet are meant.
            Some("feet" | "foot") => self.unit != LengthUnit::Metre,
            Some(word) => word == self.word,
        }
    }
}

impl Scale {
    /// The scale that file and user tell together.
    pub(super) fn of(
        file: Option<&FileUnit>,
        told: &Told,
        text: &str,
    ) -> Result<Self, LandXmlError> {
        let axes = told.axes;
        let Some(file) = file else {
            let unit = told.unit.ok_or(LandXmlError::UnitUnknown)?;
            return Ok(Self { unit, z_unit: told.z_unit.unwrap_or(unit), axes });
        };
        let place = || place_at(text, file.at);
        if let Some(told) = told.unit
            && told.metres() != file.unit.metres()
        {
            let (read, expected) = (file.word.clone(), word_of(told));
            return Err(LandXmlError::UnitContradicted { place: place(), read, expected });
        }
        let z_unit = match told.z_unit {
            Some(z_unit) => z_unit,
            None if file.is_one() => file.unit,
            None => {
                let read_z = file.z_word.clone().unwrap_or_default();
                return Err(LandXmlError::UnitMixed {
                    place: place(),
                    read: file.word.clone(),
                    read_z,
                });
            }
        };
        // Feet and inches are the same foot; the user's way of writing it goes before.
        let unit = told.unit.unwrap_or(file.unit);
        Ok(Self { unit, z_unit, axes })
    }

    pub(super) fn plan_m(&self, raw: &Raw) -> [f64; 2] {
        let [first, second] = [raw.first, raw.second].map(|c| self.unit.to_metres(c));
        match self.axes {
            Axes::NorthingFirst => [second, first],
            Axes::EastingFirst => [first, second],
        }
    }

    pub(super) fn z_m(&self, raw: &Raw) -> Option<f64> {
        raw.z.map(|z| self.z_unit.to_metres(z))
    }
}
