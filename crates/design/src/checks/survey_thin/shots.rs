//! The shots that a thin survey lacks under a work.
//!
//! The triangles with the most ground under the work are parted in the middle of their longest edge,
//! and so on until the survey is dense enough; of the last ones no more are kept than it takes. A
//! Delaunay triangulation has the same faces whatever the new shots will read, so that their heights
//! need not be known.

use ground::{NONE, Surface, constrained, overlay};
use site::{Site, WorkId};

use super::{LEAST_SHARE, longest_edge_m};
use crate::Evaluation;

/// More shots than this for one work are a new survey.
const MOST_SHOTS: usize = 400;

/// The places, local metres, at which shots are lacking under a work before its volumes are to be
/// trusted; without any one of the last, the finding stands.
///
/// Empty where the survey is dense enough.
pub fn shots_wanted(site: &Site, evaluation: &Evaluation, work: WorkId) -> Vec<[f64; 2]> {
    wanted(site, evaluation, work).unwrap_or_default()
}

fn wanted(site: &Site, evaluation: &Evaluation, work: WorkId) -> Option<Vec<[f64; 2]>> {
    let (existing, finished) = (evaluation.existing.as_deref()?, evaluation.finished.as_deref()?);
    let limit_m = site.limits.survey_spacing_m;
    let thin = |shots: &[[f64; 2]]| {
        let surveyed = with_shots(existing, shots)?;
        Some(middles(&surveyed, finished, work, limit_m))
    };
    let (mut enough, mut shots) = (0, Vec::new());
    loop {
        let more = thin(&shots)?;
        if more.is_empty() || shots.len() > MOST_SHOTS {
            break;
        }
        enough = shots.len();
        shots.extend(more);
    }
    let mut most = shots.len();
    while most > enough + 1 {
        let middle = (enough + most) / 2;
        if thin(&shots[..middle])?.is_empty() { most = middle } else { enough = middle }
    }
    shots.truncate(most);
    Some(shots)
}

/// Triangles with less ground under them than this share of the most are parted in a later round.
const ROUND_SHARE: f64 = 0.5;

/// The middles of the longest edges of the triangles beyond the limit that have the most ground
/// under them; none when too little of the ground lies on such.
fn middles(surveyed: &Surface, finished: &Surface, work: WorkId, limit_m: f64) -> Vec<[f64; 2]> {
    let n = surveyed.faces().len();
    let key = |under: u32, built: u32| {
        let is_own = finished.faces()[built as usize].tag.owner == work.0;
        if is_own { under as usize } else { n }
    };
    let areas = overlay::volumes_by(surveyed, finished, key, n + 1);
    let is_long = |face: &u32| longest_edge_m(surveyed, *face) > limit_m;
    let thin_m2: Vec<f64> = (0..n as u32)
        .map(|face| if is_long(&face) { areas[face as usize].common_area_m2 } else { 0.0 })
        .collect();
    let whole: f64 = areas[..n].iter().map(|area| area.common_area_m2).sum();
    if thin_m2.iter().sum::<f64>() <= LEAST_SHARE * whole {
        return Vec::new();
    }
    let most = thin_m2.iter().copied().fold(0.0, f64::max);
    let mut order: Vec<u32> =
        (0..n as u32).filter(|&face| thin_m2[face as usize] >= ROUND_SHARE * most).collect();
    order.sort_by(|&a, &b| thin_m2[b as usize].total_cmp(&thin_m2[a as usize]).then(a.cmp(&b)));
    let mut middles: Vec<[f64; 2]> = Vec::new();
    for at in order.into_iter().map(|face| middle_of_longest(surveyed, face)) {
        if !middles.contains(&at) {
            middles.push(at);
        }
    }
    middles
}

fn middle_of_longest(surveyed: &Surface, face: u32) -> [f64; 2] {
    let corners = surveyed.corners(face).map(|p| surveyed.lattice().metres(p));
    // Both triangles at an edge name the same middle of it.
    let edge = |k: usize| {
        let [a, b] = [corners[k], corners[(k + 1) % 3]];
        if a < b { [a, b] } else { [b, a] }
    };
    let length = |k: &usize| {
        let [a, b] = edge(*k);
        libm::hypot(b[0] - a[0], b[1] - a[1])
    };
    let longest = [0, 1, 2].into_iter().max_by(|a, b| length(a).total_cmp(&length(b)));
    let [a, b] = edge(longest.expect("a triangle has edges"));
    [0, 1].map(|k| 0.5 * (a[k] + b[k]))
}

/// The survey's triangulation with more shots; its heights are of no interest.
fn with_shots(existing: &Surface, shots: &[[f64; 2]]) -> Option<Surface> {
    let lattice = existing.lattice();
    let mut places = existing.vertices().to_vec();
    for &shot in shots {
        places.push(lattice.snap(shot).ok()?);
    }
    let fixed = existing.faces().iter().flat_map(|face| {
        let is_line = |k: &usize| face.fixed >> k & 1 == 1 && face.neighbours[*k] != NONE;
        (0..3).filter(is_line).map(|k| [face.vertices[k], face.vertices[(k + 1) % 3]])
    });
    let mesh = constrained(lattice, &places, &fixed.collect::<Vec<_>>()).ok()?;
    let heights = vec![0.0; mesh.vertices.len()];
    let tags = vec![ground::Tag::default()];
    let sheet =
        ground::Sheet { mesh, heights, corners: None, tags, plane_of: Vec::new(), planes: vec![] };
    Surface::from_mesh(sheet).ok()
}
