//! The limits of the checks: beside a finding those that it is held against, below the list all.

use egui::{RichText, Ui};
use site::field::{self, Field, number_text};
use site::{Edit, Limit, Limits, Site};

use super::card::Answer;
use super::control::{Given, field_row};
use super::settings;
use super::words::small;
use crate::marks;
use crate::theme::{size, text};

/// Shows some limits, by their fields; answers with the edit when one is changed.
pub(crate) fn limits_ui(ui: &mut Ui, fields: &[&str], site: &Site) -> Option<Answer> {
    let mut given = None;
    let rows = field::settings(&site.limits);
    for row in rows.iter().filter(|row| fields.contains(&row.path.as_str())) {
        given = field_row(ui, row, &row.label, site.into()).or(given);
        if let Some(limit) = Limits::TABLE.iter().find(|limit| limit.field == row.path) {
            given = changed_ui(ui, limit, row, site).or(given);
        }
    }
    given.and_then(|given| {
        settings::apply(&site.limits, &given, &rows, site.frame.unit, Edit::SetLimits)
    })
}

/// Shows every limit under one heading, which begins closed.
pub(crate) fn all_ui(ui: &mut Ui, site: &Site) -> Option<Answer> {
    let n_changed = site.limits.changed().len();
    let title = match n_changed {
        0 => "Limits".to_owned(),
        n => format!("Limits, {n} changed"),
    };
    let title = RichText::new(title).font(text(size::BODY));
    let fold = egui::CollapsingHeader::new(title).id_salt("limits").show(ui, |ui| {
        let fields: Vec<&str> = Limits::TABLE.iter().map(|limit| limit.field).collect();
        limits_ui(ui, &fields, site)
    });
    marks::note(ui.ctx(), "fold limits", fold.header_response.rect);
    fold.body_returned.flatten()
}

/// What a changed limit is unless changed, and the way back to it.
fn changed_ui(ui: &mut Ui, limit: &Limit, row: &Field, site: &Site) -> Option<Given> {
    let changed = site.limits.changed();
    let changed = changed.iter().find(|changed| changed.limit.field == limit.field)?;
    let default = number_text(changed.default, limit.quantity, site.frame.unit);
    small(ui, format!("changed; {default} by {}", limit.source));
    let back = ui.add(egui::Button::new(format!("back to {default}")).frame(false));
    marks::note(ui.ctx(), &format!("back {}", limit.field), back.rect);
    back.clicked().then(|| Given {
        path: row.path.clone(),
        value: field::FieldValue::Number(changed.default),
        held: crate::document::Held::Once,
    })
}
