//! Rain at ponds: what their catchments bring, what runs over their overflows, and where that goes.

use ground::curve::{Closure, contains};
use ground::query::{descend, face_area_m2};
use site::works::Basin;
use site::{Curve, Site, WorkId, WorkKind};
use water::{Crest, CrestForm, curve_number_runoff_m, overflow, rational_flow_m3_s};

use super::{Known, Unknown, edges};
use crate::Evaluation;
use crate::checks::{Drainage, Line, Seen};

/// How far beyond the rim the overflow's water is followed from, metres.
const BEYOND_RIM_M: f64 = 0.15;

/// Rain at a pond.
#[derive(Clone, Debug, PartialEq)]
pub struct RainOutcome {
    /// The pond.
    pub work: WorkId,
    /// Area of its water, square metres.
    pub water_m2: f64,
    /// Ground around it that drains into it, square metres.
    pub ground_m2: f64,
    /// What the storm brings at its height, cubic metres a second.
    pub storm_m3_s: Known<f64>,
    /// What the wet day brings, cubic metres.
    pub wet_day_m3: Known<f64>,
    /// Head over the overflow in the storm, metres.
    pub overflow_head_m: Known<f64>,
    /// Level of the pond in the storm, metres.
    pub storm_level_m: Known<f64>,
    /// How far the liner's edge stands above it then, metres; below zero the water leaves elsewhere.
    pub edge_above_storm_m: Known<f64>,
    /// The least width of the overflow that keeps the edge above the storm's water by its limit, metres.
    pub width_needed_m: Known<f64>,
    /// Where the water goes that runs over.
    pub goes: Known<Heading>,
}

/// The way of water over finished ground.
#[derive(Clone, Debug, PartialEq)]
pub struct Heading {
    /// Where it leaves the rim and where its way ends, local metres.
    pub ends_m: [[f64; 2]; 2],
    /// The house that it comes nearest to, by its place in the site, and how near, metres.
    pub house: Option<(usize, f64)>,
    /// Where it does, local metres east, north, up.
    pub nearest_m: [f64; 3],
}

/// Rain at every pond of an evaluated site.
pub(super) fn rains(site: &Site, evaluation: &Evaluation) -> Vec<RainOutcome> {
    rain(&Seen::new(site, evaluation))
}

/// Rain at every pond.
pub(crate) fn rain(seen: &Seen<'_>) -> Vec<RainOutcome> {
    let Some(drainage) = seen.drainage() else { return Vec::new() };
    let ground_m2 = ground_m2(drainage);
    let ponds = drainage.ponds.iter().zip(ground_m2);
    let outcome = |(pond, ground_m2): (&crate::checks::DrainedPond, f64)| match &seen
        .site
        .work(pond.work)?
        .kind
    {
        WorkKind::Basin(basin) => {
            let (water_m2, work) = (pond.area_m2, pond.work);
            Some(AtPond { seen, work, basin, water_m2, ground_m2 }.outcome())
        }
        _ => None,
    };
    ponds.filter_map(outcome).collect()
}

/// The ground that drains into each pond, without its own water, square metres.
fn ground_m2(drainage: &Drainage<'_>) -> Vec<f64> {
    let mut areas_m2: Vec<f64> = drainage.ponds.iter().map(|_| 0.0).collect();
    for f in 0..drainage.surface.faces().len() as u32 {
        let mut face_m2 = None;
        drainage.catchments.each_part(f, |part| {
            let to = drainage.to[part.end];
            let pond = drainage.ponds.iter().position(|pond| pond.sector_of(to).is_some());
            if let Some(i) = pond {
                let face_m2 = *face_m2.get_or_insert_with(|| face_area_m2(drainage.surface, f));
                areas_m2[i] += part.share * face_m2;
            }
        });
    }
    let own = areas_m2.iter().zip(&drainage.ponds);
    own.map(|(whole_m2, pond)| (whole_m2 - pond.area_m2).max(0.0)).collect()
}

struct AtPond<'s, 'e> {
    seen: &'s Seen<'e>,
    work: WorkId,
    basin: &'s Basin,
    water_m2: f64,
    ground_m2: f64,
}

impl AtPond<'_, '_> {
    fn outcome(&self) -> RainOutcome {
        let storm_m3_s = self.storm_m3_s();
        let edge_m = super::levels::edge_of(self.basin);
        let running = storm_m3_s.clone().and_then(|storm_m3_s| {
            let crest = self.crest()?;
            overflow(&crest, storm_m3_s, edge_m, edges(self.seen.site)).map_err(Unknown::because)
        });
        RainOutcome {
            work: self.work,
            water_m2: self.water_m2,
            ground_m2: self.ground_m2,
            wet_day_m3: self.wet_day_m3(),
            overflow_head_m: running.clone().map(|running| running.over.head_m),
            storm_level_m: running.clone().map(|running| running.over.level_m),
            edge_above_storm_m: running.map(|running| running.edge_above_water_m),
            width_needed_m: storm_m3_s.clone().and_then(|flow| self.width_needed_m(flow, edge_m)),
            storm_m3_s,
            goes: self.goes(),
        }
    }

