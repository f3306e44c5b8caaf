//! A window without a site: a survey is taken up, read as it is told, and made a site.

use std::path::PathBuf;
use std::sync::Arc;

use bevy::prelude::*;
use bevy::tasks::{AsyncComputeTaskPool, Task, block_on, poll_once};
use bevy::window::FileDragAndDrop;
use bevy_egui::{EguiContexts, EguiPrimaryContextPass};
use egui::{Align2, Area, Id, Order, vec2};
use exchange::understood::Understood;

use crate::camera::steer::Under;
use crate::keep::{Opened, Start, Told};
use crate::look::Look;
use crate::panels::start::{Busy, Sheet, Wish, start_ui};
use crate::schedule::ViewSet;
use crate::{document, marks, theme};

/// Seconds for which what is told rests before the survey is read anew.
const REST_S: f32 = 0.35;

/// Beyond this the sheet grows no wider, in points.
const WIDEST: f32 = 1180.0;

/// The camera under the start, which draws nothing but paper.
#[derive(Component)]
pub(crate) struct Waiting;

/// The start; it goes once a site is open.
#[derive(Resource)]
pub(crate) struct Starting {
    start: Arc<dyn Start>,
    sheet: Sheet,
    /// What was last asked to be understood, and for how long something else has been told.
    asked: Option<Told>,
    rested_s: f32,
    understanding: Option<Task<Result<Understood, String>>>,
    making: Option<Task<Result<Opened, String>>>,
    opened: Option<Opened>,
}

impl Starting {
    /// Begins with a site, or with nothing.
    pub(crate) fn of(start: Arc<dyn Start>, opened: Option<Opened>) -> Self {
        let mut starting = Self {
            start,
            sheet: Sheet::default(),
            asked: None,
            rested_s: 0.0,
            understanding: None,
            making: None,
            opened,
        };
        if starting.opened.is_none() {
            let first = starting.start.first_folder();
            starting.sheet.site_folder = first.join("new-garden").display().to_string();
            starting.look(first);
        }
        starting
    }

    /// Looks into a folder, opens the site that a path names, or takes the file that it names.
    fn look(&mut self, path: PathBuf) {
        if path.join("site.ron").is_file() || path.file_name().is_some_and(|n| n == "site.ron") {
            self.follow(Wish::Open(path));
        } else if path.is_dir() {
            self.sheet.entries = Some(self.start.list(&path));
            self.sheet.typed_path = path.display().to_string();
            self.sheet.folder = path;
        } else if path.is_file() {
            self.sheet.take_file(path);
        } else {
            self.sheet.trouble = Some(format!("{}: nothing stands there", path.display()));
        }
    }

    /// What stands on the sheet, for tests that drive the window.
    pub(crate) fn told(&self) -> serde_json::Value {
        let understood = self.sheet.understood.as_ref();
        serde_json::json!({
            "ready": self.sheet.is_ready(),
            "refused": understood.and_then(|what| what.as_ref().err()),
            "n_points": understood.and_then(|what| what.as_ref().ok()).map(|what| what.points.len()),
        })
    }

    fn follow(&mut self, wish: Wish) {
        self.sheet.trouble = None;
        match wish {
            Wish::Look(path) => self.look(path),
            Wish::Open(path) => {
                let start = self.start.clone();
                let pool = AsyncComputeTaskPool::get();
                self.making = Some(pool.spawn(async move { start.open(&path) }));
            }
            Wish::Make => {
                let Some(survey) = self.sheet.survey() else { return };
                let start = self.start.clone();
                let folder = PathBuf::from(self.sheet.site_folder.trim());
                let pool = AsyncComputeTaskPool::get();
                self.making = Some(pool.spawn(async move { start.make(&survey, &folder) }));
            }
        }
    }

