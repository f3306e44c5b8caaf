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
use super::{KeptRuns, Known, Levels, Unknown, edges, lip_crest};

pub(super) mod shared;

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

/// The streams that run from a filter, in building order.
pub(super) fn from_filter(site: &Site, filter: WorkId) -> impl Iterator<Item = (WorkId, &Stream)> {
    drawn(site).filter(move |(_, stream)| stream.from == Some(filter))
}

/// The streams that a line feeds, straight or through a filter.
pub(super) fn fed_by(site: &Site, fed: WorkId) -> Vec<&Stream> {
    drawn(site)
        .filter(|(id, stream)| *id == fed || stream.from == Some(fed))
        .map(|(_, stream)| stream)
        .collect()
}

/// Every visible stream as it runs.
pub(super) fn streams(
    site: &Site,
    beds: &[Known<Bed>],
    flows: &BTreeMap<WorkId, f64>,
    levels: &Levels,
    kept: &KeptRuns,
) -> Vec<StreamOutcome> {
    let shares = shared::shares(site, beds, flows, levels, kept);
    let outcome = |((id, stream), bed): ((WorkId, &Stream), &Known<Bed>)| {
        let flow_m3_s = flow((id, stream), flows, &shares);
        let run = flow_m3_s.clone().and_then(|flow_m3_s| {
            let bed = bed.as_ref().map_err(Clone::clone)?;
            let opening = opening(site, (id, stream));
            Ok(Run { site, stream, bed, opening, flow_m3_s, kept })
        });
        let mouth_m = mouth_m(stream, levels);
        let along = run.as_ref().map_err(Clone::clone).and_then(|run| run.whole(mouth_m));
        let crests = match (&along, &run) {
            (Ok((_, crests)), _) => Ok(crests.clone()),
            (Err(_), Ok(run)) => run.crests_alone(),
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

/// Level of the water that a stream runs into, where one stands there, metres.
fn mouth_m(stream: &Stream, levels: &Levels) -> Option<f64> {
    stream.into.and_then(|into| levels.waters_m.get(&into).copied())
}

/// What comes to a stream's head.
fn flow(
    (id, stream): (WorkId, &Stream),
    flows: &BTreeMap<WorkId, f64>,
    shares: &BTreeMap<WorkId, Known<f64>>,
) -> Known<f64> {
    let own = flows.get(&id).copied();
    let through = match shares.get(&id) {
        Some(share) => Some(share.clone()?),
        None => stream.from.and_then(|from| flows.get(&from).copied()),
    };
    match (own, through) {
        (None, None) => Err(Unknown("no pump is known to feed it".into())),
        (own, through) => match own.unwrap_or(0.0) + through.unwrap_or(0.0) {
            flow_m3_s if flow_m3_s > 0.0 => Ok(flow_m3_s),
            _ => Err(dry()),
        },
    }
}

/// Why a stream into which no water comes has none.
pub(super) fn dry() -> Unknown {
    Unknown("no water comes to it".into())
}

/// How water comes from a filter into a stream.
#[derive(Clone, Copy, Debug)]
enum Opening<'s> {
    /// Over the filter's lip.
    Lip(WorkId, &'s FilterBed),
    /// Over its own head, where another stream, or none, has the lip.
    Head,
}

/// Whether a stream begins over a head of its own in its filter's rim, because another has the lip.
pub(crate) fn own_head(site: &Site, filter: WorkId, id: WorkId) -> bool {
    let mut streams = from_filter(site, filter);
    let own = streams.find(|(own, _)| *own == id);
    own.is_some_and(|own| matches!(opening(site, own), Some(Opening::Head)))
}

/// How water comes into a stream; none where no filter feeds it. Of several streams from one filter that
/// has the lip which begins nearest to it, where its bed meets the lip.
fn opening<'s>(site: &'s Site, (id, stream): (WorkId, &Stream)) -> Option<Opening<'s>> {
    let (filter, bed) = filter(site, stream.from?)?;
    if from_filter(site, filter).nth(1).is_none() {
        return Some(Opening::Lip(filter, bed));
    }
    let at_lip = shared::at_lip(site, (filter, bed));
    Some(if at_lip == Some(id) { Opening::Lip(filter, bed) } else { Opening::Head })
}

/// A stream that is to run.
struct Run<'s> {
    site: &'s Site,
    stream: &'s Stream,
    bed: &'s Bed,
    opening: Option<Opening<'s>>,
    flow_m3_s: f64,
    kept: &'s KeptRuns,
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
        let profile = self.kept.stream(whole, self.running(found.level_m));
        let profile = profile.map_err(Unknown::because)?;
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

    /// The crest over which a filter feeds it.
    fn lip(&self) -> Option<(Stands, FallCrest)> {
        let head = self.bed.path.at_station(0.0);
        let (crest, place, [x, y], elevation_m) = match self.opening? {
            Opening::Lip(id, filter) => {
                let lip = &filter.lip;
                (lip_crest(filter).ok()?, CrestPlace::Lip(id), lip.at, lip.elevation_m)
            }
            Opening::Head => {
                let crest = self.bed.head_crest().ok()?;
                let level_m = crest.lowest_m();
                (crest, CrestPlace::Head(self.bed.work), head.at, level_m)
            }
        };
        let stands = Stands { crest: place, at_m: [x, y, elevation_m], toward: head.tangent };
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
