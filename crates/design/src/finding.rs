//! Findings: what is wrong or worth a look, where, by how much, and what to do.

use site::{Site, WorkId};

/// What a finding is about; one check file each.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Code {
    /// Ground on a hill or berm steeper than its limit.
    FlankTooSteep,
    /// A wall's top below the filter's lip plus clearance.
    WallBelowLip,
    /// A liner edge below the water beside it plus freeboard.
    RimLow,
    /// Lip, drops, bed falls and waterline that do not add up.
    StreamDoesNotClose,
    /// A hill that looks like a heap.
    ReadsAsMound,
    /// Water that seems to spring from a summit.
    WaterFromSummit,
    /// A wall beyond what permits and licensed design are commonly required for.
    WallNeedsEngineer,
    /// Water so deep that a barrier is commonly required.
    TooDeepHere,
    /// Worked ground beside a house that does not fall away from it.
    DrainsToHouse,
    /// Ground outside a pond that drains over its rim into its water.
    RunoffEntersPond,
    /// Open soil that drains into the open pond or off the site while the works last.
    BareSoilDrainsIn,
    /// Groundwater that lifts a pond's liner and what lies on it.
    GroundwaterLiftsLiner,
    /// Ground that is worked within a tree's root zone.
    RootZoneCut,
    /// Ground dug nearer to a buried line than its clearance.
    BuriedLineNear,
    /// A work nearer to a boundary or a septic field than its setback.
    OverBoundary,
    /// A path or a step out of the range in which people walk with ease.
    WalkOutOfRange,
    /// A lawn too steep to mow.
    LawnTooSteep,
    /// A lip, a wall, a path or a pad that stands on fresh fill.
    FillUnderfoot,
    /// A shelf too narrow or too deep.
    ShelfOutOfRange,
    /// Ground on which a liner, or what lies on it, does not stay.
    LinerSubgrade,
    /// A hole whose banks do not stand while it is open.
    BankUnsafeToDig,
    /// A wall that the earth behind it may tip or push, by its weight alone.
    WallTooLight,
    /// Works built in an order that undoes one of them.
    OrderTrap,
    /// A pump of which something is missing, so that nothing of its water can be told.
    CircuitIncomplete,
    /// A pump that does not lift the water, or moves less than is wanted.
    PumpFallsShort,
    /// Water that runs too fast in a pipe.
    PipeRunsFast,
    /// Water too thin over a crest to fall as a sheet.
    CrestRunsThin,
    /// Water thicker over a crest than a garden bears.
    CrestRunsThick,
    /// A split of the water that starves one side.
    SplitStarves,
    /// A fall that lands or splashes beyond the liner.
    FallOvershoots,
    /// Water that falls at a start, uncovers the intake or empties its bay.
    StartStarvesPump,
    /// Water that comes back at a stop and finds no room.
    StopFloodsRim,
    /// An overflow over which the storm stands too high.
    OverflowTooSmall,
    /// Water that leaves by the overflow and comes near a house.
    OverflowRunsToHouse,
    /// Water of a pond that hardly goes round.
    DeadCorner,
    /// Too few shots under a work.
    SurveyThin,
    /// Shots that cannot be right.
    SurveySuspect,
    /// A work that reaches beyond the survey.
    BeyondSurvey,
    /// A work whose parameters make no shape.
    WorkHasNoShape,
}

/// How much a finding matters.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Severity {
    /// Worth a look before bidding.
    LookAt,
    /// Stop: not to be built as drawn.
    Stop,
}

/// The unit of a measured value and its limit; SI.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Unit {
    /// Metres along, across or apart.
    Metre,
    /// Metres above the site's zero.
    Elevation,
    /// Square metres.
    SquareMetre,
    /// Cubic metres.
    CubicMetre,
    /// Run per rise, a pure number: smaller is steeper.
    RunPerRise,
    /// A pure number.
    Ratio,
    /// A count.
    Count,
    /// Metres a second.
    MetrePerSecond,
    /// Cubic metres a second.
    CubicMetrePerSecond,
    /// Kilograms.
    Kilogram,
}

