//! Depth colours: brown where ground is cut, teal where it is filled.
//!
//! Source of the steps: ColorBrewer, scheme BrBG in eleven classes, Apache-2.0.

use bevy::math::Vec4;
use units::LengthUnit;

use crate::theme::Rgb;

/// How many classes the scheme has.
pub(crate) const N_STEPS: usize = 11;

/// The classes from the deepest cut to the highest fill.
pub(crate) const STEPS: [Rgb; N_STEPS] = [
    Rgb(0x54, 0x30, 0x05),
    Rgb(0x8C, 0x51, 0x0A),
    Rgb(0xBF, 0x81, 0x2D),
    Rgb(0xDF, 0xC2, 0x7D),
    Rgb(0xF6, 0xE8, 0xC3),
    Rgb(0xF5, 0xF5, 0xF5),
    Rgb(0xC7, 0xEA, 0xE5),
    Rgb(0x80, 0xCD, 0xC1),
    Rgb(0x35, 0x97, 0x8F),
    Rgb(0x01, 0x66, 0x5E),
    Rgb(0x00, 0x3C, 0x30),
];

/// The classes as the shader reads them, in linear light, padded by one.
pub(crate) fn ramp() -> [Vec4; N_STEPS + 1] {
    let mut ramp = [Vec4::ONE; N_STEPS + 1];
    for (slot, step) in ramp.iter_mut().zip(STEPS) {
        *slot = step.linear().extend(1.0);
    }
    ramp
}

/// The length at which the scale ends, round in the site's unit, at least as far as ground moves.
pub(crate) fn scale_end_m(deepest_cut_m: f64, highest_fill_m: f64, unit: LengthUnit) -> f64 {
    let reach = unit.from_metres(deepest_cut_m.max(highest_fill_m));
    let rounds = [0.25, 0.5, 1.0, 1.5, 2.0, 3.0, 4.0, 5.0, 6.0, 8.0, 10.0, 15.0, 20.0, 50.0];
    unit.to_metres(rounds.into_iter().find(|end| reach <= *end).unwrap_or(100.0))
}
