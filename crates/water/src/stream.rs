//! A whole stream: a lip, reaches, the crests between them, and what it runs into; and streams that
//! part around an island.
//!
//! ```text
//!   lip ==.
//!          `.___ reach 0 ___ crest 0 ==.
//!                                       `.___ reach 1 ___ crest 1 ==.
//!                                                                    `.~~~~ mouth
//! ```

use crate::fall::foot_depth_m;
use crate::range::{elevation, flow, not_negative};
use crate::{
    Crest, EdgeAllowance, Ends, Face, FallError, FallKind, Falling, Foot, Inlet, OutOfRange,
    Outlet, OverCrest, Profile, ProfileError, Reach, ReachError, SharingError, fall, profile,
    share_arms,
};

/// Drops lower than this are steps in the bed, not falls.
const LEAST_DROP_M: f64 = 1.0e-3;

/// A crest with the face below it.
#[derive(Clone, Debug, PartialEq)]
pub struct FallCrest {
    /// The crest.
    pub crest: Crest,
    /// What the water comes down on.
    pub face: Face,
}

/// A reach and the crest that ends it.
#[derive(Clone, Debug, PartialEq)]
pub struct Piece {
    /// The reach.
    pub reach: Reach,
    /// The crest at its end; only the last piece may lack one, and runs into its mouth.
    pub crest: Option<FallCrest>,
}

/// A stream from its head to its mouth.
#[derive(Clone, Debug, PartialEq)]
pub struct Stream {
    lip: Option<FallCrest>,
    pieces: Vec<Piece>,
}

/// Why pieces make no stream, or it has no profile.
#[derive(Clone, Copy, Debug, PartialEq, thiserror::Error)]
pub enum StreamError {
    /// There is no piece.
    #[error("a stream has 1 reach or more")]
    NoReach,
    /// A piece before the last has no crest.
    #[error("reach {0} is followed by another and needs a crest at its end")]
    NoCrest(usize),
    /// A number is out of range.
    #[error(transparent)]
    Number(#[from] OutOfRange),
    /// A reach cannot be reckoned.
    #[error("reach {reach}: {error}")]
    Reach {
        /// The reach, counted from 0 at the head.
        reach: usize,
        /// What is wrong with it.
        error: ProfileError,
    },
    /// The flow cannot be shared between arms.
    #[error(transparent)]
    Sharing(#[from] SharingError),
}

/// How a stream is reckoned.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Running {
    /// The steady flow, cubic metres per second.
    pub flow_m3_s: f64,
    /// Level of the water that it runs into, metres, if it stands there.
    pub mouth_m: Option<f64>,
    /// What edges are to stand above the water at crests.
    pub allowance: EdgeAllowance,
    /// Longest step along the reaches, metres.
    pub step_m: f64,
}

/// A fall of a running stream.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct RunningFall {
    /// The water over its crest.
    pub over: OverCrest,
    /// Height from the crest's lowest point to the water below, metres; below zero where that stands
    /// higher. To the bed where no water is known.
    pub drop_m: f64,
    /// How the water comes down; none where there is no drop left.
    pub falling: Option<Falling>,
}

/// A running stream.
#[derive(Clone, Debug, PartialEq)]
pub struct StreamProfile {
    /// The water's surface along each reach.
    pub reaches: Vec<Profile>,
    /// The fall at the lip, if there is one.
    pub lip: Option<RunningFall>,
    /// The fall at the end of each reach; none at the end of one that has no crest.
    pub falls: Vec<Option<RunningFall>>,
    /// The level at which still water before the stream's head stands, metres.
    pub head_m: f64,
    /// Water in the reaches while it runs, cubic metres.
    pub running_m3: f64,
    /// Water that stays in the reaches when it stops, cubic metres.
    pub still_m3: f64,
}

/// Streams that part and join again.
#[derive(Clone, Debug, PartialEq)]
pub struct Parted {
    /// The level of still water where they part, metres.
    pub head_m: f64,
    /// What each arm carries, cubic metres per second; together the whole.
    pub flows_m3_s: Vec<f64>,
    /// Each arm as it runs; none for one that stands dry.
    pub arms: Vec<Option<StreamProfile>>,
}

impl StreamProfile {
    /// Water that is held in motion, cubic metres: it is drawn from the pond at start, and comes back
    /// to it when the pump stops.
    pub fn in_motion_m3(&self) -> f64 {
        (self.running_m3 - self.still_m3).max(0.0)
    }

