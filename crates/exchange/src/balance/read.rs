//! What a person frees and aims at, from words.
//!
//! ```text
//!   Lawn level from 49.60 to 49.90
//!   Filter hill flanks from 1 in 2 to 1 in 5
//!   spoil=10 m3
//! ```
//!
//! A number is named by its work and by what its card calls it; as much of that as is clear will do.
//! Levels and lengths are in the site's unit unless they say another.

use std::fmt::Write as _;

use design::solver::{Adjustable, Freed, Goal, adjustables};
use site::Site;
use site::field::Quantity;
use units::{LengthUnit, ParseLengthError, parse_length};

use super::set_out_text;

/// The goals by name, for messages and help.
pub const GOALS: &str = "no-spoil, spoil=VOLUME, no-truck, no-mound or wall-tops-at-lip";

/// Why words were not read.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum AskError {
    /// No least and greatest value are told.
    #[error(
        "{read:?}: expected a number with its least and its greatest value, such as \"Lawn level \
         from 49.60 to 49.90\""
    )]
    NoBounds {
        /// What was read.
        read: String,
    },
    /// No such number stands in the site.
    #[error("{read:?}: no number of this site, expected {expected}")]
    NoNumber {
        /// What was read.
        read: String,
        /// What may be freed.
        expected: String,
    },
    /// Several numbers are called so.
    #[error("{read:?} may be {}: expected one of them", .either.join("; or "))]
    Several {
        /// What was read.
        read: String,
        /// What it may be.
        either: Vec<String>,
    },
    /// A bound is no length.
    #[error("{label}: {error}")]
    Length {
        /// The number's name.
        label: String,
        /// Why it is none.
        error: ParseLengthError,
    },
    /// A bound is no value of the number's sort.
    #[error("{label}: read {read:?}, expected {expected}")]
    Value {
        /// The number's name.
        label: String,
        /// What was read.
        read: String,
        /// What was expected.
        expected: &'static str,
    },
    /// No such goal.
    #[error("{read:?}: no goal, expected {GOALS}")]
    NoGoal {
        /// What was read.
        read: String,
    },
    /// The volume of a goal is none.
    #[error("{read:?}: expected a volume of earth, such as 12, 12 m3 or 12 yd3")]
    Volume {
        /// What was read.
        read: String,
    },
}

/// Cubic metres in a cubic yard.
const CUBIC_YARD_M3: f64 = 0.9144 * 0.9144 * 0.9144;

/// The number that words free, with its bounds.
///
/// # Errors
/// [`AskError`] says what was read and what was expected; an unknown number lists those of its work.
pub fn freed(site: &Site, words: &str) -> Result<Freed, AskError> {
    let no_bounds = || AskError::NoBounds { read: words.to_owned() };
    let plain = words.split_whitespace().collect::<Vec<_>>().join(" ");
    let (name, bounds) = plain.rsplit_once(" from ").ok_or_else(no_bounds)?;
    let (least, most) = bounds.rsplit_once(" to ").ok_or_else(no_bounds)?;
    let found = named(site, name)?;
    let value = |text| value(text, &found, site.frame.unit);
    Ok(Freed { least: value(least)?, most: value(most)?, number: found.number.clone() })
}

/// The goal that words name; a volume without a unit is in the site's.
///
/// # Errors
/// [`AskError`] lists the goals.
pub fn goal(words: &str, unit: LengthUnit) -> Result<Goal, AskError> {
    let plain = words.trim().to_lowercase();
    let of_word = |word: &str| match word {
        "no-spoil" => Some(Goal::NoSpoil),
        "no-truck" => Some(Goal::NoTruck),
        "no-mound" => Some(Goal::NoMound),
        "wall-tops-at-lip" => Some(Goal::WallTopsAtLip),
        _ => None,
    };
    match plain.split_once('=') {
        Some((word, volume)) if word.trim() == "spoil" => {
            let read = || AskError::Volume { read: words.to_owned() };
            Ok(Goal::Spoil { bank_m3: volume_m3(volume.trim(), unit).ok_or_else(read)? })
        }
        _ => of_word(&plain).ok_or_else(|| AskError::NoGoal { read: words.to_owned() }),
    }
}

