//! A file that once kept `ground::build` busy for good: two contours as breaklines whose ends lie
//! within the rounding of the boundary. `convert` leaves such contours out, so it is not met there.

use exchange::geojson;
use exchange::tin::Tin;

#[test]
fn breaklines_that_end_within_the_rounding_of_a_boundary() {
    let path =
        format!("{}/tests/data/contours-beside-an-outline.geojson", env!("CARGO_MANIFEST_DIR"));
    let bytes = std::fs::read(path).unwrap();
    let content = geojson::read(&bytes, None).unwrap();
    let frame = content.frame().unwrap();
    let tin = Tin { name: "ground".to_owned(), lines: content.lines, ..Tin::default() };
    tin.surface(&frame).unwrap().0.check().unwrap();
}
