//! How frames follow each other while they are timed.

use std::sync::atomic::{AtomicUsize, Ordering};
use std::sync::{Arc, Mutex};
use std::time::Instant;

use bevy::prelude::*;
use bevy::render::renderer::{RenderDevice, RenderQueue};
use bevy::render::{Render, RenderApp, RenderSystems};

/// How frames follow each other.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Pace {
    /// None begins before the adapter has drawn the one before.
    OneByOne,
    /// One is made while the adapter draws the one before.
    Overlapped,
}

/// How long each frame waited for the adapter, in milliseconds.
#[derive(Resource, Clone, Default)]
pub(super) struct Waits(Arc<Mutex<Vec<f64>>>);

impl Waits {
    /// The median of the last `n`; zero before the first.
    pub(super) fn median_ms(&self, n: usize) -> f64 {
        let Ok(all) = self.0.lock() else { return 0.0 };
        let mut last = all[all.len().saturating_sub(n)..].to_vec();
        last.sort_by(f64::total_cmp);
        last.get(last.len() / 2).copied().unwrap_or(0.0)
    }

    fn note(&self, since: Instant) {
        if let Ok(mut all) = self.0.lock() {
            all.push(since.elapsed().as_secs_f64() * 1e3);
        }
    }
}

/// Frames begun, and frames that the adapter has drawn.
#[derive(Resource, Default)]
struct Flight {
    n_begun: usize,
    n_drawn: Arc<AtomicUsize>,
}

/// Lets an app's frames follow each other at a pace.
pub(super) fn install(app: &mut App, pace: Pace, waits: Waits) {
    let Some(render) = app.get_sub_app_mut(RenderApp) else { return };
    render.insert_resource(waits).init_resource::<Flight>();
    let after = RenderSystems::Render;
    match pace {
        Pace::OneByOne => render.add_systems(Render, finish_drawing.after(after)),
        Pace::Overlapped => render.add_systems(Render, let_one_be_drawn.after(after)),
    };
}

/// Does not begin another frame before the adapter has drawn this one.
fn finish_drawing(device: Res<RenderDevice>, waits: Res<Waits>) {
    let since = Instant::now();
    // A device that is lost ends the run by itself.
    let _polled = device.poll(wgpu::PollType::wait_indefinitely());
    waits.note(since);
}

/// Does not begin another frame before the adapter has drawn the one before this.
fn let_one_be_drawn(
    device: Res<RenderDevice>,
    queue: Res<RenderQueue>,
    waits: Res<Waits>,
    mut flight: ResMut<Flight>,
) {
    flight.n_begun += 1;
    let n_drawn = flight.n_drawn.clone();
    queue.on_submitted_work_done(move || {
        n_drawn.fetch_add(1, Ordering::AcqRel);
    });
    let since = Instant::now();
    while flight.n_drawn.load(Ordering::Acquire) + 1 < flight.n_begun {
        if device.poll(wgpu::PollType::Poll).is_err() {
            break;
        }
        std::thread::yield_now();
    }
    waits.note(since);
}
