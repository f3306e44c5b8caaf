//! Remedies taken: proven to clear their finding, with the earth that they take.

use site::{Site, WorkId};
use units::{LengthUnit, earth_text};

use super::same::Same;
use super::seen::Seen;
use super::trials::{self, Trial};
use super::words::enough_text;
use super::{dead_corner, flank_too_steep, mound, survey_thin, work_has_no_shape};
use crate::{Code, Evaluation, Evaluator, Finding, Remedy};

/// Changes of volume below this are not worth a word, cubic metres.
const LEAST_EARTH_M3: f64 = 0.05;

/// The remedy of a finding, taken and measured, as [`Evaluator::remedy`] gives it.
pub fn remedy(site: &Site, finding: &Finding) -> Option<Remedy> {
    Evaluator::default().remedy(site, finding)
}

impl Evaluator {
    /// The remedy of a finding, taken and measured: its message names the earth that it takes, and
    /// its site is the edited one. Where the edit would raise a finding to stop for that did not stand
    /// before, or uncover another of the finding's kind, the message says which. Shots that a survey lacks
    /// are named and counted, and what stirs a dead corner is reckoned, without a site.
    ///
    /// `finding` must be one of `site`'s own. This evaluates the edited site, several times where the
    /// remedy has no closed form, so it is for a click or a report and not for each move of a drag.
    /// Where the remedy in closed form raises something to stop for, changes by trial are looked at too,
    /// and the one that raises least is taken. None when no edit of the program's clears the finding; the
    /// finding's own remedy then says what to do.
    pub fn remedy(&mut self, site: &Site, finding: &Finding) -> Option<Remedy> {
        let before = self.evaluate(site);
        self.remedy_of(site, &before, finding)
    }

    fn remedy_of(&mut self, site: &Site, before: &Evaluation, finding: &Finding) -> Option<Remedy> {
        if finding.code == Code::SurveyThin {
            return survey_thin::remedy(site, before, finding.work?);
        }
        if finding.code == Code::DeadCorner {
            return dead_corner::remedy(&Seen::new(site, before), finding.work?);
        }
        let first = self.first(site, before, finding);
        if first.as_ref().is_some_and(|taken| taken.n_raised == 0) {
            return first.map(|taken| taken.remedy);
        }
        let mut least = first;
        for trial in &trials::of(&Seen::new(site, before), finding) {
            let Some(taken) = self.tried(site, before, finding, trial) else { continue };
            let is_better = least.as_ref().is_none_or(|least| taken.n_raised < least.n_raised);
            if is_better {
                least = Some(taken);
            }
            if least.as_ref().is_some_and(|least| least.n_raised == 0) {
                break;
            }
        }
        least.map(|taken| taken.remedy)
    }

    /// The remedy of the finding's own check.
    fn first(&mut self, site: &Site, before: &Evaluation, finding: &Finding) -> Option<Taken> {
        let offered = finding.remedy.as_ref();
        match (finding.code, finding.work) {
            (Code::ReadsAsMound, Some(work)) => {
                let drawn_out = shoulder(site, work, self)?;
                self.taken(site, before, finding, &drawn_out)
            }
            (Code::WorkHasNoShape, Some(work)) => {
                let shaped = work_has_no_shape::remedy(site, work)?;
                self.taken(site, before, finding, &shaped)
            }
            (Code::FlankTooSteep, Some(work)) => {
                // Where easing to the limit isn't enough, it is eased further.
                let taken = offered.and_then(|offer| self.taken(site, before, finding, offer));
                taken.or_else(|| {
                    let clears = |site: &Site| self.clears(before, finding, site);
                    let eased = flank_too_steep::eased_further(site, work, clears)?;
                    self.taken(site, before, finding, &eased)
                })
            }
            _ => self.taken(site, before, finding, offered?),
        }
    }

    /// Whether a finding is gone in an edited site.
    fn clears(&mut self, before: &Evaluation, finding: &Finding, edited: &Site) -> bool {
        let after = self.evaluate_for(edited, finding.code);
        Same::between(before, &after).is_cleared(finding)
    }

    /// A remedy with the earth that it takes; none when it does not clear its finding.
    fn taken(
        &mut self,
        site: &Site,
        before: &Evaluation,
        finding: &Finding,
        remedy: &Remedy,
    ) -> Option<Taken> {
        let edited = remedy.site.as_deref()?;
        if !self.clears(before, finding, edited) {
            return None;
        }
        let after = self.evaluate(edited);
        Some(Taken::new(&remedy.message, finding, (site, edited.clone()), [before, &after]))
    }

