//! What a place that a hand points at is drawn to.

use std::collections::BTreeSet;

use ground::curve::Path;
use site::shape::{Ends, lines};
use site::{Site, Work, WorkId, WorkKind};

use super::{apart, closure, flattened};

/// Something that a place can be drawn to; each can be switched.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Snap {
    /// Surveyed points.
    Survey,
    /// Breaklines of the survey.
    Breaklines,
    /// Points and edges of other works, and of houses.
    Works,
    /// Straight on and at right angles to the piece before.
    RightAngles,
    /// Even lengths from the point before.
    Lengths,
    /// Levels of works: a lip, a water, a wall's top.
    Levels,
}

/// Which of them are on.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Snaps(BTreeSet<Snap>);

/// What a place was drawn to.
#[derive(Clone, Debug, PartialEq)]
pub enum Target {
    /// A point: its name, and its level where that is known.
    Point {
        /// What it is called.
        name: String,
        /// Its level, metres.
        level_m: Option<f64>,
    },
    /// The nearest place of a line.
    Line {
        /// What it is called.
        name: String,
        /// The piece on which the place lies.
        piece: [[f64; 2]; 2],
    },
    /// Straight on or square to the piece before; perhaps at an even length too.
    Square {
        /// The point from which it runs.
        from: [f64; 2],
    },
    /// An even length.
    Length {
        /// Metres.
        length_m: f64,
    },
}

/// A place, and what it was drawn to.
#[derive(Clone, Debug, PartialEq)]
pub struct Snapped {
    /// Local metres.
    pub at: [f64; 2],
    /// Nothing where the place is the hand's own.
    pub to: Option<Target>,
}

/// Where a hand points.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Wish {
    /// Local metres.
    pub at: [f64; 2],
    /// How near something must lie to draw the place, metres.
    pub reach_m: f64,
    /// The point before, if there is one, and the one before that.
    pub before: [Option<[f64; 2]>; 2],
    /// The step of even lengths, metres.
    pub step_m: f64,
}

/// A level that others may be made equal to.
#[derive(Clone, Debug, PartialEq)]
pub struct LevelMark {
    /// What it is: "the lip of Planted filter".
    pub name: String,
    /// Metres.
    pub level_m: f64,
}

/// Everything on a site to which a hand may be drawn.
#[derive(Clone, Debug, Default)]
pub struct Targets {
    points: Vec<(Snap, String, [f64; 2], Option<f64>)>,
    lines: Vec<(Snap, String, Path)>,
    levels: Vec<LevelMark>,
}

impl Snap {
    /// All of them, in the order of their switches.
    pub const ALL: [Self; 6] = [
        Self::Survey,
        Self::Breaklines,
        Self::Works,
        Self::RightAngles,
        Self::Lengths,
        Self::Levels,
    ];
}

impl Default for Snaps {
    /// Even lengths are asked for, all else is on.
    fn default() -> Self {
        Self(Snap::ALL.into_iter().filter(|snap| *snap != Snap::Lengths).collect())
    }
}

impl Snaps {
    /// None at all.
    pub fn none() -> Self {
        Self(BTreeSet::new())
    }

    /// Whether this one is on.
    pub fn is_on(&self, snap: Snap) -> bool {
        self.0.contains(&snap)
    }

    /// Turns one on or off.
    pub fn turn(&mut self, snap: Snap) {
        if !self.0.remove(&snap) {
            self.0.insert(snap);
        }
    }
}

impl Targets {
    /// Collects them from a site; `held` is the work in the hand, which is not drawn to itself.
    pub fn of(site: &Site, held: Option<WorkId>) -> Self {
        let mut targets = Self::default();
        targets.survey(site);
        for work in site.works.iter().filter(|work| Some(work.id) != held && work.visible) {
            targets.work(work);
        }
        for house in &site.houses {
            targets.ring(&house.name, &house.outline_m);
            targets.level(format!("the floor of {}", house.name), house.floor_m);
        }
        targets
    }

