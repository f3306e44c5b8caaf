//! What a hand does to the lines that works are drawn with: points, whole works, and their parts.
//!
//! Every operation is pure: it answers with the work or the site as it would be, and refuses in words
//! what a work of that kind does not allow. Lists with one value for each drawn point follow.

mod blend;
mod copy;
mod join;
mod line;
mod offset;
mod points;
mod split;
mod whole;

pub use copy::{added, copied, mirrored_copy, offset_copy};
pub use join::join;
pub use line::{DrawnLine, Ends, is_simple, lines, main_line};
pub use offset::{Beside, offset};
pub use points::{add_point, drop_point, move_point};
pub use split::{Cut, split};
pub use whole::{middle, mirrored, shifted, turned};

use crate::{EditError, WorkId};

/// Why a line was left as it was.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum ShapeError {
    /// The site holds no such work.
    #[error("there is no work {}", .0.0)]
    NoWork(WorkId),
    /// The work has no such line, or the line no such point.
    #[error("{work} has no point {point} on {path}")]
    NoPoint {
        /// The work's name.
        work: String,
        /// The line asked for.
        path: String,
        /// The point's number, from one.
        point: usize,
    },
    /// The line would have too few points left.
    #[error("{work} needs {least} points or more here")]
    TooFew {
        /// The work's name.
        work: String,
        /// The least count.
        least: usize,
    },
    /// An outline would cross itself.
    #[error("the outline would cross itself: its sides from point {} and from point {} meet", .sides[0] + 1, .sides[1] + 1)]
    Crosses {
        /// Indices of the points at which the two sides begin.
        sides: [usize; 2],
    },
    /// This kind of work cannot be treated so.
    #[error("{0}")]
    NotThis(&'static str),
    /// The site would break a rule.
    #[error(transparent)]
    Refused(#[from] EditError),
}
