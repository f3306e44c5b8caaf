//! `tarnwright view`: the 3D view.

use std::path::Path;
use std::sync::Arc;

use view::OpenRequest;

use crate::cli::View;
use crate::site_folder::{SiteFolder, write_whole};
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
    let (save, autosave, prints) = (folder.clone(), folder.clone(), folder.clone());
    view::open(OpenRequest {
        site,
        folder_name: folder.name(),
        save: Arc::new(move |site| save.save(site).map_err(|error| format!("{error:#}"))),
        autosave: Some(Arc::new(move |site| {
            autosave.autosave(site).map_err(|error| format!("{error:#}"))
        })),
        print: Some(Arc::new(move |name, svg| {
            print(prints.path(), name, svg).map_err(|error| format!("{error:#}"))
        })),
        size: asked.size.into(),
    })?;
    Ok(Outcome::Done)
}

/// Writes a sheet beside the site under the first name that is free: what was printed before stays.
fn print(folder: &Path, name: &str, svg: &str) -> anyhow::Result<String> {
    let numbered = |n: usize| match n {
        1 => folder.join(format!("{name}.svg")),
        n => folder.join(format!("{name}-{n}.svg")),
    };
    let free = (1..).map(numbered).find(|path| !path.exists());
    let path = free.unwrap_or_else(|| numbered(1));
    write_whole(&path, svg.as_bytes())?;
    Ok(path.display().to_string())
}
