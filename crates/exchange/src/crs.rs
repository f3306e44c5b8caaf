//! Units of coordinate systems, as GeoTIFF keys and well-known text tell them.
//!
//! # Source
//! OGC GeoTIFF 1.1 (19-008r4), keys 1024, 2048, 3072, 3076, 4099 and units 9001, 9002, 9003; OGC
//! well-known text, 12-063r5 and the older 01-009. UTM zones are in metres by their EPSG entries.

use units::LengthUnit;

use crate::content::Datum;
use crate::points::shortened;

/// What a file tells of its units.
#[derive(Clone, Debug, Default, PartialEq)]
pub(crate) struct CrsUnits {
    /// Unit of eastings and northings, or the words that name an unknown one.
    pub(crate) plan: Option<Result<LengthUnit, String>>,
    /// Unit of heights.
    pub(crate) z: Option<Result<LengthUnit, String>>,
    /// Whether places are angles.
    pub(crate) is_geographic: bool,
    /// What the systems are called.
    pub(crate) datum: Datum,
}

const MODEL_TYPE: u16 = 1024;
const RASTER_TYPE: u16 = 1025;
const CITATION: u16 = 1026;
const PROJECTED_SYSTEM: u16 = 3072;
const PROJECTED_CITATION: u16 = 3073;
const PROJECTED_UNIT: u16 = 3076;
const VERTICAL_SYSTEM: u16 = 4096;
const VERTICAL_CITATION: u16 = 4097;
const VERTICAL_UNIT: u16 = 4099;

/// What a GeoTIFF key directory and the text beside it tell: four numbers a key, the first four
/// telling how many.
pub(crate) fn of_geo_keys(directory: &[u16], text: &str) -> CrsUnits {
    let keys = directory.chunks_exact(4).skip(1);
    // Only keys whose value stands in the directory itself, or in the text, are of use here.
    let value =
        |wanted: u16| keys.clone().find(|key| key[0] == wanted && key[1] == 0).map(|key| key[3]);
    let plan = match (value(PROJECTED_UNIT), value(PROJECTED_SYSTEM)) {
        (Some(code), _) if code != 32767 => Some(unit_of_code(code)),
        (_, Some(system)) if is_metric(system) => Some(Ok(LengthUnit::Metre)),
        _ => None,
    };
    CrsUnits {
        plan,
        z: value(VERTICAL_UNIT).filter(|code| *code != 32767).map(unit_of_code),
        is_geographic: value(MODEL_TYPE) == Some(2),
        datum: Datum {
            horizontal: words(directory, text, &[PROJECTED_CITATION, CITATION])
                .or(value(PROJECTED_SYSTEM).and_then(registered))
                .unwrap_or_default(),
            vertical: words(directory, text, &[VERTICAL_CITATION])
                .or(value(VERTICAL_SYSTEM).and_then(registered))
                .unwrap_or_default(),
        },
    }
}

/// The words of the first of some keys that has any.
fn words(directory: &[u16], text: &str, wanted: &[u16]) -> Option<String> {
    const TEXT: u16 = 34737;
    let of_key = |wanted: &u16| {
        let mut keys = directory.chunks_exact(4).skip(1);
        let key = keys.find(|key| key[0] == *wanted && key[1] == TEXT)?;
        let [n, start] = [key[2], key[3]].map(usize::from);
        let words = text.get(start..start + n)?.trim_matches(['|', '\0', ' ']);
        (!words.is_empty()).then(|| shortened(words))
    };
    wanted.iter().find_map(of_key)
}

/// A system by its number in the EPSG registry.
fn registered(system: u16) -> Option<String> {
    (system != 32767 && system != 0).then(|| format!("EPSG {system}"))
}

/// The key directory of a plane without a name, in a unit; cells are areas.
///
/// The model is the user's own: one that is called projected but names no projection is taken for
/// metres by a common reader, whatever unit it tells.
pub(crate) fn geo_keys(unit: LengthUnit) -> [u16; 20] {
    let code = code_of(unit);
    let keys = [
        [1, 1, 0, 4],
        [MODEL_TYPE, 0, 1, 32767],
        [RASTER_TYPE, 0, 1, 1],
        [PROJECTED_UNIT, 0, 1, code],
        [VERTICAL_UNIT, 0, 1, code],
    ];
    let mut directory = [0; 20];
    directory.copy_from_slice(keys.as_flattened());
    directory
}

fn unit_of_code(code: u16) -> Result<LengthUnit, String> {
    match code {
        9001 => Ok(LengthUnit::Metre),
        9002 => Ok(LengthUnit::Foot),
        9003 => Ok(LengthUnit::UsSurveyFoot),
        other => Err(format!("unit {other}")),
    }
}

