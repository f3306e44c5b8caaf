//! The handles that each kind of work has of its own: levels, depths, widths, slopes and places.

use ground::curve::{Path, contains};
use site::field::Field;
use site::works::{Basin, Floor, Hill, Plane, RingShape, Side, Stream, Wall};
use site::{Work, WorkKind};

use super::super::{closure, flattened};
use super::{Grip, Pull, Stands, main_path};
use site::shape::{Ends, middle};

/// Adds them.
pub(super) fn add(work: &Work, labels: &[Field], grips: &mut Vec<Grip>) {
    let mut hands = Hands { labels, grips };
    let centre = middle(&work.kind);
    match &work.kind {
        WorkKind::Basin(basin) => hands.basin(basin),
        WorkKind::Stream(stream) => hands.stream(work, stream),
        WorkKind::Hill(hill) => hands.hill(hill),
        WorkKind::Wall(wall) => hands.wall(wall),
        WorkKind::FilterBed(bed) => {
            hands.place("lip.at", bed.lip.at);
            hands.level("lip.elevation_m", bed.lip.at, bed.lip.elevation_m);
            hands.depth("depth_m", centre, (bed.lip.elevation_m, bed.depth_m));
        }
        WorkKind::IntakeBay(bay) => {
            hands.place("sill.at", bay.sill.at);
            hands.depth("sill.depth_m", bay.sill.at, (bay.water_level_m, bay.sill.depth_m));
            hands.level("water_level_m", centre, bay.water_level_m);
            hands.depth("depth_m", centre, (bay.water_level_m, bay.depth_m));
        }
        WorkKind::Pad(pad) => hands.plane(&pad.plane),
        WorkKind::PlaneGrade(grade) => hands.plane(&grade.plane),
        WorkKind::Path(path) => {
            hands.levels("level_m", &path.line.points, &path.level_m);
            hands.across(work, "width_m", path.width_m, 2.0);
        }
        WorkKind::Trench(trench) => {
            hands.levels("invert_m", &trench.line.points, &trench.invert_m);
            hands.across(work, "width_m", trench.width_m, 2.0);
        }
        WorkKind::Strip(_) => {}
    }
}

struct Hands<'a> {
    labels: &'a [Field],
    grips: &'a mut Vec<Grip>,
}

