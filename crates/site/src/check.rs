//! What makes a site valid: every field's range, counts of lists, ids and references.

mod circulation;

use std::collections::BTreeSet;

use crate::crossing::{crossing, on_one_line};
use crate::earth::LayerTop;
use crate::field::{FieldValue, Settings, fields, inspect, settings};
use crate::keep_out::KeepOutKind;
use crate::works::{FilterBed, IntakeBay, Pad, PlaneGrade, RingShape, Stream, Strip};
use crate::{LevelNotes, Picture, Site, Soils, Survey, Work, WorkId, WorkKind};

/// A rule that a site breaks, and where.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
#[error("{path}: {rule}")]
pub struct Invalid {
    /// Path of the field in the file: `works[2].kind.rings[1].depth_m`.
    pub path: String,
    /// What is wrong and what is allowed.
    pub rule: String,
}

impl Site {
    /// Whether the site is valid.
    ///
    /// # Errors
    /// The first of the [`faults`].
    pub fn check(&self) -> Result<(), Invalid> {
        faults(self).into_iter().next().map_or(Ok(()), Err)
    }
}

/// Every rule that the site breaks, in the order of the file.
pub fn faults(site: &Site) -> Vec<Invalid> {
    let mut faults = Faults { list: Vec::new(), reach_m: reach_m(site) };
    faults.frame(site);
    faults.survey(site);
    faults.table("soils", &site.soils);
    faults.groundwater(&site.soils);
    faults.layers(&site.soils);
    faults.works(site);
    faults.circulation(site);
    faults.table("weather", &site.weather);
    faults.kept(site);
    faults.table("limits", &site.limits);
    faults.table("digging", &site.digging);
    faults.table("haul", &site.haul);
    faults.table("carry", &site.carry);
    for (i, heap) in site.stockpiles.iter().enumerate() {
        let path = format!("stockpiles[{i}]");
        faults.table(&path, heap);
        faults.simple(&format!("{path}.outline_m"), &heap.outline_m);
    }
    for (i, viewpoint) in site.viewpoints.iter().enumerate() {
        faults.table(&format!("viewpoints[{i}]"), viewpoint);
    }
    for (i, picture) in site.pictures.iter().enumerate() {
        faults.picture(&format!("pictures[{i}]"), picture);
    }
    faults.list
}

/// How far places may lie from the local origin: 2^29 lattice steps.
fn reach_m(site: &Site) -> f64 {
    f64::from(1_u32 << 29) * f64::from(site.frame.step_um) * 1.0e-6
}

struct Faults {
    list: Vec<Invalid>,
    reach_m: f64,
}

impl Faults {
    fn add(&mut self, path: impl Into<String>, rule: impl Into<String>) {
        self.list.push(Invalid { path: path.into(), rule: rule.into() });
    }

    fn number(&mut self, path: &str, value: f64, (least, most): (f64, f64)) {
        if !(least..=most).contains(&value) {
            self.add(path, format!("must be {least} to {most}, not {value}"));
        }
    }

    fn picture(&mut self, path: &str, picture: &Picture) {
        /// Pixels along a side, and known points: more than anybody wants.
        const MOST: (u32, usize) = (100_000, 100);
        let name = &picture.file;
        if name.is_empty() || name.contains(['/', '\\']) || name == ".." {
            let rule = "must name a file in the site's own folder, without a path";
            self.add(format!("{path}.file"), rule);
        }
        for (axis, side) in picture.size_px.into_iter().enumerate() {
            self.number(&format!("{path}.size_px[{axis}]"), side.into(), (1.0, MOST.0.into()));
        }
        if picture.pins.len() > MOST.1 {
            let rule = format!("must be {} at most, not {}", MOST.1, picture.pins.len());
            self.add(format!("{path}.pins"), rule);
        }
        for (i, pin) in picture.pins.iter().enumerate() {
            for axis in 0..2 {
                let within = (0.0, picture.size_px[axis].into());
                self.number(&format!("{path}.pins[{i}].at_px[{axis}]"), pin.at_px[axis], within);
            }
            self.places(&format!("{path}.pins[{i}].at_m"), &[pin.at_m]);
        }
        if let Err(error) = picture.fit() {
            self.add(format!("{path}.pins"), error.to_string());
        }
    }

    fn places(&mut self, path: &str, places: &[[f64; 2]]) {
        for (i, place) in places.iter().enumerate() {
            if !place.iter().all(|c| c.abs() <= self.reach_m) {
                let [x, y] = place;
                let path = if places.len() == 1 { path.into() } else { format!("{path}[{i}]") };
                let reach_m = self.reach_m.floor();
                self.add(path, format!("({x}, {y}) lies beyond {reach_m} m from the local origin"));
            }
        }
    }

