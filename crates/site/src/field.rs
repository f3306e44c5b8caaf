//! The one table of parameters: every stored field of a work, with its label, quantity and range.
//!
//! The card, the validity check and the handles all read this table. Each kind walks its fields
//! once, in [`walk`]; reading, setting and editing lists are three visitors of the same walk.

mod basin;
mod build_up;
mod circulation;
mod filter_bed;
mod hill;
mod intake_bay;
mod keep_out;
mod pad;
mod path;
mod plane_grade;
mod settings;
mod soils;
mod stream;
mod strip;
mod trench;
mod walk;
mod wall;
mod weather;
mod words;

pub(crate) use walk::{Parameters, Visitor, inspect};
pub use words::number_text;

use crate::{Work, WorkId};
use walk::{Reader, Setter};

/// One stored field, as a person sees it.
#[derive(Clone, Debug, PartialEq)]
pub struct Field {
    /// Where it stands in its owner: `rings[1].depth_m`.
    pub path: String,
    /// What a crew calls it: `Ring 2 depth`.
    pub label: String,
    /// What it measures.
    pub quantity: Quantity,
    /// Least and greatest value allowed, in SI; for a list, least and greatest count.
    pub range: (f64, f64),
    /// What it holds.
    pub value: FieldValue,
    /// The caution that stands beside it where someone can be hurt.
    pub note: Option<&'static str>,
}

/// What a field measures, and so how it is shown and typed.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Quantity {
    /// Metres along or across.
    Length,
    /// Metres above the site's zero.
    Elevation,
    /// A slope as run for each rise; smaller is steeper.
    RunPerRise,
    /// A share of one, shown in percent.
    Share,
    /// A pure number.
    Number,
    /// Litres a minute.
    Flow,
    /// Tonnes per cubic metre.
    Density,
    /// Cubic metres.
    Volume,
    /// Tonnes.
    Mass,
    /// One of these.
    Choice(&'static [&'static str]),
    /// Yes or no.
    Flag,
    /// Free text.
    Text,
    /// A place in plan, local metres.
    Place,
    /// A place in plan, or none.
    PlaceOrNone,
    /// Another work, or none.
    WorkOrNone,
    /// A list; its count is its value.
    List,
}

/// What a field holds.
#[derive(Clone, Debug, PartialEq)]
pub enum FieldValue {
    /// A number in SI.
    Number(f64),
    /// Yes or no.
    Flag(bool),
    /// Text.
    Text(String),
    /// Index among the choices.
    Choice(usize),
    /// A place in plan, local metres, or none.
    Place(Option<[f64; 2]>),
    /// A work, or none.
    Work(Option<WorkId>),
    /// Count of a list's entries.
    List(usize),
}

/// A change to a list.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum ListEdit {
    /// Put a new entry before this index, between its neighbours; at the count, behind the last.
    Insert(usize),
    /// Take out the entry at this index.
    Remove(usize),
}

/// Why a field was not set.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum FieldError {
    /// No field stands at this path.
    #[error("there is no field {path}")]
    Unknown {
        /// What was asked for.
        path: String,
    },
    /// The value is of another sort than the field.
    #[error("{label} ({path}) does not hold this sort of value")]
    Sort {
        /// Where.
        path: String,
        /// What people call it.
        label: String,
    },
    /// The value lies outside the field's range.
    #[error("{label} ({path}) must be {least} to {most}, not {value}")]
    Range {
        /// Where.
        path: String,
        /// What people call it.
        label: String,
        /// Least allowed.
        least: f64,
        /// Greatest allowed.
        most: f64,
        /// What was given.
        value: f64,
    },
    /// The list has no entry at this index.
    #[error("{label} ({path}) has no entry {index}")]
    Entry {
        /// Where.
        path: String,
        /// What people call it.
        label: String,
        /// The index asked for.
        index: usize,
    },
}

/// Every field of a work, in the order of its card.
pub fn fields(work: &Work) -> Vec<Field> {
    fields_of(work)
}

/// Sets one field of a work; the work is unchanged when the value is refused.
///
/// Setting a list's count adds or takes entries at its end.
///
/// # Errors
/// [`FieldError`] names the field and its range.
pub fn set(work: &mut Work, path: &str, value: FieldValue) -> Result<(), FieldError> {
    set_in(work, path, value)
}

/// Adds or takes one entry of a list; lists with one value for each drawn point follow.
///
/// # Errors
/// [`FieldError`] when the path is no list, or the count would leave its range.
pub fn edit_list(work: &mut Work, path: &str, edit: ListEdit) -> Result<(), FieldError> {
    let mut setter = Setter::list(path, edit);
    work.walk(&mut setter);
    setter.outcome()
}

/// Every field of a part of the site that is no work.
pub fn settings<T: Settings>(of: &T) -> Vec<Field> {
    fields_of(of)
}

/// Sets one field of a part of the site that is no work.
///
/// # Errors
/// [`FieldError`] names the field and its range.
pub fn set_setting<T: Settings>(
    of: &mut T,
    path: &str,
    value: FieldValue,
) -> Result<(), FieldError> {
    set_in(of, path, value)
}

/// A part of the site that is no work and whose fields can be listed and set.
#[expect(private_bounds, reason = "how a part walks its fields stays inside this crate")]
pub trait Settings: Parameters {}

impl Settings for crate::Soils {}
impl Settings for crate::Limits {}
impl Settings for crate::Digging {}
impl Settings for crate::Haul {}
impl Settings for crate::Carry {}
impl Settings for crate::Circulation {}
impl Settings for crate::Stockpile {}
impl Settings for crate::House {}
impl Settings for crate::KeepOut {}
impl Settings for crate::Viewpoint {}
impl Settings for crate::Weather {}

/// Adds or takes one entry of a list in a part of the site that is no work.
///
/// # Errors
/// [`FieldError`] when the path is no list, or the count would leave its range.
pub fn edit_setting_list<T: Settings>(
    of: &mut T,
    path: &str,
    edit: ListEdit,
) -> Result<(), FieldError> {
    let mut setter = Setter::list(path, edit);
    of.walk(&mut setter);
    setter.outcome()
}

fn fields_of<T: Parameters>(of: &T) -> Vec<Field> {
    let mut reader = Reader::default();
    // The walk can change what it visits; the reader never does, so a copy is walked.
    of.clone().walk(&mut reader);
    reader.fields
}

fn set_in<T: Parameters>(of: &mut T, path: &str, value: FieldValue) -> Result<(), FieldError> {
    let mut setter = Setter::value(path, value);
    of.walk(&mut setter);
    setter.outcome()
}
