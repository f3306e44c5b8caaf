//! `order-trap`.

use design::{Code, Severity};
use site::works::*;
use site::{Site, WorkId, WorkKind};

use super::*;

const CODE: Code = Code::OrderTrap;

/// A stream that ends in the pond's water, built before the pond whose rim stands this high.
fn stream_first(rim_m: f64) -> Site {
    let station = |along_m, invert_m| Station {
        along_m,
        invert_m,
        bed_width_m: 0.6,
        side: 1.0,
        edge_m: [0.3; 2],
    };
    let stream = Stream {
        line: straight(&[[0.0, 4.0], [0.0, -7.0]]),
        from: None,
        into: Some(WorkId(2)),
        stations: vec![station(0.0, 30.2), station(10.0, 29.8), station(11.0, 29.8)],
        falls: Vec::new(),
        water_depth_m: 0.05,
        bed_stone_m: None,
        bed: None,
        sheet_m: None,
        freeboard_m: 0.1,
        cut_bank: 2.0,
        fill_bank: 2.0,
        rim_width_m: 0.3,
        islands: Vec::new(),
        bed_build_up: Default::default(),
        side_build_up: Default::default(),
        bank_build_up: Default::default(),
    };
    let pond = Basin { freeboard_m: 0.01, ..basin(rim_m - 0.01) };
    garden(2, vec![WorkKind::Stream(stream), WorkKind::Basin(pond)])
}

#[test]
fn a_pond_built_after_its_stream_fills_the_mouth() {
    // The bed runs level at 29.80 over the last metre, where the pond's rim crosses it.
    check(&stream_first(29.819), CODE, &[]);
    check(&stream_first(29.84), CODE, &[(1, 0.04, 0.02)]);
    assert_eq!(found(&stream_first(29.84), CODE)[0].severity, Severity::LookAt);
    let blocked = stream_first(29.95);
    check(&blocked, CODE, &[(1, 0.15, 0.02)]);
    let finding = found(&blocked, CODE).remove(0);
    assert_eq!(finding.severity, Severity::Stop);
    assert!(finding.message.contains("Work 2 is built after it"), "{}", finding.message);
    assert!((finding.at_m[1] + 6.0).abs() < 1.0, "{:?}", finding.at_m);
}

#[test]
fn building_the_stream_after_the_pond_opens_its_mouth() {
    let site = stream_first(29.95);
    let remedy = design::remedy(&site, &found(&site, CODE)[0]).expect("a remedy");
    assert!(remedy.message.starts_with("Build Work 1 after Work 2"), "{}", remedy.message);
    let edited = remedy.site.expect("a site");
    assert_eq!(edited.works[1].id, WorkId(1));
    check(&edited, CODE, &[]);
}

/// A filter, and a hill that is heaped after it, this far to its north; its foot reaches 4.1 m.
fn hill_last(north_m: f64) -> Site {
    let ridge = Hill {
        crest: straight(&[[-3.0, north_m], [3.0, north_m]]),
        crest_m: vec![30.9],
        ..hill(4.0)
    };
    garden(2, vec![WorkKind::FilterBed(filter(30.2)), WorkKind::Hill(ridge)])
}

#[test]
fn a_hill_heaped_after_a_filter_fills_it() {
    // The floor at 29.70 ends a third of a metre inside the outline, at y = 3.675.
    check(&hill_last(9.5), CODE, &[]);
    let site = hill_last(6.5);
    let finding = found(&site, CODE).remove(0);
    assert_eq!((finding.work, finding.severity), (Some(WorkId(1)), Severity::Stop));
    let remedy = design::remedy(&site, &finding).expect("a remedy");
    assert!(remedy.message.starts_with("Build Work 1 after Work 2"), "{}", remedy.message);
    check(&remedy.site.expect("a site"), CODE, &[]);
}

