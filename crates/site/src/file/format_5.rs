//! Format 5 of the site document.
//!
//! It had no pictures, and its works are those of format 7, frozen there. All else of it is still as
//! today's types have it: a type that changes in a later format is first copied as it was.

use std::sync::Arc;

use serde::Deserialize;

use super::format_7::Work;
use crate::{
    Carry, Circulation, Digging, Frame, Haul, House, KeepOut, Limits, Soils, Stockpile, Survey,
    Viewpoint, Weather,
};

/// Reads a text of format 5 as a site of today.
///
/// # Errors
/// The reader's own, with its place in the text.
pub(super) fn read(text: &str) -> Result<crate::Site, ron::error::SpannedError> {
    ron::from_str::<Site>(text).map(Into::into)
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Site {
    #[serde(rename = "format")]
    _format: u32,
    title: String,
    frame: Frame,
    survey: Survey,
    #[serde(default)]
    soils: Soils,
    #[serde(default)]
    works: Vec<Work>,
    next_id: u32,
    #[serde(default)]
    circulation: Circulation,
    #[serde(default)]
    weather: Weather,
    #[serde(default)]
    houses: Vec<House>,
    #[serde(default)]
    keep_outs: Vec<KeepOut>,
    #[serde(default)]
    limits: Limits,
    #[serde(default)]
    digging: Digging,
    #[serde(default)]
    haul: Haul,
    #[serde(default)]
    carry: Carry,
    #[serde(default)]
    stockpiles: Vec<Stockpile>,
    #[serde(default)]
    viewpoints: Vec<Viewpoint>,
}

impl From<Site> for crate::Site {
    fn from(old: Site) -> Self {
        Self {
            format: Self::FORMAT,
            title: old.title,
            frame: old.frame,
            survey: Arc::new(old.survey),
            soils: old.soils,
            works: old.works.into_iter().map(Into::into).collect(),
            next_id: old.next_id,
            circulation: old.circulation,
            weather: old.weather,
            houses: old.houses,
            keep_outs: old.keep_outs,
            limits: old.limits,
            digging: old.digging,
            haul: old.haul,
            carry: old.carry,
            stockpiles: old.stockpiles,
            viewpoints: old.viewpoints,
            pictures: Vec::new(),
        }
    }
}
