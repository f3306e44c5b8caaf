//! How fields are visited: one walk for reading, setting and editing lists.

use super::{Field, FieldError, FieldValue, ListEdit, Quantity};
use crate::{Curve, WorkId};

/// Farthest that a place may lie from the local origin, metres: within the coarsest lattice's reach.
pub(crate) const REACH_M: f64 = 500_000.0;
/// Elevations from below the lowest land to above the highest, metres.
pub(crate) const ELEVATION: (f64, f64) = (-1000.0, 10_000.0);
/// Most entries of any list.
pub(crate) const MOST: usize = 10_000;

/// Something whose every stored field can be walked.
pub(crate) trait Parameters: Clone {
    /// Shows every field to `visitor` and takes the changes that it answers with.
    fn walk(&mut self, visitor: &mut dyn Visitor);
}

/// Sees each field and may answer with what it is to hold instead.
pub(crate) trait Visitor {
    /// Visits one field that is no list.
    fn visit(&mut self, field: Field) -> Option<FieldValue>;
    /// Visits a list by its count.
    fn visit_list(&mut self, field: Field) -> Vec<ListEdit>;
}

/// What is said of a field besides its value.
pub(crate) struct Says {
    path: String,
    label: String,
    quantity: Quantity,
    range: (f64, f64),
    note: Option<&'static str>,
}

/// Begins to say a field: its path and label.
pub(crate) fn says(path: impl Into<String>, label: impl Into<String>) -> Says {
    Says {
        path: path.into(),
        label: label.into(),
        quantity: Quantity::Number,
        range: (0.0, 0.0),
        note: None,
    }
}

impl Says {
    /// The quantity and the range of a number.
    pub(crate) fn is(mut self, quantity: Quantity, least: f64, most: f64) -> Self {
        self.quantity = quantity;
        self.range = (least, most);
        self
    }

    /// An elevation anywhere on land.
    pub(crate) fn elevation(self) -> Self {
        self.is(Quantity::Elevation, ELEVATION.0, ELEVATION.1)
    }

    /// The caution beside the number.
    pub(crate) fn caution(mut self, note: &'static str) -> Self {
        self.note = Some(note);
        self
    }

    fn holding(self, value: FieldValue) -> Field {
        let Self { path, label, quantity, range, note } = self;
        Field { path, label, quantity, range, value, note }
    }
}

/// Visits a number.
pub(crate) fn number(visitor: &mut dyn Visitor, says: Says, slot: &mut f64) {
    if let Some(FieldValue::Number(new)) = visitor.visit(says.holding(FieldValue::Number(*slot))) {
        *slot = new;
    }
}

/// Visits a number that may be unknown: a list of none or one, at the number's path with a question
/// mark, and the number where it is known; one that comes to be known is `first` at first.
pub(crate) fn number_or_none(
    visitor: &mut dyn Visitor,
    says: Says,
    first: f64,
    slot: &mut Option<f64>,
) {
    let known = self::says(format!("{}?", says.path), format!("{}, known", says.label));
    let mut numbers: Vec<f64> = slot.iter().copied().collect();
    copied_list(visitor, known, (0, 1), &mut numbers, || first);
    if let Some(value) = numbers.first_mut() {
        number(visitor, says, value);
    }
    *slot = numbers.first().copied();
}

/// Visits a count; what is typed between two whole numbers is the nearest.
pub(crate) fn count(visitor: &mut dyn Visitor, says: Says, slot: &mut u32) {
    let mut value = f64::from(*slot);
    number(visitor, says, &mut value);
    *slot = value.round().max(0.0) as u32;
}

/// Visits a yes or no.
pub(crate) fn flag(visitor: &mut dyn Visitor, says: Says, slot: &mut bool) {
    let field = says.is(Quantity::Flag, 0.0, 1.0).holding(FieldValue::Flag(*slot));
    if let Some(FieldValue::Flag(new)) = visitor.visit(field) {
        *slot = new;
    }
}

