//! The demo garden as pieces.

use exchange::points::{Told, read};
use site::{Survey, SurveyPoint};

use super::*;

fn demo() -> Site {
    let mut site =
        site::file::parse(include_str!("../../../../demo-sites/rear-garden/site.ron")).unwrap();
    let list = include_bytes!("../../../../demo-sites/rear-garden/survey.csv");
    let told = Told { columns: None, unit: Some(site.frame.unit) };
    let [east, north] = site.frame.origin_m;
    let points = read(list, &told)
        .unwrap()
        .points
        .into_iter()
        .map(|p| SurveyPoint {
            name: p.name,
            at_m: [p.at_m[0] - east, p.at_m[1] - north, p.at_m[2]],
            code: p.code,
            line: p.line,
        })
        .collect();
    site.survey = Arc::new(Survey { points, ..Survey::clone(&site.survey) });
    site
}

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
    let mut after = scene_after(&deeper, &evaluation, Stage::Finished, Some(&before)).unwrap();
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
