//! What a hand does to lines and whole works.

mod sample;

use std::sync::Arc;

use proptest::prelude::*;
use proptest::test_runner::RngSeed;
use site::field::{FieldValue, fields};
use site::shape::{
    Cut, Ends, ShapeError, add_point, copied, drop_point, is_simple, join, lines, main_line,
    middle, mirrored, mirrored_copy, move_point, offset, offset_copy, shifted, split, turned,
};
use site::works::{Side, TopRun, WorkKind};
use site::{Edit, Gesture, History, Site, Work, WorkId, apply};

fn area_m2(ring: &[[f64; 2]]) -> f64 {
    let n = ring.len();
    (0..n)
        .map(|i| {
            let ([x, y], [u, v]) = (ring[i], ring[(i + 1) % n]);
            0.5 * (x * v - u * y)
        })
        .sum()
}

fn outline(work: &Work) -> Vec<[f64; 2]> {
    lines(&work.kind)[0].curve.points.clone()
}

fn kind_of(site: &Site, fits: fn(&WorkKind) -> bool) -> &Work {
    site.works.iter().find(|work| fits(&work.kind)).expect("the sample has one of each kind")
}

fn places(work: &Work) -> Vec<[f64; 2]> {
    let place = |field: site::field::Field| match field.value {
        FieldValue::Place(at) => at,
        _ => None,
    };
    fields(work).into_iter().filter_map(place).collect()
}

fn near(a: &[[f64; 2]], b: &[[f64; 2]]) -> bool {
    a.len() == b.len()
        && a.iter().flatten().zip(b.iter().flatten()).all(|(a, b)| (a - b).abs() < 1e-9)
}

#[test]
fn every_kind_names_its_lines_by_paths_that_its_fields_have() {
    for work in sample::works() {
        for line in lines(&work.kind) {
            let path = format!("{}.points[0]", line.path);
            assert!(fields(&work).iter().any(|field| field.path == path), "{path}");
        }
    }
}

#[test]
fn a_new_point_halves_the_values_of_its_neighbours_and_goes_again_without_a_trace() {
    let site = sample::site();
    let mut wall = kind_of(&site, |kind| matches!(kind, WorkKind::Wall(_))).clone();
    let WorkKind::Wall(inner) = &mut wall.kind else { unreachable!() };
    inner.line.points = vec![[0.0, 0.0], [4.0, 0.0], [4.0, 3.0]];
    inner.top_m = vec![10.0, 11.0, 13.0];
    inner.top_run = site::works::TopRun::Sloping;
    let more = add_point(&wall, "line", 1, [1.0, 0.0]).unwrap();
    let WorkKind::Wall(inner) = &more.kind else { unreachable!() };
    assert_eq!(inner.line.points, [[0.0, 0.0], [1.0, 0.0], [4.0, 0.0], [4.0, 3.0]]);
    assert_eq!(inner.top_m, [10.0, 10.25, 11.0, 13.0]);
    assert_eq!(drop_point(&more, "line", 1).unwrap(), wall);
    let longer = add_point(&wall, "line", 3, [4.0, 9.0]).unwrap();
    let WorkKind::Wall(inner) = &longer.kind else { unreachable!() };
    assert_eq!(inner.top_m, [10.0, 11.0, 13.0, 13.0]);
}

#[test]
fn what_a_line_needs_is_not_dropped_and_what_crosses_is_refused() {
    let site = sample::site();
    let basin = kind_of(&site, |kind| matches!(kind, WorkKind::Basin(_)));
    let square = outline(basin);
    assert_eq!(square.len(), 4);
    // The south-west corner beyond the east side: the side to it crosses that one.
    assert_eq!((square[0], square[3]), ([-4.0, -4.0], [-4.0, 4.0]));
    let error = move_point(basin, "outline", 0, [9.0, 0.0]).unwrap_err();
    assert!(matches!(error, ShapeError::Crosses { .. }), "{error}");
    let three = drop_point(basin, "outline", 0).unwrap();
    assert!(matches!(drop_point(&three, "outline", 0), Err(ShapeError::TooFew { least: 3, .. })));
    assert!(matches!(move_point(basin, "line", 0, [0.0; 2]), Err(ShapeError::NoPoint { .. })));
    assert!(matches!(add_point(basin, "outline", 9, [0.0; 2]), Err(ShapeError::NoPoint { .. })));
}

