//! Times, medians and the rows of the table.

use std::hint::black_box;
use std::time::Instant;

/// One line of the table: a work, how long it took, and whether its bar holds.
#[derive(Clone, Debug, serde::Serialize)]
pub(crate) struct Row {
    /// What was measured.
    pub(crate) work: String,
    /// The median.
    pub(crate) figure: f64,
    /// The figure's unit.
    pub(crate) unit: &'static str,
    /// The reference's median in the same run, where the bar is a ratio.
    pub(crate) against: Option<f64>,
    /// Figure over reference.
    pub(crate) ratio: Option<f64>,
    /// The greatest ratio allowed, or the greatest figure where there is no reference.
    pub(crate) bar: f64,
    /// Whether it was kept.
    pub(crate) holds: bool,
}

/// How long a work takes as its input grows.
#[derive(Clone, Debug)]
pub(crate) struct Growth {
    /// What was measured.
    pub(crate) work: &'static str,
    /// Size of the input and the median in seconds.
    pub(crate) medians: Vec<(usize, f64)>,
}

impl Row {
    /// The table's head.
    pub(crate) const HEAD: &'static str = "work                                                      figure  unit   against  ratio    bar  holds";

    /// A work against a reference, by their times in seconds.
    pub(crate) fn ratio(work: &str, seconds: f64, reference: f64, bar: f64) -> Self {
        let ratio = seconds / reference;
        Self {
            work: work.to_owned(),
            figure: seconds,
            unit: "s",
            against: Some(reference),
            ratio: Some(ratio),
            bar,
            holds: ratio <= bar,
        }
    }

    /// A work whose own figure has a bar.
    pub(crate) fn at_most(work: &str, figure: f64, unit: &'static str, bar: f64) -> Self {
        let (against, ratio) = (None, None);
        Self { work: work.to_owned(), figure, unit, against, ratio, bar, holds: figure <= bar }
    }
}

impl std::fmt::Display for Row {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        let part = |value: Option<f64>| value.map_or("-".to_owned(), |v| format!("{v:.3}"));
        write!(
            f,
            "{:<55} {:>8.4}  {:<4} {:>9} {:>6} {:>6.3}  {}",
            self.work,
            self.figure,
            self.unit,
            part(self.against),
            part(self.ratio),
            self.bar,
            if self.holds { "yes" } else { "NO" }
        )
    }
}

impl std::fmt::Display for Growth {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        writeln!(f, "{}", self.work)?;
        writeln!(f, "{:>10} {:>12} {:>18}", "n", "seconds", "ns / (n log2 n)")?;
        for &(n, seconds) in &self.medians {
            let share = seconds * 1e9 / (n as f64 * (n as f64).log2());
            writeln!(f, "{n:>10} {seconds:>12.6} {share:>18.3}")?;
        }
        Ok(())
    }
}

/// The medians of two works that take turns, in seconds.
///
/// Turns even out what else the machine does meanwhile.
pub(crate) fn interleaved<A, B>(
    runs: usize,
    mut first: impl FnMut() -> A,
    mut second: impl FnMut() -> B,
) -> (f64, f64) {
    let mut times = (Vec::new(), Vec::new());
    for _ in 0..runs {
        times.0.push(seconds(&mut first));
        times.1.push(seconds(&mut second));
    }
    (median(times.0), median(times.1))
}

/// The time that one run takes on this thread, without the time to drop its result.
///
/// It is the time that the thread held a core, so that other load on the machine does not count.
pub(crate) fn seconds<T>(work: &mut impl FnMut() -> T) -> f64 {
    let start = on_core_s();
    let result = black_box(work());
    let elapsed = on_core_s() - start;
    drop(result);
    elapsed
}

/// The time that one run takes by the clock on the wall, without the time to drop its result: where more
/// than this thread works on it. Other load on the machine counts.
pub(crate) fn on_the_wall_s<T>(work: &mut impl FnMut() -> T) -> f64 {
    let start = Instant::now();
    let result = black_box(work());
    let elapsed = start.elapsed();
    drop(result);
    elapsed.as_secs_f64()
}

/// The median time of one run where a run may be shorter than the clock can tell: of five batches
/// of `batch` runs each.
pub(crate) fn batched<T>(batch: usize, mut work: impl FnMut() -> T) -> f64 {
    let mut runs = || (0..batch).map(|_| work()).map(|result| drop(black_box(result))).count();
    median((0..5).map(|_| seconds(&mut runs) / batch as f64).collect())
}

/// How long this thread has held a core, to the microsecond.
#[cfg(unix)]
pub(crate) fn on_core_s() -> f64 {
    let time = rustix::time::clock_gettime(rustix::time::ClockId::ThreadCPUTime);
    time.tv_sec as f64 + time.tv_nsec as f64 * 1e-9
}

/// The time by the clock, where no system call tells more.
#[cfg(not(unix))]
pub(crate) fn on_core_s() -> f64 {
    static START: std::sync::LazyLock<std::time::Instant> =
        std::sync::LazyLock::new(std::time::Instant::now);
    START.elapsed().as_secs_f64()
}

/// The middle one of some times.
pub(crate) fn median(times: Vec<f64>) -> f64 {
    quantile(&times, 0.5)
}

/// The time below which a share of some times lies.
pub(crate) fn quantile(times: &[f64], share: f64) -> f64 {
    let mut times = times.to_vec();
    times.sort_by(f64::total_cmp);
    times[((times.len() as f64 * share) as usize).min(times.len() - 1)]
}
