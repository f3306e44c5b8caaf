//! What an evaluation of a site yields.

use std::sync::Arc;

use ground::Surface;
use site::WorkId;

use crate::levels::Levels;
use crate::{Between, Finding, LaidVolumes, TrenchOutcome};

/// Everything that is computed from a site.
#[derive(Clone, Debug)]
pub struct Evaluation {
    /// The surface as surveyed; absent when the survey makes none.
    pub existing: Option<Arc<Surface>>,
    /// The surface after every visible work.
    pub finished: Option<Arc<Surface>>,
    /// The grounds between the two: stripped, subgrade and liner.
    pub between: Option<Between>,
    /// What each visible work does, in building order.
    pub works: Vec<WorkOutcome>,
    /// The earth that moves.
    pub earth: Earth,
    /// What each soil gives, from the top down.
    pub soils: Vec<SoilOutcome>,
    /// Existing ground dug down to the subgrade, lift by lift.
    pub lifts: Vec<Lift>,
    /// What the works lay between subgrade and finished ground, in order of their ids.
    pub laid: Vec<(WorkId, LaidVolumes)>,
    /// Trucks.
    pub haul: HaulOutcome,
    /// Still and running water, for drawing and volumes: each stream's running water, and after it
    /// the pools of it that stay when its pump stops.
    pub water: Vec<WaterBody>,
    /// What was found in the survey.
    pub survey: SurveyOutcome,
    /// Everything that the checks found, the gravest first.
    pub findings: Vec<Finding>,
}

/// What one work does to the ground it finds.
#[derive(Clone, Debug)]
pub struct WorkOutcome {
    /// The work.
    pub work: WorkId,
    /// Bank volume that it digs, cubic metres.
    pub cut_m3: f64,
    /// Compacted volume that it places, cubic metres.
    pub fill_m3: f64,
    /// Of its cut, what an earlier work had placed: fill that is dug again.
    pub recut_m3: f64,
    /// The ground as it finds it.
    pub before: Arc<Surface>,
    /// The ground as it leaves it.
    pub after: Arc<Surface>,
    /// How its shape came out.
    pub shape: Arc<Shape>,
    /// Places where its shape ends in the air or in the ground: a bank that meets no ground.
    pub open_ends: Vec<OpenEnd>,
    /// Plan area of its shape beyond the ground, square metres.
    pub beyond_m2: f64,
    /// What it moves and lays where it is a trench.
    pub trench: Option<TrenchOutcome>,
}

/// What a work's parameters make, besides its surfaces.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Shape {
    /// What of its parameters makes no shape, in plain words.
    pub problems: Vec<Problem>,
    /// The liner's edges: lines of places in local metres; a closed one repeats its first place.
    pub liner_edges: Vec<Vec<[f64; 3]>>,
    /// The exposed top edges of walls, in local metres.
    pub wall_tops: Vec<Vec<[f64; 3]>>,
    /// Sheets that are drawn and are no ground: gravel tops.
    pub sheets: Vec<Sheet>,
    /// Single stones to step on.
    pub stones: Vec<Stone>,
}

/// A round stone to step on.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Stone {
    /// Its middle, local metres.
    pub at_m: [f64; 2],
    /// Radius, metres.
    pub radius_m: f64,
    /// Elevation of its top, metres.
    pub top_m: f64,
}

/// Something about a work's parameters that makes no shape.
#[derive(Clone, Debug, PartialEq)]
pub struct Problem {
    /// What, in plain words: a lower-case phrase.
    pub message: String,
    /// Where, local metres.
    pub at_m: [f64; 2],
}

/// A stretch on which a work's shape ends above or below the ground that it should meet.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct OpenEnd {
    /// Its two ends, local metres.
    pub ends_m: [[f64; 2]; 2],
    /// Height of the work's ground above the ground beside it; below zero where it is lower.
    pub rise_m: f64,
}

/// A drawn sheet that is no ground.
#[derive(Clone, Debug, PartialEq)]
pub struct Sheet {
    /// What it shows.
    pub material: SheetMaterial,
    /// Triangles of places, local metres.
    pub triangles: Vec<[[f64; 3]; 3]>,
}

/// What a sheet shows.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum SheetMaterial {
    /// The top of a filter's gravel.
    Gravel,
    /// Water over a filter's gravel.
    Water,
}

/// The earth that moves; volumes in cubic metres, of subsoil from stripped ground to subgrade unless
/// said otherwise. Trenches, dug and filled again in between, are counted in.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Earth {
    /// Ground dug, in the bank: stripped ground above the subgrade.
    pub cut_bank_m3: f64,
    /// Fill placed, compacted: subgrade above the stripped ground.
    pub fill_compacted_m3: f64,
    /// Fill that a later work digs again, compacted.
    pub recut_m3: f64,
    /// Left over, in the bank: cut less fill / (1 - shrink); below zero is import.
    pub spoil_bank_m3: f64,
    /// Plus or minus on the net volume from the survey's accuracy as a bias over the changed area.
    pub plus_minus_m3: f64,
    /// Plan area on which ground is dug, square metres.
    pub cut_area_m2: f64,
    /// Plan area on which ground is raised, square metres.
    pub fill_area_m2: f64,
    /// Greatest depth dug, metres.
    pub deepest_cut_m: f64,
    /// Greatest height raised, metres.
    pub highest_fill_m: f64,
    /// Existing ground dug down to the subgrade, topsoil included: the neat volume.
    pub dug_m3: f64,
    /// What is dug beside that: below subgrade, behind walls, for the liner's edge.
    pub over_dig_m3: f64,
    /// What is placed beside the fill, because it settles, compacted.
    pub overbuild_m3: f64,
    /// What the fill is built higher by where it is highest, metres.
    pub overbuild_m: f64,
    /// What is stripped and spread again.
    pub topsoil: TopsoilOutcome,
}

