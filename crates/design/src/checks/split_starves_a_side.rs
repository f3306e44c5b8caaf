//! A split that starves one side: a stone of a crest that stands too high, or one arm around a rock.

use site::WorkKind;
use units::{flow_text, length_text};

use super::COMMON_PRACTICE;
use super::seen::Seen;
use super::watered::{crest_name, crests, work_of};
use super::words::{enough_text, percent};
use crate::{
    ArmsOutcome, Code, CrestOutcome, CrestPlace, Finding, Measured, Remedy, Severity,
    StreamOutcome, Unit,
};

pub(super) fn check(seen: &Seen<'_>) -> Vec<Finding> {
    let parts = crests(seen).filter_map(|crest| of_crest(seen, crest));
    let streams = seen.running().streams.iter();
    let arms = streams.flat_map(|stream| {
        let arms = stream.water.as_ref().map(|water| &water.arms[..]).unwrap_or_default();
        arms.iter().filter_map(move |arms| of_arms(seen, stream, arms))
    });
    parts.chain(arms).collect()
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
