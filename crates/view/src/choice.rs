//! What is chosen on the screen: view state, neither stored nor undone.

use bevy::prelude::*;
use site::WorkId;

use crate::scene::present::Switch;

/// What is chosen.
#[derive(Resource, Clone, Debug, Default, PartialEq)]
pub(crate) struct Choice {
    /// The work whose card is open.
    pub work: Option<WorkId>,
    /// The finding that is read, by its place in the list.
    pub finding: Option<usize>,
    /// The viewpoint that was visited last.
    pub viewpoint: Option<usize>,
    /// Whether the earth sheet is open.
    pub earth: Switch,
}
