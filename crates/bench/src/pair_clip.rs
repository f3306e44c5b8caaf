//! The floor for overlays: every pair of triangles that share a grid cell, clipped in floating point.

/// A triangle's corners: east, north, height.
pub(crate) type Triangle = [[f64; 3]; 3];

/// Cut, fill and common area between two lists of triangles.
pub(crate) fn cut_fill_area(from: &[Triangle], to: &[Triangle]) -> [f64; 3] {
    let corners = || to.iter().flatten();
    let least = [0, 1].map(|i| corners().map(|c| c[i]).fold(f64::INFINITY, f64::min));
    let most = [0, 1].map(|i| corners().map(|c| c[i]).fold(f64::NEG_INFINITY, f64::max));
    let n = ((to.len() as f64 / 2.0).sqrt() as usize).max(1);
    let cell = |i: usize, v: f64| {
        (((v - least[i]) / (most[i] - least[i]) * n as f64) as isize).clamp(0, n as isize - 1)
            as usize
    };
    let range = |t: &Triangle, i: usize| {
        let low = t.iter().map(|c| c[i]).fold(f64::INFINITY, f64::min);
        let high = t.iter().map(|c| c[i]).fold(f64::NEG_INFINITY, f64::max);
        (cell(i, low), cell(i, high), low, high)
    };
    let mut cells: Vec<Vec<u32>> = vec![Vec::new(); n * n];
    for (k, t) in to.iter().enumerate() {
        let (x, y) = (range(t, 0), range(t, 1));
        for row in y.0..=y.1 {
            for column in x.0..=x.1 {
                cells[row * n + column].push(k as u32);
            }
        }
    }
    let boxes: Vec<_> = to.iter().map(|t| (range(t, 0), range(t, 1))).collect();
    let mut sums = [0.0; 3];
    for a in from {
        let (x, y) = (range(a, 0), range(a, 1));
        for row in y.0..=y.1 {
            for column in x.0..=x.1 {
                for &k in &cells[row * n + column] {
                    let (bx, by) = boxes[k as usize];
                    // A pair that shares several cells counts in the first of them.
                    let first = row == y.0.max(by.0) && column == x.0.max(bx.0);
                    if first && x.2 < bx.3 && bx.2 < x.3 && y.2 < by.3 && by.2 < y.3 {
                        add_pair(a, &to[k as usize], &mut sums);
                    }
                }
            }
        }
    }
    sums
}

/// Adds what two triangles share.
fn add_pair(a: &Triangle, b: &Triangle, sums: &mut [f64; 3]) {
    let mut polygon = Polygon { corners: [[0.0; 3]; 9], n: 3 };
    polygon.corners[..3].copy_from_slice(a);
    for i in 0..3 {
        let (p, q) = (b[i], b[(i + 1) % 3]);
        polygon = polygon.clip(|c| (q[0] - p[0]) * (c[1] - p[1]) - (q[1] - p[1]) * (c[0] - p[0]));
        if polygon.n < 3 {
            return;
        }
    }
    let (u, v) = ([0, 1, 2].map(|i| b[1][i] - b[0][i]), [0, 1, 2].map(|i| b[2][i] - b[0][i]));
    let twice = u[0] * v[1] - u[1] * v[0];
    let (east, north) = ((u[2] * v[1] - v[2] * u[1]) / twice, (v[2] * u[0] - u[2] * v[0]) / twice);
    for c in &mut polygon.corners[..polygon.n] {
        c[2] -= b[0][2] + east * (c[0] - b[0][0]) + north * (c[1] - b[0][1]);
    }
    let [area, _] = polygon.measure();
    sums[2] += area;
    sums[0] += polygon.clip(|c| c[2]).measure()[1];
    sums[1] -= polygon.clip(|c| -c[2]).measure()[1];
}

struct Polygon {
    corners: [[f64; 3]; 9],
    n: usize,
}

impl Polygon {
    /// The part where `side` is not below zero (Sutherland and Hodgman 1974).
    fn clip(&self, side: impl Fn(&[f64; 3]) -> f64) -> Self {
        let mut kept = Self { corners: [[0.0; 3]; 9], n: 0 };
        for i in 0..self.n {
            let (p, q) = (&self.corners[i], &self.corners[if i + 1 == self.n { 0 } else { i + 1 }]);
            let (sp, sq) = (side(p), side(q));
            if sp >= 0.0 {
                kept.corners[kept.n] = *p;
                kept.n += 1;
            }
            if sp * sq < 0.0 {
                let t = sp / (sp - sq);
                kept.corners[kept.n] = [0, 1, 2].map(|i| p[i] + t * (q[i] - p[i]));
                kept.n += 1;
            }
        }
        kept
    }

    /// Area, and volume under the third coordinate.
    fn measure(&self) -> [f64; 2] {
        let mut sums = [0.0; 2];
        for i in 2..self.n {
            let (a, b, c) = (&self.corners[0], &self.corners[i - 1], &self.corners[i]);
            let area = ((b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0])) / 2.0;
            sums[0] += area;
            sums[1] += area * (a[2] + b[2] + c[2]) / 3.0;
        }
        sums
    }
}
