//! The gravel that fills filter beds.

use ground::query::region;
use site::{Site, WorkId, WorkKind};

use crate::Evaluation;
use crate::part::Part;

/// The gravel in each filter bed, from its floor and sides up to its top, as it lies, in cubic metres;
/// in building order, without beds that the finished ground does not show.
///
/// It is no layer of one thickness, so it is not among the layers laid between subgrade and finished
/// ground: these end at the bed's floor.
pub fn filter_gravel(site: &Site, evaluation: &Evaluation) -> Vec<(WorkId, f64)> {
    let Some(finished) = evaluation.finished.as_deref() else { return Vec::new() };
    let gravel = |work: WorkId| {
        let WorkKind::FilterBed(bed) = &site.work(work)?.kind else { return None };
        let top_m = bed.lip.elevation_m - bed.gravel_below_lip_m;
        let depths = |face: u32| {
            let face = &finished.faces()[face as usize];
            let holds = matches!(Part::of(face.tag.part), Part::Floor | Part::Side | Part::Shelf);
            let is_own = face.tag.owner == work.0 && holds;
            face.heights.map(|h| if is_own { top_m - finished.heights()[h as usize] } else { -1.0 })
        };
        Some((work, region(finished, depths).integral)).filter(|(_, volume_m3)| *volume_m3 > 0.0)
    };
    evaluation.works.iter().filter_map(|outcome| gravel(outcome.work)).collect()
}
