//! `reads-as-mound`, on hills as they are built; the closed forms of the measure stand with it.

use design::{Code, evaluate, mounds};
use site::works::*;
use site::{Site, Viewpoint, WorkKind};

use super::*;

const CODE: Code = Code::ReadsAsMound;

/// A ridge of this length, 1.2 m high, with flanks of one slope.
fn ridge(length_m: f64, run_per_rise: f64) -> Site {
    let crest = straight(&[[-0.5 * length_m, 0.0], [0.5 * length_m, 0.0]]);
    garden(2, vec![WorkKind::Hill(Hill { crest, width_m: vec![0.0], ..hill(run_per_rise) })])
}

#[test]
fn a_short_steep_hill_reads_as_a_heap_and_a_long_one_does_not() {
    let heap = found(&ridge(0.5, 3.0), CODE).remove(0);
    assert!(heap.message.contains("heap"), "{}", heap.message);
    assert!(heap.measured.value > 0.60 && heap.measured.limit == 0.60);
    check(&ridge(9.0, 3.0), CODE, &[]);
    check(&ridge(0.5, 5.0), CODE, &[]);
}

#[test]
fn the_shoulder_that_clears_it_is_named_with_its_fill() {
    let site = ridge(1.5, 3.0);
    check_remedy(&site, CODE);
    let finding = found(&site, CODE).remove(0);
    let said = design::remedy(&site, &finding).expect("a shoulder").message;
    assert!(said.contains("shoulder by") && said.contains("more fill"), "{said}");
}

#[test]
fn the_limit_is_where_it_is_set() {
    let mut site = ridge(1.5, 3.0);
    let measure = found(&site, CODE)[0].measured.value;
    site.limits.mound_advice = measure + 0.001;
    check(&site, CODE, &[]);
    site.limits.mound_advice = measure - 0.001;
    site.limits.mound_heap = 2.0;
    check(&site, CODE, &[(1, measure, measure - 0.001)]);
}

/// The ridge with a seat 18 m to the south of it, where the eye is level with its crest.
fn seen_from_the_south() -> Site {
    let mut site = ridge(9.0, 3.0);
    site.viewpoints.push(Viewpoint {
        name: "Seat".into(),
        at_m: [0.0, -18.0],
        eye_m: 1.2,
        toward_m: [0.0, 0.0, 30.0],
    });
    site
}

#[test]
fn the_fan_and_the_skyline_are_there_to_be_drawn() {
    let site = seen_from_the_south();
    let found = mounds(&site, &evaluate(&site));
    assert_eq!((found.len(), found[0].fan.len(), found[0].skyline.len()), (1, 72, 1));
    let skyline = &found[0].skyline[0];
    // The crest is level with the eye 18 m away, in front of ground 1.2 m lower at 42 m.
    let above_rad = libm::atan(1.2 / 42.0);
    assert!((skyline.above_rad - above_rad).abs() < 0.001, "{skyline:?}");
    assert!(libm::sin(skyline.bearing_rad).abs() < 0.3, "{skyline:?}");
    // Its conical ends fall at 1 in 3 as seen from the side.
    for shoulder in skyline.shoulders {
        assert!((0.28..0.40).contains(&shoulder), "{skyline:?}");
    }
}

#[test]
fn a_house_behind_the_hill_is_what_was_there() {
    let skyline = |height_m: f64, front: f64| {
        let mut site = seen_from_the_south();
        site.houses.push(site::House {
            name: "House".into(),
            outline_m: [[-24.0, front], [24.0, front], [24.0, front + 4.0], [-24.0, front + 4.0]]
                .into(),
            floor_m: 30.0,
            sill_m: 30.0,
            height_m,
        });
        mounds(&site, &evaluate(&site)).remove(0).skyline
    };
    // The nearer wall stands 33 m off, its eaves 0.6 m below the eye; the farther one 37 m.
    let above_rad = skyline(0.6, 15.0)[0].above_rad;
    assert!((above_rad - libm::atan(0.6 / 37.0)).abs() < 0.001, "{above_rad}");
    // One that is higher than the hill, behind it or before it, leaves nothing against the sky.
    assert_eq!(skyline(1.3, 15.0), []);
    assert_eq!(skyline(1.3, -12.0), []);
    // The one that the eye is in hides nothing.
    assert!((skyline(2.5, -20.0)[0].above_rad - libm::atan(1.2 / 42.0)).abs() < 0.001);
}

#[test]
fn ground_raised_along_water_alone_is_no_hill() {
    check(&garden(2, vec![WorkKind::Basin(basin(30.3))]), CODE, &[]);
}
