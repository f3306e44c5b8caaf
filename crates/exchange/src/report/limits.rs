//! The limits that this site changed, each beside what it is unless changed.

use design::Finding;
use serde::Serialize;
use site::field::number_text;
use site::{ChangedLimit, Site};
use std::fmt::Write as _;

use super::STRING;

/// A changed limit as JSON has it, in SI.
#[derive(Serialize)]
pub(super) struct ChangedLimitReport {
    limit: &'static str,
    value: f64,
    default: f64,
    source: &'static str,
}

pub(super) fn report(site: &Site) -> Vec<ChangedLimitReport> {
    let one = |of: ChangedLimit| ChangedLimitReport {
        limit: of.limit.field,
        value: of.value,
        default: of.default,
        source: of.limit.source,
    };
    site.limits.changed().into_iter().map(one).collect()
}

/// Whether a finding is held against a limit that this site changed.
pub(super) fn is_changed(site: &Site, finding: &Finding) -> bool {
    let fields = finding.code.limits();
    site.limits.changed().iter().any(|changed| fields.contains(&changed.limit.field))
}

/// The changed limits in words; nothing where none is changed.
pub(super) fn text(site: &Site) -> String {
    let changed = site.limits.changed();
    if changed.is_empty() {
        return String::new();
    }
    let mut out = "\nLimits changed on this site\n".to_owned();
    for ChangedLimit { limit, value, default } in changed {
        let said = |number: f64| number_text(number, limit.quantity, site.frame.unit);
        writeln!(
            out,
            "  {}: {}; {} unless changed ({})",
            limit.label,
            said(value),
            said(default),
            limit.source
        )
        .expect(STRING);
    }
    out
}
