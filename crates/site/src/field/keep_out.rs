//! Fields of what stays in the garden, or must not be touched.

use super::Quantity::{self, Length, Number};
use super::walk::{Ends, Parameters, Visitor, choice, number, outline, place, says, text};
use crate::keep_out::{Certainty, KeepOutKind, Service};
use crate::{House, KeepOut};

/// K-27.
const MARKED: &str = "Planning help only. Have every buried line marked by those who own it before \
                      anyone digs, and dig by hand beside it: what is drawn here is no proof.";

impl Parameters for House {
    fn walk(&mut self, visitor: &mut dyn Visitor) {
        text(visitor, says("name", "Name"), &mut self.name);
        number(visitor, says("floor_m", "Floor level").elevation(), &mut self.floor_m);
        number(visitor, says("sill_m", "Lowest sill").elevation(), &mut self.sill_m);
        let height = says("height_m", "Eaves above floor").is(Length, 0.0, 200.0);
        number(visitor, height, &mut self.height_m);
        outline(visitor, ("outline_m", "Outline"), (Ends::Closed, 3), &mut self.outline_m);
    }
}

impl Parameters for KeepOut {
    fn walk(&mut self, visitor: &mut dyn Visitor) {
        text(visitor, says("name", "Name"), &mut self.name);
        text(visitor, says("note", "Note"), &mut self.note);
        walk_kind(&mut self.kind, visitor);
    }
}

fn walk_kind(kind: &mut KeepOutKind, visitor: &mut dyn Visitor) {
    match kind {
        KeepOutKind::Tree(tree) => {
            place(visitor, says("kind.at", "Stem"), &mut tree.at);
            let stem = says("kind.stem_m", "Stem diameter").is(Length, 0.01, 5.0);
            number(visitor, stem, &mut tree.stem_m);
            let roots = says("kind.roots_per_stem", "Root zone, stems").is(Number, 0.0, 50.0);
            number(visitor, roots, &mut tree.roots_per_stem);
        }
        KeepOutKind::BuriedLine(line) => {
            let services = [
                Service::Power,
                Service::Gas,
                Service::Water,
                Service::Sewer,
                Service::Data,
                Service::Unknown,
            ];
            let names = &["electricity", "gas", "water", "sewer", "data", "unknown"];
            pick(visitor, ("kind.carries", "Carries"), names, &services, &mut line.carries);
            let known =
                [Certainty::Exposed, Certainty::Traced, Certainty::FromPlans, Certainty::Assumed];
            let names = &["laid open", "traced", "from plans", "assumed"];
            pick(visitor, ("kind.certainty", "Known by"), names, &known, &mut line.certainty);
            let depth = says("kind.depth_m", "Depth of its top").is(Length, 0.0, 20.0);
            number(visitor, depth.caution(MARKED), &mut line.depth_m);
            let clear = says("kind.clearance_m", "Clearance").is(Length, 0.0, 20.0);
            number(visitor, clear.caution(MARKED), &mut line.clearance_m);
            outline(visitor, ("kind.line_m", "Line"), (Ends::Open, 2), &mut line.line_m);
        }
        KeepOutKind::Drain(drain) => {
            place(visitor, says("kind.at", "Place"), &mut drain.at);
            number(visitor, says("kind.invert_m", "Invert").elevation(), &mut drain.invert_m);
        }
        KeepOutKind::Boundary(boundary) => {
            number(visitor, setback(), &mut boundary.setback_m);
            outline(visitor, ("kind.line_m", "Line"), (Ends::Open, 2), &mut boundary.line_m);
        }
        KeepOutKind::Septic(septic) => {
            number(visitor, setback(), &mut septic.setback_m);
            let field = ("kind.outline_m", "Outline");
            outline(visitor, field, (Ends::Closed, 3), &mut septic.outline_m);
        }
        KeepOutKind::Gate(gate) => {
            place(visitor, says("kind.from", "One post"), &mut gate.from);
            place(visitor, says("kind.to", "Other post"), &mut gate.to);
        }
    }
}

fn setback() -> super::walk::Says {
    says("kind.setback_m", "Setback").is(Quantity::Length, 0.0, 100.0)
}

fn pick<T: Copy + PartialEq>(
    visitor: &mut dyn Visitor,
    (path, label): (&str, &str),
    names: &'static [&'static str],
    all: &[T],
    slot: &mut T,
) {
    let now = all.iter().position(|of| of == slot).unwrap_or(0);
    if let Some(new) = choice(visitor, says(path, label), names, now) {
        *slot = all[new];
    }
}
