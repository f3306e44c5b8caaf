//! Running water, from plain numbers: crests and falls, streams, pumps and pipes, levels, how a pond
//! goes round, rain, groundwater, silt and filters.
//!
//! Nothing here knows a surface or a work: sections, lengths and levels come measured. Inside are
//! metres, seconds and cubic metres. Every number out of range is an error that names it; a number
//! from a formula that was not measured for it is marked an [`Trust::Estimate`].

mod circuit;
mod circulation;
mod crest;
mod drain;
mod duty;
mod energy;
mod fall;
mod filter;
mod fittings;
mod fluid;
mod gravel;
mod levels;
mod losses;
mod manning;
mod pipe;
mod profile;
mod pump;
mod rain;
mod range;
mod reach;
mod roughness;
mod section;
mod sharing;
mod silt;
mod sizing;
mod solve;
mod stage;
mod stream;
mod trust;
mod uplift;
mod weir;

pub use circuit::{Circuit, CircuitError, CircuitFlow, PlaceId, WayFlow, WayId};
pub use circulation::{
    COMMON_DEAD_AGE, Circulation, CirculationError, DeadCorner, Drawn, Enters, Moving, PondGrid,
    circulate,
};
pub use crest::{
    BRINK_SHARE, Crest, CrestError, CrestForm, EdgeAllowance, OverCrest, THIN_HEAD_M,
    width_for_brink_m, width_for_head_m,
};
pub use drain::{
    DrainPipe, Drained, LEAST_DRAIN_FALL, drain, drain_spacing_m, seepage_m3_s, wet_share_of_round,
};
pub use duty::{Delivery, Duty, DutyError, duty, head_wanted_m, pump_for};
pub use energy::{AtDepth, HydraulicJump, JumpError, Regime, alternate_depth_m, at_depth, jump};
pub use fall::{
    Face, FallError, FallKind, Falling, Landing, SplashMargin, StraightDrop, fall, landing,
    straight_drop,
};
pub use filter::{
    COMMON_TURNOVER_H, Filtering, GravelBed, IntakeDraw, filter, filter_area_m2, intake_draw,
    lip_load_m2_s, turnover_h,
};
pub use fittings::Fitting;
pub use fluid::{GRAVITY_M_S2, Water};
pub use gravel::{
    BedStone, COMMON_SHIELDS, StoneHold, Turbulence, allowed_shear_pa, bank_d30_m, bank_stone_m,
    bed_shear_pa, isbash_stone_m, isbash_velocity_m_s, shear_stone_m, side_slope_share, stone_hold,
};
pub use levels::{
    BayStartStop, LevelError, Moment, StartStop, StartUp, bay_level_m, run_out_m3, start_stop,
    start_stop_with_bay, start_up,
};
pub use losses::{
    COMMON_PAN_COEFFICIENT, PanReading, WaterBalance, WeeklyLoss, balance_evaporation_m,
    filling_time_s, pan_evaporation_m, weekly_loss,
};
pub use manning::{Channel, NormalDepthError, friction_slope, normal_depth_m, uniform_flow_m3_s};
pub use pipe::{
    COMMON_PIPE_VELOCITY_M_S, FrictionLaw, Line, LineLoss, Pipe, PipeWall, diameter_for_velocity_m,
    friction_factor,
};
pub use profile::{
    COMMON_STEP_M, Ends, Foot, GENTLE_BED, Inlet, JumpAt, Outlet, Point, Profile, ProfileError,
    profile,
};
pub use pump::{
    GENERIC_PUMPS, GenericPump, Pump, PumpError, PumpPower, energy_kwh_per_month, specific_speed,
    water_power_w,
};
pub use rain::{
    Overflowing, RUNOFF_COEFFICIENTS, RunoffCoefficient, curve_number_runoff_m, mean_curve_number,
    overflow, rational_flow_m3_s,
};
pub use range::OutOfRange;
pub use reach::{Reach, ReachError, Station};
pub use roughness::{Roughness, StricklerUse, TABULATED_BEDS, TabulatedBed};
pub use section::{Section, critical_depth_m};
pub use sharing::{Shared, SharedCrest, SharingError, share_arms, share_crests};
pub use silt::{
    BareSoil, SILT_STORAGE_M, SettlingPlace, settling_m_s, settling_place, silt_depth_m,
    washed_soil_t,
};
pub use sizing::{
    brink_for_flow_m, flow_for_brink_m3_s, flow_for_head_m3_s, pump_for_brink, width_for_pump_m,
};
pub use stage::{Stage, StageError, StageTable};
pub use stream::{
    FallCrest, Parted, Piece, Running, RunningFall, Stream, StreamError, StreamProfile, part_stream,
};
pub use trust::Trust;
pub use uplift::{COMMON_UPLIFT_FACTOR, LinerGround, Uplift, uplift_drained, uplift_with_water};
pub use weir::{
    Measured, PlateFormula, drowned_plate_m3_s, long_crest_m3_s, notch_flow, plate_flow,
    plate_head_m,
};
