//! The keys of running water in the JSON report, SI: a key that is not known is null.

use design::{
    CrestOutcome, CrestPlace, DrainOutcome, Evaluation, FilterOutcome, Known, PondOutcome,
    PondRounds, Rounds,
};
use design::{PumpOutcome, RainOutcome, StreamOutcome, Uplifts};
use serde::Serialize;
use site::Site;

use super::super::name_of;

/// Running water, rain and groundwater.
#[derive(Serialize)]
pub(in super::super) struct RunningReport {
    pumps: Vec<Pump>,
    filters: Vec<Filter>,
    streams: Vec<Stream>,
    ponds: Vec<Pond>,
    rain: Vec<Rain>,
    uplift: Vec<Uplift>,
    drains: Vec<Drain>,
    open_soil: Option<OpenSoil>,
}

#[derive(Serialize)]
struct Pump {
    name: String,
    draws_from: Option<String>,
    shut_off_m: Option<f64>,
    flow_m3_s: Option<f64>,
    head_m: Option<f64>,
    velocity_m_s: Option<f64>,
    power_w: Option<f64>,
    energy_kwh_month: Option<f64>,
    cost_month: Option<f64>,
    clogged_m3_s: Option<f64>,
    half_closed_m3_s: Option<f64>,
    wanted_m3_s: Option<f64>,
    lines: Vec<Line>,
    /// Why it is not known.
    unknown: Option<String>,
}

#[derive(Serialize)]
struct Line {
    feeds: String,
    flow_m3_s: f64,
    velocity_m_s: f64,
    loss_m: f64,
    lift_m: f64,
}

#[derive(Serialize)]
struct Filter {
    filter: String,
    flow_m3_s: Option<f64>,
    area_m2: Option<f64>,
    gravel_depth_m: f64,
    void_m3: Option<f64>,
    upward_m_s: Option<f64>,
    stay_s: Option<f64>,
    clean_loss_m: Option<f64>,
    lip_load_m2_s: Option<f64>,
}

#[derive(Serialize)]
struct Stream {
    stream: String,
    flow_m3_s: Option<f64>,
    in_motion_m3: Option<f64>,
    crests: Vec<Crest>,
    greatest_depth_m: Option<f64>,
    greatest_velocity_m_s: Option<f64>,
    least_edge_above_water_m: Option<f64>,
    stones_stay: Option<bool>,
    unknown: Option<String>,
}

#[derive(Serialize)]
struct Crest {
    crest: String,
    width_m: f64,
    flow_m3_s: f64,
    head_m: f64,
    brink_m: f64,
    edge_above_crest_m: f64,
    drop_m: Option<f64>,
    comes_down: Option<&'static str>,
    throw_m: Option<f64>,
    liner_needed_m: Option<f64>,
    width_wanted_m: Option<f64>,
    parts: Vec<CrestPart>,
    estimate: bool,
}

/// A stone of a crest, left to right looking downstream.
#[derive(Serialize)]
struct CrestPart {
    width_m: f64,
    above_m: f64,
    flow_m3_s: f64,
}

#[derive(Serialize)]
struct Pond {
    pond: String,
    rest_m: f64,
    edge_m: f64,
    in_motion_m3: Option<f64>,
    running_m: Option<f64>,
    drop_m: Option<f64>,
    stopped_m: Option<f64>,
    rise_m: Option<f64>,
    turnover_h: Option<f64>,
    filling_h: Option<f64>,
    evaporation_m3_week: Option<f64>,
    splash_m3_week: Option<f64>,
    fall_m_week: Option<f64>,
    top_up_min_week: Option<f64>,
    /// Share of its water that is dead without wind.
    dead_share: Option<f64>,
    /// Where that is oldest, local metres.
    dead_at_m: Option<[f64; 2]>,
    unknown: Option<String>,
}

#[derive(Serialize)]
struct Rain {
    pond: String,
    water_m2: f64,
    ground_m2: f64,
    storm_m3_s: Option<f64>,
    wet_day_m3: Option<f64>,
    overflow_head_m: Option<f64>,
    edge_above_storm_m: Option<f64>,
    width_needed_m: Option<f64>,
    house: Option<String>,
    from_house_m: Option<f64>,
}

#[derive(Serialize)]
struct Uplift {
    pond: String,
    season: &'static str,
    groundwater_m: f64,
    /// Weight over uplift; null where nothing lifts.
    full: Option<f64>,
    low: Option<f64>,
    drained: Option<f64>,
}

