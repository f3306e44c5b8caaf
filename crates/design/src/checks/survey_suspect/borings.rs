//! Borings whose soil begins where it cannot: above existing ground, or above the top of the soil
//! over it.

use ground::Locator;
use site::earth::LayerTop;
use units::{elevation_text, length_text};

use super::super::COMMON_PRACTICE;
use super::super::seen::Seen;
use crate::soil_layers;
use crate::{Code, Finding, Measured, Remedy, Severity, Unit};

/// One finding for each soil whose borings overlap what lies over it: the boring that is farthest off.
pub(super) fn check(seen: &Seen<'_>) -> Vec<Finding> {
    let Some(existing) = seen.evaluation.existing.as_deref() else { return Vec::new() };
    let ground = Locator::new(existing);
    let layers = &seen.site.soils.layers;
    let mut found = Vec::new();
    for (i, layer) in layers.iter().enumerate() {
        let LayerTop::Levels(borings) = &layer.top else { continue };
        let above = i.checked_sub(1).map(|over| &layers[over]);
        let over = above.and_then(|above| match &above.top {
            LayerTop::Levels(borings) => soil_layers::top(existing.lattice(), borings),
            LayerTop::Depth(_) => None,
        });
        let over = over.map(Locator::new);
        let highest_m = |at: [f64; 2]| {
            let ground_m = ground.elevation(at)?;
            let top_m = match above.map(|above| &above.top) {
                Some(LayerTop::Depth(depth_m)) => Some(ground_m - depth_m),
                Some(LayerTop::Levels(_)) => over.as_ref().and_then(|over| over.elevation(at)),
                None => None,
            };
            Some(top_m.unwrap_or(ground_m).min(ground_m))
        };
        let off = |&[x, y, top_m]: &[f64; 3]| {
            let limit_m = highest_m([x, y])?;
            (top_m - limit_m > seen.site.survey.accuracy_m).then_some(([x, y, top_m], limit_m))
        };
        let worst =
            borings.iter().filter_map(off).max_by(|a, b| (a.0[2] - a.1).total_cmp(&(b.0[2] - b.1)));
        if let Some((at_m, limit_m)) = worst {
            let over = above.map_or("existing ground".to_owned(), |above| above.name.clone());
            found.push(finding(seen, i, &layer.name, &over, at_m, limit_m));
        }
    }
    found
}

fn finding(
    seen: &Seen<'_>,
    layer: usize,
    name: &str,
    over: &str,
    at_m: [f64; 3],
    limit_m: f64,
) -> Finding {
    let message = format!(
        "A boring finds the top of {name} at {}, {} above where {over} lets it begin \
         (soils.layers[{layer}].top). There {name} is taken to begin with it.",
        elevation_text(at_m[2], seen.unit),
        length_text(at_m[2] - limit_m, seen.unit),
    );
    let remedy =
        format!("Read that boring again: at most {} fits.", elevation_text(limit_m, seen.unit));
    Finding {
        code: Code::SurveySuspect,
        severity: Severity::LookAt,
        work: None,
        at_m,
        measured: Measured { value: at_m[2], limit: limit_m, unit: Unit::Elevation },
        message,
        remedy: Some(Remedy { message: remedy, site: None }),
        source: COMMON_PRACTICE,
        caution: None,
    }
}
