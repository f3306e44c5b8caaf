//! Running water in plain words, and as keys of the JSON report: pumps, crests, levels, rain, filters,
//! groundwater. What cannot be told says why in words, and is null in JSON.

mod keys;

use std::fmt::Write as _;

use design::{
    CrestOutcome, CrestPlace, DrainOutcome, Evaluation, FallKind, FilterOutcome, Known,
    PondOutcome, PumpOutcome, RainOutcome, Rounds, StreamOutcome, StreamWater, TabulatedBed,
    WaterPlan,
};
use site::works::Stream;
use site::{Site, WorkId, WorkKind};
use units::{
    LengthUnit, area_text, elevation_text, flow_text, length_text, rising_text, thickness_text,
    velocity_text, water_text,
};

use super::{STRING, name_of};

pub(super) use keys::{RunningReport, report};

/// The heading of what the pumps move.
pub const RUNNING: &str = "Running water";

/// Beside every pump and every deep water.
const LIVE: &str = "electricity beside water kills: have it wired by a licensed electrician behind a \
                    ground-fault (GFCI) or residual-current (RCD) device, as local codes ask";
const CHILDREN: &str = "a child can drown in a hand's breadth of water: keep a barrier while the hole is \
                        open, and ask the authority which one it wants";
const DRAINED: &str = "an empty pond can float up or fold its liner where groundwater stands higher than \
                       its floor: look at the level outside before it is drained";

