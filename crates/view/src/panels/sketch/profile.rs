//! The section of each kind of work, in metres, and where its chief dimensions stand on it.

mod held;
mod laid;

use site::WorkKind;
use site::works::{Basin, FilterBed, Floor, Hill, RingShape, Stream};

/// A section to draw: distances across and heights, in metres.
pub(crate) struct Profile {
    pub lines: Vec<Line>,
    /// The wetted line from left to right, and the water's level.
    pub water: Option<(Vec<[f64; 2]>, f64)>,
    pub dimensions: Vec<Dimension>,
}

/// A line of the section.
pub(crate) enum Line {
    Finished(Vec<[f64; 2]>),
    Existing(Vec<[f64; 2]>),
    Stone(Vec<[f64; 2]>),
    Water(Vec<[f64; 2]>),
}

/// A stored number at its place on the section.
pub(crate) struct Dimension {
    /// The field's path.
    pub path: String,
    /// The ends of its whisker.
    pub from: [f64; 2],
    pub to: [f64; 2],
    /// The middle of its field, where it stands beside.
    pub at: [f64; 2],
    /// Where the field stands.
    pub stand: Stand,
}

/// Where a dimension's field stands.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Stand {
    /// On the drawing.
    Beside,
    /// In a row below it, at the end of a fine line.
    Below,
}

impl Profile {
    /// Least and greatest across and up.
    pub(crate) fn extent(&self) -> ([f64; 2], [f64; 2]) {
        let mut low = [f64::INFINITY; 2];
        let mut high = [f64::NEG_INFINITY; 2];
        for line in &self.lines {
            let (Line::Finished(points)
            | Line::Existing(points)
            | Line::Stone(points)
            | Line::Water(points)) = line;
            for point in points {
                for axis in 0..2 {
                    low[axis] = low[axis].min(point[axis]);
                    high[axis] = high[axis].max(point[axis]);
                }
            }
        }
        if low[0] > high[0] { ([0.0; 2], [1.0; 2]) } else { (low, high) }
    }
}

/// The section of a work.
pub(crate) fn of(kind: &WorkKind) -> Profile {
    match kind {
        WorkKind::Basin(basin) => of_basin(basin),
        WorkKind::Stream(stream) => of_stream(stream),
        WorkKind::Hill(hill) => of_hill(hill),
        WorkKind::Wall(wall) => held::of_wall(wall),
        WorkKind::FilterBed(filter) => of_filter(filter),
        WorkKind::IntakeBay(bay) => laid::of_bay(bay),
        WorkKind::Pad(pad) => laid::of_plane(&pad.plane, [pad.cut_bank, pad.fill_bank]),
        WorkKind::PlaneGrade(grade) => {
            laid::of_plane(&grade.plane, [grade.cut_bank, grade.fill_bank])
        }
        WorkKind::Path(path) => laid::of_path(path),
        WorkKind::Trench(trench) => laid::of_trench(trench),
        WorkKind::Strip(_) => laid::of_strip(),
    }
}

/// From the rim on the left down over the shelves to the floor, cut off past the middle.
fn of_basin(basin: &Basin) -> Profile {
    let edge = basin.freeboard_m;
    let rim = basin.rim_width_m.max(0.1);
    let mut line =
        vec![[-rim - 0.5 * basin.cut_bank.min(4.0), edge + 0.5], [-rim, edge], [0.0, edge]];
    let mut across = 0.0;
    let mut dimensions = Vec::new();
    for (idx, ring) in basin.rings.iter().enumerate() {
        let run = match &ring.shape {
            RingShape::Inset { run_m } => mean(run_m, 0.5),
            RingShape::Drawn(_) => 0.6,
        };
        across += run;
        line.push([across, -ring.depth_m]);
        dimensions.push(vertical(format!("rings[{idx}].depth_m"), across, [-ring.depth_m, 0.0]));
    }
    let depth = basin.rings.last().map_or(0.5, |ring| ring.depth_m);
    let wide = (across * 0.8).max(0.8);
    match basin.floor {
        Floor::Level => line.push([across + wide, -depth]),
        Floor::Sump { radius_m, depth_m, .. } => {
            line.push([across + 0.6 * wide, -depth_m]);
            line.push([across + 0.6 * wide + radius_m.min(wide), -depth_m]);
            dimensions.push(vertical(
                "floor.depth_m".into(),
                across + 0.6 * wide + 0.5 * radius_m.min(wide),
                [-depth_m, 0.0],
            ));
        }
    }
    dimensions.push(Dimension {
        path: "freeboard_m".into(),
        from: [-0.3 * rim, 0.0],
        to: [-0.3 * rim, edge],
        at: [-0.9 * rim, edge + 0.30],
        stand: Stand::Beside,
    });
    let wet = wetted(&line, 0.0);
    Profile { lines: vec![Line::Finished(line)], water: Some((wet, 0.0)), dimensions }
}

