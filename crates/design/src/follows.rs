//! What follows from the grounds once all works are laid: what each work moved, the grounds between
//! existing and finished, what lies between these cell by cell, and the water at rest.
//!
//! Nothing of it follows from anything else of it, so that a second thread may take a half.

use std::collections::BTreeMap;
use std::sync::Arc;

use ground::Surface;
use site::{Curve, Site, Work, WorkId, WorkKind};

use crate::built::{BuiltCells, Measure};
use crate::joined_water::{self, Floor};
use crate::layers::Layers;
use crate::ledger::{Ledger, Moved};
use crate::memo::{ByIdentity, Memo, Tally};
use crate::plates::KeptPlates;
use crate::stages::Laid;
use crate::threads::{Threads, Waiting};
use crate::work_done::AnswerKind;
use crate::works::{self, Form};
use crate::{Between, WaterBody, subgrade, water};

/// What followed from earlier grounds.
#[derive(Debug)]
pub(crate) struct Follows {
    between: KeptBetween,
    moves: KeptMoves,
    cells: Memo<CellsKey, Arc<BuiltCells>>,
    waters: Memo<WatersKey, Vec<WaterBody>>,
    threads: Threads,
}

/// A work as it was laid.
pub(crate) struct Built<'e> {
    pub(crate) work: &'e Work,
    pub(crate) form: &'e Arc<Form>,
    /// The ground before it and after it.
    pub(crate) before: Arc<Surface>,
    pub(crate) after: Arc<Surface>,
    pub(crate) laid: Arc<Laid>,
}

/// What follows from the grounds of a site.
pub(crate) struct Following {
    /// What each work moves, in their order.
    pub(crate) moved: Vec<Moved>,
    pub(crate) between: Between,
    pub(crate) cells: Arc<BuiltCells>,
    pub(crate) water: Vec<WaterBody>,
}

#[derive(Debug)]
struct KeptBetween {
    between: Memo<BetweenKey, Between>,
    plates: KeptPlates,
}

#[derive(Debug)]
struct KeptMoves {
    moved: Memo<MovedKey, Moved>,
    /// What each work was measured to move last, over which existing ground and under what.
    ledgers: BTreeMap<WorkId, (ByIdentity<Surface>, Layers, Ledger)>,
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

/// Evaluations that may follow one another and go back: a few steps of undo.
const ROOM: usize = 4;

/// Works of a large site.
const ROOM_FOR_WORKS: usize = 64;

impl Follows {
    /// Nothing kept yet; what follows is found on so many threads.
    pub(crate) fn on(threads: Threads) -> Self {
        Self {
            between: KeptBetween { between: Memo::with_room(ROOM), plates: KeptPlates::default() },
            moves: KeptMoves { moved: Memo::with_room(ROOM_FOR_WORKS), ledgers: BTreeMap::new() },
            cells: Memo::with_room(ROOM),
            waters: Memo::with_room(ROOM_FOR_WORKS),
            threads,
        }
    }

    /// What was counted of each kind.
    pub(crate) fn tallies(&mut self) -> Vec<(AnswerKind, &mut Tally)> {
        let mut tallies = vec![
            (AnswerKind::Moved, self.moves.moved.tally()),
            (AnswerKind::Between, self.between.between.tally()),
            (AnswerKind::Cells, self.cells.tally()),
            (AnswerKind::Water, self.waters.tally()),
        ];
        tallies.extend(self.between.plates.tallies());
        tallies
    }

