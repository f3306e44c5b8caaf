//! The garden as pieces to draw, all of them computed from a site and its evaluation.
//!
//! [`scenery`] is a pure function and runs off the main thread; [`present`] keeps one entity per
//! piece and sends up only what has changed.

mod before;
mod changed;
mod contours;
pub(crate) mod depth;
pub(crate) mod drape;
mod footing;
mod house;
pub(crate) mod kept;
mod laid;
pub(crate) mod laps;
pub(crate) mod light;
mod masonry;
pub(crate) mod material;
mod owned;
mod planting;
mod plants;
mod running;
mod seed;
mod shade;
pub(crate) mod shape;
mod shore;
pub(crate) mod slope;
mod stage;
mod steps;
mod stones;
mod strand;
pub(crate) mod stuff;
mod surroundings;
pub(crate) mod survey;
pub(crate) mod terrain;
mod threads;
mod water;
mod works;

pub(crate) mod present;

use std::collections::BTreeMap;
use std::sync::Arc;

use bevy::prelude::*;
use design::job::{Built, Step};
use design::{Evaluation, PondRounds, Running, SheetMaterial, WaterBody, WaterKind, WorkOutcome};
use site::{Site, WorkId, WorkKind};

use self::before::Before;
use self::laps::Laps;
use self::owned::Owned;
use self::present::Switch;
use self::shape::{Corner, Shape};
pub(crate) use self::stage::Stage;
use self::stage::ground_at;
use self::stuff::Stuff;
use self::terrain::{ChunkKey, Ground, Lie};
use crate::frame::{Extent, SceneFrame};

/// Names one piece of the scene for good.
#[derive(Component, Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(crate) enum Piece {
    /// One chunk of finished ground.
    Ground(ChunkKey),
    /// The upright faces of steps.
    Steps,
    /// The liner where it lies bare.
    Liner,
    /// Stones of a work.
    Stones(WorkId),
    /// Plants of a work.
    Plants(WorkId),
    /// Gravel tops and the like of a work.
    Sheet(WorkId),
    /// Still or running water of a work.
    Water(WorkId),
    /// Falls of a work.
    Falls(WorkId),
    /// The old ground where it differs.
    Ghost,
    /// A house, by its place in the list.
    House(usize),
    /// Something small that stays where it stands, by its place in the list of keep-outs.
    Kept(usize),
    /// A tree that stays: seen where one looks from the side.
    Crown(usize),
    /// The same as a plan draws it.
    KeptPlan(usize),
    /// Marks of a keep-out on the ground.
    KeptMarks(usize),
    /// A heap of earth while one stands, by its place in the list of stockpiles: seen where one looks
    /// from the side.
    Heap(usize),
    /// The same as a plan draws it.
    HeapPlan(usize),
    /// The place of a heap on the ground while none stands there.
    HeapMarks(usize),
    /// The pale wash beyond the survey.
    Wash,
    /// Shadows of what stands high, for adapters that draw none.
    Shade,
    /// The inked line of the survey's border.
    Border,
    /// Hedges before the sky.
    Horizon,
    /// The sky.
    Dome,
    /// Contours of the finished ground.
    Contours,
    /// What was surveyed: points and breaklines.
    Survey,
    /// A plan or an aerial, by its place in the list of pictures.
    Drape(usize),
}

/// Everything to draw, by piece.
pub(crate) type Scenery = BTreeMap<Piece, Arc<Shape>>;

