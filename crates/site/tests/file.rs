//! Reading and writing `site.ron`.

mod sample;

use site::file::{FileError, parse, write};
use site::{Limits, Site, WorkKind};

/// The error of a text in which one piece was exchanged, and the line on which that piece stands.
fn broken(from: &str, to: &str) -> (FileError, usize) {
    let text = write(&sample::site());
    let at = text.find(from).unwrap_or_else(|| panic!("{from} stands in the text"));
    let line = text[..at].matches('\n').count() + 1;
    (parse(&text.replacen(from, to, 1)).expect_err("the text is broken"), line)
}

#[test]
fn write_then_read_gives_the_same_site_and_the_same_bytes() {
    let site = sample::site();
    let text = write(&site);
    let back = parse(&text).unwrap();
    assert_eq!(back, site);
    assert_eq!(write(&back), text);
    assert!(text.starts_with("// A Tarnwright site. Lengths are metres"));
    assert!(text.contains("are lost"));
    assert!(text.lines().all(|line| line.len() < 130 && line.trim_end() == line));
}

#[test]
fn one_change_is_one_line_of_difference() {
    let site = sample::site();
    let mut changed = site.clone();
    let WorkKind::Basin(basin) = &mut changed.works[0].kind else { panic!("a basin") };
    basin.rings[1].depth_m = 0.75;
    let (a, b) = (write(&site), write(&changed));
    let differing = a.lines().zip(b.lines()).filter(|(x, y)| x != y).count();
    assert_eq!((differing, a.lines().count()), (1, b.lines().count()));
}

#[test]
fn comments_are_read_and_lost() {
    let site = sample::site();
    let text = write(&site).replacen("title:", "/* what for */ title: // so\n   ", 1);
    let back = parse(&text).unwrap();
    assert_eq!(back, site);
    assert!(!write(&back).contains("what for"));
}

#[test]
fn values_out_of_range_name_field_line_and_range() {
    for (from, to, field) in [
        ("depth_m: 0.6", "depth_m: -3.0", "works[0].kind.rings[1].depth_m"),
        ("water_level_m: 30.0", "water_level_m: NaN", "works[0].kind.water_level_m"),
        ("water_level_m: 30.0", "water_level_m: inf", "works[0].kind.water_level_m"),
        ("radius_m: 0.3", "radius_m: -inf", "works[0].kind.floor.radius_m"),
        ("drop_m: 0.3", "drop_m: 77.0", "works[1].kind.falls[0].drop_m"),
        ("thickness_m: 0.5", "thickness_m: 0.0", "works[3].kind.thickness_m"),
        ("swell: 0.25", "swell: -0.25", "soils.topsoil.swell"),
        ("payload_t: 12.0", "payload_t: 0", "haul.payload_t"),
        ("mound_heap: 0.6", "mound_heap: NaN", "limits.mound_heap"),
        ("accuracy_m: 0.015", "accuracy_m: -1.0", "survey.accuracy_m"),
        ("eye_m: 1.6", "eye_m: 1e99", "viewpoints[0].eye_m"),
        ("step_um: 1", "step_um: 2", "frame.step_um"),
        ("count: 2", "count: 99", "circulation.pumps[0].count"),
        (
            "hours_per_day: Some(16.0)",
            "hours_per_day: Some(25)",
            "circulation.pumps[0].hours_per_day",
        ),
        ("inner_m: Some(0.0779)", "inner_m: Some(77.9)", "circulation.pumps[0].main.inner_m"),
        ("gate_open: Some(0.75)", "gate_open: Some(0.1)", "circulation.pumps[0].main.gate_open"),
        ("curve_number: Some(74.0)", "curve_number: Some(-1)", "weather.curve_number"),
        ("lifts_kg: 620.0", "lifts_kg: NaN", "carry.machine.lifts_kg"),
        ("bed_stone_m: Some(0.03125)", "bed_stone_m: Some(0)", "works[1].kind.bed_stone_m"),
        (
            "overflow_width_m: Some(0.625)",
            "overflow_width_m: Some(inf)",
            "works[0].kind.overflow_width_m",
        ),
        ("(0.5, 0.5)", "(0.5, 9000000.0)", "works[0].kind.floor.at"),
        ("(20.0, -20.0)", "(20.0, NaN)", "survey.boundary[1]"),
    ] {
        let (error, line) = broken(from, to);
        assert!(error.read.starts_with(field), "{error}");
        assert_eq!(error.line, line, "{error}");
        assert!(error.column > 1, "{error}");
    }
    let (error, _) = broken("depth_m: 0.6", "depth_m: -3.0");
    let said = error.to_string();
    assert!(
        said.contains("-3.0") && said.contains("0 to 20") && said.contains("Ring 2 depth"),
        "{said}"
    );
}

