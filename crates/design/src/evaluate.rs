//! From a site to everything that follows from it.

use std::sync::Arc;

use ground::overlay::{self, Volumes};
use ground::{Lattice, Surface};
use site::{Curve, Site, Survey, Work, WorkKind};

use crate::earth;
use crate::memo::{ByIdentity, Memo};
use crate::stages::{self, Settled};
use crate::works::{Band, Footing, Form};
use crate::{
    Evaluation, Shape, SurveyOutcome, WaterBody, WorkOutcome, checks, survey, water, works,
};

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
    forms: Memo<FormKey, Arc<Form>>,
    bands: Memo<(ByIdentity<Form>, Footing), Arc<Band>>,
    stages: Memo<StageKey, Arc<Settled>>,
    wholes: Memo<[ByIdentity<Surface>; 2], Volumes>,
    waters: Memo<(ByIdentity<Surface>, ByIdentity<Form>), Option<WaterBody>>,
}

/// What the ground after a work follows from.
#[derive(Clone, Debug, PartialEq)]
struct StageKey {
    existing: ByIdentity<Surface>,
    before: ByIdentity<Surface>,
    band: ByIdentity<Band>,
}

type Surveyed = (Option<Arc<Surface>>, Arc<SurveyOutcome>);

/// What the existing ground follows from.
#[derive(Clone, Debug)]
struct SurveyKey {
    survey: Arc<Survey>,
    step_um: u32,
    spike_deviations: f64,
}

/// What a work's form follows from.
#[derive(Clone, Debug, PartialEq)]
struct FormKey {
    id: u32,
    kind: WorkKind,
    /// The outlines that it joins.
    joined: [Option<Curve>; 2],
    step_um: u32,
}

/// Evaluations that may follow one another and go back: a few steps of undo.
const ROOM: usize = 4;

/// Works of a large site.
const ROOM_FOR_WORKS: usize = 64;

impl Default for Evaluator {
    fn default() -> Self {
        Self {
            surveys: Memo::with_room(ROOM),
            forms: Memo::with_room(ROOM_FOR_WORKS),
            bands: Memo::with_room(ROOM_FOR_WORKS),
            stages: Memo::with_room(ROOM_FOR_WORKS),
            wholes: Memo::with_room(ROOM),
            waters: Memo::with_room(ROOM_FOR_WORKS),
        }
    }
}

impl Evaluator {
    /// Everything that follows from a site.
    pub fn evaluate(&mut self, site: &Site) -> Evaluation {
        let key = SurveyKey {
            survey: Arc::clone(&site.survey),
            step_um: site.frame.step_um,
            spike_deviations: site.limits.survey_spike_deviations,
        };
        let (existing, survey) = self.surveys.get(key, |_| {
            let (surface, outcome) = survey::existing(site);
            (surface, Arc::new(outcome))
        });
        let mut evaluation = match existing {
            Some(existing) => self.on_ground(site, existing, &survey),
            None => without_ground(site, &survey),
        };
        evaluation.findings = checks::all(site, &evaluation);
        evaluation
    }

    fn on_ground(
        &mut self,
        site: &Site,
        existing: Arc<Surface>,
        survey: &SurveyOutcome,
    ) -> Evaluation {
        let visible = || site.works.iter().filter(|work| work.visible);
        let forms: Vec<Arc<Form>> =
            visible().map(|work| self.form(work, site, existing.lattice())).collect();
        let mut works = Vec::with_capacity(forms.len());
        let mut ground = Arc::clone(&existing);
        for (work, form) in visible().zip(&forms) {
            let outcome = self.outcome(work, form, &existing, ground);
            ground = Arc::clone(&outcome.after);
            works.push(outcome);
        }
        let ends = [&existing, &ground].map(|surface| ByIdentity(Arc::clone(surface)));
        let whole = self.wholes.get(ends, |[from, to]| overlay::volumes(&from.0, &to.0));
        let recut_m3 = works.iter().map(|work| work.recut_m3).collect::<ground::Sum>().value();
        let (earth, haul) = earth::balance(site, &whole, recut_m3);
        let water =
            visible().zip(&forms).filter_map(|(work, form)| self.water(work, form, &ground));
        let water = water.collect();
        Evaluation {
            existing: Some(existing),
            finished: Some(ground),
            works,
            earth,
            haul,
            water,
            survey: survey.clone(),
            findings: Vec::new(),
        }
    }

