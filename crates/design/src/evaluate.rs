//! From a site to everything that follows from it.

use std::collections::BTreeMap;
use std::sync::Arc;

use ground::{Lattice, Surface};
use site::works::Wall;
use site::{Curve, House, Site, Survey, Work, WorkId, WorkKind};
use units::LengthUnit;

use crate::built::{BuiltCells, Measure};
use crate::earth;
use crate::joined_water::{self, Floor};
use crate::layers::Layers;
use crate::ledger::{Ledger, Moved};
use crate::measured::{self, Grounds};
use crate::memo::{ByIdentity, Memo, Tally};
use crate::plates::KeptPlates;
use crate::stages::{self, Laid, Settled};
use crate::work_done::{self, Clock, WorkDone};
use crate::works::{Band, Footing, Form, Kept};
use crate::{
    Between, Earth, Evaluation, HaulOutcome, Problem, Shape, SurveyOutcome, WaterBody, WorkOutcome,
    checks, subgrade, survey, water, works,
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
    moved: Memo<MovedKey, Moved>,
    /// What each work was measured to move last, over which existing ground and under what.
    ledgers: BTreeMap<WorkId, (ByIdentity<Surface>, Layers, Ledger)>,
    between: Memo<BetweenKey, Between>,
    plates: KeptPlates,
    cells: Memo<CellsKey, Arc<BuiltCells>>,
    waters: Memo<WatersKey, Vec<WaterBody>>,
    at_houses: Memo<HousesKey, Arc<[f64]>>,
}

/// What the ground after a work follows from.
#[derive(Clone, Debug, PartialEq)]
struct StageKey {
    existing: ByIdentity<Surface>,
    before: ByIdentity<Surface>,
    band: ByIdentity<Band>,
}

/// What a work moves follows from how its band was laid on ground that descends from the existing
/// one, and from what lies on all of it.
#[derive(Clone, Debug, PartialEq)]
struct MovedKey {
    existing: ByIdentity<Surface>,
    laid: ByIdentity<Laid>,
    layers: Layers,
}

/// What the grounds between existing and finished follow from.
#[derive(Clone, Debug, PartialEq)]
struct BetweenKey {
    ends: [ByIdentity<Surface>; 2],
    layers: Layers,
    margin_m: f64,
    strips: Vec<Curve>,
}

/// What is measured between existing and finished ground follows from both, and from what lies on them.
type CellsKey = ([ByIdentity<Surface>; 2], Measure);

/// What the water at rest follows from: the finished ground, and the works that hold it.
type WatersKey = (ByIdentity<Surface>, Vec<ByIdentity<Form>>);

/// What comes to the houses before the works follows from the existing ground and them.
type HousesKey = (ByIdentity<Surface>, Vec<House>);

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
        Self {
            surveys: Memo::with_room(ROOM),
            kept: Kept::default(),
            forms: Memo::with_room(ROOM_FOR_WORKS),
            bands: Memo::with_room(ROOM_FOR_WORKS),
            stages: Memo::with_room(ROOM_FOR_WORKS),
            dug: Memo::with_room(ROOM_FOR_WORKS),
            moved: Memo::with_room(ROOM_FOR_WORKS),
            ledgers: BTreeMap::new(),
            between: Memo::with_room(ROOM),
            plates: KeptPlates::default(),
            cells: Memo::with_room(ROOM),
            waters: Memo::with_room(ROOM_FOR_WORKS),
            at_houses: Memo::with_room(ROOM),
        }
    }
}

