//! Level notes: staff readings in the order in which they were booked.
//!
//! One row is one place where the staff stood. The instrument is set up, reads a backsight on a mark
//! whose elevation is known, any number of intermediate sights, and a foresight on the next turning
//! point, which the next set-up takes as its backsight:
//!
//! ```text
//! name  back   intermediate  fore   known
//! BM1   1.525                       100.000  the first mark
//! 1            1.204                         a shot on the ground
//! TP1   0.872                1.913           a turning point: the foresight, then the backsight
//! BM1                        0.484           closes on the first mark
//! ```
//!
//! How they are reduced to elevations stands in the design crate.

use serde::{Deserialize, Serialize};

/// Level notes of one run, from a known mark to a known mark or back to the first.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct LevelNotes {
    /// The rows, where they are typed here; none where the survey's file is a level book.
    #[serde(default)]
    pub rows: Vec<LevelRow>,
    /// The rows of the survey's file, read when the site is opened.
    #[serde(skip)]
    pub file_rows: Vec<LevelRow>,
    /// The misclosure that is permitted.
    #[serde(default)]
    pub permitted: PermittedMisclosure,
    /// How the misclosure is shared out.
    #[serde(default)]
    pub share: Share,
}

/// One place where the staff stood; lengths in metres.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct LevelRow {
    /// Name of the mark or the shot.
    #[serde(default)]
    pub name: String,
    /// Backsight, -10 to 10; below zero with the staff held upside down.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub back_m: Option<f64>,
    /// Intermediate sight, -10 to 10.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub intermediate_m: Option<f64>,
    /// Foresight, -10 to 10.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub fore_m: Option<f64>,
    /// Known elevation: of the first mark, and of the last where it is another.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub known_m: Option<f64>,
    /// Length of the set-up's sights, back and fore together, above 0 to 10,000; on the row of its
    /// foresight.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub distance_m: Option<f64>,
    /// Its place, local easting and northing, where it is a point of the ground.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub at_m: Option<[f64; 2]>,
    /// Code, as in a point list.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub code: String,
    /// Line of the file, for messages; 0 where it is typed.
    #[serde(skip)]
    pub line: u32,
}

/// How far a run may miss its closing mark: a constant times the root of its length.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct PermittedMisclosure {
    /// Metres for each root of a kilometre, where every set-up tells its distance.
    pub per_root_km_m: f64,
    /// Metres for each root of the number of set-ups, where none does.
    pub per_root_set_up_m: f64,
}

/// By what the misclosure is shared out.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Hash, Serialize, Deserialize)]
pub enum Share {
    /// In proportion to the distance run.
    ByDistance,
    /// The same at each set-up.
    #[default]
    ByTurns,
}

/// One set-up of the instrument, by the indices of its rows.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct SetUp {
    /// The row of its backsight.
    pub back: usize,
    /// The rows of its intermediate sights.
    pub intermediates: Vec<usize>,
    /// The row of its foresight.
    pub fore: usize,
}

/// A rule of booking that a row breaks.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
#[error("read {read}, expected {expected}")]
pub struct LevelFault {
    /// Index of the row.
    pub row: usize,
    /// What stands there.
    pub read: String,
    /// What should.
    pub expected: String,
}

impl Default for PermittedMisclosure {
    /// 12 mm for each root of a kilometre and 5 mm for each root of a set-up: common practice for
    /// levels on building sites, no source.
    fn default() -> Self {
        Self { per_root_km_m: 0.012, per_root_set_up_m: 0.005 }
    }
}

impl LevelNotes {
    /// The rows that count: those of the survey's file, or those typed.
    pub fn booked(&self) -> &[LevelRow] {
        if self.file_rows.is_empty() { &self.rows } else { &self.file_rows }
    }

    /// The set-ups in the order in which the instrument stood.
    ///
    /// # Errors
    /// The first [`LevelFault`]: notes that cannot be reduced, distances that stand on some set-ups
    /// only, or none where the misclosure is to be shared by them.
    pub fn set_ups(&self) -> Result<Vec<SetUp>, LevelFault> {
        let rows = self.booked();
        let set_ups = Booking::default().read(rows)?;
        known_marks(rows)?;
        distances(rows, &set_ups, self.share)?;
        Ok(set_ups)
    }

    /// The known elevation that the run closes on, if it closes on one.
    pub fn closing_m(&self) -> Option<f64> {
        let [first, .., last] = self.booked() else { return None };
        last.known_m.or(first.known_m.filter(|_| last.is_mark(first)))
    }
}

impl LevelRow {
    /// Whether both rows stand on one named mark.
    pub fn is_mark(&self, other: &Self) -> bool {
        let (own, other) = (self.name.trim(), other.name.trim());
        !own.is_empty() && own.eq_ignore_ascii_case(other)
    }

    fn called(&self) -> String {
        if self.name.is_empty() { "the mark".to_owned() } else { self.name.clone() }
    }
}

/// Walks the rows as they were booked.
#[derive(Default)]
struct Booking {
    set_ups: Vec<SetUp>,
    /// The set-up that has no foresight yet.
    standing: Option<SetUp>,
}