/// What a view needs to know of an evaluation beside its pieces.
#[derive(Clone)]
pub(crate) struct Scene {
    /// The pieces.
    pub pieces: Scenery,
    /// Where the scene lies.
    pub frame: SceneFrame,
    /// The box around the ground.
    pub extent: Extent,
    /// The ground that is drawn: finished, or another stage of it.
    pub finished: Arc<Lie>,
    /// Which stage that is.
    pub stage: Stage,
    /// What it is dressed as.
    dress: Built,
    /// The ground as surveyed.
    pub existing: Option<Arc<Lie>>,
    /// What carries a foot, and what does not.
    footing: Arc<footing::Footing>,
    /// The site that it is of.
    site: Arc<Site>,
    /// The ground of each work.
    owned: Arc<BTreeMap<WorkId, Owned>>,
    /// Contours of the finished ground.
    pub contours: Arc<Vec<ground::query::Contour>>,
    /// The middle of each work's ground, local metres.
    pub middles: Vec<(WorkId, [f64; 3])>,
    /// What is written beside what stays.
    pub kept: Arc<Vec<kept::KeptWord>>,
    /// What is written beside surveyed points.
    pub survey: Arc<Vec<survey::SurveyWord>>,
    /// The water as it runs, with what is tried of its pumps.
    pub running: Arc<Running>,
    /// The water as it is planned.
    pub planned: Arc<Running>,
    /// How each pond from which a pump draws goes round, as the pumps run.
    pub rounds: Arc<Vec<PondRounds>>,
    /// What its parts took to compose.
    pub laps: Laps,
}

pub(crate) fn plugin(app: &mut App) {
    app.add_plugins((material::plugin, light::plugin, present::plugin));
}

/// What of a site is to be drawn.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Asked<'a> {
    /// The ground.
    pub stage: Stage,
    /// The steps among which [`Stage::Job`] chooses.
    pub job: &'a [Step],
    /// What the pumps move of what they would as planned; as planned when empty.
    pub shares: &'a [f64],
    /// The old ground where it differs.
    pub ghost: Switch,
}

impl Asked<'_> {
    /// A ground with everything.
    pub(crate) fn at(stage: Stage) -> Self {
        Self { stage, job: &[], shares: &[], ghost: Switch::On }
    }
}

/// Composes the scene; nothing when there is no ground.
pub(crate) fn scene(site: &Site, evaluation: &Evaluation) -> Option<Scene> {
    scene_after(site, evaluation, Asked::at(Stage::Finished), None)
}

/// Composes what is asked, taking from the scene before what no edit has touched.
pub(crate) fn scene_after(
    site: &Site,
    evaluation: &Evaluation,
    asked: Asked<'_>,
    before: Option<&Scene>,
) -> Option<Scene> {
    let Asked { stage, job, shares, .. } = asked;
    let mut laps = Laps::default();
    let existing = evaluation.existing.clone().map(|surface| Arc::new(Lie::new(surface)));
    let (surface, dress) = ground_at(stage, job, evaluation)?;
    let base = evaluation.existing.as_ref().unwrap_or(&surface);
    let border_extent = Extent::of(base)?;
    let frame = SceneFrame::amid(border_extent);
    let finished = Arc::new(Lie::new(surface));
    let mut scene = Scene {
        pieces: Scenery::new(),
        frame,
        extent: border_extent,
        finished,
        stage,
        dress,
        existing,
        footing: Arc::new(footing::Footing::of(evaluation, dress)),
        site: Arc::new(site.clone()),
        owned: Arc::default(),
        contours: Arc::default(),
        middles: Vec::new(),
        kept: Arc::default(),
        survey: Arc::default(),
        running: Arc::default(),
        planned: Arc::default(),
        rounds: Arc::default(),
        laps: Laps::default(),
    };
    scene.owned = Arc::new(owned::owned(scene.finished.surface()));
    laps.end("ways to the faces");
    let stands = before.filter(|before| before.stands_on(evaluation));
    let same = stands.and_then(|before| Before::of(before, &scene));
    laps.end("what has changed");
    let beside = || {
        let words = kept::words(&scene, site, evaluation);
        let runs = (dress == Built::Water).then(|| design::running(site, evaluation));
        (words, runs.unwrap_or_default())
    };
    let (ground, (words, planned)) =
        threads::both(|| scene.ground_chunks(site, same.as_ref()), beside);
    scene.pieces.extend(ground);
    scene.kept = Arc::new(words);
    scene.planned = Arc::new(planned);
    laps.end("ground, the way of the water and words beside it");
    if asked.ghost == Switch::On {
        scene.add_ghost();
    }
    laps.end("old ground");
    scene.add_contours(site);
    laps.end("contours");
    if dress == Built::Water {
        scene.add_water(site, evaluation, shares);
        let steps = steps::steps(scene.finished.surface());
        let faces = steps::shape(&steps, frame, |step| stuff::of_riser(site, step.upper));
        scene.put(Piece::Steps, faces);
    }
    laps.end("water");
    if dress >= Built::Dry {
        scene.add_stones(site, evaluation, same.as_ref());
        laps.end("stones");
        scene.add_plants(site, evaluation, same.as_ref());
    } else {
        scene.add_bare(evaluation);
    }
    laps.end("plants");
    scene.add_houses(site, evaluation);
    scene.add_kept(site, same.as_ref());
    laps.end("what stays");
    let shade = shade::shape(site, &scene.finished, scene.frame);
    scene.put(Piece::Shade, shade);
    laps.end("shade");
    scene.survey = Arc::new(survey::words(&scene, site));
    let survey = survey::shape(&scene, site);
    scene.put(Piece::Survey, survey);
    scene.add_pictures(site);
    match stands {
        Some(before) => scene.take_surroundings(before),
        None => scene.add_surroundings(),
    }
    scene.pieces.retain(|_, shape| !shape.is_empty());
    laps.end("survey and around");
    scene.laps = laps;
    Some(scene)
}

