//! A plan or an aerial that is draped on the ground, fitted by known points.

use serde::{Deserialize, Serialize};

use crate::crossing::on_one_line;

/// A picture in the site's folder, and the known points by which it lies.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Picture {
    /// What people call it.
    pub name: String,
    /// Name of the PNG or JPEG in the site's folder.
    pub file: String,
    /// Width and height in pixels.
    pub size_px: [u32; 2],
    /// Two known points turn and scale the picture; three or more stretch it too.
    pub pins: Vec<Pin>,
}

/// A place in a picture that is known on the ground.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Pin {
    /// Pixels right and down from the picture's upper left corner.
    pub at_px: [f64; 2],
    /// Easting and northing, local metres.
    pub at_m: [f64; 2],
}

/// How a picture lies on the ground.
///
/// ```text
///   picture   (0,0)--> right        ground   north
///               |                              ^
///               v down                         |--> east
/// ```
#[derive(Clone, Debug, PartialEq)]
pub struct Fit {
    /// Easting and northing, each as so much for a pixel right, a pixel down, and at the corner.
    rows_m: [[f64; 3]; 2],
    /// How far off each pin lies once the picture is only turned and scaled, in metres.
    ///
    /// Two pins are met exactly, and three by stretching: what is left here is what a pin may be wrong by.
    pub off_m: Vec<f64>,
    /// Ground that one pixel spans, in metres.
    pub pixel_m: f64,
}

/// Why known points fit no picture.
#[derive(Clone, Copy, Debug, PartialEq, Eq, thiserror::Error)]
pub enum FitError {
    /// One point leaves the turn and the scale open.
    #[error("expected two known points or more, not {0}")]
    TooFew(usize),
    /// Two points in one place, or three on one line.
    #[error("the known points lie {0}, expected them well apart, three not on one line")]
    TooClose(&'static str),
    /// The picture would be seen from behind.
    #[error(
        "the known points turn the picture over, expected them as seen from above: two may be \
         swapped, or eastings and northings"
    )]
    Mirrored,
}

/// What lies nearer to a line than this share of the points' span lies on it.
const LEAST_SHARE: f64 = 1.0e-3;

/// How far off a pin may lie, as a share of the pins' span on the ground, before it is told: a scanned
/// sheet of paper stretches by less. Common practice, no source.
const TOLD_SHARE: f64 = 0.01;

impl Picture {
    /// How the picture lies: by two pins turned and scaled, by three or more stretched too, with the
    /// least squares of what is left.
    ///
    /// # Errors
    /// [`FitError`] where the pins are too few or too close, or turn the picture over.
    pub fn fit(&self) -> Result<Fit, FitError> {
        let n = self.pins.len();
        if n < 2 {
            return Err(FitError::TooFew(n));
        }
        // Down in the picture is away from north: both frames are read right-handed.
        let from: Vec<[f64; 2]> =
            self.pins.iter().map(|pin| [pin.at_px[0], -pin.at_px[1]]).collect();
        let to: Vec<[f64; 2]> = self.pins.iter().map(|pin| pin.at_m).collect();
        for (places, word) in [(&from, "in one place of the picture"), (&to, "in one place")] {
            if span(places) <= 0.0 {
                return Err(FitError::TooClose(word));
            }
        }
        let turned = turned(&from, &to).ok_or(FitError::TooClose("in one place"))?;
        let off_m = (from.iter().zip(&to))
            .map(|(from, to)| {
                let [x, y] = placed(&turned, *from);
                libm::hypot(x - to[0], y - to[1])
            })
            .collect();
        let rows = if n == 2 { turned } else { stretched(&from, &to)? };
        let rows_m = rows.map(|[right, up, corner]| [right, -up, corner]);
        let pixel_m = libm::sqrt((rows[0][0] * rows[1][1] - rows[0][1] * rows[1][0]).abs());
        Ok(Fit { rows_m, off_m, pixel_m })
    }

    /// Its corners on the ground, from the upper left one downwards, counter-clockwise.
    pub fn corners_m(&self, fit: &Fit) -> [[f64; 2]; 4] {
        let [width, height] = self.size_px.map(f64::from);
        [[0.0, 0.0], [0.0, height], [width, height], [width, 0.0]].map(|at| fit.on_ground(at))
    }

    /// The pin that lies the farthest off, by its place in the list, where that is more than a sheet
    /// of paper stretches; with how far, in metres.
    pub fn doubt(&self, fit: &Fit) -> Option<(usize, f64)> {
        let worst = fit.off_m.iter().copied().enumerate().max_by(|a, b| a.1.total_cmp(&b.1))?;
        (worst.1 > self.told_m()).then_some(worst)
    }

