//! What each fuzz target does with a file: it is read and laid out as a survey, as `new` would.

use std::sync::Once;

use exchange::content::frame_around;
use exchange::convert::{Asked, Format, Held, Input, read};
use exchange::points::Columns;
use exchange::surveyed::{Surveyed, ground_places_m, one_ground, own_surface};
use exchange::watch::unwatched;
use libfuzzer_sys::Corpus;
use units::LengthUnit;

/// Reads bytes as a file of ground of `format`, first with nothing told, then with all that a file may
/// leave untold; what was read is made one surface and a survey.
///
/// Bytes that are of another format by what they hold are passed over.
pub fn ground(bytes: &[u8], format: Format) -> Corpus {
    let name = name_of(format);
    if Format::of(bytes, name) != Some(format) {
        return Corpus::Reject;
    }
    if format == Format::Laz {
        hush();
    }
    let input = Input { bytes, name };
    let bare = Asked::default();
    if let Ok((held, _)) = read(input, &bare, &mut unwatched) {
        lay_out(held);
        return Corpus::Keep;
    }
    let has_z_unit = !matches!(format, Format::PointList | Format::GeoJson);
    let columns = || Columns::given("nxyzc").expect("a well-known order");
    let told = Asked {
        unit: Some(LengthUnit::Metre),
        z_unit: has_z_unit.then_some(LengthUnit::Metre),
        columns: (format == Format::PointList).then(columns),
        ..bare
    };
    if let Ok((held, _)) = read(input, &told, &mut unwatched) {
        lay_out(held);
    }
    Corpus::Keep
}

/// The lattice of gardens. On coarser ones, of sites wider than a kilometre, the planes of slivers are off
/// by more than its check bears: what is 150 km wide is no garden.
const FINEST_UM: u32 = 1;

/// Lets panics pass that the reader of LAZ catches: the unpacker panics on some bytes, and the fuzzer's own
/// hook would end there. One that nobody catches still ends the run.
fn hush() {
    static ONCE: Once = Once::new();
    ONCE.call_once(|| std::panic::set_hook(Box::new(|_| {})));
}

/// Makes what was read one surface and a survey, or is told why it is none.
fn lay_out(held: Held) {
    let asked = Asked { error_m: Some(0.05), ..Asked::default() };
    let mut notes = Vec::new();
    let Ok(content) = one_ground(held, &asked, &mut notes, &mut unwatched) else { return };
    let Ok(places) = ground_places_m(&content) else { return };
    let Ok(frame) = frame_around(places.into_iter(), content.unit) else { return };
    if let Ok(surface) = own_surface(&content, &frame, &mut notes)
        && frame.step_um == FINEST_UM
    {
        surface.check().expect("a surface that was made is sound");
    }
    let _ = Surveyed::of(&content, &frame, &mut notes);
}

fn name_of(format: Format) -> &'static str {
    match format {
        Format::PointList => "a.csv",
        Format::LandXml => "a.xml",
        Format::Las => "a.las",
        Format::Laz => "a.laz",
        Format::GeoTiff => "a.tif",
        Format::PlainGrid => "a.asc",
        Format::GeoJson => "a.geojson",
        Format::Gltf | Format::Svg | Format::Pdf => "only-written",
    }
}