#[test]
fn everything_that_is_drawn_moves_with_its_work() {
    for work in sample::works() {
        let there = shifted(&work, [500.0, -20.0]);
        let moved: Vec<[f64; 2]> =
            places(&work).iter().map(|[x, y]| [x + 500.0, y - 20.0]).collect();
        assert_eq!(places(&there), moved, "{}", work.name);
        assert!(near(&places(&shifted(&there, [-500.0, 20.0])), &places(&work)));
        let quarter = turned(&work, [0.0; 2], std::f64::consts::FRAC_PI_2);
        let by_hand: Vec<[f64; 2]> = places(&work).iter().map(|[x, y]| [-y, *x]).collect();
        assert!(near(&places(&quarter), &by_hand), "{}", work.name);
    }
}

#[test]
fn a_mirror_keeps_the_sense_of_outlines_and_swaps_sides() {
    for work in sample::works() {
        let line = [[3.0, 1.0], [4.0, 7.0]];
        let once = mirrored(&work, line).unwrap();
        let twice = mirrored(&once, line).unwrap();
        assert!(near(&places(&twice), &places(&work)), "{}", work.name);
        if main_line(&work.kind).1 == Ends::Closed {
            let (before, after) = (area_m2(&outline(&work)), area_m2(&outline(&once)));
            assert!((before - after).abs() < 1e-9 * before.abs(), "{before} {after}");
        }
        match (&work.kind, &once.kind) {
            (WorkKind::Wall(a), WorkKind::Wall(b)) => assert_ne!(a.retains, b.retains),
            (WorkKind::Hill(a), WorkKind::Hill(b)) => {
                assert_eq!((&a.left, &a.right), (&b.right, &b.left))
            }
            (WorkKind::Path(a), WorkKind::Path(b)) => assert_eq!(a.cross_fall, -b.cross_fall),
            _ => {}
        }
    }
    assert_eq!(mirrored(&sample::works()[0], [[1.0, 1.0], [1.0, 1.0]]), None);
}

#[test]
fn a_line_beside_keeps_its_distance_from_every_side() {
    let square = [[0.0, 0.0], [4.0, 0.0], [4.0, 3.0], [0.0, 3.0]];
    let inside = offset(&square, Ends::Closed, 0.5).unwrap();
    assert!(near(&inside.points, &[[0.5, 0.5], [3.5, 0.5], [3.5, 2.5], [0.5, 2.5]]));
    let outside = offset(&square, Ends::Closed, -1.0).unwrap();
    assert!(near(&outside.points, &[[-1.0, -1.0], [5.0, -1.0], [5.0, 4.0], [-1.0, 4.0]]));
    // Half its width in, nothing is left.
    assert!(offset(&square, Ends::Closed, 1.5).is_err());
    let bent = [[0.0, 0.0], [2.0, 0.0], [2.0, 2.0]];
    assert!(near(
        &offset(&bent, Ends::Open, 0.5).unwrap().points,
        &[[0.0, 0.5], [1.5, 0.5], [1.5, 2.0]]
    ));
    assert!(offset(&[[1.0, 1.0]], Ends::Open, 0.5).is_err());
    assert!(offset(&[[1.0, 1.0], [1.0, 1.0]], Ends::Open, 0.5).is_err());
}

