//! `tarnwright report`: numbers and findings on the terminal, as JSON, and in a folder.

use std::fs;
use std::path::Path;

use anyhow::Context as _;
use design::{Evaluation, Severity, evaluate};
use exchange::report;
use site::Site;

use crate::cli::Report;
use crate::site_folder::{SiteFolder, write_whole};
use crate::{Outcome, progress, say};

/// Reports a site.
pub(crate) fn run(asked: &Report) -> anyhow::Result<Outcome> {
    let site = SiteFolder::at(&asked.site).open()?;
    let evaluation = progress::during("working out the site", || evaluate(&site));
    if asked.json {
        say(&report::json(&site, &evaluation))?;
    } else {
        say(&report::text(&site, &evaluation))?;
    }
    if let Some(folder) = &asked.out {
        write_folder(folder, &site, &evaluation)?;
        if !asked.json {
            say(&format!("\nReport in {}\n", folder.display()))?;
        }
    }
    Ok(match report::n_findings(&evaluation, Severity::Stop) {
        0 => Outcome::Done,
        _ => Outcome::StopStands,
    })
}

fn write_folder(folder: &Path, site: &Site, evaluation: &Evaluation) -> anyhow::Result<()> {
    fs::create_dir_all(folder)
        .with_context(|| format!("{}: cannot make this folder", folder.display()))?;
    let texts = [
        ("report.json", report::json(site, evaluation)),
        ("works.csv", report::works_table(site, evaluation)),
        ("findings.csv", report::findings_table(site, evaluation)),
    ];
    for (name, text) in texts {
        write_whole(&folder.join(name), text.as_bytes())?;
    }
    Ok(())
}
