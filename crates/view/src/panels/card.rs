//! The card of a work: its sketch on top, then every field that is stored.

use std::collections::BTreeSet;

use egui::{RichText, Ui};
use site::field::{self, Field, FieldValue, number_text};
use site::{Edit, Site, Work};
use units::LengthUnit;

use super::change::Around;
use super::control::{Given, control, field_row};
use super::sketch;
use crate::document::Held;
use crate::marks;
use crate::theme::{bold, paper, size, text};

/// A fold of more fields than this begins closed.
const LONG_FOLD: usize = 8;

/// What a card answers.
#[derive(Clone, Debug, PartialEq)]
pub(crate) enum Answer {
    /// A change of the work, and whether the hand still holds it.
    Edit(Box<Edit>, Held),
    /// A value was refused; why, in a sentence.
    Refused(String),
    /// The card was closed.
    Close,
}

/// Shows the card of a work; `before` is the work as it was when the hand took hold of something.
pub(crate) fn card_ui(
    ui: &mut Ui,
    work: &Work,
    before: Option<&Work>,
    site: &Site,
) -> Option<Answer> {
    let mut answer = None;
    let fields = field::fields(work);
    let before = before.map(field::fields).unwrap_or_default();
    let around = Around { site, before: &before };
    ui.horizontal(|ui| {
        ui.label(RichText::new(&work.name).font(bold(size::HEAD)));
        ui.with_layout(egui::Layout::right_to_left(egui::Align::Center), |ui| {
            let close = ui.add(egui::Button::new("close").frame(false));
            marks::note(ui.ctx(), "close card", close.rect);
            if close.on_hover_text("Close the card (Escape)").clicked() {
                answer = Some(Answer::Close);
            }
        });
    });
    let mut shown = BTreeSet::new();
    let mut given = sketch::sketch_ui(ui, work, &fields, around, &mut shown);
    let rest: Vec<&Field> = fields.iter().filter(|f| !shown.contains(&f.path)).collect();
    given = groups_ui(ui, &rest, around).or(given);
    if let Some(given) = given {
        answer = apply(work, &fields, given, site.frame.unit).or(answer);
    }
    answer
}

/// The work with a value set, or why it is refused; nothing when the value is the one it has.
fn apply(work: &Work, fields: &[Field], given: Given, unit: LengthUnit) -> Option<Answer> {
    let mut changed = work.clone();
    match field::set(&mut changed, &given.path, given.value.clone()) {
        Ok(()) if changed == *work => None,
        Ok(()) => Some(Answer::Edit(Box::new(Edit::SetWork(changed)), given.held)),
        Err(refused) => {
            let field = fields.iter().find(|f| f.path == given.path);
            Some(Answer::Refused(field.map_or_else(
                || refused.to_string(),
                |field| range_sentence(field, &given.value, unit),
            )))
        }
    }
}

fn range_sentence(field: &Field, value: &FieldValue, unit: LengthUnit) -> String {
    let say = |number: f64| number_text(number, field.quantity, unit);
    match value {
        FieldValue::Number(number) => format!(
            "{} takes {} to {}, not {}",
            field.label,
            say(field.range.0),
            say(field.range.1),
            say(*number)
        ),
        _ => format!("{} cannot be set to that", field.label),
    }
}

/// One fold of the card: fields that stand under one part of the work.
struct Group<'a> {
    key: String,
    fields: Vec<&'a Field>,
}

/// Shows fields in folds; answers with what was given.
pub(super) fn groups_ui(ui: &mut Ui, fields: &[&Field], around: Around<'_>) -> Option<Given> {
    let mut given = None;
    for group in grouped(fields) {
        // A fold for one number would only hide it.
        let is_single = group.fields.len() == 1
            && !matches!(group.fields[0].value, FieldValue::List(_) | FieldValue::Place(_));
        if group.key.is_empty() || is_single {
            for field in &group.fields {
                given = field_row(ui, field, &field.label, around).or(given);
            }
            continue;
        }
        given = fold_ui(ui, &group, around).or(given);
    }
    given
}

