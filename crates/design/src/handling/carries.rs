//! Earth carried within the site: how far, in how many trips, in which time.
//!
//! ```text
//!   truck ──── the way in ────┐
//!                             ├── straight ── dig ── straight ── fill
//!                             └── straight ── heap
//! ```
//! Where a work digs and where it fills are the middles of its own cut and fill. Fill takes from what
//! is nearest: of all pairs of a dig and a fill the nearest first, until the fill is made.

use ground::overlay::{Cell, visit_changed_cells};
use ground::{Lattice, Sum};
use site::earth::Heaped;
use site::works::Trench;
use site::{KeepOutKind, Site, WorkKind};
use takeoff::{Access, Carrier, Truck};
use units::Bank;

use super::trucks::WORKING_SHARE;
use super::{HeapOutcome, Soils, places};
use crate::stretch::cross;
use crate::{Evaluation, WorkOutcome};

/// Something carried within the site.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct CarryOutcome {
    /// What is carried, and where to.
    pub carried: Carried,
    /// How much, in the bank, cubic metres.
    pub bank_m3: f64,
    /// How far it is carried on average, one way, metres.
    pub distance_m: f64,
    /// Loaded trips.
    pub trips: u32,
    /// Hours of one carrier, pauses included.
    pub hours: f64,
}

/// What is carried, and where to.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Carried {
    /// Topsoil to its heaps.
    TopsoilToHeap,
    /// Subsoil from where it is dug to where it is placed.
    ToFill,
    /// Subsoil that is left over, to where trucks are loaded; or what is brought, from there.
    ToTruck,
}

/// How the carrier passes the narrowest place of the way in.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Passing {
    /// Clear width of the narrowest place, metres: of the way, or of a gate on it.
    pub narrowest_m: f64,
    /// Width that the carrier needs, metres.
    pub needed_m: f64,
    /// Length of the way in, metres; zero where none is drawn.
    pub way_m: f64,
}

/// Room to be kept on either side of a carrier, metres; common practice, no source.
const BESIDE_CARRIER_M: f64 = 0.1;

/// Below this nothing is carried, cubic metres.
const NOTHING_M3: f64 = 1e-6;

/// Everything that is carried; none where the carrier's numbers cannot be.
pub(super) fn carries(
    site: &Site,
    evaluation: &Evaluation,
    soils: &Soils,
    heaps: &[HeapOutcome],
) -> Option<Vec<CarryOutcome>> {
    let lattice = evaluation.finished.as_ref()?.lattice();
    let ends = |work: &WorkOutcome| match site.work(work.work).map(|work| &work.kind) {
        Some(WorkKind::Trench(trench)) => Ends::of_trench(trench, work, soils),
        _ => Ends::of(work, lattice, soils),
    };
    let ends: Vec<Ends> = evaluation.works.iter().map(ends).collect();
    let (to_fill, left) = nearest_first(&ends);
    let mut loads = vec![(Carried::ToFill, soils.subsoil, to_fill)];
    if let Some(inner) = site.carry.access_m.last() {
        let way_m = places::length_m(&site.carry.access_m);
        let to_truck = left.iter().map(|(at, m3)| (way_m + places::apart_m(*inner, *at), *m3));
        loads.push((Carried::ToTruck, soils.subsoil, to_truck.collect()));
    }
    let stripped = evaluation.works.iter().map(|work| covered(work, lattice)).collect::<Vec<_>>();
    loads.push((Carried::TopsoilToHeap, soils.topsoil, to_heaps(site, heaps, &stripped, soils)));
    let outcomes = loads.into_iter().map(|(carried, soil, legs)| {
        let bank_m3 = legs.iter().map(|leg| leg.1).collect::<Sum>().value();
        if bank_m3 < NOTHING_M3 {
            return Some(None);
        }
        let distance_m = legs.iter().map(|leg| leg.0 * leg.1).collect::<Sum>().value() / bank_m3;
        let carrier = carrier(site)?;
        let carry =
            takeoff::carry(Bank::from_m3(bank_m3), soil, carrier, distance_m, WORKING_SHARE)
                .ok()?;
        let (trips, hours) = (carry.trips, carry.hours);
        Some(Some(CarryOutcome { carried, bank_m3, distance_m, trips, hours }))
    });
    Some(outcomes.collect::<Option<Vec<_>>>()?.into_iter().flatten().collect())
}

