use ground::query::Locator;
use units::LengthUnit;

use super::*;
use crate::content::{Content, Datum, Line, LineKind, LinePlace};
use crate::tin::Tin;
use crate::tin::tests::{frame, triangles};

const METRES: &str = "<Units><Metric linearUnit=\"meter\"/></Units>";

fn file(inner: &str) -> String {
    format!(
        "<?xml version=\"1.0\"?>\n<LandXML xmlns=\"http://www.landxml.org/schema/LandXML-1.2\" \
         version=\"1.2\">\n{inner}\n</LandXML>\n"
    )
}

fn surface(units: &str, points: &str, faces: &str) -> String {
    file(&format!(
        "{units}\n<Surfaces><Surface name=\"lawn\"><Definition surfType=\"TIN\">\n<Pnts>{points}</Pnts>\n\
         <Faces>{faces}</Faces></Definition></Surface></Surfaces>"
    ))
}

fn told(text: &str) -> Result<Content, LandXmlError> {
    read(text.as_bytes(), &Told::default())
}

const POINTS: &str = "<P id=\"1\">0 0 100</P><P id=\"2\">0 100 110</P><P id=\"3\">100 100 110</P>\
                      <P id=\"4\">100 0 100</P>";

/// T-12: a plane that rises east is recovered, not mirrored: z(E 50, N 50) = 105, z(E 10, N 90) = 101.
#[test]
fn places_are_northing_easting_elevation() {
    let content = told(&surface(METRES, POINTS, "<F>1 2 3</F><F>1 3 4</F>")).unwrap();
    assert_eq!(content.doubts, [""; 0]);
    let (surface, made) = content.surfaces[0].surface(&frame([0.0; 2])).unwrap();
    assert_eq!(made.n_turned, 0);
    let locator = Locator::new(&surface);
    assert_eq!(locator.elevation([50.0, 50.0]), Some(105.0));
    assert_eq!(locator.elevation([10.0, 90.0]), Some(101.0));
    let name = &content.surfaces[0].name;
    assert_eq!(name, "lawn");
}

#[test]
fn faces_that_all_run_clockwise_raise_a_doubt_and_the_order_can_be_told() {
    // Easting first, by mistake.
    let points = "<P id=\"1\">0 0 1</P><P id=\"2\">9 0 1</P><P id=\"3\">9 5 1</P>";
    let text = surface(METRES, points, "<F>1 2 3</F>");
    let content = told(&text).unwrap();
    assert!(
        content.doubts[0].contains("are northing and easting swapped?"),
        "{:?}",
        content.doubts
    );
    let axes = Axes::EastingFirst;
    let turned = read(text.as_bytes(), &Told { axes, ..Told::default() }).unwrap();
    assert_eq!(turned.doubts, [""; 0]);
    assert_eq!(turned.surfaces[0].vertices_m[1], [9.0, 0.0, 1.0]);
    // On a metric grid an easting has six digits and a northing seven.
    let grid = "<CgPoints><CgPoint name=\"1\">512000.5 5401000.25 300</CgPoint></CgPoints>";
    let doubts = told(&file(&format!("{METRES}{grid}"))).unwrap().doubts;
    assert!(doubts[0].contains("are they swapped?"), "{doubts:?}");
}

#[test]
fn a_line_off_its_surface_that_lies_on_it_when_turned_raises_a_doubt() {
    let inner = format!(
        "{METRES}<Surfaces><Surface name=\"s\"><SourceData><Breaklines><Breakline name=\"top\">\
         <PntList3D>510 20 1 520 30 1</PntList3D></Breakline></Breaklines></SourceData>\
         <Definition surfType=\"TIN\"><Pnts><P id=\"1\">10 500 1</P><P id=\"2\">10 540 1</P>\
         <P id=\"3\">40 540 1</P></Pnts><Faces><F>1 2 3</F></Faces></Definition></Surface></Surfaces>"
    );
    let doubts = told(&file(&inner)).unwrap().doubts;
    assert!(doubts[0].contains("the breakline `top` lies off its points"), "{doubts:?}");
}

