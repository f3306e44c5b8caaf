//! The demo garden as pieces.

use design::hand::{Grip, Hold, Pull, grips, pulled};
use site::earth::Heaped;
use site::keep_out::{BuriedLine, Certainty, Gate, Service, Tree};
use site::works::{BuildUp, Path, StepRule, SteppingStones};
use site::{Curve, KeepOut, KeepOutKind, Stockpile, Work};

use super::*;
use crate::demo::rear_garden as demo;

#[test]
fn the_demo_garden_has_all_its_pieces_and_an_edit_leaves_the_rest_alone() {
    let site = demo();
    let before = scene(&site, &design::evaluate(&site)).unwrap();
    let of = |name: &str| site.works.iter().find(|work| work.name == name).unwrap().id;
    let (pond, stream) = (of("Pond"), of("Stream"));
    for piece in [
        Piece::Steps,
        Piece::Water(pond),
        Piece::Water(stream),
        Piece::Falls(stream),
        Piece::Stones(pond),
        Piece::Sheet(of("Planted filter")),
        Piece::Plants(of("Planted filter")),
        Piece::Plants(of("Filter hill")),
        Piece::House(0),
        Piece::Contours,
    ] {
        assert!(before.pieces.contains_key(&piece), "{piece:?} is missing");
    }
    let mut deeper = site.clone();
    let work = deeper.works.iter_mut().find(|work| work.id == pond).unwrap();
    let WorkKind::Basin(basin) = &mut work.kind else { panic!("the pond is a basin") };
    basin.rings.last_mut().unwrap().depth_m += 0.05;
    let after = scene(&deeper, &design::evaluate(&deeper)).unwrap();
    let ground = before.pieces.keys().filter(|piece| matches!(piece, Piece::Ground(_)));
    let (mut kept, mut changed) = (0, 0);
    for piece in ground {
        match after.pieces.get(piece) == before.pieces.get(piece) {
            true => kept += 1,
            false => changed += 1,
        }
    }
    assert!(changed > 0 && kept > changed, "{changed} changed, {kept} kept");
    assert_eq!(after.pieces.get(&Piece::Horizon), before.pieces.get(&Piece::Horizon));
}

#[test]
fn an_edit_sends_up_only_the_pieces_that_it_has_changed() {
    let site = demo();
    let mut evaluator = design::Evaluator::default();
    let before = scene(&site, &evaluator.evaluate(&site)).unwrap();
    let mut deeper = site.clone();
    for work in &mut deeper.works {
        if let WorkKind::Basin(basin) = &mut work.kind {
            basin.rings.last_mut().unwrap().depth_m += 0.05;
        }
    }
    let evaluation = evaluator.evaluate(&deeper);
    let mut after =
        scene_after(&deeper, &evaluation, Asked::at(Stage::Finished), Some(&before)).unwrap();
    after.share(&before);
    let changed: Vec<Piece> = after
        .pieces
        .iter()
        .filter(|(piece, shape)| before.pieces.get(piece) != Some(shape))
        .map(|(piece, _)| *piece)
        .collect();
    assert!(!changed.is_empty() && changed.len() < after.pieces.len() / 2, "{changed:?}");

    let mut app = App::new();
    app.init_resource::<Assets<Mesh>>()
        .init_resource::<Assets<material::GardenMaterial>>()
        .init_resource::<Assets<material::WaterMaterial>>()
        .init_resource::<Assets<material::SkyMaterial>>()
        .init_resource::<material::Palette>()
        .add_plugins((crate::schedule::plugin, present::plugin));
    let mut show = |scene: &Scene| {
        app.world_mut().resource_mut::<present::Shown>().scene = Some(scene.clone());
        app.update();
        let sent = app.world().resource::<present::Shown>().sent;
        let mut drawn = app.world_mut().query::<(&Piece, &Mesh3d)>();
        let meshes: BTreeMap<Piece, Handle<Mesh>> =
            drawn.iter(app.world()).map(|(piece, mesh)| (*piece, mesh.0.clone())).collect();
        (sent, meshes)
    };
    let (sent, old) = show(&before);
    assert_eq!(sent, before.pieces.len());
    let (sent, new) = show(&after);
    assert_eq!(sent, changed.len());
    for (piece, mesh) in &new {
        assert_eq!(old.get(piece) != Some(mesh), changed.contains(piece), "{piece:?}");
    }
    let (sent, _) = show(&after);
    assert_eq!(sent, 0);
}

