//! Where a foot finds hold in the garden, and what stops it: tall steps, water, a house's walls, the end of
//! the survey. Stepping stones carry.

use design::job::Built;
use design::{Evaluation, Stone};
use ground::curve::contains;

use super::Scene;

/// Highest step up that a foot takes, metres; down it takes twice as much.
const STEP_UP_M: f64 = 0.22;

/// Deepest water that a foot enters, metres.
const WADE_M: f64 = 0.04;

/// How far beyond its edge a stepping stone is reached: the gap is stepped over, metres.
const REACH_M: f64 = 0.22;

/// How far apart the ground of the next tread is felt, metres, and how often.
const PROBE_M: f64 = 0.05;
const N_PROBES: u8 = 4;

/// What carries a foot beside the ground, and what does not.
#[derive(Clone, Debug, Default)]
pub(crate) struct Footing {
    stones: Vec<Stone>,
    /// Still waters by the owner of the ground under them, with their levels.
    waters: Vec<(u32, f64)>,
}

impl Footing {
    /// As far as the garden is built.
    pub(super) fn of(evaluation: &Evaluation, dress: Built) -> Self {
        let mut footing = Self::default();
        if dress >= Built::Dry {
            let works = evaluation.works.iter();
            footing.stones = works.flat_map(|work| work.shape.stones.iter().copied()).collect();
        }
        if dress == Built::Water {
            let still = evaluation.water.iter().filter(|body| !body.stages.is_empty());
            footing.waters = still.map(|body| (body.work.0, body.level_m)).collect();
        }
        footing
    }

    /// The stone that carries a place: the one under it, or over water one a step away.
    fn stone(&self, at: [f64; 2], reach_m: f64) -> Option<&Stone> {
        let off = |stone: &Stone| libm::hypot(stone.at_m[0] - at[0], stone.at_m[1] - at[1]);
        let edge = |stone: &&Stone| off(stone) - stone.radius_m;
        let near = self.stones.iter().filter(|stone| edge(stone) <= reach_m);
        near.min_by(|a, b| edge(a).total_cmp(&edge(b)))
    }
}

impl Scene {
    /// The level on which a foot stands; none off the survey and in water that is too deep.
    pub(crate) fn foothold(&self, at: [f64; 2]) -> Option<f64> {
        let ground = self.finished.elevation(at)?;
        let owner = self.finished.surface().faces()[self.finished.face_at(at)? as usize].tag.owner;
        let deep = |(work, level): &(u32, f64)| *work == owner && level - ground > WADE_M;
        let is_wet = self.footing.waters.iter().any(deep);
        match self.footing.stone(at, if is_wet { REACH_M } else { 0.0 }) {
            Some(stone) => Some(stone.top_m.max(ground)),
            None => (!is_wet).then_some(ground),
        }
    }

    /// Whether a foot gets from one place to the next.
    pub(crate) fn can_step(&self, from: [f64; 2], to: [f64; 2]) -> bool {
        let Some(there) = self.foothold(to) else { return false };
        // Who stands where no foot would, as a viewpoint may, gets out of there.
        let here = self.foothold(from).unwrap_or(there);
        let fits = |level: f64| (-2.0 * STEP_UP_M..=STEP_UP_M).contains(&(level - here));
        // A wall's face leans: what rises within the next tread is one step, however small the stride.
        let way = [to[0] - from[0], to[1] - from[1]];
        let length_m = libm::hypot(way[0], way[1]).max(1e-9);
        let on = |k: u8| [0, 1].map(|i| from[i] + way[i] * f64::from(k) * PROBE_M / length_m);
        let mut tread = (1..=N_PROBES).filter_map(|k| self.foothold(on(k)));
        let enters = |house: &site::House| {
            contains(&house.outline_m, to) && !contains(&house.outline_m, from)
        };
        fits(there) && tread.all(fits) && !self.site.houses.iter().any(enters)
    }
}

#[cfg(test)]
mod tests {
    use site::works::{Path, SteppingStones, WorkKind};
    use site::{Site, WorkId};

    use super::*;
    use crate::demo::rear_garden;
    use crate::scene::{Asked, Stage, scene, scene_after};

    /// A walk straight on in strides of a frame, until something stops it or it arrives.
    fn walk(scene: &Scene, from: [f64; 2], to: [f64; 2]) -> [f64; 2] {
        const STRIDE_M: f64 = 0.025;
        let way = [to[0] - from[0], to[1] - from[1]];
        let n = (libm::hypot(way[0], way[1]) / STRIDE_M) as usize;
        let place = |k: usize| [0, 1].map(|i| from[i] + way[i] * k as f64 / n as f64);
        let stopped = (0..n).find(|k| !scene.can_step(place(*k), place(k + 1)));
        place(stopped.unwrap_or(n))
    }

