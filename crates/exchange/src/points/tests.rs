//! Point lists through the public face.

use units::LengthUnit;

use super::*;

fn told(columns: &str, unit: LengthUnit) -> Told {
    let columns = (!columns.is_empty()).then(|| Columns::given(columns).unwrap());
    Told { columns, unit: Some(unit) }
}

fn metres(text: &str) -> Result<PointList, PointsError> {
    read(text.as_bytes(), &told("", LengthUnit::Metre))
}

/// Name, place and code of each point.
fn rows(list: &PointList) -> Vec<(&str, [f64; 3], &str)> {
    list.points.iter().map(|p| (p.name.as_str(), p.at_m, p.code.as_str())).collect()
}

const EXPECTED: [(&str, [f64; 3], &str); 2] =
    [("1", [1.5, 2.5, 100.25], "GS"), ("2", [-3.0, 4.0, 101.0], "12\" oak")];

#[test]
fn every_dialect_reads_the_same() {
    let texts = [
        "name,x,y,z,code\n1,1.5,2.5,100.25,GS\n2,-3,4,101,12\" oak\n",
        "name,x,y,z,code\r\n1, 1.5, 2.5, 100.25, GS\r\n2, -3, 4, 101, 12\" oak\r\n",
        "name,x,y,z,code\r1,1.5,2.5,100.25,GS,\r2,-3,4,101,12\" oak,",
        "Point;Easting;Northing;Elevation;Description\n1;1,5;2,5;100,25;GS\n2;-3;4;101,0;12\" oak\n",
        "no\te\tn\tz\tcode\n1\t1.5\t2.5\t100.25\tGS\n2\t-3\t4\t101\t12\" oak\n",
        "# a comment\n\npt x y z d\n  1   1,5 2,5 100,25 GS\n2 -3,0 4,0 101,0 12\" oak\n\n",
        "x (m),y (m),code,name,height (m)\n1.5,2.5,GS,1,100.25\n-3,4,\"12\"\" oak\",2,101\n",
        "name,x,y,z,code\n1,1.5,2.5,100.25,GS\n2,-3,4,101,\"12\" oak\"\n",
        "\u{FEFF}name,x,y,z,code\n1,1.5,2.5,100.25,GS\n2,-3,4,101,12\" oak\n",
    ];
    for text in texts {
        let list = metres(text).unwrap_or_else(|error| panic!("{text:?}: {error}"));
        assert_eq!(rows(&list), EXPECTED, "{text:?}");
        let utf16: Vec<u8> = std::iter::once(0xFEFF)
            .chain(text.trim_start_matches('\u{FEFF}').encode_utf16())
            .flat_map(u16::to_le_bytes)
            .collect();
        for bytes in [&utf16[..], &utf16[2..]] {
            let list = read(bytes, &told("", LengthUnit::Metre)).unwrap();
            assert_eq!(rows(&list), EXPECTED, "UTF-16 of {text:?}");
        }
    }
}

#[test]
fn an_order_that_is_told_reads_a_list_without_header() {
    let text = "1 2.5 1.5 100.25 GS\n2 4 -3 101 12\" oak\n";
    for order in ["nyxzc", "pnezd", "name,y,x,z,code", "no n e elev desc"] {
        let list = read(text.as_bytes(), &told(order, LengthUnit::Metre)).unwrap();
        assert_eq!(rows(&list), EXPECTED, "{order}");
        assert_eq!(list.dialect.columns_from, ColumnsFrom::User);
    }
}

#[test]
fn the_dialect_is_shown() {
    let list = metres("Point;E;N;Z\n1;1,5;2,5;3\n").unwrap();
    assert_eq!(
        list.dialect.to_string(),
        "semicolon between columns, decimal comma, UTF-8, columns name,x,y,z from the header on \
         line 1"
    );
}

#[test]
fn feet_and_inches_are_read_where_they_are_told() {
    let text = "x\ty\tz\n12'-3\"\t4 ft 6 in\t100.5\n";
    let list = read(text.as_bytes(), &told("", LengthUnit::FootInch)).unwrap();
    for (metres, feet) in list.points[0].at_m.into_iter().zip([12.25, 4.5, 100.5]) {
        assert!((metres - LengthUnit::Foot.to_metres(feet)).abs() < 1e-12);
    }
    assert!(read(text.as_bytes(), &told("", LengthUnit::Foot)).is_err());
}

#[test]
fn a_list_without_header_asks_for_the_order() {
    let error = metres("# shots\n1,1.5,2.5,3\n").unwrap_err();
    assert!(matches!(error, PointsError::OrderUnknown { line: 2, .. }), "{error}");
    assert!(error.to_string().contains("--columns"));
}

