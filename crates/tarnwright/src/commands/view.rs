//! `tarnwright view`: the 3D view.

use std::sync::Arc;

use view::OpenRequest;

use crate::cli::View;
use crate::site_folder::SiteFolder;
use crate::system::Needed;
use crate::{Outcome, system};

/// Opens the view until its window is closed.
pub(crate) fn run(asked: &View) -> anyhow::Result<Outcome> {
    let folder = SiteFolder::at(&asked.site);
    let mut site = folder.open()?;
    if let Some(autosaved) = folder.autosaved() {
        eprintln!(
            "tarnwright: work that was not saved last time is open again; save it to keep it"
        );
        site = autosaved;
    }
    if std::env::var_os("DISPLAY").is_some() {
        eprint!("{}", system::missing(Needed::Window));
    }
    let (save, autosave) = (folder.clone(), folder.clone());
    view::open(OpenRequest {
        site,
        folder_name: folder.name(),
        save: Arc::new(move |site| save.save(site).map_err(|error| format!("{error:#}"))),
        autosave: Some(Arc::new(move |site| {
            autosave.autosave(site).map_err(|error| format!("{error:#}"))
        })),
        size: asked.size.into(),
    })?;
    Ok(Outcome::Done)
}
