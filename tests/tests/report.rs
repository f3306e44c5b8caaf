//! `report` and `new` on the demo site.

#![allow(clippy::unwrap_used, reason = "a test that cannot go on ends here")]

use std::fs;
use std::process::Command;

use acceptance::{demo_site, program, snapshot, tarnwright, top};
use serde_json::Value;
use tempfile::TempDir;

/// The contract's keys: a list's entries are written with `[]`.
const CONTRACT: [&str; 134] = [
    "earthwork.cut_bank_m3",
    "earthwork.dug_m3",
    "earthwork.fill_compacted_m3",
    "earthwork.lifts[].dug_m3",
    "earthwork.lifts[].from_m",
    "earthwork.lifts[].to_m",
    "earthwork.over_dig_m3",
    "earthwork.plus_minus_m3",
    "earthwork.recut_m3",
    "earthwork.spoil_bank_m3",
    "earthwork.topsoil.respread_m3",
    "earthwork.topsoil.strip_m3",
    "earthwork.topsoil.surplus_m3",
    "earthwork.works[].cut_m3",
    "earthwork.works[].fill_m3",
    "earthwork.works[].from",
    "earthwork.works[].to",
    "earthwork.works[].work",
    "findings[].at[]",
    "findings[].code",
    "findings[].limit",
    "findings[].measured",
    "findings[].message",
    "findings[].remedy",
    "findings[].severity",
    "findings[].source",
    "findings[].unit",
    "findings[].work",
    "format",
    "haul.governed_by",
    "haul.loads",
    "haul.spoil_loose_m3",
    "haul.spoil_mass_t",
    "running.filters[].area_m2",
    "running.filters[].clean_loss_m",
    "running.filters[].filter",
    "running.filters[].flow_m3_s",
    "running.filters[].gravel_depth_m",
    "running.filters[].lip_load_m2_s",
    "running.filters[].stay_s",
    "running.filters[].upward_m_s",
    "running.filters[].void_m3",
    "running.open_soil.open_m2",
    "running.open_soil.settling_m2",
    "running.open_soil.storage_m3",
    "running.open_soil.washed_t",
    "running.ponds[].dead_at_m[]",
    "running.ponds[].dead_share",
    "running.ponds[].drop_m",
    "running.ponds[].edge_m",
    "running.ponds[].evaporation_m3_week",
    "running.ponds[].fall_m_week",
    "running.ponds[].filling_h",
    "running.ponds[].in_motion_m3",
    "running.ponds[].pond",
    "running.ponds[].rest_m",
    "running.ponds[].rise_m",
    "running.ponds[].running_m",
    "running.ponds[].splash_m3_week",
    "running.ponds[].stopped_m",
    "running.ponds[].top_up_min_week",
    "running.ponds[].turnover_h",
    "running.ponds[].unknown",
    "running.pumps[].clogged_m3_s",
    "running.pumps[].cost_month",
    "running.pumps[].draws_from",
    "running.pumps[].energy_kwh_month",
    "running.pumps[].flow_m3_s",
    "running.pumps[].half_closed_m3_s",
    "running.pumps[].head_m",
    "running.pumps[].lines[].feeds",
    "running.pumps[].lines[].flow_m3_s",
    "running.pumps[].lines[].lift_m",
    "running.pumps[].lines[].loss_m",
    "running.pumps[].lines[].velocity_m_s",
    "running.pumps[].name",
    "running.pumps[].power_w",
    "running.pumps[].shut_off_m",
    "running.pumps[].unknown",
    "running.pumps[].velocity_m_s",
    "running.pumps[].wanted_m3_s",
    "running.rain[].edge_above_storm_m",
    "running.rain[].from_house_m",
    "running.rain[].ground_m2",
    "running.rain[].house",
    "running.rain[].overflow_head_m",
    "running.rain[].pond",
    "running.rain[].storm_m3_s",
    "running.rain[].water_m2",
    "running.rain[].wet_day_m3",
    "running.rain[].width_needed_m",
    "running.streams[].crests[].brink_m",
    "running.streams[].crests[].comes_down",
    "running.streams[].crests[].crest",
    "running.streams[].crests[].drop_m",
    "running.streams[].crests[].edge_above_crest_m",
    "running.streams[].crests[].estimate",
    "running.streams[].crests[].flow_m3_s",
    "running.streams[].crests[].head_m",
    "running.streams[].crests[].liner_needed_m",
    "running.streams[].crests[].throw_m",
    "running.streams[].crests[].width_m",
    "running.streams[].crests[].width_wanted_m",
    "running.streams[].flow_m3_s",
    "running.streams[].greatest_depth_m",
    "running.streams[].greatest_velocity_m_s",
    "running.streams[].in_motion_m3",
    "running.streams[].least_edge_above_water_m",
    "running.streams[].stones_stay",
    "running.streams[].stream",
    "running.streams[].unknown",
    "surfaces.existing.max_z_m",
    "surfaces.existing.min_z_m",
    "surfaces.existing.plan_area_m2",
    "surfaces.existing.points",
    "surfaces.existing.triangles",
    "surfaces.finished.max_z_m",
    "surfaces.finished.min_z_m",
    "surfaces.finished.plan_area_m2",
    "surfaces.finished.points",
    "surfaces.finished.triangles",
    "surfaces.subgrade.max_z_m",
    "surfaces.subgrade.min_z_m",
    "surfaces.subgrade.plan_area_m2",
    "surfaces.subgrade.points",
    "surfaces.subgrade.triangles",
    "title",
    "water[].area_m2",
    "water[].basin",
    "water[].level_m",
    "water[].stages[].area_m2",
    "water[].stages[].level_m",
    "water[].stages[].volume_m3",
    "water[].volume_m3",
];