#[test]
fn a_wall_leaves_the_filter_that_it_holds_open() {
    // The fill behind the wall stands 5 cm above the lip where it comes to the notch.
    let mut site = bank_first(2.2 * BURIED_M);
    site.works[0].kind = WorkKind::FilterBed(filter(30.7));
    check(&site, CODE, &[]);
    let WorkKind::Wall(wall) = &mut site.works[1].kind else { panic!("a wall") };
    wall.holds = None;
    let filled = found(&site, CODE);
    assert!(filled.iter().any(|f| f.work == Some(WorkId(1))), "{filled:?}");
}

/// A filter whose fill bank was heaped before the wall in front of it, half so long.
fn bank_first(half_m: f64) -> Site {
    let wall = Wall {
        line: straight(&[[-half_m, 1.2], [half_m, 1.2]]),
        top_m: vec![30.85],
        batter: 0.0,
        thickness_m: 0.4,
        embedment_m: 0.2,
        retains: Side::Left,
        backfill: 4.0,
        material: WallMaterial::Stone,
        stone_m: None,
        holds: Some(WorkId(1)),
        top_run: Default::default(),
        tiers: Vec::new(),
    };
    garden(2, vec![WorkKind::FilterBed(filter(30.8)), WorkKind::Wall(wall)])
}

/// The bank falls at 1 in 3 from the rim at 30.95, which goes round the filter's corners at x = 1 and
/// y = 2, 0.3 m off: it hides half of the wall where it stands above 30.425, 1.875 m from a corner.
const BURIED_M: f64 = 1.0 + 1.695_8;

#[test]
fn a_wall_in_fill_along_half_of_its_length_has_lost_its_face() {
    check(&bank_first(2.2 * BURIED_M), CODE, &[]);
    let site = bank_first(1.8 * BURIED_M);
    let found = found(&site, CODE);
    assert_eq!(found.len(), 1, "{:?}", evaluate(&site).findings);
    assert_eq!(found[0].work, Some(WorkId(2)));
    let measured = found[0].measured;
    assert!(measured.value > 0.5 && measured.value < 0.6, "{measured:?}");
    assert!(found[0].message.contains("Work 1 is built before it"), "{}", found[0].message);
    assert!(found[0].caution.is_some());
}

#[test]
fn the_bank_built_after_the_wall_ends_behind_it() {
    let site = bank_first(1.8 * BURIED_M);
    let remedy = design::remedy(&site, &found(&site, CODE)[0]).expect("a remedy");
    assert!(remedy.message.starts_with("Build Work 1 after Work 2"), "{}", remedy.message);
    check(&remedy.site.expect("a site"), CODE, &[]);
}

#[test]
fn a_bank_heaped_over_the_wall_buries_it_all_the_same() {
    let mut site = bank_first(1.8 * BURIED_M);
    site.works.swap(0, 1);
    let WorkKind::Wall(wall) = &mut site.works[0].kind else { panic!("a wall") };
    wall.top_m = vec![30.6];
    let found = found(&site, CODE);
    assert_eq!((found.len(), found[0].work), (1, Some(WorkId(2))), "{found:?}");
    assert!(found[0].message.contains("Work 1 is built after it"), "{}", found[0].message);
    // No order helps: the wall is raised until the bank ends behind it.
    let remedy = design::remedy(&site, &found[0]).expect("a remedy");
    assert!(remedy.message.starts_with("Raise the wall"), "{}", remedy.message);
    check(&remedy.site.expect("a site"), CODE, &[]);
}

#[test]
fn a_hill_heaped_over_a_wall_is_held_by_it() {
    let mut site = bank_first(6.0);
    let ridge =
        Hill { crest: straight(&[[-1.0, 2.0], [1.0, 2.0]]), crest_m: vec![31.2], ..hill(4.0) };
    site.works[0].kind = WorkKind::Hill(ridge);
    let WorkKind::Wall(wall) = &mut site.works[1].kind else { panic!("a wall") };
    (wall.holds, wall.top_m) = (None, vec![30.6]);
    site.works.swap(0, 1);
    let found = found(&site, CODE);
    assert_eq!((found.len(), found[0].work), (1, Some(WorkId(2))), "{found:?}");
    let remedy = found[0].remedy.as_ref().expect("a remedy");
    assert!(remedy.message.starts_with("Let Work 2 hold Work 1"), "{}", remedy.message);
    let remedy = design::remedy(&site, &found[0]).expect("one that clears it");
    check(&remedy.site.expect("a site"), CODE, &[]);
}