/// Visits a text.
pub(crate) fn text(visitor: &mut dyn Visitor, says: Says, slot: &mut String) {
    let field = says.is(Quantity::Text, 0.0, 0.0).holding(FieldValue::Text(slot.clone()));
    if let Some(FieldValue::Text(new)) = visitor.visit(field) {
        *slot = new;
    }
}

/// Visits a place that always stands.
pub(crate) fn place(visitor: &mut dyn Visitor, says: Says, slot: &mut [f64; 2]) {
    let says = says.is(Quantity::Place, -REACH_M, REACH_M);
    let field = says.holding(FieldValue::Place(Some(*slot)));
    if let Some(FieldValue::Place(Some(new))) = visitor.visit(field) {
        *slot = new;
    }
}

/// Visits a place that may be absent.
pub(crate) fn place_or_none(visitor: &mut dyn Visitor, says: Says, slot: &mut Option<[f64; 2]>) {
    let says = says.is(Quantity::PlaceOrNone, -REACH_M, REACH_M);
    if let Some(FieldValue::Place(new)) = visitor.visit(says.holding(FieldValue::Place(*slot))) {
        *slot = new;
    }
}

/// Visits a reference to a work.
pub(crate) fn work_or_none(visitor: &mut dyn Visitor, says: Says, slot: &mut Option<WorkId>) {
    let says = says.is(Quantity::WorkOrNone, 1.0, f64::from(u32::MAX));
    if let Some(FieldValue::Work(new)) = visitor.visit(says.holding(FieldValue::Work(*slot))) {
        *slot = new;
    }
}

/// Visits one of several; answers with the index to change to.
pub(crate) fn choice(
    visitor: &mut dyn Visitor,
    says: Says,
    options: &'static [&'static str],
    now: usize,
) -> Option<usize> {
    let says = says.is(Quantity::Choice(options), 0.0, (options.len() - 1) as f64);
    match visitor.visit(says.holding(FieldValue::Choice(now))) {
        Some(FieldValue::Choice(new)) if new != now => Some(new),
        _ => None,
    }
}

/// Visits a list's count; answers with the changes to make.
pub(crate) fn list(
    visitor: &mut dyn Visitor,
    says: Says,
    (least, most): (usize, usize),
    count: usize,
) -> Vec<ListEdit> {
    let says = says.is(Quantity::List, least as f64, most as f64);
    visitor.visit_list(says.holding(FieldValue::List(count)))
}

/// Visits a list whose new entries copy their neighbour.
pub(crate) fn copied_list<T: Clone>(
    visitor: &mut dyn Visitor,
    says: Says,
    bounds: (usize, usize),
    entries: &mut Vec<T>,
    first: impl Fn() -> T,
) {
    for edit in list(visitor, says, bounds, entries.len()) {
        match edit {
            ListEdit::Insert(at) => {
                let like = entries.get(at.saturating_sub(1)).cloned().unwrap_or_else(&first);
                entries.insert(at, like);
            }
            ListEdit::Remove(at) => drop(entries.remove(at)),
        }
    }
}

/// Visits numbers of which there is one for all or one for each of `n_points` drawn points.
///
/// The count can only go from one to all and back.
pub(crate) fn spread(
    visitor: &mut dyn Visitor,
    (path, label, one): (&str, &str, &str),
    n_points: usize,
    entries: &mut Vec<f64>,
    describe: impl Fn(Says) -> Says,
) {
    spread_choice(visitor, (path, label), n_points, entries);
    let single = entries.len() == 1;
    for (i, slot) in entries.iter_mut().enumerate() {
        let label = if single { label.to_owned() } else { format!("{one} at point {}", i + 1) };
        number(visitor, describe(says(format!("{path}[{i}]"), label)), slot);
    }
}

/// Visits the count of a list with one entry for all or one for each of `n_points` drawn points.
pub(crate) fn spread_choice<T: Clone>(
    visitor: &mut dyn Visitor,
    (path, label): (&str, &str),
    n_points: usize,
    entries: &mut Vec<T>,
) {
    let says = says(path, format!("{label}, count"));
    let edits = list(visitor, says, (1, n_points.max(1)), entries.len());
    let Some(like) = entries.first().cloned() else { return };
    match edits.first() {
        Some(ListEdit::Insert(_)) => entries.resize(n_points.max(1), like),
        Some(ListEdit::Remove(_)) => entries.truncate(1),
        None => {}
    }
}

