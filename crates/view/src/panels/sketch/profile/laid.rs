//! Sections of bays, pads, lawns, paths, trenches and strips.

use site::works::{IntakeBay, Path, Plane, Trench};

use super::{Dimension, Line, Profile, Stand, vertical, wetted};

/// From the rim down to the floor, and up to the sill on the pond's side.
pub(super) fn of_bay(bay: &IntakeBay) -> Profile {
    let (edge, depth, sill) = (bay.freeboard_m, bay.depth_m, bay.sill.depth_m);
    let rim = bay.rim_width_m.max(0.1);
    let run = bay.side * (depth + edge);
    let (wide, far) = (0.9, bay.side * (depth - sill).max(0.0));
    let line = vec![
        [-rim - 0.4, edge + 0.2],
        [-rim, edge],
        [0.0, edge],
        [run, -depth],
        [run + wide, -depth],
        [run + wide + far, -sill],
        [run + wide + far + rim, -sill],
        [run + wide + far + rim + 0.5, -sill - 0.3],
    ];
    let middle = run + 0.5 * wide;
    let dimensions = vec![
        vertical("depth_m".into(), middle, [-depth, 0.0]),
        vertical("sill.depth_m".into(), run + wide + far + 0.5 * rim, [-sill, 0.0]),
        beside("freeboard_m", [-0.5 * rim, 0.0], [-0.5 * rim, edge], [-0.5 * rim, edge + 0.14]),
    ];
    let wet = wetted(&line, 0.0);
    Profile { lines: vec![Line::Finished(line)], water: Some((wet, 0.0)), dimensions }
}

/// Along the fall, from the bank above to the bank below.
pub(super) fn of_plane(plane: &Plane, [cut, fill]: [f64; 2]) -> Profile {
    let (half, height) = (1.6, 0.35);
    let drop = plane.fall * half;
    let line = vec![
        [-half - height * cut.min(4.0), drop + height],
        [-half, drop],
        [half, -drop],
        [half + height * fill.min(4.0), -drop - height],
    ];
    let ground = vec![line[0], line[3]];
    let dimensions = vec![
        below("plane.level_m", [0.0, -0.01], [0.0, 0.01]),
        below("plane.fall", [0.2, -0.2 * plane.fall], [0.9 * half, -0.9 * half * plane.fall]),
        beside("cut_bank", line[0], line[1], [0.4 - half, drop + 0.7 * height]),
        beside("fill_bank", line[2], line[3], [half - 0.4, -drop - 0.7 * height]),
    ];
    Profile { lines: vec![Line::Existing(ground), Line::Finished(line)], water: None, dimensions }
}

/// Along the path: a ramp and three steps of its rule.
pub(super) fn of_path(path: &Path) -> Profile {
    let riser = path.steps.riser_m;
    let tread = path.steps.two_risers_and_tread_m - 2.0 * riser;
    let ramp = 1.0;
    let mut line = vec![[0.0, 0.0], [ramp, path.largest_grade * ramp]];
    for _ in 0..3 {
        let [across, up] = line[line.len() - 1];
        line.push([across, up + riser]);
        line.push([across + tread, up + riser]);
    }
    let foot = path.largest_grade * ramp;
    let dimensions = vec![
        beside("largest_grade", [0.1, 0.0], [ramp, foot], [0.5 * ramp, foot + 0.2]),
        vertical("steps.riser_m".into(), ramp, [foot, foot + riser]),
    ];
    Profile { lines: vec![Line::Finished(line)], water: None, dimensions }
}

/// Across the trench: its sides, the bedding and the pipe.
pub(super) fn of_trench(trench: &Trench) -> Profile {
    // The ground over it is not stored; the sketch shows one of seven tenths of a metre.
    let cover = 0.7;
    let (half, bed) = (0.5 * trench.width_m, trench.bedding_m);
    let depth = cover + bed;
    let top = half + trench.side * depth;
    let hole = vec![
        [-top - 0.5, 0.0],
        [-top, 0.0],
        [-half, -depth],
        [half, -depth],
        [top, 0.0],
        [top + 0.5, 0.0],
    ];
    let radius = 0.5 * trench.pipe_m;
    let pipe = (0..=16)
        .map(|i| {
            let (sin, cos) = libm::sincos(f64::from(i) / 16.0 * std::f64::consts::TAU);
            [radius * cos, -cover + radius + radius * sin]
        })
        .collect();
    let bedding = vec![[-half, -cover], [half, -cover]];
    let dimensions = vec![
        below("width_m", [-half, -depth], [half, -depth]),
        below("pipe_m", [-radius, -cover + radius], [radius, -cover + radius]),
        below("bedding_m", [half, -depth], [half, -cover]),
        beside("side", [half, -depth], [top, 0.0], [top + 0.28, -0.5 * depth]),
    ];
    let lines = vec![Line::Finished(hole), Line::Existing(bedding), Line::Stone(pipe)];
    Profile { lines, water: None, dimensions }
}

/// Ground with its topsoil off.
pub(super) fn of_strip() -> Profile {
    let depth = 0.15;
    let line =
        vec![[-1.6, 0.0], [-1.0, 0.0], [-1.0, -depth], [1.0, -depth], [1.0, 0.0], [1.6, 0.0]];
    let ground = vec![[-1.6, 0.0], [1.6, 0.0]];
    let lines = vec![Line::Existing(ground), Line::Finished(line)];
    Profile { lines, water: None, dimensions: Vec::new() }
}

fn below(path: &str, from: [f64; 2], to: [f64; 2]) -> Dimension {
    Dimension { path: path.into(), from, to, at: from, stand: Stand::Below }
}

fn beside(path: &str, from: [f64; 2], to: [f64; 2], at: [f64; 2]) -> Dimension {
    Dimension { path: path.into(), from, to, at, stand: Stand::Beside }
}
