//! A stream's levels from the lip to the waterline: they must add up, and water runs down.
//!
//! ```text
//!  lip __ head
//!        \__ bed fall
//!           |  drop
//!           |__
//!              \__ mouth ~~~~ waterline       lip - waterline = drops + bed falls
//! ```

use ground::curve::Closure;
use site::works::{Fall, Station, Stream};
use site::{Work, WorkKind};
use units::{elevation_text, length_text};

use super::line::Line;
use super::seen::Seen;
use super::words::enough_text;
use super::{COMMON_PRACTICE, SAME_LEVEL_M};
use crate::running::own_head;
use crate::{Code, Finding, Measured, Remedy, Severity, Unit};

/// Places along the line nearer than this are one, metres: as the bed is built.
const SAME_PLACE_M: f64 = 1e-3;

pub(super) fn check(seen: &Seen<'_>) -> Vec<Finding> {
    let check = |work: &&Work| match &work.kind {
        WorkKind::Stream(stream) => Some(findings(seen, work, stream)),
        _ => None,
    };
    seen.visible().filter_map(|work| check(&work)).flatten().collect()
}

/// One place of the running bed.
#[derive(Clone, Copy, Debug, PartialEq)]
enum Knot {
    Station(usize),
    Fall(usize),
}

/// The running bed from head to mouth.
struct Bed<'a> {
    stream: &'a Stream,
    knots: Vec<Knot>,
}

impl<'a> Bed<'a> {
    fn new(stream: &'a Stream) -> Self {
        let falls = &stream.falls;
        let hidden =
            |s: &Station| falls.iter().any(|f| (f.along_m - s.along_m).abs() < SAME_PLACE_M);
        let stations = stream.stations.iter().enumerate().filter(|(_, s)| !hidden(s));
        let mut knots: Vec<Knot> = stations.map(|(i, _)| Knot::Station(i)).collect();
        knots.extend((0..falls.len()).map(Knot::Fall));
        let bed = Self { stream, knots: Vec::new() };
        knots.sort_by(|a, b| bed.along_m(*a).total_cmp(&bed.along_m(*b)));
        Self { stream, knots }
    }

    fn station(&self, i: usize) -> &'a Station {
        &self.stream.stations[i]
    }

    fn fall(&self, i: usize) -> &'a Fall {
        &self.stream.falls[i]
    }

    fn along_m(&self, knot: Knot) -> f64 {
        match knot {
            Knot::Station(i) => self.station(i).along_m,
            Knot::Fall(i) => self.fall(i).along_m,
        }
    }

    /// Level of the bed as it comes to a place, and as it leaves it.
    fn levels_m(&self, knot: Knot) -> [f64; 2] {
        match knot {
            Knot::Station(i) => [self.station(i).invert_m; 2],
            Knot::Fall(i) => [self.fall(i).crest_m, self.fall(i).crest_m - self.fall(i).drop_m],
        }
    }

    fn drops_m(&self) -> f64 {
        self.stream.falls.iter().map(|fall| fall.drop_m).sum()
    }

    fn bed_falls_m(&self) -> f64 {
        let fall = |pair: &[Knot]| self.levels_m(pair[0])[1] - self.levels_m(pair[1])[0];
        self.knots.windows(2).map(fall).sum()
    }
}

fn findings(seen: &Seen<'_>, work: &Work, stream: &Stream) -> Vec<Finding> {
    let bed = Bed::new(stream);
    let (Some(&head), Some(&mouth)) = (bed.knots.first(), bed.knots.last()) else {
        return Vec::new();
    };
    let site = Place { seen, work, line: Line::new(&stream.line, Closure::Open) };
    let mut found = Vec::new();
    found.extend(head_gap(&site, &bed, head));
    found.extend(mouth_gap(&site, &bed, mouth));
    found.extend(bed.knots.windows(2).filter_map(|pair| rise(&site, &bed, [pair[0], pair[1]])));
    found.extend((0..stream.falls.len()).filter_map(|i| high_pool(&site, &bed, i)));
    found
}

/// What a finding about a stream needs besides its levels.
struct Place<'a, 'b> {
    seen: &'a Seen<'b>,
    work: &'a Work,
    line: Option<Line>,
}

