//! The hand on the screen: handles over the garden, the drawing under way, the slip at the pointer,
//! and the keys that belong to them.

mod deeds;
mod keys;
mod paint;
mod slip;

use bevy::prelude::Vec2;
use design::hand::{Grip, Kind, Pull, Stands, Wish, begin, give_levels, grips};
use egui::{Area, Context, Id, Order, Pos2, Sense};
use site::shape::{add_point, drop_point};
use site::{Curve, Edit, Work, WorkId};

use super::{Answers, Desk};
use crate::document::{Ask, Held as HandHolds, sentence};
use crate::hand::drawing::Outcome;
use crate::hand::held::{Held, Now, Pointer, even_step_m};
use crate::hand::{Click, Tool, judge, typed};
use crate::marks;
use crate::scene::present::{Heights, Switch};

pub(super) use keys::take as take_keys;
pub(super) use slip::of_held as held_words;

/// How near the pointer must come to something to be drawn to it, in points.
const REACH: f32 = 9.0;

/// How near the pointer shows where new points can be made, in points.
const NEAR: f32 = 80.0;

/// What the hand did within one pass.
#[derive(Clone, Debug)]
pub(super) enum Did {
    /// Took hold of a handle.
    TookHold(Box<Held>),
    /// Moved what it holds.
    Moved(Pointer),
    /// Let go.
    LetGo,
    /// Is over a handle.
    Over,
    /// Clicked a drawn point.
    ChosePoint(WorkId, String, usize),
    /// Clicked on the ground, within a reach in metres.
    Clicked(Click, f64),
    /// Typed words to their end.
    Said(String, Pointer),
    /// Typed on, or gave up typing.
    Typed(Option<String>),
    /// Ended the line.
    Ended,
    /// Took the last point back.
    Back,
    /// Put back what it holds, or laid down its tool.
    Left,
}

/// How the garden lies on the screen.
pub(super) struct Sight<'a> {
    pub(super) on_screen: &'a dyn Fn([f64; 3]) -> Option<Pos2>,
    pub(super) bounds: egui::Rect,
}

impl Sight<'_> {
    /// Metres in plan for each point of the screen, near a place.
    pub(super) fn metres_per_point(&self, at: [f64; 3]) -> f64 {
        self.over(at, [[1.0, 0.0, 0.0], [0.0, 1.0, 0.0]])
    }

    /// Metres of height for each point; looking straight down a fine step of its own.
    fn rise_per_point(&self, at: [f64; 3]) -> f64 {
        const FROM_ABOVE_M: f64 = 0.005;
        let rise = self.over(at, [[0.0, 0.0, 1.0]; 2]);
        if rise < 0.05 { rise } else { FROM_ABOVE_M }
    }

    fn over(&self, at: [f64; 3], ways: [[f64; 3]; 2]) -> f64 {
        let Some(here) = (self.on_screen)(at) else { return 0.01 };
        let points = ways.iter().filter_map(|way| {
            let there = (self.on_screen)(std::array::from_fn(|k| at[k] + way[k]))?;
            Some(f64::from((there - here).length()))
        });
        1.0 / points.fold(1e-3, f64::max)
    }
}

/// Shows handles and what is drawn; notes what the hand did.
pub(super) fn over_garden(
    ctx: &Context,
    desk: &Desk<'_, '_>,
    sight: &Sight<'_>,
    answers: &mut Answers,
) {
    if let (Some(held), true) = (&desk.hand.held, ctx.input(|i| i.pointer.primary_down())) {
        if let Some(pointer) = pointer_of(desk, sight).filter(|_| held.is_live) {
            answers.hand.push(Did::Moved(pointer));
        }
    } else if desk.hand.held.is_some() {
        answers.hand.push(Did::LetGo);
    }
    if let Some(click) = desk.hand.click {
        let at = level_at(desk, click.at);
        let reach_m = f64::from(REACH) * sight.metres_per_point(at);
        answers.hand.push(Did::Clicked(click, reach_m));
    }
    handles(ctx, desk, sight, answers);
    paint::tool(ctx, desk, sight);
    slip::at_pointer(ctx, desk, sight);
}

