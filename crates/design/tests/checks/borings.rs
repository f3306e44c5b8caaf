//! `survey-suspect` for borings that overlap what lies over them.

use design::{Code, Severity};
use site::earth::LayerTop;
use site::{Site, Soil};

use super::*;

/// Topsoil apart, loam, then clay from 0.5 m, then gravel as the borings find it on level ground.
fn bored(gravel: &[[f64; 3]]) -> Site {
    let mut site = garden(2, Vec::new());
    let soil = |name: &str, top: LayerTop| Soil { name: name.into(), top, ..Soil::default() };
    site.soils.layers = vec![
        soil("Loam", LayerTop::Depth(0.0)),
        soil("Clay", LayerTop::Depth(0.5)),
        soil("Gravel", LayerTop::Levels(gravel.to_vec())),
    ];
    assert_eq!(site.check(), Ok(()));
    site
}

#[test]
fn a_soil_cannot_begin_above_the_one_over_it() {
    let of = |top_m: f64| bored(&[[-3.0, -3.0, 29.0], [3.0, -3.0, 29.1], [0.0, 3.0, top_m]]);
    check(&of(GROUND_M - 0.5), Code::SurveySuspect, &[]);
    let site = of(GROUND_M - 0.3);
    let finding = found(&site, Code::SurveySuspect).remove(0);
    assert_eq!(finding.severity, Severity::LookAt);
    assert!((finding.measured.value - 29.7).abs() < 1e-9, "{:?}", finding.measured);
    assert!((finding.measured.limit - 29.5).abs() < 1e-9, "{:?}", finding.measured);
    for words in ["Gravel", "where Clay lets it begin", "soils.layers[2].top"] {
        assert!(finding.message.contains(words), "{words}: {}", finding.message);
    }
}

#[test]
fn borings_over_borings_are_compared_where_both_reach() {
    let mut site = bored(&[[-3.0, -3.0, 29.2], [3.0, -3.0, 29.2], [0.0, 3.0, 29.2]]);
    let clay = [[-6.0, -6.0, 29.0], [6.0, -6.0, 29.0], [0.0, 6.0, 29.0]];
    site.soils.layers[1].top = LayerTop::Levels(clay.to_vec());
    let finding = found(&site, Code::SurveySuspect).remove(0);
    assert!((finding.measured.limit - 29.0).abs() < 1e-9, "{:?}", finding.measured);
}
