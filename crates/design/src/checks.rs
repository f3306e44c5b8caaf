//! The checks: what is wrong or worth a look, one file for each code.

use site::Site;

use crate::{Evaluation, Finding};

/// Everything that the checks find in an evaluated site, the gravest first.
pub(crate) fn all(site: &Site, evaluation: &Evaluation) -> Vec<Finding> {
    let _ = (site, evaluation);
    Vec::new()
}