    fn table<T: Settings>(&mut self, path: &str, of: &T) {
        for field in settings(of) {
            let path = format!("{path}.{}", field.path);
            if let Err(error) = inspect(&field) {
                self.add(path, error.to_string());
            } else if let FieldValue::Place(Some(at)) = field.value {
                self.places(&path, &[at]);
            }
        }
    }

    /// Layers of soil lie below one another: the first begins at the ground, each further one deeper.
    fn layers(&mut self, soils: &Soils) {
        let mut above_m = None;
        for (i, layer) in soils.layers.iter().enumerate() {
            let path = format!("soils.layers[{i}].top");
            match (&layer.top, above_m) {
                (LayerTop::Depth(depth_m), None) if i == 0 && *depth_m != 0.0 => {
                    self.add(path, format!("the uppermost soil begins at depth 0, not {depth_m}"));
                }
                (LayerTop::Depth(depth_m), Some(above_m)) if *depth_m <= above_m => {
                    self.add(
                        path,
                        format!("layers overlap: must be above {above_m}, not {depth_m}"),
                    );
                }
                (LayerTop::Levels(_), _) if i == 0 => {
                    self.add(path, "the uppermost soil begins at depth 0".to_owned());
                }
                _ => {}
            }
            match &layer.top {
                LayerTop::Depth(depth_m) => above_m = Some(*depth_m),
                LayerTop::Levels(borings) => {
                    let places: Vec<[f64; 2]> = borings.iter().map(|&[x, y, _]| [x, y]).collect();
                    if on_one_line(&places) {
                        let path = format!("soils.layers[{i}].top");
                        self.add(path, "borings on one line span no surface".to_owned());
                    }
                }
            }
        }
    }

    fn groundwater(&mut self, soils: &Soils) {
        if let (Some(low_m), Some(high_m)) = (soils.groundwater_low_m, soils.groundwater_m)
            && low_m > high_m
        {
            let rule = format!("must be at most the highest, {high_m}, not {low_m}");
            self.add("soils.groundwater_low_m", rule);
        }
    }

    fn frame(&mut self, site: &Site) {
        if site.format != Site::FORMAT {
            self.add("format", format!("must be {}, not {}", Site::FORMAT, site.format));
        }
        if ![1, 10, 100, 1000].contains(&site.frame.step_um) {
            let read = site.frame.step_um;
            self.add("frame.step_um", format!("must be 1, 10, 100 or 1000, not {read}"));
        }
        for (i, origin) in site.frame.origin_m.iter().enumerate() {
            self.number(&format!("frame.origin_m[{i}]"), *origin, (-1.0e8, 1.0e8));
        }
    }

    fn survey(&mut self, site: &Site) {
        let survey = &site.survey;
        self.number("survey.accuracy_m", survey.accuracy_m, (0.0, 10.0));
        self.ring("survey.boundary", &survey.boundary, 0);
        for (i, void) in survey.voids.iter().enumerate() {
            self.ring(&format!("survey.voids[{i}]"), void, 3);
        }
        survey.levels.iter().for_each(|notes| self.levels(survey, notes));
        if survey.file.contains(['/', '\\']) || survey.file == ".." {
            self.add("survey.file", "must name a file in the site's own folder, without a path");
        }
    }

    fn levels(&mut self, survey: &Survey, notes: &LevelNotes) {
        let permitted = notes.permitted;
        let path = "survey.levels.permitted";
        self.number(&format!("{path}.per_root_km_m"), permitted.per_root_km_m, (0.0, 1.0));
        self.number(&format!("{path}.per_root_set_up_m"), permitted.per_root_set_up_m, (0.0, 1.0));
        for (i, row) in notes.booked().iter().enumerate() {
            let path = format!("survey.levels.rows[{i}]");
            let reading = (-10.0, 10.0);
            for (name, value, range) in [
                ("back_m", row.back_m, reading),
                ("intermediate_m", row.intermediate_m, reading),
                ("fore_m", row.fore_m, reading),
                ("known_m", row.known_m, (-1000.0, 10_000.0)),
                ("distance_m", row.distance_m, (0.001, 10_000.0)),
            ] {
                value.into_iter().for_each(|v| self.number(&format!("{path}.{name}"), v, range));
            }
            self.places(&format!("{path}.at_m"), row.at_m.as_slice());
        }
        // Rows that stand in the survey's file are not read yet when the document is.
        let to_be_read = notes.booked().is_empty() && !survey.file.is_empty();
        if let Err(fault) = notes.set_ups()
            && !to_be_read
        {
            let path = format!("survey.levels.rows[{}]", fault.row);
            self.add(path, format!("{}; read {}", fault.expected, fault.read));
        }
    }

