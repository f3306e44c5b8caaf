//! The parameters that two versions do not share, in words.

use site::field::{FieldValue, Quantity, number_text};
use site::{Difference, Differs, Owner, Site};
use units::{LengthUnit, elevation_text};

use super::name_in;

/// One parameter that differs.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) struct Change {
    /// What it belongs to.
    pub owner: String,
    /// What differs about it: a field's label, or a phrase.
    pub what: String,
    /// How the first and the second version have it; none where it is no field.
    pub values: Option<[String; 2]>,
}

/// Every parameter that differs; places in the world's frame.
pub(super) fn changes(
    sites: [&Site; 2],
    differences: &[Difference],
    names: [&str; 2],
    unit: LengthUnit,
) -> Vec<Change> {
    let change = |found: &Difference| {
        let owner = match &found.owner {
            Owner::Work(id) => name_in(sites, *id),
            Owner::Part(word) => word.clone(),
        };
        let (what, values) = match &found.what {
            Differs::OnlyIn(version) => (format!("only in {}", names[*version]), None),
            Differs::Content => ("differs".to_owned(), None),
            Differs::Field { label, quantity, values } => {
                let said = [0, 1].map(|k| {
                    let value = values[k].as_ref();
                    value.map_or("none".to_owned(), |value| {
                        value_text(value, *quantity, sites[k], unit)
                    })
                });
                (label.clone(), Some(said))
            }
        };
        Change { owner, what, values }
    };
    differences.iter().map(change).collect()
}

/// A field's value as people read it.
fn value_text(value: &FieldValue, quantity: Quantity, site: &Site, unit: LengthUnit) -> String {
    match value {
        FieldValue::Number(number) => number_text(*number, quantity, unit),
        FieldValue::Flag(true) => "yes".to_owned(),
        FieldValue::Flag(false) => "no".to_owned(),
        FieldValue::Text(text) => format!("\"{text}\""),
        FieldValue::Choice(index) => match quantity {
            Quantity::Choice(words) => words.get(*index).map_or(String::new(), |w| (*w).to_owned()),
            _ => index.to_string(),
        },
        FieldValue::Place(None) | FieldValue::Work(None) => "none".to_owned(),
        FieldValue::Place(Some([x, y])) => {
            let [east, north] = site.frame.origin_m;
            let [x, y] = [x + east, y + north].map(|metres| elevation_text(metres, unit));
            format!("{x} east, {y} north")
        }
        FieldValue::Work(Some(id)) => {
            site.work(*id).map_or_else(|| format!("work {}", id.0), |work| work.name.clone())
        }
        FieldValue::List(count) => count.to_string(),
    }
}
