//! Level books through the public face.

use super::*;

const METRES: &str = "\
# units: m
name,BS,IS,FS,known,distance,x,y,code,remark
BM1,1.525,,,25.000,,0,0,STEP,top of the step
1,,1.204,,,,10,0,GS,
TP1,0.872,,1.913,,100,,,,a peg
TP2,1.760,,1.140,,150,,,,
2,,0.350,,,,10,8.5,GS,
BM1,,,1.110,,250,0,0,STEP,
";

fn book(text: &str) -> LevelBook {
    read(text.as_bytes(), &Told::default()).unwrap_or_else(|error| panic!("{text:?}: {error}"))
}

/// Name, place and code of each point.
fn rows(book: &LevelBook) -> Vec<(&str, [f64; 3], &str)> {
    book.list.points.iter().map(|p| (p.name.as_str(), p.at_m, p.code.as_str())).collect()
}

/// The corrections by hand are 1.2, 3 and 6 mm: shared by 100, 150 and 250 of 500 m.
fn is_the_garden(book: &LevelBook, text: &str) {
    let expected = [
        ("BM1", [0.0, 0.0, 25.0], "STEP"),
        ("1", [10.0, 0.0, 25.3222], "GS"),
        ("2", [10.0, 8.5, 25.76], "GS"),
    ];
    assert_eq!(book.list.points.len(), 3, "{text}");
    for ((name, at_m, code), (name_e, at_e, code_e)) in rows(book).into_iter().zip(expected) {
        assert_eq!((name, code), (name_e, code_e), "{text}");
        let near = at_m.iter().zip(at_e).all(|(a, b)| (a - b).abs() < 1e-9);
        assert!(near, "{text}: {at_m:?} {at_e:?}");
    }
    assert_eq!(book.notes.share, Share::ByDistance);
}

#[test]
fn every_way_of_writing_reads_the_same() {
    let semicolons = METRES.replace(',', ";").replace('.', ",");
    let tabs = METRES.replace(',', "\t");
    let crlf = METRES.replace('\n', "\r\n");
    let dashed = METRES.replace(",,", ",-,").replace(",,", ",-,");
    let words = METRES.replace(
        "name,BS,IS,FS,known,distance",
        "Station,Back sight,Intermediate,Fore sight,Elevation,Dist.",
    );
    let united = METRES.replace("# units: m\n", "").replace("BS,IS", "BS (m),IS");
    for text in [METRES.to_owned(), semicolons, tabs, crlf, dashed, words, united] {
        assert!(is_level_book(text.as_bytes()), "{text}");
        is_the_garden(&book(&text), &text);
    }
}

#[test]
fn a_point_list_is_no_level_book() {
    for text in ["name,x,y,z,code\n1,0,0,10,BS\n", "1,2,3\n", "", "# BS,FS\nx,y,z\n1,2,3\n", "\0\0"]
    {
        assert!(!is_level_book(text.as_bytes()), "{text:?}");
    }
}

#[test]
fn feet_are_read_as_feet() {
    // T-02: Ghilani and Wolf, *Elementary Surveying*, as copied in lecture notes.
    let text = "# units: us-ft\nmark,back,fore,elevation,x,y\nBM,8.42,,820.00,,\nX,,1.20,,5,6\n";
    let book = book(text);
    let foot_m = 1200.0 / 3937.0;
    let at_m = book.list.points[0].at_m.map(|m| m / foot_m);
    for (value, expected) in at_m.into_iter().zip([5.0, 6.0, 827.22]) {
        assert!((value - expected).abs() < 1e-9, "{value} {expected}");
    }
    assert_eq!(book.list.unit, LengthUnit::UsSurveyFoot);
}

