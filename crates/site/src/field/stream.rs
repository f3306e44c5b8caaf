//! The stream's fields.

use super::walk::{
    Ends, Visitor, choice, copied_list, curve, list, number, number_or_none, says, work_or_none,
};
use super::{ListEdit, Quantity, build_up};
use crate::Curve;
use crate::works::{CrestPart, Fall, Island, Station, Stream, StreamBed};

/// Longest stream, metres.
const LONGEST_M: f64 = 10_000.0;

/// Beds in few words, none first, then in the order of [`StreamBed::ALL`].
const BEDS: &[&str] = &[
    "not given",
    "gravel and cobbles",
    "cobbles and boulders",
    "clean and straight",
    "winding, with stones",
    "bare liner",
    "mortared stone",
    "smooth concrete",
];

/// C-24, C-25.
const BY_TABLE: &str = "Tells how rough the bed is by a table (Chow 1959, table 5-6; a bare liner by \
                        common practice), where the size of its stones is not given.";

pub(super) fn walk(stream: &mut Stream, visitor: &mut dyn Visitor) {
    work_or_none(visitor, says("from", "Fed by"), &mut stream.from);
    work_or_none(visitor, says("into", "Runs into"), &mut stream.into);
    let depth = says("water_depth_m", "Water depth").is(Quantity::Length, 0.0, 2.0);
    number(visitor, depth, &mut stream.water_depth_m);
    let sheet = says("sheet_m", "Water wanted over crests").is(Quantity::Length, 0.001, 0.5);
    number_or_none(visitor, sheet, 0.015, &mut stream.sheet_m);
    let stone = says("bed_stone_m", "Bed stones, median size").is(Quantity::Length, 0.001, 1.0);
    number_or_none(visitor, stone, 0.03, &mut stream.bed_stone_m);
    bed(visitor, &mut stream.bed);
    let freeboard = says("freeboard_m", "Liner edge above water").is(Quantity::Length, 0.0, 2.0);
    number(visitor, freeboard, &mut stream.freeboard_m);
    let rim = says("rim_width_m", "Rim width").is(Quantity::Length, 0.0, 20.0);
    number(visitor, rim, &mut stream.rim_width_m);
    let cut = says("cut_bank", "Bank in cut, run per rise").is(Quantity::RunPerRise, 0.1, 50.0);
    number(visitor, cut, &mut stream.cut_bank);
    let fill = says("fill_bank", "Bank in fill, run per rise").is(Quantity::RunPerRise, 0.1, 50.0);
    number(visitor, fill, &mut stream.fill_bank);
    walk_stations(&mut stream.stations, visitor);
    walk_falls(stream, visitor);
    walk_islands(stream, visitor);
    build_up::walk(visitor, ("bed_build_up", "Bed"), &mut stream.bed_build_up);
    build_up::walk(visitor, ("side_build_up", "Sides"), &mut stream.side_build_up);
    build_up::walk(visitor, ("bank_build_up", "Rim and banks"), &mut stream.bank_build_up);
    curve(visitor, ("line", "Centre line"), (Ends::Open, 2), &mut stream.line);
}

fn bed(visitor: &mut dyn Visitor, slot: &mut Option<StreamBed>) {
    let now = slot.and_then(|bed| StreamBed::ALL.iter().position(|of| *of == bed));
    let says = says("bed", "Bed, by the table").caution(BY_TABLE);
    if let Some(new) = choice(visitor, says, BEDS, now.map_or(0, |i| i + 1)) {
        *slot = new.checked_sub(1).and_then(|i| StreamBed::ALL.get(i).copied());
    }
}

fn walk_stations(stations: &mut Vec<Station>, visitor: &mut dyn Visitor) {
    for edit in list(visitor, says("stations", "Stations"), (2, 1000), stations.len()) {
        match edit {
            ListEdit::Insert(at) => stations.insert(at, station_between(stations, at)),
            ListEdit::Remove(at) => drop(stations.remove(at)),
        }
    }
    for (i, station) in stations.iter_mut().enumerate() {
        let of = |path: &str, label: &str| {
            says(format!("stations[{i}].{path}"), format!("Station {} {label}", i + 1))
        };
        let along = of("along_m", "distance").is(Quantity::Length, 0.0, LONGEST_M);
        number(visitor, along, &mut station.along_m);
        number(visitor, of("invert_m", "bed level").elevation(), &mut station.invert_m);
        let width = of("bed_width_m", "bed width").is(Quantity::Length, 0.01, 50.0);
        number(visitor, width, &mut station.bed_width_m);
        let side = of("side", "side, run per rise").is(Quantity::RunPerRise, 0.0, 50.0);
        number(visitor, side, &mut station.side);
        let left = of("edge_m[0]", "left edge above bed").is(Quantity::Length, 0.0, 5.0);
        number(visitor, left, &mut station.edge_m[0]);
        let right = of("edge_m[1]", "right edge above bed").is(Quantity::Length, 0.0, 5.0);
        number(visitor, right, &mut station.edge_m[1]);
    }
}

/// A station between its neighbours; past the last, one metre on at the last one's section.
fn station_between(stations: &[Station], at: usize) -> Station {
    match (at.checked_sub(1).and_then(|i| stations.get(i)), stations.get(at)) {
        (Some(a), Some(b)) => Station {
            along_m: (a.along_m + b.along_m) / 2.0,
            invert_m: (a.invert_m + b.invert_m) / 2.0,
            bed_width_m: (a.bed_width_m + b.bed_width_m) / 2.0,
            side: (a.side + b.side) / 2.0,
            edge_m: [0, 1].map(|i| (a.edge_m[i] + b.edge_m[i]) / 2.0),
        },
        (Some(a), None) => Station { along_m: a.along_m + 1.0, ..*a },
        (None, Some(b)) => Station { along_m: b.along_m / 2.0, ..*b },
        (None, None) => {
            Station { along_m: 0.0, invert_m: 0.0, bed_width_m: 0.5, side: 1.5, edge_m: [0.2; 2] }
        }
    }
}

