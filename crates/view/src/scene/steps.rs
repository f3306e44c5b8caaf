//! Steps: edges whose two sides stand at different heights, drawn as upright faces.
//!
//! ```text
//!      upper ground (left of a to b)
//!    a ----------------------------- b     high
//!    |           the face            |
//!    a ----------------------------- b     low
//!      lower ground (right of a to b)
//! ```

use std::cmp::Ordering;
use std::collections::BTreeMap;

use bevy::math::Vec3;
use design::part::Part;
use ground::{NONE, Surface, Tag};
use site::WorkId;

use super::shape::{Corner, Shape};
use super::stuff::Stuff;
use super::terrain::Lie;
use crate::frame::SceneFrame;

/// Lower than this a step is only a rounding of heights, in metres.
const LEAST_M: f64 = 1e-6;

/// One upright face.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Step {
    /// Its ends in plan, local metres, the upper ground on the left.
    pub ends: [[f64; 2]; 2],
    /// Upper heights at the ends.
    pub high: [f64; 2],
    /// Lower heights at the ends.
    pub low: [f64; 2],
    /// How far the face leans out for each unit that it falls; zero for an upright one.
    pub lean: f64,
    /// Whose the upper ground is.
    pub upper: Tag,
    /// Whose the lower ground is.
    pub lower: Tag,
    vertices: [u32; 2],
}

/// Steps that follow each other, each beginning where the one before ends.
pub(crate) type Run = Vec<Step>;

/// Every step of a surface, in the order of their places: what is laid along them is to follow from the
/// ground, not from the numbers of its faces.
pub(crate) fn steps(surface: &Surface) -> Vec<Step> {
    let faces = surface.faces();
    let mut found = Vec::new();
    for (idx, face) in faces.iter().enumerate() {
        for edge in 0..3 {
            let across = face.neighbours[edge];
            if across != NONE && across as usize > idx {
                found.extend(step_between(surface, idx, edge, across as usize));
            }
        }
    }
    sort(&mut found);
    found
}

/// The upright faces at the border of ground that lies lower there than the garden around it.
pub(crate) fn at_border(surface: &Surface, around: &Lie) -> Vec<Step> {
    let faces = surface.faces().iter();
    let edges = faces.flat_map(|face| (0..3).map(move |edge| (face, edge)));
    let border = edges.filter(|(face, edge)| face.neighbours[*edge] == NONE);
    border
        .filter_map(|(face, edge)| {
            // The ground lies left of its own border, so the garden around it left of the way back.
            let corners = [(edge + 1) % 3, edge];
            let vertices = corners.map(|corner| face.vertices[corner]);
            let ends = vertices.map(|v| surface.lattice().metres(surface.vertices()[v as usize]));
            let low = corners.map(|corner| height(surface, face.heights[corner]));
            let high = [0, 1].map(|end| {
                around.elevation(ends[end]).map_or(low[end], |level| level.max(low[end]))
            });
            let tag = Tag { owner: 0, ..face.tag };
            let step = Step { ends, high, low, lean: 0.0, upper: tag, lower: face.tag, vertices };
            (high[0] - low[0] + high[1] - low[1] > LEAST_M).then_some(step)
        })
        .collect()
}

/// The upper edges of a wall whose face leans, as steps down to the face's foot.
pub(crate) fn brinks(lie: &Lie, wall: WorkId) -> Vec<Step> {
    let surface: &Surface = lie.surface();
    let is = |face: u32, part: Part| {
        surface
            .faces()
            .get(face as usize)
            .is_some_and(|face| face.tag.owner == wall.0 && Part::of(face.tag.part) == part)
    };
    let mut found = Vec::new();
    for (idx, face) in surface.faces().iter().enumerate() {
        if !is(idx as u32, Part::WallTop) {
            continue;
        }
        for edge in 0..3 {
            let across = face.neighbours[edge];
            if !is(across, Part::WallFace) {
                continue;
            }
            let corners = [edge, (edge + 1) % 3];
            let vertices = corners.map(|corner| face.vertices[corner]);
            let high = corners.map(|corner| height(surface, face.heights[corner]));
            let ends = vertices.map(|v| surface.lattice().metres(surface.vertices()[v as usize]));
            let tag = surface.faces()[across as usize].tag;
            let mut step =
                Step { ends, high, low: high, lean: 0.0, upper: face.tag, lower: tag, vertices };
            let [from, to] = [0, 1].map(|end| foot_of(lie, &step, end));
            step.low = [from.0, to.0];
            let drop = high[0] + high[1] - from.0 - to.0;
            step.lean = (from.1 + to.1) / drop.max(0.05);
            found.push(step);
        }
    }
    sort(&mut found);
    found
}

fn sort(steps: &mut [Step]) {
    let key = |step: &Step| {
        let [[a, b], [c, d]] = step.ends;
        [a, b, c, d, step.high[0], step.low[0]]
    };
    steps.sort_by(|one, other| {
        let pairs = key(one).into_iter().zip(key(other));
        pairs.map(|(a, b)| a.total_cmp(&b)).find(|order| order.is_ne()).unwrap_or(Ordering::Equal)
    });
}

