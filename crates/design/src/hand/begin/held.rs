//! Hills and walls.

use ground::curve::{Closure, Path};
use site::WorkId;
use site::shape::Ends;
use site::works::{Flank, Hill, Side, TopRun, Wall, WallMaterial, WorkKind};

use super::super::flattened;
use super::super::near::{apart_m, path_of};
use super::{Begin, set_out};

/// Height of a new hill's crest above the ground, metres.
const HILL_M: f64 = 0.6;

/// How near a wall holds a hill, and a wall holds a filter or pond, metres.
const HELD_M: f64 = 1.5;

/// A wall stands at least this high above the ground in front, metres.
const WALL_M: f64 = 0.4;

impl Begin<'_> {
    /// A hill with a level crest and flanks that can be planted.
    pub(super) fn hill(&mut self) -> WorkKind {
        let flank = Flank { run_per_rise: 3.5, shoulder_m: 0.6, toe_m: 0.8 };
        let held_by = self.near(|kind| matches!(kind, WorkKind::Wall(_)), "held by");
        WorkKind::Hill(Hill {
            crest_m: vec![set_out(self.highest_m() + HILL_M)],
            crest: std::mem::take(&mut self.curve),
            width_m: vec![0.5],
            left: vec![flank],
            right: vec![flank],
            held_by,
            build_up: self.topsoil(),
        })
    }

    /// A wall that holds the higher side.
    pub(super) fn wall(&mut self) -> WorkKind {
        let holds = self.near(
            |kind| matches!(kind, WorkKind::FilterBed(_) | WorkKind::Basin(_)),
            "holds the water of",
        );
        let sides = self.sides_m();
        let mean = |side: usize| sides.iter().map(|pair| pair[side]).sum::<f64>();
        let retains = if mean(0) >= mean(1) { Side::Left } else { Side::Right };
        let (behind, front) = if retains == Side::Left { (0, 1) } else { (1, 0) };
        let tops: Vec<f64> =
            sides.iter().map(|pair| set_out(pair[behind].max(pair[front] + WALL_M))).collect();
        let [low, high] = super::range_m(&tops);
        WorkKind::Wall(Wall {
            top_m: if high - low <= super::SAME_LEVEL_M { vec![high] } else { tops },
            line: std::mem::take(&mut self.curve),
            top_run: TopRun::Sloping,
            batter: 0.15,
            thickness_m: 0.4,
            embedment_m: 0.2,
            retains,
            backfill: 3.5,
            material: WallMaterial::Stone,
            stone_m: None,
            holds,
            tiers: Vec::new(),
        })
    }

    /// The ground a step to the left and to the right of each drawn point.
    fn sides_m(&self) -> Vec<[f64; 2]> {
        const STEP_M: f64 = 0.6;
        let line = flattened(&self.curve, Ends::Open);
        let path = Path::new(&line, Closure::Open).ok();
        let side = |at: &[f64; 2]| {
            let way =
                path.as_ref().map(|path| path.at_station(path.nearest(*at).station_m).tangent);
            let [x, y] = way.unwrap_or([1.0, 0.0]);
            [[-y, x], [y, -x]].map(|out| self.ground_m([0, 1].map(|k| at[k] + STEP_M * out[k])))
        };
        self.curve.points.iter().map(side).collect()
    }

    /// The nearest work of a sort along the drawing.
    fn near(&mut self, fits: fn(&WorkKind) -> bool, word: &str) -> Option<WorkId> {
        let line = flattened(&self.curve, Ends::Open);
        let own = Path::new(&line, Closure::Open).ok();
        let (_, work) = self
            .site
            .works
            .iter()
            .filter(|work| fits(&work.kind))
            .filter_map(|work| {
                let path = path_of(site::shape::lines(&work.kind).first()?)?;
                // A hill may be one point, which is no line.
                let away_m = match &own {
                    Some(own) => apart_m(own, &path),
                    None => path.nearest(*line.first()?).distance_m,
                };
                Some((away_m, work))
            })
            .filter(|(away, _)| *away <= HELD_M)
            .min_by(|a, b| a.0.total_cmp(&b.0))?;
        self.beside.push(format!("{word} {}", work.name));
        Some(work.id)
    }
}
