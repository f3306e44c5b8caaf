//! GeoJSON: points, lines and polygons.
//!
//! By its standard places are degrees unless both sides agree otherwise. Here places are eastings and
//! northings on a plane: the unit is told by the user or by the member `unit` that is written at the
//! head of a file (`m`, `ft` or `us-ft`), never guessed from numbers. A feature's member `kind` says
//! what its line is (`breakline`, `boundary`, `void`, `contour`, `line`), `name` what it is called,
//! `elevation` the height of places without a third number.
//!
//! # Source
//! RFC 7946.

mod write;

use serde_json::{Deserializer, Map, Value};
use units::LengthUnit;

use crate::content::{Content, Line, LineKind, LinePlace, Stopped, out_of_range, swap_doubt};
use crate::points::{Point, doubts, shortened};
use crate::unit_words::{unit_of, word_of};

pub use write::{Drawn, write};

/// Why a GeoJSON file was refused.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum GeoJsonError {
    /// It is no JSON.
    #[error("line {line}, column {column}: read {read}, expected JSON")]
    Json {
        /// Line.
        line: usize,
        /// Column.
        column: usize,
        /// What is wrong.
        read: String,
    },
    /// A member is not what stands there.
    #[error("{path}: read `{read}`, expected {expected}")]
    Member {
        /// The members that lead there, such as `features[2].geometry`.
        path: String,
        /// What stands there.
        read: String,
        /// What should.
        expected: &'static str,
    },
    /// The unit is told neither by the file nor by the user.
    #[error(
        "the unit of length is not known: without one places are degrees; expected a file with \
         eastings and northings and --units with {}",
        crate::unit_words::EXPECTED
    )]
    UnitUnknown,
    /// The user tells another unit than the file.
    #[error("unit: read `{read}`, expected {expected} as told")]
    UnitContradicted {
        /// What the file tells.
        read: &'static str,
        /// What the user told.
        expected: &'static str,
    },
    /// There is no place.
    #[error("read to the end without a place, expected points, lines or polygons")]
    Nothing,
}

/// Whether the text begins as GeoJSON.
pub fn is_geojson(bytes: &[u8]) -> bool {
    let head = bytes.strip_prefix(b"\xEF\xBB\xBF").unwrap_or(bytes);
    let first = head.iter().find(|byte| !byte.is_ascii_whitespace());
    const LOOKED_AT: usize = 4096;
    let head = &head[..head.len().min(LOOKED_AT)];
    first == Some(&b'{') && head.windows(6).any(|word| word == b"\"type\"")
}

/// Reads points, lines and polygons; of a collection that is cut the features before the cut are
/// kept. A polygon is a boundary and its holes are voids, unless its `kind` says otherwise.
///
/// # Errors
/// [`GeoJsonError`] names line and column, or the members that lead to the place.
pub fn read(bytes: &[u8], told: Option<LengthUnit>) -> Result<Content, GeoJsonError> {
    let bytes = bytes.strip_prefix(b"\xEF\xBB\xBF").unwrap_or(bytes);
    let (root, stopped) = match serde_json::from_slice::<Value>(bytes) {
        Ok(root) => (root, None),
        Err(error) => {
            let (line, column) = (error.line(), error.column());
            let fault = GeoJsonError::Json { line, column, read: shortened(&error.to_string()) };
            if !error.is_eof() {
                return Err(fault);
            }
            let root = before_cut(bytes).ok_or(fault)?;
            let at = format!("line {line}, column {column}");
            let message = "read the end of the file, expected the end of the collection".to_owned();
            (root, Some(Stopped { at, message }))
        }
    };
    let file = match root.get("unit") {
        None => None,
        Some(word) => Some(
            word.as_str()
                .and_then(unit_of)
                .ok_or_else(|| member("unit", word, "m, ft or us-ft"))?,
        ),
    };
    let unit = match (file, told) {
        (Some(file), Some(told)) if file.metres() != told.metres() => {
            let (read, expected) = (word_of(file), word_of(told));
            return Err(GeoJsonError::UnitContradicted { read, expected });
        }
        (file, told) => told.or(file).ok_or(GeoJsonError::UnitUnknown)?,
    };
    let mut reader = Reader { unit, content: Content { unit, stopped, ..Content::default() } };
    reader.object(&root, "", &Properties::default())?;
    let mut content = reader.content;
    if content.points.is_empty() && content.lines.is_empty() {
        return Err(GeoJsonError::Nothing);
    }
    let renamed = doubts::make_names_unique(&mut content.points);
    content.doubts.extend(renamed.into_iter().map(|doubt| doubt.message));
    let first =
        content.lines.iter().flat_map(|line| &line.places).map(|p| [p.at_m[0], p.at_m[1], 0.0]);
    let mut first = content.points.iter().map(|p| p.at_m).chain(first);
    let swapped = swap_doubt(&mut first, unit);
    content.doubts.extend(swapped);
    Ok(content)
}

