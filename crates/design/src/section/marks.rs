//! What stands where a line crosses it: lips, tops of walls, edges of liners.

use site::works::{Lip, WorkKind};
use site::{Site, WorkId};

use super::course::Leg;
use crate::Evaluation;

/// Something that a section's line crosses.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Mark {
    /// What it is.
    pub kind: MarkKind,
    /// The work that it belongs to.
    pub work: WorkId,
    /// Where, metres along the line.
    pub station_m: f64,
    /// Its level, metres.
    pub z: f64,
}

/// What a section's line crosses.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum MarkKind {
    /// The lip over which a filter spills.
    Lip,
    /// The top of a wall.
    WallTop,
    /// The edge of a liner.
    LinerEdge,
}

/// Everything that stands on the line, in order of the stations.
pub(super) fn on(site: &Site, evaluation: &Evaluation, legs: &[Leg]) -> Vec<Mark> {
    let mut marks = Vec::new();
    for work in site.works.iter().filter(|work| work.visible) {
        if let WorkKind::FilterBed(bed) = &work.kind
            && let Some(station_m) = meets_lip(&bed.lip, legs)
        {
            let (kind, z) = (MarkKind::Lip, bed.lip.elevation_m);
            marks.push(Mark { kind, work: work.id, station_m, z });
        }
    }
    for outcome in &evaluation.works {
        let kinds = [
            (MarkKind::WallTop, &outcome.shape.wall_tops),
            (MarkKind::LinerEdge, &outcome.shape.liner_edges),
        ];
        for (kind, lines) in kinds {
            let pairs = lines.iter().flat_map(|line| line.windows(2));
            for [station_m, z] in pairs.flat_map(|pair| crossings([pair[0], pair[1]], legs)) {
                marks.push(Mark { kind, work: outcome.work, station_m, z });
            }
        }
    }
    marks.sort_by(|a, b| a.station_m.total_cmp(&b.station_m).then(a.kind.cmp(&b.kind)));
    marks
}

/// The station at which the line passes over a lip: beside its middle, within its width.
fn meets_lip(lip: &Lip, legs: &[Leg]) -> Option<f64> {
    legs.iter().find_map(|leg| {
        let [share, aside_m] = leg.beside(lip.at);
        let is_over = (0.0..=1.0).contains(&share) && aside_m.abs() <= 0.5 * lip.width_m;
        is_over.then_some(leg.start_m + share * leg.length_m)
    })
}

/// Station and level at which a side crosses the line; a side that ends on it counts at one end.
fn crossings([a, b]: [[f64; 3]; 2], legs: &[Leg]) -> impl Iterator<Item = [f64; 2]> {
    legs.iter().filter_map(move |leg| {
        let [share_a, off_a] = leg.beside([a[0], a[1]]);
        let [share_b, off_b] = leg.beside([b[0], b[1]]);
        if (off_a >= 0.0) == (off_b >= 0.0) {
            return None;
        }
        let t = off_a / (off_a - off_b);
        let share = share_a + t * (share_b - share_a);
        let station_m = leg.start_m + share * leg.length_m;
        (0.0..=1.0).contains(&share).then(|| [station_m, a[2] + t * (b[2] - a[2])])
    })
}
