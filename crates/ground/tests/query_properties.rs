//! What the queries promise on any surface: random triangles with level parts, ties, steps, holes and
//! parts that meet in a point.

use ground::overlay::{Domain, Keep, Rooted, compose};
use ground::query::{
    Ahead, End, PoolError, SpillError, areas_where, contour_set, contours, descend, extent_z,
    outline, outline_where, plan_area_m2, pool, region, section, spill, stages,
};
use ground::triangulate::constrained;
use ground::{Lattice, Locator, Mesh2, NONE, Sheet, Surface, Tag};
use proptest::collection::vec;
use proptest::prelude::*;
use proptest::test_runner::RngSeed;

/// A surface of some of the triangles over places on a coarse grid of metres. Heights are whole
/// metres by vertex, and each corner of a face may be lifted by whole metres, so that steps stand around it and turn
/// over along an edge.
fn surface(places: &[(i32, i32)], heights: &[i32], lifts: &[i32], kept: &[u32]) -> Option<Surface> {
    let lattice = Lattice::default();
    let place = |&(x, y): &(i32, i32)| {
        lattice.snap([f64::from(x), f64::from(y)]).expect("the places are near")
    };
    let mesh = constrained(lattice, &places.iter().map(place).collect::<Vec<_>>(), &[]).ok()?;
    let cycled = |list: &[i32], i: usize| f64::from(list[i % list.len()]);
    let keep = (0..mesh.triangles.len() as u32)
        .filter(|&t| kept[t as usize % kept.len()] > 0)
        .collect::<Vec<_>>();
    let corners = keep
        .iter()
        .map(|&t| {
            let lifted = |k: usize| {
                let v = mesh.triangles[t as usize][k] as usize;
                cycled(heights, v) + cycled(lifts, 3 * t as usize + k)
            };
            [0, 1, 2].map(lifted)
        })
        .collect::<Vec<_>>();
    (!keep.is_empty()).then(|| sheet(&mesh, &keep, &corners))
}

/// The surface of the triangles `keep` with heights corner by corner.
fn sheet(mesh: &Mesh2, keep: &[u32], corners: &[[f64; 3]]) -> Surface {
    let triangle = |t: u32| mesh.triangles[t as usize];
    let mut used = keep.iter().flat_map(|&t| triangle(t)).collect::<Vec<_>>();
    used.sort_unstable();
    used.dedup();
    let vertex = |v: u32| used.binary_search(&v).expect("it is used") as u32;
    let face = |t: u32| keep.binary_search(&t).map_or(NONE, |f| f as u32);
    let fitted = Mesh2 {
        lattice: mesh.lattice,
        vertices: used.iter().map(|&v| mesh.vertices[v as usize]).collect(),
        triangles: keep.iter().map(|&t| triangle(t).map(vertex)).collect(),
        neighbours: keep.iter().map(|&t| mesh.neighbours[t as usize].map(face)).collect(),
        fixed: vec![0; keep.len()],
        merged: Vec::new(),
    };
    Surface::from_mesh(Sheet {
        mesh: fitted,
        heights: corners.concat(),
        corners: Some((0..keep.len() as u32).map(|f| [3 * f, 3 * f + 1, 3 * f + 2]).collect()),
        tags: vec![Tag::default()],
        plane_of: Vec::new(),
        planes: Vec::new(),
    })
    .expect("a part of a valid mesh is valid")
}

prop_compose! {
    fn drawn_surfaces()(
        places in vec((0..12_i32, 0..12_i32), 4..60),
        heights in vec(0..4_i32, 1..40),
        lifts in prop_oneof![Just(vec![0]), vec(0..3_i32, 1..30)],
        kept in prop_oneof![Just(vec![1]), vec(0..4_u32, 5..30)],
    ) -> Option<Surface> {
        surface(&places, &heights, &lifts, &kept)
    }
}