#[test]
fn a_heap_in_the_way_in_is_told() {
    let heaped = |from_m: f64| {
        let mut site = garden(2, Vec::new());
        site.carry.access_m = vec![[0.0, -20.0], [0.0, 10.0]];
        site.stockpiles.push(site::Stockpile {
            name: "Topsoil heap".into(),
            holds: site::earth::Heaped::Topsoil,
            outline_m: vec![
                [from_m, -2.0],
                [from_m + 4.0, -2.0],
                [from_m + 4.0, 2.0],
                [from_m, 2.0],
            ],
            run_per_rise: 1.5,
            height_m: 1.0,
        });
        site
    };
    let told = |site: &Site| {
        let of = |f: &Finding| f.message.starts_with("Topsoil heap stands in the way in");
        found(site, CODE).into_iter().find(of)
    };
    assert!(told(&heaped(0.1)).is_none());
    let site = heaped(-1.0);
    let finding = told(&site).expect("it stands across the way");
    assert_eq!(finding.severity, Severity::Stop);
    let remedy = design::remedy(&site, &finding).expect("a remedy");
    assert!(remedy.message.starts_with("Move Topsoil heap 1."), "{}", remedy.message);
    assert!(told(&remedy.site.expect("a site")).is_none());
}

/// A bay beside the pond of the tests, in this order.
fn bay_and_pond(bay_first: usize) -> Site {
    let pond = WorkKind::Basin(basin(29.9));
    let ids = [[WorkId(1), WorkId(2)], [WorkId(2), WorkId(1)]][bay_first];
    let bay = WorkKind::IntakeBay(IntakeBay {
        outline: straight(&[[4.8, -11.0], [6.8, -11.0], [6.8, -9.0], [4.8, -9.0]]),
        from: Some(ids[0]),
        sill: Sill { at: [4.8, -10.0], width_m: 0.6, depth_m: 0.1 },
        water_level_m: 29.9,
        freeboard_m: 0.1,
        depth_m: 0.6,
        side: 0.5,
        rim_width_m: 0.3,
        cut_bank: 2.0,
        fill_bank: 2.0,
        build_up: Default::default(),
        bank_build_up: Default::default(),
    });
    let works = if bay_first == 1 { vec![bay, pond] } else { vec![pond, bay] };
    garden(2, works)
}

#[test]
fn a_pond_built_after_its_bay_closes_it() {
    check(&bay_and_pond(0), CODE, &[]);
    let trapped = bay_and_pond(1);
    check(&trapped, CODE, &[(1, 1.0, 0.0)]);
    let finding = found(&trapped, CODE).remove(0);
    assert_eq!(finding.severity, Severity::Stop);
    let remedy = design::remedy(&trapped, &finding).expect("a remedy");
    assert!(remedy.message.starts_with("Build Work 1 after Work 2"), "{}", remedy.message);
}

/// A pond, and a pipe that runs `in_m` metres in from its edge along y = -10.
fn drained(in_m: f64) -> Site {
    let trench = Trench {
        line: straight(&[[-9.0, -10.0], [-4.0 + in_m, -10.0]]),
        invert_m: vec![GROUND_M - 1.0],
        width_m: 0.3,
        side: 0.0,
        bedding_m: 0.0,
        pipe_m: 0.1,
    };
    garden(2, vec![WorkKind::Basin(basin(GROUND_M - 0.2)), WorkKind::Trench(trench)])
}

