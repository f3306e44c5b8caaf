//! The JSON report: SI units, keys that stay, full precision.
//!
//! A value that is not computed is null, never zero: everything that hangs on a surface when the
//! survey makes none.

use design::{Evaluation, Finding, WaterKind};
use ground::Surface;
use ground::query::{extent_z, plan_area_m2};
use serde::Serialize;
use site::Site;

use super::limits::{self, ChangedLimitReport};
use super::pictures::{self, PictureReport};
use super::{FORMAT, name_of, running};

#[derive(Serialize)]
struct Report<'a> {
    format: u32,
    title: &'a str,
    surfaces: Surfaces,
    earthwork: Earthwork,
    haul: HaulReport,
    water: Vec<Water>,
    running: Option<running::RunningReport>,
    findings: Vec<FindingReport<'a>>,
    limits_changed: Vec<ChangedLimitReport>,
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pictures: Vec<PictureReport<'a>>,
}

#[derive(Serialize)]
struct Surfaces {
    existing: SurfaceReport,
    subgrade: SurfaceReport,
    finished: SurfaceReport,
}

#[derive(Default, Serialize)]
struct SurfaceReport {
    points: Option<usize>,
    triangles: Option<usize>,
    plan_area_m2: Option<f64>,
    min_z_m: Option<f64>,
    max_z_m: Option<f64>,
}

#[derive(Serialize)]
struct Earthwork {
    cut_bank_m3: Option<f64>,
    fill_compacted_m3: Option<f64>,
    recut_m3: Option<f64>,
    spoil_bank_m3: Option<f64>,
    topsoil: Topsoil,
    dug_m3: Option<f64>,
    over_dig_m3: Option<f64>,
    works: Vec<WorkReport>,
    lifts: Option<Vec<Lift>>,
    plus_minus_m3: Option<f64>,
}

#[derive(Default, Serialize)]
struct Topsoil {
    strip_m3: Option<f64>,
    respread_m3: Option<f64>,
    surplus_m3: Option<f64>,
}

#[derive(Serialize)]
struct WorkReport {
    work: String,
    from: String,
    to: String,
    cut_m3: f64,
    fill_m3: f64,
}

#[derive(Serialize)]
struct Lift {
    from_m: f64,
    to_m: f64,
    dug_m3: f64,
}

#[derive(Serialize)]
struct HaulReport {
    spoil_loose_m3: Option<f64>,
    spoil_mass_t: Option<f64>,
    loads: Option<u32>,
    governed_by: Option<&'static str>,
}

#[derive(Serialize)]
struct Water {
    basin: String,
    level_m: f64,
    area_m2: f64,
    volume_m3: f64,
    stages: Vec<Stage>,
}

#[derive(Serialize)]
struct Stage {
    level_m: f64,
    area_m2: f64,
    volume_m3: f64,
}

#[derive(Serialize)]
struct FindingReport<'a> {
    code: &'static str,
    severity: &'static str,
    work: Option<String>,
    at: [f64; 3],
    measured: f64,
    limit: f64,
    unit: &'static str,
    message: &'a str,
    remedy: Option<&'a str>,
    source: &'static str,
}

/// The JSON report: SI units, places in the survey's own frame.
pub fn json(site: &Site, evaluation: &Evaluation) -> String {
    let report = Report {
        format: FORMAT,
        title: &site.title,
        surfaces: Surfaces {
            existing: surface(evaluation.existing.as_deref()),
            subgrade: surface(evaluation.between.as_ref().map(|between| &*between.subgrade)),
            finished: surface(evaluation.finished.as_deref()),
        },
        earthwork: earthwork(site, evaluation),
        haul: haul(evaluation),
        water: water(site, evaluation),
        running: running::report(site, evaluation),
        findings: evaluation.findings.iter().map(|one| finding(site, one)).collect(),
        limits_changed: limits::report(site),
        pictures: pictures::report(site),
    };
    let mut text = serde_json::to_string_pretty(&report)
        .expect("numbers, texts and lists with plain keys always make JSON");
    text.push('\n');
    text
}

