//! A handle in the hand, from taking hold to letting go.

use design::hand::{
    Grip, Hold, Pull, PullError, Pulled, Snap, Snaps, Target, Targets, Wish, pulled,
};
use site::Work;
use site::field::{FieldError, Quantity, fields, number_text};
use site::shape::{Ends, lines};
use units::LengthUnit;

use crate::document::sentence;
use crate::panels::control;

/// A handle that is held.
#[derive(Clone, Debug)]
pub(crate) struct Held {
    /// The work as it was when the hand took hold.
    pub work: Work,
    /// The handle as it stood then.
    pub grip: Grip,
    /// Where the pointer was then: in plan, and its height on the screen in points.
    pub from: ([f64; 2], f32),
    /// Metres of rise for each point that the pointer moves up.
    pub rise_per_point_m: f64,
    /// Whether the hand still moves it: a typed value or Escape has the last word.
    pub is_live: bool,
    /// What it has come to.
    pub now: Now,
}

/// What a held handle has come to.
#[derive(Clone, Debug, Default, PartialEq)]
pub(crate) struct Now {
    /// Its place, snapped.
    pub at: [f64; 2],
    /// The number that was set, in its quantity.
    pub number: Option<(Quantity, f64)>,
    /// What it was snapped to.
    pub snapped: Option<String>,
    /// The target in plan, to be lit.
    pub target: Option<Target>,
}

/// Where the pointer is.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Pointer {
    /// In plan, local metres.
    pub at: [f64; 2],
    /// Its height on the screen, points downward.
    pub down: f32,
    /// How near a thing must be to draw it, metres.
    pub reach_m: f64,
}

/// The step of even lengths in a unit, metres.
pub(crate) fn even_step_m(unit: LengthUnit) -> f64 {
    match unit {
        LengthUnit::Metre => 0.1,
        foot => foot.to_metres(0.5),
    }
}

impl Held {
    /// The work with the pointer where it is.
    ///
    /// # Errors
    /// A sentence that says why the work stays as it was.
    pub(crate) fn pull(
        &mut self,
        pointer: &Pointer,
        (targets, snaps): (&Targets, &Snaps),
        unit: LengthUnit,
    ) -> Result<Work, String> {
        let way = [0, 1].map(|k| pointer.at[k] - self.from.0[k]);
        let at = [0, 1].map(|k| self.grip.at[k] + way[k]);
        let snapped = match self.grip.pull {
            Pull::Point { .. } | Pull::NewPoint { .. } | Pull::Place { .. } => {
                let step_m = even_step_m(unit);
                let before = self.before();
                targets.snap(&Wish { at, reach_m: pointer.reach_m, before, step_m }, snaps)
            }
            _ => design::hand::Snapped { at, to: None },
        };
        let rise_m = f64::from(self.from.1 - pointer.down) * self.rise_per_point_m;
        let mut hold = Hold { from: self.grip.at, at: snapped.at, rise_m };
        let mut word = snapped.to.as_ref().map(|target| target_words(target, unit));
        if let Some((even_m, name)) = self.even_level(&hold, (targets, snaps)) {
            hold.rise_m = even_m;
            word = Some(format!("level with {name}"));
        }
        let Pulled { work, number } =
            pulled(&self.work, &self.grip.pull, &hold).map_err(|why| self.sentence(&why, unit))?;
        self.now = Now { at: snapped.at, number, snapped: word, target: snapped.to };
        Ok(work)
    }

    /// The work with a typed number, or a typed place.
    ///
    /// # Errors
    /// A sentence that says what may be typed, or why the work stays as it was.
    pub(crate) fn say(&mut self, words: &str, unit: LengthUnit) -> Result<Work, String> {
        if let Pull::Rise { path, .. } | Pull::Spread { path, .. } | Pull::Along { path } =
            &self.grip.pull
        {
            let field = fields(&self.work).into_iter().find(|field| field.path == *path);
            let field = field.ok_or_else(|| "It has no such number".to_owned())?;
            let number = control::parse(words, field.quantity, unit)
                .ok_or_else(|| format!("{words} is no value of this sort"))?;
            let mut new = self.work.clone();
            let value = site::field::FieldValue::Number(number);
            site::field::set(&mut new, path, value)
                .map_err(|why| self.sentence(&why.into(), unit))?;
            self.now.number = Some((field.quantity, number));
            return Ok(new);
        }
        let said = super::typed::read(words, unit).ok_or_else(|| super::typed::HOW.to_owned())?;
        let from = match self.grip.pull {
            Pull::Whole => Some(self.grip.at),
            _ => self.before()[0],
        };
        let at = said.place(from, self.now.at);
        let hold = Hold { from: self.grip.at, at, rise_m: 0.0 };
        let new = pulled(&self.work, &self.grip.pull, &hold)
            .map_err(|why| self.sentence(&why, unit))?
            .work;
        self.now.at = at;
        Ok(new)
    }

    /// The neighbours from which lengths and angles are taken.
    pub(crate) fn before(&self) -> [Option<[f64; 2]>; 2] {
        let (path, point) = match &self.grip.pull {
            Pull::Point { path, point } => (path, *point),
            Pull::NewPoint { path, at } => (path, *at),
            _ => return [None; 2],
        };
        let all = lines(&self.work.kind);
        let Some(line) = all.iter().find(|line| line.path == *path) else { return [None; 2] };
        let (points, n) = (&line.curve.points, line.curve.points.len());
        [1, 2].map(|back| match line.ends {
            Ends::Closed if n > back => Some(points[(point + n - back) % n]),
            Ends::Open => point.checked_sub(back).map(|at| points[at]),
            Ends::Closed => None,
        })
    }

    /// The rise that makes a level equal to another one near it.
    fn even_level(
        &self,
        hold: &Hold,
        (targets, snaps): (&Targets, &Snaps),
    ) -> Option<(f64, String)> {
        let Pull::Rise { path, below_m } = &self.grip.pull else { return None };
        if !snaps.is_on(Snap::Levels) {
            return None;
        }
        let number = fields(&self.work).into_iter().find(|field| field.path == *path)?;
        let site::field::FieldValue::Number(first) = number.value else { return None };
        let start_m = below_m.map_or(first, |below_m| below_m - first);
        let reach_m = (6.0 * self.rise_per_point_m).min(0.05);
        let mark = targets.snap_level(start_m + hold.rise_m, reach_m, snaps)?;
        Some((mark.level_m - start_m, mark.name.clone()))
    }

    /// A refusal in the site's own unit.
    fn sentence(&self, why: &PullError, unit: LengthUnit) -> String {
        if let PullError::Field(FieldError::Range { path, label, least, most, value }) = why {
            let quantity = fields(&self.work).into_iter().find(|field| field.path == *path);
            if let Some(quantity) = quantity.map(|field| field.quantity) {
                let [least, most, value] =
                    [least, most, value].map(|number| number_text(*number, quantity, unit));
                return format!("{label} takes {least} to {most}, not {value}");
            }
        }
        sentence(&why.to_string())
    }
}

/// What a place was drawn to, in words.
pub(crate) fn target_words(target: &Target, unit: LengthUnit) -> String {
    match target {
        Target::Point { name, level_m: Some(level_m) } => {
            format!("on {name}, {}", units::elevation_text(*level_m, unit))
        }
        Target::Point { name, level_m: None } => format!("on a point of {name}"),
        Target::Line { name, .. } => format!("along {name}"),
        Target::Square { .. } => "square, or straight on".into(),
        Target::Length { length_m } => {
            format!("even length, {}", units::length_text(*length_m, unit))
        }
    }
}
