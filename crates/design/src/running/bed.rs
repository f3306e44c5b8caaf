//! A stream's bed as the formulas take it: reaches between crests, arms around rocks.

use ground::curve::{Closure, Path};
use site::works::{FilterBed, Island, Stream, StreamBed};
use site::{Site, Work, WorkId, WorkKind};
use water::{Crest, CrestForm, Reach, Roughness, Section, Station, TABULATED_BEDS, TabulatedBed};

use super::{Known, Unknown};
use crate::Evaluation;
use crate::checks::Line;
use crate::works::{Knot, StreamLine};

/// Of gravel as it is sold, 84 % is smaller than this many times its median; common practice.
const D84_OF_MEDIAN: f64 = 1.5;
/// A sill's step up is drawn over this length, metres.
const STEP_RUN_M: f64 = 0.02;
/// A rock leaves at least this width on a side for the water to run there, metres.
const LEAST_ARM_M: f64 = 0.02;

/// A stream's line and bed, whatever runs in it.
pub(super) struct Bed {
    pub(super) work: WorkId,
    pub(super) path: Path,
    /// The bed from head to mouth, by places where anything bends; two at one distance are a step.
    pub(super) knots: Vec<Knot>,
    pub(super) roughness: Known<Roughness>,
    /// Rocks that part the water, from head to mouth.
    pub(super) rocks: Vec<Rock>,
}

/// A rock in a stream.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Rock {
    /// Which of the stream's islands it is.
    pub(super) island: usize,
    /// Distances from the head between which it parts the water, metres.
    pub(super) ends_m: [f64; 2],
    /// Its outline: distance from the head, and offset to the left, metres.
    outline: Vec<[f64; 2]>,
}

/// The beds of all visible streams.
pub(super) fn beds(site: &Site, evaluation: &Evaluation) -> Vec<Known<Bed>> {
    // Where there is no ground, no bed is built in it.
    let built = evaluation.finished.is_some();
    let streams = site.works.iter().filter(|work| work.visible);
    let streams = streams.filter_map(|work| match &work.kind {
        WorkKind::Stream(stream) => Some((work, stream)),
        _ => None,
    });
    streams.map(|(work, stream)| bed(work, stream, built)).collect()
}

fn bed(work: &Work, stream: &Stream, built: bool) -> Known<Bed> {
    if !built {
        return Err(Unknown("the survey makes no ground".into()));
    }
    let line = Line::new(&stream.line, Closure::Open);
    let path = line.ok_or_else(|| Unknown(format!("{} has no line", work.name)))?.path;
    let line = StreamLine::new(stream, &path).map_err(Unknown::because)?;
    let roughness = roughness(stream);
    let mut rocks: Vec<Rock> = (stream.islands.iter().enumerate())
        .filter_map(|(island, drawn)| rock(island, drawn, &path))
        .collect();
    rocks.sort_by(|a, b| a.ends_m[0].total_cmp(&b.ends_m[0]));
    Ok(Bed { work: work.id, path, knots: line.knots(), roughness, rocks })
}

/// How rough a bed is: by the size of its stones, or without that by the table.
fn roughness(stream: &Stream) -> Known<Roughness> {
    let by = match (stream.bed_stone_m, bed_row(stream)) {
        (Some(median_m), _) => Roughness::variable_power(D84_OF_MEDIAN * median_m),
        (None, Some(TabulatedBed { n: [_, normal, _], .. })) => Roughness::manning(normal),
        (None, None) => {
            let why = "neither the size of its bed's stones nor a bed of the table is given";
            return Err(Unknown(why.into()));
        }
    };
    by.map_err(Unknown::because)
}

/// The row of the table whose normal n tells how rough a stream's bed is; none where the size of its
/// stones tells it, or nothing does.
pub fn bed_row(stream: &Stream) -> Option<TabulatedBed> {
    let [gravel, cobbles, clean, winding, liner, mortared, concrete] = TABULATED_BEDS;
    let row = match stream.bed? {
        StreamBed::GravelAndCobbles => gravel,
        StreamBed::CobblesAndBoulders => cobbles,
        StreamBed::CleanAndStraight => clean,
        StreamBed::WindingWithStones => winding,
        StreamBed::BareLiner => liner,
        StreamBed::MortaredStone => mortared,
        StreamBed::SmoothConcrete => concrete,
    };
    stream.bed_stone_m.is_none().then_some(row)
}

/// A rock along the line; none where its outline is none.
fn rock(island: usize, drawn: &Island, path: &Path) -> Option<Rock> {
    let ring = Line::new(&drawn.outline, Closure::Closed)?;
    let along = |&at: &[f64; 2]| {
        let nearest = path.nearest(at);
        let [tx, ty] = path.at_station(nearest.station_m).tangent;
        let [dx, dy] = [at[0] - nearest.at[0], at[1] - nearest.at[1]];
        [nearest.station_m, tx * dy - ty * dx]
    };
    let outline: Vec<[f64; 2]> = ring.path.points().iter().map(along).collect();
    let low = outline.iter().map(|p| p[0]).fold(f64::INFINITY, f64::min);
    let high = outline.iter().map(|p| p[0]).fold(f64::NEG_INFINITY, f64::max);
    (high > low).then_some(Rock { island, ends_m: [low, high], outline })
}