    fn arrives(scene: &Scene, from: [f64; 2], to: [f64; 2]) -> bool {
        let end = walk(scene, from, to);
        libm::hypot(end[0] - to[0], end[1] - to[1]) < 0.03
    }

    fn shown(site: &Site) -> Scene {
        scene(site, &design::evaluate(site)).unwrap()
    }

    /// The demo with a path of stepping stones across its pond.
    fn with_stones() -> Site {
        let mut site = rear_garden();
        let pond = site.works.iter().find(|work| work.name == "Pond").unwrap().clone();
        let stones =
            SteppingStones { across: pond.id, stone_m: 0.5, gap_m: 0.15, above_water_m: 0.05 };
        let path = Path {
            line: site::Curve { points: vec![[9.0, 9.0], [9.4, 17.0], [9.0, 21.0]], smooth: false },
            level_m: vec![30.72, 30.95, 31.65],
            width_m: 1.1,
            cross_fall: 0.0,
            largest_grade: 0.05,
            steps: site::works::StepRule { riser_m: 0.15, two_risers_and_tread_m: 0.65 },
            cut_bank: 2.0,
            fill_bank: 2.0,
            stones: Some(stones),
            build_up: site::works::BuildUp::default(),
            bank_build_up: site::works::BuildUp::default(),
        };
        let id = WorkId(site.next_id);
        site.works.push(site::Work { id, name: "Path".into(), kind: WorkKind::Path(path), ..pond });
        site
    }

    #[test]
    fn water_stops_a_foot_at_its_edge_and_stepping_stones_carry_it_across() {
        let site = with_stones();
        let evaluation = design::evaluate(&site);
        let stones: Vec<Stone> =
            evaluation.works.iter().flat_map(|work| work.shape.stones.clone()).collect();
        let scene = scene(&site, &evaluation).unwrap();
        assert!(stones.len() > 3);
        let mut at = stones[0].at_m;
        for stone in &stones[1..] {
            assert!(arrives(&scene, at, stone.at_m), "from {at:?} to {:?}", stone.at_m);
            assert_eq!(scene.foothold(stone.at_m), Some(stone.top_m));
            at = stone.at_m;
        }
        // Off the stones there is no hold, a stride aside.
        let middle = stones[stones.len() / 2].at_m;
        let aside = [middle[0] + 1.2, middle[1]];
        assert_eq!(scene.foothold(aside), None);
        assert!(!arrives(&scene, middle, aside));
        // The same pond without its stones ends the walk at the shore.
        let bare = shown(&rear_garden());
        assert_eq!(bare.foothold(middle), None);
    }

    #[test]
    fn ground_without_its_pond_is_walked_on_and_a_house_is_not() {
        let site = rear_garden();
        let evaluation = design::evaluate(&site);
        let asked = Asked::at(Stage::Before);
        let before = scene_after(&site, &evaluation, asked, None).unwrap();
        let garden = shown(&site);
        let amid_the_pond = [9.5, 13.3];
        assert_eq!(garden.foothold(amid_the_pond), None);
        assert!(before.foothold(amid_the_pond).is_some(), "there is no pond yet");
        let outline = &site.houses[0].outline_m;
        let n = outline.len() as f64;
        let inside = [0, 1].map(|i| outline.iter().map(|p| p[i]).sum::<f64>() / n);
        let outside = [inside[0], inside[1] + 5.0];
        assert!(garden.foothold(outside).is_some());
        assert!(!contains(outline, walk(&garden, outside, inside)), "stopped before its wall");
        assert!(arrives(&garden, inside, outside), "who stands in it gets out");
    }

    #[test]
    fn a_tall_wall_stops_a_foot_from_below_and_from_above() {
        let mut site = rear_garden();
        let mut ends = [[0.0; 2]; 2];
        for work in &mut site.works {
            if let WorkKind::Wall(wall) = &mut work.kind {
                wall.top_m.iter_mut().for_each(|top_m| *top_m += 0.6);
                let [a, b] = [3, 4].map(|k| wall.line.points[k]);
                let way = [b[0] - a[0], b[1] - a[1]];
                let length = libm::hypot(way[0], way[1]);
                let across = [-way[1] / length, way[0] / length];
                ends = [-1.0, 1.0].map(|s| [0, 1].map(|i| 0.5 * (a[i] + b[i]) + s * across[i]));
            }
        }
        let garden = shown(&site);
        assert!(ends.iter().all(|end| garden.foothold(*end).is_some()), "{ends:?}");
        assert!(!arrives(&garden, ends[0], ends[1]) && !arrives(&garden, ends[1], ends[0]));
    }
}