impl Place<'_, '_> {
    fn finding(
        &self,
        along_m: f64,
        level_m: f64,
        (value, limit): (f64, f64),
        (message, remedy): (String, Remedy),
    ) -> Finding {
        let at = self.line.as_ref().map_or([f64::NAN; 2], |l| l.path.at_station(along_m).at);
        Finding {
            code: Code::StreamDoesNotClose,
            severity: Severity::Stop,
            work: Some(self.work.id),
            at_m: [at[0], at[1], level_m],
            measured: Measured { value, limit, unit: Unit::Metre },
            message,
            remedy: Some(remedy),
            source: COMMON_PRACTICE,
            caution: None,
        }
    }

    fn length(&self, length_m: f64) -> String {
        length_text(length_m.abs(), self.seen.unit)
    }

    fn level(&self, level_m: f64) -> String {
        elevation_text(level_m, self.seen.unit)
    }

    /// The site with the stream changed.
    fn with(&self, change: impl FnOnce(&mut Stream)) -> Option<Box<site::Site>> {
        self.seen.with(self.work.id, |kind| {
            if let WorkKind::Stream(stream) = kind {
                change(stream);
            }
        })
    }
}

/// The head's bed against the lip that feeds it.
fn head_gap(site: &Place<'_, '_>, bed: &Bed<'_>, head: Knot) -> Option<Finding> {
    let filter_id = bed.stream.from?;
    let WorkKind::FilterBed(filter) = &site.seen.work(filter_id)?.kind else { return None };
    // A stream beside the one that has the lip begins over a head of its own, as high as that is drawn.
    if own_head(site.seen.site, filter_id, site.work.id) {
        return None;
    }
    let (lip_m, head_m) = (filter.lip.elevation_m, bed.levels_m(head)[0]);
    let (gap_m, limit_m) = (head_m - lip_m, site.seen.site.limits.stream_closure_m);
    if gap_m.abs() <= limit_m + SAME_LEVEL_M {
        return None;
    }
    let sums = format!(
        "Drops of {} and bed falls of {} run down from {}",
        site.length(bed.drops_m()),
        site.length(bed.bed_falls_m()),
        site.level(head_m)
    );
    let message = if gap_m > 0.0 {
        format!(
            "The head of the stream is {} above the lip at {}: no water enters it. {sums}.",
            site.length(gap_m),
            site.level(lip_m)
        )
    } else {
        format!(
            "The stream does not close at the lip: {sums}, {} below the lip at {}.",
            site.length(gap_m),
            site.level(lip_m)
        )
    };
    // Within its limit the gap is closed enough, so no more than that is moved.
    let target_m = lip_m + limit_m * gap_m.signum();
    let site_then = site.with(|stream| set_level(stream, head, target_m, Side::Upstream));
    let verb = if gap_m > 0.0 { "Lower" } else { "Raise" };
    let moved = enough_text((head_m - target_m).abs(), site.seen.unit);
    let remedy =
        Remedy { message: format!("{verb} the head of the stream by {moved}."), site: site_then };
    Some(site.finding(bed.along_m(head), head_m, (gap_m.abs(), limit_m), (message, remedy)))
}

/// The mouth's bed against the waterline.
fn mouth_gap(site: &Place<'_, '_>, bed: &Bed<'_>, mouth: Knot) -> Option<Finding> {
    let WorkKind::Basin(basin) = &site.seen.work(bed.stream.into?)?.kind else { return None };
    let (water_m, mouth_m) = (basin.water_level_m, bed.levels_m(mouth)[1]);
    let (gap_m, limit_m) = (mouth_m - water_m, site.seen.site.limits.stream_closure_m);
    if gap_m.abs() <= limit_m + SAME_LEVEL_M {
        return None;
    }
    let way = if gap_m > 0.0 { "above" } else { "below" };
    let message = format!(
        "The stream does not close at the pond: drops of {} and bed falls of {} end {} {way} the \
         water at {}.",
        site.length(bed.drops_m()),
        site.length(bed.bed_falls_m()),
        site.length(gap_m),
        site.level(water_m),
    );
    let target_m = water_m + limit_m * gap_m.signum();
    let site_then = site.with(|stream| {
        set_level(stream, mouth, target_m, Side::Downstream);
        raise_to(stream, target_m);
    });
    let verb = if gap_m > 0.0 { "Lower" } else { "Raise" };
    let moved = enough_text((mouth_m - target_m).abs(), site.seen.unit);
    let with = if gap_m > 0.0 { "" } else { ", and the bed above it as far as it lies lower" };
    let remedy = Remedy { message: format!("{verb} the mouth by {moved}{with}."), site: site_then };
    Some(site.finding(bed.along_m(mouth), mouth_m, (gap_m.abs(), limit_m), (message, remedy)))
}