prop_compose! {
    /// What composing leaves of two of them: whole faces, pieces, steps along the outlines.
    fn composed_surfaces()(
        ground in drawn_surfaces(),
        patch in drawn_surfaces(),
        keep in prop_oneof![Just(Keep::Highest), Just(Keep::Lowest)],
        domain in prop_oneof![Just(Domain::Ground), Just(Domain::Union)],
        lift_m in prop_oneof![Just(0.0), 0.0..0.4_f64],
    ) -> Option<Surface> {
        // Where a place is computed its height is a rounded one, and no tie with a level is exact:
        // the levels are kept apart from all heights here.
        let (ground, patch) = (raised(&ground?, 0.05), raised(&patch?, 0.05 + lift_m));
        Some(compose(&ground, &patch, keep, domain, Rooted::Anywhere).surface)
    }
}

fn surfaces() -> impl Strategy<Value = Option<Surface>> {
    prop_oneof![2 => drawn_surfaces(), 1 => composed_surfaces()]
}

/// The surface with all its heights raised.
fn raised(surface: &Surface, by_m: f64) -> Surface {
    let faces = surface.faces();
    let mesh = Mesh2 {
        lattice: surface.lattice(),
        vertices: surface.vertices().to_vec(),
        triangles: faces.iter().map(|face| face.vertices).collect(),
        neighbours: faces.iter().map(|face| face.neighbours).collect(),
        fixed: vec![0; faces.len()],
        merged: Vec::new(),
    };
    let all = (0..faces.len() as u32).collect::<Vec<_>>();
    let corners =
        all.iter().map(|&f| surface.corner_heights(f).map(|z| z + by_m)).collect::<Vec<_>>();
    sheet(&mesh, &all, &corners)
}

fn shoelace_m2(ring: &[[f64; 2]]) -> f64 {
    let n = ring.len();
    let cross = |i: usize| ring[i][0] * ring[(i + 1) % n][1] - ring[i][1] * ring[(i + 1) % n][0];
    (0..n).map(cross).sum::<f64>() / 2.0
}

fn total_m2(rings: &[Vec<[f64; 2]>]) -> f64 {
    rings.iter().map(|ring| shoelace_m2(ring)).sum()
}

fn length_m(points: &[[f64; 2]]) -> f64 {
    points.windows(2).map(|p| libm::hypot(p[1][0] - p[0][0], p[1][1] - p[0][1])).sum()
}

fn middle_of(surface: &Surface, face_idx: u32) -> [f64; 2] {
    let c = surface.corners(face_idx).map(|c| surface.lattice().metres(c));
    [0, 1].map(|i| (c[0][i] + c[1][i] + c[2][i]) / 3.0)
}

const LEVELS: [f64; 6] = [0.5, 1.0, 1.5, 2.0, 2.7, 3.0];

