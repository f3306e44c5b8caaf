//! Ground on a hill or berm that is steeper than its limit.
//!
//! Slopes are read off the planes that faces lie in, so a sliver fakes none. Walls, falls, stone and
//! banks cut into standing ground are no flanks.

use std::collections::BTreeMap;

use ground::{Sum, query};
use site::works::Flank;
use site::{Site, Work, WorkId, WorkKind};
use units::{area_text, run_per_rise_text};

use super::seen::Seen;
use super::words::percent;
use crate::part::Part;
use crate::{Code, Finding, Measured, Remedy, Severity, Unit};

/// A grade that exceeds the limit by less than this share is within it.
const SAME_GRADE: f64 = 1e-4;
/// Less steep ground than this is a heel mark, square metres: half a metre each way.
const LEAST_AREA_M2: f64 = 0.25;
/// Loose fill slides from here on: 1.5 to 1, class C (K-01, K-02).
const SLIDES_RUN_PER_RISE: f64 = 1.5;

const SOURCE: &str = "common practice: 1 in 3 planted, 1 in 4 mown (Georgia DOT Design Policy \
    Manual 6.2.3), 1 in 2 bare";
const CAUTION: &str = "Fill this steep can slide while people work on it or below it. Planning \
    help only: a competent person on the site decides.";

pub(super) fn check(seen: &Seen<'_>) -> Vec<Finding> {
    let mut tallies: BTreeMap<u32, Tally> = BTreeMap::new();
    let Some(surface) = seen.evaluation.finished.as_deref() else { return Vec::new() };
    let limit = seen.site.limits.flank_run_per_rise;
    for (i, face) in surface.faces().iter().enumerate() {
        if !is_flank(Part::of(face.tag.part)) {
            continue;
        }
        let face_idx = i as u32;
        let area_m2 = query::face_area_m2(surface, face_idx);
        let grade = surface.plane(face_idx).grade(surface.lattice());
        let tally = tallies.entry(face.tag.owner).or_default();
        tally.whole.add(area_m2);
        if grade * limit > 1.0 + SAME_GRADE {
            tally.steep.add(area_m2);
            let corners = surface.corners(face_idx).map(|p| surface.lattice().metres(p));
            let middle = [0, 1].map(|k| corners.iter().map(|c| c[k]).sum::<f64>() / 3.0);
            tally.faces.push(SteepFace { grade, area_m2, middle });
        }
    }
    let finding = |(owner, mut tally): (u32, Tally)| finding(seen, seen.owner(owner)?, &mut tally);
    tallies.into_iter().filter_map(finding).collect()
}

fn is_flank(part: Part) -> bool {
    matches!(part, Part::Flank | Part::FillBank | Part::Backfill)
}

#[derive(Default)]
struct Tally {
    whole: Sum,
    steep: Sum,
    faces: Vec<SteepFace>,
}

struct SteepFace {
    grade: f64,
    area_m2: f64,
    middle: [f64; 2],
}

impl Tally {
    /// The grade that the steepest quarter square metre reaches, and the middle of the largest face
    /// that is as steep; none where less ground is too steep.
    fn worst(&mut self) -> Option<(f64, [f64; 2])> {
        self.faces
            .sort_by(|a, b| b.grade.total_cmp(&a.grade).then(b.area_m2.total_cmp(&a.area_m2)));
        let mut area = Sum::default();
        let reached = self.faces.iter().position(|face| {
            area.add(face.area_m2);
            area.value() >= LEAST_AREA_M2
        })?;
        let grade = self.faces[reached].grade;
        let alike = self.faces.iter().filter(|face| face.grade >= grade * (1.0 - SAME_GRADE));
        let largest = alike.max_by(|a, b| a.area_m2.total_cmp(&b.area_m2))?;
        Some((grade, largest.middle))
    }
}

