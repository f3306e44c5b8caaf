//! `tarnwright balance`: the least change of freed numbers that reaches goals.

use std::fs;
use std::path::Path;

use anyhow::Context as _;
use design::solver::solve;
use design::{Evaluator, Severity};
use exchange::{balance, report};
use site::Site;

use super::new::refuse_existing;
use crate::cli::Balance;
use crate::site_folder::{SiteFolder, write_whole};
use crate::{Outcome, progress, say};

/// Balances a site, or lists what can be freed of it.
pub(crate) fn run(asked: &Balance) -> anyhow::Result<Outcome> {
    let site = SiteFolder::at(&asked.site).open()?;
    if asked.list {
        say(&balance::listed(&site))?;
        return Ok(Outcome::Done);
    }
    if let Some(dir) = &asked.output {
        refuse_existing(dir)?;
    }
    let freed = asked.free.iter().map(|words| balance::freed(&site, words));
    let freed = freed.collect::<Result<Vec<_>, _>>().context("--free")?;
    let goals = asked.goal.iter().map(|words| balance::goal(words, site.frame.unit));
    let goals = goals.collect::<Result<Vec<_>, _>>().context("--goal")?;
    let found =
        progress::during("balancing", || solve(&mut Evaluator::default(), &site, &freed, &goals))?;
    if let Some(dir) = &asked.output {
        let title = asked.title.clone().unwrap_or_else(|| format!("{}, balanced", site.title));
        write_version(dir, &asked.site, &Site { title, ..found.site.clone() })?;
    }
    if asked.json {
        say(&balance::json(&site, &found))?;
    } else {
        say(&balance::text(&site, &found))?;
    }
    if let (Some(dir), false) = (&asked.output, asked.json) {
        say(&format!("\nVersion in {}\n", dir.display()))?;
    }
    Ok(match report::n_findings(&found.after, Severity::Stop) {
        0 => Outcome::Done,
        _ => Outcome::StopStands,
    })
}

/// Writes a version of a site into a folder of its own, with the survey that it names.
fn write_version(dir: &Path, from: &Path, site: &Site) -> anyhow::Result<()> {
    fs::create_dir_all(dir)
        .with_context(|| format!("{}: cannot make this folder", dir.display()))?;
    let survey = &site.survey.file;
    if !survey.is_empty() {
        let own = SiteFolder::at(from).path().join(survey);
        let bytes = fs::read(&own).with_context(|| format!("{}: cannot be read", own.display()))?;
        write_whole(&dir.join(survey), &bytes)?;
    }
    SiteFolder::at(dir).save(site)
}
