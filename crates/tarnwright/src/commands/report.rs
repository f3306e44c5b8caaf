//! `tarnwright report`: numbers and findings on the terminal, as JSON, and in a folder.

use std::fs;
use std::panic::{AssertUnwindSafe, catch_unwind};
use std::path::Path;
use std::sync::LazyLock;
use std::time::Instant;

use anyhow::Context as _;
use design::{Evaluation, Evaluator, Severity};
use exchange::{pdf, report};
use sheets::{DepthMap, SectionSheet, Shows, depth_map, section_sheet};
use site::Site;
use view::{From, PictureRequest};

use crate::cli::Report;
use crate::site_folder::{SiteFolder, write_whole};
use crate::system::Needed;
use crate::{Outcome, progress, say, system};

/// Size of the report's pictures in pixels.
const PICTURE: (u32, u32) = (1280, 720);

/// Reports a site.
pub(crate) fn run(asked: &Report) -> anyhow::Result<Outcome> {
    let site = SiteFolder::at(&asked.site).open()?;
    if asked.work_done {
        let evaluations = progress::during("working out the site", || evaluated_in_turn(&site));
        say(&report::work_done_text(&evaluations))?;
        return Ok(Outcome::Done);
    }
    let evaluation = progress::during("working out the site", || with_remedies(&site));
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

/// The evaluation, each finding with its remedy taken and measured where the program can take it.
fn with_remedies(site: &Site) -> Evaluation {
    let mut evaluator = Evaluator::default();
    let mut evaluation = evaluator.evaluate(site);
    for finding in &mut evaluation.findings {
        if let Some(remedy) = evaluator.remedy(site, finding) {
            finding.remedy = Some(remedy);
        }
    }
    evaluation
}

/// A site evaluated with nothing known, once more, and with one number of it moved a little.
fn evaluated_in_turn(site: &Site) -> Vec<report::Evaluated> {
    let mut evaluator = Evaluator::with_clock(clock_s);
    let mut evaluated = |what: String, site: &Site| {
        let start_s = clock_s();
        evaluator.evaluate(site);
        report::Evaluated { what, seconds: clock_s() - start_s, done: evaluator.work_done() }
    };
    let mut all = vec![
        evaluated("Nothing known before".into(), site),
        evaluated("Nothing changed".into(), site),
    ];
    all.extend(report::moved_a_little(site).map(|(moved, what)| evaluated(what, &moved)));
    all
}

/// Seconds since the clock was first read.
fn clock_s() -> f64 {
    static START: LazyLock<Instant> = LazyLock::new(Instant::now);
    START.elapsed().as_secs_f64()
}

fn write_folder(folder: &Path, site: &Site, evaluation: &Evaluation) -> anyhow::Result<()> {
    fs::create_dir_all(folder)
        .with_context(|| format!("{}: cannot make this folder", folder.display()))?;
    let texts = [
        ("report.json", report::json(site, evaluation)),
        ("works.csv", report::works_table(site, evaluation)),
        ("findings.csv", report::findings_table(site, evaluation)),
    ];
    let levels = report::levels_table(site, evaluation).map(|text| ("levels.csv", text));
    for (name, text) in texts.into_iter().chain(levels) {
        write_whole(&folder.join(name), text.as_bytes())?;
    }
    write_sheets(folder, site, evaluation)?;
    // Numbers are the report; pictures that no driver can draw are only said to be missing.
    match write_pictures(folder, site, evaluation)? {
        Drawn::All => {}
        Drawn::None(reason) => {
            eprintln!("tarnwright: no pictures: {reason}");
            eprint!("{}", system::missing(Needed::Pictures));
        }
    }
    Ok(())
}

/// The sheets, each as SVG, and all as the pages of one PDF.
fn write_sheets(folder: &Path, site: &Site, evaluation: &Evaluation) -> anyhow::Result<()> {
    let sheets = [
        ("cut-and-fill.svg", cut_and_fill(site, evaluation)),
        ("section.svg", section(site, evaluation)),
    ];
    let drawn: Vec<(&str, String)> =
        sheets.into_iter().filter_map(|(name, sheet)| Some((name, sheet?))).collect();
    for (name, sheet) in &drawn {
        write_whole(&folder.join(name), sheet.as_bytes())?;
    }
    let pages: Vec<&str> = drawn.iter().map(|(_, sheet)| sheet.as_str()).collect();
    if !pages.is_empty() {
        write_whole(&folder.join("sheets.pdf"), &pdf::write(&site.title, &pages)?)?;
    }
    Ok(())
}

/// What is dug and what is filled; none where there is no ground.
fn cut_and_fill(site: &Site, evaluation: &Evaluation) -> Option<String> {
    let grounds = [evaluation.existing.as_deref()?, evaluation.finished.as_deref()?];
    let between = ground::overlay::volumes(grounds[0], grounds[1]);
    let (shows, unit) = (Shows::Earthwork, site.frame.unit);
    Some(depth_map(&DepthMap { shows, site, grounds, between: &between, unit }))
}

/// The section down the stream, or through all works; none where there is no work.
fn section(site: &Site, evaluation: &Evaluation) -> Option<String> {
    let line = design::section::along(site, evaluation)?;
    let section = design::section::section(site, evaluation, &line)?;
    let name = "section through the garden";
    Some(section_sheet(&SectionSheet { name, section: &section, site }))
}

enum Drawn {
    All,
    None(String),
}

fn write_pictures(folder: &Path, site: &Site, evaluation: &Evaluation) -> anyhow::Result<Drawn> {
    let mut wanted = vec![
        ("plan.png", From::Plan),
        ("cut-and-fill.png", From::Depths),
        ("birds-eye.png", From::BirdsEye),
    ];
    if let Some(viewpoint) = site.viewpoints.first() {
        wanted.push(("walk.png", From::Walk(viewpoint.name.clone())));
    }
    let (width, height) = PICTURE;
    let requests: Vec<PictureRequest> = wanted
        .iter()
        .map(|(_, from)| PictureRequest { from: from.clone(), width, height })
        .collect();
    // A graphics driver that gives up takes the pictures with it, not the numbers.
    let draw = AssertUnwindSafe(|| view::pictures(site, evaluation, &requests));
    match progress::during("drawing pictures", || catch_unwind(draw)) {
        Ok(Ok(pictures)) => {
            for ((name, _), picture) in wanted.iter().zip(&pictures) {
                super::picture::write_png(&folder.join(name), picture)?;
            }
        }
        Ok(Err(reason)) => return Ok(Drawn::None(reason.to_string())),
        Err(_) => return Ok(Drawn::None("drawing broke off".to_owned())),
    }
    Ok(Drawn::All)
}