fn keys(path: &str, value: &Value, found: &mut Vec<String>) {
    match value {
        Value::Object(map) => {
            for (key, value) in map {
                let dot = if path.is_empty() { "" } else { "." };
                keys(&format!("{path}{dot}{key}"), value, found);
            }
        }
        Value::Array(list) => {
            list.iter().for_each(|entry| keys(&format!("{path}[]"), entry, found))
        }
        _ => found.push(path.to_owned()),
    }
}

fn number(value: &Value) -> f64 {
    value.as_f64().unwrap_or_else(|| panic!("{value} is no number"))
}

#[test]
fn json_matches_the_contract_and_its_parts_make_the_whole() {
    let site = top().join("demo-sites/rear-garden");
    let ran = tarnwright(&site, &["report", ".", "--json"]);
    let report: Value = serde_json::from_str(&ran.out).unwrap_or_else(|e| panic!("{e}: {ran:?}"));
    let mut found = Vec::new();
    keys("", &report, &mut found);
    found.sort();
    found.dedup();
    assert_eq!(found, CONTRACT);

    let earth = &report["earthwork"];
    let works = earth["works"].as_array().unwrap();
    let net: f64 = works.iter().map(|w| number(&w["cut_m3"]) - number(&w["fill_m3"])).sum();
    let whole = number(&earth["cut_bank_m3"]) - number(&earth["fill_compacted_m3"]);
    let moved: f64 = works.iter().map(|w| number(&w["cut_m3"]) + number(&w["fill_m3"])).sum();
    assert!((net - whole).abs() <= 1e-7 * moved, "{net} {whole}");
    let lifts: f64 = earth["lifts"].as_array().unwrap().iter().map(|l| number(&l["dug_m3"])).sum();
    let dug = number(&earth["dug_m3"]);
    assert!((lifts - dug).abs() <= 1e-7 * dug, "{lifts} {dug}");
    assert_eq!(works[0]["from"], "stripped");
    assert_eq!(works[works.len() - 1]["to"], "subgrade");
    for pair in works.windows(2) {
        assert_eq!(pair[0]["to"], pair[1]["from"]);
    }

    let findings = report["findings"].as_array().unwrap();
    let stops = findings.iter().filter(|finding| finding["severity"] == "stop").count();
    assert_eq!(ran.status, i32::from(stops > 0), "{ran:?}");
}

#[test]
fn a_report_is_the_same_bytes_each_time_and_leaves_the_site_alone() {
    let folder = TempDir::new().unwrap();
    let site = demo_site(folder.path());
    let before = snapshot(&site);
    let [first, second] = [0, 1].map(|_| tarnwright(folder.path(), &["report", "site", "--json"]));
    assert_eq!(first.out, second.out);
    assert_eq!(snapshot(&site), before);
}

#[test]
fn the_terminal_reads_as_speech_in_the_sites_unit() {
    let site = top().join("demo-sites/rear-garden");
    let ran = tarnwright(&site, &["report", "site.ron"]);
    assert!(ran.out.contains("\nCut "), "{}", ran.out);
    for words in ["yd3", "in the bank", "loads", "gal", "Works, in building order", "Findings"] {
        assert!(ran.out.contains(words), "{words}: {}", ran.out);
    }
    assert!(!ran.out.contains("NaN"), "{}", ran.out);
}

