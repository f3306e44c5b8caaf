//! What stays in the garden in plain words: houses, trees, buried lines, drains, boundaries, septic
//! fields, gates.

use std::fmt::Write as _;

use design::{Evaluation, HouseOutcome, KeptOutcome};
use site::keep_out::{BuriedLine, Certainty};
use site::{House, KeepOut, KeepOutKind, Site};
use units::{LengthUnit, area_text, elevation_text, length_text};

use super::STRING;

/// What stays, each with its levels; nothing where nothing is told to stay.
pub(super) fn text(site: &Site, evaluation: &Evaluation) -> String {
    if site.houses.is_empty() && site.keep_outs.is_empty() {
        return String::new();
    }
    let unit = site.frame.unit;
    let mut out = "\nStays as it is\n".to_owned();
    for (house, outcome) in site.houses.iter().zip(design::houses(site, evaluation)) {
        writeln!(out, "  {}: {}", house.name, house_text(house, outcome, unit)).expect(STRING);
    }
    for (kept, outcome) in site.keep_outs.iter().zip(design::kept(site, evaluation)) {
        writeln!(out, "  {}: {}", kept.name, kept_text(kept, outcome, unit)).expect(STRING);
        if let KeepOutKind::BuriedLine(line) = &kept.kind {
            writeln!(out, "    caution: {}", caution(line)).expect(STRING);
        }
    }
    out
}

fn house_text(house: &House, outcome: Option<HouseOutcome>, unit: LengthUnit) -> String {
    let [floor, sill] = [house.floor_m, house.sill_m].map(|level| elevation_text(level, unit));
    let levels = format!("floor {floor}, lowest sill {sill}");
    match outcome {
        None => format!("{levels}; its walls stand beyond the survey"),
        Some(at) if at.sill_above_m < 0.0 => format!(
            "{levels}; finished ground at its walls rises to {}, {} above the sill",
            elevation_text(at.highest_m, unit),
            length_text(-at.sill_above_m, unit)
        ),
        Some(at) => format!(
            "{levels}; finished ground at its walls rises to {}, {} below the sill",
            elevation_text(at.highest_m, unit),
            length_text(at.sill_above_m, unit)
        ),
    }
}

fn kept_text(kept: &KeepOut, outcome: KeptOutcome, unit: LengthUnit) -> String {
    let length = |length_m: f64| length_text(length_m, unit);
    match (&kept.kind, outcome) {
        (KeepOutKind::Tree(tree), KeptOutcome::Tree { ground_m, roots_m: [published, own] }) => {
            let stem = length(tree.stem_m);
            let rule = site::keep_out::Tree::PUBLISHED_ROOTS_PER_STEM;
            let roots = if own == published {
                format!("{}, {rule:.0} stems by the published rule", length(own))
            } else {
                format!(
                    "{} as chosen, {:.1} stems; {} by the published rule of {rule:.0}",
                    length(own),
                    tree.roots_per_stem,
                    length(published)
                )
            };
            let change = change_text(ground_m, unit);
            format!("tree, stem {stem}; roots to keep within {roots}{change}")
        }
        (KeepOutKind::BuriedLine(line), KeptOutcome::BuriedLine(cover)) => {
            let lies = format!(
                "{} line, {} below existing ground ({}), {} to keep clear",
                line.carries.word(),
                length(line.depth_m),
                certainty(line.certainty),
                length(line.clearance_m)
            );
            match cover {
                None => format!("{lies}; beyond the survey"),
                Some(at) if at.least_m < 0.0 => {
                    format!("{lies}; the works dig {} below its top", length(-at.least_m))
                }
                Some(at) => {
                    let left = length(at.least_m);
                    format!("{lies}; at least {left} stay above it, open trenches apart")
                }
            }
        }
        (KeepOutKind::Drain(drain), KeptOutcome::Drain { below_m }) => {
            let invert = elevation_text(drain.invert_m, unit);
            match below_m {
                None => format!("drain, invert {invert}; beyond the survey"),
                Some([_, after]) if after < 0.0 => {
                    format!("drain, invert {invert}, {} above finished ground", length(-after))
                }
                Some([_, after]) => {
                    format!("drain, invert {invert}, {} below finished ground", length(after))
                }
            }
        }
        (KeepOutKind::Boundary(boundary), KeptOutcome::Boundary { length_m }) => format!(
            "boundary of {}, {} to keep from it",
            length(length_m),
            length(boundary.setback_m)
        ),
        (KeepOutKind::Septic(septic), KeptOutcome::Septic { area_m2 }) => format!(
            "septic field of {}, {} to keep from it",
            area_text(area_m2, unit),
            length(septic.setback_m)
        ),
        (KeepOutKind::Gate(_), KeptOutcome::Gate { width_m }) => {
            format!("gate, {} clear", length(width_m))
        }
        // An outcome is always of its own keep-out's kind.
        _ => String::new(),
    }
}

fn change_text(ground_m: Option<[f64; 2]>, unit: LengthUnit) -> String {
    let Some([before, after]) = ground_m else { return "; beyond the survey".to_owned() };
    let change = after - before;
    // Half a millimetre is no change.
    match change {
        c if c > 0.0005 => format!("; the ground at it rises by {}", length_text(c, unit)),
        c if c < -0.0005 => format!("; the ground at it is dug by {}", length_text(-c, unit)),
        _ => "; the ground at it stays".to_owned(),
    }
}

/// K-27: whatever the plans say.
fn caution(line: &BuriedLine) -> &'static str {
    match line.certainty {
        Certainty::Exposed => {
            "planning help only; keep it in sight, dig by hand beside it and follow its owner's rules"
        }
        Certainty::Traced | Certainty::FromPlans | Certainty::Assumed => {
            "planning help only; have it marked by those who are answerable for it and lay it open \
             by hand before any machine digs near it"
        }
    }
}

fn certainty(certainty: Certainty) -> &'static str {
    match certainty {
        Certainty::Exposed => "laid open and measured",
        Certainty::Traced => "traced from above",
        Certainty::FromPlans => "by its plan only",
        Certainty::Assumed => "assumed",
    }
}
