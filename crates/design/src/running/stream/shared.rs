//! Streams that run from one filter: each takes what one level over all their crests gives it.
//!
//! ```text
//!            ~~~~~~~~~~~~~~~~~~~~~~~   one level in the filter
//!   lip =====                ===== head of another stream, higher: it takes less
//! ```
//! A filter has one lip. Of several streams from it that has the lip which begins there; each other one
//! begins at an opening of its own in the rim, as wide as its bed and as high as its head. A lip at which
//! none begins lets its water out into the open, and shares too.

use std::collections::BTreeMap;

use ground::curve::Closure;
use site::works::{FilterBed, Stream};
use site::{Site, WorkId, WorkKind};
use water::{Crest, CrestForm, EdgeAllowance, SharedCrest, SharingError, share_arms, share_crests};

use super::super::{KeptRuns, Known, Levels, Unknown, WayOut, lip_crest};
use super::{Bed, Opening, Run, drawn, filter, from_filter, mouth_m, opening};
use crate::checks::Line;

/// Rounds in which the shares mostly settle where water below backs up over a crest.
const MOST_ROUNDS: usize = 8;
/// Ways whose levels differ by less stand in one water, metres.
const ONE_LEVEL_M: f64 = 1.0e-4;
/// A way that takes less than this share of what comes stands dry: rounding, and wet stones.
const DRY_SHARE: f64 = 1.0e-6;

/// The stream that begins at a filter's lip, of several from it: whose head lies nearest, where the lip
/// and its bed meet.
pub(in crate::running) fn at_lip(site: &Site, (id, bed): (WorkId, &FilterBed)) -> Option<WorkId> {
    let off_m = |stream: &Stream| {
        let [x, y] = *stream.line.points.first()?;
        Some(libm::hypot(x - bed.lip.at[0], y - bed.lip.at[1]))
    };
    let meets = |(own, stream): (WorkId, &Stream)| {
        let half_m = 0.5 * (bed.lip.width_m + stream.stations.first()?.bed_width_m);
        off_m(stream).filter(|off_m| *off_m <= half_m).map(|off_m| (own, off_m))
    };
    let nearest = from_filter(site, id).filter_map(meets).min_by(|a, b| a.1.total_cmp(&b.1));
    nearest.map(|(own, _)| own)
}

/// The head of a stream as a way out of its filter, into which nothing runs yet.
pub(in crate::running) fn head(site: &Site, id: WorkId) -> Known<WayOut> {
    let Some(WorkKind::Stream(stream)) = site.work(id).map(|work| &work.kind) else {
        return Err(Unknown("it is no stream".into()));
    };
    let line = Line::new(&stream.line, Closure::Open);
    let station = line.zip(stream.stations.first());
    let (line, station) = station.ok_or(Unknown("it has no line".into()))?;
    let [x, y] = line.path.at_station(0.0).at;
    let at_m = [x, y, station.invert_m];
    Ok(WayOut { stream: Some(id), at_m, width_m: station.bed_width_m, flow_m3_s: 0.0 })
}

/// What each stream gets of its filter's water, where several run from one, cubic metres a second.
pub(super) fn shares(
    site: &Site,
    beds: &[Known<Bed>],
    flows: &BTreeMap<WorkId, f64>,
    levels: &Levels,
    kept: &KeptRuns,
) -> BTreeMap<WorkId, Known<f64>> {
    let mut shares = BTreeMap::new();
    for work in site.works.iter().filter(|work| work.visible) {
        let Some((id, bed)) = filter(site, work.id) else { continue };
        let own: Vec<WorkId> = from_filter(site, id).map(|(id, _)| id).collect();
        if own.len() < 2 {
            continue;
        }
        let Some(&flow_m3_s) = flows.get(&id) else { continue };
        let shared = Ways::of(site, (id, bed), beds, levels, kept).and_then(|ways| {
            let flows = ways.flows_m3_s(flow_m3_s)?;
            let told = |(way, m3_s): (&Way<'_>, &f64)| Some((way.stream?, *m3_s));
            Ok(ways.0.iter().zip(&flows).filter_map(told).collect::<BTreeMap<WorkId, f64>>())
        });
        for stream in own {
            let share = shared.as_ref().map(|shared| shared.get(&stream).copied().unwrap_or(0.0));
            shares.insert(stream, share.map_err(Clone::clone));
        }
    }
    shares
}

/// The ways out of one filter.
struct Ways<'s>(Vec<Way<'s>>);

/// A way out of a filter.
struct Way<'s> {
    stream: Option<WorkId>,
    crest: Crest,
    /// The stream that begins there, to be run with a flow, and the level of its mouth.
    runs: Option<(Run<'s>, Option<f64>)>,
}

