//! The strip: topsoil taken off beyond what the works take.

use serde::{Deserialize, Serialize};

use super::Curve;

/// Ground that is stripped too, for a machine's way or a stockpile's place.
///
/// Its topsoil is taken off to the depth that the site strips, and spread again where no work stands.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Strip {
    /// Where, closed.
    pub outline: Curve,
}
