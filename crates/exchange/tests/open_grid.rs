//! An open grid of heights (tests/data), land and sea bed: volumes and slopes as another library has them.
//!
//! The numbers are trimesh's 5.2.0: the same triangles, which part a cell along the diagonal whose ends are
//! closer in height, cut by the level (`slice_plane`) and summed prism by prism; slopes by its normals.

use exchange::plain_grid;
use exchange::tin::Tin;
use ground::overlay::volumes;
use ground::query::{areas_where, plan_area_m2, surface_area_m2};
use ground::{Lattice, Surface};
use site::Frame;
use units::LengthUnit;

fn grid() -> (Surface, Frame) {
    // Cargo runs tests in their package's folder, whichever clone built them.
    let bytes = std::fs::read("tests/data/land-and-sea.asc").expect("it is kept beside the test");
    let metres = Some(LengthUnit::Metre);
    let content = plain_grid::read(&bytes, metres, metres).expect("GDAL reads it");
    let frame = content.frame().expect("it has places");
    let tin = content.grid.expect("it is a grid").tin("land and sea");
    (tin.surface(&frame).expect("it spans a surface").0, frame)
}

/// Beyond the grid on all sides.
fn level(z_m: f64, frame: &Frame) -> Surface {
    let corner = |[x, y]: [f64; 2]| [x * 70_000.0 - 2_000.0, y * 70_000.0 - 2_000.0, z_m];
    let tin = Tin {
        vertices_m: [[0.0, 0.0], [1.0, 0.0], [1.0, 1.0], [0.0, 1.0]].map(corner).to_vec(),
        faces: vec![[0, 1, 2], [0, 2, 3]],
        ..Tin::default()
    };
    tin.surface(frame).expect("four corners").0
}

fn near(found: f64, told: f64) {
    assert!((found - told).abs() <= 1e-9 * told, "{found} {told}");
}

#[test]
fn volumes_above_levels_are_another_librarys() {
    let (surface, frame) = grid();
    near(plan_area_m2(&surface), 3_965_760_000.0);
    near(surface_area_m2(&surface), 3_979_733_124.766);
    for (z_m, volume_m3, area_m2) in [
        (0.0, 1_096_391_894_390.978, 2_460_853_110.010),
        (250.0, 617_744_694_888.471, 1_636_918_880.399),
    ] {
        let above = volumes(&level(z_m, &frame), &surface);
        near(above.fill_m3, volume_m3);
        near(above.fill_area_m2, area_m2);
    }
}

#[test]
fn what_is_steeper_than_a_grade_is_another_librarys() {
    let (surface, frame) = grid();
    let lattice = Lattice::new(frame.step_um).expect("the frame's own");
    for (grade, area_m2) in [(0.05, 1_825_920_000.0), (0.1, 829_440_000.0), (0.2, 115_200_000.0)] {
        let steep = areas_where(&surface, |face| surface.plane(face).grade(lattice) > grade);
        near(steep.plan_m2, area_m2);
    }
}