proptest! {
    #![proptest_config(ProptestConfig {
        cases: 400,
        failure_persistence: None,
        rng_seed: RngSeed::Fixed(0x7a12),
        ..ProptestConfig::default()
    })]

    #[test]
    fn rings_enclose_the_regions_area(surface in surfaces()) {
        let Some(surface) = surface else { return Ok(()) };
        for z in LEVELS {
            let above = region(&surface, |f| surface.corner_heights(f).map(|corner| corner - z));
            let below = region(&surface, |f| surface.corner_heights(f).map(|corner| z - corner));
            let level = areas_where(&surface, |f| surface.corner_heights(f) == [z; 3]).plan_m2;
            let whole = plan_area_m2(&surface);
            prop_assert!((above.area_m2 + below.area_m2 + level - whole).abs() < 1e-9);
            for part in [&above, &below] {
                prop_assert!((total_m2(&part.rings) - part.area_m2).abs() < 1e-9);
                for ring in &part.rings {
                    let mut places = ring.clone();
                    places.sort_by(|a, b| a[0].total_cmp(&b[0]).then(a[1].total_cmp(&b[1])));
                    prop_assert!(ring.len() > 2 && places.windows(2).all(|p| p[0] != p[1]));
                }
            }
            let rise = above.integral - below.integral;
            let volume = (0..surface.faces().len() as u32).map(|f| {
                let mean = surface.corner_heights(f).iter().sum::<f64>() / 3.0 - z;
                mean * areas_where(&surface, |g| g == f).plan_m2
            });
            prop_assert!((rise - volume.sum::<f64>()).abs() < 1e-8);
        }
    }

    #[test]
    fn contours_are_the_rings_without_the_border(surface in surfaces()) {
        let Some(surface) = surface else { return Ok(()) };
        let set = contour_set(&surface, &LEVELS);
        for z in LEVELS {
            let lines = contours(&surface, z);
            let of_set = set.iter().filter(|line| line.z == z).cloned().collect::<Vec<_>>();
            prop_assert_eq!(&lines, &of_set);
            for line in &lines {
                prop_assert!(line.points.len() > 1);
                prop_assert!(line.points.windows(2).all(|p| p[0] != p[1]));
            }
        }
    }

    #[test]
    fn rings_run_along_nothing_twice(surface in surfaces()) {
        let Some(surface) = surface else { return Ok(()) };
        for z in LEVELS {
            let depth = |f: u32| surface.corner_heights(f).map(|corner| corner - z);
            let rings = region(&surface, depth).rings;
            let closed = |ring: &Vec<[f64; 2]>| length_m(ring) + length_m(&[ring[ring.len() - 1], ring[0]]);
            let drawn = rings.iter().map(closed).sum::<f64>();
            let rim_m = rim_m(&surface, depth);
            prop_assert!((drawn - rim_m).abs() < 1e-6, "{drawn} {rim_m} at {z}");
        }
    }

    #[test]
    fn an_outline_encloses_its_faces(surface in surfaces(), nth in 2..5_u32) {
        let Some(surface) = surface else { return Ok(()) };
        let area = |rings: Vec<Vec<ground::query::RingPoint>>| {
            let place = |vertex: u32| surface.lattice().metres(surface.vertices()[vertex as usize]);
            let ring = |ring: &Vec<ground::query::RingPoint>| ring.iter().map(|p| place(p.vertex)).collect();
            total_m2(&rings.iter().map(ring).collect::<Vec<Vec<_>>>())
        };
        prop_assert!((area(outline(&surface)) - plan_area_m2(&surface)).abs() < 1e-9);
        let some = |f: u32| f.is_multiple_of(nth);
        prop_assert!((area(outline_where(&surface, some)) - areas_where(&surface, some).plan_m2).abs() < 1e-9);
    }

    #[test]
    fn a_section_passes_over_the_elevations(
        surface in surfaces(),
        a in (-1.0..13.0_f64, -1.0..13.0_f64),
        b in (-1.0..13.0_f64, -1.0..13.0_f64),
        whole in any::<[bool; 2]>(),
    ) {
        let Some(surface) = surface else { return Ok(()) };
        // Whole metres run through vertices and along edges.
        let end = |(x, y): (f64, f64), whole| if whole { [x.round(), y.round()] } else { [x, y] };
        let (a, b) = (end(a, whole[0]), end(b, whole[1]));
        let locator = Locator::new(&surface);
        let points = section(&surface, a, b).unwrap();
        prop_assert_eq!(&points, &locator.section(a, b).unwrap());
        for pair in points.windows(2) {
            prop_assert!(pair[0].station_m <= pair[1].station_m);
            let middle = [0, 1].map(|i| 0.5 * (pair[0].at[i] + pair[1].at[i]));
            match pair[0].ahead {
                Ahead::Face(_) if pair[1].station_m - pair[0].station_m > 1e-4 => {
                    let z = locator.elevation(middle).unwrap();
                    let z_drawn = 0.5 * (pair[0].z + pair[1].z);
                    // Beside an edge the lattice place of the middle may lie on the other side.
                    prop_assert!((z - z_drawn).abs() < 1e-4 || is_beside_edge(&surface, middle));
                }
                Ahead::Gap if pair[1].station_m - pair[0].station_m > 1e-4 => {
                    prop_assert!(locator.elevation(middle).is_none() || is_beside_edge(&surface, middle));
                }
                Ahead::Step => prop_assert_eq!(pair[0].station_m, pair[1].station_m),
                Ahead::Face(_) | Ahead::Gap => {}
                Ahead::End => prop_assert!(false, "more follows"),
            }
        }
    }

    #[test]
    fn every_place_on_a_face_is_found(surface in surfaces()) {
        let Some(surface) = surface else { return Ok(()) };
        let locator = Locator::new(std::sync::Arc::new(surface.clone()));
        for f in 0..surface.faces().len() as u32 {
            prop_assert_eq!(locator.face_at(middle_of(&surface, f)), Some(f));
        }
        let [low, high] = extent_z(&surface).unwrap();
        for &v in surface.vertices() {
            let z = locator.elevation(surface.lattice().metres(v)).unwrap();
            // The plane says how high ground stands; a rounded corner lies a little off it.
            prop_assert!(low - 1e-5 <= z && z <= high + 1e-5);
        }
    }

    #[test]
    fn pools_share_out_the_ground_below_a_level(surface in surfaces()) {
        let Some(surface) = surface else { return Ok(()) };
        let locator = Locator::new(&surface);
        for level in LEVELS {
            let below = region(&surface, |f| surface.corner_heights(f).map(|z| level - z));
            let mut left = below.pieces.iter().map(|piece| piece.face_idx).collect::<Vec<_>>();
            let (mut area, mut volume, mut thin_m2) = (0.0, 0.0, 0.0);
            while let Some(&face_idx) = left.first() {
                let ring = &below.pieces.iter().find(|p| p.face_idx == face_idx).unwrap().ring;
                let n = ring.len() as f64;
                let seed = [0, 1].map(|i| ring.iter().map(|p| p[i]).sum::<f64>() / n);
                if locator.face_at(seed) != Some(face_idx) {
                    // Thinner than the lattice: no place in it can be named.
                    thin_m2 += shoelace_m2(ring);
                    left.remove(0);
                    continue;
                }
                let water = pool(&surface, seed, level).unwrap();
                prop_assert!((total_m2(&water.rings) - water.area_m2).abs() < 1e-9);
                prop_assert!(water.faces.contains(&face_idx));
                let stage = stages(&surface, seed, &[level]).unwrap()[0];
                prop_assert_eq!((stage.area_m2, stage.volume_m3), (water.area_m2, water.volume_m3));
                left.retain(|f| !water.faces.contains(f));
                area += water.area_m2;
                volume += water.volume_m3;
            }
            prop_assert!(thin_m2 < 1e-4, "{thin_m2} m2 of slivers");
            prop_assert!((area - below.area_m2).abs() < 1e-9 + thin_m2);
            prop_assert!((volume - below.integral).abs() < 1e-9 + 4.0 * thin_m2);
        }
    }

    #[test]
    fn a_pool_stays_closed_up_to_its_spill(surface in surfaces(), nth in any::<prop::sample::Index>()) {
        let Some(surface) = surface else { return Ok(()) };
        let seed = middle_of(&surface, nth.index(surface.faces().len()) as u32);
        match spill(&surface, seed) {
            Ok(out) => {
                // A saddle within an edge is rounded, perhaps upwards, and to just above the seed.
                let over = pool(&surface, seed, out.level_m + 1e-6).unwrap();
                match pool(&surface, seed, out.level_m - 1e-12) {
                    Ok(full) => {
                        prop_assert_eq!(full.open_at, None);
                        prop_assert!(over.open_at.is_some() || over.deepest_m > full.deepest_m + 1e-3);
                    }
                    Err(PoolError::Dry { ground_m, .. }) => {
                        prop_assert!(out.level_m - ground_m < 1e-9);
                    }
                    Err(other) => prop_assert!(false, "{other}"),
                }
            }
            Err(SpillError::RunsOff { ground_m, .. }) => {
                let over = pool(&surface, seed, ground_m + 1e-6).unwrap();
                prop_assert!(over.open_at.is_some());
            }
            Err(other) => prop_assert!(false, "{other}"),
        }
    }

    #[test]
    fn water_never_rises_and_comes_to_rest(surface in surfaces(), nth in any::<prop::sample::Index>()) {
        let Some(surface) = surface else { return Ok(()) };
        let from = middle_of(&surface, nth.index(surface.faces().len()) as u32);
        let way = descend(&surface, from).unwrap();
        prop_assert_eq!(&way, &Locator::new(&surface).descend(from).unwrap());
        prop_assert!(way.points.windows(2).all(|p| p[1].z <= p[0].z));
        prop_assert!(way.points.len() <= 8 * surface.faces().len() + 64);
        let last = way.points[way.points.len() - 1];
        let z_here = Locator::new(&surface).elevation(last.at);
        prop_assert!(z_here.is_none_or(|z| z >= last.z - 1e-5), "it lies on the ground or at a foot");
        let at_border = outline(&surface).iter().any(|ring| {
            let place = |i: usize| surface.lattice().metres(surface.vertices()[ring[i % ring.len()].vertex as usize]);
            (0..ring.len()).any(|i| is_near_segment(place(i), place(i + 1), last.at))
        });
        prop_assert!(way.end != End::Border || at_border);
    }
}