/// Whether a drawn line closes on itself.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Ends {
    /// From its first point to its last.
    Open,
    /// An outline.
    Closed,
}

/// Visits a drawn curve with at least `least` points; answers with the changes of its points.
pub(crate) fn curve(
    visitor: &mut dyn Visitor,
    (path, label): (&str, &str),
    (ends, least): (Ends, usize),
    curve: &mut Curve,
) -> Vec<ListEdit> {
    flag(visitor, says(format!("{path}.smooth"), format!("{label}, smooth")), &mut curve.smooth);
    let path = format!("{path}.points");
    outline(visitor, (&path, label), (ends, least), &mut curve.points)
}

/// Visits a straight line or outline with at least `least` points, or none; answers with the changes.
pub(crate) fn outline(
    visitor: &mut dyn Visitor,
    (path, label): (&str, &str),
    (ends, least): (Ends, usize),
    points: &mut Vec<[f64; 2]>,
) -> Vec<ListEdit> {
    let says_points = says(path, format!("{label}, points"));
    let edits = list(visitor, says_points, (least, MOST), points.len());
    for edit in &edits {
        match *edit {
            ListEdit::Insert(at) => points.insert(at, between(points, at, ends)),
            ListEdit::Remove(at) => drop(points.remove(at)),
        }
    }
    for (i, point) in points.iter_mut().enumerate() {
        let label = format!("{label}, point {}", i + 1);
        place(visitor, says(format!("{path}[{i}]"), label), point);
    }
    edits
}

/// Lets a list with one entry for each drawn point follow a change of the points.
pub(crate) fn follow<T: Clone>(entries: &mut Vec<T>, edits: &[ListEdit], n_before: usize) {
    if entries.len() != n_before || n_before < 2 {
        return;
    }
    for edit in edits {
        match *edit {
            ListEdit::Insert(at) => entries.insert(at, entries[at.saturating_sub(1)].clone()),
            ListEdit::Remove(at) if entries.len() > 1 => drop(entries.remove(at)),
            ListEdit::Remove(_) => {}
        }
    }
}

/// The place of a new point before `at`: between its neighbours, or on past an open end.
fn between(points: &[[f64; 2]], at: usize, ends: Ends) -> [f64; 2] {
    let n = points.len();
    let mix = |p: [f64; 2], q: [f64; 2], share: f64| {
        [p[0] + (q[0] - p[0]) * share, p[1] + (q[1] - p[1]) * share]
    };
    match (n, ends) {
        (0, _) => [0.0, 0.0],
        (1, _) => [points[0][0] + 1.0, points[0][1]],
        (_, Ends::Open) if at == 0 => mix(points[0], points[1], -0.5),
        (_, Ends::Open) if at == n => mix(points[n - 1], points[n - 2], -0.5),
        _ => mix(points[(at + n - 1) % n], points[at % n], 0.5),
    }
}

/// Collects every field.
#[derive(Default)]
pub(crate) struct Reader {
    /// The fields in the order of the walk.
    pub(crate) fields: Vec<Field>,
}

impl Visitor for Reader {
    fn visit(&mut self, field: Field) -> Option<FieldValue> {
        self.fields.push(field);
        None
    }

    fn visit_list(&mut self, field: Field) -> Vec<ListEdit> {
        self.fields.push(field);
        Vec::new()
    }
}

/// Sets the field at one path, or edits the list there.
pub(crate) struct Setter<'a> {
    path: &'a str,
    wish: Wish,
    outcome: Option<Result<(), FieldError>>,
}

enum Wish {
    Value(FieldValue),
    Edit(ListEdit),
}

impl<'a> Setter<'a> {
    /// Sets the field at `path` to `value`.
    pub(crate) fn value(path: &'a str, value: FieldValue) -> Self {
        Self { path, wish: Wish::Value(value), outcome: None }
    }

