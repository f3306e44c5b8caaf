//! The largest difference from each published value: one row for each number of the check values, with
//! what it is held to. `cargo test -p water --test published -- --nocapture` prints the table.
//!
//! Sources stand beside each group; V3 and M in the page of check values mean a transcription and memory.
//! Where two numbers stand in one row's source, both have a row here.

mod crests;
mod pipes;
mod rain_and_ground;
mod streams;

/// One published number beside the computed one, both in the source's own unit.
pub(crate) struct Row {
    /// As the page of check values numbers it.
    pub(crate) id: &'static str,
    /// What it is.
    pub(crate) what: String,
    /// As published.
    pub(crate) published: f64,
    /// As these formulas give it.
    pub(crate) computed: f64,
    /// What the difference is held to, as a share of the published value.
    pub(crate) within: f64,
}

/// Why no formula refuses a published case.
pub(crate) const SOUND: &str = "a published case is within every range";

pub(crate) const FOOT_M: f64 = 0.3048;
pub(crate) const INCH_M: f64 = 0.0254;
pub(crate) const CFS_M3_S: f64 = FOOT_M * FOOT_M * FOOT_M;
pub(crate) const GALLON_M3: f64 = 231.0 * INCH_M * INCH_M * INCH_M;
pub(crate) const GPM_M3_S: f64 = GALLON_M3 / 60.0;

/// A row; `within` is a share.
pub(crate) fn row(
    id: &'static str,
    what: impl Into<String>,
    published: f64,
    computed: f64,
    within: f64,
) -> Row {
    Row { id, what: what.into(), published, computed, within }
}

impl Row {
    fn difference(&self) -> f64 {
        (self.computed / self.published - 1.0).abs()
    }
}

fn rows() -> Vec<Row> {
    let mut rows = crests::rows();
    rows.extend(streams::rows());
    rows.extend(pipes::rows());
    rows.extend(rain_and_ground::rows());
    rows
}

#[test]
fn every_published_value_is_met_within_what_it_is_held_to() {
    println!("| row | value | published | computed | difference | held to |");
    println!("|---|---|---|---|---|---|");
    let mut wrong = Vec::new();
    for row in rows() {
        let Row { id, what, published, computed, within } = &row;
        let line = format!(
            "| {id} | {what} | {published} | {computed:.5} | {:.3} % | {:.2} % |",
            100.0 * row.difference(),
            100.0 * within
        );
        println!("{line}");
        // What is no number is no difference within anything.
        let holds = row.difference() <= *within;
        if !holds {
            wrong.push(line);
        }
    }
    println!("\n| row | largest difference |\n|---|---|");
    let rows = rows();
    let mut ids: Vec<&str> = rows.iter().map(|row| row.id).collect();
    ids.dedup();
    for id in ids {
        let of = rows.iter().filter(|row| row.id == id);
        println!("| {id} | {:.3} % |", 100.0 * of.map(Row::difference).fold(0.0, f64::max));
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

/// Every row of the page that publishes a number which this crate computes stands in the table.
#[test]
fn no_row_is_left_out() {
    /// Rows without a number of this crate's, and why.
    const APART: [(&str, &str); 10] = [
        ("W-13", "a range: heads below 0.2 ft are estimates; held in weir.rs"),
        ("C-16", "a rule for the steepness of rock; held in gravel.rs"),
        ("H-09", "when a bank makes an embankment pond: a rule that no check asks"),
        ("H-10", "banks of embankment ponds, from memory; its 5 % of settlement in takeoff"),
        ("H-11", "a diversion ridge, from memory: nothing is sized by it"),
        ("H-12", "ground beside a house: design's drains-to-house"),
        ("E-05", "areas of a circle and a rectangle in acres: no formula of this crate's"),
        ("E-06", "a rule of thumb without source: an adjustable default in filter.rs"),
        ("E-07", "a rule of thumb that the formulas contradict; told in crest/tests.rs"),
        ("E-08", "no citable value"),
    ];
    let rows = rows();
    let page = [("W", 15), ("C", 26), ("P", 15), ("H", 13), ("E", 8)];
    let mut ids: Vec<String> = page
        .iter()
        .flat_map(|(group, n)| (1..=*n).map(move |i| format!("{group}-{i:02}")))
        .collect();
    ids.push("K-26".into());
    for id in ids {
        let is_row = rows.iter().any(|row| row.id == id);
        let is_apart = APART.iter().any(|(apart, why)| *apart == id && !why.is_empty());
        assert!(is_row != is_apart, "{id}: in the table {is_row}, apart {is_apart}");
    }
}
