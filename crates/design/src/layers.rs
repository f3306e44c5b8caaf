//! What lies between the subgrade and the finished ground, work by work and part by part.

use ground::query::areas_by;
use ground::{Surface, Tag};
use site::works::BuildUp;
use site::{Site, WorkId, WorkKind};

use crate::part::Part;

/// The build-up of every part of every work that is built, and the topsoil taken off all of them.
///
/// Two are equal when they lay the same everywhere.
#[derive(Clone, Debug, Default, PartialEq)]
pub(crate) struct Layers {
    /// Works with what they lay, by rising owner.
    works: Vec<(u32, Laid)>,
    /// Depth to which existing ground is stripped of its topsoil.
    pub(crate) strip_m: f64,
}

/// What one work lays on its parts.
#[derive(Clone, Debug, Default, PartialEq)]
struct Laid {
    /// On its rim.
    rim: BuildUp,
    /// On its bed, its flanks or its plane.
    top: BuildUp,
    /// On floors, sides and shelves, band by band.
    bands: Vec<BuildUp>,
    /// On the banks outside.
    banks: BuildUp,
}

/// Volumes of what one work lays, in place.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct LaidVolumes {
    /// Bedding, cubic metres.
    pub bedding_m3: f64,
    /// Stone, cubic metres.
    pub stone_m3: f64,
    /// Gravel, cubic metres.
    pub gravel_m3: f64,
    /// Topsoil, cubic metres.
    pub topsoil_m3: f64,
    /// Volume of the liner itself, cubic metres.
    pub liner_m3: f64,
    /// Area of the liner on plan, square metres.
    pub liner_plan_m2: f64,
    /// Area of the liner on its slopes, square metres, without overlaps and anchor trenches.
    pub liner_slope_m2: f64,
}

impl LaidVolumes {
    /// Everything between subgrade and finished ground, cubic metres.
    pub fn whole_m3(&self) -> f64 {
        self.bedding_m3 + self.liner_m3 + self.stone_m3 + self.gravel_m3 + self.topsoil_m3
    }
}

impl Layers {
    /// The layers of a site's visible works.
    pub(crate) fn of(site: &Site) -> Self {
        let built = site.works.iter().filter(|work| work.visible);
        let mut works: Vec<(u32, Laid)> =
            built.filter_map(|work| Some((work.id.0, laid(&work.kind)?))).collect();
        works.sort_by_key(|(owner, _)| *owner);
        Self { works, strip_m: site.soils.topsoil.strip_m }
    }

    /// Whether subgrade and finished ground are one, and nothing is stripped.
    pub(crate) fn are_none(&self) -> bool {
        self.strip_m == 0.0 && self.works.iter().all(|(_, laid)| *laid == Laid::default())
    }

    /// What lies on a work's face; nothing on existing ground.
    pub(crate) fn on(&self, tag: Tag) -> BuildUp {
        let found = self.works.binary_search_by_key(&tag.owner, |(owner, _)| *owner);
        let Ok(at) = found else { return BuildUp::default() };
        let laid = &self.works[at].1;
        match Part::of(tag.part) {
            Part::Floor | Part::Side | Part::Shelf => {
                let band = Part::band_of(tag.part) as usize;
                laid.bands.get(band).or(laid.bands.last()).copied().unwrap_or_default()
            }
            Part::Rim => laid.rim,
            Part::Bed | Part::Flank | Part::Crest | Part::Pad | Part::Lawn | Part::Path => laid.top,
            Part::CutBank | Part::FillBank => laid.banks,
            Part::Existing | Part::WallTop | Part::WallFace | Part::Backfill | Part::Island => {
                BuildUp::default()
            }
        }
    }

    /// Ground lowered by all that lies on it; existing ground by its topsoil, everywhere.
    ///
    /// Between two such grounds existing ground differs nowhere, so that their differences are those
    /// of the subgrades.
    pub(crate) fn dug(&self, ground: &Surface) -> Surface {
        ground.lowered(|face| self.dug_m(ground.faces()[face as usize].tag))
    }

    /// How far the dug ground lies below a face of the finished or the existing one, metres.
    pub(crate) fn dug_m(&self, tag: Tag) -> f64 {
        if tag.owner == 0 { self.strip_m } else { self.on(tag).thickness_m() }
    }

    /// Volumes of what each work lays on the ground that the works leave, in order of their ids.
    pub(crate) fn volumes(&self, finished: &Surface) -> Vec<(WorkId, LaidVolumes)> {
        let areas = areas_by(finished, |face| finished.faces()[face as usize].tag);
        let of = |owner: u32| {
            let mut sum = LaidVolumes::default();
            let own = areas.iter().skip_while(|(tag, _)| tag.owner < owner);
            for (tag, area) in own.take_while(|(tag, _)| tag.owner == owner) {
                let on = self.on(*tag);
                if on.is_none() {
                    continue;
                }
                sum.bedding_m3 += area.plan_m2 * on.bedding_m;
                sum.stone_m3 += area.plan_m2 * on.stone_m;
                sum.gravel_m3 += area.plan_m2 * on.gravel_m;
                sum.topsoil_m3 += area.plan_m2 * on.topsoil_m;
                sum.liner_m3 += area.plan_m2 * on.liner_m;
                if on.liner_m > 0.0 {
                    sum.liner_plan_m2 += area.plan_m2;
                    sum.liner_slope_m2 += area.slope_m2;
                }
            }
            sum
        };
        let laying = self.works.iter().filter(|(_, laid)| *laid != Laid::default());
        laying.map(|&(owner, _)| (WorkId(owner), of(owner))).collect()
    }
}

/// What a work lays; none for those that lay nothing by their nature.
fn laid(kind: &WorkKind) -> Option<Laid> {
    let pit = |bands: Vec<BuildUp>, rim, banks| Laid { rim, top: BuildUp::default(), bands, banks };
    let plane = |top, banks| Laid { rim: banks, top, bands: Vec::new(), banks };
    Some(match kind {
        WorkKind::Basin(basin) => {
            let inner = basin.rings.iter().map(|ring| ring.build_up);
            let bands = std::iter::once(basin.build_up).chain(inner).collect();
            pit(bands, basin.rim_build_up, basin.bank_build_up)
        }
        WorkKind::Stream(stream) => Laid {
            top: stream.bed_build_up,
            ..pit(vec![stream.side_build_up], stream.bank_build_up, stream.bank_build_up)
        },
        WorkKind::FilterBed(bed) => pit(vec![bed.build_up], bed.bank_build_up, bed.bank_build_up),
        WorkKind::IntakeBay(bay) => pit(vec![bay.build_up], bay.bank_build_up, bay.bank_build_up),
        WorkKind::Hill(hill) => plane(hill.build_up, hill.build_up),
        WorkKind::Pad(pad) => plane(pad.build_up, pad.bank_build_up),
        WorkKind::Path(path) => plane(path.build_up, path.bank_build_up),
        WorkKind::PlaneGrade(grade) => plane(grade.build_up, grade.build_up),
        WorkKind::Wall(_) | WorkKind::Trench(_) | WorkKind::Strip(_) => return None,
    })
}
