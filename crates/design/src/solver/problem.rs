//! What is searched: places among the freed numbers, evaluated, with what they come to.

use std::collections::BTreeMap;

use site::{Site, WorkId};

use super::drive::Drive;
use super::goal::Rows;
use super::moves::{Move, moved};
use super::number::FreedNumber;
use crate::{Code, Evaluation, Evaluator, Severity};

/// A finding that says stop, by what it is about.
pub(super) type Stop = (Code, Option<WorkId>);

/// The findings that say stop, counted.
type Stops = BTreeMap<Stop, usize>;

/// A site with freed numbers, goals, and what is known of it so far.
pub(super) struct Problem<'a> {
    evaluator: &'a mut Evaluator,
    pub(super) site: &'a Site,
    pub(super) freed: Vec<FreedNumber>,
    pub(super) rows: Rows,
    /// Between which each number may go, as changes in shares of its room: what was asked, less what
    /// a check would stop.
    pub(super) bounds: Vec<[f64; 2]>,
    /// What stops a number below and above its bounds, where a check does.
    pub(super) held: Vec<[Option<Stop>; 2]>,
    /// How each row's value moves with each number's change in shares of its room.
    pub(super) slopes: Vec<Vec<f64>>,
    /// What each number gains of a stepwise goal for its whole room, where that was asked.
    pub(super) gains: Vec<f64>,
    /// How far a stepwise goal was driven, where it was reached so.
    pub(super) drive: Option<Drive>,
    stops_before: Stops,
    /// Every place evaluated, in order.
    pub(super) seen: Vec<Point>,
    pub(super) n_evaluations: usize,
}

/// Values of the freed numbers with what they come to.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Point {
    /// The numbers, in SI.
    pub(super) x: Vec<f64>,
    /// What each row measures.
    pub(super) values: Vec<f64>,
    /// Findings that say stop and did not before.
    pub(super) raised: Vec<Stop>,
}

/// Slopes are found over this share of a number's room, and over no less than two steps.
const SLOPE_SHARE: f64 = 1.0 / 50.0;

impl<'a> Problem<'a> {
    pub(super) fn new(
        evaluator: &'a mut Evaluator,
        site: &'a Site,
        before: &Evaluation,
        freed: Vec<FreedNumber>,
        rows: Rows,
    ) -> Self {
        let bounds = freed.iter().map(|number| [number.least, number.most].map(|x| number.z(x)));
        let slopes = vec![vec![0.0; freed.len()]; rows.rows.len()];
        Self {
            bounds: bounds.collect(),
            held: vec![[None; 2]; freed.len()],
            gains: vec![0.0; freed.len()],
            drive: None,
            stops_before: stops(before),
            seen: Vec::new(),
            // The site as it is.
            n_evaluations: 1,
            evaluator,
            site,
            freed,
            rows,
            slopes,
        }
    }

    /// The numbers as they are, or as near to it as their bounds allow.
    pub(super) fn start(&mut self) -> Point {
        let x = self.freed.iter().map(|n| n.from.clamp(n.least, n.most)).collect();
        self.at(x)
    }

    /// The site with the numbers of a place.
    pub(super) fn site_at(&self, x: &[f64]) -> Site {
        let freed = self.freed.iter().zip(x);
        let moves: Vec<Move<'_>> = freed
            .map(|(freed, &to)| Move { number: &freed.number, from: freed.from, to })
            .collect();
        moved(self.site, &moves)
    }

    /// A place evaluated; each place once.
    pub(super) fn at(&mut self, x: Vec<f64>) -> Point {
        if let Some(known) = self.seen.iter().find(|point| point.x == x) {
            return known.clone();
        }
        let site = self.site_at(&x);
        let (evaluation, cells) = self.evaluator.evaluate_with_cells(&site);
        self.n_evaluations += 1;
        let values = self.rows.values(&site, &evaluation, cells.as_ref());
        let more = |(stop, n): &(Stop, usize)| {
            *n > self.stops_before.get(stop).copied().unwrap_or_default()
        };
        let raised = stops(&evaluation).into_iter().filter(more).map(|(stop, _)| stop).collect();
        let point = Point { x, values, raised };
        self.seen.push(point.clone());
        point
    }

    /// What follows from a site.
    pub(super) fn evaluated(&mut self, site: &Site) -> Evaluation {
        self.n_evaluations += 1;
        self.evaluator.evaluate(site)
    }

    /// The place of changes in shares of the rooms.
    pub(super) fn at_change(&mut self, z: &[f64]) -> Point {
        let x = self.freed.iter().zip(z).map(|(number, &z)| number.x(z)).collect();
        self.at(x)
    }

