//! Pasting: text that another program offers goes to the field that is typed in.

use std::time::{Duration, Instant};

use bevy::prelude::*;
use bevy::tasks::{IoTaskPool, Task, block_on, poll_once};
use bevy_egui::input::{EguiInputEvent, EguiWantsInput};
use bevy_egui::{EguiContext, PrimaryEguiContext};
use x11rb::connection::Connection as _;
use x11rb::protocol::Event;
use x11rb::protocol::xproto::{AtomEnum, ConnectionExt as _, CreateWindowAux, WindowClass};
use x11rb::wrapper::ConnectionExt as _;

use crate::document::Notice;

/// Longest wait for the other program.
const PATIENCE: Duration = Duration::from_secs(2);

#[derive(Resource, Default)]
struct Asked(Option<Task<Result<String, String>>>);

pub(crate) fn plugin(app: &mut App) {
    app.init_resource::<Asked>();
    app.add_systems(Update, paste);
}

fn paste(
    keys: Res<ButtonInput<KeyCode>>,
    wants: Res<EguiWantsInput>,
    context: Query<Entity, (With<EguiContext>, With<PrimaryEguiContext>)>,
    mut asked: ResMut<Asked>,
    mut notice: ResMut<Notice>,
    mut events: MessageWriter<EguiInputEvent>,
) {
    if let Some(answer) = asked.0.as_mut().and_then(|task| block_on(poll_once(task))) {
        asked.0 = None;
        match (answer, context.single()) {
            (Ok(text), Ok(context)) => {
                events.write(EguiInputEvent { context, event: egui::Event::Paste(text) });
            }
            (Err(why), _) => notice.say(why),
            _ => {}
        }
    }
    let is_held = keys.any_pressed([KeyCode::ControlLeft, KeyCode::ControlRight]);
    if is_held && keys.just_pressed(KeyCode::KeyV) && wants.wants_any_keyboard_input() {
        asked.0 = Some(IoTaskPool::get().spawn(async { offered() }));
    }
}

/// The text that another program offers.
fn offered() -> Result<String, String> {
    ask().map_err(|why| format!("Nothing was pasted: {why}"))
}

/// Asks the holder of the clipboard for its text, as the selections of X11 are passed on.
///
/// # Source
/// Inter-Client Communication Conventions Manual 2.0, section 2, "Peer-to-Peer Communication by Means
/// of Selections".
fn ask() -> Result<String, Box<dyn std::error::Error>> {
    let (connection, screen) = x11rb::connect(None)?;
    let root = connection.setup().roots.get(screen).ok_or("the display has no screen")?.root;
    let window = connection.generate_id()?;
    let (class, aux) = (WindowClass::INPUT_ONLY, CreateWindowAux::new());
    connection.create_window(0, window, root, 0, 0, 1, 1, 0, class, 0, &aux)?;
    let atom = |name: &[u8]| -> Result<u32, Box<dyn std::error::Error>> {
        Ok(connection.intern_atom(false, name)?.reply()?.atom)
    };
    let (clipboard, utf8, into) =
        (atom(b"CLIPBOARD")?, atom(b"UTF8_STRING")?, atom(b"TARNWRIGHT")?);
    connection.convert_selection(window, clipboard, utf8, into, x11rb::CURRENT_TIME)?;
    connection.sync()?;
    let start = Instant::now();
    while start.elapsed() < PATIENCE {
        if let Some(Event::SelectionNotify(told)) = connection.poll_for_event()? {
            if told.property == x11rb::NONE {
                return Err("no other program offers text".into());
            }
            let read =
                connection.get_property(true, window, into, AtomEnum::ANY, 0, u32::MAX / 4)?;
            let read = read.reply()?;
            if read.type_ != utf8 {
                return Err("the text is too long to paste; keep it in a file and open that".into());
            }
            return Ok(String::from_utf8(read.value)?);
        }
        std::thread::sleep(Duration::from_millis(5));
    }
    Err("the other program does not answer".into())
}