fn code_of(unit: LengthUnit) -> u16 {
    match unit {
        LengthUnit::Metre => 9001,
        LengthUnit::Foot | LengthUnit::FootInch => 9002,
        LengthUnit::UsSurveyFoot => 9003,
    }
}

/// Whether a projected system is a UTM zone.
fn is_metric(system: u16) -> bool {
    matches!(system, 32601..=32660 | 32701..=32760 | 25828..=25838 | 26901..=26923)
}

/// What a well-known text tells.
pub(crate) fn of_wkt(text: &str) -> CrsUnits {
    let mut units = CrsUnits::default();
    let mut open: Vec<String> = Vec::new();
    let mut rest = text;
    let mut has_projected = false;
    while let Some(at) = rest.find(['[', '(', ']', ')', '"']) {
        let word = rest[..at].rsplit(',').next().unwrap_or("").trim().to_uppercase();
        let sign = rest.as_bytes()[at];
        rest = &rest[at + 1..];
        match sign {
            b'"' => rest = rest.find('"').map_or("", |end| &rest[end + 1..]),
            b'[' | b'(' => {
                if matches!(word.as_str(), "UNIT" | "LENGTHUNIT") {
                    let unit = unit_of_factor(rest);
                    match kind_of(&open) {
                        Kind::Plan => units.plan = units.plan.or(unit),
                        Kind::Vertical => units.z = units.z.or(unit),
                        Kind::Other => {}
                    }
                }
                has_projected |= is_projected(&word);
                match word.as_str() {
                    word if is_projected(word) => units.datum.horizontal = name_at(rest),
                    "VERT_CS" | "VERTCRS" | "VERTICALCRS" => units.datum.vertical = name_at(rest),
                    _ => {}
                }
                open.push(word);
            }
            _ => {
                open.pop();
            }
        }
    }
    let begins = text.trim_start().to_uppercase();
    let is_geographic =
        ["GEOGCS", "GEOGCRS", "GEODCRS"].iter().any(|word| begins.starts_with(word));
    units.is_geographic = is_geographic && !has_projected;
    units
}

/// The name that a system begins with.
fn name_at(text: &str) -> String {
    let name = text.trim_start().strip_prefix('"').and_then(|rest| rest.split_once('"'));
    name.map_or_else(String::new, |(name, _)| shortened(name))
}

#[derive(Clone, Copy, PartialEq, Eq)]
enum Kind {
    Plan,
    Vertical,
    Other,
}

fn is_projected(word: &str) -> bool {
    matches!(word, "PROJCS" | "PROJCRS" | "PROJECTEDCRS")
}

/// Whose unit stands within these elements.
fn kind_of(open: &[String]) -> Kind {
    // An axis or a coordinate system may stand between.
    let owner = open.iter().rev().find(|word| !matches!(word.as_str(), "AXIS" | "CS"));
    match owner.map(String::as_str) {
        Some(word) if is_projected(word) => Kind::Plan,
        Some("VERT_CS" | "VERTCRS" | "VERTICALCRS") => Kind::Vertical,
        _ => Kind::Other,
    }
}

/// The unit of `"name",factor`, by its factor.
fn unit_of_factor(text: &str) -> Option<Result<LengthUnit, String>> {
    let (name, rest) = text.trim_start().strip_prefix('"')?.split_once('"')?;
    let number = rest.trim_start().strip_prefix(',')?;
    let end = number.find([',', ']', ')']).unwrap_or(number.len());
    let factor: f64 = number[..end].trim().parse().ok()?;
    // The two feet differ by 6e-7; texts print ten digits and more.
    const SAME: f64 = 1e-9;
    let unit = [LengthUnit::Metre, LengthUnit::Foot, LengthUnit::UsSurveyFoot]
        .into_iter()
        .find(|unit| (unit.metres() - factor).abs() < SAME);
    Some(unit.ok_or_else(|| format!("unit {}", shortened(name))))
}

/// Why units of a file and a user make none.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum UnitError {
    /// Neither tells a unit.
    #[error("read no unit of length, expected --units with {}", crate::unit_words::EXPECTED)]
    Unknown,
    /// The file's places are angles.
    #[error("read places in degrees, expected a projected system in metres or feet")]
    Degrees,
    /// The file's unit is none that is known.
    #[error("read the {read}, expected metres, feet or US survey feet")]
    Other {
        /// What the file names.
        read: String,
    },
    /// The user tells another unit than the file.
    #[error("read the unit `{read}`, expected {expected} as told")]
    Contradicted {
        /// What the file tells.
        read: &'static str,
        /// What the user told.
        expected: &'static str,
    },
    /// Places and heights are in different units.
    #[error(
        "read places in `{plan}` and heights in `{z}`, expected one unit; if both are meant, name \
         the heights' too: --z-units with m, ft or us-ft"
    )]
    Mixed {
        /// Unit of places.
        plan: &'static str,
        /// Unit of heights.
        z: &'static str,
    },
}

