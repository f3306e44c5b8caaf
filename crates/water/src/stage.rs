//! The stage table of a pond or bay: area and volume by level.

use crate::OutOfRange;
use crate::range::{elevation, not_negative};

/// One row of a stage table.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Stage {
    /// Level, metres.
    pub level_m: f64,
    /// Area of the water at that level, square metres.
    pub area_m2: f64,
    /// Volume up to that level, cubic metres.
    pub volume_m3: f64,
}

/// Area and volume of a basin by level, from its lowest place up.
///
/// Between rows the area goes evenly and the volume with it, so that both ends are as given. Above
/// the last row the sides go up straight: a rise is never less there than in a basin that widens.
#[derive(Clone, Debug, PartialEq)]
pub struct StageTable {
    stages: Vec<Stage>,
}

/// Why rows make no stage table.
#[derive(Clone, Copy, Debug, PartialEq, thiserror::Error)]
pub enum StageError {
    /// Fewer than two rows.
    #[error("a stage table has 2 rows or more, not {0}")]
    Rows(usize),
    /// A number is out of range.
    #[error("row {row}: {number}")]
    Number {
        /// The row, counted from 0.
        row: usize,
        /// What is wrong with it.
        number: OutOfRange,
    },
    /// Level or volume does not rise.
    #[error("row {0} must have a higher level and more volume than the one before it")]
    Order(usize),
    /// The last row has no area.
    #[error("the last row of a stage table has an area above 0")]
    Top,
}

impl StageTable {
    /// A table from its rows, lowest first.
    ///
    /// # Errors
    /// [`StageError`] for fewer than two rows, a row that is not above the one before it, or a number
    /// out of range.
    pub fn new(stages: Vec<Stage>) -> Result<Self, StageError> {
        let Some(last) = stages.last().filter(|_| stages.len() > 1) else {
            return Err(StageError::Rows(stages.len()));
        };
        for (row, stage) in stages.iter().enumerate() {
            let number = |number| StageError::Number { row, number };
            elevation("its level, m,", stage.level_m).map_err(number)?;
            not_negative("its area, m2,", stage.area_m2).map_err(number)?;
            not_negative("its volume, m3,", stage.volume_m3).map_err(number)?;
            if row > 0 {
                let before = stages[row - 1];
                let rises = stage.level_m - before.level_m >= 1.0e-6
                    && stage.volume_m3 - before.volume_m3 >= 1.0e-9;
                if !rises {
                    return Err(StageError::Order(row));
                }
            }
        }
        if last.area_m2 < 1.0e-6 { Err(StageError::Top) } else { Ok(Self { stages }) }
    }

    /// The lowest row.
    pub fn bottom(&self) -> Stage {
        self.stages[0]
    }

    /// The highest row.
    pub fn top(&self) -> Stage {
        self.stages[self.stages.len() - 1]
    }

    /// Volume at a level, cubic metres; at and below the lowest row that of the row.
    pub fn volume_m3(&self, level_m: f64) -> f64 {
        let (bottom, top) = (self.bottom(), self.top());
        if level_m <= bottom.level_m {
            return bottom.volume_m3;
        }
        if level_m >= top.level_m {
            return top.volume_m3 + top.area_m2 * (level_m - top.level_m);
        }
        let (a, b) = self.around(|stage| stage.level_m >= level_m);
        let t = (level_m - a.level_m) / (b.level_m - a.level_m);
        let whole = 0.5 * (a.area_m2 + b.area_m2);
        let part = t * (a.area_m2 + 0.5 * t * (b.area_m2 - a.area_m2));
        let share = if whole > 0.0 { part / whole } else { t };
        a.volume_m3 + share * (b.volume_m3 - a.volume_m3)
    }

    /// Level at a volume, metres; at and below the lowest row's volume that of the row.
    pub fn level_m(&self, volume_m3: f64) -> f64 {
        let (bottom, top) = (self.bottom(), self.top());
        if volume_m3 <= bottom.volume_m3 {
            return bottom.level_m;
        }
        if volume_m3 >= top.volume_m3 {
            return top.level_m + (volume_m3 - top.volume_m3) / top.area_m2;
        }
        let (a, b) = self.around(|stage| stage.volume_m3 >= volume_m3);
        let share = (volume_m3 - a.volume_m3) / (b.volume_m3 - a.volume_m3);
        let (low, high) = (a.area_m2, b.area_m2);
        // The root of the area's even change that does not cancel.
        let root = low + (low * low + (high * high - low * low) * share).max(0.0).sqrt();
        let t = if root > 0.0 { (low + high) * share / root } else { share };
        a.level_m + t * (b.level_m - a.level_m)
    }

