//! Running water in plain words, and as keys of the JSON report: pumps, crests, levels, rain, filters,
//! groundwater. What cannot be told says why in words, and is null in JSON.

mod keys;

use std::fmt::Write as _;

use design::{
    CrestOutcome, CrestPlace, DrainOutcome, Evaluation, FallKind, FilterOutcome, Known,
    PondOutcome, PumpOutcome, RainOutcome, StreamOutcome, WaterPlan,
};
use site::Site;
use units::{
    LengthUnit, area_text, elevation_text, flow_text, length_text, thickness_text, velocity_text,
    water_text,
};

use super::{STRING, name_of};

pub(super) use keys::{RunningReport, report};

/// Beside every pump and every deep water.
const LIVE: &str = "electricity beside water kills: have it wired by a licensed electrician behind a \
                    ground-fault (GFCI) or residual-current (RCD) device, as local codes ask";
const CHILDREN: &str = "a child can drown in a hand's breadth of water: keep a barrier while the hole is \
                        open, and ask the authority which one it wants";
const DRAINED: &str = "an empty pond can float up or fold its liner where groundwater stands higher than \
                       its floor: look at the level outside before it is drained";

/// The running water of a site; nothing where no pump is planned and no weather is known.
pub fn text(site: &Site, evaluation: &Evaluation) -> String {
    if site.circulation.is_none() && site.weather.is_none() {
        return String::new();
    }
    let plan = design::water_plan(site, evaluation);
    let mut out = String::new();
    let told = Told { site, unit: site.frame.unit };
    if !site.circulation.pumps.is_empty() {
        out.push_str("\nRunning water\n");
        plan.running.pumps.iter().for_each(|pump| told.pump(&mut out, pump));
        plan.running.filters.iter().for_each(|filter| told.filter(&mut out, filter));
        plan.running.streams.iter().for_each(|stream| told.stream(&mut out, stream));
        plan.running.ponds.iter().for_each(|pond| told.pond(&mut out, pond));
        writeln!(out, "  caution: {LIVE}").expect(STRING);
        writeln!(out, "  caution: {CHILDREN}").expect(STRING);
    }
    told.weather(&mut out, &plan);
    out
}

struct Told<'s> {
    site: &'s Site,
    unit: LengthUnit,
}

/// A value in words, or why there is none.
fn told<T>(value: &Known<T>, words: impl Fn(&T) -> String) -> String {
    match value {
        Ok(value) => words(value),
        Err(why) => format!("not known, {why}"),
    }
}

/// How water comes down, in one word.
fn comes_down(kind: FallKind) -> &'static str {
    match kind {
        FallKind::Sheet => "sheet",
        FallKind::Chute => "chute",
    }
}