/// A shape's triangles in an order that follows from these alone, each by what its corners are drawn with,
/// to a thousandth.
fn triangles(shape: &Shape) -> Vec<Vec<i64>> {
    let thousandths = |number: f32| (f64::from(number) * 1.0e3).round() as i64;
    let corners = |corners: Vec<f32>| corners.into_iter().map(thousandths).collect();
    let mut all: Vec<Vec<i64>> = shape.triangles().map(corners).collect();
    all.sort();
    all
}

#[test]
fn a_scene_after_an_edit_is_the_one_that_is_made_anew() {
    let site = demo();
    let mut evaluator = design::Evaluator::default();
    let before = scene(&site, &evaluator.evaluate(&site)).unwrap();
    let moved = |name: &str, by_m: f64| {
        let mut site = site.clone();
        let work = site.works.iter_mut().find(|work| work.name == name).unwrap();
        let is_point = |grip: &Grip| matches!(grip.pull, Pull::Point { .. });
        let grip = grips(work).into_iter().find(is_point).unwrap();
        let hold = Hold { from: grip.at, at: grip.at.map(|c| c + by_m), rise_m: 0.0 };
        *work = pulled(work, &grip.pull, &hold).unwrap().work;
        site
    };
    for (name, by_m) in [("Pond", 0.3), ("Filter hill", 0.2), ("Boulder wall", -0.2)] {
        let site = moved(name, by_m);
        let evaluation = evaluator.evaluate(&site);
        let asked = Asked::at(Stage::Finished);
        let after = scene_after(&site, &evaluation, asked, Some(&before)).unwrap();
        let anew = scene(&site, &evaluation).unwrap();
        let names = |scene: &Scene| scene.pieces.keys().copied().collect::<Vec<_>>();
        assert_eq!(names(&after), names(&anew), "{name}");
        for (piece, shape) in &after.pieces {
            assert!(triangles(shape) == triangles(&anew.pieces[piece]), "{name}, {piece:?}");
        }
        let kept = |(piece, shape): (&Piece, &Arc<Shape>)| {
            before.pieces.get(piece).is_some_and(|was| Arc::ptr_eq(was, shape))
        };
        let n_kept = after.pieces.iter().filter(|pair| kept(*pair)).count();
        assert!(2 * n_kept > after.pieces.len(), "{name}: {n_kept} of {}", after.pieces.len());
    }
}

#[test]
fn what_stays_is_drawn_as_it_stands_and_as_it_is_marked_and_has_its_number_beside_it() {
    let mut site = demo();
    let keep = |name: &str, kind| KeepOut { name: name.into(), note: String::new(), kind };
    site.keep_outs = vec![
        keep(
            "Birch",
            KeepOutKind::Tree(Tree { at: [19.0, 9.0], stem_m: 0.2, roots_per_stem: 8.0 }),
        ),
        keep("Side gate", KeepOutKind::Gate(Gate { from: [0.5, 0.6], to: [1.7, 0.6] })),
        keep(
            "Supply",
            KeepOutKind::BuriedLine(BuriedLine {
                carries: Service::Power,
                line_m: vec![[16.0, 1.0], [18.0, 8.0]],
                depth_m: 0.6,
                certainty: Certainty::Traced,
                clearance_m: 0.6,
            }),
        ),
    ];
    site.stockpiles = vec![Stockpile {
        name: "Topsoil heap".into(),
        holds: Heaped::Topsoil,
        outline_m: vec![[1.5, 6.0], [4.5, 6.0], [4.5, 9.0], [1.5, 9.0]],
        run_per_rise: 1.5,
        height_m: 1.2,
    }];
    let evaluation = design::evaluate(&site);
    let scene = scene(&site, &evaluation).unwrap();
    for piece in [
        Piece::Crown(0),
        Piece::KeptPlan(0),
        Piece::KeptMarks(0),
        Piece::Kept(1),
        Piece::KeptMarks(1),
        Piece::KeptMarks(2),
        Piece::HeapMarks(0),
    ] {
        assert!(scene.pieces.contains_key(&piece), "{piece:?} is missing");
    }
    assert!(!scene.pieces.contains_key(&Piece::Heap(0)), "nothing is heaped when all is built");
    let dug = scene_after(&site, &evaluation, Asked::at(Stage::Subgrade), None).unwrap();
    assert!(dug.pieces.contains_key(&Piece::Heap(0)), "what is dug is heaped");
    let words: Vec<&str> = scene.kept.iter().map(|kept| &*kept.text).collect();
    assert_eq!(words.len(), 4, "{words:?}");
    assert_eq!(words[0], "Birch, tree, roots 5 ft 3 in; published 7 ft 10 1/2 in");
    assert_eq!(words[2], "Supply, electricity, 1 ft 11 1/2 in deep (traced)");
}

