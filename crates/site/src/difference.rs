//! Where two versions of a site differ, parameter by parameter.

use std::collections::BTreeMap;

use crate::field::{Field, FieldValue, Quantity, Settings, fields, settings};
use crate::reframe::survey_places;
use crate::{Picture, Pin, Site, Survey, Work, WorkId};

/// One thing that two versions of a site do not share.
#[derive(Clone, Debug, PartialEq)]
pub struct Difference {
    /// What it belongs to.
    pub owner: Owner,
    /// What differs about it.
    pub what: Differs,
}

/// What a difference belongs to.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Owner {
    /// A work that at least one version has.
    Work(WorkId),
    /// Another part of the site, by what people call it: "Soils", "House", "Viewpoint Kitchen".
    Part(String),
}

/// What differs.
#[derive(Clone, Debug, PartialEq)]
pub enum Differs {
    /// Only one version has it: 0 the first, 1 the second.
    OnlyIn(usize),
    /// Both have it, as another kind or with other content that is not told field by field.
    Content,
    /// One of its parameters; absent in the version whose list is shorter.
    Field {
        /// What a crew calls it.
        label: String,
        /// What it measures.
        quantity: Quantity,
        /// Its value in the first and in the second version.
        values: [Option<FieldValue>; 2],
    },
}

/// Places nearer than this are one, in metres: what moving from frame to frame rounds.
const SAME_PLACE_M: f64 = 1e-6;

/// Numbers nearer than this are one: as above, where a place is told as two numbers.
const SAME_NUMBER: f64 = 1e-9;

/// Everything that two versions of a site in one frame do not share, works first.
///
/// Works are the same when their ids are; houses, keep-outs, stockpiles and viewpoints when their
/// names are.
pub fn differences(from: &Site, to: &Site) -> Vec<Difference> {
    let mut found = Vec::new();
    for id in ids(from, to) {
        work(&mut found, id, [from.work(id), to.work(id)]);
    }
    if order(from, to) != order(to, from) {
        found.push(content("Order of building"));
    }
    if !same_survey(&from.survey, &to.survey) {
        found.push(content("Survey"));
    }
    part(&mut found, "Soils", [&from.soils, &to.soils]);
    part(&mut found, "Circulation", [&from.circulation, &to.circulation]);
    part(&mut found, "Weather", [&from.weather, &to.weather]);
    named(&mut found, "House", [&from.houses, &to.houses], |house| &house.name);
    named(&mut found, "Keep-out", [&from.keep_outs, &to.keep_outs], |kept| &kept.name);
    part(&mut found, "Limits", [&from.limits, &to.limits]);
    part(&mut found, "Digging", [&from.digging, &to.digging]);
    part(&mut found, "Trucks", [&from.haul, &to.haul]);
    part(&mut found, "Carrying", [&from.carry, &to.carry]);
    named(&mut found, "Stockpile", [&from.stockpiles, &to.stockpiles], |heap| &heap.name);
    named(&mut found, "Viewpoint", [&from.viewpoints, &to.viewpoints], |view| &view.name);
    if !same_pictures(&from.pictures, &to.pictures) {
        found.push(content("Pictures"));
    }
    found
}

fn content(part: &str) -> Difference {
    Difference { owner: Owner::Part(part.to_owned()), what: Differs::Content }
}

/// The works of a site that another has too, in building order.
fn order(site: &Site, other: &Site) -> Vec<WorkId> {
    let shared = site.works.iter().filter(|work| other.work(work.id).is_some());
    shared.map(|work| work.id).collect()
}

/// Ids of the works of both versions: those of the first in its order, then those it has not.
fn ids(from: &Site, to: &Site) -> Vec<WorkId> {
    let later = to.works.iter().filter(|work| from.work(work.id).is_none());
    from.works.iter().chain(later).map(|work| work.id).collect()
}

