use design::section::{along, section};
use egui_kittest::Harness;

use super::*;

/// Height of the drawing, in points.
const HEIGHT: f32 = 150.0;

/// The strip on its own, with what it has answered and where its widgets are.
struct Bench {
    site: Site,
    section: Section,
    points: Vec<Point>,
    answer: Answer,
    marks: marks::Marks,
    passes: usize,
}

fn bench() -> Harness<'static, Bench> {
    let site = crate::demo::rear_garden();
    let evaluation = design::evaluate(&site);
    let line = along(&site, &evaluation).unwrap();
    let section = section(&site, &evaluation, &line).unwrap();
    let (answer, marks) = (Answer::default(), marks::Marks::new());
    let middle = section.finished[section.finished.len() / 2];
    let points = vec![Point {
        name: "crest".into(),
        label: "Crest".into(),
        station_m: middle.station_m,
        level_m: middle.z,
        held: None,
    }];
    let state = Bench { site, section, points, answer, marks, passes: 0 };
    let mut harness = Harness::builder().with_size(vec2(900.0, HEIGHT + MARGINS)).build_ui_state(
        |ui, bench: &mut Bench| {
            // Fonts are there from the pass after the one that names them.
            bench.passes += 1;
            if bench.passes == 1 {
                return crate::theme::install(ui.ctx());
            }
            marks::keep(ui.ctx());
            let sheet = Sheet {
                name: "Section",
                section: Some(&bench.section),
                before: None,
                site: &bench.site,
                points: &bench.points,
                height: HEIGHT,
                is_drawing: IsDrawing::No,
            };
            bench.answer = section_ui(ui, &sheet);
            bench.marks = marks::take(ui.ctx());
        },
        state,
    );
    harness.run_steps(3);
    harness
}

#[test]
fn the_pointer_reads_both_levels_where_it_stands() {
    let mut harness = bench();
    let strip = harness.state().marks["section"];
    assert_eq!(harness.state().answer.read_m, None);
    harness.event(egui::Event::PointerMoved(strip.center()));
    harness.run_steps(2);
    let read_m = harness.state().answer.read_m.unwrap();
    let section = &harness.state().section;
    // The drawing is centred in its strip.
    assert!((read_m - 0.5 * section.length_m).abs() < 1e-3, "{read_m}");
}

#[test]
fn heights_are_true_where_they_fill_the_strip_and_stretched_by_a_stated_amount_else() {
    let harness = bench();
    let rect = harness.state().marks["section"];
    let whole = &harness.state().section;
    let frame = Frame::fitting(whole, rect);
    let [low, high] = whole.range_m();
    let (a, b) = (frame.at([0.0, low]), frame.at([1.0, low + 1.0]));
    let stretch = (a.y - b.y) / (b.x - a.x);
    assert!(frame.proportion_text().contains("true") == ((stretch - 1.0).abs() < 1e-3));
    for at in [[0.0, low], [whole.length_m, high]] {
        assert!(rect.contains(frame.at(at)), "{at:?}");
    }
}

#[test]
fn a_point_is_pulled_by_as_much_as_the_pointer_goes_up_the_strip() {
    let mut harness = bench();
    let at = harness.state().marks["section crest"].center();
    let modifiers = egui::Modifiers::NONE;
    let button = egui::PointerButton::Primary;
    harness.event(egui::Event::PointerMoved(at));
    harness.run_steps(1);
    assert_eq!(harness.state().answer.pull, None);
    harness.event(egui::Event::PointerButton { pos: at, button, pressed: true, modifiers });
    harness.run_steps(1);
    let pull = harness.state().answer.pull.unwrap();
    assert_eq!((pull.point, pull.down), (0, at.y));
    let bench = harness.state();
    let frame = Frame::fitting(&bench.section, bench.marks["section"]);
    let rise_m = 20.0 * pull.rise_per_point_m;
    let point = &bench.points[0];
    let up = frame.at([point.station_m, point.level_m + rise_m]);
    assert!((up.y - (at.y - 20.0)).abs() < 0.01, "{up:?}");
}
