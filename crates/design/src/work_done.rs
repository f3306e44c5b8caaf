//! What an evaluation found again and what it made anew: for whoever makes edits faster.

/// Reads a clock, in seconds from any start.
pub type Clock = fn() -> f64;

/// A kind of answer that evaluations keep, from the survey down to the findings.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum AnswerKind {
    /// The ground as surveyed.
    Survey,
    /// A work's form.
    Form,
    /// A stream without what it joins.
    Course,
    /// The lid of a core.
    Lid,
    /// A bank swept along a line.
    SweptBank,
    /// A bound beside an outline.
    Beside,
    /// A core with its banks.
    Banked,
    /// What a work asks of the ground.
    Band,
    /// The ground after a work.
    Ground,
    /// A ground without all that lies on it.
    Dug,
    /// The earth that a work moves.
    Moved,
    /// Stripped ground, subgrade and liner.
    Between,
    /// A region that is stripped.
    Plate,
    /// A ground lowered within such regions.
    Lowered,
    /// What lies between two grounds, cell by cell.
    Cells,
    /// Water that a work holds.
    Water,
    /// What comes to the houses before the works.
    Houses,
}

/// How often answers of one kind were found again and made anew in one evaluation.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct WorkDone {
    /// The kind.
    pub kind: AnswerKind,
    /// Answers that were kept.
    pub found_again: u32,
    /// Answers that were not.
    pub made_anew: u32,
    /// What making them took by the evaluator's clock, seconds; answers of other kinds that were made
    /// on the way are in it. Zero without a clock.
    pub seconds: f64,
}

impl WorkDone {
    /// Counts what was done of the same kind elsewhere.
    pub(crate) fn take(&mut self, other: &Self) {
        self.found_again += other.found_again;
        self.made_anew += other.made_anew;
        self.seconds += other.seconds;
    }
}

impl AnswerKind {
    /// What it is called.
    pub fn name(self) -> &'static str {
        match self {
            Self::Survey => "existing ground",
            Self::Form => "form of a work",
            Self::Course => "course of a stream",
            Self::Lid => "lid of a core",
            Self::SweptBank => "bank along a line",
            Self::Beside => "bound beside an outline",
            Self::Banked => "core with its banks",
            Self::Band => "band of a work",
            Self::Ground => "ground after a work",
            Self::Dug => "ground as dug",
            Self::Moved => "earth of a work",
            Self::Between => "grounds between",
            Self::Plate => "region stripped",
            Self::Lowered => "ground lowered there",
            Self::Cells => "cells between grounds",
            Self::Water => "water of a work",
            Self::Houses => "water at the houses before",
        }
    }
}
