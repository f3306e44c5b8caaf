//! The one place for colours, type sizes and spacing: paper, ink, and the garden between them.

use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};

use bevy::color::LinearRgba;
use bevy::math::Vec3;
use egui::{Color32, FontData, FontDefinitions, FontFamily, FontId, Stroke, TextStyle};

/// An opaque colour as people write it.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) struct Rgb(pub u8, pub u8, pub u8);

impl Rgb {
    /// For panels.
    pub(crate) const fn ink(self) -> Color32 {
        Color32::from_rgb(self.0, self.1, self.2)
    }

    /// For the scene, in linear light.
    pub(crate) fn linear(self) -> Vec3 {
        let colour = LinearRgba::from(bevy::color::Srgba::rgb_u8(self.0, self.1, self.2));
        Vec3::new(colour.red, colour.green, colour.blue)
    }
}

/// A colour of paper or ink by the light in which it is read; the garden between is always in its day.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) struct Paper {
    /// By day.
    pub day: Rgb,
    evening: Rgb,
}

/// What lies around whoever reads.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub(crate) enum Light {
    /// Ink on pale paper.
    #[default]
    Day,
    /// Pale ink on dark paper.
    Evening,
}

/// Whether it is evening. Every stroke of every panel asks for it, so that it stands here and is not
/// carried through each; only [`light`] sets it.
static EVENING: AtomicBool = AtomicBool::new(false);

impl Paper {
    const fn new(day: Rgb, evening: Rgb) -> Self {
        Self { day, evening }
    }

    /// As it is read now.
    pub(crate) fn rgb(self) -> Rgb {
        if EVENING.load(Ordering::Relaxed) { self.evening } else { self.day }
    }

    /// For panels.
    pub(crate) fn ink(self) -> Color32 {
        self.rgb().ink()
    }

    /// For the scene, in linear light.
    pub(crate) fn linear(self) -> Vec3 {
        self.day.linear()
    }
}

/// Lets the paper be read by another light.
pub(crate) fn light(ctx: &egui::Context, light: Light) {
    let is_evening = light == Light::Evening;
    if EVENING.swap(is_evening, Ordering::Relaxed) != is_evening {
        ctx.style_mut_of(egui::Theme::Light, style);
    }
}

/// Paper and ink.
pub(crate) mod paper {
    use super::{Paper, Rgb};

    const fn both(day: [u8; 3], evening: [u8; 3]) -> Paper {
        let ([a, b, c], [x, y, z]) = (day, evening);
        Paper::new(Rgb(a, b, c), Rgb(x, y, z))
    }

    pub(crate) const SHEET: Paper = both([0xF6, 0xF1, 0xE6], [0x1E, 0x24, 0x22]);
    pub(crate) const FIELD: Paper = both([0xFB, 0xF7, 0xEE], [0x28, 0x30, 0x2D]);
    pub(crate) const HELD: Paper = both([0xFF, 0xFF, 0xFF], [0x32, 0x3C, 0x38]);
    pub(crate) const CHOSEN: Paper = both([0xF3, 0xC9, 0xB6], [0x6E, 0x3A, 0x28]);
    pub(crate) const INK: Paper = both([0x22, 0x30, 0x2B], [0xED, 0xE6, 0xD6]);
    pub(crate) const SECOND: Paper = both([0x5E, 0x6B, 0x62], [0xA9, 0xB0, 0xA6]);
    pub(crate) const RULE: Paper = both([0xD8, 0xCF, 0xBE], [0x56, 0x60, 0x5B]);
    pub(crate) const WASH: Paper = both([0xEC, 0xE5, 0xD5], [0x2A, 0x32, 0x2F]);
    pub(crate) const MARKING: Paper = both([0xE4, 0x57, 0x2E], [0xFF, 0x7A, 0x50]);
    pub(crate) const WATER: Paper = both([0x2F, 0x7F, 0x86], [0x58, 0xB3, 0xBA]);
    pub(crate) const POOL: Paper = both([0xCF, 0xE3, 0xE2], [0x25, 0x42, 0x45]);
    pub(crate) const GRAVEL: Paper = both([0xD9, 0xD1, 0xC2], [0x4E, 0x4A, 0x42]);
    pub(crate) const GOOD: Paper = both([0x5B, 0x7F, 0x3B], [0x92, 0xAA, 0x7D]);
    pub(crate) const LOOK_AT: Paper = both([0xB9, 0x7A, 0x00], [0xD1, 0xA6, 0x55]);
    pub(crate) const STOP: Paper = both([0xA6, 0x3D, 0x2F], [0xD0, 0x7A, 0x6C]);
    pub(crate) const CUT: Paper = both([0x8C, 0x51, 0x0A], [0xBF, 0x81, 0x2D]);
    pub(crate) const FILL: Paper = both([0x01, 0x66, 0x5E], [0x35, 0x97, 0x8F]);
}

