//! Format 1 of the site document, as it was first published.
//!
//! Today's types are still those of format 1, so they read it. The change that brings format 2
//! freezes a copy of them here, and a conversion: a site of format 1 is never refused.

use crate::Site;

/// Reads a text of format 1.
///
/// # Errors
/// The reader's own, with its place in the text.
pub(super) fn read(text: &str) -> Result<Site, ron::error::SpannedError> {
    ron::from_str(text)
}
