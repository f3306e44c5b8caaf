//! A bank's or a flank's profile run along a line.
//!
//! Each segment of the line carries one planar panel for each piece of the profile. Where panels
//! part, at the outside of a bend or round an end, facets that touch the cone about the vertex stand
//! between them; where they close up they meet in their mitre while they are long enough, and
//! otherwise overlap. Of what overlaps the highest counts for a flank of fill, the lowest for a bank
//! of cut: the sweep is the envelope of its panels. The algorithm note stands in the README of the
//! folder above.

mod envelope;
mod fissures;
mod nearest;
mod overlap;
mod panels;
#[cfg(test)]
mod tests;
mod walk;

use envelope::envelope;
use panels::elements_of;
use walk::{Stop, walk_headings};

use crate::curve::{Closure, CurveError};
use crate::overlay::Keep;
use crate::{Lattice, LatticeError, Surface};

/// A profile: pairs of offset and rise in metres from (0, 0) on the line outward.
pub type Profile = Vec<[f64; 2]>;

/// A place of the line with its elevation and what runs out from it.
#[derive(Clone, Debug, PartialEq)]
pub struct SweepStation {
    /// The place in metres.
    pub at: [f64; 2],
    /// Its elevation in metres.
    pub z: f64,
    /// The profile to the left of the line; not looked at where that side is not swept.
    pub left: Profile,
    /// The profile to the right.
    pub right: Profile,
}

/// Which side of the line is swept, as seen along it.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Side {
    /// The left: the inside of a counter-clockwise ring.
    Left,
    /// The right: the outside of a counter-clockwise ring.
    Right,
    /// Both.
    Both,
}

/// What happens at the ends of an open line.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Ends {
    /// The sweep ends with the line.
    Cut,
    /// The profile goes round the end: a half cone for both sides, a quarter for one.
    Round,
}

/// What to sweep, and how.
#[derive(Clone, Copy, Debug)]
pub struct Sweep<'a> {
    /// The lattice of the result.
    pub lattice: Lattice,
    /// The line. Two stations at one place with different elevations are a drop; a single station
    /// is a cone's apex.
    pub stations: &'a [SweepStation],
    /// Whether the line returns to its first station.
    pub closure: Closure,
    /// The sides that are swept.
    pub side: Side,
    /// What happens at the ends of an open line.
    pub ends: Ends,
    /// Highest for profiles that fall outward (fill), lowest for profiles that rise (cut). One that
    /// turns against it goes by the nearest segment.
    pub keep: Keep,
    /// The widest angle that one facet of a bend's cone spans, above zero and at most a right angle.
    pub facet_angle_rad: f64,
    /// The owner that faces carry.
    pub owner: u32,
    /// The part that faces of each piece of the profile carry.
    pub parts: &'a [u32],
}

