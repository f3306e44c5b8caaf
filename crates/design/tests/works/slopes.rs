//! Every kind of work on ground that falls across it and along it, by the closed form of its
//! section: turned, moved by 500 km, and where the survey's edge cuts it off.
//!
//! A work's ends have no simple closed form on a slope. But a work that is drawn longer along the
//! contour, or along a line that falls as the ground does, has the same ends farther apart: the
//! difference is the section's area times the difference of the lengths.

use site::works::{
    Curve, FilterBed, Hill, IntakeBay, Lip, Pad, Path, Plane, PlaneGrade, Sill, Station, Stream,
    Tier, Wall,
};
use site::{Site, WorkKind};

use crate::garden::*;

/// A stretch of a work along x, from one end to the other.
#[derive(Clone, Copy)]
struct Stretch {
    placed: Placed,
    from: f64,
    to: f64,
    /// Rise of its line for each metre along x.
    tilt: f64,
}

/// A work and its section across y, whose elevations count from the ground on its axis.
struct Strip {
    kind: WorkKind,
    /// Its own ground: offsets, rising, and elevations.
    core: Vec<[f64; 2]>,
    /// What runs out from the core's first and last place; nothing where it ends in a step.
    banks: [Option<Bank>; 2],
}

/// Banks from one edge: run per rise.
#[derive(Clone, Copy)]
struct Bank {
    fill: f64,
    /// For works that dig.
    cut: Option<f64>,
}

/// Elevation of the axis at x = 0.
const BASE_M: f64 = 12.0;

/// How the ground falls across the works.
const ACROSS: f64 = 0.15;

impl Stretch {
    fn z_m(self, x: f64) -> f64 {
        BASE_M + self.tilt * x
    }

    fn line(self) -> Curve {
        self.placed.line(&[[self.from, 0.0], [self.to, 0.0]])
    }

    fn outline(self, half_m: f64) -> Curve {
        let (x0, x1) = (self.from, self.to);
        self.placed.line(&[[x0, -half_m], [x1, -half_m], [x1, half_m], [x0, half_m]])
    }

    fn basin(self) -> Strip {
        let mut pond = basin(self.outline(2.0), vec![inset(1.0, 0.9)]);
        pond.water_level_m += BASE_M;
        let rim = Some(Bank { fill: 2.0, cut: Some(2.0) });
        Strip {
            kind: WorkKind::Basin(pond),
            core: mirrored(&[[1.0, -1.0], [2.0, 0.0], [2.3, 0.0]]),
            banks: [rim, rim],
        }
    }

    fn stream(self) -> Strip {
        let station = |along_m: f64| Station {
            along_m,
            invert_m: self.z_m(self.from + along_m) - 0.5,
            bed_width_m: 0.6,
            side: 1.5,
            edge_m: [0.6, 0.5],
        };
        let bank = Some(Bank { fill: 2.5, cut: Some(2.0) });
        Strip {
            kind: WorkKind::Stream(Stream {
                line: self.line(),
                stations: vec![station(0.0), station(self.to - self.from)],
                fill_bank: 2.5,
                ..stream(self.placed, 1.0)
            }),
            core: vec![
                [-1.25, 0.0],
                [-1.05, 0.0],
                [-0.3, -0.5],
                [0.3, -0.5],
                [1.2, 0.1],
                [1.4, 0.1],
            ],
            banks: [bank, bank],
        }
    }

    fn hill(self) -> Strip {
        let [left, right] = [2.5, 4.0].map(|run_per_rise| site::works::Flank {
            run_per_rise,
            shoulder_m: 0.0,
            toe_m: 0.0,
        });
        Strip {
            kind: WorkKind::Hill(Hill {
                crest: self.line(),
                crest_m: vec![self.z_m(self.from) + 0.9, self.z_m(self.to) + 0.9],
                width_m: vec![0.8],
                left: vec![left],
                right: vec![right],
                held_by: None,
                build_up: Default::default(),
            }),
            core: vec![[-0.4, 0.9], [0.0, 0.9], [0.4, 0.9]],
            banks: [4.0, 2.5].map(|fill| Some(Bank { fill, cut: None })),
        }
    }

    fn wall(self, batter: f64) -> Strip {
        let face = (batter > 0.0).then_some(Bank { fill: batter, cut: None });
        Strip {
            kind: WorkKind::Wall(Wall {
                line: self.line(),
                top_m: vec![self.z_m(self.from) + 0.8, self.z_m(self.to) + 0.8],
                batter,
                ..wall(self.placed, 1.0)
            }),
            core: vec![[0.0, 0.8], [0.4, 0.8]],
            banks: [face, Some(Bank { fill: 3.0, cut: None })],
        }
    }

