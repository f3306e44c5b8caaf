//! Composing two surfaces in plain position: neither has steps, no vertex of one stands on an edge of
//! the other, and nowhere are they level with each other at a vertex or a crossing.
//!
//! Then the sign of the gain at vertices and crossings tells where the patch wins, and crossings of
//! edges are no corners of the result. What each face keeps is drawn from who wins its corners, where
//! the zero line crosses its edges, and where that runs within it. The general way is for the rest.

mod borders;
mod field;
mod marks;
mod mend;
mod outline;
mod sew;
mod standing;

use std::ops::ControlFlow;

use super::cells::shared_area;
use super::compose::Keep;
use super::facet::Facets;
use super::outcome::Changed;
use super::walk::{pairs_of, pairs_while};
use crate::Total;
use crate::predicates::orient;
use crate::surface::Surface;
use field::{Along, Faces, Field};
use mend::mend;
use sew::Sewing;
use standing::give_back_traces;

/// The highest or the lowest of two surfaces in plain position over the ground's plan, and what the
/// patch changed; none where they are not, or where rounding undoes it.
pub(super) fn compose_plain(
    ground: &Surface,
    patch: &Surface,
    keep: Keep,
) -> Option<(Surface, Changed)> {
    let mut field = Field::new(ground, patch, keep)?;
    let (mut grounds, mut patches) = (Facets::of(ground), Facets::of(patch));
    let walked = pairs_while(patch, ground, |above, under, shared| {
        let faces = Faces { under: grounds.at(under), above: patches.at(above) };
        match field.take(faces, shared) {
            Ok(()) => ControlFlow::Continue(()),
            Err(_) => ControlFlow::Break(()),
        }
    });
    if walked.is_break() {
        return None;
    }
    give_back_traces(&mut field).ok()?;
    for (node, height_m) in std::mem::take(&mut field.over_border) {
        if field.is_won(node) {
            field.heights[node as usize] = height_m;
        }
    }
    let beyond_area = beyond_area(&field);
    let (surface, won_area) = if field.rims.iter().all(|rim| rim.along == Along::Nothing) {
        (ground.clone(), 0.0)
    } else {
        let at = std::mem::take(&mut field.at);
        let mut sewing = Sewing::of(&field, at).ok()?;
        mend(&mut sewing).ok()?;
        sewing.finish().ok()?
    };
    let step2_m2 = ground.lattice().step_m() * ground.lattice().step_m();
    let changed = Changed {
        won_area_m2: won_area * step2_m2,
        beyond_area_m2: beyond_area * step2_m2,
        open_ends: field.open_ends.into_iter().map(|(_, end)| end).collect(),
    };
    Some((surface, changed))
}

/// Plan area of the patch beyond the ground, in square steps.
fn beyond_area(field: &Field<'_>) -> f64 {
    let area = |face: u32| {
        let [a, b, c] = field.patch.corners(face);
        orient(a, b, c) as f64 / 2.0
    };
    let mut beyond = Total::default();
    let is_apart = |face: &u32| !field.is_met[*face as usize];
    (0..field.patch.faces().len() as u32).filter(is_apart).for_each(|face| beyond.add(area(face)));
    let mut is_cut = vec![false; field.patch.faces().len()];
    field.cut.iter().for_each(|&face| is_cut[face as usize] = true);
    (0..).zip(&is_cut).filter(|(_, is)| **is).for_each(|(face, _)| beyond.add(area(face)));
    pairs_of(
        field.patch,
        field.ground,
        |face| is_cut[face as usize],
        |above, under, shared| {
            let corners = [field.patch.corners(above), field.ground.corners(under)];
            beyond.add(-shared_area(shared, corners[0], corners[1]));
        },
    );
    beyond.value()
}

#[cfg(test)]
mod tests;
