//! From a site to everything that follows from it.

use std::sync::Arc;

use ground::{Lattice, Surface};
use site::works::Wall;
use site::{Curve, House, Site, Survey, Work, WorkKind};
use units::LengthUnit;

use crate::built::{BuiltCells, Measure};
use crate::checks::Beside;
use crate::earth;
use crate::follows::{Built, Following, Follows};
use crate::layers::Layers;
use crate::measured::{self, Grounds};
use crate::memo::{ByIdentity, Memo, Tally};
use crate::running::KeptRuns;
use crate::stages::{self, Laid, Settled};
use crate::threads::Threads;
use crate::work_done::{self, Clock, WorkDone};
use crate::works::{self, Band, Footing, Form, Kept};
use crate::{
    Code, Earth, Evaluation, HaulOutcome, Problem, Shape, SurveyOutcome, WorkOutcome, checks,
    survey,
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
    kept: Kept,
    forms: Memo<FormKey, Arc<Form>>,
    bands: Memo<(ByIdentity<Form>, Footing), Arc<Band>>,
    stages: Memo<StageKey, Arc<Settled>>,
    dug: Memo<(ByIdentity<Surface>, Layers), Arc<Surface>>,
    follows: Follows,
    at_houses: Memo<HousesKey, Arc<[f64]>>,
    runs: KeptRuns,
    threads: Threads,
}

/// What the ground after a work follows from.
#[derive(Clone, Debug, PartialEq)]
struct StageKey {
    existing: ByIdentity<Surface>,
    before: ByIdentity<Surface>,
    band: ByIdentity<Band>,
}

/// What comes to the houses before the works follows from the existing ground and them.
type HousesKey = (ByIdentity<Surface>, Vec<House>);

/// An evaluation without findings, and what the checks ask beside it.
type Unjudged = (Evaluation, Option<Arc<BuiltCells>>, Option<Arc<[f64]>>);

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
    /// The level of the water that it crosses or joins.
    water_m: Option<f64>,
    /// The unit of the numbers in what it refuses.
    unit: LengthUnit,
    /// The wall that holds it.
    wall: Option<Wall>,
    step_um: u32,
}

/// Evaluations that may follow one another and go back: a few steps of undo.
const ROOM: usize = 4;

/// Works of a large site.
const ROOM_FOR_WORKS: usize = 64;

impl Default for Evaluator {
    fn default() -> Self {
        Self::on(Threads::One)
    }
}

impl Evaluator {
    /// An evaluator that runs on so many threads.
    pub fn on(threads: Threads) -> Self {
        Self {
            surveys: Memo::with_room(ROOM),
            kept: Kept::on(threads),
            forms: Memo::with_room(ROOM_FOR_WORKS),
            bands: Memo::with_room(ROOM_FOR_WORKS),
            stages: Memo::with_room(ROOM_FOR_WORKS),
            dug: Memo::with_room(ROOM_FOR_WORKS),
            follows: Follows::on(threads),
            at_houses: Memo::with_room(ROOM),
            runs: KeptRuns::default(),
            threads,
        }
    }

    /// An evaluator that reads a clock, so that [`Evaluator::work_done`] tells times too.
    pub fn with_clock(clock: Clock) -> Self {
        let mut evaluator = Self::default();
        evaluator.tallies().into_iter().for_each(|(_, tally)| tally.set_clock(clock));
        evaluator
    }

    /// What the latest evaluation found again and made anew, in the order of the kinds.
    pub fn work_done(&mut self) -> Vec<WorkDone> {
        let done = |(kind, tally): (work_done::AnswerKind, &mut Tally)| WorkDone {
            kind,
            found_again: tally.found_again,
            made_anew: tally.made_anew,
            seconds: tally.seconds,
        };
        let mut all: Vec<WorkDone> = self.tallies().into_iter().map(done).collect();
        all.sort_by_key(|done| done.kind);
        all.dedup_by(|other, done| {
            let same = other.kind == done.kind;
            if same {
                done.take(other);
            }
            same
        });
        all
    }

    fn tallies(&mut self) -> Vec<(work_done::AnswerKind, &mut Tally)> {
        let mut tallies = vec![
            (work_done::AnswerKind::Survey, self.surveys.tally()),
            (work_done::AnswerKind::Form, self.forms.tally()),
            (work_done::AnswerKind::Band, self.bands.tally()),
            (work_done::AnswerKind::Ground, self.stages.tally()),
            (work_done::AnswerKind::Dug, self.dug.tally()),
            (work_done::AnswerKind::Houses, self.at_houses.tally()),
        ];
        tallies.extend(self.kept.tallies());
        tallies.extend(self.follows.tallies());
        tallies
    }