/// Along the line from head to mouth: the bed with its falls.
fn of_stream(stream: &Stream) -> Profile {
    let mut marks: Vec<[f64; 2]> = Vec::new();
    let mut stations = stream.stations.clone();
    stations.sort_by(|a, b| a.along_m.total_cmp(&b.along_m));
    for station in &stations {
        marks.push([station.along_m, station.invert_m]);
    }
    let mut dimensions = Vec::new();
    for (idx, fall) in stream.falls.iter().enumerate() {
        marks.push([fall.along_m - 1e-6, fall.crest_m]);
        marks.push([fall.along_m + 1e-6, fall.crest_m - fall.drop_m]);
        dimensions.push(vertical(
            format!("falls[{idx}].drop_m"),
            fall.along_m,
            [fall.crest_m - fall.drop_m, fall.crest_m],
        ));
    }
    marks.sort_by(|a, b| a[0].total_cmp(&b[0]));
    if marks.len() < 2 {
        marks = vec![[0.0, 0.0], [1.0, 0.0]];
    }
    let water = marks.iter().map(|p| [p[0], p[1] + stream.water_depth_m]).collect();
    Profile { lines: vec![Line::Finished(marks), Line::Water(water)], water: None, dimensions }
}

/// Across the crest: both flanks down to one level.
fn of_hill(hill: &Hill) -> Profile {
    let crest = hill.crest_m.iter().copied().fold(f64::NEG_INFINITY, f64::max);
    let crest = if crest.is_finite() { crest } else { 1.0 };
    let half = 0.5 * mean(&hill.width_m, 1.0);
    // The ground that it meets is not stored; the sketch shows a fall of one and a half metres.
    let fall = 1.5;
    let side = |flanks: &[site::works::Flank]| flanks.first().copied();
    let run = |flanks: &[site::works::Flank]| {
        side(flanks).map_or(4.5, |f| fall * f.run_per_rise + f.shoulder_m * 0.5 + f.toe_m * 0.5)
    };
    let (left, right) = (run(&hill.left), run(&hill.right));
    let shoulder = |flanks: &[site::works::Flank]| side(flanks).map_or(0.3, |f| f.shoulder_m);
    let (ls, rs) = (shoulder(&hill.left), shoulder(&hill.right));
    let toe = crest - fall;
    let line = vec![
        [-half - left - 0.5, toe],
        [-half - left, toe + 0.02],
        [-half - ls, crest - 0.5 * ls / hill.left.first().map_or(3.0, |f| f.run_per_rise).max(0.1)],
        [-half, crest],
        [half, crest],
        [half + rs, crest - 0.5 * rs / hill.right.first().map_or(3.0, |f| f.run_per_rise).max(0.1)],
        [half + right, toe + 0.02],
        [half + right + 0.5, toe],
    ];
    let ground = vec![[-half - left - 0.5, toe], [half + right + 0.5, toe]];
    let flank = |path: &str, sign: f64, run: f64| Dimension {
        path: path.into(),
        from: [sign * (half + 0.35 * run), crest - 0.35 * fall],
        to: [sign * (half + 0.75 * run), crest - 0.75 * fall],
        at: [sign * (half + 0.62 * run), crest - 0.22 * fall],
        stand: Stand::Beside,
    };
    let dimensions = vec![
        flank("left[0].run_per_rise", -1.0, left),
        flank("right[0].run_per_rise", 1.0, right),
        Dimension {
            path: "width_m[0]".into(),
            from: [-half, crest + 0.08],
            to: [half, crest + 0.08],
            at: [0.0, crest + 0.30],
            stand: Stand::Beside,
        },
        Dimension {
            path: "crest_m[0]".into(),
            from: [0.0, toe],
            to: [0.0, crest],
            at: [0.0, toe + 0.4 * fall],
            stand: Stand::Beside,
        },
    ];
    Profile { lines: vec![Line::Existing(ground), Line::Finished(line)], water: None, dimensions }
}

