//! C: streams, critical depth, jumps and stones. Munson, Young and Okiishi; Subramanya; Cengel and Cimbala;
//! Natarajan (from transcriptions); Ponce, SDSU CIVE 530; USACE WES *Streambank Manual*; FHWA HEC-11,
//! HEC-15, HDS-6; Chow 1959; Jarrett 1984 (from memory).

use water::{
    BedStone, COMMON_SHIELDS, Channel, Roughness, Section, StricklerUse, TABULATED_BEDS,
    Turbulence, alternate_depth_m, at_depth, bank_d30_m, bank_stone_m, bed_shear_pa,
    critical_depth_m, friction_slope, isbash_stone_m, jump, normal_depth_m, shear_stone_m,
    side_slope_share, uniform_flow_m3_s,
};

use super::{CFS_M3_S, FOOT_M, Row, SOUND, row};

/// Books in feet take 1.49 for the third root of 3.2808 feet in a metre.
const BOOK: f64 = 1.49 / 1.485_919;

fn n(n: f64) -> Roughness {
    Roughness::manning(n).expect(SOUND)
}

fn trapezoid(bed_m: f64, run: f64) -> Section {
    Section::new(bed_m, [run, run]).expect(SOUND)
}

fn depth(section: Section, n_: f64, bed_slope: f64, flow_m3_s: f64) -> f64 {
    let channel = Channel { section, roughness: n(n_), bed_slope, edge_height_m: 1.0e4 };
    normal_depth_m(channel, flow_m3_s).expect(SOUND)
}

pub(super) fn rows() -> Vec<Row> {
    let mut rows = manning();
    rows.extend(critical());
    rows.extend(stones());
    rows.extend(roughness());
    rows
}

fn manning() -> Vec<Row> {
    let munson = trapezoid(12.0 * FOOT_M, 1.0 / libm::tan(40.0_f64.to_radians()));
    let munson = uniform_flow_m3_s(munson, n(0.012), 0.0014, 5.0 * FOOT_M).expect(SOUND) / CFS_M3_S;
    let ponce = |slope, y| uniform_flow_m3_s(trapezoid(5.0, 0.0), n(0.015), slope, y).expect(SOUND);
    let slope = friction_slope(trapezoid(10.0, 1.5), n(0.015), 100.0, 3.0).expect(SOUND);
    let sloped = trapezoid(0.8, 1.0 / libm::tan(60.0_f64.to_radians()));
    let bed = |degrees: f64| {
        uniform_flow_m3_s(sloped, n(0.030), libm::tan(degrees.to_radians()), 0.52).expect(SOUND)
    };
    let mut rows = vec![
        row("C-01", "with the book's 1.49, cfs", 917.0, munson * BOOK, 2e-3),
        row("C-01", "with 1.486, cfs", 914.4, munson, 5e-4),
        row("C-02", "m3/s", 9.548, ponce(0.0025, 0.8), 1e-3),
        row("C-02", "m/s", 2.387, ponce(0.0025, 0.8) / 4.0, 1e-3),
        row("C-03", "m3/s", 26.23, ponce(0.003, 1.5), 1e-3),
        row("C-03", "m/s", 3.498, ponce(0.003, 1.5) / 7.5, 1e-3),
        row("C-04", "slope", 4.451e-4, slope, 1e-3),
        row("C-05", "at 0.3 degrees, m3/s", 0.60, bed(0.3), 1e-2),
        row("C-05", "at 1 degree, m3/s", 1.10, bed(1.0), 1e-2),
    ];
    let rocky = trapezoid(140.0 * FOOT_M, 2.0);
    for (roughness, depth_ft, top_ft, velocity_fps) in
        [(0.034, 10.6, 182.4, 7.9), (0.036, 11.0, 184.0, 7.6), (0.038, 11.3, 185.2, 7.3)]
    {
        let y = depth(rocky, roughness / BOOK, 0.0017, 13_500.0 * CFS_M3_S);
        let velocity = 13_500.0 * CFS_M3_S / rocky.area_m2(y) / FOOT_M;
        let what = |name: &str| format!("{name} at n {roughness}");
        rows.push(row("C-06", what("depth, ft,"), depth_ft, y / FOOT_M, 5e-3));
        rows.push(row("C-06", what("top width, ft,"), top_ft, rocky.top_width_m(y) / FOOT_M, 5e-3));
        rows.push(row("C-06", what("velocity, ft/s,"), velocity_fps, velocity, 5e-3));
    }
    let wide = depth(trapezoid(1000.0, 0.0), 0.02, 0.0016, 840.0);
    rows.push(row("C-07", "depth, m", 0.59, wide, 1e-2));
    let radius = Section::rectangle(4.0).expect(SOUND).hydraulic_radius_m(1.2);
    rows.push(row("C-08", "shear, N/m2", 7.36, bed_shear_pa(radius, 0.001).expect(SOUND), 2e-3));
    rows
}

