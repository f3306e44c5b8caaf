//! W: weirs and crests. Lal; Sarkar; Daugherty and Franzini; Cengel and Cimbala; Subramanya (all from
//! transcriptions); Ponce, SDSU CIVE 530 (2005); Oregon State Extension Circular 550 (1952); USBR *Water
//! Measurement Manual*; Everett stormwater manual (2014).

use water::{
    Crest, CrestForm, EdgeAllowance, PlateFormula, drowned_plate_m3_s, long_crest_m3_s, notch_flow,
    plate_flow, plate_head_m,
};

use super::{CFS_M3_S, FOOT_M, GALLON_M3, GPM_M3_S, INCH_M, Row, SOUND, row};

fn flow(width_m: f64, head_m: f64, formula: PlateFormula) -> f64 {
    plate_flow(width_m, head_m, formula).expect(SOUND).flow_m3_s
}

pub(super) fn rows() -> Vec<Row> {
    let mut rows = books();
    rows.extend(broad());
    rows.extend(measured());
    rows.extend(lips());
    rows
}

fn books() -> Vec<Row> {
    let francis = |n_contracted| PlateFormula::Francis { n_contracted };
    let lal = |formula| flow(7.573 * FOOT_M, 1.2 * FOOT_M, formula) / CFS_M3_S;
    let cd = PlateFormula::Coefficient(0.62);
    let height_m = 2.85 * FOOT_M;
    let head_ft = plate_head_m(FOOT_M, 3.0 * CFS_M3_S, francis(0)).expect(SOUND) / FOOT_M;
    let grows = PlateFormula::Linear { height_m: 0.6, at_none: 0.598, by_head: 0.0897 };
    let one = flow(0.40, 0.10, PlateFormula::Coefficient(1.0));
    vec![
        row("W-01", "Cd 0.62, cfs", 33.02, lal(cd), 1e-3),
        row("W-01", "Francis, cfs", 33.15, lal(francis(0)), 1e-3),
        row("W-01", "Bazin, cfs", 33.01, lal(PlateFormula::Bazin), 1e-3),
        row("W-01", "Rehbock, cfs", 34.12, lal(PlateFormula::Rehbock { height_m }), 1e-3),
        row("W-02", "Cd 0.62, m3/s", 0.655, flow(4.0, 0.20, cd), 1e-3),
        row("W-02", "two contractions, m3/s", 0.6485, flow(4.0 - 0.2 * 0.20, 0.20, cd), 1e-3),
        row("W-02", "Bazin, m3/s", 0.6656, flow(4.0, 0.20, PlateFormula::Bazin), 1e-3),
        row("W-03", "height of the crest, ft", 3.07, 4.0 - head_ft, 1e-3),
        row("W-04", "m3/s", 9.23, flow(5.0, 0.9, grows), 2e-3),
        row("W-05", "Cd", 0.669, 0.025 / one, 1e-3),
        row("W-06", "two piers, m3/s", 1.91, flow(2.2 - 0.1 * 6.0 * 0.7, 0.7, cd), 3e-3),
    ]
}

fn broad() -> Vec<Row> {
    let crest = Crest::level(0.0, 20.0 * FOOT_M, CrestForm::Broad).expect(SOUND);
    let in_feet = CrestForm::Broad.coefficient() / FOOT_M.sqrt();
    let long = |velocity_fps: f64| {
        long_crest_m3_s(100.0 * FOOT_M, 2.25 * FOOT_M, 0.95, velocity_fps * FOOT_M).expect(SOUND)
            / CFS_M3_S
    };
    let drowned = (0.5 * FOOT_M, 0.25 * FOOT_M);
    let drowned = drowned_plate_m3_s(6.0 * FOOT_M, drowned, (0.58, 0.80)).expect(SOUND);
    vec![
        row("W-07", "coefficient, ft", 3.087, in_feet, 1e-3),
        row("W-07", "cfs", 44.22, crest.flow_m3_s(0.8 * FOOT_M, None) / CFS_M3_S, 1e-3),
        row("W-08", "with its approach, cfs", 1024.0, long(long(0.0) / (120.0 * 4.25)), 2e-3),
        row("W-15", "imperial gal/h", 160_000.0, drowned / 0.004_546_09 * 3600.0, 5e-3),
    ]
}

