//! The report of a small evaluation put together by hand.

use std::sync::Arc;

use design::{
    Code, Earth, Evaluation, Finding, HaulOutcome, Measured, Remedy, Severity, SurveyOutcome, Unit,
    WaterBody, WaterKind,
};
use ground::triangulate::{Terrain, build};
use serde_json::Value;
use site::{
    Frame, Haul, LevelNotes, LevelRow, Limits, Site, Soils, Survey, Work, WorkId, WorkKind,
};
use units::LengthUnit;

use super::*;

pub(super) fn basin_site() -> Site {
    let basin = site::works::Basin {
        outline: site::Curve::default(),
        water_level_m: 10.0,
        freeboard_m: 0.1,
        liner_edge_m: Vec::new(),
        overflow: None,
        overflow_width_m: None,
        overflow_m: None,
        rim_width_m: 0.3,
        cut_bank: 2.0,
        fill_bank: 3.0,
        rings: Vec::new(),
        floor: site::works::Floor::Level,
        joins: None,
        rim_build_up: Default::default(),
        build_up: Default::default(),
        bank_build_up: Default::default(),
    };
    Site {
        format: Site::FORMAT,
        title: "Rear garden, \"east\"".to_owned(),
        frame: Frame {
            unit: LengthUnit::UsSurveyFoot,
            step_um: 1,
            origin_m: [1000.0, 2000.0],
            horizontal_datum: String::new(),
            vertical_datum: String::new(),
        },
        survey: Arc::new(Survey { accuracy_m: 0.015, ..Survey::default() }),
        soils: Soils::default(),
        keep_outs: Vec::new(),
        digging: site::Digging::default(),
        carry: site::Carry::default(),
        stockpiles: Vec::new(),
        works: vec![Work {
            id: WorkId(1),
            name: "Pond".to_owned(),
            note: String::new(),
            group: String::new(),
            visible: true,
            kind: WorkKind::Basin(basin),
        }],
        next_id: 2,
        circulation: Default::default(),
        weather: Default::default(),
        houses: Vec::new(),
        limits: Limits::default(),
        haul: Haul::default(),
        viewpoints: Vec::new(),
        pictures: Vec::new(),
    }
}

fn evaluation() -> Evaluation {
    let points = [(0.0, 0.0, 10.0), (10.0, 0.0, 10.0), (10.0, 10.0, 11.0), (0.0, 10.0, 11.0)];
    let lattice = ground::Lattice::default();
    let terrain = Terrain {
        lattice,
        points: points.iter().map(|&(x, y, z)| (lattice.snap([x, y]).unwrap(), z)).collect(),
        breaklines: Vec::new(),
        boundary: None,
        voids: Vec::new(),
        tag: ground::Tag::default(),
    };
    let surface = Arc::new(build(&terrain).unwrap().surface);
    let finding = Finding {
        code: Code::RimLow,
        severity: Severity::Stop,
        work: Some(WorkId(1)),
        at_m: [1.0, 2.0, 10.05],
        measured: Measured { value: 10.05, limit: 10.1, unit: Unit::Elevation },
        message: "The liner edge is 2 in low, worst at its north end.".to_owned(),
        remedy: Some(Remedy { message: "Raise it by 2 in.".to_owned(), site: None }),
        source: "common practice",
        caution: None,
    };
    Evaluation {
        existing: Some(surface.clone()),
        finished: Some(surface),
        between: None,
        soils: Vec::new(),
        lifts: Vec::new(),
        laid: Vec::new(),
        works: Vec::new(),
        earth: Earth {
            cut_bank_m3: 0.1 + 0.2,
            fill_compacted_m3: 2.0,
            spoil_bank_m3: 7.645_548_579_84,
            ..Earth::default()
        },
        haul: HaulOutcome {
            spoil_loose_m3: 7.645_548_579_84,
            loads: Some(2),
            governed_by: "weight",
            ..HaulOutcome::default()
        },
        water: vec![WaterBody {
            work: WorkId(1),
            kind: WaterKind::Basin,
            level_m: 10.0,
            area_m2: 4.0,
            volume_m3: 3.785_411_784,
            stages: vec![[9.5, 3.0, 1.0]],
            sheet: Vec::new(),
        }],
        survey: SurveyOutcome::default(),
        findings: vec![finding],
    }
}

/// The report's keys, as the program's contract lists them; a list's keys are its first entry's.
fn key_tree(value: &Value) -> Vec<String> {
    match value {
        Value::Object(map) => map
            .iter()
            .flat_map(|(key, value)| match key_tree(value) {
                below if below.is_empty() => vec![key.clone()],
                below => below.iter().map(|rest| format!("{key}.{rest}")).collect(),
            })
            .collect(),
        Value::Array(list) => list.first().map(key_tree).unwrap_or_default(),
        _ => Vec::new(),
    }
}

