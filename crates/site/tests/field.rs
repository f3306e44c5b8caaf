//! Every stored field of every kind of work can be seen and set through the table of fields.

mod sample;

use std::collections::BTreeSet;

use serde_json::Value;
use site::field::{
    Field, FieldError, FieldValue, ListEdit, Quantity, edit_list, fields, set, set_setting,
    settings,
};
use site::works::{Floor, RingShape};
use site::{Work, WorkKind};

/// Paths of all leaves of a value: variant names are no step, a place of two numbers is one leaf.
fn leaves(value: &Value, path: &str, found: &mut BTreeSet<String>) {
    match value {
        Value::Object(map) => {
            for (key, inner) in map {
                if key.starts_with(char::is_uppercase) {
                    found.insert(path.to_owned());
                    leaves(inner, path, found);
                } else if path.is_empty() {
                    leaves(inner, key, found);
                } else {
                    leaves(inner, &format!("{path}.{key}"), found);
                }
            }
        }
        Value::Array(entries) => {
            for (i, inner) in entries.iter().enumerate() {
                leaves(inner, &format!("{path}[{i}]"), found);
            }
        }
        _ => {
            found.insert(path.to_owned());
        }
    }
}

/// The leaves of a stored work that a person can change, as its file would hold them.
fn stored(work: &Work) -> BTreeSet<String> {
    let mut found = BTreeSet::new();
    leaves(&serde_json::to_value(work).expect("plain data"), "", &mut found);
    // What a work is, and its id, are given once and for all.
    assert!(found.remove("kind") && found.remove("id"));
    found.iter().map(|path| path.strip_prefix("kind.").unwrap_or(path).to_owned()).collect()
}

/// The leaves that the table of fields reaches.
fn reached(work: &Work) -> BTreeSet<String> {
    let is_leaf = |field: &Field| field.quantity != Quantity::List;
    let paths = |field: Field| match field.value {
        FieldValue::Place(Some(_)) => {
            vec![format!("{}[0]", field.path), format!("{}[1]", field.path)]
        }
        _ => vec![field.path],
    };
    fields(work).into_iter().filter(is_leaf).flat_map(paths).collect()
}

/// Each kind of work, and the basin also with its other choices taken.
fn variants() -> Vec<Work> {
    let mut all = sample::works();
    let mut plain = all[0].clone();
    let WorkKind::Basin(basin) = &mut plain.kind else { panic!("the first is a basin") };
    basin.floor = Floor::Level;
    basin.overflow = None;
    basin.liner_edge_m.clear();
    basin.rings[1].shape = RingShape::Inset { run_m: vec![0.3] };
    all.push(plain);
    all
}

#[test]
fn every_stored_field_is_in_the_table_and_no_other() {
    for work in variants() {
        assert_eq!(stored(&work), reached(&work), "{}", work.name);
    }
}

#[test]
fn every_field_can_be_set_and_only_it_changes() {
    for work in variants() {
        for field in fields(&work).into_iter().filter(|f| f.quantity != Quantity::List) {
            let other = match (&field.value, field.quantity) {
                (FieldValue::Number(now), _) => {
                    let (least, most) = field.range;
                    FieldValue::Number(if *now == least { (least + most) / 2.0 } else { least })
                }
                (FieldValue::Flag(now), _) => FieldValue::Flag(!now),
                (FieldValue::Text(now), _) => FieldValue::Text(format!("{now} more")),
                (FieldValue::Choice(now), Quantity::Choice(options)) => {
                    FieldValue::Choice((now + 1) % options.len())
                }
                (FieldValue::Place(_), _) => FieldValue::Place(Some([12.5, -3.25])),
                (FieldValue::Work(_), _) => FieldValue::Work(None),
                other => panic!("no test value for {other:?}"),
            };
            let mut changed = work.clone();
            set(&mut changed, &field.path, other.clone()).unwrap();
            let now = fields(&changed).into_iter().find(|f| f.path == field.path).unwrap();
            assert_eq!(now.value, other, "{}", field.path);
            // Some fields bring others with them, or take them away.
            let same_fields = fields(&changed).len() == fields(&work).len();
            if same_fields && !matches!(other, FieldValue::Choice(_) | FieldValue::Place(_)) {
                let differing = fields(&work)
                    .into_iter()
                    .zip(fields(&changed))
                    .filter(|(before, after)| before.value != after.value)
                    .count();
                assert_eq!(differing, 1, "{}", field.path);
            }
        }
    }
}

#[test]
fn labels_and_paths_name_one_field_each() {
    for work in variants() {
        let all = fields(&work);
        let paths: BTreeSet<_> = all.iter().map(|f| &f.path).collect();
        let labels: BTreeSet<_> = all.iter().map(|f| &f.label).collect();
        assert_eq!(paths.len(), all.len(), "{}", work.name);
        assert_eq!(labels.len(), all.len(), "{}", work.name);
        assert!(all.iter().all(|f| f.label.starts_with(char::is_uppercase)));
    }
}

#[test]
fn a_value_out_of_range_names_field_and_range_and_changes_nothing() {
    for work in variants() {
        for field in fields(&work) {
            let FieldValue::Number(_) = field.value else { continue };
            for bad in [f64::NAN, f64::INFINITY, field.range.0 - 1.0, field.range.1 + 1.0] {
                let mut changed = work.clone();
                let error = set(&mut changed, &field.path, FieldValue::Number(bad)).unwrap_err();
                let FieldError::Range { path, least, most, .. } = &error else {
                    panic!("{error}");
                };
                assert_eq!((path, (*least, *most)), (&field.path, field.range));
                assert!(error.to_string().contains(&field.label));
                assert_eq!(changed, work);
            }
        }
    }
}

