//! To what a crew sets out: the least change whose numbers are whole steps.
//!
//! Rounding each number by itself would miss a volume by half a step of a lawn. So the coarse numbers
//! are set first, one after another, and the others make up for each: of the two steps beside a
//! number the better one stays. Then the whole steps around the fine numbers are tried together, in
//! the order of what the slopes say they come to, and each that is evaluated corrects what is said of
//! the next.

use super::goal::Measures;
use super::problem::{Point, Problem};

/// Places that are evaluated at most; two or three are the rule.
const MOST_TRIES: usize = 16;
/// Places that may fall short of a stepwise goal before it is driven further.
const MOST_SHORT: usize = 3;
/// By these shares of what it was driven.
const FURTHER: [f64; 4] = [0.01, 0.03, 0.08, 0.2];
/// Combinations of steps that are told apart at most.
const MOST_COMBINATIONS: usize = 4096;
/// Room left to the edge of a band, in steps of the goal: what the slopes miss over one step.
const MARGIN: f64 = 0.2;
/// A number is coarse when one step of it moves a goal by more than this many of the goal's steps.
const COARSE: f64 = 1.0;
/// A number that moves by less than this share of a step stays as it is.
const STAYS: f64 = 0.1;

impl Problem<'_> {
    /// The best place of whole steps around one that was found.
    ///
    /// Where the least change lies at the edge of what is enough for a stepwise goal, whole steps may
    /// fall short of it: it is then driven a little further.
    pub(super) fn rounded(&mut self, found: Point) -> Point {
        self.widen_bands(&found);
        let mut best = self.set_out(found.clone());
        for further in FURTHER {
            let Some(drive) = self.drive.clone().filter(|_| !self.is_reached(&best)) else { break };
            let drive = drive.further(further);
            let beyond = self.restored(found.clone(), Some(&drive));
            let kept = self.drive.replace(drive);
            let tried = self.set_out(beyond);
            self.drive = kept;
            if self.merit(&tried) < self.merit(&best) {
                best = tried;
            }
        }
        best
    }

    /// The best place of whole steps around one, coarse numbers first.
    fn set_out(&mut self, found: Point) -> Point {
        let bounds = self.bounds.clone();
        let (found, set) = self.coarse_set(found);
        let best = self.fine_set(found, &set);
        self.bounds = bounds;
        best
    }

    /// The place with its coarse numbers set to whole steps, and what they are set to.
    fn coarse_set(&mut self, mut found: Point) -> (Point, Vec<Option<f64>>) {
        let mut set = vec![None; self.freed.len()];
        for i in self.coarse(&found) {
            let mut best: Option<(f64, Point)> = None;
            for x in self.choices(found.x[i], i).into_iter().take(2) {
                self.bounds[i] = [self.freed[i].z(x); 2];
                let mut start = found.x.clone();
                start[i] = x;
                let start = self.at(start);
                let drive = self.drive.clone();
                let tried = self.restored(start, drive.as_ref());
                let key = |point: &Point| (!point.raised.is_empty(), self.merit(point));
                if best.as_ref().is_none_or(|(_, best)| key(&tried) < key(best)) {
                    best = Some((x, tried));
                }
            }
            if let Some((x, tried)) = best {
                self.bounds[i] = [self.freed[i].z(x); 2];
                (set[i], found) = (Some(x), tried);
            }
        }
        (found, set)
    }

    /// The numbers one step of which moves a goal by more than it may miss, the coarsest first.
    fn coarse(&self, found: &Point) -> Vec<usize> {
        let effect = |i: usize| {
            let number = &self.freed[i];
            let one_step = number.step.size() / (number.most - number.least);
            let rows = self.rows.rows.iter().zip(&self.slopes);
            rows.map(|(row, slopes)| (slopes[i] * one_step).abs() / row.tolerance)
                .fold(0.0, f64::max)
        };
        let moves = |i: &usize| {
            let number = &self.freed[*i];
            (found.x[*i] - number.from).abs() >= STAYS * number.step.size()
        };
        let mut coarse: Vec<usize> =
            (0..self.freed.len()).filter(moves).filter(|&i| effect(i) > COARSE).collect();
        coarse.sort_by(|&a, &b| effect(b).total_cmp(&effect(a)).then(a.cmp(&b)));
        // The finest number is left to make up for the others.
        if coarse.len() == (0..self.freed.len()).filter(moves).count() {
            coarse.pop();
        }
        coarse
    }

    /// The best place of whole steps around one whose coarse numbers are set.
    fn fine_set(&mut self, found: Point, set: &[Option<f64>]) -> Point {
        let mut left = self.combinations(&found, set);
        let mut known = found.clone();
        let mut best: Option<Point> = None;
        let mut n_short = 0;
        for _ in 0..MOST_TRIES {
            let ranks: Vec<(f64, f64)> =
                left.iter().map(|x| self.rank(x, &known, &found)).collect();
            let first = (0..left.len()).min_by(|&a, &b| {
                ranks[a].0.total_cmp(&ranks[b].0).then(ranks[a].1.total_cmp(&ranks[b].1))
            });
            let Some(first) = first else { break };
            let tried = self.at(left.swap_remove(first));
            if self.is_reached(&tried) {
                return tried;
            }
            let is_better = |best: &Point| self.merit(&tried) < self.merit(best);
            if tried.raised.is_empty() && best.as_ref().is_none_or(is_better) {
                best = Some(tried.clone());
            }
            n_short += usize::from(self.is_short(&tried));
            if n_short == MOST_SHORT {
                break;
            }
            known = tried;
        }
        best.unwrap_or(found)
    }

    /// Whether a stepwise goal is what a place does not reach.
    fn is_short(&self, point: &Point) -> bool {
        let mut rows = self.rows.rows.iter().zip(&point.values);
        rows.any(|(row, &value)| !row.is_smooth() && row.off(value) > 0.0)
    }

    /// What whole steps can meet at all: half of the finest step's effect, where that is more.
    fn widen_bands(&mut self, found: &Point) {
        for (row, slopes) in self.rows.rows.iter_mut().zip(&self.slopes) {
            let [low, high] = row.aim;
            if low != high {
                continue;
            }
            let effect = |(i, slope): (usize, &f64)| {
                let number = &self.freed[i];
                let steps = (found.x[i] - number.from).abs() / number.step.size();
                let one_step = number.step.size() / (number.most - number.least);
                (steps > STAYS && *slope != 0.0).then_some((slope * one_step).abs())
            };
            let effects = slopes.iter().enumerate().filter_map(effect);
            let half = 0.5 * (1.0 + MARGIN) * effects.fold(f64::INFINITY, f64::min);
            if half.is_finite() && half > row.tolerance {
                row.band = [low - half, high + half];
            }
        }
    }

    /// Whole steps about each number, all combined.
    fn combinations(&self, found: &Point, set: &[Option<f64>]) -> Vec<Vec<f64>> {
        let of = |i: usize| set[i].map_or_else(|| self.choices(found.x[i], i), |x| vec![x]);
        let mut choices: Vec<Vec<f64>> = (0..self.freed.len()).map(of).collect();
        let n_all = |choices: &[Vec<f64>]| {
            choices.iter().fold(1_usize, |n, list| n.saturating_mul(list.len()))
        };
        // With many numbers, the last ones take fewer choices, the nearest first.
        for keep in [2, 1] {
            for i in (0..choices.len()).rev() {
                if n_all(&choices) > MOST_COMBINATIONS {
                    choices[i].truncate(keep);
                }
            }
        }
        let mut all = vec![Vec::new()];
        for list in &choices {
            let with = |x: &f64, start: &Vec<f64>| [start.clone(), vec![*x]].concat();
            all = all.iter().flat_map(|start| list.iter().map(move |x| with(x, start))).collect();
        }
        all
    }

    /// Values about one that can be set out, the nearest first; itself where it does not move, or
    /// where none lies within its bounds.
    fn choices(&self, x: f64, i: usize) -> Vec<f64> {
        let number = &self.freed[i];
        let size = number.step.size();
        if (x - number.from).abs() < STAYS * size {
            return vec![number.from.clamp(number.least, number.most)];
        }
        let held_at = |side: usize| self.held[i][side].map(|_| number.x(self.bounds[i][side]));
        let low = held_at(0).unwrap_or(number.least);
        let high = held_at(1).unwrap_or(number.most);
        let within = |x: &f64| (low..=high).contains(x);
        // What went as far as was asked stays there, whole steps or not.
        let mut asked = [number.least, number.most].into_iter().filter(within);
        if let Some(bound) = asked.find(|bound| (x - bound).abs() < STAYS * size) {
            return vec![bound];
        }
        let below = number.step.count(x).floor();
        let steps = [-1.0, 0.0, 1.0, 2.0].map(|more| number.step.at(below + more));
        let mut choices: Vec<f64> = steps.into_iter().filter(within).collect();
        if choices.is_empty() {
            return vec![x];
        }
        choices.sort_by(|a, b| (a - x).abs().total_cmp(&(b - x).abs()));
        choices.dedup();
        choices
    }

    /// How far off its goals a place is said to be, and what change it takes.
    fn rank(&self, x: &[f64], known: &Point, found: &Point) -> (f64, f64) {
        let change = |x: &[f64]| -> Vec<f64> {
            self.freed.iter().zip(x).map(|(number, &x)| number.z(x)).collect()
        };
        let (here, there, target) = (change(x), change(&known.x), change(&found.x));
        let mut off = 0.0;
        for ((row, value), slopes) in self.rows.rows.iter().zip(&known.values).zip(&self.slopes) {
            if row.measures == Measures::Mound {
                // No less is driven than where it was found to be enough.
                let gains = self.gains.iter().zip(here.iter().zip(&target));
                let lost: f64 = gains.map(|(gain, (z, found))| gain * (z - found)).sum();
                off += lost.max(0.0) / row.tolerance;
                continue;
            }
            let moves = slopes.iter().zip(here.iter().zip(&there));
            let told: f64 = value + moves.map(|(slope, (z, from))| slope * (z - from)).sum::<f64>();
            off += (row.off(told + MARGIN * row.tolerance))
                .max(row.off(told - MARGIN * row.tolerance));
        }
        // What lies within a hair of its bands is within them.
        (if off < 1e-6 { 0.0 } else { off }, here.iter().map(|z| z * z).sum())
    }
}