fn surface(surface: Option<&Surface>) -> SurfaceReport {
    let Some(surface) = surface else { return SurfaceReport::default() };
    let range_z = extent_z(surface);
    SurfaceReport {
        points: Some(surface.vertices().len()),
        triangles: Some(surface.faces().len()),
        plan_area_m2: Some(plan_area_m2(surface)),
        min_z_m: range_z.map(|[low, _]| low),
        max_z_m: range_z.map(|[_, high]| high),
    }
}

fn earthwork(site: &Site, evaluation: &Evaluation) -> Earthwork {
    let (earth, known) = (&evaluation.earth, |m3: f64| known(evaluation, m3));
    Earthwork {
        cut_bank_m3: known(earth.cut_bank_m3),
        fill_compacted_m3: known(earth.fill_compacted_m3),
        recut_m3: known(earth.recut_m3),
        spoil_bank_m3: known(earth.spoil_bank_m3),
        topsoil: Topsoil {
            strip_m3: known(earth.topsoil.strip_m3),
            respread_m3: known(earth.topsoil.respread_m3),
            surplus_m3: known(earth.topsoil.surplus_m3),
        },
        dug_m3: known(earth.dug_m3),
        over_dig_m3: known(earth.over_dig_m3),
        works: works(site, evaluation),
        lifts: evaluation.finished.is_some().then(|| lifts(evaluation)),
        plus_minus_m3: known(earth.plus_minus_m3),
    }
}

/// What hangs on finished ground: nothing where there is none.
fn known<T>(evaluation: &Evaluation, value: T) -> Option<T> {
    evaluation.finished.is_some().then_some(value)
}

fn works(site: &Site, evaluation: &Evaluation) -> Vec<WorkReport> {
    let mut from = "stripped".to_owned();
    let mut reports = Vec::new();
    for (rank, outcome) in evaluation.works.iter().enumerate() {
        let work = name_of(site, outcome.work);
        let is_last = rank + 1 == evaluation.works.len();
        let to = if is_last { "subgrade".to_owned() } else { format!("after {work}") };
        let from = std::mem::replace(&mut from, to.clone());
        let (cut_m3, fill_m3) = (outcome.cut_m3, outcome.fill_m3);
        reports.push(WorkReport { work, from, to, cut_m3, fill_m3 });
    }
    reports
}

fn lifts(evaluation: &Evaluation) -> Vec<Lift> {
    let of =
        |lift: &design::Lift| Lift { from_m: lift.from_m, to_m: lift.to_m, dug_m3: lift.dug_m3 };
    evaluation.lifts.iter().map(of).collect()
}

fn haul(evaluation: &Evaluation) -> HaulReport {
    let haul = evaluation.haul;
    HaulReport {
        spoil_loose_m3: known(evaluation, haul.spoil_loose_m3),
        spoil_mass_t: known(evaluation, haul.spoil_mass_t),
        loads: known(evaluation, haul.loads).flatten(),
        governed_by: known(evaluation, haul.governed_by).filter(|_| haul.loads.is_some()),
    }
}

fn water(site: &Site, evaluation: &Evaluation) -> Vec<Water> {
    let bodies = evaluation.water.iter().filter(|body| body.kind == WaterKind::Basin);
    bodies
        .map(|body| Water {
            basin: name_of(site, body.work),
            level_m: body.level_m,
            area_m2: body.area_m2,
            volume_m3: body.volume_m3,
            stages: body
                .stages
                .iter()
                .map(|&[level_m, area_m2, volume_m3]| Stage { level_m, area_m2, volume_m3 })
                .collect(),
        })
        .collect()
}

fn finding<'a>(site: &Site, finding: &'a Finding) -> FindingReport<'a> {
    let [x, y, z] = finding.at_m;
    let [east, north] = site.frame.origin_m;
    FindingReport {
        code: finding.code.as_str(),
        severity: finding.severity.as_str(),
        work: finding.work.map(|id| name_of(site, id)),
        at: [x + east, y + north, z],
        measured: finding.measured.value,
        limit: finding.measured.limit,
        unit: finding.measured.unit.as_str(),
        message: &finding.message,
        remedy: finding.remedy.as_ref().map(|remedy| remedy.message.as_str()),
        source: finding.source,
    }
}
