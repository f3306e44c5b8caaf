//! A file that once kept `ground::build` busy for good: two contours as breaklines whose ends lie
//! within the rounding of the boundary. `convert` leaves such contours out, so it is not met there.

use exchange::geojson;
use exchange::tin::Tin;

#[test]
fn breaklines_that_end_within_the_rounding_of_a_boundary() {
    // Cargo runs tests in their package's folder, whichever clone built them.
    let bytes = std::fs::read("tests/data/contours-beside-an-outline.geojson").unwrap();
    let content = geojson::read(&bytes, None).unwrap();
    let frame = content.frame().unwrap();
    let tin = Tin { name: "ground".to_owned(), lines: content.lines, ..Tin::default() };
    tin.surface(&frame).unwrap().0.check().unwrap();
}