    /// Everything that follows from a site.
    pub fn evaluate(&mut self, site: &Site) -> Evaluation {
        self.evaluate_with_cells(site).0
    }

    /// The same with what lies between existing and finished ground; none where there is no ground.
    pub(crate) fn evaluate_with_cells(
        &mut self,
        site: &Site,
    ) -> (Evaluation, Option<Arc<BuiltCells>>) {
        let (mut evaluation, cells, at_houses) = self.without_findings(site);
        let beside = self.beside(cells.as_ref(), at_houses.as_deref());
        evaluation.findings = checks::all(site, &evaluation, beside, self.threads);
        (evaluation, cells)
    }

    /// Everything that follows from a site, but of its findings those of one code alone.
    pub(crate) fn evaluate_for(&mut self, site: &Site, code: Code) -> Evaluation {
        let (mut evaluation, cells, at_houses) = self.without_findings(site);
        let beside = self.beside(cells.as_ref(), at_houses.as_deref());
        evaluation.findings = checks::of_code(code, site, &evaluation, beside);
        evaluation
    }

    fn beside<'e>(
        &'e self,
        cells: Option<&'e Arc<BuiltCells>>,
        at_houses: Option<&'e [f64]>,
    ) -> Beside<'e> {
        Beside { cells, at_houses, runs: &self.runs }
    }

    /// All but the findings, with what lies between existing and finished ground and what comes to the
    /// houses before the works.
    fn without_findings(&mut self, site: &Site) -> Unjudged {
        self.tallies().into_iter().for_each(|(_, tally)| tally.begin());
        let key = SurveyKey {
            survey: Arc::clone(&site.survey),
            step_um: site.frame.step_um,
            spike_deviations: site.limits.survey_spike_deviations,
        };
        let (existing, survey) = self.surveys.get(key, |_| {
            let (surface, outcome) = survey::existing(site);
            (surface, Arc::new(outcome))
        });
        let (evaluation, cells) = match existing {
            Some(existing) => {
                let (evaluation, cells) = self.on_ground(site, existing, &survey);
                (evaluation, Some(cells))
            }
            None => (without_ground(&survey), None),
        };
        let at_houses = evaluation.existing.as_ref().map(|existing| {
            let key = (ByIdentity(Arc::clone(existing)), site.houses.clone());
            let found =
                |(existing, houses): &HousesKey| Arc::from(checks::at_houses(&existing.0, houses));
            self.at_houses.get(key, found)
        });
        (evaluation, cells, at_houses)
    }

    fn on_ground(
        &mut self,
        site: &Site,
        existing: Arc<Surface>,
        survey: &SurveyOutcome,
    ) -> (Evaluation, Arc<BuiltCells>) {
        let visible = || site.works.iter().filter(|work| work.visible);
        let forms: Vec<Arc<Form>> =
            visible().map(|work| self.form(work, site, existing.lattice())).collect();
        let layers = Layers::of(site);
        let mut works = Vec::with_capacity(forms.len());
        let mut built = Vec::with_capacity(forms.len());
        let mut ground = Arc::clone(&existing);
        for (work, form) in visible().zip(&forms) {
            let (outcome, laid) = self.outcome(work, form, &existing, ground);
            ground = Arc::clone(&outcome.after);
            let before = Arc::clone(&outcome.before);
            built.push(Built { work, form, before, after: Arc::clone(&ground), laid });
            works.push(outcome);
        }
        let measure = Measure { layers: layers.clone(), lift_m: site.digging.lift_m };
        let Following { moved, between, cells, water } =
            self.follows.of(site, &built, [&existing, &ground], measure);
        let mut opened = Vec::new();
        for ((work, outcome), moved) in visible().zip(&mut works).zip(moved) {
            outcome.take(moved);
            if let WorkKind::Trench(trench) = &work.kind {
                let dug = self.dug(&outcome.before, &layers);
                opened.extend(measured::open(trench, &dug, outcome));
            } else if let (WorkKind::Strip(strip), true) = (&work.kind, layers.strip_m == 0.0) {
                outcome.refuse(Problem {
                    message: "the site strips no topsoil: give it a depth to strip".into(),
                    at_m: strip.outline.points.first().copied().unwrap_or_default(),
                });
            }
        }
        let laid = layers.volumes(&ground);
        // Where there is but one soil, all that is dug is of it.
        let dug = (site.soils.layers.len() != 1).then(|| self.dug(&ground, &layers));
        let grounds = Grounds {
            site,
            existing: &existing,
            finished: &ground,
            dug: dug.as_deref(),
            cells: &cells,
            between: &between,
            works: &works,
            opened: &opened,
            laid: &laid,
        };
        let measured = measured::measured(&grounds);
        let (earth, haul) = earth::balance(site, &measured);
        let evaluation = Evaluation {
            soils: earth::soils(site, &earth, &measured),
            laid,
            lifts: measured.lifts,
            existing: Some(existing),
            finished: Some(ground),
            between: Some(between),
            works,
            earth,
            haul,
            water,
            survey: survey.clone(),
            findings: Vec::new(),
        };
        (evaluation, cells)
    }

    /// Ground lowered by all that lies on it; itself where nothing does.
    fn dug(&mut self, ground: &Arc<Surface>, layers: &Layers) -> Arc<Surface> {
        if layers.are_none() {
            return Arc::clone(ground);
        }
        let key = (ByIdentity(Arc::clone(ground)), layers.clone());
        self.dug.get(key, |(ground, layers)| Arc::new(layers.dug(&ground.0)))
    }

    fn form(&mut self, work: &Work, site: &Site, lattice: Lattice) -> Arc<Form> {
        let key = FormKey {
            id: work.id.0,
            kind: work.kind.clone(),
            joined: works::joined_outlines(work, site).map(Option::<&Curve>::cloned),
            water_m: works::crossed_water_m(work, site),
            unit: site.frame.unit,
            wall: works::holding_wall(work, site).cloned(),
            step_um: lattice.step_um(),
        };
        let kept = &mut self.kept;
        self.forms.get(key, |_| Arc::new(Form::of(work, site, lattice, kept)))
    }

    fn outcome(
        &mut self,
        work: &Work,
        form: &Arc<Form>,
        existing: &Arc<Surface>,
        before: Arc<Surface>,
    ) -> (WorkOutcome, Arc<Laid>) {
        let lattice = before.lattice();
        let key = (ByIdentity(Arc::clone(form)), form.footing(&before));
        let kept = &mut self.kept;
        let made = |(form, footing): &(ByIdentity<Form>, Footing)| {
            Arc::new(form.0.band(footing, lattice, kept))
        };
        let band = self.bands.get(key, made);
        let key = StageKey {
            existing: ByIdentity(Arc::clone(existing)),
            before: ByIdentity(Arc::clone(&before)),
            band: ByIdentity(Arc::clone(&band)),
        };
        let is_like = |known: &StageKey| {
            known.existing == key.existing && known.band.0.binds_like(&key.band.0)
        };
        let earlier = self.stages.latest(is_like).map(Arc::clone);
        let kept = &mut self.kept;
        let settled = self.stages.get(key, |key| {
            let earlier = earlier.as_deref();
            let whole = || form.whole_band(&form.footing(&key.before.0), lattice, kept);
            Arc::new(stages::settle(&key.before.0, &key.band.0, earlier, whole))
        });
        let outcome = WorkOutcome {
            work: work.id,
            cut_m3: 0.0,
            fill_m3: 0.0,
            recut_m3: 0.0,
            before,
            after: Arc::clone(&settled.after),
            shape: shape(form, &band),
            open_ends: settled.open_ends.clone(),
            beyond_m2: settled.beyond_m2,
            trench: None,
        };
        (outcome, Arc::clone(&settled.laid))
    }
}

/// What a site without ground amounts to: nothing is known of its earth.
fn without_ground(survey: &SurveyOutcome) -> Evaluation {
    let earth = Earth {
        cut_bank_m3: f64::NAN,
        fill_compacted_m3: f64::NAN,
        recut_m3: f64::NAN,
        spoil_bank_m3: f64::NAN,
        plus_minus_m3: f64::NAN,
        cut_area_m2: f64::NAN,
        fill_area_m2: f64::NAN,
        deepest_cut_m: f64::NAN,
        highest_fill_m: f64::NAN,
        dug_m3: f64::NAN,
        over_dig_m3: f64::NAN,
        overbuild_m3: f64::NAN,
        overbuild_m: f64::NAN,
        topsoil: crate::TopsoilOutcome {
            strip_m3: f64::NAN,
            respread_m3: f64::NAN,
            surplus_m3: f64::NAN,
        },
    };
    Evaluation {
        existing: None,
        finished: None,
        between: None,
        works: Vec::new(),
        earth,
        soils: Vec::new(),
        lifts: Vec::new(),
        laid: Vec::new(),
        haul: HaulOutcome::unknown(),
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
