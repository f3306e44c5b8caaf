//! What is done with a whole work by clicks: copied, mirrored, set beside, cut, joined.

use std::sync::Arc;

use design::hand::work_at;
use ground::curve::{Closure, Path, contains};
use site::shape::{
    Cut, Ends, ShapeError, copied, join, lines, main_line, middle, mirrored_copy, offset_copy,
    split,
};
use site::{Site, WorkId};

use super::super::Desk;
use super::sentence;
use crate::document::Ask;
use crate::hand::{Deed, Tool};

/// Takes another place; does the deed when it has enough.
pub(super) fn go_on(deed: Deed, places: Vec<[f64; 2]>, reach_m: f64, desk: &mut Desk<'_, '_>) {
    let Some(id) = desk.choice.work else {
        desk.hand.rest();
        return;
    };
    let site = desk.document.site().clone();
    match done(deed, &places, reach_m, (&site, id, desk)) {
        Ok(Some((site, chosen))) => {
            desk.asks.write(Ask::Replace(Arc::new(site)));
            desk.choice.work = Some(chosen);
            desk.hand.rest();
        }
        Ok(None) => desk.hand.tool = Tool::Deed(deed, places),
        Err(why) => {
            desk.notice.say(sentence(&why.to_string()));
            desk.hand.tool = Tool::Deed(deed, Vec::new());
        }
    }
}

type Done = Option<(Site, WorkId)>;

fn done(
    deed: Deed,
    places: &[[f64; 2]],
    reach_m: f64,
    (site, id, desk): (&Site, WorkId, &Desk<'_, '_>),
) -> Result<Done, ShapeError> {
    let work = site.work(id).ok_or(ShapeError::NoWork(id))?;
    let at = places.last().copied().unwrap_or_default();
    match deed {
        Deed::Copy => {
            let middle = middle(&work.kind);
            copied(site, id, [0, 1].map(|k| at[k] - middle[k])).map(Some)
        }
        Deed::Mirror => match places {
            [a, b] => mirrored_copy(site, id, [*a, *b]).map(Some),
            _ => Ok(None),
        },
        Deed::Beside => offset_copy(site, id, aside_m(site, id, at)).map(Some),
        Deed::Cut => {
            let points = &lines(&work.kind)[0].curve.points;
            let nearest = |at: &[f64; 2]| {
                let away = |p: &[f64; 2]| libm::hypot(p[0] - at[0], p[1] - at[1]);
                let all = points.iter().enumerate().map(|(i, p)| (i, away(p)));
                all.min_by(|a, b| a.1.total_cmp(&b.1)).filter(|(_, m)| *m <= 2.5 * reach_m)
            };
            let miss = ShapeError::NotThis("click one of its points");
            let at: Result<Vec<usize>, ShapeError> = places
                .iter()
                .map(|at| nearest(at).map(|(i, _)| i).ok_or_else(|| miss.clone()))
                .collect();
            match (main_line(&work.kind).1, at?.as_slice()) {
                (Ends::Open, [at, ..]) => split(site, id, Cut::At(*at)).map(Some),
                (Ends::Closed, [a, b, ..]) => split(site, id, Cut::Across(*a, *b)).map(Some),
                _ => Ok(None),
            }
        }
        Deed::Join => {
            let other = work_at(site, at, reach_m).or_else(|| owner_at(desk, at));
            let other = other.filter(|other| *other != id);
            let other = other.ok_or(ShapeError::NotThis("click the work to be joined with it"))?;
            Ok(Some((join(site, id, other)?, id)))
        }
    }
}

/// How far to the left of a work's line a place lies, metres; below zero to the right.
fn aside_m(site: &Site, id: WorkId, at: [f64; 2]) -> f64 {
    let Some(work) = site.work(id) else { return 0.0 };
    let line = &lines(&work.kind)[0];
    let closure = if line.ends == Ends::Closed { Closure::Closed } else { Closure::Open };
    let Ok(path) = Path::new(&line.curve.points, closure) else { return 0.0 };
    let nearest = path.nearest(at);
    let way = path.at_station(nearest.station_m).tangent;
    let off = [at[0] - nearest.at[0], at[1] - nearest.at[1]];
    let is_left = match line.ends {
        Ends::Closed => {
            let counter = ground::curve::signed_area_m2(path.points()) > 0.0;
            contains(path.points(), at) == counter
        }
        Ends::Open => way[0] * off[1] - way[1] * off[0] > 0.0,
    };
    if is_left { nearest.distance_m } else { -nearest.distance_m }
}

/// The work whose ground, its banks included, lies at a place; none where the work changes no
/// finished ground, as trenches and strips do.
fn owner_at(desk: &Desk<'_, '_>, at: [f64; 2]) -> Option<WorkId> {
    let scene = desk.shown.scene.as_ref()?;
    let face = scene.finished.face_at(at)?;
    let owner = scene.finished.surface().faces()[face as usize].tag.owner;
    (owner != 0).then_some(WorkId(owner))
}