    /// Water that stands higher behind the lip while it runs, cubic metres, over the area of the
    /// filter that it closes: in motion too, as is what a pipe without a valve lets run back.
    ///
    /// None without a lip.
    ///
    /// # Errors
    /// [`OutOfRange`] for an area below zero.
    pub fn behind_lip_m3(&self, area_m2: f64) -> Result<f64, OutOfRange> {
        let area_m2 = not_negative("the area behind a lip, m2,", area_m2)?;
        Ok(self.lip.map_or(0.0, |lip| lip.over.head_m * area_m2))
    }
}

impl Stream {
    /// A stream from the lip that feeds it, if one does, and its pieces, head first.
    ///
    /// # Errors
    /// [`StreamError`] when there is no piece, or one before the last has no crest.
    pub fn new(lip: Option<FallCrest>, pieces: Vec<Piece>) -> Result<Self, StreamError> {
        let n_pieces = pieces.len();
        if n_pieces == 0 {
            return Err(StreamError::NoReach);
        }
        match pieces[..n_pieces - 1].iter().position(|piece| piece.crest.is_none()) {
            Some(reach) => Err(StreamError::NoCrest(reach)),
            None => Ok(Self { lip, pieces }),
        }
    }

    /// The stream at a steady flow.
    ///
    /// Reckoned from the mouth up: each reach with the crest at its end, which the water below may
    /// drown, and with the water that shoots in from the crest at its head.
    ///
    /// # Errors
    /// [`StreamError`] for a flow that is not above zero or another number out of range.
    ///
    /// # Source
    /// [`profile`] for reaches, [`Crest::over`] for crests, and White 1943 (from memory) for the
    /// depth at the foot of an upright fall, spread over the bed at its velocity.
    pub fn run(&self, running: Running) -> Result<StreamProfile, StreamError> {
        let flow_m3_s = flow("the flow of a stream, m3/s,", running.flow_m3_s)?;
        if let Some(mouth_m) = running.mouth_m {
            elevation("the level at a stream's mouth, m,", mouth_m)?;
        }
        let mut reaches = Vec::with_capacity(self.pieces.len());
        let mut falls = Vec::with_capacity(self.pieces.len());
        let (mut below, mut still_m3) = (Below::mouth(running.mouth_m), 0.0);
        for (reach_idx, piece) in self.pieces.iter().enumerate().rev() {
            let at_reach = |error| StreamError::Reach { reach: reach_idx, error };
            let outlet = match (&piece.crest, running.mouth_m) {
                (Some(fall), _) => Outlet::Crest(&fall.crest, below.drowns_m),
                (None, Some(mouth_m)) => Outlet::Level(mouth_m),
                (None, None) => Outlet::Free,
            };
            let inlet = self.inlet(reach_idx, flow_m3_s)?;
            let found = profile(&piece.reach, flow_m3_s, Ends { inlet, outlet }, running.step_m)
                .map_err(at_reach)?;
            let crest = piece.crest.as_ref();
            falls.push(crest.map(|crest| running_fall(crest, below, running)).transpose()?);
            let still_end_m = crest.map(|crest| crest.crest.lowest_m()).or(running.mouth_m);
            still_m3 += piece
                .reach
                .still_volume_m3(still_end_m, running.step_m)
                .map_err(|error| at_reach(error.into()))?;
            below = Below::reach(&found);
            reaches.push(found);
        }
        reaches.reverse();
        falls.reverse();
        let lip = self.lip.as_ref().map(|lip| running_fall(lip, below, running)).transpose()?;
        Ok(StreamProfile {
            head_m: lip.map_or(reaches[0].head_energy_m(), |lip| lip.over.level_m),
            running_m3: reaches.iter().map(|reach| reach.volume_m3).sum(),
            reaches,
            lip,
            falls,
            still_m3,
        })
    }

    /// The level, metres, to which still water must rise at the head before any runs.
    ///
    /// # Errors
    /// [`StreamError`] for a mouth level out of range.
    pub fn still_head_m(&self, mouth_m: Option<f64>) -> Result<f64, StreamError> {
        let piece = &self.pieces[0];
        let own_end_m = piece.crest.as_ref().map(|crest| crest.crest.lowest_m());
        let end_m = if self.pieces.len() == 1 {
            own_end_m.into_iter().chain(mouth_m).reduce(f64::max)
        } else {
            own_end_m
        };
        let head_m = piece
            .reach
            .still_head_m(end_m)
            .map_err(|error: ReachError| StreamError::Reach { reach: 0, error: error.into() })?;
        Ok(self.lip.as_ref().map_or(head_m, |lip| lip.crest.lowest_m().max(head_m)))
    }