/// A pit with a floor of 2 by 3 m at -1, sides of 1 in 1 and level ground at 0 around it, moved and
/// turned; `step_um` is the lattice's step.
fn frustum(step_um: u32, moved: [f64; 2], turned_rad: f64) -> Surface {
    let lattice = Lattice::new(step_um).expect("the step is a lattice's");
    let place = |[x, y]: [f64; 2]| {
        let (sin, cos) = libm::sincos(turned_rad);
        let at = [moved[0] + cos * x - sin * y, moved[1] + sin * x + cos * y];
        lattice.snap(at).expect("the lattice reaches there")
    };
    let ring = |out: f64, z: f64| {
        let corners = [[-1.0, -1.5], [1.0, -1.5], [1.0, 1.5], [-1.0, 1.5], [-1.0, -1.5]];
        let vertices =
            corners.map(|[x, y]: [f64; 2]| (place([x + out.copysign(x), y + out.copysign(y)]), z));
        ground::Breakline { vertices: vertices.to_vec() }
    };
    let breaklines = vec![ring(0.0, -1.0), ring(1.0, 0.0), ring(3.0, 0.0)];
    let terrain = ground::Terrain { lattice, breaklines, ..Default::default() };
    ground::build(&terrain).expect("the rings are sound").surface
}

