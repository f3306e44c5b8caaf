//! Volumes with known answers: published ones, and closed forms of solids with plane faces, kept
//! when the site lies 500 km away and turned.

mod shared;

use ground::overlay::{Domain, Keep, Rooted, compose, volumes};
use ground::{Breakline, Lattice, LatticePoint, Surface, Terrain, build};
use shared::{grid, on_lattice, through};

const FOOT_M: f64 = 0.3048;

fn close(found: f64, expected: f64, share: f64) {
    assert!((found - expected).abs() <= share * expected.abs(), "{found} for {expected}");
}

/// A solid between level ground and a surface through `points`: its volume where it stands, after
/// moving the lattice 500 km, and after turning by 30 degrees.
fn volume_m3(points: &[[f64; 3]], ground_z: f64, lattice_share: f64) -> f64 {
    let level: Vec<[f64; 3]> = points.iter().map(|p| [p[0], p[1], ground_z]).collect();
    let between = |step_um: u32, angle: f64, shift: [f64; 2]| {
        let lattice = Lattice::new(step_um).expect("a lattice step");
        let (s, c) = (libm::sin(angle), libm::cos(angle));
        let surface = |points: &[[f64; 3]]| {
            let place = |[x, y, z]: [f64; 3]| {
                let at = [shift[0] + c * x - s * y, shift[1] + s * x + c * y];
                (lattice.snap(at).expect("within reach"), z)
            };
            let points = points.iter().map(|&p| place(p)).collect();
            build(&Terrain { lattice, points, ..Terrain::default() }).expect("a surface").surface
        };
        let found = volumes(&surface(&level), &surface(points));
        found.cut_m3 + found.fill_m3
    };
    let here = between(1, 0.0, [0.0; 2]);
    close(between(1, std::f64::consts::FRAC_PI_6, [0.0; 2]), here, lattice_share);
    // So far out the lattice has steps of a millimetre; moved by whole ones nothing changes.
    let coarse = between(1000, 0.0, [0.0; 2]);
    close(coarse, here, 1e3 * lattice_share);
    close(between(1000, 0.0, [400_000.0, -300_000.0]), coarse, 1e-12);
    here
}

/// A basin or mound: an outer and an inner rectangle about the same middle.
fn rectangles(outer: [f64; 2], outer_z: f64, inner: [f64; 2], inner_z: f64) -> Vec<[f64; 3]> {
    let ring = |[w, l]: [f64; 2], z: f64| {
        [[-w, -l], [w, -l], [w, l], [-w, l]].map(|[x, y]| [x / 2.0, y / 2.0, z])
    };
    [ring(outer, outer_z), ring(inner, inner_z)].concat()
}

#[test]
fn a_rectangular_basin() {
    // V-03: Math Central, University of Regina: 100 by 70 ft, 12 ft deep, sides 2 to 1: 44,256 ft3.
    let points = rectangles([100.0, 70.0], 0.0, [52.0, 22.0], -12.0);
    close(volume_m3(&points, 0.0, 1e-6), 44_256.0, 1e-9);
}

#[test]
fn a_dam_of_even_section() {
    // V-04: Math Central, University of Regina: base 100 ft, top 14 ft, height 15 ft, 300 ft long:
    // 9,500 yd3.
    let points = rectangles([100.0, 300.0], 0.0, [14.0, 300.0], 15.0);
    close(volume_m3(&points, 0.0, 1e-6) / 27.0, 9_500.0, 1e-9);
}

#[test]
fn a_berm_of_even_section() {
    // V-17: top 2 ft, height 1.5 ft, 3 to 1 on both sides: 9.75 ft2 a foot, 11 ft from toe to toe.
    let points = rectangles([11.0, 10.0], 0.0, [2.0, 10.0], 1.5);
    close(volume_m3(&points, 0.0, 1e-6), 97.5, 1e-9);
}

#[test]
fn a_pyramid_is_a_third_of_its_box() {
    // V-13: the average of the end areas gives 1.5 times the true volume.
    let points =
        [[-3.0, -3.0, 0.0], [3.0, -3.0, 0.0], [3.0, 3.0, 0.0], [-3.0, 3.0, 0.0], [0.0, 0.0, 5.0]];
    let by_end_areas = (36.0 + 0.0) / 2.0 * 5.0;
    close(by_end_areas / volume_m3(&points, 0.0, 1e-6), 1.5, 1e-9);
}

