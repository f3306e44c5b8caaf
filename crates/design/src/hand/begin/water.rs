//! Ponds, streams, filters and intake bays.

use ground::curve::{self, Closure, Path, contains};
use site::WorkId;
use site::shape::Ends;
use site::works::{
    Basin, BasinRing, BuildUp, Fall, FilterBed, Floor, IntakeBay, Lip, RingShape, Sill, Station,
    Stream, WorkKind,
};

use super::super::{apart, flattened};
use super::{Begin, lined, set_out};

/// Height of a liner's edge above still water, metres; common practice.
const FREEBOARD_M: f64 = 0.1;

/// How near a stream's end lies to what it joins, metres.
const JOINS_M: f64 = 1.5;

/// From how far a bay draws from a pond, metres: its channel leads through the rim, not across a garden.
const DRAWS_M: f64 = 4.0;

/// Fall of a stream's bed between its falls: 3 in 100.
const BED_FALL: f64 = 0.03;

/// Highest single fall at the beginning, metres.
const HIGHEST_FALL_M: f64 = 0.45;

/// Runs in and depths of a pond with two plant shelves: bank, shelf, bank, shelf, bank.
const SHELVES: [[f64; 2]; 5] =
    [[0.25, 0.25], [0.35, 0.28], [0.20, 0.52], [0.35, 0.55], [0.25, 0.85]];

