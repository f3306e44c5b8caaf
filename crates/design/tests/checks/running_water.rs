//! Running water: numbers of a plain garden by hand, from the published forms.

use design::{CrestPlace, Running, evaluate, running};
use site::circulation::*;
use site::works::*;
use site::{Site, Work, WorkId, WorkKind};

use super::*;

/// Standard gravity, as the formulas take it.
const G: f64 = 9.80665;
/// Level of the pond and of the lip.
const WATER_M: f64 = 29.8;
const LIP_M: f64 = 31.0;

/// A plain line of a diameter and length, its friction beside a curve's head by hand.
pub(crate) fn pipe(inner_m: f64, length_m: f64) -> Pipe {
    Pipe { inner_m: Some(inner_m), length_m: Some(length_m), ..Pipe::default() }
}

/// A pump by its curve from pond 1 to what it feeds.
pub(crate) fn pump(feeds: u32, curve: &[[f64; 2]], pipe: Pipe) -> Pump {
    let point = |&[flow_l_s, head_m]: &[f64; 2]| CurvePoint { flow_l_s, head_m };
    Pump {
        draws_from: Some(WorkId(1)),
        curve: PumpCurve::Points(curve.iter().map(point).collect()),
        lines: vec![FeedLine { feeds: Some(WorkId(feeds)), outlet_m: None, pipe }],
        ..Pump::default()
    }
}

/// A stream of four metres from the filter's lip to the pond, with one fall of 0.4 m.
pub(crate) fn stream() -> Stream {
    let station = |along_m, invert_m| Station {
        along_m,
        invert_m,
        bed_width_m: 0.5,
        side: 1.0,
        edge_m: [0.2; 2],
    };
    Stream {
        line: straight(&[[0.0, 2.0], [0.0, -6.2]]),
        from: Some(WorkId(2)),
        into: Some(WorkId(1)),
        stations: vec![station(0.0, 30.8), station(4.0, 30.7), station(8.2, WATER_M)],
        falls: vec![Fall {
            along_m: 4.0,
            crest_m: 30.7,
            crest_width_m: 0.5,
            drop_m: 0.5,
            pool_m: 0.0,
            parts: Vec::new(),
            stone_m: None,
            face_run_m: None,
        }],
        bed_stone_m: Some(0.03),
        bed: None,
        sheet_m: None,
        water_depth_m: 0.05,
        freeboard_m: 0.05,
        cut_bank: 3.0,
        fill_bank: 3.0,
        rim_width_m: 0.2,
        islands: Vec::new(),
        bed_build_up: Default::default(),
        side_build_up: Default::default(),
        bank_build_up: Default::default(),
    }
}

/// Pond 1, filter 2 and stream 3, with a pump to the filter.
pub(crate) fn watered(pump: Pump, stream: Stream) -> Site {
    let kinds = vec![
        WorkKind::Basin(basin(WATER_M)),
        WorkKind::FilterBed(filter(LIP_M)),
        WorkKind::Stream(stream),
    ];
    let mut site = garden(2, kinds);
    site.circulation.pumps = vec![pump];
    site
}

fn run(site: &Site) -> Running {
    running(site, &evaluate(site))
}

/// Darcy-Weisbach and Colebrook by fixed point, as one would by hand: friction of a smooth pipe at 15
/// degrees (viscosity 1.139e-6 m2/s, roughness 0.0015 mm).
fn friction_m(flow_m3_s: f64, inner_m: f64, length_m: f64) -> f64 {
    let area_m2 = std::f64::consts::PI * inner_m * inner_m / 4.0;
    let velocity = flow_m3_s / area_m2;
    let reynolds = velocity * inner_m / 1.139e-6;
    let mut f: f64 = 0.02;
    for _ in 0..60 {
        let inner = 1.5e-6 / inner_m / 3.7 + 2.51 / (reynolds * f.sqrt());
        f = (-2.0 * libm::log10(inner)).powi(-2);
    }
    f * length_m / inner_m * velocity * velocity / (2.0 * G)
}