#[derive(Serialize)]
struct Drain {
    drain: String,
    pond: String,
    invert_m: f64,
    outlet_m: [f64; 3],
    fall: Option<f64>,
    is_open: bool,
    brought_m3_s: Option<f64>,
    carries_m3_s: Option<f64>,
}

#[derive(Serialize)]
struct OpenSoil {
    open_m2: f64,
    washed_t: f64,
    settling_m2: f64,
    storage_m3: f64,
}

/// The keys of a site's running water; none where no pump is planned and no weather is known.
pub(in super::super) fn report(site: &Site, evaluation: &Evaluation) -> Option<RunningReport> {
    if site.circulation.is_none() && site.weather.is_none() {
        return None;
    }
    let plan = design::water_plan(site, evaluation);
    let running = &plan.running;
    let washing = plan.soil.washing.as_ref().and_then(|washing| washing.as_ref().ok());
    Some(RunningReport {
        pumps: running.pumps.iter().map(|one| pump(site, one)).collect(),
        filters: running.filters.iter().map(|one| filter(site, one)).collect(),
        streams: running.streams.iter().map(|one| stream(site, one)).collect(),
        ponds: running.ponds.iter().map(|one| pond(site, one, &plan.rounds)).collect(),
        rain: plan.rain.iter().map(|one| rain(site, one)).collect(),
        uplift: plan.soil.uplifts.iter().map(|one| uplift(site, one)).collect(),
        drains: plan.drains.iter().map(|one| drain(site, one)).collect(),
        open_soil: washing.map(|washing| OpenSoil {
            open_m2: washing.open_m2,
            washed_t: washing.washed_t,
            settling_m2: washing.settling_m2,
            storage_m3: washing.storage_m3,
        }),
    })
}

/// A number that is known and is one.
fn known(value: &Known<f64>) -> Option<f64> {
    value.as_ref().ok().copied().filter(|value| value.is_finite())
}

fn why<T>(value: &Known<T>) -> Option<String> {
    value.as_ref().err().map(ToString::to_string)
}

fn pump(site: &Site, pump: &PumpOutcome) -> Pump {
    let duty = pump.duty.as_ref().ok();
    let lines = duty.iter().flat_map(|duty| &duty.lines).map(|line| Line {
        feeds: name_of(site, line.feeds),
        flow_m3_s: line.flow_m3_s,
        velocity_m_s: line.velocity_m_s,
        loss_m: line.loss_m,
        lift_m: line.lift_m,
    });
    Pump {
        name: pump.name.clone(),
        draws_from: pump.draws_from.map(|id| name_of(site, id)),
        shut_off_m: known(&pump.shut_off_m),
        flow_m3_s: duty.map(|duty| duty.flow_m3_s),
        head_m: duty.map(|duty| duty.head_m),
        velocity_m_s: duty.map(|duty| duty.velocity_m_s),
        power_w: duty.and_then(|duty| known(&duty.power_w)),
        energy_kwh_month: duty.and_then(|duty| known(&duty.kwh_month)),
        cost_month: duty.and_then(|duty| known(&duty.cost_month)),
        clogged_m3_s: known(&pump.clogged_m3_s),
        half_closed_m3_s: known(&pump.half_closed_m3_s),
        wanted_m3_s: known(&pump.wanted_m3_s),
        lines: lines.collect(),
        unknown: why(&pump.duty),
    }
}

fn filter(site: &Site, filter: &FilterOutcome) -> Filter {
    Filter {
        filter: name_of(site, filter.work),
        flow_m3_s: known(&filter.flow_m3_s),
        area_m2: known(&filter.area_m2),
        gravel_depth_m: filter.gravel_depth_m,
        void_m3: known(&filter.void_m3),
        upward_m_s: known(&filter.upward_m_s),
        stay_s: known(&filter.stay_s),
        clean_loss_m: known(&filter.clean_loss_m),
        lip_load_m2_s: known(&filter.lip_load_m2_s),
    }
}

fn stream(site: &Site, stream: &StreamOutcome) -> Stream {
    let water = stream.water.as_ref().ok();
    let points = || water.into_iter().flat_map(|water| &water.points);
    let crests = stream.crests.as_ref().into_iter().flatten();
    let stones = points().filter_map(|point| point.of_stones_velocity).reduce(f64::max);
    Stream {
        stream: name_of(site, stream.work),
        flow_m3_s: known(&stream.flow_m3_s),
        in_motion_m3: water.map(|water| water.in_motion_m3),
        crests: crests.map(crest).collect(),
        greatest_depth_m: points().map(|p| p.level_m - p.bed_m).reduce(f64::max),
        greatest_velocity_m_s: points().map(|p| p.velocity_m_s).reduce(f64::max),
        least_edge_above_water_m: points().flat_map(|p| p.edge_above_water_m).reduce(f64::min),
        stones_stay: stones.map(|share| share < 1.0),
        unknown: why(&stream.water),
    }
}