#[test]
fn a_sharp_corner_is_cut_off_and_keeps_its_distance() {
    // There and back, 0.2 m apart at the ends: a mitre would stand out 20 m.
    let pin = [[0.0, 0.0], [4.0, 0.1], [0.0, 0.2]];
    let around = offset(&pin, Ends::Open, -1.0).unwrap();
    assert_eq!(around.of, [0, 1, 1, 2]);
    for p in &around.points {
        assert!(p[0] < 5.2, "{p:?} shoots away");
    }
    // No part of it lies nearer to the corner than its distance.
    let [a, b] = [around.points[1], around.points[2]];
    for k in 0..=10 {
        let at = [0, 1].map(|c| a[c] + (b[c] - a[c]) * f64::from(k) / 10.0);
        assert!(libm::hypot(at[0] - 4.0, at[1] - 0.1) > 0.99);
    }
    // On the inner side it would turn back on itself.
    assert!(offset(&pin, Ends::Open, 1.0).is_err());
    // A wall's levels follow: the two points of a corner have the level of the drawn one.
    let site = sample::site();
    let mut sharp = kind_of(&site, |kind| matches!(kind, WorkKind::Wall(_))).clone();
    let WorkKind::Wall(wall) = &mut sharp.kind else { panic!("a wall is a wall") };
    (wall.line.points, wall.top_m) = (pin.to_vec(), vec![1.0, 2.0, 3.0]);
    wall.top_run = TopRun::Sloping;
    let site = apply(&site, &Edit::SetWork(sharp.clone())).unwrap();
    let (site, id) = offset_copy(&site, sharp.id, -1.0).unwrap();
    let WorkKind::Wall(wall) = &site.work(id).unwrap().kind else { panic!("a wall is a wall") };
    assert_eq!((wall.line.points.len(), &wall.top_m[..]), (4, &[1.0, 2.0, 2.0, 3.0][..]));
}

#[test]
fn a_wall_cut_in_two_is_joined_again_and_what_it_held_knows_it_still() {
    let first = sample::site();
    let id = kind_of(&first, |kind| matches!(kind, WorkKind::Wall(_))).id;
    let (cut, new) = split(&first, id, Cut::At(1)).unwrap();
    let [a, b] = [id, new].map(|id| outline(cut.work(id).unwrap()));
    assert_eq!((a.last(), a.len() + b.len()), (b.first(), 4));
    // What is held by the second part is held by the whole again.
    let mut hill = kind_of(&cut, |kind| matches!(kind, WorkKind::Hill(_))).clone();
    let WorkKind::Hill(inner) = &mut hill.kind else { unreachable!() };
    inner.held_by = Some(new);
    let cut = apply(&cut, &Edit::SetWork(hill.clone())).unwrap();
    let whole = join(&cut, id, new).unwrap();
    assert_eq!(whole.work(id), first.work(id));
    let held = |site: &Site| match &site.work(hill.id).unwrap().kind {
        WorkKind::Hill(hill) => hill.held_by,
        _ => None,
    };
    assert_eq!(held(&whole), Some(id));
}

#[test]
fn lines_join_at_their_nearest_ends_however_they_run() {
    let site = sample::site();
    let wall = kind_of(&site, |kind| matches!(kind, WorkKind::Wall(_))).clone();
    let like = |points: &[[f64; 2]], top_m: &[f64], retains| {
        let mut work = wall.clone();
        let WorkKind::Wall(inner) = &mut work.kind else { unreachable!() };
        inner.line.points = points.to_vec();
        (inner.top_m, inner.retains) = (top_m.to_vec(), retains);
        inner.top_run = TopRun::Sloping;
        work
    };
    let one = like(&[[0.0, 0.0], [2.0, 0.0]], &[5.0], Side::Left);
    // The other one runs the other way: what it holds lies on its right.
    let other = like(&[[6.0, 1.0], [2.5, 0.0]], &[7.0, 6.0], Side::Right);
    let site = apply(&site, &Edit::SetWork(one.clone())).unwrap();
    let added = apply(&site, &Edit::AddWork { work: other, at: usize::MAX }).unwrap();
    let id = added.works.last().unwrap().id;
    let joined = join(&added, one.id, id).unwrap();
    let WorkKind::Wall(wall) = &joined.work(one.id).unwrap().kind else { unreachable!() };
    assert_eq!(wall.line.points, [[0.0, 0.0], [2.0, 0.0], [2.5, 0.0], [6.0, 1.0]]);
    assert_eq!((wall.top_m.as_slice(), wall.retains), (&[5.0, 5.0, 6.0, 7.0][..], Side::Left));
    assert!(joined.work(id).is_none());
}