    /// The place to which a wish is drawn.
    ///
    /// A point goes before a line, a line before an angle, an angle before a length alone.
    pub fn snap(&self, wish: &Wish, snaps: &Snaps) -> Snapped {
        let point = self
            .points
            .iter()
            .filter(|(snap, ..)| snaps.is_on(*snap))
            .map(|point| (apart(point.2, wish.at), point))
            .filter(|(away, _)| *away <= wish.reach_m)
            .min_by(|a, b| a.0.total_cmp(&b.0));
        if let Some((_, (_, name, at, level_m))) = point {
            return Snapped {
                at: *at,
                to: Some(Target::Point { name: name.clone(), level_m: *level_m }),
            };
        }
        self.on_line(wish, snaps)
            .or_else(|| square(wish, snaps))
            .unwrap_or_else(|| even(wish, snaps))
    }

    /// The level to which another is drawn, within `reach_m`.
    pub fn snap_level(&self, level_m: f64, reach_m: f64, snaps: &Snaps) -> Option<&LevelMark> {
        if !snaps.is_on(Snap::Levels) {
            return None;
        }
        let away = |mark: &&LevelMark| (mark.level_m - level_m).abs();
        self.levels
            .iter()
            .filter(|mark| away(mark) <= reach_m)
            .min_by(|a, b| away(a).total_cmp(&away(b)))
    }

    fn on_line(&self, wish: &Wish, snaps: &Snaps) -> Option<Snapped> {
        let lines = self.lines.iter().filter(|(snap, ..)| snaps.is_on(*snap));
        let (nearest, name, path) = lines
            .map(|(_, name, path)| (path.nearest(wish.at), name, path))
            .filter(|(nearest, ..)| nearest.distance_m <= wish.reach_m)
            .min_by(|a, b| a.0.distance_m.total_cmp(&b.0.distance_m))?;
        let at = nearest.at;
        // The far end of an open line lies on its last piece.
        let points = path.points();
        let n_pieces = path.stations_m().len().saturating_sub(1).max(1);
        let i = (nearest.parameter.max(0.0) as usize).min(n_pieces - 1);
        let piece = [points[i % points.len()], points[(i + 1) % points.len()]];
        Some(Snapped { at, to: Some(Target::Line { name: name.clone(), piece }) })
    }

    fn survey(&mut self, site: &Site) {
        let survey = &site.survey;
        let points = survey.points.iter().filter(|point| !survey.set_aside.contains(&point.name));
        for point in points {
            let [x, y, z] = point.at_m;
            self.points.push((Snap::Survey, format!("point {}", point.name), [x, y], Some(z)));
        }
        for line in survey.breaklines.iter().chain(&survey.code_lines()) {
            let places: Vec<[f64; 2]> = line.points_m.iter().map(|&[x, y, _]| [x, y]).collect();
            if let Ok(path) = Path::new(&places, closure(Ends::Open)) {
                self.lines.push((Snap::Breaklines, format!("breakline {}", line.code), path));
            }
        }
    }

    fn work(&mut self, work: &Work) {
        for line in lines(&work.kind) {
            for at in &line.curve.points {
                self.points.push((Snap::Works, work.name.clone(), *at, None));
            }
            let drawn = flattened(line.curve, line.ends);
            if let Ok(path) = Path::new(&drawn, closure(line.ends)) {
                self.lines.push((Snap::Works, work.name.clone(), path));
            }
        }
        self.levels_of(work);
    }

    fn ring(&mut self, name: &str, ring: &[[f64; 2]]) {
        for at in ring {
            self.points.push((Snap::Works, name.to_owned(), *at, None));
        }
        if let Ok(path) = Path::new(ring, closure(Ends::Closed)) {
            self.lines.push((Snap::Works, name.to_owned(), path));
        }
    }

    fn level(&mut self, name: String, level_m: f64) {
        self.levels.push(LevelMark { name, level_m });
    }

