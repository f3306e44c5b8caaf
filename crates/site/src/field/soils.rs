//! Fields of the ground's materials, and of how they are dug, carried, heaped and hauled.

use super::Quantity::{Density, Elevation, Length, Mass, Number, RunPerRise, Share, Volume};
use super::settings::rows;
use super::walk::{ELEVATION, Ends, Parameters, Visitor};
use super::walk::{choice, copied_list, number, number_or_none, outline, place, says, text};
use crate::earth::{FillUse, Heaped, LayerTop, SoilClass, Topsoil};
use crate::{Carry, Digging, Haul, Machine, Soil, Soils, Stockpile};

impl Parameters for Soils {
    fn walk(&mut self, visitor: &mut dyn Visitor) {
        walk_topsoil(&mut self.topsoil, visitor);
        let says_layers = says("layers", "Soils below the topsoil");
        copied_list(visitor, says_layers, (1, 20), &mut self.layers, Soil::default);
        for (i, layer) in self.layers.iter_mut().enumerate() {
            walk_layer(layer, i, visitor);
        }
        walk_groundwater(&mut self.groundwater_m, visitor);
        let low = says("groundwater_low_m", "Lowest groundwater").elevation();
        number_or_none(visitor, low, 0.0, &mut self.groundwater_low_m);
        let washes = says("erodibility", "Open soil washes by K, t ha h/(ha MJ mm)");
        number_or_none(visitor, washes.is(Number, 0.0, 0.1), 0.03, &mut self.erodibility);
        let grain = says("settling_grain_m", "Smallest grain to settle").is(Length, 1.0e-6, 0.01);
        number_or_none(visitor, grain, 2.0e-5, &mut self.settling_grain_m);
    }
}

fn walk_topsoil(topsoil: &mut Topsoil, visitor: &mut dyn Visitor) {
    let Topsoil { strip_m, margin_m, bank_density_t_m3, swell, shrink } = topsoil;
    rows(
        visitor,
        "topsoil.",
        "Topsoil, ",
        [
            ("strip_m", "depth stripped", Length, (0.0, 1.0), strip_m),
            ("margin_m", "stripped around the works", Length, (0.0, 5.0), margin_m),
            ("bank_density_t_m3", "bank density", Density, (0.2, 4.0), bank_density_t_m3),
            ("swell", "swell", Share, (0.0, 2.0), swell),
            ("shrink", "shrink", Share, (-1.0, 0.6), shrink),
        ],
    );
}

fn walk_layer(layer: &mut Soil, i: usize, visitor: &mut dyn Visitor) {
    let (path, label) = (format!("layers[{i}]."), format!("Soil {}, ", i + 1));
    let of = |field: &str, what: &str| says(format!("{path}{field}"), format!("{label}{what}"));
    text(visitor, of("name", "name"), &mut layer.name);
    walk_top(&mut layer.top, (&path, &label), visitor);
    rows(
        visitor,
        &path,
        &label,
        [
            (
                "bank_density_t_m3",
                "bank density",
                Density,
                (0.2, 4.0),
                &mut layer.bank_density_t_m3,
            ),
            ("swell", "swell", Share, (0.0, 2.0), &mut layer.swell),
            ("swell_range", "swell, plus or minus", Share, (0.0, 1.0), &mut layer.swell_range),
            ("shrink", "shrink", Share, (-1.0, 0.6), &mut layer.shrink),
            ("shrink_range", "shrink, plus or minus", Share, (0.0, 0.3), &mut layer.shrink_range),
            (
                "infiltration_mm_h",
                "seepage, mm an hour",
                Number,
                (0.0, 1.0e5),
                &mut layer.infiltration_mm_h,
            ),
        ],
    );
    let classes = [SoilClass::StableRock, SoilClass::A, SoilClass::B, SoilClass::C];
    let now = classes.iter().position(|c| *c == layer.class).unwrap_or(3);
    let names = &["stable rock", "class A", "class B", "class C"];
    let class = of("class", "stands as").caution(OPEN_HOLE);
    if let Some(new) = choice(visitor, class, names, now) {
        layer.class = classes[new];
    }
    let now = usize::from(layer.fill == FillUse::Unfit);
    if let Some(new) = choice(visitor, of("fill", "as fill"), &["fit", "unfit"], now) {
        layer.fill = [FillUse::Fit, FillUse::Unfit][new];
    }
}

/// K-01 to K-03.
const OPEN_HOLE: &str = "Planning help only. How a soil stands is judged on site by a competent person \
                         each day; what has not been looked at is class C.";

fn walk_top(top: &mut LayerTop, (path, label): (&str, &str), visitor: &mut dyn Visitor) {
    let of = |field: &str, what: &str| says(format!("{path}{field}"), format!("{label}{what}"));
    let now = usize::from(matches!(top, LayerTop::Levels(_)));
    match choice(visitor, of("top", "begins"), &["at a depth", "at levels"], now) {
        Some(0) => *top = LayerTop::Depth(0.5),
        // Borings that span a surface, to be moved to where they are.
        Some(_) => *top = LayerTop::Levels(vec![[0.0; 3], [10.0, 0.0, 0.0], [0.0, 10.0, 0.0]]),
        None => {}
    }
    match top {
        LayerTop::Depth(depth_m) => {
            let depth = of("top.depth_m", "depth of its top").is(Length, 0.0, 100.0);
            number(visitor, depth, depth_m);
        }
        LayerTop::Levels(borings) => {
            let list = of("top.levels", "borings");
            copied_list(visitor, list, (3, 1000), borings, || [0.0; 3]);
            for (i, [x, y, z]) in borings.iter_mut().enumerate() {
                let of = |field: String, what: &str| {
                    of(&format!("top.levels[{i}]{field}"), &format!("boring {}{what}", i + 1))
                };
                let mut at = [*x, *y];
                place(visitor, of(String::new(), ""), &mut at);
                [*x, *y] = at;
                let level = of("[2]".into(), ", level of its top");
                number(visitor, level.is(Elevation, ELEVATION.0, ELEVATION.1), z);
            }
        }
    }
}