#[test]
fn the_two_feet_are_kept_apart_and_no_unit_is_guessed() {
    let foot = "<Units><Imperial linearUnit=\"foot\"/></Units>";
    let us_foot = "<Units><Imperial linearUnit=\"USSurveyFoot\" elevationUnit=\"feet\"/></Units>";
    let points = "<CgPoints><CgPoint name=\"A\">1000000 2000000 100</CgPoint></CgPoints>";
    let at_m = |units: &str| told(&file(&format!("{units}{points}"))).unwrap().points[0].at_m;
    // T-11: 1,000,000 ft as one and the other differ by 2.000 ft.
    let apart_ft = (at_m(us_foot)[1] - at_m(foot)[1]) / 0.3048;
    assert!((apart_ft - 2.000_004).abs() < 1e-6, "{apart_ft}");
    assert_eq!(at_m(us_foot)[0], 2_000_000.0 * 1200.0 / 3937.0);
    assert_eq!(told(&file(points)), Err(LandXmlError::UnitUnknown));
    let by_user = Told { unit: Some(LengthUnit::UsSurveyFoot), ..Told::default() };
    let read_as = |units: &str| read(file(&format!("{units}{points}")).as_bytes(), &by_user);
    assert_eq!(read_as("").unwrap().points[0].at_m, at_m(us_foot));
    assert!(matches!(read_as(foot), Err(LandXmlError::UnitContradicted { .. })));
}

#[test]
fn mixed_units_are_asked_about() {
    let mixed = "<Units><Metric linearUnit=\"meter\" elevationUnit=\"feet\"/></Units>";
    let text = file(&format!("{mixed}<CgPoints><CgPoint name=\"A\">1 2 100</CgPoint></CgPoints>"));
    let error = told(&text).unwrap_err().to_string();
    assert!(
        error.starts_with("line 3, column 8: read places in `meter` and elevations in `feet`"),
        "{error}"
    );
    assert!(error.contains("--z-units"), "{error}");
    let z_unit = Some(LengthUnit::Foot);
    let content = read(text.as_bytes(), &Told { z_unit, ..Told::default() }).unwrap();
    assert_eq!(content.points[0].at_m, [2.0, 1.0, 30.48]);
    let twice = format!("{METRES}<Units><Imperial linearUnit=\"foot\"/></Units>");
    assert!(told(&file(&twice)).unwrap_err().to_string().contains("told once"));
    let mile = "<Units><Imperial linearUnit=\"mile\"/></Units>";
    assert!(told(&file(mile)).unwrap_err().to_string().contains("USSurveyFoot"));
}

#[test]
fn invisible_faces_grids_any_ids_and_breakline_sides() {
    let points = "<P id=\"70\">0 0 1</P><P id=\"5\">0 9 2</P><P id=\"6\">9 9 3</P><P id=\"9\">9 0 4</P>\
                  <P id=\"11\">9 30 5</P>";
    let faces = "<F b=\"5\">70 5 6 9</F><F i=\"1\">5 11 6</F>";
    let content = told(&surface(METRES, points, faces)).unwrap();
    let tin = &content.surfaces[0];
    assert_eq!(tin.faces, [[0, 1, 2], [0, 2, 3]]);
    assert_eq!(tin.fixed, [0b001, 0b010]);
    assert_eq!(content.doubts, ["the surface lawn: 1 faces are marked invisible and left out"]);
    let (surface, made) = tin.surface(&frame([0.0; 2])).unwrap();
    assert_eq!((surface.faces().len(), made.n_unused), (2, 1));
    let unknown = surface_error(points, "<F>70 5 8</F>");
    assert_eq!(
        unknown,
        "line 6, column 11, F of the surface lawn: read `8`, expected the id of one of its 5 points"
    );
    let twice = surface_error("<P id=\"1\">0 0 1</P>\n<P id=\"1\">0 9 1</P>", "");
    assert!(twice.starts_with("line 6, column 11, P id of the surface lawn: read `1`"), "{twice}");
}

fn surface_error(points: &str, faces: &str) -> String {
    told(&surface(METRES, points, faces)).unwrap_err().to_string()
}

#[test]
fn points_in_groups_with_codes_and_what_they_lack() {
    let inner = format!(
        "{METRES}<CgPoints><CgPoint name=\"1\" code=\"GS\" desc=\"by the &lt;oak&gt;\">1 2 3</CgPoint>\n\
         <CgPoints name=\"more\"><CgPoint name=\"2\">4.5 -5e0 6</CgPoint></CgPoints>\
         <CgPoint name=\"3\" pntRef=\"1\"/><CgPoint name=\"4\">7 8</CgPoint></CgPoints>"
    );
    let content = told(&file(&inner)).unwrap();
    assert_eq!(content.points.len(), 2);
    let point = &content.points[0];
    assert_eq!((point.at_m, point.line), ([2.0, 1.0, 3.0], 3));
    assert_eq!((point.code.as_str(), point.note.as_str()), ("GS", "by the <oak>"));
    assert_eq!(content.points[1].at_m, [-5.0, 4.5, 6.0]);
    assert!(content.doubts.contains(&"1 points without an elevation are left out".to_owned()));
}

