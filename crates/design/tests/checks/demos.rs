//! What the checks on water find on the demo sites.

use design::Evaluator;

pub(crate) use crate::demo_sites::{level_garden, rear_garden};

use super::*;

const CODES: [Code; 4] = [
    Code::RunoffEntersPond,
    Code::BareSoilDrainsIn,
    Code::GroundwaterLiftsLiner,
    Code::DrainsToHouse,
];

/// Runs of which the mean is told: the system counts a thread's time in steps of milliseconds.
const N_RUNS: u32 = 40;

fn told(site: &Site) -> Vec<(Code, Finding)> {
    let evaluation = evaluate(site);
    let ground = evaluation.finished.as_ref().expect("the demo has ground");
    println!("{}: {} faces", site.title, ground.faces().len());
    let of = |finding: Finding| CODES.contains(&finding.code).then_some((finding.code, finding));
    let found: Vec<_> = evaluation.findings.into_iter().filter_map(of).collect();
    for (code, finding) in &found {
        let remedy = finding.remedy.as_ref().map_or("", |remedy| remedy.message.as_str());
        println!("  {code:?} {:?} {:?}", finding.at_m, finding.measured);
        println!("    {}\n    {remedy}", finding.message);
    }
    found
}

/// The thread's time on a processor: other work on the machine does not count. By the clock where the
/// system does not tell.
pub(crate) fn on_processor() -> std::time::Duration {
    let told = std::fs::read_to_string("/proc/thread-self/schedstat").ok();
    let ns = told.and_then(|told| told.split(' ').next()?.parse().ok());
    ns.map_or_else(
        || std::time::UNIX_EPOCH.elapsed().unwrap_or_default(),
        std::time::Duration::from_nanos,
    )
}

/// Prints what is told, and what the checks cost an edit: `cargo test -- demos --nocapture`.
#[test]
fn the_demos_are_told_of_their_water() {
    for site in [rear_garden(), level_garden()] {
        told(&site);
        let mut evaluator = Evaluator::default();
        evaluator.evaluate(&site);
        let mean = |run: &mut dyn FnMut()| {
            let start = on_processor();
            (0..N_RUNS).for_each(|_| run());
            (on_processor() - start) / N_RUNS
        };
        // Findings alone: nothing else is made anew.
        println!("  again {:?}", mean(&mut || drop(evaluator.evaluate(&site))));
        let evaluation = evaluator.evaluate(&site);
        let finished = evaluation.finished.clone().expect("ground");
        let subgrade = evaluation.between.as_ref().expect("grounds").subgrade.clone();
        for ground in [&finished, &subgrade] {
            let mut found = None;
            let divide = mean(&mut || found = Some(::ground::query::catchments(ground, &[])));
            let found = found.expect("divided");
            let pass = mean(&mut || drop(found.passed_on(0.05)));
            println!("  {} faces: catchments {divide:?}, passed on {pass:?}", ground.faces().len());
        }
        let found = ::ground::query::catchments(&finished, &[]);
        let mut ends: Vec<_> = found.all().to_vec();
        ends.sort_by(|a, b| b.area_m2.total_cmp(&a.area_m2));
        for end in ends.iter().take(14) {
            let at = match end.to {
                ::ground::query::DrainsTo::Pit { vertex }
                | ::ground::query::DrainsTo::Flat { vertex } => {
                    finished.lattice().metres(finished.vertices()[vertex as usize])
                }
                _ => [0.0; 2],
            };
            println!("    {:?} {:.2} m2 at {at:.2?}", end.to, end.area_m2);
        }
        println!("  {} ends", ends.len());
    }
}
