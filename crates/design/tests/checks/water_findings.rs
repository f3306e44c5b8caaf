//! The findings on running water: each with a garden just inside and one just outside.

use design::{Code, Severity, evaluate, running};
use site::circulation::*;
use site::earth::Machine;
use site::works::*;
use site::{House, Site, WorkId, WorkKind};

use super::running_water::{pipe, pump, stream, watered};
use super::*;

/// The garden of a plain pump, which moves some 4 L/s.
fn plain() -> Site {
    watered(pump(2, &[[0.0, 6.0], [8.0, 0.0]], pipe(0.075, 20.0)), stream())
}

fn codes(site: &Site) -> Vec<Code> {
    evaluate(site).findings.iter().map(|finding| finding.code).collect()
}

/// Checks that a code is found at one value of a number and not at another, and that the remedy, if
/// the program can take it, clears the finding.
fn found_beyond(
    site: &Site,
    code: Code,
    change: impl Fn(&mut Site, f64),
    [inside, outside]: [f64; 2],
) {
    let with = |value: f64| {
        let mut site = site.clone();
        change(&mut site, value);
        assert_eq!(site.check(), Ok(()));
        site
    };
    let fine = found(&with(inside), code);
    assert!(fine.is_empty(), "{:?}", fine.iter().map(|f| &f.message).collect::<Vec<_>>());
    let site = with(outside);
    let finding = found(&site, code).into_iter().next().expect("it is found");
    assert!(finding.message.ends_with('.') && !finding.source.is_empty(), "{}", finding.message);
    assert!(finding.at_m.iter().all(|c| c.is_finite()), "{finding:?}");
    if finding.remedy.as_ref().is_some_and(|remedy| remedy.site.is_some()) {
        let taken = design::remedy(&site, &finding);
        assert!(taken.is_some(), "{:?}", finding.remedy.map(|remedy| remedy.message));
    }
}

fn crest_brink_m(site: &Site) -> f64 {
    let running = running(site, &evaluate(site));
    running.streams[0].crests.as_ref().expect("all is given")[1].brink_m
}

#[test]
fn a_crest_may_run_neither_thin_nor_thick() {
    let site = plain();
    let brink_m = crest_brink_m(&site);
    let thin = |site: &mut Site, limit| {
        site.limits.crest_thin_m = limit;
        site.works[1].kind = WorkKind::FilterBed(FilterBed {
            lip: Lip { at: [0.0, 2.0], width_m: 0.2, elevation_m: 31.0 },
            ..filter(31.0)
        });
    };
    found_beyond(&site, Code::CrestRunsThin, thin, [0.99 * brink_m, 1.01 * brink_m]);
    let thick = |site: &mut Site, limit| {
        site.limits.crest_thick_m = limit;
        site.works[1].kind = WorkKind::FilterBed(FilterBed {
            lip: Lip { at: [0.0, 2.0], width_m: 1.5, elevation_m: 31.0 },
            ..filter(31.0)
        });
    };
    found_beyond(&site, Code::CrestRunsThick, thick, [1.01 * brink_m, 0.99 * brink_m]);
}

#[test]
fn a_split_may_not_starve_one_side() {
    let part = |width_m, above_m| CrestPart { width_m, above_m };
    let mut site = plain();
    let WorkKind::Stream(parted) = &mut site.works[2].kind else { panic!("a stream") };
    parted.falls[0].parts = vec![part(0.25, 0.0), part(0.25, 0.0)];
    let raise = |site: &mut Site, above_m| {
        let WorkKind::Stream(parted) = &mut site.works[2].kind else { panic!("a stream") };
        parted.falls[0].parts[1].above_m = above_m;
    };
    found_beyond(&site, Code::SplitStarves, raise, [0.005, 0.03]);
}

