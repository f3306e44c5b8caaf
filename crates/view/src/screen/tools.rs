//! The tools' paper over the garden, and which of them is in the hand.

use bevy::prelude::{Camera, GlobalTransform};
use egui::{Align2, Context, pos2, vec2};
use site::shape::Ends;

use super::lay::TOP;
use super::{Answers, Desk, hand, on_sheet};
use crate::command::Command;
use crate::hand::Tool;
use crate::panels::tools::{HasWork, Tools, hint_ui, tools_ui};
use crate::scene::present::Switch;

/// Height of the tools' paper with the gap under it, in points.
pub(super) const HEIGHT: f32 = 72.0;

/// Width of the tools' paper where it has room, in points.
pub(super) const WIDTH: f32 = 680.0;

/// Height of a hint with the gap above it, in points.
pub(super) const HINT_HEIGHT: f32 = 84.0;

/// Greatest width of a hint, in points.
const HINT_WIDTH: f32 = 620.0;

/// Shows the tools under the balance line, where they are not put away.
pub(super) fn show(ctx: &Context, desk: &Desk<'_, '_>, answers: &mut Answers) {
    let Some(lay) = desk.lay() else { return };
    let garden = lay.paper();
    let tools = Tools {
        active: &active(desk),
        hint: hint(desk),
        snaps: &desk.hand.snaps,
        has_work: if desk.choice.work.is_some() { HasWork::Yes } else { HasWork::No },
    };
    if !tools.hint.is_empty() {
        let at = vec2(lay.aside(), -lay.foot());
        on_sheet(ctx, "hint", (Align2::CENTER_BOTTOM, at), |ui| {
            ui.set_max_width(HINT_WIDTH.min(garden.width() - 40.0));
            answers.commands.extend(hint_ui(ui, &tools));
        });
    }
    if lay.tools == Switch::Off {
        return;
    }
    let left = garden.left() + 6.0;
    let width = (garden.right() - left - 30.0).clamp(200.0, WIDTH);
    on_sheet(ctx, "tools", (Align2::LEFT_TOP, vec2(left, TOP)), |ui| {
        ui.set_max_width(width);
        answers.commands.extend(tools_ui(ui, &tools));
    });
}

/// Takes the keys that belong to the hand.
pub(super) fn keys(
    ctx: &Context,
    desk: &Desk<'_, '_>,
    (camera, transform): (&Camera, &GlobalTransform),
    answers: &mut Answers,
) {
    let (Some(scene), Some(lay)) = (&desk.shown.scene, desk.lay()) else { return };
    let on_screen = |local: [f64; 3]| {
        let at = camera.world_to_viewport(transform, scene.frame.scene(local)).ok()?;
        Some(pos2(at.x, at.y) / desk.page.scale)
    };
    let sight = hand::Sight { on_screen: &on_screen, bounds: lay.garden() };
    hand::take_keys(ctx, desk, &sight, answers);
}

/// Takes a tool into the hand, or lays it down where it is there already.
pub(super) fn turn(desk: &mut Desk<'_, '_>, tool: Tool) {
    let same = std::mem::discriminant(&desk.hand.tool) == std::mem::discriminant(&tool);
    desk.hand.rest();
    desk.cut.drawing = None;
    if !same {
        desk.hand.tool = tool;
    }
}

/// The tool in the hand, and what is judged all over the ground.
fn active(desk: &Desk<'_, '_>) -> Vec<Command> {
    let in_hand = match &desk.hand.tool {
        Tool::Rest => None,
        Tool::Draw(drawing) => Some(Command::Draw(drawing.kind)),
        Tool::Deed(deed, _) => Some(Command::Deed(*deed)),
        Tool::Levels(_) => Some(Command::Levels),
        Tool::Rain(_) => Some(Command::Rain),
        Tool::Height => Some(Command::Heights),
    };
    let layers = [
        (Command::Arrows, desk.layers.arrows == Switch::On),
        (Command::Heights, desk.layers.heights.is_some()),
        (Command::Rounds, desk.layers.rounds == Switch::On),
    ];
    let shown = layers.into_iter().filter(|(_, shows)| *shows).map(|(command, _)| command);
    in_hand.into_iter().chain(shown).collect()
}

/// How the tool in the hand is used; what is typed belongs to the slip at the pointer.
pub(super) fn hint(desk: &Desk<'_, '_>) -> String {
    match &desk.hand.tool {
        Tool::Draw(drawing) => {
            let word = drawing.kind.word();
            let ends = match drawing.kind.ends() {
                Ends::Closed => "click the first point again, or Enter, to close it",
                Ends::Open => "Enter ends it",
            };
            format!(
                "{word}: click points on the ground; {ends}. Shift makes it straight, Backspace takes \
                 a point back, digits type a length (3.2 at 45), Escape leaves"
            )
        }
        Tool::Deed(..) | Tool::Levels(_) | Tool::Rain(_) | Tool::Height => {
            "Escape lays the tool down".into()
        }
        Tool::Rest if desk.hand.held.is_some() => {
            "Type a value and Enter to set it exactly; Escape puts it back".into()
        }
        Tool::Rest => String::new(),
    }
}
