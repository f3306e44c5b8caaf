//! Format 7 of the site document.
//!
//! Its streams had no bed by a table. They are frozen here as they were published, also for formats 4 to
//! 6, whose streams were the same. All else of it is still as today's types have it: a type that changes
//! in a later format is first copied here as it was.

use std::sync::Arc;

use serde::Deserialize;

use crate::works::{
    self, Basin, BuildUp, Fall, FilterBed, Hill, IntakeBay, Island, Pad, Path, PlaneGrade, Station,
    Strip, Trench, Wall,
};
use crate::{
    Carry, Circulation, Curve, Digging, Frame, Haul, House, KeepOut, Limits, Picture, Soils,
    Stockpile, Survey, Viewpoint, Weather, WorkId,
};

/// Reads a text of format 7 as a site of today.
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
    #[serde(default)]
    pictures: Vec<Picture>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct Work {
    id: WorkId,
    name: String,
    #[serde(default)]
    note: String,
    #[serde(default)]
    group: String,
    #[serde(default = "shown")]
    visible: bool,
    kind: WorkKind,
}

#[derive(Deserialize)]
pub(super) enum WorkKind {
    Basin(Basin),
    Stream(Stream),
    Hill(Hill),
    Wall(Wall),
    FilterBed(FilterBed),
    IntakeBay(IntakeBay),
    Pad(Pad),
    Path(Path),
    PlaneGrade(PlaneGrade),
    Trench(Trench),
    Strip(Strip),
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct Stream {
    line: Curve,
    #[serde(default)]
    from: Option<WorkId>,
    #[serde(default)]
    into: Option<WorkId>,
    stations: Vec<Station>,
    #[serde(default)]
    falls: Vec<Fall>,
    #[serde(default)]
    bed_stone_m: Option<f64>,
    #[serde(default)]
    sheet_m: Option<f64>,
    water_depth_m: f64,
    freeboard_m: f64,
    cut_bank: f64,
    fill_bank: f64,
    rim_width_m: f64,
    #[serde(default)]
    islands: Vec<Island>,
    #[serde(default)]
    bed_build_up: BuildUp,
    #[serde(default)]
    side_build_up: BuildUp,
    #[serde(default)]
    bank_build_up: BuildUp,
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
            pictures: old.pictures,
        }
    }
}

impl From<Work> for crate::Work {
    fn from(old: Work) -> Self {
        let Work { id, name, note, group, visible, kind } = old;
        Self { id, name, note, group, visible, kind: kind.into() }
    }
}

impl From<WorkKind> for crate::WorkKind {
    fn from(old: WorkKind) -> Self {
        match old {
            WorkKind::Basin(basin) => Self::Basin(basin),
            WorkKind::Stream(stream) => Self::Stream(stream.into()),
            WorkKind::Hill(hill) => Self::Hill(hill),
            WorkKind::Wall(wall) => Self::Wall(wall),
            WorkKind::FilterBed(bed) => Self::FilterBed(bed),
            WorkKind::IntakeBay(bay) => Self::IntakeBay(bay),
            WorkKind::Pad(pad) => Self::Pad(pad),
            WorkKind::Path(path) => Self::Path(path),
            WorkKind::PlaneGrade(grade) => Self::PlaneGrade(grade),
            WorkKind::Trench(trench) => Self::Trench(trench),
            WorkKind::Strip(strip) => Self::Strip(strip),
        }
    }
}

impl From<Stream> for works::Stream {
    fn from(old: Stream) -> Self {
        Self {
            line: old.line,
            from: old.from,
            into: old.into,
            stations: old.stations,
            falls: old.falls,
            bed_stone_m: old.bed_stone_m,
            bed: None,
            sheet_m: old.sheet_m,
            water_depth_m: old.water_depth_m,
            freeboard_m: old.freeboard_m,
            cut_bank: old.cut_bank,
            fill_bank: old.fill_bank,
            rim_width_m: old.rim_width_m,
            islands: old.islands,
            bed_build_up: old.bed_build_up,
            side_build_up: old.side_build_up,
            bank_build_up: old.bank_build_up,
        }
    }
}