/// Follows what the hand did.
pub(super) fn act(did: Vec<Did>, desk: &mut Desk<'_, '_>) {
    desk.hand.over = Switch::Off;
    if desk.hand.is_busy() {
        let site = desk.document.site().clone();
        desk.hand.targets(&site);
    }
    for did in did {
        match did {
            Did::TookHold(held) => desk.hand.take_hold(*held),
            Did::Moved(pointer) => moved(desk, &pointer),
            Did::LetGo => {
                desk.hand.held = None;
                desk.hand.typed = None;
            }
            Did::Over => desk.hand.over = Switch::On,
            Did::ChosePoint(work, path, point) => desk.hand.point = Some((work, path, point)),
            Did::Clicked(click, reach_m) => clicked(desk, click, reach_m),
            Did::Said(words, pointer) => said(desk, &words, &pointer),
            Did::Typed(words) => desk.hand.typed = words,
            Did::Ended => ended(desk),
            Did::Back => {
                if let Tool::Draw(drawing) = &mut desk.hand.tool {
                    drawing.back();
                }
            }
            Did::Left => left(desk),
        }
    }
}

/// Takes the chosen point out of its line; where none is chosen, the chosen work out of the site.
pub(super) fn take_out(desk: &mut Desk<'_, '_>) {
    let Some(work) = desk.choice.work.and_then(|id| desk.document.site().work(id)).cloned() else {
        desk.notice.say("Choose a work or one of its points first");
        return;
    };
    let point = desk.hand.point.take().filter(|(id, ..)| *id == work.id);
    match point {
        Some((_, path, point)) => match drop_point(&work, &path, point) {
            Ok(work) => set(desk, work, HandHolds::Once),
            Err(why) => desk.notice.say(sentence(&why.to_string())),
        },
        None => {
            desk.asks.write(Ask::Edit(Box::new(Edit::RemoveWork(work.id)), HandHolds::Once));
            desk.choice.work = None;
            desk.notice.say(format!("{} is taken out; undo brings it back", work.name));
        }
    }
}

/// Begins something that is done with the chosen work.
pub(super) fn begin_deed(deed: crate::hand::Deed, desk: &mut Desk<'_, '_>) {
    if desk.choice.work.is_none() {
        desk.notice.say("Choose a work first");
        return;
    }
    desk.hand.rest();
    desk.cut.drawing = None;
    desk.hand.tool = Tool::Deed(deed, Vec::new());
}

/// What the handles of the chosen work take of the screen: words stand beside them.
pub(super) fn rooms(desk: &Desk<'_, '_>, sight: &Sight<'_>) -> Vec<egui::Rect> {
    let Some(work) = worked(desk) else { return Vec::new() };
    let shown = grips(work).into_iter().filter(|grip| !matches!(grip.pull, Pull::NewPoint { .. }));
    shown.filter_map(|grip| Some(paint::room(&grip.pull, foot(desk, sight, &grip)?.1))).collect()
}

/// The chosen work, where the hand may take hold of it.
fn worked<'a>(desk: &'a Desk<'_, '_>) -> Option<&'a Work> {
    let is_plain = desk.play.shown == Switch::Off && desk.cut.drawing.is_none();
    let work = desk.choice.work.filter(|_| is_plain && !desk.hand.takes_clicks())?;
    desk.document.site().work(work)
}

/// Where a handle stands, in the garden and on the screen.
fn foot(desk: &Desk<'_, '_>, sight: &Sight<'_>, grip: &Grip) -> Option<([f64; 3], Pos2)> {
    let at = stands(desk, grip);
    Some((at, (sight.on_screen)(at).filter(|foot| sight.bounds.contains(*foot))?))
}

fn handles(ctx: &Context, desk: &Desk<'_, '_>, sight: &Sight<'_>, answers: &mut Answers) {
    let Some(work) = worked(desk) else { return };
    let held = desk.hand.held.as_ref().map(|held| held.grip.name.as_str());
    let pointer = desk.under.pointer / desk.page.scale;
    let mut feet: Vec<Pos2> = Vec::new();
    for grip in grips(work) {
        if held.is_some_and(|held| held != grip.name) && !matches!(grip.pull, Pull::Point { .. }) {
            continue;
        }
        let Some((at, foot)) = foot(desk, sight, &grip) else { continue };
        let away = Vec2::new(foot.x, foot.y).distance(pointer);
        if matches!(grip.pull, Pull::NewPoint { .. }) && away > NEAR {
            continue;
        }
        let foot = beside_others(foot, &mut feet);
        let is_held = held == Some(grip.name.as_str());
        if held.is_some() && !is_held {
            paint::faint(ctx, foot);
            continue;
        }
        handle(ctx, desk, (&grip, work), (at, foot), (sight, answers));
    }
}