#[test]
fn a_pit_holds_its_closed_volume_wherever_it_lies() {
    // At level d below the rim: a frustum from 2 by 3 m to 2 + 2 t by 3 + 2 t, t = 1 - d; its volume
    // by the prismoidal formula, which is exact for it.
    let area = |t: f64| (2.0 + 2.0 * t) * (3.0 + 2.0 * t);
    let turn = std::f64::consts::PI / 6.0;
    for (step_um, moved, turned_rad, tolerance) in [
        (1, [0.0, 0.0], 0.0, 1e-12),
        (1, [100.0, -200.0], turn, 1e-5),
        (1000, [500_000.0, -500_000.0], 0.0, 1e-9),
        (1000, [500_000.0, -500_000.0], turn, 1e-2),
    ] {
        let pit = frustum(step_um, moved, turned_rad);
        for t in [0.25, 0.5, 1.0] {
            let water = pool(&pit, moved, t - 1.0).expect("the floor is wet");
            let volume = t / 6.0 * (area(0.0) + 4.0 * area(t / 2.0) + area(t));
            assert!((water.area_m2 - area(t)).abs() <= tolerance, "{step_um} um, {t}");
            assert!((water.volume_m3 - volume).abs() <= tolerance, "{step_um} um, {t}");
            let line =
                contours(&pit, t - 1.0).iter().map(|line| shoelace_m2(&line.points)).sum::<f64>();
            // The ground at or above the level lies outside the line: it runs clockwise. At the rim's
            // own level the shelf around the pit is at the level and its inner edge is the line.
            let rounding = 1e-9 * moved[0].abs().max(1.0);
            assert!((line + area(t)).abs() <= tolerance.max(rounding), "{line}");
        }
        let out = spill(&pit, moved).expect("the pit holds water");
        assert_eq!(out.level_m, 0.0);
    }
}