impl Told<'_> {
    fn flow(&self, flow_m3_s: f64) -> String {
        flow_text(flow_m3_s, self.unit)
    }

    fn length(&self, length_m: f64) -> String {
        length_text(length_m, self.unit)
    }

    fn pump(&self, out: &mut String, pump: &PumpOutcome) {
        let line = |out: &mut String, label: &str, words: String| {
            writeln!(out, "    {label:<22}{words}").expect(STRING);
        };
        match &pump.duty {
            Err(why) => writeln!(out, "  {}: not known, {why}", pump.name).expect(STRING),
            Ok(duty) => {
                writeln!(
                    out,
                    "  {}: moves {} against {} of lift and losses",
                    pump.name,
                    self.flow(duty.flow_m3_s),
                    self.length(duty.head_m)
                )
                .expect(STRING);
                for one in &duty.lines {
                    let words = format!(
                        "{}, lifted {}, {} lost in the pipe, {} in it",
                        self.flow(one.flow_m3_s),
                        self.length(one.lift_m),
                        self.length(one.loss_m),
                        velocity_text(one.velocity_m_s, self.unit)
                    );
                    let label = format!("to {}", name_of(self.site, one.feeds));
                    line(out, &label, words);
                }
                let energy = told(&duty.power_w, |watts| format!("{watts:.0} W"));
                let month = told(&duty.kwh_month, |kwh| format!("{kwh:.0} kWh a month"));
                let cost = duty.cost_month.as_ref().map(|cost| format!(", costing {cost:.2}"));
                line(out, "takes", format!("{energy}; {month}{}", cost.unwrap_or_default()));
            }
        }
        line(out, "guard half clogged", told(&pump.clogged_m3_s, |flow| self.flow(*flow)));
        line(out, "valve half closed", told(&pump.half_closed_m3_s, |flow| self.flow(*flow)));
        line(out, "wanted", told(&pump.wanted_m3_s, |flow| self.flow(*flow)));
        if pump.wanted_m3_s.is_ok() {
            let size = told(&pump.size_for_wanted, |(_, flow)| {
                format!("the smallest common pump for it would move {}", self.flow(*flow))
            });
            line(out, "", size);
        }
    }

    fn filter(&self, out: &mut String, filter: &FilterOutcome) {
        let line = |out: &mut String, label: &str, words: String| {
            writeln!(out, "    {label:<22}{words}").expect(STRING);
        };
        let name = name_of(self.site, filter.work);
        let area = told(&filter.area_m2, |m2| area_text(*m2, self.unit));
        writeln!(out, "  {name}: {area} of gravel, {} deep", self.length(filter.gravel_depth_m))
            .expect(STRING);
        line(out, "water comes", told(&filter.flow_m3_s, |flow| self.flow(*flow)));
        line(out, "between the stones", told(&filter.void_m3, |m3| water_text(*m3, self.unit)));
        let rises = |velocity: &f64| format!("{:.1} mm each second", velocity * 1000.0);
        line(out, "rises", told(&filter.upward_m_s, rises));
        let stays = |seconds: &f64| format!("{:.0} minutes", seconds / 60.0);
        line(out, "stays in the gravel", told(&filter.stay_s, stays));
    }

    fn stream(&self, out: &mut String, stream: &StreamOutcome) {
        let name = name_of(self.site, stream.work);
        let flow = told(&stream.flow_m3_s, |flow| self.flow(*flow));
        writeln!(out, "  {name}: {flow}").expect(STRING);
        match &stream.crests {
            Err(why) => writeln!(out, "    crests: not known, {why}").expect(STRING),
            Ok(crests) => crests.iter().for_each(|crest| self.crest(out, crest)),
        }
        match &stream.water {
            Err(why) => writeln!(out, "    along its bed: not known, {why}").expect(STRING),
            Ok(water) => {
                let points = || water.points.iter();
                let deepest = points().map(|p| p.level_m - p.bed_m).fold(0.0, f64::max);
                let fastest = points().map(|p| p.velocity_m_s).fold(0.0, f64::max);
                let edge =
                    points().flat_map(|p| p.edge_above_water_m).fold(f64::INFINITY, f64::min);
                let stones = points().filter_map(|p| p.of_stones_velocity).fold(0.0, f64::max);
                writeln!(
                    out,
                    "    along its bed up to {} deep and {}; the liner's edge stands at least {} above it",
                    thickness_text(deepest, self.unit),
                    velocity_text(fastest, self.unit),
                    self.length(edge)
                )
                .expect(STRING);
                writeln!(
                    out,
                    "    loose stones of its bed {}",
                    if stones < 1.0 { "stay" } else { "move where it runs fastest: bed them in" }
                )
                .expect(STRING);
                for arms in &water.arms {
                    let [left, right] = arms.flows_m3_s.map(|flow| self.flow(flow));
                    writeln!(
                        out,
                        "    rock {}: {left} to its left, {right} to its right",
                        arms.island + 1
                    )
                    .expect(STRING);
                }
            }
        }
    }

    fn crest(&self, out: &mut String, crest: &CrestOutcome) {
        let name = match crest.crest {
            CrestPlace::Lip(_) => "lip".to_owned(),
            CrestPlace::Fall(_, i) => format!("fall {}", i + 1),
        };
        let lands = crest.throw_m.zip(crest.comes_down).map(|(throw_m, kind)| match kind {
            FallKind::Sheet => format!(", falls as a sheet and lands {} out", self.length(throw_m)),
            FallKind::Chute => {
                format!(", runs down its face as a chute, {} out at its foot", self.length(throw_m))
            }
        });
        let estimate = match crest.trust {
            design::Trust::Calibrated => "",
            design::Trust::Estimate => " (thin water: an estimate)",
        };
        writeln!(
            out,
            "    {name:<22}{} of water leaves it over {}, standing {} upstream{}; edge stones {} above \
             it{estimate}",
            thickness_text(crest.brink_m, self.unit),
            self.length(crest.width_m),
            thickness_text(crest.head_m, self.unit),
            lands.unwrap_or_default(),
            self.length(crest.edge_above_crest_m),
        )
        .expect(STRING);
        if let Some(width_m) = crest.width_wanted_m {
            let width = self.length(width_m);
            writeln!(out, "      for the thickness wanted, with this pump: {width} wide")
                .expect(STRING);
        }
        for (i, part) in crest.parts.iter().enumerate() {
            writeln!(out, "      stone {}: {}", i + 1, self.flow(part.flow_m3_s)).expect(STRING);
        }
    }

    fn pond(&self, out: &mut String, pond: &PondOutcome) {
        let line = |out: &mut String, label: &str, words: String| {
            writeln!(out, "    {label:<22}{words}").expect(STRING);
        };
        let unit = self.unit;
        writeln!(
            out,
            "  {}: at rest {}, the liner's edge at {}",
            name_of(self.site, pond.work),
            elevation_text(pond.rest_m, unit),
            elevation_text(pond.edge_m, unit)
        )
        .expect(STRING);
        match &pond.levels {
            Err(why) => line(out, "levels", format!("not known, {why}")),
            Ok(levels) => {
                let motion = water_text(levels.in_motion_m3, unit);
                line(out, "in motion", motion);
                line(out, "falls at a start", self.length(levels.drop_m));
                line(out, "rises at a stop", self.length(levels.rise_m));
                for bay in &levels.bays {
                    let name = name_of(self.site, bay.work);
                    let at = told(&bay.running_m, |level| elevation_text(*level, unit));
                    line(out, &name, format!("{at} while the pump draws"));
                }
            }
        }
        line(out, "turned over in", told(&pond.turnover_h, |hours| format!("{hours:.1} hours")));
        line(out, "filled in", told(&pond.filling_h, |hours| format!("{hours:.1} hours")));
        let week = |lost: &Known<f64>| told(lost, |m3| water_text(*m3, unit));
        line(out, "to the air, a week", week(&pond.evaporation_m3_week));
        line(out, "to splash, a week", week(&pond.splash_m3_week));
        line(out, "falls in a week", told(&pond.fall_m_week, |fall| self.length(*fall)));
        let minutes = |minutes: &f64| format!("{minutes:.0} minutes a week");
        line(out, "top-up", told(&pond.top_up_min_week, minutes));
    }

    fn weather(&self, out: &mut String, plan: &WaterPlan) {
        let has_soil = !plan.soil.uplifts.is_empty() || plan.soil.washing.is_some();
        if plan.rain.is_empty() && !has_soil && plan.drains.is_empty() {
            return;
        }
        out.push_str("\nRain and groundwater\n");
        if !self.site.weather.is_none() {
            plan.rain.iter().for_each(|rain| self.rain(out, rain));
        }
        for uplift in &plan.soil.uplifts {
            let factor = |factor: &Known<f64>| {
                told(factor, |factor| match factor.is_finite() {
                    true => format!("{factor:.2}"),
                    false => "nothing lifts".to_owned(),
                })
            };
            let [full, low, drained] = &uplift.factors;
            writeln!(
                out,
                "  {} in the {} season, groundwater at {}: weight over uplift full {}, low {}, drained {}",
                name_of(self.site, uplift.work),
                uplift.season,
                elevation_text(uplift.groundwater_m, self.unit),
                factor(full),
                factor(low),
                factor(drained)
            )
            .expect(STRING);
        }
        plan.drains.iter().for_each(|drain| self.drain(out, drain));
        if let Some(washing) = &plan.soil.washing {
            let words = told(washing, |washing| {
                format!(
                    "{} lie open and lose about {:.1} t; a settling place of {} with {} for silt holds it",
                    area_text(washing.open_m2, self.unit),
                    washing.washed_t,
                    area_text(washing.settling_m2, self.unit),
                    water_text(washing.storage_m3, self.unit)
                )
            });
            writeln!(out, "  open soil: {words}").expect(STRING);
        }
        writeln!(out, "  caution: {DRAINED}").expect(STRING);
    }

    fn drain(&self, out: &mut String, drain: &DrainOutcome) {
        let [_, _, outlet_m] = drain.outlet_m;
        let flow = |flow: &Known<f64>| told(flow, |flow| self.flow(*flow));
        let ends = match drain.is_open {
            true => "in the open",
            false => "in the ground, or it rises on its way: nothing runs out",
        };
        writeln!(
            out,
            "  {} under {}: falls from {} to {}, {ends}; carries {}, the ground brings {}",
            name_of(self.site, drain.work),
            name_of(self.site, drain.pond),
            elevation_text(drain.invert_m, self.unit),
            elevation_text(outlet_m, self.unit),
            flow(&drain.carries_m3_s),
            flow(&drain.brought_m3_s),
        )
        .expect(STRING);
    }

    fn rain(&self, out: &mut String, rain: &RainOutcome) {
        let line = |out: &mut String, label: &str, words: String| {
            writeln!(out, "    {label:<22}{words}").expect(STRING);
        };
        writeln!(
            out,
            "  {}: {} of water, {} of ground drain into it",
            name_of(self.site, rain.work),
            area_text(rain.water_m2, self.unit),
            area_text(rain.ground_m2, self.unit)
        )
        .expect(STRING);
        line(out, "storm", told(&rain.storm_m3_s, |flow| self.flow(*flow)));
        line(out, "wet day", told(&rain.wet_day_m3, |m3| water_text(*m3, self.unit)));
        let over = told(&rain.overflow_head_m, |head| thickness_text(*head, self.unit));
        let edge = told(&rain.edge_above_storm_m, |edge| self.length(*edge));
        line(
            out,
            "over the overflow",
            format!("{over}; the edge then stands {edge} above the water"),
        );
        line(out, "width needed", told(&rain.width_needed_m, |width| self.length(*width)));
        let goes = told(&rain.goes, |goes| match goes.house {
            Some((house, away_m)) => {
                let house = &self.site.houses[house].name;
                format!("comes within {} of {house}", self.length(away_m))
            }
            None => "over open ground".to_owned(),
        });
        line(out, "what runs over", goes);
    }
}