#[test]
fn source_data_without_faces_is_kept_for_triangulation() {
    let inner = format!(
        "{METRES}<Surfaces><Surface name=\"s\"><SourceData><DataPoints><PntList3D>0 0 1 0 10 1\n10 10 2 \
         10 0 2</PntList3D></DataPoints><Breaklines><Breakline brkType=\"standard\" name=\"crest\">\
         <PntList3D>5 2 7 5 8 7</PntList3D><Feature name=\"f\"><Property label=\"a\" value=\"b\"/></Feature>\
         </Breakline></Breaklines><Boundaries><Boundary bndType=\"void\" edgeTrim=\"true\"><PntList2D>\
         1 1 1 2 2 2 2 1</PntList2D></Boundary></Boundaries><Contours><Contour elev=\"1.5\"><PntList2D>\
         3 1 3 9</PntList2D></Contour></Contours></SourceData></Surface></Surfaces>"
    );
    let content = told(&file(&inner)).unwrap();
    let tin = &content.surfaces[0];
    assert_eq!((tin.vertices_m.len(), tin.faces.len(), tin.lines.len()), (4, 0, 3));
    assert_eq!(tin.lines[1].kind, LineKind::Void);
    assert!(tin.lines[1].is_closed());
    let (surface, _) = tin.surface(&frame([0.0; 2])).unwrap();
    let locator = Locator::new(&surface);
    assert_eq!(locator.elevation([5.0, 5.0]), Some(7.0));
    assert_eq!(locator.elevation([5.0, 3.0]), Some(1.5));
    assert_eq!(locator.elevation([1.5, 1.5]), None);
    let short = inner.replace("5 2 7 5 8 7", "5 2 7 5 8");
    let error = told(&file(&short)).unwrap_err().to_string();
    assert!(error.contains("Breakline `crest`: read `2 numbers at the end`"), "{error}");
}

#[test]
fn what_stood_before_a_cut_is_kept_and_the_place_is_named() {
    let whole = surface(METRES, POINTS, "<F>1 2 3</F><F>1 3 4</F>");
    let cut = whole.find("<F>1 3 4").unwrap() + 5;
    let content = told(&whole[..cut]).unwrap();
    assert_eq!(content.surfaces[0].faces.len(), 1);
    let stopped = content.stopped.unwrap();
    assert_eq!(
        stopped.at,
        "line 6, column 25, in LandXML > Surfaces > Surface > Definition > Faces > F"
    );
    assert_eq!(stopped.message, "read the end of the file, expected </F>");
    // Nothing good stands before this cut.
    let error = told(&whole[..90]).unwrap_err().to_string();
    assert!(error.contains("the end of the file"), "{error}");
}

#[test]
fn what_is_wrong_is_named_with_line_column_element_and_what_was_expected() {
    for (text, said) in [
        (
            surface(METRES, "<P id=\"1\">1,5 2 3</P>", ""),
            "line 5, column 17, P id=\"1\": read `1,5`, expected a number with a decimal point",
        ),
        (
            surface(METRES, "<P id=\"x\">1 2 3</P>", ""),
            "line 5, column 14, P id: read `x`, expected a whole number",
        ),
        (
            surface(METRES, "<P id=\"1\">1 2 NaN</P>", ""),
            "line 5, column 21, P id=\"1\": read `NaN`, expected a number with a decimal point",
        ),
        (
            surface(METRES, "<P id=\"1\">1 2 1e9</P>", ""),
            "line 5, column 17, P of the surface lawn: read `1 2 1000000000`, expected an elevation \
             from -500 m to 9000 m",
        ),
        (
            surface(METRES, POINTS, "<F>1 2</F>"),
            "line 6, column 11, F: read `1 2`, expected the ids of three points, or of four on a grid",
        ),
        (
            "<LandXML>\n<Units></LandXML>".to_owned(),
            "line 2, column 8, in LandXML > Units: read `</LandXML>`, expected </Units>",
        ),
        ("<kml/>".to_owned(), "line 1, column 1: read the element `kml`, expected `LandXML`"),
        (
            file(METRES),
            "line 5: read to the end without a point or a surface, expected CgPoints or Surfaces",
        ),
    ] {
        assert_eq!(told(&text).unwrap_err().to_string(), said);
    }
}

#[test]
fn a_document_type_is_refused_and_nothing_expanded() {
    let bomb = format!(
        "<?xml version=\"1.0\"?>\n<!DOCTYPE LandXML [<!ENTITY a \"aaaa\"><!ENTITY b \"&a;&a;\">]>\n{}",
        "<LandXML>&b;</LandXML>"
    );
    let error = told(&bomb).unwrap_err().to_string();
    assert!(error.starts_with("line 2, column 1") && error.contains("no document type"), "{error}");
    let outside = file("<Project name=\"&xxe;\"/>");
    assert!(told(&outside).unwrap_err().to_string().contains("no other entity is expanded"));
}