#[test]
fn new_keeps_the_survey_and_reads_it_back() {
    let folder = TempDir::new().unwrap();
    let list = "# shots of the morning\nno;e;n;elev;desc\n\
                1;1000,5;2000,5;10,25;GS\n2;1030,0;2000;10,5;BANK\n3;1030;2040;11;BANK\n\
                4;1000;2040;11,5;GS\n\n5;1000;2040;11,75;GS\n6;1015;2020;10,8;12\" oak\n";
    fs::write(folder.path().join("shots.txt"), list).unwrap();
    let words = [
        "new",
        "garden",
        "--survey",
        "shots.txt",
        "--units",
        "us-ft",
        "--lines",
        "bank",
        "--title",
        "East garden",
    ];
    let ran = tarnwright(folder.path(), &words);
    assert_eq!(ran.status, 0, "{ran:?}");
    for said in [
        "semicolon between columns, decimal comma",
        "unit us-ft",
        "bank: 1",
        "line 8",
        "0.250 us-ft apart in elevation",
    ] {
        assert!(ran.out.contains(said), "{said}: {}", ran.out);
    }
    let kept = fs::read_to_string(folder.path().join("garden/survey.csv")).unwrap();
    assert!(kept.ends_with(&list["# shots".len()..]), "{kept}");
    let report = tarnwright(folder.path(), &["report", "garden", "--json"]);
    let report: Value = serde_json::from_str(&report.out).unwrap();
    assert_eq!(report["title"], "East garden");
    assert_eq!(report["surfaces"]["existing"]["points"], 5);
    // 30 by 40 ft less the bent west and south sides: by the shoelace rule over 1, 2, 3, 4.
    let area_ft2 = 0.5
        * ((1000.5 - 1030.0) * (2000.0 + 2000.5)
            + (1030.0 - 1030.0) * (2040.0 + 2000.0)
            + (1030.0 - 1000.0) * (2040.0 + 2040.0)
            + (1000.0 - 1000.5) * (2000.5 + 2040.0_f64));
    let foot_m = 1200.0 / 3937.0;
    let area_m2 = number(&report["surfaces"]["existing"]["plan_area_m2"]);
    assert!((area_m2 - area_ft2 * foot_m * foot_m).abs() < 1e-4, "{area_m2}");
}

#[test]
fn breaklines_boundary_and_voids_come_from_files() {
    let folder = TempDir::new().unwrap();
    let grid: String = (0..36).map(|k| format!("{k},{},{},10\n", k % 6 * 4, k / 6 * 4)).collect();
    for (name, text) in [
        ("points.csv", format!("name,x,y,z\n{grid}")),
        ("edges.csv", "x,y,z\n1,1,12\n19,1,12\n\n1,19,9\n19,19,9\n".to_owned()),
        ("outline.csv", "x,y,z\n0,0,0\n20,0,0\n20,20,0\n0,20,0\n".to_owned()),
        ("holes.csv", "x,y,z\n9,9,0\n11,9,0\n11,11,0\n9,11,0\n".to_owned()),
    ] {
        fs::write(folder.path().join(name), text).unwrap();
    }
    let words = [
        "new",
        "garden",
        "--survey",
        "points.csv",
        "--units",
        "m",
        "--breaklines",
        "edges.csv",
        "--boundary",
        "outline.csv",
        "--voids",
        "holes.csv",
    ];
    let ran = tarnwright(folder.path(), &words);
    assert_eq!(ran.status, 0, "{ran:?}");
    let report = tarnwright(folder.path(), &["report", "garden", "--json"]);
    let report: Value = serde_json::from_str(&report.out).unwrap();
    let existing = &report["surfaces"]["existing"];
    assert!((number(&existing["plan_area_m2"]) - 396.0).abs() < 1e-9, "{existing}");
    assert_eq!(number(&existing["max_z_m"]), 12.0);
    assert_eq!(number(&existing["min_z_m"]), 9.0);
}

#[test]
fn a_report_folder_holds_json_and_tables_without_a_graphics_driver() {
    let folder = TempDir::new().unwrap();
    let site = demo_site(folder.path());
    let ran = Command::new(program())
        .args(["report", "site", "--out", "out/report"])
        .current_dir(folder.path())
        // No driver is found, so no pictures are drawn; the numbers need none.
        .env("VK_DRIVER_FILES", "/nonexistent")
        .env("VK_ICD_FILENAMES", "/nonexistent")
        .output()
        .unwrap();
    let told = String::from_utf8_lossy(&ran.stderr);
    let json = tarnwright(&site, &["report", ".", "--json"]);
    assert_eq!(ran.status.code(), Some(json.status), "{told}");
    assert_eq!(told.matches("tarnwright: no pictures: ").count(), 1, "{told}");
    let out = folder.path().join("out/report");
    assert_eq!(fs::read_to_string(out.join("report.json")).unwrap(), json.out);
    let works = fs::read_to_string(out.join("works.csv")).unwrap();
    assert!(works.starts_with("work,cut bank yd3,fill compacted yd3\nPond,"), "{works}");
    let findings = fs::read_to_string(out.join("findings.csv")).unwrap();
    let report: Value = serde_json::from_str(&json.out).unwrap();
    assert_eq!(findings.lines().count(), report["findings"].as_array().unwrap().len() + 1);
    // Each sheet is a page of the PDF.
    let pdf = fs::read(out.join("sheets.pdf")).unwrap();
    let text = String::from_utf8_lossy(&pdf);
    assert!(text.starts_with("%PDF-") && text.contains("/Count 2"), "two sheets are two pages");
    let sheet = fs::read_to_string(out.join("cut-and-fill.svg")).unwrap();
    assert!(sheet.contains("Cut goes down by") && sheet.contains(" yd3 cut</text>"), "{sheet}");
    assert!(fs::read_to_string(out.join("section.svg")).unwrap().contains("</svg>"));
}
