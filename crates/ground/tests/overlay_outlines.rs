//! What patches leave of the ground: parts that touch at corners, voids, islands, roots, open ends.

mod shared;

use ground::overlay::{Composed, Domain, Keep, Rooted, compose, volumes};
use ground::query::{outline_where, plan_area_m2};
use ground::{Surface, Tag, Terrain, build};
use shared::{Random, at, grid, rough, second_way, through};

const AREA_M2: f64 = 1e-9;

fn highest(ground: &Surface, patch: &Surface, rooted: Rooted<'_>) -> Composed {
    let done = compose(ground, patch, Keep::Highest, Domain::Ground, rooted);
    done.surface.check().expect("a composed surface is valid");
    done
}

/// A box from its south-west to its north-east corner, one level, less a box.
fn slab([x0, y0, x1, y1]: [f64; 4], z: f64, void: Option<[f64; 4]>, tag: Tag) -> Surface {
    let ring = |[x0, y0, x1, y1]: [f64; 4]| vec![at(x0, y0), at(x1, y0), at(x1, y1), at(x0, y1)];
    let corners = ring([x0, y0, x1, y1]).into_iter().chain(void.into_iter().flat_map(ring));
    let terrain = Terrain {
        points: corners.map(|p| (p, z)).collect(),
        voids: void.into_iter().map(ring).collect(),
        tag,
        ..Terrain::default()
    };
    build(&terrain).expect("a box is a surface").surface
}

/// The parts at level zero: the area of each ring, holes below zero.
fn ring_areas_m2(surface: &Surface) -> Vec<f64> {
    let rings = outline_where(surface, |f| surface.corner_heights(f) == [0.0; 3]);
    let twice = |ring: &Vec<ground::query::RingPoint>| -> f64 {
        let place = |i: usize| {
            let vertex = ring[i % ring.len()].vertex;
            surface.lattice().metres(surface.vertices()[vertex as usize])
        };
        let cross = |(p, q): ([f64; 2], [f64; 2])| p[0] * q[1] - p[1] * q[0];
        (0..ring.len()).map(|i| cross((place(i), place(i + 1)))).sum()
    };
    rings.iter().map(|ring| twice(ring) / 2.0).collect()
}

#[test]
fn boxes_that_touch_at_corners_leave_two_parts() {
    // hard-inputs.md, outlines, first row (geo #1470): two parts, area 19.
    let boxes =
        [[1.0, 2.0, 2.0, 4.0], [2.0, 3.0, 3.0, 4.0], [2.0, 1.0, 4.0, 2.0], [3.0, 2.0, 4.0, 3.0]];
    for ground in
        [grid([0.0, 0.0], 5, |_, _| 0.0), slab([0.0, 0.0, 5.0, 5.0], 0.0, None, Tag::default())]
    {
        let mut site = ground;
        for bounds in boxes {
            site =
                highest(&site, &slab(bounds, 1.0, None, Tag::default()), Rooted::Anywhere).surface;
        }
        let areas = ring_areas_m2(&site);
        assert!((areas.iter().sum::<f64>() - 19.0).abs() < AREA_M2, "{areas:?}");
        assert_eq!(areas.iter().filter(|&&area| area > 0.0).count(), 2, "{areas:?}");
    }
}

#[test]
fn a_box_with_a_hole_at_the_border_leaves_two_parts() {
    // hard-inputs.md, outlines, second row (iOverlay #8): two parts, area 6,000.
    let ground = slab([60.0, 60.0, 140.0, 160.0], 0.0, None, Tag::default());
    let hole = Some([120.0, 120.0, 140.0, 140.0]);
    let patch = slab([100.0, 100.0, 160.0, 160.0], 1.0, hole, Tag::default());
    let done = highest(&ground, &patch, Rooted::Anywhere);
    let areas = ring_areas_m2(&done.surface);
    assert!((areas.iter().sum::<f64>() - 6_000.0).abs() < 1e3 * AREA_M2, "{areas:?}");
    assert_eq!(areas.iter().filter(|&&area| area > 0.0).count(), 2, "{areas:?}");
    assert!((done.changed.won_area_m2 - 2_000.0).abs() < 1e3 * AREA_M2);
    assert!((done.changed.beyond_area_m2 - 1_200.0).abs() < 1e3 * AREA_M2);
}