/// The garden.
pub(crate) mod garden {
    use super::Rgb;

    pub(crate) const LAWN: Rgb = Rgb(0x76, 0x90, 0x4D);
    pub(crate) const SOIL: Rgb = Rgb(0x68, 0x5B, 0x4A);
    pub(crate) const MULCH: Rgb = Rgb(0x5B, 0x46, 0x36);
    pub(crate) const GRAVEL: Rgb = Rgb(0xB9, 0xAE, 0x9A);
    pub(crate) const GRANITE: Rgb = Rgb(0x9B, 0x93, 0x8A);
    pub(crate) const PLANTED: Rgb = Rgb(0x5F, 0x50, 0x3A);
    pub(crate) const LEAF: Rgb = Rgb(0x6E, 0x8E, 0x3F);
    pub(crate) const BED: Rgb = Rgb(0x94, 0x8D, 0x7E);
    pub(crate) const BEYOND: Rgb = Rgb(0x9C, 0xAB, 0x7C);
    pub(crate) const ROOF: Rgb = Rgb(0x8E, 0x5A, 0x45);
    pub(crate) const FOLIAGE: Rgb = Rgb(0x55, 0x72, 0x3F);
    pub(crate) const GHOST: Rgb = Rgb(0xC9, 0xB3, 0x8F);
    pub(crate) const PAVING: Rgb = Rgb(0xC9, 0xC1, 0xAF);
    pub(crate) const ROLLED: Rgb = Rgb(0xA6, 0x98, 0x80);
    pub(crate) const PLASTER: Rgb = Rgb(0xEA, 0xDF, 0xCB);
    pub(crate) const TIMBER: Rgb = Rgb(0x6A, 0x50, 0x3C);
    pub(crate) const LINER: Rgb = Rgb(0x3C, 0x40, 0x42);
    pub(crate) const IRON: Rgb = Rgb(0x55, 0x57, 0x55);
    pub(crate) const LAMP: Rgb = Rgb(0xFF, 0xD8, 0x8A);
    pub(crate) const HAZE: Rgb = Rgb(0xDA, 0xDD, 0xCC);
}

/// The steps of the grid on which everything stands, in points.
pub(crate) const STEP: f32 = 4.0;

/// Width of a card, in points.
pub(crate) const CARD_WIDTH: f32 = 300.0;

/// Gap between the window's edge and what stands at it.
pub(crate) const EDGE: f32 = 12.0;

/// Three sizes of type and no more.
pub(crate) mod size {
    /// Small print: units, notes, names of fields.
    pub(crate) const SMALL: f32 = 13.0;
    /// Numbers on sketches: the small size.
    pub(crate) const SMALL_VALUE: f32 = SMALL;
    /// Reading size.
    pub(crate) const BODY: f32 = 15.0;
    /// Names of works and the balance.
    pub(crate) const HEAD: f32 = 20.0;
}

/// The weight for what matters.
pub(crate) fn strong() -> FontFamily {
    FontFamily::Name("strong".into())
}

/// Type of a size in the usual weight.
pub(crate) fn text(size: f32) -> FontId {
    FontId::new(size, FontFamily::Proportional)
}

/// Type of a size in the weight for what matters.
pub(crate) fn bold(size: f32) -> FontId {
    FontId::new(size, strong())
}

/// The paper that cards and strips are made of.
pub(crate) fn sheet() -> egui::Frame {
    let Rgb(r, g, b) = paper::SHEET.rgb();
    egui::Frame::new()
        .fill(Color32::from_rgba_unmultiplied(r, g, b, 240))
        .stroke(Stroke::new(1.0, paper::RULE.ink()))
        .corner_radius(3)
        .inner_margin(egui::Margin::symmetric(12, 10))
        .shadow(egui::Shadow {
            offset: [0, 2],
            blur: 10,
            spread: 0,
            color: Color32::from_rgba_unmultiplied(0x22, 0x30, 0x2B, 40),
        })
}

