//! Remedies that no formula gives: a change of one size, taken as small as still clears its finding.
//!
//! Each code offers the changes that a builder would think of, the gentlest first. The first that
//! clears its finding and raises nothing to stop for is taken; where each raises something, the one
//! that raises least, and its words say what.

mod ground;
mod keep_off;
mod pond;
mod swale;
mod water;

use site::{Site, WorkId, WorkKind};
use units::LengthUnit;

use super::seen::Seen;
use super::words::enough_text;
use super::{circuit_incomplete, pump_falls_short};
use crate::{Code, Finding, Remedy};

/// Sizes are tried in so many steps of the most that is offered.
const N_STEPS: u32 = 64;

/// A change of a site by a share of the most that is offered, between nought and one.
pub(super) struct Trial {
    made: Box<dyn Fn(f64) -> Option<Site>>,
    told: Box<dyn Fn(f64) -> String>,
    /// Sizes that are tried: one where there is nothing between all and nothing.
    pub(super) n_steps: u32,
}

impl Trial {
    fn new(
        made: impl Fn(f64) -> Option<Site> + 'static,
        told: impl Fn(f64) -> String + 'static,
    ) -> Self {
        Self { made: Box::new(made), told: Box::new(told), n_steps: N_STEPS }
    }

    /// A change that is made whole or not at all.
    fn whole(site: Option<Site>, message: String) -> Self {
        Self { n_steps: 1, ..Self::new(move |_| site.clone(), move |_| message.clone()) }
    }

    /// A change of one work: `edit` makes it by a share, `told` says what it then is.
    fn of_work(
        seen: &Seen<'_>,
        id: WorkId,
        edit: impl Fn(&mut WorkKind, f64) + 'static,
        told: impl Fn(f64) -> String + 'static,
    ) -> Self {
        let site = seen.site.clone();
        let made = move |share: f64| {
            let mut site = site.clone();
            edit(&mut site.works.iter_mut().find(|work| work.id == id)?.kind, share);
            Some(site)
        };
        Self::new(made, told)
    }

    /// The site after a share of the change; none where that is no sound site, or no change.
    pub(super) fn site(&self, share: f64) -> Option<Site> {
        (self.made)(share).filter(|site| site.check().is_ok())
    }

    /// What a share of the change is, in words.
    pub(super) fn message(&self, share: f64) -> String {
        (self.told)(share)
    }
}

/// The changes that may clear a finding, the gentlest first.
pub(super) fn of(seen: &Seen<'_>, finding: &Finding) -> Vec<Trial> {
    match finding.code {
        Code::RootZoneCut | Code::BuriedLineNear | Code::OverBoundary => {
            keep_off::of(seen, finding)
        }
        Code::BankUnsafeToDig => {
            let mut trials = keep_off::of(seen, finding);
            trials.extend(ground::laid_back(seen, finding));
            trials
        }
        Code::OrderTrap => {
            let mut trials = keep_off::from_hole(seen, finding);
            trials.extend(pond::built_after_digger(seen, finding));
            trials.extend(ground::higher_wall(seen, finding));
            trials
        }
        Code::DrainsToHouse => {
            let mut trials = one(ground::shed_away(seen, finding));
            trials.extend(ground::lower_paths(seen));
            trials.extend(swale::past_house(seen, finding));
            trials
        }
        Code::OverflowRunsToHouse => swale::past_house(seen, finding),
        Code::FlankTooSteep => one(ground::level_top(seen, finding)),
        Code::WaterFromSummit => {
            let mut trials = ground::raised_behind(seen);
            trials.extend(pond::built_after_digger(seen, finding));
            trials
        }
        Code::BeyondSurvey => {
            let mut trials = keep_off::in_from_edge(seen, finding);
            trials.extend(ground::steeper_banks(seen, finding));
            trials
        }
        Code::StreamDoesNotClose => water::smaller_drops(seen, finding),
        Code::WorkHasNoShape => one(water::wider_bed(seen, finding)),
        Code::ReadsAsMound => ground::eased(seen, finding),
        Code::WallNeedsEngineer | Code::WallTooLight => one(ground::lower_wall(seen, finding)),
        Code::WalkOutOfRange => ground::other_steps(seen, finding),
        Code::RunoffEntersPond => one(pond::raised_rim(seen, finding)),
        Code::GroundwaterLiftsLiner => one(pond::more_cover(seen, finding)),
        Code::RimLow => pond::built_after_digger(seen, finding),
        Code::StartStarvesPump => pond::deeper_bay(seen, finding),
        Code::FallOvershoots => one(water::wider_bed(seen, finding)),
        Code::SplitStarves => one(water::moved_rock(seen, finding)),
        Code::PumpFallsShort => {
            let mut trials = one(pump_falls_short::on_wider_pipe(seen, finding).map(taken_whole));
            trials.extend(water::wider_pipes(seen, finding));
            trials
        }
        Code::CircuitIncomplete => one(circuit_incomplete::mended(seen, finding).map(taken_whole)),
        _ => Vec::new(),
    }
}

/// Which of some things with names a finding's message begins with: of names that begin alike the longest.
fn told_of<'n>(finding: &Finding, names: impl Iterator<Item = &'n str>) -> Option<usize> {
    let told = names.enumerate().filter(|(_, name)| {
        let rest = finding.message.strip_prefix(name);
        !name.is_empty() && rest.is_some_and(|rest| !rest.starts_with(char::is_alphanumeric))
    });
    told.max_by_key(|(_, name)| name.len()).map(|(idx, _)| idx)
}

/// A remedy that is taken as it is.
fn taken_whole(remedy: Remedy) -> Trial {
    Trial::whole(remedy.site.map(|site| *site), remedy.message)
}

fn one(trial: Option<Trial>) -> Vec<Trial> {
    trial.into_iter().collect()
}

/// A length offered by a share of the most.
fn by(most_m: f64, unit: LengthUnit) -> impl Fn(f64) -> String {
    move |share| enough_text(share * most_m, unit)
}

/// A share of the way from one number to another that is not less.
fn toward(from: f64, to: f64, share: f64) -> f64 {
    from + share * (to - from).max(0.0)
}