/// How the carrier passes; none where its numbers cannot be.
pub(crate) fn passing(site: &Site) -> Option<Passing> {
    let way = &site.carry.access_m;
    let on_way = |posts: [[f64; 2]; 2]| way.windows(2).any(|pair| cross([pair[0], pair[1]], posts));
    let gates = site.keep_outs.iter().filter_map(|kept| match &kept.kind {
        KeepOutKind::Gate(gate) if on_way([gate.from, gate.to]) => Some(gate.width_m()),
        _ => None,
    });
    let narrowest_m = gates.fold(site.carry.access_width_m, f64::min);
    let access = Access { width_m: narrowest_m, clearance_m: BESIDE_CARRIER_M };
    let passage = access.passage(site.carry.carrier_width_m).ok()?;
    Some(Passing { narrowest_m, needed_m: passage.needed_m, way_m: places::length_m(way) })
}

impl Passing {
    /// Whether the carrier passes with room on either side.
    pub fn passes(&self) -> bool {
        self.narrowest_m >= self.needed_m - 1e-6
    }
}

fn carrier(site: &Site) -> Option<Carrier> {
    let carry = &site.carry;
    Some(Carrier {
        // What a small body holds it also bears.
        body: Truck::new(carry.body_m3, f64::MAX).ok()?,
        width_m: carry.carrier_width_m,
        load_s: 60.0 * carry.load_and_tip_min,
        loaded_m_s: carry.speed_m_s,
        dump_s: 0.0,
        empty_m_s: carry.speed_m_s,
    })
}

/// Where a work digs and where it fills.
struct Ends {
    cut: Option<[f64; 2]>,
    cut_m3: f64,
    fill: Option<[f64; 2]>,
    /// What its fill takes of the bank.
    need_m3: f64,
}

impl Ends {
    fn of(work: &WorkOutcome, lattice: Lattice, soils: &Soils) -> Self {
        let [mut cut, mut fill] = [Moment::default(), Moment::default()];
        visit_changed_cells(&work.before, &work.after, |cell| {
            let down = cell.edges.iter().map(|edge| edge[0].rise_m).sum::<f64>() < 0.0;
            if down { cut.add(cell) } else { fill.add(cell) }
        });
        Self {
            cut: cut.middle_m(lattice),
            cut_m3: work.cut_m3,
            fill: fill.middle_m(lattice),
            need_m3: soils.bank_for_fill_m3(work.fill_m3),
        }
    }
}

impl Ends {
    /// What is dug of a trench lies beside it until it is filled: only what is left over is carried.
    fn of_trench(trench: &Trench, work: &WorkOutcome, soils: &Soils) -> Self {
        let left_m3 = work.cut_m3 - soils.bank_for_fill_m3(work.fill_m3);
        Self {
            cut: places::half_way(&trench.line.points),
            cut_m3: left_m3.max(0.0),
            fill: None,
            need_m3: 0.0,
        }
    }
}

/// Volume and first moments of the change of height.
#[derive(Default)]
struct Moment {
    volume: Sum,
    x: Sum,
    y: Sum,
}

impl Moment {
    /// Adds a cell: over a triangle with the heights h, the moment of x is
    /// A / 12 (x1 h1 + x2 h2 + x3 h3 + (x1 + x2 + x3) (h1 + h2 + h3)).
    fn add(&mut self, cell: &Cell<'_>) {
        let origin = [cell.anchor.x, cell.anchor.y].map(f64::from);
        let Some([apex, _]) = cell.edges.first() else { return };
        for [b, c] in cell.edges {
            let area = 0.5 * ((b.x - apex.x) * (c.y - apex.y) - (b.y - apex.y) * (c.x - apex.x));
            let corners = [apex, b, c];
            let rises: f64 = corners.iter().map(|corner| corner.rise_m).sum();
            let moment = |of: fn(&ground::overlay::Corner) -> f64| {
                let each: f64 = corners.iter().map(|corner| of(corner) * corner.rise_m).sum();
                area / 12.0 * (each + corners.iter().map(|c| of(c)).sum::<f64>() * rises)
            };
            let volume = area / 3.0 * rises;
            self.volume.add(volume);
            self.x.add(moment(|corner| corner.x) + origin[0] * volume);
            self.y.add(moment(|corner| corner.y) + origin[1] * volume);
        }
    }

