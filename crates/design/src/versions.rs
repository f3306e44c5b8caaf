//! Two saved versions of a site side by side.

use std::borrow::Cow;

use ground::overlay::{Volumes, volumes};
use site::{Difference, Invalid, Site, differences, reframed};

use crate::{Evaluation, evaluate};

/// Two versions of a site in the frame of the first, and what lies between them.
#[derive(Clone, Debug)]
pub struct Versions<'s> {
    /// The versions; the second as told in the frame of the first.
    pub sites: [Cow<'s, Site>; 2],
    /// What follows from each.
    pub evaluations: [Evaluation; 2],
    /// From the finished ground of the first to that of the second; absent when one has none.
    pub between: Option<Volumes>,
    /// The parameters that they do not share.
    pub differences: Vec<Difference>,
}

impl<'s> Versions<'s> {
    /// Evaluates two versions and what lies between them.
    ///
    /// # Errors
    /// [`Invalid`] names a place of the second that lies beyond reach of the first's frame.
    pub fn of(from: &'s Site, to: &'s Site) -> Result<Self, Invalid> {
        let same_frame =
            from.frame.origin_m == to.frame.origin_m && from.frame.step_um == to.frame.step_um;
        let to =
            if same_frame { Cow::Borrowed(to) } else { Cow::Owned(reframed(to, &from.frame)?) };
        let evaluations = [evaluate(from), evaluate(&to)];
        let [a, b] = &evaluations;
        let between = a.finished.as_deref().zip(b.finished.as_deref());
        Ok(Self {
            between: between.map(|(a, b)| volumes(a, b)),
            differences: differences(from, &to),
            sites: [Cow::Borrowed(from), to],
            evaluations,
        })
    }

    /// Whether the second was told in another frame, and its places rounded for that.
    pub fn is_moved(&self) -> bool {
        matches!(self.sites[1], Cow::Owned(_))
    }
}