/// The whole features of a collection that is cut, and what stands before them.
fn before_cut(bytes: &[u8]) -> Option<Value> {
    const KEY: &[u8] = b"\"features\"";
    let at = bytes.windows(KEY.len()).position(|word| word == KEY)?;
    let open = at + bytes[at..].iter().position(|byte| *byte == b'[')? + 1;
    let mut features = Vec::new();
    let mut start = open;
    loop {
        start +=
            bytes[start..].iter().take_while(|b| b.is_ascii_whitespace() || **b == b',').count();
        let mut values = Deserializer::from_slice(&bytes[start..]).into_iter::<Value>();
        match values.next() {
            Some(Ok(feature)) => features.push(feature),
            _ => break,
        }
        start += values.byte_offset();
    }
    if features.is_empty() {
        return None;
    }
    // What stands before the features is an object but for its end.
    let mut head = bytes[..at].to_vec();
    while head.last().is_some_and(|byte| byte.is_ascii_whitespace() || *byte == b',') {
        head.pop();
    }
    head.push(b'}');
    let mut root: Map<String, Value> = serde_json::from_slice(&head).ok()?;
    root.insert("features".to_owned(), Value::Array(features));
    Some(Value::Object(root))
}

fn member(path: &str, read: &Value, expected: &'static str) -> GeoJsonError {
    let path = if path.is_empty() { "the whole" } else { path.trim_start_matches('.') }.to_owned();
    let read = match read {
        Value::Array(all) => format!("an array of {}", all.len()),
        Value::Object(_) => "an object".to_owned(),
        Value::String(text) => shortened(text),
        other => shortened(&other.to_string()),
    };
    GeoJsonError::Member { path, read, expected }
}

/// What a feature tells of its geometry.
#[derive(Clone, Default)]
struct Properties {
    name: String,
    code: String,
    kind: Option<LineKind>,
    elevation: Option<f64>,
}

struct Reader {
    unit: LengthUnit,
    content: Content,
}

type Step = Result<(), GeoJsonError>;

