//! What lies near a place or a line in plan: measured along whole lines, not at their points.

use ground::curve::{Path, contains};
use site::shape::{DrawnLine, Ends, lines};
use site::{Site, Work, WorkId};

use super::{closure, flattened};

/// The work whose drawn line lies nearest to a place within `reach_m`; else the last built of those
/// whose outline holds the place.
///
/// Trenches and strips are found like all others, though the finished ground shows nothing of them.
pub fn work_at(site: &Site, at: [f64; 2], reach_m: f64) -> Option<WorkId> {
    let away_m = |work: &Work| {
        let paths = lines(&work.kind).into_iter().filter_map(|line| path_of(&line));
        paths.map(|path| path.nearest(at).distance_m).fold(f64::INFINITY, f64::min)
    };
    let nearest = site.works.iter().map(|work| (away_m(work), work.id));
    let nearest = nearest.filter(|(away, _)| *away <= reach_m).min_by(|a, b| a.0.total_cmp(&b.0));
    let holds = |work: &&Work| {
        let main = lines(&work.kind).into_iter().next();
        main.is_some_and(|line| {
            line.ends == Ends::Closed && contains(&flattened(line.curve, line.ends), at)
        })
    };
    nearest.map(|(_, id)| id).or_else(|| site.works.iter().rfind(holds).map(|work| work.id))
}

/// How far apart two lines lie in plan, metres; 0 where they meet.
///
/// Lines that do not cross lie nearest each other at an end of a piece of one of them.
pub(super) fn apart_m(a: &Path, b: &Path) -> f64 {
    let crosses = pieces(a).any(|p| pieces(b).any(|q| cross(p, q)));
    if crosses {
        return 0.0;
    }
    let ends = |of: &Path, to: &Path| {
        let away = of.points().iter().map(|at| to.nearest(*at).distance_m);
        away.fold(f64::INFINITY, f64::min)
    };
    ends(a, b).min(ends(b, a))
}

/// A drawn line as it is built; nothing where it has no length.
pub(super) fn path_of(line: &DrawnLine<'_>) -> Option<Path> {
    Path::new(&flattened(line.curve, line.ends), closure(line.ends)).ok()
}

fn pieces(path: &Path) -> impl Iterator<Item = [[f64; 2]; 2]> + '_ {
    let points = path.points();
    // A closed line has one station more than places.
    let n = path.stations_m().len() - 1;
    (0..n).map(move |i| [points[i], points[(i + 1) % points.len()]])
}

/// Whether two pieces cross within both; those that only touch have an end on the other.
fn cross(a: [[f64; 2]; 2], b: [[f64; 2]; 2]) -> bool {
    let side = |[p, q]: [[f64; 2]; 2], at: [f64; 2]| {
        (q[0] - p[0]) * (at[1] - p[1]) - (q[1] - p[1]) * (at[0] - p[0])
    };
    side(a, b[0]) * side(a, b[1]) < 0.0 && side(b, a[0]) * side(b, a[1]) < 0.0
}

#[cfg(test)]
mod tests {
    use ground::curve::Closure;

    use super::*;

    fn line(points: &[[f64; 2]]) -> Path {
        Path::new(points, Closure::Open).unwrap()
    }

    #[test]
    fn lines_are_apart_where_they_come_nearest_and_not_at_their_points() {
        let wall = line(&[[-10.0, 0.0], [10.0, 0.0]]);
        // A corner of the other comes near the middle of a long straight piece.
        let pond = line(&[[-3.0, 4.0], [0.0, 1.0], [3.0, 4.0]]);
        assert!((apart_m(&wall, &pond) - 1.0).abs() < 1e-12);
        assert!((apart_m(&pond, &wall) - 1.0).abs() < 1e-12);
        // Two long pieces cross, all their points far away.
        let path = line(&[[0.5, -9.0], [0.5, 9.0]]);
        assert_eq!(apart_m(&wall, &path), 0.0);
        assert_eq!(apart_m(&wall, &line(&[[12.0, 0.0], [14.0, 0.0]])), 2.0);
    }
}