fn work(found: &mut Vec<Difference>, id: WorkId, versions: [Option<&Work>; 2]) {
    let owner = Owner::Work(id);
    match versions {
        [Some(a), Some(b)]
            if std::mem::discriminant(&a.kind) == std::mem::discriminant(&b.kind) =>
        {
            compare(found, &owner, fields(a), fields(b));
        }
        [Some(_), Some(_)] => found.push(Difference { owner, what: Differs::Content }),
        [a, _] => {
            let has = if a.is_some() { 0 } else { 1 };
            found.push(Difference { owner, what: Differs::OnlyIn(has) });
        }
    }
}

/// A part that both versions have.
fn part<T: Settings>(found: &mut Vec<Difference>, word: &str, [from, to]: [&T; 2]) {
    compare(found, &Owner::Part(word.to_owned()), settings(from), settings(to));
}

/// Parts that have names; of several with one name, the first stands for all.
fn named<T: Settings>(
    found: &mut Vec<Difference>,
    word: &str,
    [from, to]: [&[T]; 2],
    name: impl Fn(&T) -> &str,
) {
    let owner = |one: &T| Owner::Part(format!("{word} {}", name(one)));
    let twin = |list: &'_ [T], one: &T| list.iter().position(|other| name(other) == name(one));
    for one in from {
        match twin(to, one) {
            Some(other) => compare(found, &owner(one), settings(one), settings(&to[other])),
            None => found.push(Difference { owner: owner(one), what: Differs::OnlyIn(0) }),
        }
    }
    for one in to.iter().filter(|one| twin(from, one).is_none()) {
        found.push(Difference { owner: owner(one), what: Differs::OnlyIn(1) });
    }
}

/// The fields that differ, by their paths: those of the first version, then those it has not.
fn compare(found: &mut Vec<Difference>, owner: &Owner, from: Vec<Field>, to: Vec<Field>) {
    let mut others: BTreeMap<String, Field> =
        to.iter().map(|field| (field.path.clone(), field.clone())).collect();
    let mut differs = |field: &Field, values: [Option<FieldValue>; 2]| {
        let (label, quantity) = (field.label.clone(), field.quantity);
        let what = Differs::Field { label, quantity, values };
        found.push(Difference { owner: owner.clone(), what });
    };
    for field in from {
        let other = others.remove(&field.path).map(|other| other.value);
        if !other.as_ref().is_some_and(|other| same_value(&field.value, other)) {
            differs(&field, [Some(field.value.clone()), other]);
        }
    }
    for field in to.iter().filter(|field| others.contains_key(&field.path)) {
        differs(field, [None, Some(field.value.clone())]);
    }
}

fn same_value(a: &FieldValue, b: &FieldValue) -> bool {
    match (a, b) {
        (FieldValue::Place(Some(a)), FieldValue::Place(Some(b))) => same_place(a, b),
        (FieldValue::Number(a), FieldValue::Number(b)) => (a - b).abs() < SAME_NUMBER,
        _ => a == b,
    }
}

fn same_place(a: &[f64], b: &[f64]) -> bool {
    a.iter().zip(b).all(|(a, b)| (a - b).abs() < SAME_PLACE_M)
}

fn same_pictures(from: &[Picture], to: &[Picture]) -> bool {
    let same_pin = |(a, b): (&Pin, &Pin)| a.at_px == b.at_px && same_place(&a.at_m, &b.at_m);
    let same = |(a, b): (&Picture, &Picture)| {
        (&a.name, &a.file, a.size_px, a.pins.len()) == (&b.name, &b.file, b.size_px, b.pins.len())
            && a.pins.iter().zip(&b.pins).all(same_pin)
    };
    from.len() == to.len() && from.iter().zip(to).all(same)
}

fn same_survey(from: &Survey, to: &Survey) -> bool {
    // The places on their own, and what is left when every place is the same.
    let parted = |survey: &Survey| {
        let mut rest = survey.clone();
        let places: Vec<Vec<f64>> = survey_places(&mut rest)
            .map(|place| {
                let at = place.to_vec();
                place.fill(0.0);
                at
            })
            .collect();
        (places, rest)
    };
    let ((a_places, a), (b_places, b)) = (parted(from), parted(to));
    a == b && a_places.iter().zip(&b_places).all(|(a, b)| same_place(a, b))
}
