//! Panels as people use them: plain functions, without the engine.

use design::solver::Goal;
use egui::{Rect, Ui, Vec2, pos2, vec2};
use egui_kittest::Harness;
use egui_kittest::kittest::Queryable as _;
use site::Edit;

use super::pump::{Fall, Pumps, Tried, pump_ui};
use super::solver::{Answer, AtWork, Sheet, solver_ui};
use super::{findings, pins, plan, viewpoint};
use crate::demo::rear_garden;
use crate::marks::{self, Marks};

struct Bench<A> {
    passes: usize,
    answers: Vec<A>,
    marks: Marks,
}

/// A panel on a bench, laid out and ready for a hand.
fn bench<'a, A: 'a>(
    size: Vec2,
    mut show: impl FnMut(&mut Ui) -> Option<A> + 'a,
) -> Harness<'a, Bench<A>> {
    let state = Bench { passes: 0, answers: Vec::new(), marks: Marks::new() };
    let mut harness = Harness::builder().with_size(size).build_ui_state(
        move |ui, bench: &mut Bench<A>| {
            // Fonts are there from the pass after the one that names them.
            bench.passes += 1;
            if bench.passes == 1 {
                return crate::theme::install(ui.ctx());
            }
            marks::keep(ui.ctx());
            bench.answers.extend(show(ui));
            bench.marks = marks::take(ui.ctx());
        },
        state,
    );
    harness.run_steps(3);
    harness
}

/// Clicks at a share of a widget's width.
fn click<A>(harness: &mut Harness<'_, Bench<A>>, widget: &str, share: f32) {
    let rect = harness.state().marks[widget];
    let at = pos2(rect.left() + share * rect.width(), rect.center().y);
    for pressed in [true, false] {
        harness.event(egui::Event::PointerMoved(at));
        harness.event(egui::Event::PointerButton {
            pos: at,
            button: egui::PointerButton::Primary,
            pressed,
            modifiers: egui::Modifiers::NONE,
        });
        harness.run_steps(1);
    }
    harness.run_steps(2);
}

#[test]
fn the_pump_is_tried_from_a_trickle_to_an_edge_that_is_overtopped() {
    let site = rear_garden();
    let evaluation = design::evaluate(&site);
    let at = |share: f64| design::running_if(&site, &evaluation, &[share]);
    let looks = |share: f64| -> Vec<Fall> {
        let running = at(share);
        let streams = running.streams.iter();
        let crests = streams.flat_map(|stream| stream.crests.as_deref().unwrap_or_default());
        crests.map(|crest| Fall::of(crest, &site.limits)).collect()
    };
    assert!(looks(0.05).iter().all(|fall| *fall == Fall::Trickle), "{:?}", looks(0.05));
    assert!(looks(1.0).contains(&Fall::Good), "{:?}", looks(1.0));
    let edge = |share: f64| {
        let running = at(share);
        let waters = running.streams.iter().filter_map(|stream| stream.water.as_ref().ok());
        let edges = waters.flat_map(|water| water.points.iter().flat_map(|p| p.edge_above_water_m));
        edges.fold(f64::INFINITY, f64::min)
    };
    assert!(edge(1.0) > 0.0 && edge(1.0) < edge(0.05), "more water stands higher");
    assert!(edge(16.0) < 0.0, "enough of it runs over: {}", edge(16.0));

    let trickle = at(0.05);
    let planned = design::running(&site, &evaluation);
    // The slider may be ahead of the water that is drawn: what is planned stays what it is.
    let pumps = Pumps { running: &trickle, planned: &planned, shares: &[0.05] };
    let mut harness = bench(vec2(280.0, 400.0), |ui| pump_ui(ui, pumps, &site));
    assert!(harness.query_all_by_label_contains("a trickle").next().is_some());
    click(&mut harness, "pump 0", 0.9);
    let answers = &harness.state().answers;
    let more = |tried: &Tried| matches!(tried, Tried::Share(0, share) if *share > 1.5);
    assert!(!answers.is_empty() && answers.iter().all(more), "{answers:?}");
    click(&mut harness, "flow as planned", 0.5);
    assert_eq!(harness.state().answers.last(), Some(&Tried::Planned));
    click(&mut harness, "flow taken", 0.5);
    assert_eq!(harness.state().answers.last(), Some(&Tried::Take));
}