    /// How far off a pin lies at most before it is told, in metres.
    pub fn told_m(&self) -> f64 {
        let places: Vec<[f64; 2]> = self.pins.iter().map(|pin| pin.at_m).collect();
        TOLD_SHARE * span(&places)
    }
}

impl Fit {
    /// Where a place of the picture lies, local metres.
    pub fn on_ground(&self, at_px: [f64; 2]) -> [f64; 2] {
        placed(&self.rows_m, at_px)
    }

    /// Where a place of the ground is in the picture, pixels.
    pub fn in_picture(&self, at_m: [f64; 2]) -> [f64; 2] {
        let [[a, b, e], [c, d, f]] = self.rows_m;
        let area = a * d - b * c;
        let [x, y] = [at_m[0] - e, at_m[1] - f];
        [(d * x - b * y) / area, (a * y - c * x) / area]
    }
}

fn placed(rows: &[[f64; 3]; 2], [x, y]: [f64; 2]) -> [f64; 2] {
    rows.map(|[right, up, corner]| right * x + up * y + corner)
}

fn middle(places: &[[f64; 2]]) -> [f64; 2] {
    [0, 1].map(|axis| places.iter().map(|at| at[axis]).sum::<f64>() / places.len() as f64)
}

/// The longer side of the box around places.
fn span(places: &[[f64; 2]]) -> f64 {
    let side = |axis: usize| {
        let along = || places.iter().map(|at| at[axis]);
        along().fold(f64::NEG_INFINITY, f64::max) - along().fold(f64::INFINITY, f64::min)
    };
    side(0).max(side(1))
}

/// The turn and scale of least squares; none where all lie in one place.
fn turned(from: &[[f64; 2]], to: &[[f64; 2]]) -> Option<[[f64; 3]; 2]> {
    let (m, g) = (middle(from), middle(to));
    let (mut along, mut across, mut square) = (0.0, 0.0, 0.0);
    for (from, to) in from.iter().zip(to) {
        let ([x, y], [e, n]) = ([from[0] - m[0], from[1] - m[1]], [to[0] - g[0], to[1] - g[1]]);
        along += x * e + y * n;
        across += x * n - y * e;
        square += x * x + y * y;
    }
    let (a, b) = (along / square, across / square);
    let is_some = a.is_finite() && b.is_finite() && (a != 0.0 || b != 0.0);
    is_some.then_some([[a, -b, g[0] - a * m[0] + b * m[1]], [b, a, g[1] - b * m[0] - a * m[1]]])
}