/// Every number of a site that can be freed, with what it is now, work by work.
pub fn listed(site: &Site) -> String {
    let mut out = String::new();
    for of_work in adjustables(site).chunk_by(|a, b| a.number.work() == b.number.work()) {
        writeln!(out, "{}", of_work[0].work).expect("a string takes any text");
        for one in of_work {
            let now = set_out_text(one.value, one.quantity, site.frame.unit);
            writeln!(out, "  {:<44}{now:>12}", one.words).expect("a string takes any text");
        }
    }
    out
}

/// The one number whose name begins so.
fn named(site: &Site, name: &str) -> Result<Adjustable, AskError> {
    let all = adjustables(site);
    let wanted = bare(name);
    let called = |one: &Adjustable| bare(&format!("{} {}", one.work, one.words));
    if let Some(one) = all.iter().find(|one| called(one) == wanted) {
        return Ok(one.clone());
    }
    let begins = |one: &&Adjustable| {
        let rest = called(one).strip_prefix(&wanted).map(str::to_owned);
        rest.is_some_and(|rest| rest.starts_with(' '))
    };
    let found: Vec<&Adjustable> = all.iter().filter(begins).collect();
    // A work's name alone would begin all of its numbers.
    let is_work = all.iter().any(|one| bare(&one.work) == wanted);
    match found[..] {
        [one] if !is_work => Ok(one.clone()),
        [_, ..] if !is_work => Err(AskError::Several {
            read: name.to_owned(),
            either: found.iter().map(|one| format!("{} {}", one.work, one.words)).collect(),
        }),
        _ => Err(AskError::NoNumber { read: name.to_owned(), expected: expected(&all, &wanted) }),
    }
}

/// Words without case and commas, one blank between two.
fn bare(words: &str) -> String {
    let plain = words.to_lowercase().replace([',', ':'], " ");
    plain.split_whitespace().collect::<Vec<_>>().join(" ")
}

/// The numbers of the work that is named, else the works.
fn expected(all: &[Adjustable], wanted: &str) -> String {
    let of_work = |one: &&Adjustable| {
        let work = bare(&one.work);
        wanted == work || wanted.starts_with(&format!("{work} "))
    };
    let own: Vec<String> = all.iter().filter(of_work).map(|one| one.words.clone()).collect();
    if let Some(one) = all.iter().find(of_work) {
        return format!("{} and one of: {}", one.work, own.join("; "));
    }
    let mut works: Vec<&str> = all.iter().map(|one| one.work.as_str()).collect();
    works.dedup();
    match works.is_empty() {
        true => "a site that builds something".to_owned(),
        false => format!("the name of a work and of its number; works: {}", works.join("; ")),
    }
}

/// A bound in SI.
fn value(text: &str, of: &Adjustable, unit: LengthUnit) -> Result<f64, AskError> {
    let (label, read) = (of.label(), text.trim().to_owned());
    match of.quantity {
        Quantity::RunPerRise => {
            let run = read.to_lowercase().strip_prefix("1 in ").map(str::to_owned);
            let expected = "a slope such as 1 in 3";
            let number = number(run.as_deref().unwrap_or(&read));
            number.ok_or(AskError::Value { label, read, expected })
        }
        Quantity::Share => {
            let percent = read.strip_suffix('%').and_then(number);
            let expected = "a fall such as 2 %";
            percent.map(|p| p / 100.0).ok_or(AskError::Value { label, read, expected })
        }
        _ => parse_length(&read, unit).map_err(|error| AskError::Length { label, error }),
    }
}

/// A finite decimal number.
fn number(text: &str) -> Option<f64> {
    text.trim().parse().ok().filter(|number: &f64| number.is_finite())
}

fn volume_m3(text: &str, unit: LengthUnit) -> Option<f64> {
    let in_unit = if unit == LengthUnit::Metre { 1.0 } else { CUBIC_YARD_M3 };
    let (volume, one_m3) = match (text.strip_suffix("m3"), text.strip_suffix("yd3")) {
        (Some(volume), _) => (volume, 1.0),
        (None, Some(volume)) => (volume, CUBIC_YARD_M3),
        (None, None) => (text, in_unit),
    };
    Some(number(volume)? * one_m3)
}