/// Why nothing was swept.
#[derive(Clone, Copy, Debug, PartialEq, thiserror::Error)]
pub enum SweepError {
    /// There is no station.
    #[error("a sweep needs a station")]
    NoStation,
    /// A coordinate, an elevation or a profile's value is not finite.
    #[error("station {station} has a value that is not finite")]
    NotFinite {
        /// Index of the station.
        station: usize,
    },
    /// A profile does not start at (0, 0), runs back, or has not one piece for each part.
    #[error("the profile of station {station} must run outward from (0, 0) in {pieces} pieces")]
    Profile {
        /// Index of the station.
        station: usize,
        /// The number of parts.
        pieces: usize,
    },
    /// The facet angle is not above zero and at most a right angle.
    #[error("the facet angle {0} is not between zero and a right angle")]
    FacetAngle(f64),
    /// A panel turns over: the profiles at its two ends do not fit its length.
    #[error("the panel that begins at ({:.3}, {:.3}) m turns over", at[0], at[1])]
    Folds {
        /// The place of the station.
        at: [f64; 2],
    },
    /// The profiles span no area.
    #[error("the sweep covers nothing")]
    Empty,
    /// A place lies off the lattice.
    #[error(transparent)]
    Lattice(#[from] LatticeError),
    /// The line is not one.
    #[error(transparent)]
    Line(#[from] CurveError),
}

/// The surface of a profile run along a line: the envelope of planar panels.
///
/// Grade means the steepest grade of a face. Where the line itself slopes, the profile is measured
/// along the panel's steepest fall rather than square to the line, so that a panel of one straight
/// grade has exactly that grade; in a profile of several pieces this holds for the steepest one, and
/// the gentler ones come out between their own grade and the line's. A segment steeper than the
/// profile carries no panel: the cone about its governing end covers it, as at a drop. Between
/// stations with unlike profiles each piece is two triangles. The first and last of several stations
/// at one place count.
///
/// A profile that turns against its envelope, such as a swale behind a crest, goes by the nearest
/// segment instead: the height at a place is that of the line's nearest place and of the profile at
/// that distance in plan. On a line that slopes both sides of a bend meet at the bend's own level.
///
/// # Errors
/// [`SweepError`], naming the station.
pub fn sweep(sweep: &Sweep) -> Result<Surface, SweepError> {
    check_input(sweep)?;
    let forward = || stops(sweep, sweep.stations.iter(), |s| &s.right);
    let back = || stops(sweep, sweep.stations.iter().rev(), |s| &s.left);
    let open_and_round = sweep.closure == Closure::Open && sweep.ends == Ends::Round;
    let walks: Vec<(Vec<Stop>, Closure)> = match sweep.side {
        Side::Right => vec![(forward()?, sweep.closure)],
        Side::Left => vec![(back()?, sweep.closure)],
        // Round both ends and back: one closed walk about the line.
        Side::Both if open_and_round => {
            let mut around = forward()?;
            around.extend(back()?);
            vec![(around, Closure::Closed)]
        }
        Side::Both => vec![(forward()?, sweep.closure), (back()?, sweep.closure)],
    };
    if sweep.stations.iter().any(|station| dips(sweep, station)) {
        return nearest::by_nearest(sweep, walks);
    }
    let mut elements = Vec::new();
    for (stops, closure) in walks {
        elements.extend(elements_of(sweep, &walk_headings(stops, closure, sweep.keep))?);
    }
    envelope(sweep, &elements)
}

/// How far a profile of one grade reaches: the greatest height between the line and the ground
/// divided by the grade, in metres. Not finite for a grade of zero.
pub fn reach_for(height_m: f64, grade: f64) -> f64 {
    height_m.abs() / grade.abs()
}

/// The stations of one side on the lattice, walked so that the swept side lies to the right.
fn stops<'a>(
    sweep: &Sweep,
    stations: impl Iterator<Item = &'a SweepStation>,
    profile: impl Fn(&SweepStation) -> &Profile,
) -> Result<Vec<Stop>, LatticeError> {
    stations
        .map(|s| {
            let at = sweep.lattice.snap(s.at)?;
            let local_m = sweep.lattice.metres(at);
            let profiles = [profile(s).clone(), profile(s).clone()];
            Ok(Stop { at: local_m, z: s.z, profiles, drops: false })
        })
        .collect()
}

fn check_input(sweep: &Sweep) -> Result<(), SweepError> {
    if sweep.stations.is_empty() {
        return Err(SweepError::NoStation);
    }
    let facet = sweep.facet_angle_rad;
    if !(facet > 0.0 && facet <= std::f64::consts::FRAC_PI_2) {
        return Err(SweepError::FacetAngle(facet));
    }
    for (station, s) in sweep.stations.iter().enumerate() {
        if !(s.z.is_finite() && s.at.iter().all(|c| c.is_finite())) {
            return Err(SweepError::NotFinite { station });
        }
        if sweep.side != Side::Right {
            check_profile(sweep, station, &s.left)?;
        }
        if sweep.side != Side::Left {
            check_profile(sweep, station, &s.right)?;
        }
    }
    Ok(())
}

fn check_profile(sweep: &Sweep, station: usize, profile: &Profile) -> Result<(), SweepError> {
    let pieces = sweep.parts.len();
    if !profile.iter().flatten().all(|c| c.is_finite()) {
        return Err(SweepError::NotFinite { station });
    }
    let runs_out = profile.windows(2).all(|w| w[1][0] >= w[0][0]);
    if pieces == 0 || profile.len() != pieces + 1 || profile[0] != [0.0, 0.0] || !runs_out {
        return Err(SweepError::Profile { station, pieces });
    }
    Ok(())
}

/// Whether a swept profile turns against its envelope: rises though the highest counts, or falls
/// though the lowest does.
fn dips(sweep: &Sweep, station: &SweepStation) -> bool {
    let turns = |w: &[[f64; 2]]| falls(sweep.keep) * (w[1][1] - w[0][1]) > 0.0;
    let swept = [(Side::Right, &station.left), (Side::Left, &station.right)];
    swept.iter().any(|(other, profile)| sweep.side != *other && profile.windows(2).any(turns))
}

/// 1 where the highest counts and profiles fall, -1 where the lowest counts and they rise.
fn falls(keep: Keep) -> f64 {
    match keep {
        Keep::Highest => 1.0,
        Keep::Lowest => -1.0,
    }
}
