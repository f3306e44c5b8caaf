//! Where the slopes of raised ground come down.

use ground::Surface;
use ground::query::Locator;

use super::{Raised, Side, Slope};

/// Distance between the places at which the foot of a flank is looked for.
const FOOT_STEP_M: f64 = 0.25;

impl Raised {
    /// Elevations at which the slopes of one side meet the ground, without their toes.
    pub(super) fn feet(
        &self,
        locator: &Locator<&Surface>,
        side: &Side,
        turn: f64,
        reaches_m: &[f64],
    ) -> Vec<f64> {
        (0..self.line.len())
            .map(|i| {
                let (at, z) = self.line[i];
                let found: Vec<f64> = (self.bearings(i, turn).iter())
                    .filter_map(|&way| foot(locator, at, way, z, &side.slopes[i], reaches_m[i]))
                    .collect();
                found.iter().sum::<f64>() / found.len() as f64
            })
            .map(|foot| if foot.is_finite() { foot } else { f64::NEG_INFINITY })
            .collect()
    }

    /// Square to the line at one of its places; all round where there is no line.
    fn bearings(&self, i: usize, turn: f64) -> Vec<[f64; 2]> {
        let (last, at) = (self.line.len() - 1, |i: usize| self.line[i].0);
        if last == 0 {
            let spoke = |k: u8| {
                let (sin, cos) = libm::sincos(f64::from(k) * std::f64::consts::FRAC_PI_4);
                [cos, sin]
            };
            return (0..8).map(spoke).collect();
        }
        let unit = |a: [f64; 2], b: [f64; 2]| {
            let d = [b[0] - a[0], b[1] - a[1]];
            let length = libm::hypot(d[0], d[1]);
            d.map(|c| c / length)
        };
        let before = (i > 0).then(|| unit(at(i - 1), at(i)));
        let after = (i < last).then(|| unit(at(i), at(i + 1)));
        let [t0, t1] = match (before, after) {
            (Some(t0), Some(t1)) => [t0, t1],
            (Some(t), None) | (None, Some(t)) => [t, t],
            (None, None) => [[1.0, 0.0]; 2],
        };
        let middle = [t0[0] + t1[0], t0[1] + t1[1]];
        vec![unit([0.0, 0.0], [-turn * middle[1], turn * middle[0]])]
    }
}

/// The elevation at which a slope without its toe meets the ground along one bearing.
fn foot(
    locator: &Locator<&Surface>,
    at: [f64; 2],
    way: [f64; 2],
    z: f64,
    slope: &Slope,
    reach_m: f64,
) -> Option<f64> {
    let place = |out: f64| [at[0] + out * way[0], at[1] + out * way[1]];
    let mut last: Option<[f64; 2]> = None;
    for step in 0..=(reach_m / FOOT_STEP_M).ceil() as u32 {
        let out = f64::from(step) * FOOT_STEP_M;
        let Some(ground_m) = locator.elevation(place(out)) else { break };
        let above_m = z - slope.drop_m(out) - ground_m;
        if above_m <= 0.0 {
            return Some(match last {
                Some([last_ground_m, last_above_m]) => {
                    let share = last_above_m / (last_above_m - above_m);
                    last_ground_m + share * (ground_m - last_ground_m)
                }
                None => ground_m,
            });
        }
        last = Some([ground_m, above_m]);
    }
    last.map(|[ground_m, _]| ground_m)
}
