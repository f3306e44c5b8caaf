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
