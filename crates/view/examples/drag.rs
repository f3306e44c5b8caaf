//! Times a drag of a point by script, everything following: `drag [steps [width height]]`.
//!
//! Needs a graphics driver, no display and no files. Each work of the demo site is dragged in turn, a
//! step in every frame; it tells how long frames take, how long after the hand the numbers and the
//! ground come, and what each part of the ground's scene took to compose.

use std::sync::Arc;

use exchange::points::{Told, read};
use site::{Site, Survey, SurveyPoint};
use view::{Spread, drag};

fn main() {
    let numbers: Vec<usize> =
        std::env::args().skip(1).filter_map(|word| word.parse().ok()).collect();
    let n_steps = numbers.first().copied().unwrap_or(200);
    let size = [1, 2].map(|k| numbers.get(k).map(|n| *n as u32));
    let size = [size[0].unwrap_or(1920), size[1].unwrap_or(1080)];
    let site = demo();
    println!(
        "{} by {} pixels, {n_steps} steps each, milliseconds: median / worst",
        size[0], size[1]
    );
    for work in site.works.iter().take(MOST_WORKS) {
        match drag(&site, work.id, size, n_steps) {
            Ok(times) => {
                let say = |Spread { n, median_ms, worst_ms }: Spread| {
                    format!("{median_ms:.1} / {worst_ms:.1} ({n})")
                };
                println!(
                    "{}, {}: frame {}, that sends the ground up {} ({:.1} pieces), the hand's own \
                     share {}; numbers after {}, ground after {}; {}",
                    work.name,
                    times.handle,
                    say(times.frame),
                    say(times.sending),
                    times.sent,
                    say(times.hand),
                    say(times.numbers),
                    say(times.ground),
                    times.adapter
                );
                for (part, took) in &times.parts {
                    println!("    of the scene, {part}: {}", say(*took));
                }
            }
            Err(error) => {
                eprintln!("drag: {error}");
                std::process::exit(2);
            }
        }
    }
}

/// The works that are dragged, the first to be built: what stands on them follows.
const MOST_WORKS: usize = 4;

fn demo() -> Site {
    let text = include_str!("../../../demo-sites/rear-garden/site.ron");
    let mut site = site::file::parse(text).expect("the demo site reads");
    let list = include_bytes!("../../../demo-sites/rear-garden/survey.csv");
    let told = Told { columns: None, unit: Some(site.frame.unit) };
    let [east, north] = site.frame.origin_m;
    let points = read(list, &told)
        .expect("the demo survey reads")
        .points
        .into_iter()
        .map(|p| SurveyPoint {
            name: p.name,
            at_m: [p.at_m[0] - east, p.at_m[1] - north, p.at_m[2]],
            code: p.code,
            line: p.line,
        })
        .collect();
    site.survey = Arc::new(Survey { points, ..Survey::clone(&site.survey) });
    site
}
