//! The strip's fields.

use super::walk::{Ends, Visitor, curve};
use crate::works::Strip;

pub(super) fn walk(strip: &mut Strip, visitor: &mut dyn Visitor) {
    curve(visitor, ("outline", "Outline"), (Ends::Closed, 3), &mut strip.outline);
}
