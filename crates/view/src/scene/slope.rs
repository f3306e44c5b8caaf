//! Slope colours: the flatter the darker, in steps that a builder knows.
//!
//! Source of the colours: the map cividis, even to the eye and the same to colour-blind ones, in ten
//! classes (J. R. Nuñez, C. R. Anderton, R. S. Renslow, "Optimizing colormaps with consideration for
//! color vision deficiency", PLOS ONE 13, 2018; its values from memory), every class but two taken.

use bevy::math::Vec4;

use crate::theme::Rgb;

/// How many classes there are.
pub(crate) const N_CLASSES: usize = 8;

/// The classes from level ground to the steepest.
pub(crate) const CLASSES: [Rgb; N_CLASSES] = [
    Rgb(0x00, 0x20, 0x4D),
    Rgb(0x00, 0x33, 0x6F),
    Rgb(0x39, 0x48, 0x6B),
    Rgb(0x57, 0x5C, 0x6D),
    Rgb(0x8A, 0x87, 0x79),
    Rgb(0xA6, 0x9D, 0x75),
    Rgb(0xC4, 0xB5, 0x6C),
    Rgb(0xFF, 0xEA, 0x46),
];

/// Run per rise at which each class but the last ends: what drains, walks, is mown, is planted, holds.
pub(crate) const ENDS: [f64; N_CLASSES - 1] = [50.0, 20.0, 10.0, 5.0, 4.0, 3.0, 2.0];

/// The classes as the shader reads them: colours in linear light, and in their last number the rise
/// per run at which each ends.
pub(crate) fn ramp() -> [Vec4; N_CLASSES] {
    std::array::from_fn(|class| {
        let end = ENDS.get(class).map_or(1e9, |run| 1.0 / run);
        CLASSES[class].linear().extend(end as f32)
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn classes_go_from_flat_to_steep_and_from_dark_to_light() {
        assert!(ENDS.windows(2).all(|ends| ends[0] > ends[1]));
        let light: Vec<f32> = CLASSES
            .iter()
            .map(|class| class.linear().dot(bevy::math::Vec3::new(0.2126, 0.7152, 0.0722)))
            .collect();
        assert!(light.windows(2).all(|pair| pair[0] < pair[1]), "{light:?}");
    }
}