/// What may be absent is told by its value.
#[test]
fn a_value_that_may_be_absent_is_told_as_it_was_read() {
    let (error, _) = broken("curve_number: Some(74.0)", "curve_number: Some(-1.5)");
    assert_eq!(error.read, "weather.curve_number -1.5");
}

#[test]
fn an_optional_value_is_told_as_it_stands_and_a_word_with_what_it_holds() {
    for (from, to, read) in [
        (
            "hours_per_day: Some(16.0)",
            "hours_per_day: Some( /* all */ 25 )",
            "circulation.pumps[0].hours_per_day 25",
        ),
        ("bed_stone_m: Some(0.03125)", "bed_stone_m: Some(-1)", "works[1].kind.bed_stone_m -1"),
        ("top: Depth(0.6)", "top: Depth( -2.5 )", "soils.layers[1].top.depth_m Depth( -2.5 )"),
    ] {
        let (error, _) = broken(from, to);
        assert_eq!(error.read, read, "{error}");
        let text = write(&sample::site()).replacen(from, to, 1);
        let line = text.lines().nth(error.line - 1).unwrap();
        let there: String = line.chars().skip(error.column - 1).collect();
        let value = read.split_once(' ').unwrap().1;
        assert!(there.starts_with(value), "{error}: {there}");
    }
    // What is long is cut.
    let (error, _) = broken("(0.0, 9.0, 28.3)", "(0.0, -9.0, 28.3)");
    assert!(error.read.contains(" Levels([") && error.read.ends_with('…'), "{error}");
}

#[test]
fn broken_rules_between_fields_are_named() {
    for (from, to, rule) in [
        ("from: Some(5)", "from: Some(77)", "there is no work 77"),
        ("from: Some(5)", "from: Some(1)", "work 1 is no filter bed"),
        ("into: Some(1)", "into: Some(5)", "work 5 is no basin"),
        ("holds: Some(5)", "holds: Some(3)", "work 3 is no basin or filter bed"),
        ("joins: Some(12)", "joins: Some(1)", "does not join itself"),
        ("held_by: Some(4)", "held_by: Some(2)", "work 2 is no wall"),
        ("across: 1", "across: 4", "work 4 is no basin"),
        ("top: Depth(0.6)", "top: Depth(0.0)", "layers overlap"),
        ("top: Depth(0.0)", "top: Depth(0.2)", "uppermost soil begins at depth 0"),
        ("(0.0, 9.0, 28.3)", "(0.0, -9.0, 28.3)", "borings on one line"),
        ("(16.125, -18.0)", "(15.0, -18.0)", "all lie on one place"),
        ("draws_from: Some(6)", "draws_from: Some(5)", "work 5 is no basin or intake bay"),
        ("draws_from: Some(6)", "draws_from: Some(60)", "there is no work 60"),
        ("feeds: Some(5)", "feeds: Some(4)", "work 4 is no basin, filter bed or stream"),
        ("trench: Some(10)", "trench: Some(3)", "work 3 is no trench"),
        ("flow_l_s: 4.0", "flow_l_s: 9.0", "must be above 9"),
        ("head_m: 4.5", "head_m: 6.5", "a pump's head falls: must be below 6, not 6.5"),
        ("flow_l_s: 0.0", "flow_l_s: 0.5", "begins at no flow, not at 0.5"),
        ("groundwater_low_m: Some(27.5)", "groundwater_low_m: Some(29)", "at most the highest"),
        ("width_m: 0.125", "width_m: 0.25", "its parts are 0.5 wide, its crest 0.4"),
        ("id: 2", "id: 1", "stands twice"),
        ("id: 2", "id: 29", "below next_id"),
        ("along_m: 8.0", "along_m: 0.0", "must be above 0"),
        ("                    30.15,\n", "", "must hold none or 4"),
        ("                    31.2,\n", "", "must hold 1 or 3"),
        ("file: \"points.csv\"", "file: \"../points.csv\"", "own folder"),
    ] {
        let (error, _) = broken(from, to);
        assert!(error.expected.contains(rule), "{from}: {error}");
        assert!(error.line > 1, "{error}");
    }
}