#[test]
fn unfinished_ground_is_bare_and_shows_the_liner_where_one_is_laid() {
    let mut site = demo();
    site.soils.topsoil.strip_m = 0.15;
    for work in &mut site.works {
        if let WorkKind::Basin(basin) = &mut work.kind {
            basin.build_up = BuildUp { liner_m: 0.001, gravel_m: 0.05, ..BuildUp::default() };
        }
    }
    let evaluation = design::evaluate(&site);
    let finished = scene(&site, &evaluation).unwrap();
    for (stage, has_liner) in
        [(Stage::Stripped, false), (Stage::Subgrade, false), (Stage::Liner, true)]
    {
        let bare = scene_after(&site, &evaluation, Asked::at(stage), Some(&finished)).unwrap();
        assert_eq!(bare.pieces.contains_key(&Piece::Liner), has_liner, "{stage:?}");
        let is_grown = |piece: &Piece| {
            matches!(piece, Piece::Water(_) | Piece::Plants(_) | Piece::Stones(_) | Piece::Falls(_))
        };
        assert!(!bare.pieces.keys().any(is_grown), "{stage:?}");
        assert!(bare.pieces.keys().any(|piece| matches!(piece, Piece::Ground(_))), "{stage:?}");
    }
}

#[test]
fn stepping_stones_cross_the_pond_and_a_flight_has_its_treads() {
    let mut site = demo();
    let pond = site.works.iter().find(|work| work.name == "Pond").unwrap().id;
    let id = WorkId(site.next_id);
    site.works.push(Work {
        id,
        name: "Garden path".into(),
        note: String::new(),
        group: String::new(),
        visible: true,
        kind: WorkKind::Path(Path {
            line: Curve { points: vec![[9.0, 9.0], [9.4, 17.0], [9.0, 21.0]], smooth: false },
            level_m: vec![30.72, 30.95, 31.65],
            width_m: 1.1,
            cross_fall: 0.0,
            largest_grade: 0.05,
            steps: StepRule { riser_m: 0.15, two_risers_and_tread_m: 0.65 },
            cut_bank: 2.0,
            fill_bank: 2.0,
            stones: Some(SteppingStones {
                across: pond,
                stone_m: 0.5,
                gap_m: 0.15,
                above_water_m: 0.05,
            }),
            build_up: BuildUp::default(),
            bank_build_up: BuildUp::default(),
        }),
    });
    let evaluation = design::evaluate(&site);
    let with = scene(&site, &evaluation).unwrap().pieces[&Piece::Stones(id)].n_triangles();
    for work in &mut site.works {
        if let WorkKind::Path(path) = &mut work.kind {
            path.stones = None;
        }
    }
    let evaluation_without = design::evaluate(&site);
    let without = scene(&site, &evaluation_without).unwrap();
    let outcome = evaluation.works.iter().find(|outcome| outcome.work == id).unwrap();
    let n_stones = outcome.shape.stones.len();
    assert!(n_stones > 3);
    // Edges and treads stay; the same stones lie on piers of as many sides.
    let without = without.pieces[&Piece::Stones(id)].n_triangles();
    assert!(with != without && without > 0, "{with} with {n_stones} stones, {without} without");
}