impl<'s> Ways<'s> {
    fn of(
        site: &'s Site,
        (id, filter): (WorkId, &FilterBed),
        beds: &'s [Known<Bed>],
        levels: &Levels,
        kept: &'s KeptRuns,
    ) -> Known<Self> {
        let mut ways = Vec::new();
        for ((own, stream), bed) in drawn(site).zip(beds) {
            if stream.from != Some(id) {
                continue;
            }
            let bed = bed.as_ref().map_err(Clone::clone)?;
            let opening = opening(site, (own, stream));
            let crest = match opening {
                Some(Opening::Lip(_, filter)) => lip_crest(filter)?,
                _ => bed.head_crest()?,
            };
            let run = Run { site, stream, bed, opening, flow_m3_s: f64::NAN, kept };
            let runs = Some((run, mouth_m(stream, levels)));
            ways.push(Way { stream: Some(own), crest, runs });
        }
        if at_lip(site, (id, filter)).is_none() {
            ways.push(Way { stream: None, crest: lip_crest(filter)?, runs: None });
        }
        Ok(Self(ways))
    }

    /// What each takes of a flow.
    ///
    /// Each crest is taken as high as the water below backs up over it; that is reckoned anew until all
    /// ways stand in one level, else each flow is searched for.
    fn flows_m3_s(&self, flow_m3_s: f64) -> Known<Vec<f64>> {
        let mut backed_m = vec![0.0; self.0.len()];
        for _ in 0..MOST_ROUNDS {
            let flows = self.over(&backed_m, flow_m3_s)?;
            let mut apart_m: f64 = 0.0;
            for ((way, own_m3_s), backed_m) in self.0.iter().zip(&flows).zip(&mut backed_m) {
                let now_m = way.backed_m(*own_m3_s, flow_m3_s)?;
                apart_m = apart_m.max((now_m - *backed_m).abs());
                *backed_m = 0.5 * (*backed_m + now_m);
            }
            if apart_m < ONE_LEVEL_M {
                return Ok(flows);
            }
        }
        let head_m = |way: usize, own_m3_s: f64| self.0[way].head_m(own_m3_s, flow_m3_s);
        let found =
            share_arms(self.0.len(), flow_m3_s, |way, m3_s| head_m(way, m3_s).map_err(Why::Known));
        found.map(|(_, flows)| flows).map_err(|why| match why {
            Why::Known(why) => why,
            Why::Sharing(why) => Unknown::because(why),
        })
    }

    /// What each takes when its crest stands so much higher.
    fn over(&self, backed_m: &[f64], flow_m3_s: f64) -> Known<Vec<f64>> {
        let crest = |(way, backed_m): (&Way<'_>, &f64)| {
            let crest = &way.crest;
            Crest::level(crest.lowest_m() + backed_m, crest.width_m(), CrestForm::Broad)
        };
        let crests = self.0.iter().zip(backed_m).map(crest).collect::<Result<Vec<_>, _>>();
        let crests = crests.map_err(Unknown::because)?;
        let crests: Vec<SharedCrest<'_>> =
            crests.iter().map(|crest| SharedCrest { crest, below_m: None }).collect();
        let shared = share_crests(&crests, flow_m3_s, EdgeAllowance::default());
        let shared = shared.map_err(Unknown::because)?;
        let least_m3_s = DRY_SHARE * flow_m3_s;
        let flow = |over: &Option<water::OverCrest>| over.map_or(0.0, |over| over.flow_m3_s);
        let flows = shared.crests.iter().map(flow);
        Ok(flows.map(|m3_s| if m3_s < least_m3_s { 0.0 } else { m3_s }).collect())
    }
}

impl Way<'_> {
    /// The level in the filter at which it takes a flow, of a whole, metres.
    fn head_m(&self, own_m3_s: f64, whole_m3_s: f64) -> Known<f64> {
        if own_m3_s < DRY_SHARE * whole_m3_s {
            return Ok(self.crest.lowest_m());
        }
        match &self.runs {
            Some((run, mouth_m)) => {
                let (water, _) = Run { flow_m3_s: own_m3_s, ..*run }.whole(*mouth_m)?;
                Ok(water.head_m)
            }
            None => self.crest.level_for_m(own_m3_s, None).map_err(Unknown::because),
        }
    }

    /// How much higher that is than over its crest alone, metres.
    fn backed_m(&self, own_m3_s: f64, whole_m3_s: f64) -> Known<f64> {
        if own_m3_s < DRY_SHARE * whole_m3_s {
            return Ok(0.0);
        }
        let free_m = self.crest.level_for_m(own_m3_s, None).map_err(Unknown::because)?;
        Ok((self.head_m(own_m3_s, whole_m3_s)? - free_m).max(0.0))
    }
}

/// Why a flow cannot be shared.
enum Why {
    Known(Unknown),
    Sharing(SharingError),
}

impl From<SharingError> for Why {
    fn from(why: SharingError) -> Self {
        Self::Sharing(why)
    }
}