#[test]
fn json_has_the_keys_of_the_contract_and_full_precision() {
    let text = json(&basin_site(), &evaluation());
    let report: Value = serde_json::from_str(&text).unwrap();
    let mut keys = key_tree(&report);
    let mut expected: Vec<String> = ["format", "title"].map(String::from).to_vec();
    for surface in ["existing", "subgrade", "finished"] {
        for key in ["points", "triangles", "plan_area_m2", "min_z_m", "max_z_m"] {
            expected.push(format!("surfaces.{surface}.{key}"));
        }
    }
    let earth = [
        "cut_bank_m3",
        "fill_compacted_m3",
        "recut_m3",
        "spoil_bank_m3",
        "topsoil.strip_m3",
        "topsoil.respread_m3",
        "topsoil.surplus_m3",
        "dug_m3",
        "over_dig_m3",
        "works",
        "lifts",
        "plus_minus_m3",
    ];
    expected.extend(earth.map(|key| format!("earthwork.{key}")));
    let haul = ["spoil_loose_m3", "spoil_mass_t", "loads", "governed_by"];
    expected.extend(haul.map(|key| format!("haul.{key}")));
    let water = [
        "basin",
        "level_m",
        "area_m2",
        "volume_m3",
        "stages.level_m",
        "stages.area_m2",
        "stages.volume_m3",
    ];
    expected.extend(water.map(|key| format!("water.{key}")));
    let finding = [
        "code", "severity", "work", "at", "measured", "limit", "unit", "message", "remedy",
        "source",
    ];
    expected.extend(finding.map(|key| format!("findings.{key}")));
    // Beside the contract: running water, and limits that are not the program's own.
    expected.extend(["running", "limits_changed"].map(String::from));
    keys.sort();
    expected.sort();
    assert_eq!(keys, expected);
    assert_eq!(report["earthwork"]["cut_bank_m3"].as_f64(), Some(0.1 + 0.2));
    assert!(text.contains("0.30000000000000004"));
    assert!(report["surfaces"]["subgrade"]["points"].is_null());
    assert_eq!(report["earthwork"]["dug_m3"].as_f64(), Some(0.0));
    assert_eq!(report["surfaces"]["existing"]["triangles"], 2);
    assert_eq!(report["findings"][0]["at"][0].as_f64(), Some(1001.0));
}

#[test]
fn what_is_not_known_is_null_and_never_zero() {
    let unknown = Evaluation {
        existing: None,
        finished: None,
        water: Vec::new(),
        findings: Vec::new(),
        earth: Earth::default(),
        haul: HaulOutcome::default(),
        ..evaluation()
    };
    let report: Value = serde_json::from_str(&json(&basin_site(), &unknown)).unwrap();
    for key in ["cut_bank_m3", "fill_compacted_m3", "spoil_bank_m3", "plus_minus_m3"] {
        assert!(report["earthwork"][key].is_null(), "{key}");
    }
    assert!(report["haul"]["loads"].is_null());
    // A soil that cannot be gives figures that are no numbers: null as well, loads too.
    let mut unknown = evaluation();
    (unknown.haul.spoil_loose_m3, unknown.haul.loads) = (f64::NAN, None);
    unknown.earth.spoil_bank_m3 = f64::NAN;
    let report: Value = serde_json::from_str(&json(&basin_site(), &unknown)).unwrap();
    for key in ["spoil_loose_m3", "loads", "governed_by"] {
        assert!(report["haul"][key].is_null(), "{key}: {report}");
    }
    assert!(report["earthwork"]["spoil_bank_m3"].is_null());
    assert_eq!(report["earthwork"]["fill_compacted_m3"].as_f64(), Some(2.0));
    let unknown = Evaluation { existing: None, finished: None, ..unknown };
    assert!(balance_line(&basin_site(), &unknown).starts_with("No ground yet"));
}

#[test]
fn people_read_the_sites_own_unit() {
    let (site, evaluation) = (basin_site(), evaluation());
    assert_eq!(
        balance_line(&site, &evaluation),
        "Cut 0.4 yd3 · fill 2.6 · spoil 10.0 loose, 2 loads (weight) · water 1,000 gal · 1 to stop \
         for"
    );
    let text = text(&site, &evaluation);
    assert!(text.contains("Pond: The liner edge is 2 in low"), "{text}");
    assert!(text.contains("measured 32.97 ft, limit 33.14 ft (common practice)"), "{text}");
    assert!(text.contains("to do: Raise it by 2 in."), "{text}");
}