/// The turn, scale and stretch of least squares, which three points meet exactly.
fn stretched(from: &[[f64; 2]], to: &[[f64; 2]]) -> Result<[[f64; 3]; 2], FitError> {
    let (m, g) = (middle(from), middle(to));
    let (mut xx, mut xy, mut yy) = (0.0, 0.0, 0.0);
    let mut sums = [[0.0; 2]; 2];
    for (from, to) in from.iter().zip(to) {
        let [x, y] = [from[0] - m[0], from[1] - m[1]];
        (xx, xy, yy) = (xx + x * x, xy + x * y, yy + y * y);
        for axis in 0..2 {
            let off = to[axis] - g[axis];
            sums[axis] = [sums[axis][0] + x * off, sums[axis][1] + y * off];
        }
    }
    let area = xx * yy - xy * xy;
    // The square of how far the points stand off their line, over the square of their span.
    let is_line = |area: f64, sum: f64| area <= (LEAST_SHARE * sum) * (LEAST_SHARE * sum);
    if on_one_line(from) || is_line(area, xx + yy) {
        return Err(FitError::TooClose("on one line of the picture"));
    }
    let row = |axis: usize| {
        let [x, y] = sums[axis];
        let (right, up) = ((x * yy - y * xy) / area, (y * xx - x * xy) / area);
        [right, up, g[axis] - right * m[0] - up * m[1]]
    };
    let rows = [row(0), row(1)];
    let [[a, b, _], [c, d, _]] = rows;
    let turns = a * d - b * c;
    let size = a * a + b * b + c * c + d * d;
    if turns.abs() <= LEAST_SHARE * size {
        return Err(FitError::TooClose("on one line"));
    }
    if turns < 0.0 { Err(FitError::Mirrored) } else { Ok(rows) }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn picture(pins: &[([f64; 2], [f64; 2])]) -> Picture {
        Picture {
            name: "Plan".into(),
            file: "plan.png".into(),
            size_px: [400, 200],
            pins: pins.iter().map(|&(at_px, at_m)| Pin { at_px, at_m }).collect(),
        }
    }

    fn near(a: [f64; 2], b: [f64; 2]) {
        assert!((a[0] - b[0]).abs() < 1e-9 && (a[1] - b[1]).abs() < 1e-9, "{a:?} {b:?}");
    }

    #[test]
    fn two_points_turn_and_scale() {
        // North up, 0.05 m a pixel: 100 pixels down is 5 m south.
        let plan = picture(&[([0.0, 0.0], [10.0, 30.0]), ([200.0, 100.0], [20.0, 25.0])]);
        let fit = plan.fit().unwrap();
        near(fit.on_ground([0.0, 200.0]), [10.0, 20.0]);
        near(fit.in_picture([10.0, 20.0]), [0.0, 200.0]);
        assert!((fit.pixel_m - 0.05).abs() < 1e-12);
        assert_eq!(plan.doubt(&fit), None);
        // Turned by a right angle: right in the picture is north.
        let plan = picture(&[([0.0, 0.0], [0.0, 0.0]), ([100.0, 0.0], [0.0, 10.0])]);
        near(plan.fit().unwrap().on_ground([0.0, 100.0]), [10.0, 0.0]);
    }

    #[test]
    fn three_points_are_met_and_what_they_stretch_is_told() {
        let pins =
            [([0.0, 0.0], [0.0, 10.0]), ([400.0, 0.0], [20.0, 10.0]), ([0.0, 200.0], [0.0, 0.0])];
        let fit = picture(&pins).fit().unwrap();
        assert!(fit.off_m.iter().all(|off| *off < 1e-9), "{:?}", fit.off_m);
        let mut wrong = pins;
        wrong[2].1 = [0.0, -3.0];
        let plan = picture(&wrong);
        let fit = plan.fit().unwrap();
        for (at_px, at_m) in wrong {
            near(fit.on_ground(at_px), at_m);
        }
        let (_, off_m) = plan.doubt(&fit).unwrap();
        assert!(off_m > 0.5, "{off_m}");
    }

    #[test]
    fn four_points_share_out_what_is_left() {
        let mut pins = vec![
            ([0.0, 0.0], [0.0, 10.0]),
            ([200.0, 0.0], [10.0, 10.0]),
            ([0.0, 200.0], [0.0, 0.0]),
            ([200.0, 200.0], [10.0, 0.0]),
        ];
        pins[3].1 = [10.4, 0.0];
        let plan = picture(&pins);
        // 0.4 m at one corner of a square: least squares leave a quarter of it at each.
        let fit = plan.fit().unwrap();
        near(fit.on_ground([200.0, 200.0]), [10.3, 0.0]);
        near(fit.on_ground([0.0, 0.0]), [-0.1, 10.0]);
        assert_eq!(plan.doubt(&fit).unwrap().0, 3);
    }

    #[test]
    fn what_fits_nothing_is_refused() {
        let one = ([0.0, 0.0], [0.0, 0.0]);
        assert_eq!(picture(&[one]).fit(), Err(FitError::TooFew(1)));
        let same = picture(&[one, ([100.0, 0.0], [0.0, 0.0])]);
        assert!(matches!(same.fit(), Err(FitError::TooClose(_))));
        let same = picture(&[one, ([0.0, 0.0], [5.0, 0.0])]);
        assert!(matches!(same.fit(), Err(FitError::TooClose(_))));
        let line = picture(&[one, ([100.0, 0.0], [5.0, 0.0]), ([200.0, 0.0], [10.0, 0.1])]);
        assert!(matches!(line.fit(), Err(FitError::TooClose(_))));
        let line = picture(&[one, ([100.0, 0.0], [5.0, 0.0]), ([0.0, 90.0], [10.0, 0.001])]);
        assert!(matches!(line.fit(), Err(FitError::TooClose(_))), "{:?}", line.fit());
        // Eastings and northings swapped.
        let over = picture(&[one, ([100.0, 0.0], [0.0, 5.0]), ([0.0, 100.0], [-5.0, 0.0])]);
        assert_eq!(over.fit(), Err(FitError::Mirrored));
        let nan = picture(&[one, ([f64::NAN, 0.0], [5.0, 0.0])]);
        assert!(nan.fit().is_err());
    }
}
