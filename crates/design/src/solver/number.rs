//! The numbers that can be freed: what they are called, what they are now, what they can be.
//!
//! Most are numbers of a work's card, by their path in the table of parameters. Some stand for
//! several that belong together: a water level takes its liner edge, its bays and the mouths of its
//! streams along, so that the stream still closes.

use site::field::{Field, FieldValue, Quantity, fields};
use site::works::Hill;
use site::{Site, Work, WorkId, WorkKind};

use super::{Freed, SolveError, steps};
use crate::checks::compass;

/// A number of a site that can be freed.
#[derive(Clone, Debug, PartialEq)]
pub enum Number {
    /// The level of a basin's still water, with all that hangs on it: liner edges, rings and floor,
    /// basins joined to it, bays that draw from it, and the mouths of streams that run into it.
    WaterLevel(WorkId),
    /// The level of a filter's lip, with its rim and floor and the head of the stream that it feeds.
    LipLevel(WorkId),
    /// The highest level of a hill's crest; the rest of the crest keeps its distance below.
    CrestLevel(WorkId),
    /// How far a hill's crest is drawn out beyond its drawn ends, metres; zero is as drawn.
    Shoulder(WorkId, Ends),
    /// The steepest flank of a hill, run per rise; the others keep their distance from it.
    FlankRun(WorkId),
    /// The lowest level of a wall's top; the rest of the top keeps its distance above.
    WallTops(WorkId),
    /// The first level of a path; the others keep their distance from it.
    PathLevel(WorkId),
    /// One number of a work's card, by its path in the table of parameters: `rings[1].depth_m`,
    /// `plane.level_m`, `freeboard_m`, `build_up.topsoil_m`.
    Parameter(WorkId, String),
}

/// Ends of a hill's crest.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Ends {
    /// Where its line begins; of a round hill the west.
    First,
    /// Where its line ends; of a round hill the east.
    Last,
    /// Both alike.
    Both,
}

/// A number that can be freed, as people see it.
#[derive(Clone, Debug, PartialEq)]
pub struct Adjustable {
    /// The number.
    pub number: Number,
    /// What its work is called.
    pub work: String,
    /// What it is called on that work: "Crest level", "West shoulder drawn out by".
    pub words: String,
    /// What it measures.
    pub quantity: Quantity,
    /// What it is now, in SI.
    pub value: f64,
    /// The least and the greatest that it can be, in SI.
    pub range: (f64, f64),
}

/// A freed number that makes sense on its site.
#[derive(Clone, Debug)]
pub(super) struct FreedNumber {
    pub(super) number: Number,
    pub(super) label: String,
    pub(super) quantity: Quantity,
    pub(super) from: f64,
    pub(super) least: f64,
    pub(super) most: f64,
    pub(super) step: steps::Step,
}

/// A shoulder is drawn out by at most this, metres.
const LONGEST_SHOULDER_M: f64 = 100.0;

impl Adjustable {
    /// "Lawn: Level".
    pub fn label(&self) -> String {
        format!("{}: {}", self.work, self.words)
    }
}

impl Number {
    /// The work that it belongs to.
    pub fn work(&self) -> WorkId {
        match self {
            Self::WaterLevel(id)
            | Self::LipLevel(id)
            | Self::CrestLevel(id)
            | Self::Shoulder(id, _)
            | Self::FlankRun(id)
            | Self::WallTops(id)
            | Self::PathLevel(id)
            | Self::Parameter(id, _) => *id,
        }
    }

    /// The number on a site; none where the site has it not, or does not build its work.
    pub fn on(&self, site: &Site) -> Option<Adjustable> {
        let work = site.work(self.work()).filter(|work| work.visible)?;
        if let Self::Shoulder(_, ends) = self {
            return self.shoulder(work, *ends);
        }
        let (path, words) = self.field(&work.kind)?;
        let Field { label, quantity, range, value, .. } =
            fields(work).into_iter().find(|field| field.path == path)?;
        let FieldValue::Number(value) = value else { return None };
        // What no crew sets out in steps, such as a count, is not freed.
        steps::Step::of(quantity)?;
        let words = words.map_or(label, str::to_owned);
        Some(Adjustable {
            number: self.clone(),
            work: work.name.clone(),
            words,
            quantity,
            value,
            range,
        })
    }

