//! What looks wrong in a point list; nothing is dropped for it.

use std::collections::BTreeMap;

use units::LengthUnit;

use super::columns::Header;
use super::{Columns, Point, PointsError, shortened};
use crate::unit_words::word_of;

/// Something that looks wrong in a list that can be read.
#[derive(Clone, Debug, PartialEq)]
pub struct Doubt {
    /// What it is about.
    pub kind: DoubtKind,
    /// The row that it is about; the first row where it is about the whole list.
    pub line: u32,
    /// One plain sentence.
    pub message: String,
}

/// What a doubt is about.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum DoubtKind {
    /// A header or a column that was passed over.
    Unread,
    /// Two rows with one name.
    SameName,
    /// Two rows at one place in plan.
    SamePlace,
    /// A point far from all others.
    FarOff,
    /// Columns that hold what another should.
    Swapped,
    /// Fewer shots than shape the ground of a garden.
    Thin,
}

/// Rows closer than this in plan stand at one place, in metres: finer than any rod is held.
const SAME_PLACE_M: f64 = 1e-3;
/// A point is far off beyond this many times the reach of nine tenths of all points. Our own
/// measure.
const FAR_OFF_REACHES: f64 = 8.0;
/// A list is thin when each shot stands for more ground than this, in square metres: shots 5 m
/// apart. Common practice for gardens, no source.
const THIN_M2: f64 = 25.0;
/// Columns are looked at for a swap when elevations spread this many times wider than the plan.
const SWAPPED_SPREAD: f64 = 2.0;

/// Gives points without a name their number, and those with a name that stands already a name of
/// their own, so that a name tells one point.
pub(crate) fn make_names_unique(points: &mut [Point]) -> Vec<Doubt> {
    let mut first_line: BTreeMap<String, u32> = BTreeMap::new();
    let mut doubts = Vec::new();
    for (row, point) in points.iter_mut().enumerate() {
        if point.name.is_empty() {
            point.name = format!("{}", row + 1);
        }
        if let Some(first) = first_line.get(&point.name) {
            let message = format!(
                "the name {} stands on line {first} already; this point is now called {} (line {})",
                point.name, point.name, point.line
            );
            point.name = format!("{} (line {})", point.name, point.line);
            doubts.push(Doubt { kind: DoubtKind::SameName, line: point.line, message });
        }
        first_line.insert(point.name.clone(), point.line);
    }
    doubts
}

/// Every doubt about the points, by kind.
pub(super) fn find(points: &[Point], unit: LengthUnit) -> Vec<Doubt> {
    let mut doubts = same_places(points, unit);
    doubts.extend(far_off(points, unit));
    doubts.extend(swapped(points, unit));
    doubts.extend(thin(points));
    doubts
}

/// Header words that name nothing known.
pub(crate) fn unread(line: u32, words: &[String]) -> Vec<Doubt> {
    let doubt = |word: &String| Doubt {
        kind: DoubtKind::Unread,
        line,
        message: format!("the column `{}` is not read", shortened(word)),
    };
    words.iter().map(doubt).collect()
}

/// A header that was passed over for the order that was told, when it says otherwise.
pub(super) fn overruled(
    line: u32,
    row: &str,
    columns: &Columns,
    header: Option<&Result<Header, PointsError>>,
    has_no_numbers: bool,
) -> Vec<Doubt> {
    let agrees = matches!(header, Some(Ok(header)) if header.columns == *columns);
    if agrees || !has_no_numbers {
        return Vec::new();
    }
    let message = format!(
        "`{}` was passed over as a header; the order told is {}",
        shortened(row),
        columns.text()
    );
    vec![Doubt { kind: DoubtKind::Unread, line, message }]
}

fn same_places(points: &[Point], unit: LengthUnit) -> Vec<Doubt> {
    let cell = |point: &Point| {
        [point.at_m[0], point.at_m[1]].map(|metres| (metres / SAME_PLACE_M).round() as i64)
    };
    let mut order: Vec<(_, usize)> =
        points.iter().enumerate().map(|(idx, point)| (cell(point), idx)).collect();
    order.sort_unstable();
    let doubt = |first: &Point, point: &Point| {
        let apart = (point.at_m[2] - first.at_m[2]).abs() / unit.metres();
        let heights = match apart {
            0.0 => "at the same elevation".to_owned(),
            _ => format!("{apart:.3} {} apart in elevation", word_of(unit)),
        };
        Doubt {
            kind: DoubtKind::SamePlace,
            line: point.line,
            message: format!(
                "point {} stands at the place of point {} (line {}), {heights}",
                point.name, first.name, first.line
            ),
        }
    };
    let mut doubts: Vec<Doubt> = order
        .chunk_by(|a, b| a.0 == b.0)
        .flat_map(|group| {
            group[1..].iter().map(|(_, idx)| doubt(&points[group[0].1], &points[*idx]))
        })
        .collect();
    doubts.sort_by_key(|doubt| doubt.line);
    doubts
}

