//! One control for each sort of stored value: typed or dragged, in the site's own unit.

use egui::{Align, DragValue, Layout, Response, RichText, Ui};
use site::field::{Field, FieldValue, Quantity, number_text};
use site::{Site, WorkId};
use units::{GALLON_L, LengthUnit, parse_length};

use super::change::{Around, change_ui};
use super::words::small;
use crate::document::Held;
use crate::marks;
use crate::theme::{paper, size, text};

/// A value that a hand has just given.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct Given {
    /// The field's path.
    pub path: String,
    /// The new value.
    pub value: FieldValue,
    /// Whether the hand still holds it.
    pub held: Held,
}

/// A row with the field's name and its control; answers with a value when one is given.
pub(crate) fn field_row(
    ui: &mut Ui,
    field: &Field,
    label: &str,
    around: Around<'_>,
) -> Option<Given> {
    let row = ui.horizontal(|ui| {
        let words = match field.value {
            FieldValue::Place(_) => format!("{label}, east and north"),
            _ => label.to_owned(),
        };
        let words = RichText::new(words).font(text(size::SMALL)).color(paper::SECOND.ink());
        let name = ui
            .allocate_ui_with_layout(
                egui::vec2(112.0, 24.0),
                Layout::left_to_right(Align::Center).with_main_wrap(true),
                |ui| {
                    ui.set_width(112.0);
                    ui.label(words)
                },
            )
            .inner;
        if let Some(caution) = field.note {
            name.on_hover_text(caution);
        }
        ui.with_layout(Layout::right_to_left(Align::Center), |ui| {
            let given = control(ui, field, around.site);
            if let Some(change) = around.change(field) {
                change_ui(ui, &change);
            }
            given
        })
        .inner
    });
    marks::note(ui.ctx(), &format!("row {}", field.path), row.response.rect);
    row.inner
}

/// The control alone.
pub(crate) fn control(ui: &mut Ui, field: &Field, site: &Site) -> Option<Given> {
    let unit = site.frame.unit;
    let given = |value, held| Some(Given { path: field.path.clone(), value, held });
    match (&field.value, field.quantity) {
        (FieldValue::Number(number), quantity) => {
            let mut number = *number;
            let response = number_ui(ui, &mut number, quantity, unit);
            marks::note(ui.ctx(), &format!("field {}", field.path), response.rect);
            let held = if response.dragged() { Held::Dragging } else { Held::Once };
            response.changed().then(|| given(FieldValue::Number(number), held))?
        }
        (FieldValue::Flag(flag), _) => {
            let mut flag = *flag;
            let response = ui.checkbox(&mut flag, "");
            marks::note(ui.ctx(), &format!("field {}", field.path), response.rect);
            response.changed().then(|| given(FieldValue::Flag(flag), Held::Once))?
        }
        (FieldValue::Text(words), _) => {
            let words = text_ui(ui, &field.path, words)?;
            given(FieldValue::Text(words), Held::Once)
        }
        (FieldValue::Choice(now), Quantity::Choice(words)) => {
            let mut now = *now;
            let before = now;
            egui::ComboBox::from_id_salt(&field.path)
                .selected_text(words.get(now).copied().unwrap_or_default())
                .show_ui(ui, |ui| {
                    for (idx, word) in words.iter().enumerate() {
                        ui.selectable_value(&mut now, idx, *word);
                    }
                });
            (now != before).then(|| given(FieldValue::Choice(now), Held::Once))?
        }
        (FieldValue::Work(now), _) => {
            let now = work_ui(ui, field, *now, site)?;
            given(FieldValue::Work(now), Held::Once)
        }
        (FieldValue::Place(place), quantity) => {
            let (place, held) = place_ui(ui, field, *place, quantity, unit)?;
            given(FieldValue::Place(place), held)
        }
        (FieldValue::List(n), _) => {
            let n = count_ui(ui, field, *n)?;
            given(FieldValue::List(n), Held::Once)
        }
        (FieldValue::Choice(_), _) => None,
    }
}

fn number_ui(ui: &mut Ui, number: &mut f64, quantity: Quantity, unit: LengthUnit) -> Response {
    let speed = match quantity {
        Quantity::Length | Quantity::Elevation => 0.005,
        Quantity::RunPerRise => 0.02,
        _ => 0.002,
    };
    let control = DragValue::new(number)
        .speed(speed)
        .update_while_editing(false)
        .custom_formatter(move |number, _| number_text(number, quantity, unit))
        .custom_parser(move |words| parse(words, quantity, unit));
    ui.add(control)
}

/// Reads what a person typed; none when it is not a value of this sort.
pub(crate) fn parse(words: &str, quantity: Quantity, unit: LengthUnit) -> Option<f64> {
    let plain = |words: &str| words.trim().parse::<f64>().ok().filter(|number| number.is_finite());
    match quantity {
        Quantity::Length | Quantity::Elevation => parse_length(words, unit).ok(),
        Quantity::RunPerRise => {
            plain(words.trim().trim_start_matches("1 in").trim_end_matches("to 1"))
        }
        Quantity::Share => plain(words.trim().trim_end_matches('%')).map(|share| share / 100.0),
        Quantity::Flow => {
            let number = plain(words.split_whitespace().next()?)?;
            let says = |letter| words.to_lowercase().contains(letter);
            let gallons = says('g') || (unit != LengthUnit::Metre && !says('l'));
            Some(if gallons { number * GALLON_L } else { number })
        }
        _ => plain(words.split_whitespace().next()?),
    }
}

