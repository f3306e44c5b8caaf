//! One stage after another: each work's band laid on the ground that the works before it left.

use std::sync::Arc;

use ground::overlay::{self, Changed, Domain, Keep, Rooted, Trace};
use ground::query::Locator;
use ground::{NONE, Surface};

use crate::OpenEnd;
use crate::part::Part;
use crate::works::{Band, CORE, Inlay, is_same, number};

/// The ground after a work, and how the work's shape met it.
#[derive(Clone, Debug)]
pub(crate) struct Settled {
    /// The ground after each bound of the band that was laid, in their order.
    steps: Vec<Arc<Step>>,
    /// What was put in place of a lid.
    core: Option<Arc<Surface>>,
    pub(crate) after: Arc<Surface>,
    pub(crate) open_ends: Vec<OpenEnd>,
    pub(crate) beyond_m2: f64,
    /// What was laid where: the same one where the same was laid on the like ground.
    pub(crate) laid: Arc<Laid>,
}

/// A work's band laid on the ground that it found under it.
///
/// What holds of the ground under the band and of all that the band made of it holds wherever the
/// very same is laid, however the ground changes elsewhere.
#[derive(Clone, Debug)]
pub(crate) struct Laid;

/// One bound of a band laid on the ground.
#[derive(Clone, Debug)]
struct Step {
    before: Arc<Surface>,
    after: Arc<Surface>,
    changed: Changed,
    trace: Option<Trace>,
}

/// Whether a step is like an earlier one.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Found {
    Again,
    Anew,
}

/// Parts whose outline must meet the ground; any other part ends in a step because it is drawn so.
const MUST_MEET: [u32; 4] =
    [number(Part::CutBank), number(Part::FillBank), number(Part::Flank), number(Part::Backfill)];

/// Lays a band on the ground: max(lo, min(hi, ground)), where it reaches out from the work's core.
///
/// `earlier` is how the same bounds were laid on a ground that descends from the same existing one:
/// where both grounds are alike under them, what was found then is found again. Where a core does not fit
/// in the place of its lid, the `whole` band is laid instead.
pub(crate) fn settle(
    before: &Arc<Surface>,
    band: &Band,
    earlier: Option<&Settled>,
    whole: impl FnOnce() -> Band,
) -> Settled {
    let mut steps: Vec<Arc<Step>> = Vec::new();
    let mut all_again = earlier.is_some();
    for (bound, keep) in [(&band.hi, Keep::Lowest), (&band.lo, Keep::Highest)] {
        let Some(bound) = bound else { continue };
        let ground = steps.last().map_or(before, |step| &step.after);
        let known = earlier.and_then(|earlier| earlier.steps.get(steps.len()));
        let (step, found) = lay(ground, bound, keep, known);
        all_again &= found == Found::Again;
        steps.push(step);
    }
    let mut after = Arc::clone(steps.last().map_or(before, |step| &step.after));
    let core = band.inlay.as_ref().map(|inlay| Arc::clone(&inlay.core));
    if let Some(Inlay { lid, core }) = &band.inlay {
        match overlay::inlaid(&after, *lid, core) {
            Some(inlaid) => after = Arc::new(inlaid),
            None => return settle(before, &Band { inlay: None, ..whole() }, None, Band::default),
        }
    }
    all_again &= earlier.is_none_or(|earlier| is_same(&earlier.core, &core));
    let mut open_ends: Vec<OpenEnd> = steps.iter().flat_map(|step| ends(&step.changed)).collect();
    if let Some(owner) = band.owner() {
        open_ends.extend(cut_off(before, &after, owner));
    }
    let beyond_m2 = steps.iter().map(|step| step.changed.beyond_area_m2).fold(0.0, f64::max);
    let laid = match earlier.filter(|_| all_again) {
        Some(earlier) => Arc::clone(&earlier.laid),
        None => Arc::new(Laid),
    };
    Settled { steps, core, after, open_ends, beyond_m2, laid }
}

/// Lays one bound on the ground, as it was laid before where that says all.
fn lay(
    ground: &Arc<Surface>,
    bound: &Surface,
    keep: Keep,
    known: Option<&Arc<Step>>,
) -> (Arc<Step>, Found) {
    if let Some(known) = known.filter(|known| Arc::ptr_eq(&known.before, ground)) {
        return (Arc::clone(known), Found::Again);
    }
    let again = known.and_then(|known| {
        let trace = known.trace.as_ref()?;
        Some((known.changed.clone(), trace.again(bound, &known.before, ground)?))
    });
    let (changed, surface, trace, found) = match again {
        Some((changed, composition)) => {
            (changed, composition.surface, Some(composition.trace), Found::Again)
        }
        None => {
            let rooted = Rooted::Parts(&CORE);
            let composed = overlay::compose(ground, bound, keep, Domain::Ground, rooted);
            (composed.changed, composed.surface, composed.trace, Found::Anew)
        }
    };
    let is_changed = changed.won_area_m2 > 0.0;
    let after = if is_changed { Arc::new(surface) } else { Arc::clone(ground) };
    (Arc::new(Step { before: Arc::clone(ground), after, changed, trace }), found)
}

/// The stretches of the ground's border at which a work's banks are cut off before they meet it.
fn cut_off(before: &Surface, after: &Surface, owner: u32) -> Vec<OpenEnd> {
    let at_border: Vec<_> = (after.faces().iter())
        .filter(|face| face.tag.owner == owner && MUST_MEET.contains(&face.tag.part))
        .flat_map(|face| (0..3).filter(|&k| face.neighbours[k] == NONE).map(move |k| (face, k)))
        .collect();
    if at_border.is_empty() {
        return Vec::new();
    }
    let (lattice, ground) = (after.lattice(), Locator::new(before));
    at_border
        .into_iter()
        .filter_map(|(face, k)| {
            let ends = [k, (k + 1) % 3];
            let ends_m = ends.map(|c| lattice.metres(after.vertices()[face.vertices[c] as usize]));
            let rises = ends.map(|c| {
                let at = lattice.metres(after.vertices()[face.vertices[c] as usize]);
                let ground_m = ground.elevation(at)?;
                Some(after.heights()[face.heights[c] as usize] - ground_m)
            });
            let rise_m = greater(rises[0]?, rises[1]?);
            (rise_m.abs() > LEAST_RISE_M).then_some(OpenEnd { ends_m, rise_m })
        })
        .collect()
}

/// Lower steps than this are none: the survey is no better.
const LEAST_RISE_M: f64 = 1e-3;

/// A bank's end lower than this is trimmed by the shovel: common practice.
const TRIM_M: f64 = 0.10;

fn greater(a: f64, b: f64) -> f64 {
    if a.abs() > b.abs() { a } else { b }
}

/// Where a bound ends in the air or in the earth and should have met the ground.
fn ends(changed: &Changed) -> impl Iterator<Item = OpenEnd> + '_ {
    let open = changed.open_ends.iter().filter(|end| {
        MUST_MEET.contains(&end.tag.part) && greater(end.rise_m[0], end.rise_m[1]).abs() > TRIM_M
    });
    open.map(|end| OpenEnd {
        ends_m: [end.from, end.to],
        rise_m: greater(end.rise_m[0], end.rise_m[1]),
    })
}
