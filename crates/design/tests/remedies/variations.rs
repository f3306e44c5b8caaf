//! Ten variations of each demo: what a client or a crew changes, and what goes wrong by it.

use site::circulation::CommonPump;
use site::keep_out::{BuriedLine, Certainty, Tree};
use site::works::*;
use site::{Curve, House, KeepOut, KeepOutKind, Site, Work, WorkId, WorkKind};

/// What is changed, and the change.
pub(super) type Variation = (&'static str, fn(&mut Site));

/// Of the garden on a slope: works 1 pond, 2 hill, 3 filter, 4 wall, 5 stream.
pub(super) const SLOPED: [Variation; 10] = [
    ("a smaller pump and a thin pipe", |site| {
        let pump = &mut site.circulation.pumps[0];
        pump.curve = site::circulation::PumpCurve::Common(CommonPump::Litres2);
        pump.lines[0].pipe.inner_m = Some(0.0351);
    }),
    ("a pump far too large", |site| {
        site.circulation.pumps[0].curve =
            site::circulation::PumpCurve::Common(CommonPump::Litres20);
    }),
    ("the pond 10 in higher, its stream as it was", |site| {
        basin_of(site, 1).water_level_m += 0.254;
    }),
    ("groundwater at 100 ft", |site| site.soils.groundwater_m = Some(30.48)),
    ("the wall built first, and 2 ft higher", |site| {
        let wall = site.works.remove(3);
        site.works.insert(0, wall);
        wall_of(site, 4).top_m.iter_mut().for_each(|m| *m += 0.61);
    }),
    ("a terrace that falls toward the house", |site| {
        add(site, "Terrace", pad([[4.0, 0.1], [10.0, 0.1], [10.0, 3.4], [4.0, 3.4]], 30.45, -0.02));
    }),
    ("narrow shelves that lie deep", |site| {
        let basin = basin_of(site, 1);
        basin.rings[1].shape = RingShape::Inset { run_m: vec![0.2] };
        for (i, ring) in basin.rings.iter_mut().enumerate().skip(2) {
            ring.depth_m = 0.85 + 0.05 * i as f64;
        }
        basin.floor = Floor::Level;
    }),
    ("a young tree and a gas line at the pond", |site| {
        keep(
            site,
            "Birch",
            KeepOutKind::Tree(Tree { at: [14.6, 12.0], stem_m: 0.12, roots_per_stem: 12.0 }),
        );
        keep(
            site,
            "Gas to the shed",
            KeepOutKind::BuriedLine(BuriedLine {
                carries: site::keep_out::Service::Gas,
                line_m: vec![[5.6, 5.0], [5.6, 20.0]],
                depth_m: 0.45,
                certainty: Certainty::FromPlans,
                clearance_m: 0.6,
            }),
        );
    }),
    ("a storm of 12 in an hour over an overflow of 8 in", |site| {
        site.weather.storm_mm_h = Some(300.0);
        basin_of(site, 1).overflow_width_m = Some(0.2);
    }),
    ("heaps at the pond, on roots and over the boundary", |site| {
        site.stockpiles[1].outline_m = vec![[6.1, 16.6], [12.5, 16.6], [12.5, 20.0], [6.1, 20.0]];
        site.stockpiles[0].outline_m = vec![[-0.4, 24.0], [3.6, 24.0], [3.6, 30.0], [-0.4, 30.0]];
        site.carry.access_width_m = 0.7;
    }),
];

/// Of the level garden: works 2 pond, 3 bay, 5 wall, 6 hill, 7 filter, 8 stream, 9 terrace, 10 path,
/// 11 lawn.
pub(super) const LEVEL: [Variation; 10] = [
    ("a narrow sill that stands high", |site| {
        let bay = bay_of(site, 3);
        bay.sill.width_m = 0.12;
        bay.sill.depth_m = 0.03;
    }),
    ("a hill twice as high", |site| {
        let WorkKind::Hill(hill) = &mut site.works[5].kind else { panic!("a hill") };
        hill.crest_m.iter_mut().for_each(|m| *m += 0.8);
    }),
    ("the bay before its pond, the stream before its hill", |site| {
        let bay = site.works.remove(2);
        site.works.insert(1, bay);
        let stream = site.works.remove(7);
        site.works.insert(4, stream);
    }),
    ("a strip of lawn at 1 in 3", |site| {
        let WorkKind::PlaneGrade(lawn) = &mut site.works[10].kind else { panic!("a lawn") };
        lawn.outline.points = vec![[19.0, 3.2], [21.5, 3.2], [21.5, 12.6], [19.0, 12.6]];
        lawn.plane = Plane { at: [19.0, 6.0], level_m: 49.9, toward: [21.5, 6.0], fall: 0.3333 };
    }),
    ("groundwater that comes up to the lawn", |site| site.soils.groundwater_m = Some(49.5)),
    ("a high fall at a bend", |site| {
        let stream = stream_of(site, 8);
        stream.falls[0].along_m = 1.2;
        stream.falls[0].drop_m = 0.5;
        stream.stations[1].bed_width_m = 0.25;
        stream.stations[0].bed_width_m = 0.25;
        for station in &mut stream.stations {
            station.edge_m = [0.06; 2];
        }
    }),
    ("a rock moved aside", |site| {
        let stream = stream_of(site, 8);
        stream.islands[0].outline.points.iter_mut().for_each(|p| p[0] += 0.2);
    }),
    ("a path that climbs", |site| {
        let WorkKind::Path(path) = &mut site.works[9].kind else { panic!("a path") };
        path.level_m[0] = 50.3;
        path.largest_grade = 0.05;
    }),
    ("a back wall of 1.5 m", |site| {
        let wall = wall_of(site, 5);
        wall.top_m = vec![50.6];
        wall.tiers.clear();
        wall.thickness_m = 0.3;
    }),
    ("a shed close to the overflow, a narrow gate and large stones", |site| {
        site.houses.push(House {
            name: "Shed".into(),
            outline_m: vec![[0.6, 10.2], [2.4, 10.2], [2.4, 12.0], [0.6, 12.0]],
            floor_m: 49.75,
            sill_m: 49.75,
            height_m: 2.2,
        });
        site.carry.access_width_m = 0.8;
        stream_of(site, 8).falls[0].stone_m = Some(1.2);
    }),
];

fn kind_of(site: &mut Site, id: u32) -> &mut WorkKind {
    let work = site.works.iter_mut().find(|work| work.id == WorkId(id));
    &mut work.expect("a work of the demo").kind
}

fn basin_of(site: &mut Site, id: u32) -> &mut Basin {
    let WorkKind::Basin(basin) = kind_of(site, id) else { panic!("a pond") };
    basin
}

fn bay_of(site: &mut Site, id: u32) -> &mut IntakeBay {
    let WorkKind::IntakeBay(bay) = kind_of(site, id) else { panic!("a bay") };
    bay
}

fn wall_of(site: &mut Site, id: u32) -> &mut Wall {
    let WorkKind::Wall(wall) = kind_of(site, id) else { panic!("a wall") };
    wall
}

fn stream_of(site: &mut Site, id: u32) -> &mut Stream {
    let WorkKind::Stream(stream) = kind_of(site, id) else { panic!("a stream") };
    stream
}

fn add(site: &mut Site, name: &str, kind: WorkKind) {
    let id = WorkId(site.next_id);
    site.next_id += 1;
    site.works.push(Work {
        id,
        name: name.into(),
        note: String::new(),
        visible: true,
        group: String::new(),
        kind,
    });
}

fn keep(site: &mut Site, name: &str, kind: KeepOutKind) {
    site.keep_outs.push(KeepOut { name: name.into(), note: String::new(), kind });
}

/// A terrace whose level is given at its southern side, by which it falls to the north.
fn pad(corners: [[f64; 2]; 4], level_m: f64, fall: f64) -> WorkKind {
    let at = [0.5 * (corners[0][0] + corners[1][0]), corners[0][1]];
    let far = [at[0], corners[2][1]];
    let (toward, at, level_m) =
        if fall < 0.0 { (at, far, level_m - fall * (far[1] - at[1])) } else { (far, at, level_m) };
    WorkKind::Pad(Pad {
        outline: Curve { points: corners.to_vec(), smooth: false },
        purpose: PadPurpose::Patio,
        plane: Plane { at, level_m, toward, fall: fall.abs() },
        cut_bank: 3.0,
        fill_bank: 3.0,
        build_up: Default::default(),
        bank_build_up: Default::default(),
    })
}
