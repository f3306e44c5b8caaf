//! Basins whose water joins.

use design::{Code, Evaluation, Evaluator};
use ground::query::Locator;
use site::works::Basin;
use site::{Site, WorkId, WorkKind};

use crate::garden::*;

/// A rectangle along x and y, by two of its corners.
#[derive(Clone, Copy)]
struct Place {
    low: [f64; 2],
    high: [f64; 2],
}

/// Two rectangles, and the one in which they overlap.
const FIRST: Place = Place { low: [-7.0, -3.0], high: [1.0, 3.0] };
const SECOND: Place = Place { low: [-2.5, -2.0], high: [6.5, 4.0] };
const BOTH: Place = Place { low: [-2.5, -2.0], high: [1.0, 3.0] };

impl Place {
    /// A pond with sides of 1 in 1 from an edge at elevation zero to a floor a metre below.
    fn pond(self, placed: Placed) -> Basin {
        let [[x0, y0], [x1, y1]] = [self.low, self.high];
        basin(placed.line(&[[x0, y0], [x1, y0], [x1, y1], [x0, y1]]), vec![inset(1.0, 0.9)])
    }

    /// Its volume below a level this far below the edge: h / 6 (A + 4 M + B), with sides of 1 in 1.
    fn frustum_m3(self, down_m: f64) -> f64 {
        let area =
            |inset: f64| (0..2).map(|k| self.high[k] - self.low[k] - 2.0 * inset).product::<f64>();
        let h = 1.0 - down_m;
        h / 6.0 * (area(down_m) + 4.0 * area(down_m + 0.5 * h) + area(1.0))
    }
}

fn garden(placed: Placed, ground: impl Fn([f64; 2]) -> f64, ponds: [Basin; 2]) -> Site {
    site(placed, ground, ponds.map(WorkKind::Basin).to_vec())
}

fn ponds(placed: Placed) -> [Basin; 2] {
    let second = Basin { joins: Some(WorkId(1)), ..SECOND.pond(placed) };
    [FIRST.pond(placed), second]
}

/// Within both outlines the lower counts, and that is the pond of the rectangle that they share: its
/// sides are as far from its own edges as the nearer one's.
fn joined_m3(down_m: f64) -> f64 {
    FIRST.frustum_m3(down_m) + SECOND.frustum_m3(down_m) - BOTH.frustum_m3(down_m)
}

#[test]
fn two_rectangles_move_and_hold_what_they_do_together() {
    for placed in [AS_DRAWN, TURNED, MOVED] {
        let evaluation = sound(&garden(placed, |_| 0.0, ponds(placed)));
        assert!(evaluation.works.iter().all(|work| work.shape.problems.is_empty()));
        let moved = moved(&evaluation);
        let (found, expected) = (moved.cut_m3, joined_m3(0.0));
        assert!((found - expected).abs() < 2e-6 * expected, "{found}, not {expected}");
        assert!(moved.fill_m3 < 1e-4);
        let [water] = &evaluation.water[..] else { panic!("one sheet: {:?}", evaluation.water) };
        let expected = joined_m3(0.1);
        assert!((water.volume_m3 - expected).abs() < 2e-6 * expected, "{}", water.volume_m3);
        assert_eq!((water.work, water.level_m), (WorkId(1), -0.1));
        let [_, area_m2, volume_m3] = *water.stages.last().expect("there are stages");
        assert_eq!((area_m2, volume_m3), (water.area_m2, water.volume_m3));
        // Its sheet covers both outlines once.
        let area = |[a, b, c]: &[[f64; 3]; 3]| {
            0.5 * ((b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0]))
        };
        let sheet_m2: f64 = water.sheet.iter().map(area).sum();
        assert!((sheet_m2 - (48.0 + 54.0 - 17.5)).abs() < 1e-3, "{sheet_m2}");
    }
}

/// On any ground: within both outlines the lower of the two, and within one of them its own.
#[test]
fn a_joined_basin_raises_nothing_within_the_other() {
    for ground in [[0.0, 0.0], [0.05, 0.03], [-0.06, 0.04]] {
        let slope = |[x, y]: [f64; 2]| ground[0] * x + ground[1] * y;
        let [first, second] = ponds(AS_DRAWN);
        let evaluation = sound(&garden(AS_DRAWN, slope, [first.clone(), second.clone()]));
        let alone = |pond| sound(&site(AS_DRAWN, slope, vec![WorkKind::Basin(pond)]));
        let apart = [alone(first), alone(Basin { joins: None, ..second })];
        let surface = |e: &Evaluation| e.finished.clone().expect("there is ground");
        let surfaces = [&evaluation, &apart[0], &apart[1]].map(surface);
        let [both, first, second] = [0, 1, 2].map(|i| Locator::new(&*surfaces[i]));
        let within =
            |p: [f64; 2], place: Place| (0..2).all(|k| p[k] > place.low[k] && p[k] < place.high[k]);
        let mut n_looks = [0; 2];
        for i in 0..50 {
            for j in 0..40 {
                let p = [-7.2 + 0.28 * f64::from(i) + 0.003, -3.2 + 0.19 * f64::from(j) + 0.001];
                let [z, a, b] = [&both, &first, &second].map(|at| at.elevation(p).expect("ground"));
                let expected = match (within(p, FIRST), within(p, SECOND)) {
                    (true, true) => a.min(b),
                    (true, false) => a,
                    (false, true) => b,
                    (false, false) => continue,
                };
                n_looks[usize::from(within(p, FIRST))] += 1;
                assert!((z - expected).abs() < 1e-5, "{p:?}: {z}, not {expected}");
            }
        }
        assert!(n_looks[0] > 300 && n_looks[1] > 300, "{n_looks:?}");
    }
}