    fn levels_of(&mut self, work: &Work) {
        let name = &work.name;
        match &work.kind {
            WorkKind::Basin(basin) => {
                self.level(format!("the water of {name}"), basin.water_level_m);
                let edge = format!("the liner edge of {name}");
                match basin.liner_edge_m[..] {
                    [] => self.level(edge, basin.water_level_m + basin.freeboard_m),
                    ref drawn => self.each(&edge, drawn),
                }
            }
            WorkKind::FilterBed(bed) => {
                self.level(format!("the lip of {name}"), bed.lip.elevation_m);
            }
            WorkKind::IntakeBay(bay) => {
                self.level(format!("the water of {name}"), bay.water_level_m);
            }
            WorkKind::Stream(stream) => {
                if let (Some(head), Some(mouth)) = (stream.stations.first(), stream.stations.last())
                {
                    self.level(format!("the head of {name}"), head.invert_m);
                    self.level(format!("the mouth of {name}"), mouth.invert_m);
                }
                for fall in &stream.falls {
                    self.level(format!("a crest of {name}"), fall.crest_m);
                }
            }
            WorkKind::Wall(wall) => self.each(&format!("the top of {name}"), &wall.top_m),
            WorkKind::Hill(hill) => self.each(&format!("the crest of {name}"), &hill.crest_m),
            WorkKind::Path(path) => self.each(name, &path.level_m),
            WorkKind::Pad(pad) => self.level(name.clone(), pad.plane.level_m),
            WorkKind::PlaneGrade(grade) => self.level(name.clone(), grade.plane.level_m),
            WorkKind::Trench(_) | WorkKind::Strip(_) => {}
        }
    }

    fn each(&mut self, name: &str, levels_m: &[f64]) {
        levels_m.iter().for_each(|level_m| self.level(name.to_owned(), *level_m));
    }
}

/// Straight on, back, or square to the piece before; without one, due north or east.
fn square(wish: &Wish, snaps: &Snaps) -> Option<Snapped> {
    let from = wish.before[0].filter(|_| snaps.is_on(Snap::RightAngles))?;
    let way = match wish.before[1] {
        Some(earlier) => {
            let length = apart(from, earlier);
            if length == 0.0 {
                return None;
            }
            [(from[0] - earlier[0]) / length, (from[1] - earlier[1]) / length]
        }
        None => [1.0, 0.0],
    };
    let off = [wish.at[0] - from[0], wish.at[1] - from[1]];
    let along = off[0] * way[0] + off[1] * way[1];
    let aside = way[0] * off[1] - way[1] * off[0];
    // Near the point itself every direction is near.
    if along.abs().max(aside.abs()) < 2.0 * wish.reach_m {
        return None;
    }
    let (run, way) = if aside.abs() <= wish.reach_m {
        (along, way)
    } else if along.abs() <= wish.reach_m {
        (aside, [-way[1], way[0]])
    } else {
        return None;
    };
    let run = if snaps.is_on(Snap::Lengths) { stepped(run, wish.step_m) } else { run };
    let at = [0, 1].map(|k| from[k] + way[k] * run);
    Some(Snapped { at, to: Some(Target::Square { from }) })
}

/// An even length from the point before, in the hand's own direction.
fn even(wish: &Wish, snaps: &Snaps) -> Snapped {
    let own = Snapped { at: wish.at, to: None };
    let Some(from) = wish.before[0].filter(|_| snaps.is_on(Snap::Lengths)) else { return own };
    let length = apart(from, wish.at);
    let even = stepped(length, wish.step_m);
    if length == 0.0 || even == 0.0 {
        return own;
    }
    let at = [0, 1].map(|k| from[k] + (wish.at[k] - from[k]) * even / length);
    Snapped { at, to: Some(Target::Length { length_m: even }) }
}

fn stepped(length: f64, step: f64) -> f64 {
    if step > 0.0 { (length / step).round() * step } else { length }
}