/// Across the filter: rim, floor, gravel and the lip.
fn of_filter(filter: &FilterBed) -> Profile {
    let (depth, rim) = (filter.depth_m, filter.rim_width_m.max(0.1));
    let run = filter.side * (depth + filter.freeboard_m);
    let wide = 1.6;
    let line = vec![
        [-rim - 0.5, filter.freeboard_m - 0.25],
        [-rim, filter.freeboard_m],
        [0.0, filter.freeboard_m],
        [run, -depth],
        [run + wide, -depth],
        [run + wide + filter.side * depth, 0.0],
        [run + wide + filter.side * depth + rim, 0.0],
        [run + wide + filter.side * depth + rim + 0.1, -0.35],
    ];
    let gravel = -filter.gravel_below_lip_m;
    let middle = run + 0.5 * wide;
    let dimensions = vec![
        vertical("depth_m".into(), middle, [-depth, 0.0]),
        Dimension {
            path: "freeboard_m".into(),
            from: [-0.5 * rim, 0.0],
            to: [-0.5 * rim, filter.freeboard_m],
            at: [-0.5 * rim, filter.freeboard_m + 0.14],
            stand: Stand::Beside,
        },
        Dimension {
            path: "lip.elevation_m".into(),
            from: [run + wide + filter.side * depth, 0.03],
            to: [run + wide + filter.side * depth + rim, 0.03],
            at: [run + wide + filter.side * depth, 0.17],
            stand: Stand::Beside,
        },
    ];
    let top = vec![[run * 0.3, gravel], [run + wide + filter.side * depth, gravel]];
    let wet = wetted(&line, 0.0);
    Profile {
        lines: vec![Line::Finished(line), Line::Existing(top)],
        water: Some((wet, 0.0)),
        dimensions,
    }
}

fn vertical(path: String, across: f64, heights: [f64; 2]) -> Dimension {
    Dimension {
        path,
        from: [across, heights[0]],
        to: [across, heights[1]],
        at: [across, 0.5 * (heights[0] + heights[1])],
        stand: Stand::Below,
    }
}

/// The part of a line that lies under a level, cut where it crosses it.
fn wetted(line: &[[f64; 2]], level: f64) -> Vec<[f64; 2]> {
    let mut wet = Vec::new();
    for pair in line.windows(2) {
        let (a, b) = (pair[0], pair[1]);
        if a[1] <= level {
            wet.push(a);
        }
        if (a[1] - level) * (b[1] - level) < 0.0 {
            let t = (level - a[1]) / (b[1] - a[1]);
            wet.push([a[0] + (b[0] - a[0]) * t, level]);
        }
    }
    wet.extend(line.last().filter(|p| p[1] <= level));
    wet
}

fn mean(values: &[f64], otherwise: f64) -> f64 {
    if values.is_empty() { otherwise } else { values.iter().sum::<f64>() / values.len() as f64 }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn water_fills_a_bowl_from_shore_to_shore() {
        let bowl = [[0.0, 1.0], [1.0, -1.0], [2.0, -1.0], [3.0, 1.0]];
        assert_eq!(wetted(&bowl, 0.0), [[0.5, 0.0], [1.0, -1.0], [2.0, -1.0], [2.5, 0.0]]);
    }
}
