use ground::triangulate::{Terrain, build};
use ground::{Lattice, Tag, overlay::volumes};

use super::*;
use crate::depth_colours::N_CLASSES;

/// A square of 20 m whose corners stand at these heights, with a lattice of the finest step.
fn ground(heights: [f64; 4]) -> Surface {
    let lattice = Lattice::default();
    let corners = [[0.0, 0.0], [20.0, 0.0], [20.0, 20.0], [0.0, 20.0]];
    let points = corners.iter().zip(heights);
    let terrain = Terrain {
        lattice,
        points: points.map(|(&at, z)| (lattice.snap(at).unwrap(), z)).collect(),
        breaklines: Vec::new(),
        boundary: None,
        voids: Vec::new(),
        tag: Tag::default(),
    };
    build(&terrain).unwrap().surface
}

fn twice_area_m2(ring: &[[f64; 2]]) -> f64 {
    let next = |i: usize| ring[(i + 1) % ring.len()];
    (0..ring.len()).map(|i| ring[i][0] * next(i)[1] - ring[i][1] * next(i)[0]).sum()
}

/// Plan area of each class, square metres.
fn areas_m2(from: &Surface, to: &Surface, width_m: f64) -> Vec<f64> {
    let classes = regions(from, to, width_m);
    classes
        .iter()
        .map(|rings| 0.5 * rings.iter().map(|ring| twice_area_m2(ring)).sum::<f64>())
        .collect()
}

/// A plane that tips about the middle line by 1 m at either edge, over 20 by 20 m: each class of
/// 0.2 m is a strip of 2 by 20 m. The innermost lack the millimetre that is not drawn: 0.01 m wide.
#[test]
fn a_tipped_plane_is_parted_into_even_strips() {
    let areas = areas_m2(&ground([10.0; 4]), &ground([9.0, 11.0, 11.0, 9.0]), 0.2);
    for (class, area_m2) in Class::all().zip(areas) {
        let expected = if class.rank == 0 { 39.8 } else { 40.0 };
        assert!((area_m2 - expected).abs() < 1e-2, "{class:?} {area_m2}");
    }
}

/// Faces on both sides of a class are one ring: a strip has four corners.
#[test]
fn a_class_is_one_ring_whatever_faces_it_crosses() {
    let classes = regions(&ground([10.0; 4]), &ground([9.0, 11.0, 11.0, 9.0]), 0.2);
    for rings in classes {
        assert_eq!(rings.len(), 1);
        assert_eq!(rings[0].len(), 4, "{rings:?}");
    }
}

#[test]
fn what_goes_down_one_way_comes_up_the_other() {
    let (a, b) = (ground([10.0, 10.2, 9.7, 10.1]), ground([9.0, 11.0, 10.5, 9.6]));
    let there = areas_m2(&a, &b, 0.1);
    let mut back = areas_m2(&b, &a, 0.1);
    back.reverse();
    for (there, back) in there.iter().zip(&back) {
        assert!((there - back).abs() < 1e-2, "{there} {back}");
    }
    let between = volumes(&a, &b);
    let drawn: f64 = there.iter().sum();
    // All is drawn but what moves by less than a millimetre: some 26 m of line without change,
    // 2 mm to the sides of it at some 1 in 10.
    let moved = between.cut_area_m2 + between.fill_area_m2;
    assert!(drawn <= moved && drawn > moved - 0.6, "{drawn} {moved}");
}

#[test]
fn ground_that_does_not_move_is_not_drawn() {
    let rings = regions(&ground([10.0; 4]), &ground([10.0; 4]), 0.1);
    assert!(rings.iter().all(Vec::is_empty) && rings.len() == 2 * N_CLASSES);
    let rings = regions(&ground([10.0; 4]), &ground([10.000_9; 4]), 0.1);
    assert!(rings.iter().all(Vec::is_empty));
}

/// A site without works, as a file of format 1, which is read for good.
fn site() -> Site {
    let text = "(format: 1, title: \"Garden & <house>\", next_id: 1, \
        frame: (unit: Metre, step_um: 1, origin_m: (0.0, 0.0)), \
        survey: (file: \"points.csv\", accuracy_m: 0.01))";
    site::file::parse(text).unwrap()
}

#[test]
fn a_map_says_its_numbers_and_hatches_what_it_colours() {
    let (a, b) = (ground([10.0; 4]), ground([9.0, 11.0, 11.0, 9.0]));
    let between = volumes(&a, &b);
    let site = site();
    let map = DepthMap {
        shows: Shows::Versions(["before", "after"]),
        site: &site,
        grounds: [&a, &b],
        between: &between,
        unit: LengthUnit::Metre,
    };
    let svg = depth_map(&map);
    for said in [
        "Garden &amp; &lt;house&gt;",
        ">before<",
        "up to 0.20 m",
        "0.40 m to 0.60 m",
        "0.80 m and more",
        "100.0 m3 lower",
        "1.00 m higher",
        // 20 m on 186 mm.
        "1 : 125 on A4",
    ] {
        assert!(svg.contains(said), "{said:?} is not in the map");
    }
    for class in Class::all() {
        let (colour, hatch) = (class.colour(), class.hatch());
        assert_eq!(svg.matches(&format!("Z\" fill=\"{colour}\"/>")).count(), 1, "{colour}");
        assert!(svg.contains(&format!("Z\" fill=\"url(#{hatch})\"/>")), "{hatch}");
    }
    assert_eq!(svg, depth_map(&map), "the same map has the same bytes");
}

#[test]
fn earthwork_is_told_in_cut_and_fill() {
    let (a, b) = (ground([10.0; 4]), ground([9.0, 11.0, 11.0, 9.0]));
    let between = volumes(&a, &b);
    let map = DepthMap {
        shows: Shows::Earthwork,
        site: &site(),
        grounds: [&a, &b],
        between: &between,
        unit: LengthUnit::Metre,
    };
    let svg = depth_map(&map);
    for said in ["100.0 m3 cut", "100.0 m3 fill", "Cut goes down by", "finished contours every"] {
        assert!(svg.contains(said), "{said:?} is not in the map");
    }
    assert!(!svg.contains(" of B"), "there is but one version");
}