/// Topsoil, never netted with the subsoil; volumes in cubic metres.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct TopsoilOutcome {
    /// Stripped, in the bank.
    pub strip_m3: f64,
    /// Spread, as it lies: around the works, and what they lay.
    pub respread_m3: f64,
    /// Left over, in the bank; below zero is import.
    pub surplus_m3: f64,
}

/// What is dug between two depths below existing ground.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Lift {
    /// Where it begins, metres below existing ground.
    pub from_m: f64,
    /// Where it ends, metres below existing ground.
    pub to_m: f64,
    /// Dug in it, in the bank, cubic metres.
    pub dug_m3: f64,
}

/// What one soil gives; volumes in the bank, cubic metres.
#[derive(Clone, Debug, PartialEq)]
pub struct SoilOutcome {
    /// What people call it.
    pub name: String,
    /// Dug of it.
    pub cut_bank_m3: f64,
    /// Of that, what goes into fill.
    pub to_fill_bank_m3: f64,
    /// Of that, what is left over.
    pub spoil_bank_m3: f64,
    /// Mass of what is left over, tonnes.
    pub spoil_mass_t: f64,
}

/// Spoil or import in trucks.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct HaulOutcome {
    /// Loose volume, cubic metres; of the import when spoil is below zero.
    pub spoil_loose_m3: f64,
    /// Plus or minus on that from survey and soil factors together.
    pub spoil_loose_plus_minus_m3: f64,
    /// Mass, tonnes.
    pub spoil_mass_t: f64,
    /// Loads; none where they are not known.
    pub loads: Option<u32>,
    /// What fills a truck first: `volume`, `weight` or `none`.
    pub governed_by: &'static str,
    /// Loads of topsoil, in trucks of their own; none where they are not known.
    pub topsoil_loads: Option<u32>,
    /// Loose volume of that topsoil, cubic metres.
    pub topsoil_loose_m3: f64,
}

/// One body of water.
#[derive(Clone, Debug)]
pub struct WaterBody {
    /// The work that holds it.
    pub work: WorkId,
    /// What water it is.
    pub kind: WaterKind,
    /// Level at rest, metres; for a stream, at its mouth.
    pub level_m: f64,
    /// Area of the water, square metres.
    pub area_m2: f64,
    /// Volume, cubic metres.
    pub volume_m3: f64,
    /// Level, area and volume by stage, from the bottom up; empty for a stream and its pools.
    pub stages: Vec<[f64; 3]>,
    /// Its surface for drawing, reaching under the shore: triangles of places, local metres; empty
    /// for a pool, which lies under the running water.
    pub sheet: Vec<[[f64; 3]; 3]>,
}

/// What water a body of water is.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum WaterKind {
    /// Water at rest in a basin, with the bays that draw from it.
    Basin,
    /// All the water of a stream while it runs, its pools with it.
    Stream,
    /// Water of a stream that stays behind a crest when the pump stops.
    Pool {
        /// Distance of the crest from the stream's head, metres.
        along_m: f64,
    },
}

/// What was found while the survey became a surface.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct SurveyOutcome {
    /// Points that stand in the surface.
    pub n_points: usize,
    /// Points set aside, by the site or as strays.
    pub n_set_aside: usize,
    /// Points that fell on another.
    pub n_duplicates: usize,
    /// Everything that is doubtful, in the order of the kinds and then of their places.
    pub suspects: Vec<Suspect>,
    /// What its level notes come to, where it has any.
    pub levels: Option<Levels>,
    /// Why the survey makes no surface, when it makes none.
    pub refused: Option<String>,
}

/// Something in the survey that is doubtful.
#[derive(Clone, Debug, PartialEq)]
pub struct Suspect {
    /// What it is.
    pub kind: SuspectKind,
    /// Where, local metres.
    pub at_m: [f64; 2],
    /// The lower and the higher of the heights in question, metres, where heights are in question;
    /// for a spike its own height and the one its neighbours suggest.
    pub heights_m: Option<[f64; 2]>,
    /// How far off a stray or a spike is, and how far it might be without a doubt, metres: a stray in
    /// plan from the middle of the survey, a spike in height from what its neighbours suggest.
    pub off_m: Option<[f64; 2]>,
    /// The point's name in the list, where one point is meant.
    pub name: Option<String>,
}

/// What is doubtful about a place of the survey.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum SuspectKind {
    /// A point far from all others, set aside.
    Stray,
    /// A point that stands out from its neighbours.
    Spike,
    /// Points on one place with different heights.
    Duplicate,
    /// Breaklines that cross at different heights.
    Crossing,
    /// A point on a breakline at another height than the line's.
    OffLine,
    /// Breaklines that run along each other.
    Overlap,
    /// A breakline that repeats a point.
    ZeroLength,
    /// A point outside the boundary or within a void.
    Outside,
    /// A boundary or void vertex beyond the points.
    BoundaryBeyond,
}
