//! A section through the garden along a line: every ground, the water, and what stands on the line.
//!
//! ```text
//!   z          lip
//!   |    ____o__|~~~\                    existing  - - -
//!   |   /  fill      \~~~~~~ water       finished  _____
//!   |- / - - - - - - -\- - - - - - -
//!   |                  \___cut___/
//!   +--------------------------------> station, along the line in plan
//! ```

mod course;
mod grades;
mod marks;
mod stretches;
mod wet;

use std::sync::Arc;

use ground::Surface;
use ground::query::{Locator, SectionPoint};
use site::Site;

use crate::Evaluation;

pub use course::{across, along};
pub use grades::Grade;
pub use marks::{Mark, MarkKind};
pub use stretches::{Gap, level_at};
pub use wet::Wet;

/// What a vertical cut along a line shows; stations are metres along the line in plan.
#[derive(Clone, Debug)]
pub struct Section {
    /// The line, local metres; its legs are straight.
    pub line_m: Vec<[f64; 2]>,
    /// Its length in plan, metres.
    pub length_m: f64,
    /// The ground as surveyed.
    pub existing: Vec<SectionPoint>,
    /// The ground to which the machine digs and fills.
    pub subgrade: Vec<SectionPoint>,
    /// The liner's top, where one lies.
    pub liner: Vec<SectionPoint>,
    /// The ground when all is built.
    pub finished: Vec<SectionPoint>,
    /// Where the finished ground differs from the existing: `levels` are existing and finished ones.
    pub gaps: Vec<Gap>,
    /// The water over the finished ground, in the order in which it is drawn.
    pub wet: Vec<Wet>,
    /// The gravel in filters: `levels` are those of their ground and of its top.
    pub gravel: Vec<Gap>,
    /// Lips, tops of walls and liner edges that the line crosses, in order of their stations.
    pub marks: Vec<Mark>,
    /// Grades of the finished ground along the line, where it keeps one for a while.
    pub grades: Vec<Grade>,
    /// Area of the cut in the section, square metres.
    pub cut_m2: f64,
    /// Area of the fill in the section, square metres.
    pub fill_m2: f64,
}

/// Surfaces ready to be cut again and again, along one line after another.
///
/// Finding one's way in a surface is made ready once; a section then looks at the faces near its line.
#[derive(Debug)]
pub struct Cutter {
    existing: Locator<Arc<Surface>>,
    subgrade: Option<Locator<Arc<Surface>>>,
    liner: Option<Locator<Arc<Surface>>>,
    finished: Locator<Arc<Surface>>,
}

impl Cutter {
    /// Makes the grounds of an evaluation ready; nothing where there is no ground.
    pub fn new(evaluation: &Evaluation) -> Option<Self> {
        let between = evaluation.between.as_ref();
        Some(Self {
            existing: Locator::new(Arc::clone(evaluation.existing.as_ref()?)),
            subgrade: between.map(|between| Locator::new(Arc::clone(&between.subgrade))),
            liner: between.and_then(|b| b.liner.as_ref()).map(|l| Locator::new(Arc::clone(l))),
            finished: Locator::new(Arc::clone(evaluation.finished.as_ref()?)),
        })
    }

    /// The section along a line of straight legs, in local metres.
    ///
    /// `evaluation` is the one that this was made of, `site` the site of it. Nothing where the line
    /// has no length, holds what is no number, or meets no ground.
    pub fn section(
        &self,
        site: &Site,
        evaluation: &Evaluation,
        line_m: &[[f64; 2]],
    ) -> Option<Section> {
        let draped = |ground: &Locator<Arc<Surface>>| ground.drape(line_m).ok();
        let (existing, finished) = (draped(&self.existing)?, draped(&self.finished)?);
        if existing.is_empty() && finished.is_empty() {
            return None;
        }
        let legs = course::legs(line_m);
        let length_m = legs.last()?.end_m();
        let runs = stretches::of(&finished);
        let gaps: Vec<Gap> = stretches::between(&stretches::of(&existing), &runs)
            .into_iter()
            .filter(|gap| gap.is_open(LEAST_M))
            .collect();
        let area_m2 = |sign: f64| gaps.iter().map(|gap| (sign * gap.area_m2()).max(0.0)).sum();
        Some(Section {
            cut_m2: area_m2(-1.0),
            fill_m2: area_m2(1.0),
            wet: wet::over(&runs, evaluation, &legs),
            gravel: wet::gravel(&runs, evaluation, &legs),
            marks: marks::on(site, evaluation, &legs),
            grades: grades::of(&runs),
            subgrade: self.subgrade.as_ref().and_then(draped).unwrap_or_default(),
            liner: self.liner.as_ref().and_then(draped).unwrap_or_default(),
            line_m: line_m.to_vec(),
            length_m,
            existing,
            finished,
            gaps,
        })
    }
}

/// Grounds nearer to each other than this are one: below what a rod reads.
const LEAST_M: f64 = 0.5e-3;

/// The section of an evaluation along a line: see [`Cutter::section`].
pub fn section(site: &Site, evaluation: &Evaluation, line_m: &[[f64; 2]]) -> Option<Section> {
    Cutter::new(evaluation)?.section(site, evaluation, line_m)
}

impl Section {
    /// The lowest and the highest level that it shows, metres.
    pub fn range_m(&self) -> [f64; 2] {
        let grounds = [&self.existing, &self.subgrade, &self.liner, &self.finished];
        let levels = (grounds.into_iter().flatten().map(|point| point.z))
            .chain(self.marks.iter().map(|mark| mark.z))
            .chain(self.wet.iter().flat_map(|wet| wet.gaps.iter().flat_map(|gap| gap.levels[1])));
        levels.fold([f64::INFINITY, f64::NEG_INFINITY], |[low, high], z| [low.min(z), high.max(z)])
    }

    /// Where a station is, local metres; stations beyond the line's ends are at its ends.
    pub fn place_m(&self, station_m: f64) -> [f64; 2] {
        let legs = course::legs(&self.line_m);
        let leg = legs.iter().find(|leg| station_m <= leg.end_m()).or(legs.last());
        leg.map_or([0.0; 2], |leg| leg.place(station_m))
    }
}
