//! Judging the ground: levels and the grade between two places, and the way of the rain.

use ground::query::{Descent, End};
use units::{LengthUnit, elevation_text, length_text, run_per_rise_text};

use crate::scene::Scene;

/// The way of the rain from a place.
#[derive(Clone, Debug)]
pub(crate) struct Rain {
    /// The way down.
    pub way: Vec<[f64; 3]>,
    /// Where it ends, in words.
    pub end: String,
}

/// The way of the rain down the ground that is drawn; nothing off it.
pub(crate) fn rain(scene: &Scene, from: [f64; 2], unit: LengthUnit) -> Option<Rain> {
    let Descent { points, end } = scene.finished.descend(from)?;
    let way: Vec<[f64; 3]> = points.iter().map(|p| [p.at[0], p.at[1], p.z]).collect();
    let run_m: f64 = way.windows(2).map(|pair| run_m(pair[0], pair[1])).sum();
    let fall_m = way.first().zip(way.last()).map_or(0.0, |(a, b)| a[2] - b[2]);
    let place = match end {
        End::Pit => "stands in a hollow",
        End::Flat => "stands on level ground",
        End::Border => "leaves the survey",
    };
    let (run, fall) = (length_text(run_m, unit), length_text(fall_m, unit));
    Some(Rain { way, end: format!("{place}, after {run} and a fall of {fall}") })
}

/// What stands between two places, in words.
pub(crate) fn between(a: [f64; 3], b: [f64; 3], unit: LengthUnit) -> Vec<String> {
    let (run_m, rise_m) = (run_m(a, b), b[2] - a[2]);
    let way = if rise_m > 0.0 { "up" } else { "down" };
    let grade = if rise_m.abs() < 1e-4 || run_m == 0.0 {
        "level".to_owned()
    } else {
        let percent = 100.0 * rise_m.abs() / run_m;
        format!("{}, {percent:.1} % {way}", run_per_rise_text(run_m / rise_m.abs()))
    };
    vec![
        format!("{} to {}", elevation_text(a[2], unit), elevation_text(b[2], unit)),
        format!("{} {way} over {}", length_text(rise_m.abs(), unit), length_text(run_m, unit)),
        grade,
    ]
}

fn run_m(a: [f64; 3], b: [f64; 3]) -> f64 {
    libm::hypot(b[0] - a[0], b[1] - a[1])
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn two_levels_and_their_distance_make_a_grade() {
        let words = between([0.0, 0.0, 10.0], [3.0, 4.0, 9.75], LengthUnit::Metre);
        assert_eq!(words, ["10.00 m to 9.75 m", "0.25 m down over 5.00 m", "1 in 20, 5.0 % down"]);
        let flat = between([0.0, 0.0, 10.0], [3.0, 4.0, 10.0], LengthUnit::Metre);
        assert_eq!(flat[2], "level");
    }
}