/// One row of what is told of the water.
#[derive(Clone, Debug, PartialEq)]
pub enum Row {
    /// What the rows below it are about.
    Heading(&'static str),
    /// A pump, a filter, a stream or a pond, and what is said of it at once.
    Subject(String, String),
    /// A number with its name.
    Number(String, String),
    /// A sentence about the subject.
    Note(String),
    /// A part of the number above it.
    Part(String, String),
    /// What can hurt somebody.
    Caution(&'static str),
}

/// The running water of a site in plain words; nothing where no pump is planned and no weather is
/// known.
pub(super) fn text(site: &Site, evaluation: &Evaluation) -> String {
    rows(site, evaluation).iter().fold(String::new(), |mut out, row| {
        match row {
            Row::Heading(heading) => writeln!(out, "\n{heading}"),
            Row::Subject(subject, said) if said.is_empty() => writeln!(out, "  {subject}"),
            Row::Subject(subject, said) => writeln!(out, "  {subject}: {said}"),
            Row::Number(name, words) => writeln!(out, "    {name:<22}{words}"),
            Row::Note(words) => writeln!(out, "    {words}"),
            Row::Part(name, words) => writeln!(out, "      {name}: {words}"),
            Row::Caution(words) => writeln!(out, "  caution: {words}"),
        }
        .expect(STRING);
        out
    })
}

/// The running water of a site, row by row; none where no pump is planned and no weather is known.
pub fn rows(site: &Site, evaluation: &Evaluation) -> Vec<Row> {
    if site.circulation.is_none() && site.weather.is_none() {
        return Vec::new();
    }
    let plan = design::water_plan(site, evaluation);
    let mut told = Told { site, unit: site.frame.unit, rows: Vec::new() };
    if !site.circulation.pumps.is_empty() {
        told.rows.push(Row::Heading(RUNNING));
        plan.running.pumps.iter().for_each(|pump| told.pump(pump));
        plan.running.filters.iter().for_each(|filter| told.filter(filter));
        plan.running.streams.iter().for_each(|stream| told.stream(stream));
        for pond in &plan.running.ponds {
            told.pond(pond);
            let rounds = plan.rounds.iter().find(|rounds| rounds.work == pond.work);
            rounds.into_iter().for_each(|pond| told.rounds(&pond.rounds));
        }
        told.rows.extend([Row::Caution(LIVE), Row::Caution(CHILDREN)]);
    }
    told.weather(&plan);
    told.rows
}

struct Told<'s> {
    site: &'s Site,
    unit: LengthUnit,
    rows: Vec<Row>,
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

    fn subject(&mut self, subject: &str, said: String) {
        self.rows.push(Row::Subject(subject.to_owned(), said));
    }

    fn line(&mut self, name: &str, words: String) {
        self.rows.push(Row::Number(name.to_owned(), words));
    }

    fn note(&mut self, words: String) {
        self.rows.push(Row::Note(words));
    }

    fn pump(&mut self, pump: &PumpOutcome) {
        match &pump.duty {
            Err(why) => self.subject(&pump.name, format!("not known, {why}")),
            Ok(duty) => {
                let moves = format!(
                    "moves {} against {} of lift and losses",
                    self.flow(duty.flow_m3_s),
                    self.length(duty.head_m)
                );
                self.subject(&pump.name, moves);
                for one in &duty.lines {
                    let words = format!(
                        "{}, lifted {}, {} lost in the pipe, {} in it",
                        self.flow(one.flow_m3_s),
                        self.length(one.lift_m),
                        self.length(one.loss_m),
                        velocity_text(one.velocity_m_s, self.unit)
                    );
                    let label = format!("to {}", name_of(self.site, one.feeds));
                    self.line(&label, words);
                }
                let energy = told(&duty.power_w, |watts| format!("{watts:.0} W"));
                let month = told(&duty.kwh_month, |kwh| format!("{kwh:.0} kWh a month"));
                let cost = duty.cost_month.as_ref().map(|cost| format!(", costing {cost:.2}"));
                self.line("takes", format!("{energy}; {month}{}", cost.unwrap_or_default()));
            }
        }
        self.line("guard half clogged", told(&pump.clogged_m3_s, |flow| self.flow(*flow)));
        self.line("valve half closed", told(&pump.half_closed_m3_s, |flow| self.flow(*flow)));
        self.line("wanted", told(&pump.wanted_m3_s, |flow| self.flow(*flow)));
        if pump.wanted_m3_s.is_ok() {
            let size = told(&pump.size_for_wanted, |(_, flow)| {
                format!("the smallest common pump for it would move {}", self.flow(*flow))
            });
            self.line("", size);
        }
    }

    fn filter(&mut self, filter: &FilterOutcome) {
        let name = name_of(self.site, filter.work);
        let area = told(&filter.area_m2, |m2| area_text(*m2, self.unit));
        let depth = self.length(filter.gravel_depth_m);
        self.subject(&name, format!("{area} of gravel, {depth} deep"));
        self.line("water comes", told(&filter.flow_m3_s, |flow| self.flow(*flow)));
        self.line("between the stones", told(&filter.void_m3, |m3| water_text(*m3, self.unit)));
        let rises = |velocity: &f64| rising_text(*velocity, self.unit);
        self.line("rises", told(&filter.upward_m_s, rises));
        let stays = |seconds: &f64| format!("{:.0} minutes", seconds / 60.0);
        self.line("stays in the gravel", told(&filter.stay_s, stays));
        // For each foot, or each metre.
        let each_m = self.unit.to_metres(1.0);
        let load = |load: &f64| {
            format!("{} for each {} of it", self.flow(load * each_m), self.length(each_m))
        };
        self.line("leaves over its lip", told(&filter.lip_load_m2_s, load));
        for way in
            filter.ways.iter().flatten().filter(|_| filter.ways.as_ref().is_ok_and(|w| w.len() > 1))
        {
            let whither = match way.stream {
                Some(id) => format!("into {}", name_of(self.site, id)),
                None => "over its lip into the open".to_owned(),
            };
            let [_, _, level_m] = way.at_m;
            let words = format!(
                "{} over {} at {}",
                self.flow(way.flow_m3_s),
                self.length(way.width_m),
                elevation_text(level_m, self.unit)
            );
            self.rows.push(Row::Part(whither, words));
        }
    }

    fn stream(&mut self, stream: &StreamOutcome) {
        let name = name_of(self.site, stream.work);
        let flow = told(&stream.flow_m3_s, |flow| self.flow(*flow));
        self.subject(&name, flow);
        match &stream.crests {
            Err(why) => self.note(format!("crests: not known, {why}")),
            Ok(crests) => crests.iter().for_each(|crest| self.crest(crest)),
        }
        match &stream.water {
            Err(why) => self.note(format!("along its bed: not known, {why}")),
            Ok(water) => {
                let points = || water.points.iter();
                let deepest = points().map(|p| p.level_m - p.bed_m).fold(0.0, f64::max);
                let fastest = points().map(|p| p.velocity_m_s).fold(0.0, f64::max);
                let edge =
                    points().flat_map(|p| p.edge_above_water_m).fold(f64::INFINITY, f64::min);
                let stones = points().filter_map(|p| p.of_stones_velocity).reduce(f64::max);
                self.note(format!(
                    "along its bed up to {} deep and {}; the liner's edge stands at least {} above it",
                    thickness_text(deepest, self.unit),
                    velocity_text(fastest, self.unit),
                    self.length(edge)
                ));
                if let Some(words) = self.bed_by_table(stream.work, water) {
                    self.note(words);
                }
                match stones {
                    None if self.is_hard(stream.work) => {}
                    None => self
                        .note("loose stones of its bed: not known, their size is not given".into()),
                    Some(share) if share < 1.0 => self.note("loose stones of its bed stay".into()),
                    Some(share) => self.note(self.moved_stones(stream.work, share)),
                }
                for arms in &water.arms {
                    let [left, right] = arms.flows_m3_s.map(|flow| self.flow(flow));
                    let rock = arms.island + 1;
                    self.note(format!("rock {rock}: {left} to its left, {right} to its right"));
                }
            }
        }
    }

    fn drawn(&self, stream: WorkId) -> Option<&Stream> {
        match &self.site.work(stream)?.kind {
            WorkKind::Stream(stream) => Some(stream),
            _ => None,
        }
    }

    /// Whether a stream's bed has no loose stones.
    fn is_hard(&self, stream: WorkId) -> bool {
        self.drawn(stream).and_then(|stream| stream.bed).is_some_and(|bed| !bed.is_loose())
    }

    /// How rough the bed was taken to be, where a table told it.
    fn bed_by_table(&self, stream: WorkId, water: &StreamWater) -> Option<String> {
        let stream = self.drawn(stream)?;
        let TabulatedBed { bed, n: [_, normal, _], source } = design::bed_row(stream)?;
        let estimate = match water.points.iter().all(|p| p.trust == design::Trust::Calibrated) {
            true => "",
            false => "; in water as thin as this an estimate",
        };
        Some(format!("how rough its bed is, by a table: {bed}, n {normal:.3} ({source}){estimate}"))
    }

    /// Stones that the water moves where it runs this share of the velocity that they bear: by Isbash that
    /// goes as the root of their size.
    fn moved_stones(&self, stream: WorkId, share: f64) -> String {
        let stone_m = match self.site.work(stream).map(|work| &work.kind) {
            Some(WorkKind::Stream(stream)) => stream.bed_stone_m,
            _ => None,
        };
        let size = |m: f64| thickness_text(m, self.unit);
        match stone_m {
            Some(stone_m) => format!(
                "loose stones of {} move where it runs fastest: bed them in there, or lay stones of {}",
                size(stone_m),
                size(share * share * stone_m)
            ),
            None => "loose stones of its bed move where it runs fastest: bed them in there".into(),
        }
    }

    fn crest(&mut self, crest: &CrestOutcome) {
        let name = match crest.crest {
            CrestPlace::Lip(_) => "lip".to_owned(),
            CrestPlace::Head(_) => "head".to_owned(),
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
        let words = format!(
            "{} of water leaves it over {}, standing {} upstream{}; edge stones {} above it{estimate}",
            thickness_text(crest.brink_m, self.unit),
            self.length(crest.width_m),
            thickness_text(crest.head_m, self.unit),
            lands.unwrap_or_default(),
            self.length(crest.edge_above_crest_m),
        );
        self.line(&name, words);
        if let Some(width_m) = crest.width_wanted_m {
            let width = format!("{} wide", self.length(width_m));
            let name = "for the thickness wanted, with this pump".to_owned();
            self.rows.push(Row::Part(name, width));
        }
        for (i, part) in crest.parts.iter().enumerate() {
            let flow = self.flow(part.flow_m3_s);
            self.rows.push(Row::Part(format!("stone {}", i + 1), flow));
        }
    }

    fn pond(&mut self, pond: &PondOutcome) {
        let unit = self.unit;
        let rest = elevation_text(pond.rest_m, unit);
        let edge = elevation_text(pond.edge_m, unit);
        let name = name_of(self.site, pond.work);
        self.subject(&name, format!("at rest {rest}, the liner's edge at {edge}"));
        match &pond.levels {
            Err(why) => self.line("levels", format!("not known, {why}")),
            Ok(levels) => {
                let motion = water_text(levels.in_motion_m3, unit);
                self.line("in motion", motion);
                self.line("falls at a start", self.length(levels.drop_m));
                self.line("rises at a stop", self.length(levels.rise_m));
                for bay in &levels.bays {
                    let name = name_of(self.site, bay.work);
                    let at = told(&bay.running_m, |level| elevation_text(*level, unit));
                    let over = told(&bay.over_sill_m_s, |m_s| velocity_text(*m_s, unit));
                    let lowest = told(&bay.lowest_m, |level| elevation_text(*level, unit));
                    let words = format!(
                        "{at} while the pump draws, {lowest} at its lowest after a start, {over} over the sill"
                    );
                    self.line(&name, words);
                }
            }
        }
        self.line("turned over in", told(&pond.turnover_h, |hours| format!("{hours:.1} hours")));
        self.line("filled in", told(&pond.filling_h, |hours| format!("{hours:.1} hours")));
        let week = |lost: &Known<f64>| told(lost, |m3| water_text(*m3, unit));
        self.line("to the air, a week", week(&pond.evaporation_m3_week));
        self.line("to splash, a week", week(&pond.splash_m3_week));
        self.line("falls in a week", told(&pond.fall_m_week, |fall| self.length(*fall)));
        let minutes = |minutes: &f64| format!("{minutes:.0} minutes a week");
        self.line("top-up", told(&pond.top_up_min_week, minutes));
    }

    fn rounds(&mut self, rounds: &Known<Rounds>) {
        let words = told(rounds, |rounds| {
            let Some(corner) = rounds.dead.first() else {
                return "all of it is renewed in time, without wind (an estimate)".to_owned();
            };
            let share = 100.0 * rounds.dead_share();
            let ([x, y], [east, north]) =
                (rounds.local_m(corner.oldest_at_m), self.site.frame.origin_m);
            format!(
                "{share:.0} % of it stands, without wind, oldest at {} east, {} north (an estimate)",
                elevation_text(x + east, self.unit),
                elevation_text(y + north, self.unit)
            )
        });
        self.line("goes round", words);
    }

    fn weather(&mut self, plan: &WaterPlan) {
        let has_soil = !plan.soil.uplifts.is_empty() || plan.soil.washing.is_some();
        if plan.rain.is_empty() && !has_soil && plan.drains.is_empty() {
            return;
        }
        self.rows.push(Row::Heading("Rain and groundwater"));
        if !self.site.weather.is_none() {
            plan.rain.iter().for_each(|rain| self.rain(rain));
        }
        for uplift in &plan.soil.uplifts {
            let factor = |factor: &Known<f64>| {
                told(factor, |factor| match factor.is_finite() {
                    true => format!("{factor:.2}"),
                    false => "nothing lifts".to_owned(),
                })
            };
            let [full, low, drained] = &uplift.factors;
            let stands = format!(
                "weight over uplift full {}, low {}, drained {}",
                factor(full),
                factor(low),
                factor(drained)
            );
            let subject = format!(
                "{} in the {} season, groundwater at {}",
                name_of(self.site, uplift.work),
                uplift.season,
                elevation_text(uplift.groundwater_m, self.unit)
            );
            self.subject(&subject, stands);
        }
        plan.drains.iter().for_each(|drain| self.drain(drain));
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
            self.subject("open soil", words);
        }
        self.rows.push(Row::Caution(DRAINED));
    }

    fn drain(&mut self, drain: &DrainOutcome) {
        let [_, _, outlet_m] = drain.outlet_m;
        let flow = |flow: &Known<f64>| told(flow, |flow| self.flow(*flow));
        let ends = match drain.is_open {
            true => "in the open",
            false => "in the ground, or it rises on its way: nothing runs out",
        };
        let said = format!(
            "falls from {} to {}, {ends}; carries {}, the ground brings {}",
            elevation_text(drain.invert_m, self.unit),
            elevation_text(outlet_m, self.unit),
            flow(&drain.carries_m3_s),
            flow(&drain.brought_m3_s),
        );
        let (own, pond) = (name_of(self.site, drain.work), name_of(self.site, drain.pond));
        self.subject(&format!("{own} under {pond}"), said);
    }

    fn rain(&mut self, rain: &RainOutcome) {
        let water = area_text(rain.water_m2, self.unit);
        let ground = area_text(rain.ground_m2, self.unit);
        let name = name_of(self.site, rain.work);
        self.subject(&name, format!("{water} of water, {ground} of ground drain into it"));
        self.line("storm", told(&rain.storm_m3_s, |flow| self.flow(*flow)));
        self.line("wet day", told(&rain.wet_day_m3, |m3| water_text(*m3, self.unit)));
        let over = told(&rain.overflow_head_m, |head| thickness_text(*head, self.unit));
        let edge = told(&rain.edge_above_storm_m, |edge| self.length(*edge));
        self.line(
            "over the overflow",
            format!("{over}; the edge then stands {edge} above the water"),
        );
        self.line("width needed", told(&rain.width_needed_m, |width| self.length(*width)));
        let goes = told(&rain.goes, |goes| match goes.house {
            Some((house, away_m)) => {
                let house = &self.site.houses[house].name;
                format!("comes within {} of {house}", self.length(away_m))
            }
            None => "over open ground".to_owned(),
        });
        self.line("what runs over", goes);
    }
}
