//! What the pumps move, by a slider: a trickle, a good fall, an edge that is overtopped, each seen in
//! place, with what it comes to beside it. Nothing of the site changes until it is made the plan.

use design::{CrestOutcome, CrestPlace, Running, Severity, StreamOutcome};
use egui::{EventFilter, RichText, Sense, Stroke, Ui, pos2, vec2};
use site::{Limits, Site};
use units::{LengthUnit, flow_text, length_text, thickness_text, velocity_text};

use super::words::{sign_ui, small};
use crate::marks;
use crate::theme::{bold, paper, size, text};

/// The least and the greatest share of its planned flow that a pump is tried at.
const SHARES: [f64; 2] = [0.04, 16.0];

/// What was done with the sliders.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) enum Tried {
    /// This pump is to move this share of what it would as planned.
    Share(usize, f64),
    /// All pumps as planned.
    Planned,
    /// What is tried is to be the plan.
    Take,
}

/// How the water over a crest looks.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Fall {
    /// Thinner than a sheet: it breaks up and clings to the stone.
    Trickle,
    /// A sheet.
    Good,
    /// Thicker than a garden wants.
    Heavy,
}

impl Fall {
    /// How a crest's water looks, by the site's limits.
    pub(crate) fn of(crest: &CrestOutcome, limits: &Limits) -> Self {
        if crest.brink_m < limits.crest_thin_m {
            Self::Trickle
        } else if crest.brink_m > limits.crest_thick_m {
            Self::Heavy
        } else {
            Self::Good
        }
    }

    /// In plain words.
    pub(crate) fn words(self) -> &'static str {
        match self {
            Self::Trickle => "a trickle, breaking up",
            Self::Good => "a good fall",
            Self::Heavy => "heavier than a garden wants",
        }
    }
}

/// What the pumps move.
#[derive(Clone, Copy)]
pub(crate) struct Pumps<'a> {
    /// The water as it is drawn.
    pub running: &'a Running,
    /// The water as it is planned.
    pub planned: &'a Running,
    /// What pumps are asked to move of what they would as planned.
    pub shares: &'a [f64],
}

/// Shows a slider for each pump and what comes of it.
pub(crate) fn pump_ui(ui: &mut Ui, pumps: Pumps<'_>, site: &Site) -> Option<Tried> {
    let Pumps { running, planned, shares } = pumps;
    let unit = site.frame.unit;
    let mut tried = None;
    for (idx, pump) in running.pumps.iter().enumerate() {
        let plan = planned.pumps.get(idx).and_then(|pump| pump.duty.as_ref().ok());
        let (Ok(duty), Some(plan)) = (&pump.duty, plan) else { continue };
        let share = shares.get(idx).copied().unwrap_or(1.0);
        let planned_m3_s = plan.flow_m3_s;
        ui.horizontal(|ui| {
            ui.label(RichText::new(&pump.name).font(bold(size::BODY)));
            ui.with_layout(egui::Layout::right_to_left(egui::Align::Center), |ui| {
                let moves = flow_text(duty.flow_m3_s, unit);
                ui.label(RichText::new(moves).font(bold(size::BODY)).color(ink_of(share)));
            });
        });
        if let Some(share) = slider(ui, idx, share, planned_m3_s, unit) {
            tried = Some(Tried::Share(idx, share));
        }
    }
    if !shares.is_empty() {
        ui.horizontal(|ui| {
            small(ui, "only tried");
            let back = ui.add(egui::Button::new("as planned").frame(false));
            marks::note(ui.ctx(), "flow as planned", back.rect);
            if back.on_hover_text("Let the pumps move what is planned").clicked() {
                tried = Some(Tried::Planned);
            }
            let take = ui.add(egui::Button::new("make it the plan").frame(false));
            marks::note(ui.ctx(), "flow taken", take.rect);
            let words = "Set the gate valve, or another pump and its valve, so that this is moved";
            if take.on_hover_text(words).clicked() {
                tried = Some(Tried::Take);
            }
        });
    }
    running.streams.iter().for_each(|stream| stream_ui(ui, stream, site));
    tried
}

