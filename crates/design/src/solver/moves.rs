//! Freed numbers set on a site, with all that hangs on them.

use std::collections::BTreeSet;

use site::field::{FieldValue, fields, set};
use site::works::{Hill, Stream};
use site::{Site, Work, WorkId, WorkKind};

use super::{Ends, Number};

/// A number and what it is to be.
pub(super) struct Move<'a> {
    pub(super) number: &'a Number,
    pub(super) from: f64,
    pub(super) to: f64,
}

/// Places along a stream nearer than this are one, metres: as the bed is built.
const SAME_PLACE_M: f64 = 1e-3;
/// What follows another number is kept to a micrometre, so that decimals stay short.
const TIDY: f64 = 1e6;

/// The site with numbers moved; those that stay change nothing.
pub(super) fn moved(site: &Site, moves: &[Move<'_>]) -> Site {
    let mut site = site.clone();
    for one in moves.iter().filter(|one| one.from != one.to) {
        set_one(&mut site, one);
    }
    site
}

fn set_one(site: &mut Site, one: &Move<'_>) {
    let id = one.number.work();
    match one.number {
        Number::WaterLevel(_) => set_water(site, one),
        Number::LipLevel(_) => set_lip(site, one),
        Number::Parameter(_, path) => with(site, id, |work| set_parameter(work, path, one)),
        Number::CrestLevel(_) => with_kind(site, id, |kind| {
            let WorkKind::Hill(hill) = kind else { return };
            hill.crest_m.iter_mut().for_each(|level| one.take(level));
        }),
        Number::Shoulder(_, ends) => with_kind(site, id, |kind| {
            let WorkKind::Hill(hill) = kind else { return };
            draw_out(hill, *ends, one.by());
        }),
        Number::FlankRun(_) => with_kind(site, id, |kind| {
            let WorkKind::Hill(hill) = kind else { return };
            let flanks = hill.left.iter_mut().chain(&mut hill.right);
            flanks.for_each(|flank| one.take(&mut flank.run_per_rise));
        }),
        Number::WallTops(_) => with_kind(site, id, |kind| {
            let WorkKind::Wall(wall) = kind else { return };
            wall.top_m.iter_mut().for_each(|level| one.take(level));
        }),
        Number::PathLevel(_) => with_kind(site, id, |kind| {
            let WorkKind::Path(path) = kind else { return };
            path.level_m.iter_mut().for_each(|level| one.take(level));
        }),
    }
}

impl Move<'_> {
    fn by(&self) -> f64 {
        self.to - self.from
    }

    /// Moves a value with the number: one that is the number becomes exactly what it is to be.
    fn take(&self, slot: &mut f64) {
        *slot = if *slot == self.from { self.to } else { tidy(*slot + self.by()) };
    }
}

fn tidy(value: f64) -> f64 {
    (value * TIDY).round() / TIDY
}

fn with(site: &mut Site, id: WorkId, change: impl FnOnce(&mut Work)) {
    if let Some(work) = site.works.iter_mut().find(|work| work.id == id) {
        change(work);
    }
}

fn with_kind(site: &mut Site, id: WorkId, change: impl FnOnce(&mut WorkKind)) {
    with(site, id, |work| change(&mut work.kind));
}

fn set_parameter(work: &mut Work, path: &str, one: &Move<'_>) {
    let Some(field) = fields(work).into_iter().find(|field| field.path == path) else { return };
    if let FieldValue::Number(mut value) = field.value {
        one.take(&mut value);
        // Bounds lie within the field's range, so it is never refused; refused, it would stay.
        let _ = set(work, path, FieldValue::Number(value));
    }
}

/// Moves still water with its liner edges, bays and streams' mouths.
fn set_water(site: &mut Site, one: &Move<'_>) {
    let basins = joined(site, one.number.work());
    for work in &mut site.works {
        let id = work.id;
        match &mut work.kind {
            WorkKind::Basin(basin) if basins.contains(&id) => {
                one.take(&mut basin.water_level_m);
                basin.liner_edge_m.iter_mut().for_each(|edge| one.take(edge));
            }
            WorkKind::IntakeBay(bay) if bay.from.is_some_and(|from| basins.contains(&from)) => {
                one.take(&mut bay.water_level_m);
            }
            WorkKind::Stream(stream) if stream.into.is_some_and(|into| basins.contains(&into)) => {
                move_mouth(stream, one);
            }
            _ => {}
        }
    }
}

/// A basin with those that share its water.
fn joined(site: &Site, id: WorkId) -> BTreeSet<WorkId> {
    let mut found = BTreeSet::from([id]);
    // Each round finds at least one more, or is the last.
    for _ in &site.works {
        for work in &site.works {
            let WorkKind::Basin(basin) = &work.kind else { continue };
            let Some(other) = basin.joins else { continue };
            if found.contains(&other) {
                found.insert(work.id);
            } else if found.contains(&work.id) {
                found.insert(other);
            }
        }
    }
    found
}