#[test]
fn unknown_fields_and_cut_off_text_are_placed() {
    let (error, line) = broken("freeboard_m:", "freebord_m:");
    assert!(error.read.contains("freebord_m") && error.expected.contains("freeboard_m"), "{error}");
    assert_eq!(error.line, line);
    let (error, line) = broken("title:", "titel:");
    assert_eq!((error.line, error.read.contains("titel")), (line, true), "{error}");
    let (error, line) = broken("depth_m: 0.6", "depth_m: deep");
    assert_eq!(error.line, line, "{error}");
    let (error, line) = broken("smooth: true", "smooth: 1");
    assert_eq!(error.line, line, "{error}");

    let text = write(&sample::site());
    let half: String = text.chars().take(text.len() / 2).collect();
    let error = parse(&half).unwrap_err();
    assert_eq!(error.line, half.trim_end().lines().count(), "{error}");
    assert!(error.read.contains("end of the file"), "{error}");
    for bad in [
        "",
        "   \n",
        "\u{0}\u{1}\u{2}",
        "x,y,z\n1,2,3\n",
        "()",
        "(format: 1)",
        "(format: 2)",
        "(format: 3)",
        "(format: 4)",
        "(format: 6)",
        "(format: 7)",
        "(format: 0)",
    ] {
        let error = parse(bad).unwrap_err();
        assert!(error.line >= 1 && !error.read.is_empty() && !error.expected.is_empty(), "{error}");
    }
}

/// Any text is refused or read, never a panic, wherever it is cut off.
#[test]
fn a_file_cut_off_anywhere_is_refused() {
    let text = write(&sample::site());
    let end = text.trim_end().len();
    for at in (0..end).step_by(7).filter(|at| text.is_char_boundary(*at)) {
        assert!(parse(&text[..at]).is_err(), "cut at {at}");
    }
}

#[test]
fn a_newer_format_is_told_from_a_broken_file() {
    let (error, line) = broken("format: 8", "format: 9");
    assert_eq!((error.line, error.read.as_str()), (line, "format 9"));
    assert!(error.expected.contains("newer version"), "{error}");
    // Even when the newer layout has fields that this one does not know.
    let error = parse("(format: 9, gardens: [(ponds: 3)])").unwrap_err();
    assert!(error.expected.contains("newer version"), "{error}");
}

