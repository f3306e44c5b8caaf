//! Running water, from plain numbers: crests and falls, streams, pumps and pipes, levels, rain,
//! groundwater, silt and filters.
//!
//! Nothing here knows a surface or a work: sections, lengths and levels come measured. Inside are
//! metres, seconds and cubic metres. Every number out of range is an error that names it; a number
//! from a formula that was not measured for it is marked an [`Trust::Estimate`].

mod circuit;
mod crest;
mod duty;
mod energy;
mod fall;
mod fittings;
mod fluid;
mod manning;
mod pipe;
mod profile;
mod pump;
mod range;
mod reach;
mod roughness;
mod section;
mod sharing;
mod solve;
mod stream;
mod trust;

pub use circuit::{Circuit, CircuitError, CircuitFlow, PlaceId, WayFlow, WayId};
pub use crest::{
    BRINK_SHARE, Crest, CrestError, CrestForm, EdgeAllowance, OverCrest, THIN_HEAD_M,
    width_for_brink_m, width_for_head_m,
};
pub use duty::{Duty, DutyError, duty, head_wanted_m, pump_for};
pub use energy::{AtDepth, HydraulicJump, JumpError, Regime, alternate_depth_m, at_depth, jump};
pub use fall::{
    Face, FallError, FallKind, Falling, Landing, SplashMargin, StraightDrop, fall, landing,
    straight_drop,
};
pub use fittings::Fitting;
pub use fluid::{GRAVITY_M_S2, Water};
pub use manning::{Channel, NormalDepthError, friction_slope, normal_depth_m, uniform_flow_m3_s};
pub use pipe::{
    FrictionLaw, Line, LineLoss, Pipe, PipeWall, diameter_for_velocity_m, friction_factor,
};
pub use profile::{
    COMMON_STEP_M, Ends, Foot, GENTLE_BED, Inlet, JumpAt, Outlet, Point, Profile, ProfileError,
    profile,
};
pub use pump::{
    GENERIC_PUMPS, GenericPump, Pump, PumpError, PumpPower, energy_kwh_per_month, specific_speed,
    water_power_w,
};
pub use range::OutOfRange;
pub use reach::{Reach, ReachError, Station};
pub use roughness::{Roughness, StricklerUse, TABULATED_BEDS, TabulatedBed};
pub use section::{Section, critical_depth_m};
pub use sharing::{Shared, SharedCrest, SharingError, share_arms, share_crests};
pub use stream::{
    FallCrest, Parted, Piece, Running, RunningFall, Stream, StreamError, StreamProfile, part_stream,
};
pub use trust::Trust;
