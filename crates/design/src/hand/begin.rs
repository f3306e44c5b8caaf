//! How a new work begins: its parameters from what was drawn, from the ground under it, and from the
//! works beside it.
//!
//! The numbers are starting values in common practice; every one is on the card and can be changed.

mod held;
mod walked;
mod water;

use ground::curve;
use site::works::BuildUp;
use site::{Curve, Site, Work, WorkId, WorkKind};

/// Every kind of work that a hand can draw, in the order of the crew's groups.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Kind {
    /// A pond.
    Basin,
    /// Running water.
    Stream,
    /// Where the pump draws.
    IntakeBay,
    /// A pipe's trench.
    Trench,
    /// Topsoil taken off.
    Strip,
    /// Raised ground.
    Hill,
    /// A lawn that falls one way.
    PlaneGrade,
    /// A retaining wall.
    Wall,
    /// A planted filter.
    FilterBed,
    /// A plane place.
    Pad,
    /// A path.
    Path,
}

/// A new work, and what was assumed for it.
#[derive(Clone, Debug, PartialEq)]
pub struct Begun {
    /// The work; its id is given when it is added.
    pub work: Work,
    /// What it was joined to, in a sentence; empty where it stands alone.
    pub beside: String,
}

/// Why no work can begin here.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum BeginError {
    /// Too few points were drawn.
    #[error("{what} is drawn with {least} points or more")]
    TooFew {
        /// The work, with its article.
        what: &'static str,
        /// The least count.
        least: usize,
    },
    /// No surveyed ground lies under it.
    #[error("{what} begins on surveyed ground: no point of this lies on it")]
    OffSurvey {
        /// The work, with its article.
        what: &'static str,
    },
    /// An outline crosses itself.
    #[error("the outline crosses itself")]
    Crosses,
}

/// What a new work is begun from.
pub(super) struct Begin<'a> {
    pub(super) curve: Curve,
    pub(super) site: &'a Site,
    pub(super) ground: &'a dyn Fn([f64; 2]) -> Option<f64>,
    /// Levels of the ground along what was drawn, metres; never empty.
    pub(super) levels_m: Vec<f64>,
    /// What it was joined to.
    pub(super) beside: Vec<String>,
}

impl Kind {
    /// Every kind.
    pub const ALL: [Self; 11] = [
        Self::Basin,
        Self::Stream,
        Self::IntakeBay,
        Self::Trench,
        Self::Strip,
        Self::Hill,
        Self::PlaneGrade,
        Self::Wall,
        Self::FilterBed,
        Self::Pad,
        Self::Path,
    ];

    /// What a crew calls it.
    pub fn word(self) -> &'static str {
        match self {
            Self::Basin => "Pond",
            Self::Stream => "Stream",
            Self::IntakeBay => "Intake bay",
            Self::Trench => "Trench",
            Self::Strip => "Strip",
            Self::Hill => "Hill",
            Self::PlaneGrade => "Lawn",
            Self::Wall => "Wall",
            Self::FilterBed => "Planted filter",
            Self::Pad => "Sitting place",
            Self::Path => "Path",
        }
    }

    /// Whether it is drawn as an outline or as a line.
    pub fn ends(self) -> site::shape::Ends {
        use site::shape::Ends::{Closed, Open};
        match self {
            Self::Basin
            | Self::IntakeBay
            | Self::Strip
            | Self::PlaneGrade
            | Self::FilterBed
            | Self::Pad => Closed,
            Self::Stream | Self::Trench | Self::Hill | Self::Wall | Self::Path => Open,
        }
    }

    /// The fewest points that make one.
    pub fn least_points(self) -> usize {
        match (self.ends(), self) {
            (site::shape::Ends::Closed, _) => 3,
            (_, Self::Hill) => 1,
            _ => 2,
        }
    }

    /// The kind of a work.
    pub fn of(kind: &WorkKind) -> Self {
        match kind {
            WorkKind::Basin(_) => Self::Basin,
            WorkKind::Stream(_) => Self::Stream,
            WorkKind::IntakeBay(_) => Self::IntakeBay,
            WorkKind::Trench(_) => Self::Trench,
            WorkKind::Strip(_) => Self::Strip,
            WorkKind::Hill(_) => Self::Hill,
            WorkKind::PlaneGrade(_) => Self::PlaneGrade,
            WorkKind::Wall(_) => Self::Wall,
            WorkKind::FilterBed(_) => Self::FilterBed,
            WorkKind::Pad(_) => Self::Pad,
            WorkKind::Path(_) => Self::Path,
        }
    }

    fn with_article(self) -> &'static str {
        match self {
            Self::Basin => "a pond",
            Self::Stream => "a stream",
            Self::IntakeBay => "an intake bay",
            Self::Trench => "a trench",
            Self::Strip => "a strip",
            Self::Hill => "a hill",
            Self::PlaneGrade => "a lawn",
            Self::Wall => "a wall",
            Self::FilterBed => "a planted filter",
            Self::Pad => "a sitting place",
            Self::Path => "a path",
        }
    }
}

