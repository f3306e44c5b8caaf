//! A site in the frame of another.

use std::sync::Arc;

use crate::check::Invalid;
use crate::field::{FieldValue, Settings, fields, set, set_setting, settings};
use crate::{Frame, Site, Survey};

/// The site with its places told in another frame: what was drawn and surveyed stays where it is in
/// the world.
///
/// Every place moves by the difference of the two origins, in metres; that sum is rounded as any
/// sum is, to about 1e-10 m within a lattice's reach. The places then lie on the other frame's
/// lattice: evaluating rounds each to its nearest step, half a step off at most. Elevations, runs
/// and all other numbers stay. The unit and the names of the datums are those of `frame`; datums of
/// another name are taken to be the same.
///
/// # Errors
/// [`Invalid`] names a place that lies beyond the frame's reach.
pub fn reframed(site: &Site, frame: &Frame) -> Result<Site, Invalid> {
    let by_m = [0, 1].map(|axis| site.frame.origin_m[axis] - frame.origin_m[axis]);
    let mut moved = site.clone();
    moved.frame = frame.clone();
    moved.survey = Arc::new(survey(&site.survey, by_m));
    for (i, work) in moved.works.iter_mut().enumerate() {
        let beyond = |path: &str, rule| Invalid { path: format!("works[{i}].kind.{path}"), rule };
        for field in fields(work) {
            if let FieldValue::Place(Some(at)) = field.value {
                set(work, &field.path, FieldValue::Place(Some(shifted(at, by_m))))
                    .map_err(|error| beyond(&field.path, error.to_string()))?;
            }
        }
    }
    shift_places(&mut moved.soils, "soils", by_m)?;
    shift_places(&mut moved.carry, "carry", by_m)?;
    for (i, house) in moved.houses.iter_mut().enumerate() {
        shift_places(house, &format!("houses[{i}]"), by_m)?;
    }
    for (i, kept) in moved.keep_outs.iter_mut().enumerate() {
        shift_places(kept, &format!("keep_outs[{i}]"), by_m)?;
    }
    for (i, heap) in moved.stockpiles.iter_mut().enumerate() {
        shift_places(heap, &format!("stockpiles[{i}]"), by_m)?;
    }
    for (i, viewpoint) in moved.viewpoints.iter_mut().enumerate() {
        shift_places(viewpoint, &format!("viewpoints[{i}]"), by_m)?;
        let [x, y, z] = viewpoint.toward_m;
        let [x, y] = shifted([x, y], by_m);
        viewpoint.toward_m = [x, y, z];
    }
    moved.check()?;
    Ok(moved)
}

fn survey(survey: &Survey, by_m: [f64; 2]) -> Survey {
    let mut moved = survey.clone();
    let points = moved.points.iter_mut().map(|point| &mut point.at_m);
    let vertices = moved.breaklines.iter_mut().flat_map(|line| &mut line.points_m);
    for place in points.chain(vertices) {
        [place[0], place[1]] = shifted([place[0], place[1]], by_m);
    }
    shift_all(&mut moved.boundary, by_m);
    moved.voids.iter_mut().for_each(|void| shift_all(void, by_m));
    moved
}

/// Moves every place of a part of the site that is no work.
fn shift_places<T: Settings>(of: &mut T, path: &str, by_m: [f64; 2]) -> Result<(), Invalid> {
    for field in settings(of) {
        if let FieldValue::Place(Some(at)) = field.value {
            let value = FieldValue::Place(Some(shifted(at, by_m)));
            set_setting(of, &field.path, value).map_err(|error| Invalid {
                path: format!("{path}.{}", field.path),
                rule: error.to_string(),
            })?;
        }
    }
    Ok(())
}

fn shift_all(places: &mut [[f64; 2]], by_m: [f64; 2]) {
    places.iter_mut().for_each(|place| *place = shifted(*place, by_m));
}

fn shifted([x, y]: [f64; 2], by_m: [f64; 2]) -> [f64; 2] {
    [x + by_m[0], y + by_m[1]]
}
