//! Levels of ponds over time: down when the pumps start, up when they stop, down between top-ups.

use std::collections::BTreeSet;

use ground::curve::{self, Closure, Run, signed_area_m2};
use site::works::{Basin, FilterBed, IntakeBay};
use site::{Site, WorkId, WorkKind};
use water::{
    Crest, CrestForm, Stage, StageTable, StartStop, StartUp, filling_time_s, intake_draw,
    start_stop, start_stop_with_bay, start_up, turnover_h, weekly_loss,
};

use super::pond::body_of;
use super::{CrestOutcome, CrestPlace, Known, PumpOutcome, StreamOutcome, Unknown, stream};
use crate::checks::Line;
use crate::{Evaluation, WaterBody, WaterKind};

/// A start is followed in steps of so many seconds, so many of them.
const STEP_S: f64 = 2.0;
const N_STEPS: u32 = 300;
/// Rows of a bay's stage table.
const N_ROWS: u32 = 5;
/// Seconds in an hour.
const HOUR_S: f64 = 3600.0;

/// A pond and its levels.
#[derive(Clone, Debug, PartialEq)]
pub struct PondOutcome {
    /// The basin, the first where several are one water.
    pub work: WorkId,
    /// Level at rest, metres.
    pub rest_m: f64,
    /// Its liner's edge at its lowest, the intended overflow left out, metres.
    pub edge_m: f64,
    /// Elevation of its overflow's crest, where one is planned, metres.
    pub overflow_m: Option<f64>,
    /// What starting and stopping does to it.
    pub levels: Known<PondLevels>,
    /// Hours in which its pumps move as much as it holds.
    pub turnover_h: Known<f64>,
    /// Hours in which the hose or top-up fills it.
    pub filling_h: Known<f64>,
    /// What the air takes of it in a week of high summer, cubic metres.
    pub evaporation_m3_week: Known<f64>,
    /// What splashes away in a week, cubic metres.
    pub splash_m3_week: Known<f64>,
    /// By how much both lower it in a week without a top-up, metres.
    pub fall_m_week: Known<f64>,
    /// Minutes of top-up in a week that make up for both.
    pub top_up_min_week: Known<f64>,
}

/// Levels of a pond at rest, running and stopped.
#[derive(Clone, Debug, PartialEq)]
pub struct PondLevels {
    /// Water held in motion in streams, over lips and in pipes, cubic metres.
    pub in_motion_m3: f64,
    /// Level once all runs, after a start from rest, metres.
    pub running_m: f64,
    /// How far that is below, metres.
    pub drop_m: f64,
    /// Level after a stop, when it had been filled to its level at rest while it ran, metres.
    pub stopped_m: f64,
    /// How far that is above, metres.
    pub rise_m: f64,
    /// Its bays from which pumps draw.
    pub bays: Vec<BayLevels>,
}

/// Levels of a bay that stands apart behind its sill.
#[derive(Clone, Debug, PartialEq)]
pub struct BayLevels {
    /// The bay.
    pub work: WorkId,
    /// What is drawn from it, cubic metres a second.
    pub draw_m3_s: f64,
    /// Level once all runs, metres; none where its sill passes less than is drawn.
    pub running_m: Known<f64>,
    /// The lowest level in the first minutes after a start, metres.
    pub lowest_m: Known<f64>,
    /// What the pump could not draw in these minutes, because the bay was empty, cubic metres.
    pub short_m3: Known<f64>,
    /// Velocity over the sill, metres a second.
    pub over_sill_m_s: Known<f64>,
}

/// The ponds of a site without pumps.
pub(super) fn at_rest(site: &Site, evaluation: &Evaluation) -> Vec<PondOutcome> {
    ponds(site, evaluation, &[], &[])
}

/// Every pond.
pub(super) fn ponds(
    site: &Site,
    evaluation: &Evaluation,
    pumps: &[PumpOutcome],
    streams: &[StreamOutcome],
) -> Vec<PondOutcome> {
    let bodies = evaluation.water.iter().filter(|body| body.kind == WaterKind::Basin);
    let outcome = |body: &WaterBody| {
        let basin = basin_of(site, body.work)?;
        let pond = Pond { site, evaluation, body, pumps, streams };
        Some(pond.outcome(basin))
    };
    bodies.filter_map(outcome).collect()
}

