//! How a hill stands, drawn over the garden while a finding about it is read.

use egui::{Painter, Pos2};

use super::Desk;
use crate::panels::hill;
use crate::panels::plan::Room;
use crate::reading::is_of_hill;

/// Draws the fan and the skylines of the hill that the finding is about.
pub(super) fn over_garden(
    painter: &Painter,
    desk: &Desk<'_, '_>,
    on_screen: &dyn Fn([f64; 3]) -> Option<Pos2>,
    room: &mut Room,
) {
    let evaluation = desk.derived.evaluation.as_ref();
    let read = desk.choice.finding.and_then(|idx| evaluation?.findings.get(idx));
    let Some(finding) = read.filter(|finding| is_of_hill(finding.code)) else { return };
    if let Some(drawn) = desk.reading.hill(desk.derived.revision, finding) {
        hill::hill(painter, drawn, on_screen, room);
    }
}