    /// The path of the field that tells its value on a work; none where no single field does.
    pub fn path(&self, kind: &WorkKind) -> Option<String> {
        self.field(kind).map(|(path, _)| path)
    }

    /// The path of the field that tells its value, and what it is called where its label says less.
    fn field(&self, kind: &WorkKind) -> Option<(String, Option<&'static str>)> {
        let found = match (self, kind) {
            (Self::WaterLevel(_), WorkKind::Basin(_)) => ("water_level_m".to_owned(), None),
            (Self::LipLevel(_), WorkKind::FilterBed(_)) => ("lip.elevation_m".to_owned(), None),
            (Self::CrestLevel(_), WorkKind::Hill(hill)) => {
                let highest = place_of(&hill.crest_m, |a, b| a > b)?;
                (format!("crest_m[{highest}]"), Some("Crest level"))
            }
            (Self::FlankRun(_), WorkKind::Hill(hill)) => (steepest(hill)?, Some("Flanks")),
            (Self::WallTops(_), WorkKind::Wall(wall)) => {
                let lowest = place_of(&wall.top_m, |a, b| a < b)?;
                (format!("top_m[{lowest}]"), Some("Top level"))
            }
            (Self::PathLevel(_), WorkKind::Path(_)) => ("level_m[0]".to_owned(), Some("Level")),
            (Self::Parameter(_, path), _) => (path.clone(), None),
            _ => return None,
        };
        Some(found)
    }

    fn shoulder(&self, work: &Work, ends: Ends) -> Option<Adjustable> {
        let WorkKind::Hill(hill) = &work.kind else { return None };
        Some(Adjustable {
            number: self.clone(),
            work: work.name.clone(),
            words: shoulder_words(hill, ends)?,
            quantity: Quantity::Length,
            value: 0.0,
            range: (0.0, LONGEST_SHOULDER_M),
        })
    }

    /// The number that a parameter stands for: one that others hang on takes them along.
    fn whole(self, site: &Site) -> Self {
        let Self::Parameter(id, path) = &self else { return self };
        let Some(work) = site.work(*id) else { return self };
        match (&work.kind, path.as_str()) {
            (WorkKind::Basin(_), "water_level_m") => Self::WaterLevel(*id),
            (WorkKind::IntakeBay(bay), "water_level_m") => bay.from.map_or(self, Self::WaterLevel),
            (WorkKind::FilterBed(_), "lip.elevation_m") => Self::LipLevel(*id),
            _ => self,
        }
    }
}

/// Every number of a site that can be freed, in the order of its works and their cards.
pub fn adjustables(site: &Site) -> Vec<Adjustable> {
    site.works.iter().filter(|work| work.visible).flat_map(|work| of_work(site, work)).collect()
}

fn of_work(site: &Site, work: &Work) -> Vec<Adjustable> {
    let id = work.id;
    let together: Vec<Number> = match &work.kind {
        WorkKind::Basin(_) => vec![Number::WaterLevel(id)],
        WorkKind::FilterBed(_) => vec![Number::LipLevel(id)],
        WorkKind::Hill(_) => {
            let shoulder = |ends| Number::Shoulder(id, ends);
            let ends = [Ends::First, Ends::Last, Ends::Both].map(shoulder);
            [Number::CrestLevel(id), Number::FlankRun(id)].into_iter().chain(ends).collect()
        }
        WorkKind::Wall(_) => vec![Number::WallTops(id)],
        WorkKind::Path(_) => vec![Number::PathLevel(id)],
        WorkKind::Stream(_)
        | WorkKind::IntakeBay(_)
        | WorkKind::Pad(_)
        | WorkKind::PlaneGrade(_)
        | WorkKind::Trench(_)
        | WorkKind::Strip(_) => Vec::new(),
    };
    let mut found: Vec<Adjustable> = together.iter().filter_map(|n| n.on(site)).collect();
    for field in fields(work) {
        let number = Number::Parameter(id, field.path);
        // What hangs on another number is freed with that one.
        let stands_alone = number.clone().whole(site) == number;
        let Some(one) = number.on(site).filter(|_| stands_alone) else { continue };
        if found.iter().all(|other| other.words != one.words) {
            found.push(one);
        }
    }
    found
}