    fn storm_m3_s(&self) -> Known<f64> {
        let weather = &self.seen.site.weather;
        let mm_h = weather.storm_mm_h.ok_or(Unknown("the storm is not given".into()))?;
        let share = weather.runoff_share;
        let share = share.ok_or(Unknown("the share that runs off is not given".into()))?;
        let ground = rational_flow_m3_s(share, mm_h, self.ground_m2).map_err(Unknown::because)?;
        let water = rational_flow_m3_s(1.0, mm_h, self.water_m2).map_err(Unknown::because)?;
        Ok(ground + water)
    }

    fn wet_day_m3(&self) -> Known<f64> {
        let weather = &self.seen.site.weather;
        let rain_m = weather.storm_m.ok_or(Unknown("the wet day's rain is not given".into()))?;
        let number = weather.curve_number;
        let number = number.ok_or(Unknown("the curve number is not given".into()))?;
        let off_m = curve_number_runoff_m(rain_m, number).map_err(Unknown::because)?;
        Ok(off_m * self.ground_m2 + rain_m * self.water_m2)
    }

    fn crest(&self) -> Known<Crest> {
        let basin = self.basin;
        let level_m =
            basin.overflow_m.ok_or(Unknown("the overflow's level is not given".into()))?;
        let width_m = basin.overflow_width_m;
        let width_m = width_m.ok_or(Unknown("the overflow's width is not given".into()))?;
        Crest::level(level_m, width_m, CrestForm::Broad).map_err(Unknown::because)
    }

    /// The width at which the edge stands above the storm's water by its limit.
    fn width_needed_m(&self, storm_m3_s: f64, edge_m: f64) -> Known<f64> {
        let crest_m = self.basin.overflow_m;
        let crest_m = crest_m.ok_or(Unknown("the overflow's level is not given".into()))?;
        let head_m = edge_m - self.seen.site.limits.storm_edge_m - crest_m;
        if head_m <= 0.0 {
            return Err(Unknown(
                "the overflow's crest leaves no head below the liner's edge".into(),
            ));
        }
        water::width_for_head_m(storm_m3_s, head_m, CrestForm::Broad).map_err(Unknown::because)
    }

    fn goes(&self) -> Known<Heading> {
        let at = self.basin.overflow.ok_or(Unknown("no place of overflow is drawn".into()))?;
        heading(self.seen, self.basin, at)
    }
}

/// Where the water goes that runs over a basin's rim at a place.
pub(crate) fn heading(seen: &Seen<'_>, basin: &Basin, at: [f64; 2]) -> Known<Heading> {
    let surface = seen.evaluation.finished.as_deref();
    let surface = surface.ok_or(Unknown("the survey makes no ground".into()))?;
    let ring = Line::new(&basin.outline, Closure::Closed);
    let ring = ring.ok_or(Unknown("the pond's outline has no area".into()))?;
    let nearest = ring.path.nearest(at);
    let [tx, ty] = ring.path.at_station(nearest.station_m).tangent;
    let beyond_m = basin.rim_width_m + BEYOND_RIM_M;
    let out = [[ty, -tx], [-ty, tx]].map(|way| [0, 1].map(|k| nearest.at[k] + beyond_m * way[k]));
    let from = out.into_iter().find(|p| !contains(ring.path.points(), *p));
    let from = from.ok_or(Unknown("the overflow stands in the water".into()))?;
    let way = descend(surface, from).ok_or(Unknown("the overflow stands off the survey".into()))?;
    let places: Vec<[f64; 3]> = way.points.iter().map(|p| [p.at[0], p.at[1], p.z]).collect();
    let end = places.last().map_or(from, |p| [p[0], p[1]]);
    let near = nearest_house(seen, &places);
    let [x, y] = from;
    Ok(Heading {
        ends_m: [from, end],
        house: near.map(|(house, away_m, _)| (house, away_m)),
        nearest_m: near.map_or([x, y, f64::NAN], |(_, _, at)| at),
    })
}

/// The house that a way comes nearest to, how near, and where.
fn nearest_house(seen: &Seen<'_>, places: &[[f64; 3]]) -> Option<(usize, f64, [f64; 3])> {
    let houses = seen.site.houses.iter().enumerate();
    let near = houses.filter_map(|(i, house)| {
        let outline = Curve { points: house.outline_m.clone(), smooth: false };
        let walls = Line::new(&outline, Closure::Closed)?.path;
        let away = places.iter().map(|at| (walls.nearest([at[0], at[1]]).distance_m, *at));
        let (away_m, at) = away.min_by(|a, b| a.0.total_cmp(&b.0))?;
        Some((i, away_m, at))
    });
    near.min_by(|a, b| a.1.total_cmp(&b.1))
}
