//! What differs between two versions of a site.

#![allow(clippy::unwrap_used, reason = "a test that cannot go on ends here")]

mod sample;

use std::sync::Arc;

use sample::site;
use site::field::{FieldValue, ListEdit, edit_list, fields, set};
use site::{Difference, Differs, Frame, Owner, Site, differences, reframed};

#[test]
fn a_site_does_not_differ_from_itself_in_any_frame() {
    let site = site();
    assert_eq!(differences(&site, &site), []);
    let frame = Frame { origin_m: [512_300.123_456_7, 4_512_000.9], ..site.frame.clone() };
    let there = reframed(&site, &frame).unwrap();
    assert_eq!(differences(&reframed(&there, &site.frame).unwrap(), &site), []);
}

/// The value of a number one range's hundredth away from the one given.
fn moved(value: f64, (least, most): (f64, f64)) -> f64 {
    let step = (most - least).min(10.0) / 100.0;
    if value + step <= most { value + step } else { value - step }
}

/// Every number of every work, changed alone, is the one thing that differs.
#[test]
fn every_number_that_is_changed_is_told_with_its_label_and_both_values() {
    let site = site();
    let mut n_numbers = 0;
    for (i, work) in site.works.iter().enumerate() {
        for field in fields(work) {
            let FieldValue::Number(value) = field.value else { continue };
            n_numbers += 1;
            let mut other = site.clone();
            let changed = FieldValue::Number(moved(value, field.range));
            set(&mut other.works[i], &field.path, changed.clone()).unwrap();
            let what = Differs::Field {
                label: field.label.clone(),
                quantity: field.quantity,
                values: [Some(field.value.clone()), Some(changed)],
            };
            let owner = Owner::Work(work.id);
            assert_eq!(differences(&site, &other), [Difference { owner, what }], "{}", field.path);
        }
    }
    assert!(n_numbers > 20, "{n_numbers}");
}

fn owners(a: &Site, b: &Site) -> Vec<(Owner, Differs)> {
    differences(a, b).into_iter().map(|found| (found.owner, found.what)).collect()
}

#[test]
fn works_that_only_one_version_has_and_another_order_are_told() {
    let site = site();
    let mut other = site.clone();
    let gone = other.works.remove(0).id;
    assert_eq!(owners(&site, &other), [(Owner::Work(gone), Differs::OnlyIn(0))]);
    assert_eq!(owners(&other, &site), [(Owner::Work(gone), Differs::OnlyIn(1))]);
    let mut other = site.clone();
    other.works.swap(0, 1);
    assert_eq!(
        owners(&site, &other),
        [(Owner::Part("Order of building".into()), Differs::Content)]
    );
}

#[test]
fn a_longer_list_tells_its_count_and_what_it_has_more() {
    let site = site();
    let mut other = site.clone();
    let rings = fields(&site.works[0])
        .into_iter()
        .find(|field| field.path == "rings")
        .expect("the first work of the sample is a basin");
    let FieldValue::List(n) = rings.value else { panic!("{rings:?}") };
    edit_list(&mut other.works[0], "rings", ListEdit::Insert(n)).unwrap();
    let found = owners(&site, &other);
    let Differs::Field { values, .. } = &found[0].1 else { panic!("{found:?}") };
    assert_eq!(*values, [Some(FieldValue::List(n)), Some(FieldValue::List(n + 1))]);
    let more = found[1..]
        .iter()
        .all(|(_, what)| matches!(what, Differs::Field { values: [None, Some(_)], .. }));
    assert!(found.len() > 1 && more, "{found:?}");
}

#[test]
fn what_is_no_work_is_told_too() {
    let site = site();
    let mut other = site.clone();
    other.soils.layers[0].swell += 0.01;
    other.limits.flank_run_per_rise += 1.0;
    other.haul.payload_t += 1.0;
    other.viewpoints[0].eye_m += 0.1;
    other.viewpoints.push(site::Viewpoint { name: "Bench".into(), ..site.viewpoints[0].clone() });
    Arc::make_mut(&mut other.survey).voids.clear();
    other.houses[0].floor_m += 0.1;
    let gone = other.keep_outs.remove(0).name;
    let found: Vec<Owner> = owners(&site, &other).into_iter().map(|(owner, _)| owner).collect();
    let expected = [
        "Survey",
        "Soils",
        "House House",
        &format!("Keep-out {gone}"),
        "Limits",
        "Trucks",
        "Viewpoint Kitchen",
        "Viewpoint Bench",
    ];
    assert_eq!(found, expected.map(|word| Owner::Part(word.to_owned())));
}