impl Booking {
    fn read(mut self, rows: &[LevelRow]) -> Result<Vec<SetUp>, LevelFault> {
        for (i, row) in rows.iter().enumerate() {
            let sights = [row.back_m, row.intermediate_m, row.fore_m].map(|sight| sight.is_some());
            match sights {
                [true, false, false] => self.back(rows, i)?,
                [false, true, false] => self.intermediate(rows, i)?,
                [back, false, true] => {
                    self.fore(rows, i)?;
                    if back {
                        self.stand(i);
                    }
                }
                [false, false, false] => {
                    let expected = "a backsight, an intermediate sight or a foresight";
                    return fault(i, "a row without a reading", expected);
                }
                [_, true, _] => {
                    let read = "an intermediate sight beside another sight on one row";
                    return fault(i, read, "it on a row of its own");
                }
            }
        }
        self.finish(rows)
    }

    fn stand(&mut self, back: usize) {
        self.standing = Some(SetUp { back, intermediates: Vec::new(), fore: back });
    }

    fn back(&mut self, rows: &[LevelRow], i: usize) -> Result<(), LevelFault> {
        if self.standing.is_some() {
            let read = "a backsight while the instrument stands";
            return fault(i, read, "a foresight on the turning point first");
        }
        // A turning point may be booked on two rows: its foresight, then its backsight.
        match self.turning() {
            Some(turning) if !rows[i].is_mark(&rows[turning]) => no_back(rows, turning),
            _ => {
                self.stand(i);
                Ok(())
            }
        }
    }

    fn intermediate(&mut self, rows: &[LevelRow], i: usize) -> Result<(), LevelFault> {
        match (&mut self.standing, self.set_ups.last()) {
            (Some(set_up), _) => {
                set_up.intermediates.push(i);
                Ok(())
            }
            (None, Some(last)) => no_back(rows, last.fore),
            (None, None) => fault(i, "an intermediate sight before any backsight", FIRST),
        }
    }

    fn fore(&mut self, rows: &[LevelRow], i: usize) -> Result<(), LevelFault> {
        match (self.standing.take(), self.set_ups.last()) {
            (Some(set_up), _) => {
                self.set_ups.push(SetUp { fore: i, ..set_up });
                Ok(())
            }
            (None, Some(last)) => no_back(rows, last.fore),
            (None, None) => fault(i, "a foresight before any backsight", FIRST),
        }
    }

    /// The row of the last foresight, when no backsight was read since.
    fn turning(&self) -> Option<usize> {
        self.set_ups.last().map(|last| last.fore).filter(|_| self.standing.is_none())
    }

    fn finish(self, rows: &[LevelRow]) -> Result<Vec<SetUp>, LevelFault> {
        let Some(first) = rows.first() else {
            return fault(0, "no rows", FIRST);
        };
        if self.standing.is_some() {
            let expected = format!(
                "a foresight that closes on a mark of known elevation or back on {}",
                first.called()
            );
            return fault(rows.len() - 1, "the end of the notes without a closing sight", expected);
        }
        Ok(self.set_ups)
    }
}

const FIRST: &str = "a backsight on a mark of known elevation first";

fn no_back(rows: &[LevelRow], turning: usize) -> Result<(), LevelFault> {
    let read = "a turning point without a backsight";
    let expected = format!("a backsight on {} before the next sight", rows[turning].called());
    fault(turning, read, expected)
}

fn fault<T>(
    row: usize,
    read: impl Into<String>,
    expected: impl Into<String>,
) -> Result<T, LevelFault> {
    Err(LevelFault { row, read: read.into(), expected: expected.into() })
}

/// The first mark's elevation is known, and none between the ends.
fn known_marks(rows: &[LevelRow]) -> Result<(), LevelFault> {
    let last = rows.len() - 1;
    let first_m = rows[0].known_m;
    for (i, row) in rows.iter().enumerate() {
        match row.known_m {
            None if i == 0 => {
                let read = "a first mark without an elevation";
                return fault(i, read, format!("the known elevation of {}", row.called()));
            }
            Some(_) if i != 0 && i != last => {
                let read = "a known elevation between the ends of the run";
                return fault(i, read, "known elevations of the first and the last mark only");
            }
            Some(known_m) if i == last && row.is_mark(&rows[0]) && first_m != Some(known_m) => {
                let read = format!("another known elevation of {}", row.called());
                return fault(i, read, "the one of the first row");
            }
            _ => {}
        }
    }
    Ok(())
}

/// Distances stand on every foresight or on none, and are there when shared by.
fn distances(rows: &[LevelRow], set_ups: &[SetUp], share: Share) -> Result<(), LevelFault> {
    let is_fore = |i: usize| set_ups.iter().any(|set_up| set_up.fore == i);
    let any = rows.iter().any(|row| row.distance_m.is_some());
    for (i, row) in rows.iter().enumerate() {
        match (row.distance_m, is_fore(i)) {
            (Some(_), false) => {
                let read = "a distance on a row without a foresight";
                let expected = "the length of a set-up's sights on the row of its foresight";
                return fault(i, read, expected);
            }
            (None, true) if any || share == Share::ByDistance => {
                let read = "a foresight without a distance";
                let expected = if any {
                    "a distance on every foresight, or on none"
                } else {
                    "a distance on every foresight, by which the misclosure is to be shared"
                };
                return fault(i, read, expected);
            }
            _ => {}
        }
    }
    Ok(())
}

#[cfg(test)]
mod tests;