#[test]
fn a_drain_is_laid_before_the_liner_over_it() {
    check(&drained(0.4), CODE, &[]);
    let site = drained(4.0);
    let found = found(&site, CODE);
    let [finding] = &found[..] else { panic!("{found:?}") };
    assert_eq!((finding.work, finding.severity), (Some(WorkId(2)), Severity::Stop));
    assert!((finding.measured.value - 4.0).abs() <= 0.3, "{finding:?}");
    let remedy = design::remedy(&site, finding).expect("the trench first clears it");
    assert_eq!(remedy.site.expect("a site").works[0].id, WorkId(2));
}

/// A way in along x = 0 from the south to y = 8, a pond across it and a lawn behind.
fn led_in(pond_first: bool) -> Site {
    let lawn = PlaneGrade {
        outline: straight(&[[-6.0, 2.0], [6.0, 2.0], [6.0, 8.0], [-6.0, 8.0]]),
        plane: Plane { at: [0.0, 5.0], level_m: GROUND_M + 0.3, toward: [0.0, 9.0], fall: 0.01 },
        cut_bank: 3.0,
        fill_bank: 3.0,
        build_up: Default::default(),
    };
    let (pond, lawn) = (WorkKind::Basin(basin(GROUND_M - 0.2)), WorkKind::PlaneGrade(lawn));
    let mut site = garden(2, if pond_first { vec![pond, lawn] } else { vec![lawn, pond] });
    site.carry.access_m = vec![[0.0, -20.0], [0.0, 8.0]];
    site
}

#[test]
fn a_pond_across_the_way_in_is_built_last() {
    check(&led_in(false), CODE, &[]);
    let site = led_in(true);
    let found = found(&site, CODE);
    let [finding] = &found[..] else { panic!("{found:?}") };
    assert_eq!((finding.work, finding.severity), (Some(WorkId(1)), Severity::LookAt));
    let remedy = design::remedy(&site, finding).expect("the pond last clears it");
    check(&remedy.site.expect("a site"), CODE, &[]);
    let mut round = led_in(true);
    round.carry.access_m = vec![[9.0, -20.0], [9.0, 5.0], [0.0, 8.0]];
    check(&round, CODE, &[]);
}

/// A carrier wants 10 cm on either side.
#[test]
fn a_carrier_that_does_not_pass_is_told() {
    let wide = |carrier_width_m: f64| {
        let mut site = garden(2, Vec::new());
        site.carry.access_m = vec![[0.0, -20.0], [0.0, 8.0]];
        site.carry.access_width_m = 1.0;
        site.carry.carrier_width_m = carrier_width_m;
        site
    };
    assert_eq!(found(&wide(0.79), CODE), []);
    let found = found(&wide(0.85), CODE);
    let [finding] = &found[..] else { panic!("{found:?}") };
    assert_eq!((finding.work, finding.severity), (None, Severity::Stop));
    assert!(finding.measured.value > finding.measured.limit);
}

/// No barrow is narrower than 0.6 m: through 0.7 m none passes with 10 cm on either side, and the way is
/// opened, with the gate across it.
#[test]
fn a_way_too_narrow_for_any_barrow_is_opened() {
    let mut site = garden(2, Vec::new());
    site.carry.access_m = vec![[0.0, -20.0], [0.0, 8.0]];
    (site.carry.access_width_m, site.carry.carrier_width_m) = (1.2, 0.9);
    let gate = site::keep_out::Gate { from: [-0.35, -10.0], to: [0.35, -10.0] };
    site.keep_outs = vec![site::KeepOut {
        name: "Gate".into(),
        note: String::new(),
        kind: site::KeepOutKind::Gate(gate),
    }];
    let finding = found(&site, CODE).into_iter().next().expect("it is told");
    let remedy = design::remedy(&site, &finding).expect("the way opened");
    assert!(remedy.message.starts_with("Open the way in to 1.10 m"), "{}", remedy.message);
    let mut edited = *remedy.site.expect("a site with it open");
    assert_eq!(found(&edited, CODE), []);
    let site::KeepOutKind::Gate(gate) = &mut edited.keep_outs[0].kind else { panic!("a gate") };
    gate.to[0] -= 0.05;
    assert_eq!(found(&edited, CODE).len(), 1);
}