fn set_lip(site: &mut Site, one: &Move<'_>) {
    let filter = one.number.work();
    for work in &mut site.works {
        match &mut work.kind {
            WorkKind::FilterBed(bed) if work.id == filter => one.take(&mut bed.lip.elevation_m),
            WorkKind::Stream(stream) if stream.from == Some(filter) => move_head(stream, one),
            _ => {}
        }
    }
}

/// Moves the bed where the stream meets still water; the foot of a fall that ends there.
fn move_mouth(stream: &mut Stream, one: &Move<'_>) {
    let Some(station) = stream.stations.last_mut() else { return };
    let along_m = station.along_m;
    one.take(&mut station.invert_m);
    let falls = stream.falls.iter_mut();
    for fall in falls.filter(|fall| fall.along_m > along_m - SAME_PLACE_M) {
        fall.drop_m = tidy(fall.drop_m - one.by()).max(0.0);
    }
}

/// Moves the bed where the stream leaves the lip; the crest of a fall that begins there.
fn move_head(stream: &mut Stream, one: &Move<'_>) {
    let Some(station) = stream.stations.first_mut() else { return };
    let along_m = station.along_m;
    one.take(&mut station.invert_m);
    let falls = stream.falls.iter_mut();
    for fall in falls.filter(|fall| fall.along_m < along_m + SAME_PLACE_M) {
        one.take(&mut fall.crest_m);
        fall.drop_m = tidy(fall.drop_m + one.by()).max(0.0);
    }
}

/// Draws a crest out along its own direction; a round hill becomes a ridge from west to east.
fn draw_out(hill: &mut Hill, ends: Ends, by_m: f64) {
    let points = &mut hill.crest.points;
    let beyond = |from: [f64; 2], to: [f64; 2]| {
        let (dx, dy) = (to[0] - from[0], to[1] - from[1]);
        let length = libm::hypot(dx, dy);
        // A crest whose end is drawn twice on one place has no direction to go.
        if length == 0.0 { to } else { [to[0] + by_m * dx / length, to[1] + by_m * dy / length] }
    };
    let n = points.len();
    let (first, last) = match points[..] {
        [] => return,
        [at] => (beyond([at[0] + 1.0, at[1]], at), beyond([at[0] - 1.0, at[1]], at)),
        [first, second, ..] => (beyond(second, first), beyond(points[n - 2], points[n - 1])),
    };
    let is_round = n == 1;
    let (first, last) = (first.map(tidy), last.map(tidy));
    match (is_round, ends) {
        (true, Ends::First) => points.insert(0, first),
        (true, Ends::Last) => points.push(last),
        (true, Ends::Both) => *points = vec![first, last],
        (false, _) => {
            if ends != Ends::Last {
                points[0] = first;
            }
            if ends != Ends::First {
                points[n - 1] = last;
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use site::Curve;
    use site::works::Flank;

    use super::*;

    fn drawn_out(points: &[[f64; 2]], ends: Ends) -> Vec<[f64; 2]> {
        let flank = Flank { run_per_rise: 3.0, shoulder_m: 0.0, toe_m: 0.0 };
        let mut hill = Hill {
            crest: Curve { points: points.to_vec(), smooth: false },
            crest_m: vec![1.0],
            width_m: vec![0.0],
            left: vec![flank],
            right: vec![flank],
            held_by: None,
            build_up: Default::default(),
        };
        draw_out(&mut hill, ends, 2.0);
        hill.crest.points
    }

    #[test]
    fn shoulders_go_out_along_the_crest() {
        let crest = [[0.0, 0.0], [3.0, 4.0]];
        assert_eq!(drawn_out(&crest, Ends::Last), [[0.0, 0.0], [4.2, 5.6]]);
        assert_eq!(drawn_out(&crest, Ends::First), [[-1.2, -1.6], [3.0, 4.0]]);
        let bent = [[0.0, 0.0], [1.0, 0.0], [1.0, 5.0]];
        assert_eq!(drawn_out(&bent, Ends::Both), [[-2.0, 0.0], [1.0, 0.0], [1.0, 7.0]]);
    }

    #[test]
    fn a_round_hill_becomes_a_ridge() {
        assert_eq!(drawn_out(&[[1.0, 1.0]], Ends::Both), [[-1.0, 1.0], [3.0, 1.0]]);
        assert_eq!(drawn_out(&[[1.0, 1.0]], Ends::Last), [[1.0, 1.0], [3.0, 1.0]]);
    }
}
