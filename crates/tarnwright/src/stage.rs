//! The grounds of a site that a command is told as `SITE:STAGE`.

use std::path::Path;
use std::sync::Arc;

use anyhow::bail;
use design::Evaluation;
use ground::Surface;
use site::Site;

use crate::site_folder::SiteFolder;

/// A ground on the way from the survey to the finished garden.
#[derive(Clone, Copy)]
pub(crate) enum Stage {
    Existing,
    Stripped,
    Subgrade,
    Liner,
    Finished,
}

/// What a stage may be called.
const STAGES: &str = "existing, stripped, subgrade, liner or finished";

impl Stage {
    const ALL: [Self; 5] =
        [Self::Existing, Self::Stripped, Self::Subgrade, Self::Liner, Self::Finished];

    /// The site and the stage that a text names; none for a file, or for a text without a colon.
    ///
    /// # Errors
    /// A folder without a site, or a stage that there is none of, by name.
    pub(crate) fn told(text: &str) -> anyhow::Result<Option<(Site, Self)>> {
        let Some((folder, stage)) = text.rsplit_once(':') else { return Ok(None) };
        let path = Path::new(folder);
        if Path::new(text).exists() || path.is_file() {
            return Ok(None);
        }
        let folder = SiteFolder::at(path);
        if !folder.holds_site() {
            bail!("{}: cannot be read, expected a site's folder or a point list", path.display());
        }
        let Some(&stage) = Self::ALL.iter().find(|one| one.name() == stage) else {
            bail!("{}: read the stage `{stage}`, expected {STAGES}", path.display());
        };
        Ok(Some((folder.open()?, stage)))
    }

    pub(crate) fn name(self) -> &'static str {
        match self {
            Self::Existing => "existing",
            Self::Stripped => "stripped",
            Self::Subgrade => "subgrade",
            Self::Liner => "liner",
            Self::Finished => "finished",
        }
    }

    /// Its ground; none where the survey makes no ground or no liner is laid.
    pub(crate) fn of(self, evaluation: &Evaluation) -> Option<Arc<Surface>> {
        let between = evaluation.between.as_ref();
        match self {
            Self::Existing => evaluation.existing.clone(),
            Self::Stripped => between.map(|between| Arc::clone(&between.stripped)),
            Self::Subgrade => between.map(|between| Arc::clone(&between.subgrade)),
            Self::Liner => between.and_then(|between| between.liner.clone()),
            Self::Finished => evaluation.finished.clone(),
        }
    }
}