#[test]
fn left_out_parts_take_their_defaults() {
    let text =
        "(format: 1, title: \"Bare\", frame: (unit: Metre, step_um: 10, origin_m: (0.0, 0.0)),
        survey: (file: \"points.csv\", accuracy_m: 0.01), next_id: 1)";
    let site = parse(text).unwrap();
    assert_eq!(site.limits, site::Limits::default());
    assert_eq!(parse(&write(&site)), Ok(site.clone()));
    assert_eq!(site.format, Site::FORMAT);
}

/// A file as the first version of the program wrote it; it is never written anew.
const FORMAT_1: &str = include_str!("kept/format_1.ron");

#[test]
fn a_file_of_format_1_is_read_as_the_site_that_it_was() {
    assert_eq!(parse(FORMAT_1), Ok(sample::site_of_format_1()));
    // What it leaves out takes the values that stood for it then, whatever stands for it now.
    let at = |piece: &str| FORMAT_1.find(piece).unwrap_or_else(|| panic!("{piece} stands in it"));
    let mut bare = FORMAT_1.to_owned();
    bare.replace_range(at("    limits: ")..at("    viewpoints: "), "");
    let site = parse(&bare).unwrap();
    assert_eq!((site.limits.flank_run_per_rise, site.haul.struck_m3), (3.0, 7.6));
    let error = parse(&FORMAT_1.replacen("format: 1", "format: 1, colour: 3", 1)).unwrap_err();
    assert!(error.read.contains("colour") && error.expected.contains("title"), "{error}");
}

/// A file as the second version of the program wrote it; it is never written anew.
const FORMAT_2: &str = include_str!("kept/format_2.ron");

#[test]
fn a_file_of_format_2_is_read_as_the_site_that_it_was() {
    assert_eq!(parse(FORMAT_2), Ok(sample::site_of_format_3()));
    let error = parse(&FORMAT_2.replacen("mound_heap", "uplift_factor: 1.5, mound_heap", 1));
    assert!(error.unwrap_err().read.contains("uplift_factor"));
}

/// A file as the third version of the program wrote it; it is never written anew.
const FORMAT_3: &str = include_str!("kept/format_3.ron");

#[test]
fn a_file_of_format_3_is_read_as_the_site_that_it_was() {
    assert_eq!(parse(FORMAT_3), Ok(sample::site_of_format_3()));
    // A field that came later is unknown to it.
    let later = FORMAT_3.replacen("retains: Left", "stone_m: 0.5, retains: Left", 1);
    assert!(parse(&later).unwrap_err().read.contains("stone_m"));
}

/// A file as the fourth version of the program wrote it; it is never written anew.
const FORMAT_4: &str = include_str!("kept/format_4.ron");

#[test]
fn a_file_of_format_4_is_read_as_the_site_that_it_was() {
    assert_eq!(parse(FORMAT_4), Ok(sample::site_of_format_4()));
    // A field that came later is unknown to it.
    let later = FORMAT_4.replacen("visible: true", "group: \"East\", visible: true", 1);
    assert!(parse(&later).unwrap_err().read.contains("group"));
}

/// A file as the fifth version of the program wrote it; it is never written anew.
const FORMAT_5: &str = include_str!("kept/format_5.ron");

#[test]
fn a_file_of_format_5_is_read_as_the_site_that_it_was() {
    assert_eq!(parse(FORMAT_5), Ok(sample::site_of_format_5()));
    // A field that came later is unknown to it.
    let later = FORMAT_5.replacen("next_id:", "pictures: [], next_id:", 1);
    assert!(parse(&later).unwrap_err().read.contains("pictures"));
}

/// A file as the sixth version of the program wrote it; it is never written anew.
const FORMAT_6: &str = include_str!("kept/format_6.ron");

#[test]
fn a_file_of_format_6_is_read_as_the_site_that_it_was() {
    assert_eq!(parse(FORMAT_6), Ok(sample::site_of_format_6()));
}

/// A file as the seventh version of the program wrote it; it is never written anew.
const FORMAT_7: &str = include_str!("kept/format_7.ron");

#[test]
fn a_file_of_format_7_is_read_as_the_site_that_it_was() {
    let limits = Limits { dead_turnovers: 1.5, dead_share: 0.1, ..Limits::default() };
    assert_eq!(parse(FORMAT_7), Ok(Site { limits, ..sample::site_of_format_6() }));
}

/// A field that came with format 8 is unknown to every format before it.
#[test]
fn a_bed_by_a_table_is_unknown_to_older_formats() {
    for old in [FORMAT_4, FORMAT_5, FORMAT_6, FORMAT_7] {
        let later = old.replacen("bed_stone_m:", "bed: Some(BareLiner), bed_stone_m:", 1);
        let error = parse(&later).unwrap_err();
        assert_eq!(error.read, "the unknown field bed", "{error}");
    }
}

/// A file as the eighth version of the program wrote it; it is never written anew.
const FORMAT_8: &str = include_str!("kept/format_8.ron");

#[test]
fn a_file_of_format_8_is_read_as_the_site_that_it_was() {
    let limits = Limits { dead_turnovers: 1.5, dead_share: 0.1, ..Limits::default() };
    assert_eq!(parse(FORMAT_8), Ok(Site { limits, ..sample::site() }));
    let (error, _) = broken("Some(WindingWithStones)", "Some(Moss)");
    assert_eq!(error.read, "Moss", "{error}");
    assert!(error.expected.contains("BareLiner"), "{error}");
}

#[test]
fn a_picture_that_lies_nowhere_is_refused_where_it_stands() {
    let refused = |from: &str, to: &str| {
        assert!(FORMAT_6.contains(from), "{from} stands in it");
        parse(&FORMAT_6.replacen(from, to, 1)).unwrap_err().to_string()
    };
    let error = refused("(1100.0, 100.5)", "(100.0, 800.0)");
    assert!(error.contains("pictures[0].pins") && error.contains("well apart"), "{error}");
    let error = refused("(1100.0, 100.5)", "(1100.0, 901.0)");
    assert!(error.contains("pictures[0].pins[1].at_px[1]") && error.contains("900"), "{error}");
    let error = refused("\"plan.png\"", "\"../plan.png\"");
    assert!(error.contains("pictures[0].file") && error.contains("own folder"), "{error}");
}
