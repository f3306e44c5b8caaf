//! The stepwise goal: a mound's measure, whose bearings close one by one.
//!
//! Its slopes say nothing: a cone at 1 in 3 and one at 1 in 3.9 have one measure, one at 1 in 4.1 has
//! none. So each number is taken to both ends of its bounds, which tells how much of the measure is to
//! be had there. Along the least change for ever more of that, the measure is bracketed, and the
//! bracket halved until a crew could not tell its ends apart. The smooth goals are met at every place
//! that is tried.

use super::goal::{Measures, Row};
use super::least::Linear;
use super::problem::{Point, Problem};

/// How far the measure is driven down, as what numbers gain says.
#[derive(Clone, Debug)]
pub(super) struct Drive {
    /// From which change.
    from: Vec<f64>,
    /// What each number gains for its whole room; zero or below.
    gains: Vec<f64>,
    /// By how much the measure is to fall.
    by: f64,
}

/// Halvings of the bracket: of any room less than a step is left.
const HALVINGS: usize = 12;
/// One step of a hill that is as wide as long: a bearing of 72.
const ONE_BEARING: f64 = 1.0 / 72.0;

impl Drive {
    /// The same, by so much of itself more.
    pub(super) fn further(self, share: f64) -> Self {
        Self { by: self.by * (1.0 + share), ..self }
    }

    pub(super) fn linear(&self) -> Linear {
        let at: f64 = self.gains.iter().zip(&self.from).map(|(gain, z)| gain * z).sum();
        Linear {
            at: -at / ONE_BEARING,
            slopes: self.gains.iter().map(|gain| gain / ONE_BEARING).collect(),
            band: [f64::NEG_INFINITY, -self.by / ONE_BEARING],
        }
    }
}

impl Problem<'_> {
    /// The place of the least change for which no hill reads as a mound, if that is asked for.
    pub(super) fn driven(&mut self, start: Point) -> Point {
        let is_mound = |row: &Row| row.measures == Measures::Mound;
        let Some(row) = self.rows.rows.iter().position(is_mound) else { return start };
        if self.rows.rows[row].off(start.values[row]) == 0.0 {
            return start;
        }
        let Some((mut drive, whole)) = self.gains(&start, row) else { return start };
        let first = (start.values[row] - self.rows.rows[row].band[1]).min(whole);
        match self.bracketed(&mut drive, (first, whole), &start, row) {
            Some(bracket) => self.narrowed(drive, bracket, row),
            None => self.nearest(start),
        }
    }

    /// The enough end of a bracket, halved until its ends are one to a crew.
    fn narrowed(
        &mut self,
        mut drive: Drive,
        [(mut short, mut before), (mut enough, mut found)]: [(f64, Point); 2],
        row: usize,
    ) -> Point {
        for _ in 0..HALVINGS {
            if self.are_within(1.0, &self.change(&before), &self.change(&found)) {
                break;
            }
            drive.by = 0.5 * (short + enough);
            let between = self.restored(found.clone(), Some(&drive));
            if self.clears(&between, row) {
                (enough, found) = (drive.by, between);
            } else {
                (short, before) = (drive.by, between);
            }
        }
        self.drive = Some(Drive { by: enough, ..drive });
        found
    }

    /// What each number gains at the better of its ends, and what all gain together; none where none
    /// gains anything.
    fn gains(&mut self, start: &Point, row: usize) -> Option<(Drive, f64)> {
        let from = self.change(start);
        let mut gains = vec![0.0; from.len()];
        let mut whole = 0.0;
        for i in 0..from.len() {
            let mut most = 0.0;
            for end in self.bounds[i] {
                let away = end - from[i];
                let mut change = from.clone();
                change[i] = end;
                let gain = self.at_change(&change).values[row] - start.values[row];
                if away != 0.0 && gain < most {
                    (most, gains[i]) = (gain, gain / away);
                }
            }
            whole -= most;
        }
        self.gains = gains.clone();
        (whole > 0.0).then_some((Drive { from, gains, by: 0.0 }, whole))
    }

    /// Two drives with their places: one that falls short and the first of growing ones that is
    /// enough; none where not even all is.
    fn bracketed(
        &mut self,
        drive: &mut Drive,
        (first, whole): (f64, f64),
        start: &Point,
        row: usize,
    ) -> Option<[(f64, Point); 2]> {
        let mut short = (0.0, start.clone());
        let mut by = first;
        loop {
            drive.by = by;
            let found = self.restored(short.1.clone(), Some(drive));
            if self.clears(&found, row) {
                return Some([short, (by, found)]);
            }
            if by >= whole {
                return None;
            }
            short = (by, found);
            by = (2.0 * by).min(whole);
        }
    }

    fn clears(&self, point: &Point, row: usize) -> bool {
        point.raised.is_empty() && self.rows.rows[row].off(point.values[row]) == 0.0
    }

    /// The best of the places seen that raise nothing: where the goal is out of reach.
    fn nearest(&self, start: Point) -> Point {
        let free = self.seen.iter().filter(|point| point.raised.is_empty());
        let better = |best: Point, point: &Point| {
            if self.merit(point) < self.merit(&best) { point.clone() } else { best }
        };
        free.fold(start, better)
    }
}