fn fold_ui(ui: &mut Ui, group: &Group<'_>, around: Around<'_>) -> Option<Given> {
    let title = title_of(group);
    let mut given = None;
    let id = ui.make_persistent_id(("fold", &group.key));
    // A long list of points is unfolded by whoever wants it.
    let first_open = group.fields.len() <= LONG_FOLD
        && (group.key.starts_with("rings") || group.key.starts_with("floor"));
    let fold = egui::collapsing_header::CollapsingState::load_with_default_open(
        ui.ctx(),
        id,
        first_open && !group.key.contains("outline"),
    );
    let mut is_clicked = false;
    let mut header = fold.show_header(ui, |ui| {
        let response = ui.add(
            egui::Label::new(RichText::new(&title).font(text(size::BODY)).color(paper::INK.ink()))
                .sense(egui::Sense::click()),
        );
        marks::note(ui.ctx(), &format!("fold {}", group.key), response.rect);
        is_clicked = response.clicked();
        let list = group.fields.iter().find(|f| f.path == group.key);
        if let Some(list) = list.filter(|f| matches!(f.value, FieldValue::List(_))) {
            ui.with_layout(egui::Layout::right_to_left(egui::Align::Center), |ui| {
                given = control(ui, list, around.site).or(given.take());
            });
        }
    });
    if is_clicked {
        header.toggle();
    }
    header.body_unindented(|ui| {
        for field in &group.fields {
            let is_header = field.path == group.key && matches!(field.value, FieldValue::List(_));
            if !is_header {
                let label = short(&field.label, &title);
                given = field_row(ui, field, &label, around).or(given.take());
            }
        }
    });
    given
}

/// Fields in folds: what stands by itself first, then one fold for each part with parts of its own.
fn grouped<'a>(fields: &[&'a Field]) -> Vec<Group<'a>> {
    let mut groups: Vec<Group<'a>> = vec![Group { key: String::new(), fields: Vec::new() }];
    for field in fields {
        let key = key_of(field, fields);
        match groups.iter_mut().find(|group| group.key == key) {
            Some(group) => group.fields.push(field),
            None => groups.push(Group { key, fields: vec![field] }),
        }
    }
    groups
}

/// The fold that a field belongs to: its list's entry, its curve, or none.
fn key_of(field: &Field, all: &[&Field]) -> String {
    let path = &field.path;
    // Whether a number is known stands before the number.
    if path.ends_with('?') && !path.contains(['.', '[']) {
        return String::new();
    }
    let head_end = path.find(['.', '[']).unwrap_or(path.len());
    let head = &path[..head_end];
    let has_parts = all.iter().any(|other| {
        other.path.strip_prefix(head).is_some_and(|rest| rest.starts_with(['.', '[']))
    });
    if !has_parts && !matches!(field.value, FieldValue::List(_)) {
        return String::new();
    }
    // Entries of lists that have fields of their own get a fold each; plain numbers share one.
    if let Some(close) = path.find(']')
        && path[head_end..].starts_with('[')
        && path[close + 1..].starts_with('.')
    {
        return path[..=close].to_owned();
    }
    head.to_owned()
}

fn title_of(group: &Group<'_>) -> String {
    let first = group.fields[0];
    if first.path == group.key {
        return first.label.clone();
    }
    // The words that all labels of the fold begin with.
    let mut common: Vec<&str> = first.label.split(' ').collect();
    for field in &group.fields[1..] {
        let words: Vec<&str> = field.label.split(' ').collect();
        let same = common.iter().zip(&words).take_while(|(a, b)| a == b).count();
        common.truncate(same);
    }
    let title = if common.is_empty() { part_of(&group.key) } else { common.join(" ") };
    title.trim_end_matches(',').to_owned()
}

/// What a part of a work is called that no label names: by its own name in the site's file.
fn part_of(key: &str) -> String {
    let words = key.rsplit('.').next().unwrap_or(key).replace('_', " ");
    let mut letters = words.chars();
    let first = letters.next();
    first.map_or_else(String::new, |first| first.to_uppercase().chain(letters).collect())
}

/// A label without the words that its fold already says.
fn short(label: &str, title: &str) -> String {
    let rest = label.strip_prefix(title).unwrap_or(label);
    let rest = rest.trim_start_matches([',', ' ']);
    let mut letters = rest.chars();
    letters
        .next()
        .map_or_else(|| label.to_owned(), |first| first.to_uppercase().chain(letters).collect())
}

#[cfg(test)]
mod tests {
    use std::collections::BTreeSet;

    use egui_kittest::Harness;
    use site::WorkKind;

    use super::*;

    /// A card on its own, with what it has answered and where its widgets are.
    struct Bench {
        site: Site,
        work: Work,
        before: Option<Work>,
        answers: Vec<Answer>,
        marks: marks::Marks,
        passes: usize,
    }

