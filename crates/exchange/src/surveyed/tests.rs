use super::*;
use crate::convert::{Input, read};
use crate::grid::Grid;
use crate::landxml;
use crate::tin::tests::triangles;
use crate::watch::unwatched;

/// A survey as the site's loader takes it: written, read, and built from points and lines.
fn built_again(surveyed: &Surveyed, frame: &Frame) -> Surface {
    let content = surveyed.content(LengthUnit::Metre, &Datum::default(), &[]);
    let text = landxml::write(&content, LengthUnit::Metre, &landxml::Stamp::default());
    let again = landxml::read(text.as_bytes(), &landxml::Told::default()).unwrap();
    let mut notes = Vec::new();
    assert_eq!(Surveyed::of(&again, frame, &mut notes).unwrap(), *surveyed);
    assert_eq!(notes, [""; 0]);
    again.surfaces[0].surface(frame).unwrap().0
}

fn keeps_its_triangles(tin: Tin) {
    let content = Content { surfaces: vec![tin], ..Content::default() };
    let frame = content.frame().unwrap();
    let mut notes = Vec::new();
    let own = own_surface(&content, &frame, &mut notes).unwrap();
    let surveyed = Surveyed::of(&content, &frame, &mut notes).unwrap();
    assert_eq!(triangles(&built_again(&surveyed, &frame)), triangles(&own));
}

/// Points on a grid, where every four lie on one circle, with diagonals as a rule of no triangulation
/// draws them; one cell and one corner have no ground.
#[test]
fn triangles_that_no_rule_draws_come_again() {
    let n = 7_u32;
    let z = |x: u32, y: u32| 0.37 * f64::from(x * x) - 0.2 * f64::from(x * y) + f64::from(y % 3);
    let mut tin = Tin { name: "lawn".to_owned(), ..Tin::default() };
    for y in 0..n {
        tin.vertices_m.extend(
            (0..n).map(|x| {
                [500_000.0 + 2.0 * f64::from(x), 5_400_000.25 + 2.0 * f64::from(y), z(x, y)]
            }),
        );
    }
    for y in 0..n - 1 {
        for x in (0..n - 1).filter(|x| (*x, y) != (3, 3) && (*x, y) != (0, 0)) {
            let [a, b, c, d] = [y * n + x, y * n + x + 1, (y + 1) * n + x + 1, (y + 1) * n + x];
            match (x * 5 + y * 3) % 2 {
                0 => tin.faces.extend([[a, b, c], [a, c, d]]),
                _ => tin.faces.extend([[a, b, d], [b, c, d]]),
            }
        }
    }
    let content = Content { surfaces: vec![tin.clone()], ..Content::default() };
    let frame = content.frame().unwrap();
    let surveyed = Surveyed::of(&content, &frame, &mut Vec::new()).unwrap();
    assert_eq!((surveyed.voids.len(), surveyed.boundary.is_some()), (1, true));
    // The south-western post belongs to no face.
    assert_eq!(surveyed.points.len(), 48);
    keeps_its_triangles(tin);
}

/// Of what the rule draws itself no edge is told, and a convex outline is not told either.
#[test]
fn triangles_of_the_rule_are_told_by_their_points() {
    let list = "name,x,y,z\na,0,0,1\nb,20,1,2\nc,21,19,4\nd,1,22,3\ne,9,8,7\n";
    let asked = Asked { unit: Some(LengthUnit::Metre), ..Asked::default() };
    let input = Input { bytes: list.as_bytes(), name: "l.csv" };
    let (held, _) = read(input, &asked, &mut unwatched).unwrap();
    let Held::Content(points) = held else { panic!("a list is no cloud") };
    let frame = points.frame().unwrap();
    let surface = own_surface(&points, &frame, &mut Vec::new()).unwrap();
    let tin = Tin::of(&surface, &frame, "ground");
    let content = Content { points: points.points, surfaces: vec![tin], ..Content::default() };
    let surveyed = Surveyed::of(&content, &frame, &mut Vec::new()).unwrap();
    assert_eq!((surveyed.breaklines.len(), surveyed.boundary.as_ref()), (0, None));
    let mut names: Vec<&str> = surveyed.points.iter().map(|p| p.name.as_str()).collect();
    names.sort_unstable();
    assert_eq!(names, ["a", "b", "c", "d", "e"]);
}