    /// How the water comes to the head of a reach: from the crest above it, if it falls.
    fn inlet(&self, reach_idx: usize, flow_m3_s: f64) -> Result<Inlet, OutOfRange> {
        let above = match reach_idx {
            0 => self.lip.as_ref(),
            _ => self.pieces[reach_idx - 1].crest.as_ref(),
        };
        let Some(above) = above else { return Ok(Inlet::Quiet) };
        let drop_m = above.crest.lowest_m() - self.pieces[reach_idx].reach.head().invert_m;
        if drop_m < LEAST_DROP_M {
            return Ok(Inlet::Quiet);
        }
        let over = above.crest.over(flow_m3_s, None, EdgeAllowance::default())?;
        match fall(&over, drop_m, above.face) {
            Ok(Falling { kind: FallKind::Chute, foot_velocity_m_s, .. }) => {
                Ok(Inlet::Shooting(foot_velocity_m_s))
            }
            Ok(Falling { kind: FallKind::Sheet, .. }) => {
                let depth_m = foot_depth_m(over.critical_depth_m, drop_m);
                Ok(Inlet::Shooting(over.unit_flow_m2_s / depth_m))
            }
            Err(FallError::Flat) => Ok(Inlet::Quiet),
            Err(FallError::Number(number)) => Err(number),
        }
    }
}

/// What each arm around an island carries when all part from one water and join in one.
///
/// `running.flow_m3_s` is the whole, `running.mouth_m` the level where the arms join. An arm narrower
/// or higher than the other takes less, down to nothing. The stream above the island runs into
/// `head_m` of what is found.
///
/// # Errors
/// [`StreamError`] when there is no arm or a number is out of range.
///
/// # Source
/// [`share_arms`] with the energy at the head of each arm.
pub fn part_stream(arms: &[Stream], running: Running) -> Result<Parted, StreamError> {
    let run = |arm: usize, flow_m3_s: f64| arms[arm].run(Running { flow_m3_s, ..running });
    let (head_m, mut flows_m3_s) = share_arms(arms.len(), running.flow_m3_s, |arm, m3_s| {
        if flow("the flow of an arm, m3/s,", m3_s).is_err() {
            return arms[arm].still_head_m(running.mouth_m);
        }
        Ok::<f64, StreamError>(run(arm, m3_s)?.head_m)
    })?;
    let mut found = Vec::with_capacity(arms.len());
    for (arm, m3_s) in flows_m3_s.iter_mut().enumerate() {
        let runs = flow("the flow of an arm, m3/s,", *m3_s).is_ok();
        found.push(if runs { Some(run(arm, *m3_s)?) } else { None });
    }
    Ok(Parted { head_m, flows_m3_s, arms: found })
}

/// What lies below a crest.
#[derive(Clone, Copy, Debug)]
struct Below {
    /// Level of standing water that may drown it.
    drowns_m: Option<f64>,
    /// Level on which the water lands, if anything is known to be there.
    lands_m: Option<f64>,
}

impl Below {
    fn mouth(mouth_m: Option<f64>) -> Self {
        Self { drowns_m: mouth_m, lands_m: mouth_m }
    }

    fn reach(found: &Profile) -> Self {
        let level_m = found.head_level_m();
        let stands = found.foot != Foot::Free;
        Self { drowns_m: stands.then_some(level_m), lands_m: Some(level_m) }
    }
}

fn running_fall(
    fall_crest: &FallCrest,
    below: Below,
    running: Running,
) -> Result<RunningFall, OutOfRange> {
    let FallCrest { crest, face } = fall_crest;
    let over = crest.over(running.flow_m3_s, below.drowns_m, running.allowance)?;
    let drop_m = below.lands_m.map_or(0.0, |lands_m| crest.lowest_m() - lands_m);
    let falling = if drop_m < LEAST_DROP_M {
        None
    } else {
        match fall(&over, drop_m, *face) {
            Ok(falling) => Some(falling),
            Err(FallError::Flat) => None,
            Err(FallError::Number(number)) => return Err(number),
        }
    };
    Ok(RunningFall { over, drop_m, falling })
}

#[cfg(test)]
mod tests;
