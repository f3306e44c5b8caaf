//! Format 4 of the site document.
//!
//! Its works had no group, and its streams are those of format 7, frozen there. All else of it is still
//! as today's types have it: a type that changes in a later format is first copied as it was.

use std::sync::Arc;

use serde::Deserialize;

use super::format_7::WorkKind;
use crate::{
    Carry, Circulation, Digging, Frame, Haul, House, KeepOut, Limits, Soils, Stockpile, Survey,
    Viewpoint, Weather, WorkId,
};

/// Reads a text of format 4 as a site of today.
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

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Work {
    id: WorkId,
    name: String,
    #[serde(default)]
    note: String,
    #[serde(default = "shown")]
    visible: bool,
    kind: WorkKind,
}

fn shown() -> bool {
    true
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

impl From<Work> for crate::Work {
    fn from(old: Work) -> Self {
        let Work { id, name, note, visible, kind } = old;
        Self { id, name, note, group: String::new(), visible, kind: kind.into() }
    }
}
