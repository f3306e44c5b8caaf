//! A swale that leads water past a house, as deep as the storm's water in it, and on until it comes out on
//! the ground; where that nowhere lies low enough it ends in a pit of stones.
//!
//! ```text
//!        ____________________________________
//!   ==> |____swale, falls 2 in 100___________| ==> comes out, past the corner
//!              ______________
//!             |    house     |
//! ```

mod dug;

use std::rc::Rc;

use ground::curve::signed_area_m2;
use site::{House, Site, Work, WorkId, WorkKind};

use super::super::seen::Seen;
use super::super::words::{compass, enough_text};
use super::Trial;
use crate::stretch::to_stretch_m;
use crate::{Code, Finding};
use dug::{Comes, FALL, HALF_WIDE_M, Swale};

/// How far it lies off the wall that it protects, metres: common practice.
const OFF_M: f64 = 1.5;
/// It ends so far past the corners, metres.
const PAST_M: f64 = 2.0;
/// The ground along it is looked at so many times.
const N_LOOKS: usize = 64;

/// Swales along each wall of the house that a finding is about, falling either way.
pub(super) fn past_house(seen: &Seen<'_>, finding: &Finding) -> Vec<Trial> {
    let at = [finding.at_m[0], finding.at_m[1]];
    let houses = seen.site.houses.iter().enumerate();
    let away_m = |house: &House| to_walls_m(house, at);
    let nearest = houses.min_by(|a, b| away_m(a.1).total_cmp(&away_m(b.1)));
    let Some((number, house)) = nearest else { return Vec::new() };
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
    let swale = |(wall, turn)| {
        let comes = Comes::to(seen, finding.code, (number, finding.work));
        along(seen, (house, finding.code), (wall, turn), (off_m, comes))
    };
    let mut swales: Vec<(bool, Trial)> = both.filter_map(swale).collect();
    // Those that come out on the ground first: a pit of stones fills.
    swales.sort_by_key(|(comes_out, _)| !comes_out);
    swales.into_iter().map(|(_, trial)| trial).collect()
}

/// Whether the ground outside a wall's middle stands above that beside it: rain comes from there.
fn is_below(seen: &Seen<'_>, [a, b]: [[f64; 2]; 2], turn: f64) -> bool {
    let run_m = libm::hypot(b[0] - a[0], b[1] - a[1]);
    let out = [turn * (b[1] - a[1]) / run_m, turn * (a[0] - b[0]) / run_m];
    let at = |off_m: f64| [0, 1].map(|k| 0.5 * (a[k] + b[k]) + off_m * out[k]);
    seen.on_ground(at(OFF_M))[2] > seen.on_ground(at(0.0))[2]
}

/// A swale along a wall that falls from its first corner to its second, and whether it comes out on the
/// ground; `turn` is one where outside lies
/// on the right of that way, and minus one where it lies on the left.
fn along(
    seen: &Seen<'_>,
    (house, code): (&House, Code),
    ([a, b], turn): ([[f64; 2]; 2], f64),
    (off_m, comes): (f64, Comes),
) -> Option<(bool, Trial)> {
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
    let near = seen.near(&[from, to], length_m.max(dug::reach_m() + HALF_WIDE_M))?;
    let over_fall = |i: usize| {
        let along_m = length_m * i as f64 / N_LOOKS as f64;
        let at = [0, 1].map(|k| from[k] + along_m * way[k]);
        near.face_at(at).map(|(_, z_m)| z_m + FALL * along_m)
    };
    // Off the survey nobody knows how it would lie.
    let levels = (0..=N_LOOKS).map(over_fall).collect::<Option<Vec<f64>>>()?;
    let ground_m = levels.into_iter().reduce(f64::min)?;
    let mut highest_m = ground_m;
    if code == Code::DrainsToHouse {
        // From the wall down into it the ground falls as H-12 asks.
        let foot_m = seen.on_ground(a)[2].min(seen.on_ground(b)[2]);
        highest_m = highest_m.min(foot_m - seen.site.limits.house_fall_m + FALL * past_m);
    }
    let swale = Rc::new(Swale {
        from,
        way,
        length_m,
        highest_m,
        spare_m: ground_m - highest_m,
        beyond_m: dug::beyond_m(seen, &near, (to, way)),
        comes,
    });
    let site = seen.site.clone();
    let dug = Rc::clone(&swale);
    let comes_out = swale.deep_m(0.0).is_some_and(|deep_m| swale.runs_on_m(deep_m).is_some());
    let made = move |share: f64| with(&site, dug.work(share)?);
    let (unit, name) = (seen.unit, house.name.clone());
    let (lies, falls) = (compass([0.0; 2], out), compass([0.0; 2], way));
    let told = move |share: f64| {
        let deep_m = swale.deep_m(share).unwrap_or(f64::NAN);
        let long_m = length_m + swale.runs_on_m(deep_m).unwrap_or(0.0);
        let [deep, long, off] = [deep_m, long_m, off_m].map(|m| enough_text(m, unit));
        let water = swale.told(share, unit);
        format!(
            "Lead it past {name} in a swale on its {lies} side, {off} off the wall, {long} long and at \
             least {deep} deep, which falls 2 % to the {falls}. {water}"
        )
    };
    Some((comes_out, Trial::new(made, told)))
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