impl Begin<'_> {
    /// A pond whose liner's edge stands at the lowest ground of its outline: nothing is dammed up.
    pub(super) fn basin(&mut self) -> WorkKind {
        let edge_m = set_out(self.lowest_m());
        WorkKind::Basin(Basin {
            rings: self.rings(),
            outline: std::mem::take(&mut self.curve),
            water_level_m: set_out(edge_m - FREEBOARD_M),
            freeboard_m: FREEBOARD_M,
            liner_edge_m: Vec::new(),
            overflow: None,
            overflow_width_m: None,
            overflow_m: None,
            rim_width_m: 0.45,
            cut_bank: 2.5,
            fill_bank: 3.0,
            floor: Floor::Level,
            joins: None,
            rim_build_up: lined(),
            build_up: lined(),
            bank_build_up: self.topsoil(),
        })
    }

    /// Two shelves where there is room, else one bank down to a floor.
    fn rings(&self) -> Vec<BasinRing> {
        let ring = flattened(&self.curve, Ends::Closed);
        // Half the width of a long outline, and the radius of a round one.
        let around_m = curve::length_m(&ring, Closure::Closed).max(1e-6);
        let room_m = 2.0 * curve::signed_area_m2(&ring).abs() / around_m;
        let of = |run_m: f64, depth_m: f64| BasinRing {
            shape: RingShape::Inset { run_m: vec![run_m] },
            depth_m,
            build_up: lined(),
        };
        let all_m: f64 = SHELVES.iter().map(|[run_m, _]| run_m).sum();
        if room_m > 1.1 * all_m {
            SHELVES.iter().map(|[run_m, depth_m]| of(*run_m, *depth_m)).collect()
        } else {
            let run_m = set_out((0.4 * room_m).clamp(0.01, 0.4));
            vec![of(run_m, set_out((1.2 * run_m).min(0.4)))]
        }
    }

    /// A stream that runs downhill, its bed falling gently between falls of one height.
    pub(super) fn stream(&mut self) -> WorkKind {
        let ends = [self.curve.points.first(), self.curve.points.last()];
        let [first, last] = ends.map(|at| at.map_or(0.0, |at| self.ground_m(*at)));
        if first < last {
            self.curve.points.reverse();
        }
        let points = &self.curve.points;
        let (head, mouth) = (points[0], points[points.len() - 1]);
        let from = self.filter_at(head);
        let into = self.basin_at(mouth);
        let head_m = from.map_or(self.ground_m(head) - 0.05, |(_, lip_m)| lip_m);
        let mouth_m = match into {
            Some((_, water_m)) => water_m,
            None => self.ground_m(mouth) - 0.1,
        };
        let line = flattened(&self.curve, Ends::Open);
        let length_m = curve::length_m(&line, Closure::Open).max(0.01);
        let station = |along_m: f64, invert_m: f64| Station {
            along_m,
            invert_m: set_out(invert_m),
            bed_width_m: 0.6,
            side: 1.2,
            edge_m: [0.15, 0.15],
        };
        let (head_m, mouth_m) = (set_out(head_m), set_out(mouth_m.min(head_m - 0.01)));
        WorkKind::Stream(Stream {
            line: std::mem::take(&mut self.curve),
            from: from.map(|(id, _)| id),
            into: into.map(|(id, _)| id),
            stations: vec![station(0.0, head_m), station(length_m, mouth_m)],
            falls: falls(length_m, [head_m, mouth_m]),
            bed_stone_m: Some(0.03),
            bed: None,
            sheet_m: None,
            water_depth_m: 0.05,
            freeboard_m: 0.08,
            cut_bank: 2.0,
            fill_bank: 3.0,
            rim_width_m: 0.2,
            islands: Vec::new(),
            bed_build_up: BuildUp { gravel_m: 0.05, ..lined() },
            side_build_up: BuildUp { stone_m: 0.075, ..lined() },
            bank_build_up: self.topsoil(),
        })
    }

    /// A filter whose lip lies at its lowest ground.
    pub(super) fn filter_bed(&mut self) -> WorkKind {
        let ring = flattened(&self.curve, Ends::Closed);
        let low = |a: &&[f64; 2], b: &&[f64; 2]| self.ground_m(**a).total_cmp(&self.ground_m(**b));
        let at = ring.iter().min_by(low).copied().unwrap_or_default();
        let lip_m = set_out(self.mean_m());
        let bed = FilterBed {
            lip: Lip { at, width_m: 0.6, elevation_m: lip_m },
            outline: std::mem::take(&mut self.curve),
            depth_m: 0.6,
            side: 0.25,
            freeboard_m: FREEBOARD_M,
            rim_width_m: 0.3,
            cut_bank: 2.0,
            fill_bank: 2.5,
            gravel_below_lip_m: 0.05,
            void_share: Some(0.4),
            gravel_m: Some(0.02),
            build_up: lined(),
            bank_build_up: self.topsoil(),
        };
        WorkKind::FilterBed(bed)
    }

    /// An intake bay that draws from the nearest pond.
    pub(super) fn intake_bay(&mut self) -> WorkKind {
        let ring = flattened(&self.curve, Ends::Closed);
        let pond = self
            .site
            .works
            .iter()
            .filter_map(|work| match &work.kind {
                WorkKind::Basin(basin) => {
                    let outline = flattened(&basin.outline, Ends::Closed);
                    let path = Path::new(&outline, Closure::Closed).ok()?;
                    let near = ring.iter().map(|at| (path.nearest(*at).distance_m, *at));
                    let near = near.min_by(|a, b| a.0.total_cmp(&b.0))?;
                    Some((near, work, basin))
                }
                _ => None,
            })
            .filter(|((away_m, _), ..)| *away_m <= DRAWS_M)
            .min_by(|a, b| a.0.0.total_cmp(&b.0.0));
        let mut level_m = set_out(self.lowest_m() - FREEBOARD_M);
        let (mut from, mut freeboard_m) = (None, FREEBOARD_M);
        let mut at = ring.first().copied().unwrap_or_default();
        if let Some(((_, near), work, basin)) = pond {
            (from, at) = (Some(work.id), near);
            (level_m, freeboard_m) = (basin.water_level_m, basin.freeboard_m);
            self.beside.push(format!("draws from {}", work.name));
        }
        WorkKind::IntakeBay(IntakeBay {
            outline: std::mem::take(&mut self.curve),
            from,
            sill: Sill { at, width_m: 0.6, depth_m: 0.15 },
            water_level_m: level_m,
            freeboard_m,
            depth_m: 0.9,
            side: 0.3,
            rim_width_m: 0.3,
            cut_bank: 2.5,
            fill_bank: 3.0,
            build_up: lined(),
            bank_build_up: self.topsoil(),
        })
    }

    /// The filter whose lip a stream's head lies at, with the lip's level.
    fn filter_at(&mut self, head: [f64; 2]) -> Option<(WorkId, f64)> {
        let near = self.site.works.iter().filter_map(|work| match &work.kind {
            WorkKind::FilterBed(bed) => {
                let away = apart(bed.lip.at, head);
                (away <= JOINS_M).then_some((away, work, bed.lip.elevation_m))
            }
            _ => None,
        });
        let (_, work, lip_m) = near.min_by(|a, b| a.0.total_cmp(&b.0))?;
        self.beside.push(format!("comes from {}", work.name));
        Some((work.id, lip_m))
    }

    /// The pond in or beside which a stream ends, with its water's level.
    fn basin_at(&mut self, mouth: [f64; 2]) -> Option<(WorkId, f64)> {
        let near = self.site.works.iter().filter_map(|work| match &work.kind {
            WorkKind::Basin(basin) => {
                let ring = flattened(&basin.outline, Ends::Closed);
                let path = Path::new(&ring, Closure::Closed).ok()?;
                let inside = contains(&ring, mouth);
                let away = if inside { 0.0 } else { path.nearest(mouth).distance_m };
                (away <= JOINS_M).then_some((away, work, basin.water_level_m))
            }
            _ => None,
        });
        let (_, work, water_m) = near.min_by(|a, b| a.0.total_cmp(&b.0))?;
        self.beside.push(format!("runs into {}", work.name));
        Some((work.id, water_m))
    }
}

/// Falls of one height, evenly along a bed that falls gently between them; none on a gentle stream.
fn falls(length_m: f64, [head_m, mouth_m]: [f64; 2]) -> Vec<Fall> {
    let steep_m = head_m - mouth_m - BED_FALL * length_m;
    if steep_m < 0.1 {
        return Vec::new();
    }
    let most = (length_m / 1.2).floor().max(1.0);
    let n_falls = (steep_m / HIGHEST_FALL_M).ceil().min(most);
    let drop_m = set_out(steep_m / n_falls);
    (0..n_falls as usize)
        .map(|k| {
            let along_m = set_out(length_m * (k as f64 + 0.5) / n_falls);
            Fall {
                along_m,
                crest_m: set_out(head_m - BED_FALL * along_m - k as f64 * drop_m),
                crest_width_m: 0.6,
                drop_m,
                pool_m: 0.06,
                parts: Vec::new(),
                stone_m: None,
                face_run_m: None,
            }
        })
        .collect()
}
