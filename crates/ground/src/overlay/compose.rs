//! Composing a patch into the ground: the higher or the lower of both.

use super::assemble::assemble;
use super::chains::{Pair, links, with_whole};
use super::direct::compose_plain;
use super::outcome::Changed;
use super::regions::keep_standing;
use super::replacement::Replacement;
use super::touched::Touched;
use super::trace::Trace;
use super::winners::{Parts, Want};
use crate::surface::Surface;

/// Which of two surfaces wins.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Keep {
    /// The higher one: a hill on the ground.
    Highest,
    /// The lower one: a dig into the ground.
    Lowest,
}

/// What a composed surface covers.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Domain {
    /// What the ground covers: a patch beyond it is cut off.
    Ground,
    /// What either covers.
    Union,
}

/// Which of the places where the patch wins count.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Rooted<'r> {
    /// All of them.
    Anywhere,
    /// Only those connected, through places where the patch wins, with a patch face whose tag names
    /// one of these parts.
    Parts(&'r [u32]),
}

impl Rooted<'_> {
    /// Whether what the patch wins with each of its faces stands by itself.
    pub(crate) fn roots(self, patch: &Surface) -> Vec<bool> {
        match self {
            Self::Anywhere => vec![true; patch.faces().len()],
            Self::Parts(parts) => {
                patch.faces().iter().map(|face| parts.contains(&face.tag.part)).collect()
            }
        }
    }
}

/// A composed surface, and what the patch changed.
#[derive(Clone, Debug, PartialEq)]
pub struct Composed {
    /// The composed surface; the very ground where the patch wins nowhere.
    pub surface: Surface,
    /// What the patch changed.
    pub changed: Changed,
    /// What the result rests on; none unless the patch is rooted in parts of its own, over the
    /// ground's domain.
    pub trace: Option<Trace>,
}

/// The highest or the lowest of `ground` and `patch`.
///
/// Where both are level with each other the ground stays, so composing the same patch once more over
/// the ground's domain returns the same bytes. Each face keeps the tag and the plane of the face that it is a part of;
/// vertices lie within a few lattice steps of where the planes meet. Along the patch's outline the
/// surface may step.
///
/// # Panics
/// When the surfaces lie on different lattices.
pub fn compose(
    ground: &Surface,
    patch: &Surface,
    keep: Keep,
    domain: Domain,
    rooted: Rooted<'_>,
) -> Composed {
    if domain == Domain::Ground
        && rooted == Rooted::Anywhere
        && let Some((surface, changed)) = compose_plain(ground, patch, keep)
    {
        return Composed { surface, changed, trace: None };
    }
    compose_in_general(ground, patch, keep, domain, rooted)
}

/// The same by the way that takes surfaces in any position.
pub(super) fn compose_in_general(
    ground: &Surface,
    patch: &Surface,
    keep: Keep,
    domain: Domain,
    rooted: Rooted<'_>,
) -> Composed {
    let want = if domain == Domain::Union { Want::Both } else { Want::Won };
    let mut parts = Parts::new(ground, patch, keep, want, rooted);
    keep_standing(&mut parts);
    let changed = Changed::new(ground, patch, &parts);
    if !parts.any_won && domain == Domain::Ground {
        let trace = parts
            .read(ground, &[])
            .map(|read| Trace::new(keep, read, &changed, Replacement::default()));
        return Composed { surface: ground.clone(), changed, trace };
    }
    let (new, surface, touched) = drawn(&Pair { ground, patch, domain }, &mut parts);
    let trace = parts.read(ground, touched.whole());
    let trace = trace.map(|read| Trace::new(keep, read, &changed, new));
    Composed { surface, changed, trace }
}

/// What the parts that are won put in place of faces of the ground, the surface with it, and which
/// faces were drawn.
pub(crate) fn drawn(pair: &Pair<'_>, parts: &mut Parts) -> (Replacement, Surface, Touched) {
    let mut touched = Touched::new(pair, parts);
    let mut links = links(pair, parts, touched.whole());
    loop {
        let mut drawn = touched.draw(pair, parts, links);
        let joining = touched.grow(pair, &drawn);
        if joining.is_empty() {
            let (new, surface) = assemble(pair, &mut drawn, &touched);
            return (new, surface, touched);
        }
        links = with_whole(pair, parts, drawn.links, joining);
    }
}