#[test]
fn of_two_parts_the_larger_is_taken_and_a_second_height_is_said() {
    let square = |x: f64, side: f64, z: f64| {
        [[x, 0.0, z], [x + side, 0.0, z], [x + side, side, z], [x, side, z]]
    };
    let mut vertices_m = square(0.0, 10.0, 1.0).to_vec();
    vertices_m.extend(square(30.0, 5.0, 2.0));
    // A wall along the first square's eastern side: a third square that stands 2 m higher.
    vertices_m.extend(square(10.0, 10.0, 3.0));
    let cell = |k: u32| [[k, k + 1, k + 2], [k, k + 2, k + 3]];
    let faces = [cell(0), cell(4), cell(8)].concat();
    let tin = Tin { name: "two".to_owned(), vertices_m, faces, ..Tin::default() };
    let content = Content { surfaces: vec![tin], ..Content::default() };
    let mut notes = Vec::new();
    let surveyed = Surveyed::of(&content, &content.frame().unwrap(), &mut notes).unwrap();
    assert!(notes[0].contains("2 parts") && notes[0].contains("25.0 m2"), "{notes:?}");
    assert!(notes[1].starts_with("2 places have a second height"), "{notes:?}");
    let mut heights: Vec<f64> = surveyed.points.iter().map(|p| p.at_m[2]).collect();
    heights.sort_by(f64::total_cmp);
    assert_eq!(heights, [1.0, 1.0, 2.0, 2.0, 3.0, 3.0]);
}

/// A hill as posts, with a pond's worth of posts and a far corner without heights.
fn hill(lacks: impl Fn(u32, u32) -> bool) -> Grid {
    let n = 41_u32;
    let z = |x: u32, y: u32| {
        let (u, v) = (f64::from(x) - 20.0, f64::from(y) - 18.0);
        if lacks(x, y) { f64::NAN } else { 30.0 + 4.0 * libm::exp(-(u * u + v * v) / 90.0) }
    };
    let heights = (0..n).flat_map(|y| (0..n).map(move |x| (x, y))).map(|(x, y)| z(x, y)).collect();
    Grid::new([600_000.0, 5_000_000.0], [0.5, 0.5], n as usize, heights).unwrap()
}

#[test]
fn a_grid_is_thinned_to_the_error_that_is_told_within_its_own_outline() {
    let lacks = |x: u32, y: u32| (24..29).contains(&x) && (10..16).contains(&y) || x + y > 70;
    let grid = hill(lacks);
    let held = || Held::Content(Content { grid: Some(grid.clone()), ..Content::default() });
    let mut notes = Vec::new();
    let untold = one_ground(held(), &Asked::default(), &mut notes, &mut unwatched).unwrap_err();
    assert!(untold.to_string().contains("--error"), "{untold}");
    let asked = Asked { error_m: Some(0.02), ..Asked::default() };
    let content = one_ground(held(), &asked, &mut notes, &mut unwatched).unwrap();
    let frame = content.frame().unwrap();
    let surveyed = Surveyed::of(&content, &frame, &mut notes).unwrap();
    assert!(surveyed.points.len() < 700, "{}", surveyed.points.len());
    assert_eq!((surveyed.voids.len(), surveyed.boundary.is_some()), (1, true));
    // Every post is measured here anew, on the surface that a site makes of the survey.
    let surface = built_again(&surveyed, &frame);
    let locator = ground::Locator::new(&surface);
    let mut n_over = 0;
    for [x, y, z] in grid.posts_m() {
        let local = [x - frame.origin_m[0], y - frame.origin_m[1]];
        if let Some(there) = locator.elevation(local) {
            n_over += 1;
            assert!((there - z).abs() < 0.02 + 1e-6, "{x} {y}: {there} {z}");
        }
    }
    assert_eq!(n_over, grid.posts_m().count());
    let pond = [600_000.0 + 13.0 - frame.origin_m[0], 5_000_000.0 + 6.0 - frame.origin_m[1]];
    assert_eq!(locator.elevation(pond), None);
    assert!(notes.iter().any(|note| note.contains("every post was measured")), "{notes:?}");
}

