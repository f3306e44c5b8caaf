//! The demo's numbers against those kept in `tests/kept`.

use std::fs;
use std::path::PathBuf;

use anyhow::{Context as _, bail};
use serde_json::Value;

use crate::run::{DEMOS, demo_report, top};

/// Numbers agree within this share of their size: far below anything that a change of the works
/// or of the kernel's rules makes, above the last digits of another machine's compiler.
const SHARE: f64 = 1e-6;
/// Numbers near zero agree within this, in the report's own SI units.
const NEAR_ZERO: f64 = 1e-9;
/// Differences shown.
const SHOWN: usize = 20;

/// Compares the reports of the last demo with the kept ones.
pub(crate) fn compare() -> anyhow::Result<()> {
    let mut n_differ = 0;
    for demo in DEMOS {
        let kept: Value = read(&kept_path(demo))?;
        let now: Value = read(&report_path(demo))?;
        let mut differences = Vec::new();
        differ("", &kept, &now, &mut differences);
        if differences.is_empty() {
            println!("demo numbers: as kept in tests/kept/{demo}.json");
        }
        for difference in differences.iter().take(SHOWN) {
            println!("{demo}: {difference}");
        }
        n_differ += differences.len();
    }
    if n_differ > 0 {
        bail!(
            "demo numbers: {n_differ} differ from those in tests/kept; if the change is meant, \
             `cargo xtask kept --write` keeps the new ones"
        );
    }
    Ok(())
}

/// Keeps the reports of the last demo.
pub(crate) fn write() -> anyhow::Result<()> {
    for demo in DEMOS {
        let to = kept_path(demo);
        let folder = to.parent().context("the kept file stands in a folder")?;
        fs::create_dir_all(folder)?;
        fs::copy(report_path(demo), &to).context("run `cargo demo` first")?;
        println!("kept in {}", to.display());
    }
    Ok(())
}

fn kept_path(demo: &str) -> PathBuf {
    top().join("tests").join("kept").join(format!("{demo}.json"))
}

fn report_path(demo: &str) -> PathBuf {
    demo_report(demo).join("report.json")
}

fn read(path: &PathBuf) -> anyhow::Result<Value> {
    let text = fs::read_to_string(path).with_context(|| format!("{}", path.display()))?;
    serde_json::from_str(&text).with_context(|| format!("{}", path.display()))
}

fn differ(path: &str, kept: &Value, now: &Value, differences: &mut Vec<String>) {
    match (kept, now) {
        (Value::Object(a), Value::Object(b)) => {
            let new = b.keys().filter(|key| !a.contains_key(*key));
            for key in a.keys().chain(new) {
                let side = |map: &serde_json::Map<String, Value>| map.get(key).cloned();
                let (kept, now) = (side(a).unwrap_or_default(), side(b).unwrap_or_default());
                differ(&format!("{path}.{key}"), &kept, &now, differences);
            }
        }
        (Value::Array(a), Value::Array(b)) if a.len() == b.len() => {
            for (idx, (kept, now)) in a.iter().zip(b).enumerate() {
                differ(&format!("{path}[{idx}]"), kept, now, differences);
            }
        }
        (Value::Number(a), Value::Number(b)) if near(a.as_f64(), b.as_f64()) => {}
        (a, b) if a == b => {}
        (a, b) => differences.push(format!("{path}: kept {a}, now {b}")),
    }
}

fn near(kept: Option<f64>, now: Option<f64>) -> bool {
    match (kept, now) {
        (Some(kept), Some(now)) => (kept - now).abs() <= NEAR_ZERO.max(SHARE * kept.abs()),
        _ => false,
    }
}

#[cfg(test)]
mod tests {
    use serde_json::json;

    use super::*;

    fn differences(kept: &Value, now: &Value) -> usize {
        let mut found = Vec::new();
        differ("", kept, now, &mut found);
        found.len()
    }

    #[test]
    fn only_what_matters_differs() {
        let kept = json!({"a": 100.0, "b": [1, null], "c": "x"});
        assert_eq!(differences(&kept, &json!({"a": 100.00005, "b": [1, null], "c": "x"})), 0);
        assert_eq!(differences(&kept, &json!({"a": 100.001, "b": [1, null], "c": "x"})), 1);
        assert_eq!(differences(&kept, &json!({"a": 100.0, "b": [1, 0], "c": "y"})), 2);
        assert_eq!(differences(&kept, &json!({"a": 100.0, "b": [1], "c": "x", "d": 1})), 2);
    }
}
