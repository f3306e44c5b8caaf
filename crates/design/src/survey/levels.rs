//! Level notes reduced to elevations, by height of instrument.
//!
//! ```text
//!   height of instrument = elevation of the mark + backsight
//!   elevation            = height of instrument - intermediate sight or foresight
//!   page check             sum of backsights - sum of foresights = last - first
//!   misclosure           = measured - known elevation of the closing mark
//! ```
//!
//! Within what is permitted the misclosure is shared out over the heights of instrument, so that all
//! that was read from one set-up moves together. Beyond it the run is to be levelled again, and
//! nothing is adjusted.

use ground::Sum;
use site::{LevelFault, LevelNotes, LevelRow, SetUp, Share, SurveyPoint};

/// What level notes come to; elevations and lengths in metres.
#[derive(Clone, Debug, PartialEq)]
pub struct Levels {
    /// The set-ups in the order in which the instrument stood.
    pub set_ups: Vec<InstrumentLevel>,
    /// One for each row of the notes, in their order.
    pub rows: Vec<RowLevel>,
    /// Sum of the backsights.
    pub sum_back_m: f64,
    /// Sum of the foresights.
    pub sum_fore_m: f64,
    /// How the run closes; none where its last mark's elevation is not known.
    pub closure: Option<Closure>,
    /// Length of the run, where every set-up tells its distance.
    pub length_m: Option<f64>,
}

/// One set-up of the instrument.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct InstrumentLevel {
    /// Height of instrument as measured.
    pub measured_m: f64,
    /// What it is corrected by.
    pub correction_m: f64,
}

/// The elevation of one row.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct RowLevel {
    /// The set-up that it is measured from; none for the first mark.
    pub set_up: Option<usize>,
    /// As measured.
    pub measured_m: f64,
    /// What it is corrected by.
    pub correction_m: f64,
}

/// How a run closes.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Closure {
    /// Elevation of the closing mark as measured.
    pub measured_m: f64,
    /// Its known elevation.
    pub known_m: f64,
    /// The greatest misclosure that is permitted, either way.
    pub permitted_m: f64,
    /// By what the misclosure was shared out; none beyond what is permitted.
    pub shared: Option<Share>,
}

impl Closure {
    /// Measured less known elevation: above zero where the run closes high.
    pub fn misclosure_m(&self) -> f64 {
        self.measured_m - self.known_m
    }
}

impl RowLevel {
    /// The elevation, corrected.
    pub fn level_m(&self) -> f64 {
        self.measured_m + self.correction_m
    }
}

impl Levels {
    /// Backsights less foresights, and the last elevation less the first: equal, or a sum is wrong.
    pub fn page_check_m(&self) -> [f64; 2] {
        let ends = self.rows.first().zip(self.rows.last());
        let rise_m = ends.map_or(0.0, |(first, last)| last.measured_m - first.measured_m);
        [self.sum_back_m - self.sum_fore_m, rise_m]
    }
}

/// A misclosure this far beyond what is permitted is none: the rounding of readings in decimals.
const ROUNDING_M: f64 = 1e-9;

/// Reduces level notes to elevations, and shares their misclosure out where it is permitted.
///
/// # Errors
/// [`LevelFault`] for notes that cannot be reduced.
///
/// # Source
/// Height of instrument: US Navy NAVEDTRA 14081 p. 15-29. That the share of a set-up goes to all that
/// was read from it is common practice.
pub fn reduce(notes: &LevelNotes) -> Result<Levels, LevelFault> {
    let set_ups = notes.set_ups()?;
    let rows = notes.booked();
    let mut levels = measured(rows, &set_ups);
    levels.closure = notes.closing_m().map(|known_m| {
        let measured_m = levels.rows.last().map_or(known_m, |row| row.measured_m);
        let permitted_m = permitted_m(notes, levels.length_m, set_ups.len());
        let is_permitted = (measured_m - known_m).abs() <= permitted_m + ROUNDING_M;
        let shared = is_permitted.then_some(notes.share);
        Closure { measured_m, known_m, permitted_m, shared }
    });
    if let Some(closure) = levels.closure
        && let Some(share) = closure.shared
    {
        adjust(&mut levels, &shares(rows, &set_ups, share), closure.misclosure_m());
    }
    Ok(levels)
}