#[test]
fn a_whole_grid_needs_no_outline() {
    let grid = hill(|_, _| false);
    let held = Held::Content(Content { grid: Some(grid), ..Content::default() });
    let asked = Asked { error_m: Some(0.02), ..Asked::default() };
    let content = one_ground(held, &asked, &mut Vec::new(), &mut unwatched).unwrap();
    let surveyed = Surveyed::of(&content, &content.frame().unwrap(), &mut Vec::new()).unwrap();
    assert_eq!((surveyed.boundary.as_ref(), surveyed.voids.len()), (None, 0));
    keeps_its_triangles(content.surfaces[0].clone());
}

#[test]
fn which_of_several_surfaces_is_asked_for() {
    let xml = "<LandXML><Units><Metric linearUnit=\"meter\"/></Units><Surfaces>\
        <Surface name=\"Existing\"><SourceData><DataPoints><PntList3D>0 0 1 9 0 2 0 9 3</PntList3D>\
        </DataPoints></SourceData></Surface><Surface name=\"New\"><SourceData><DataPoints><PntList3D>\
        0 0 1 9 0 2 0 9 3</PntList3D></DataPoints></SourceData></Surface></Surfaces></LandXML>";
    let held = |surface: Option<&str>| {
        let asked = Asked { surface: surface.map(str::to_owned), ..Asked::default() };
        read(Input { bytes: xml.as_bytes(), name: "a.xml" }, &asked, &mut unwatched)
    };
    let (both, _) = held(None).unwrap();
    let error = one_ground(both, &Asked::default(), &mut Vec::new(), &mut unwatched).unwrap_err();
    assert!(error.to_string().contains("Existing, New, expected the name of one"), "{error}");
    let (one, _) = held(Some("New")).unwrap();
    let one = one_ground(one, &Asked::default(), &mut Vec::new(), &mut unwatched).unwrap();
    assert_eq!(one.surfaces.iter().map(|tin| tin.name.as_str()).collect::<Vec<_>>(), ["New"]);
    let Err(error) = held(Some("Old")) else { panic!("there is no such surface") };
    assert!(error.to_string().contains("`Old`, expected one of Existing, New"), "{error}");
}

/// A combined factor of 0.9996 makes 100 m of grid 100.04 m of ground, elevations as they are.
#[test]
fn a_combined_factor_takes_grid_to_ground() {
    let json = "{\"type\":\"Feature\",\"unit\":\"m\",\"geometry\":{\"type\":\"MultiPoint\",\
        \"coordinates\":[[100,0,5],[200,0,5],[200,100,6]]}}";
    let content = |asked: &Asked| {
        let input = Input { bytes: json.as_bytes(), name: "a.geojson" };
        match read(input, asked, &mut unwatched).unwrap().0 {
            Held::Content(content) => content,
            Held::Cloud(_) => panic!("no cloud"),
        }
    };
    let asked = Asked { grid_factor: Some(0.9996), ..Asked::default() };
    let places: Vec<[f64; 3]> = content(&asked).points.iter().map(|p| p.at_m).collect();
    assert!((places[1][0] - places[0][0] - 100.0 / 0.9996).abs() < 1e-9);
    assert_eq!([places[0][2], places[2][2]], [5.0, 6.0]);
    let turned = Asked { axes: Some(landxml::Axes::NorthingFirst), ..Asked::default() };
    assert_eq!(content(&turned).points[1].at_m, [0.0, 200.0, 5.0]);
    let wrong = Asked { grid_factor: Some(3.28), ..Asked::default() };
    let input = Input { bytes: json.as_bytes(), name: "a.geojson" };
    let Err(error) = read(input, &wrong, &mut unwatched) else { panic!("no grid has it") };
    assert!(error.to_string().contains("combined factor 3.28"), "{error}");
}
