//! The comparison of two surfaces, as JSON and in plain words.

use std::fmt::Write as _;

use ground::overlay::Volumes;
use serde::Serialize;
use units::{LengthUnit, area_text, earth_text};

use crate::moved::Moved;

/// The volumes between two surfaces, by the keys of the JSON.
#[derive(Serialize)]
pub(crate) struct Comparison {
    cut_m3: f64,
    fill_m3: f64,
    net_m3: f64,
    cut_area_m2: f64,
    fill_area_m2: f64,
    common_area_m2: f64,
    deepest_cut_m: f64,
    highest_fill_m: f64,
}

impl Comparison {
    pub(crate) fn of(volumes: &Volumes) -> Self {
        Self {
            cut_m3: volumes.cut_m3,
            fill_m3: volumes.fill_m3,
            net_m3: volumes.fill_m3 - volumes.cut_m3,
            cut_area_m2: volumes.cut_area_m2,
            fill_area_m2: volumes.fill_area_m2,
            common_area_m2: volumes.common_area_m2,
            // Adding zero takes the minus from a zero.
            deepest_cut_m: volumes.deepest_cut_m + 0.0,
            highest_fill_m: volumes.highest_fill_m,
        }
    }
}

/// Volumes below this read as nought in cubic metres and in cubic yards.
const EVEN_M3: f64 = 0.03;

/// The volumes between two surfaces as JSON, in SI units at full precision.
pub fn json(volumes: &Volumes) -> String {
    let mut text = serde_json::to_string_pretty(&Comparison::of(volumes))
        .expect("numbers with plain keys always make JSON");
    text.push('\n');
    text
}

/// The volumes between the surfaces `from` and `to` in plain words.
pub fn text(from: &str, to: &str, volumes: &Volumes, unit: LengthUnit) -> String {
    let net_m3 = volumes.fill_m3 - volumes.cut_m3;
    let net = match net_m3 {
        net if net.abs() < EVEN_M3 => "as much fill as cut".to_owned(),
        net if net < 0.0 => format!("{} more cut than fill", earth_text(-net, unit)),
        net => format!("{} more fill than cut", earth_text(net, unit)),
    };
    let cut = Moved {
        volume_m3: volumes.cut_m3,
        area_m2: volumes.cut_area_m2,
        most_m: volumes.deepest_cut_m,
    };
    let fill = Moved {
        volume_m3: volumes.fill_m3,
        area_m2: volumes.fill_area_m2,
        most_m: volumes.highest_fill_m,
    };
    let rows = [
        ("cut", cut.text("", "deepest", unit)),
        ("fill", fill.text("", "highest", unit)),
        ("net", net),
        ("common ground", area_text(volumes.common_area_m2, unit)),
    ];
    let mut out = format!("From {from} to {to}, on the ground that both cover\n");
    for (label, words) in rows {
        writeln!(out, "  {label:<14}{words}").expect("a string takes any text");
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn net_is_fill_minus_cut_in_both() {
        let volumes =
            Volumes { cut_m3: 3.0, fill_m3: 1.0, common_area_m2: 50.0, ..Volumes::default() };
        let read: serde_json::Value = serde_json::from_str(&json(&volumes)).unwrap();
        assert_eq!(read["net_m3"].as_f64(), Some(-2.0));
        assert_eq!(read.as_object().unwrap().len(), 8);
        let text = text("a", "b", &volumes, LengthUnit::Metre);
        assert!(text.contains("2.0 m3 more cut than fill"), "{text}");
        let even = Volumes { cut_m3: 1.0, fill_m3: 1.001, ..volumes };
        let text = super::text("a", "b", &even, LengthUnit::Metre);
        assert!(text.contains("net           as much fill as cut"), "{text}");
    }
}
