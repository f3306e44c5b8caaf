//! The earth that moves: whole, by soil, and in trucks.

use site::Site;
use site::earth::FillUse;
use takeoff::{
    AnchorTrench, Balance, Fitness, Governs, Layer, Material, OverDig, RangedSoil, Soil, Truck,
};
use units::{Bank, Compacted};

use crate::measured::Measured;
use crate::{Earth, HaulOutcome, SoilOutcome, TopsoilOutcome};

/// The whole's earth and trucks from what was measured.
///
/// A soil or a truck that cannot be gives figures that are no numbers, never zero.
pub(crate) fn balance(site: &Site, measured: &Measured) -> (Earth, HaulOutcome) {
    let whole = &measured.whole;
    let strip_m = site.soils.topsoil.strip_m;
    let [stripped_m2, margin_m2] = measured.stripped_m2;
    let dug_m3 = measured.lifts.iter().map(|lift| lift.dug_m3).collect::<ground::Sum>().value();
    let area_m2 = whole.cut_area_m2 + whole.fill_area_m2;
    let fill_m3 = no_less_than_nothing(whole.fill_m3 + measured.trenches.fill_m3);
    let settles = site.digging.settlement;
    let overbuilt =
        takeoff::overbuild(whole.highest_fill_m, Compacted::from_m3(fill_m3), settles).ok();
    let earth = Earth {
        cut_bank_m3: whole.cut_m3 + measured.trenches.cut_m3,
        fill_compacted_m3: whole.fill_m3 + measured.trenches.fill_m3,
        recut_m3: measured.recut_m3,
        spoil_bank_m3: f64::NAN,
        plus_minus_m3: takeoff::survey_bias_m3(area_m2, site.survey.accuracy_m),
        cut_area_m2: whole.cut_area_m2,
        fill_area_m2: whole.fill_area_m2,
        deepest_cut_m: whole.deepest_cut_m,
        highest_fill_m: whole.highest_fill_m,
        dug_m3,
        over_dig_m3: over_dig(site, measured),
        overbuild_m3: overbuilt.map_or(f64::NAN, |more| more.extra.m3()),
        overbuild_m: overbuilt.map_or(f64::NAN, |more| more.height_m),
        topsoil: TopsoilOutcome {
            strip_m3: stripped_m2 * strip_m,
            respread_m3: margin_m2 * strip_m + measured.laid_topsoil_m3,
            surplus_m3: f64::NAN,
        },
    };
    let balance = two_materials(site, &earth, measured);
    let trucks = Truck::new(site.haul.struck_m3, site.haul.payload_t);
    let (Some(balance), Ok(truck)) = (balance, trucks) else {
        return (earth, HaulOutcome::unknown());
    };
    let earth = Earth {
        spoil_bank_m3: balance.subsoil.net.m3(),
        topsoil: TopsoilOutcome { surplus_m3: balance.topsoil.net.m3(), ..earth.topsoil },
        ..earth
    };
    (earth, hauled(&balance, truck).unwrap_or_else(HaulOutcome::unknown))
}

/// What each soil gives, and where it goes.
pub(crate) fn soils(site: &Site, earth: &Earth, measured: &Measured) -> Vec<SoilOutcome> {
    let Some(balance) = two_materials(site, earth, measured) else { return Vec::new() };
    let of = |(layer, outcome): (&site::Soil, &takeoff::LayerBalance)| SoilOutcome {
        name: layer.name.clone(),
        cut_bank_m3: outcome.cut.m3(),
        to_fill_bank_m3: outcome.to_fill.m3(),
        spoil_bank_m3: outcome.spoil.lot.bank.m3(),
        spoil_mass_t: outcome.spoil.lot.mass_t,
    };
    site.soils.layers.iter().zip(&balance.subsoil.layers).map(of).collect()
}