/// A handle's foot, moved aside where another one stands already: seen straight from above, a level
/// stands over the place that it is of, and neither may hide the other.
fn beside_others(mut foot: Pos2, feet: &mut Vec<Pos2>) -> Pos2 {
    const ROOM: f32 = 10.0;
    const ASIDE: f32 = 20.0;
    while feet.iter().any(|other| other.distance(foot) < ROOM) {
        foot.x += ASIDE;
    }
    feet.push(foot);
    foot
}

fn handle(
    ctx: &Context,
    desk: &Desk<'_, '_>,
    (grip, work): (&Grip, &Work),
    (at, foot): ([f64; 3], Pos2),
    (sight, answers): (&Sight<'_>, &mut Answers),
) {
    let rect = paint::room(&grip.pull, foot);
    let is_chosen = matches!(&grip.pull, Pull::Point { path, point }
        if desk.hand.point.as_ref() == Some(&(work.id, path.clone(), *point)));
    let shown = Area::new(Id::new(("handle", work.id.0, &grip.name)))
        .order(Order::Background)
        .fixed_pos(rect.min)
        .constrain(false)
        .show(ctx, |ui| {
            let (rect, response) = ui.allocate_exact_size(rect.size(), Sense::click_and_drag());
            marks::note(ctx, &format!("handle {}", grip.name), rect);
            let lit = is_chosen || response.hovered() || response.dragged();
            let root = root_of(desk, grip).and_then(sight.on_screen);
            paint::handle(ui.painter(), (&grip.pull, lit), (foot, root));
            response
        });
    let response = shown.inner;
    if response.contains_pointer() || response.dragged() {
        answers.hand.push(Did::Over);
    }
    if response.drag_started()
        && desk.hand.held.is_none()
        && let Some(pointer) = pointer_of(desk, sight)
    {
        // The press counts, not where the drag was noticed.
        let down = ctx.input(|i| i.pointer.press_origin()).map_or(pointer.down, |at| at.y);
        answers.hand.push(Did::TookHold(Box::new(Held {
            work: work.clone(),
            grip: grip.clone(),
            from: (pointer.at, down),
            rise_per_point_m: sight.rise_per_point(at),
            is_live: true,
            now: Now { at: grip.at, ..Now::default() },
        })));
    }
    if response.clicked()
        && let Pull::Point { path, point } = &grip.pull
    {
        answers.hand.push(Did::ChosePoint(work.id, path.clone(), *point));
    }
    response.on_hover_text(paint::words(grip, work, desk.document.site().frame.unit));
}

/// Where a handle stands, on the ground that is drawn or at its own level.
fn stands(desk: &Desk<'_, '_>, grip: &Grip) -> [f64; 3] {
    match grip.stands {
        Stands::At(level_m) => [grip.at[0], grip.at[1], level_m],
        Stands::OnGround => level_at(desk, grip.at),
    }
}

/// Where a whisker begins.
fn root_of(desk: &Desk<'_, '_>, grip: &Grip) -> Option<[f64; 3]> {
    match &grip.pull {
        Pull::Spread { from, .. } => Some(level_at(desk, *from)),
        Pull::Rise { .. } => Some(level_at(desk, grip.at)),
        _ => None,
    }
}

/// A place with the level of the ground that is drawn; beyond it, of the middle of the site.
pub(super) fn level_at(desk: &Desk<'_, '_>, at: [f64; 2]) -> [f64; 3] {
    let scene = desk.shown.scene.as_ref();
    let level = scene.and_then(|scene| scene.finished.elevation(at));
    let level = level.or_else(|| scene.map(|scene| scene.extent.centre()[2]));
    [at[0], at[1], level.unwrap_or_default()]
}

/// The pointer on the ground, or on level ground beyond it.
pub(super) fn pointer_of(desk: &Desk<'_, '_>, sight: &Sight<'_>) -> Option<Pointer> {
    let at = desk.under.plan?;
    let reach_m = f64::from(REACH) * sight.metres_per_point(level_at(desk, at));
    Some(Pointer { at, down: desk.under.pointer.y / desk.page.scale, reach_m })
}

/// The wish of a hand that draws.
pub(super) fn wish(at: [f64; 2], points: &[[f64; 2]], reach_m: f64, desk: &Desk<'_, '_>) -> Wish {
    let step_m = even_step_m(desk.document.site().frame.unit);
    let before = [1, 2].map(|back| points.len().checked_sub(back).map(|i| points[i]));
    Wish { at, reach_m, before, step_m }
}

fn moved(desk: &mut Desk<'_, '_>, pointer: &Pointer) {
    let site = desk.document.site().clone();
    let targets = desk.hand.targets(&site);
    let snaps = desk.hand.snaps.clone();
    let Some(held) = &mut desk.hand.held else { return };
    match held.pull(pointer, (&targets, &snaps), site.frame.unit) {
        Ok(work) => {
            if site.work(work.id) != Some(&work) {
                set(desk, work, HandHolds::Dragging);
            }
        }
        Err(why) => desk.notice.say(why),
    }
}

fn said(desk: &mut Desk<'_, '_>, words: &str, pointer: &Pointer) {
    desk.hand.typed = None;
    let site = desk.document.site().clone();
    let unit = site.frame.unit;
    if let Some(held) = &mut desk.hand.held {
        match held.say(words, unit) {
            Ok(work) => {
                held.is_live = false;
                set(desk, work, HandHolds::Dragging);
            }
            Err(why) => desk.notice.say(why),
        }
        return;
    }
    if matches!(desk.hand.tool, Tool::Height) {
        match typed::level_m(words, unit) {
            Some(level_m) => show_heights(desk, level_m),
            None => desk.notice.say("Type a level, such as 101.5"),
        }
        return;
    }
    let Some(said) = typed::read(words, unit) else {
        desk.notice.say(typed::HOW);
        return;
    };
    let Tool::Draw(drawing) = &desk.hand.tool else { return };
    let from = drawing.points.last().copied();
    let at = said.place(from, pointer.at);
    let before = from.map(|from| {
        let level_m = drawing.levels_m.last().copied().flatten();
        let run_m = libm::hypot(at[0] - from[0], at[1] - from[1]);
        (level_m.unwrap_or_else(|| level_at(desk, from)[2]), run_m)
    });
    let level_m = said.level_m(Some(level_at(desk, at)[2]), before);
    let Tool::Draw(drawing) = &mut desk.hand.tool else { return };
    match drawing.press(at, level_m, 1e-3) {
        Outcome::More => {}
        Outcome::Done => ended(desk),
        Outcome::Refused(why) => desk.notice.say(why),
    }
}

fn clicked(desk: &mut Desk<'_, '_>, click: Click, reach_m: f64) {
    desk.hand.click = None;
    let site = desk.document.site().clone();
    let (targets, snaps) = (desk.hand.targets(&site), desk.hand.snaps.clone());
    match &desk.hand.tool {
        Tool::Rest => {}
        Tool::Draw(drawing) => {
            let closes = drawing.closes(click.at, reach_m);
            let wish = wish(click.at, &drawing.points, reach_m, desk);
            let at = if closes { click.at } else { targets.snap(&wish, &snaps).at };
            let Tool::Draw(drawing) = &mut desk.hand.tool else { return };
            drawing.straight = click.straight;
            match drawing.press(at, None, reach_m) {
                Outcome::More => {}
                Outcome::Done => ended(desk),
                Outcome::Refused(why) => desk.notice.say(why),
            }
        }
        Tool::Deed(deed, places) => {
            let places = [places.as_slice(), &[click.at]].concat();
            deeds::go_on(*deed, places, reach_m, desk);
        }
        Tool::Levels(places) => {
            let at = targets.snap(&wish(click.at, &[], reach_m, desk), &snaps).at;
            let Some(level) = ground_at(desk, at) else {
                desk.notice.say("No surveyed ground lies there");
                return;
            };
            let mut places = if places.len() > 1 { Vec::new() } else { places.clone() };
            places.push([at[0], at[1], level]);
            desk.hand.tool = Tool::Levels(places);
        }
        Tool::Height => match ground_at(desk, click.at) {
            Some(level_m) => show_heights(desk, level_m),
            None => desk.notice.say("No surveyed ground lies there"),
        },
        Tool::Rain(_) => {
            let scene = desk.shown.scene.as_ref();
            let waters = desk.derived.evaluation.as_ref().map_or(&[][..], |e| &e.water);
            let rain = scene.and_then(|scene| judge::rain((scene, waters), click.at, &site));
            if rain.is_none() {
                desk.notice.say("No surveyed ground lies there");
            }
            desk.hand.tool = Tool::Rain(rain);
        }
    }
}

/// Shows all ground by its height above and below a level.
fn show_heights(desk: &mut Desk<'_, '_>, level_m: f64) {
    let Some(scene) = &desk.shown.scene else { return };
    let unit = desk.document.site().frame.unit;
    desk.layers.heights = Some(Heights::against(level_m, scene, unit));
    (desk.layers.depths, desk.layers.slopes) = (Switch::Off, Switch::Off);
}

fn ground_at(desk: &Desk<'_, '_>, at: [f64; 2]) -> Option<f64> {
    desk.shown.scene.as_ref()?.finished.elevation(at)
}

/// Makes a work of what was drawn, and opens its card.
fn ended(desk: &mut Desk<'_, '_>) {
    let Tool::Draw(drawing) = &desk.hand.tool else { return };
    if let Outcome::Refused(why) = drawing.end() {
        desk.notice.say(why);
        return;
    }
    let (kind, curve, levels_m) = (drawing.kind, drawing.curve(None), drawing.levels_m.clone());
    let Some(work) = begun(desk, kind, curve, &levels_m) else { return };
    let id = WorkId(desk.document.site().next_id);
    let edit = Edit::AddWork { work, at: usize::MAX };
    // A site that would be unsound keeps the drawing in the hand.
    if let Err(why) = site::apply(desk.document.site(), &edit) {
        desk.notice.say(sentence(&why.to_string()));
        return;
    }
    desk.asks.write(Ask::Edit(Box::new(edit), HandHolds::Once));
    desk.choice.work = Some(id);
    desk.hand.rest();
}

fn begun(
    desk: &mut Desk<'_, '_>,
    kind: Kind,
    curve: Curve,
    levels_m: &[Option<f64>],
) -> Option<Work> {
    let site = desk.document.site().clone();
    let made = {
        let ground = |at: [f64; 2]| ground_at(desk, at);
        begin(kind, curve.clone(), &site, &ground)
    };
    match made {
        Ok(mut begun) => {
            // A stream may have been turned to run downhill; it takes no levels.
            give_levels(&mut begun.work.kind, levels_m);
            let off = curve.points.iter().filter(|at| ground_at(desk, **at).is_none()).count();
            let mut words = vec![format!("{} is the last to be built", begun.work.name)];
            if !begun.beside.is_empty() {
                words.push(begun.beside);
            }
            if off > 0 {
                let n = curve.points.len();
                words.push(format!(
                    "{off} of its {n} points lie off the survey, where nothing is known"
                ));
            }
            desk.notice.say(words.join("; "));
            Some(begun.work)
        }
        Err(why) => {
            desk.notice.say(sentence(&why.to_string()));
            None
        }
    }
}

fn left(desk: &mut Desk<'_, '_>) {
    if desk.hand.typed.take().is_some() {
        return;
    }
    if let Some(held) = &mut desk.hand.held {
        held.is_live = false;
        let work = held.work.clone();
        set(desk, work, HandHolds::Dragging);
        return;
    }
    desk.hand.rest();
}

fn set(desk: &mut Desk<'_, '_>, work: Work, held: HandHolds) {
    desk.asks.write(Ask::Edit(Box::new(Edit::SetWork(work)), held));
}

/// Puts a new point amid the piece that follows the chosen one.
pub(super) fn add_after(desk: &mut Desk<'_, '_>) {
    let Some((id, path, point)) = desk.hand.point.clone() else {
        desk.notice.say("Choose a point first");
        return;
    };
    let Some(work) = desk.document.site().work(id).cloned() else { return };
    let place = grips(&work).into_iter().find(|grip| {
        matches!(&grip.pull, Pull::NewPoint { path: on, at } if *on == path && *at == point + 1)
    });
    let Some(place) = place else {
        desk.notice.say("The line ends here");
        return;
    };
    match add_point(&work, &path, point + 1, place.at) {
        Ok(work) => {
            set(desk, work, HandHolds::Once);
            desk.hand.point = Some((id, path, point + 1));
        }
        Err(why) => desk.notice.say(sentence(&why.to_string())),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn handles_of_one_place_stand_side_by_side() {
        let mut feet = Vec::new();
        let at = Pos2::new(40.0, 30.0);
        let stood: Vec<Pos2> = (0..3).map(|_| beside_others(at, &mut feet)).collect();
        assert_eq!(stood[0], at);
        for (i, foot) in stood.iter().enumerate() {
            assert!(stood[..i].iter().all(|other| other.distance(*foot) >= 18.0), "{stood:?}");
        }
    }
}
