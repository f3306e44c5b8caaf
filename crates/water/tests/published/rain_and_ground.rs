//! H, E and K-26: rain, evaporation, uplift. NRCS TR-55 (answers from memory); worked questions on the NRCS
//! and rational formulas; Texas Tech University; ASCE table; Bedient et al.; hydrostatics.

use water::{
    COMMON_PAN_COEFFICIENT, LinerGround, PanReading, RUNOFF_COEFFICIENTS, WaterBalance,
    balance_evaporation_m, curve_number_runoff_m, mean_curve_number, pan_evaporation_m,
    rational_flow_m3_s, uplift_drained, uplift_with_water, weekly_loss,
};

use super::{CFS_M3_S, FOOT_M, GALLON_M3, GPM_M3_S, INCH_M, Row, SOUND, row};

const ACRE_M2: f64 = 43_560.0 * FOOT_M * FOOT_M;

pub(super) fn rows() -> Vec<Row> {
    let mut rows = rain();
    rows.extend(evaporation());
    rows.extend(uplift());
    rows
}

fn rain() -> Vec<Row> {
    let runoff =
        |inches: f64, cn| curve_number_runoff_m(inches * INCH_M, cn).expect(SOUND) / INCH_M;
    let mut rows = vec![
        row("H-01", "runoff, in", 5.625, runoff(8.0, 80.0), 1e-9),
        row("H-02", "runoff, in", 8.38, runoff(9.0, 94.82), 1e-3),
    ];
    for (cn, inches) in [(70.0, 2.81), (75.0, 3.28), (77.0, 3.48), (74.0, 3.19)] {
        rows.push(row("H-03", format!("runoff on {cn}, in"), inches, runoff(6.0, cn), 3e-3));
    }
    let mean = mean_curve_number(&[(175.0, 74.0), (75.0, 61.0)]).expect(SOUND);
    rows.push(row("H-03", "mean of 74 and 61", 70.1, mean, 1e-9));
    // Nothing runs off up to a fifth of S, which is 2.5 in for 80: told as what is kept.
    rows.push(row("H-04", "kept of 0.5 in on 80, in", 0.5, 0.5 - runoff(0.5, 80.0), 0.0));
    let rational = |c, inches_h: f64, acres: f64| {
        rational_flow_m3_s(c, inches_h * 25.4, acres * ACRE_M2).expect(SOUND) / CFS_M3_S
    };
    let (book, practice) = (rational(0.4, 2.87, 128.0), rational(0.11, 1.25, 30.0));
    let factor = rational(1.0, 1.0, 1.0);
    let roof = rational_flow_m3_s(0.9, 4.0 * 25.4, 1000.0 * FOOT_M * FOOT_M).expect(SOUND);
    rows.extend([
        row("H-05", "with the exact factor taken out, cfs", 146.94, book / 1.008_333, 1e-4),
        row("H-06", "with the exact factor taken out, cfs", 4.125, practice / 1.008_333, 1e-4),
        row("H-07", "factor", 1.00833, factor, 1e-3),
    ]);
    let ranges = [
        [0.05, 0.10],
        [0.10, 0.15],
        [0.15, 0.20],
        [0.13, 0.17],
        [0.18, 0.22],
        [0.25, 0.35],
        [0.75, 0.95],
        [0.75, 0.85],
    ];
    for (published, kept) in ranges.into_iter().zip(RUNOFF_COEFFICIENTS) {
        let [least, most] = published;
        rows.push(row("H-08", format!("least, {}", kept.ground), least, kept.range[0], 0.0));
        rows.push(row("H-08", format!("most, {}", kept.ground), most, kept.range[1], 0.0));
    }
    rows.push(row("H-13", "gpm", 37.4, roof / GPM_M3_S, 1e-3));
    rows
}

fn evaporation() -> Vec<Row> {
    let lake = WaterBalance {
        area_m2: 708_000.0,
        in_m3_s: 1.5,
        out_m3_s: 1.25,
        rain_m: 0.24,
        rise_m: 1.0,
        time_s: 30.0 * 86_400.0,
    };
    let pan = PanReading { first_m: 0.08, rain_m: 0.05, taken_m: 0.03, last_m: 0.09 };
    let day = weekly_loss(200.0 * FOOT_M * FOOT_M, 0.25 * INCH_M, 0.0, 0.0).expect(SOUND);
    vec![
        row("E-01", "cm", 15.5254, 100.0 * balance_evaporation_m(lake).expect(SOUND), 1e-5),
        row("E-02", "mm", 6.0, 1000.0 * pan_evaporation_m(pan, 0.6).expect(SOUND), 1e-9),
        row("E-03", "pan coefficient", 0.7, COMMON_PAN_COEFFICIENT, 0.0),
        row("E-04", "gal/d", 31.17, day.evaporation_m3 / 7.0 / GALLON_M3, 2e-4),
    ]
}

fn uplift() -> Vec<Row> {
    const PCF_KG_M3: f64 = 0.453_592_37 / (FOOT_M * FOOT_M * FOOT_M);
    const PSF_PA: f64 = 0.453_592_37 * 9.806_65 / (FOOT_M * FOOT_M);
    let ground = |groundwater_m: f64| LinerGround {
        liner_m: 0.0,
        groundwater_m,
        cover_m: 0.0,
        cover_saturated_kg_m3: 120.0 * PCF_KG_M3,
        cover_drained_kg_m3: 120.0 * PCF_KG_M3,
    };
    let full = uplift_with_water(ground(4.0 * FOOT_M), 3.0 * FOOT_M, 1.0).expect(SOUND);
    let empty = uplift_drained(ground(FOOT_M), 1.0).expect(SOUND);
    vec![
        row("K-26", "a foot of head, psf", 62.4, empty.lifts_pa / PSF_PA, 1e-3),
        row("K-26", "submerged cover, ft", 1.083, full.cover_needed_m / FOOT_M, 1e-3),
        row("K-26", "cover in an empty pond, ft", 0.52, empty.cover_needed_m / FOOT_M, 1e-3),
    ]
}
