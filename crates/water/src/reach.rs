//! A reach of a stream: stations between two crests.

use crate::range::{between, elevation, length};
use crate::{OutOfRange, Roughness, Section};

/// Steps in one reach, at most: 40 m at a centimetre is a tenth of it.
const MOST_STEPS: f64 = 40_000.0;

/// A stream at one distance along its line.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Station {
    /// Distance from the stream's head, metres.
    pub along_m: f64,
    /// Elevation of the bed, metres.
    pub invert_m: f64,
    /// Bed and sides.
    pub section: Section,
    /// What the bed is of from here to the next station.
    pub roughness: Roughness,
    /// Elevation of the liner's edge, metres, left and right looking downstream.
    pub edges_m: [f64; 2],
}

/// A stretch of stream without a crest in it, from head to end; straight between stations.
#[derive(Clone, Debug, PartialEq)]
pub struct Reach {
    stations: Vec<Station>,
}

/// Why stations make no reach.
#[derive(Clone, Copy, Debug, PartialEq, thiserror::Error)]
pub enum ReachError {
    /// Fewer than two stations.
    #[error("a reach has 2 stations or more, not {0}")]
    Stations(usize),
    /// A number at a station is out of range.
    #[error("station {station}: {number}")]
    Number {
        /// The station, counted from 0 at the head.
        station: usize,
        /// What is wrong with it.
        number: OutOfRange,
    },
    /// A station does not lie downstream of the one before it.
    #[error("station {0} must lie downstream of the one before it")]
    Order(usize),
    /// The reach has more steps than are reckoned.
    #[error("a reach is reckoned in 40,000 steps at most, not {0}")]
    Steps(f64),
}

impl Reach {
    /// A reach from its stations, head first.
    ///
    /// The bed may rise downstream, as it does out of a pool.
    ///
    /// # Errors
    /// [`ReachError`] for fewer than two stations, one that is not downstream of the one before, or a
    /// number out of range.
    pub fn new(stations: Vec<Station>) -> Result<Self, ReachError> {
        if stations.len() < 2 {
            return Err(ReachError::Stations(stations.len()));
        }
        for (station, at) in stations.iter().enumerate() {
            let number = |number| ReachError::Number { station, number };
            elevation("its distance, m,", at.along_m).map_err(number)?;
            elevation("its invert, m,", at.invert_m).map_err(number)?;
            for edge_m in at.edges_m {
                elevation("its edge, m,", edge_m).map_err(number)?;
            }
            if station > 0 {
                let run_m = at.along_m - stations[station - 1].along_m;
                length("run", run_m).map_err(|_| ReachError::Order(station))?;
            }
        }
        Ok(Self { stations })
    }

    /// The stations, head first.
    pub fn stations(&self) -> &[Station] {
        &self.stations
    }

    /// Length from the first station to the last, metres.
    pub fn length_m(&self) -> f64 {
        self.end().along_m - self.head().along_m
    }

    /// The first station.
    pub fn head(&self) -> Station {
        self.stations[0]
    }

    /// The last station.
    pub fn end(&self) -> Station {
        self.stations[self.stations.len() - 1]
    }

    /// Stations no further apart than `step_m`, the drawn ones among them.
    pub(crate) fn stepped(&self, step_m: f64) -> Result<Vec<Station>, ReachError> {
        let step = ("the step of a profile, m,", step_m);
        let step_m = between((1.0e-4, 1.0e5), "1e-4 to 1e5", step)
            .map_err(|number| ReachError::Number { station: 0, number })?;
        let counts = self.stations.windows(2).map(|pair| {
            ((pair[1].along_m - pair[0].along_m) / step_m * (1.0 - 1.0e-9)).ceil().max(1.0)
        });
        let steps: f64 = counts.clone().sum();
        if steps > MOST_STEPS {
            return Err(ReachError::Steps(steps));
        }
        let mut nodes = Vec::with_capacity(steps as usize + 1);
        for (pair, count) in self.stations.windows(2).zip(counts) {
            let count = count as u32;
            let nodes_of_pair =
                (0..count).map(|i| pair[0].part_way(pair[1], f64::from(i) / f64::from(count)));
            nodes.extend(nodes_of_pair);
        }
        nodes.push(self.end());
        Ok(nodes)
    }

    /// The water that stands in the reach when nothing runs, cubic metres: behind its own rises, and
    /// behind the level at which water stands at its end, if any.
    ///
    /// # Errors
    /// [`ReachError`] for a step or level out of range.
    pub fn still_volume_m3(
        &self,
        end_level_m: Option<f64>,
        step_m: f64,
    ) -> Result<f64, ReachError> {
        let nodes = self.stepped(step_m)?;
        let levels_m = self.still_levels_m(&nodes, end_level_m)?;
        let area =
            |(node, level_m): (&Station, &f64)| node.section.area_m2(level_m - node.invert_m);
        let areas_m2: Vec<f64> = nodes.iter().zip(&levels_m).map(area).collect();
        Ok(volume_m3(&nodes, &areas_m2))
    }

