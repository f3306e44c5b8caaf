//! Whatever numbers come in, what comes out is an error or finite numbers; never a panic, NaN or
//! infinity.

use water::*;

const WILD: [f64; 12] = [
    f64::NAN,
    f64::INFINITY,
    f64::NEG_INFINITY,
    0.0,
    -1.0,
    1.0e-300,
    1.0e-6,
    0.03,
    1.0,
    37.0,
    1.0e6,
    1.0e300,
];

/// Asserts that numbers which came out of an operation are finite.
fn finite(name: &str, inputs: &[f64], outputs: &[f64]) {
    assert!(outputs.iter().all(|x| x.is_finite()), "{name}: {inputs:?} gave {outputs:?}");
}

fn each1(mut f: impl FnMut(f64)) {
    WILD.iter().for_each(|&a| f(a));
}

fn each2(mut f: impl FnMut(f64, f64)) {
    each1(|a| WILD.iter().for_each(|&b| f(a, b)));
}

fn each3(mut f: impl FnMut(f64, f64, f64)) {
    each2(|a, b| WILD.iter().for_each(|&c| f(a, b, c)));
}

fn each4(mut f: impl FnMut(f64, f64, f64, f64)) {
    each3(|a, b, c| WILD.iter().for_each(|&d| f(a, b, c, d)));
}

#[test]
fn crests_falls_and_sizing() {
    let forms = |c: f64| [CrestForm::Sharp, CrestForm::Broad, CrestForm::Rated(c)];
    each4(|z, width, flow, below| {
        for form in forms(width) {
            let Ok(crest) = Crest::level(z, width, form) else { continue };
            for below in [None, Some(below)] {
                let allowance = EdgeAllowance::default();
                let Ok(over) = crest.over(flow, below, allowance) else { continue };
                let inputs = [z, width, flow];
                let outputs = [
                    over.flow_m3_s,
                    over.level_m,
                    over.head_m,
                    over.wet_width_m,
                    over.unit_flow_m2_s,
                    over.critical_depth_m,
                    over.brink_depth_m,
                    over.undrowned_share,
                    over.edge_above_crest_m,
                ];
                finite("over", &inputs, &outputs);
                for drop in WILD {
                    if let Ok(f) = fall(&over, drop, Face::Upright) {
                        let outputs = [f.throw_m, f.foot_velocity_m_s, f.foot_thickness_m];
                        finite("fall", &[z, width, flow, drop], &outputs);
                    }
                }
            }
        }
    });
    each3(|a, b, c| {
        let line = [[0.0, a], [1.0, b], [1.0 + c, a]];
        if let Ok(crest) = Crest::uneven(&line, CrestForm::Broad) {
            finite("uneven", &[a, b, c], &[crest.lowest_m(), crest.width_m()]);
        }
        for form in forms(c) {
            if let Ok(width) = width_for_head_m(a, b, form) {
                finite("width_for_head", &[a, b, c], &[width]);
            }
            if let Ok(flow) = flow_for_head_m3_s(a, b, form) {
                finite("flow_for_head", &[a, b, c], &[flow]);
            }
        }
    });
    each2(|a, b| {
        let sizes = [width_for_brink_m(a, b), flow_for_brink_m3_s(a, b), brink_for_flow_m(a, b)];
        for size in sizes.into_iter().flatten() {
            finite("sizing", &[a, b], &[size]);
        }
        if let Ok(d) = straight_drop(a, b) {
            finite("drop", &[a, b], &[d.pool_m, d.length_m, d.before_m, d.after_m]);
        }
    });
}

#[test]
fn sections_and_uniform_flow() {
    each4(|bed, side, flow, other| {
        let Ok(section) = Section::new(bed, [side, 0.0]) else { return };
        let inputs = [bed, side, flow, other];
        if let Ok(depth) = critical_depth_m(section, flow) {
            finite("critical", &inputs, &[depth]);
        }
        if let Ok(at) = at_depth(section, flow, other) {
            finite("at_depth", &inputs, &[at.velocity_m_s, at.froude, at.energy_m]);
        }
        if let Ok(depth) = alternate_depth_m(section, flow, other) {
            finite("alternate", &inputs, &[depth]);
        }
        if let Ok(j) = jump(section, flow, other) {
            finite("jump", &inputs, &[j.after_m, j.loss_m, j.length_m, j.power_w]);
        }
        let roughnesses = [
            Roughness::manning(other),
            Roughness::variable_power(other),
            Roughness::limerinos(other),
        ];
        for roughness in roughnesses.into_iter().flatten() {
            for slope in WILD {
                let channel =
                    Channel { section, roughness, bed_slope: slope, edge_height_m: 100.0 };
                if let Ok(depth) = normal_depth_m(channel, flow) {
                    finite("normal", &[bed, side, flow, other, slope], &[depth]);
                }
                if let Ok(carried) = uniform_flow_m3_s(section, roughness, slope, flow) {
                    finite("uniform", &[bed, side, flow, other, slope], &[carried]);
                }
                if let Ok(found) = friction_slope(section, roughness, flow, slope) {
                    finite("friction", &[bed, side, flow, other, slope], &[found]);
                }
            }
        }
    });
}