    fn bench(site: &Site, work: &Work) -> Harness<'static, Bench> {
        let state = Bench {
            site: site.clone(),
            work: work.clone(),
            before: None,
            answers: Vec::new(),
            marks: marks::Marks::new(),
            passes: 0,
        };
        let mut harness = Harness::builder().with_size(egui::vec2(300.0, 9000.0)).build_ui_state(
            |ui, bench: &mut Bench| {
                // Fonts are there from the pass after the one that names them.
                bench.passes += 1;
                if bench.passes == 1 {
                    return crate::theme::install(ui.ctx());
                }
                marks::keep(ui.ctx());
                if let Some(answer) = card_ui(ui, &bench.work, bench.before.as_ref(), &bench.site) {
                    bench.answers.push(answer);
                }
                bench.marks = marks::take(ui.ctx());
            },
            state,
        );
        harness.run_steps(3);
        harness
    }

    fn click(harness: &mut Harness<'static, Bench>, mark: &str) {
        let at = harness.state().marks[mark].center();
        harness.hover_at(at);
        harness.run_steps(1);
        for pressed in [true, false] {
            harness.event(egui::Event::PointerButton {
                pos: at,
                button: egui::PointerButton::Primary,
                pressed,
                modifiers: egui::Modifiers::NONE,
            });
            harness.run_steps(1);
        }
        harness.run_steps(12);
    }

    fn demo() -> Site {
        let text = include_str!("../../../../demo-sites/rear-garden/site.ron");
        site::file::parse(text).unwrap()
    }

    #[test]
    fn every_stored_field_has_a_control_in_its_card() {
        let site = demo();
        let mut kinds = BTreeSet::new();
        for work in &site.works {
            kinds.insert(match work.kind {
                WorkKind::Basin(_) => "basin",
                WorkKind::Stream(_) => "stream",
                WorkKind::Hill(_) => "hill",
                WorkKind::Wall(_) => "wall",
                WorkKind::FilterBed(_) => "filter bed",
                WorkKind::IntakeBay(_) => "intake bay",
                WorkKind::Pad(_) => "pad",
                WorkKind::Path(_) => "path",
                WorkKind::PlaneGrade(_) => "plane grade",
                WorkKind::Trench(_) => "trench",
                WorkKind::Strip(_) => "strip",
            });
            let mut harness = bench(&site, work);
            let fields = field::fields(work);
            let shown = |harness: &Harness<'static, Bench>| {
                let marks = &harness.state().marks;
                let rests = |f: &&Field| {
                    !["field", "row", "fold"]
                        .iter()
                        .any(|sort| marks.contains_key(&format!("{sort} {}", f.path)))
                };
                fields.iter().filter(rests).map(|f| f.path.clone()).collect::<Vec<_>>()
            };
            let mut opened = BTreeSet::new();
            while let Some(fold) = {
                let marks = &harness.state().marks;
                let rests = shown(&harness);
                marks
                    .keys()
                    .filter(|name| name.starts_with("fold ") && !opened.contains(*name))
                    .find(|name| rests.iter().any(|path| path.starts_with(&name[5..])))
                    .cloned()
            } {
                click(&mut harness, &fold);
                opened.insert(fold);
            }
            assert_eq!(shown(&harness), Vec::<String>::new(), "{}", work.name);
        }
        assert_eq!(kinds.len(), 5, "the demo site shows every kind of work");
    }

    #[test]
    fn a_typed_depth_becomes_an_edit_and_nonsense_does_not() {
        let site = demo();
        let pond = site.works.iter().find(|w| matches!(w.kind, WorkKind::Basin(_))).unwrap();
        let mut harness = bench(&site, pond);
        let mut write = |words: &str| {
            click(&mut harness, "field rings[0].depth_m");
            harness.key_combination_modifiers(egui::Modifiers::COMMAND, &[egui::Key::A]);
            harness.event(egui::Event::Text(words.into()));
            harness.run_steps(1);
            harness.key_press(egui::Key::Enter);
            harness.run_steps(3);
            std::mem::take(&mut harness.state_mut().answers)
        };
        assert_eq!(write("rather deep"), []);
        let answers = write("1 ft 3 in");
        let [Answer::Edit(edit, Held::Once)] = &answers[..] else { panic!("{answers:?}") };
        let Edit::SetWork(work) = &**edit else { panic!("{edit:?}") };
        let WorkKind::Basin(basin) = &work.kind else { panic!("no basin") };
        assert!((basin.rings[0].depth_m - 0.381).abs() < 1e-9);
        let answers = write("300 ft");
        let [Answer::Refused(why)] = &answers[..] else { panic!("{answers:?}") };
        assert!(why.starts_with("Ring 1 depth takes"), "{why}");
    }
}
