//! Running streams: from the mouth up through reaches, crests and the arms around rocks.

use std::collections::BTreeMap;

use site::works::{Fall, FilterBed, Stream};
use site::{Limits, Site, WorkId, WorkKind};
use water::{
    BedStone, COMMON_SHIELDS, COMMON_STEP_M, EdgeAllowance, Face, FallCrest, Piece, Point, Profile,
    Reach, RunningFall, Trust, Turbulence, part_stream, stone_hold, width_for_brink_m,
};

use super::bed::{Across, Bed, Rock};
use super::crest::{self, CrestOutcome, CrestPlace, Stands};
use super::{Known, Levels, Unknown, edges, lip_crest};

/// Stretches shorter than this are none, metres.
const LEAST_M: f64 = 0.01;

/// A stream and what runs in it.
#[derive(Clone, Debug, PartialEq)]
pub struct StreamOutcome {
    /// The stream.
    pub work: WorkId,
    /// What comes to its head, cubic metres a second.
    pub flow_m3_s: Known<f64>,
    /// The water over its filter's lip and over its falls, from the head down.
    pub crests: Known<Vec<CrestOutcome>>,
    /// The water along it.
    pub water: Known<StreamWater>,
}

/// Water along a stream.
#[derive(Clone, Debug, PartialEq)]
pub struct StreamWater {
    /// Level of still water before its head, metres.
    pub head_m: f64,
    /// Water that it holds beyond what stays when it stops, cubic metres.
    pub in_motion_m3: f64,
    /// Water that stays in its pools when it stops, cubic metres.
    pub still_m3: f64,
    /// Places along it, from head to mouth; two at one distance where it falls or jumps, and those of
    /// both arms around a rock.
    pub points: Vec<RunPoint>,
    /// How its rocks part it.
    pub arms: Vec<ArmsOutcome>,
}

/// Running water at one place of a stream.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct RunPoint {
    /// Distance from the head along the line, metres.
    pub along_m: f64,
    /// On the stream's line, local metres.
    pub at_m: [f64; 2],
    /// Elevation of the bed, metres.
    pub bed_m: f64,
    /// Elevation of the water, metres.
    pub level_m: f64,
    /// Mean velocity, metres a second.
    pub velocity_m_s: f64,
    /// Froude number: below 1 slow, above 1 fast.
    pub froude: f64,
    /// How far the liner's edge stands above the water, left and right, metres; below zero the water
    /// runs over it.
    pub edge_above_water_m: [f64; 2],
    /// Velocity as a share of that at which the bed's stones move, by Isbash; above 1 they do.
    pub of_stones_velocity: Option<f64>,
    /// An estimate where bed or roughness is beyond what was measured.
    pub trust: Trust,
}

/// A rock that parts a stream.
#[derive(Clone, Debug, PartialEq)]
pub struct ArmsOutcome {
    /// Which of the stream's islands, counted from 0.
    pub island: usize,
    /// Flow on its left and right looking downstream, cubic metres a second.
    pub flows_m3_s: [f64; 2],
    /// Width of the bed on its left and right where it is narrowest, metres.
    pub widths_m: [f64; 2],
}

/// The only stream that runs from a filter, and how many do.
pub(super) fn from_filter(site: &Site, filter: WorkId) -> (Option<WorkId>, usize) {
    let from = |stream: &Stream| stream.from == Some(filter);
    let mut streams = drawn(site).filter(|(_, stream)| from(stream)).map(|(id, _)| id);
    let first = streams.next();
    let n = usize::from(first.is_some()) + streams.count();
    (first.filter(|_| n == 1), n)
}

/// The stream that a line feeds, straight or through a filter.
pub(super) fn fed_by(site: &Site, fed: WorkId) -> Option<&Stream> {
    let id = match &site.work(fed)?.kind {
        WorkKind::FilterBed(_) => from_filter(site, fed).0?,
        _ => fed,
    };
    drawn(site).find(|(own, _)| *own == id).map(|(_, stream)| stream)
}

/// Every visible stream as it runs.
pub(super) fn streams(
    site: &Site,
    beds: &[Known<Bed>],
    flows: &BTreeMap<WorkId, f64>,
    levels: &Levels,
) -> Vec<StreamOutcome> {
    let outcome = |((id, stream), bed): ((WorkId, &Stream), &Known<Bed>)| {
        let flow_m3_s = flow(site, id, stream, flows);
        let run = flow_m3_s.clone().and_then(|flow_m3_s| {
            let bed = bed.as_ref().map_err(Clone::clone)?;
            let filter = stream.from.and_then(|from| filter(site, from));
            Ok((Run { site, stream, bed, filter, flow_m3_s }, bed))
        });
        let mouth_m = stream.into.and_then(|into| levels.waters_m.get(&into).copied());
        let along = run.as_ref().map_err(Clone::clone).and_then(|(run, _)| run.whole(mouth_m));
        let crests = match (&along, &run) {
            (Ok((_, crests)), _) => Ok(crests.clone()),
            (Err(_), Ok((run, _))) => run.crests_alone(),
            (_, Err(why)) => Err(why.clone()),
        };
        let crests = crests.map(|crests| wanted(stream, crests));
        StreamOutcome { work: id, flow_m3_s, crests, water: along.map(|(water, _)| water) }
    };
    drawn(site).zip(beds).map(outcome).collect()
}

