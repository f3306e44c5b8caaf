//! The earth that moves: whole, by work, and in trucks.

use ground::Surface;
use ground::overlay::{self, Volumes};
use site::Site;
use takeoff::{
    Fitness, Governs, Layer, Material, MaterialBalance, RangedLot, RangedSoil, Soil, Truck,
};
use units::{Bank, Compacted};

use crate::{Earth, HaulOutcome, recut};

/// Cut, fill and recut of one work, cubic metres.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub(crate) struct Moved {
    pub(crate) cut_m3: f64,
    pub(crate) fill_m3: f64,
    pub(crate) recut_m3: f64,
}

/// What a work moves from the ground before it to the ground after it.
pub(crate) fn moved(existing: &Surface, before: &Surface, after: &Surface) -> Moved {
    let is_fill = |face: u32| before.faces()[face as usize].tag.owner != 0;
    let by_maker = overlay::volumes_by(before, after, |from, _| usize::from(is_fill(from)), 2);
    let [native, made] = [&by_maker[0], &by_maker[1]];
    let recut_m3 =
        if made.cut_m3 > 0.0 { recut::volume_m3(existing, before, after, is_fill) } else { 0.0 };
    Moved {
        cut_m3: native.cut_m3 + made.cut_m3,
        fill_m3: native.fill_m3 + made.fill_m3,
        recut_m3: no_less_than_nothing(recut_m3),
    }
}

/// The whole's earth and trucks from its volumes between existing and finished ground.
///
/// A soil or a truck that cannot be gives figures that are no numbers, never zero.
pub(crate) fn balance(site: &Site, whole: &Volumes, recut_m3: f64) -> (Earth, HaulOutcome) {
    let bias_m3 =
        takeoff::survey_bias_m3(whole.cut_area_m2 + whole.fill_area_m2, site.survey.accuracy_m);
    let mut earth = Earth {
        cut_bank_m3: whole.cut_m3,
        fill_compacted_m3: whole.fill_m3,
        recut_m3,
        spoil_bank_m3: f64::NAN,
        plus_minus_m3: bias_m3,
        cut_area_m2: whole.cut_area_m2,
        fill_area_m2: whole.fill_area_m2,
        deepest_cut_m: whole.deepest_cut_m,
        highest_fill_m: whole.highest_fill_m,
    };
    let unknown = HaulOutcome {
        spoil_loose_m3: f64::NAN,
        spoil_loose_plus_minus_m3: f64::NAN,
        spoil_mass_t: f64::NAN,
        loads: 0,
        governed_by: Governs::None.as_str(),
    };
    let truck = Truck::new(site.haul.struck_m3, site.haul.payload_t);
    let Some((soil, subsoil)) = subsoil(site, whole) else { return (earth, unknown) };
    earth.spoil_bank_m3 = subsoil.net.m3();
    let haul = truck.ok().and_then(|truck| takeoff::haul(subsoil.net, soil, truck).ok());
    let Some(haul) = haul else { return (earth, unknown) };
    let hauled = hauled(&subsoil);
    let outcome = HaulOutcome {
        spoil_loose_m3: haul.loose.m3(),
        spoil_loose_plus_minus_m3: hauled.plus_minus.loose.m3(),
        spoil_mass_t: haul.mass_t,
        loads: haul.loads,
        governed_by: haul.governs.as_str(),
    };
    (earth, outcome)
}

/// The site's one soil and its balance; none where the site's numbers cannot be.
fn subsoil(site: &Site, whole: &Volumes) -> Option<(Soil, MaterialBalance)> {
    let given = &site.soil;
    let soil = Soil::new(given.bank_density_t_m3, given.swell, given.shrink).ok()?;
    let bias_m3 =
        |area_m2| takeoff::survey_bias_m3(no_less_than_nothing(area_m2), site.survey.accuracy_m);
    let layer = Layer {
        soil: RangedSoil::new(soil, given.swell_range, given.shrink_range).ok()?,
        cut: Bank::from_m3(no_less_than_nothing(whole.cut_m3)),
        cut_bias: Bank::from_m3(bias_m3(whole.cut_area_m2)),
        fitness: Fitness::Fit,
    };
    let subsoil = Material {
        layers: &[layer],
        fill: Compacted::from_m3(no_less_than_nothing(whole.fill_m3)),
        fill_bias: Compacted::from_m3(bias_m3(whole.fill_area_m2)),
        ..Material::default()
    };
    let balance = takeoff::balance(&Material::default(), &subsoil).ok()?;
    Some((soil, balance.subsoil))
}

/// What goes over the road: the import where earth is lacking, else the spoil.
fn hauled(subsoil: &MaterialBalance) -> RangedLot {
    if subsoil.net.m3() < 0.0 { subsoil.import } else { subsoil.spoil }
}

/// Where nothing is dug, rounding may leave a hair less than nothing; no number stays none.
fn no_less_than_nothing(sum: f64) -> f64 {
    if sum < 0.0 { 0.0 } else { sum }
}