#[test]
fn a_pump_may_fall_short_of_the_lift_and_of_what_is_wanted() {
    let site = plain();
    let brink_m = crest_brink_m(&site);
    let want = |site: &mut Site, sheet_m| {
        let WorkKind::Stream(stream) = &mut site.works[2].kind else { panic!("a stream") };
        stream.sheet_m = Some(sheet_m);
    };
    found_beyond(&site, Code::PumpFallsShort, want, [0.995 * brink_m, 1.005 * brink_m]);
    // A pump that reaches 1.19 m does not lift 1.2 m.
    let reach = |site: &mut Site, head_m: f64| {
        let point = |flow_l_s, head_m| CurvePoint { flow_l_s, head_m };
        site.circulation.pumps[0].curve =
            PumpCurve::Points(vec![point(0.0, head_m), point(8.0, 0.0)]);
    };
    found_beyond(&site, Code::PumpFallsShort, reach, [1.3, 1.19]);
    let mut low = site.clone();
    reach(&mut low, 1.19);
    let finding = found(&low, Code::PumpFallsShort).remove(0);
    assert_eq!(finding.severity, Severity::Stop);
    assert!(finding.caution.is_some_and(|caution| caution.contains("electrician")));
}

#[test]
fn a_pipe_may_run_fast() {
    let site = plain();
    let running = running(&site, &evaluate(&site));
    let duty = running.pumps[0].duty.as_ref().expect("all is given");
    let limit = |site: &mut Site, limit| site.limits.pipe_m_s = limit;
    let velocity = duty.velocity_m_s;
    found_beyond(&site, Code::PipeRunsFast, limit, [1.01 * velocity, 0.99 * velocity]);
}

#[test]
fn a_stop_may_flood_the_overflow_and_the_rim() {
    let mut site = plain();
    let rise_m = running(&site, &evaluate(&site)).ponds[0].levels.clone().unwrap().rise_m;
    let edge = |site: &mut Site, freeboard_m| {
        let WorkKind::Basin(basin) = &mut site.works[0].kind else { panic!("a basin") };
        basin.freeboard_m = freeboard_m;
    };
    // The basin's bank reaches the water elsewhere with another edge, by a hair.
    found_beyond(&site, Code::StopFloodsRim, edge, [1.1 * rise_m, 0.9 * rise_m]);
    let WorkKind::Basin(basin) = &mut site.works[0].kind else { panic!("a basin") };
    (basin.overflow, basin.overflow_width_m) = (Some([-4.0, -14.0]), Some(0.5));
    let crest = |site: &mut Site, above_m| {
        let WorkKind::Basin(basin) = &mut site.works[0].kind else { panic!("a basin") };
        basin.overflow_m = Some(basin.water_level_m + above_m);
    };
    found_beyond(&site, Code::StopFloodsRim, crest, [1.01 * rise_m, 0.99 * rise_m]);
}

#[test]
fn a_start_may_uncover_the_intake() {
    let mut site = plain();
    let running = running(&site, &evaluate(&site));
    let level_m = running.ponds[0].levels.clone().unwrap().running_m;
    let intake = |site: &mut Site, intake_m| site.circulation.pumps[0].intake_m = Some(intake_m);
    // 50 mm of water are to cover it.
    found_beyond(&site, Code::StartStarvesPump, intake, [level_m - 0.051, level_m - 0.049]);
    site.circulation.pumps[0].intake_m = Some(level_m + 0.01);
    let finding = found(&site, Code::StartStarvesPump).remove(0);
    assert_eq!(finding.severity, Severity::Stop);
}

/// A bay whose sill passes 1.705 x width x depth^1.5.
#[test]
fn a_start_may_empty_the_bay() {
    let mut site = plain();
    let bay = IntakeBay {
        outline: straight(&[[4.8, -11.0], [5.8, -11.0], [5.8, -10.0], [4.8, -10.0]]),
        from: Some(WorkId(1)),
        sill: Sill { at: [4.8, -10.5], width_m: 0.5, depth_m: 0.1 },
        water_level_m: 29.8,
        freeboard_m: 0.1,
        depth_m: 0.6,
        side: 0.2,
        rim_width_m: 0.3,
        cut_bank: 2.0,
        fill_bank: 2.0,
        build_up: Default::default(),
        bank_build_up: Default::default(),
    };
    let work = Work { id: WorkId(4), kind: WorkKind::IntakeBay(bay), ..site.works[0].clone() };
    site.works.insert(1, work);
    site.next_id = 5;
    site.circulation.pumps[0].draws_from = Some(WorkId(4));
    let sill = |site: &mut Site, width_m| {
        let WorkKind::IntakeBay(bay) = &mut site.works[1].kind else { panic!("a bay") };
        bay.sill.width_m = width_m;
    };
    let told = running(&site, &evaluate(&site));
    assert!(told.ponds[0].levels.is_ok(), "{told:?}");
    found_beyond(&site, Code::StartStarvesPump, sill, [0.5, 0.05]);
}