    /// Area at a level, square metres; that of the nearest row beyond the ends.
    pub fn area_m2(&self, level_m: f64) -> f64 {
        let (bottom, top) = (self.bottom(), self.top());
        if level_m <= bottom.level_m {
            return bottom.area_m2;
        }
        if level_m >= top.level_m {
            return top.area_m2;
        }
        let (a, b) = self.around(|stage| stage.level_m >= level_m);
        let t = (level_m - a.level_m) / (b.level_m - a.level_m);
        a.area_m2 + t * (b.area_m2 - a.area_m2)
    }

    /// The row that is the first to reach something, and the one before it.
    fn around(&self, reaches: impl Fn(&Stage) -> bool) -> (Stage, Stage) {
        let last = self.stages.len() - 1;
        let after = self.stages.iter().position(reaches).unwrap_or(last).max(1);
        (self.stages[after - 1], self.stages[after])
    }
}

#[cfg(test)]
pub(crate) mod tests {
    use proptest::prelude::*;
    use proptest::test_runner::RngSeed;

    use super::*;

    /// An inverted square pyramid cut off: sides of 1 in 1 from a floor of `floor_m` square.
    pub(crate) fn pyramid(floor_m: f64, bottom_m: f64, depth_m: f64) -> StageTable {
        let row = |i: u32| {
            let y = depth_m * f64::from(i) / 20.0;
            let side = floor_m + 2.0 * y;
            let volume_m3 = y / 3.0 * (floor_m * floor_m + side * floor_m + side * side);
            Stage { level_m: bottom_m + y, area_m2: side * side, volume_m3 }
        };
        StageTable::new((0..=20).map(row).collect()).unwrap()
    }

    #[test]
    fn a_pyramid_by_its_closed_form() {
        let table = pyramid(2.0, 9.0, 1.0);
        for y in [0.0, 0.03, 0.5, 0.77, 1.0] {
            let side = 2.0 + 2.0 * y;
            let volume = y / 3.0 * (4.0 + 2.0 * side + side * side);
            assert!((table.volume_m3(9.0 + y) - volume).abs() < 1e-4 * (0.1 + volume), "{y}");
        }
        assert_eq!(table.volume_m3(8.0), 0.0);
        assert!((table.volume_m3(10.5) - table.top().volume_m3 - 0.5 * 16.0).abs() < 1e-12);
        assert_eq!((table.area_m2(9.0), table.area_m2(12.0)), (4.0, 16.0));
        assert!(table.volume_m3(f64::NAN).is_nan() && table.level_m(f64::NAN).is_nan());
    }

    #[test]
    fn what_is_no_table_is_refused() {
        let row = |level_m, area_m2, volume_m3| Stage { level_m, area_m2, volume_m3 };
        assert_eq!(StageTable::new(vec![row(0.0, 1.0, 0.0)]), Err(StageError::Rows(1)));
        let flat = vec![row(0.0, 1.0, 0.0), row(0.0, 1.0, 1.0)];
        assert_eq!(StageTable::new(flat), Err(StageError::Order(1)));
        let shrinks = vec![row(0.0, 1.0, 1.0), row(1.0, 1.0, 1.0)];
        assert_eq!(StageTable::new(shrinks), Err(StageError::Order(1)));
        let odd = vec![row(0.0, 1.0, 0.0), row(1.0, f64::NAN, 1.0)];
        assert!(matches!(StageTable::new(odd), Err(StageError::Number { row: 1, .. })));
        let point = vec![row(0.0, 1.0, 0.0), row(1.0, 0.0, 1.0)];
        assert_eq!(StageTable::new(point), Err(StageError::Top));
    }

    proptest! {
        #![proptest_config(ProptestConfig { cases: 200, rng_seed: RngSeed::Fixed(64), failure_persistence: None, ..ProptestConfig::default() })]

        #[test]
        fn level_and_volume_go_together(
            rows in prop::collection::vec((0.01..1.0f64, 0.0..50.0f64, 0.001..20.0f64), 2..8), share in 0.0..1.5f64,
        ) {
            let (mut level_m, mut volume_m3) = (3.0, 0.0);
            let stages = rows.iter().map(|&(rise, area, more)| {
                level_m += rise;
                volume_m3 += more;
                Stage { level_m, area_m2: area + 0.01, volume_m3 }
            }).collect();
            let table = StageTable::new(stages).unwrap();
            let (low, high) = (table.bottom().volume_m3, table.top().volume_m3);
            let volume = low + share * (high - low);
            let level = table.level_m(volume);
            prop_assert!((table.volume_m3(level) - volume).abs() < 1e-9 * (1.0 + volume));
            prop_assert!(table.volume_m3(level + 0.01) > volume);
        }
    }
}
