//! Contours as SVG, true to scale on paper.

use std::fmt::Write as _;

use ground::Surface;
use ground::query::{Contour, ContourError, contour_levels, contour_set, extent_z, outline};
use site::Frame;
use units::{LengthUnit, elevation_text};

use crate::content::world_m;
use crate::xml::escaped;

/// How contours are drawn.
#[derive(Clone, Debug, PartialEq)]
pub struct Sheet {
    /// What stands above the drawing.
    pub title: String,
    /// Height between contours, in metres.
    pub interval_m: f64,
    /// Metres of ground for each metre of paper.
    pub scale: f64,
    /// The unit of the figures.
    pub unit: LengthUnit,
}

/// Every so many contours one is drawn bold and told its height. Common practice.
const BOLD_EACH: i64 = 5;
const MARGIN_MM: f64 = 10.0;
const STRING: &str = "a string takes any text";

/// An interval that gives some twenty contours: 1, 2 or 5 of a power of ten in the unit of people.
pub fn fitting_interval_m(surface: &Surface, unit: LengthUnit) -> f64 {
    let [low, high] = extent_z(surface).unwrap_or([0.0, 1.0]);
    let asked = unit.from_metres(high - low) / 20.0;
    if !(asked.is_finite() && asked > 0.0) {
        return unit.to_metres(1.0);
    }
    let power = libm::pow(10.0, libm::floor(libm::log10(asked)));
    let step = [1.0, 2.0, 5.0].into_iter().find(|step| step * power >= asked).unwrap_or(10.0);
    unit.to_metres(step * power)
}

/// Contours and outline of a surface, north up.
///
/// # Errors
/// [`ContourError`] for an interval that is none or makes too many contours.
pub fn write(surface: &Surface, frame: &Frame, sheet: &Sheet) -> Result<String, ContourError> {
    let levels = contour_levels(extent_z(surface).unwrap_or([0.0; 2]), sheet.interval_m)?;
    let lattice = surface.lattice();
    let mut range = [[f64::INFINITY, f64::NEG_INFINITY]; 2];
    for vertex in surface.vertices() {
        for (range, c) in range.iter_mut().zip(lattice.metres(*vertex)) {
            *range = [range[0].min(c), range[1].max(c)];
        }
    }
    let mm_per_m = 1000.0 / sheet.scale;
    let on_paper = |[x, y]: [f64; 2]| {
        [(x - range[0][0]) * mm_per_m + MARGIN_MM, (range[1][1] - y) * mm_per_m + MARGIN_MM]
    };
    let sides = range.map(|[low, high]| (high - low) * mm_per_m + 2.0 * MARGIN_MM);
    let corner = world_m(frame, [range[0][0], range[1][0]]);
    let mut out = format!(
        "<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"{0:.3}mm\" height=\"{1:.3}mm\" \
         viewBox=\"0 0 {0:.3} {1:.3}\" font-family=\"sans-serif\">\n<title>{2}</title>\n\
         <desc>1 : {3}; south-western corner at {4} m east, {5} m north</desc>\n\
         <g fill=\"none\" stroke=\"#333333\" stroke-width=\"0.35\">\n",
        sides[0],
        sides[1],
        escaped(&sheet.title),
        sheet.scale,
        corner[0],
        corner[1]
    );
    for ring in outline(surface) {
        let place =
            |p: &ground::query::RingPoint| lattice.metres(surface.vertices()[p.vertex as usize]);
        let places: Vec<[f64; 2]> = ring.iter().map(|p| on_paper(place(p))).collect();
        writeln!(out, "<path d=\"{}Z\"/>", path(&places)).expect(STRING);
    }
    out.push_str("</g>\n");
    let contours = contour_set(surface, &levels);
    let (bold, fine): (Vec<&Contour>, Vec<&Contour>) =
        contours.iter().partition(|contour| is_bold(contour, sheet.interval_m));
    for (contours, width) in [(fine, 0.13), (bold, 0.3)] {
        writeln!(
            out,
            "<g fill=\"none\" stroke=\"#8a5a2b\" stroke-width=\"{width}\" stroke-linejoin=\"round\">"
        )
        .expect(STRING);
        for contour in contours {
            let places: Vec<[f64; 2]> = contour.points.iter().map(|p| on_paper(*p)).collect();
            let end = if contour.closed { "Z" } else { "" };
            let level = elevation_text(contour.z, sheet.unit);
            writeln!(
                out,
                "<path data-elevation=\"{}\" d=\"{}{end}\"/>",
                escaped(&level),
                path(&places)
            )
            .expect(STRING);
        }
        out.push_str("</g>\n");
    }
    out.push_str("<g font-size=\"2.2\" fill=\"#5a3a1a\" text-anchor=\"middle\">\n");
    let named = contours.iter().filter(|contour| is_bold(contour, sheet.interval_m));
    for contour in named.filter(|contour| contour.points.len() > 2) {
        let [x, y] = on_paper(contour.points[contour.points.len() / 2]);
        let level = elevation_text(contour.z, sheet.unit);
        writeln!(out, "<text x=\"{x:.2}\" y=\"{y:.2}\">{}</text>", escaped(&level)).expect(STRING);
    }
    out.push_str("</g>\n</svg>\n");
    Ok(out)
}

fn is_bold(contour: &Contour, interval_m: f64) -> bool {
    (contour.z / interval_m).round() as i64 % BOLD_EACH == 0
}

fn path(places: &[[f64; 2]]) -> String {
    let mut out = String::new();
    for (nth, [x, y]) in places.iter().enumerate() {
        let step = if nth == 0 { "M" } else { "L" };
        write!(out, "{step}{x:.3} {y:.3}").expect(STRING);
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::tin::Tin;
    use crate::tin::tests::frame;

    #[test]
    fn contours_stand_where_the_scale_puts_them() {
        // A plane that rises 10 m over 20 m to the east.
        let tin = Tin {
            vertices_m: vec![
                [0.0, 0.0, 0.0],
                [20.0, 0.0, 10.0],
                [20.0, 10.0, 10.0],
                [0.0, 10.0, 0.0],
            ],
            faces: vec![[0, 1, 2], [0, 2, 3]],
            ..Tin::default()
        };
        let (surface, _) = tin.surface(&frame([0.0; 2])).unwrap();
        let sheet = Sheet {
            title: "Lawn & <pond>".into(),
            interval_m: 2.5,
            scale: 100.0,
            unit: LengthUnit::Metre,
        };
        let text = write(&surface, &frame([0.0; 2]), &sheet).unwrap();
        assert!(text.contains("width=\"220.000mm\" height=\"120.000mm\""), "{text}");
        assert!(text.contains("<title>Lawn &amp; &lt;pond&gt;</title>"));
        // 5 m up is half-way: 100 mm and the margin. The lowest and the highest level only touch.
        assert!(text.contains("110.000 110.000") && text.contains("110.000 10.000"), "{text}");
        assert_eq!(text.matches("data-elevation").count(), 3);
        assert_eq!(fitting_interval_m(&surface, LengthUnit::Metre), 0.5);
        let none = Sheet { interval_m: 0.0, ..sheet };
        assert!(write(&surface, &frame([0.0; 2]), &none).is_err());
    }
}