    fn ring(&mut self, path: &str, ring: &[[f64; 2]], least: usize) {
        if ring.len() < 3 && ring.len() != least {
            self.add(path, format!("an outline has three points or more, not {}", ring.len()));
        }
        self.places(path, ring);
        self.simple(path, ring);
    }

    fn simple(&mut self, path: &str, outline: &[[f64; 2]]) {
        if let Some([first, second]) = crossing(outline) {
            let (first, second) = (first + 1, second + 1);
            self.add(
                path,
                format!(
                    "an outline that crosses itself is none: its sides from point {first} and from \
                     point {second} meet"
                ),
            );
        }
    }

    /// The outlines that a work is drawn with.
    fn outlines(&mut self, path: &str, work: &Work) {
        match &work.kind {
            WorkKind::Basin(basin) => {
                self.simple(&format!("{path}.kind.outline"), &basin.outline.points);
                for (i, ring) in basin.rings.iter().enumerate() {
                    if let RingShape::Drawn(drawn) = &ring.shape {
                        self.simple(&format!("{path}.kind.rings[{i}].shape"), &drawn.points);
                    }
                }
            }
            WorkKind::FilterBed(FilterBed { outline, .. })
            | WorkKind::IntakeBay(IntakeBay { outline, .. })
            | WorkKind::Pad(Pad { outline, .. })
            | WorkKind::PlaneGrade(PlaneGrade { outline, .. })
            | WorkKind::Strip(Strip { outline, .. }) => {
                self.simple(&format!("{path}.kind.outline"), &outline.points);
            }
            WorkKind::Stream(stream) => {
                for (i, island) in stream.islands.iter().enumerate() {
                    let path = format!("{path}.kind.islands[{i}].outline");
                    self.simple(&path, &island.outline.points);
                }
            }
            WorkKind::Hill(_) | WorkKind::Wall(_) | WorkKind::Path(_) | WorkKind::Trench(_) => {}
        }
    }

    /// Houses and keep-outs.
    fn kept(&mut self, site: &Site) {
        for (i, house) in site.houses.iter().enumerate() {
            let path = format!("houses[{i}]");
            self.table(&path, house);
            self.simple(&format!("{path}.outline_m"), &house.outline_m);
        }
        for (i, kept) in site.keep_outs.iter().enumerate() {
            let path = format!("keep_outs[{i}]");
            self.table(&path, kept);
            match &kept.kind {
                KeepOutKind::Septic(septic) => {
                    self.simple(&format!("{path}.kind.outline_m"), &septic.outline_m);
                }
                KeepOutKind::BuriedLine(line) => self.runs(&path, &line.line_m),
                KeepOutKind::Boundary(boundary) => self.runs(&path, &boundary.line_m),
                KeepOutKind::Gate(gate) => self.runs(&path, &[gate.from, gate.to]),
                KeepOutKind::Tree(_) | KeepOutKind::Drain(_) => {}
            }
        }
    }

    /// A line that goes nowhere keeps nothing clear.
    fn runs(&mut self, path: &str, line: &[[f64; 2]]) {
        if line.len() >= 2 && line.iter().all(|at| *at == line[0]) {
            self.add(format!("{path}.kind"), "its points all lie on one place".to_owned());
        }
    }

    fn works(&mut self, site: &Site) {
        let mut seen = BTreeSet::new();
        for (i, work) in site.works.iter().enumerate() {
            let path = format!("works[{i}]");
            if work.id.0 == 0 || work.id.0 >= site.next_id {
                let next = site.next_id;
                self.add(format!("{path}.id"), format!("must be 1 to below next_id ({next})"));
            }
            if !seen.insert(work.id) {
                self.add(format!("{path}.id"), format!("{} stands twice", work.id.0));
            }
            self.fields(&path, work);
            self.counts(&path, work);
            self.outlines(&path, work);
            self.references(site, &path, work);
        }
    }

    fn fields(&mut self, path: &str, work: &Work) {
        for field in fields(work) {
            let path = field_path(path, &field.path);
            if let Err(error) = inspect(&field) {
                self.add(path, format!("{error} in {:?}", work.name));
            } else if let FieldValue::Place(Some(at)) = field.value {
                self.places(&path, &[at]);
            }
        }
    }