/// One lip of stone, one pump line, one pipe: the head that the pump gives is the lift from the
/// pond's running level to the water over the lip, and the pipe's friction.
#[test]
fn the_duty_point_closes_by_hand() {
    let site = watered(pump(2, &[[0.0, 6.0], [8.0, 0.0]], pipe(0.05, 20.0)), stream());
    let running = run(&site);
    let duty = running.pumps[0].duty.as_ref().expect("all is given");
    let flow = duty.flow_m3_s;
    // A straight curve from 6 m to 8 L/s.
    assert!((duty.head_m - 6.0 * (1.0 - flow / 0.008)).abs() < 1e-6, "{duty:?}");
    // Broad crest, Q = 1.705 b H^1.5 (W-07).
    let head_m = libm::pow(flow / (1.705 * 0.5), 2.0 / 3.0);
    let levels = running.ponds[0].levels.as_ref().expect("all is given");
    let lift_m = LIP_M + head_m - levels.running_m;
    assert!((duty.lines[0].lift_m - lift_m).abs() < 5e-4, "{} {lift_m}", duty.lines[0].lift_m);
    let loss_m = friction_m(flow, 0.05, 20.0);
    assert!((duty.lines[0].loss_m - loss_m).abs() < 0.002 * loss_m, "{duty:?} {loss_m}");
    assert!((duty.head_m - lift_m - loss_m).abs() < 2e-3);
    let velocity = flow / (std::f64::consts::PI * 0.05 * 0.05 / 4.0);
    assert!((duty.velocity_m_s - velocity).abs() < 1e-9);
    // What is not given is not told, and says what it is.
    let missing = |told: &Result<f64, design::Unknown>| told.clone().unwrap_err().0;
    assert!(missing(&duty.power_w).contains("watts"));
    assert!(missing(&running.pumps[0].clogged_m3_s).contains("intake guard"));
    assert!(missing(&running.pumps[0].half_closed_m3_s).contains("gate valve"));
}

#[test]
fn the_water_over_crests_is_the_published_one() {
    let site = watered(pump(2, &[[0.0, 6.0], [8.0, 0.0]], pipe(0.05, 20.0)), stream());
    let running = run(&site);
    let crests = running.streams[0].crests.as_ref().expect("all is given");
    assert_eq!(crests[0].crest, CrestPlace::Lip(WorkId(2)));
    assert_eq!(crests[1].crest, CrestPlace::Fall(WorkId(3), 0));
    let fall = &crests[1];
    let unit = fall.flow_m3_s / 0.5;
    let head_m = libm::pow(unit / 1.705, 2.0 / 3.0);
    assert!((fall.head_m - head_m).abs() < 2e-4 * head_m, "{fall:?} {head_m}");
    // Brink at 0.715 of the critical depth (Rouse).
    let brink_m = 0.715 * (unit * unit / G).cbrt();
    assert!((fall.brink_m - brink_m).abs() < 1e-9);
    // Edges 50 mm above the head, which is the more here.
    assert!((fall.edge_above_crest_m - head_m - 0.05).abs() < 1e-5);
    // Free fall from the brink: V (2 h / g)^0.5 of its outer side.
    let drop_m = fall.drop_m.expect("it falls");
    let throw_m = unit / brink_m * (2.0 * (drop_m + brink_m) / G).sqrt();
    assert!((fall.throw_m.expect("it falls") - throw_m).abs() < 1e-6);
    assert!((fall.liner_needed_m.expect("it falls") - throw_m - 0.3).abs() < 1e-6);
}