fn measured() -> Vec<Row> {
    let mut rows = Vec::new();
    let francis = PlateFormula::Francis { n_contracted: 2 };
    for (head_ft, one, two) in
        [(0.10, 46.0, 95.0), (0.17, 103.0, 208.0), (0.25, 182.0, 368.0), (0.34, 285.0, 576.0)]
    {
        for (width_ft, gpm) in [(1.0, one), (2.0, two)] {
            let computed = flow(width_ft * FOOT_M, head_ft * FOOT_M, francis) / GPM_M3_S;
            rows.push(row(
                "W-09",
                format!("{width_ft} ft at {head_ft} ft, gpm"),
                gpm,
                computed,
                0.035,
            ));
        }
    }
    for (head_ft, gpm) in [(0.10, 3.6), (0.25, 35.1), (0.34, 76.7)] {
        let computed = notch_flow(head_ft * FOOT_M).expect(SOUND).flow_m3_s / GPM_M3_S;
        rows.push(row("W-10", format!("notch at {head_ft} ft, gpm"), gpm, computed, 0.035));
    }
    rows.extend(kindsvater_carter());
    let everett = PlateFormula::Everett { height_m: FOOT_M };
    let everett = flow(4.0 * FOOT_M, 0.5 * FOOT_M, everett) / CFS_M3_S;
    let by_hand = (3.27 + 0.40 * 0.5) * (4.0 - 0.2 * 0.5) * libm::pow(0.5, 1.5);
    rows.push(row("W-14", "4 ft at 0.5 ft over 1 ft, cfs", by_hand, everett, 1e-2));
    rows
}

/// The formula's own numbers, found again from the flows that it gives; W-12 from memory.
fn kindsvater_carter() -> Vec<Row> {
    // Over a plate so high that its height doesn't count, the flow grows as (h + kh) to 1.5.
    const HIGH_FT: f64 = 3e5;
    let cfs = |width_ft: f64, head_ft: f64, height_ft: f64| {
        let formula = PlateFormula::KindsvaterCarter { height_m: height_ft * FOOT_M };
        flow(width_ft * FOOT_M, head_ft * FOOT_M, formula) / CFS_M3_S
    };
    let [low, high] = [0.3, 0.9].map(|head_ft| libm::cbrt(cfs(2.0, head_ft, HIGH_FT).powi(2)));
    let kh_ft = (0.9 * low - 0.3 * high) / (high - low);
    let [narrow, wide] = [1.0, 3.0].map(|width_ft| cfs(width_ft, 0.5, HIGH_FT));
    let per_foot = (wide - narrow) / 2.0;
    let c = |per_foot: f64| per_foot / libm::pow(0.5 + kh_ft, 1.5);
    let low_plate = (cfs(3.0, 0.5, 0.5) - cfs(1.0, 0.5, 0.5)) / 2.0;
    vec![
        row("W-11", "kh, ft", 0.003, kh_ft, 1e-4),
        row("W-12", "C2", 3.220, c(per_foot), 3e-3),
        row("W-12", "C1", 0.400, c(low_plate) - c(per_foot), 3e-3),
    ]
}

/// The table of water thickness over a lip, inches; it has no number of its own.
fn lips() -> Vec<Row> {
    let mut rows = Vec::new();
    for (per_inch, sharp_in, broad_in, critical_in, brink_in) in [
        (50.0, 0.426, 0.448, 0.299, 0.214),
        (100.0, 0.676, 0.711, 0.474, 0.339),
        (150.0, 0.886, 0.932, 0.621, 0.444),
        (200.0, 1.074, 1.129, 0.753, 0.538),
        (300.0, 1.407, 1.480, 0.986, 0.705),
    ] {
        let over = |form| {
            let crest = Crest::level(0.0, INCH_M, form).expect(SOUND);
            crest.over(per_inch * GALLON_M3 / 3600.0, None, EdgeAllowance::default()).expect(SOUND)
        };
        let (sharp, broad) = (over(CrestForm::Sharp), over(CrestForm::Broad));
        for (name, published, computed_m) in [
            ("sharp head", sharp_in, sharp.head_m),
            ("broad head", broad_in, broad.head_m),
            ("critical depth", critical_in, broad.critical_depth_m),
            ("brink", brink_in, broad.brink_depth_m),
        ] {
            let what = format!("{name} at {per_inch} gal/h an inch, in");
            rows.push(row("lips", what, published, computed_m / INCH_M, 3e-3));
        }
    }
    rows
}
