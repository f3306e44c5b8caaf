//! What is typed for a place while the hand is at it: "3.2 at 45", "4 ft level 101.5", "1 in 20".

use units::{LengthUnit, parse_length};

/// What a typed line says of the next point.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub(crate) struct Said {
    /// How far it lies from the point before, metres.
    pub length_m: Option<f64>,
    /// In which direction, clockwise from north, radians.
    pub bearing: Option<f64>,
    /// How high it stands.
    pub height: Option<Height>,
}

/// How high a point stands.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) enum Height {
    /// At this elevation, metres.
    Level(f64),
    /// So far below the ground there, metres.
    Depth(f64),
    /// Falling so from the point before, rise per run.
    Fall(f64),
}

/// What may be typed, for whoever typed something else.
pub(crate) const HOW: &str =
    "Type a length, then at and a bearing, level, depth or fall: 3.2 at 45 level 101.5, or 1 in 20";

/// Reads a typed line; lengths without a unit are in `unit`, bearings in degrees.
///
/// Nothing where it says something else.
pub(crate) fn read(words: &str, unit: LengthUnit) -> Option<Said> {
    let lower = words.trim().to_lowercase();
    let mut said = Said::default();
    let mut rest = lower.as_str();
    if let Some(run) = slope(rest) {
        said.height = Some(Height::Fall(run));
        return Some(said);
    }
    let head_end = ["at ", "level ", "depth ", "fall "]
        .iter()
        .filter_map(|word| rest.find(word))
        .min()
        .unwrap_or(rest.len());
    let head = rest[..head_end].trim();
    if !head.is_empty() {
        said.length_m = Some(parse_length(head, unit).ok()?);
    }
    rest = &rest[head_end..];
    while !rest.is_empty() {
        let (word, after) = rest.split_once(' ')?;
        let end = ["at ", "level ", "depth ", "fall "]
            .iter()
            .filter_map(|word| after.find(word))
            .min()
            .unwrap_or(after.len());
        let value = after[..end].trim();
        match word {
            "at" => said.bearing = Some(degrees(value)?.to_radians()),
            "level" => said.height = Some(Height::Level(parse_length(value, unit).ok()?)),
            "depth" => said.height = Some(Height::Depth(parse_length(value, unit).ok()?)),
            "fall" => said.height = Some(Height::Fall(slope(value)?)),
            _ => return None,
        }
        rest = &after[end..];
    }
    (said != Said::default()).then_some(said)
}

/// Reads a typed level, with its word or without; a length without a unit is in `unit`.
pub(crate) fn level_m(words: &str, unit: LengthUnit) -> Option<f64> {
    let lower = words.trim().to_lowercase();
    parse_length(lower.strip_prefix("level").unwrap_or(&lower).trim(), unit).ok()
}

impl Said {
    /// The place that is meant, where the hand points at `at` and the point before is `from`.
    pub(crate) fn place(&self, from: Option<[f64; 2]>, at: [f64; 2]) -> [f64; 2] {
        let Some(from) = from else { return at };
        let off = [at[0] - from[0], at[1] - from[1]];
        let own_m = libm::hypot(off[0], off[1]);
        let way = match self.bearing {
            Some(bearing) => [libm::sin(bearing), libm::cos(bearing)],
            None if own_m > 0.0 => off.map(|c| c / own_m),
            None => return at,
        };
        let length_m = match (self.length_m, self.bearing) {
            (Some(length_m), _) => length_m,
            (None, Some(_)) => (off[0] * way[0] + off[1] * way[1]).max(0.0),
            (None, None) => return at,
        };
        [from[0] + way[0] * length_m, from[1] + way[1] * length_m]
    }

    /// The level that is meant, from the ground there and the level of the point before with its
    /// distance.
    pub(crate) fn level_m(&self, ground_m: Option<f64>, before: Option<(f64, f64)>) -> Option<f64> {
        match self.height? {
            Height::Level(level_m) => Some(level_m),
            Height::Depth(depth_m) => ground_m.map(|ground_m| ground_m - depth_m),
            Height::Fall(fall) => before.map(|(level_m, length_m)| level_m - fall * length_m),
        }
    }
}