/// What runs is drawn from the pond: its level falls by the water in motion over its area.
#[test]
fn the_pond_falls_by_what_is_in_motion() {
    let site = watered(pump(2, &[[0.0, 6.0], [8.0, 0.0]], pipe(0.05, 20.0)), stream());
    let running = run(&site);
    let levels = running.ponds[0].levels.as_ref().expect("all is given");
    let water = running.streams[0].water.as_ref().expect("all is given");
    let crests = running.streams[0].crests.as_ref().expect("all is given");
    let pipe_m3 = std::f64::consts::PI * 0.05 * 0.05 / 4.0 * 20.0;
    let over_lip_m3 = crests[0].head_m * 4.0;
    let in_motion = water.in_motion_m3 + over_lip_m3 + pipe_m3;
    assert!((levels.in_motion_m3 - in_motion).abs() < 2e-3 * in_motion, "{levels:?} {in_motion}");
    // Banks of 1 m run to 0.5 m depth: at the water 8 m less 2 x 0.2 of rim's slope.
    let area_m2 = evaluate(&site).water.iter().map(|body| body.area_m2).fold(0.0, f64::max);
    assert!((levels.drop_m - in_motion / area_m2).abs() < 0.02 * levels.drop_m, "{levels:?}");
    assert!((levels.rise_m - in_motion / area_m2).abs() < 0.02 * levels.rise_m, "{levels:?}");
    // A check valve keeps the pipe's water in it.
    let mut valved = site.clone();
    let line = &mut valved.circulation.pumps[0].lines[0].pipe;
    line.fittings = vec![Fittings { kind: FittingKind::CheckValve, count: 1 }];
    let kept = run(&valved).ponds[0].levels.clone().expect("all is given");
    assert!(kept.in_motion_m3 < levels.in_motion_m3 - 0.9 * pipe_m3);
}

#[test]
fn what_is_missing_is_named_and_nothing_is_told_as_nought() {
    let whole = watered(pump(2, &[[0.0, 6.0], [8.0, 0.0]], pipe(0.05, 20.0)), stream());
    let why = |change: fn(&mut Site)| {
        let mut site = whole.clone();
        change(&mut site);
        let running = run(&site);
        let why = running.pumps[0].duty.clone().unwrap_err().0;
        // Nothing that hangs on it is told either.
        assert!(running.streams[0].flow_m3_s.is_err() && running.streams[0].water.is_err());
        assert!(running.ponds.iter().all(|pond| pond.levels.is_err()));
        why
    };
    assert_eq!(
        why(|site| site.circulation.pumps[0].lines[0].pipe.inner_m = None),
        "the inner diameter of line 1 is not given"
    );
    assert_eq!(
        why(|site| site.circulation.pumps[0].lines[0].pipe.length_m = None),
        "the length of line 1 is not given"
    );
    assert_eq!(
        why(|site| site.circulation.pumps[0].draws_from = None),
        "what it draws from is not given"
    );
    assert_eq!(
        why(|site| site.circulation.pumps[0].lines.clear()),
        "it has no line to anything that it feeds"
    );
    assert_eq!(why(|site| site.works[0].visible = false), "what it draws from holds no water");
    // Without the stones' size the crests are told, the water along the bed is not.
    let mut site = whole.clone();
    let WorkKind::Stream(stream) = &mut site.works[2].kind else { panic!("a stream") };
    stream.bed_stone_m = None;
    let running = run(&site);
    assert_eq!(running.streams[0].crests.as_ref().map(Vec::len), Ok(2));
    let why = running.streams[0].water.clone().unwrap_err().0;
    assert!(why.contains("size of its bed's stones"), "{why}");
    // And without a pump there is nothing to tell.
    site.circulation.pumps.clear();
    assert!(run(&site).streams.is_empty() && run(&site).ponds[0].levels.is_err());
}

/// The width at which this pump's water is as thick as is wanted: the brink is 0.715 of the critical
/// depth (Rouse), q^2 = g yc^3.
#[test]
fn the_width_for_the_pump_at_hand() {
    let wanted = Stream { sheet_m: Some(0.012), ..stream() };
    let site = watered(pump(2, &[[0.0, 6.0], [8.0, 0.0]], pipe(0.05, 20.0)), wanted);
    let running = run(&site);
    for crest in running.streams[0].crests.as_ref().expect("all is given") {
        let critical_m: f64 = 0.012 / 0.715;
        let by_hand = crest.flow_m3_s / (G * critical_m * critical_m * critical_m).sqrt();
        let width_m = crest.width_wanted_m.expect("a thickness is wanted");
        assert!((width_m / by_hand - 1.0).abs() < 1e-6, "{width_m} {by_hand}");
    }
    // As wide as that it runs as thick as that.
    let mut wide = site.clone();
    let WorkKind::Stream(stream) = &mut wide.works[2].kind else { panic!("a stream") };
    let crests = running.streams[0].crests.as_ref().expect("all is given");
    stream.falls[0].crest_width_m = crests[1].width_wanted_m.expect("a thickness is wanted");
    let again = run(&wide).streams[0].crests.clone().expect("all is given");
    assert!((again[1].brink_m - 0.012).abs() < 2e-4, "{:?}", again[1]);
}