    /// Edits the list at `path`.
    pub(crate) fn list(path: &'a str, edit: ListEdit) -> Self {
        Self { path, wish: Wish::Edit(edit), outcome: None }
    }

    /// What came of it.
    pub(crate) fn outcome(self) -> Result<(), FieldError> {
        self.outcome.unwrap_or_else(|| Err(FieldError::Unknown { path: self.path.into() }))
    }

    fn list_edits(&self, field: &Field) -> Result<Vec<ListEdit>, FieldError> {
        let FieldValue::List(count) = field.value else { return Err(sort(field)) };
        let edits: Vec<ListEdit> = match self.wish {
            Wish::Value(FieldValue::List(n)) if n >= count => {
                (count..n.min(count + MOST)).map(ListEdit::Insert).collect()
            }
            Wish::Value(FieldValue::List(n)) => (n..count).rev().map(ListEdit::Remove).collect(),
            Wish::Value(_) => return Err(sort(field)),
            Wish::Edit(edit) => vec![edit],
        };
        let grown = edits.iter().filter(|e| matches!(e, ListEdit::Insert(_))).count();
        let new = count + grown - (edits.len() - grown).min(count);
        in_range(field, new as f64)?;
        let (index, end) = match edits.first() {
            Some(ListEdit::Insert(at)) => (*at, count + 1),
            Some(ListEdit::Remove(at)) => (*at, count),
            None => return Ok(edits),
        };
        if index < end {
            Ok(edits)
        } else {
            Err(FieldError::Entry { path: field.path.clone(), label: field.label.clone(), index })
        }
    }
}

impl Visitor for Setter<'_> {
    fn visit(&mut self, field: Field) -> Option<FieldValue> {
        if field.path != self.path || self.outcome.is_some() {
            return None;
        }
        let Wish::Value(value) = &self.wish else {
            self.outcome = Some(Err(sort(&field)));
            return None;
        };
        let fits = inspect_value(&field, value);
        let answer = fits.is_ok().then(|| value.clone());
        self.outcome = Some(fits);
        answer
    }

    fn visit_list(&mut self, field: Field) -> Vec<ListEdit> {
        if field.path != self.path || self.outcome.is_some() {
            return Vec::new();
        }
        let edits = self.list_edits(&field);
        self.outcome = Some(edits.as_ref().map(|_| ()).map_err(Clone::clone));
        edits.unwrap_or_default()
    }
}

/// Whether what a field holds lies within its range.
pub(crate) fn inspect(field: &Field) -> Result<(), FieldError> {
    inspect_value(field, &field.value)
}

fn inspect_value(field: &Field, value: &FieldValue) -> Result<(), FieldError> {
    match (field.quantity, value) {
        (Quantity::Flag, FieldValue::Flag(_))
        | (Quantity::Text, FieldValue::Text(_))
        | (Quantity::PlaceOrNone, FieldValue::Place(None))
        | (Quantity::WorkOrNone, FieldValue::Work(_)) => Ok(()),
        (Quantity::Place | Quantity::PlaceOrNone, FieldValue::Place(Some(at))) => {
            in_range(field, at[0])?;
            in_range(field, at[1])
        }
        (Quantity::Choice(_), FieldValue::Choice(index)) => in_range(field, *index as f64),
        (Quantity::List, FieldValue::List(count)) => in_range(field, *count as f64),
        (
            Quantity::Length
            | Quantity::Elevation
            | Quantity::RunPerRise
            | Quantity::Share
            | Quantity::Number
            | Quantity::Flow
            | Quantity::Density
            | Quantity::Volume
            | Quantity::Mass,
            FieldValue::Number(number),
        ) => in_range(field, *number),
        _ => Err(sort(field)),
    }
}

fn in_range(field: &Field, value: f64) -> Result<(), FieldError> {
    let (least, most) = field.range;
    if (least..=most).contains(&value) {
        return Ok(());
    }
    let (path, label) = (field.path.clone(), field.label.clone());
    Err(FieldError::Range { path, label, least, most, value })
}

fn sort(field: &Field) -> FieldError {
    FieldError::Sort { path: field.path.clone(), label: field.label.clone() }
}