/// Levels of the waters that pumps draw from or feed, as they run, by works.
pub(super) fn running_levels(
    site: &Site,
    evaluation: &Evaluation,
    pumps: &[PumpOutcome],
    streams: &[StreamOutcome],
) -> Vec<(WorkId, f64)> {
    let mut levels = Vec::new();
    for body in evaluation.water.iter().filter(|body| body.kind == WaterKind::Basin) {
        let pond = Pond { site, evaluation, body, pumps, streams };
        let Ok(found) = pond.start_stop() else { continue };
        for work in site.works.iter().filter(|work| work.visible) {
            let is_own =
                || body_of(site, evaluation, work.id).is_some_and(|other| other.work == body.work);
            match &work.kind {
                WorkKind::Basin(_) if is_own() => levels.push((work.id, found.running_m)),
                WorkKind::IntakeBay(bay) if is_own() => {
                    let level_m = pond.bay(work.id, bay, &found, At::Steady).running_m;
                    levels.push((work.id, level_m.unwrap_or(found.running_m)));
                }
                _ => {}
            }
        }
    }
    levels
}

/// How much of a bay is reckoned.
#[derive(Clone, Copy, PartialEq)]
enum At {
    /// Where it comes to rest.
    Steady,
    /// That and the first minutes.
    Start,
}

struct Pond<'s> {
    site: &'s Site,
    evaluation: &'s Evaluation,
    body: &'s WaterBody,
    pumps: &'s [PumpOutcome],
    streams: &'s [StreamOutcome],
}