/// A measured value beside its limit, both in one unit.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Measured {
    /// What was measured.
    pub value: f64,
    /// What it is held against.
    pub limit: f64,
    /// The unit of both.
    pub unit: Unit,
}

/// A way to clear a finding, in computed numbers.
#[derive(Clone, Debug, PartialEq)]
pub struct Remedy {
    /// What to do, by how much, and the earth that it takes.
    pub message: String,
    /// The site with the remedy taken, when the program can take it.
    pub site: Option<Box<Site>>,
}

/// One finding.
#[derive(Clone, Debug, PartialEq)]
pub struct Finding {
    /// What it is about.
    pub code: Code,
    /// How much it matters.
    pub severity: Severity,
    /// The work that it is about, if one is.
    pub work: Option<WorkId>,
    /// Where: local metres east, north, up.
    pub at_m: [f64; 3],
    /// The value and its limit.
    pub measured: Measured,
    /// One or two plain sentences: what it is, how much, in the site's own unit.
    pub message: String,
    /// What to do about it.
    pub remedy: Option<Remedy>,
    /// Where the limit comes from; "common practice" where it has no source.
    pub source: &'static str,
    /// The caution that stands beside it where someone can be hurt.
    pub caution: Option<&'static str>,
}

impl Code {
    /// The code as reports write it.
    pub fn as_str(self) -> &'static str {
        match self {
            Self::FlankTooSteep => "flank-too-steep",
            Self::WallBelowLip => "wall-below-lip",
            Self::RimLow => "rim-low",
            Self::StreamDoesNotClose => "stream-does-not-close",
            Self::ReadsAsMound => "reads-as-mound",
            Self::WaterFromSummit => "water-from-summit",
            Self::WallNeedsEngineer => "wall-needs-engineer",
            Self::TooDeepHere => "too-deep-here",
            Self::DrainsToHouse => "drains-to-house",
            Self::RunoffEntersPond => "runoff-enters-pond",
            Self::BareSoilDrainsIn => "bare-soil-drains-in",
            Self::GroundwaterLiftsLiner => "groundwater-lifts-liner",
            Self::RootZoneCut => "root-zone-cut",
            Self::BuriedLineNear => "buried-line-near",
            Self::OverBoundary => "over-boundary",
            Self::WalkOutOfRange => "walk-out-of-range",
            Self::LawnTooSteep => "lawn-too-steep",
            Self::FillUnderfoot => "fill-underfoot",
            Self::ShelfOutOfRange => "shelf-out-of-range",
            Self::LinerSubgrade => "liner-subgrade",
            Self::BankUnsafeToDig => "bank-unsafe-to-dig",
            Self::WallTooLight => "wall-too-light",
            Self::OrderTrap => "order-trap",
            Self::CircuitIncomplete => "circuit-incomplete",
            Self::PumpFallsShort => "pump-falls-short",
            Self::PipeRunsFast => "pipe-runs-fast",
            Self::CrestRunsThin => "crest-runs-thin",
            Self::CrestRunsThick => "crest-runs-thick",
            Self::SplitStarves => "split-starves-a-side",
            Self::FallOvershoots => "fall-overshoots-liner",
            Self::StartStarvesPump => "start-starves-pump",
            Self::StopFloodsRim => "stop-floods-rim",
            Self::OverflowTooSmall => "overflow-too-small",
            Self::OverflowRunsToHouse => "overflow-runs-to-house",
            Self::DeadCorner => "dead-corner",
            Self::SurveyThin => "survey-thin",
            Self::SurveySuspect => "survey-suspect",
            Self::BeyondSurvey => "beyond-survey",
            Self::WorkHasNoShape => "work-has-no-shape",
        }
    }
}

