//! The grounds of a site as a file that machines and viewers read.

use std::path::Path;

use anyhow::{anyhow, bail};
use design::{Evaluation, Severity, evaluate};
use exchange::content::{Line, LineKind, LinePlace};
use exchange::convert::{OfSite, write_site};
use exchange::report;
use site::Site;

use super::wanted;
use crate::cli::{Convert, ReadArgs};
use crate::ground_file::at;
use crate::site_folder::{SiteFolder, write_whole};
use crate::stage::Stage;
use crate::{Outcome, progress, say};

/// The site that is to be written, with those of its grounds that are; none where a file is to be read.
///
/// # Errors
/// A folder without a site, or a stage that there is none of, by name.
pub(super) fn told(input: &Path) -> anyhow::Result<Option<(Site, Vec<Stage>)>> {
    let text = input.to_string_lossy();
    if !input.is_dir() {
        return Ok(Stage::told(&text)?.map(|(site, stage)| (site, vec![stage])));
    }
    let folder = SiteFolder::at(input);
    if !folder.holds_site() {
        bail!("{text}: read a folder, expected a file of ground or a site's folder");
    }
    Ok(Some((folder.open()?, vec![Stage::Existing, Stage::Subgrade, Stage::Finished])))
}

/// Writes grounds of a site.
pub(super) fn run(asked: &Convert, site: &Site, stages: &[Stage]) -> anyhow::Result<Outcome> {
    let read = ReadArgs { units: Some(site.frame.unit), ..asked.read.clone() };
    let wanted = wanted(&read, asked)?;
    let evaluation = progress::during("working out the grounds", || evaluate(site));
    progress::go_on()?;
    let surfaces = stages.iter().map(|stage| {
        let ground = stage.of(&evaluation).map(|surface| (*surface).clone());
        let surface = ground.ok_or_else(|| anyhow!("there is no {} ground", stage.name()));
        surface.map(|surface| (stage.name().to_owned(), surface))
    });
    let of_site = OfSite {
        frame: site.frame.clone(),
        surfaces: surfaces
            .collect::<anyhow::Result<_>>()
            .map_err(|error| at(&asked.input, &error))?,
        lines: edges(site, &evaluation),
    };
    let bytes = write_site(of_site, &asked.output.to_string_lossy(), &wanted)
        .map_err(|error| at(&asked.input, &error))?;
    write_whole(&asked.output, &bytes)?;
    let names: Vec<&str> = stages.iter().map(|stage| stage.name()).collect();
    say(&format!("{} written: {}\n", asked.output.display(), names.join(", ")))?;
    Ok(match report::n_findings(&evaluation, Severity::Stop) {
        0 => Outcome::Done,
        n => {
            let findings =
                if n == 1 { "1 finding says".into() } else { format!("{n} findings say") };
            say(&format!(
                "  {findings} stop: the grounds are not to be built as drawn; `tarnwright report` tells \
                 why\n"
            ))?;
            Outcome::StopStands
        }
    })
}

/// Liner edges and tops of walls, each named by its work, in metres of the world's frame.
fn edges(site: &Site, evaluation: &Evaluation) -> Vec<Line> {
    let [east, north] = site.frame.origin_m;
    let line = |name: String, at_m: &[[f64; 3]]| Line {
        name,
        kind: LineKind::Other,
        places: at_m.iter().map(|[x, y, z]| LinePlace::solid([x + east, y + north, *z])).collect(),
    };
    let mut lines = Vec::new();
    for outcome in &evaluation.works {
        let Some(work) = site.works.iter().find(|work| work.id == outcome.work) else { continue };
        let (edges, tops) = (&outcome.shape.liner_edges, &outcome.shape.wall_tops);
        lines.extend(edges.iter().map(|edge| line(format!("{}, liner edge", work.name), edge)));
        lines.extend(tops.iter().map(|top| line(format!("{}, top", work.name), top)));
    }
    lines
}