/// The bearing from one place to another, clockwise from north, in whole-circle degrees.
pub(crate) fn bearing_deg(from: [f64; 2], to: [f64; 2]) -> f64 {
    let angle = libm::atan2(to[0] - from[0], to[1] - from[1]).to_degrees();
    angle.rem_euclid(360.0)
}

/// "1 in 20", "5 %" or "5%" as rise per run.
fn slope(words: &str) -> Option<f64> {
    let words = words.trim();
    if let Some(percent) = words.strip_suffix('%') {
        return number(percent).map(|percent| percent / 100.0);
    }
    let run = number(words.strip_prefix("1 in ")?)?;
    (run != 0.0).then_some(1.0 / run)
}

fn degrees(words: &str) -> Option<f64> {
    number(words.trim_end_matches(['°', 'd', 'e', 'g']))
}

fn number(words: &str) -> Option<f64> {
    words.trim().parse().ok().filter(|number: &f64| number.is_finite())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn lengths_bearings_levels_and_falls_are_read() {
        let metre = LengthUnit::Metre;
        let all = read("3.2 at 90 level 101.5", metre).unwrap();
        assert_eq!(all.length_m, Some(3.2));
        assert!((all.bearing.unwrap() - std::f64::consts::FRAC_PI_2).abs() < 1e-12);
        assert_eq!(all.height, Some(Height::Level(101.5)));
        let feet = read("10 ft 6 in", LengthUnit::FootInch).unwrap();
        assert!((feet.length_m.unwrap() - 10.5 * 0.3048).abs() < 1e-12);
        assert_eq!(read("1 in 20", metre).unwrap().height, Some(Height::Fall(0.05)));
        assert_eq!(read("4 fall 2%", metre).unwrap().height, Some(Height::Fall(0.02)));
        assert_eq!(read("depth 0.4", metre).unwrap().height, Some(Height::Depth(0.4)));
        for nonsense in ["", "far", "3 at", "3 at north", "level", "nan", "3 beside 4"] {
            assert_eq!(read(nonsense, metre), None, "{nonsense}");
        }
    }

    #[test]
    fn a_place_is_where_length_and_bearing_lead() {
        let metre = LengthUnit::Metre;
        let place = |words, at| read(words, metre).unwrap().place(Some([1.0, 1.0]), at);
        let near = |a: [f64; 2], b: [f64; 2]| {
            assert!((a[0] - b[0]).abs() < 1e-9 && (a[1] - b[1]).abs() < 1e-9, "{a:?} {b:?}");
        };
        // North-east of it, 2 m; then 2 m toward the pointer; then due east as far as the pointer.
        near(place("2 at 45", [9.0, 9.0]), [1.0 + libm::sqrt(2.0), 1.0 + libm::sqrt(2.0)]);
        near(place("2", [1.0, 9.0]), [1.0, 3.0]);
        near(place("at 90", [4.0, 9.0]), [4.0, 1.0]);
        assert_eq!(bearing_deg([0.0, 0.0], [-1.0, 0.0]), 270.0);
    }

    #[test]
    fn a_level_is_read_with_its_word_or_without() {
        let metre = LengthUnit::Metre;
        assert_eq!(level_m("101.5", metre), Some(101.5));
        assert_eq!(level_m(" Level 99 ", metre), Some(99.0));
        assert_eq!(level_m("high", metre), None);
    }

    #[test]
    fn a_level_falls_from_the_point_before() {
        let level = |words: &str| {
            read(words, LengthUnit::Metre).unwrap().level_m(Some(9.0), Some((10.0, 4.0)))
        };
        assert_eq!(level("1 in 20"), Some(9.8));
        assert_eq!(level("depth 0.5"), Some(8.5));
        assert_eq!(level("level 7"), Some(7.0));
        assert_eq!(level("3"), None);
    }
}