#[test]
fn profiles_of_odd_reaches() {
    each4(|fall, bed, flow, level| {
        let Ok(section) = Section::new(bed, [0.5, 1.0]) else { return };
        let station = |along_m: f64, invert_m: f64| Station {
            along_m,
            invert_m,
            section,
            roughness: Roughness::manning(0.04).unwrap(),
            edges_m: [1.0, 1.0],
        };
        let Ok(reach) = Reach::new(vec![station(0.0, fall), station(3.0, 0.0)]) else { return };
        for outlet in [Outlet::Free, Outlet::Level(level)] {
            for inlet in [Inlet::Quiet, Inlet::Shooting(level)] {
                let Ok(found) = profile(&reach, flow, Ends { inlet, outlet }, 0.5) else {
                    continue;
                };
                for p in &found.points {
                    let outputs = [
                        p.depth_m,
                        p.level_m,
                        p.velocity_m_s,
                        p.froude,
                        p.energy_m,
                        p.friction_slope,
                    ];
                    finite("profile", &[fall, bed, flow, level], &outputs);
                }
                finite("volume", &[fall, bed, flow, level], &[found.volume_m3]);
            }
        }
    });
}

#[test]
fn pipes_pumps_and_circuits() {
    each4(|diameter, length, flow, k| {
        let Ok(pipe) = Pipe::new(diameter, length, PipeWall::SMOOTH_PLASTIC) else { return };
        let Ok(pipe) = pipe.with_loss(k) else { return };
        let line = Line::new(vec![pipe]);
        for law in [FrictionLaw::DarcyWeisbach(Water::COOL), FrictionLaw::HazenWilliams] {
            if let Ok(loss) = line.loss(flow, law) {
                let outputs = [loss.total_m(), loss.velocity_m_s];
                finite("loss", &[diameter, length, flow, k], &outputs);
            }
            for generic in [GENERIC_PUMPS[0], GENERIC_PUMPS[7]] {
                let pump = generic.pump().unwrap();
                if let Ok(d) = duty(&pump, Delivery { line: &line, lift_m: flow, law }) {
                    let outputs = [d.flow_m3_s, d.head_m, d.loss_m, d.velocity_m_s, d.power_w];
                    finite("duty", &[diameter, length, flow, k], &outputs);
                }
            }
        }
    });
    each3(|level, diameter, length| {
        let Ok(pipe) = Pipe::new(diameter, length, PipeWall::SMOOTH_PLASTIC) else { return };
        let line = || Line::new(vec![pipe]);
        let mut circuit = Circuit::new();
        let (Ok(pond), Ok(lip)) = (circuit.water(0.0), circuit.outlet(level)) else { return };
        let joint = circuit.joint();
        circuit.pump(pond, joint, line(), GENERIC_PUMPS[3].pump().unwrap()).unwrap();
        circuit.line(joint, lip, line()).unwrap();
        circuit.line(joint, pond, line()).unwrap();
        let found = circuit.run(FrictionLaw::DarcyWeisbach(Water::COOL)).unwrap();
        let flows: Vec<f64> = found.ways.iter().map(|way| way.flow_m3_s).collect();
        finite("circuit", &[level, diameter, length], &flows);
    });
    each3(|a, b, c| {
        for power in [PumpPower::Watts(c), PumpPower::Efficiency(c)] {
            if let Ok(pump) = Pump::from_formula(a, b, power.clone()) {
                let Ok(watts) = pump.power_w(b) else { continue };
                finite("pump", &[a, b, c], &[watts, pump.head_m(b)]);
            }
            if let Ok(pump) = Pump::from_points(&[[0.0, a], [b, c]], power) {
                let Ok(watts) = pump.power_w(b) else { continue };
                finite("pump", &[a, b, c], &[watts, pump.head_m(2.0 * b)]);
            }
        }
    });
    each2(|a, b| {
        for found in
            [friction_factor(a, b), diameter_for_velocity_m(a, b), energy_kwh_per_month(a, b)]
                .into_iter()
                .flatten()
        {
            finite("pipe", &[a, b], &[found]);
        }
        let fittings = [
            Fitting::Gate(a),
            Fitting::Ball(a),
            Fitting::Other(a),
            Fitting::Strainer { clean: a, clogged: b },
        ];
        for k in fittings.iter().filter_map(|fitting| fitting.loss_coefficient().ok()) {
            finite("fitting", &[a, b], &[k]);
        }
    });
}