#[test]
fn what_stays_when_the_pump_stops_is_told() {
    let (mut site, mut evaluation) = (basin_site(), evaluation());
    site.frame.unit = LengthUnit::Metre;
    site.works.push(Work { id: WorkId(2), name: "Brook".to_owned(), ..site.works[0].clone() });
    let body = |kind, volume_m3| WaterBody {
        work: WorkId(2),
        kind,
        level_m: 10.5,
        area_m2: 2.0,
        volume_m3,
        stages: Vec::new(),
        sheet: Vec::new(),
    };
    evaluation.water.push(body(WaterKind::Stream, 0.9));
    let read = text(&site, &evaluation);
    assert!(read.contains("Pond, at rest: level 10.00 m, 4.00 m2, 3,785 L"), "{read}");
    assert!(read.contains("when the pump stops none of it stays"), "{read}");
    evaluation.water.push(body(WaterKind::Pool { along_m: 4.0 }, 0.25));
    evaluation.water.push(body(WaterKind::Pool { along_m: 7.5 }, 0.1));
    let read = text(&site, &evaluation);
    let expected = "Brook, while it runs: level 10.50 m, 2.00 m2, 900 L; when the pump stops 350 L of it \
                    stay\n    behind the crest 4.00 m from its head: level 10.50 m, 2.00 m2, 250 L\n";
    assert!(read.contains(expected), "{read}");
    // The line at the top and the other programs' report speak of the pond alone.
    assert!(balance_line(&site, &evaluation).contains("water 3,785 L"));
    let report: Value = serde_json::from_str(&json(&site, &evaluation)).unwrap();
    assert_eq!(report["water"].as_array().map(Vec::len), Some(1));
}

/// What cannot be told of the water says why in words, and is null; with its cautions.
#[test]
fn running_water_that_cannot_be_told_says_why_and_is_null() {
    let (mut site, evaluation) = (basin_site(), evaluation());
    let plain: Value = serde_json::from_str(&json(&site, &evaluation)).unwrap();
    assert_eq!(plain["running"], Value::Null);
    assert!(!text(&site, &evaluation).contains("Running water"));
    let line = site::circulation::FeedLine {
        feeds: Some(WorkId(1)),
        outlet_m: Some(12.0),
        pipe: site::circulation::Pipe::default(),
    };
    site.circulation.pumps = vec![site::circulation::Pump {
        draws_from: Some(WorkId(1)),
        lines: vec![line],
        ..site::circulation::Pump::default()
    }];
    let report: Value = serde_json::from_str(&json(&site, &evaluation)).unwrap();
    let pump = &report["running"]["pumps"][0];
    assert_eq!(pump["flow_m3_s"], Value::Null);
    assert_eq!(pump["unknown"], "the inner diameter of line 1 is not given");
    // What a pump reaches without flow hangs on nothing else: 4.5 m.
    assert_eq!(pump["shut_off_m"], 4.5);
    let read = text(&site, &evaluation);
    assert!(read.contains("Pump: not known, the inner diameter of line 1 is not given"), "{read}");
    assert!(read.contains("GFCI") && read.contains("licensed electrician"), "{read}");
    assert!(read.contains("a child can drown"), "{read}");
}

/// A circuit that is whole is told in the site's own unit, without a word of hydraulics.
#[test]
fn running_water_reads_in_the_sites_own_unit() {
    let (mut site, evaluation) = (basin_site(), evaluation());
    site.frame.unit = LengthUnit::Metre;
    let pipe = site::circulation::Pipe {
        inner_m: Some(0.05),
        length_m: Some(10.0),
        ..site::circulation::Pipe::default()
    };
    let line = site::circulation::FeedLine { feeds: Some(WorkId(1)), outlet_m: Some(12.0), pipe };
    site.circulation.pumps = vec![site::circulation::Pump {
        draws_from: Some(WorkId(1)),
        hours_per_day: Some(24.0),
        lines: vec![line],
        ..site::circulation::Pump::default()
    }];
    let report: Value = serde_json::from_str(&json(&site, &evaluation)).unwrap();
    let flow = report["running"]["pumps"][0]["flow_m3_s"].as_f64().unwrap();
    // 4.5 m (1 - (Q / 4)^2) against 2 m of lift and the pipe's friction: below 4 (1 - 2 / 4.5)^0.5.
    assert!(flow > 0.002 && flow < 0.004 * (1.0_f64 - 2.0 / 4.5).sqrt(), "{flow}");
    let read = text(&site, &evaluation);
    assert!(
        read.contains(&format!("moves {}", units::flow_text(flow, LengthUnit::Metre))),
        "{read}"
    );
    assert!(read.contains("lifted 2.00 m"), "{read}");
    assert!(read.contains("200 W; 146 kWh a month"), "{read}");
    assert!(!read.contains("Manning") && !read.contains("NaN"), "{read}");
}

