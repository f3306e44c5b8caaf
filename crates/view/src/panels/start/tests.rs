//! The first sheet on its own.

use std::path::PathBuf;

use egui::vec2;
use exchange::points::{self, DoubtKind, Told as ListTold};
use exchange::understood::Understood;
use units::LengthUnit;

use super::super::bench::{Bench, bench, click, press, type_words};
use super::*;
use crate::keep::EntryKind;

type State = (Sheet, Option<Wish>);

fn shown(sheet: Sheet) -> egui_kittest::Harness<'static, Bench<State>> {
    bench(vec2(1200.0, 800.0), (sheet, None), |ui, (sheet, wish): &mut State| {
        *wish = start_ui(ui, sheet).or(wish.take());
    })
}

fn in_folder() -> Sheet {
    let entry = |name: &str, kind| Entry { name: name.into(), kind };
    Sheet {
        folder: PathBuf::from("/gardens"),
        entries: Some(Ok(vec![
            entry("old", EntryKind::Folder),
            entry("pond", EntryKind::Site),
            entry("shots.csv", EntryKind::Survey),
        ])),
        ..Sheet::default()
    }
}

fn of_list(text: &str) -> Understood {
    let told = ListTold { unit: Some(LengthUnit::Metre), ..ListTold::default() };
    let list = points::read(text.as_bytes(), &told).unwrap();
    let name = |line| list.points.iter().find(|p| p.line == line).map(|p| p.name.clone());
    Understood {
        kind: format!("a point list, {} points", list.points.len()),
        doubts: list.doubts.iter().map(|doubt| (doubt.clone(), name(doubt.line))).collect(),
        points: list.points.clone(),
        ..Understood::default()
    }
}

#[test]
fn a_folder_is_walked_and_a_site_in_it_opened() {
    let mut harness = shown(in_folder());
    for (mark, wish) in [
        ("entry old", Wish::Look("/gardens/old".into())),
        ("entry above", Wish::Look("/".into())),
        ("entry shots.csv", Wish::Look("/gardens/shots.csv".into())),
        ("entry pond", Wish::Open("/gardens/pond".into())),
    ] {
        click(&mut harness, mark);
        assert_eq!(harness.state_mut().state.1.take(), Some(wish), "{mark}");
    }
    click(&mut harness, "path");
    type_words(&mut harness, "new/levels.csv");
    press(&mut harness, egui::Key::Enter);
    let wish = Wish::Look("/gardens/new/levels.csv".into());
    assert_eq!(harness.state_mut().state.1.take(), Some(wish));
}

#[test]
fn a_site_is_made_only_of_what_was_understood() {
    let mut sheet = in_folder();
    assert_eq!(sheet.survey(), None);
    sheet.take_file("/gardens/shots.csv".into());
    assert_eq!(
        (sheet.told.title.as_str(), sheet.site_folder.as_str()),
        ("shots", "/gardens/shots-site")
    );
    assert!(!sheet.is_ready());
    sheet.understood = Some(Err("shots.csv: line 3".into()));
    assert!(!sheet.is_ready());
    let list = of_list("name,x,y,z\n1,0,0,1\n2,9,0,1\n3,9,9,2\n");
    let none = Understood { no_ground: Some("one line".into()), ..list.clone() };
    sheet.understood = Some(Ok(none));
    assert!(!sheet.is_ready());
    sheet.understood = Some(Ok(list));
    assert!(sheet.is_ready());
    let mut harness = shown(sheet);
    let at = harness.state().marks["button Make the site"];
    assert!(at.max.x <= 1200.0 && at.max.y <= 800.0, "the word that makes it is in sight: {at:?}");
    click(&mut harness, "button Make the site");
    assert_eq!(harness.state().state.1, Some(Wish::Make));
}

#[test]
fn rows_are_typed_and_columns_told() {
    let mut harness = shown(Sheet { understood: Some(Err("no header".into())), ..in_folder() });
    click(&mut harness, "way Typed or pasted");
    click(&mut harness, "rows");
    type_words(&mut harness, "1 0 0 10");
    harness.state_mut().state.0.understood = Some(Err("no header".into()));
    harness.run_steps(2);
    click(&mut harness, "tell Columns");
    type_words(&mut harness, "nxyz");
    let survey = harness.state().state.0.survey().unwrap();
    assert_eq!(survey.source, Source::Text("1 0 0 10".into()));
    assert_eq!(survey.columns, "nxyz");
}

#[test]
fn a_doubtful_point_is_set_aside_and_taken_back() {
    let list = "name,x,y,z\n1,0,0,1\n2,9,0,1\n3,9,9,2\n4,0,9,2\n5,4,4,1.5\n6,5,4,1\n7,9000,0,1\n";
    let understood = of_list(list);
    assert!(understood.doubts.iter().any(|(doubt, _)| doubt.kind == DoubtKind::FarOff));
    let mut sheet = in_folder();
    sheet.take_file("/gardens/shots.csv".into());
    sheet.understood = Some(Ok(understood));
    let mut harness = shown(sheet);
    click(&mut harness, "aside 7");
    let aside = |harness: &egui_kittest::Harness<'_, Bench<State>>| {
        harness.state().state.0.survey().unwrap().set_aside.into_iter().collect::<Vec<_>>()
    };
    assert_eq!(aside(&harness), ["7"]);
    click(&mut harness, "aside 7");
    assert_eq!(aside(&harness), [""; 0]);
}

#[test]
fn another_way_forgets_what_was_understood() {
    let mut sheet = in_folder();
    sheet.understood = Some(Ok(of_list("name,x,y,z\n1,0,0,1\n2,9,0,1\n3,9,9,2\n")));
    let mut harness = shown(sheet);
    click(&mut harness, "way A plain slope");
    let sheet = &harness.state().state.0;
    assert_eq!((sheet.way, &sheet.understood), (Way::Slope, &None));
    assert_eq!(sheet.survey().unwrap().source, Source::Slope(Slope::default()));
}