#[test]
fn the_first_marks_elevation_comes_from_one_place() {
    let bare = METRES.replace("25.000", "");
    let told = Told { bench: Some("25".into()), unit: None };
    let by_user = read(bare.as_bytes(), &told).unwrap();
    is_the_garden(&by_user, "--bench");
    is_the_garden(&book(&format!("# bench: 25,0\n{bare}")), "comment");
    let kept = as_read(bare.as_bytes(), by_user.list.unit, told.bench.as_deref()).unwrap();
    is_the_garden(&book(&kept), &kept);
    refused(
        &bare,
        "line 3: read a first mark without an elevation, expected the known elevation of BM1",
    );
    let refused_by = |text: &str, told: &Told, said: &str| {
        let error = read(text.as_bytes(), told).unwrap_err().to_string();
        assert!(error.contains(said), "{error}");
    };
    refused_by(
        METRES,
        &told,
        "line 3: read the first mark's elevation, expected it told once, not by --bench",
    );
    refused_by(&format!("# bench: 25\n{bare}"), &told, "line 1: read the first mark's elevation");
    let wrong = Told { bench: Some("high".into()), unit: None };
    refused_by(
        &bare,
        &wrong,
        "--bench: read `high`, expected a number for the first mark's elevation",
    );
}

fn refused(text: &str, said: &str) {
    let error = read(text.as_bytes(), &Told::default()).unwrap_err().to_string();
    assert!(error.contains(said), "{said:?} is not in {error:?}");
}

#[test]
fn bad_readings_are_named_with_their_place() {
    let with = |from: &str, to: &str| METRES.replace(from, to);
    refused(
        &with("1.204", "1.2o4"),
        "line 4, column 4: read `1.2o4`, expected a number for intermediate sight",
    );
    refused(
        &with("1.204", "NaN"),
        "line 4, column 4: read `NaN`, expected a number for intermediate sight",
    );
    refused(
        &with("1.913", "1.913 1.915"),
        "line 5, column 12: read `1.913 1.915`, expected one foresight a row",
    );
    refused(
        &with("1.204", "12.04"),
        "expected a number for intermediate sight that a staff can show, from -10 to 10",
    );
    refused(&with("1.204", "1,204"), "line 4");
    refused(&with("150", "0"), "that a level can sight");
    refused(
        &with("10,8.5", "10,"),
        "line 7, column 1: read `2,,0.350,,,,10,,GS,`, expected y beside x, or neither",
    );
    refused(
        &with("TP1,0.872,,1.913", "TP1,0.872,1,1.913"),
        "line 5: read an intermediate sight beside another sight",
    );
    refused(
        &with("TP1,0.872", "TP1,"),
        "line 5: read a turning point without a backsight, expected a backsight on TP1",
    );
    refused(&with("BM1,1.525,", "BM1,,"), "line 3: read a row without a reading");
    refused(&with("BM1,1.525,,", "BM1,,,1.525"), "line 3: read a foresight before any backsight");
    refused(
        &with("BM1,,,1.110,,250,0,0,STEP,\n", ""),
        "line 7: read the end of the notes without a closing sight",
    );
    refused(
        &with(",150,", ",,"),
        "line 6: read a foresight without a distance, expected a distance on every",
    );
}

#[test]
fn bad_headers_are_named() {
    refused(
        "name,BS,FS,FS,x,y\n",
        "line 1: read `name,BS,FS,FS,x,y`, expected each column once; foresight stands twice",
    );
    refused("name,BS,IS\nA,1,2\n", "foresight is missing");
    refused("name,BS,FS,x\nA,1,2,3\n", "x and y, or neither; y is missing");
    refused("name,BS (m),FS (ft)\nA,1,\nB,,1\n", "one unit for all that is measured, not m and ft");
    refused("name BS FS\nA 1 2\nB 1 3\n", "commas, semicolons or tabs between columns");
    refused("name,BS (m),FS\n", "line 1: read to the end without a point");
    refused("name,BS,FS,known\nA,1,,5\nA,,1,\n", "the unit of length is not known");
    let text = "# units: m\nremark,BS,FS,known,HI\nA,1,,5,6\nA,,1,,\n";
    let book = book(text);
    assert_eq!(book.notes.file_rows[0].name, "A");
    assert_eq!(book.list.doubts[0].message, "the column `hi` is not read");
}