#[test]
fn a_fall_may_land_beyond_the_liner() {
    // The stream ends in a fall over open ground, not at the pond.
    let site = plain();
    let turn = |site: &mut Site, splash_m| {
        site.limits.splash_m = splash_m;
        let WorkKind::Stream(stream) = &mut site.works[2].kind else { panic!("a stream") };
        // A bend just below the fall: what flies on leaves the bed.
        stream.line = straight(&[[0.0, 2.0], [0.0, -2.3], [4.0, -2.3], [4.5, -6.2]]);
        stream.stations[2].along_m = 8.2;
    };
    found_beyond(&site, Code::FallOvershoots, turn, [0.1, 1.0]);
}

#[test]
fn an_overflow_may_be_too_small_and_run_to_a_house() {
    // Ground that falls to the south: what runs over there goes on south.
    let mut site = sloped(plain(), |[_, y]| 29.5 + 0.05 * (y + 14.0));
    let WorkKind::Basin(basin) = &mut site.works[0].kind else { panic!("a basin") };
    basin.overflow = Some([0.0, -14.0]);
    (basin.overflow_width_m, basin.overflow_m) = (Some(0.5), Some(29.83));
    (site.weather.storm_mm_h, site.weather.runoff_share) = (Some(100.0), Some(0.2));
    let evaluation = evaluate(&site);
    let rain = design::water_plan(&site, &evaluation).rain.remove(0);
    // The rational formula, over water and ground.
    let storm_m3_s = 100.0e-3 / 3600.0 * (rain.water_m2 + 0.2 * rain.ground_m2);
    assert!((rain.storm_m3_s.clone().unwrap() - storm_m3_s).abs() < 1e-9);
    let head_m = libm::pow(storm_m3_s / (1.705 * 0.5), 2.0 / 3.0);
    assert!((rain.overflow_head_m.clone().unwrap() - head_m).abs() < 2e-4 * head_m);
    let above_m = 29.9 - 29.83 - head_m;
    let told_m = rain.edge_above_storm_m.clone().unwrap();
    assert!((told_m - above_m).abs() < 3e-5, "{told_m} {above_m} {rain:?}");
    let limit = |site: &mut Site, limit_m| site.limits.storm_edge_m = limit_m;
    found_beyond(&site, Code::OverflowTooSmall, limit, [above_m - 1e-3, above_m + 1e-3]);
    // A house stands so far east of the way that the water takes.
    let house = |site: &mut Site, x: f64| {
        site.houses = vec![House {
            name: "House".into(),
            outline_m: vec![[x, -22.0], [x + 6.0, -22.0], [x + 6.0, -18.0], [x, -18.0]],
            floor_m: 30.3,
            sill_m: 30.2,
            height_m: 5.0,
        }];
    };
    found_beyond(&site, Code::OverflowRunsToHouse, house, [6.0, 1.0]);
    // Where the edge has levels of its own its low place stays, and a swale leads past the house.
    let WorkKind::Basin(basin) = &mut site.works[0].kind else { panic!("a basin") };
    basin.liner_edge_m = vec![29.9; 4];
    house(&mut site, 1.0);
    cleared(&site, Code::OverflowRunsToHouse, "Lead it past House in a swale on its");
}

#[test]
fn a_circuit_that_lacks_something_is_told() {
    let mut site = plain();
    assert!(!codes(&site).contains(&Code::CircuitIncomplete));
    site.circulation.pumps[0].lines[0].pipe.inner_m = None;
    let finding = found(&site, Code::CircuitIncomplete).remove(0);
    assert!(finding.message.contains("inner diameter of line 1"), "{}", finding.message);
    // And nothing else of the water is told.
    let all = codes(&site);
    assert!(!all.contains(&Code::CrestRunsThin) && !all.contains(&Code::PumpFallsShort));
}