#[test]
fn a_grid_of_borrow_depths() {
    // V-07: surveying textbook ex. 10.18, inputs from its companion notebook: 1,115 m3. The corner
    // weights take each square as bilinear; four triangles about its middle have the same volume.
    let depths = [[2.8, 3.2, 2.6], [2.6, 3.1, 2.4], [2.4, 2.9, 2.2]];
    let mut total = 0.0;
    for (i, j) in [(0, 0), (0, 1), (1, 0), (1, 1)] {
        let corners = [(i, j), (i, j + 1), (i + 1, j + 1), (i + 1, j)];
        let depth = |(i, j): (usize, usize)| -depths[i][j];
        let mut points: Vec<[f64; 3]> =
            corners.iter().map(|&c| [10.0 * c.1 as f64, 10.0 * c.0 as f64, depth(c)]).collect();
        let mean = corners.iter().map(|&c| depth(c)).sum::<f64>() / 4.0;
        points.push([10.0 * j as f64 + 5.0, 10.0 * i as f64 + 5.0, mean]);
        total += volume_m3(&points, 0.0, 1e-6);
    }
    close(total, 1_115.0, 1e-9);
}

#[test]
fn a_borrow_pit_of_ragged_outline() {
    // V-08: surveying textbook ex. 10.19, inputs from its companion notebook: 2,448.5 m3, levels
    // weighted 1 to 4 by how many of the nine squares meet there. Each square is bilinear, which
    // four triangles about its middle, at the mean of its corners, equal in volume.
    let rows: [&[f64]; 4] = [
        &[103.71, 103.85, 104.35, 104.95, 104.09],
        &[104.05, 104.25, 104.65, 104.95, 104.29],
        &[104.45, 104.95, 104.75, 105.00],
        &[104.70, 105.05, 104.85],
    ];
    let outline = [[0, 0], [4, 0], [4, 1], [3, 1], [3, 2], [2, 2], [2, 3], [0, 3]];
    let lattice = Lattice::default();
    let place = |x: f64, y: f64| lattice.snap([10.0 * x, 10.0 * y]).expect("near the origin");
    let boundary: Vec<LatticePoint> =
        outline.iter().map(|&[x, y]| place(f64::from(x), f64::from(y))).collect();
    let surface = |level: &dyn Fn(usize, usize) -> f64| {
        let (mut points, mut breaklines) = (Vec::new(), Vec::new());
        for (i, j) in (0..3).flat_map(|j| (0..4 - j).map(move |i| (i, j))) {
            let corners = [(i, j), (i + 1, j), (i + 1, j + 1), (i, j + 1), (i, j)];
            let vertices = corners.map(|(i, j)| (place(i as f64, j as f64), level(i, j))).to_vec();
            let mean = vertices[..4].iter().map(|v| v.1).sum::<f64>() / 4.0;
            points.push((place(i as f64 + 0.5, j as f64 + 0.5), mean));
            // The sides of the squares: without them squares about a side would do as well.
            breaklines.push(Breakline { vertices });
        }
        let boundary = Some(boundary.clone());
        let terrain = Terrain { points, breaklines, boundary, ..Terrain::default() };
        build(&terrain).expect("a surface").surface
    };
    let found = volumes(&surface(&|i, j| rows[j][i]), &surface(&|_, _| 101.85));
    close(found.common_area_m2, 900.0, 1e-12);
    close(found.cut_m3, 2_448.5, 1e-9);
    assert_eq!(found.fill_m3, 0.0);
}

