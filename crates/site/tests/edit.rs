//! Edits and their history.

mod sample;

use std::sync::Arc;

use proptest::prelude::*;
use proptest::test_runner::RngSeed;
use site::field::{FieldValue, fields, set};
use site::{Edit, EditError, Gesture, History, Site, Viewpoint, WorkId, WorkKind, apply};
use units::LengthUnit;

#[test]
fn ids_are_never_reused() {
    let site = sample::site();
    let new = site.works[2].clone();
    let added = apply(&site, &Edit::AddWork { work: new.clone(), at: 0 }).unwrap();
    assert_eq!((added.works[0].id, added.next_id), (WorkId(19), 20));
    let removed = apply(&added, &Edit::RemoveWork(WorkId(19))).unwrap();
    let again = apply(&removed, &Edit::AddWork { work: new, at: usize::MAX }).unwrap();
    assert_eq!(again.works.last().unwrap().id, WorkId(20));
}

#[test]
fn what_referred_to_a_removed_work_refers_to_none() {
    let whole = sample::site();
    let without = |id| apply(&whole, &Edit::RemoveWork(WorkId(id))).unwrap();
    let kind = |site: &Site, id| site.work(WorkId(id)).unwrap().kind.clone();
    let filter_gone = without(5);
    assert_eq!(filter_gone.works.len(), whole.works.len() - 1);
    assert!(matches!(kind(&filter_gone, 2), WorkKind::Stream(stream)
        if stream.from.is_none() && stream.into == Some(WorkId(1))));
    assert!(matches!(kind(&filter_gone, 4), WorkKind::Wall(wall) if wall.holds.is_none()));
    let pump = |site: &Site| site.circulation.pumps[0].clone();
    assert_eq!(pump(&filter_gone).lines[0].feeds, None);
    assert_eq!(pump(&filter_gone).lines[1].feeds, Some(WorkId(1)));
    assert_eq!(pump(&without(6)).draws_from, None);
    assert_eq!(pump(&without(10)).main.unwrap().trench, None);
    let wall_gone = without(4);
    assert!(matches!(kind(&wall_gone, 3), WorkKind::Hill(hill) if hill.held_by.is_none()));
    let basin_gone = without(1);
    assert!(matches!(kind(&basin_gone, 2), WorkKind::Stream(stream) if stream.into.is_none()));
    assert!(matches!(kind(&basin_gone, 6), WorkKind::IntakeBay(bay) if bay.from.is_none()));
    assert!(matches!(kind(&basin_gone, 8), WorkKind::Path(path) if path.stones.is_none()));
    assert!(matches!(kind(&basin_gone, 12), WorkKind::Basin(other) if other.joins.is_none()));
}

#[test]
fn refused_edits_say_why() {
    let site = sample::site();
    let gone = apply(&site, &Edit::RemoveWork(WorkId(77)));
    assert_eq!(gone, Err(EditError::NoWork(WorkId(77))));
    let mut work = site.works[0].clone();
    let WorkKind::Basin(basin) = &mut work.kind else { panic!("a basin") };
    basin.rings[0].depth_m = f64::NAN;
    let Err(EditError::Invalid(invalid)) = apply(&site, &Edit::SetWork(work)) else {
        panic!("not a number is refused");
    };
    assert_eq!(invalid.path, "works[0].kind.rings[0].depth_m");
}

#[test]
fn a_drag_is_one_step() {
    let first = sample::site();
    let mut history = History::opened(first.clone());
    for depth in [0.35, 0.40, 0.45] {
        history.edit(&deeper(&history, depth), Gesture::Drag(1)).unwrap();
    }
    history.end_gesture();
    history.edit(&deeper(&history, 0.5), Gesture::Drag(1)).unwrap();
    assert!(history.undo());
    assert!(!history.is_saved());
    assert!(history.undo());
    assert_eq!((&**history.present(), history.can_undo()), (&first, false));
    assert!(history.is_saved());
    assert!(history.redo() && history.redo() && !history.redo());
}

#[test]
fn a_drag_back_to_its_start_and_an_edit_of_nothing_leave_no_step() {
    let mut history = History::opened(sample::site());
    for depth in [0.35, 0.3] {
        history.edit(&deeper(&history, depth), Gesture::Drag(4)).unwrap();
    }
    history.end_gesture();
    history.edit(&deeper(&history, 0.3), Gesture::Single).unwrap();
    assert!(!history.can_undo() && history.is_saved());
}

