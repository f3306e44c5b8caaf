//! `liner-subgrade`: a square pond of eight metres, its sides at a stated slope.

use design::Code;
use site::works::*;
use site::{Site, WorkKind};

use super::*;

const CODE: Code = Code::LinerSubgrade;

/// Half a metre deep and as much from its edge to its water, so that a side runs `run_m` for 0.6 m.
fn pond(run_m: f64, on: BuildUp) -> Site {
    let mut pond = basin(GROUND_M - 0.2);
    pond.rings[0].shape = RingShape::Inset { run_m: vec![run_m] };
    pond.build_up = on;
    garden(2, vec![WorkKind::Basin(pond)])
}

const LINER: BuildUp =
    BuildUp { bedding_m: 0.02, liner_m: 0.001, stone_m: 0.0, gravel_m: 0.0, topsoil_m: 0.0 };

/// NRCS 521A (K-24): 1 to 1 bare, 2 1/2 to 1 buried.
#[test]
fn a_bare_liner_lies_at_one_to_one_and_gravel_at_two_and_a_half() {
    check(&pond(0.61, LINER), CODE, &[]);
    check(&pond(0.57, LINER), CODE, &[(1, 0.95, 1.0)]);
    let gravel = BuildUp { gravel_m: 0.1, ..LINER };
    check(&pond(1.51, gravel), CODE, &[]);
    check(&pond(1.44, gravel), CODE, &[(1, 2.4, 2.5)]);
    let stone = BuildUp { stone_m: 0.2, gravel_m: 0.1, ..LINER };
    check(&pond(0.3, stone), CODE, &[]);
    check(&pond(0.3, BuildUp::default()), CODE, &[]);
}

#[test]
fn stone_on_a_liner_wants_something_under_it() {
    let stone = |bedding_m: f64| BuildUp { bedding_m, stone_m: 0.2, ..LINER };
    check(&pond(1.0, stone(0.005)), CODE, &[]);
    check(&pond(1.0, stone(0.0)), CODE, &[(1, 0.0, 0.0254)]);
    let site = pond(1.0, stone(0.0));
    let finding = found(&site, CODE).remove(0);
    let remedy = design::remedy(&site, &finding).expect("bedding clears it");
    check(&remedy.site.expect("a site"), CODE, &[]);
}

#[test]
fn a_shelf_that_falls_outward_is_told() {
    let tilted = |inner_m: f64| {
        let mut site = pond(1.0, BuildUp::default());
        let WorkKind::Basin(pond) = &mut site.works[0].kind else { panic!("a pond") };
        pond.rings.push(BasinRing {
            shape: RingShape::Inset { run_m: vec![0.5] },
            depth_m: inner_m,
            build_up: Default::default(),
        });
        site
    };
    check(&tilted(0.491), CODE, &[]);
    check(&tilted(0.45), CODE, &[(1, 0.05, 0.0)]);
    let site = tilted(0.45);
    let finding = found(&site, CODE).remove(0);
    let remedy = design::remedy(&site, &finding).expect("digging it level clears it");
    check(&remedy.site.expect("a site"), CODE, &[]);
}