/// Crests with the widths at which their water would be as thick as is wanted.
fn wanted(stream: &Stream, mut crests: Vec<CrestOutcome>) -> Vec<CrestOutcome> {
    for crest in &mut crests {
        let width = |sheet_m| width_for_brink_m(crest.flow_m3_s, sheet_m).ok();
        crest.width_wanted_m = stream.sheet_m.and_then(width);
    }
    crests
}

fn drawn(site: &Site) -> impl Iterator<Item = (WorkId, &Stream)> {
    site.works.iter().filter(|work| work.visible).filter_map(|work| match &work.kind {
        WorkKind::Stream(stream) => Some((work.id, stream)),
        _ => None,
    })
}

fn filter(site: &Site, id: WorkId) -> Option<(WorkId, &FilterBed)> {
    match &site.work(id).filter(|work| work.visible)?.kind {
        WorkKind::FilterBed(bed) => Some((id, bed)),
        _ => None,
    }
}

/// What comes to a stream's head.
fn flow(site: &Site, id: WorkId, stream: &Stream, flows: &BTreeMap<WorkId, f64>) -> Known<f64> {
    let own = flows.get(&id).copied();
    let through = match stream.from {
        Some(from) if from_filter(site, from).1 > 1 => {
            return Err(Unknown("more than one stream runs from its filter's lip".into()));
        }
        Some(from) => flows.get(&from).copied(),
        None => None,
    };
    match (own, through) {
        (None, None) => Err(Unknown("no pump is known to feed it".into())),
        (own, through) => match own.unwrap_or(0.0) + through.unwrap_or(0.0) {
            flow_m3_s if flow_m3_s > 0.0 => Ok(flow_m3_s),
            _ => Err(Unknown("no water comes to it".into())),
        },
    }
}

/// A stream that is to run.
struct Run<'s> {
    site: &'s Site,
    stream: &'s Stream,
    bed: &'s Bed,
    filter: Option<(WorkId, &'s FilterBed)>,
    flow_m3_s: f64,
}

/// A stretch of the stream, from its head down.
enum Stretch<'r> {
    /// Reaches, each with the fall that ends it, if one does.
    Plain(Vec<([f64; 2], Option<usize>)>),
    /// Water on both sides of a rock.
    Arms(&'r Rock),
}

/// What was found so far, from the mouth up.
#[derive(Default)]
struct Found {
    points: Vec<Vec<RunPoint>>,
    crests: Vec<CrestOutcome>,
    arms: Vec<ArmsOutcome>,
    running_m3: f64,
    still_m3: f64,
    /// Level of running water below, metres.
    level_m: Option<f64>,
    /// Level of the water that stands below when nothing runs, metres.
    still_m: Option<f64>,
}

