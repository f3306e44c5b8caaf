//! The profile of a flank or of fill behind a wall: level, a shoulder, a slope, and a toe.

use ground::patch::Profile;

use super::super::CHORD_M;

/// A profile outward from the line.
///
/// ```text
/// 0___level
///          `-. shoulder: from level to the slope
///             \
///              \  slope
///               `-.__ toe: from the slope to level, ending at the foot
/// ```
#[derive(Clone, Copy, Debug)]
pub(in crate::works) struct Slope {
    pub(in crate::works) level_m: f64,
    pub(in crate::works) run_per_rise: f64,
    pub(in crate::works) shoulder_m: f64,
    pub(in crate::works) toe_m: f64,
}

/// The least length of a piece of a profile.
const LEAST_PIECE_M: f64 = 1e-3;

/// The least run of a slope below its toe.
const LEAST_REST_M: f64 = 0.25;

impl Slope {
    /// Fall below the line at an offset, the toe left out.
    pub(super) fn drop_m(&self, offset_m: f64) -> f64 {
        let grade = 1.0 / self.run_per_rise;
        let out = (offset_m - self.level_m).max(0.0);
        if out < self.shoulder_m {
            0.5 * grade * out * out / self.shoulder_m
        } else {
            grade * (out - 0.5 * self.shoulder_m)
        }
    }

    /// Pieces into which a curve over `run_m` that turns by the whole grade is flattened.
    pub(super) fn n_pieces(&self, run_m: f64) -> usize {
        let grade = 1.0 / self.run_per_rise;
        (run_m / libm::sqrt(8.0 * CHORD_M * run_m / grade)).ceil().clamp(1.0, 32.0) as usize
    }

    /// Offsets and rises out to where the ground must be met, in `n` pieces: shoulder and toe.
    pub(super) fn profile(&self, height_m: f64, reach_m: f64, n: [usize; 2]) -> Profile {
        let grade = 1.0 / self.run_per_rise;
        let shoulder_m = if n[0] > 0 { self.shoulder_m.max(LEAST_PIECE_M) } else { 0.0 };
        // A low hill has no room for the whole toe.
        let room_m = 2.0 * height_m * self.run_per_rise - shoulder_m;
        let toe_m = if n[1] > 0 { self.toe_m.min(room_m).max(LEAST_PIECE_M) } else { 0.0 };
        let mut points = vec![[0.0, 0.0]];
        if self.level_m > 0.0 {
            points.push([self.level_m, 0.0]);
        }
        for k in 1..=n[0] {
            let out = shoulder_m * k as f64 / n[0] as f64;
            points.push([self.level_m + out, -0.5 * grade * out * out / shoulder_m]);
        }
        let (mut out, mut drop) = (self.level_m + shoulder_m, 0.5 * grade * shoulder_m);
        if n[1] > 0 {
            let straight_m = ((room_m - toe_m) * 0.5).max(LEAST_PIECE_M);
            (out, drop) = (out + straight_m, drop + grade * straight_m);
            points.push([out, -drop]);
            for k in 1..=n[1] {
                let along = toe_m * k as f64 / n[1] as f64;
                let eased = grade * (along - 0.5 * along * along / toe_m);
                points.push([out + along, -drop - eased]);
            }
            (out, drop) = (out + toe_m, drop + 0.5 * grade * toe_m);
        }
        let rest_m =
            (reach_m - out).max(self.run_per_rise * (reach_m * grade - drop)).max(LEAST_REST_M);
        points.push([out + rest_m, -drop - grade * rest_m]);
        points
    }
}
