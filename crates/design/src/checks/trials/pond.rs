//! Ponds, bays and filters changed until rain, groundwater, later works and starts of the pump leave
//! them what they need.

use ground::curve::{Closure, signed_area_m2};
use site::works::{Basin, BuildUp, Floor, Stream};
use site::{Curve, WorkId, WorkKind};

use super::super::drainage::holders;
use super::super::line::Line;
use super::super::near::{Grouped, Near};
use super::super::order_trap::built_after;
use super::super::seen::Seen;
use super::super::start_starves_pump::is_of_bay;
use super::super::words::enough_text;
use super::{Trial, by, toward};
use crate::{Code, Finding};

/// A rim is raised to at most this above the ground beside it, metres.
const OVER_GROUND_M: f64 = 0.4;
/// The ground beside a rim is looked at so far outside it, metres.
const BESIDE_M: f64 = 0.3;
/// Half the side of the box in which the ground under a place is looked for, metres.
const UNDER_M: f64 = 0.05;
/// Cover on a liner is added up to this, metres.
const MOST_COVER_M: f64 = 0.5;
/// No ring comes nearer to the water's level by it, metres.
const LEAST_DEPTH_M: f64 = 0.05;
/// A bay or its sill is dug deeper by at most this, metres.
const MOST_DEEPER_M: f64 = 0.5;

/// A pond's rim raised where the ground beside it stands higher, with the bays and the streams by which
/// rain would come in all the same.
pub(super) fn raised_rim(seen: &Seen<'_>, finding: &Finding) -> Option<Trial> {
    let pond = finding.work?;
    let holders = holders(seen, pond);
    let existing = Grouped::new(seen.evaluation.existing.as_deref()?);
    let edge = |work: &site::Work| {
        let holds = holders.binary_search(&work.id.0).is_ok();
        let raise = match &work.kind {
            WorkKind::Basin(basin) if holds => Raise::basin(&existing, basin),
            WorkKind::IntakeBay(bay) if holds => {
                let ground = beside(&existing, &bay.outline, bay.rim_width_m);
                let most_m = ground.into_iter().flatten().reduce(f64::max)?;
                Some(Raise::Freeboard(most_m + OVER_GROUND_M - bay.water_level_m))
            }
            WorkKind::Stream(stream) if stream.into == Some(pond) => {
                Raise::stream(&existing, stream)
            }
            _ => None,
        };
        Some((work.id, raise?))
    };
    let edges: Vec<(WorkId, Raise)> = seen.visible().filter_map(edge).collect();
    let (site, unit) = (seen.site.clone(), seen.unit);
    let raised = move |share: f64| {
        let mut site = site.clone();
        let mut most_m: f64 = 0.0;
        for (id, raise) in &edges {
            let work = site.works.iter_mut().find(|work| work.id == *id)?;
            most_m = most_m.max(raise.take(&mut work.kind, share));
        }
        Some((site, most_m))
    };
    let most_m = raised.clone();
    let told = move |share: f64| {
        let by_m = most_m(share).map_or(0.0, |(_, by_m)| by_m);
        format!(
            "Raise the rim by up to {} where the ground beside it stands higher, and the edges of what \
             runs into it: rain then runs round them.",
            enough_text(by_m, unit),
        )
    };
    Some(Trial::new(move |share| raised(share).map(|(site, _)| site), told))
}

/// Edges that are raised to levels or heights that are enough.
#[derive(Clone)]
enum Raise {
    /// A pond's levels at its points, from these to those.
    Levels(Vec<[f64; 2]>),
    /// A bay's freeboard, to this.
    Freeboard(f64),
    /// A stream's edges above its bed, station by station, to these.
    Sides(Vec<f64>),
}