impl Code {
    /// The fields of [`site::Limits`] that it is held against.
    pub fn limits(self) -> &'static [&'static str] {
        match self {
            Self::FlankTooSteep => &["flank_run_per_rise"],
            Self::WallBelowLip => &["wall_clearance_m", "wall_fall_run_per_rise"],
            Self::StreamDoesNotClose => &["stream_closure_m"],
            Self::ReadsAsMound => {
                &["natural_run_per_rise", "mound_advice", "mound_heap", "mound_least_height_m"]
            }
            Self::WaterFromSummit => {
                &["lip_backdrop_rise_m", "lip_backdrop_reach_m", "lip_backdrop_share"]
            }
            Self::WallNeedsEngineer => &["wall_design_m", "wall_design_loaded_m"],
            Self::TooDeepHere => &["barrier_depth_m"],
            Self::DrainsToHouse => &["house_fall_reach_m", "house_fall_m", "house_fall_paved"],
            Self::RunoffEntersPond => &["pond_runoff_share"],
            Self::BareSoilDrainsIn => &["bare_soil_m2"],
            Self::GroundwaterLiftsLiner => &["uplift_factor"],
            Self::RootZoneCut => &["root_zone_least", "root_zone_most"],
            Self::SurveyThin => &["survey_spacing_m"],
            Self::SurveySuspect => &["survey_spike_deviations"],
            Self::WalkOutOfRange => &[
                "path_run_per_rise",
                "path_cross_fall",
                "riser_least_m",
                "riser_most_m",
                "tread_least_m",
            ],
            Self::LawnTooSteep => &["mown_run_per_rise"],
            Self::FillUnderfoot => &["fill_settlement_m"],
            Self::ShelfOutOfRange => &["shelf_least_width_m", "shelf_greatest_depth_m"],
            Self::LinerSubgrade => &["covered_bank_run_per_rise", "bare_liner_run_per_rise"],
            Self::BankUnsafeToDig => &["open_depth_m", "spoil_setback_m"],
            Self::WallTooLight => &["wall_safety", "wall_friction_deg"],
            Self::PipeRunsFast => &["pipe_m_s"],
            Self::CrestRunsThin => &["crest_thin_m"],
            Self::CrestRunsThick => &["crest_thick_m"],
            Self::SplitStarves => &["split_least_share"],
            Self::FallOvershoots => &["splash_m", "splash_share"],
            Self::StartStarvesPump => &["intake_cover_m"],
            Self::OverflowTooSmall => &["storm_edge_m"],
            Self::OverflowRunsToHouse => &["house_fall_reach_m"],
            Self::DeadCorner => &["dead_turnovers", "dead_share"],
            Self::RimLow => &["edge_stone_m", "edge_stone_share"],
            Self::OrderTrap => &["stone_t_m3"],
            // What these are held against is a work's or a keep-out's own, or is nought.
            Self::BuriedLineNear
            | Self::CircuitIncomplete
            | Self::PumpFallsShort
            | Self::StopFloodsRim
            | Self::OverBoundary
            | Self::BeyondSurvey
            | Self::WorkHasNoShape => &[],
        }
    }
}

impl Severity {
    /// The word that people read.
    pub fn as_str(self) -> &'static str {
        match self {
            Self::LookAt => "look at",
            Self::Stop => "stop",
        }
    }
}

impl Unit {
    /// The unit as reports write it.
    pub fn as_str(self) -> &'static str {
        match self {
            Self::Metre | Self::Elevation => "m",
            Self::SquareMetre => "m2",
            Self::CubicMetre => "m3",
            Self::RunPerRise => "run/rise",
            Self::Ratio => "ratio",
            Self::Count => "count",
            Self::MetrePerSecond => "m/s",
            Self::CubicMetrePerSecond => "m3/s",
            Self::Kilogram => "kg",
        }
    }
}
