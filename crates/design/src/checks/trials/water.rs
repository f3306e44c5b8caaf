//! Falls, rocks and pipes changed until the water lands on the liner, parts fairly and comes in full.

use ground::curve::Closure;
use site::WorkKind;
use site::circulation::Pipe;

use super::super::line::Line;
use super::super::pipe_runs_fast::wider_m;
use super::super::seen::Seen;
use super::{Trial, by, told_of};
use crate::Finding;

/// A bed is widened by at most this, metres.
const MOST_WIDER_M: f64 = 3.0;
/// More pumps side by side are no garden's.
const MOST_PUMPS: u32 = 4;

/// The bed of a stream widened about the fall, so that its liner reaches farther.
pub(super) fn wider_bed(seen: &Seen<'_>, finding: &Finding) -> Option<Trial> {
    let at = [finding.at_m[0], finding.at_m[1]];
    let streams = seen.visible().filter_map(|work| match &work.kind {
        // A lip's water falls into the stream that runs from it.
        WorkKind::Stream(stream)
            if Some(work.id) == finding.work || stream.from == finding.work =>
        {
            Some((work.id, stream))
        }
        _ => None,
    });
    let (id, stream) = streams.into_iter().next()?;
    let along_m = Line::new(&stream.line, Closure::Open)?.path.nearest(at).station_m;
    let before = stream.stations.partition_point(|station| station.along_m <= along_m);
    let edit = move |kind: &mut WorkKind, share: f64| {
        if let WorkKind::Stream(stream) = kind {
            let beside = stream.stations.iter_mut().skip(before.saturating_sub(1)).take(2);
            beside.for_each(|station| station.bed_width_m += share * MOST_WIDER_M);
        }
    };
    let length = by(MOST_WIDER_M, seen.unit);
    Some(Trial::of_work(seen, id, edit, move |share| {
        format!("Widen the bed where the water lands by {}.", length(share))
    }))
}

/// A rock moved toward the middle of the bed, where both its arms are as wide.
pub(super) fn moved_rock(seen: &Seen<'_>, finding: &Finding) -> Option<Trial> {
    let id = finding.work?;
    let WorkKind::Stream(stream) = &seen.work(id)?.kind else { return None };
    let at = [finding.at_m[0], finding.at_m[1]];
    let is_told = |rock: &site::works::Island| rock.outline.points.first() == Some(&at);
    let idx = stream.islands.iter().position(is_told)?;
    let outline = &stream.islands[idx].outline.points;
    let middle = [0, 1].map(|k| outline.iter().map(|p| p[k]).sum::<f64>() / outline.len() as f64);
    let line = Line::new(&stream.line, Closure::Open)?;
    let nearest = line.path.nearest(middle);
    let [tx, ty] = line.path.at_station(nearest.station_m).tangent;
    let way = [0, 1].map(|k| nearest.at[k] - middle[k]);
    let name = if way[0] * ty - way[1] * tx > 0.0 { "right" } else { "left" };
    let edit = move |kind: &mut WorkKind, share: f64| {
        if let WorkKind::Stream(stream) = kind {
            for point in &mut stream.islands[idx].outline.points {
                *point = [0, 1].map(|k| point[k] + share * way[k]);
            }
        }
    };
    let length = by(libm::hypot(way[0], way[1]), seen.unit);
    let told = move |share| format!("Move rock {} by {} to the {name}.", idx + 1, length(share));
    Some(Trial::of_work(seen, id, edit, told))
}

/// Wider pipes, or more pumps of the same kind beside it.
pub(super) fn wider_pipes(seen: &Seen<'_>, finding: &Finding) -> Vec<Trial> {
    let names = seen.site.circulation.pumps.iter().map(|pump| pump.name.as_str());
    let Some(i) = told_of(finding, names) else { return Vec::new() };
    let (site, twins) = (seen.site.clone(), seen.site.clone());
    let unit = seen.unit;
    let widest = move |share: f64| {
        let mut site = site.clone();
        let pump = site.circulation.pumps.get_mut(i)?;
        let lines = pump.lines.iter_mut().map(|line| &mut line.pipe);
        let mut most_m: f64 = 0.0;
        for pipe in pump.main.iter_mut().chain(lines) {
            let Pipe { inner_m: Some(inner_m), .. } = pipe else { continue };
            *inner_m = wider_m(*inner_m, share);
            most_m = most_m.max(*inner_m);
        }
        Some((site, most_m))
    };
    let sized = widest.clone();
    let pipes = Trial::new(
        move |share| widest(share).map(|(site, _)| site),
        move |share| {
            let size_m = sized(share).map_or(0.0, |(_, size_m)| size_m);
            format!("Lay pipe of {} inside.", units::length_text(size_m, unit))
        },
    );
    let count = seen.site.circulation.pumps[i].count;
    let more = move |share: f64| count + (share * f64::from(MOST_PUMPS)).ceil() as u32;
    let name = seen.site.circulation.pumps[i].name.clone();
    let beside = Trial::new(
        move |share| {
            let mut site = twins.clone();
            site.circulation.pumps.get_mut(i)?.count = more(share);
            Some(site)
        },
        move |share| format!("Set {} pumps such as {name} side by side.", more(share)),
    );
    vec![pipes, beside]
}

/// A stream's falls lowered one by one, so that their feet stand higher.
pub(super) fn smaller_drops(seen: &Seen<'_>, finding: &Finding) -> Vec<Trial> {
    let Some(id) = finding.work else { return Vec::new() };
    let Some(WorkKind::Stream(drawn)) = seen.work(id).map(|work| &work.kind) else {
        return Vec::new();
    };
    let smaller = |(i, fall): (usize, &site::works::Fall)| {
        let edit = move |kind: &mut WorkKind, share: f64| {
            if let WorkKind::Stream(stream) = kind {
                stream.falls[i].drop_m *= 1.0 - share;
            }
        };
        let length = by(fall.drop_m, seen.unit);
        Trial::of_work(seen, id, edit, move |share| {
            format!("Let fall {} drop {} less.", i + 1, length(share))
        })
    };
    drawn.falls.iter().enumerate().map(smaller).collect()
}
