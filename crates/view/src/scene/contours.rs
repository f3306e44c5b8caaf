//! Contours of the finished ground, as fine ribbons that lie on it.

use bevy::math::Vec3;
use ground::Surface;
use ground::query::{Contour, contour_levels, contour_set};
use units::LengthUnit;

use super::shape::{Corner, Shape};
use super::stuff::Stuff;
use crate::frame::{Extent, SceneFrame};
use crate::theme::paper;

/// Contours at a round interval of the site's unit, some fifteen of them.
pub(crate) fn contours(surface: &Surface, unit: LengthUnit) -> Vec<Contour> {
    let Some(extent) = Extent::of(surface) else { return Vec::new() };
    let range = [extent.low[2], extent.high[2]];
    let span = unit.from_metres(range[1] - range[0]);
    let rounds = [0.1, 0.25, 0.5, 1.0, 2.0, 5.0, 10.0, 20.0, 50.0];
    let interval = rounds.into_iter().find(|step| span / step <= 18.0).unwrap_or(100.0);
    let levels = contour_levels(range, unit.to_metres(interval)).unwrap_or_default();
    contour_set(surface, &levels)
}

/// The ribbons, their width fit for a plan of the whole survey.
pub(crate) fn shape(contours: &[Contour], extent: Extent, frame: SceneFrame) -> Shape {
    let half = (extent.radius_m() * 0.0011).max(0.006) as f32;
    let tint = paper::INK.linear() * 1.4;
    let mut shape = Shape::default();
    for contour in contours {
        let n = contour.points.len();
        let last = if contour.closed { n } else { n.saturating_sub(1) };
        for k in 0..last {
            let place = |idx: usize| {
                let [x, y] = contour.points[idx % n];
                frame.scene([x, y, contour.z + 0.02])
            };
            let (a, b) = (place(k), place(k + 1));
            let along = (b - a).normalize_or(Vec3::X);
            let side = Vec3::new(-along.z, 0.0, along.x) * half;
            let names = [a - side, a + side, b + side, b - side]
                .map(|at| shape.corner(Corner::new(at, Vec3::Y, Stuff::Plain).tinted(tint)));
            shape.triangle([names[0], names[1], names[2]]);
            shape.triangle([names[0], names[2], names[3]]);
        }
    }
    shape
}
