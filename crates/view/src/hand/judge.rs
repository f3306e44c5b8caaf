//! Judging the ground: levels and the grade between two places, and the way of the rain.

use design::{WaterBody, WaterKind};
use ground::query::{Descent, End};
use site::Site;
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

/// How the ground lies at a place.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) enum Fall {
    /// It falls less than anyone sees.
    Level,
    /// It falls.
    Down {
        /// Whither, east and north, of length one.
        way: [f64; 2],
        /// How steeply, rise per run.
        rise_per_run: f64,
    },
}

/// How the ground that is drawn lies at a place; nothing off the ground.
pub(crate) fn fall(scene: &Scene, at: [f64; 2]) -> Option<Fall> {
    let face = scene.finished.face_at(at)?;
    let surface = scene.finished.surface();
    let step_m = surface.lattice().step_m();
    Some(fall_of(surface.plane(face).rise.map(|rise| rise / step_m)))
}

/// The fall of a plane that rises so much for each metre east and north.
fn fall_of([east, north]: [f64; 2]) -> Fall {
    /// Flatter than 1 in 400 is level to the eye.
    const LEAST: f64 = 1.0 / 400.0;
    let rise_per_run = libm::hypot(east, north);
    if rise_per_run < LEAST {
        return Fall::Level;
    }
    Fall::Down { way: [-east / rise_per_run, -north / rise_per_run], rise_per_run }
}

/// The way of the rain down the ground that is drawn, until it comes into still water; nothing off the
/// ground.
pub(crate) fn rain(
    (scene, waters): (&Scene, &[WaterBody]),
    from: [f64; 2],
    site: &Site,
) -> Option<Rain> {
    let unit = site.frame.unit;
    let Descent { points, end } = scene.finished.descend(from)?;
    let way: Vec<[f64; 3]> = points.iter().map(|p| [p.at[0], p.at[1], p.z]).collect();
    let (way, water) = until_water(way, |at| {
        let face = scene.finished.face_at([at[0], at[1]])?;
        let owner = scene.finished.surface().faces()[face as usize].tag.owner;
        let still = |body: &&WaterBody| !matches!(body.kind, WaterKind::Pool { .. });
        let body = waters.iter().filter(still).find(|body| body.work.0 == owner)?;
        (at[2] < body.level_m).then_some((body.level_m, body.work))
    });
    let run_m: f64 = way.windows(2).map(|pair| run_m(pair[0], pair[1])).sum();
    let fall_m = way.first().zip(way.last()).map_or(0.0, |(a, b)| a[2] - b[2]);
    let place = match (water.and_then(|id| site.work(id)), end) {
        (Some(work), _) => format!("runs into {}", work.name),
        (None, End::Pit) => "stands in a hollow".into(),
        (None, End::Flat) => "stands on level ground".into(),
        (None, End::Border) => "leaves the survey".into(),
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

/// A way down as far as the water that it comes into: `level_at` tells that water's level below which a
/// place lies.
fn until_water<T: Copy>(
    mut way: Vec<[f64; 3]>,
    level_at: impl Fn([f64; 3]) -> Option<(f64, T)>,
) -> (Vec<[f64; 3]>, Option<T>) {
    let wet = way.iter().enumerate().find_map(|(i, at)| Some((i, level_at(*at)?)));
    let Some((i, (level_m, water))) = wet else { return (way, None) };
    way.truncate(i + 1);
    if let [.., before, last] = &mut way[..]
        && before[2] > level_m
    {
        let share = (before[2] - level_m) / (before[2] - last[2]);
        *last = [0, 1, 2].map(|k| before[k] + (last[k] - before[k]) * share);
    }
    (way, Some(water))
}

fn run_m(a: [f64; 3], b: [f64; 3]) -> f64 {
    libm::hypot(b[0] - a[0], b[1] - a[1])
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_rain_stops_where_it_comes_into_water() {
        let way = vec![[0.0, 0.0, 3.0], [2.0, 0.0, 2.0], [4.0, 0.0, 1.0], [6.0, 0.0, 0.5]];
        let (wet, water) = until_water(way.clone(), |at| (at[2] < 1.5).then_some((1.5, 7)));
        assert_eq!((wet.len(), wet[2], water), (3, [3.0, 0.0, 1.5], Some(7)));
        assert_eq!(until_water::<u8>(way.clone(), |_| None), (way, None));
    }

    #[test]
    fn ground_falls_against_its_rise() {
        let Fall::Down { way, rise_per_run } = fall_of([0.03, -0.04]) else { panic!("it falls") };
        assert!((rise_per_run - 0.05).abs() < 1e-12);
        assert!((way[0] + 0.6).abs() < 1e-12 && (way[1] - 0.8).abs() < 1e-12, "{way:?}");
        assert_eq!(fall_of([0.001, 0.0]), Fall::Level);
    }

    #[test]
    fn two_levels_and_their_distance_make_a_grade() {
        let words = between([0.0, 0.0, 10.0], [3.0, 4.0, 9.75], LengthUnit::Metre);
        assert_eq!(words, ["10.00 m to 9.75 m", "0.25 m down over 5.00 m", "1 in 20, 5.0 % down"]);
        let flat = between([0.0, 0.0, 10.0], [3.0, 4.0, 10.0], LengthUnit::Metre);
        assert_eq!(flat[2], "level");
    }
}
