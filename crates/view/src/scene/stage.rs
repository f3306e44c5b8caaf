//! Which ground of the job is drawn.

use std::sync::Arc;

use design::Evaluation;
use design::job::{Built, Step};
use ground::Surface;

/// A ground between the survey and the finished garden.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub(crate) enum Stage {
    /// When all is built.
    #[default]
    Finished,
    /// As surveyed, before anything is begun.
    Before,
    /// With the topsoil off, before anything is dug.
    Stripped,
    /// To which the machine digs and fills.
    Subgrade,
    /// The subgrade with the liner laid.
    Liner,
    /// After a step of the job, by its place among the steps.
    Job(usize),
}

/// The surface of a stage, and how far the garden is built on it; the finished one where there is no
/// other.
pub(super) fn ground_at(
    stage: Stage,
    job: &[Step],
    evaluation: &Evaluation,
) -> Option<(Arc<Surface>, Built)> {
    let finished = || {
        let surface = evaluation.finished.clone().or_else(|| evaluation.existing.clone());
        surface.map(|surface| (surface, Built::Water))
    };
    match (stage, &evaluation.between) {
        (Stage::Finished, _) => finished(),
        (Stage::Before, _) => Some((evaluation.existing.clone()?, Built::Nothing)),
        (Stage::Stripped, Some(between)) => Some((between.stripped.clone(), Built::Earth)),
        (Stage::Subgrade, Some(between)) => Some((between.subgrade.clone(), Built::Earth)),
        (Stage::Liner, Some(between)) => Some((between.subgrade.clone(), Built::Liner)),
        (Stage::Job(at), Some(_)) => match job.get(at) {
            Some(step) => Some((step.ground.clone(), step.built)),
            None => finished(),
        },
        (_, None) => finished(),
    }
}
