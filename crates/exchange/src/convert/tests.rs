use proptest::prelude::*;
use proptest::test_runner::RngSeed;

use super::*;
use crate::tin::tests::triangles;
use crate::watch::unwatched;

const LIST: &str = "# units: m\n# lines: BANK\n# boundary: EDGE\nname,x,y,z,code\n\
    a,500000,5400000,10,EDGE\nb,500020,5400000,11,EDGE\nc,500020,5400020,13,EDGE\nd,500000,5400020,12,EDGE\n\
    e,500004,5400010,15.25,BANK\nf,500016,5400010,15.75,BANK\ng,500007,5400003,9.5,GS\n";

fn asked() -> Asked {
    Asked { step_m: Some(1.0), error_m: Some(0.01), interval_m: Some(1.0), ..Asked::default() }
}

fn to(bytes: &[u8], name: &str, out: &str) -> Result<Converted, ConvertError> {
    convert(Input { bytes, name }, out, &asked(), &mut unwatched)
}

fn content_of(bytes: &[u8], name: &str) -> Content {
    match read(Input { bytes, name }, &asked(), &mut unwatched).unwrap().0 {
        Held::Content(content) => content,
        Held::Cloud(_) => panic!("a cloud is no content"),
    }
}

#[test]
fn content_goes_before_the_name() {
    let xml = to(LIST.as_bytes(), "list", "out.xml").unwrap();
    assert_eq!(xml.from, Format::PointList);
    for (bytes, name, format) in [
        (xml.bytes.as_slice(), "a.csv", Some(Format::LandXml)),
        (b"LASF\0\0", "a.txt", Some(Format::Las)),
        (b"II\x2A\0", "a", Some(Format::GeoTiff)),
        (b"ncols 3\n", "a.txt", Some(Format::PlainGrid)),
        (b" {\"type\": \"Feature\"}", "a", Some(Format::GeoJson)),
        (b"1 2 3\n", "a.asc", Some(Format::PlainGrid)),
        (b"1 2 3\n", "a.unknown", Some(Format::PointList)),
        (b"\0\x01\x02", "a.bin", None),
    ] {
        assert_eq!(Format::of(bytes, name), format, "{name}");
    }
    let unknown = to(b"\0\x01", "a.bin", "b.xml").unwrap_err().to_string();
    assert!(
        unknown.starts_with("a.bin: read a file of an unknown kind, expected .csv"),
        "{unknown}"
    );
    assert!(to(LIST.as_bytes(), "a.csv", "b.doc").unwrap_err().to_string().starts_with("b.doc"));
}

/// A list becomes the same ground by way of every format that keeps triangles or points.
#[test]
fn ground_goes_round_the_formats() {
    let ground = |content: &Content| {
        let frame = content_of(LIST.as_bytes(), "l.csv").frame().unwrap();
        triangles(&content.surfaces[0].surface(&frame).unwrap().0)
    };
    let xml = to(LIST.as_bytes(), "l.csv", "l.xml").unwrap().bytes;
    let first = content_of(&xml, "l.xml");
    assert_eq!(first.points.len(), 7);
    assert_eq!(first.surfaces[0].lines.len(), 2);
    let again = to(&xml, "l.xml", "m.xml").unwrap().bytes;
    assert_eq!(ground(&content_of(&again, "m.xml")), ground(&first));
    let in_feet = Asked { out_unit: Some(LengthUnit::UsSurveyFoot), ..asked() };
    let input = Input { bytes: &xml, name: "l.xml" };
    let feet = convert(input, "f.xml", &in_feet, &mut unwatched).unwrap().bytes;
    assert_eq!(content_of(&feet, "f.xml").unit, LengthUnit::UsSurveyFoot);
    let places = |content: &Content| {
        ground(content).into_iter().map(|t| t.map(|corner| corner.0)).collect::<Vec<_>>()
    };
    assert_eq!(places(&content_of(&feet, "f.xml")), places(&first));
    // Grids, by text and by TIFF, hold the same heights.
    let plain = to(&xml, "l.xml", "g.asc").unwrap().bytes;
    let tiff = to(&plain, "g.asc", "g.tif");
    assert!(matches!(tiff, Err(ConvertError::PlainGrid(PlainGridError::UnitUnknown))));
    let tiff = to(&xml, "l.xml", "g.tif").unwrap().bytes;
    let back = to(&tiff, "g.tif", "h.asc").unwrap().bytes;
    assert_eq!(String::from_utf8(back).unwrap(), String::from_utf8(plain).unwrap());
}

