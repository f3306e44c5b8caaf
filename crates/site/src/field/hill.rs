//! The hill's fields.

use super::walk::{Ends, Visitor, curve, follow, number, says};
use super::walk::{spread, spread_choice, work_or_none};
use super::{Quantity, build_up};
use crate::works::{Flank, Hill};

pub(super) fn walk(hill: &mut Hill, visitor: &mut dyn Visitor) {
    let n_before = hill.crest.points.len();
    let edits = curve(visitor, ("crest", "Crest line"), (Ends::Open, 1), &mut hill.crest);
    follow(&mut hill.crest_m, &edits, n_before);
    follow(&mut hill.width_m, &edits, n_before);
    follow(&mut hill.left, &edits, n_before);
    follow(&mut hill.right, &edits, n_before);
    let n_points = hill.crest.points.len();
    let level = ("crest_m", "Crest level", "Crest level");
    spread(visitor, level, n_points, &mut hill.crest_m, |says| says.elevation());
    let width = ("width_m", "Top width", "Top width");
    spread(visitor, width, n_points, &mut hill.width_m, |says| {
        says.is(Quantity::Length, 0.0, 100.0)
    });
    walk_flanks(&mut hill.left, ("left", "Left flank"), n_points, visitor);
    walk_flanks(&mut hill.right, ("right", "Right flank"), n_points, visitor);
    work_or_none(visitor, says("held_by", "Held by"), &mut hill.held_by);
    build_up::walk(visitor, ("build_up", "Hill"), &mut hill.build_up);
}

fn walk_flanks(
    flanks: &mut Vec<Flank>,
    (path, label): (&str, &str),
    n_points: usize,
    visitor: &mut dyn Visitor,
) {
    spread_choice(visitor, (path, label), n_points, flanks);
    let single = flanks.len() == 1;
    for (i, flank) in flanks.iter_mut().enumerate() {
        let label = if single { label.to_owned() } else { format!("{label} at point {}", i + 1) };
        let of = |field: &str, what: &str| {
            says(format!("{path}[{i}].{field}"), format!("{label}{what}"))
        };
        let slope = of("run_per_rise", ", run per rise").is(Quantity::RunPerRise, 0.5, 100.0);
        number(visitor, slope, &mut flank.run_per_rise);
        let shoulder = of("shoulder_m", ", shoulder run").is(Quantity::Length, 0.0, 50.0);
        number(visitor, shoulder, &mut flank.shoulder_m);
        let toe = of("toe_m", ", toe run").is(Quantity::Length, 0.0, 50.0);
        number(visitor, toe, &mut flank.toe_m);
    }
}
