//! What is written beside what stays: its name, what it is, and the number that counts.

use design::{Cover, Evaluation, KeptOutcome};
use site::keep_out::{BuriedLine, Certainty, Service};
use site::{KeepOut, KeepOutKind, Site};
use units::{LengthUnit, earth_text, elevation_text, length_text};

use super::KeptWord;
use crate::scene::terrain::Lie;

/// The words of every keep-out and heap.
pub(super) fn of(site: &Site, evaluation: &Evaluation, finished: &Lie) -> Vec<KeptWord> {
    let unit = site.frame.unit;
    let on_ground = |[x, y]: [f64; 2]| Some([x, y, finished.elevation([x, y])?]);
    let mut words = Vec::new();
    if !site.keep_outs.is_empty() {
        let outcomes = design::kept(site, evaluation);
        words.extend(site.keep_outs.iter().zip(outcomes).filter_map(|(kept, outcome)| {
            let (what, number) = said(kept, outcome, unit);
            let text = joined(&kept.name, what, &number);
            Some(KeptWord { at: on_ground(anchor(&kept.kind))?, text })
        }));
    }
    if !site.stockpiles.is_empty()
        && let Some(handling) = design::handling(site, evaluation)
    {
        words.extend(site.stockpiles.iter().zip(handling.heaps).filter_map(|(pile, heap)| {
            let what = match pile.holds {
                site::earth::Heaped::Topsoil => "topsoil",
                site::earth::Heaped::Subsoil => "subsoil",
            };
            let holds = earth_text(heap.holds_m3, unit);
            let number = format!("{holds} loose, {} high", length_text(heap.height_m, unit));
            let text = joined(&pile.name, what, &number);
            Some(KeptWord { at: on_ground(heap.at_m)?, text })
        }));
    }
    words
}

/// A thing's name, what it is where its name does not say so, and its number.
fn joined(name: &str, what: &str, number: &str) -> String {
    if name.to_lowercase().contains(what) {
        format!("{name}, {number}")
    } else {
        format!("{name}, {what}, {number}")
    }
}

/// What a keep-out is, and its number.
fn said(kept: &KeepOut, outcome: KeptOutcome, unit: LengthUnit) -> (&'static str, String) {
    let length = |m: f64| length_text(m, unit);
    match (&kept.kind, outcome) {
        (KeepOutKind::Tree(tree), _) => {
            let (own, published) = (tree.roots_m(), tree.published_roots_m());
            let roots = format!("roots {}", length(own));
            if (own - published).abs() < 0.01 {
                ("tree", roots)
            } else {
                ("tree", format!("{roots}; published {}", length(published)))
            }
        }
        (KeepOutKind::BuriedLine(line), outcome) => {
            let cover = match outcome {
                KeptOutcome::BuriedLine(cover) => cover,
                _ => None,
            };
            line_text(line, cover, unit)
        }
        (KeepOutKind::Drain(drain), _) => {
            ("drain", format!("invert {}", elevation_text(drain.invert_m, unit)))
        }
        (KeepOutKind::Boundary(boundary), _) => {
            ("boundary", format!("keep {} off", length(boundary.setback_m)))
        }
        (KeepOutKind::Septic(septic), _) => {
            ("septic", format!("keep {} off", length(septic.setback_m)))
        }
        (KeepOutKind::Gate(gate), _) => ("gate", format!("{} clear", length(gate.width_m()))),
    }
}

fn line_text(line: &BuriedLine, cover: Option<Cover>, unit: LengthUnit) -> (&'static str, String) {
    let carries = match line.carries {
        Service::Power => "electricity",
        Service::Gas => "gas",
        Service::Water => "water",
        Service::Sewer => "sewer",
        Service::Data => "data",
        Service::Unknown => "unknown line",
    };
    let known = match line.certainty {
        Certainty::Exposed => "laid open",
        Certainty::Traced => "traced",
        Certainty::FromPlans => "from plans",
        Certainty::Assumed => "assumed",
    };
    let lies = format!("{} deep ({known})", length_text(line.depth_m, unit));
    match cover {
        Some(cover) if cover.least_m < 0.0 => {
            let below = length_text(-cover.least_m, unit);
            (carries, format!("{lies}; works dig {below} below its top"))
        }
        _ => (carries, lies),
    }
}

/// Where a keep-out's word stands.
fn anchor(kind: &KeepOutKind) -> [f64; 2] {
    match kind {
        KeepOutKind::Tree(tree) => tree.at,
        KeepOutKind::Drain(drain) => drain.at,
        KeepOutKind::BuriedLine(line) => longest(&line.line_m),
        KeepOutKind::Boundary(boundary) => longest(&boundary.line_m),
        KeepOutKind::Septic(septic) => {
            let n = septic.outline_m.len().max(1) as f64;
            [0, 1].map(|i| septic.outline_m.iter().map(|p| p[i]).sum::<f64>() / n)
        }
        KeepOutKind::Gate(gate) => [0, 1].map(|i| 0.5 * (gate.from[i] + gate.to[i])),
    }
}

/// The middle of a line's longest leg.
fn longest(line: &[[f64; 2]]) -> [f64; 2] {
    let legs = line.windows(2).map(|leg| (leg[0], leg[1]));
    let length = |(a, b): &([f64; 2], [f64; 2])| libm::hypot(b[0] - a[0], b[1] - a[1]);
    legs.max_by(|a, b| length(a).total_cmp(&length(b)))
        .map_or([f64::NAN; 2], |(a, b)| [0, 1].map(|i| 0.5 * (a[i] + b[i])))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn nothing_is_said_twice_of_a_thing_that_is_named_by_what_it_is() {
        assert_eq!(joined("Apple tree", "tree", "roots 3.20 m"), "Apple tree, roots 3.20 m");
        assert_eq!(joined("Birch", "tree", "roots 2.16 m"), "Birch, tree, roots 2.16 m");
    }
}