    /// Two faces, a bench between them.
    fn tiered_wall(self) -> Strip {
        let single = self.wall(0.0);
        let WorkKind::Wall(wall) = single.kind else { panic!("a wall") };
        let tiers = vec![Tier { back_m: 1.2, rise_m: 0.5 }];
        let bench_m = 0.8 - 0.8 / 3.0;
        let core = vec![[0.0, 0.8], [0.4, 0.8], [1.2, bench_m], [1.2, 1.3], [1.6, 1.3]];
        Strip { kind: WorkKind::Wall(Wall { tiers, ..wall }), core, ..single }
    }

    fn filter_bed(self) -> Strip {
        let at = self.placed.at([self.to, 0.0]);
        let bank = Some(Bank { fill: 3.0, cut: Some(1.0) });
        Strip {
            kind: WorkKind::FilterBed(FilterBed {
                outline: self.outline(1.5),
                lip: Lip { at, width_m: 0.6, elevation_m: BASE_M },
                freeboard_m: 0.1,
                fill_bank: 3.0,
                cut_bank: 1.0,
                ..filter(self.placed)
            }),
            core: mirrored(&[[1.05, -0.8], [1.5, 0.1], [1.8, 0.1]]),
            banks: [bank, bank],
        }
    }

    fn intake_bay(self) -> Strip {
        let bank = Some(Bank { fill: 2.0, cut: Some(1.5) });
        Strip {
            kind: WorkKind::IntakeBay(IntakeBay {
                outline: self.outline(1.5),
                sill: Sill { at: self.placed.at([self.to, 0.0]), width_m: 0.6, depth_m: 0.1 },
                water_level_m: BASE_M,
                freeboard_m: 0.1,
                cut_bank: 1.5,
                ..bay(self.placed)
            }),
            core: mirrored(&[[1.05, -0.8], [1.5, 0.1], [1.8, 0.1]]),
            banks: [bank, bank],
        }
    }

    /// A plane that falls with its line, and across it toward higher y.
    fn plane(self, across: f64, above_m: f64) -> Plane {
        let (at, toward) = ([self.from, 0.0], [self.from - self.tilt, across]);
        Plane {
            at: self.placed.at(at),
            level_m: self.z_m(self.from) + above_m,
            toward: self.placed.at(toward),
            fall: libm::hypot(self.tilt, across),
        }
    }

    fn pad(self) -> Strip {
        let bank = Some(Bank { fill: 2.0, cut: Some(1.5) });
        Strip {
            kind: WorkKind::Pad(Pad {
                outline: self.outline(1.5),
                plane: self.plane(-0.02, 0.1),
                cut_bank: 1.5,
                ..pad(self.placed, 1.0)
            }),
            core: vec![[-1.5, 0.07], [1.5, 0.13]],
            banks: [bank, bank],
        }
    }

    fn lawn(self) -> Strip {
        let bank = Some(Bank { fill: 4.0, cut: Some(3.0) });
        Strip {
            kind: WorkKind::PlaneGrade(PlaneGrade {
                outline: self.outline(2.0),
                plane: self.plane(0.05, -0.1),
                ..lawn(self.placed, 1.0)
            }),
            core: vec![[-2.0, 0.0], [2.0, -0.2]],
            banks: [bank, bank],
        }
    }

    fn path(self) -> Strip {
        let bank = Some(Bank { fill: 2.0, cut: Some(1.5) });
        Strip {
            kind: WorkKind::Path(Path {
                line: self.line(),
                level_m: vec![self.z_m(self.from) + 0.1, self.z_m(self.to) + 0.1],
                cross_fall: 0.03,
                cut_bank: 1.5,
                ..path(self.placed, 1.0)
            }),
            // It falls toward the right along its line, which is toward lower y.
            core: vec![[-0.6, 0.082], [0.6, 0.118]],
            banks: [bank, bank],
        }
    }

    /// The strip of the kind after one: a new kind does not build until it has its own.
    fn after(self, kind: Option<&WorkKind>) -> Option<Strip> {
        match kind {
            None => Some(self.level().basin()),
            Some(WorkKind::Basin(_)) => Some(self.stream()),
            Some(WorkKind::Stream(_)) => Some(self.hill()),
            Some(WorkKind::Hill(_)) => Some(self.wall(0.0)),
            Some(WorkKind::Wall(_)) => Some(self.level().filter_bed()),
            Some(WorkKind::FilterBed(_)) => Some(self.level().intake_bay()),
            Some(WorkKind::IntakeBay(_)) => Some(self.pad()),
            Some(WorkKind::Pad(_)) => Some(self.lawn()),
            Some(WorkKind::PlaneGrade(_)) => Some(self.path()),
            // A trench and a strip have no section: they leave the finished ground as it is.
            Some(WorkKind::Path(_) | WorkKind::Trench(_) | WorkKind::Strip(_)) => None,
        }
    }

