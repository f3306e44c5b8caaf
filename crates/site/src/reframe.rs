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
    for pin in moved.pictures.iter_mut().flat_map(|picture| &mut picture.pins) {
        pin.at_m = shifted(pin.at_m, by_m);
    }
    moved.check()?;
    Ok(moved)
}

fn survey(survey: &Survey, by_m: [f64; 2]) -> Survey {
    let mut moved = survey.clone();
    for place in survey_places(&mut moved) {
        (place[0], place[1]) = (place[0] + by_m[0], place[1] + by_m[1]);
    }
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

/// Easting and northing of every place that a survey tells.
pub(crate) fn survey_places(survey: &mut Survey) -> impl Iterator<Item = &mut [f64]> {
    let points = survey.points.iter_mut().map(|point| &mut point.at_m[..2]);
    let lines = survey.breaklines.iter_mut().flat_map(|line| &mut line.points_m);
    let rows = survey.levels.iter_mut().flat_map(|notes| {
        let rows = notes.rows.iter_mut().chain(&mut notes.file_rows);
        rows.filter_map(|row| row.at_m.as_mut())
    });
    let outlines = survey.boundary.iter_mut().chain(survey.voids.iter_mut().flatten());
    points
        .chain(lines.map(|place| &mut place[..2]))
        .chain(rows.chain(outlines).map(|place| &mut place[..]))
}

fn shifted([x, y]: [f64; 2], by_m: [f64; 2]) -> [f64; 2] {
    [x + by_m[0], y + by_m[1]]
}