    /// What follows from the ground before all works, that after all of them, and each one's own.
    pub(crate) fn of(
        &mut self,
        site: &Site,
        built: &[Built<'_>],
        ends: [&Arc<Surface>; 2],
        measure: Measure,
    ) -> Following {
        let Self { between, moves, cells, waters, threads } = self;
        let layers = measure.layers.clone();
        let water = Waiting::new(|| water_on(waters, site, built, ends[1]));
        let ((between, water_beside), (moved, cells, water_here)) = threads.both(
            || (between.of(site, ends, layers), water.take()),
            || {
                let moved = moves.of(site, built, ends[0], &measure.layers);
                (moved, cells_between(cells, ends, measure), water.take())
            },
        );
        let water = water_beside.or(water_here).unwrap_or_default();
        Following { moved, between, cells, water }
    }
}

impl KeptBetween {
    fn of(&mut self, site: &Site, ends: [&Arc<Surface>; 2], layers: Layers) -> Between {
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
}

impl KeptMoves {
    /// What each work moves of the subsoil, between the ground before it and after it.
    fn of(
        &mut self,
        site: &Site,
        built: &[Built<'_>],
        existing: &Arc<Surface>,
        layers: &Layers,
    ) -> Vec<Moved> {
        self.ledgers.retain(|id, _| site.work(*id).is_some());
        built.iter().map(|built| self.by(built, existing, layers)).collect()
    }

    fn by(&mut self, built: &Built<'_>, existing: &Arc<Surface>, layers: &Layers) -> Moved {
        let existing = ByIdentity(Arc::clone(existing));
        let laid = ByIdentity(Arc::clone(&built.laid));
        let key = MovedKey { existing, laid, layers: layers.clone() };
        let (work, ledgers) = (built.work.id, &mut self.ledgers);
        self.moved.get(key, |key| {
            let is_like =
                |(over, under, _): &&(_, _, _)| *over == key.existing && *under == key.layers;
            let earlier = ledgers.get(&work).filter(is_like).map(|(_, _, ledger)| ledger);
            let grounds = [&built.before, &built.after];
            let ledger = Ledger::of(&key.existing.0, grounds, &key.layers, earlier);
            let moved = ledger.moved();
            ledgers.insert(work, (key.existing.clone(), key.layers.clone(), ledger));
            moved
        })
    }
}

/// What lies between existing and finished ground.
fn cells_between(
    kept: &mut Memo<CellsKey, Arc<BuiltCells>>,
    ends: [&Arc<Surface>; 2],
    measure: Measure,
) -> Arc<BuiltCells> {
    let key = (ends.map(|surface| ByIdentity(Arc::clone(surface))), measure);
    let is_near = |known: &CellsKey| known.0[0] == key.0[0] && known.1 == key.1;
    let earlier = kept.latest(is_near).map(Arc::clone);
    kept.get(key, |([from, to], measure)| {
        Arc::new(BuiltCells::between(&from.0, &to.0, measure, earlier.as_deref()))
    })
}

/// The water that the works hold, as one sheet where it stands in several.
fn water_on(
    kept: &mut Memo<WatersKey, Vec<WaterBody>>,
    site: &Site,
    built: &[Built<'_>],
    finished: &Arc<Surface>,
) -> Vec<WaterBody> {
    let bays = |pond: WorkId| built.iter().filter(move |bay| draws_from(bay.work, pond));
    let mut water = Vec::new();
    for one in built {
        let forms = std::iter::once(one).chain(bays(one.work.id));
        let forms = forms.map(|built| ByIdentity(Arc::clone(built.form))).collect();
        water.extend(water_of(kept, one.work, forms, finished));
    }
    let floors = built.iter().filter_map(|one| {
        let is_basin = matches!(one.work.kind, WorkKind::Basin(_));
        let own = one.form.lowest_place().filter(|_| is_basin)?;
        let bays = bays(one.work.id).filter_map(|bay| bay.form.lowest_place());
        Some(Floor { work: one.work.id, places: std::iter::once(own).chain(bays).collect() })
    });
    joined_water::one_sheet(site, &floors.collect::<Vec<_>>(), finished, water)
}

/// The water that a work holds; `forms` are its own and those of the bays that draw from it.
fn water_of(
    kept: &mut Memo<WatersKey, Vec<WaterBody>>,
    work: &Work,
    forms: Vec<ByIdentity<Form>>,
    finished: &Arc<Surface>,
) -> Vec<WaterBody> {
    let key = (ByIdentity(Arc::clone(finished)), forms);
    match &work.kind {
        WorkKind::Basin(basin) => kept.get(key, |(finished, forms)| {
            if forms[0].0.lowest_place().is_none() {
                return Vec::new();
            }
            let floors: Vec<_> = forms.iter().filter_map(|f| f.0.lowest_place()).collect();
            water::basin(work.id, basin, &finished.0, &floors).into_iter().collect()
        }),
        WorkKind::Stream(_) => kept.get(key, |(finished, forms)| {
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

/// Whether a work is a bay of a basin's.
fn draws_from(work: &Work, basin: WorkId) -> bool {
    matches!(&work.kind, WorkKind::IntakeBay(bay) if bay.from == Some(basin))
}