impl Pond<'_> {
    fn outcome(&self, basin: &Basin) -> PondOutcome {
        let levels = self.start_stop().map(|found| self.levels(&found));
        let moved = self.moved_m3_s();
        let volume_m3 = self.body.volume_m3;
        let turnover_h = moved
            .clone()
            .and_then(|moved| turnover_h(volume_m3, moved, 1.0).map_err(Unknown::because));
        let circulation = &self.site.circulation;
        let supply = circulation.supply_l_min;
        let supply = supply.ok_or(Unknown("what the hose or top-up gives is not given".into()));
        let supply_m3_s = supply.map(|l_min| l_min / 60_000.0);
        let filling_h = supply_m3_s.clone().and_then(|supply| {
            let filled = filling_time_s(volume_m3, supply, 0.0).map_err(Unknown::because)?;
            Ok(filled / HOUR_S)
        });
        let air = self.site.weather.evaporation_m_day;
        let air = air.ok_or(Unknown("what evaporates in a day is not given".into()));
        let splash = circulation.splash_loss;
        let splash = splash.ok_or(Unknown("the share that splashes away is not given".into()));
        let area_m2 = self.body.area_m2;
        let lost = |air: Known<f64>, splash: Known<f64>, mean: Known<f64>| {
            weekly_loss(area_m2, air?, mean?, splash?).map_err(Unknown::because)
        };
        let mean = self.mean_m3_s();
        let both = lost(air.clone(), splash.clone(), mean.clone());
        PondOutcome {
            work: self.body.work,
            rest_m: self.body.level_m,
            edge_m: edge_of(basin),
            overflow_m: basin.overflow_m,
            levels,
            turnover_h,
            filling_h,
            evaporation_m3_week: lost(air, Ok(0.0), Ok(0.0)).map(|lost| lost.evaporation_m3),
            splash_m3_week: lost(Ok(0.0), splash, mean).map(|lost| lost.splash_m3),
            fall_m_week: both.clone().map(|lost| lost.fall_m),
            top_up_min_week: both
                .and_then(|lost| lost.top_up_min(supply_m3_s?).map_err(Unknown::because)),
        }
    }

    /// The pumps that draw from this water.
    fn drawing(&self) -> impl Iterator<Item = &PumpOutcome> {
        let is_own = |pump: &&PumpOutcome| {
            let from = pump.draws_from.and_then(|id| body_of(self.site, self.evaluation, id));
            from.is_some_and(|body| body.work == self.body.work)
        };
        self.pumps.iter().filter(is_own)
    }

    fn moved_m3_s(&self) -> Known<f64> {
        let mut moved = None;
        for pump in self.drawing() {
            let duty = pump.duty.as_ref().map_err(Clone::clone)?;
            moved = Some(moved.unwrap_or(0.0) + duty.flow_m3_s);
        }
        moved.ok_or(Unknown("no pump is planned that draws from it".into()))
    }

    /// What runs over falls in the mean of a day.
    fn mean_m3_s(&self) -> Known<f64> {
        let mut mean = 0.0;
        for (pump, planned) in self.pumps.iter().zip(&self.site.circulation.pumps) {
            let hours = planned.hours_per_day;
            let hours = hours.ok_or(Unknown("the hours that a pump runs are not given".into()))?;
            mean += pump.duty.as_ref().map_err(Clone::clone)?.flow_m3_s * hours / 24.0;
        }
        Ok(mean)
    }

    fn table(&self) -> Known<StageTable> {
        let row = |&[level_m, area_m2, volume_m3]: &[f64; 3]| Stage { level_m, area_m2, volume_m3 };
        let rows = rising(self.body.stages.iter().map(row));
        StageTable::new(rows).map_err(Unknown::because)
    }

    fn start_stop(&self) -> Known<StartStop> {
        self.moved_m3_s()?;
        let in_motion_m3 = self.in_motion_m3()?;
        start_stop(&self.table()?, self.body.level_m, in_motion_m3).map_err(Unknown::because)
    }

    /// Water that leaves the pond when its pumps start, and comes back when they stop.
    fn in_motion_m3(&self) -> Known<f64> {
        let mut in_motion_m3 = 0.0;
        let mut counted = BTreeSet::new();
        for pump in self.drawing() {
            let duty = pump.duty.as_ref().map_err(Clone::clone)?;
            for line in &duty.lines {
                in_motion_m3 += line.runs_back_m3;
                if counted.insert(line.feeds) {
                    in_motion_m3 += self.beyond_m3(line.feeds)?;
                }
            }
        }
        Ok(in_motion_m3)
    }

    /// Water in motion beyond the end of a line.
    fn beyond_m3(&self, fed: WorkId) -> Known<f64> {
        let Some(work) = self.site.work(fed) else { return Ok(0.0) };
        match &work.kind {
            WorkKind::Stream(_) => self.in_stream_m3(fed),
            WorkKind::FilterBed(bed) => {
                let mut beyond_m3 = self.over_lip_m3(fed, bed)?;
                let streams = stream::from_filter(self.site, fed).map(|(id, _)| id);
                for stream in streams.filter(|id| !self.is_dry(*id)) {
                    beyond_m3 += self.in_stream_m3(stream)?;
                }
                Ok(beyond_m3)
            }
            _ => Ok(0.0),
        }
    }

    /// Whether a stream gets nothing of its filter's water, because its head stands too high.
    fn is_dry(&self, id: WorkId) -> bool {
        let stream = self.streams.iter().find(|outcome| outcome.work == id);
        stream.is_some_and(|outcome| outcome.flow_m3_s == Err(stream::dry()))
    }

    fn in_stream_m3(&self, id: WorkId) -> Known<f64> {
        let stream = self.streams.iter().find(|outcome| outcome.work == id);
        let stream = stream.ok_or(Unknown("the stream that a pump feeds is not built".into()))?;
        let into = match &self.site.work(id).map(|work| &work.kind) {
            Some(WorkKind::Stream(stream)) => stream.into,
            _ => None,
        };
        let into = into.and_then(|into| body_of(self.site, self.evaluation, into));
        if into.is_none_or(|body| body.work != self.body.work) {
            return Err(Unknown(
                "its water does not run back into the pond it is drawn from".into(),
            ));
        }
        Ok(stream.water.as_ref().map_err(Clone::clone)?.in_motion_m3)
    }

    /// Water that stands higher behind a lip while it runs.
    fn over_lip_m3(&self, id: WorkId, bed: &FilterBed) -> Known<f64> {
        let ring = Line::new(&bed.outline, Closure::Closed);
        let ring = ring.ok_or(Unknown("a filter's outline has no area".into()))?;
        let crests = self.streams.iter().filter_map(|outcome| outcome.crests.as_ref().ok());
        let is_own = |crest: &&CrestOutcome| match crest.crest {
            CrestPlace::Lip(filter) => filter == id,
            CrestPlace::Head(own) => stream::from_filter(self.site, id).any(|(s, _)| s == own),
            CrestPlace::Fall(..) => false,
        };
        // All of its crests stand in one water.
        let head_m = match crests.flatten().find(is_own) {
            Some(crest) => (crest.at_m[2] + crest.head_m - bed.lip.elevation_m).max(0.0),
            None => self.free_head_m(id, bed)?,
        };
        Ok(head_m * signed_area_m2(ring.path.points()).abs())
    }

    /// Head over a lip from which no stream runs.
    fn free_head_m(&self, id: WorkId, bed: &FilterBed) -> Known<f64> {
        let duties = self.pumps.iter().filter_map(|pump| pump.duty.as_ref().ok());
        let lines = duties.flat_map(|duty| &duty.lines).filter(|line| line.feeds == id);
        let flow_m3_s: f64 = lines.map(|line| line.flow_m3_s).sum();
        if flow_m3_s <= 0.0 {
            return Ok(0.0);
        }
        let level_m = super::lip_crest(bed)?.level_for_m(flow_m3_s, None);
        Ok(level_m.map_err(Unknown::because)? - bed.lip.elevation_m)
    }

    fn levels(&self, found: &StartStop) -> PondLevels {
        let drawn: BTreeSet<WorkId> = self.drawing().filter_map(|pump| pump.draws_from).collect();
        let bays = drawn.into_iter().filter_map(|id| match &self.site.work(id)?.kind {
            WorkKind::IntakeBay(bay) => Some(self.bay(id, bay, found, At::Start)),
            _ => None,
        });
        PondLevels {
            in_motion_m3: self.in_motion_m3().unwrap_or(f64::NAN),
            running_m: found.running_m,
            drop_m: found.drop_m,
            stopped_m: found.stopped_m,
            rise_m: found.rise_m,
            bays: bays.collect(),
        }
    }

    fn bay(&self, id: WorkId, bay: &IntakeBay, found: &StartStop, at: At) -> BayLevels {
        let pumps = self.pumps.iter().filter(|pump| pump.draws_from == Some(id));
        let duties = pumps.filter_map(|pump| pump.duty.as_ref().ok());
        let draw_m3_s: f64 = duties.map(|duty| duty.flow_m3_s).sum();
        if draw_m3_s <= 0.0 {
            let why = || Err(Unknown("nothing is drawn from it".into()));
            let running_m = Ok(found.running_m);
            return BayLevels {
                work: id,
                draw_m3_s,
                running_m,
                lowest_m: why(),
                short_m3: why(),
                over_sill_m_s: why(),
            };
        }
        let start = self.bay_start(bay, draw_m3_s);
        let ask = |ask: fn(&BayStart) -> Known<f64>| ask(start.as_ref().map_err(Clone::clone)?);
        let running_m = ask(BayStart::running_m);
        let first = match at {
            At::Start => start.as_ref().map_err(Clone::clone).and_then(BayStart::first_minutes),
            At::Steady => Err(Unknown("the start was not asked for".into())),
        };
        let over_sill = |start: &BayStart| {
            let levels_m = (found.running_m, running_m.clone()?);
            let draw = intake_draw(&start.sill, levels_m, draw_m3_s).map_err(Unknown::because)?;
            Ok(draw.over_sill_m_s)
        };
        let over_sill_m_s = start.as_ref().map_err(Clone::clone).and_then(over_sill);
        BayLevels {
            work: id,
            draw_m3_s,
            running_m,
            lowest_m: first.clone().map(|(lowest_m, _)| lowest_m),
            short_m3: first.map(|(_, short_m3)| short_m3),
            over_sill_m_s,
        }
    }

    fn bay_start(&self, bay: &IntakeBay, flow_m3_s: f64) -> Known<BayStart> {
        let sill_m = bay.water_level_m - bay.sill.depth_m;
        let sill = Crest::level(sill_m, bay.sill.width_m, CrestForm::Broad);
        let table = self.bay_table(bay)?;
        Ok(BayStart {
            pond: self.pond_table(&table)?,
            bay: table,
            sill: sill.map_err(Unknown::because)?,
            level_m: self.body.level_m,
            flow_m3_s,
            in_motion_m3: self.in_motion_m3()?,
        })
    }

    /// Area and volume of a bay by level, its sides as drawn.
    fn bay_table(&self, bay: &IntakeBay) -> Known<StageTable> {
        let finished = self.evaluation.finished.as_ref();
        let lattice = finished.ok_or(Unknown("the survey makes no ground".into()))?.lattice();
        let ring = Line::new(&bay.outline, Closure::Closed);
        let ring = ring.ok_or(Unknown("the bay's outline has no area".into()))?;
        let (floor_m, edge_m) =
            (bay.water_level_m - bay.depth_m, bay.water_level_m + bay.freeboard_m);
        let mut rows: Vec<Stage> = Vec::new();
        for i in 0..N_ROWS {
            let share = f64::from(i) / f64::from(N_ROWS - 1);
            let level_m = floor_m + share * (edge_m - floor_m);
            let run_m = bay.side * (edge_m - level_m);
            let rings = curve::inset(lattice, ring.path.points(), Run::Even(run_m));
            let rings = rings.map_err(Unknown::because)?;
            let area_m2: f64 = rings.iter().map(|ring| signed_area_m2(&ring.points)).sum();
            let below = rows.last().map_or(0.0, |below| {
                below.volume_m3 + 0.5 * (below.area_m2 + area_m2) * (level_m - below.level_m)
            });
            rows.push(Stage { level_m, area_m2: area_m2.max(0.0), volume_m3: below });
        }
        StageTable::new(rising(rows)).map_err(Unknown::because)
    }

    /// The pond without a bay.
    fn pond_table(&self, bay: &StageTable) -> Known<StageTable> {
        let row = |&[level_m, area_m2, volume_m3]: &[f64; 3]| Stage {
            level_m,
            area_m2: (area_m2 - bay.area_m2(level_m)).max(0.0),
            volume_m3: (volume_m3 - bay.volume_m3(level_m)).max(0.0),
        };
        StageTable::new(rising(self.body.stages.iter().map(row))).map_err(Unknown::because)
    }
}

