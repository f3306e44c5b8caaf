//! `tarnwright view`: the 3D view.

mod memory;
mod start;

use std::path::Path;
use std::sync::Arc;

use view::{OpenRequest, Opened};

use crate::cli::View;
use crate::site_folder::{Keeper, SiteFolder};
use crate::system::Needed;
use crate::{Outcome, system};

/// Opens the view until its window is closed.
pub(crate) fn run(asked: &View) -> anyhow::Result<Outcome> {
    let opened = asked.site.as_deref().map(opened).transpose()?;
    if std::env::var_os("DISPLAY").is_some() {
        eprint!("{}", system::missing(Needed::Window));
    }
    view::open(OpenRequest {
        opened,
        start: Arc::new(start::Starter),
        memory: memory::memory(),
        size: asked.size.into(),
    })?;
    Ok(Outcome::Done)
}

/// A site in its folder, with what a crash may have left of it.
fn opened(path: &Path) -> anyhow::Result<Opened> {
    let folder = SiteFolder::at(path);
    let folder_name = folder.name();
    let (site, keeper) = Keeper::open(folder)?;
    let copies = keeper.copies(&site);
    Ok(Opened { site, folder_name, keep: Arc::new(keeper), copies })
}