fn text_ui(ui: &mut Ui, path: &str, words: &str) -> Option<String> {
    let id = ui.id().with(("text", path));
    let mut draft = ui.data(|data| data.get_temp::<String>(id)).unwrap_or_else(|| words.to_owned());
    let response =
        ui.add(egui::TextEdit::singleline(&mut draft).id(id.with("edit")).desired_width(150.0));
    marks::note(ui.ctx(), &format!("field {path}"), response.rect);
    if response.has_focus() {
        ui.data_mut(|data| data.insert_temp(id, draft));
        return None;
    }
    ui.data_mut(|data| data.remove::<String>(id));
    (response.lost_focus() && draft != words).then_some(draft)
}

fn work_ui(ui: &mut Ui, field: &Field, now: Option<WorkId>, site: &Site) -> Option<Option<WorkId>> {
    let name = |id: Option<WorkId>| {
        id.and_then(|id| site.work(id)).map_or("none", |work| work.name.as_str())
    };
    let mut chosen = now;
    egui::ComboBox::from_id_salt(&field.path).selected_text(name(now)).show_ui(ui, |ui| {
        ui.selectable_value(&mut chosen, None, "none");
        for work in &site.works {
            ui.selectable_value(&mut chosen, Some(work.id), &work.name);
        }
    });
    (chosen != now).then_some(chosen)
}

fn place_ui(
    ui: &mut Ui,
    field: &Field,
    place: Option<[f64; 2]>,
    quantity: Quantity,
    unit: LengthUnit,
) -> Option<(Option<[f64; 2]>, Held)> {
    let mut at = place.unwrap_or_default();
    let mut outcome = None;
    if quantity == Quantity::PlaceOrNone {
        let mut is_set = place.is_some();
        if ui.checkbox(&mut is_set, "").changed() {
            return Some((is_set.then_some(at), Held::Once));
        }
        if !is_set {
            small(ui, "none");
            return None;
        }
    }
    for axis in [1, 0] {
        let response = ui.add(
            DragValue::new(&mut at[axis])
                .speed(0.01)
                .update_while_editing(false)
                .custom_formatter(move |number, _| {
                    format!("{:.2} {}", unit.from_metres(number), unit.sign())
                })
                .custom_parser(move |words| parse_length(words, unit).ok()),
        );
        let side = ["east", "north"][axis];
        marks::note(ui.ctx(), &format!("field {} {side}", field.path), response.rect);
        if response.changed() {
            let held = if response.dragged() { Held::Dragging } else { Held::Once };
            outcome = Some((Some(at), held));
        }
        response.on_hover_text(format!("{side}, {}", unit.sign()));
    }
    outcome
}

fn count_ui(ui: &mut Ui, field: &Field, n: usize) -> Option<usize> {
    let (least, most) = field.range;
    if (least, most) == (0.0, 1.0) {
        // A list of none or one is a number that may be unknown.
        let mut is_known = n > 0;
        let check = ui.checkbox(&mut is_known, "");
        marks::note(ui.ctx(), &format!("field {}", field.path), check.rect);
        return check.clicked().then_some(usize::from(is_known));
    }
    let mut chosen = None;
    let more = ui.add_enabled((n as f64) < most, egui::Button::new("+").small());
    if more.on_hover_text("One more").clicked() {
        chosen = Some(n + 1);
    }
    ui.label(RichText::new(n.to_string()).font(text(size::BODY)));
    let fewer = ui.add_enabled(n as f64 > least, egui::Button::new("−").small());
    if fewer.on_hover_text("Take the last away").clicked() {
        chosen = Some(n - 1);
    }
    chosen
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_is_shown_can_be_typed_back() {
        let unit = LengthUnit::FootInch;
        for (number, quantity) in [
            (0.762, Quantity::Length),
            (30.6476, Quantity::Elevation),
            (2.5, Quantity::RunPerRise),
            (0.083, Quantity::RunPerRise),
            (0.25, Quantity::Share),
            (1.6, Quantity::Density),
            (37.854, Quantity::Flow),
        ] {
            let shown = number_text(number, quantity, unit);
            let read = parse(&shown, quantity, unit).unwrap();
            assert!((read - number).abs() < 0.004, "{shown} reads as {read}");
        }
    }

    #[test]
    fn a_hose_is_typed_in_litres_or_gallons_and_reads_in_the_sites_own() {
        let read = |words, unit| parse(words, Quantity::Flow, unit);
        assert_eq!(read("20", LengthUnit::Metre), Some(20.0));
        assert_eq!(read("20 l/min", LengthUnit::Foot), Some(20.0));
        let ten_gallons = Some(10.0 * 3.785_411_784);
        for (words, unit) in [("10", LengthUnit::Foot), ("10 gal/min", LengthUnit::Metre)] {
            let off = read(words, unit).zip(ten_gallons).map(|(a, b)| (a - b).abs());
            assert!(off.is_some_and(|off| off < 1e-9), "{words}");
        }
    }

    #[test]
    fn nonsense_is_no_value() {
        assert_eq!(parse("deep", Quantity::Length, LengthUnit::Metre), None);
        assert_eq!(parse("nan", Quantity::RunPerRise, LengthUnit::Metre), None);
    }
}