    fn form(&mut self, work: &Work, site: &Site, lattice: Lattice) -> Arc<Form> {
        let key = FormKey {
            id: work.id.0,
            kind: work.kind.clone(),
            joined: works::joined_outlines(work, site).map(Option::<&Curve>::cloned),
            step_um: lattice.step_um(),
        };
        self.forms.get(key, |_| Arc::new(Form::of(work, site, lattice)))
    }

    fn outcome(
        &mut self,
        work: &Work,
        form: &Arc<Form>,
        existing: &Arc<Surface>,
        before: Arc<Surface>,
    ) -> WorkOutcome {
        let lattice = before.lattice();
        let key = (ByIdentity(Arc::clone(form)), form.footing(&before));
        let band = self.bands.get(key, |(form, footing)| Arc::new(form.0.band(footing, lattice)));
        let key = StageKey {
            existing: ByIdentity(Arc::clone(existing)),
            before: ByIdentity(Arc::clone(&before)),
            band: ByIdentity(Arc::clone(&band)),
        };
        let is_like = |known: &StageKey| known.existing == key.existing && known.band == key.band;
        let earlier = self.stages.latest(is_like).map(Arc::clone);
        let settled = self.stages.get(key, |key| {
            let earlier = earlier.as_deref();
            Arc::new(stages::settle(&key.existing.0, &key.before.0, &key.band.0, earlier))
        });
        let moved = settled.moved;
        WorkOutcome {
            work: work.id,
            cut_m3: moved.cut_m3,
            fill_m3: moved.fill_m3,
            recut_m3: moved.recut_m3,
            before,
            after: Arc::clone(&settled.after),
            shape: shape(form, &band),
            open_ends: settled.open_ends.clone(),
            beyond_m2: settled.beyond_m2,
        }
    }

    fn water(
        &mut self,
        work: &Work,
        form: &Arc<Form>,
        finished: &Arc<Surface>,
    ) -> Option<WaterBody> {
        match &work.kind {
            WorkKind::Basin(basin) => {
                let key = (ByIdentity(Arc::clone(finished)), ByIdentity(Arc::clone(form)));
                self.waters.get(key, |(finished, form)| {
                    water::basin(work.id, basin, &finished.0, form.0.lowest_place()?)
                })
            }
            WorkKind::Stream(_) => form.running().cloned(),
            // Water in a filter's gravel is no body of water, and neither of the others holds any.
            WorkKind::FilterBed(_) | WorkKind::Hill(_) | WorkKind::Wall(_) => None,
        }
    }
}

/// What a site without ground amounts to: nothing is known of its earth.
fn without_ground(site: &Site, survey: &SurveyOutcome) -> Evaluation {
    let nowhere = Volumes {
        cut_m3: f64::NAN,
        fill_m3: f64::NAN,
        cut_area_m2: f64::NAN,
        fill_area_m2: f64::NAN,
        common_area_m2: f64::NAN,
        change_m3: f64::NAN,
        deepest_cut_m: f64::NAN,
        highest_fill_m: f64::NAN,
        deepest_at: None,
        highest_at: None,
    };
    let (earth, haul) = earth::balance(site, &nowhere, f64::NAN);
    Evaluation {
        existing: None,
        finished: None,
        works: Vec::new(),
        earth,
        haul,
        water: Vec::new(),
        survey: survey.clone(),
        findings: Vec::new(),
    }
}

/// The form's shape with what of its banks could not be made.
fn shape(form: &Form, band: &Band) -> Arc<Shape> {
    if band.problems.is_empty() {
        return Arc::clone(&form.shape);
    }
    let mut shape = (*form.shape).clone();
    shape.problems.extend(band.problems.iter().cloned());
    Arc::new(shape)
}

impl PartialEq for SurveyKey {
    fn eq(&self, other: &Self) -> bool {
        self.step_um == other.step_um
            && self.spike_deviations == other.spike_deviations
            && (Arc::ptr_eq(&self.survey, &other.survey) || self.survey == other.survey)
    }
}