#[test]
fn a_declared_encoding_is_followed() {
    let text = surface(METRES, POINTS, "<F>1 2 3</F>")
        .replace("<?xml version=\"1.0\"?>", "<?xml version=\"1.0\" encoding=\"ISO-8859-1\"?>")
        .replace("lawn", "gr\u{FC}n");
    let latin: Vec<u8> = text.chars().map(|letter| letter as u8).collect();
    assert_eq!(read(&latin, &Told::default()).unwrap().surfaces[0].name, "gr\u{FC}n");
    let wide: Vec<u8> = text.encode_utf16().flat_map(u16::to_be_bytes).collect();
    assert_eq!(read(&wide, &Told::default()).unwrap().surfaces[0].name, "gr\u{FC}n");
}

/// Walls, a hole, millimetres far from the origin, in every unit: read, write, read.
#[test]
fn what_is_written_is_read_back_as_the_same_surface() {
    let origin_m = [512_345.0, 5_401_234.0];
    let [x, y] = origin_m;
    let mut points = Vec::new();
    for i in 0..12 {
        for j in 0..12 {
            let (u, v) = (f64::from(i), f64::from(j));
            let z = 312.0 + (u * 0.7).fract() * 0.513 + v * 0.031;
            points.push([x + u * 1.503, y + v * 1.207 + 0.001 * u, z]);
        }
    }
    let ring = [[4.0, 4.0], [8.0, 4.0], [8.0, 7.5], [4.0, 7.5], [4.0, 4.0]];
    let hole = Line {
        name: "house".into(),
        kind: LineKind::Void,
        places: ring.iter().map(|p| LinePlace::flat([x + p[0], y + p[1]])).collect(),
    };
    let tin = Tin { vertices_m: points, lines: vec![hole], ..Tin::default() };
    let frame = frame(origin_m);
    let (ground, _) = tin.surface(&frame).unwrap();
    let stepped = ground.lowered(|f| if ground.corners(f)[0].x < 9_000_000 { 0.75 } else { 0.0 });
    for surface in [&ground, &stepped] {
        for unit in [LengthUnit::Metre, LengthUnit::Foot, LengthUnit::UsSurveyFoot] {
            let mut tin = Tin::of(surface, &frame, "existing & \"old\"");
            tin.lines.push(Line {
                name: "top of <bank>".into(),
                kind: LineKind::Breakline,
                places: vec![
                    LinePlace::solid([x, y, 312.125]),
                    LinePlace::solid([x + 1.0, y, 313.0]),
                ],
            });
            let point = crate::points::Point {
                name: "BM 1".into(),
                at_m: [x + 0.001, y - 0.002, 311.999],
                code: "BM".into(),
                note: "nail & disc".into(),
                line: 1,
            };
            let datum = Datum { horizontal: "Park & grid".into(), vertical: "Quay".into() };
            let (points, surfaces) = (vec![point], vec![tin]);
            let content = Content { unit, datum, points, surfaces, ..Content::default() };
            let text = write(&content, unit, &Stamp::default());
            let back = read(text.as_bytes(), &Told::default()).unwrap();
            assert_eq!((back.unit, &back.datum), (unit, &content.datum));
            assert_eq!(back.surfaces[0].name, content.surfaces[0].name);
            let (again, made) = back.surfaces[0].surface(&frame).unwrap();
            assert!(!made.is_rebuilt && made.n_flat == 0);
            let off = |a: [f64; 3], b: [f64; 3]| (0..3).any(|k| (a[k] - b[k]).abs() > 1e-9);
            assert!(!off(back.points[0].at_m, content.points[0].at_m));
            assert_eq!(back.points[0].name, "BM 1");
            assert_eq!(back.surfaces[0].lines[0].name, "top of <bank>");
            if unit == LengthUnit::Metre {
                assert_eq!(triangles(&again), triangles(surface));
                assert_eq!(write(&back, unit, &Stamp::default()), text);
            } else {
                // Heights in feet are read back to the last bit or the next.
                let plan = |s: &ground::Surface| {
                    triangles(s).into_iter().map(|t| t.map(|c| c.0)).collect::<Vec<_>>()
                };
                assert_eq!(plan(&again), plan(surface));
            }
        }
    }
}

#[test]
fn a_stamp_tells_the_date_of_a_number_of_seconds() {
    for (seconds, date, time) in [
        (0, "1970-01-01", "00:00:00"),
        (951_782_399, "2000-02-28", "23:59:59"),
        (951_782_400, "2000-02-29", "00:00:00"),
        (1_709_251_200, "2024-03-01", "00:00:00"),
        (4_107_542_400, "2100-03-01", "00:00:00"),
    ] {
        let stamp = Stamp { date: date.into(), time: time.into() };
        assert_eq!(Stamp::of_unix_s(seconds), stamp);
    }
}
