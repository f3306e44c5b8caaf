//! The water and the gravel over the ground along a line.

use site::WorkId;

use super::course::Leg;
use super::stretches::{Gap, Stretch, between};
use crate::{Evaluation, SheetMaterial, WaterKind};

/// A triangle of places, local metres.
type Triangle = [[f64; 3]; 3];

/// One body of water in a section.
#[derive(Clone, Debug, PartialEq)]
pub struct Wet {
    /// The work that holds it.
    pub work: WorkId,
    /// What it fills: `levels` are those of the ground and of the water.
    pub gaps: Vec<Gap>,
}

/// The water over a ground, body by body, running water before water at rest, which may cover its
/// mouth; what reaches under the shore is left out.
pub(super) fn over(ground: &[Stretch], evaluation: &Evaluation, legs: &[Leg]) -> Vec<Wet> {
    let is_at_rest = |kind: WaterKind| kind == WaterKind::Basin;
    let bodies = [false, true].into_iter().flat_map(|at_rest| {
        evaluation.water.iter().filter(move |body| is_at_rest(body.kind) == at_rest)
    });
    let beds = sheets(evaluation, SheetMaterial::Water);
    bodies
        .map(|body| (body.work, &body.sheet[..]))
        .chain(beds)
        .map(|(work, sheet)| Wet { work, gaps: above(ground, sheet, legs) })
        .filter(|wet| !wet.gaps.is_empty())
        .collect()
}

/// The gravel that fills filters, over their ground.
pub(super) fn gravel(ground: &[Stretch], evaluation: &Evaluation, legs: &[Leg]) -> Vec<Gap> {
    let sheets = sheets(evaluation, SheetMaterial::Gravel);
    sheets.flat_map(|(_, sheet)| above(ground, sheet, legs)).collect()
}

/// The drawn sheets of a material.
fn sheets(
    evaluation: &Evaluation,
    material: SheetMaterial,
) -> impl Iterator<Item = (WorkId, &[Triangle])> {
    evaluation.works.iter().flat_map(move |outcome| {
        let sheets = outcome.shape.sheets.iter().filter(move |sheet| sheet.material == material);
        sheets.map(|sheet| (outcome.work, &sheet.triangles[..]))
    })
}

/// What lies between a ground and a sheet above it.
fn above(ground: &[Stretch], sheet: &[Triangle], legs: &[Leg]) -> Vec<Gap> {
    let surface = legs.iter().flat_map(|leg| crossed(sheet, leg)).collect::<Vec<_>>();
    let gaps = between(ground, &surface).into_iter();
    gaps.filter(|gap| gap.area_m2() > 0.0).collect()
}

/// A sheet of triangles along a leg: stretches in order, none over another.
fn crossed(sheet: &[Triangle], leg: &Leg) -> Vec<Stretch> {
    let mut stretches: Vec<Stretch> =
        sheet.iter().filter_map(|triangle| cut(triangle, leg)).collect();
    stretches.sort_by(|a, b| a.stations[0].total_cmp(&b.stations[0]));
    let mut covered_m = f64::NEG_INFINITY;
    stretches.retain_mut(|stretch| {
        // Two triangles beside one edge of the sheet along the leg say the same.
        let from = stretch.stations[0].max(covered_m);
        let is_new = stretch.stations[1] > from;
        if is_new {
            let levels = [stretch.level(from), stretch.levels[1]];
            *stretch = Stretch { stations: [from, stretch.stations[1]], levels };
            covered_m = stretch.stations[1];
        }
        is_new
    });
    stretches
}

/// The stretch of a leg on a triangle.
fn cut(triangle: &Triangle, leg: &Leg) -> Option<Stretch> {
    let beside = triangle.map(|[x, y, _]| leg.beside([x, y]));
    let mut meets: Vec<[f64; 2]> = Vec::with_capacity(3);
    for k in 0..3 {
        let (a, b) = (k, (k + 1) % 3);
        let ([share_a, off_a], [share_b, off_b]) = (beside[a], beside[b]);
        if off_a == 0.0 {
            meets.push([share_a, triangle[a][2]]);
        } else if off_a * off_b < 0.0 {
            let t = off_a / (off_a - off_b);
            let z = triangle[a][2] + t * (triangle[b][2] - triangle[a][2]);
            meets.push([share_a + t * (share_b - share_a), z]);
        }
    }
    meets.sort_by(|a, b| a[0].total_cmp(&b[0]));
    let (first, last) = (*meets.first()?, *meets.last()?);
    let station = |share: f64| leg.start_m + share * leg.length_m;
    let whole =
        Stretch { stations: [station(first[0]), station(last[0])], levels: [first[1], last[1]] };
    let stations = [whole.stations[0].max(leg.start_m), whole.stations[1].min(leg.end_m())];
    (stations[1] > stations[0])
        .then(|| Stretch { stations, levels: stations.map(|s| whole.level(s)) })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::section::course::legs;

    #[test]
    fn a_sheet_is_cut_where_the_leg_runs_and_once_along_an_edge() {
        // A square of two triangles that rises 1 in 1 to the east, cut along its diagonal and beside.
        let sheet = [
            [[0.0, 0.0, 0.0], [2.0, 0.0, 2.0], [2.0, 2.0, 2.0]],
            [[0.0, 0.0, 0.0], [2.0, 2.0, 2.0], [0.0, 2.0, 0.0]],
        ];
        for line in [[[-1.0, -1.0], [3.0, 3.0]], [[-1.0, 0.5], [3.0, 0.5]]] {
            let legs = legs(&line);
            let stretches = crossed(&sheet, &legs[0]);
            let length: f64 = stretches.iter().map(|s| s.stations[1] - s.stations[0]).sum();
            let rise: f64 = stretches.iter().map(|s| s.levels[1] - s.levels[0]).sum();
            assert!((length - legs[0].length_m / 2.0).abs() < 1e-12, "{line:?}");
            assert!((rise - 2.0).abs() < 1e-12, "{line:?}");
        }
    }

    #[test]
    fn a_leg_that_ends_on_the_sheet_cuts_only_so_far() {
        let sheet = [[[0.0, -1.0, 5.0], [4.0, -1.0, 5.0], [0.0, 3.0, 5.0]]];
        let stretches = crossed(&sheet, &legs(&[[1.0, 0.0], [2.0, 0.0]])[0]);
        assert_eq!(stretches, [Stretch { stations: [0.0, 1.0], levels: [5.0, 5.0] }]);
    }
}
