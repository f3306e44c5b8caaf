//! Times a drag of a point by script, everything following: `drag [steps [width height]]`.
//!
//! Needs a graphics driver, no display and no files. Each work of the demo site is dragged in turn, a
//! step in every frame; it tells how long frames take, how long after the hand the numbers and the
//! ground come, and what each part of the ground's scene took to compose.

#[path = "../src/demo.rs"]
mod demo;

use view::{Spread, drag};

fn main() {
    let numbers: Vec<usize> =
        std::env::args().skip(1).filter_map(|word| word.parse().ok()).collect();
    let n_steps = numbers.first().copied().unwrap_or(200);
    let size = [1, 2].map(|k| numbers.get(k).map(|n| *n as u32));
    let size = [size[0].unwrap_or(1920), size[1].unwrap_or(1080)];
    let site = demo::rear_garden();
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