/// A staff with the planned flow marked on it; shares by their logarithm, so that halves and doubles
/// are as far apart.
fn slider(
    ui: &mut Ui,
    pump: usize,
    share: f64,
    planned_m3_s: f64,
    unit: LengthUnit,
) -> Option<f64> {
    let [least, most] = SHARES.map(libm::log);
    let wide = ui.available_width();
    let (rect, response) = ui.allocate_exact_size(vec2(wide, 34.0), Sense::click_and_drag());
    marks::note(ui.ctx(), &format!("pump {pump}"), rect);
    let line = rect.shrink2(vec2(10.0, 0.0));
    let y = line.top() + 11.0;
    let place = |share: f64| {
        let t = (libm::log(share.clamp(SHARES[0], SHARES[1])) - least) / (most - least);
        pos2(line.left() + line.width() * t as f32, y)
    };
    let painter = ui.painter();
    painter.line_segment([pos2(line.left(), y), pos2(line.right(), y)], (2.0, paper::RULE.ink()));
    painter.line_segment([pos2(line.left(), y), place(share)], (4.0, paper::WATER.ink()));
    let mark = place(1.0);
    let second = paper::SECOND.ink();
    painter.line_segment([mark - vec2(0.0, 7.0), mark + vec2(0.0, 9.0)], (1.0, second));
    let small = text(size::SMALL - 2.0);
    let words = format!("planned {}", flow_text(planned_m3_s, unit));
    painter.text(mark + vec2(0.0, 9.0), egui::Align2::CENTER_TOP, words, small, second);
    let knob = place(share);
    painter.circle_filled(knob, 8.0, paper::SHEET.ink());
    painter.circle_stroke(knob, 8.0, Stroke::new(2.0, ink_of(share)));
    painter.circle_filled(knob, 3.0, ink_of(share));
    if response.has_focus() {
        painter.circle_stroke(knob, 11.0, Stroke::new(1.0, paper::MARKING.ink()));
    }
    if response.has_focus() {
        // Else the arrows would move on to another word of the sheet.
        let arrows = EventFilter {
            horizontal_arrows: true,
            vertical_arrows: true,
            ..EventFilter::default()
        };
        ui.memory_mut(|memory| memory.set_focus_lock_filter(response.id, arrows));
    }
    let by_key = response.has_focus().then(|| ui.input(stepped)).flatten();
    // A quick click on a slow machine is pressed and let go within one frame.
    let is_held = response.is_pointer_button_down_on() || response.clicked();
    let by_hand = response.interact_pointer_pos().filter(|_| is_held);
    let response = response.on_hover_text(
        "Drag to see a trickle, a good fall, or water over its edge; arrow keys do it too",
    );
    if response.clicked() || response.dragged() {
        response.request_focus();
    }
    let asked = match (by_hand, by_key) {
        (Some(at), _) => {
            let t = f64::from(((at.x - line.left()) / line.width()).clamp(0.0, 1.0));
            libm::exp(least + (most - least) * t)
        }
        (None, Some(times)) => share * times,
        _ => return None,
    };
    let asked = asked.clamp(SHARES[0], SHARES[1]);
    // The plan itself is easy to find again.
    let asked = if (libm::log(asked)).abs() < 0.05 { 1.0 } else { asked };
    (asked != share).then_some(asked)
}

/// By how much an arrow key changes the flow.
fn stepped(input: &egui::InputState) -> Option<f64> {
    if input.key_pressed(egui::Key::ArrowRight) || input.key_pressed(egui::Key::ArrowUp) {
        Some(1.12)
    } else if input.key_pressed(egui::Key::ArrowLeft) || input.key_pressed(egui::Key::ArrowDown) {
        Some(1.0 / 1.12)
    } else {
        None
    }
}

/// Marking paint while another flow than the planned one is tried.
fn ink_of(share: f64) -> egui::Color32 {
    if share == 1.0 { paper::WATER.ink() } else { paper::MARKING.ink() }
}

/// What comes of it at a stream's crests, edges and along its bed.
fn stream_ui(ui: &mut Ui, stream: &StreamOutcome, site: &Site) {
    let unit = site.frame.unit;
    let crests = stream.crests.as_deref().unwrap_or_default();
    for crest in crests.iter().filter(|crest| matches!(crest.crest, CrestPlace::Fall(..))) {
        let fall = Fall::of(crest, &site.limits);
        row_ui(
            ui,
            (fall != Fall::Good).then_some(Severity::LookAt),
            crest_words(crest, fall, unit),
        );
    }
    if let Ok(water) = &stream.water {
        let fastest = water.points.iter().map(|p| p.velocity_m_s).fold(0.0, f64::max);
        row_ui(ui, None, format!("runs at up to {}", velocity_text(fastest, unit)));
        let edge = water.points.iter().flat_map(|p| p.edge_above_water_m);
        let least = edge.fold(f64::INFINITY, f64::min);
        let length = length_text(least.abs(), unit);
        match least < 0.0 {
            true => row_ui(ui, Some(Severity::Stop), format!("runs {length} deep over its edge")),
            false => row_ui(ui, None, format!("its edge stands at least {length} above it")),
        }
    }
}

/// "fall 1: 0.61 in, a good fall".
fn crest_words(crest: &CrestOutcome, fall: Fall, unit: LengthUnit) -> String {
    let name = match crest.crest {
        CrestPlace::Lip(_) => "lip".to_owned(),
        CrestPlace::Head(_) => "head".to_owned(),
        CrestPlace::Fall(_, i) => format!("fall {}", i + 1),
    };
    format!("{name}: {} thick, {}", thickness_text(crest.brink_m, unit), fall.words())
}

fn row_ui(ui: &mut Ui, sign: Option<Severity>, words: String) {
    ui.horizontal(|ui| {
        match sign {
            Some(sign) => sign_ui(ui, sign),
            None => drop(ui.allocate_exact_size(vec2(14.0, 18.0), Sense::hover())),
        }
        ui.add(egui::Label::new(RichText::new(words).font(text(size::SMALL))).wrap());
    });
}
