//! Cut and fill by clipping every triangle against every other: slow, plain, and sharing no code
//! with the kernel.

use ground::Surface;

/// A corner with its height on the first and the second surface.
type Corner = [f64; 4];

/// Cut, fill, and the area that both cover, in cubic and square metres.
pub(crate) fn cut_fill_area(from: &Surface, to: &Surface) -> [f64; 3] {
    let mut sums = [0.0; 3];
    let others: Vec<_> = triangles(to).into_iter().map(|b| (bounds(&b), b)).collect();
    for a in triangles(from) {
        let box_a = bounds(&a);
        for (box_b, b) in &others {
            if box_a[0] > box_b[1]
                || box_b[0] > box_a[1]
                || box_a[2] > box_b[3]
                || box_b[2] > box_a[3]
            {
                continue;
            }
            let shared = shared_polygon(&a, b);
            sums[2] += volume(&shared, |_| 1.0);
            sums[0] += volume(&clip(&shared, |c| c[2] - c[3]), |c| c[2] - c[3]);
            sums[1] += volume(&clip(&shared, |c| c[3] - c[2]), |c| c[3] - c[2]);
        }
    }
    sums
}

fn triangles(surface: &Surface) -> Vec<[[f64; 3]; 3]> {
    (0..surface.faces().len() as u32)
        .map(|f| {
            let plane = surface.plane(f);
            surface.corners(f).map(|p| {
                let [x, y] = surface.lattice().metres(p);
                [x, y, plane.at(p)]
            })
        })
        .collect()
}

fn bounds(t: &[[f64; 3]; 3]) -> [f64; 4] {
    let least = |i: usize| t.iter().map(|c| c[i]).fold(f64::INFINITY, f64::min);
    let most = |i: usize| t.iter().map(|c| c[i]).fold(f64::NEG_INFINITY, f64::max);
    [least(0), most(0), least(1), most(1)]
}

/// The part of `a` inside `b`, with both heights at its corners.
fn shared_polygon(a: &[[f64; 3]; 3], b: &[[f64; 3]; 3]) -> Vec<Corner> {
    let mut polygon: Vec<Corner> = a.iter().map(|c| [c[0], c[1], c[2], 0.0]).collect();
    for i in 0..3 {
        let (p, q) = (b[i], b[(i + 1) % 3]);
        polygon = clip(&polygon, |c| (q[0] - p[0]) * (c[1] - p[1]) - (q[1] - p[1]) * (c[0] - p[0]));
    }
    let twice = cross(&b[0], &b[1], &b[2]);
    for c in &mut polygon {
        let at = [c[0], c[1], 0.0];
        c[3] = (cross(&b[1], &b[2], &at) * b[0][2]
            + cross(&b[2], &b[0], &at) * b[1][2]
            + cross(&b[0], &b[1], &at) * b[2][2])
            / twice;
    }
    polygon
}

fn cross(a: &[f64; 3], b: &[f64; 3], c: &[f64; 3]) -> f64 {
    (b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0])
}

/// The part of a polygon where `side` is above zero (Sutherland and Hodgman 1974).
fn clip(polygon: &[Corner], side: impl Fn(&Corner) -> f64) -> Vec<Corner> {
    let mut kept = Vec::new();
    for (i, p) in polygon.iter().enumerate() {
        let q = &polygon[(i + 1) % polygon.len()];
        let (sp, sq) = (side(p), side(q));
        if sp >= 0.0 {
            kept.push(*p);
        }
        if sp * sq < 0.0 {
            let t = sp / (sp - sq);
            kept.push(std::array::from_fn(|k| p[k] + t * (q[k] - p[k])));
        }
    }
    kept
}

/// The volume under a linear height over a polygon.
fn volume(polygon: &[Corner], height: impl Fn(&Corner) -> f64) -> f64 {
    (2..polygon.len())
        .map(|i| {
            let (a, b, c) = (&polygon[0], &polygon[i - 1], &polygon[i]);
            let area = ((b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0])) / 2.0;
            area * (height(a) + height(b) + height(c)) / 3.0
        })
        .sum()
}