    /// Water stands level, and so does what holds it.
    fn level(self) -> Self {
        Self { tilt: 0.0, ..self }
    }

    fn strips(self) -> Vec<Strip> {
        let mut strips: Vec<Strip> = Vec::new();
        while let Some(next) = self.after(strips.last().map(|strip| &strip.kind)) {
            strips.push(next);
        }
        strips.push(self.wall(0.2));
        strips.push(self.level().tiered_wall());
        strips
    }
}

/// Places on both sides of the axis from those on one.
fn mirrored(half: &[[f64; 2]]) -> Vec<[f64; 2]> {
    half.iter().rev().map(|&[y, z]| [-y, z]).chain(half.iter().copied()).collect()
}

impl Strip {
    /// Whether its line may fall: what holds still water stands level.
    fn tilts(&self) -> bool {
        let is_tiered = matches!(&self.kind, WorkKind::Wall(wall) if !wall.tiers.is_empty());
        let kind = &self.kind;
        !is_tiered
            && !matches!(kind, WorkKind::Basin(_) | WorkKind::FilterBed(_) | WorkKind::IntakeBay(_))
    }

    /// The share by which its section is not the same all along: a level top beside a flank that
    /// falls askew twists a little toward the ends of its line.
    fn twist_share(&self, tilt: f64) -> f64 {
        let raised = matches!(self.kind, WorkKind::Hill(_) | WorkKind::Wall(_));
        if raised && tilt != 0.0 { 5e-4 } else { 0.0 }
    }

    /// Width of what the work itself is built of: of a tiered wall the tops.
    fn core_width_m(&self) -> f64 {
        if let WorkKind::Wall(wall) = &self.kind {
            return wall.thickness_m * (1 + wall.tiers.len()) as f64;
        }
        self.core[self.core.len() - 1][0] - self.core[0][0]
    }

    /// Cut and fill of one metre along x on ground that rises by `across` for each metre of y.
    ///
    /// A bank's grade is the steepest of its face: across a line that falls it is gentler. A flank
    /// is drawn with its crest along that steepest fall, not square to the line.
    fn earth_m2(&self, across: f64, tilt: f64) -> [f64; 2] {
        let grade = |run: f64| (1.0 / (run * run) - tilt * tilt).sqrt();
        let mut section: Vec<[f64; 2]> =
            self.core.iter().map(|&[y, z]| [y, z - across * y]).collect();
        for (bank, side) in self.banks.iter().zip([-1.0, 1.0]) {
            let Some(bank) = bank else { continue };
            let end = if side < 0.0 { 0 } else { section.len() - 1 };
            if bank.cut.is_none() {
                let [y, above] = section[end];
                let sin = tilt.abs() * bank.fill;
                let square = y * (1.0 - sin * sin).sqrt();
                section[end] = [square, above + tilt.abs() * y.abs() * sin + across * (y - square)];
            }
            let [y, above] = section[end];
            // Outward the ground rises by `across` times the side.
            let closes = if above > 0.0 {
                grade(bank.fill) + across * side
            } else {
                bank.cut.map_or(f64::INFINITY, grade) - across * side
            };
            assert!(closes > 0.0, "the bank runs on for ever");
            let at = if side < 0.0 { 0 } else { section.len() };
            section.insert(at, [y + side * above.abs() / closes, 0.0]);
        }
        section.windows(2).fold([0.0; 2], |[cut, fill], pair| {
            let ([y0, a], [y1, b]) = (pair[0], pair[1]);
            let width = y1 - y0;
            [cut + width * above_zero(-a, -b), fill + width * above_zero(a, b)]
        })
    }
}

/// Mean of a line's part above zero.
fn above_zero(a: f64, b: f64) -> f64 {
    let (low, high) = (a.min(b), a.max(b));
    if low >= 0.0 {
        0.5 * (a + b)
    } else if high <= 0.0 {
        0.0
    } else {
        0.5 * high * high / (high - low)
    }
}

/// A site on a plane that rises by `along` for each metre of x and by `across` for each of y.
fn on_slope(placed: Placed, along: f64, across: f64, kind: WorkKind) -> Site {
    site(placed, |[x, y]| BASE_M + along * x + across * y, vec![kind])
}

fn earth_m3(site: &Site) -> [f64; 2] {
    let work = &sound(site).works[0];
    [work.cut_m3, work.fill_m3]
}