/// A new work of `kind` as drawn by `curve` on the ground, whose level `ground` tells.
///
/// Levels are taken from the ground along the drawing; a stream runs downhill however it was drawn,
/// and joins the filter at its head and the pond at its mouth.
///
/// # Errors
/// [`BeginError`] where the drawing does not make one.
pub fn begin(
    kind: Kind,
    curve: Curve,
    site: &Site,
    ground: &dyn Fn([f64; 2]) -> Option<f64>,
) -> Result<Begun, BeginError> {
    let what = kind.with_article();
    if curve.points.len() < kind.least_points() {
        return Err(BeginError::TooFew { what, least: kind.least_points() });
    }
    let is_closed = kind.ends() == site::shape::Ends::Closed;
    if is_closed && site::crossing(&curve.points).is_some() {
        return Err(BeginError::Crosses);
    }
    let line = super::flattened(&curve, kind.ends());
    let levels_m: Vec<f64> = line.iter().filter_map(|at| ground(*at)).collect();
    if levels_m.is_empty() {
        return Err(BeginError::OffSurvey { what });
    }
    let mut begin = Begin { curve, site, ground, levels_m, beside: Vec::new() };
    if is_closed && curve::signed_area_m2(&begin.curve.points) < 0.0 {
        begin.curve.points.reverse();
    }
    let made = match kind {
        Kind::Basin => begin.basin(),
        Kind::Stream => begin.stream(),
        Kind::IntakeBay => begin.intake_bay(),
        Kind::FilterBed => begin.filter_bed(),
        Kind::Hill => begin.hill(),
        Kind::Wall => begin.wall(),
        Kind::Pad => begin.pad(),
        Kind::Path => begin.path(),
        Kind::PlaneGrade => begin.plane_grade(),
        Kind::Trench => begin.trench(),
        Kind::Strip => begin.strip(),
    };
    let work = Work {
        // The site gives it its own when it is added.
        id: WorkId(0),
        name: free_name(kind, site),
        note: String::new(),
        group: String::new(),
        visible: true,
        kind: made,
    };
    Ok(Begun { work, beside: begin.beside.join(", ") })
}

/// The kind's word, numbered where works of that name stand.
fn free_name(kind: Kind, site: &Site) -> String {
    let taken = |name: &str| site.works.iter().any(|work| work.name == name);
    let word = kind.word();
    if !taken(word) {
        return word.to_owned();
    }
    let mut number = 2;
    while taken(&format!("{word} {number}")) {
        number += 1;
    }
    format!("{word} {number}")
}

impl Begin<'_> {
    fn lowest_m(&self) -> f64 {
        self.levels_m.iter().copied().fold(f64::INFINITY, f64::min)
    }

    fn highest_m(&self) -> f64 {
        self.levels_m.iter().copied().fold(f64::NEG_INFINITY, f64::max)
    }

    fn mean_m(&self) -> f64 {
        self.levels_m.iter().sum::<f64>() / self.levels_m.len() as f64
    }

    /// The ground at a place; beyond the survey the mean along the drawing.
    fn ground_m(&self, at: [f64; 2]) -> f64 {
        (self.ground)(at).unwrap_or_else(|| self.mean_m())
    }

    /// Levels at the drawn points, each `above_m` the ground: one where they differ by less than a
    /// crew would set out.
    fn levels(&self, above_m: f64) -> Vec<f64> {
        let each: Vec<f64> =
            self.curve.points.iter().map(|at| set_out(self.ground_m(*at) + above_m)).collect();
        let [low, high] = range_m(&each);
        if high - low <= SAME_LEVEL_M { vec![set_out(0.5 * (low + high))] } else { each }
    }

    fn topsoil(&self) -> BuildUp {
        BuildUp { topsoil_m: self.site.soils.topsoil.strip_m, ..BuildUp::default() }
    }
}

/// Levels nearer than this are one level.
const SAME_LEVEL_M: f64 = 0.02;

/// The lowest and the highest of some levels.
fn range_m(levels_m: &[f64]) -> [f64; 2] {
    let low = levels_m.iter().copied().fold(f64::INFINITY, f64::min);
    [low, levels_m.iter().copied().fold(f64::NEG_INFINITY, f64::max)]
}

/// A level as it is set out: whole millimetres.
fn set_out(level_m: f64) -> f64 {
    (level_m * 1000.0).round() / 1000.0
}

/// Bedding and liner as laid in common practice.
fn lined() -> BuildUp {
    BuildUp { bedding_m: 0.025, liner_m: 0.006, ..BuildUp::default() }
}
