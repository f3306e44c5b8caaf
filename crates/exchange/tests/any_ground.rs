//! Whatever bytes stand in a LandXML file, they are read or refused with their place.

use exchange::content::Content;
use exchange::landxml::{Told, read};
use exchange::{geojson, geotiff, las, plain_grid, watch};
use proptest::prelude::*;
use proptest::test_runner::RngSeed;
use units::LengthUnit;

const TEXT: &str = "<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n\
    <LandXML xmlns=\"http://www.landxml.org/schema/LandXML-1.2\" version=\"1.2\">\n\
    <Units><Imperial linearUnit=\"foot\" elevationUnit=\"feet\"/></Units>\n\
    <CgPoints><CgPoint name=\"1\" code=\"GS\">10 20 30</CgPoint></CgPoints>\n\
    <Surfaces><Surface name=\"a &amp; b\"><SourceData>\
    <Breaklines><Breakline brkType=\"standard\"><PntList3D>1 1 5 8 8 6</PntList3D></Breakline></Breaklines>\
    <Boundaries><Boundary bndType=\"outer\" edgeTrim=\"true\"><PntList2D>0 0 0 9 9 9 9 0</PntList2D></Boundary>\
    </Boundaries></SourceData><Definition surfType=\"TIN\"><Pnts><P id=\"1\">0 0 1</P><P id=\"2\">0 9 2</P>\
    <P id=\"3\">9 9 3</P><P id=\"4\">9 0 4</P></Pnts><Faces><F>1 2 3</F><F i=\"0\" n=\"1 0 0\" b=\"3\">1 3 4</F>\
    </Faces></Definition></Surface></Surfaces></LandXML>\n";

/// What replaces a byte or stands before it.
const STRANGE: [&[u8]; 16] = [
    b"<",
    b">",
    b"\"",
    b"&",
    b"&#0;",
    b"&x;",
    b"<!DOCTYPE a>",
    b"<!--",
    b"<![CDATA[",
    b"\x00",
    b"\xff\xfe",
    b"NaN",
    b"1e999",
    b"99999999999999999999",
    b"\xc3",
    b"/",
];

fn finite(content: &Content) -> bool {
    let points = content.points.iter().map(|p| p.at_m);
    points
        .chain(content.surfaces.iter().flat_map(|t| t.vertices_m.iter().copied()))
        .all(|at| at.iter().all(|c| c.is_finite()))
}

proptest! {
    #![proptest_config(ProptestConfig {
        cases: 4000,
        failure_persistence: None,
        rng_seed: RngSeed::Fixed(23),
        ..ProptestConfig::default()
    })]

    #[test]
    fn a_broken_landxml_file_is_read_or_refused(
        breaks in proptest::collection::vec((0.0..1.0_f64, 0..STRANGE.len(), 0..3_usize), 0..4),
        flips in proptest::collection::vec((0.0..1.0_f64, 0..8_u8), 0..4),
        cut in 0.0..1.5_f64,
    ) {
        let mut bytes = TEXT.as_bytes().to_vec();
        for (share, strange, taken) in breaks {
            let at = (share * bytes.len() as f64) as usize;
            let end = (at + taken).min(bytes.len());
            bytes.splice(at..end, STRANGE[strange].iter().copied());
        }
        for (share, bit) in flips {
            let at = (share * bytes.len() as f64) as usize;
            bytes[at] ^= 1 << bit;
        }
        bytes.truncate((cut * bytes.len() as f64) as usize);
        match read(&bytes, &Told::default()) {
            Ok(content) => {
                prop_assert!(finite(&content));
                if let Ok(frame) = content.frame() {
                    for tin in &content.surfaces {
                        if let Ok((surface, _)) = tin.surface(&frame) {
                            surface.check().unwrap();
                        }
                    }
                }
            }
            Err(error) => {
                let said = error.to_string();
                prop_assert!(said.contains("expected"), "{said}");
            }
        }
    }

    #[test]
    fn a_cut_landxml_file_keeps_what_stood_before(cut in 0..TEXT.len()) {
        let whole = read(TEXT.as_bytes(), &Told::default()).unwrap();
        let told = Told { unit: Some(LengthUnit::Foot), ..Told::default() };
        if let Ok(content) = read(&TEXT.as_bytes()[..cut], &told) {
            let is_end = TEXT[cut..].trim().is_empty();
            prop_assert!(is_end || content.stopped.is_some());
            prop_assert_eq!(&whole.points[..content.points.len()], &content.points[..]);
            if let Some(tin) = content.surfaces.first() {
                let all = &whole.surfaces[0].vertices_m;
                let n = tin.vertices_m.len().min(all.len());
                prop_assert_eq!(&all[..n], &tin.vertices_m[..n]);
                prop_assert_eq!(&whole.surfaces[0].faces[..tin.faces.len()], &tin.faces[..]);
            }
        } else {
            prop_assert!(cut < TEXT.find("</CgPoint>").unwrap() + 10);
        }
    }

    #[test]
    fn any_bytes_are_read_or_refused(bytes in proptest::collection::vec(any::<u8>(), 0..400)) {
        let unit = Some(LengthUnit::Metre);
        let _ = read(&bytes, &Told { unit, ..Told::default() });
        let _ = plain_grid::read(&bytes, unit, None);
        let _ = geojson::read(&bytes, unit);
        let _ = geotiff::read(&bytes, &geotiff::Told { unit, z_unit: None });
        let mut las = b"LASF".to_vec();
        las.extend(&bytes);
        let _ = las::read(&las, &las::Told { unit, ..las::Told::default() }, &mut watch::unwatched);
    }

    #[test]
    fn a_broken_plain_grid_is_read_or_refused(
        breaks in proptest::collection::vec((0.0..1.0_f64, 0..STRANGE.len(), 0..3_usize), 0..4),
        cut in 0.0..1.5_f64,
    ) {
        let mut bytes = b"ncols 3\nnrows 3\nxllcorner 5\nyllcenter 6\ncellsize 2\nnodata_value -9\n\
            1 2 3\n4 -9 6\n7 8 9.5\n".to_vec();
        for (share, strange, taken) in breaks {
            let at = (share * bytes.len() as f64) as usize;
            let end = (at + taken).min(bytes.len());
            bytes.splice(at..end, STRANGE[strange].iter().copied());
        }
        bytes.truncate((cut * bytes.len() as f64) as usize);
        match plain_grid::read(&bytes, Some(LengthUnit::Metre), None) {
            Ok(content) => {
                let grid = content.grid.unwrap();
                prop_assert!(grid.posts_m().all(|at| at.iter().all(|c| c.is_finite())));
            }
            Err(error) => {
                let said = error.to_string();
                prop_assert!(said.contains("expected"), "{said}");
            }
        }
    }
}