fn critical() -> Vec<Row> {
    let depth = |bed, side| critical_depth_m(trapezoid(bed, side), 6.0).expect(SOUND);
    let energy = at_depth(trapezoid(2.0, 0.0), 6.0, depth(2.0, 0.0)).expect(SOUND).energy_m;
    let narrow = Section::rectangle(0.4).expect(SOUND);
    let munson = Section::rectangle(100.0 * FOOT_M).expect(SOUND);
    let munson = jump(munson, 100.0 * 0.6 * 18.0 * CFS_M3_S, 0.6 * FOOT_M).expect(SOUND);
    let metric = jump(Section::rectangle(10.0).expect(SOUND), 56.0, 0.8).expect(SOUND);
    let mut rows = vec![
        row("C-09", "depth, m", 0.972, depth(2.0, 0.0), 1e-3),
        row("C-09", "energy, m", 1.458, energy, 1e-3),
        row("C-10", "rectangle, m", 0.742, depth(3.0, 0.0), 1e-3),
        row("C-10", "triangle, m", 1.267, depth(0.0, 1.5), 1e-3),
    ];
    for (bed, side, flow) in [(3.0, 0.0, 12.352), (0.0, 2.0, 6.987), (2.5, 1.5, 14.864)] {
        let found = critical_depth_m(trapezoid(bed, side), flow).expect(SOUND);
        rows.push(row("C-11", format!("depth of {flow} m3/s, m"), 1.2, found, 1e-3));
    }
    rows.extend([
        row("C-12", "Froude", 2.75, at_depth(narrow, 0.2, 0.15).expect(SOUND).froude, 5e-3),
        row("C-12", "alternate, m", 0.69, alternate_depth_m(narrow, 0.2, 0.15).expect(SOUND), 5e-3),
        row("C-13", "Froude", 4.10, munson.froude_before, 2e-3),
        row("C-13", "depth behind, ft", 3.19, munson.after_m / FOOT_M, 2e-3),
        row("C-13", "power, hp", 277.5, munson.power_w / 745.7, 3e-3),
        row("C-14", "depth behind, m", 2.46, metric.after_m, 3e-3),
        row("C-14", "loss, m", 0.577, metric.loss_m, 3e-3),
    ]);
    rows
}

fn stones() -> Vec<Row> {
    let d30 = (1.1 * 0.30 * 1.185, 0.88);
    let d30 = bank_d30_m(10.5 * FOOT_M, 12.0 * FOOT_M, d30, 165.0 / 62.4).expect(SOUND) / FOOT_M;
    let share = |run| side_slope_share(run, 45.0_f64.to_radians()).expect(SOUND);
    let bank = |asked| bank_stone_m(1.87, 0.1219, share(3.0), asked).expect(SOUND);
    let stone = BedStone { d50_m: 0.1, specific_gravity: 165.0 / 62.4, shields: COMMON_SHIELDS };
    let by_shear = shear_stone_m(0.5 * FOOT_M, 0.02, stone, 1.0).expect(SOUND) / FOOT_M;
    let shear = bed_shear_pa(0.5 * FOOT_M, 0.02).expect(SOUND) / 47.880_26;
    let isbash = |turbulence| isbash_stone_m(6.0 * FOOT_M, 2.65, turbulence).expect(SOUND) / FOOT_M;
    // 2.12 / (S - 1)^1.5 at 3, and (1.5 / 1.2)^1.5, beside 2.65 and 1.2.
    let (heavy, safe) =
        (bank((3.0, 1.2)) / bank((2.65, 1.2)), bank((2.65, 1.5)) / bank((2.65, 1.2)));
    vec![
        row("C-15", "D30, ft", 0.62, d30, 1e-2),
        row("C-18", "K1 at 3 to 1", 0.8944, share(3.0), 1e-4),
        row("C-18", "K1 at 2 to 1", 0.7746, share(2.0), 1e-4),
        row("C-18", "D50, m", 0.1315, bank((2.65, 1.2)), 2e-3),
        row("C-19", "Csg at 3", 2.12 / libm::pow(2.0, 1.5), heavy, 2e-3),
        row("C-19", "Csf at 1.5", libm::pow(1.5 / 1.2, 1.5), safe, 2e-3),
        row("C-20", "D50, ft", 0.129, by_shear, 5e-3),
        row("C-20", "shear, lb/ft2", 0.624, shear, 1e-3),
        row("C-26", "white water, ft", 0.458, isbash(Turbulence::High), 5e-3),
        row("C-26", "smooth water, ft", 0.235, isbash(Turbulence::Low), 5e-3),
    ]
}

fn roughness() -> Vec<Row> {
    let strickler = |of| Roughness::strickler(FOOT_M, of).expect(SOUND).n(1.0);
    let jarrett =
        |slope, radius_ft: f64| Roughness::jarrett(slope).expect(SOUND).n(radius_ft * FOOT_M);
    let blodgett = Roughness::blodgett(0.25 * FOOT_M).expect(SOUND).n(FOOT_M);
    let limerinos = Roughness::limerinos(0.5 * FOOT_M).expect(SOUND).n(FOOT_M);
    let mut rows = vec![
        row("C-17", "mean", 0.036, strickler(StricklerUse::Mean), 1e-9),
        row("C-17", "stone sizing", 0.034, strickler(StricklerUse::StoneSizing), 1e-9),
        row("C-17", "freeboard", 0.038, strickler(StricklerUse::Freeboard), 1e-9),
        row("C-21", "n", 0.0485, blodgett, 2e-3),
        row("C-22", "n", 0.0526, limerinos, 2e-3),
        row("C-23", "n at 0.04 and 1 ft", 0.115, jarrett(0.04, 1.0), 5e-3),
        row("C-23", "n at 0.02 and 0.5 ft", 0.0985, jarrett(0.02, 0.5), 5e-3),
    ];
    for (id, i, published) in [
        ("C-24", 0, [0.030, 0.040, 0.050]),
        ("C-24", 1, [0.040, 0.050, 0.070]),
        ("C-25", 2, [0.025, 0.030, 0.033]),
        ("C-25", 3, [0.035, 0.045, 0.050]),
    ] {
        for (k, name) in ["least", "normal", "most"].into_iter().enumerate() {
            rows.push(row(id, format!("{name} n"), published[k], TABULATED_BEDS[i].n[k], 0.0));
        }
    }
    rows
}
