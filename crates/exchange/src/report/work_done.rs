//! What evaluations found again and what they made anew: for whoever makes edits faster.

use std::fmt::Write as _;

use design::WorkDone;
use site::Site;
use site::field::{FieldValue, Quantity, fields, set};

const STRING: &str = "a string takes any text";

/// How far a number is moved: what a crew can set out, metres.
const LITTLE_M: f64 = 0.01;

/// One evaluation: what came before it, what it took by the clock, and what it did.
#[derive(Clone, Debug, PartialEq)]
pub struct Evaluated {
    /// What is evaluated, in plain words.
    pub what: String,
    /// Seconds for all of it.
    pub seconds: f64,
    /// What it found again and made anew.
    pub done: Vec<WorkDone>,
}

/// A site whose first work has its first length or level a little greater, or smaller where that is
/// out of its range, and what was moved; none where no work has such a number.
pub fn moved_a_little(site: &Site) -> Option<(Site, String)> {
    let mut moved = site.clone();
    let work = moved.works.iter_mut().find(|work| work.visible)?;
    for field in fields(work) {
        let FieldValue::Number(value) = field.value else { continue };
        if !matches!(field.quantity, Quantity::Length | Quantity::Elevation) {
            continue;
        }
        let by_m = if value + LITTLE_M <= field.range.1 { LITTLE_M } else { -LITTLE_M };
        if set(work, &field.path, FieldValue::Number(value + by_m)).is_ok() {
            let what = format!("{}: {} moved by a centimetre", work.name, field.label);
            return Some((moved, what));
        }
    }
    None
}

/// The evaluations as tables, in their order.
pub fn work_done_text(evaluations: &[Evaluated]) -> String {
    let mut out = String::new();
    for evaluated in evaluations {
        let whole_ms = 1e3 * evaluated.seconds;
        writeln!(out, "{}, {whole_ms:.1} ms", evaluated.what).expect(STRING);
        writeln!(out, "  {:<26}{:>12}{:>11}{:>10}", "kind", "found again", "made anew", "ms")
            .expect(STRING);
        for done in &evaluated.done {
            let WorkDone { kind, found_again, made_anew, seconds } = done;
            let (name, ms) = (kind.name(), 1e3 * seconds);
            writeln!(out, "  {name:<26}{found_again:>12}{made_anew:>11}{ms:>10.2}").expect(STRING);
        }
        out.push('\n');
    }
    out.push_str("Of what is made on the way to another kind the time is counted in both.\n");
    out
}

#[cfg(test)]
mod tests {
    use std::sync::Arc;

    use design::Evaluator;
    use site::works::{BasinRing, RingShape};
    use site::{Survey, SurveyPoint, WorkKind};

    use super::*;
    use crate::report::tests::basin_site;

    /// A pond in a sloping field.
    fn garden() -> Site {
        let shot = |i: usize| SurveyPoint {
            name: format!("{i}"),
            at_m: [5.0 * (i % 7) as f64, 5.0 * (i / 7) as f64, 10.0 + 0.1 * (i % 7) as f64],
            ..SurveyPoint::default()
        };
        let mut site = basin_site();
        site.survey = Arc::new(Survey { points: (0..49).map(shot).collect(), ..Survey::default() });
        if let WorkKind::Basin(basin) = &mut site.works[0].kind {
            basin.outline.points = vec![[12.0, 12.0], [18.0, 12.0], [18.0, 17.0], [12.0, 17.0]];
            basin.rings = vec![BasinRing {
                shape: RingShape::Inset { run_m: vec![0.8] },
                depth_m: 0.6,
                build_up: Default::default(),
            }];
        }
        site
    }

    #[test]
    fn a_site_that_did_not_change_is_found_again_whole() {
        let (site, mut evaluator) = (garden(), Evaluator::default());
        evaluator.evaluate(&site);
        let n_anew = |done: &[WorkDone]| done.iter().map(|done| done.made_anew).sum::<u32>();
        let n_again = |done: &[WorkDone]| done.iter().map(|done| done.found_again).sum::<u32>();
        let cold = evaluator.work_done();
        assert!(n_anew(&cold) > 5, "{cold:?}");
        evaluator.evaluate(&site);
        let again = evaluator.work_done();
        assert_eq!(n_anew(&again), 0, "{again:?}");
        assert!(n_again(&again) >= 5, "{again:?}");
        let (moved, what) = moved_a_little(&site).expect("a basin has lengths");
        evaluator.evaluate(&moved);
        let edited = evaluator.work_done();
        assert!(n_anew(&edited) > 0 && n_again(&edited) > 0, "{edited:?}");
        let table = work_done_text(&[Evaluated { what, seconds: 0.0123, done: edited }]);
        assert!(table.starts_with("Pond: ") && table.contains("12.3 ms"), "{table}");
        assert!(table.contains("existing ground"), "{table}");
    }
}