/// A face that runs out farther than the water is thrown carries it.
#[test]
fn a_face_that_runs_out_makes_a_chute_of_a_fall() {
    let kind = |face_run_m| {
        let mut stream = stream();
        stream.falls[0].face_run_m = face_run_m;
        let running = run(&watered(pump(2, &[[0.0, 6.0], [8.0, 0.0]], pipe(0.05, 20.0)), stream));
        let crests = running.streams[0].crests.as_ref().expect("all is given");
        (crests[1].comes_down, crests[1].throw_m.expect("it falls"))
    };
    let (upright, throw_m) = kind(None);
    assert_eq!(upright, Some(design::FallKind::Sheet));
    assert_eq!(kind(Some(0.5 * throw_m)), (upright, throw_m));
    let (chute, foot_m) = kind(Some(1.5 * throw_m));
    assert_eq!(chute, Some(design::FallKind::Chute));
    assert!((foot_m - 1.5 * throw_m).abs() < 1e-9, "{foot_m} {throw_m}");
}

/// Two halves of one crest at one level share alike; a stone 20 mm higher takes less.
#[test]
fn the_parts_of_a_crest_share_one_level() {
    let part = |width_m, above_m| CrestPart { width_m, above_m };
    let mut parted = stream();
    parted.falls[0].parts = vec![part(0.25, 0.0), part(0.25, 0.02)];
    let site = watered(pump(2, &[[0.0, 6.0], [8.0, 0.0]], pipe(0.05, 20.0)), parted);
    let running = run(&site);
    let crests = running.streams[0].crests.as_ref().expect("all is given");
    let [low, high] = &crests[1].parts[..] else { panic!("{crests:?}") };
    let whole = crests[1].flow_m3_s;
    assert!((low.flow_m3_s + high.flow_m3_s - whole).abs() < 1e-9);
    let level = |flow: f64, above: f64| libm::pow(flow / (1.705 * 0.25), 2.0 / 3.0) + above;
    let [a, b] = [level(low.flow_m3_s, 0.0), level(high.flow_m3_s, 0.02)];
    assert!((a - b).abs() < 2e-5, "{a} {b}");
    assert!((high.of_even_share - high.flow_m3_s / (0.5 * whole)).abs() < 1e-9);
}

/// Three twins of a pump side by side give three times the flow at a head.
#[test]
fn pumps_side_by_side_add_their_flows() {
    let one = pump(2, &[[0.0, 6.0], [9.0, 0.0]], pipe(0.1, 10.0));
    let three = Pump { count: 3, ..pump(2, &[[0.0, 6.0], [3.0, 0.0]], pipe(0.1, 10.0)) };
    let flow = |pump| run(&watered(pump, stream())).pumps[0].duty.clone().unwrap().flow_m3_s;
    assert!((flow(one) - flow(three)).abs() < 1e-9);
}

#[test]
fn a_common_pump_has_its_power_and_its_energy() {
    let mut common = pump(2, &[[0.0, 6.0], [8.0, 0.0]], pipe(0.075, 20.0));
    common.curve = PumpCurve::Common(CommonPump::Litres6);
    common.hours_per_day = Some(12.0);
    let mut site = watered(common, stream());
    site.circulation.price_per_kwh = Some(0.25);
    let running = run(&site);
    let duty = running.pumps[0].duty.as_ref().expect("all is given");
    assert_eq!(duty.power_w, Ok(400.0));
    // 400 W, 12 h a day, 365.25 / 12 days.
    let kwh = 0.4 * 12.0 * 365.25 / 12.0;
    assert!((duty.kwh_month.clone().unwrap() - kwh).abs() < 1e-9);
    assert!((duty.cost_month.clone().unwrap() - 0.25 * kwh).abs() < 1e-9);
}