#[test]
fn a_cutting_of_two_level_sections() {
    // V-11: surveying textbook ex. 10.12, inputs from its companion notebook: formation 10 m, sides
    // 2 to 1, ground 8 to 1, centre heights 2, 2.4 and 3 m at 20 m: areas 30.70, 38.72, 52.03 m2;
    // by end areas 1,601.76 m3, by the prismoidal rule over all three 1,584.12 m3.
    let area = |h: f64| {
        let (right, left) = ((5.0 + 2.0 * h) * 4.0 / 3.0, (5.0 + 2.0 * h) * 4.0 / 5.0);
        let (right_z, left_z) = (h + right / 8.0, h - left / 8.0);
        (5.0 * right_z + right * left_z + left * right_z + 5.0 * left_z) / 2.0
    };
    let heights = [2.0, 2.4, 3.0];
    for (h, printed) in heights.into_iter().zip([30.70, 38.72, 52.03]) {
        close(area(h), printed, 2e-4);
    }
    let [first, middle, last] = heights.map(area);
    close(10.0 * (first + 2.0 * middle + last), 1_601.76, 1e-4);
    close(40.0 / 6.0 * (first + 4.0 * middle + last), 1_584.12, 1e-4);

    let mut ground = Vec::new();
    for (station, h) in [0.0, 20.0, 40.0].into_iter().zip(heights) {
        ground.extend([-32.0, 32.0].map(|x| [x, station, h + x / 8.0]));
    }
    let sides = [[-25.0, 10.0], [-5.0, 0.0], [5.0, 0.0], [25.0, 10.0]];
    let dig: Vec<[f64; 3]> = sides.iter().flat_map(|&[x, z]| [[x, 0.0, z], [x, 40.0, z]]).collect();
    let found = volumes(&through(&ground), &through(&dig)).cut_m3;
    // Between two stations the height changes evenly, so the prismoidal rule is exact there.
    let span = |a: f64, b: f64| 20.0 / 6.0 * (area(a) + 4.0 * area((a + b) / 2.0) + area(b));
    close(found, span(2.0, 2.4) + span(2.4, 3.0), 1e-9);
    assert!(found < 1_601.76);
    // The whole length as one prismoid errs by less than a part in a hundred.
    close(found, 1_584.12, 1e-2);
}

#[test]
fn four_triangles_differ_from_four_corners() {
    // V-09 and V-10: surveying textbook ex. 10.20: 2,685 m3; the corners alone give 2,700 m3.
    let corners = [[0.0, 0.0, -2.85], [30.0, 0.0, -2.45], [30.0, 30.0, -3.15], [0.0, 30.0, -3.55]];
    let with_centre = [&corners[..], &[[15.0, 15.0, -2.95]]].concat();
    let found = volume_m3(&with_centre, 0.0, 1e-6);
    close(found, 2_685.0, 1e-9);
    let mean = corners.iter().map(|c| -c[2]).sum::<f64>() / 4.0;
    close(900.0 * mean - found, 15.0, 1e-6);
}

#[test]
fn cut_and_fill_in_one_triangle() {
    // V-16: plan area 50, depths +2, +1 (cut) and -3 (fill): 22.5 of each.
    let places = [[0.0, 0.0], [10.0, 0.0], [0.0, 10.0]];
    let with = |z: [f64; 3]| through(&[0, 1, 2].map(|i| [places[i][0], places[i][1], z[i]]));
    let found = volumes(&with([0.0; 3]), &with([-2.0, -1.0, 3.0]));
    close(found.cut_m3, 22.5 - found.change_m3, 1e-9);
    assert!(found.change_m3.abs() < 1e-12);
    // By the formula of the source: area * n^3 / (3 (n + p1) (n + p2)).
    close(found.fill_m3, 50.0 * 27.0 / (3.0 * 5.0 * 4.0), 1e-9);
}

/// A solid of revolution about the origin, its outline a polygon of `n` corners.
fn turned_solid(n: usize, rings: &[[f64; 2]]) -> Vec<[f64; 3]> {
    let mut points = Vec::new();
    for &[radius, z] in rings {
        if radius == 0.0 {
            points.push([0.0, 0.0, z]);
            continue;
        }
        for k in 0..n {
            let angle = std::f64::consts::TAU * k as f64 / n as f64;
            points.push([radius * libm::cos(angle), radius * libm::sin(angle), z]);
        }
    }
    points
}

