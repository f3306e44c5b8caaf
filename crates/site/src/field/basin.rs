//! The basin's fields.

use super::walk::{
    Ends, MOST, Visitor, choice, copied_list, curve, follow, list, number, number_or_none, place,
    place_or_none, says, spread, work_or_none,
};
use super::{ListEdit, Quantity, build_up};
use crate::works::{Basin, BasinRing, BuildUp, Floor, RingShape};

/// Water this deep is commonly fenced; the lowest found in local codes is 18 in (K-11).
const DEEP_WATER: &str = "Planning help only. Barriers are commonly required from 18 in of water: ask the local authority.";
/// Deepest basin, metres.
const DEEPEST_M: f64 = 20.0;
/// Longest inset, metres.
const LONGEST_RUN_M: f64 = 100.0;

pub(super) fn walk(basin: &mut Basin, visitor: &mut dyn Visitor) {
    number(visitor, says("water_level_m", "Water level").elevation(), &mut basin.water_level_m);
    let freeboard = says("freeboard_m", "Liner edge above water").is(Quantity::Length, 0.0, 2.0);
    number(visitor, freeboard, &mut basin.freeboard_m);
    let rim = says("rim_width_m", "Rim width").is(Quantity::Length, 0.0, 20.0);
    number(visitor, rim, &mut basin.rim_width_m);
    let cut = says("cut_bank", "Bank in cut, run per rise").is(Quantity::RunPerRise, 0.1, 50.0);
    number(visitor, cut, &mut basin.cut_bank);
    let fill = says("fill_bank", "Bank in fill, run per rise").is(Quantity::RunPerRise, 0.1, 50.0);
    number(visitor, fill, &mut basin.fill_bank);
    walk_rings(basin, visitor);
    walk_floor(basin, visitor);
    place_or_none(visitor, says("overflow", "Overflow place"), &mut basin.overflow);
    let width = says("overflow_width_m", "Overflow width").is(Quantity::Length, 0.01, 20.0);
    number_or_none(visitor, width, 0.5, &mut basin.overflow_width_m);
    let crest = says("overflow_m", "Overflow level").elevation();
    number_or_none(visitor, crest, basin.water_level_m, &mut basin.overflow_m);
    work_or_none(visitor, says("joins", "Joins the water of"), &mut basin.joins);
    build_up::walk(visitor, ("rim_build_up", "Rim"), &mut basin.rim_build_up);
    build_up::walk(visitor, ("build_up", "Outermost side"), &mut basin.build_up);
    build_up::walk(visitor, ("bank_build_up", "Banks"), &mut basin.bank_build_up);
    let n_before = basin.outline.points.len();
    let edits = curve(visitor, ("outline", "Outline"), (Ends::Closed, 3), &mut basin.outline);
    follow(&mut basin.liner_edge_m, &edits, n_before);
    for ring in &mut basin.rings {
        if let RingShape::Inset { run_m } = &mut ring.shape {
            follow(run_m, &edits, n_before);
        }
    }
    walk_liner_edge(basin, visitor);
}

fn walk_liner_edge(basin: &mut Basin, visitor: &mut dyn Visitor) {
    let n_points = basin.outline.points.len();
    let level = basin.water_level_m + basin.freeboard_m;
    let says_list = says("liner_edge_m", "Liner edge, levels of its own");
    let edits = list(visitor, says_list, (0, n_points), basin.liner_edge_m.len());
    match edits.first() {
        Some(ListEdit::Insert(_)) => basin.liner_edge_m.resize(n_points, level),
        Some(ListEdit::Remove(_)) => basin.liner_edge_m.clear(),
        None => {}
    }
    for (i, slot) in basin.liner_edge_m.iter_mut().enumerate() {
        let label = format!("Liner edge at point {}", i + 1);
        number(visitor, says(format!("liner_edge_m[{i}]"), label).elevation(), slot);
    }
}

fn walk_rings(basin: &mut Basin, visitor: &mut dyn Visitor) {
    let n_points = basin.outline.points.len();
    let first = || BasinRing {
        shape: RingShape::Inset { run_m: vec![0.5] },
        depth_m: 0.3,
        build_up: BuildUp::default(),
    };
    copied_list(visitor, says("rings", "Rings"), (1, 20), &mut basin.rings, first);
    let outline = basin.outline.clone();
    for (i, ring) in basin.rings.iter_mut().enumerate() {
        let (path, label) = (format!("rings[{i}]"), format!("Ring {}", i + 1));
        let depth = says(format!("{path}.depth_m"), format!("{label} depth"))
            .is(Quantity::Length, 0.0, DEEPEST_M)
            .caution(DEEP_WATER);
        number(visitor, depth, &mut ring.depth_m);
        let now = usize::from(matches!(ring.shape, RingShape::Drawn(_)));
        let shape = says(format!("{path}.shape"), format!("{label} shape"));
        match choice(visitor, shape, &["inset", "drawn"], now) {
            Some(0) => ring.shape = RingShape::Inset { run_m: vec![0.5] },
            Some(_) => ring.shape = RingShape::Drawn(outline.clone()),
            None => {}
        }
        walk_shape(&mut ring.shape, (&path, &label), n_points, visitor);
        let (path, label) = (format!("{path}.build_up"), format!("Within ring {}", i + 1));
        build_up::walk(visitor, (&path, &label), &mut ring.build_up);
    }
}

fn walk_shape(
    shape: &mut RingShape,
    (path, label): (&str, &str),
    n_points: usize,
    visitor: &mut dyn Visitor,
) {
    match shape {
        RingShape::Drawn(drawn) => {
            let (path, label) = (format!("{path}.shape"), format!("{label} outline"));
            curve(visitor, (&path, &label), (Ends::Closed, 3), drawn);
        }
        RingShape::Inset { run_m } => {
            let (path, label) = (format!("{path}.shape.run_m"), format!("{label} run in"));
            spread(visitor, (&path, &label, &label), n_points.min(MOST), run_m, |says| {
                says.is(Quantity::Length, 0.0, LONGEST_RUN_M)
            });
        }
    }
}

fn walk_floor(basin: &mut Basin, visitor: &mut dyn Visitor) {
    let now = usize::from(matches!(basin.floor, Floor::Sump { .. }));
    match choice(visitor, says("floor", "Floor"), &["level", "falls to a sump"], now) {
        Some(0) => basin.floor = Floor::Level,
        Some(_) => basin.floor = first_sump(basin),
        None => {}
    }
    if let Floor::Sump { at, radius_m, depth_m } = &mut basin.floor {
        let depth = says("floor.depth_m", "Sump depth").is(Quantity::Length, 0.0, DEEPEST_M);
        number(visitor, depth.caution(DEEP_WATER), depth_m);
        let radius = says("floor.radius_m", "Sump radius").is(Quantity::Length, 0.0, 10.0);
        number(visitor, radius, radius_m);
        place(visitor, says("floor.at", "Sump place"), at);
    }
}

/// A sump amid the outline, a hand's breadth below the last ring.
fn first_sump(basin: &Basin) -> Floor {
    let points = &basin.outline.points;
    let n = points.len().max(1) as f64;
    let at = [0, 1].map(|i| points.iter().map(|p| p[i]).sum::<f64>() / n);
    let above_m = basin.rings.last().map_or(0.5, |ring| ring.depth_m);
    Floor::Sump { at, radius_m: 0.3, depth_m: (above_m + 0.1).min(DEEPEST_M) }
}
