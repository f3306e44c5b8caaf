//! Earth that is dug or placed, in words.

use units::{LengthUnit, area_text, earth_text, length_text};

/// Earth that lies over an area, with its greatest depth or height.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Moved {
    pub(crate) volume_m3: f64,
    pub(crate) area_m2: f64,
    pub(crate) most_m: f64,
}

impl Moved {
    /// "3.4 m3 in the bank over 12.0 m2, 0.90 m at the deepest": what state it is in may be left
    /// out, and says a blank before itself.
    pub(crate) fn text(self, state: &str, most: &str, unit: LengthUnit) -> String {
        format!(
            "{}{state} over {}, {} at the {most}",
            earth_text(self.volume_m3, unit),
            area_text(self.area_m2, unit),
            length_text(self.most_m, unit)
        )
    }
}
