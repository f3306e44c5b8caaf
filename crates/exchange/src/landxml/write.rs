//! Writing LandXML 1.2.

use std::fmt::Write as _;

use units::LengthUnit;

use crate::content::{Content, Datum, Line, LineKind, in_unit};
use crate::tin::Tin;
use crate::xml::escaped;

const STRING: &str = "a string takes any text";

/// When a file says that it was written; the schema wants both.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Stamp {
    /// Date, such as `2026-05-01`.
    pub date: String,
    /// Time, such as `12:00:00`.
    pub time: String,
}

impl Default for Stamp {
    /// A time that is plainly none.
    fn default() -> Self {
        Self { date: "1970-01-01".to_owned(), time: "00:00:00".to_owned() }
    }
}

impl Stamp {
    /// The date and time that stand so many seconds after the beginning of 1970, UTC.
    ///
    /// # Source
    /// Days to civil dates by eras of 400 years, reckoned from March; from memory, tested.
    pub fn of_unix_s(seconds: u64) -> Self {
        let (days, of_day) = (seconds / 86_400, seconds % 86_400);
        let from_march = days + 719_468;
        let (era, of_era) = (from_march / 146_097, from_march % 146_097);
        let year_of_era = (of_era - of_era / 1_460 + of_era / 36_524 - of_era / 146_096) / 365;
        let of_year = of_era - (365 * year_of_era + year_of_era / 4 - year_of_era / 100);
        let month_from_march = (5 * of_year + 2) / 153;
        let day = of_year - (153 * month_from_march + 2) / 5 + 1;
        let month = if month_from_march < 10 { month_from_march + 3 } else { month_from_march - 9 };
        let year = 400 * era + year_of_era + u64::from(month <= 2);
        let (hour, minute, second) = (of_day / 3600, of_day / 60 % 60, of_day % 60);
        Self {
            date: format!("{year:04}-{month:02}-{day:02}"),
            time: format!("{hour:02}:{minute:02}:{second:02}"),
        }
    }
}

/// Points and surfaces as LandXML 1.2, in `unit`; numbers are read back as they stand.
///
/// Lines that belong to no surface have no place in the format: give them to one.
pub fn write(content: &Content, unit: LengthUnit, stamp: &Stamp) -> String {
    let mut out = String::new();
    let Stamp { date, time } = stamp;
    writeln!(
        out,
        "<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n<LandXML \
         xmlns=\"http://www.landxml.org/schema/LandXML-1.2\" version=\"1.2\" date=\"{}\" \
         time=\"{}\" readOnly=\"false\" language=\"English\">",
        escaped(date),
        escaped(time)
    )
    .expect(STRING);
    out.push_str(units(unit));
    write_datum(&content.datum, &mut out);
    out.push_str("<Application name=\"Tarnwright\"/>\n");
    write_points(content, unit, &mut out);
    if !content.surfaces.is_empty() {
        out.push_str("<Surfaces>\n");
        content.surfaces.iter().for_each(|tin| write_surface(tin, unit, &mut out));
        out.push_str("</Surfaces>\n");
    }
    out.push_str("</LandXML>\n");
    out
}

fn units(unit: LengthUnit) -> &'static str {
    match unit {
        LengthUnit::Metre => {
            "<Units><Metric areaUnit=\"squareMeter\" linearUnit=\"meter\" volumeUnit=\"cubicMeter\" \
             temperatureUnit=\"celsius\" pressureUnit=\"HPA\"/></Units>\n"
        }
        LengthUnit::Foot | LengthUnit::FootInch => {
            "<Units><Imperial areaUnit=\"squareFoot\" linearUnit=\"foot\" volumeUnit=\"cubicYard\" \
             temperatureUnit=\"fahrenheit\" pressureUnit=\"inHG\"/></Units>\n"
        }
        LengthUnit::UsSurveyFoot => {
            "<Units><Imperial areaUnit=\"squareFoot\" linearUnit=\"USSurveyFoot\" \
             volumeUnit=\"cubicYard\" temperatureUnit=\"fahrenheit\" pressureUnit=\"inHG\"/></Units>\n"
        }
    }
}

fn write_datum(datum: &Datum, out: &mut String) {
    let told = [("horizontalDatum", &datum.horizontal), ("verticalDatum", &datum.vertical)];
    let told: String = (told.iter().filter(|(_, words)| !words.is_empty()))
        .map(|(name, words)| format!(" {name}=\"{}\"", escaped(words)))
        .collect();
    if !told.is_empty() {
        writeln!(out, "<CoordinateSystem{told}/>").expect(STRING);
    }
}

fn write_points(content: &Content, unit: LengthUnit, out: &mut String) {
    if content.points.is_empty() {
        return;
    }
    out.push_str("<CgPoints>\n");
    for point in &content.points {
        write!(out, "<CgPoint name=\"{}\"", escaped(&point.name)).expect(STRING);
        for (name, text) in [("code", &point.code), ("desc", &point.note)] {
            if !text.is_empty() {
                write!(out, " {name}=\"{}\"", escaped(text)).expect(STRING);
            }
        }
        writeln!(out, ">{}</CgPoint>", place(point.at_m, unit)).expect(STRING);
    }
    out.push_str("</CgPoints>\n");
}

