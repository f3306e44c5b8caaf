//! What has changed since the hand took hold, beside each number in marking paint.

use egui::{RichText, Ui};
use site::Site;
use site::field::{Field, FieldValue, Quantity, number_text};
use units::LengthUnit;

use crate::theme::{paper, size, text};

/// What a control reads besides its own field.
#[derive(Clone, Copy)]
pub(crate) struct Around<'a> {
    /// The site as it stands.
    pub site: &'a Site,
    /// The fields as they were when the hand took hold; none while it holds nothing.
    pub before: &'a [Field],
}

impl<'a> From<&'a Site> for Around<'a> {
    fn from(site: &'a Site) -> Self {
        Self { site, before: &[] }
    }
}

impl Around<'_> {
    /// How a number has changed since the hand took hold; nothing where it has not.
    pub(crate) fn change(&self, field: &Field) -> Option<String> {
        let old = self.before.iter().find(|old| old.path == field.path)?;
        match (&old.value, &field.value) {
            (FieldValue::Number(old), FieldValue::Number(new)) => {
                between(*old, *new, field.quantity, self.site.frame.unit)
            }
            (FieldValue::Place(Some(old)), FieldValue::Place(Some(new))) => {
                let moved_m = libm::hypot(new[0] - old[0], new[1] - old[1]);
                let moved = number_text(moved_m, Quantity::Length, self.site.frame.unit);
                (moved_m > 0.0).then(|| format!("moved {moved}"))
            }
            _ => None,
        }
    }
}

/// How a number differs from an older one; nothing where both read alike.
///
/// Slopes are told by what they were: the difference of two runs is no run.
pub(crate) fn between(old: f64, new: f64, quantity: Quantity, unit: LengthUnit) -> Option<String> {
    let say = |number: f64, quantity| number_text(number, quantity, unit);
    if say(old, quantity) == say(new, quantity) {
        return None;
    }
    let by = (new - old).abs();
    Some(match quantity {
        Quantity::RunPerRise => format!("was {}", say(old, quantity)),
        Quantity::Elevation => {
            let word = if new > old { "higher" } else { "lower" };
            format!("{} {word}", say(by, Quantity::Length))
        }
        _ => format!("{} {}", say(by, quantity), if new > old { "more" } else { "less" }),
    })
}

/// Writes a change.
pub(crate) fn change_ui(ui: &mut Ui, change: &str) {
    let words = RichText::new(change).font(text(size::SMALL)).color(paper::MARKING.ink());
    ui.label(words);
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_change_is_told_in_the_words_of_its_quantity() {
        let told = |old, new, quantity| between(old, new, quantity, LengthUnit::Metre);
        let said = |old, new, quantity| told(old, new, quantity).unwrap();
        assert_eq!(said(0.4, 0.65, Quantity::Length), "0.25 m more");
        assert_eq!(said(101.5, 101.25, Quantity::Elevation), "0.25 m lower");
        assert_eq!(said(3.0, 2.5, Quantity::RunPerRise), "was 1 in 3");
        assert_eq!(said(0.25, 0.2, Quantity::Share), "5 % less");
        // A hair that nobody reads is no change.
        assert_eq!(told(0.4, 0.4001, Quantity::Length), None);
    }

    #[test]
    fn only_what_the_hand_found_otherwise_has_changed() {
        let site = crate::demo::rear_garden();
        let mut work = site.works[0].clone();
        let before = site::field::fields(&work);
        let idx = before.iter().position(|f| f.quantity == Quantity::Length).unwrap();
        let FieldValue::Number(old) = before[idx].value else { panic!("a length is a number") };
        let new = FieldValue::Number(old + 0.1);
        site::field::set(&mut work, &before[idx].path, new).unwrap();
        let around = Around { site: &site, before: &before };
        let changed: Vec<String> = site::field::fields(&work)
            .iter()
            .filter(|field| around.change(field).is_some())
            .map(|field| field.path.clone())
            .collect();
        assert_eq!(changed, [before[idx].path.clone()]);
        assert_eq!(Around::from(&site).change(&site::field::fields(&work)[idx]), None);
    }
}
