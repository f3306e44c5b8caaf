//! Surfaces that works are made of, kept between evaluations.
//!
//! An edit of one work seldom changes the lines from which another's banks run, nor its own: what is
//! swept along them, and what is left of that beside an outline, is found again by what it is made
//! of. Dropping it changes only the time that forms and bands take.

use std::sync::Arc;

use ground::{Lattice, Surface};
use site::works::Stream;
use units::LengthUnit;

use super::bank::{self, Bank, BankLine, Way};
use super::stream::Course;
use super::vessel::Lid;
use crate::Problem;
use crate::memo::{ByIdentity, Memo, Tally};
use crate::threads::Threads;
use crate::work_done;

/// What forms and bands are made of, by what that is made of in turn.
#[derive(Debug)]
pub(crate) struct Kept {
    courses: Memo<CourseKey, Arc<Course>>,
    lids: Memo<LidKey, Option<Lid>>,
    up: KeptBounds,
    down: KeptBounds,
    /// On which bounds that run up and down are made.
    pub(super) threads: Threads,
}

/// Bounds of the ground whose banks run one way.
#[derive(Debug)]
pub(super) struct KeptBounds {
    swept: Memo<SweptKey, Result<Arc<Surface>, Problem>>,
    unbound: Memo<UnboundKey, Arc<Surface>>,
    banked: Memo<BankedKey, Result<Arc<Surface>, Problem>>,
}

/// What a stream's course follows from.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct CourseKey {
    pub(super) stream: Stream,
    pub(super) owner: u32,
    /// Whether water stands at its head and at its mouth.
    pub(super) joined: [bool; 2],
    /// The unit of the numbers in what it refuses.
    pub(super) unit: LengthUnit,
    pub(super) lattice: Lattice,
}

/// What the lid of a core follows from.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct LidKey {
    pub(super) lattice: Lattice,
    pub(super) owner: u32,
    /// The part of the core along its outline.
    pub(super) part: u32,
    /// The core's outline with its heights, metres.
    pub(super) outline: Vec<([f64; 2], f64)>,
}

/// What a swept bank follows from.
#[derive(Clone, Debug, PartialEq)]
struct SweptKey {
    lattice: Lattice,
    line: BankLine,
    bank: Bank,
    reaches_m: Vec<f64>,
}

/// What a bound beside an outline follows from.
#[derive(Clone, Debug, PartialEq)]
struct UnboundKey {
    bound: ByIdentity<Surface>,
    outline: Vec<[f64; 2]>,
    way: Way,
}

/// What a core with its banks follows from.
#[derive(Clone, Debug, PartialEq)]
struct BankedKey {
    core: ByIdentity<Surface>,
    lines: Vec<BankLine>,
    bank: Bank,
    reaches_m: Vec<Vec<f64>>,
}

/// Lines and outlines of a large site.
const ROOM: usize = 64;

impl Default for KeptBounds {
    fn default() -> Self {
        Self {
            swept: Memo::with_room(ROOM),
            unbound: Memo::with_room(ROOM),
            banked: Memo::with_room(ROOM),
        }
    }
}

impl Default for Kept {
    fn default() -> Self {
        Self::on(Threads::One)
    }
}

impl Kept {
    /// Nothing kept yet; what is made is made on so many threads.
    pub(crate) fn on(threads: Threads) -> Self {
        let (up, down) = (KeptBounds::default(), KeptBounds::default());
        let (courses, lids) = (Memo::with_room(ROOM), Memo::with_room(ROOM));
        Self { courses, lids, up, down, threads }
    }

    /// What was counted of each kind.
    pub(crate) fn tallies(&mut self) -> Vec<(work_done::AnswerKind, &mut Tally)> {
        let mut tallies = vec![
            (work_done::AnswerKind::Course, self.courses.tally()),
            (work_done::AnswerKind::Lid, self.lids.tally()),
        ];
        tallies.extend(self.up.tallies());
        tallies.extend(self.down.tallies());
        tallies
    }

    /// A stream without what it joins.
    pub(super) fn course(&mut self, key: CourseKey) -> Arc<Course> {
        self.courses.get(key, |key| Arc::new(Course::of(key)))
    }

    /// The lid of a core, where it has one.
    pub(super) fn lid(&mut self, key: LidKey) -> Option<Lid> {
        self.lids.get(key, Lid::of)
    }

    /// A bound that binds nothing within some outlines.
    pub(super) fn unbound(
        &mut self,
        bound: Arc<Surface>,
        outlines: &[Vec<[f64; 2]>],
        way: Way,
    ) -> Arc<Surface> {
        match way {
            Way::Up => self.up.unbound(bound, outlines, way),
            Way::Down => self.down.unbound(bound, outlines, way),
        }
    }

    /// Bounds that run up and bounds that run down, to be made apart.
    pub(super) fn both_ways(&mut self) -> [&mut KeptBounds; 2] {
        [&mut self.up, &mut self.down]
    }
}

impl KeptBounds {
    fn tallies(&mut self) -> [(work_done::AnswerKind, &mut Tally); 3] {
        [
            (work_done::AnswerKind::SweptBank, self.swept.tally()),
            (work_done::AnswerKind::Beside, self.unbound.tally()),
            (work_done::AnswerKind::Banked, self.banked.tally()),
        ]
    }

    /// A bank swept along a line.
    pub(super) fn swept(
        &mut self,
        lattice: Lattice,
        line: &BankLine,
        bank: Bank,
        reaches_m: &[f64],
    ) -> Result<Arc<Surface>, Problem> {
        let key = SweptKey { lattice, line: line.clone(), bank, reaches_m: reaches_m.to_vec() };
        self.swept
            .get(key, |key| bank::swept(lattice, &key.line, bank, &key.reaches_m).map(Arc::new))
    }

    /// A bound that binds nothing within some outlines.
    pub(super) fn unbound(
        &mut self,
        bound: Arc<Surface>,
        outlines: &[Vec<[f64; 2]>],
        way: Way,
    ) -> Arc<Surface> {
        outlines.iter().fold(bound, |bound, outline| {
            let key = UnboundKey { bound: ByIdentity(bound), outline: outline.clone(), way };
            self.unbound.get(key, |key| match bank::unbound(&key.bound.0, &key.outline, way) {
                Some(unbound) => Arc::new(unbound),
                None => Arc::clone(&key.bound.0),
            })
        })
    }

    /// A core and the banks from its edges as one bound of the ground.
    pub(super) fn banked(
        &mut self,
        core: &Arc<Surface>,
        lines: &[BankLine],
        bank: Bank,
        reaches_m: &[Vec<f64>],
    ) -> Result<Arc<Surface>, Problem> {
        let key = BankedKey {
            core: ByIdentity(Arc::clone(core)),
            lines: lines.to_vec(),
            bank,
            reaches_m: reaches_m.to_vec(),
        };
        if let Some(known) = self.banked.find(&key) {
            return known;
        }
        let mut tally = *self.banked.tally();
        let banked = tally.make(|| bank::banked(core, lines, bank, reaches_m, self));
        *self.banked.tally() = tally;
        self.banked.put(key, banked.clone());
        banked
    }
}
