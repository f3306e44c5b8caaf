//! A split that starves one side: a stone of a crest that stands too high, one arm around a rock, or one of
//! the streams that run from a filter.

use site::{Work, WorkKind};
use units::{flow_text, length_text};

use super::COMMON_PRACTICE;
use super::seen::Seen;
use super::watered::{crest_name, crests, work_of};
use super::words::{enough_text, percent};
use crate::{
    ArmsOutcome, Code, CrestOutcome, CrestPlace, FilterOutcome, Finding, Measured, Remedy,
    Severity, StreamOutcome, Unit, WayOut,
};

pub(super) fn check(seen: &Seen<'_>) -> Vec<Finding> {
    let parts = crests(seen).filter_map(|crest| of_crest(seen, crest));
    let streams = seen.running().streams.iter();
    let arms = streams.flat_map(|stream| {
        let arms = stream.water.as_ref().map(|water| &water.arms[..]).unwrap_or_default();
        arms.iter().filter_map(move |arms| of_arms(seen, stream, arms))
    });
    let ways = seen.running().filters.iter().filter_map(|filter| of_filter(seen, filter));
    parts.chain(arms).chain(ways).collect()
}

/// The way out of a filter that gets least for its width.
fn of_filter(seen: &Seen<'_>, filter: &FilterOutcome) -> Option<Finding> {
    let limit = seen.site.limits.split_least_share;
    let ways = filter.ways.as_ref().ok().filter(|ways| ways.len() > 1)?;
    let (whole_m3_s, whole_m): (f64, f64) =
        (ways.iter().map(|way| way.flow_m3_s).sum(), ways.iter().map(|way| way.width_m).sum());
    let even = |way: &WayOut| way.flow_m3_s / (whole_m3_s * way.width_m / whole_m);
    let least = ways.iter().min_by(|a, b| even(a).total_cmp(&even(b)))?;
    if even(least) >= limit {
        return None;
    }
    let name = |id| seen.work(id).map_or("a stream", |work: &Work| work.name.as_str());
    let is_lip = least.at_m == ways[0].at_m;
    let whither = match least.stream {
        Some(id) => format!("into {}", name(id)),
        None => "over its lip".to_owned(),
    };
    let lowest_m = ways.iter().map(|way| way.at_m[2]).fold(f64::INFINITY, f64::min);
    let lower_m = least.at_m[2] - lowest_m;
    let site = match least.stream {
        _ if is_lip => seen.with(filter.work, |kind| {
            if let WorkKind::FilterBed(bed) = kind {
                bed.lip.elevation_m = lowest_m;
            }
        }),
        Some(id) => seen.with(id, |kind| {
            if let WorkKind::Stream(stream) = kind {
                stream.stations.iter_mut().take(1).for_each(|head| head.invert_m = lowest_m);
            }
        }),
        None => None,
    };
    let what = if is_lip { "the lip" } else { "its head" };
    Some(Finding {
        code: Code::SplitStarves,
        severity: if least.flow_m3_s > 0.0 { Severity::LookAt } else { Severity::Stop },
        work: Some(least.stream.filter(|_| !is_lip).unwrap_or(filter.work)),
        at_m: least.at_m,
        measured: Measured { value: even(least), limit, unit: Unit::Ratio },
        message: format!(
            "Of the {} that leave {} only {} run {whither}, {} of what its {} would take.",
            flow_text(whole_m3_s, seen.unit),
            name(filter.work),
            flow_text(least.flow_m3_s, seen.unit),
            percent(even(least)),
            length_text(least.width_m, seen.unit),
        ),
        remedy: Some(Remedy {
            message: if lower_m > 0.0 {
                format!(
                    "Lower {what} by {}, level with the lowest way out.",
                    enough_text(lower_m, seen.unit)
                )
            } else {
                format!(
                    "Let the bed fall by {} right below {what}: the water backs up over it.",
                    enough_text(backs_up_m(seen, least), seen.unit)
                )
            },
            site: site.filter(|_| lower_m > 0.0),
        }),
        source: COMMON_PRACTICE,
        caution: None,
    })
}