/// Checks the section of every kind, whose share of rounding is stated.
fn check_sections(placed: Placed, [tilt, across]: [f64; 2], step_um: u32, share: f64) {
    let stretch = |to: f64| Stretch { placed, from: -4.0, to, tilt };
    for (short, long) in stretch(0.0).strips().into_iter().zip(stretch(6.0).strips()) {
        let tilt = if short.tilts() { tilt } else { 0.0 };
        let expected = short.earth_m2(across, tilt);
        let (name, share) = (kind_name(&short.kind), share.max(short.twist_share(tilt)));
        let [less, more] = [short.kind, long.kind].map(|kind| {
            let mut site = on_slope(placed, tilt, across, kind);
            site.frame.step_um = step_um;
            earth_m3(&site)
        });
        for k in 0..2 {
            let (found, expected) = (more[k] - less[k], 6.0 * expected[k]);
            let near = (found - expected).abs() <= share * (1.0 + expected);
            assert!(near, "{name}, cut or fill {k}: {found}, not {expected}");
        }
        assert!(expected[0] + expected[1] > 0.1, "{name} moves no earth: {expected:?}");
    }
}

#[test]
fn the_sections_are_those_of_the_page() {
    let stretch = Stretch { placed: AS_DRAWN, from: 0.0, to: 1.0, tilt: 0.0 };
    // V-17: top 2 ft, height 1.5 ft, 3 to 1 on both sides: 9.75 ft2.
    let bank = Some(Bank { fill: 3.0, cut: None });
    let berm = Strip { core: vec![[-1.0, 1.5], [1.0, 1.5]], banks: [bank, bank], ..stretch.hill() };
    assert_eq!(berm.earth_m2(0.0, 0.0), [0.0, 9.75]);
    // Check value V-11, two-level sections: formation 10, sides 2 to 1, ground 8 to 1, 2 deep at
    // the centre line: 30.70 m2.
    let side = Some(Bank { fill: 2.0, cut: Some(2.0) });
    let cutting =
        Strip { core: vec![[-5.0, -2.0], [5.0, -2.0]], banks: [side, side], ..stretch.hill() };
    let [cut, fill] = cutting.earth_m2(0.125, 0.0);
    assert!((cut - 30.70).abs() < 0.005 && fill == 0.0, "{cut} {fill}");
}

#[test]
fn every_kind_moves_its_section_across_a_slope() {
    for placed in [AS_DRAWN, TURNED, MOVED] {
        for across in [ACROSS, -ACROSS, 0.0] {
            check_sections(placed, [0.0, across], 1, 1e-6);
        }
    }
}

#[test]
fn every_kind_that_may_fall_moves_its_section_down_a_slope() {
    for placed in [AS_DRAWN, TURNED] {
        check_sections(placed, [0.08, ACROSS], 1, 1e-6);
        check_sections(placed, [-0.12, -0.05], 1, 1e-6);
    }
}

/// Half a million metres off, where the lattice's step is a millimetre: what is drawn to whole
/// millimetres keeps its volumes, what is turned is off by the rounding of its places.
#[test]
fn every_kind_moves_its_section_500_km_away() {
    let by = [500_000.0, -400_000.0];
    check_sections(Placed { by, ..AS_DRAWN }, [0.0, 0.125], 1000, 1e-6);
    check_sections(Placed { by, ..TURNED }, [0.0, 0.125], 1000, 2e-3);
}

/// The survey ends at x = 30, square to the works: what lies beyond is told and not counted.
#[test]
fn every_kind_moves_its_section_up_to_the_surveys_edge() {
    for placed in [AS_DRAWN, TURNED] {
        let stretch = |from, to| Stretch { placed, from, to, tilt: 0.0 };
        let outcome = |kind| {
            let evaluation = sound(&on_slope(placed, 0.0, ACROSS, kind));
            let work = &evaluation.works[0];
            ([work.cut_m3, work.fill_m3], work.beyond_m2)
        };
        for (far, (near, longer)) in stretch(18.0, 33.0)
            .strips()
            .into_iter()
            .zip(stretch(24.0, 33.0).strips().into_iter().zip(stretch(18.0, 37.0).strips()))
        {
            let (name, width_m) = (kind_name(&far.kind), far.core_width_m());
            let expected = far.earth_m2(ACROSS, 0.0);
            let [(far, far_m2), (near, near_m2), (longer, longer_m2)] =
                [far.kind, near.kind, longer.kind].map(outcome);
            for k in 0..2 {
                let (found, expected) = (far[k] - near[k], 6.0 * expected[k]);
                let is_near = (found - expected).abs() <= 1e-6 * (1.0 + expected);
                assert!(is_near, "{name}, cut or fill {k}: {found}, not {expected}");
                let beyond = (longer[k] - far[k]).abs();
                assert!(
                    beyond <= 1e-6 * (1.0 + far[k]),
                    "{name}: {beyond} m3 beyond the edge count"
                );
            }
            assert!((near_m2 - far_m2).abs() < 1e-5, "{name}: {near_m2} {far_m2}");
            let (found, expected) = (longer_m2 - far_m2, 4.0 * width_m);
            assert!((found - expected).abs() < 1e-4, "{name}: {found} m2, not {expected}");
        }
    }
}