/// A pump of 8 L/s without head asks for 82 mm at 5 ft/s and 8 % of room, 88 mm: 4 in, 102.3 mm inside.
#[test]
fn a_circuit_is_joined_where_its_ends_and_its_pipe_are_missing() {
    let lacking: [fn(&mut Pump); 5] = [
        |pump| pump.lines[0].pipe.inner_m = None,
        |pump| pump.lines[0].pipe.length_m = None,
        |pump| pump.lines[0].feeds = None,
        |pump| pump.draws_from = None,
        |pump| pump.lines.clear(),
    ];
    for lacks in lacking {
        let mut site = plain();
        lacks(&mut site.circulation.pumps[0]);
        let edited = cleared(&site, Code::CircuitIncomplete, "Let it draw from");
        let pump = &edited.circulation.pumps[0];
        assert_eq!((pump.draws_from, pump.lines[0].feeds), (Some(WorkId(1)), Some(WorkId(2))));
        let inner_m = pump.lines[0].pipe.inner_m.expect("it is given");
        assert!(inner_m == 0.075 || inner_m == 0.1023, "{inner_m}");
        assert!(!codes(&edited).contains(&Code::PipeRunsFast));
    }
}

/// Who has no pump yet gets the smallest common one that moves what is wanted, on its pipes as they are.
#[test]
fn a_pump_that_nobody_chose_is_chosen() {
    let mut site = plain();
    site.circulation.pumps[0].curve = PumpCurve::Points(Vec::new());
    let edited = cleared(&site, Code::CircuitIncomplete, "Take a pump of");
    assert!(matches!(edited.circulation.pumps[0].curve, PumpCurve::Common(_)));
    assert!(!codes(&edited).contains(&Code::PumpFallsShort));
    // And is joined too, where it lacks that as well.
    site.circulation.pumps[0].lines.clear();
    let edited = cleared(&site, Code::CircuitIncomplete, "Let it draw from");
    assert_eq!(edited.circulation.pumps[0].lines[0].feeds, Some(WorkId(2)));
    // With nothing drawn that it could feed, nothing can be reckoned.
    site.works.iter_mut().skip(1).for_each(|work| work.visible = false);
    let finding = found(&site, Code::CircuitIncomplete).remove(0);
    assert!(design::remedy(&site, &finding).is_none());
}

/// No pump makes up for a pipe that is too thin: it is widened, and the drawn pump then moves what is wanted.
#[test]
fn a_thin_pipe_is_widened_before_the_pump_is_changed() {
    let mut site = plain();
    let WorkKind::Stream(stream) = &mut site.works[2].kind else { panic!("a stream") };
    stream.sheet_m = Some(0.9 * crest_brink_m(&plain()));
    site.circulation.pumps[0].lines[0].pipe.inner_m = Some(0.03);
    let edited = cleared(&site, Code::PumpFallsShort, "Lay pipe of");
    assert_eq!(edited.circulation.pumps[0].curve, site.circulation.pumps[0].curve);
    assert!(edited.circulation.pumps[0].lines[0].pipe.inner_m > Some(0.05));
}

/// A stream without a pump is told, and gets the smallest common one that turns its pond over.
#[test]
fn a_stream_that_no_pump_feeds_is_told() {
    let mut site = plain();
    site.circulation.pumps.clear();
    let finding = found(&site, Code::CircuitIncomplete).remove(0);
    assert_eq!(finding.work, Some(WorkId(3)));
    let edited = cleared(&site, Code::CircuitIncomplete, "Let it draw from");
    let pump = &edited.circulation.pumps[0];
    assert_eq!((pump.draws_from, pump.lines[0].feeds), (Some(WorkId(1)), Some(WorkId(2))));
    let moved = running(&edited, &evaluate(&edited));
    let flow_m3_s = moved.pumps[0].duty.as_ref().expect("it is joined").flow_m3_s;
    let pond_m3 = evaluate(&site).water[0].volume_m3;
    assert!(flow_m3_s >= pond_m3 / 7200.0, "{flow_m3_s} {pond_m3}");
}

/// A sphere of 0.6 m of 2.65 t/m3 weighs 299.7 kg.
#[test]
fn a_stone_may_be_too_heavy_for_the_machine() {
    let mut site = plain();
    let WorkKind::Stream(stream) = &mut site.works[2].kind else { panic!("a stream") };
    stream.falls[0].stone_m = Some(0.6);
    let lift = |site: &mut Site, lifts_kg| {
        site.carry.machine = Some(Machine { lifts_kg, reach_m: 3.0 });
    };
    found_beyond(&site, Code::OrderTrap, lift, [299.8, 299.6]);
}