    /// The least of a change that clears its finding; none when even the most of it does not.
    fn tried(
        &mut self,
        site: &Site,
        before: &Evaluation,
        finding: &Finding,
        trial: &Trial,
    ) -> Option<Taken> {
        let share = |step: u32| f64::from(step) / f64::from(trial.n_steps);
        let mut cleared_at = |step: u32| {
            let edited = trial.site(share(step)).filter(|edited| edited != site)?;
            self.clears(before, finding, &edited).then_some(edited)
        };
        let (mut low, mut high) = (0, trial.n_steps);
        let mut least = cleared_at(high)?;
        while high - low > 1 {
            let middle = low.midpoint(high);
            match cleared_at(middle) {
                Some(cleared) => (least, high) = (cleared, middle),
                None => low = middle,
            }
        }
        let after = self.evaluate(&least);
        Some(Taken::new(&trial.message(share(high)), finding, (site, least), [before, &after]))
    }

    /// The site's evaluation with every finding's remedy taken and measured, for a report.
    ///
    /// A finding whose remedy the program cannot take keeps its words.
    pub fn evaluate_with_remedies(&mut self, site: &Site) -> Evaluation {
        let before = self.evaluate(site);
        let mut evaluation = before.clone();
        for finding in &mut evaluation.findings {
            if let Some(taken) = self.remedy_of(site, &before, finding) {
                finding.remedy = Some(taken);
            } else if let Some(words) = &mut finding.remedy {
                words.site = None;
            }
        }
        evaluation
    }
}

/// A remedy that clears its finding.
struct Taken {
    remedy: Remedy,
    /// Findings to stop for that it raises.
    n_raised: usize,
}

impl Taken {
    /// A remedy that was seen to clear its finding, with what it takes and raises.
    fn new(
        message: &str,
        finding: &Finding,
        (site, edited): (&Site, Site),
        [before, after]: [&Evaluation; 2],
    ) -> Self {
        let same = Same::between(before, after);
        let mut message = with_earth(message, before, after, site.frame.unit);
        let told = |f: &Finding| {
            let of = f.work.and_then(|id| site.work(id));
            let of = of.map(|work| format!("{}: ", work.name)).unwrap_or_default();
            format!("{of}{}", f.message)
        };
        for raised in same.raised() {
            message.push_str(&format!(" This raises a stop: {}", told(raised)));
        }
        for left in same.uncovered(finding) {
            message.push_str(&format!(" Then this is left: {}", told(left)));
        }
        let remedy = Remedy { message, site: Some(Box::new(edited)) };
        Self { remedy, n_raised: same.raised().len() }
    }
}

/// The shoulder whose extension takes the least fill.
fn shoulder(site: &Site, work: WorkId, evaluator: &mut Evaluator) -> Option<Remedy> {
    let clears = |evaluation: &Evaluation| {
        let reads = |f: &Finding| f.code == Code::ReadsAsMound && f.work == Some(work);
        !evaluation.findings.iter().any(reads)
    };
    let found = mound::shoulders(site, work, |site| {
        clears(&evaluator.evaluate_for(site, Code::ReadsAsMound))
    });
    let mut measured: Vec<_> = found
        .into_iter()
        .map(|s| (evaluator.evaluate_for(&s.site, Code::ReadsAsMound), s))
        .collect();
    measured.sort_by(|a, b| a.0.earth.fill_compacted_m3.total_cmp(&b.0.earth.fill_compacted_m3));
    let (_, least) = measured.into_iter().next()?;
    let by = enough_text(least.by_m, site.frame.unit);
    let message = format!("Extend the {} shoulder by {by}.", least.end);
    Some(Remedy { message, site: Some(Box::new(least.site)) })
}

/// A remedy's message with the cut and fill that it adds or saves.
fn with_earth(message: &str, before: &Evaluation, after: &Evaluation, unit: LengthUnit) -> String {
    let change = |name: &str, change_m3: f64| {
        let way = if change_m3 > 0.0 { "more" } else { "less" };
        let text = earth_text(change_m3.abs(), unit);
        (change_m3.abs() >= LEAST_EARTH_M3).then(|| format!("{text} {way} {name}"))
    };
    let fill = after.earth.fill_compacted_m3 - before.earth.fill_compacted_m3;
    let cut = after.earth.cut_bank_m3 - before.earth.cut_bank_m3;
    let earth: Vec<String> =
        [change("fill", fill), change("cut", cut)].into_iter().flatten().collect();
    match (message.strip_suffix('.'), &earth[..]) {
        (_, []) => message.to_owned(),
        (Some(stem), earth) => format!("{stem}: {}.", earth.join(", ")),
        (None, earth) => format!("{message} {}.", earth.join(", ")),
    }
}