    /// The changes of a place, in shares of the rooms.
    pub(super) fn change(&self, point: &Point) -> Vec<f64> {
        self.freed.iter().zip(&point.x).map(|(number, &x)| number.z(x)).collect()
    }

    /// The measure of a change: the sum of the squares of its shares.
    pub(super) fn effort(&self, point: &Point) -> f64 {
        self.change(point).iter().map(|z| z * z).sum()
    }

    /// Whether a place reaches every goal and raises nothing.
    pub(super) fn is_reached(&self, point: &Point) -> bool {
        point.raised.is_empty() && self.off(point) == 0.0
    }

    /// How far a place is off its goals, all together, in steps.
    pub(super) fn off(&self, point: &Point) -> f64 {
        self.rows.rows.iter().zip(&point.values).map(|(row, &value)| row.off(value)).sum()
    }

    /// How far a place is off what is aimed at for the goals that follow smoothly, in steps.
    pub(super) fn off_aims(&self, point: &Point) -> f64 {
        let smooth = self.rows.rows.iter().zip(&point.values).filter(|(row, _)| row.is_smooth());
        smooth.map(|(row, &value)| row.off_aim(value)).sum()
    }

    /// How many goals a place does not reach, how far off it is, and what it takes: the less, the
    /// better, in this order.
    pub(super) fn merit(&self, point: &Point) -> (usize, f64, f64) {
        let off = self.rows.rows.iter().zip(&point.values);
        let n_off = off.filter(|(row, value)| row.off(**value) > 0.0).count();
        (n_off, self.off(point), self.effort(point))
    }

    pub(super) fn has_smooth_goals(&self) -> bool {
        self.rows.rows.iter().any(|row| row.is_smooth())
    }

    /// Finds how every smooth row moves with each number about a place, toward where there is more
    /// room.
    pub(super) fn find_slopes(&mut self, about: &Point) {
        if !self.has_smooth_goals() {
            return;
        }
        for i in 0..self.freed.len() {
            let number = &self.freed[i];
            let room = number.most - number.least;
            let by = (SLOPE_SHARE * room).max(2.0 * number.step.size()).min(0.5 * room);
            let up = number.most - about.x[i] >= about.x[i] - number.least;
            let mut x = about.x.clone();
            x[i] += if up { by } else { -by };
            let share = (x[i] - about.x[i]) / room;
            let beside = self.at(x);
            for (row, slopes) in self.slopes.iter_mut().enumerate() {
                let slope = (beside.values[row] - about.values[row]) / share;
                let is_told = self.rows.rows[row].is_smooth() && slope.is_finite();
                slopes[i] = if is_told { slope } else { 0.0 };
            }
        }
    }

    /// Lets the slopes follow what was seen between two places.
    ///
    /// # Source
    /// C. G. Broyden, *A class of methods for solving nonlinear simultaneous equations*, Mathematics
    /// of Computation 19 (1965), method 1.
    pub(super) fn follow(&mut self, from: &Point, to: &Point) {
        let change: Vec<f64> =
            self.change(to).iter().zip(self.change(from)).map(|(b, a)| b - a).collect();
        let squared: f64 = change.iter().map(|z| z * z).sum();
        if squared == 0.0 {
            return;
        }
        for (row, slopes) in self.slopes.iter_mut().enumerate() {
            let told: f64 = slopes.iter().zip(&change).map(|(a, z)| a * z).sum();
            let missed = (to.values[row] - from.values[row] - told) / squared;
            if self.rows.rows[row].is_smooth() && missed.is_finite() {
                slopes.iter_mut().zip(&change).for_each(|(slope, z)| *slope += missed * z);
            }
        }
    }

    /// How many bounds a check has set.
    pub(super) fn n_held(&self) -> usize {
        self.held.iter().flatten().flatten().count()
    }

    /// Lets a number go no further than here, because of a finding.
    pub(super) fn hold(&mut self, i: usize, at: f64, goes_up: bool, stop: Stop) {
        let side = usize::from(goes_up);
        self.bounds[i][side] = at;
        self.held[i][side] = Some(stop);
    }
}

impl FreedNumber {
    /// A value as a change in shares of the number's room.
    pub(super) fn z(&self, x: f64) -> f64 {
        (x - self.from) / (self.most - self.least)
    }

    /// The value that a change in shares of its room comes to, within its bounds.
    pub(super) fn x(&self, z: f64) -> f64 {
        (self.from + z * (self.most - self.least)).clamp(self.least, self.most)
    }
}

fn stops(evaluation: &Evaluation) -> Stops {
    let mut stops = Stops::new();
    let found = evaluation.findings.iter().filter(|finding| finding.severity == Severity::Stop);
    for finding in found {
        *stops.entry((finding.code, finding.work)).or_default() += 1;
    }
    stops
}
