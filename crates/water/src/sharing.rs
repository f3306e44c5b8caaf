//! Two or more crests that share one flow, and arms around an island.
//!
//! ```text
//!    level  ~~~~~~~~~~~~~~~~~~~~~~~~~~~~~     one level upstream of all
//!    crest 1 =====   crest 2 _____
//!                             crest 3 =====   each takes what its head gives
//! ```

use crate::range::{elevation, flow};
use crate::solve::{root, root_within};
use crate::{Crest, EdgeAllowance, OutOfRange, OverCrest};

/// How exactly the flows of arms are found, as a share of the whole: each try reckons a stream.
const CLOSE_SHARE: f64 = 1.0e-8;

/// Why a flow cannot be shared.
#[derive(Clone, Copy, Debug, PartialEq, thiserror::Error)]
pub enum SharingError {
    /// A number is out of range.
    #[error(transparent)]
    Number(#[from] OutOfRange),
    /// There is nothing to share it.
    #[error("a flow is shared by 1 way or more, not by none")]
    None,
}

/// A crest among others, with the water below it if any stands there.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct SharedCrest<'a> {
    /// The crest.
    pub crest: &'a Crest,
    /// Level of the water below it, metres.
    pub below_m: Option<f64>,
}

/// A flow shared by crests.
#[derive(Clone, Debug, PartialEq)]
pub struct Shared {
    /// The one level upstream, metres.
    pub level_m: f64,
    /// What runs over each crest, in the order given; nothing over one that stands dry.
    pub crests: Vec<Option<OverCrest>>,
}