impl Hands<'_> {
    fn add(&mut self, path: &str, at: [f64; 2], stands: Stands, pull: Pull) {
        let Some(field) = self.labels.iter().find(|field| field.path == path) else { return };
        let label = field.label.clone();
        self.grips.push(Grip { name: path.to_owned(), label, at, stands, pull });
    }

    fn place(&mut self, path: &str, at: [f64; 2]) {
        self.add(path, at, Stands::OnGround, Pull::Place { path: path.into() });
    }

    fn level(&mut self, path: &str, at: [f64; 2], level_m: f64) {
        let pull = Pull::Rise { path: path.into(), below_m: None };
        self.add(path, at, Stands::At(level_m), pull);
    }

    fn depth(&mut self, path: &str, at: [f64; 2], (below_m, depth_m): (f64, f64)) {
        let pull = Pull::Rise { path: path.into(), below_m: Some(below_m) };
        self.add(path, at, Stands::At(below_m - depth_m), pull);
    }

    /// A level for each drawn point, or one for all at the first.
    fn levels(&mut self, path: &str, points: &[[f64; 2]], levels_m: &[f64]) {
        for (i, (level_m, at)) in levels_m.iter().zip(points).enumerate() {
            self.level(&format!("{path}[{i}]"), *at, *level_m);
        }
    }

    /// A number that is measured along a way, its handle where it ends.
    fn spread(&mut self, path: &str, from: [f64; 2], way: [f64; 2], (number, per_m): (f64, f64)) {
        let at = [0, 1].map(|k| from[k] + way[k] * number / per_m);
        self.add(path, at, Stands::OnGround, Pull::Spread { path: path.into(), from, way, per_m });
    }

    /// A width across the middle of a line, `sides` times the way from it.
    fn across(&mut self, work: &Work, path: &str, width_m: f64, sides: f64) {
        let Some(line) = main_path(work) else { return };
        let amid = line.at_station(0.5 * line.length_m());
        let left = [-amid.tangent[1], amid.tangent[0]];
        self.spread(path, amid.at, left, (width_m, sides));
    }

    fn plane(&mut self, plane: &Plane) {
        self.place("plane.at", plane.at);
        self.place("plane.toward", plane.toward);
        self.level("plane.level_m", plane.at, plane.level_m);
    }

    fn basin(&mut self, basin: &Basin) {
        let ring = flattened(&basin.outline, Ends::Closed);
        let Ok(path) = Path::new(&ring, closure(Ends::Closed)) else { return };
        let inward = |share: f64| {
            let on = path.at_station(share * path.length_m());
            let left = [-on.tangent[1], on.tangent[0]];
            let inside = [0, 1].map(|k| on.at[k] + 0.01 * left[k]);
            let turn = if contains(&ring, inside) { 1.0 } else { -1.0 };
            (on.at, left.map(|c| c * turn))
        };
        self.level("water_level_m", inward(0.0).0, basin.water_level_m);
        let (at, inside) = inward(0.125);
        self.spread("rim_width_m", at, inside.map(|c| -c), (basin.rim_width_m, 1.0));
        let n_rings = basin.rings.len().max(1) as f64;
        let mut run_m = 0.0;
        for (i, shelf) in basin.rings.iter().enumerate() {
            let share = 0.25 + 0.7 * i as f64 / n_rings;
            let (edge, inside) = inward(share);
            if let RingShape::Inset { run_m: runs } = &shelf.shape {
                let mean_m = runs.iter().sum::<f64>() / runs.len().max(1) as f64;
                let from = [0, 1].map(|k| edge[k] + inside[k] * run_m);
                if let [one_m] = runs[..] {
                    let path = format!("rings[{i}].shape.run_m[0]");
                    self.spread(&path, from, inside, (one_m, 1.0));
                }
                run_m += mean_m;
            }
            let (edge, inside) = inward(share + 0.3 / n_rings);
            let at = [0, 1].map(|k| edge[k] + inside[k] * run_m);
            let path = format!("rings[{i}].depth_m");
            self.depth(&path, at, (basin.water_level_m, shelf.depth_m));
        }
        match &basin.floor {
            Floor::Sump { at, depth_m, .. } => {
                self.place("floor.at", *at);
                self.depth("floor.depth_m", *at, (basin.water_level_m, *depth_m));
            }
            Floor::Level => {}
        }
        if let Some(at) = basin.overflow {
            self.place("overflow", at);
        }
    }

    fn stream(&mut self, work: &Work, stream: &Stream) {
        let Some(line) = main_path(work) else { return };
        for (i, station) in stream.stations.iter().enumerate() {
            let on = line.at_station(station.along_m);
            self.level(&format!("stations[{i}].invert_m"), on.at, station.invert_m);
            let left = [-on.tangent[1], on.tangent[0]];
            let path = format!("stations[{i}].bed_width_m");
            self.spread(&path, on.at, left, (station.bed_width_m, 2.0));
        }
        for (i, fall) in stream.falls.iter().enumerate() {
            let on = line.at_station(fall.along_m);
            let left = [-on.tangent[1], on.tangent[0]];
            let aside = |way: f64| [0, 1].map(|k| on.at[k] + left[k] * way);
            let path = format!("falls[{i}].along_m");
            self.add(&path, on.at, Stands::OnGround, Pull::Along { path: path.clone() });
            let across = 0.5 * fall.crest_width_m;
            self.level(&format!("falls[{i}].crest_m"), aside(across), fall.crest_m);
            let drop = (fall.crest_m, fall.drop_m);
            self.depth(&format!("falls[{i}].drop_m"), aside(-across), drop);
        }
    }

    fn hill(&mut self, hill: &Hill) {
        let points = &hill.crest.points;
        self.levels("crest_m", points, &hill.crest_m);
        let line = flattened(&hill.crest, Ends::Open);
        let path = Path::new(&line, closure(Ends::Open)).ok();
        let way = |at: [f64; 2]| {
            let on = path.as_ref().map(|path| path.at_station(path.nearest(at).station_m));
            on.map_or([0.0, 1.0], |on| [-on.tangent[1], on.tangent[0]])
        };
        for (i, (width_m, at)) in hill.width_m.iter().zip(points).enumerate() {
            self.spread(&format!("width_m[{i}]"), *at, way(*at), (*width_m, 2.0));
        }
        for (side, flanks, turn) in [("left", &hill.left, 1.0), ("right", &hill.right, -1.0)] {
            for (i, (flank, at)) in flanks.iter().zip(points).enumerate() {
                let half = 0.5 * hill.width_m.get(i).or(hill.width_m.first()).unwrap_or(&0.0);
                let way = way(*at).map(|c| c * turn);
                let from = [0, 1].map(|k| at[k] + way[k] * half);
                // A whisker down the flank for half a metre of fall.
                let path = format!("{side}[{i}].run_per_rise");
                self.spread(&path, from, way, (flank.run_per_rise, 2.0));
            }
        }
    }

    fn wall(&mut self, wall: &Wall) {
        self.levels("top_m", &wall.line.points, &wall.top_m);
        let line = flattened(&wall.line, Ends::Open);
        let Ok(path) = Path::new(&line, closure(Ends::Open)) else { return };
        let amid = path.at_station(0.5 * path.length_m());
        let turn = if wall.retains == Side::Left { 1.0 } else { -1.0 };
        let behind = [-amid.tangent[1] * turn, amid.tangent[0] * turn];
        self.spread("thickness_m", amid.at, behind, (wall.thickness_m, 1.0));
    }
}