#[test]
fn every_pair_that_makes_sense_is_converted() {
    let xml = to(LIST.as_bytes(), "l.csv", "l.xml").unwrap().bytes;
    let las = to(&xml, "l.xml", "l.las").unwrap().bytes;
    let tiff = to(&xml, "l.xml", "l.tif").unwrap().bytes;
    let json = to(&xml, "l.xml", "l.geojson").unwrap().bytes;
    let sources: [(&[u8], &str); 5] = [
        (LIST.as_bytes(), "l.csv"),
        (&xml, "l.xml"),
        (&las, "l.las"),
        (&tiff, "l.tif"),
        (&json, "l.geojson"),
    ];
    for (bytes, name) in sources {
        for out in [
            "o.csv",
            "o.xml",
            "o.las",
            "o.laz",
            "o.tif",
            "o.asc",
            "o.geojson",
            "o.glb",
            "o.svg",
            "o.pdf",
        ] {
            let converted =
                to(bytes, name, out).unwrap_or_else(|error| panic!("{name} to {out}: {error}"));
            assert!(converted.bytes.len() > 100, "{name} to {out}");
            let same = Format::of(&converted.bytes, out);
            assert_eq!(same, Format::of_name(out), "{name} to {out}");
        }
    }
    let laz = to(&xml, "l.xml", "l.laz").unwrap().bytes;
    assert_eq!(to(&laz, "l.laz", "m.las").unwrap().bytes, las);
    let glb = to(&xml, "l.xml", "l.glb").unwrap().bytes;
    assert!(to(&glb, "l.glb", "l.xml").unwrap_err().to_string().contains("only written"));
}

#[test]
fn a_point_far_off_is_set_aside_from_the_surface_and_kept_as_a_point() {
    let with_stray = format!("{LIST}base,0,0,0,GS\n");
    let converted = to(with_stray.as_bytes(), "l.csv", "l.xml").unwrap();
    let note = "set aside from the surface, far from all other points: base";
    assert!(converted.notes.iter().any(|said| said == note), "{:?}", converted.notes);
    let content = content_of(&converted.bytes, "l.xml");
    assert_eq!(content.points.len(), 8);
    let plain = content_of(&to(LIST.as_bytes(), "l.csv", "l.xml").unwrap().bytes, "l.xml");
    assert_eq!(content.surfaces, plain.surfaces);
}

#[test]
fn what_must_be_told_is_asked_for() {
    let las = to(LIST.as_bytes(), "l.csv", "l.las").unwrap().bytes;
    let input = Input { bytes: &las, name: "l.las" };
    let error = convert(input, "o.xml", &Asked::default(), &mut unwatched).unwrap_err();
    assert!(error.to_string().contains("expected --error"), "{error}");
    let input = Input { bytes: LIST.as_bytes(), name: "l.csv" };
    let error = convert(input, "o.tif", &Asked::default(), &mut unwatched).unwrap_err();
    assert!(error.to_string().contains("expected --step"), "{error}");
    let two = "name,x,y,z\na,0,0,0\nb,1,1,1\n";
    let input = Input { bytes: two.as_bytes(), name: "t.csv" };
    let told = Asked { unit: Some(LengthUnit::Metre), ..Asked::default() };
    let error = convert(input, "o.glb", &told, &mut unwatched).unwrap_err();
    assert_eq!(error.to_string(), "read no points that span a surface, expected them for glTF");
}

proptest! {
    #![proptest_config(ProptestConfig {
        cases: 400,
        failure_persistence: None,
        rng_seed: RngSeed::Fixed(7),
        ..ProptestConfig::default()
    })]

    #[test]
    fn a_broken_file_is_converted_or_refused(
        source in 0..4_usize,
        out in 0..4_usize,
        flips in proptest::collection::vec((0.0..1.0_f64, 0..8_u8), 0..5),
        cut in 0.0..1.3_f64,
    ) {
        let sources = ["l.csv", "l.xml", "l.las", "l.geojson"];
        let mut bytes = to(LIST.as_bytes(), "l.csv", sources[source]).unwrap().bytes;
        for (share, bit) in flips {
            let at = (share * bytes.len() as f64) as usize;
            bytes[at] ^= 1 << bit;
        }
        bytes.truncate((cut * bytes.len() as f64) as usize);
        let out = ["o.xml", "o.geojson", "o.glb", "o.csv"][out];
        if let Err(error) = to(&bytes, sources[source], out) {
            prop_assert!(!error.to_string().is_empty());
        }
    }
}