/// Puts type, ink and spacing into a context; done once.
pub(crate) fn install(ctx: &egui::Context) {
    ctx.set_fonts(fonts());
    ctx.set_theme(egui::Theme::Light);
    ctx.style_mut_of(egui::Theme::Light, style);
}

/// Draws every letter once, so that none is missing in the first frame that needs it.
pub(crate) fn warm(ctx: &egui::Context) {
    // A letter is kept once for each part of a pixel at which it begins: in a row it meets them all.
    const IN_A_ROW: usize = 8;
    let letters = (' '..='~').chain("·−…½¼¾²³°±".chars());
    let letters: String =
        letters.flat_map(|letter| std::iter::repeat_n(letter, IN_A_ROW)).collect();
    ctx.fonts_mut(|fonts| {
        for size in [size::SMALL - 2.0, size::SMALL, size::BODY, size::HEAD] {
            for font in [text(size), bold(size)] {
                fonts.layout_no_wrap(letters.clone(), font, Color32::BLACK);
            }
        }
    });
}

fn fonts() -> FontDefinitions {
    let mut fonts = FontDefinitions::empty();
    let regular = FontData::from_static(include_bytes!("../assets/fonts/Lato-Regular.ttf"));
    let semibold = FontData::from_static(include_bytes!("../assets/fonts/Lato-Semibold.ttf"));
    fonts.font_data.insert("regular".into(), Arc::new(regular));
    fonts.font_data.insert("semibold".into(), Arc::new(semibold));
    for family in [FontFamily::Proportional, FontFamily::Monospace] {
        fonts.families.insert(family, vec!["regular".into()]);
    }
    fonts.families.insert(strong(), vec!["semibold".into()]);
    fonts
}

fn style(style: &mut egui::Style) {
    style.text_styles = [
        (TextStyle::Small, text(size::SMALL)),
        (TextStyle::Body, text(size::BODY)),
        (TextStyle::Button, text(size::BODY)),
        (TextStyle::Monospace, text(size::SMALL)),
        (TextStyle::Heading, bold(size::HEAD)),
    ]
    .into();
    style.spacing.item_spacing = egui::vec2(2.0 * STEP, STEP);
    style.spacing.button_padding = egui::vec2(2.0 * STEP, 3.0);
    style.spacing.interact_size = egui::vec2(40.0, 24.0);
    style.spacing.scroll = egui::style::ScrollStyle::thin();
    // On paper that the garden shines through a fade is a grey smear.
    style.spacing.scroll.fade.strength = 0.0;
    style.interaction.selectable_labels = false;
    visuals(&mut style.visuals);
}

fn visuals(visuals: &mut egui::Visuals) {
    *visuals = egui::Visuals::light();
    visuals.override_text_color = Some(paper::INK.ink());
    visuals.weak_text_color = Some(paper::SECOND.ink());
    visuals.window_fill = paper::SHEET.ink();
    visuals.panel_fill = paper::SHEET.ink();
    visuals.extreme_bg_color = paper::FIELD.ink();
    visuals.faint_bg_color = paper::WASH.ink();
    visuals.selection.bg_fill = paper::CHOSEN.ink();
    visuals.selection.stroke = Stroke::new(1.0, paper::MARKING.ink());
    visuals.window_stroke = Stroke::new(1.0, paper::RULE.ink());
    visuals.window_corner_radius = 3.into();
    visuals.menu_corner_radius = 3.into();
    let widgets = &mut visuals.widgets;
    for (widget, fill, line) in [
        (&mut widgets.noninteractive, Color32::TRANSPARENT, paper::RULE),
        (&mut widgets.inactive, paper::FIELD.ink(), paper::RULE),
        (&mut widgets.hovered, paper::HELD.ink(), paper::SECOND),
        (&mut widgets.active, paper::HELD.ink(), paper::MARKING),
        (&mut widgets.open, paper::HELD.ink(), paper::SECOND),
    ] {
        widget.bg_fill = fill;
        widget.weak_bg_fill = fill;
        widget.bg_stroke = Stroke::new(1.0, line.ink());
        widget.fg_stroke = Stroke::new(1.0, paper::INK.ink());
        widget.corner_radius = 2.into();
        widget.expansion = 0.0;
    }
}