/// The points of the ground among the rows: those with a place, a mark that is read again once.
///
/// A point without a name, or with one that another has, is called by the number of its row.
pub fn ground_points(notes: &LevelNotes, levels: &Levels) -> Vec<SurveyPoint> {
    let rows = notes.booked();
    let mut points: Vec<SurveyPoint> = Vec::new();
    for (i, (row, level)) in rows.iter().zip(&levels.rows).enumerate() {
        let Some([x, y]) = row.at_m else { continue };
        let is_again = |other: &LevelRow| row.is_mark(other) && row.at_m == other.at_m;
        if rows[..i].iter().any(is_again) {
            continue;
        }
        let number = i + 1;
        let name = match row.name.trim() {
            "" => number.to_string(),
            name if points.iter().any(|point| point.name == name) => {
                format!("{name} (row {number})")
            }
            name => name.to_owned(),
        };
        let at_m = [x, y, level.level_m()];
        points.push(SurveyPoint { name, at_m, code: row.code.clone(), line: row.line });
    }
    points
}

/// Elevations as measured, uncorrected.
fn measured(rows: &[LevelRow], set_ups: &[SetUp]) -> Levels {
    let first_m = rows[0].known_m.unwrap_or(f64::NAN);
    let at = |set_up, measured_m| RowLevel { set_up, measured_m, correction_m: 0.0 };
    let mut levels = vec![at(None, first_m); rows.len()];
    let mut instruments = Vec::with_capacity(set_ups.len());
    let (mut mark, mut backs, mut fores) = (levels[0], Sum::default(), Sum::default());
    for (k, set_up) in set_ups.iter().enumerate() {
        let reading = |sight: Option<f64>| sight.unwrap_or(f64::NAN);
        let (back_m, fore_m) =
            (reading(rows[set_up.back].back_m), reading(rows[set_up.fore].fore_m));
        backs.add(back_m);
        fores.add(fore_m);
        levels[set_up.back] = mark;
        let instrument_m = mark.measured_m + back_m;
        instruments.push(InstrumentLevel { measured_m: instrument_m, correction_m: 0.0 });
        for &i in &set_up.intermediates {
            levels[i] = at(Some(k), instrument_m - reading(rows[i].intermediate_m));
        }
        mark = at(Some(k), instrument_m - fore_m);
        levels[set_up.fore] = mark;
    }
    let length = set_ups.iter().map(|set_up| rows[set_up.fore].distance_m);
    Levels {
        set_ups: instruments,
        rows: levels,
        sum_back_m: backs.value(),
        sum_fore_m: fores.value(),
        closure: None,
        length_m: length.collect::<Option<Vec<f64>>>().map(|each| each.iter().sum()),
    }
}

fn permitted_m(notes: &LevelNotes, length_m: Option<f64>, n_set_ups: usize) -> f64 {
    let permitted = notes.permitted;
    match length_m {
        Some(length_m) => permitted.per_root_km_m * (length_m / 1000.0).sqrt(),
        None => permitted.per_root_set_up_m * (n_set_ups as f64).sqrt(),
    }
}

/// The share of the run that lies behind each set-up, its own sights included: rises to 1.
fn shares(rows: &[LevelRow], set_ups: &[SetUp], share: Share) -> Vec<f64> {
    let each = |set_up: &SetUp| match share {
        Share::ByDistance => rows[set_up.fore].distance_m.unwrap_or(f64::NAN),
        Share::ByTurns => 1.0,
    };
    let run = set_ups.iter().scan(0.0, |run, set_up| {
        *run += each(set_up);
        Some(*run)
    });
    let run: Vec<f64> = run.collect();
    let whole = run.last().copied().unwrap_or(1.0);
    run.iter().map(|run| run / whole).collect()
}

fn adjust(levels: &mut Levels, shares: &[f64], misclosure_m: f64) {
    for (set_up, share) in levels.set_ups.iter_mut().zip(shares) {
        // Adding zero takes the minus from a zero.
        set_up.correction_m = -misclosure_m * share + 0.0;
    }
    for row in &mut levels.rows {
        if let Some(set_up) = row.set_up {
            row.correction_m = levels.set_ups[set_up].correction_m;
        }
    }
}

#[cfg(test)]
mod tests;