#[test]
fn levels_losses_and_rain() {
    each4(|a, b, c, d| {
        let inputs = [a, b, c, d];
        let row = |level_m, area_m2, volume_m3| Stage { level_m, area_m2, volume_m3 };
        if let Ok(table) = StageTable::new(vec![row(0.0, a, 0.0), row(b, a, c)]) {
            finite("stage", &inputs, &[table.volume_m3(0.5), table.level_m(0.5)]);
            if let Ok(s) = start_stop(&table, d, c) {
                finite("start_stop", &inputs, &[s.running_m, s.drop_m, s.stopped_m, s.rise_m]);
            }
            let sill = Crest::level(0.0, 0.5, CrestForm::Broad).unwrap();
            let start = StartUp {
                pond: &table,
                bay: &table,
                sill: &sill,
                level_m: d,
                flow_m3_s: c,
                in_motion_m3: a,
            };
            for m in start_up(start, c, 4).into_iter().flatten() {
                finite("start_up", &inputs, &[m.pond_m, m.bay_m, m.in_motion_m3, m.short_m3]);
            }
            if let Ok(s) = start_stop_with_bay(start) {
                let outputs = [s.pond.drop_m, s.pond.rise_m, s.bay_running_m, s.bay_drop_m];
                finite("with_bay", &inputs, &outputs);
            }
        }
        if let Ok(loss) = weekly_loss(a, b, c, d) {
            finite("weekly", &inputs, &[loss.evaporation_m3, loss.splash_m3, loss.fall_m]);
        }
        let balance =
            WaterBalance { area_m2: a, in_m3_s: b, out_m3_s: c, rain_m: d, rise_m: b, time_s: 1.0 };
        let pan = PanReading { first_m: a, rain_m: b, taken_m: c, last_m: d };
        for found in [
            balance_evaporation_m(balance),
            pan_evaporation_m(pan, COMMON_PAN_COEFFICIENT),
            rational_flow_m3_s(a, b, c),
            curve_number_runoff_m(a, b),
            mean_curve_number(&[(a, b), (c, d)]),
            filling_time_s(a, b, c),
            turnover_h(a, b, c),
            drain_spacing_m(a, b, c, d),
            silt_depth_m(a, b, c, d),
            long_crest_m3_s(a, b, c, d),
            drowned_plate_m3_s(a, (b, c), (d, 0.8)),
            bank_stone_m(a, b, c, (d, 1.2)),
            bank_d30_m(a, b, (c, d), 2.65),
        ]
        .into_iter()
        .flatten()
        {
            finite("formula", &inputs, &[found]);
        }
    });
}

#[test]
fn ground_filters_and_weirs() {
    each4(|a, b, c, d| {
        let inputs = [a, b, c, d];
        let ground = LinerGround {
            liner_m: 0.0,
            groundwater_m: a,
            cover_m: b,
            cover_saturated_kg_m3: 2000.0,
            cover_drained_kg_m3: 1700.0,
        };
        if let Ok(u) = uplift_with_water(ground, c, 1.2) {
            // Where nothing lifts, the factor is infinite, as it says.
            finite("uplift", &inputs, &[u.lifts_pa, u.holds_pa, u.cover_needed_m]);
            assert!(!u.factor.is_nan());
        }
        let pipe = DrainPipe { diameter_m: a, n: 0.012, length_m: b, upper_m: c, outlet_m: 0.0 };
        if let Ok(found) = drain(pipe, d, -1.0) {
            finite("drain", &inputs, &[found.fall, found.full_m3_s, found.filling.unwrap_or(0.0)]);
        }
        let bed = GravelBed { area_m2: a, depth_m: b, void_share: 0.4, stone_m: c };
        if let Ok(f) = filter(bed, d) {
            finite("filter", &inputs, &[f.void_m3, f.upward_m_s, f.stay_s, f.clean_loss_m]);
        }
        let soil = BareSoil {
            area_m2: a,
            slope_length_m: b,
            grade: c,
            rain_erosivity: d,
            erodibility: 0.05,
            cover_share: 1.0,
            year_share: 0.5,
        };
        if let Ok(washed) = washed_soil_t(soil) {
            finite("silt", &inputs, &[washed]);
        }
        if let Ok(place) = settling_place(a, b, c) {
            finite("settling", &inputs, &[place.area_m2, place.storage_m3]);
        }
        let formulas = [
            PlateFormula::Coefficient(c),
            PlateFormula::Francis { n_contracted: 2 },
            PlateFormula::Bazin,
            PlateFormula::Rehbock { height_m: c },
            PlateFormula::Linear { height_m: c, at_none: 0.6, by_head: d },
            PlateFormula::KindsvaterCarter { height_m: c },
            PlateFormula::Everett { height_m: c },
        ];
        for formula in formulas {
            if let Ok(measured) = plate_flow(a, b, formula) {
                finite("plate", &inputs, &[measured.flow_m3_s]);
            }
            if let Ok(head) = plate_head_m(a, b, formula) {
                finite("plate head", &inputs, &[head]);
            }
        }
        let stone = BedStone { d50_m: a, specific_gravity: b, shields: c };
        let stones = [
            allowed_shear_pa(stone),
            bed_shear_pa(a, b),
            isbash_stone_m(a, b, Turbulence::High),
            isbash_velocity_m_s(a, b, Turbulence::Low),
            shear_stone_m(a, d, stone, 1.5),
            side_slope_share(a, b),
            seepage_m3_s(a, b, c),
            filter_area_m2(a, b),
            lip_load_m2_s(a, b),
        ];
        for found in stones.into_iter().flatten() {
            finite("stone", &inputs, &[found]);
        }
    });
}
