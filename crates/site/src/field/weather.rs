//! Fields of the weather.

use super::Quantity::{Length, Number, Share};
use super::walk::{Parameters, Visitor, number_or_none, says};
use crate::Weather;

impl Parameters for Weather {
    fn walk(&mut self, visitor: &mut dyn Visitor) {
        let storm = says("storm_mm_h", "Storm, mm an hour").is(Number, 0.0, 2000.0);
        number_or_none(visitor, storm, 100.0, &mut self.storm_mm_h);
        let day = says("storm_m", "Rain of a wet day").is(Length, 0.0, 2.0);
        number_or_none(visitor, day, 0.1, &mut self.storm_m);
        let runs = says("runoff_share", "Storm runs off by").is(Share, 0.0, 1.0);
        number_or_none(visitor, runs, 0.2, &mut self.runoff_share);
        let curve = says("curve_number", "Curve number").is(Number, 30.0, 100.0);
        number_or_none(visitor, curve, 74.0, &mut self.curve_number);
        let air = says("evaporation_m_day", "Evaporates in a day").is(Length, 0.0, 0.05);
        number_or_none(visitor, air, 0.006, &mut self.evaporation_m_day);
        let power = says("erosivity", "Rain's power to wash soil, MJ mm/(ha h) a year");
        number_or_none(visitor, power.is(Number, 0.0, 50_000.0), 2000.0, &mut self.erosivity);
        let open = says("open_weeks", "Weeks that soil lies open").is(Number, 0.0, 52.0);
        number_or_none(visitor, open, 4.0, &mut self.open_weeks);
    }
}
