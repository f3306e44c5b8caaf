//! Pools of a stream that stay full when its pump stops.

use design::{Evaluation, WaterBody, WaterKind};
use site::WorkKind;
use site::works::{Fall, Station, Stream};

use crate::garden::*;

fn fall(along_m: f64, crest_m: f64, drop_m: f64, pool_m: f64) -> Fall {
    Fall {
        along_m,
        crest_m,
        crest_width_m: 0.6,
        drop_m,
        pool_m,
        parts: Vec::new(),
        stone_m: None,
        face_run_m: None,
    }
}

/// A stream of 10 m, 0.6 m wide between upright sides, with two falls.
///
/// ```text
///   -0.3 ___
///           |                ___ -0.5
///      -0.7 |_______________|   |_______ -0.8 to -0.9
///           2              5.7  6        10
/// ```
fn falling(placed: Placed, pool_m: f64) -> Stream {
    let station = |along_m: f64, invert_m: f64| Station {
        along_m,
        invert_m,
        bed_width_m: 0.6,
        side: 0.0,
        edge_m: [0.5, 0.5],
    };
    Stream {
        stations: vec![station(0.0, -0.3), station(10.0, -0.9)],
        falls: vec![fall(2.0, -0.3, 0.4, 0.0), fall(6.0, -0.5, 0.3, pool_m)],
        ..stream(placed, 10.0)
    }
}

fn evaluated(placed: Placed, stream: Stream) -> Evaluation {
    sound(&site(placed, |_| 0.0, vec![WorkKind::Stream(stream)]))
}

fn pools(evaluation: &Evaluation) -> Vec<&WaterBody> {
    let is_pool = |body: &&WaterBody| matches!(body.kind, WaterKind::Pool { .. });
    evaluation.water.iter().filter(is_pool).collect()
}

#[test]
fn a_prismatic_pool_stays_full_to_its_crest() {
    for placed in [AS_DRAWN, TURNED, MOVED] {
        let evaluation = evaluated(placed, falling(placed, 0.2));
        assert_eq!(evaluation.water[0].kind, WaterKind::Stream);
        let [pool] = pools(&evaluation)[..] else { panic!("there is one pool") };
        assert_eq!((pool.kind, pool.level_m), (WaterKind::Pool { along_m: 6.0 }, -0.5));
        // The sides lean by 5 mm over the 0.5 m of the edge and the pool's own depth below the line
        // from foot to crest, which rises 0.05 m for each metre.
        let leans_m2 = 2.0 * 0.005 * 0.2 / 0.05 * libm::log((0.5 + 0.05 * 3.7) / 0.5);
        let (area, volume) = (3.7 * 0.6 + leans_m2, 3.7 * 0.6 * 0.2 + 0.5 * 0.2 * leans_m2);
        assert!((pool.area_m2 - area).abs() < 1e-3, "{}, not {area}", pool.area_m2);
        assert!((pool.volume_m3 - volume).abs() < 1e-4, "{}, not {volume}", pool.volume_m3);
        // The running water has the pool in it.
        assert!(evaluation.water[0].volume_m3 > pool.volume_m3);
        assert!(pool.sheet.is_empty() && pool.stages.is_empty());
    }
}

#[test]
fn a_stream_without_pools_keeps_no_water() {
    let level = Stream { falls: vec![fall(5.0, -0.5, 0.3, 0.0)], ..stream(AS_DRAWN, 10.0) };
    let evaluation = evaluated(AS_DRAWN, level);
    assert_eq!(evaluation.water.len(), 1);
}

/// An edge that lies below the crest lets the pool out before it is full.
#[test]
fn a_pool_is_no_higher_than_its_lowest_edge() {
    let mut low = falling(AS_DRAWN, 0.2);
    let lowest = Station { along_m: 4.0, invert_m: -0.7, edge_m: [0.5, 0.06], ..low.stations[0] };
    low.stations.insert(1, lowest);
    let evaluation = sound(&site(AS_DRAWN, |_| -1.5, vec![WorkKind::Stream(low)]));
    let [pool] = pools(&evaluation)[..] else { panic!("there is one pool") };
    // The right edge is lowest in the pool's middle: 0.06 m above its bed at -0.7 m.
    assert!((pool.level_m + 0.64).abs() < 1e-6, "{}", pool.level_m);
}

/// A rock on the very place where the floor is looked for.
#[test]
fn a_rock_before_the_crest_takes_its_volume_of_the_pool() {
    let corners = [[0.5, -0.05], [0.69, -0.05], [0.69, 0.05], [0.5, 0.05]];
    let rock = site::works::Island { outline: AS_DRAWN.line(&corners), top_m: -0.4 };
    let parted = Stream { islands: vec![rock], ..falling(AS_DRAWN, 0.2) };
    let [bare, parted] = [falling(AS_DRAWN, 0.2), parted].map(|stream| {
        let evaluation = evaluated(AS_DRAWN, stream);
        assert_eq!(evaluation.works[0].shape.problems, []);
        let [pool] = pools(&evaluation)[..] else { panic!("there is one pool") };
        [pool.area_m2, pool.volume_m3]
    });
    let (area, volume) = (0.19 * 0.1, 0.19 * 0.1 * 0.2);
    assert!((bare[0] - parted[0] - area).abs() < 0.005 * 0.6, "{bare:?} {parted:?}");
    assert!((bare[1] - parted[1] - volume).abs() < 0.005 * 0.6 * 0.2, "{bare:?} {parted:?}");
}