/// Both demos carry a whole design: every number of it is told, and none of it is to stop for.
#[test]
fn the_demos_water_is_told_whole() {
    for site in [demos::rear_garden(), demos::level_garden()] {
        let evaluation = evaluate(&site);
        let plan = design::water_plan(&site, &evaluation);
        let start = demos::on_processor();
        (0..10).for_each(|_| drop(running(&site, &evaluation)));
        let mean = (demos::on_processor() - start) / 10;
        println!("{}: running water in {mean:?}", site.title);
        let pump = &plan.running.pumps[0];
        let duty = pump.duty.as_ref().expect("all is given");
        assert!(duty.cost_month.is_ok() && pump.clogged_m3_s.is_ok(), "{pump:?}");
        assert!(pump.clogged_m3_s.clone().unwrap() < duty.flow_m3_s);
        assert!(pump.half_closed_m3_s.clone().unwrap() < duty.flow_m3_s);
        assert!(duty.flow_m3_s >= pump.wanted_m3_s.clone().unwrap(), "{pump:?}");
        let stream = &plan.running.streams[0];
        let crests = stream.crests.as_ref().expect("all is given");
        println!("{}: {duty:?}", site.title);
        crests.iter().for_each(|crest| println!("  {crest:?}"));
        let water = stream.water.as_ref().expect("all is given");
        println!("  {:?} {:?} {:?}", water.in_motion_m3, water.still_m3, water.arms);
        println!("  {:?}", plan.running.filters[0]);
        println!("  {:?}\n  {:?}\n  {:?}", plan.running.ponds[0], plan.rain, plan.soil);
        let pond = &plan.running.ponds[0];
        assert!(pond.levels.is_ok() && pond.fall_m_week.is_ok() && pond.filling_h.is_ok());
        assert!(plan.running.filters[0].clean_loss_m.is_ok());
        assert!(plan.rain[0].width_needed_m.is_ok() && plan.rain[0].goes.is_ok());
        assert!(matches!(plan.soil.washing, Some(Ok(_))));
        for finding in &evaluation.findings {
            println!("  {:?} {:?} {}", finding.code, finding.severity, finding.message);
        }
    }
}

/// A flow that was tried is moved once it is taken, by the valve or by another pump and its valve.
#[test]
fn a_tried_flow_becomes_the_plan() {
    let site = watered(pump(2, &[[0.0, 6.0], [8.0, 0.0]], pipe(0.075, 20.0)), stream());
    let evaluation = evaluate(&site);
    let planned = run(&site).pumps[0].duty.clone().unwrap().flow_m3_s;
    for (share, words) in [(0.97, "Its gate valve"), (0.5, "A common pump"), (1.6, "A common pump")]
    {
        let wanted = share * planned;
        let taken = design::with_flow(&site, &evaluation, 0, wanted).expect("it can be had");
        let mut then = site.clone();
        then.circulation = taken.circulation;
        assert_eq!(then.check(), Ok(()));
        let moves = run(&then).pumps[0].duty.clone().unwrap().flow_m3_s;
        assert_eq!(moves, taken.moves_m3_s);
        assert!((moves / wanted - 1.0).abs() < 0.25, "{share}: {moves} {wanted}");
        assert!(taken.message.contains(words), "{share}: {}", taken.message);
    }
    let why = design::with_flow(&site, &evaluation, 0, 1.0).expect_err("a cubic metre a second");
    assert!(why.0.contains("no common pump"), "{why}");
    assert!(design::with_flow(&site, &evaluation, 3, planned).is_err());
}