/// The edges of the stream stand against the water as it runs.
#[test]
fn a_streams_edge_is_held_against_the_running_water() {
    let site = plain();
    let edge = |site: &mut Site, edge_m: f64| {
        let WorkKind::Stream(stream) = &mut site.works[2].kind else { panic!("a stream") };
        stream.stations.iter_mut().for_each(|station| station.edge_m = [edge_m, 0.3]);
    };
    found_beyond(&site, Code::RimLow, edge, [0.25, 0.06]);
}

/// A wall that holds the filter reaches the head over its lip and the allowance, not the plain limit.
#[test]
fn a_wall_reaches_the_water_over_the_lip() {
    let mut site = plain();
    let running = running(&site, &evaluate(&site));
    let lip = running.filters[0].lip.as_ref().expect("all is given");
    let needed_m = 31.0 + lip.edge_above_crest_m;
    assert!(lip.edge_above_crest_m > site.limits.wall_clearance_m);
    let wall = Wall {
        line: straight(&[[-1.6, 1.6], [-1.6, 4.4]]),
        top_m: vec![needed_m],
        top_run: TopRun::Sloping,
        batter: 0.0,
        thickness_m: 0.4,
        embedment_m: 0.2,
        retains: Side::Right,
        backfill: 3.0,
        material: WallMaterial::Stone,
        stone_m: None,
        holds: Some(WorkId(2)),
        tiers: Vec::new(),
    };
    let work = Work { id: WorkId(4), kind: WorkKind::Wall(wall), ..site.works[0].clone() };
    site.works.push(work);
    site.next_id = 5;
    let top = |site: &mut Site, top_m| {
        let WorkKind::Wall(wall) = &mut site.works[3].kind else { panic!("a wall") };
        wall.top_m = vec![top_m];
    };
    found_beyond(&site, Code::WallBelowLip, top, [needed_m + 1e-3, needed_m - 1e-3]);
}

/// The bed bends away below the fall: its liner ends before the splash does.
#[test]
fn a_wider_bed_catches_what_falls_beyond_it() {
    let mut site = plain();
    site.limits.splash_m = 0.6;
    let WorkKind::Stream(stream) = &mut site.works[2].kind else { panic!("a stream") };
    stream.line = straight(&[[0.0, 2.0], [0.0, -2.3], [4.0, -2.3], [4.5, -6.2]]);
    let edited = cleared(&site, Code::FallOvershoots, "Widen the bed where the water lands");
    assert!(!found(&part_way(&site, &edited, 0.8), Code::FallOvershoots).is_empty());
}

/// A rock of 0.3 m in a bed of 1 m, of which one arm is 50 mm wide: there runs 0.62 of what its width would.
#[test]
fn a_rock_is_moved_until_both_its_arms_run() {
    for (x, way) in [(0.3, "left"), (-0.3, "right")] {
        let mut site = plain();
        site.limits.split_least_share = 0.8;
        let WorkKind::Stream(stream) = &mut site.works[2].kind else { panic!("a stream") };
        stream.stations.iter_mut().for_each(|station| station.bed_width_m = 1.0);
        let rock = |x: f64| Island {
            outline: straight(&[
                [x - 0.15, -0.6],
                [x + 0.15, -0.6],
                [x + 0.15, 0.0],
                [x - 0.15, 0.0],
            ]),
            top_m: 31.1,
        };
        stream.islands = vec![rock(x)];
        // The stream runs south: its left is the east.
        let toward = if way == "left" { "right" } else { "left" };
        let edited = cleared(&site, Code::SplitStarves, "Move rock 1 by");
        let remedy = design::remedy(&site, &found(&site, Code::SplitStarves)[0]);
        let message = remedy.expect("as before").message;
        assert!(message.contains(&format!("to the {toward}")), "{message}");
        assert!(!found(&part_way(&site, &edited, 0.8), Code::SplitStarves).is_empty());
    }
}

/// The site with the first finding's remedy taken, which begins with these words and clears it.
fn cleared(site: &Site, code: Code, begins: &str) -> Site {
    let finding = found(site, code).into_iter().next().expect("it is found");
    let remedy = design::remedy(site, &finding).expect("a remedy that clears it");
    assert!(remedy.message.starts_with(begins), "{}", remedy.message);
    let edited = *remedy.site.expect("a site with the remedy taken");
    assert_eq!(found(&edited, code), []);
    edited
}