/// The levels at which ponds stand while the pumps run; those at rest where that is not known.
fn still_levels(evaluation: &Evaluation, running: &Running) -> Vec<(WorkId, f64)> {
    let basins = evaluation.water.iter().filter(|body| body.kind == WaterKind::Basin);
    let level = |body: &WaterBody| {
        let pond = running.ponds.iter().find(|pond| pond.work == body.work);
        let levels = pond.and_then(|pond| pond.levels.as_ref().ok());
        (body.work, levels.map_or(body.level_m, |levels| levels.running_m))
    };
    basins.map(level).collect()
}

/// Blades of grass around a place in local metres.
pub(crate) fn grass(scene: &Scene, site: &Site, around: [f64; 2]) -> bevy::mesh::Mesh {
    let bed = planting::Bed { site, finished: &scene.finished, frame: scene.frame };
    planting::grass(&bed, around).mesh()
}

/// A mesh with nothing in it.
pub(crate) fn no_grass() -> bevy::mesh::Mesh {
    Shape::default().mesh()
}

impl Scene {
    fn put(&mut self, piece: Piece, shape: Shape) {
        self.pieces.insert(piece, Arc::new(shape));
    }

    fn ground_chunks(&self, site: &Site, before: Option<&Before<'_>>) -> Vec<(Piece, Arc<Shape>)> {
        let ground = Ground {
            site,
            finished: &self.finished,
            existing: self.existing.as_deref(),
            frame: self.frame,
            dress: self.dress,
        };
        let chunks = terrain::chunks(&ground, before).into_iter();
        chunks.map(|(key, shape)| (Piece::Ground(key), shape)).collect()
    }

    fn add_ghost(&mut self) {
        if let Some(existing) = self.existing.clone() {
            self.put(Piece::Ghost, terrain::ghost(&existing, &self.finished, self.frame));
        }
    }

    fn add_contours(&mut self, site: &Site) {
        let contours = contours::contours(self.finished.surface(), site.frame.unit);
        self.put(Piece::Contours, contours::shape(&contours, self.extent, self.frame));
        self.contours = Arc::new(contours);
        self.middles = site
            .works
            .iter()
            .filter_map(|work| Some((work.id, self.owned.get(&work.id)?.middle()?)))
            .collect();
    }

