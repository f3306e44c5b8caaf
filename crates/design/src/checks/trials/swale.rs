//! A swale that leads water past a house.
//!
//! ```text
//!        ____________________________________
//!   ==> |____swale, falls 2 in 100___________| ==> ends in stones, past the corner
//!              ______________
//!             |    house     |
//! ```

use ground::curve::signed_area_m2;
use site::works::{Plane, PlaneGrade};
use site::{Curve, House, Site, Work, WorkId, WorkKind};

use super::super::seen::Seen;
use super::super::words::{compass, enough_text};
use super::Trial;
use crate::stretch::to_stretch_m;
use crate::{Code, Finding};

/// Fall along a swale beside a house: IRC R401.3 (H-12).
const FALL: f64 = 0.02;
/// Half the width of its bottom, metres; the slope of its sides is mown: common practice.
const HALF_WIDE_M: f64 = 0.25;
const SIDE: f64 = 3.0;
/// It is dug by at most this below the ground where that lies lowest over its fall, metres.
const MOST_DEEP_M: f64 = 0.5;
/// How far it lies off the wall that it protects, metres: common practice.
const OFF_M: f64 = 1.5;
/// It ends so far past the corners, metres.
const PAST_M: f64 = 2.0;
/// The ground along it is looked at so many times.
const N_LOOKS: usize = 64;

/// Swales along each wall of the house that a finding is about, falling either way.
pub(super) fn past_house(seen: &Seen<'_>, finding: &Finding) -> Vec<Trial> {
    let at = [finding.at_m[0], finding.at_m[1]];
    let houses = seen.site.houses.iter();
    let Some(house) = houses.min_by(|a, b| to_walls_m(a, at).total_cmp(&to_walls_m(b, at))) else {
        return Vec::new();
    };
    // What leaves by an overflow keeps as clear of the house as its check asks.
    let off_m = match finding.code {
        Code::OverflowRunsToHouse => seen.site.limits.house_fall_reach_m + HALF_WIDE_M,
        _ => OFF_M,
    };
    let turn = signed_area_m2(&house.outline_m).signum();
    let mut walls = walls(house);
    if finding.code == Code::DrainsToHouse {
        walls.retain(|wall| is_below(seen, *wall, turn));
    }
    walls.sort_by(|a, b| to_stretch_m(at, *a).total_cmp(&to_stretch_m(at, *b)));
    let both = walls.into_iter().flat_map(|[a, b]| [([a, b], turn), ([b, a], -turn)]);
    both.filter_map(|(wall, turn)| along(seen, (house, finding.code), (wall, turn), off_m))
        .collect()
}

/// Whether the ground outside a wall's middle stands above that beside it: rain comes from there.
fn is_below(seen: &Seen<'_>, [a, b]: [[f64; 2]; 2], turn: f64) -> bool {
    let run_m = libm::hypot(b[0] - a[0], b[1] - a[1]);
    let out = [turn * (b[1] - a[1]) / run_m, turn * (a[0] - b[0]) / run_m];
    let at = |off_m: f64| [0, 1].map(|k| 0.5 * (a[k] + b[k]) + off_m * out[k]);
    seen.on_ground(at(OFF_M))[2] > seen.on_ground(at(0.0))[2]
}

/// A swale along a wall that falls from its first corner to its second; `turn` is one where outside lies
/// on the right of that way, and minus one where it lies on the left.
fn along(
    seen: &Seen<'_>,
    (house, code): (&House, Code),
    ([a, b], turn): ([[f64; 2]; 2], f64),
    off_m: f64,
) -> Option<Trial> {
    let run_m = libm::hypot(b[0] - a[0], b[1] - a[1]);
    if run_m <= 0.0 {
        return None;
    }
    let way = [0, 1].map(|k| (b[k] - a[k]) / run_m);
    let out = [turn * way[1], -turn * way[0]];
    let past_m = off_m + PAST_M;
    let from = [0, 1].map(|k| a[k] + off_m * out[k] - past_m * way[k]);
    let length_m = run_m + 2.0 * past_m;
    let to = [0, 1].map(|k| from[k] + length_m * way[k]);
    let near = seen.near(&[from, to], length_m)?;
    let over_fall = |i: usize| {
        let along_m = length_m * i as f64 / N_LOOKS as f64;
        let at = [0, 1].map(|k| from[k] + along_m * way[k]);
        near.face_at(at).map(|(_, z_m)| z_m + FALL * along_m)
    };
    // Off the survey nobody knows how it would lie.
    let levels = (0..=N_LOOKS).map(over_fall).collect::<Option<Vec<f64>>>()?;
    let mut lowest_m = levels.into_iter().reduce(f64::min)?;
    if code == Code::DrainsToHouse {
        // From the wall down into it the ground falls as H-12 asks.
        let foot_m = seen.on_ground(a)[2].min(seen.on_ground(b)[2]);
        lowest_m = lowest_m.min(foot_m - seen.site.limits.house_fall_m + FALL * past_m);
    }
    let side = |[x, y]: [f64; 2]| -> [[f64; 2]; 2] {
        [-1.0, 1.0].map(|s| [x + s * HALF_WIDE_M * out[0], y + s * HALF_WIDE_M * out[1]])
    };
    let ([p, q], [r, s]) = (side(from), side(to));
    let outline = Curve { points: vec![p, q, s, r], smooth: false };
    let grade = move |share: f64| PlaneGrade {
        outline: outline.clone(),
        plane: Plane { at: from, level_m: lowest_m - share * MOST_DEEP_M, toward: to, fall: FALL },
        cut_bank: SIDE,
        fill_bank: SIDE,
        build_up: Default::default(),
    };
    let site = seen.site.clone();
    let made = move |share: f64| with(&site, WorkKind::PlaneGrade(grade(share)));
    let (unit, name) = (seen.unit, house.name.clone());
    let (lies, falls) = (compass([0.0; 2], out), compass([0.0; 2], way));
    let told = move |share: f64| {
        let [deep, long, off] =
            [share * MOST_DEEP_M, length_m, off_m].map(|m| enough_text(m, unit));
        format!(
            "Lead it past {name} in a swale on its {lies} side, {off} off the wall, {long} long and at \
             least {deep} deep, which falls 2 % to the {falls} and ends there in a bed of stones."
        )
    };
    Some(Trial::new(made, told))
}

/// The site with a swale that is dug last; none where no id is left for it.
fn with(site: &Site, kind: WorkKind) -> Option<Site> {
    let mut site = site.clone();
    let id = WorkId(site.next_id);
    site.next_id = site.next_id.checked_add(1)?;
    site.works.push(Work {
        id,
        name: "Swale".into(),
        note: String::new(),
        group: String::new(),
        visible: true,
        kind,
    });
    Some(site)
}

fn walls(house: &House) -> Vec<[[f64; 2]; 2]> {
    let n = house.outline_m.len();
    (0..n).map(|i| [house.outline_m[i], house.outline_m[(i + 1) % n]]).collect()
}

fn to_walls_m(house: &House, at: [f64; 2]) -> f64 {
    walls(house).into_iter().map(|wall| to_stretch_m(at, wall)).fold(f64::INFINITY, f64::min)
}