impl Evaluator {
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
        all
    }

    fn tallies(&mut self) -> Vec<(work_done::AnswerKind, &mut Tally)> {
        let mut tallies = vec![
            (work_done::AnswerKind::Survey, self.surveys.tally()),
            (work_done::AnswerKind::Form, self.forms.tally()),
            (work_done::AnswerKind::Band, self.bands.tally()),
            (work_done::AnswerKind::Ground, self.stages.tally()),
            (work_done::AnswerKind::Dug, self.dug.tally()),
            (work_done::AnswerKind::Moved, self.moved.tally()),
            (work_done::AnswerKind::Between, self.between.tally()),
            (work_done::AnswerKind::Cells, self.cells.tally()),
            (work_done::AnswerKind::Water, self.waters.tally()),
            (work_done::AnswerKind::Houses, self.at_houses.tally()),
        ];
        tallies.extend(self.kept.tallies());
        tallies.extend(self.plates.tallies());
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
        let (mut evaluation, cells) = match existing {
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
        let at_houses = at_houses.as_deref();
        evaluation.findings = checks::all(site, &evaluation, cells.as_ref(), at_houses);
        (evaluation, cells)
    }

    fn on_ground(
        &mut self,
        site: &Site,
        existing: Arc<Surface>,
        survey: &SurveyOutcome,
    ) -> (Evaluation, Arc<BuiltCells>) {
        self.ledgers.retain(|id, _| site.work(*id).is_some());
        let visible = || site.works.iter().filter(|work| work.visible);
        let forms: Vec<Arc<Form>> =
            visible().map(|work| self.form(work, site, existing.lattice())).collect();
        let layers = Layers::of(site);
        let mut works = Vec::with_capacity(forms.len());
        let mut opened = Vec::new();
        let mut ground = Arc::clone(&existing);
        for (work, form) in visible().zip(&forms) {
            let (mut outcome, laid) = self.outcome(work, form, &existing, ground);
            ground = Arc::clone(&outcome.after);
            let grounds = [&existing, &outcome.before, &outcome.after];
            let moved = self.moved(work.id, grounds, laid, &layers);
            outcome.take(moved);
            if let WorkKind::Trench(trench) = &work.kind {
                opened.extend(measured::open(
                    trench,
                    &self.dug(&outcome.before, &layers),
                    &mut outcome,
                ));
            } else if let (WorkKind::Strip(strip), true) = (&work.kind, layers.strip_m == 0.0) {
                outcome.refuse(Problem {
                    message: "the site strips no topsoil: give it a depth to strip".into(),
                    at_m: strip.outline.points.first().copied().unwrap_or_default(),
                });
            }
            works.push(outcome);
        }
        let between = self.between(site, [&existing, &ground], layers.clone());
        let laid = layers.volumes(&ground);
        let measure = Measure { layers: layers.clone(), lift_m: site.digging.lift_m };
        let cells = self.cells([&existing, &ground], measure);
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
        let bays = |pond: WorkId| {
            let drawing = visible().zip(&forms).filter(move |(other, _)| draws_from(other, pond));
            drawing.map(|(_, bay)| bay)
        };
        let mut water = Vec::new();
        for (work, form) in visible().zip(&forms) {
            let forms = std::iter::once(form).chain(bays(work.id));
            water.extend(self.water(work, forms.map(Arc::clone).collect(), &ground));
        }
        let floors = visible().zip(&forms).filter_map(|(work, form)| {
            let own = form.lowest_place().filter(|_| matches!(work.kind, WorkKind::Basin(_)))?;
            let bays = bays(work.id).filter_map(|bay| bay.lowest_place());
            Some(Floor { work: work.id, places: std::iter::once(own).chain(bays).collect() })
        });
        let water = joined_water::one_sheet(site, &floors.collect::<Vec<_>>(), &ground, water);
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

    /// What lies between existing and finished ground.
    fn cells(&mut self, ends: [&Arc<Surface>; 2], measure: Measure) -> Arc<BuiltCells> {
        let key = (ends.map(|surface| ByIdentity(Arc::clone(surface))), measure);
        let is_near = |known: &CellsKey| known.0[0] == key.0[0] && known.1 == key.1;
        let earlier = self.cells.latest(is_near).map(Arc::clone);
        self.cells.get(key, |([from, to], measure)| {
            Arc::new(BuiltCells::between(&from.0, &to.0, measure, earlier.as_deref()))
        })
    }

    /// What a work moves of the subsoil, between the ground before it and after it.
    fn moved(
        &mut self,
        work: WorkId,
        [existing, before, after]: [&Arc<Surface>; 3],
        laid: Arc<Laid>,
        layers: &Layers,
    ) -> Moved {
        let existing = ByIdentity(Arc::clone(existing));
        let key = MovedKey { existing, laid: ByIdentity(laid), layers: layers.clone() };
        let ledgers = &mut self.ledgers;
        self.moved.get(key, |key| {
            let is_like =
                |(over, under, _): &&(_, _, _)| *over == key.existing && *under == key.layers;
            let earlier = ledgers.get(&work).filter(is_like).map(|(_, _, ledger)| ledger);
            let ledger = Ledger::of(&key.existing.0, [before, after], &key.layers, earlier);
            let moved = ledger.moved();
            ledgers.insert(work, (key.existing.clone(), key.layers.clone(), ledger));
            moved
        })
    }

    /// Ground lowered by all that lies on it; itself where nothing does.
    fn dug(&mut self, ground: &Arc<Surface>, layers: &Layers) -> Arc<Surface> {
        if layers.are_none() {
            return Arc::clone(ground);
        }
        let key = (ByIdentity(Arc::clone(ground)), layers.clone());
        self.dug.get(key, |(ground, layers)| Arc::new(layers.dug(&ground.0)))
    }

    fn between(&mut self, site: &Site, ends: [&Arc<Surface>; 2], layers: Layers) -> Between {
        let built = site.works.iter().filter(|work| work.visible);
        let outline = |work: &Work| match &work.kind {
            WorkKind::Strip(strip) => Some(strip.outline.clone()),
            _ => None,
        };
        let key = BetweenKey {
            ends: ends.map(|ground| ByIdentity(Arc::clone(ground))),
            layers,
            margin_m: site.soils.topsoil.margin_m,
            strips: built.filter_map(outline).collect(),
        };
        let plates = &mut self.plates;
        self.between.get(key, |key| {
            let [existing, finished] = &key.ends;
            let lattice = existing.0.lattice();
            let rings: Vec<_> =
                key.strips.iter().filter_map(|drawn| works::outline_ring(lattice, drawn)).collect();
            subgrade::between(plates, &existing.0, &finished.0, &key.layers, key.margin_m, &rings)
        })
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
        let is_like = |known: &StageKey| known.existing == key.existing && known.band == key.band;
        let earlier = self.stages.latest(is_like).map(Arc::clone);
        let settled = self.stages.get(key, |key| {
            let earlier = earlier.as_deref();
            Arc::new(stages::settle(&key.before.0, &key.band.0, earlier))
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

    /// The water that a work holds; `forms` are its own and those of the bays that draw from it.
    fn water(
        &mut self,
        work: &Work,
        forms: Vec<Arc<Form>>,
        finished: &Arc<Surface>,
    ) -> Vec<WaterBody> {
        let forms: Vec<_> = forms.into_iter().map(ByIdentity).collect();
        let key = (ByIdentity(Arc::clone(finished)), forms);
        match &work.kind {
            WorkKind::Basin(basin) => self.waters.get(key, |(finished, forms)| {
                if forms[0].0.lowest_place().is_none() {
                    return Vec::new();
                }
                let floors: Vec<_> = forms.iter().filter_map(|f| f.0.lowest_place()).collect();
                water::basin(work.id, basin, &finished.0, &floors).into_iter().collect()
            }),
            WorkKind::Stream(_) => self.waters.get(key, |(finished, forms)| {
                let form = &forms[0].0;
                let held = form.held().iter();
                let pools = held.filter_map(|held| water::pool(work.id, held, &finished.0));
                form.running().cloned().into_iter().chain(pools).collect()
            }),
            // Water in a filter's gravel is no body of water, that in a bay is its pond's, and none
            // of the others holds any.
            WorkKind::FilterBed(_)
            | WorkKind::IntakeBay(_)
            | WorkKind::Hill(_)
            | WorkKind::Wall(_)
            | WorkKind::Pad(_)
            | WorkKind::Path(_)
            | WorkKind::PlaneGrade(_)
            | WorkKind::Trench(_)
            | WorkKind::Strip(_) => Vec::new(),
        }
    }
}

/// Whether a work is a bay of a basin's.
fn draws_from(work: &Work, basin: WorkId) -> bool {
    matches!(&work.kind, WorkKind::IntakeBay(bay) if bay.from == Some(basin))
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