impl CrsUnits {
    /// The units of places and heights that file and user tell together.
    pub(crate) fn settled(
        &self,
        told: Option<LengthUnit>,
        told_z: Option<LengthUnit>,
    ) -> Result<[LengthUnit; 2], UnitError> {
        use crate::unit_words::word_of;
        if self.is_geographic {
            return Err(UnitError::Degrees);
        }
        let known = |unit: &Option<Result<LengthUnit, String>>| match unit {
            Some(Err(read)) => Err(UnitError::Other { read: read.clone() }),
            Some(Ok(unit)) => Ok(Some(*unit)),
            None => Ok(None),
        };
        let plan = match (known(&self.plan)?, told) {
            (Some(file), Some(told)) if file.metres() != told.metres() => {
                return Err(UnitError::Contradicted {
                    read: word_of(file),
                    expected: word_of(told),
                });
            }
            (Some(file), told) => told.unwrap_or(file),
            (None, told) => told.ok_or(UnitError::Unknown)?,
        };
        match (told_z, known(&self.z)?) {
            (Some(z), _) => Ok([plan, z]),
            (None, Some(z)) if z.metres() != plan.metres() => {
                Err(UnitError::Mixed { plan: word_of(plan), z: word_of(z) })
            }
            (None, _) => Ok([plan, plan]),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn keys_tell_units() {
        for unit in [LengthUnit::Metre, LengthUnit::Foot, LengthUnit::UsSurveyFoot] {
            let units = of_geo_keys(&geo_keys(unit), "");
            assert_eq!(units.settled(None, None), Ok([unit; 2]));
        }
        let utm = of_geo_keys(&[1, 1, 0, 2, 1024, 0, 1, 1, 3072, 0, 1, 32632], "");
        assert_eq!(utm.plan, Some(Ok(LengthUnit::Metre)));
        assert_eq!(
            (utm.datum.horizontal.as_str(), utm.datum.vertical.as_str()),
            ("EPSG 32632", "")
        );
        let said = of_geo_keys(&[1, 1, 0, 2, 1026, 34737, 5, 0, 4097, 34737, 5, 5], "Park|Quay|");
        assert_eq!(said.datum, Datum { horizontal: "Park".into(), vertical: "Quay".into() });
        assert_eq!(of_geo_keys(&[1, 1, 0, 1, 1026, 34737, 9, 3], "Park|").datum, Datum::default());
        let degrees = of_geo_keys(&[1, 1, 0, 1, 1024, 0, 1, 2], "");
        assert_eq!(degrees.settled(Some(LengthUnit::Metre), None), Err(UnitError::Degrees));
        assert_eq!(of_geo_keys(&[], "").settled(None, None), Err(UnitError::Unknown));
    }

    #[test]
    fn text_tells_units_of_the_projected_and_the_vertical_system_alone() {
        let old = "COMPD_CS[\"a\",PROJCS[\"b, [c\",GEOGCS[\"d\",SPHEROID[\"e\",6378137,298.25],UNIT[\"degree\",\
                   0.0174532925199433]],PROJECTION[\"f\"],UNIT[\"US survey foot\",0.304800609601219]],\
                   VERT_CS[\"g\",VERT_DATUM[\"h\",2005],UNIT[\"foot\",0.3048]]]";
        let units = of_wkt(old);
        assert_eq!(units.plan, Some(Ok(LengthUnit::UsSurveyFoot)));
        assert_eq!(units.z, Some(Ok(LengthUnit::Foot)));
        assert!(!units.is_geographic);
        assert_eq!(units.datum, Datum { horizontal: "b, [c".into(), vertical: "g".into() });
        let mixed = units.settled(None, None).unwrap_err().to_string();
        assert!(
            mixed.contains("`us-ft` and heights in `ft`") && mixed.contains("--z-units"),
            "{mixed}"
        );
        let new = "PROJCRS[\"a\",BASEGEOGCRS[\"b\",DATUM[\"c\",ELLIPSOID[\"d\",6378137,298,LENGTHUNIT[\"foot\",\
                   0.3048]]]],CS[Cartesian,2],AXIS[\"(E)\",east,LENGTHUNIT[\"metre\",1]]]";
        assert_eq!(of_wkt(new).settled(None, None), Ok([LengthUnit::Metre; 2]));
        assert!(of_wkt("GEOGCS[\"a\",UNIT[\"degree\",0.0174]]").is_geographic);
        let yard = of_wkt("PROJCS[\"a\",UNIT[\"yard\",0.9144]]").settled(None, None);
        assert_eq!(
            yard.unwrap_err().to_string(),
            "read the unit yard, expected metres, feet or US survey feet"
        );
        for cut in (0..old.len()).filter(|at| old.is_char_boundary(*at)) {
            let _ = of_wkt(&old[..cut]);
        }
    }
}