/// Two streams from one filter: the first at its lip, the other from its west side, its head so much above
/// the lip.
fn two_streams(above_m: f64) -> Site {
    let mut site = watered(pump(2, &[[0.0, 6.0], [8.0, 0.0]], pipe(0.05, 20.0)), stream());
    let mut second = stream();
    let WorkKind::FilterBed(bed) = &site.works[1].kind else { panic!("a filter") };
    // As far to the side of the lip as it is wide, along the same edge.
    let aside_m = 1.5 * bed.lip.width_m;
    second.line.points.iter_mut().for_each(|at| at[0] += aside_m);
    second.stations[0].invert_m = LIP_M + above_m;
    site.works.push(Work {
        id: WorkId(4),
        name: "Second stream".into(),
        kind: WorkKind::Stream(second),
        ..site.works[2].clone()
    });
    site.next_id = 5;
    site
}

/// Of a broad crest Q = 1.705 b H^1.5 (W-07): two crests at one level upstream share as b H^1.5.
#[test]
fn streams_from_one_filter_share_what_comes() {
    for above_m in [0.0, 0.01, 0.02] {
        let site = two_streams(above_m);
        let running = run(&site);
        let whole = running.pumps[0].duty.as_ref().expect("all is given").flow_m3_s;
        let flows = [0, 1].map(|i| *running.streams[i].flow_m3_s.as_ref().expect("it runs"));
        assert!((flows[0] + flows[1] - whole).abs() < 1e-9 * whole, "{flows:?} {whole}");
        // The two stand in one water.
        let crest = |i: usize| running.streams[i].crests.as_ref().expect("it runs")[0].clone();
        let level_m = |i: usize| crest(i).at_m[2] + crest(i).head_m;
        assert!((level_m(0) - level_m(1)).abs() < 3e-4, "{} {}", level_m(0), level_m(1));
        assert_eq!(crest(0).crest, CrestPlace::Lip(WorkId(2)));
        assert_eq!(crest(1).crest, CrestPlace::Head(WorkId(4)));
        assert!((crest(1).at_m[2] - LIP_M - above_m).abs() < 1e-12);
        if above_m > 0.0 {
            assert!(flows[1] < flows[0] * crest(1).width_m / crest(0).width_m, "{flows:?}");
        }
        let ways = running.filters[0].ways.as_ref().expect("it runs");
        assert_eq!(
            ways.iter().map(|way| way.stream).collect::<Vec<_>>(),
            [3, 4].map(|id| Some(WorkId(id)))
        );
        assert!((ways[0].flow_m3_s - flows[0]).abs() < 1e-12 && ways[1].flow_m3_s == flows[1]);
        // And the pond knows what is in motion.
        running.ponds[0].levels.as_ref().expect("both run back into it");
    }
    // Level with each other no side is starved; 2 cm higher it gets less than half of its width's.
    let starved = |above_m| found(&two_streams(above_m), design::Code::SplitStarves);
    assert_eq!(starved(0.0), []);
    let finding = starved(0.02).remove(0);
    assert_eq!((finding.work, finding.severity), (Some(WorkId(4)), design::Severity::LookAt));
    let remedy = design::remedy(&two_streams(0.02), &finding).expect("its head is lowered");
    assert!(remedy.message.starts_with("Lower its head by 0.02 m"), "{}", remedy.message);
    assert_eq!(starved(0.2).remove(0).severity, design::Severity::Stop);
    let gaps = found(&two_streams(0.02), design::Code::StreamDoesNotClose);
    assert!(gaps.iter().all(|gap| gap.work == Some(WorkId(3))), "{gaps:?}");
    // Too high, nothing enters it, and all goes over the lip.
    let site = two_streams(0.2);
    let running = run(&site);
    assert!(running.streams[1].flow_m3_s.as_ref().is_err_and(|why| why.0.contains("no water")));
    let whole = running.pumps[0].duty.as_ref().expect("all is given").flow_m3_s;
    assert!((running.streams[0].flow_m3_s.as_ref().expect("it runs") - whole).abs() < 1e-12);
    running.ponds[0].levels.as_ref().expect("the one that runs comes back");
}