    fn middle_m(&self, lattice: Lattice) -> Option<[f64; 2]> {
        let volume = self.volume.value();
        (volume != 0.0)
            .then(|| [&self.x, &self.y].map(|sum| sum.value() / volume * lattice.step_m()))
    }
}

/// Distances and amounts of the bank from digs to fills, the nearest pair first; and what is left at
/// each dig, or lacks at each fill.
type Legs = Vec<(f64, f64)>;

fn nearest_first(ends: &[Ends]) -> (Legs, Vec<([f64; 2], f64)>) {
    let mut cuts: Vec<_> = ends.iter().filter_map(|e| Some((e.cut?, e.cut_m3))).collect();
    let mut fills: Vec<_> = ends.iter().filter_map(|e| Some((e.fill?, e.need_m3))).collect();
    let mut pairs: Vec<(f64, usize, usize)> = Vec::new();
    for (i, cut) in cuts.iter().enumerate() {
        let apart = |(j, fill): (usize, &([f64; 2], f64))| (places::apart_m(cut.0, fill.0), i, j);
        pairs.extend(fills.iter().enumerate().map(apart));
    }
    pairs.sort_by(|a, b| a.0.total_cmp(&b.0).then((a.1, a.2).cmp(&(b.1, b.2))));
    let mut legs = Vec::new();
    for (apart_m, i, j) in pairs {
        let taken_m3 = cuts[i].1.min(fills[j].1);
        if taken_m3 > 0.0 {
            legs.push((apart_m, taken_m3));
            cuts[i].1 -= taken_m3;
            fills[j].1 -= taken_m3;
        }
    }
    cuts.extend(fills);
    (legs, cuts.into_iter().filter(|end| end.1 > NOTHING_M3).collect())
}

/// Middle and plan area of what a work covers.
fn covered(work: &WorkOutcome, lattice: Lattice) -> ([f64; 2], f64) {
    let ground = &work.after;
    let mut sums = [Sum::default(), Sum::default(), Sum::default()];
    for face in 0..ground.faces().len() as u32 {
        if ground.faces()[face as usize].tag.owner != work.work.0 {
            continue;
        }
        let corners = ground.corners(face).map(|p| lattice.metres(p));
        let area_m2 = ground::query::face_area_m2(ground, face);
        let third = |k: usize| corners.iter().map(|p| p[k]).sum::<f64>() / 3.0;
        sums[0].add(area_m2);
        sums[1].add(area_m2 * third(0));
        sums[2].add(area_m2 * third(1));
    }
    let [area, x, y] = sums.map(|sum| sum.value());
    if area > 0.0 { ([x / area, y / area], area) } else { ([0.0; 2], 0.0) }
}

/// Topsoil from the works, by the area that each covers, to the heaps in their order.
fn to_heaps(
    site: &Site,
    heaps: &[HeapOutcome],
    covered: &[([f64; 2], f64)],
    soils: &Soils,
) -> Legs {
    let whole_m2: f64 = covered.iter().map(|(_, area_m2)| area_m2).sum();
    if whole_m2 <= 0.0 {
        return Vec::new();
    }
    let mut legs = Vec::new();
    for (pile, heap) in site.stockpiles.iter().zip(heaps) {
        if pile.holds != Heaped::Topsoil {
            continue;
        }
        let bank_m3 = soils.topsoil.bank_of_loose(units::Loose::from_m3(heap.holds_m3)).m3();
        let from = covered
            .iter()
            .map(|(at, area_m2)| (places::apart_m(*at, heap.at_m), bank_m3 * area_m2 / whole_m2));
        legs.extend(from);
    }
    legs
}