#[test]
fn wrong_sorts_and_paths_are_refused() {
    let mut work = sample::works().remove(0);
    let before = work.clone();
    let unknown = set(&mut work, "rings[9].depth_m", FieldValue::Number(1.0));
    assert!(matches!(unknown, Err(FieldError::Unknown { .. })));
    let sort = set(&mut work, "rings[0].depth_m", FieldValue::Flag(true));
    assert!(matches!(sort, Err(FieldError::Sort { .. })));
    let no_list = edit_list(&mut work, "freeboard_m", ListEdit::Insert(0));
    assert!(matches!(no_list, Err(FieldError::Sort { .. })));
    assert_eq!(work, before);
}

#[test]
fn per_point_lists_follow_the_drawn_points() {
    let mut basin = sample::works().remove(0);
    edit_list(&mut basin, "outline.points", ListEdit::Insert(1)).unwrap();
    let WorkKind::Basin(inner) = &basin.kind else { panic!("a basin") };
    assert_eq!(inner.outline.points[1], [0.0, -4.0]);
    assert_eq!(inner.liner_edge_m, [30.1, 30.1, 30.2, 30.1, 30.15]);
    assert!(matches!(&inner.rings[0].shape, RingShape::Inset { run_m } if run_m.len() == 5));

    let mut hill = sample::works().remove(2);
    edit_list(&mut hill, "crest.points", ListEdit::Remove(0)).unwrap();
    let WorkKind::Hill(inner) = &hill.kind else { panic!("a hill") };
    assert_eq!((inner.crest_m.len(), inner.left.len()), (2, 2));
    assert_eq!(inner.crest_m, [31.5, 31.2]);
}

#[test]
fn lists_grow_and_shrink_within_their_range() {
    let mut stream = sample::works().remove(1);
    edit_list(&mut stream, "stations", ListEdit::Insert(1)).unwrap();
    set(&mut stream, "falls", FieldValue::List(3)).unwrap();
    let WorkKind::Stream(inner) = &stream.kind else { panic!("a stream") };
    assert_eq!((inner.stations[1].along_m, inner.stations[1].invert_m), (4.0, 30.5));
    assert_eq!(inner.falls.len(), 3);
    assert!(inner.falls.windows(2).all(|pair| pair[0].along_m < pair[1].along_m));
    assert!(set(&mut stream, "stations", FieldValue::List(1)).is_err());
    let beyond = edit_list(&mut stream, "falls", ListEdit::Remove(7));
    assert!(matches!(beyond, Err(FieldError::Entry { index: 7, .. })));

    let mut wall = sample::works().remove(3);
    set(&mut wall, "top_m", FieldValue::List(1)).unwrap();
    let WorkKind::Wall(inner) = &wall.kind else { panic!("a wall") };
    assert_eq!(inner.top_m, [31.0]);
    set(&mut wall, "top_m", FieldValue::List(3)).unwrap();
    let WorkKind::Wall(inner) = &wall.kind else { panic!("a wall") };
    assert_eq!(inner.top_m, [31.0; 3]);
}

#[test]
fn what_is_no_work_is_whole_too() {
    let site = sample::site();
    let count = |value: Value| {
        let mut found = BTreeSet::new();
        leaves(&value, "", &mut found);
        found
    };
    let paths = |fields: Vec<Field>| -> BTreeSet<String> {
        let split = |f: Field| match f.value {
            FieldValue::Place(_) => vec![format!("{}[0]", f.path), format!("{}[1]", f.path)],
            _ => vec![f.path],
        };
        let stored = fields.into_iter().filter(|field| field.quantity != Quantity::List);
        stored.flat_map(split).collect()
    };
    let whole = |value: Value, fields: Vec<Field>| assert_eq!(count(value), paths(fields));
    whole(serde_json::to_value(site.limits).unwrap(), settings(&site.limits));
    whole(serde_json::to_value(site.digging).unwrap(), settings(&site.digging));
    whole(serde_json::to_value(site.haul).unwrap(), settings(&site.haul));
    whole(serde_json::to_value(&site.carry).unwrap(), settings(&site.carry));
    whole(serde_json::to_value(site.weather).unwrap(), settings(&site.weather));
    // A common pump's size stands in the file where the choice does that it is one.
    let mut reached = paths(settings(&site.circulation));
    assert!(reached.remove("pumps[1].curve.common"));
    assert_eq!(count(serde_json::to_value(&site.circulation).unwrap()), reached);
    for heap in &site.stockpiles {
        whole(serde_json::to_value(heap).unwrap(), settings(heap));
    }
    for house in &site.houses {
        whole(serde_json::to_value(house).unwrap(), settings(house));
    }
    for viewpoint in &site.viewpoints {
        whole(serde_json::to_value(viewpoint).unwrap(), settings(viewpoint));
    }
    for kept in &site.keep_outs {
        // What a keep-out is, is given once and for all; the file nests it one level deeper.
        let text = serde_json::to_string(kept).unwrap();
        let n_leaves = count(serde_json::from_str(&text).unwrap()).len() - 1;
        assert_eq!(n_leaves, paths(settings(kept)).len(), "{text}");
    }
    let mut soils = site.soils.clone();
    assert!(set_setting(&mut soils, "layers[0].shrink", FieldValue::Number(0.7)).is_err());
    set_setting(&mut soils, "layers[0].shrink", FieldValue::Number(-0.3)).unwrap();
    assert_eq!(soils.layers[0].shrink, -0.3);
    set_setting(&mut soils, "groundwater", FieldValue::List(0)).unwrap();
    assert_eq!(soils.groundwater_m, None);
    set_setting(&mut soils, "layers", FieldValue::List(4)).unwrap();
    assert_eq!(soils.layers[3].name, "Rock");
}
