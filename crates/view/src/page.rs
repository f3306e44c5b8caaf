//! How the screen is read: how large its letters are, and whether paper or evening lies around.

use bevy::prelude::*;

use crate::theme::{self, Light};

/// Sizes of type, in shares of the plain one.
const SCALES: [f32; 6] = [0.85, 1.0, 1.25, 1.5, 1.75, 2.0];

/// View state, neither stored nor undone.
#[derive(Resource, Clone, Copy, Debug, PartialEq)]
pub(crate) struct Page {
    /// How many points of the window are one point of paper.
    pub scale: f32,
    /// What lies around.
    pub light: Light,
}

impl Default for Page {
    fn default() -> Self {
        Self { scale: 1.0, light: Light::Day }
    }
}

impl Page {
    /// The next larger size of type.
    pub(crate) fn larger(&mut self) {
        self.scale = SCALES.into_iter().find(|s| *s > self.scale + 0.01).unwrap_or(self.scale);
    }

    /// The next smaller size of type.
    pub(crate) fn smaller(&mut self) {
        let smaller = SCALES.into_iter().rev().find(|s| *s < self.scale - 0.01);
        self.scale = smaller.unwrap_or(self.scale);
    }

    /// Paper by day, or by evening.
    pub(crate) fn turn_light(&mut self) {
        self.light = match self.light {
            Light::Day => Light::Evening,
            Light::Evening => Light::Day,
        };
    }

    /// Puts both into egui's context.
    pub(crate) fn lay(self, ctx: &egui::Context) {
        ctx.options_mut(|options| options.zoom_with_keyboard = false);
        ctx.set_zoom_factor(self.scale);
        theme::light(ctx, self.light);
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn letters_grow_to_double_and_no_farther() {
        let mut page = Page::default();
        (0..9).for_each(|_| page.larger());
        assert_eq!(page.scale, 2.0);
        (0..9).for_each(|_| page.smaller());
        assert_eq!(page.scale, 0.85);
    }
}
