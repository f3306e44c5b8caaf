//! Times frames while the demo pond's shelf is dragged: `frames [triangles [frames]]`.
//!
//! Needs a graphics driver, no display and no files. The demo sites with all that stands in them come
//! first, then bare ground of a million triangles; each with one frame after another, and with frames
//! that overlap.

#[path = "../src/demo.rs"]
mod demo;

use site::{Site, WorkKind};
use view::{MeasureRequest, Pace, Subject, measure};

const SIZE: [u32; 2] = [1920, 1080];

fn main() {
    let mut numbers = std::env::args().skip(1).filter_map(|word| word.parse::<usize>().ok());
    let n_triangles = numbers.next().unwrap_or(1_000_000);
    let n_frames = numbers.next().unwrap_or(300);
    let steps = |site: fn() -> Site| -> Vec<Site> {
        (0..12).map(|k| dragged(site(), 0.01 * f64::from(k))).collect()
    };
    let (rear, level) = (steps(demo::rear_garden), steps(demo::level_garden));
    println!("{} by {} pixels, {n_frames} frames each", SIZE[0], SIZE[1]);
    for (name, steps, subject) in [
        ("rear garden", &rear, Subject::Site),
        ("level garden", &level, Subject::Site),
        ("ground", &rear, Subject::Ground(n_triangles)),
    ] {
        for (how, pace) in [("one by one", Pace::OneByOne), ("overlapped", Pace::Overlapped)] {
            let request = MeasureRequest { steps, subject, pace, size: SIZE, n_frames };
            match measure(&request) {
                Ok(times) => println!(
                    "{name}, {how}: {} triangles in {} pieces, {:.1} sent each frame; median {:.2} \
                     ms, {:.2} of it waiting for the adapter, 99th percentile {:.2} ms; first \
                     picture after {:.2} s; {}",
                    times.n_triangles,
                    times.n_pieces,
                    times.sent,
                    times.median_ms,
                    times.waited_ms,
                    times.p99_ms,
                    times.first_picture_s,
                    times.adapter
                ),
                Err(error) => {
                    eprintln!("frames: {error}");
                    std::process::exit(2);
                }
            }
        }
    }
}

/// The site with the pond's innermost ring so much deeper.
fn dragged(mut site: Site, by_m: f64) -> Site {
    for work in &mut site.works {
        if let WorkKind::Basin(basin) = &mut work.kind
            && let Some(ring) = basin.rings.last_mut()
        {
            ring.depth_m += by_m;
        }
    }
    site
}