/// The balance of topsoil and of subsoil; none where the site's numbers cannot be.
fn two_materials(site: &Site, earth: &Earth, measured: &Measured) -> Option<Balance> {
    let bias_m3 =
        |area_m2| takeoff::survey_bias_m3(no_less_than_nothing(area_m2), site.survey.accuracy_m);
    let whole_m3: f64 = measured.soils_m3.iter().sum();
    let cut_bias_m3 = bias_m3(measured.whole.cut_area_m2);
    let mut layers = Vec::new();
    for (layer, &cut_m3) in site.soils.layers.iter().zip(&measured.soils_m3) {
        let soil = Soil::new(layer.bank_density_t_m3, layer.swell, layer.shrink).ok()?;
        let share = if whole_m3 > 0.0 { cut_m3 / whole_m3 } else { 0.0 };
        layers.push(Layer {
            soil: RangedSoil::new(soil, layer.swell_range, layer.shrink_range).ok()?,
            cut: Bank::from_m3(cut_m3),
            cut_bias: Bank::from_m3(share * cut_bias_m3),
            fitness: match layer.fill {
                FillUse::Fit => Fitness::Fit,
                FillUse::Unfit => Fitness::Unfit,
            },
        });
    }
    let subsoil = Material {
        layers: &layers,
        fill: Compacted::from_m3(no_less_than_nothing(earth.fill_compacted_m3)),
        fill_bias: Compacted::from_m3(bias_m3(measured.whole.fill_area_m2)),
        ..Material::default()
    };
    let given = &site.soils.topsoil;
    let soil = Soil::new(given.bank_density_t_m3, given.swell, given.shrink).ok()?;
    let stripped = [Layer {
        soil: soil.into(),
        cut: Bank::from_m3(earth.topsoil.strip_m3),
        cut_bias: Bank::from_m3(0.0),
        fitness: Fitness::Fit,
    }];
    let topsoil = Material {
        layers: &stripped,
        fill: Compacted::from_m3(earth.topsoil.respread_m3),
        ..Material::default()
    };
    takeoff::balance(&topsoil, &subsoil).ok()
}

/// What goes over the road; each material in trucks of its own.
fn hauled(balance: &Balance, truck: Truck) -> Option<HaulOutcome> {
    let subsoil = &balance.subsoil;
    let lot = if subsoil.net.m3() < 0.0 { subsoil.import } else { subsoil.spoil };
    let [own, topsoil] = [subsoil.hauled(), balance.topsoil.hauled()]
        .map(|hauled| takeoff::haul_apart(&hauled, truck));
    let (own, topsoil) = (own.ok()?, topsoil.ok()?);
    Some(HaulOutcome {
        spoil_loose_m3: own.loose.m3(),
        spoil_loose_plus_minus_m3: lot.plus_minus.loose.m3(),
        spoil_mass_t: own.mass_t,
        loads: Some(own.loads),
        governed_by: own.governs.as_str(),
        topsoil_loads: Some(topsoil.loads),
        topsoil_loose_m3: topsoil.loose.m3(),
    })
}

/// Dug beside the neat volume: below the subgrade, behind walls, and for liner edges.
fn over_dig(site: &Site, measured: &Measured) -> f64 {
    let digging = &site.digging;
    let below =
        OverDig { area_m2: measured.whole.cut_area_m2, depth_m: digging.over_dig_m }.volume();
    let anchor = AnchorTrench {
        length_m: measured.beside.anchored_m,
        width_m: digging.anchor_width_m,
        depth_m: digging.anchor_depth_m,
    };
    let parts = [below, anchor.volume()].map(|part| part.map_or(f64::NAN, Bank::m3));
    parts.iter().sum::<f64>() + measured.beside.walls_m3
}

impl HaulOutcome {
    /// Nothing is known of what is hauled.
    pub(crate) fn unknown() -> Self {
        Self {
            spoil_loose_m3: f64::NAN,
            spoil_loose_plus_minus_m3: f64::NAN,
            spoil_mass_t: f64::NAN,
            loads: None,
            governed_by: Governs::None.as_str(),
            topsoil_loads: None,
            topsoil_loose_m3: f64::NAN,
        }
    }
}

/// Where nothing is dug, rounding may leave a hair less than nothing; no number stays none.
pub(crate) fn no_less_than_nothing(sum: f64) -> f64 {
    if sum < 0.0 { 0.0 } else { sum }
}