fn crest(crest: &CrestOutcome) -> Crest {
    Crest {
        crest: match crest.crest {
            CrestPlace::Lip(_) => "lip".into(),
            CrestPlace::Head(_) => "head".into(),
            CrestPlace::Fall(_, i) => format!("fall {}", i + 1),
        },
        width_m: crest.width_m,
        flow_m3_s: crest.flow_m3_s,
        head_m: crest.head_m,
        brink_m: crest.brink_m,
        edge_above_crest_m: crest.edge_above_crest_m,
        drop_m: crest.drop_m,
        throw_m: crest.throw_m,
        comes_down: crest.comes_down.map(super::comes_down),
        liner_needed_m: crest.liner_needed_m,
        width_wanted_m: crest.width_wanted_m,
        parts: crest.parts.iter().map(part).collect(),
        estimate: crest.trust == design::Trust::Estimate,
    }
}

fn drain(site: &Site, drain: &DrainOutcome) -> Drain {
    Drain {
        drain: name_of(site, drain.work),
        pond: name_of(site, drain.pond),
        invert_m: drain.invert_m,
        outlet_m: drain.outlet_m,
        fall: known(&drain.fall),
        is_open: drain.is_open,
        brought_m3_s: known(&drain.brought_m3_s),
        carries_m3_s: known(&drain.carries_m3_s),
    }
}

fn part(part: &design::PartFlow) -> CrestPart {
    let design::PartFlow { width_m, above_m, flow_m3_s, .. } = *part;
    CrestPart { width_m, above_m, flow_m3_s }
}

fn pond(site: &Site, pond: &PondOutcome, rounds: &[PondRounds]) -> Pond {
    let levels = pond.levels.as_ref().ok();
    let rounds = rounds.iter().find(|rounds| rounds.work == pond.work);
    let rounds = rounds.and_then(|rounds| rounds.rounds.as_ref().ok());
    let oldest = |rounds: &Rounds| Some(rounds.local_m(rounds.dead.first()?.oldest_at_m));
    Pond {
        pond: name_of(site, pond.work),
        rest_m: pond.rest_m,
        edge_m: pond.edge_m,
        in_motion_m3: levels.map(|levels| levels.in_motion_m3),
        running_m: levels.map(|levels| levels.running_m),
        drop_m: levels.map(|levels| levels.drop_m),
        stopped_m: levels.map(|levels| levels.stopped_m),
        rise_m: levels.map(|levels| levels.rise_m),
        turnover_h: known(&pond.turnover_h),
        filling_h: known(&pond.filling_h),
        evaporation_m3_week: known(&pond.evaporation_m3_week),
        splash_m3_week: known(&pond.splash_m3_week),
        fall_m_week: known(&pond.fall_m_week),
        top_up_min_week: known(&pond.top_up_min_week),
        dead_share: rounds.map(Rounds::dead_share),
        dead_at_m: rounds.and_then(oldest),
        unknown: why(&pond.levels),
    }
}

fn rain(site: &Site, rain: &RainOutcome) -> Rain {
    let house = rain.goes.as_ref().ok().and_then(|goes| goes.house);
    Rain {
        pond: name_of(site, rain.work),
        water_m2: rain.water_m2,
        ground_m2: rain.ground_m2,
        storm_m3_s: known(&rain.storm_m3_s),
        wet_day_m3: known(&rain.wet_day_m3),
        overflow_head_m: known(&rain.overflow_head_m),
        edge_above_storm_m: known(&rain.edge_above_storm_m),
        width_needed_m: known(&rain.width_needed_m),
        house: house.and_then(|(i, _)| site.houses.get(i)).map(|house| house.name.clone()),
        from_house_m: house.map(|(_, away_m)| away_m),
    }
}

fn uplift(site: &Site, uplift: &Uplifts) -> Uplift {
    let [full, low, drained] = &uplift.factors;
    Uplift {
        pond: name_of(site, uplift.work),
        season: uplift.season,
        groundwater_m: uplift.groundwater_m,
        full: known(full),
        low: known(low),
        drained: known(drained),
    }
}