/// The height of the ground at the foot of a leaning face, and how far out that is.
fn foot_of(lie: &Lie, step: &Step, end: usize) -> (f64, f64) {
    const STRIDE_M: f64 = 0.03;
    const REACH: usize = 30;
    let out = step.outward();
    let [x, y] = step.ends[end];
    let mut foot = (step.high[end], 0.0);
    for stride in 1..=REACH {
        let off = stride as f64 * STRIDE_M;
        let at = [x + f64::from(out.x) * off, y - f64::from(out.z) * off];
        let (Some(face), Some(z)) = (lie.face_at(at), lie.elevation(at)) else { break };
        if z < foot.0 {
            foot = (z, off);
        }
        let tag = lie.surface().faces()[face as usize].tag;
        if tag.owner != step.lower.owner || Part::of(tag.part) != Part::WallFace {
            break;
        }
    }
    foot
}

/// Joins the steps that `keep` names into runs.
pub(crate) fn runs(steps: &[Step], keep: impl Fn(&Step) -> bool) -> Vec<Run> {
    let kept: Vec<&Step> = steps.iter().filter(|step| keep(step)).collect();
    let mut from: BTreeMap<u32, Vec<usize>> = BTreeMap::new();
    let mut arrivals: BTreeMap<u32, usize> = BTreeMap::new();
    for (idx, step) in kept.iter().enumerate() {
        from.entry(step.vertices[0]).or_default().push(idx);
        *arrivals.entry(step.vertices[1]).or_default() += 1;
    }
    let mut used = vec![false; kept.len()];
    let is_start = |idx: usize| !arrivals.contains_key(&kept[idx].vertices[0]);
    let starts = (0..kept.len()).filter(|i| is_start(*i)).chain(0..kept.len());
    let mut runs = Vec::new();
    for start in starts {
        let mut run = Run::new();
        let mut at = Some(start).filter(|idx| !used[*idx]);
        while let Some(idx) = at {
            used[idx] = true;
            run.push(*kept[idx]);
            let onward = from.get(&kept[idx].vertices[1]);
            at = onward.and_then(|next| next.iter().copied().find(|n| !used[*n]));
        }
        if !run.is_empty() {
            runs.push(run);
        }
    }
    runs
}

/// The upright faces as a mesh, dark toward their feet.
pub(crate) fn shape(steps: &[Step], frame: SceneFrame, stuff: impl Fn(&Step) -> Stuff) -> Shape {
    let mut shape = Shape::default();
    for step in steps {
        let [a, b] = step.ends;
        let at = [
            frame.scene([a[0], a[1], step.low[0]]),
            frame.scene([b[0], b[1], step.low[1]]),
            frame.scene([b[0], b[1], step.high[1]]),
            frame.scene([a[0], a[1], step.high[0]]),
        ];
        let normal = step.outward();
        let stuff = stuff(step);
        let open = [0.6, 0.6, 0.9, 0.9];
        let names: [u32; 4] =
            std::array::from_fn(|i| shape.corner(Corner::new(at[i], normal, stuff).open(open[i])));
        shape.triangle([names[0], names[1], names[2]]);
        shape.triangle([names[0], names[2], names[3]]);
    }
    shape
}

impl Step {
    /// A level upright face, the upper ground on the left of its ends.
    #[cfg(test)]
    pub(crate) fn between(ends: [[f64; 2]; 2], [high, low]: [f64; 2], tag: Tag) -> Self {
        Self {
            ends,
            high: [high; 2],
            low: [low; 2],
            lean: 0.0,
            upper: tag,
            lower: tag,
            vertices: [0, 1],
        }
    }

    /// Its length in plan, in metres.
    pub(crate) fn length_m(&self) -> f64 {
        let [a, b] = self.ends;
        libm::hypot(b[0] - a[0], b[1] - a[1])
    }

    /// The scene's direction from the upper toward the lower ground.
    pub(crate) fn outward(&self) -> Vec3 {
        let [a, b] = self.ends;
        let (east, north) = ((b[0] - a[0]) as f32, (b[1] - a[1]) as f32);
        // Right of the way from a to b is (north, -east) in plan; the scene's z is south.
        Vec3::new(north, 0.0, east).normalize_or(Vec3::X)
    }
}

fn step_between(surface: &Surface, idx: usize, edge: usize, across: usize) -> Option<Step> {
    let (face, other) = (surface.faces()[idx], surface.faces()[across]);
    let ends = [face.vertices[edge], face.vertices[(edge + 1) % 3]];
    let own = [face.heights[edge], face.heights[(edge + 1) % 3]].map(|h| height(surface, h));
    let mut theirs = [0.0; 2];
    for (slot, end) in theirs.iter_mut().zip(ends) {
        let corner = other.vertices.iter().position(|v| *v == end)?;
        *slot = height(surface, other.heights[corner]);
    }
    let rise = [own[0] - theirs[0], own[1] - theirs[1]];
    if rise.iter().all(|r| r.abs() < LEAST_M) {
        return None;
    }
    let places = ends.map(|v| surface.lattice().metres(surface.vertices()[v as usize]));
    Some(if rise[0] + rise[1] > 0.0 {
        Step {
            ends: places,
            high: own,
            low: theirs,
            lean: 0.0,
            upper: face.tag,
            lower: other.tag,
            vertices: ends,
        }
    } else {
        Step {
            ends: [places[1], places[0]],
            high: [theirs[1], theirs[0]],
            low: [own[1], own[0]],
            lean: 0.0,
            upper: other.tag,
            lower: face.tag,
            vertices: [ends[1], ends[0]],
        }
    })
}

fn height(surface: &Surface, idx: u32) -> f64 {
    surface.heights()[idx as usize]
}