impl Reader {
    fn object(&mut self, value: &Value, path: &str, properties: &Properties) -> Step {
        const EXPECTED: &str = "FeatureCollection, Feature or a geometry";
        let kind = value.get("type").and_then(Value::as_str);
        let Some(kind) = kind else {
            return Err(member(path, value, "an object with a type"));
        };
        let each = |reader: &mut Self, key: &'static str| {
            let path = format!("{path}.{key}");
            let all = value.get(key).and_then(Value::as_array);
            let all = all
                .ok_or_else(|| member(&path, value.get(key).unwrap_or(&Value::Null), "an array"))?;
            let mut numbered = all.iter().enumerate();
            numbered
                .try_for_each(|(i, one)| reader.object(one, &format!("{path}[{i}]"), properties))
        };
        match kind {
            "FeatureCollection" => each(self, "features"),
            "GeometryCollection" => each(self, "geometries"),
            "Feature" => match value.get("geometry") {
                None | Some(Value::Null) => Ok(()),
                Some(geometry) => {
                    let told = value.get("properties").map(told_by).unwrap_or_default();
                    self.object(geometry, &format!("{path}.geometry"), &told)
                }
            },
            "Point" | "MultiPoint" | "LineString" | "MultiLineString" | "Polygon"
            | "MultiPolygon" => {
                let path = format!("{path}.coordinates");
                let coordinates = value.get("coordinates").unwrap_or(&Value::Null);
                self.geometry(kind, coordinates, &path, properties)
            }
            other => {
                Err(member(&format!("{path}.type"), &Value::String(other.to_owned()), EXPECTED))
            }
        }
    }

    fn geometry(&mut self, kind: &str, value: &Value, path: &str, told: &Properties) -> Step {
        let single = match kind {
            "Point" => return self.point(value, path, told),
            "LineString" => return self.line(value, path, told, LineKind::Other),
            "Polygon" => return self.polygon(value, path, told),
            "MultiPoint" => "Point",
            "MultiLineString" => "LineString",
            _ => "Polygon",
        };
        let all = value.as_array().ok_or_else(|| member(path, value, "an array"))?;
        let mut numbered = all.iter().enumerate();
        numbered.try_for_each(|(i, one)| self.geometry(single, one, &format!("{path}[{i}]"), told))
    }

    fn point(&mut self, value: &Value, path: &str, told: &Properties) -> Step {
        let LinePlace { at_m: [x, y], z_m } = self.place(value, path, told)?;
        let z = z_m.ok_or_else(|| member(path, value, "easting, northing and elevation"))?;
        self.content.points.push(Point {
            name: told.name.clone(),
            at_m: [x, y, z],
            code: told.code.clone(),
            note: String::new(),
            line: self.content.points.len() as u32 + 1,
        });
        Ok(())
    }

    fn polygon(&mut self, value: &Value, path: &str, told: &Properties) -> Step {
        let rings = value.as_array().ok_or_else(|| member(path, value, "an array of rings"))?;
        for (i, ring) in rings.iter().enumerate() {
            let path = format!("{path}[{i}]");
            let outer = told.kind.unwrap_or(LineKind::Boundary);
            // A hole in a hole has ground again; a hole in ground has none.
            let kind = match (i, outer) {
                (0, outer) => outer,
                (_, LineKind::Void) => LineKind::Other,
                _ => LineKind::Void,
            };
            let n_before = self.content.lines.len();
            self.line(ring, &path, &Properties { kind: Some(kind), ..told.clone() }, kind)?;
            let closed = self.content.lines[n_before..].iter().all(Line::is_closed);
            if !closed {
                return Err(member(
                    &path,
                    ring,
                    "a ring of four places or more that ends where it begins",
                ));
            }
        }
        Ok(())
    }

    fn line(&mut self, value: &Value, path: &str, told: &Properties, kind: LineKind) -> Step {
        let all = value.as_array().filter(|all| all.len() > 1);
        let all = all.ok_or_else(|| member(path, value, "an array of two places or more"))?;
        let numbered = all.iter().enumerate();
        let places = numbered.map(|(i, place)| self.place(place, &format!("{path}[{i}]"), told));
        let places = places.collect::<Result<Vec<_>, _>>()?;
        let kind = told.kind.unwrap_or(kind);
        self.content.lines.push(Line { name: told.name.clone(), kind, places });
        Ok(())
    }

    fn place(
        &self,
        value: &Value,
        path: &str,
        told: &Properties,
    ) -> Result<LinePlace, GeoJsonError> {
        const EXPECTED: &str = "easting and northing, and an elevation if known";
        let numbers = value.as_array().ok_or_else(|| member(path, value, EXPECTED))?;
        let number = |i: usize| numbers.get(i).map(Value::as_f64);
        let ([Some(Some(x)), Some(Some(y))], z) = ([number(0), number(1)], number(2)) else {
            return Err(member(path, value, EXPECTED));
        };
        if z == Some(None) {
            return Err(member(path, value, EXPECTED));
        }
        let z_m = z.flatten().or(told.elevation).map(|z| self.unit.to_metres(z));
        let at_m = [x, y].map(|c| self.unit.to_metres(c));
        match out_of_range([at_m[0], at_m[1], z_m.unwrap_or(0.0)]) {
            Some(expected) => Err(member(path, &Value::String(format!("{x}, {y}")), expected)),
            None => Ok(LinePlace { at_m, z_m }),
        }
    }
}