#[test]
fn a_round_basin_comes_near_the_frustum() {
    // V-15: top radius 10 ft, bottom 4 ft, depth 3 ft: 490.09 ft3 for the round one. The facetted
    // solid has the polygon's area in place of the circle's, second order in the number of corners.
    let round = std::f64::consts::PI * 3.0 / 3.0 * (100.0 + 40.0 + 16.0);
    close(round, 490.09, 1e-5);
    let mut last = 0.0;
    for n in [16, 32, 64, 128] {
        let found = volume_m3(&turned_solid(n, &[[10.0, 0.0], [4.0, -3.0]]), 0.0, 1e-6);
        let sector = std::f64::consts::TAU / n as f64;
        close(found, round * libm::sin(sector) / sector, 1e-6);
        let error = round - found;
        assert!(last == 0.0 || (last / error - 4.0).abs() < 0.1, "{last} {error}");
        last = error;
    }
    close(490.09 * FOOT_M * FOOT_M * FOOT_M, 13.878, 1e-4);
}

#[test]
fn a_cone_and_a_paraboloid() {
    let sector = std::f64::consts::TAU / 64.0;
    let facetted = libm::sin(sector) / sector;
    let cone = volume_m3(&turned_solid(64, &[[6.0, 0.0], [0.0, 2.0]]), 0.0, 1e-6);
    close(cone, std::f64::consts::PI * 36.0 * 2.0 / 3.0 * facetted, 1e-6);
    let mut last = 0.0;
    for n_rings in [4, 8, 16] {
        let rings: Vec<[f64; 2]> = (0..=n_rings)
            .map(|k| 4.0 * f64::from(k) / f64::from(n_rings))
            .map(|radius| [radius, radius * radius / 8.0 - 2.0])
            .collect();
        let found = volume_m3(&turned_solid(64, &rings), 0.0, 1e-6);
        let error = (found - std::f64::consts::PI * 16.0 * 2.0 / 2.0 * facetted).abs();
        assert!(last == 0.0 || last / error > 3.5, "{last} {error}");
        last = error;
    }
}

#[test]
fn a_raised_patch_leaves_exact_steps() {
    // Nested and touching boxes one metre above the ground: walls of one height, whole volumes.
    let ground = grid([0.0, 0.0], 10, |_, _| 0.0);
    let mut site: Surface = ground.clone();
    let boxes =
        [[2.0, 2.0, 6.0, 6.0], [3.0, 3.0, 5.0, 5.0], [6.0, 2.0, 9.0, 6.0], [0.0, 8.5, 10.0, 10.0]];
    let mut expected = 0.0;
    for (i, [x0, y0, x1, y1]) in boxes.into_iter().enumerate() {
        let z = if i == 1 { 2.0 } else { 1.0 };
        let slab = through(&[[x0, y0, z], [x1, y0, z], [x1, y1, z], [x0, y1, z]]);
        site = compose(&site, &slab, Keep::Highest, Domain::Ground, Rooted::Anywhere).surface;
        site.check().expect("a composed surface is valid");
        expected += (x1 - x0) * (y1 - y0);
        close(volumes(&ground, &site).fill_m3, expected, 1e-9);
    }
    assert!(site.heights().iter().all(|z| [0.0, 1.0, 2.0].contains(z)), "{:?}", site.heights());
}

#[test]
fn whole_steps_change_no_bit() {
    let points: Vec<(LatticePoint, f64)> = (0..40)
        .map(|k| {
            (
                LatticePoint { x: k * 7919 % 101 * 1000, y: k * 104_729 % 97 * 1000 },
                f64::from(k % 5),
            )
        })
        .collect();
    let moved = |by: i32| -> Surface {
        let shift = |&(p, z): &(LatticePoint, f64)| (LatticePoint { x: p.x + by, y: p.y - by }, z);
        on_lattice(&points.iter().map(shift).collect::<Vec<_>>()).expect("a surface")
    };
    let slope = |by: i32| -> Surface {
        let at = |x, y, z| (LatticePoint { x: x + by, y: y - by }, z);
        on_lattice(&[at(-9, -9, 0.3), at(99_000, 17, 2.1), at(50_001, 99_999, 3.3)]).expect("one")
    };
    let (here, there) =
        (volumes(&moved(0), &slope(0)), volumes(&moved(400_000_000), &slope(400_000_000)));
    assert_eq!(here.cut_m3.to_bits(), there.cut_m3.to_bits());
    assert_eq!(here.fill_m3.to_bits(), there.fill_m3.to_bits());
}