impl Raise {
    fn basin(existing: &Grouped<'_>, basin: &Basin) -> Option<Self> {
        let n = basin.outline.points.len();
        let level = [basin.water_level_m + basin.freeboard_m];
        let drawn = if basin.liner_edge_m.is_empty() { &level[..] } else { &basin.liner_edge_m };
        let ground = beside(existing, &basin.outline, basin.rim_width_m);
        let at = |i: usize| {
            let from_m = *drawn.get(i).or(drawn.first())?;
            let ground_m = (*ground.get(i)?)?;
            // Where the ground falls away the rim keeps its level.
            let higher = ground_m > from_m;
            Some([from_m, if higher { ground_m + OVER_GROUND_M } else { from_m }])
        };
        (0..n).map(at).collect::<Option<Vec<_>>>().map(Self::Levels)
    }

    fn stream(existing: &Grouped<'_>, stream: &Stream) -> Option<Self> {
        let line = Line::new(&stream.line, Closure::Open)?;
        let near = Near::new(existing, line.path.points(), 1.0);
        let over = |s: &site::works::Station| {
            let at = line.path.at_station(s.along_m).at;
            near.face_at(at).map_or(0.0, |(_, z_m)| z_m + OVER_GROUND_M - s.invert_m)
        };
        Some(Self::Sides(stream.stations.iter().map(over).collect()))
    }

    /// Takes a share of it, and says by how much that raises the most, metres.
    fn take(&self, kind: &mut WorkKind, share: f64) -> f64 {
        match (self, kind) {
            (Self::Levels(levels), WorkKind::Basin(basin)) => {
                basin.liner_edge_m = levels.iter().map(|&[a, b]| toward(a, b, share)).collect();
                let by = levels.iter().map(|&[a, b]| toward(a, b, share) - a);
                by.fold(0.0, f64::max)
            }
            (Self::Freeboard(to_m), WorkKind::IntakeBay(bay)) => {
                let from_m = bay.freeboard_m;
                bay.freeboard_m = toward(from_m, *to_m, share);
                bay.freeboard_m - from_m
            }
            (Self::Sides(to_m), WorkKind::Stream(stream)) => {
                let mut most_m: f64 = 0.0;
                for (station, to_m) in stream.stations.iter_mut().zip(to_m) {
                    for edge_m in &mut station.edge_m {
                        let from_m = *edge_m;
                        *edge_m = toward(from_m, *to_m, share);
                        most_m = most_m.max(*edge_m - from_m);
                    }
                }
                most_m
            }
            _ => 0.0,
        }
    }
}

/// The existing ground outside a rim, at each point of its outline; none where there is none.
fn beside(existing: &Grouped<'_>, outline: &Curve, rim_m: f64) -> Vec<Option<f64>> {
    let Some(line) = Line::new(outline, Closure::Closed) else { return Vec::new() };
    let turn = signed_area_m2(line.path.points()).signum();
    let outside = |&at: &[f64; 2]| {
        let [tx, ty] = line.path.at_station(line.path.nearest(at).station_m).tangent;
        let off_m = rim_m + BESIDE_M;
        [at[0] + turn * off_m * ty, at[1] - turn * off_m * tx]
    };
    let places: Vec<[f64; 2]> = outline.points.iter().map(outside).collect();
    let near = Near::new(existing, &places, UNDER_M);
    places.iter().map(|&at| near.face_at(at).map(|(_, z_m)| z_m)).collect()
}

/// More gravel on a liner that groundwater lifts: the liner stays, the water over it is shallower.
pub(super) fn more_cover(seen: &Seen<'_>, finding: &Finding) -> Option<Trial> {
    let edit = |kind: &mut WorkKind, share: f64| {
        let by_m = share * MOST_COVER_M;
        let cover = |on: &mut BuildUp| {
            if on.liner_m > 0.0 {
                on.gravel_m += by_m;
            }
        };
        let raise = |depth_m: &mut f64| *depth_m = (*depth_m - by_m).max(LEAST_DEPTH_M);
        match kind {
            WorkKind::Basin(basin) => {
                cover(&mut basin.build_up);
                for ring in &mut basin.rings {
                    cover(&mut ring.build_up);
                    raise(&mut ring.depth_m);
                }
                if let Floor::Sump { depth_m, .. } = &mut basin.floor {
                    raise(depth_m);
                }
            }
            WorkKind::IntakeBay(bay) => {
                cover(&mut bay.build_up);
                raise(&mut bay.depth_m);
            }
            _ => {}
        }
    };
    let length = by(MOST_COVER_M, seen.unit);
    let told = move |share| {
        let by = length(share);
        format!("Lay {by} more gravel on the liner, which stays: the water is {by} shallower.")
    };
    Some(Trial::of_work(seen, finding.work?, edit, told))
}