#[test]
fn a_stepped_wall_keeps_the_top_of_each_run_when_it_is_joined() {
    let site = sample::site();
    let wall = kind_of(&site, |kind| matches!(kind, WorkKind::Wall(_))).clone();
    let like = |points: &[[f64; 2]], top_m: &[f64], top_run, retains| {
        let mut work = wall.clone();
        let WorkKind::Wall(inner) = &mut work.kind else { unreachable!() };
        inner.line.points = points.to_vec();
        (inner.top_m, inner.top_run, inner.retains) = (top_m.to_vec(), top_run, retains);
        work
    };
    let stepped = TopRun::Stepped;
    let one = like(&[[0.0, 0.0], [2.0, 0.0]], &[5.0, 5.0], stepped, Side::Left);
    // Told from each point to the next: 7 m to the middle, 6 m from there on, the last is of no run.
    let run = [[6.0, 1.0], [4.0, 0.0], [2.0, 0.0]];
    let other = like(&run, &[7.0, 6.0, 9.0], stepped, Side::Right);
    let sloping = like(&run, &[7.0, 6.0, 9.0], TopRun::Sloping, Side::Right);
    let site = apply(&site, &Edit::SetWork(one.clone())).unwrap();
    let with = |work| apply(&site, &Edit::AddWork { work, at: usize::MAX }).unwrap();
    let added = with(other);
    let joined = join(&added, one.id, added.works.last().unwrap().id).unwrap();
    let WorkKind::Wall(wall) = &joined.work(one.id).unwrap().kind else { unreachable!() };
    assert_eq!(wall.line.points, [[0.0, 0.0], [2.0, 0.0], [4.0, 0.0], [6.0, 1.0]]);
    assert_eq!(wall.top_m[..3], [5.0, 6.0, 7.0]);
    let added = with(sloping);
    assert!(join(&added, one.id, added.works.last().unwrap().id).is_err());
}

#[test]
fn an_outline_cut_across_loses_no_ground_and_is_joined_along_the_cut() {
    let first = sample::site();
    let id = kind_of(&first, |kind| matches!(kind, WorkKind::Pad(_))).id;
    let before = area_m2(&outline(first.work(id).unwrap()));
    let (cut, new) = split(&first, id, Cut::Across(0, 2)).unwrap();
    let parts = [id, new].map(|id| area_m2(&outline(cut.work(id).unwrap())));
    assert!((parts[0] + parts[1] - before).abs() < 1e-9 * before.abs());
    let whole = join(&cut, id, new).unwrap();
    assert!((area_m2(&outline(whole.work(id).unwrap())) - before).abs() < 1e-9 * before.abs());
    assert!(split(&first, id, Cut::Across(0, 1)).is_err());
}

#[test]
fn what_holds_water_is_neither_cut_nor_joined() {
    let site = sample::site();
    for work in &site.works {
        if let WorkKind::Basin(_) | WorkKind::Stream(_) | WorkKind::FilterBed(_) = work.kind {
            let error = split(&site, work.id, Cut::At(1)).unwrap_err();
            assert!(matches!(error, ShapeError::NotThis(_)), "{error}");
            let error = join(&site, work.id, work.id).unwrap_err();
            assert!(matches!(error, ShapeError::NotThis(_)), "{error}");
        }
    }
}

#[test]
fn copies_stand_right_after_their_work() {
    let site = sample::site();
    let id = site.works[2].id;
    let (more, new) = copied(&site, id, [1.0, 2.0]).unwrap();
    assert_eq!((more.works[3].id, more.works.len()), (new, site.works.len() + 1));
    assert!(near(
        &[middle(&more.works[3].kind)],
        &[[middle(&site.works[2].kind)[0] + 1.0, middle(&site.works[2].kind)[1] + 2.0]]
    ));
}