/// A bed that rises, other than out of its own pool to the pool's crest.
fn rise(site: &Place<'_, '_>, bed: &Bed<'_>, [from, to]: [Knot; 2]) -> Option<Finding> {
    let (low_m, high_m) = (bed.levels_m(from)[1], bed.levels_m(to)[0]);
    let rise_m = high_m - low_m;
    let pool_m = match to {
        Knot::Fall(i) => bed.fall(i).pool_m,
        Knot::Station(_) => 0.0,
    };
    if rise_m <= pool_m.max(0.0) + SAME_LEVEL_M {
        return None;
    }
    let whither = match to {
        Knot::Fall(i) => format!("the crest of fall {}", i + 1),
        Knot::Station(i) => format!("station {}", i + 1),
    };
    let message = format!(
        "The bed rises by {} to {whither}, from {} to {}: water does not run up.",
        site.length(rise_m),
        site.level(low_m),
        site.level(high_m)
    );
    let target_m = low_m + pool_m.max(0.0);
    let site_then = site.with(|stream| set_level(stream, to, target_m, Side::Upstream));
    let moved = enough_text(high_m - target_m, site.seen.unit);
    let remedy = Remedy { message: format!("Lower {whither} by {moved}."), site: site_then };
    Some(site.finding(bed.along_m(to), high_m, (rise_m, pool_m.max(0.0)), (message, remedy)))
}

/// A pool whose floor stands above the crest that should keep it full.
fn high_pool(site: &Place<'_, '_>, bed: &Bed<'_>, i: usize) -> Option<Finding> {
    let fall = bed.fall(i);
    if fall.pool_m >= 0.0 {
        return None;
    }
    let floor_m = fall.crest_m - fall.pool_m;
    let message = format!(
        "The pool above fall {} has its floor {} above its own crest: it holds no water.",
        i + 1,
        site.length(fall.pool_m)
    );
    let site_then = site.with(|stream| stream.falls[i].pool_m = 0.0);
    let remedy = Remedy { message: "Lower the pool's floor to the crest.".into(), site: site_then };
    Some(site.finding(fall.along_m, floor_m, (-fall.pool_m, 0.0), (message, remedy)))
}

/// Which level of a fall is meant.
#[derive(Clone, Copy)]
enum Side {
    /// Its crest; the foot stays.
    Upstream,
    /// Its foot; the crest stays.
    Downstream,
}

/// Raises what lies below a level to it, so that the bed runs down to its mouth; crests stay.
fn raise_to(stream: &mut Stream, level_m: f64) {
    for station in &mut stream.stations {
        station.invert_m = station.invert_m.max(level_m);
    }
    for fall in &mut stream.falls {
        fall.drop_m = fall.drop_m.min((fall.crest_m - level_m).max(0.0));
    }
}

fn set_level(stream: &mut Stream, knot: Knot, level_m: f64, side: Side) {
    match (knot, side) {
        (Knot::Station(i), _) => stream.stations[i].invert_m = level_m,
        (Knot::Fall(i), Side::Upstream) => {
            let fall = &mut stream.falls[i];
            fall.drop_m = (fall.drop_m + level_m - fall.crest_m).max(0.0);
            fall.crest_m = level_m;
        }
        (Knot::Fall(i), Side::Downstream) => {
            let fall = &mut stream.falls[i];
            fall.drop_m = (fall.crest_m - level_m).max(0.0);
        }
    }
}