    /// The level, metres, to which still water must rise at the head before any runs.
    ///
    /// # Errors
    /// [`ReachError`] for a level out of range.
    pub fn still_head_m(&self, end_level_m: Option<f64>) -> Result<f64, ReachError> {
        Ok(self.still_levels_m(&self.stations, end_level_m)?[0])
    }

    /// Levels of still water at places along the reach: the highest bed or level downstream.
    fn still_levels_m(
        &self,
        nodes: &[Station],
        end_level_m: Option<f64>,
    ) -> Result<Vec<f64>, ReachError> {
        let mut level_m = self.end().invert_m;
        if let Some(end_level_m) = end_level_m {
            let station = self.stations.len() - 1;
            let end_level_m = elevation("the level of water, m,", end_level_m)
                .map_err(|number| ReachError::Number { station, number })?;
            level_m = level_m.max(end_level_m);
        }
        let mut levels_m = vec![level_m; nodes.len()];
        for (at_m, node) in levels_m.iter_mut().zip(nodes).rev() {
            level_m = level_m.max(node.invert_m);
            *at_m = level_m;
        }
        Ok(levels_m)
    }
}

/// The volume between the areas at stations, by their means.
pub(crate) fn volume_m3(nodes: &[Station], areas_m2: &[f64]) -> f64 {
    let slice = |(pair, areas): (&[Station], &[f64])| {
        0.5 * (areas[0] + areas[1]) * (pair[1].along_m - pair[0].along_m)
    };
    nodes.windows(2).zip(areas_m2.windows(2)).map(slice).sum()
}

impl Station {
    /// The station a share of the way to another, with this one's bed.
    pub(crate) fn part_way(self, to: Self, share: f64) -> Self {
        let mix = |a: f64, b: f64| a + share * (b - a);
        Self {
            along_m: mix(self.along_m, to.along_m),
            invert_m: mix(self.invert_m, to.invert_m),
            section: Section::part_way(self.section, to.section, share),
            roughness: self.roughness,
            edges_m: [0, 1].map(|side: usize| mix(self.edges_m[side], to.edges_m[side])),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn station(along_m: f64, invert_m: f64) -> Station {
        Station {
            along_m,
            invert_m,
            section: Section::rectangle(2.0).unwrap(),
            roughness: Roughness::manning(0.03).unwrap(),
            edges_m: [1.0, 1.0],
        }
    }

    #[test]
    fn steps_keep_the_drawn_stations() {
        let reach =
            Reach::new(vec![station(0.0, 1.0), station(1.0, 0.5), station(1.35, 0.5)]).unwrap();
        let nodes = reach.stepped(0.1).unwrap();
        assert_eq!(nodes.len(), 15);
        assert_eq!((nodes[10].along_m, nodes[14].along_m), (1.0, 1.35));
        assert_eq!(reach.length_m(), 1.35);
    }

    /// A level pool of 2 m width behind 0.4 m of water: a wedge 4 m long on a bed of 1 in 10.
    #[test]
    fn still_water_is_a_wedge_by_hand() {
        let reach = Reach::new(vec![station(0.0, 1.0), station(10.0, 0.0)]).unwrap();
        let still = reach.still_volume_m3(Some(0.4), 0.01).unwrap();
        assert!((still - 0.5 * 4.0 * 0.4 * 2.0).abs() < 1e-4, "{still}");
        assert_eq!(reach.still_volume_m3(None, 0.01), Ok(0.0));
        let dip = vec![station(0.0, 1.0), station(5.0, 0.5), station(10.0, 0.8)];
        let dip = Reach::new(dip).unwrap().still_volume_m3(None, 0.01).unwrap();
        assert!((dip - 0.5 * 0.3 * (5.0 + 3.0) * 2.0).abs() < 1e-3, "{dip}");
    }

    #[test]
    fn what_is_no_reach_is_refused() {
        assert_eq!(Reach::new(vec![station(0.0, 1.0)]), Err(ReachError::Stations(1)));
        let turned = vec![station(1.0, 1.0), station(1.0, 0.5)];
        assert_eq!(Reach::new(turned), Err(ReachError::Order(1)));
        let odd = Reach::new(vec![station(0.0, 1.0), station(1.0, f64::NAN)]).unwrap_err();
        let said = "station 1: its invert, m, must be a number (-1e5 to 1e5), not NaN";
        assert_eq!(odd.to_string(), said);
        let reach = Reach::new(vec![station(0.0, 1.0), station(1e4, 0.5)]).unwrap();
        assert!(matches!(reach.stepped(0.001), Err(ReachError::Steps(_))));
        assert!(reach.stepped(f64::NAN).is_err() && reach.stepped(0.0).is_err());
    }
}