fn write_surface(tin: &Tin, unit: LengthUnit, out: &mut String) {
    writeln!(out, "<Surface name=\"{}\">", escaped(&tin.name)).expect(STRING);
    let source_points = if tin.faces.is_empty() { tin.vertices_m.as_slice() } else { &[] };
    write_source(&tin.lines, source_points, unit, out);
    if !tin.faces.is_empty() {
        out.push_str("<Definition surfType=\"TIN\">\n<Pnts>\n");
        for (id, at_m) in (1..).zip(&tin.vertices_m) {
            let id: usize = id;
            writeln!(out, "<P id=\"{id}\">{}</P>", place(*at_m, unit)).expect(STRING);
        }
        out.push_str("</Pnts>\n<Faces>\n");
        for (face, corners) in tin.faces.iter().enumerate() {
            let [a, b, c] = corners.map(|v| u64::from(v) + 1);
            match tin.fixed.get(face) {
                Some(bits) if *bits != 0 => {
                    writeln!(out, "<F b=\"{bits}\">{a} {b} {c}</F>").expect(STRING);
                }
                _ => writeln!(out, "<F>{a} {b} {c}</F>").expect(STRING),
            }
        }
        out.push_str("</Faces>\n</Definition>\n");
    }
    out.push_str("</Surface>\n");
}

fn write_source(lines: &[Line], points_m: &[[f64; 3]], unit: LengthUnit, out: &mut String) {
    let of_kinds = |kinds: &'static [LineKind]| {
        lines.iter().filter(move |line| kinds.contains(&line.kind)).collect::<Vec<_>>()
    };
    let outlines = of_kinds(&[LineKind::Boundary, LineKind::Void]);
    let breaklines = of_kinds(&[LineKind::Breakline]);
    let contours = of_kinds(&[LineKind::Contour]);
    if points_m.is_empty() && outlines.is_empty() && breaklines.is_empty() && contours.is_empty() {
        return;
    }
    out.push_str("<SourceData>\n");
    group("Boundaries", &outlines, out, |line, out| {
        let kind = if line.kind == LineKind::Void { "void" } else { "outer" };
        let open = format!("<Boundary bndType=\"{kind}\" edgeTrim=\"true\"{}>", name(line));
        writeln!(out, "{open}{}</Boundary>", list(line, unit)).expect(STRING);
    });
    group("Breaklines", &breaklines, out, |line, out| {
        let open = format!("<Breakline brkType=\"standard\"{}>", name(line));
        writeln!(out, "{open}{}</Breakline>", list(line, unit)).expect(STRING);
    });
    group("Contours", &contours, out, |line, out| {
        let z_m = line.places.first().and_then(|p| p.z_m).unwrap_or(0.0);
        let flat: Vec<String> = line.places.iter().map(|p| pair(p.at_m, unit)).collect();
        let list = format!("<PntList2D>{}</PntList2D>", flat.join(" "));
        writeln!(out, "<Contour elev=\"{}\">{list}</Contour>", in_unit(z_m, unit)).expect(STRING);
    });
    if !points_m.is_empty() {
        let all: Vec<String> = points_m.iter().map(|at_m| place(*at_m, unit)).collect();
        let list = all.join("\n");
        writeln!(out, "<DataPoints><PntList3D>{list}</PntList3D></DataPoints>").expect(STRING);
    }
    out.push_str("</SourceData>\n");
}

fn group(name: &str, lines: &[&Line], out: &mut String, write: impl Fn(&Line, &mut String)) {
    if lines.is_empty() {
        return;
    }
    writeln!(out, "<{name}>").expect(STRING);
    lines.iter().for_each(|line| write(line, out));
    writeln!(out, "</{name}>").expect(STRING);
}

fn name(line: &Line) -> String {
    if line.name.is_empty() { String::new() } else { format!(" name=\"{}\"", escaped(&line.name)) }
}

fn list(line: &Line, unit: LengthUnit) -> String {
    match line.solid_m() {
        Some(solid) => {
            let places: Vec<String> = solid.into_iter().map(|at_m| place(at_m, unit)).collect();
            format!("<PntList3D>{}</PntList3D>", places.join(" "))
        }
        None => {
            let places: Vec<String> = line.places.iter().map(|p| pair(p.at_m, unit)).collect();
            format!("<PntList2D>{}</PntList2D>", places.join(" "))
        }
    }
}

/// Northing, easting and elevation.
fn place([x, y, z]: [f64; 3], unit: LengthUnit) -> String {
    format!("{} {}", pair([x, y], unit), in_unit(z, unit))
}

fn pair([x, y]: [f64; 2], unit: LengthUnit) -> String {
    format!("{} {}", in_unit(y, unit), in_unit(x, unit))
}
