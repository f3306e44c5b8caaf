//! Which findings of an edited site are those that stood before.
//!
//! The worst place of a fault moves with an edit, so that a finding has no name of its own: of those with
//! one code about one work, each is taken for the one before that says the same, else for the nearest that
//! begins alike (the left edge is not the right one), else for the nearest.
//!
//! ```text
//!   before   A ·      · B          A is cleared, and B, which moved, is what it was
//!   after             · b
//! ```

use crate::{Evaluation, Finding, Severity};

/// A fault that is worse and stands farther off than this is another one, metres: a room's length,
/// common practice.
const ONE_PLACE_M: f64 = 3.0;

/// The findings of an edited site with those before that they are.
pub(super) struct Same<'a> {
    before: &'a [Finding],
    after: &'a [Finding],
    /// For each of those after, its place among those before.
    was: Vec<Option<usize>>,
}

impl<'a> Same<'a> {
    pub(super) fn between(before: &'a Evaluation, after: &'a Evaluation) -> Self {
        Self::of(&before.findings, &after.findings)
    }

    fn of(before: &'a [Finding], after: &'a [Finding]) -> Self {
        let mut pairs = Vec::new();
        for (i, old) in before.iter().enumerate() {
            let alike = |new: &Finding| (new.code, new.work) == (old.code, old.work);
            for (j, new) in after.iter().enumerate().filter(|(_, new)| alike(new)) {
                let unlike = [new.message != old.message, subject(new) != subject(old)];
                pairs.push((unlike, apart_m(old, new), [i, j]));
            }
        }
        pairs.sort_by(|a, b| a.0.cmp(&b.0).then(a.1.total_cmp(&b.1)));
        let (mut was, mut taken) = (vec![None; after.len()], vec![false; before.len()]);
        for (_, _, [i, j]) in pairs {
            if !taken[i] && was[j].is_none() {
                (taken[i], was[j]) = (true, Some(i));
            }
        }
        Self { before, after, was }
    }

    /// Whether a finding of those before is gone.
    pub(super) fn is_cleared(&self, finding: &Finding) -> bool {
        let is_it = |old: &Finding| {
            (old.code, old.work, &old.message) == (finding.code, finding.work, &finding.message)
        };
        let own = self.before.iter().position(is_it);
        own.is_some_and(|own| !self.was.contains(&Some(own)))
    }

    /// The findings to stop for that stood not before, one for each code and work.
    pub(super) fn raised(&self) -> Vec<&'a Finding> {
        let mut raised: Vec<&Finding> = Vec::new();
        for (new, was) in self.each().filter(|(new, _)| new.severity == Severity::Stop) {
            let is_told = raised.iter().any(|f| (f.code, f.work) == (new.code, new.work));
            if !is_told && was.is_none_or(|old| is_another(old, new)) {
                raised.push(new);
            }
        }
        raised
    }

    /// The findings to look at with a finding's code that stood not before: what it hid.
    pub(super) fn uncovered(&self, finding: &Finding) -> Vec<&'a Finding> {
        let hidden = self.each().filter(|(new, was)| {
            new.severity == Severity::LookAt && new.code == finding.code && was.is_none()
        });
        hidden.map(|(new, _)| new).collect()
    }

    fn each(&self) -> impl Iterator<Item = (&'a Finding, Option<&'a Finding>)> {
        let was = self.was.iter().map(|was| was.map(|i| &self.before[i]));
        self.after.iter().zip(was)
    }
}

/// Whether a finding to stop for is more than the one that it is taken for.
fn is_another(old: &Finding, new: &Finding) -> bool {
    let off_m = |of: &Finding| (of.measured.value - of.measured.limit).abs();
    let is_worse = off_m(new) > off_m(old);
    old.severity != new.severity || (is_worse && apart_m(old, new) > ONE_PLACE_M)
}

/// What a finding's message says before its first number.
fn subject(of: &Finding) -> &str {
    of.message.split(|c: char| c.is_ascii_digit()).next().unwrap_or_default()
}

/// How far apart two findings stand on plan.
fn apart_m(a: &Finding, b: &Finding) -> f64 {
    libm::hypot(a.at_m[0] - b.at_m[0], a.at_m[1] - b.at_m[1])
}

#[cfg(test)]
mod tests {
    use site::WorkId;

    use super::*;
    use crate::{Code, Measured, Unit};

    fn at(x: f64, value: f64, severity: Severity) -> Finding {
        Finding {
            code: Code::DrainsToHouse,
            severity,
            work: Some(WorkId(1)),
            at_m: [x, 0.0, 0.0],
            measured: Measured { value, limit: 1.0, unit: Unit::Metre },
            message: format!("{value} at {x}"),
            remedy: None,
            source: "a test",
            caution: None,
        }
    }

    #[test]
    fn one_that_is_gone_is_not_the_other_that_stays() {
        use Severity::Stop;
        let [a, b] = [at(0.0, 2.0, Stop), at(20.0, 2.0, Stop)];
        let before = [a.clone(), b.clone()];
        // The second is gone, and the first has moved a little: fewer, but not the first.
        let moved = [at(1.0, 1.9, Stop)];
        let same = Same::of(&before, &moved);
        assert!(!same.is_cleared(&a) && same.is_cleared(&b));
        // Who says the same is the same, wherever the nearest stands.
        let stays = [Finding { at_m: [9.0, 0.0, 0.0], ..b.clone() }];
        let same = Same::of(&before, &stays);
        assert!(same.is_cleared(&a) && !same.is_cleared(&b));
        assert!(same.raised().is_empty());
        // The left edge's is not the right one's, though that stands nearer.
        let said = |says: &str, of: &Finding| Finding { message: says.into(), ..of.clone() };
        let sides = [said("Left by 3.", &a), said("Right by 3.", &b)];
        let left = [said("Right by 2.", &a)];
        let same = Same::of(&sides, &left);
        assert!(same.is_cleared(&sides[0]) && !same.is_cleared(&sides[1]));
    }

    #[test]
    fn one_that_is_worse_elsewhere_is_raised() {
        use Severity::{LookAt, Stop};
        let raised = |old: Finding, new: Finding| {
            let (before, after) = ([old], [new]);
            Same::of(&before, &after).raised().len()
        };
        assert_eq!(raised(at(0.0, 2.0, Stop), at(20.0, 2.5, Stop)), 1);
        assert_eq!(raised(at(0.0, 2.0, Stop), at(20.0, 1.5, Stop)), 0);
        assert_eq!(raised(at(0.0, 2.0, Stop), at(2.0, 2.5, Stop)), 0);
        assert_eq!(raised(at(0.0, 2.0, LookAt), at(0.0, 2.0, Stop)), 1);
        let hidden = [at(0.0, 2.0, LookAt), at(20.0, 3.0, LookAt)];
        let before = [hidden[0].clone()];
        assert_eq!(Same::of(&before, &hidden).uncovered(&before[0]), [&hidden[1]]);
    }
}