/// A work whose edge a later one digs away, built after that one.
pub(super) fn built_after_digger(seen: &Seen<'_>, finding: &Finding) -> Vec<Trial> {
    let Some(id) = finding.work else { return Vec::new() };
    // What the edge lacks by its own levels is raised all the same.
    let offered = finding.remedy.as_ref().filter(|_| finding.code != Code::OrderTrap);
    let raised = offered.and_then(|offer| Some((&offer.message, offer.site.as_ref()?)));
    let drawn = raised.map_or(seen.site, |(_, site)| site);
    let own = drawn.works.iter().position(|work| work.id == id);
    let later = drawn.works.iter().skip(own.map_or(usize::MAX, |own| own + 1));
    let visible = later.filter(|work| work.visible);
    let after = |work: &site::Work| {
        let remedy = built_after(drawn, id, work);
        let site = remedy.site;
        let message = match raised {
            Some((raise, _)) => format!("{} {raise}", remedy.message),
            None => remedy.message,
        };
        Trial::whole(site.map(|site| *site), message)
    };
    visible.map(after).collect()
}

/// A bay with its sill lower, or all of it deeper with the intake.
pub(super) fn deeper_bay(seen: &Seen<'_>, finding: &Finding) -> Vec<Trial> {
    let Some(id) = finding.work else { return Vec::new() };
    let length = by(MOST_DEEPER_M, seen.unit);
    if is_of_bay(finding) {
        let edit = |kind: &mut WorkKind, share: f64| {
            if let WorkKind::IntakeBay(bay) = kind {
                bay.sill.depth_m += share * MOST_DEEPER_M;
                bay.depth_m = bay.depth_m.max(bay.sill.depth_m + MOST_DEEPER_M);
            }
        };
        let told = move |share| format!("Lower the bay's sill by {}.", length(share));
        return vec![Trial::of_work(seen, id, edit, told)];
    }
    let site = seen.site.clone();
    let deeper = length;
    let length = by(MOST_DEEPER_M, seen.unit);
    let lower = Trial::of_work(seen, id, lower_sill, move |share| {
        format!("Make the bay's sill half as wide again and {} lower.", length(share))
    });
    let length = deeper;
    let made = move |share: f64| {
        let mut site = site.clone();
        let by_m = share * MOST_DEEPER_M;
        match &mut site.works.iter_mut().find(|work| work.id == id)?.kind {
            WorkKind::IntakeBay(bay) => bay.depth_m += by_m,
            WorkKind::Basin(basin) => {
                if let Floor::Sump { depth_m, .. } = &mut basin.floor {
                    *depth_m += by_m;
                } else {
                    basin.rings.last_mut()?.depth_m += by_m;
                }
            }
            _ => return None,
        }
        for pump in site.circulation.pumps.iter_mut().filter(|pump| pump.draws_from == Some(id)) {
            pump.intake_m = pump.intake_m.map(|intake_m| intake_m - by_m);
        }
        Some(site)
    };
    let told = move |share| {
        let by = length(share);
        format!("Dig the place of the intake {by} deeper, and set the intake {by} lower.")
    };
    vec![Trial::new(made, told), lower]
}

/// A sill wider and lower, so that the pond's water comes in as fast as the pump draws.
fn lower_sill(kind: &mut WorkKind, share: f64) {
    if let WorkKind::IntakeBay(bay) = kind {
        bay.sill.width_m *= 1.5;
        bay.sill.depth_m += share * MOST_DEEPER_M;
        bay.depth_m = bay.depth_m.max(bay.sill.depth_m + MOST_DEEPER_M);
    }
}
