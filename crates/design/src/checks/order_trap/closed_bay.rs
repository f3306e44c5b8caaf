//! An intake bay whose pond is built after it: the pond's rim closes the bay's channel.

use site::Work;
use site::works::IntakeBay;

use super::super::COMMON_PRACTICE;
use super::super::seen::Seen;
use super::{built_after, position};
use crate::{Code, Finding, Measured, Severity, Unit};

pub(super) fn check(seen: &Seen<'_>, work: &Work, bay: &IntakeBay) -> Option<Finding> {
    let pond = seen.site.work(bay.from?).filter(|pond| pond.visible)?;
    let [own, other] = [work.id, pond.id].map(|id| position(seen.site, id));
    let at = bay.sill.at;
    (other > own).then(|| Finding {
        code: Code::OrderTrap,
        severity: Severity::Stop,
        work: Some(work.id),
        at_m: [at[0], at[1], bay.water_level_m - bay.sill.depth_m],
        measured: Measured { value: (other - own) as f64, limit: 0.0, unit: Unit::Count },
        message: format!(
            "{} is built after its bay: its rim closes the channel by which water comes in.",
            pond.name
        ),
        remedy: Some(built_after(seen.site, work.id, pond)),
        source: COMMON_PRACTICE,
        caution: None,
    })
}