fn far_off(points: &[Point], unit: LengthUnit) -> Vec<Doubt> {
    let middle = middle(points);
    let away = |[x, y]: [f64; 2]| libm::hypot(x - middle[0], y - middle[1]);
    let distances: Vec<f64> =
        points.iter().map(|point| away([point.at_m[0], point.at_m[1]])).collect();
    let mut sorted = distances.clone();
    sorted.sort_by(f64::total_cmp);
    let Some(reach) = sorted.get((sorted.len() * 9 / 10).min(sorted.len().saturating_sub(2)))
    else {
        return Vec::new();
    };
    if points.len() < 4 || *reach == 0.0 {
        return Vec::new();
    }
    let is_far = |away: f64| away > FAR_OFF_REACHES * reach;
    let far = points.iter().zip(&distances).filter(|(_, distance)| is_far(**distance));
    far.map(|(point, distance)| {
        let is_turned = !is_far(away([point.at_m[1], point.at_m[0]]));
        Doubt {
            kind: DoubtKind::FarOff,
            line: point.line,
            message: format!(
                "point {} stands {:.0} {} from the middle of the list, where nine tenths lie within \
                 {:.0}{}",
                point.name,
                distance / unit.metres(),
                word_of(unit),
                reach / unit.metres(),
                if is_turned { ": are its x and y swapped?" } else { "" }
            ),
        }
    })
    .collect()
}

/// The middle of the eastings and that of the northings, which a few strays do not move.
fn middle(points: &[Point]) -> [f64; 2] {
    [0, 1].map(|axis| {
        let mut along: Vec<f64> = points.iter().map(|point| point.at_m[axis]).collect();
        along.sort_by(f64::total_cmp);
        along.get(along.len() / 2).copied().unwrap_or_default()
    })
}

fn swapped(points: &[Point], unit: LengthUnit) -> Vec<Doubt> {
    let Some(first) = points.first() else { return Vec::new() };
    let doubt = |message: String| Doubt { kind: DoubtKind::Swapped, line: first.line, message };
    let mut doubts = Vec::new();
    let spread = [0, 1, 2].map(|axis| middle_spread(points, axis));
    let plan = spread[0].max(spread[1]);
    if points.len() >= 4 && spread[2] > SWAPPED_SPREAD * plan {
        doubts.push(doubt(format!(
            "elevations spread over {:.1} {unit} and places over {:.1} {unit}: are columns swapped?",
            spread[2] / unit.metres(),
            plan / unit.metres(),
            unit = word_of(unit),
        )));
    }
    for (axis, column) in ["x", "y", "z"].into_iter().enumerate() {
        if points.len() >= 4 && counts_up(points, axis, unit) {
            doubts.push(doubt(format!(
                "{column} counts up by one from row to row: is it the number of the point?"
            )));
        }
    }
    doubts.extend(turned_grid(first, unit).map(doubt));
    doubts
}

/// Spread of the middle eight tenths along an axis.
fn middle_spread(points: &[Point], axis: usize) -> f64 {
    let mut along: Vec<f64> = points.iter().map(|point| point.at_m[axis]).collect();
    along.sort_by(f64::total_cmp);
    let tenth = along.len() / 10;
    match (along.get(tenth), along.get(along.len() - 1 - tenth)) {
        (Some(low), Some(high)) => high - low,
        _ => 0.0,
    }
}

fn counts_up(points: &[Point], axis: usize, unit: LengthUnit) -> bool {
    let step = |pair: &[Point]| (pair[1].at_m[axis] - pair[0].at_m[axis]) / unit.metres();
    points.windows(2).all(|pair| (step(pair) - 1.0).abs() < 1e-9)
}

/// What is said where [`turned_grid`] finds a northing in the place of an easting.
pub(crate) const TURNED: &str =
    "x has seven digits and y six, as northing and easting have: are they swapped?";

/// On the common metric grids an easting has six digits and a northing seven.
pub(crate) fn turned_grid(first: &Point, unit: LengthUnit) -> Option<String> {
    let is_metric = unit == LengthUnit::Metre;
    let six = |metres: f64| (1e5..1e6).contains(&metres);
    let seven = |metres: f64| (1e6..1e7).contains(&metres);
    (is_metric && seven(first.at_m[0]) && six(first.at_m[1])).then(|| TURNED.to_owned())
}

fn thin(points: &[Point]) -> Vec<Doubt> {
    let Some(first) = points.first() else { return Vec::new() };
    let area_m2 = middle_spread(points, 0) * middle_spread(points, 1);
    // The middle eight tenths along each axis hold 0.64 of an even cover.
    let each_m2 = area_m2 / (0.64 * points.len() as f64);
    if each_m2 <= THIN_M2 {
        return Vec::new();
    }
    let message = format!(
        "thin: one shot for {each_m2:.0} m2 of ground, where a garden wants one for {THIN_M2:.0} or less"
    );
    vec![Doubt { kind: DoubtKind::Thin, line: first.line, message }]
}