/// One change by hand, chosen by numbers; most are allowed, some are refused.
fn change(site: &Site, [what, which, value]: [u32; 3]) -> Option<Site> {
    let work = site.works.get(which as usize % site.works.len().max(1))?;
    let all = lines(&work.kind);
    let line = &all[value as usize % all.len()];
    let n = line.curve.points.len();
    let point = value as usize % n.max(1);
    let at = line.curve.points.get(point).copied().unwrap_or_default();
    let part = |bits: u32| f64::from(value >> bits & 0xff) / 128.0 - 1.0;
    let by = [part(0), part(8)];
    let to = [at[0] + by[0], at[1] + by[1]];
    let set = |work: Result<Work, ShapeError>| {
        work.ok().and_then(|work| apply(site, &Edit::SetWork(work)).ok())
    };
    let other = site.works[value as usize % site.works.len()].id;
    let id: WorkId = work.id;
    match what % 12 {
        0 | 1 => set(move_point(work, &line.path, point, to)),
        2 => set(add_point(work, &line.path, point + 1, to)),
        3 => set(drop_point(work, &line.path, point)),
        4 => set(Ok(shifted(work, by))),
        5 => set(Ok(turned(work, middle(&work.kind), by[0]))),
        6 => set(mirrored(work, [at, to]).ok_or(ShapeError::NoWork(id))),
        7 => copied(site, id, by).ok().map(|done| done.0),
        8 => offset_copy(site, id, by[0]).ok().map(|done| done.0),
        9 => split(site, id, Cut::At(point))
            .or_else(|_| split(site, id, Cut::Across(0, point)))
            .ok()
            .map(|d| d.0),
        10 => join(site, id, other).ok(),
        _ => mirrored_copy(site, id, [at, to]).ok().map(|done| done.0),
    }
}

proptest! {
    #![proptest_config(ProptestConfig {
        cases: 150,
        failure_persistence: None,
        rng_seed: RngSeed::Fixed(6),
        ..Default::default()
    })]

    #[test]
    fn any_changes_by_hand_are_valid_and_all_taken_back_give_the_first_site(
        picks in prop::collection::vec((any::<u32>(), any::<u32>(), any::<u32>()), 1..30)
    ) {
        let first = sample::site();
        let mut history = History::opened(first.clone());
        let mut sites = vec![Arc::clone(history.present())];
        for (what, which, value) in picks {
            let Some(site) = change(history.present(), [what, which, value]) else { continue };
            prop_assert!(site.works.iter().all(|work| is_simple(&work.kind)));
            history.replace(site).unwrap();
            if !Arc::ptr_eq(history.present(), sites.last().unwrap()) {
                sites.push(Arc::clone(history.present()));
            }
        }
        let last = site::file::write(history.present());
        prop_assert_eq!(&site::file::parse(&last).unwrap(), &**history.present());
        for earlier in sites.iter().rev().skip(1) {
            prop_assert!(history.undo());
            prop_assert_eq!(history.present(), earlier);
        }
        prop_assert!(!history.undo());
        prop_assert_eq!(&**history.present(), &first);
        while history.redo() {}
        prop_assert_eq!(site::file::write(history.present()), last);
    }

    #[test]
    fn a_drag_of_any_points_put_back_leaves_no_step(
        which in any::<u32>(), ways in prop::collection::vec((-5.0..5.0, -5.0..5.0), 1..20)
    ) {
        let first = sample::site();
        let mut history = History::opened(first.clone());
        let work = first.works[which as usize % first.works.len()].clone();
        let path = main_line(&work.kind).0;
        let at = outline(&work)[0];
        for (east, north) in ways {
            if let Ok(moved) = move_point(&work, path, 0, [at[0] + east, at[1] + north]) {
                history.edit(&Edit::SetWork(moved), Gesture::Drag(1)).unwrap();
            }
        }
        history.edit(&Edit::SetWork(work), Gesture::Drag(1)).unwrap();
        history.end_gesture();
        prop_assert!(!history.can_undo());
        prop_assert_eq!(&**history.present(), &first);
    }
}

#[test]
fn no_step_of_a_long_session_is_forgotten() {
    let first = sample::site();
    let mut history = History::opened(first.clone());
    for k in 1..=3000 {
        let moved = shifted(&first.works[0], [f64::from(k) * 0.001, 0.0]);
        history.edit(&Edit::SetWork(moved), Gesture::Single).unwrap();
    }
    let mut steps = 0;
    while history.undo() {
        steps += 1;
    }
    assert_eq!((steps, &**history.present()), (3000, &first));
}
