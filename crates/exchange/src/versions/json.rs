//! Two versions as JSON: SI units at full precision; a value that is not known is null.

use design::Versions;
use serde::Serialize;
use units::LengthUnit;

use super::changes::changes;
use super::{Numbers, works};
use crate::comparison::Comparison;

#[derive(Serialize)]
struct Report {
    versions: [Version; 2],
    works: Vec<Work>,
    between: Option<Comparison>,
    parameters: Vec<Parameter>,
}

#[derive(Serialize)]
struct Version {
    name: String,
    title: String,
    cut_bank_m3: Option<f64>,
    fill_compacted_m3: Option<f64>,
    recut_m3: Option<f64>,
    spoil_bank_m3: Option<f64>,
    loads: Option<u32>,
    water_m3: Option<f64>,
    stop: usize,
    look_at: usize,
}

#[derive(Serialize)]
struct Work {
    work: String,
    cut_m3: [Option<f64>; 2],
    fill_m3: [Option<f64>; 2],
}

#[derive(Serialize)]
struct Parameter {
    of: String,
    what: String,
    values: Option<[String; 2]>,
}

/// Two versions as JSON; lists of two hold the first version, then the second. Parameters read as
/// people read them, in metres.
pub fn json(versions: &Versions<'_>, names: [&str; 2]) -> String {
    let work = |work: super::WorkNumbers| Work {
        work: work.name,
        cut_m3: work.moved_m3.map(|moved| moved.map(|[cut, _]| cut)),
        fill_m3: work.moved_m3.map(|moved| moved.map(|[_, fill]| fill)),
    };
    let sites = versions.sites.each_ref().map(|site| &**site);
    let parameters = changes(sites, &versions.differences, names, LengthUnit::Metre).into_iter();
    let report = Report {
        versions: [0, 1].map(|k| version(versions, names, k)),
        works: works(versions).into_iter().map(work).collect(),
        between: versions.between.as_ref().map(Comparison::of),
        parameters: parameters
            .map(|change| Parameter { of: change.owner, what: change.what, values: change.values })
            .collect(),
    };
    let mut text = serde_json::to_string_pretty(&report)
        .expect("numbers, texts and lists with plain keys always make JSON");
    text.push('\n');
    text
}

fn version(versions: &Versions<'_>, names: [&str; 2], k: usize) -> Version {
    let numbers = Numbers::of(&versions.evaluations[k]);
    Version {
        name: names[k].to_owned(),
        title: versions.sites[k].title.clone(),
        cut_bank_m3: numbers.cut_bank_m3,
        fill_compacted_m3: numbers.fill_compacted_m3,
        recut_m3: numbers.recut_m3,
        spoil_bank_m3: numbers.spoil_bank_m3,
        loads: numbers.loads,
        water_m3: numbers.water_m3,
        stop: numbers.n_stop,
        look_at: numbers.n_look_at,
    }
}