#[test]
fn the_sheet_stands_at_the_lower_of_two_near_levels() {
    let [first, mut second] = ponds(AS_DRAWN);
    second.water_level_m -= 0.008;
    let evaluation = sound(&garden(AS_DRAWN, |_| 0.0, [first, second]));
    let [water] = &evaluation.water[..] else { panic!("one sheet") };
    assert!((water.level_m + 0.108).abs() < 1e-12);
    assert!(evaluation.works[1].shape.problems.is_empty());
}

#[test]
fn levels_that_differ_need_a_fall_or_a_stream() {
    let [first, mut second] = ponds(AS_DRAWN);
    second.water_level_m += 0.05;
    let evaluation = sound(&garden(AS_DRAWN, |_| 0.0, [first, second]));
    let expected = "its water stands 0.05 m above that of the basin that it joins: a fall or a stream \
                    between them is needed, or one level within 0.01 m";
    assert_eq!(evaluation.works[1].shape.problems[0].message, expected);
    let told = |code| evaluation.findings.iter().filter(|f| f.code == code).count();
    assert_eq!(told(Code::WorkHasNoShape), 1);
}

#[test]
fn outlines_that_do_not_overlap_do_not_join() {
    let [first, second] = ponds(AS_DRAWN);
    let far = Basin { outline: AS_DRAWN.line(&[[12.0, 0.0], [18.0, 0.0], [18.0, 6.0]]), ..second };
    let evaluation = sound(&garden(AS_DRAWN, |_| 0.0, [first, far]));
    let told = &evaluation.works[1].shape.problems;
    assert_eq!(told[0].message, "its outline does not overlap that of the basin that it joins");
    assert_eq!(evaluation.water.len(), 2);
}

/// The liner of the later one ends where it meets the first one's edge, and no rim is low there.
#[test]
fn the_rims_open_where_the_outlines_overlap() {
    let evaluation = sound(&garden(AS_DRAWN, |_| 0.0, ponds(AS_DRAWN)));
    let [edge] = &evaluation.works[1].shape.liner_edges[..] else { panic!("one stretch") };
    let mut ends = [edge[0], edge[edge.len() - 1]];
    ends.sort_by(|a, b| a[0].total_cmp(&b[0]));
    assert_eq!(ends, [[-2.5, 3.0, 0.0], [1.0, -2.0, 0.0]]);
    assert_eq!(edge.len(), 5);
    let low = evaluation.findings.iter().filter(|f| f.code == Code::RimLow);
    assert_eq!(low.map(|f| &f.message).collect::<Vec<_>>(), Vec::<&String>::new());
}

/// Without joining the later basin builds its rim through the first one's water, as it is drawn.
#[test]
fn basins_that_do_not_join_stay_apart() {
    let [first, second] = ponds(AS_DRAWN);
    let second = Basin { joins: None, ..second };
    let evaluation = sound(&garden(AS_DRAWN, |_| 0.0, [first, second]));
    assert!(evaluation.works[1].fill_m3 > 1.0);
    assert_eq!(evaluation.water.len(), 2);
}

/// What is kept between evaluations knows the outline and the level of the basin that is joined.
#[test]
fn an_edit_of_the_first_basin_changes_the_one_that_joins_it() {
    let mut evaluator = Evaluator::default();
    let [mut first, second] = ponds(AS_DRAWN);
    for edit in 0..3 {
        match edit {
            1 => {
                first.outline = AS_DRAWN.line(&[[-7.0, -3.0], [0.0, -3.0], [0.0, 3.0], [-7.0, 3.0]])
            }
            2 => first.water_level_m -= 0.05,
            _ => {}
        }
        let site = garden(AS_DRAWN, |[x, _]| 0.02 * x, [first.clone(), second.clone()]);
        let (kept, fresh) = (evaluator.evaluate(&site), sound(&site));
        assert_eq!(kept.finished, fresh.finished);
        assert_eq!(kept.works[1].shape, fresh.works[1].shape);
        assert_eq!(kept.works[1].shape.problems.len(), usize::from(edit == 2));
        let figures = |e: &Evaluation| e.water.iter().map(|w| (w.level_m, w.volume_m3)).collect();
        let (kept, fresh): (Vec<_>, Vec<_>) = (figures(&kept), figures(&fresh));
        assert_eq!(kept, fresh);
    }
}
