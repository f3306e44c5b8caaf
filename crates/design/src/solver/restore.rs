//! From a place to the least change whose smooth goals are met, step by step.

use super::drive::Drive;
use super::least::{self, Linear};
use super::problem::{Point, Problem};

/// Least changes found one after another; two or three are the rule.
const MOST_STEPS: usize = 12;
/// A step shorter than this share of what a crew sets out is none.
const STANDS_STILL: f64 = 0.1;
/// What is aimed at is met this closely, in steps of the goal.
const MET: f64 = 0.1;
/// While a bracket is halved, steps shorter than this many of a crew's are none, and what is aimed at
/// is met this closely.
const MEANWHILE: f64 = 1.0;
/// Halvings of the way to a place that a check stops.
const HALVINGS: usize = 6;
/// A step that brings a goal no nearer than this share is halved.
const NO_NEARER: f64 = 0.9;

impl Problem<'_> {
    /// The place of the least change for which the smooth goals are met, and a stepwise one is driven
    /// so far; as near as the bounds allow.
    pub(super) fn restored(&mut self, start: Point, drive: Option<&Drive>) -> Point {
        let mut here = start;
        let (still, met) =
            if drive.is_some() { (MEANWHILE, MEANWHILE) } else { (STANDS_STILL, MET) };
        for _ in 0..MOST_STEPS {
            let target = least::change(&self.linear(&here, drive), &self.bounds);
            let is_there = self.are_within(still, &self.change(&here), &target);
            if is_there
                && (self.off_aims(&here) <= met || self.stands_still(&self.change(&here), &target))
            {
                break;
            }
            let n_held = self.n_held();
            let mut next = self.toward(&here, &target);
            let off = self.off_aims(&here);
            self.follow(&here, &next);
            // A kink throws a step too far: half of it is tried, with slopes that know of the kink.
            if off > met && self.off_aims(&next) > NO_NEARER * off {
                let half = mixed(&self.change(&here), &self.change(&next), 0.5);
                let halfway = self.toward(&here, &half);
                self.follow(&here, &halfway);
                if self.off_aims(&halfway) < self.off_aims(&next) {
                    next = halfway;
                }
            }
            if next == here && self.n_held() == n_held {
                break;
            }
            here = next;
        }
        here
    }

    /// The goals made linear about a place, in steps.
    fn linear(&self, here: &Point, drive: Option<&Drive>) -> Vec<Linear> {
        let change = self.change(here);
        let mut goals: Vec<Linear> = Vec::new();
        for ((row, value), slopes) in self.rows.rows.iter().zip(&here.values).zip(&self.slopes) {
            if row.is_smooth() {
                let moved: f64 = slopes.iter().zip(&change).map(|(a, z)| a * z).sum();
                goals.push(Linear {
                    at: (value - moved) / row.tolerance,
                    slopes: slopes.iter().map(|slope| slope / row.tolerance).collect(),
                    band: row.aim.map(|edge| edge / row.tolerance),
                });
            }
        }
        goals.extend(drive.map(Drive::linear));
        goals
    }

    /// Whether one change comes to no other than another.
    fn stands_still(&self, a: &[f64], b: &[f64]) -> bool {
        self.are_within(STANDS_STILL, a, b)
    }

    /// Whether two changes lie within so many of a crew's steps of each other.
    pub(super) fn are_within(&self, steps: f64, a: &[f64], b: &[f64]) -> bool {
        self.freed.iter().zip(a.iter().zip(b)).all(|(number, (a, b))| {
            (number.x(*a) - number.x(*b)).abs() < steps * number.step.size()
        })
    }

    /// The place of a change; where a check would stop it, the last place on the way that is free of
    /// that, and the numbers that run into it are held there.
    pub(super) fn toward(&mut self, from: &Point, change: &[f64]) -> Point {
        let to = self.at_change(change);
        if to.raised.is_empty() {
            return to;
        }
        let start = self.change(from);
        let (mut free, mut stopped) = (0.0, 1.0);
        let mut last = from.clone();
        for _ in 0..HALVINGS {
            let middle = 0.5 * (free + stopped);
            let between = self.at_change(&mixed(&start, change, middle));
            if between.raised.is_empty() {
                (free, last) = (middle, between);
            } else {
                stopped = middle;
            }
        }
        self.hold_those_that_stop(&last, change, &to);
        last
    }

    /// Holds each number that alone runs into a check on its way on; where only all together do, the
    /// one that goes farthest.
    fn hold_those_that_stop(&mut self, last: &Point, change: &[f64], to: &Point) {
        let here = self.change(last);
        let mut held = false;
        for (i, &goal) in change.iter().enumerate() {
            let mut alone = here.clone();
            alone[i] = goal;
            if self.stands_still(&here, &alone) {
                continue;
            }
            if let Some(&stop) = self.at_change(&alone).raised.first() {
                self.hold(i, here[i], goal > here[i], stop);
                held = true;
            }
        }
        let farthest = (0..change.len())
            .max_by(|&a, &b| (change[a] - here[a]).abs().total_cmp(&(change[b] - here[b]).abs()));
        if let (false, Some(i), Some(&stop)) = (held, farthest, to.raised.first()) {
            self.hold(i, here[i], change[i] > here[i], stop);
        }
    }
}

/// A share of the way from one change to another.
pub(super) fn mixed(from: &[f64], to: &[f64], share: f64) -> Vec<f64> {
    from.iter().zip(to).map(|(a, b)| a + share * (b - a)).collect()
}
