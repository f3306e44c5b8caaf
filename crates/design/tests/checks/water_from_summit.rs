//! `water-from-summit`.

use design::Code;
use site::works::*;
use site::{Site, WorkKind};

use super::*;

const CODE: Code = Code::WaterFromSummit;

fn filtered(freeboard_m: f64) -> Site {
    garden(2, vec![WorkKind::FilterBed(FilterBed { freeboard_m, ..filter(30.6) })])
}

#[test]
fn the_rim_behind_the_lip_is_a_backdrop_when_it_is_high_enough() {
    check(&filtered(0.15), CODE, &[]);
    check(&filtered(0.149), CODE, &[(1, 0.0, 1.0 / 3.0)]);
    check_remedy(&filtered(0.05), CODE);
    check_remedy(&filtered(0.149), CODE);
}

#[test]
fn a_hill_behind_the_lip_is_a_backdrop() {
    let mut site = filtered(0.05);
    let ridge =
        Hill { crest: straight(&[[-3.0, 6.0], [3.0, 6.0]]), crest_m: vec![31.4], ..hill(3.0) };
    site.works
        .insert(0, Work { id: WorkId(2), kind: WorkKind::Hill(ridge), ..site.works[0].clone() });
    site.next_id = 3;
    // The ridge is wanted within three metres of the lip; it begins to rise enough beyond them.
    site.limits.lip_backdrop_reach_m = 1.0;
    assert_eq!(found(&site, CODE).len(), 1);
    site.limits.lip_backdrop_reach_m = 5.0;
    check(&site, CODE, &[]);
}

#[test]
fn the_limits_are_where_they_are_set() {
    let mut site = filtered(0.15);
    site.limits.lip_backdrop_rise_m = 0.16;
    assert_eq!(found(&site, CODE).len(), 1);
    site.limits.lip_backdrop_share = 0.0;
    check(&site, CODE, &[]);
}