/// The freed numbers with what they are now, in the order given.
pub(super) fn checked(site: &Site, freed: &[Freed]) -> Result<Vec<FreedNumber>, SolveError> {
    if freed.is_empty() {
        return Err(SolveError::NothingFreed);
    }
    let mut all: Vec<FreedNumber> = Vec::with_capacity(freed.len());
    for (i, one) in freed.iter().enumerate() {
        let number = one.number.clone().whole(site);
        let now = number.on(site).ok_or(SolveError::Unknown(i))?;
        let label = now.label();
        let (least, most) = in_range(&now, &label, one)?;
        if all.iter().any(|other| other.number == number) {
            return Err(SolveError::Twice(label));
        }
        let step = steps::Step::of(now.quantity).ok_or(SolveError::Unknown(i))?;
        let step = step.in_unit(site.frame.unit);
        let (quantity, from) = (now.quantity, now.value);
        all.push(FreedNumber { number, label, quantity, from, least, most, step });
    }
    Ok(all)
}

fn in_range(now: &Adjustable, label: &str, freed: &Freed) -> Result<(f64, f64), SolveError> {
    let (label, &Freed { least, most, .. }) = (label.to_owned(), freed);
    if !(least.is_finite() && most.is_finite()) {
        return Err(SolveError::NotANumber { label, least, most });
    }
    if least >= most {
        return Err(SolveError::NoRoom { label, least, most });
    }
    let within = now.range.0..=now.range.1;
    match [least, most].into_iter().find(|given| !within.contains(given)) {
        None => Ok((least, most)),
        Some(given) => {
            let (least, most) = now.range;
            Err(SolveError::Beyond { label, least, most, given })
        }
    }
}

/// The place of the entry that comes before all others; the first of equals.
fn place_of(list: &[f64], comes_before: impl Fn(f64, f64) -> bool) -> Option<usize> {
    let better = |best: usize, (i, &value): (usize, &f64)| {
        if comes_before(value, list[best]) { i } else { best }
    };
    (!list.is_empty()).then(|| list.iter().enumerate().fold(0, better))
}

/// The path of the steepest flank's run per rise.
fn steepest(hill: &Hill) -> Option<String> {
    let sides = [("left", &hill.left), ("right", &hill.right)];
    let runs = sides.iter().flat_map(|(side, flanks)| {
        flanks.iter().enumerate().map(move |(i, flank)| (*side, i, flank.run_per_rise))
    });
    let (side, i, _) = runs.min_by(|a, b| a.2.total_cmp(&b.2))?;
    Some(format!("{side}[{i}].run_per_rise"))
}

fn shoulder_words(hill: &Hill, ends: Ends) -> Option<String> {
    let toward = match (hill.crest.points.as_slice(), ends) {
        ([], _) => return None,
        (_, Ends::Both) => return Some("Shoulders drawn out by".to_owned()),
        ([_], Ends::First) => "west",
        ([_], Ends::Last) => "east",
        ([first, second, ..], Ends::First) => compass(*second, *first),
        ([.., before, last], Ends::Last) => compass(*before, *last),
    };
    let (initial, rest) = toward.split_at(1);
    Some(format!("{}{rest} shoulder drawn out by", initial.to_uppercase()))
}