#[test]
fn the_unit_is_asked_for_and_never_guessed() {
    let bytes = |text: &str| text.as_bytes().to_vec();
    let plain = bytes("x,y,z\n1,2,3\n");
    assert_eq!(read(&plain, &Told::default()).unwrap_err(), PointsError::UnitUnknown);
    // A header that says feet leaves open which foot.
    let feet = bytes("x (ft),y (ft),z (ft)\n1000000,2,3\n");
    assert_eq!(read(&feet, &Told::default()).unwrap_err(), PointsError::UnitUnknown);
    // T-11: at 1,000,000 ft the two feet differ by 2.000 ft.
    let east = |unit| read(&feet, &told("", unit)).unwrap().points[0].at_m[0];
    let apart_ft = (east(LengthUnit::UsSurveyFoot) - east(LengthUnit::Foot)) / 0.3048;
    assert!((apart_ft - 2.000).abs() < 1e-3, "{apart_ft}");
    assert!(matches!(
        read(&feet, &told("", LengthUnit::Metre)).unwrap_err(),
        PointsError::UnitContradicted { line: 1, .. }
    ));
    let commented = bytes("# units: us-ft\nx,y,z\n1,2,3\n");
    assert_eq!(read(&commented, &Told::default()).unwrap().unit, LengthUnit::UsSurveyFoot);
    assert!(read(&commented, &told("", LengthUnit::Foot)).is_err());
}

#[test]
fn a_bad_field_is_named_with_line_column_and_what_was_expected() {
    let cases = [
        ("x,y,z\n1,2,3\n1,abc,3\n", "line 3, column 3: read `abc`, expected a number for y"),
        ("x,y,z\n1,2,NaN\n", "line 2, column 5: read `NaN`, expected a number for z"),
        ("x,y,z\n1,2,3\ninf,2,3\n", "line 3, column 1: read `inf`, expected a number for x"),
        (
            "x,y,z\n1e308,2,3\n",
            "line 2, column 1: read `1e308`, expected a number for x (easting) that",
        ),
        (
            "x,y,z\n1,2,9001\n",
            "line 2, column 5: read `9001`, expected a number for z (elevation) that",
        ),
        ("x,y,z\n1,2,-501\n", "line 2, column 5: read `-501`"),
        ("x,y,z\n1,,3\n", "line 2, column 3: read ``, expected a number for y"),
        ("x,y,z\n1,2\n", "line 2: read 2 fields, expected 3"),
        ("x,y,z\n1,2,3,4\n", "line 2: read 4 fields, expected 3"),
        ("x;y;z\n1,5;2,5;3\n1.5;2;3\n", "line 3, column 1: read `1.5`, expected a decimal comma"),
        ("x,y,z,note\n1,2,3,\"oak\n", "line 2, column 7: read an opening quote"),
        ("x,y,code\n1,2,3\n", "line 1: read `x y code`, expected x, y and z"),
        ("x,x,y,z\n1,2,3,4\n", "line 1: read `x x y z`, expected each column once"),
        ("# units: cubits\nx,y,z\n1,2,3\n", "line 1: read the unit `cubits`"),
        ("", "line 1: read an empty file"),
        ("# nothing\n\n", "line 2: read to the end without a point"),
        ("x,y,z\n", "line 1: read to the end without a point"),
        ("x,y,z\n1,2\u{1},3\n", "line 2, column 4: read the byte 0x01 of a binary file"),
    ];
    for (text, expected) in cases {
        let message = metres(text).expect_err(text).to_string();
        assert!(message.starts_with(expected), "{text:?}: {message}");
    }
}

#[test]
fn points_that_span_no_surface_are_refused() {
    let spread = |text: &str| check_spread(&metres(text).unwrap().points).unwrap_err().to_string();
    assert!(spread("x,y,z\n1,2,3\n").contains("lone point"));
    assert!(spread("x,y,z\n1,2,3\n1,2,3\n1,2,4\n").contains("3 points at one place"));
    let mut on_line = "x,y,z\n".to_owned();
    for row in 0..1000 {
        on_line.push_str(&format!("{},{},1\n", f64::from(row), f64::from(row) / 3.0));
    }
    assert!(spread(&on_line).contains("1000 points on one line"));
    assert!(check_spread(&metres("x,y,z\n0,0,0\n1000,0,0\n2000,40,0\n").unwrap().points).is_ok());
}

