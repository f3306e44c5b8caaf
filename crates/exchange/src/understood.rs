//! What is understood of a survey before anything is made of it: printed by the program, shown and
//! put right on the screen.

use units::LengthUnit;

use crate::points::{Doubt, Point};

/// What is understood of a survey.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Understood {
    /// What the file is: "a point list, 176 points".
    pub kind: String,
    /// The unit of its lengths, once it is known.
    pub unit: Option<LengthUnit>,
    /// What it holds, in the order in which it is told.
    pub facts: Vec<Fact>,
    /// Its points, or of a long list the first, in metres; none of a file that is no list.
    pub points: Vec<Point>,
    /// What looks wrong, each with the name of the point that it is about.
    pub doubts: Vec<(Doubt, Option<String>)>,
    /// What looks wrong in a file that is no list.
    pub notes: Vec<String>,
    /// What can be told to read it otherwise.
    pub corrections: Vec<Correction>,
    /// Why no ground can be made of it as it stands.
    pub no_ground: Option<String>,
}

/// One thing that a survey holds.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Fact {
    /// What it is about: "unit"; empty where the words stand for themselves.
    pub of: String,
    /// What was understood.
    pub told: String,
    /// What corrects it on the command line.
    pub otherwise: Option<&'static str>,
}

/// Something that can be told to read a survey otherwise.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Correction {
    /// The order of a list's columns.
    Columns,
    /// The unit of lengths.
    Unit,
    /// Codes whose points join to lines.
    Lines,
    /// The elevation of a level book's first mark.
    Bench,
    /// Whether easting or northing comes first.
    Axes,
    /// How far a thinned surface may lie from any point.
    Error,
}

/// Most points that are kept to be shown.
pub const SHOWN_POINTS: usize = 200;

/// So many points, in words: "1 point", "12 points".
pub fn points_text(n: usize) -> String {
    if n == 1 { "1 point".to_owned() } else { format!("{n} points") }
}

impl Understood {
    /// Takes in one more fact.
    pub fn tell(&mut self, of: &str, told: impl Into<String>, otherwise: Option<&'static str>) {
        self.facts.push(Fact { of: of.to_owned(), told: told.into(), otherwise });
    }

    /// The facts as lines of text, each with what corrects it.
    pub fn facts_text(&self) -> String {
        let line = |fact: &Fact| {
            let of = if fact.of.is_empty() { String::new() } else { format!("{}: ", fact.of) };
            let otherwise = fact.otherwise.map(|flag| format!("; {flag}")).unwrap_or_default();
            format!("  {of}{}{otherwise}\n", fact.told)
        };
        self.facts.iter().map(line).collect()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn one_point_is_one() {
        assert_eq!([1, 0, 12].map(points_text), ["1 point", "0 points", "12 points"]);
    }

    #[test]
    fn facts_read_as_lines_with_what_corrects_them() {
        let mut understood = Understood::default();
        understood.tell("", "comma, columns name,x,y", Some("another order: --columns"));
        understood.tell("datum", "not told", None);
        let text = "  comma, columns name,x,y; another order: --columns\n  datum: not told\n";
        assert_eq!(understood.facts_text(), text);
    }
}
