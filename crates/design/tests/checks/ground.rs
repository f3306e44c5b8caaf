//! What holds for all findings together.

use design::{Code, Severity, evaluate};
use site::WorkKind;

use super::*;

#[test]
fn a_garden_without_works_or_faults_has_no_finding() {
    assert_eq!(evaluate(&garden(2, Vec::new())).findings, []);
}

#[test]
fn the_gravest_stand_first_and_each_speaks_plainly() {
    let mut low = basin(30.0);
    low.liner_edge_m = vec![29.9, 30.1, 30.1, 30.1];
    let site = garden(2, vec![WorkKind::Hill(hill(2.0)), WorkKind::Basin(low)]);
    let findings = evaluate(&site).findings;
    assert!(findings.len() >= 2);
    assert!(findings.is_sorted_by(|a, b| a.severity >= b.severity));
    assert_eq!(findings[0].severity, Severity::Stop);
    for finding in &findings {
        assert!(!finding.message.starts_with(char::is_lowercase), "{}", finding.message);
        assert!(!finding.message.contains(['!', '_']), "{}", finding.message);
        assert!(!finding.message.contains(finding.code.as_str()), "{}", finding.message);
    }
}

#[test]
fn a_hidden_work_is_not_checked() {
    let mut site = garden(2, vec![WorkKind::Hill(hill(2.0))]);
    site.works[0].visible = false;
    assert_eq!(found(&site, Code::FlankTooSteep), []);
}

#[test]
fn a_report_has_every_remedy_taken_and_measured() {
    let mut low = basin(30.0);
    low.liner_edge_m = vec![30.05, 30.1, 30.1, 30.1];
    let site = garden(2, vec![WorkKind::Hill(hill(2.0)), WorkKind::Basin(low)]);
    let findings = design::Evaluator::default().evaluate_with_remedies(&site).findings;
    let flank = findings.iter().find(|f| f.code == Code::FlankTooSteep).expect("the flank");
    let remedy = flank.remedy.as_ref().expect("a remedy");
    assert!(remedy.message.contains("m3 more fill"), "{}", remedy.message);
    assert!(remedy.site.is_some());
}

/// A hill whose flanks of 1 in 2 end 2.9 m from its middle, and 4.1 m when they are eased to 1 in 3.
#[test]
fn a_remedy_says_which_stop_it_would_raise() {
    let told = |fence_m: f64| {
        let mut site = garden(2, vec![WorkKind::Hill(hill(2.0))]);
        site.keep_outs = vec![site::KeepOut {
            name: "Fence".into(),
            note: String::new(),
            kind: site::KeepOutKind::Boundary(site::keep_out::Boundary {
                line_m: vec![[-20.0, fence_m], [20.0, fence_m]],
                setback_m: 0.0,
            }),
        }];
        assert_eq!(found(&site, Code::OverBoundary), []);
        let finding = found(&site, Code::FlankTooSteep).remove(0);
        design::remedy(&site, &finding).expect("easing clears it").message
    };
    assert!(!told(4.5).contains("stop"), "{}", told(4.5));
    let over = told(3.5);
    assert!(over.contains("This raises a stop: Work 1: This work reaches over Fence"), "{over}");
}
