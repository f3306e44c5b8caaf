//! What is walked on, and what is dug and closed again.

use site::shape::Ends;
use site::works::{
    BuildUp, Pad, PadPurpose, Path, Plane, PlaneGrade, StepRule, Strip, Trench, WorkKind,
};

use super::super::flattened;
use super::{Begin, set_out};

impl Begin<'_> {
    /// A terrace at the mean of the ground, falling to its lowest side.
    pub(super) fn pad(&mut self) -> WorkKind {
        WorkKind::Pad(Pad {
            plane: self.plane(0.02),
            outline: std::mem::take(&mut self.curve),
            purpose: PadPurpose::SittingPlace,
            cut_bank: 2.5,
            fill_bank: 3.0,
            build_up: BuildUp { bedding_m: 0.1, stone_m: 0.05, ..BuildUp::default() },
            bank_build_up: self.topsoil(),
        })
    }

    /// A lawn at the mean of the ground, falling as the ground does between 2 and 10 in 100.
    pub(super) fn plane_grade(&mut self) -> WorkKind {
        let mut plane = self.plane(0.02);
        let run_m = super::super::apart(plane.at, plane.toward).max(0.1);
        let falls = (plane.level_m - self.ground_m(plane.toward)) / run_m;
        plane.fall = set_out(falls.clamp(0.02, 0.1));
        WorkKind::PlaneGrade(PlaneGrade {
            plane,
            outline: std::mem::take(&mut self.curve),
            cut_bank: 4.0,
            fill_bank: 4.0,
            build_up: self.topsoil(),
        })
    }

    /// A path on the ground as it lies.
    pub(super) fn path(&mut self) -> WorkKind {
        WorkKind::Path(Path {
            level_m: self.levels(0.0),
            line: std::mem::take(&mut self.curve),
            width_m: 1.0,
            cross_fall: 0.02,
            largest_grade: 0.1,
            steps: StepRule { riser_m: 0.15, two_risers_and_tread_m: 0.65 },
            cut_bank: 2.5,
            fill_bank: 3.0,
            stones: None,
            build_up: BuildUp { bedding_m: 0.1, gravel_m: 0.05, ..BuildUp::default() },
            bank_build_up: self.topsoil(),
        })
    }

    /// A trench whose pipe lies 0.6 m deep.
    pub(super) fn trench(&mut self) -> WorkKind {
        WorkKind::Trench(Trench {
            invert_m: self.levels(-0.6),
            line: std::mem::take(&mut self.curve),
            width_m: 0.3,
            side: 0.0,
            bedding_m: 0.1,
            pipe_m: 0.09,
        })
    }

    pub(super) fn strip(&mut self) -> WorkKind {
        WorkKind::Strip(Strip { outline: std::mem::take(&mut self.curve) })
    }

    fn plane(&self, fall: f64) -> Plane {
        let ring = flattened(&self.curve, Ends::Closed);
        let n = ring.len().max(1) as f64;
        let at = [0, 1].map(|k| ring.iter().map(|at| at[k]).sum::<f64>() / n);
        let low = |a: &&[f64; 2], b: &&[f64; 2]| self.ground_m(**a).total_cmp(&self.ground_m(**b));
        let toward = ring.iter().min_by(low).copied().unwrap_or(at);
        Plane { at, level_m: set_out(self.mean_m()), toward, fall }
    }
}