/// A wall whose top falls, with fill behind it that is drawn flatter than that: the fill may not
/// stand above the wall anywhere, and falls away from it.
#[test]
fn fill_behind_a_falling_wall_does_not_bury_its_lower_end() {
    for backfill in [3.0, 12.0, 18.0, 22.0, 50.0] {
        let falling = Wall {
            line: AS_DRAWN.line(&[[-5.0, 0.0], [5.0, 0.0]]),
            top_m: vec![BASE_M + 1.2, BASE_M + 0.7],
            backfill,
            ..wall(AS_DRAWN, 1.0)
        };
        let bank = |[_, y]: [f64; 2]| if y > 4.0 { BASE_M + 1.5 } else { BASE_M };
        let evaluation = sound(&site(AS_DRAWN, bank, vec![WorkKind::Wall(falling)]));
        let finished = evaluation.finished.expect("there is ground");
        let ground = ground::query::Locator::new(&*finished);
        for x in [-4.5, -2.0, 0.0, 2.0, 4.5] {
            let top_m = BASE_M + 0.95 - 0.05 * x;
            let at = |y: f64| ground.elevation([x, y]).expect("within the survey") - top_m;
            assert!(at(0.01).abs() < 2e-3, "1 in {backfill} at {x}: the top is {} off", at(0.01));
            // The top leans with its fill by a fraction of its own fall along its thickness.
            assert!(at(0.2).abs() < 0.02, "1 in {backfill} at {x}: the top is {} off", at(0.2));
            assert!(at(0.8) < at(0.4), "1 in {backfill} at {x}: the fill does not fall away");
        }
    }
}

#[test]
fn a_crest_that_falls_more_steeply_than_its_flank_is_told() {
    let hill_with = |fall: f64, run_per_rise: f64| {
        let flank = site::works::Flank { run_per_rise, shoulder_m: 0.0, toe_m: 0.0 };
        let kind = WorkKind::Hill(Hill {
            crest_m: vec![BASE_M + 1.0, BASE_M + 1.0 - 8.0 * fall],
            right: vec![flank],
            ..hill(AS_DRAWN, 8.0)
        });
        let evaluation = sound(&on_slope(AS_DRAWN, 0.0, 0.0, kind));
        evaluation.works[0].shape.problems.clone()
    };
    assert_eq!(hill_with(0.08, 10.0), []);
    let told = hill_with(0.101, 10.0);
    assert!(told[0].message.contains("1 in 9.9, more steeply than its right flank"), "{told:?}");
    assert_eq!(told[0].at_m, [4.0, 0.0]);
}

/// What is built already is not built again: the same work five times over moves nothing more. What
/// is raised leaves every face as it is; of what is dug, whose two bounds round their edges apart,
/// that is not asked here.
#[test]
fn the_same_work_again_moves_nothing() {
    for placed in [AS_DRAWN, TURNED] {
        for strip in (Stretch { placed, from: -4.0, to: 4.0, tilt: 0.0 }).strips() {
            let name = kind_name(&strip.kind);
            let is_raised = strip.banks.iter().flatten().all(|bank| bank.cut.is_none());
            let ground = |[x, y]: [f64; 2]| BASE_M + 0.05 * x + ACROSS * y;
            let evaluation = sound(&site(placed, ground, vec![strip.kind; 5]));
            let [first, again @ ..] = &evaluation.works[..] else { panic!("there are five") };
            let moved_m3 = first.cut_m3 + first.fill_m3;
            assert!(moved_m3 > 1.0, "{name} moves {moved_m3}");
            for work in again {
                let more_m3 = work.cut_m3 + work.fill_m3;
                assert!(more_m3 <= 1e-9 * moved_m3, "{name} again moves {more_m3}");
                let n_faces = [first, work].map(|work| work.after.faces().len());
                assert!(!is_raised || n_faces[0] == n_faces[1], "{name}: {n_faces:?} faces");
            }
        }
    }
}