/// A level that may be unknown: a list of none or one.
fn walk_groundwater(groundwater_m: &mut Option<f64>, visitor: &mut dyn Visitor) {
    let mut levels: Vec<f64> = groundwater_m.iter().copied().collect();
    let says_list = says("groundwater", "Groundwater level, known");
    copied_list(visitor, says_list, (0, 1), &mut levels, || 0.0);
    if let Some(level) = levels.first_mut() {
        number(visitor, says("groundwater_m", "Highest groundwater").elevation(), level);
    }
    *groundwater_m = levels.first().copied();
}

impl Parameters for Digging {
    fn walk(&mut self, visitor: &mut dyn Visitor) {
        let Self { lift_m, over_dig_m, behind_wall_m, anchor_width_m, anchor_depth_m, settlement } =
            self;
        rows(
            visitor,
            "",
            "",
            [
                ("lift_m", "Height of a lift", Length, (0.05, 10.0), lift_m),
                ("over_dig_m", "Dug below subgrade", Length, (0.0, 1.0), over_dig_m),
                ("behind_wall_m", "Room behind walls", Length, (0.0, 5.0), behind_wall_m),
                ("anchor_width_m", "Anchor trench, width", Length, (0.0, 2.0), anchor_width_m),
                ("anchor_depth_m", "Anchor trench, depth", Length, (0.0, 2.0), anchor_depth_m),
                ("settlement", "Fill settles by", Share, (0.0, 0.5), settlement),
            ],
        );
    }
}

impl Parameters for Haul {
    fn walk(&mut self, visitor: &mut dyn Visitor) {
        let Self { struck_m3, payload_t, load_m3_h, round_trip_min, day_h } = self;
        rows(
            visitor,
            "",
            "",
            [
                ("struck_m3", "Struck volume of a load", Volume, (0.01, 100.0), struck_m3),
                ("payload_t", "Payload of a load", Mass, (0.01, 200.0), payload_t),
                ("load_m3_h", "Loaded in an hour, loose", Volume, (0.01, 10_000.0), load_m3_h),
                ("round_trip_min", "Round trip, minutes", Number, (0.0, 10_000.0), round_trip_min),
                ("day_h", "Hours in a day", Number, (0.5, 24.0), day_h),
            ],
        );
    }
}

impl Parameters for Carry {
    fn walk(&mut self, visitor: &mut dyn Visitor) {
        outline(visitor, ("access_m", "Way in"), (Ends::Open, 0), &mut self.access_m);
        rows(
            visitor,
            "",
            "",
            [
                (
                    "access_width_m",
                    "Narrowest way, width",
                    Length,
                    (0.1, 100.0),
                    &mut self.access_width_m,
                ),
                (
                    "carrier_width_m",
                    "Barrow or machine, width",
                    Length,
                    (0.1, 10.0),
                    &mut self.carrier_width_m,
                ),
                ("body_m3", "It carries, loose", Volume, (0.01, 50.0), &mut self.body_m3),
                ("speed_m_s", "Its speed, m/s", Number, (0.05, 20.0), &mut self.speed_m_s),
                (
                    "load_and_tip_min",
                    "To load and tip, minutes",
                    Number,
                    (0.0, 120.0),
                    &mut self.load_and_tip_min,
                ),
            ],
        );
        walk_machine(&mut self.machine, visitor);
    }
}

/// Stones fall from slings, and machines tip over under them.
const SET: &str = "Planning help only. What a machine lifts at a reach stands in its maker's table; nobody \
                   stands under or beside a stone that hangs.";

/// A machine that may not be planned: a list of none or one.
fn walk_machine(machine: &mut Option<Machine>, visitor: &mut dyn Visitor) {
    let mut machines: Vec<Machine> = machine.iter().copied().collect();
    let first = || Machine { lifts_kg: 500.0, reach_m: 3.0 };
    let planned = says("machines", "Machine that sets stones, planned");
    copied_list(visitor, planned, (0, 1), &mut machines, first);
    if let Some(Machine { lifts_kg, reach_m }) = machines.first_mut() {
        let lifts = says("machine.lifts_kg", "Machine lifts, kg").is(Number, 1.0, 100_000.0);
        number(visitor, lifts.caution(SET), lifts_kg);
        let reach = says("machine.reach_m", "Machine's reach").is(Length, 0.5, 50.0);
        number(visitor, reach.caution(SET), reach_m);
    }
    *machine = machines.pop();
}

impl Parameters for Stockpile {
    fn walk(&mut self, visitor: &mut dyn Visitor) {
        text(visitor, says("name", "Name"), &mut self.name);
        let now = usize::from(self.holds == Heaped::Subsoil);
        if let Some(new) = choice(visitor, says("holds", "Holds"), &["topsoil", "subsoil"], now) {
            self.holds = [Heaped::Topsoil, Heaped::Subsoil][new];
        }
        rows(
            visitor,
            "",
            "",
            [
                (
                    "run_per_rise",
                    "Side, run per rise",
                    RunPerRise,
                    (0.5, 10.0),
                    &mut self.run_per_rise,
                ),
                ("height_m", "Greatest height", Length, (0.1, 20.0), &mut self.height_m),
            ],
        );
        outline(visitor, ("outline_m", "Outline"), (Ends::Closed, 3), &mut self.outline_m);
    }
}