/// The flow of each crest when all stand in the same water upstream, cubic metres per second in all.
///
/// Each crest's edges are reckoned with the allowance. A crest that stands at or above the level is
/// dry, and so is one that water from below would run back over: it is taken to be closed.
///
/// ```
/// # use water::{Crest, CrestForm, EdgeAllowance, SharedCrest, share_crests};
/// // 0.3 m and 0.6 m of level crest at one elevation take one and two thirds.
/// let (narrow, wide) = (Crest::level(5.0, 0.3, CrestForm::Broad)?, Crest::level(5.0, 0.6, CrestForm::Broad)?);
/// let both = [&narrow, &wide].map(|crest| SharedCrest { crest, below_m: None });
/// let shared = share_crests(&both, 0.009, EdgeAllowance::default())?;
/// let flows: Vec<f64> = shared.crests.iter().flatten().map(|over| over.flow_m3_s).collect();
/// assert!((flows[0] - 0.003).abs() < 1e-12 && (flows[1] - 0.006).abs() < 1e-12);
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
///
/// # Errors
/// [`SharingError`] when there is no crest or a number is out of range.
///
/// # Source
/// The level at which the flows of all crests add up to the whole; see [`Crest::flow_m3_s`].
pub fn share_crests(
    crests: &[SharedCrest<'_>],
    flow_m3_s: f64,
    allowance: EdgeAllowance,
) -> Result<Shared, SharingError> {
    let flow_m3_s = flow("the flow to be shared, m3/s,", flow_m3_s)?;
    // Any one crest alone would need at least the level that all need together.
    let mut most_m = f64::INFINITY;
    for &SharedCrest { crest, below_m } in crests {
        most_m = most_m.min(crest.level_for_m(flow_m3_s, below_m)?);
    }
    let lowest_m = crests.iter().map(|c| c.crest.lowest_m()).fold(f64::INFINITY, f64::min);
    if crests.is_empty() {
        return Err(SharingError::None);
    }
    let at = |level_m: f64| crests.iter().map(move |c| c.crest.flow_m3_s(level_m, c.below_m));
    // From the lowest crest, so that a thin sheet far above datum keeps its digits.
    let rise_m =
        root(0.0, most_m - lowest_m, |rise_m| at(lowest_m + rise_m).sum::<f64>() - flow_m3_s);
    let level_m = lowest_m + rise_m;
    // What rounding leaves is shared out as the flows are.
    let sum: f64 = at(level_m).sum();
    let over = |(c, m3_s): (&SharedCrest<'_>, f64)| {
        let m3_s = if sum > 0.0 { m3_s * (flow_m3_s / sum) } else { 0.0 };
        if flow("the flow over a crest, m3/s,", m3_s).is_err() {
            return Ok(None);
        }
        c.crest.over(m3_s, c.below_m, allowance).map(Some)
    };
    let crests = crests.iter().zip(at(level_m)).map(over).collect::<Result<Vec<_>, _>>()?;
    Ok(Shared { level_m, crests })
}

/// The flow of each arm around an island, where all arms part from one water and join again.
///
/// `head_m` gives the level (or the energy) at which an arm, by its index, takes a flow at its head;
/// it is asked for flows from nothing to the whole and must not fall as the flow rises. An arm whose
/// head stands higher at no flow than the others need for all of it stays dry. Returns the level and
/// the flows, which add up to the whole.
///
/// # Errors
/// [`SharingError`] when there is no arm or the flow is not above zero; what `head_m` fails with.
///
/// # Source
/// One level at the parting: the flows of the arms at a level add up to the whole.
pub fn share_arms<E: From<SharingError>>(
    n_arms: usize,
    flow_m3_s: f64,
    mut head_m: impl FnMut(usize, f64) -> Result<f64, E>,
) -> Result<(f64, Vec<f64>), E> {
    let number = |number| E::from(SharingError::Number(number));
    let flow_m3_s = flow("the flow to be shared, m3/s,", flow_m3_s).map_err(number)?;
    if n_arms == 0 {
        return Err(SharingError::None.into());
    }
    let (mut least_m, mut most_m) = (f64::INFINITY, f64::INFINITY);
    for arm in 0..n_arms {
        least_m = least_m.min(head_m(arm, 0.0)?);
        most_m = most_m.min(head_m(arm, flow_m3_s)?);
    }
    for level_m in [least_m, most_m] {
        elevation("the level at the head of an arm, m,", level_m).map_err(number)?;
    }
    if n_arms == 2 {
        return share_two(flow_m3_s, head_m);
    }
    let mut failed = None;
    let mut taken = |arm: usize, level_m: f64| -> f64 {
        let mut excess = |m3_s: f64| match head_m(arm, m3_s) {
            Ok(head_m) => head_m - level_m,
            Err(error) => {
                failed.get_or_insert(error);
                0.0
            }
        };
        if excess(0.0) >= 0.0 {
            0.0
        } else {
            root_within(CLOSE_SHARE * flow_m3_s, 0.0, flow_m3_s, excess)
        }
    };
    let span_m = (most_m - least_m).max(0.0);
    let rise_m = root_within(CLOSE_SHARE * span_m, 0.0, span_m, |rise_m| {
        (0..n_arms).map(|arm| taken(arm, least_m + rise_m)).sum::<f64>() - flow_m3_s
    });
    let mut flows: Vec<f64> = (0..n_arms).map(|arm| taken(arm, least_m + rise_m)).collect();
    if let Some(error) = failed {
        return Err(error);
    }
    let sum: f64 = flows.iter().sum();
    if sum > 0.0 {
        flows.iter_mut().for_each(|m3_s| *m3_s *= flow_m3_s / sum);
    } else {
        // All heads are one at every flow: nothing tells the arms apart.
        flows.iter_mut().for_each(|m3_s| *m3_s = flow_m3_s / n_arms as f64);
    }
    Ok((least_m + rise_m, flows))
}

/// As [`share_arms`] for two: one search, for the flow of the first.
fn share_two<E>(
    flow_m3_s: f64,
    mut head_m: impl FnMut(usize, f64) -> Result<f64, E>,
) -> Result<(f64, Vec<f64>), E> {
    let mut failed = None;
    let first_m3_s = root_within(CLOSE_SHARE * flow_m3_s, 0.0, flow_m3_s, |m3_s| {
        let heads = head_m(0, m3_s).and_then(|a| Ok(a - head_m(1, flow_m3_s - m3_s)?));
        heads.unwrap_or_else(|error| {
            failed.get_or_insert(error);
            0.0
        })
    });
    if let Some(error) = failed {
        return Err(error);
    }
    let flows = vec![first_m3_s, flow_m3_s - first_m3_s];
    let wettest = if flows[0] >= flows[1] { 0 } else { 1 };
    Ok((head_m(wettest, flows[wettest])?, flows))
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;
    use proptest::test_runner::RngSeed;

    use super::*;
    use crate::CrestForm;

    fn level(elevation_m: f64, width_m: f64) -> Crest {
        Crest::level(elevation_m, width_m, CrestForm::Broad).unwrap()
    }

    fn share(crests: &[&Crest], flow: f64) -> Shared {
        let shared: Vec<_> =
            crests.iter().map(|crest| SharedCrest { crest, below_m: None }).collect();
        share_crests(&shared, flow, EdgeAllowance::default()).unwrap()
    }

    /// Three crests by hand: heads 0.05, 0.03 and none at level 10.05.
    #[test]
    fn crests_at_several_elevations_share_by_their_heads() {
        let crests = [level(10.0, 0.4), level(10.02, 0.5), level(10.06, 1.0)];
        let flows = [(0.4, 0.05), (0.5, 0.03)]
            .map(|(width, head)| CrestForm::Broad.coefficient() * width * libm::pow(head, 1.5));
        let shared = share(&[&crests[0], &crests[1], &crests[2]], flows[0] + flows[1]);
        assert!((shared.level_m - 10.05).abs() < 1e-12);
        for (over, flow) in shared.crests.iter().zip(flows) {
            assert!((over.unwrap().flow_m3_s / flow - 1.0).abs() < 1e-9);
        }
        assert_eq!(shared.crests[2], None);
    }

    /// A sum of crests is one crest: an uneven line cut into its level parts.
    #[test]
    fn parts_of_a_crest_share_as_the_whole() {
        let whole = level(3.0, 1.5);
        let shared = share(&[&level(3.0, 0.7), &level(3.0, 0.8)], 0.02);
        assert!((shared.level_m - whole.level_for_m(0.02, None).unwrap()).abs() < 1e-12);
    }

    /// A drowned crest leaves more to the other.
    #[test]
    fn water_below_turns_the_flow_aside() {
        let (left, right) = (level(0.0, 0.5), level(0.0, 0.5));
        let drowned = [
            SharedCrest { crest: &left, below_m: Some(0.06) },
            SharedCrest { crest: &right, below_m: None },
        ];
        let shared = share_crests(&drowned, 0.02, EdgeAllowance::default()).unwrap();
        let flow = |i: usize| shared.crests[i].unwrap().flow_m3_s;
        assert!(flow(0) < flow(1) && (flow(0) + flow(1) - 0.02).abs() < 1e-15);
        assert!(shared.level_m > share(&[&left, &right], 0.02).level_m);
        let closed = [SharedCrest { crest: &left, below_m: Some(0.5) }, drowned[1]];
        let shared = share_crests(&closed, 0.02, EdgeAllowance::default()).unwrap();
        assert_eq!(shared.crests[0], None);
        assert!((shared.crests[1].unwrap().flow_m3_s - 0.02).abs() < 1e-15);
    }

    /// Arms with heads a + b q^2 by hand: 1 + q^2 and 1 + 4 q^2 share 3 as 2 and 1.
    #[test]
    fn arms_share_by_their_heads() {
        let head = |arm: usize, q: f64| -> Result<f64, SharingError> {
            Ok(1.0 + [1.0, 4.0, 0.0][arm] * q * q + if arm == 2 { 10.0 } else { 0.0 })
        };
        let (level, flows) = share_arms(3, 3.0, head).unwrap();
        assert!((level - 5.0).abs() < 1e-6);
        for (flow, by_hand) in flows.iter().zip([2.0, 1.0, 0.0]) {
            assert!((flow - by_hand).abs() < 1e-6, "{flows:?}");
        }
        let fails = |_: usize, _: f64| Err(SharingError::None);
        assert_eq!(share_arms(2, 1.0, fails), Err(SharingError::None));
        let flat = |_: usize, _: f64| Ok::<f64, SharingError>(1.0);
        let (level, flows) = share_arms(2, 1.0, flat).unwrap();
        assert_eq!((level, flows[0] + flows[1]), (1.0, 1.0));
        let (level, flows) = share_arms(2, 3.0, head).unwrap();
        assert!((level - 5.0).abs() < 1e-7 && (flows[0] - 2.0).abs() < 1e-7);
        let dry = |arm: usize, q: f64| Ok::<f64, SharingError>(if arm == 1 { 9.0 + q } else { q });
        assert_eq!(share_arms(2, 3.0, dry), Ok((3.0, vec![3.0, 0.0])));
    }

    #[test]
    fn what_cannot_be_shared_is_refused() {
        let crest = level(0.0, 0.5);
        let allowance = EdgeAllowance::default();
        assert_eq!(share_crests(&[], 0.1, allowance), Err(SharingError::None));
        let one = [SharedCrest { crest: &crest, below_m: None }];
        assert!(share_crests(&one, 0.0, allowance).is_err());
        assert!(share_crests(&one, f64::NAN, allowance).is_err());
        let odd = [SharedCrest { crest: &crest, below_m: Some(f64::NAN) }];
        assert!(share_crests(&odd, 0.1, allowance).is_err());
        let nan = |_: usize, _: f64| Ok::<f64, SharingError>(f64::NAN);
        assert!(share_arms(2, 1.0, nan).is_err());
    }

    proptest! {
        #![proptest_config(ProptestConfig { cases: 200, rng_seed: RngSeed::Fixed(58), failure_persistence: None, ..ProptestConfig::default() })]

        #[test]
        fn shares_add_up_and_grow_with_the_flow(
            crests in prop::collection::vec((-0.5..0.5f64, 0.05..3.0f64, prop::option::of(-1.0..1.0f64)), 1..5),
            log_flow in -7.0..1.0f64,
        ) {
            let built: Vec<Crest> = crests.iter().map(|&(z, width, _)| level(z, width)).collect();
            let shared: Vec<_> = built.iter().zip(&crests)
                .map(|(crest, &(_, _, below_m))| SharedCrest { crest, below_m }).collect();
            let flow = libm::exp10(log_flow);
            let found = share_crests(&shared, flow, EdgeAllowance::default()).unwrap();
            let sum: f64 = found.crests.iter().flatten().map(|over| over.flow_m3_s).sum();
            prop_assert!((sum / flow - 1.0).abs() < 1e-2 || flow < 1e-6, "{} {}", sum, flow);
            let more = share_crests(&shared, 1.5 * flow, EdgeAllowance::default()).unwrap();
            prop_assert!(more.level_m >= found.level_m);
            for (crest, over) in shared.iter().zip(&found.crests) {
                if let Some(over) = over {
                    // Levels agree but for what near-equal levels above and below can hold.
                    prop_assert!((over.level_m - found.level_m).abs() < 1e-6);
                } else {
                    let dry = crest.crest.flow_m3_s(found.level_m, crest.below_m);
                    prop_assert!(dry < 2e-9);
                }
            }
        }
    }
}