#[test]
fn the_balance_is_asked_for_once_there_is_a_goal_and_a_number_that_may_change() {
    let site = rear_garden();
    let known = design::solver::adjustables(&site);
    let freed = design::solver::Freed { number: known[0].number.clone(), least: 0.0, most: 1.0 };
    let nothing = Sheet {
        site: &site,
        before: None,
        known: &known,
        freed: &[],
        goals: &[],
        found: None,
        at_work: AtWork::No,
    };
    let mut harness = bench(vec2(290.0, 900.0), |ui| solver_ui(ui, &nothing));
    click(&mut harness, "balance run", 0.5);
    assert_eq!(harness.state().answers, [], "there is nothing to find");
    click(&mut harness, "goal no truck", 0.1);
    assert_eq!(harness.state().answers, [Answer::Goal(Goal::NoTruck)]);

    let freed = [freed];
    let asked = Sheet { freed: &freed, goals: &[Goal::NoTruck], ..nothing };
    let mut harness = bench(vec2(290.0, 900.0), |ui| solver_ui(ui, &asked));
    click(&mut harness, "balance run", 0.5);
    assert_eq!(harness.state().answers, [Answer::Run]);
}

#[test]
fn a_finding_that_is_read_tells_its_remedy_and_that_its_change_is_being_worked_out() {
    let site = rear_garden();
    let evaluation = design::evaluate(&site);
    let idx = evaluation
        .findings
        .iter()
        .position(|finding| finding.remedy.as_ref().is_some_and(|remedy| remedy.site.is_some()))
        .expect("the demo has a finding that can be remedied");
    let mut harness = bench(vec2(228.0, 4000.0), |ui| {
        findings::findings_ui(ui, (&evaluation, None), Some(idx), None, &site)
    });
    assert!(harness.query_by_label_contains("Working out what that changes").is_some());
    click(&mut harness, &format!("remedy {idx}"), 0.5);
    assert_eq!(harness.state().answers, [findings::Chosen::Take(idx)]);
}

#[test]
fn a_viewpoint_is_let_go_by_a_word() {
    let site = rear_garden();
    let mut harness = bench(vec2(400.0, 60.0), |ui| viewpoint::viewpoint_ui(ui, &site, 0));
    click(&mut harness, "viewpoint let go", 0.5);
    let [Edit::SetViewpoints(left)] = &harness.state().answers[..] else { panic!("one edit") };
    assert_eq!(left[..], site.viewpoints[1..]);
}

#[test]
fn crowded_flags_hide_no_other_and_no_handle_and_stay_on_the_sheet() {
    let evaluation = design::evaluate(&rear_garden());
    let bounds = Rect::from_min_max(pos2(270.0, 70.0), pos2(700.0, 500.0));
    let crowd: Vec<pins::Pin> = (0..40)
        .map(|k| pins::Pin {
            finding: k % evaluation.findings.len(),
            at: pos2(690.0, 300.0 + k as f32),
        })
        .collect();
    let mut room = plan::Room::within(bounds);
    room.taken = (0..12)
        .map(|k| Rect::from_center_size(pos2(400.0 + 25.0 * k as f32, 310.0), vec2(18.0, 26.0)))
        .collect();
    let harness = bench(vec2(720.0, 520.0), |ui| {
        let unit = units::LengthUnit::FootInch;
        let flags = pins::flags(ui.painter(), &evaluation, &crowd, Some(3), unit, &room);
        Some(flags.iter().map(|flag| flag.rect).collect::<Vec<_>>())
    });
    let rects = harness.state().answers.last().expect("they are laid out");
    assert!(rects.len() > 20, "{} found room", rects.len());
    for (idx, rect) in rects.iter().enumerate() {
        assert!(bounds.contains_rect(*rect), "{rect:?}");
        let hidden = rects[..idx].iter().find(|other| other.intersects(*rect));
        assert!(hidden.is_none(), "{rect:?} hides {hidden:?}");
        let handle = room.taken.iter().find(|handle| handle.intersects(*rect));
        assert!(handle.is_none(), "{rect:?} lies under {handle:?}");
    }
}