/// A pond and its bay before a start.
struct BayStart {
    pond: StageTable,
    bay: StageTable,
    sill: Crest,
    level_m: f64,
    flow_m3_s: f64,
    in_motion_m3: f64,
}

impl BayStart {
    fn start(&self) -> StartUp<'_> {
        StartUp {
            pond: &self.pond,
            bay: &self.bay,
            sill: &self.sill,
            level_m: self.level_m,
            flow_m3_s: self.flow_m3_s,
            in_motion_m3: self.in_motion_m3,
        }
    }

    /// Level at which the bay comes to rest while it is drawn from.
    fn running_m(&self) -> Known<f64> {
        let found = start_stop_with_bay(self.start()).map_err(Unknown::because)?;
        Ok(found.bay_running_m)
    }

    /// The lowest level of the first minutes, and what the pump misses in them.
    fn first_minutes(&self) -> Known<(f64, f64)> {
        let moments = start_up(self.start(), STEP_S, N_STEPS).map_err(Unknown::because)?;
        let lowest_m = moments.iter().map(|moment| moment.bay_m).fold(self.level_m, f64::min);
        Ok((lowest_m, moments.last().map_or(0.0, |moment| moment.short_m3)))
    }
}

/// Rows that stand above the one before with more volume.
fn rising(rows: impl IntoIterator<Item = Stage>) -> Vec<Stage> {
    let mut kept: Vec<Stage> = Vec::new();
    for row in rows {
        let rises = kept.last().is_none_or(|last| {
            row.level_m > last.level_m + 1.0e-6 && row.volume_m3 > last.volume_m3 + 1.0e-9
        });
        if rises {
            kept.push(row);
        }
    }
    kept
}

fn basin_of(site: &Site, id: WorkId) -> Option<&Basin> {
    match &site.work(id)?.kind {
        WorkKind::Basin(basin) => Some(basin),
        _ => None,
    }
}

/// The lowest of a basin's liner's edge, the point nearest to its overflow left out.
pub(super) fn edge_of(basin: &Basin) -> f64 {
    let level_m = basin.water_level_m + basin.freeboard_m;
    if basin.liner_edge_m.is_empty() {
        return level_m;
    }
    let points = basin.outline.points.iter().zip(&basin.liner_edge_m);
    let away_m = |at: &[f64; 2], from: [f64; 2]| libm::hypot(at[0] - from[0], at[1] - from[1]);
    let at_overflow = basin.overflow.and_then(|from| {
        let nearest = |a: &(usize, f64), b: &(usize, f64)| a.1.total_cmp(&b.1);
        let places = points.clone().enumerate().map(|(i, (at, _))| (i, away_m(at, from)));
        places.min_by(nearest).map(|nearest| nearest.0)
    });
    let others = points.enumerate().filter(|(i, _)| Some(*i) != at_overflow);
    others.map(|(_, (_, edge_m))| *edge_m).fold(f64::INFINITY, f64::min)
}
