//! Open soil that drains into the open pond, to a drain or off the site while the works last: the rain
//! carries it there.
//!
//! The ground is looked at as it stands when all is dug and filled and nothing is laid or sown yet: the
//! subgrade, with its stripped margin. The holes for water and their rims are no soil that drains in, walls
//! and rocks are none at all. The tray that stripping leaves fills and runs over.
//!
//! ```text
//!   stripped  ‾‾‾--__  rim
//!                    ‾‾‾‾\      silt runs into the hole
//!                         \____
//! ```

use ground::query::{Receiver, catchments, face_area_m2};
use ground::{NONE, Surface};
use site::{KeepOutKind, WorkId};
use units::{area_text, earth_text};

use super::COMMON_PRACTICE;
use super::drainage::{holders, is_inner, middle, place};
use super::seen::Seen;
use super::words::stretch_text;
use crate::part::Part;
use crate::stretch::to_stretch_m;
use crate::{Code, Finding, Measured, Remedy, Severity, Unit, WaterKind};

/// A drain takes in the water that comes this near to it, metres.
const AT_DRAIN_M: f64 = 0.3;
/// Hollows deeper than the topsoil by more than this keep what they get, metres: common practice.
const HOLDS_M: f64 = 0.1;

pub(super) fn check(seen: &Seen<'_>) -> Vec<Finding> {
    let Some(between) = &seen.evaluation.between else { return Vec::new() };
    let surface = &*between.subgrade;
    let open = open_soil(seen, surface);
    let soil = (0..).zip(&open).filter(|(_, is_open)| **is_open);
    if soil.map(|(f, _)| face_area_m2(surface, f)).sum::<f64>() <= seen.site.limits.bare_soil_m2 {
        return Vec::new();
    }
    let places = places(seen, surface);
    let receivers: Vec<Receiver<'_>> =
        places.iter().skip(1).map(|place| Receiver::faces(place.faces.clone())).collect();
    let found = catchments(surface, &receivers);
    let to = found.passed_on(seen.site.soils.topsoil.strip_m + HOLDS_M);
    let mut sheds: Vec<Shed> = places.iter().map(|_| Shed::default()).collect();
    for f in (0..surface.faces().len() as u32).filter(|&f| open[f as usize]) {
        let owner = surface.faces()[f as usize].tag.owner;
        found.each_part(f, |part| {
            let end = to[part.end];
            if places.get(end).is_some_and(|place| place.holders.binary_search(&owner).is_err()) {
                let area_m2 = part.share * face_area_m2(surface, f);
                sheds[end].add(surface, &open, &places[end], (f, area_m2));
            }
        });
    }
    let told = places.iter().zip(&sheds).filter_map(|(place, shed)| finding(seen, place, shed));
    told.collect()
}

/// Where soil is carried to.
struct Place {
    to: To,
    faces: Vec<u32>,
    /// The works whose own ground doesn't count there, rising.
    holders: Vec<u32>,
    /// The middle of a pond.
    middle: Option<[f64; 2]>,
}

enum To {
    OffSite,
    Pond(WorkId),
    Drain(String),
}

/// Off the site first, then the open ponds, then the drains.
fn places(seen: &Seen<'_>, surface: &Surface) -> Vec<Place> {
    let all = || 0..surface.faces().len() as u32;
    let mut places =
        vec![Place { to: To::OffSite, faces: Vec::new(), holders: Vec::new(), middle: None }];
    let bodies = seen.evaluation.water.iter().filter(|body| body.kind == WaterKind::Basin);
    for body in bodies {
        let holders = holders(seen, body.work);
        let faces: Vec<u32> =
            all().filter(|&f| is_inner(surface.faces()[f as usize].tag, &holders)).collect();
        let middle = middle(surface, &faces);
        places.push(Place { to: To::Pond(body.work), faces, holders, middle });
    }
    for kept in &seen.site.keep_outs {
        let KeepOutKind::Drain(drain) = &kept.kind else { continue };
        let faces = all().filter(|&f| apart_m(surface, f, drain.at) <= AT_DRAIN_M).collect();
        let to = To::Drain(kept.name.clone());
        places.push(Place { to, faces, holders: Vec::new(), middle: None });
    }
    places
}

/// How far a place lies from a face, metres.
fn apart_m(surface: &Surface, f: u32, at: [f64; 2]) -> f64 {
    let c = surface.corners(f).map(|c| surface.lattice().metres(c));
    let is_off = |k: usize| {
        c.iter().all(|c| c[k] > at[k] + AT_DRAIN_M) || c.iter().all(|c| c[k] < at[k] - AT_DRAIN_M)
    };
    if is_off(0) || is_off(1) {
        return f64::INFINITY;
    }
    let left = |a: [f64; 2], b: [f64; 2]| {
        (b[0] - a[0]) * (at[1] - a[1]) - (b[1] - a[1]) * (at[0] - a[0]) >= 0.0
    };
    let sides = [[c[0], c[1]], [c[1], c[2]], [c[2], c[0]]];
    if sides.iter().all(|&[a, b]| left(a, b)) {
        return 0.0;
    }
    sides.into_iter().map(|side| to_stretch_m(at, side)).fold(f64::INFINITY, f64::min)
}