    fn counts(&mut self, path: &str, work: &Work) {
        match &work.kind {
            WorkKind::Basin(basin) => {
                let n = basin.outline.points.len();
                if !basin.liner_edge_m.is_empty() && basin.liner_edge_m.len() != n {
                    let rule = format!("must hold none or {n}, one for each point of the outline");
                    self.add(format!("{path}.kind.liner_edge_m"), rule);
                }
                for (i, ring) in basin.rings.iter().enumerate() {
                    if let RingShape::Inset { run_m } = &ring.shape {
                        let path = format!("{path}.kind.rings[{i}].shape.run_m");
                        self.one_or_each(&path, run_m.len(), n);
                    }
                }
            }
            WorkKind::Hill(hill) => {
                let n = hill.crest.points.len();
                self.one_or_each(&format!("{path}.kind.crest_m"), hill.crest_m.len(), n);
                self.one_or_each(&format!("{path}.kind.width_m"), hill.width_m.len(), n);
                self.one_or_each(&format!("{path}.kind.left"), hill.left.len(), n);
                self.one_or_each(&format!("{path}.kind.right"), hill.right.len(), n);
            }
            WorkKind::Wall(wall) => {
                let n = wall.line.points.len();
                self.one_or_each(&format!("{path}.kind.top_m"), wall.top_m.len(), n);
            }
            WorkKind::Stream(stream) => {
                self.distances(path, stream);
                self.crests(path, stream);
            }
            WorkKind::Path(walk) => {
                let n = walk.line.points.len();
                self.one_or_each(&format!("{path}.kind.level_m"), walk.level_m.len(), n);
            }
            WorkKind::Trench(trench) => {
                let n = trench.line.points.len();
                self.one_or_each(&format!("{path}.kind.invert_m"), trench.invert_m.len(), n);
            }
            WorkKind::FilterBed(_)
            | WorkKind::IntakeBay(_)
            | WorkKind::Pad(_)
            | WorkKind::PlaneGrade(_)
            | WorkKind::Strip(_) => {}
        }
    }

    fn one_or_each(&mut self, path: &str, count: usize, n_points: usize) {
        if count != 1 && count != n_points {
            let rule = format!("must hold 1 or {n_points}, one for each drawn point, not {count}");
            self.add(path, rule);
        }
    }

    fn distances(&mut self, path: &str, stream: &Stream) {
        let stations = stream.stations.iter().map(|s| s.along_m).collect::<Vec<_>>();
        let falls = stream.falls.iter().map(|f| f.along_m).collect::<Vec<_>>();
        for (name, along) in [("stations", stations), ("falls", falls)] {
            for (i, pair) in along.windows(2).enumerate() {
                if pair[1] <= pair[0] {
                    let path = format!("{path}.kind.{name}[{}].along_m", i + 1);
                    self.add(path, format!("must be above {}, not {}", pair[0], pair[1]));
                }
            }
        }
    }

    fn references(&mut self, site: &Site, path: &str, work: &Work) {
        let mut reference = |field: &str, id: Option<WorkId>, fits: fn(&WorkKind) -> bool, what| {
            let Some(id) = id else { return };
            let path = format!("{path}.kind.{field}");
            match site.work(id) {
                None => self.add(path, format!("there is no work {}", id.0)),
                Some(other) if !fits(&other.kind) => {
                    self.add(path, format!("work {} is no {what}", id.0));
                }
                Some(_) => {}
            }
        };
        let is_basin = |kind: &WorkKind| matches!(kind, WorkKind::Basin(_));
        let is_filter = |kind: &WorkKind| matches!(kind, WorkKind::FilterBed(_));
        match &work.kind {
            WorkKind::Stream(stream) => {
                reference("from", stream.from, is_filter, "filter bed");
                reference("into", stream.into, is_basin, "basin");
            }
            WorkKind::Wall(wall) => reference(
                "holds",
                wall.holds,
                |kind| matches!(kind, WorkKind::Basin(_) | WorkKind::FilterBed(_)),
                "basin or filter bed",
            ),
            WorkKind::Basin(basin) if basin.joins == Some(work.id) => {
                self.add(format!("{path}.kind.joins"), "a basin does not join itself");
            }
            WorkKind::Basin(basin) => reference("joins", basin.joins, is_basin, "basin"),
            WorkKind::Hill(hill) => {
                reference("held_by", hill.held_by, |kind| matches!(kind, WorkKind::Wall(_)), "wall")
            }
            WorkKind::IntakeBay(bay) => reference("from", bay.from, is_basin, "basin"),
            WorkKind::Path(walk) => {
                let across = walk.stones.map(|stones| stones.across);
                reference("stones.across", across, is_basin, "basin");
            }
            WorkKind::FilterBed(_)
            | WorkKind::Pad(_)
            | WorkKind::PlaneGrade(_)
            | WorkKind::Trench(_)
            | WorkKind::Strip(_) => {}
        }
    }
}

/// A work's field in the file: its own name, note, group and visibility stand beside the kind.
fn field_path(work_path: &str, path: &str) -> String {
    match path {
        "name" | "note" | "group" | "visible" => format!("{work_path}.{path}"),
        other => format!("{work_path}.kind.{other}"),
    }
}