impl Rock {
    /// Offsets of its right and left side at a distance; none where it does not stand there.
    fn sides_m(&self, along_m: f64) -> Option<[f64; 2]> {
        let n = self.outline.len();
        let crossing = |i: usize| {
            let [a, b] = [self.outline[i], self.outline[(i + 1) % n]];
            let share = (along_m - a[0]) / (b[0] - a[0]);
            (0.0..=1.0).contains(&share).then(|| a[1] + share * (b[1] - a[1]))
        };
        let offsets: Vec<f64> = (0..n).filter_map(crossing).collect();
        let least = offsets.iter().copied().reduce(f64::min)?;
        Some([least, offsets.iter().copied().fold(least, f64::max)])
    }
}

/// Which part of the bed the water has.
#[derive(Clone, Copy, Debug)]
pub(super) enum Across<'r> {
    Whole,
    LeftOf(&'r Rock),
    RightOf(&'r Rock),
}

impl Bed {
    /// Its head as a crest, where it begins at an opening in a filter's rim: of stone, as wide as the bed.
    pub(super) fn head_crest(&self) -> Known<Crest> {
        let head = self.knots.first().ok_or(Unknown("it has no bed".into()))?;
        let crest = Crest::level(head.running_m, head.bed_width_m, CrestForm::Broad);
        crest.map_err(Unknown::because)
    }

    /// The bed between two distances as a reach.
    pub(super) fn reach(&self, [from_m, to_m]: [f64; 2], across: Across<'_>) -> Known<Reach> {
        let roughness = self.roughness.clone()?;
        let mut stations: Vec<Station> = Vec::new();
        for knot in self.between(from_m, to_m) {
            let station = station(&knot, roughness, across)?;
            part_from_last(&mut stations, station.along_m);
            stations.push(station);
        }
        Reach::new(stations).map_err(Unknown::because)
    }

    /// The knots between two distances, with one at each of them.
    fn between(&self, from_m: f64, to_m: f64) -> Vec<Knot> {
        let inner = self.knots.iter().filter(|knot| knot.along_m > from_m && knot.along_m < to_m);
        let first = self.at(from_m, Side::Below);
        let last = self.at(to_m, Side::Above);
        first.into_iter().chain(inner.copied()).chain(last).collect()
    }

    /// The bed at a distance: where it steps, below or above the step.
    fn at(&self, along_m: f64, side: Side) -> Option<Knot> {
        let after = self.knots.partition_point(|knot| match side {
            Side::Below => knot.along_m <= along_m,
            Side::Above => knot.along_m < along_m,
        });
        let (before, after) = (after.checked_sub(1).map(|i| self.knots[i]), self.knots.get(after));
        match (before, after) {
            (Some(a), Some(b)) => Some(a.toward(b, along_m)),
            (a, b) => a.or(b.copied()),
        }
    }
}

/// Where a place stands at the distance of the one before it, the bed steps up there: the foot of the
/// step is moved a little upstream.
fn part_from_last(stations: &mut Vec<Station>, along_m: f64) {
    let n = stations.len();
    if n == 0 || stations[n - 1].along_m < along_m {
        return;
    }
    match n.checked_sub(2).map(|i| stations[i].along_m) {
        Some(before_m) => {
            stations[n - 1].along_m = (along_m - STEP_RUN_M).max(0.5 * (before_m + along_m));
        }
        None => stations.clear(),
    }
}

/// Which side of a step is meant.
#[derive(Clone, Copy)]
enum Side {
    Above,
    Below,
}

fn station(knot: &Knot, roughness: Roughness, across: Across<'_>) -> Known<Station> {
    let edges_m = knot.edge_m.map(|edge| knot.running_m + edge);
    let half_m = 0.5 * knot.bed_width_m;
    let (width_m, sides) = match across {
        Across::Whole => (knot.bed_width_m, [knot.side; 2]),
        Across::LeftOf(rock) => {
            let left_m = rock.sides_m(knot.along_m).map_or(0.0, |sides| sides[1]);
            ((half_m - left_m).max(LEAST_ARM_M), [knot.side, 0.0])
        }
        Across::RightOf(rock) => {
            let right_m = rock.sides_m(knot.along_m).map_or(0.0, |sides| sides[0]);
            ((half_m + right_m).max(LEAST_ARM_M), [0.0, knot.side])
        }
    };
    let section = Section::new(width_m, sides).map_err(Unknown::because)?;
    Ok(Station { along_m: knot.along_m, invert_m: knot.bed_m, section, roughness, edges_m })
}

/// A filter's lip: a level crest of stone.
pub(crate) fn lip_crest(bed: &FilterBed) -> Known<Crest> {
    let lip = &bed.lip;
    Crest::level(lip.elevation_m, lip.width_m, CrestForm::Broad).map_err(Unknown::because)
}