/// Which faces are open soil.
fn open_soil(seen: &Seen<'_>, surface: &Surface) -> Vec<bool> {
    let faces = surface.faces();
    let is_open = |face: &ground::Face| {
        face.tag.owner != 0
            && !matches!(
                Part::of(face.tag.part),
                Part::Floor
                    | Part::Side
                    | Part::Shelf
                    | Part::Bed
                    | Part::WallTop
                    | Part::WallFace
                    | Part::Island
                    | Part::Existing
            )
    };
    let mut open: Vec<bool> = faces.iter().map(is_open).collect();
    let topsoil = &seen.site.soils.topsoil;
    if topsoil.strip_m <= 0.0 || topsoil.margin_m <= 0.0 {
        return open;
    }
    // The stripped margin runs around the works; a step as high as the topsoil ends it.
    let is_beside = |f: &u32| {
        let face = &faces[*f as usize];
        let worked = |&n: &u32| n != NONE && faces[n as usize].tag.owner != 0;
        face.tag.owner == 0 && face.neighbours.iter().any(worked)
    };
    let mut stack: Vec<u32> = (0..faces.len() as u32).filter(is_beside).collect();
    while let Some(f) = stack.pop() {
        if std::mem::replace(&mut open[f as usize], true) {
            continue;
        }
        for k in 0..3 {
            let other = faces[f as usize].neighbours[k];
            if other != NONE
                && faces[other as usize].tag.owner == 0
                && !open[other as usize]
                && step_m(surface, f, k, other) < 0.5 * topsoil.strip_m
            {
                stack.push(other);
            }
        }
    }
    open
}

/// The height of the step along an edge, where it is highest.
fn step_m(surface: &Surface, f: u32, k: usize, other: u32) -> f64 {
    let (here, there) = (&surface.faces()[f as usize], &surface.faces()[other as usize]);
    let (z, z_there) = (surface.corner_heights(f), surface.corner_heights(other));
    let apart = |k: usize| {
        let same = (0..3).find(|&j| there.vertices[j] == here.vertices[k]);
        same.map_or(0.0, |j| (z[k] - z_there[j]).abs())
    };
    apart(k).max(apart((k + 1) % 3))
}

/// Open soil that drains to one place.
#[derive(Default)]
struct Shed {
    area_m2: f64,
    /// Length of its lower edge, over which its water leaves it, metres.
    edge_m: f64,
    /// How near to where it goes it comes, or how low it lies, and the middle of the face there.
    nearest: Option<(f64, [f64; 3])>,
    /// The face that was added last.
    last: Option<u32>,
}

impl Shed {
    fn add(&mut self, surface: &Surface, open: &[bool], to: &Place, (f, area_m2): (u32, f64)) {
        self.area_m2 += area_m2;
        if self.last.replace(f) == Some(f) {
            return;
        }
        let (z, [x, y]) = (surface.corner_heights(f), place(surface, f));
        let z_m = (z[0] + z[1] + z[2]) / 3.0;
        let far_m = to.middle.map_or(z_m, |middle| libm::hypot(x - middle[0], y - middle[1]));
        if self.nearest.is_none_or(|(nearest_m, _)| far_m < nearest_m) {
            self.nearest = Some((far_m, [x, y, z_m]));
        }
        let rise = surface.plane(f).rise;
        let corners = surface.corners(f).map(|c| surface.lattice().metres(c));
        for k in 0..3 {
            let other = surface.faces()[f as usize].neighbours[k];
            let (a, b) = (corners[k], corners[(k + 1) % 3]);
            let run = [b[0] - a[0], b[1] - a[1]];
            // Outward is to the right of the edge; water leaves down the slope.
            let leaves = run[1] * rise[0] - run[0] * rise[1] < 0.0;
            let is_out = other == NONE || !open[other as usize] || {
                let owner = surface.faces()[other as usize].tag.owner;
                to.holders.binary_search(&owner).is_ok()
            };
            if leaves && is_out {
                self.edge_m += libm::hypot(run[0], run[1]);
            }
        }
    }
}

fn finding(seen: &Seen<'_>, place: &Place, shed: &Shed) -> Option<Finding> {
    let limit_m2 = seen.site.limits.bare_soil_m2;
    let (_, at_m) = shed.nearest?;
    if shed.area_m2 <= limit_m2 {
        return None;
    }
    let (to, work) = match &place.to {
        To::OffSite => ("off the site".to_string(), None),
        To::Pond(pond) => {
            let name = seen.work(*pond).map_or("the pond", |work| work.name.as_str());
            (format!("into the open hole of {name}"), Some(*pond))
        }
        To::Drain(name) => (format!("to {name}"), None),
    };
    let message = format!(
        "While the works last, {} of open soil drains {to}: rain carries it there.",
        area_text(shed.area_m2, seen.unit),
    );
    // A fence is set for the weeks of work and is no part of the plan.
    let remedy = format!(
        "Set a silt fence or straw rolls along {} of its lower edge before it is stripped, with room for {} \
         of silt behind, and cover or sow it as soon as it is shaped.",
        stretch_text(shed.edge_m, seen.unit),
        earth_text(water::SILT_STORAGE_M * shed.area_m2, seen.unit),
    );
    Some(Finding {
        code: Code::BareSoilDrainsIn,
        severity: Severity::LookAt,
        work,
        at_m,
        measured: Measured { value: shed.area_m2, limit: limit_m2, unit: Unit::SquareMetre },
        message,
        remedy: Some(Remedy { message: remedy, site: None }),
        source: COMMON_PRACTICE,
        caution: None,
    })
}