    /// The same scene with its pumps moving another share of what they would as planned.
    pub(crate) fn with_pumps_at(
        &self,
        site: &Site,
        evaluation: &Evaluation,
        shares: &[f64],
    ) -> Self {
        let mut scene = self.clone();
        if scene.dress == Built::Water {
            scene.pieces.retain(|piece, _| !matches!(piece, Piece::Water(_) | Piece::Falls(_)));
            scene.add_water(site, evaluation, shares);
            scene.pieces.retain(|_, shape| !shape.is_empty());
        }
        scene
    }

    fn add_water(&mut self, site: &Site, evaluation: &Evaluation, shares: &[f64]) {
        let running = match shares {
            [] => self.planned.clone(),
            _ => Arc::new(design::running_if(site, evaluation, shares)),
        };
        self.rounds = Arc::new(design::rounds(site, evaluation, &running));
        self.running = running.clone();
        let (finished, frame) = (self.finished.clone(), self.frame);
        let steps = steps::steps(finished.surface());
        let waters = still_levels(evaluation, &running);
        let level_of = |work| waters.iter().find(|(of, _)| *of == work).map(|(_, level)| *level);
        for body in evaluation.water.iter().filter(|body| body.kind == WaterKind::Basin) {
            let sheet = water::sheet(body, level_of(body.work), &finished, frame);
            self.put(Piece::Water(body.work), sheet);
        }
        for work in site.works.iter().filter(|work| work.visible) {
            let WorkKind::Stream(stream) = &work.kind else { continue };
            let outcome = running.streams.iter().find(|outcome| outcome.work == work.id);
            let runs_as = outcome.and_then(|outcome| outcome.water.as_ref().ok());
            let pieces = runs_as.map(running::rows).unwrap_or_default();
            let crests = outcome.and_then(|outcome| outcome.crests.as_deref().ok());
            let falling = water::Falling {
                stream: work.id,
                drawn_m: stream.water_depth_m,
                crests: crests.unwrap_or_default(),
                pieces: &pieces,
                waters: &waters,
            };
            let runs = steps::runs(&steps, |step| water::is_fall(step, falling.stream));
            self.put(Piece::Falls(work.id), water::curtains(&runs, &falling, frame));
            // A stream of which nothing is reckoned is drawn as deep as it is given.
            let is_own = |body: &&WaterBody| {
                body.work == work.id && body.kind == WaterKind::Stream && pieces.is_empty()
            };
            let sheet = match evaluation.water.iter().find(is_own) {
                Some(body) => water::sheet(body, None, &finished, frame),
                None => running::sheet(&pieces, &finished, frame),
            };
            self.put(Piece::Water(work.id), sheet);
        }
        for outcome in &evaluation.works {
            let fed = |stream: &&site::works::Stream| stream.from == Some(outcome.work);
            let over_lip = site.works.iter().find_map(|work| match &work.kind {
                WorkKind::Stream(stream) => Some(stream).filter(fed).map(|_| work.id),
                _ => None,
            });
            let stream = running.streams.iter().find(|stream| Some(stream.work) == over_lip);
            let head_m = stream.and_then(|stream| Some(stream.water.as_ref().ok()?.head_m));
            self.add_sheets(outcome, head_m);
        }
    }

    /// What lies or stands in a work and is no ground: gravel, and the water over it, which stands at
    /// `level_m` where that is known.
    fn add_sheets(&mut self, outcome: &WorkOutcome, level_m: Option<f64>) {
        let frame = self.frame;
        let sheets = &outcome.shape.sheets;
        let has_gravel = sheets.iter().any(|sheet| sheet.material == SheetMaterial::Gravel);
        for sheet in sheets {
            let (piece, shape) = match sheet.material {
                SheetMaterial::Gravel => {
                    let mut shape = Shape::default();
                    for triangle in &sheet.triangles {
                        shape.facet(
                            triangle.map(|at| Corner::new(frame.scene(at), Vec3::Y, Stuff::Gravel)),
                        );
                    }
                    (Piece::Sheet(outcome.work), shape)
                }
                SheetMaterial::Water if has_gravel => {
                    let shape = water::over_gravel(&sheet.triangles, level_m, frame);
                    (Piece::Water(outcome.work), shape)
                }
                SheetMaterial::Water => {
                    let shape = water::over_ground(&sheet.triangles, &self.finished, frame);
                    (Piece::Water(outcome.work), shape)
                }
            };
            self.put(piece, shape);
        }
    }