impl Run<'_> {
    fn limits(&self) -> &Limits {
        &self.site.limits
    }

    fn running(&self, mouth_m: Option<f64>) -> water::Running {
        let (flow_m3_s, allowance) = (self.flow_m3_s, edges(self.site));
        water::Running { flow_m3_s, mouth_m, allowance, step_m: COMMON_STEP_M }
    }

    fn length_m(&self) -> f64 {
        self.bed.path.length_m()
    }

    /// Falls by their distances, those beyond the line's ends at them.
    fn falls(&self) -> Vec<(usize, f64)> {
        let length_m = self.length_m();
        let along = |(i, fall): (usize, &Fall)| (i, fall.along_m.clamp(0.0, length_m));
        let mut falls: Vec<(usize, f64)> =
            self.stream.falls.iter().enumerate().map(along).collect();
        falls.sort_by(|a, b| a.1.total_cmp(&b.1));
        falls.dedup_by(|b, a| b.1 - a.1 < LEAST_M);
        falls
    }

    /// The stream cut at its falls and rocks.
    fn stretches(&self) -> Vec<Stretch<'_>> {
        let mut stretches = Vec::new();
        let mut plain = Vec::new();
        let mut from_m = 0.0;
        let mut falls = self.falls().into_iter().peekable();
        let mut rocks = self.bed.rocks.iter().peekable();
        loop {
            let next_fall_m = falls.peek().map_or(f64::INFINITY, |fall| fall.1);
            // A rock beside another, or one that stands in a fall, parts nothing on its own.
            let parts = |rock: &&&Rock| rock.ends_m[0] >= from_m && rock.ends_m[1] < next_fall_m;
            match rocks.next_if(|rock| rock.ends_m[0] < next_fall_m) {
                Some(rock) if parts(&&rock) => {
                    if rock.ends_m[0] - from_m > LEAST_M {
                        plain.push(([from_m, rock.ends_m[0]], None));
                    }
                    stretches
                        .extend((!plain.is_empty()).then(|| Stretch::Plain(plain.split_off(0))));
                    stretches.push(Stretch::Arms(rock));
                    from_m = rock.ends_m[1];
                }
                Some(_) => {}
                None => match falls.next() {
                    Some((_, along_m)) if along_m - from_m <= LEAST_M => {}
                    Some((i, along_m)) => {
                        plain.push(([from_m, along_m], Some(i)));
                        from_m = along_m;
                    }
                    None => break,
                },
            }
        }
        if self.length_m() - from_m > LEAST_M {
            plain.push(([from_m, self.length_m()], None));
        }
        stretches.extend((!plain.is_empty()).then_some(Stretch::Plain(plain)));
        stretches
    }

    /// The water along the whole stream, and over its crests.
    fn whole(&self, mouth_m: Option<f64>) -> Known<(StreamWater, Vec<CrestOutcome>)> {
        let stretches = self.stretches();
        let mut found = Found { level_m: mouth_m, still_m: mouth_m, ..Found::default() };
        for (i, stretch) in stretches.iter().enumerate().rev() {
            match stretch {
                Stretch::Plain(pieces) => self.plain(&mut found, pieces, i == 0)?,
                Stretch::Arms(rock) => self.parted(&mut found, rock)?,
            }
        }
        let head_m = found.level_m.ok_or(Unknown("it has no length".into()))?;
        found.crests.reverse();
        found.points.reverse();
        found.arms.reverse();
        let water = StreamWater {
            head_m,
            in_motion_m3: (found.running_m3 - found.still_m3).max(0.0),
            still_m3: found.still_m3,
            points: found.points.into_iter().flatten().collect(),
            arms: found.arms,
        };
        Ok((water, found.crests))
    }

    fn plain(
        &self,
        found: &mut Found,
        pieces: &[([f64; 2], Option<usize>)],
        is_head: bool,
    ) -> Known<()> {
        let lip = self.lip().filter(|_| is_head);
        let laid = pieces.iter().map(|(ends_m, fall)| {
            let reach = self.bed.reach(*ends_m, Across::Whole)?;
            let crest = fall.map(|i| crest::fall_crest(&self.stream.falls[i])).transpose()?;
            let face = fall.map_or(Ok(Face::Upright), |i| self.face(i))?;
            Ok(Piece { reach, crest: crest.map(|crest| FallCrest { crest, face }) })
        });
        let laid = laid.collect::<Known<Vec<Piece>>>()?;
        for piece in laid.iter().rev() {
            let end_m = piece.crest.as_ref().map(|crest| crest.crest.lowest_m()).or(found.still_m);
            self.still(found, &piece.reach, end_m)?;
        }
        let whole = water::Stream::new(lip.as_ref().map(|lip| lip.1.clone()), laid.clone());
        let whole = whole.map_err(Unknown::because)?;
        let profile = whole.run(self.running(found.level_m)).map_err(Unknown::because)?;
        for (((_, fall), running), piece) in pieces.iter().zip(&profile.falls).zip(&laid).rev() {
            if let (Some(i), Some(running), Some(crest)) = (fall, running, &piece.crest) {
                found.crests.push(self.fall(*i, crest, running)?);
            }
        }
        if let (Some((stands, crest)), Some(running)) = (&lip, &profile.lip) {
            let limits = self.limits();
            found.crests.push(crest::outcome(*stands, (&crest.crest, Vec::new()), running, limits));
        }
        for reach in profile.reaches.iter().rev() {
            found.points.push(self.points(reach));
        }
        found.running_m3 += profile.running_m3;
        found.level_m = Some(profile.head_m);
        Ok(())
    }

    fn parted(&self, found: &mut Found, rock: &Rock) -> Known<()> {
        let arms = [Across::LeftOf(rock), Across::RightOf(rock)];
        let reaches = arms.map(|across| self.bed.reach(rock.ends_m, across));
        let [left, right] = reaches;
        let reaches = [left?, right?];
        let before_m = found.still_m;
        for reach in &reaches {
            found.still_m = before_m;
            self.still(found, reach, before_m)?;
        }
        let narrowest = |reach: &Reach| {
            let widths = reach.stations().iter().map(|station| station.section.bed_width_m());
            widths.fold(f64::INFINITY, f64::min)
        };
        let widths_m = [narrowest(&reaches[0]), narrowest(&reaches[1])];
        let stream = |reach| water::Stream::new(None, vec![Piece { reach, crest: None }]);
        let streams = reaches.map(stream).into_iter().collect::<Result<Vec<_>, _>>();
        let streams = streams.map_err(Unknown::because)?;
        let parted =
            part_stream(&streams, self.running(found.level_m)).map_err(Unknown::because)?;
        let running = parted.arms.iter().flatten();
        let points: Vec<RunPoint> =
            running.clone().flat_map(|arm| &arm.reaches).flat_map(|r| self.points(r)).collect();
        found.running_m3 += running.map(|arm| arm.running_m3).sum::<f64>();
        found.points.push(points);
        let flow = |arm: usize| parted.flows_m3_s.get(arm).copied().unwrap_or(0.0);
        found.arms.push(ArmsOutcome {
            island: rock.island,
            flows_m3_s: [flow(0), flow(1)],
            widths_m,
        });
        found.level_m = Some(parted.head_m);
        Ok(())
    }

    /// Adds the water that stays in a reach.
    fn still(&self, found: &mut Found, reach: &Reach, end_m: Option<f64>) -> Known<()> {
        let still_m3 = reach.still_volume_m3(end_m, COMMON_STEP_M).map_err(Unknown::because)?;
        found.still_m3 += still_m3;
        found.still_m = Some(reach.still_head_m(end_m).map_err(Unknown::because)?);
        Ok(())
    }

    fn points(&self, reach: &Profile) -> Vec<RunPoint> {
        let stone = self.stream.bed_stone_m.map(|d50_m| BedStone {
            d50_m,
            specific_gravity: self.limits().stone_t_m3,
            shields: COMMON_SHIELDS,
        });
        let hold = |point: &Point| stone_hold(point, stone?, Turbulence::Low).ok();
        let point = |point: &Point| RunPoint {
            along_m: point.along_m,
            at_m: self.bed.path.at_station(point.along_m).at,
            bed_m: point.invert_m,
            level_m: point.level_m,
            velocity_m_s: point.velocity_m_s,
            froude: point.froude,
            edge_above_water_m: point.edge_above_water_m,
            of_stones_velocity: hold(point).map(|hold| hold.by_velocity),
            trust: point.trust,
        };
        reach.points.iter().map(point).collect()
    }

    fn fall(&self, i: usize, crest: &FallCrest, running: &RunningFall) -> Known<CrestOutcome> {
        let parts = crest::parts(&self.stream.falls[i], self.flow_m3_s)?;
        Ok(crest::outcome(self.stands(i), (&crest.crest, parts), running, self.limits()))
    }

    fn stands(&self, i: usize) -> Stands {
        let fall = &self.stream.falls[i];
        let place = self.bed.path.at_station(fall.along_m.clamp(0.0, self.length_m()));
        let [x, y] = place.at;
        let crest = CrestPlace::Fall(self.bed.work, i);
        Stands { crest, at_m: [x, y, fall.crest_m], toward: place.tangent }
    }

    /// The face below a fall's crest: where it runs out, of the stones that the bed is of.
    fn face(&self, i: usize) -> Known<Face> {
        let fall = &self.stream.falls[i];
        let Some(run_m) = fall.face_run_m else { return Ok(Face::Upright) };
        let (foot_width_m, roughness) = (fall.crest_width_m, self.bed.roughness.clone()?);
        Ok(Face::Sloping { run_m, foot_width_m, roughness })
    }

    /// The lip that feeds it.
    fn lip(&self) -> Option<(Stands, FallCrest)> {
        let (id, filter) = self.filter?;
        let crest = lip_crest(filter).ok()?;
        let ([x, y], toward) = (filter.lip.at, self.bed.path.at_station(0.0).tangent);
        let at_m = [x, y, filter.lip.elevation_m];
        let stands = Stands { crest: CrestPlace::Lip(id), at_m, toward };
        Some((stands, FallCrest { crest, face: Face::Upright }))
    }

    /// The water over the crests where that along the bed is not known: as if nothing stood below.
    fn crests_alone(&self) -> Known<Vec<CrestOutcome>> {
        let allowance: EdgeAllowance = edges(self.site);
        let over = |stands, crest: &water::Crest, parts| {
            let over = crest.over(self.flow_m3_s, None, allowance).map_err(Unknown::because)?;
            Ok(crest::over(stands, (crest, parts), &over))
        };
        let lip = self.lip().map(|(stands, lip)| over(stands, &lip.crest, Vec::new()));
        let falls = self.falls().into_iter().map(|(i, _)| {
            let crest = crest::fall_crest(&self.stream.falls[i])?;
            over(self.stands(i), &crest, crest::parts(&self.stream.falls[i], self.flow_m3_s)?)
        });
        lip.into_iter().chain(falls).collect()
    }
}
