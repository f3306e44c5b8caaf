//! A work that is being drawn, click by click.

use design::hand::{Kind, crossing_at};
use site::Curve;
use site::shape::Ends;

use crate::scene::present::Switch;

/// Points nearer than this are one click, metres.
const SAME_M: f64 = 1e-3;

/// A line or outline under way.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct Drawing {
    /// What it will be.
    pub kind: Kind,
    /// The places clicked so far, local metres.
    pub points: Vec<[f64; 2]>,
    /// The levels that were typed for them.
    pub levels_m: Vec<Option<f64>>,
    /// Whether its pieces are straight.
    pub straight: Switch,
}

/// What came of a click.
#[derive(Clone, Debug, PartialEq)]
pub(crate) enum Outcome {
    /// More may follow.
    More,
    /// It is whole.
    Done,
    /// It was not taken; why, in a sentence.
    Refused(String),
}

impl Drawing {
    /// Begins with no point.
    pub(crate) fn new(kind: Kind) -> Self {
        Self { kind, points: Vec::new(), levels_m: Vec::new(), straight: Switch::Off }
    }

    /// Takes a place; an outline closes within `reach_m` of its first point.
    pub(crate) fn press(&mut self, at: [f64; 2], level_m: Option<f64>, reach_m: f64) -> Outcome {
        if self.closes(at, reach_m) {
            return self.end();
        }
        if self.points.last().is_some_and(|last| apart(*last, at) < SAME_M) {
            return Outcome::More;
        }
        if self.kind.ends() == Ends::Closed && self.crossing(Some(at)).is_some() {
            return Outcome::Refused("The outline would cross itself here".into());
        }
        self.points.push(at);
        self.levels_m.push(level_m);
        Outcome::More
    }

    /// Takes the last point back; nothing where none is left.
    pub(crate) fn back(&mut self) -> Option<[f64; 2]> {
        self.levels_m.pop();
        self.points.pop()
    }

    /// Ends the line, or closes the outline.
    pub(crate) fn end(&self) -> Outcome {
        let least = self.kind.least_points();
        if self.points.len() < least {
            return Outcome::Refused(format!("{} takes {least} points or more", self.kind.word()));
        }
        let crosses = self.kind.ends() == Ends::Closed
            && crossing_at(&self.curve(None), Ends::Closed).is_some();
        if crosses {
            return Outcome::Refused("The outline crosses itself: take a point back".into());
        }
        Outcome::Done
    }

    /// Whether a click there closes it.
    pub(crate) fn closes(&self, at: [f64; 2], reach_m: f64) -> bool {
        self.kind.ends() == Ends::Closed
            && self.points.len() >= 3
            && self.points.first().is_some_and(|first| apart(*first, at) <= reach_m)
    }

    /// The line as far as it goes, with the place under the pointer as its last.
    pub(crate) fn curve(&self, pointer: Option<[f64; 2]>) -> Curve {
        let points = self.points.iter().copied().chain(pointer).collect();
        Curve { points, smooth: self.straight == Switch::Off }
    }

    /// Where the pieces drawn so far cross, the one to the pointer among them.
    pub(crate) fn crossing(&self, pointer: Option<[f64; 2]>) -> Option<[f64; 2]> {
        if self.kind.ends() == Ends::Open {
            return None;
        }
        let straight = Curve { smooth: false, ..self.curve(pointer) };
        crossing_at(&straight, Ends::Open)
    }
}

fn apart(a: [f64; 2], b: [f64; 2]) -> f64 {
    libm::hypot(a[0] - b[0], a[1] - b[1])
}

#[cfg(test)]
mod tests {
    use super::*;

    fn drawn(kind: Kind, points: &[[f64; 2]]) -> Drawing {
        let mut drawing = Drawing::new(kind);
        for at in points {
            assert_eq!(drawing.press(*at, None, 0.2), Outcome::More);
        }
        drawing
    }

    #[test]
    fn an_outline_closes_on_its_first_point_and_not_before() {
        let mut drawing = drawn(Kind::Basin, &[[0.0, 0.0], [4.0, 0.0]]);
        // Two points are no outline: the first one is only clicked again.
        assert!(!drawing.closes([0.1, 0.0], 0.2));
        assert_eq!(drawing.press([4.0, 3.0], None, 0.2), Outcome::More);
        assert_eq!(drawing.press([0.1, 0.1], None, 0.2), Outcome::Done);
        assert_eq!(drawing.points.len(), 3);
    }

    #[test]
    fn a_crossing_is_shown_and_not_taken() {
        let mut drawing = drawn(Kind::Pad, &[[0.0, 0.0], [4.0, 0.0], [4.0, 4.0]]);
        assert_eq!(drawing.crossing(Some([2.0, -2.0])), Some([8.0 / 3.0, 0.0].map(rounded)));
        assert!(matches!(drawing.press([2.0, -2.0], None, 0.2), Outcome::Refused(_)));
        assert_eq!(drawing.points.len(), 3);
        assert_eq!(drawing.end(), Outcome::Done);
    }

    #[test]
    fn lines_end_when_asked_and_go_back_point_by_point() {
        let mut drawing = drawn(Kind::Wall, &[[0.0, 0.0]]);
        assert!(matches!(drawing.end(), Outcome::Refused(_)));
        assert_eq!(drawing.press([0.0, 0.0], None, 0.2), Outcome::More);
        assert_eq!(drawing.points.len(), 1, "a double click is one point");
        drawing.press([3.0, 0.0], Some(10.0), 0.2);
        assert_eq!(drawing.end(), Outcome::Done);
        assert_eq!(drawing.back(), Some([3.0, 0.0]));
        assert_eq!((drawing.back(), drawing.back()), (Some([0.0, 0.0]), None));
        assert!(drawing.levels_m.is_empty());
    }

    fn rounded(c: f64) -> f64 {
        (c * 1e6).round() / 1e6
    }
}