/// Levels are read in decimals, also where lengths are read in feet and inches.
#[test]
fn a_measured_level_reads_as_a_level_and_a_length_as_a_length() {
    let mut site = basin_site();
    site.frame.unit = LengthUnit::FootInch;
    let mut evaluation = evaluation();
    assert!(text(&site, &evaluation).contains("measured 32.97 ft, limit 33.14 ft"));
    evaluation.findings[0].measured = Measured { value: 0.05, limit: 0.1, unit: Unit::Metre };
    assert!(text(&site, &evaluation).contains("measured 2 in, limit 4 in"));
    // Both are metres in the report for other programs.
    for unit in [Unit::Metre, Unit::Elevation] {
        evaluation.findings[0].measured.unit = unit;
        let report: Value = serde_json::from_str(&json(&site, &evaluation)).unwrap();
        assert_eq!(report["findings"][0]["unit"], "m");
    }
}

#[test]
fn tables_quote_what_must_be_quoted() {
    let table = findings_table(&basin_site(), &evaluation());
    assert_eq!(table.lines().count(), 2);
    assert!(table.contains("\"The liner edge is 2 in low, worst at its north end.\""), "{table}");
    assert!(works_table(&basin_site(), &evaluation()).starts_with("work,cut bank yd3,"));
}

/// A book of one set-up, in feet: T-01 (NAVEDTRA 14081 p. 15-29) with a shot, closed 0.01 ft low.
#[test]
fn levels_show_how_they_close_and_the_book_reduced() {
    let ft = |feet: f64| LengthUnit::UsSurveyFoot.to_metres(feet);
    let mut site = basin_site();
    let row = |name: &str| LevelRow { name: name.to_owned(), ..LevelRow::default() };
    let rows = vec![
        LevelRow { back_m: Some(ft(5.5)), known_m: Some(ft(100.0)), ..row("BM") },
        LevelRow {
            intermediate_m: Some(ft(4.0)),
            at_m: Some([ft(7.0), 0.0]),
            code: "GS".into(),
            ..row("1")
        },
        LevelRow { fore_m: Some(ft(2.3)), known_m: Some(ft(103.21)), ..row("X") },
    ];
    let notes = LevelNotes { rows, ..LevelNotes::default() };
    let mut evaluation = evaluation();
    evaluation.survey.levels = Some(design::levels::reduce(&notes).unwrap());
    assert_eq!(levels_table(&site, &evaluation), None);
    Arc::make_mut(&mut site.survey).levels = Some(notes);
    let text = text(&site, &evaluation);
    for said in [
        "Levels, BM to X, 1 set-up\n",
        "page check    backsights less foresights +3.200 ft, last less first +3.200 ft\n",
        "misclosure    0.010 ft low of the known 103.21 ft; permitted 0.016 ft\n",
        "adjusted      by turns, up to 0.010 ft at the end of the run\n",
    ] {
        assert!(text.contains(said), "{said:?} is not in {text}");
    }
    let table = levels_table(&site, &evaluation).unwrap();
    let rows: Vec<&str> = table.lines().collect();
    assert!(
        rows[0].starts_with("name,backsight ft,intermediate sight ft,foresight ft,"),
        "{table}"
    );
    let east = 1000.0 * 3937.0 / 1200.0 + 7.0;
    let north = 2000.0 * 3937.0 / 1200.0;
    assert_eq!(rows[1], "BM,5.5000,,,105.5000,100.0000,0.0000,100.0000,,,");
    assert_eq!(rows[2], format!("1,,4.0000,,,101.5000,0.0100,101.5100,{east:.4},{north:.4},GS"));
    assert_eq!(rows[3], "X,,,2.3000,,103.2000,0.0100,103.2100,,,");
}

#[test]
fn a_changed_limit_shows_as_changed_and_beside_what_is_held_against_it() {
    let mut site = basin_site();
    assert!(!text(&site, &evaluation()).contains("Limits changed"));
    site.limits.flank_run_per_rise = 4.0;
    let mut evaluation = evaluation();
    evaluation.findings[0].code = Code::FlankTooSteep;
    let said = text(&site, &evaluation);
    assert!(
        said.contains("  Steepest flank: 1 in 4; 1 in 3 unless changed (common practice"),
        "{said}"
    );
    assert!(said.contains("(common practice; changed on this site); flank-too-steep"), "{said}");
    let value: Value = serde_json::from_str(&json(&site, &evaluation)).unwrap();
    assert_eq!(value["limits_changed"][0]["limit"], "flank_run_per_rise");
    assert_eq!(value["limits_changed"][0]["default"], 3.0);
}
