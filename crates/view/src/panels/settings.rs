//! Parts of the site that are no work: a value that was given becomes an edit, or is refused with what
//! is allowed.

use site::Edit;
use site::field::{self, Field, FieldError, Settings, number_text};
use units::LengthUnit;

use super::card::Answer;
use super::control::Given;

/// The edit that sets what was given, or why it is refused; nothing when nothing changes.
pub(super) fn apply<T: Settings + Clone + PartialEq>(
    of: &T,
    given: &Given,
    rows: &[Field],
    unit: LengthUnit,
    edit: impl FnOnce(T) -> Edit,
) -> Option<Answer> {
    let mut changed = of.clone();
    match field::set_setting(&mut changed, &given.path, given.value.clone()) {
        Ok(()) if changed == *of => None,
        Ok(()) => Some(Answer::Edit(Box::new(edit(changed)), given.held)),
        Err(FieldError::Range { label, least, most, value, .. }) => {
            let quantity = rows.iter().find(|row| row.path == given.path)?.quantity;
            let said = |number: f64| number_text(number, quantity, unit);
            Some(Answer::Refused(format!(
                "{label} takes {} to {}, not {}",
                said(least),
                said(most),
                said(value)
            )))
        }
        Err(refused) => Some(Answer::Refused(refused.to_string())),
    }
}