fn finding(seen: &Seen<'_>, work: &Work, tally: &mut Tally) -> Option<Finding> {
    let (grade, at) = tally.worst()?;
    let (run, limit) = (1.0 / grade, seen.site.limits.flank_run_per_rise);
    let severity = if run < SLIDES_RUN_PER_RISE { Severity::Stop } else { Severity::LookAt };
    let what = match work.kind {
        WorkKind::Hill(_) => "flank",
        WorkKind::Wall(_) => "backfill",
        _ => "filled bank",
    };
    let message = format!(
        "{} of the {what} ({}) is steeper than {}, at the steepest {}.",
        area_text(tally.steep.value(), seen.unit),
        percent(tally.steep.value() / tally.whole.value()),
        run_per_rise_text(limit),
        run_per_rise_text(run),
    );
    Some(Finding {
        code: Code::FlankTooSteep,
        severity,
        work: Some(work.id),
        at_m: seen.on_ground(at),
        measured: Measured { value: run, limit, unit: Unit::RunPerRise },
        message,
        remedy: Some(remedy(seen, work, what)),
        source: SOURCE,
        caution: (severity == Severity::Stop).then_some(CAUTION),
    })
}

/// Draws the flank out to the limit.
fn remedy(seen: &Seen<'_>, work: &Work, what: &str) -> Remedy {
    let limit = seen.site.limits.flank_run_per_rise;
    let site = eased(seen.site, work.id, limit);
    let message = match site {
        Some(_) => drawn_out(what, limit),
        None => format!("Lower the {what}'s top, or let its line fall more gently."),
    };
    Remedy { message, site }
}

/// What it says to draw a flank out; a tenth is what a crew can build to.
fn drawn_out(what: &str, run: f64) -> String {
    format!("Draw the {what} out to {}.", run_per_rise_text((run * 10.0 - 1e-6).ceil() / 10.0))
}

/// The site with every slope of a work's raised ground eased to a run; none when none is steeper.
fn eased(site: &Site, work: WorkId, run: f64) -> Option<Box<Site>> {
    let mut edited = site.clone();
    let ease = |slope: &mut f64| *slope = slope.max(run);
    match &mut edited.works.iter_mut().find(|other| other.id == work)?.kind {
        WorkKind::Hill(hill) => {
            let flanks = hill.left.iter_mut().chain(&mut hill.right);
            flanks.for_each(|flank: &mut Flank| ease(&mut flank.run_per_rise));
        }
        WorkKind::Wall(wall) => ease(&mut wall.backfill),
        WorkKind::Basin(basin) => ease(&mut basin.fill_bank),
        WorkKind::Stream(stream) => ease(&mut stream.fill_bank),
        WorkKind::FilterBed(filter) => ease(&mut filter.fill_bank),
        WorkKind::IntakeBay(bay) => ease(&mut bay.fill_bank),
        WorkKind::Pad(pad) => ease(&mut pad.fill_bank),
        WorkKind::Path(path) => ease(&mut path.fill_bank),
        WorkKind::PlaneGrade(grade) => ease(&mut grade.fill_bank),
        // Neither raises ground.
        WorkKind::Trench(_) | WorkKind::Strip(_) => {}
    }
    (edited != *site).then(|| Box::new(edited))
}

/// Runs are tried in steps of this.
const RUN_STEP: f64 = 0.02;
/// A flank is drawn out to at most this many times the limit.
const MOST_LIMITS: f64 = 1.6;

/// The least easing beyond the limit for which `clears` holds: where the top falls along its line,
/// the ground is steeper than its flank.
pub(super) fn eased_further(
    site: &Site,
    work: WorkId,
    mut clears: impl FnMut(&Site) -> bool,
) -> Option<Remedy> {
    let limit = site.limits.flank_run_per_rise;
    let at = |step: u32| eased(site, work, limit + RUN_STEP * f64::from(step));
    let mut clears_at = |step: u32| at(step).is_some_and(|site| clears(&site));
    let (mut low, mut high) = (0, ((MOST_LIMITS - 1.0) * limit / RUN_STEP).ceil() as u32);
    if !clears_at(high) {
        return None;
    }
    while high - low > 1 {
        let middle = low.midpoint(high);
        if clears_at(middle) { high = middle } else { low = middle }
    }
    let run = limit + RUN_STEP * f64::from(high);
    Some(Remedy { message: drawn_out("ground", run), site: at(high) })
}
