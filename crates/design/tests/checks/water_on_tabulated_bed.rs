//! A stream whose roughness a table tells: it runs at the normal depth of Manning's n, by hand.

use design::{Running, StreamWater, Trust, bed_row, evaluate, running};
use site::field::{FieldValue, Quantity, fields, set};
use site::works::{Stream, StreamBed};
use site::{Site, WorkKind};

use super::running_water::{pipe, pump, stream, watered};

/// Fall of the bed for each metre along, from head to mouth.
const SLOPE: f64 = 1.0 / 8.2;

/// Each bed as the card names it, as the table does, and its normal n: Chow 1959, table 5-6 (C-24, C-25);
/// mortar and concrete from memory; the liner by common practice.
const ROWS: [(StreamBed, &str, &str, f64); 7] = [
    (
        StreamBed::GravelAndCobbles,
        "gravel and cobbles",
        "mountain stream: gravel, cobbles and few boulders",
        0.040,
    ),
    (
        StreamBed::CobblesAndBoulders,
        "cobbles and boulders",
        "mountain stream: cobbles with large boulders",
        0.050,
    ),
    (StreamBed::CleanAndStraight, "clean and straight", "clean and straight", 0.030),
    (StreamBed::WindingWithStones, "winding, with stones", "winding, with stones", 0.045),
    (StreamBed::BareLiner, "bare liner", "bare liner", 0.011),
    (StreamBed::MortaredStone, "mortared stone", "mortared stone", 0.025),
    (StreamBed::SmoothConcrete, "smooth concrete", "smooth concrete", 0.013),
];

/// An even bed without falls.
fn even(bed_stone_m: Option<f64>, bed: Option<StreamBed>) -> Stream {
    let mut stream = Stream { bed_stone_m, bed, falls: Vec::new(), ..stream() };
    let (head, mouth) = (stream.stations[0], stream.stations[2]);
    assert!((head.invert_m - mouth.invert_m - SLOPE * mouth.along_m).abs() < 1e-12);
    stream.stations.remove(1);
    stream
}

fn site_with(stream: Stream) -> Site {
    watered(pump(2, &[[0.0, 6.0], [8.0, 0.0]], pipe(0.05, 20.0)), stream)
}

fn run(stream: Stream) -> Running {
    let site = site_with(stream);
    running(&site, &evaluate(&site))
}

fn water(running: &Running) -> &StreamWater {
    running.streams[0].water.as_ref().expect("all is given")
}

/// Depth at which Q = A R^(2/3) S^(1/2) / n over a bed of 0.5 m with sides of 1 in 1, by halving.
fn normal_depth_m(flow_m3_s: f64, n: f64) -> f64 {
    let (mut low, mut high) = (0.0, 0.2);
    for _ in 0..60 {
        let y: f64 = 0.5 * (low + high);
        let (area, wetted) = ((0.5 + y) * y, 0.5 + 2.0 * y * 2.0_f64.sqrt());
        let carried = area * libm::pow(area / wetted, 2.0 / 3.0) * SLOPE.sqrt() / n;
        if carried < flow_m3_s { low = y } else { high = y }
    }
    low
}

#[test]
fn each_bed_runs_at_the_normal_depth_of_its_n() {
    for (bed, _, words, n) in ROWS {
        let stream = even(None, Some(bed));
        assert_eq!(bed_row(&stream).map(|row| (row.bed, row.n[1])), Some((words, n)));
        let running = run(stream);
        let flow = *running.streams[0].flow_m3_s.as_ref().expect("all is given");
        let by_hand_m = normal_depth_m(flow, n);
        // Far below the head and above the mouth.
        let along = |p: &&design::RunPoint| (5.0..6.5).contains(&p.along_m);
        let points: Vec<_> = water(&running).points.iter().filter(along).collect();
        assert!(!points.is_empty());
        for point in points {
            let depth_m = point.level_m - point.bed_m;
            assert!((depth_m / by_hand_m - 1.0).abs() < 1e-3, "{words}: {depth_m} {by_hand_m}");
            // The table was made for deeper water: half a foot (common practice).
            assert_eq!(point.trust, Trust::Estimate);
            // Of stones nothing is known.
            assert_eq!(point.of_stones_velocity, None);
        }
    }
}

#[test]
fn a_size_of_stones_rules_over_the_table() {
    let by_size = run(even(Some(0.03), None));
    let by_both = run(even(Some(0.03), Some(StreamBed::BareLiner)));
    assert_eq!(by_both, by_size);
    assert!(water(&by_both).points.iter().all(|p| p.of_stones_velocity.is_some()));
    assert_eq!(bed_row(&even(Some(0.03), Some(StreamBed::BareLiner))), None);
    assert_ne!(run(even(None, Some(StreamBed::BareLiner))), by_size);
}

#[test]
fn with_neither_the_water_is_unknown() {
    let running = run(even(None, None));
    let why = running.streams[0].water.clone().unwrap_err().0;
    assert_eq!(why, "neither the size of its bed's stones nor a bed of the table is given");
}

/// What the card offers is what is stored and taken.
#[test]
fn the_card_names_each_bed_and_none() {
    let mut site = site_with(even(None, None));
    let work = &mut site.works[2];
    let field = fields(work).into_iter().find(|f| f.path == "bed").expect("it has a bed");
    let Quantity::Choice(names) = field.quantity else { panic!("a choice") };
    assert_eq!((names.len(), names[0]), (ROWS.len() + 1, "not given"));
    let bed = |work: &site::Work| match &work.kind {
        WorkKind::Stream(stream) => stream.bed,
        _ => None,
    };
    for (i, (stored, name, ..)) in ROWS.into_iter().enumerate() {
        assert_eq!(names[i + 1], name);
        set(work, "bed", FieldValue::Choice(i + 1)).unwrap();
        assert_eq!(bed(work), Some(stored));
    }
    set(work, "bed", FieldValue::Choice(0)).unwrap();
    assert_eq!(bed(work), None);
}