#[test]
fn doubts_are_shown_and_nothing_is_dropped() {
    let kinds = |text: &str| -> Vec<DoubtKind> {
        metres(text).unwrap().doubts.iter().map(|doubt| doubt.kind).collect()
    };
    let grid = |extra: &str| {
        let cell =
            |k: i32| format!("p{k},{},{},{}\n", k % 6, k / 6 * 2, 10.0 + f64::from(k) / 50.0);
        format!("name,x,y,z\n{}{extra}", (0..36).map(cell).collect::<String>())
    };
    assert_eq!(kinds(&grid("")), []);
    assert_eq!(kinds(&grid("d,0,0,10.4\n")), [DoubtKind::SamePlace]);
    assert_eq!(kinds(&grid("p3,2.5,2.5,10\n")), [DoubtKind::SameName]);
    assert_eq!(kinds(&grid("s,5000,5000,10\n")), [DoubtKind::FarOff]);
    assert_eq!(kinds("name,x,y,z,rms\na,0,0,1,1\nb,1,2,3,1\nc,3,1,1,1\n"), [DoubtKind::Unread]);
    // Elevation and easting exchanged.
    assert_eq!(kinds("z,y,x\n0,1,10\n8,1,11\n0,2,10.5\n8,2,10\n4,1.5,11\n"), [DoubtKind::Swapped]);
    assert_eq!(
        kinds("x,y,z\n5400000.1,500000.2,1\n5400003,500001,2\n5400001,500004,1\n"),
        [DoubtKind::Swapped]
    );
    assert_eq!(kinds("x,y,z\n0,0,1\n40,1,2\n39,42,1\n1,40,2\n"), [DoubtKind::Thin]);
    let list = metres(&grid("d,0,0,10.4\ns,5000,5000,10\n")).unwrap();
    assert_eq!(list.points.len(), 38);
}

#[test]
fn one_point_with_easting_and_northing_swapped_is_noticed() {
    let row = |k: i32| format!("p{k},{},{},10\n", 400_000 + k % 6, 5_000_000 + k / 6 * 2);
    let rows: String = (0..36).map(row).collect();
    let doubts = metres(&format!("name,x,y,z\n{rows}t,5000003,400004,10\n")).unwrap().doubts;
    assert_eq!((doubts.len(), doubts[0].line), (1, 38));
    assert!(doubts[0].message.ends_with("are its x and y swapped?"), "{}", doubts[0].message);
    // One that lies elsewhere either way is only far off.
    let doubts = metres(&format!("name,x,y,z\n{rows}t,5000003,5000004,10\n")).unwrap().doubts;
    assert!(!doubts[0].message.contains("swapped"), "{}", doubts[0].message);
}

#[test]
fn writing_and_reading_give_the_same_points() {
    let list = metres(
        "name,x,y,z,code,note\n1,500000.123456,4500000.1,10.1,GS,\"a, b\"\n\n\
         2,1.1,2.2,3.3,EDGE,12\" oak\n3,7,8,9,EDGE,\n",
    )
    .unwrap();
    for unit in [LengthUnit::Metre, LengthUnit::Foot, LengthUnit::UsSurveyFoot] {
        let again = read(write(&list.points, unit).as_bytes(), &Told::default()).unwrap();
        assert_eq!(again.unit, unit);
        for (point, read) in list.points.iter().zip(&again.points) {
            assert_eq!((&point.name, &point.code), (&read.name, &read.code));
            assert_eq!(point.note, read.note);
            for axis in 0..3 {
                assert!((point.at_m[axis] - read.at_m[axis]).abs() < 1e-9);
            }
        }
        assert_eq!(runs(&again.points).count(), 2);
    }
}

#[test]
fn a_file_is_kept_as_it_was_and_reads_without_being_told() {
    let bytes = b"1;2,5;1,5;100,25;GS\r\n\r\n2;4;-3;101;12\" oak\r\n";
    let list = read(bytes, &told("nyxzc", LengthUnit::UsSurveyFoot)).unwrap();
    let kept = as_read(bytes, &list).unwrap();
    assert!(kept.ends_with("1;2,5;1,5;100,25;GS\n\n2;4;-3;101;12\" oak\n"));
    let again = read(kept.as_bytes(), &Told::default()).unwrap();
    assert_eq!(rows(&again), rows(&list));
    assert_eq!(as_read(kept.as_bytes(), &again).unwrap().lines().count(), 7);
}

#[test]
fn comments_tell_codes() {
    let list = metres(
        "# lines: BANK, EDGE  top and toe\n# boundary: BND\n# voids: HOUSE\nx,y,z,code\n1,2,3,BND\n",
    )
    .unwrap();
    assert_eq!(list.line_codes, ["BANK", "EDGE"]);
    assert_eq!(list.boundary_code.as_deref(), Some("BND"));
    assert_eq!(list.void_code.as_deref(), Some("HOUSE"));
}

#[test]
fn outlines_are_simple_and_counter_clockwise() {
    let ring = |rows: &str| {
        let list = metres(&format!("x,y,z\n{rows}")).unwrap();
        outline(&list.points.iter().collect::<Vec<_>>())
    };
    assert_eq!(
        ring("0,0,0\n0,2,0\n2,2,0\n2,0,0\n0,0,0\n").unwrap(),
        [[2.0, 0.0], [2.0, 2.0], [0.0, 2.0], [0.0, 0.0]]
    );
    assert_eq!(
        ring("0,0,0\n2,2,0\n2,0,0\n0,2,0\n"),
        Err(OutlineError::CrossesItself { line: 4, other: 2 })
    );
    assert!(matches!(ring("0,0,0\n2,2,0\n0,0,0\n"), Err(OutlineError::TooFew { n_places: 2, .. })));
    assert!(ring("0,0,0\n4,0,0\n2,0,0\n2,2,0\n").is_err());
}