#[test]
fn every_step_of_a_long_session_can_be_taken_back() {
    let first = sample::site();
    let mut history = History::opened(first.clone());
    for step in 0..3000 {
        history.edit(&Edit::SetTitle(format!("Garden {step}")), Gesture::Single).unwrap();
    }
    let steps = std::iter::from_fn(|| history.undo().then_some(())).count();
    assert_eq!((steps, &**history.present()), (3000, &first));
}

#[test]
fn saved_is_what_the_file_holds() {
    let mut history = History::unsaved(sample::site());
    assert!(!history.is_saved());
    history.mark_saved(&Arc::clone(history.present()));
    assert!(history.is_saved());
    history.edit(&Edit::SetTitle("Other".into()), Gesture::Single).unwrap();
    assert!(!history.is_saved());
    history.undo();
    assert!(history.is_saved());
}

fn deeper(history: &History, depth_m: f64) -> Edit {
    let mut work = history.present().works[0].clone();
    set(&mut work, "rings[0].depth_m", FieldValue::Number(depth_m)).expect("in range");
    Edit::SetWork(work)
}

/// An edit from a few random numbers; it may be one that is refused.
fn edit_of(site: &Site, [what, which, value]: [u32; 3]) -> Edit {
    let pick = |n: usize| which as usize % n.max(1);
    let id = site.works.get(pick(site.works.len())).map_or(WorkId(1), |work| work.id);
    match what % 10 {
        0 => Edit::SetTitle(format!("Garden {value}")),
        1 => Edit::SetUnit([LengthUnit::Metre, LengthUnit::Foot][value as usize % 2]),
        2 => {
            let mut soils = site.soils.clone();
            soils.layers[0].swell = f64::from(value) / 1000.0;
            Edit::SetSoils(soils)
        }
        3 => Edit::SetLimits(site::Limits { mound_heap: f64::from(value % 9), ..site.limits }),
        4 => Edit::AddWork { work: sample::works().remove(pick(11)), at: value as usize % 8 },
        5 => Edit::RemoveWork(id),
        6 => Edit::MoveWork { id, to: value as usize % 8 },
        7 => Edit::SetViewpoints(vec![
            Viewpoint {
                name: "Seat".into(),
                at_m: [1.0, 2.0],
                eye_m: 1.2,
                toward_m: [0.0; 3]
            };
            value as usize % 3
        ]),
        8 => Edit::SetHouses(Vec::new()),
        _ => {
            let Some(mut work) = site.works.get(pick(site.works.len())).cloned() else {
                return Edit::SetTitle("Empty".into());
            };
            let all = fields(&work);
            let field = &all[value as usize % all.len()];
            let value = match field.value {
                FieldValue::Number(_) => {
                    let share = f64::from(value % 97) / 96.0;
                    FieldValue::Number(field.range.0 + (field.range.1 - field.range.0) * share)
                }
                FieldValue::List(n) => FieldValue::List(n + 1),
                ref other => other.clone(),
            };
            let _ = set(&mut work, &field.path, value);
            Edit::SetWork(work)
        }
    }
}

proptest! {
    #![proptest_config(ProptestConfig {
        cases: 200,
        failure_persistence: None,
        rng_seed: RngSeed::Fixed(24),
        ..Default::default()
    })]

    #[test]
    fn undo_all_gives_the_first_and_redo_all_the_last(
        picks in prop::collection::vec((any::<u32>(), any::<u32>(), any::<u32>(), 0_u64..4), 1..40)
    ) {
        let first = sample::site();
        let mut history = History::opened(first.clone());
        for (what, which, value, drag) in picks {
            let edit = edit_of(history.present(), [what, which, value]);
            let gesture = if drag == 0 { Gesture::Single } else { Gesture::Drag(drag) };
            let before = Arc::clone(history.present());
            match history.edit(&edit, gesture) {
                Ok(()) => prop_assert!(history.present().check().is_ok()),
                Err(_) => prop_assert!(Arc::ptr_eq(&before, history.present())),
            }
        }
        let last = Arc::clone(history.present());
        let text = site::file::write(&last);
        prop_assert_eq!(&site::file::parse(&text).unwrap(), &*last);
        while history.undo() {}
        prop_assert_eq!(&**history.present(), &first);
        while history.redo() {}
        prop_assert_eq!(&**history.present(), &*last);
    }
}