    /// The upright faces of bare earth, and the liner where that is laid.
    fn add_bare(&mut self, evaluation: &Evaluation) {
        let mut steps = steps::steps(self.finished.surface());
        if let Some(existing) = &self.existing {
            steps.extend(steps::at_border(self.finished.surface(), existing));
        }
        self.put(Piece::Steps, steps::shape(&steps, self.frame, |_| Stuff::Soil));
        let between = evaluation.between.as_ref().filter(|_| self.dress == Built::Liner);
        if let Some(liner) = between.and_then(|between| between.liner.as_deref()) {
            self.put(Piece::Liner, terrain::sheet_of(liner, Stuff::Liner, self.frame));
        }
    }

    /// Takes over every piece that is the same as before, so that it need not be drawn anew.
    pub(crate) fn share(&mut self, before: &Self) {
        for (piece, shape) in &mut self.pieces {
            if let Some(old) = before.pieces.get(piece)
                && !Arc::ptr_eq(old, shape)
                && old == shape
            {
                *shape = old.clone();
            }
        }
    }

    /// Whether it was composed on the same survey.
    fn stands_on(&self, evaluation: &Evaluation) -> bool {
        match (&self.existing, &evaluation.existing) {
            (Some(own), Some(theirs)) => std::ptr::eq(own.surface(), &**theirs),
            _ => false,
        }
    }

    fn take_surroundings(&mut self, before: &Self) {
        for piece in [Piece::Border, Piece::Wash, Piece::Horizon, Piece::Dome] {
            if let Some(shape) = before.pieces.get(&piece) {
                self.pieces.insert(piece, shape.clone());
            }
        }
    }

    fn add_houses(&mut self, site: &Site, evaluation: &Evaluation) {
        let water = evaluation.water.iter().find(|body| !body.stages.is_empty());
        let middle = water.and_then(|body| body.sheet.first()).map(|triangle| triangle[0]);
        let toward = self.frame.scene(middle.unwrap_or_else(|| self.extent.centre()));
        for (idx, house) in site.houses.iter().enumerate() {
            let ground = house
                .outline_m
                .iter()
                .filter_map(|at| self.finished.elevation(*at))
                .fold(house.floor_m, f64::min);
            self.put(Piece::House(idx), house::shape(house, self.frame, toward, ground));
        }
    }

    fn add_kept(&mut self, site: &Site, before: Option<&Before<'_>>) {
        let same = before.filter(|before| {
            let was = &before.scene.site;
            was.keep_outs == site.keep_outs && was.stockpiles == site.stockpiles
        });
        for piece in kept::pieces(self, site) {
            let kept = same.and_then(|before| before.on_ground(piece));
            let shape = kept.unwrap_or_else(|| Arc::new(kept::shape(piece, self, site)));
            self.pieces.insert(piece, shape);
        }
    }

    /// What lies around the survey follows from the survey alone.
    fn add_surroundings(&mut self) {
        let lie = self.existing.clone().unwrap_or_else(|| self.finished.clone());
        let border = surroundings::border(lie.surface());
        self.put(Piece::Border, surroundings::border_line(&border, self.frame));
        self.put(Piece::Wash, surroundings::wash(&border, &lie, self.extent, self.frame));
        self.put(Piece::Horizon, surroundings::horizon(self.extent, &border, self.frame));
        self.put(Piece::Dome, surroundings::dome(self.extent, self.frame));
    }
}

#[cfg(test)]
mod tests;