#[test]
fn only_what_is_rooted_stands() {
    // A plate half a metre down, won in a hollow of the ground, and on it a hill that stands out.
    let hollow = |x: f64, y: f64| if [x, y] == [2.0, 2.0] { -1.0 } else { 0.0 };
    let ground = grid([0.0, 0.0], 10, hollow);
    let plate = slab([0.5, 0.5, 9.5, 9.5], -0.5, None, Tag { owner: 7, part: 1 });
    let hill = Terrain {
        points: vec![
            (at(6.0, 6.0), -1.0),
            (at(8.0, 6.0), -1.0),
            (at(8.0, 8.0), -1.0),
            (at(6.0, 8.0), -1.0),
            (at(7.0, 7.0), 1.0),
        ],
        tag: Tag { owner: 7, part: 2 },
        ..Terrain::default()
    };
    let hill = build(&hill).expect("a pyramid is a surface").surface;
    let patch = highest(&plate, &hill, Rooted::Anywhere).surface;
    let fill = |rooted| volumes(&ground, &highest(&ground, &patch, rooted).surface).fill_m3;
    // The tip of the pyramid above level zero: base 1 by 1, height 1.
    let tip = 1.0 / 3.0;
    assert!((fill(Rooted::Parts(&[2])) - tip).abs() < 1e-5, "{}", fill(Rooted::Parts(&[2])));
    let everywhere = fill(Rooted::Anywhere);
    assert!((everywhere - volumes(&ground, &patch).fill_m3).abs() < 1e-5);
    let in_hollow = everywhere - tip;
    assert!(in_hollow > 0.05, "{in_hollow}");
    assert!((fill(Rooted::Parts(&[1])) - in_hollow).abs() < 1e-5);
    assert!((fill(Rooted::Parts(&[1, 2])) - everywhere).abs() < 1e-9);
    assert_eq!(highest(&ground, &patch, Rooted::Parts(&[3])).surface, ground);
}

#[test]
fn open_ends_are_where_a_patch_stands_in_the_air() {
    let ground = grid([0.0, 0.0], 10, |_, _| 0.0);
    let tag = Tag { owner: 4, part: 2 };
    let raised = highest(&ground, &slab([2.5, 2.5, 6.0, 5.0], 1.0, None, tag), Rooted::Anywhere);
    let length = |from: [f64; 2], to: [f64; 2]| libm::hypot(to[0] - from[0], to[1] - from[1]);
    let ends = &raised.changed.open_ends;
    let total: f64 = ends.iter().map(|end| length(end.from, end.to)).sum();
    assert!((total - 12.0).abs() < 1e-6, "{total}");
    assert!(ends.iter().all(|end| end.tag == tag && end.rise_m == [1.0, 1.0]), "{ends:?}");
    // A mound whose toe lies in the earth has none; one cut off by the site's edge has.
    let mound = |x: f64| {
        through(&[
            [x - 2.0, 3.0, -0.5],
            [x + 2.0, 3.0, -0.5],
            [x + 2.0, 7.0, -0.5],
            [x - 2.0, 7.0, -0.5],
            [x, 5.0, 1.0],
        ])
    };
    assert!(highest(&ground, &mound(5.0), Rooted::Anywhere).changed.open_ends.is_empty());
    let beyond = highest(&ground, &mound(9.0), Rooted::Anywhere).changed.beyond_area_m2;
    assert!((beyond - 4.0).abs() < 1e-6, "{beyond}");
}

#[test]
fn voids_and_islands_are_kept_and_measured() {
    for seed in 0..20 {
        let mut random = Random::new(6000 + seed);
        // Two pieces of ground apart from each other, the first with a void.
        let ring = vec![at(4.0, 4.0), at(8.0, 4.5), at(7.5, 8.0), at(4.5, 7.0)];
        let mut points: Vec<_> = ring.iter().map(|&p| (p, random.unit())).collect();
        points.extend(
            [[0.0, 0.0], [12.0, 0.0], [12.0, 12.0], [0.0, 12.0]].map(|[x, y]| (at(x, y), 0.5)),
        );
        points.extend(
            (0..40).map(|_| (at(12.0 * random.unit(), 12.0 * random.unit()), random.unit())),
        );
        let terrain = Terrain { points, voids: vec![ring], ..Terrain::default() };
        let holed = build(&terrain).expect("ground with a void").surface;
        let island = grid([14.0, 2.0], 5, |x, y| 0.1 * x - 0.2 * y);
        let union = |a: &Surface, b: &Surface| {
            let done = compose(a, b, Keep::Highest, Domain::Union, Rooted::Anywhere).surface;
            done.check().expect("a composed surface is valid");
            done
        };
        let ground = union(&holed, &island);
        let area = plan_area_m2(&ground);
        assert!((area - plan_area_m2(&holed) - 25.0).abs() < AREA_M2, "{seed}: {area}");

        let patch = rough(&mut random, 60, 20.0, 1.0);
        let between = volumes(&ground, &patch);
        let [cut, fill, common] = second_way::cut_fill_area(&ground, &patch);
        for (found, expected) in
            [(between.cut_m3, cut), (between.fill_m3, fill), (between.common_area_m2, common)]
        {
            assert!((found - expected).abs() < 1e-9 * expected, "{seed}: {found} for {expected}");
        }
        let done = highest(&ground, &patch, Rooted::Anywhere).surface;
        assert!((plan_area_m2(&done) - area).abs() < 1e-4, "{seed}");
        assert!((volumes(&ground, &done).fill_m3 - fill).abs() < 1e-7 * fill, "{seed}");
        let covered = plan_area_m2(&union(&ground, &patch));
        assert!((covered - (area + 400.0 - common)).abs() < 1e-4, "{seed}: {covered}");
    }
}