    /// Takes in what was worked out, and asks for what is told anew.
    fn work(&mut self, seconds: f32) {
        if let Some(answer) = self.making.as_mut().and_then(|task| block_on(poll_once(task))) {
            self.making = None;
            match answer {
                Ok(opened) => self.opened = Some(opened),
                Err(why) => self.sheet.trouble = Some(why),
            }
        }
        // What people call the site changes nothing about how its survey reads.
        let told = self.sheet.survey().map(|told| Told { title: String::new(), ..told });
        if let Some(answer) = self.understanding.as_mut().and_then(|t| block_on(poll_once(t))) {
            self.understanding = None;
            // What was told meanwhile is another question.
            if told == self.asked {
                self.sheet.understood = Some(answer);
            }
        }
        if told == self.asked {
            self.rested_s = 0.0;
        } else {
            self.rested_s += seconds;
        }
        if self.rested_s > REST_S && self.understanding.is_none() {
            self.rested_s = 0.0;
            self.asked.clone_from(&told);
            match told {
                None => self.sheet.understood = None,
                Some(told) => {
                    let start = self.start.clone();
                    let pool = AsyncComputeTaskPool::get();
                    let task = pool.spawn(async move { start.understand(&told) });
                    self.understanding = Some(task);
                }
            }
        }
        let waits = self.understanding.is_some() || self.rested_s > 0.0;
        self.sheet.busy = match &self.making {
            Some(_) => Busy::Making,
            None if waits => Busy::Reading,
            None => Busy::No,
        };
    }
}

pub(crate) fn plugin(app: &mut App) {
    app.add_message::<FileDragAndDrop>();
    app.add_systems(Startup, wait.run_if(resource_exists::<Starting>));
    app.add_systems(
        Update,
        (drop_in, work, begin).chain().before(ViewSet::Apply).run_if(resource_exists::<Starting>),
    );
    app.add_systems(
        EguiPrimaryContextPass,
        show.after(crate::screen::dress).run_if(resource_exists::<Starting>),
    );
}

fn wait(mut commands: Commands, starting: Res<Starting>) {
    if starting.opened.is_none() {
        let clear_color = crate::camera::background(Look::Plan);
        commands.spawn((Waiting, Camera3d::default(), Camera { clear_color, ..default() }));
    }
}

fn drop_in(mut drops: MessageReader<FileDragAndDrop>, mut starting: ResMut<Starting>) {
    for dropped in drops.read() {
        if let FileDragAndDrop::DroppedFile { path_buf, .. } = dropped {
            starting.follow(Wish::Look(path_buf.clone()));
        }
    }
}

fn work(
    time: Res<Time<Real>>,
    window: Query<&Window>,
    mut under: ResMut<Under>,
    mut starting: ResMut<Starting>,
) {
    if let Some(pointer) = window.single().ok().and_then(Window::cursor_position) {
        under.pointer = pointer;
    }
    starting.work(time.delta_secs());
}

/// Once a site is open the start is over.
fn begin(world: &mut World) {
    let opened = world.resource_mut::<Starting>().opened.take();
    if let Some(opened) = opened {
        world.remove_resource::<Starting>();
        document::take(world, opened);
    }
}

pub(crate) fn show(
    mut contexts: EguiContexts,
    mut starting: ResMut<Starting>,
    mut passes: Local<u8>,
) -> Result {
    let ctx = contexts.ctx_mut()?.clone();
    // Fonts are there from the pass after the one that named them.
    if *passes < 2 {
        *passes += 1;
        return Ok(());
    }
    let room = ctx.content_rect();
    let size = vec2((room.width() - 2.0 * theme::EDGE - 26.0).min(WIDEST), room.height() - 80.0);
    let area = Area::new(Id::new("start")).order(Order::Middle).movable(false);
    let mut wish = None;
    area.anchor(Align2::CENTER_CENTER, vec2(0.0, 0.0)).show(&ctx, |ui| {
        if ui.is_sizing_pass() {
            marks::unsettled(&ctx);
        }
        theme::sheet().show(ui, |ui| {
            ui.set_width(size.x);
            ui.set_height(size.y);
            wish = start_ui(ui, &mut starting.sheet);
        });
    });
    if let Some(wish) = wish {
        starting.follow(wish);
    }
    // What is worked out meanwhile shows without a hand that moves.
    if starting.sheet.busy != Busy::No || starting.rested_s > 0.0 {
        ctx.request_repaint();
    }
    Ok(())
}