fn walk_falls(stream: &mut Stream, visitor: &mut dyn Visitor) {
    for edit in list(visitor, says("falls", "Falls"), (0, 1000), stream.falls.len()) {
        match edit {
            ListEdit::Insert(at) => stream.falls.insert(at, fall_between(stream, at)),
            ListEdit::Remove(at) => drop(stream.falls.remove(at)),
        }
    }
    for (i, fall) in stream.falls.iter_mut().enumerate() {
        let of = |path: &str, label: &str| {
            says(format!("falls[{i}].{path}"), format!("Fall {} {label}", i + 1))
        };
        let along = of("along_m", "distance").is(Quantity::Length, 0.0, LONGEST_M);
        number(visitor, along, &mut fall.along_m);
        number(visitor, of("crest_m", "crest level").elevation(), &mut fall.crest_m);
        let width = of("crest_width_m", "crest width").is(Quantity::Length, 0.01, 50.0);
        number(visitor, width, &mut fall.crest_width_m);
        number(visitor, of("drop_m", "drop").is(Quantity::Length, 0.0, 20.0), &mut fall.drop_m);
        let pool = of("pool_m", "pool depth above").is(Quantity::Length, 0.0, 5.0);
        number(visitor, pool, &mut fall.pool_m);
        let stone = of("stone_m", "edge stones").is(Quantity::Length, 0.05, 3.0);
        number_or_none(visitor, stone, 0.4, &mut fall.stone_m);
        let face =
            of("face_run_m", "face, run from crest to foot").is(Quantity::Length, 0.01, 10.0);
        number_or_none(visitor, face, 0.1, &mut fall.face_run_m);
        walk_parts(fall, i, visitor);
    }
}

fn walk_parts(fall: &mut Fall, i: usize, visitor: &mut dyn Visitor) {
    let (path, label) = (format!("falls[{i}].parts"), format!("Fall {} crest part", i + 1));
    let whole = CrestPart { width_m: fall.crest_width_m, above_m: 0.0 };
    copied_list(visitor, says(&path, format!("{label}s")), (0, 20), &mut fall.parts, || whole);
    for (k, part) in fall.parts.iter_mut().enumerate() {
        let of = |field: &str, what: &str| {
            says(format!("{path}[{k}].{field}"), format!("{label} {} {what}", k + 1))
        };
        let width = of("width_m", "width").is(Quantity::Length, 0.01, 50.0);
        number(visitor, width, &mut part.width_m);
        let above = of("above_m", "above the crest").is(Quantity::Length, 0.0, 1.0);
        number(visitor, above, &mut part.above_m);
    }
}

fn walk_islands(stream: &mut Stream, visitor: &mut dyn Visitor) {
    let first = || first_island(&stream.line, &stream.stations);
    copied_list(visitor, says("islands", "Islands"), (0, 100), &mut stream.islands, first);
    for (i, island) in stream.islands.iter_mut().enumerate() {
        let (path, label) = (format!("islands[{i}]"), format!("Island {}", i + 1));
        let top = says(format!("{path}.top_m"), format!("{label} top level"));
        number(visitor, top.elevation(), &mut island.top_m);
        let (path, label) = (format!("{path}.outline"), format!("{label} outline"));
        curve(visitor, (&path, &label), (Ends::Closed, 3), &mut island.outline);
    }
}

/// A small rock at the middle of the drawn line, a hand's breadth above the bed.
fn first_island(line: &Curve, stations: &[Station]) -> Island {
    let [x, y] = line.points.get(line.points.len() / 2).copied().unwrap_or_default();
    let half_m = 0.15;
    let corners = [[-half_m, -half_m], [half_m, -half_m], [half_m, half_m], [-half_m, half_m]];
    let points = corners.iter().map(|[dx, dy]| [x + dx, y + dy]).collect();
    let bed_m = stations.iter().map(|s| s.invert_m).fold(f64::NEG_INFINITY, f64::max);
    let top_m = if bed_m.is_finite() { bed_m + 0.1 } else { 0.0 };
    Island { outline: Curve { points, smooth: true }, top_m }
}

/// A new fall halfway between its neighbours, or between the last one and the mouth.
fn fall_between(stream: &Stream, at: usize) -> Fall {
    let mouth_m = stream.stations.last().map_or(0.0, |s| s.along_m);
    let from_m = at.checked_sub(1).and_then(|i| stream.falls.get(i)).map_or(0.0, |f| f.along_m);
    let to_m = stream.falls.get(at).map_or(mouth_m, |f| f.along_m);
    let near = stream
        .stations
        .iter()
        .rev()
        .find(|s| s.along_m <= (from_m + to_m) / 2.0)
        .or(stream.stations.first());
    Fall {
        along_m: (from_m + to_m) / 2.0,
        crest_m: near.map_or(0.0, |s| s.invert_m),
        crest_width_m: near.map_or(0.5, |s| s.bed_width_m),
        drop_m: 0.2,
        pool_m: 0.0,
        parts: Vec::new(),
        stone_m: None,
        face_run_m: None,
    }
}
