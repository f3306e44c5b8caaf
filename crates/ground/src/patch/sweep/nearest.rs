//! Sweeps whose profile dips: height by the nearest segment of the line.
//!
//! ```text
//!   profile:  0    .-.          tent:  0
//!              \  /   \                 \
//!               `'     `                  `-._   falls as far as it runs
//! ```
//! Of a profile that only falls the highest panel is the nearest one's, and the envelope finds it. One
//! that dips would have a far panel's ridge stand out of a near one's swale. So the envelope is taken
//! of tents, whose height is the distance from the line; the highest tent is the nearest segment's,
//! and each place of it then takes the height that the profile has there. Distances are in plan: where
//! the line slopes, the profile runs out square to it.

use super::envelope::envelope;
use super::panels::{Element, elements_of};
use super::walk::{Stop, Walk, walk_headings};
use super::{Profile, Sweep, SweepError};
use crate::curve::Closure;
use crate::overlay::Keep;
use crate::patch::weld::{Tile, weld};
use crate::{LatticePoint, Plane, Surface};

/// Heights of neighbours at one place that differ by less are one: rounding of places on steep faces.
const SAME_HEIGHT_M: f64 = 2e-5;

/// The surface of a profile of any shape run along walks.
pub(super) fn by_nearest(
    sweep: &Sweep,
    walks: Vec<(Vec<Stop>, Closure)>,
) -> Result<Surface, SweepError> {
    let tents = Sweep { keep: Keep::Highest, ..*sweep };
    let (mut elements, mut tiles, mut planes) = (Vec::new(), Vec::new(), Vec::new());
    for (stops, closure) in walks {
        let stops = one_a_place(stops, closure);
        let walk = walk_headings(stops.iter().map(tent).collect(), closure, Keep::Highest);
        // The same rays under the profile's own heights: tile for tile the same places.
        let own = Walk { stops, ..walk.clone() };
        let drawn = elements_of(&tents, &walk)?;
        for (element, own) in drawn.into_iter().zip(elements_of(&tents, &own)?) {
            elements.push(numbered(element, tiles.len() as u32));
            let first = planes.len() as u32;
            tiles.extend(own.tiles.iter().map(|t| Tile { plane: t.plane + first, ..*t }));
            planes.extend(own.planes);
        }
    }
    let nearest = envelope(&tents, &elements)?;
    lifted(sweep, &nearest, &tiles, planes)
}

/// Stops at one place become one: what leaves it starts where the last of them lies.
fn one_a_place(stops: Vec<Stop>, closure: Closure) -> Vec<Stop> {
    let mut out: Vec<Stop> = Vec::with_capacity(stops.len());
    for stop in stops {
        match out.last_mut() {
            Some(last) if last.at == stop.at => {
                last.profiles[1] = shifted(&stop.profiles[1], stop.z - last.z);
                last.drops = stop.z != last.z;
            }
            _ => out.push(stop),
        }
    }
    if closure == Closure::Closed && out.len() > 1 && out[0].at == out[out.len() - 1].at {
        let first = out.remove(0);
        let last = out.len() - 1;
        out[last].profiles[1] = shifted(&first.profiles[1], first.z - out[last].z);
        out[last].drops = first.z != out[last].z;
    }
    out
}

fn shifted(profile: &Profile, by_m: f64) -> Profile {
    profile.iter().map(|&[offset, rise]| [offset, rise + by_m]).collect()
}

/// A level stop whose profile falls as far as it runs out.
fn tent(stop: &Stop) -> Stop {
    let falling = |profile: &Profile| {
        profile.iter().map(|&[offset, _]| [offset, -offset]).collect::<Profile>()
    };
    let profiles = [0, 1].map(|k| falling(&stop.profiles[k]));
    Stop { at: stop.at, z: 0.0, profiles, drops: stop.drops }
}

/// An element whose tiles carry their own numbers from `first` on in place of their parts.
fn numbered(element: Element, first: u32) -> Element {
    let tiles = element.tiles.into_iter().zip(first..);
    let tiles = tiles.map(|(mut tile, number)| {
        tile.tag.part = number;
        tile
    });
    Element { tiles: tiles.collect(), ..element }
}

/// Each face under the plane of the tile that its tent stands for.
fn lifted(
    sweep: &Sweep,
    nearest: &Surface,
    tiles: &[Tile],
    planes: Vec<Plane>,
) -> Result<Surface, SweepError> {
    // At each vertex heights that are nearly one are the first of them.
    let mut named: Vec<Vec<f64>> = vec![Vec::new(); nearest.vertices().len()];
    let mut height = |vertex: u32, z: f64| {
        let known = &mut named[vertex as usize];
        if let Some(near) = known.iter().find(|other| (**other - z).abs() <= SAME_HEIGHT_M) {
            return *near;
        }
        known.push(z);
        z
    };
    let lifted: Vec<Tile> = (nearest.faces().iter())
        .map(|face| {
            let own = tiles[face.tag.part as usize];
            let mut corners = [(LatticePoint { x: 0, y: 0 }, 0.0); 3];
            for (corner, &v) in corners.iter_mut().zip(&face.vertices) {
                let at = nearest.vertices()[v as usize];
                *corner = (at, height(v, planes[own.plane as usize].at(at)));
            }
            Tile { corners, tag: own.tag, plane: own.plane, fixed: face.fixed }
        })
        .collect();
    weld(sweep.lattice, &lifted, planes)
        .map_err(|o| SweepError::Folds { at: sweep.lattice.metres(o.at) })
}