fn told_by(properties: &Value) -> Properties {
    let text = |key: &str| match properties.get(key) {
        Some(Value::String(text)) => text.clone(),
        Some(Value::Number(number)) => number.to_string(),
        _ => String::new(),
    };
    Properties {
        name: text("name"),
        code: text("code"),
        kind: LineKind::named(&text("kind")),
        elevation: properties.get("elevation").and_then(Value::as_f64),
    }
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;
    use proptest::test_runner::RngSeed;

    use super::*;

    const TEXT: &str = "{\"type\":\"FeatureCollection\",\"unit\":\"ft\",\"features\":[\n\
        {\"type\":\"Feature\",\"properties\":{\"name\":\"BM\",\"code\":\"N\"},\"geometry\":{\"type\":\"Point\",\
        \"coordinates\":[10,20,100]}},\n\
        {\"type\":\"Feature\",\"properties\":{\"kind\":\"breakline\",\"elevation\":5},\"geometry\":{\"type\":\
        \"MultiLineString\",\"coordinates\":[[[0,0],[1,1]],[[2,2,7],[3,3]]]}},\n\
        {\"type\":\"Feature\",\"properties\":null,\"geometry\":{\"type\":\"Polygon\",\"coordinates\":[[[0,0],[9,0],\
        [9,9],[0,0]],[[1,1],[2,1],[2,2],[1,1]]]}}]}";

    #[test]
    fn points_lines_and_polygons() {
        let content = read(TEXT.as_bytes(), None).unwrap();
        assert_eq!(content.points[0].at_m, [10.0 * 0.3048, 20.0 * 0.3048, 30.48]);
        assert_eq!((content.points[0].name.as_str(), content.points[0].code.as_str()), ("BM", "N"));
        let kinds: Vec<LineKind> = content.lines.iter().map(|line| line.kind).collect();
        let (b, o, v) = (LineKind::Breakline, LineKind::Boundary, LineKind::Void);
        assert_eq!(kinds, [b, b, o, v]);
        assert_eq!(content.lines[1].places[0].z_m, Some(7.0 * 0.3048));
        assert_eq!(content.lines[1].places[1].z_m, Some(5.0 * 0.3048));
        assert_eq!(content.lines[2].places[0].z_m, None);
        assert!(is_geojson(TEXT.as_bytes()));
    }

    #[test]
    fn degrees_are_not_taken_for_metres() {
        let bare = TEXT.replace("\"unit\":\"ft\",", "");
        assert_eq!(read(bare.as_bytes(), None), Err(GeoJsonError::UnitUnknown));
        let metres = read(bare.as_bytes(), Some(LengthUnit::Metre)).unwrap();
        assert_eq!(metres.points[0].at_m, [10.0, 20.0, 100.0]);
        let told = read(TEXT.as_bytes(), Some(LengthUnit::Metre)).unwrap_err();
        assert_eq!(told.to_string(), "unit: read `ft`, expected m as told");
    }

    #[test]
    fn features_before_a_cut_are_kept() {
        let content = read(&TEXT.as_bytes()[..TEXT.len() - 40], None).unwrap();
        assert_eq!((content.points.len(), content.lines.len()), (1, 2));
        assert!(content.stopped.unwrap().at.starts_with("line 4, column"));
        assert!(matches!(read(b"{\"type\":", None), Err(GeoJsonError::Json { .. })));
    }

    #[test]
    fn what_is_wrong_is_named_by_its_members() {
        for (from, to, said) in [
            (
                "[1,1]],[[2",
                "[1,\"x\"]],[[2",
                "features[1].geometry.coordinates[0][1]: read `an array of 2`, expected \
                easting and northing, and an elevation if known",
            ),
            (
                "MultiLineString",
                "Circle",
                "features[1].geometry.type: read `Circle`, expected FeatureCollection, \
                Feature or a geometry",
            ),
            (
                "[9,9],[0,0]]",
                "[9,9],[0,1]]",
                "features[2].geometry.coordinates[0]: read `an array of 4`, expected a \
                ring of four places or more that ends where it begins",
            ),
            (
                "[10,20,100]",
                "[10,20]",
                "features[0].geometry.coordinates: read `an array of 2`, expected easting, \
                northing and elevation",
            ),
            ("\"ft\"", "\"cubit\"", "unit: read `cubit`, expected m, ft or us-ft"),
        ] {
            assert_eq!(
                read(TEXT.replace(from, to).as_bytes(), None).unwrap_err().to_string(),
                said
            );
        }
        let deep = format!("{}{}", "[".repeat(100_000), "]".repeat(100_000));
        assert!(read(deep.as_bytes(), None).is_err());
    }

    proptest! {
        #![proptest_config(ProptestConfig {
            cases: 1000,
            failure_persistence: None,
            rng_seed: RngSeed::Fixed(6),
            ..ProptestConfig::default()
        })]

        #[test]
        fn a_broken_file_is_read_or_refused(
            flips in proptest::collection::vec((0.0..1.0_f64, 0..8_u8), 0..6),
            cut in 0.0..1.3_f64,
        ) {
            let mut bytes = TEXT.as_bytes().to_vec();
            for (share, bit) in flips {
                let at = (share * bytes.len() as f64) as usize;
                bytes[at] ^= 1 << bit;
            }
            bytes.truncate((cut * bytes.len() as f64) as usize);
            if let Err(error) = read(&bytes, None) {
                prop_assert!(error.to_string().contains("expected"), "{error}");
            }
        }
    }
}
