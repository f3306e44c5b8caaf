//! From a site to everything that follows from it.

use std::sync::Arc;

use ground::Surface;
use site::{Site, Survey};

use crate::memo::Memo;
use crate::{Earth, Evaluation, HaulOutcome, SurveyOutcome, checks, survey};

/// Everything that follows from a site.
///
/// Total: a poor site gives a result and findings.
pub fn evaluate(site: &Site) -> Evaluation {
    Evaluator::default().evaluate(site)
}

/// Evaluates one site after another and keeps what did not change between them.
///
/// Its answers are those of [`evaluate`]; dropping it changes only the time that they take.
#[derive(Debug)]
pub struct Evaluator {
    surveys: Memo<SurveyKey, Surveyed>,
}

type Surveyed = (Option<Arc<Surface>>, Arc<SurveyOutcome>);

/// What the existing ground follows from.
#[derive(Clone, Debug)]
struct SurveyKey {
    survey: Arc<Survey>,
    step_um: u32,
}

impl PartialEq for SurveyKey {
    fn eq(&self, other: &Self) -> bool {
        self.step_um == other.step_um
            && (Arc::ptr_eq(&self.survey, &other.survey) || self.survey == other.survey)
    }
}

/// Evaluations that may follow one another and go back: a few steps of undo.
const ROOM: usize = 4;

impl Default for Evaluator {
    fn default() -> Self {
        Self { surveys: Memo::with_room(ROOM) }
    }
}

impl Evaluator {
    /// Everything that follows from a site.
    pub fn evaluate(&mut self, site: &Site) -> Evaluation {
        let key = SurveyKey { survey: Arc::clone(&site.survey), step_um: site.frame.step_um };
        let (existing, survey) = self.surveys.get(key, |_| {
            let (surface, outcome) = survey::existing(site);
            (surface, Arc::new(outcome))
        });
        let mut evaluation = Evaluation {
            finished: existing.clone(),
            existing,
            works: Vec::new(),
            earth: Earth::default(),
            haul: HaulOutcome { governed_by: "none", ..HaulOutcome::default() },
            water: Vec::new(),
            survey: (*survey).clone(),
            findings: Vec::new(),
        };
        evaluation.findings = checks::all(site, &evaluation);
        evaluation
    }
}