/// How far the water below a way out stands above two thirds of the head over it, up to which it holds
/// nothing back, metres.
fn backs_up_m(seen: &Seen<'_>, way: &WayOut) -> f64 {
    let is_own = |stream: &&StreamOutcome| Some(stream.work) == way.stream;
    let stream = seen.running().streams.iter().find(is_own);
    let backs_up_m = stream.and_then(|stream| {
        let (water, crests) = (stream.water.as_ref().ok()?, stream.crests.as_ref().ok()?);
        let above_m = water.points.first()?.level_m - way.at_m[2];
        Some(above_m - 2.0 / 3.0 * crests.first()?.head_m)
    });
    backs_up_m.unwrap_or(0.0).max(0.0)
}

/// The part of a crest that gets least for its width.
fn of_crest(seen: &Seen<'_>, crest: &CrestOutcome) -> Option<Finding> {
    let limit = seen.site.limits.split_least_share;
    let parts = crest.parts.iter().enumerate();
    let (i, least) = parts.min_by(|a, b| a.1.of_even_share.total_cmp(&b.1.of_even_share))?;
    if least.of_even_share >= limit {
        return None;
    }
    let CrestPlace::Fall(id, fall) = crest.crest else { return None };
    let lowest_m = crest.parts.iter().map(|part| part.above_m).fold(f64::INFINITY, f64::min);
    let site = seen.with(id, |kind| {
        if let WorkKind::Stream(stream) = kind {
            stream.falls[fall].parts[i].above_m = lowest_m;
        }
    });
    Some(Finding {
        code: Code::SplitStarves,
        severity: Severity::LookAt,
        work: Some(work_of(crest.crest)),
        at_m: crest.at_m,
        measured: Measured { value: least.of_even_share, limit, unit: Unit::Ratio },
        message: format!(
            "Stone {} of {}, {} wide, takes {}: {} of what its width would.",
            i + 1,
            crest_name(crest.crest),
            length_text(least.width_m, seen.unit),
            flow_text(least.flow_m3_s, seen.unit),
            percent(least.of_even_share),
        ),
        remedy: Some(Remedy {
            message: format!(
                "Set it {} lower, level with its neighbours.",
                enough_text(least.above_m - lowest_m, seen.unit)
            ),
            site,
        }),
        source: COMMON_PRACTICE,
        caution: None,
    })
}

/// The arm around a rock that gets too little for its width.
fn of_arms(seen: &Seen<'_>, stream: &StreamOutcome, arms: &ArmsOutcome) -> Option<Finding> {
    let limit = seen.site.limits.split_least_share;
    let (whole_m3_s, whole_m): (f64, f64) =
        (arms.flows_m3_s.iter().sum(), arms.widths_m.iter().sum());
    let even = |side: usize| arms.flows_m3_s[side] / (whole_m3_s * arms.widths_m[side] / whole_m);
    let side = if even(0) <= even(1) { 0 } else { 1 };
    if even(side) >= limit {
        return None;
    }
    let WorkKind::Stream(drawn) = &seen.work(stream.work)?.kind else { return None };
    let rock = drawn.islands.get(arms.island)?;
    let [x, y] = *rock.outline.points.first()?;
    Some(Finding {
        code: Code::SplitStarves,
        severity: Severity::LookAt,
        work: Some(stream.work),
        at_m: [x, y, rock.top_m],
        measured: Measured { value: even(side), limit, unit: Unit::Ratio },
        message: format!(
            "On the {} of rock {} only {} runs, {} of what its {} of bed would take.",
            ["left", "right"][side],
            arms.island + 1,
            flow_text(arms.flows_m3_s[side], seen.unit),
            percent(even(side)),
            length_text(arms.widths_m[side], seen.unit),
        ),
        remedy: Some(Remedy {
            message: "Move the rock toward the other side, or narrow the arm there with stones."
                .into(),
            site: None,
        }),
        source: COMMON_PRACTICE,
        caution: None,
    })
}