/// The length of the rim of the part where a field is above zero, counted edge by edge: the cuts
/// within faces, and what only one of an edge's two faces holds of it.
fn rim_m(surface: &Surface, field: impl Fn(u32) -> [f64; 3]) -> f64 {
    let span = |f: u32, k: usize| {
        let (v, end) = (field(f), (k + 1) % 3);
        let is_part = v.iter().any(|&v| v > 0.0);
        let zero = v[k] / (v[k] - v[end]);
        match (v[k] >= 0.0, v[end] >= 0.0) {
            _ if !is_part => [0.0, 0.0],
            (true, true) => [0.0, 1.0],
            (true, false) => [0.0, zero],
            (false, true) => [zero, 1.0],
            (false, false) => [0.0, 0.0],
        }
    };
    let mut total_m = 0.0;
    for f in 0..surface.faces().len() as u32 {
        let c = surface.corners(f).map(|c| surface.lattice().metres(c));
        let on_edge =
            |k: usize, s: f64| [0, 1].map(|i| c[k][i] + s * (c[(k + 1) % 3][i] - c[k][i]));
        let mut cut = Vec::new();
        for k in 0..3 {
            let mine = span(f, k);
            let edge_m = length_m(&[c[k], c[(k + 1) % 3]]);
            let other = surface.faces()[f as usize].neighbours[k];
            let shared = (0..3).filter(|_| other != NONE).find_map(|j| {
                let back = surface.faces()[other as usize].vertices;
                let own = surface.faces()[f as usize].vertices;
                (back[j] == own[(k + 1) % 3] && back[(j + 1) % 3] == own[k]).then(|| {
                    let [from, to] = span(other, j);
                    (mine[1].min(1.0 - from) - mine[0].max(1.0 - to)).max(0.0)
                })
            });
            total_m += edge_m * (mine[1] - mine[0] - shared.unwrap_or(0.0));
            let v = field(f);
            if (v[k] >= 0.0) != (v[(k + 1) % 3] >= 0.0) {
                cut.push(on_edge(k, v[k] / (v[k] - v[(k + 1) % 3])));
            }
        }
        if cut.len() == 2 && field(f).iter().any(|&v| v > 0.0) {
            total_m += length_m(&cut);
        }
    }
    total_m
}

/// Whether a place lies within two lattice steps of a segment.
fn is_near_segment(p: [f64; 2], q: [f64; 2], at: [f64; 2]) -> bool {
    let run = [q[0] - p[0], q[1] - p[1]];
    let length = libm::hypot(run[0], run[1]);
    let off = (run[0] * (at[1] - p[1]) - run[1] * (at[0] - p[0])) / length;
    let along = (run[0] * (at[0] - p[0]) + run[1] * (at[1] - p[1])) / length;
    off.abs() < 2e-6 && (-2e-6..length + 2e-6).contains(&along)
}

/// Whether a place lies within two lattice steps of an edge, where rounding chooses the face.
fn is_beside_edge(surface: &Surface, at: [f64; 2]) -> bool {
    (0..surface.faces().len() as u32).any(|f| {
        let c = surface.corners(f).map(|c| surface.lattice().metres(c));
        (0..3).any(|k| is_near_segment(c[k], c[(k + 1) % 3], at))
    })
}
