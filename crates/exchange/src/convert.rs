//! From one format to another: what `tarnwright convert` does, less the files.

mod format;
mod out;

#[cfg(test)]
mod tests;

use units::LengthUnit;

use crate::content::{Content, FrameError, Line, LineKind, LinePlace};
use crate::geojson::GeoJsonError;
use crate::geotiff::GeoTiffError;
use crate::grid::GridError;
use crate::landxml::{self, Axes, LandXmlError, Stamp};
use crate::las::{self, Cloud, LasError};
use crate::level_book::{self, BookError};
use crate::plain_grid::PlainGridError;
use crate::points::{self, Columns, PointList, PointsError, runs};
use crate::thin::ThinError;
use crate::tin::TinError;
use crate::watch::{CalledOff, Watch};
use crate::{geojson, geotiff, plain_grid};

pub use format::Format;
pub(crate) use out::{ERROR_UNTOLD, thinned, tins};
pub use out::{OfSite, write_site};

/// What the user asks of a conversion.
#[derive(Clone, Debug, Default)]
pub struct Asked {
    /// The unit of the file that is read, where it tells none.
    pub unit: Option<LengthUnit>,
    /// The unit of its heights, where it is another.
    pub z_unit: Option<LengthUnit>,
    /// The unit of the file that is written; that of the one read where none is asked for.
    pub out_unit: Option<LengthUnit>,
    /// The order of a point list's columns.
    pub columns: Option<Columns>,
    /// Codes of a point list that join to breaklines.
    pub lines: Vec<String>,
    /// Which of easting and northing a file tells first, where it does not keep to its standard.
    pub axes: Option<Axes>,
    /// The one of several surfaces that is wanted; all where none is named.
    pub surface: Option<String>,
    /// Combined factor of the survey's grid: grid length over ground length.
    pub grid_factor: Option<f64>,
    /// The classes of a cloud to keep; ground, where a cloud has any.
    pub classes: Option<Vec<u8>>,
    /// The largest vertical error of a surface made from a cloud, in metres.
    pub error_m: Option<f64>,
    /// The step of a grid made from a surface, in metres.
    pub step_m: Option<f64>,
    /// The height between contours, in metres.
    pub interval_m: Option<f64>,
    /// Metres of ground for each metre of paper; 100 where none is asked for.
    pub scale: Option<f64>,
    /// When the file says that it was written.
    pub stamp: Stamp,
}

/// A file to be converted.
#[derive(Clone, Copy, Debug)]
pub struct Input<'a> {
    /// What it holds.
    pub bytes: &'a [u8],
    /// What it is called: the last word on what it is, after what it holds.
    pub name: &'a str,
}

/// A file that was converted.
#[derive(Clone, Debug, PartialEq)]
pub struct Converted {
    /// What it holds.
    pub bytes: Vec<u8>,
    /// What the file that was read is.
    pub from: Format,
    /// What the user should know: doubts, what was left out, what was measured.
    pub notes: Vec<String>,
}

/// Why a file was not converted.
#[derive(Debug, thiserror::Error)]
pub enum ConvertError {
    /// What a file is, is not known.
    #[error("{name}: read a file of an unknown kind, expected {}", Format::EXPECTED)]
    UnknownFormat {
        /// What it is called.
        name: String,
    },
    /// A format that is only written.
    #[error("{name}: read {format}, which is only written; expected {}", Format::READ)]
    OnlyWritten {
        /// What it is called.
        name: String,
        /// What it is.
        format: Format,
    },
    /// A surface that is not there.
    #[error("read no surface `{asked}`, expected one of {there}")]
    NoSuchSurface {
        /// What was asked for.
        asked: String,
        /// What there is.
        there: String,
    },
    /// Several surfaces, where one is wanted.
    #[error(
        "read the surfaces {there}, expected the name of one of them behind the file's or the \
         site's, such as FILE:NAME"
    )]
    WhichSurface {
        /// What there is.
        there: String,
    },
    /// A factor that no grid has.
    #[error(
        "read the combined factor {0}, expected grid length over ground length, from 0.99 to 1.01"
    )]
    GridFactor(f64),
    /// Something must be told first.
    #[error("{0}")]
    Untold(&'static str),
    /// There is no ground to convert.
    #[error("read no points that span a surface, expected them for {0}")]
    NoSurface(Format),
    /// A point list.
    #[error(transparent)]
    Points(#[from] PointsError),
    /// A level book.
    #[error(transparent)]
    Book(#[from] BookError),
    /// LandXML.
    #[error(transparent)]
    LandXml(#[from] LandXmlError),
    /// A cloud.
    #[error(transparent)]
    Las(#[from] LasError),
    /// GeoTIFF.
    #[error(transparent)]
    GeoTiff(#[from] GeoTiffError),
    /// A plain grid.
    #[error(transparent)]
    PlainGrid(#[from] PlainGridError),
    /// GeoJSON.
    #[error(transparent)]
    GeoJson(#[from] GeoJsonError),
    /// A grid that is made.
    #[error(transparent)]
    Grid(#[from] GridError),
    /// A surface.
    #[error(transparent)]
    Tin(#[from] TinError),
    /// A cloud that is thinned.
    #[error(transparent)]
    Thin(#[from] ThinError),
    /// Places without a frame.
    #[error(transparent)]
    Frame(#[from] FrameError),
    /// Contours.
    #[error(transparent)]
    Contour(#[from] ground::query::ContourError),
    /// A sheet as PDF.
    #[error(transparent)]
    Pdf(#[from] crate::pdf::PdfError),
    /// The user called it off.
    #[error(transparent)]
    CalledOff(#[from] CalledOff),
}

/// What a file holds: a cloud is kept apart, since few need all its points.
pub enum Held {
    /// Points, lines, surfaces, a grid.
    Content(Content),
    /// A cloud of points.
    Cloud(Cloud),
}

/// Converts a file to the format that the name of another asks for.
///
/// # Errors
/// [`ConvertError`] names the place in the file that is read, or what must be told.
pub fn convert(
    input: Input<'_>,
    out_name: &str,
    asked: &Asked,
    watch: &mut Watch<'_>,
) -> Result<Converted, ConvertError> {
    let to = Format::of_name(out_name)
        .ok_or_else(|| ConvertError::UnknownFormat { name: out_name.to_owned() })?;
    let (held, from) = read(input, asked, watch)?;
    let mut notes = Vec::new();
    let bytes = out::write(held, to, asked, &mut notes, watch)?;
    Ok(Converted { bytes, from, notes })
}

/// Reads a file of any format.
///
/// # Errors
/// [`ConvertError`] names the place, what was read and what was expected.
pub fn read(
    input: Input<'_>,
    asked: &Asked,
    watch: &mut Watch<'_>,
) -> Result<(Held, Format), ConvertError> {
    let Input { bytes, name } = input;
    let format = Format::of(bytes, name)
        .ok_or_else(|| ConvertError::UnknownFormat { name: name.to_owned() })?;
    check(format, asked)?;
    let (unit, z_unit) = (asked.unit, asked.z_unit);
    let grid_factor = grid_factor(asked)?;
    let mut content = match format {
        Format::LandXml => {
            let axes = asked.axes.unwrap_or_default();
            landxml::read(bytes, &landxml::Told { unit, z_unit, axes })?
        }
        Format::Las | Format::Laz => {
            let mut cloud = cloud(bytes, asked, watch)?;
            cloud.grid_factor = grid_factor;
            if asked.axes == Some(Axes::NorthingFirst) {
                cloud = cloud.turned();
            }
            return Ok((Held::Cloud(cloud), format));
        }
        Format::GeoTiff => geotiff::read(bytes, &geotiff::Told { unit, z_unit })?,
        Format::PlainGrid => plain_grid::read(bytes, unit, z_unit)?,
        Format::GeoJson => geojson::read(bytes, unit)?,
        Format::PointList => listed(point_list(bytes, asked)?, asked),
        Format::Gltf | Format::Svg | Format::Pdf => {
            return Err(ConvertError::OnlyWritten { name: name.to_owned(), format });
        }
    };
    if format == Format::GeoJson && asked.axes == Some(Axes::NorthingFirst) {
        content = content.turned();
    }
    if grid_factor != 1.0 {
        content = content.on_the_ground(grid_factor);
    }
    if let Some(wanted) = &asked.surface {
        keep_surface(&mut content, wanted)?;
    }
    Ok((Held::Content(content), format))
}

/// The combined factor that was told, or 1.
///
/// # Errors
/// [`ConvertError::GridFactor`] for one that no grid has.
pub fn grid_factor(asked: &Asked) -> Result<f64, ConvertError> {
    // Grids are laid so that they stretch by a few thousandths at most; height adds less.
    const FACTORS: std::ops::RangeInclusive<f64> = 0.99..=1.01;
    let factor = asked.grid_factor.unwrap_or(1.0);
    if FACTORS.contains(&factor) { Ok(factor) } else { Err(ConvertError::GridFactor(factor)) }
}

/// Refuses what is told and would go unheard, since the format has no room for it.
///
/// # Errors
/// [`ConvertError::Untold`] says what was expected instead.
pub fn check(format: Format, asked: &Asked) -> Result<(), ConvertError> {
    check_axes(format, asked.axes)?;
    check_z_unit(format, asked)
}

/// Refuses a unit of heights where a file tells all three numbers of a place together.
fn check_z_unit(format: Format, asked: &Asked) -> Result<(), ConvertError> {
    match (format, asked.z_unit) {
        (Format::PointList | Format::GeoJson, Some(z)) if asked.unit != Some(z) => {
            Err(ConvertError::Untold(
                "elevations of a point list or of GeoJSON are in the unit of its places, expected \
                 no --z-units",
            ))
        }
        _ => Ok(()),
    }
}

fn check_axes(format: Format, axes: Option<Axes>) -> Result<(), ConvertError> {
    match (format, axes) {
        (_, None) | (Format::LandXml | Format::Las | Format::Laz | Format::GeoJson, _) => Ok(()),
        (Format::PointList, _) => Err(ConvertError::Untold(
            "a point list has an order of columns, expected --columns with it, such as \
             name,y,x,z,code",
        )),
        _ => Err(ConvertError::Untold(
            "the rows of a grid run east, expected no word on which axis stands first",
        )),
    }
}

fn keep_surface(content: &mut Content, wanted: &str) -> Result<(), ConvertError> {
    let there: Vec<String> = content.surfaces.iter().map(|tin| tin.name.clone()).collect();
    content.surfaces.retain(|tin| tin.name == wanted);
    if content.surfaces.is_empty() {
        let there = if there.is_empty() { "none".to_owned() } else { there.join(", ") };
        return Err(ConvertError::NoSuchSurface { asked: wanted.to_owned(), there });
    }
    content.surfaces.truncate(1);
    Ok(())
}

/// A cloud's ground, or all of it where it has no ground.
fn cloud(bytes: &[u8], asked: &Asked, watch: &mut Watch<'_>) -> Result<Cloud, ConvertError> {
    let told = |classes| las::Told { unit: asked.unit, z_unit: asked.z_unit, classes };
    if asked.classes.is_some() {
        return Ok(las::read(bytes, &told(asked.classes.clone()), watch)?);
    }
    match las::read(bytes, &told(Some(vec![las::GROUND])), watch) {
        Ok(mut cloud) => {
            let n_read: u64 = cloud.classes.iter().map(|count| count.n_points).sum();
            if cloud.classes.len() > 1 {
                let n = cloud.len();
                let note = format!("{n} points of class 2, ground, are taken of {n_read}");
                cloud.doubts.push(note);
            }
            Ok(cloud)
        }
        Err(LasError::NoPoints { .. }) => {
            let mut cloud = las::read(bytes, &told(None), watch)?;
            let note = "no point has class 2, ground: all are taken".to_owned();
            cloud.doubts.push(note);
            Ok(cloud)
        }
        Err(error) => Err(error.into()),
    }
}

fn point_list(bytes: &[u8], asked: &Asked) -> Result<PointList, ConvertError> {
    if asked.columns.is_none() && level_book::is_level_book(bytes) {
        let told = level_book::Told { unit: asked.unit, bench: None };
        return Ok(level_book::read(bytes, &told)?.list);
    }
    let told = points::Told { columns: asked.columns.clone(), unit: asked.unit };
    Ok(points::read(bytes, &told)?)
}

/// A point list with the lines and outlines that its codes make.
fn listed(list: PointList, asked: &Asked) -> Content {
    let is = |code: &Option<String>, read: &str| {
        code.as_ref().is_some_and(|code| code.eq_ignore_ascii_case(read))
    };
    let mut lines = Vec::new();
    if let Some(code) = &list.boundary_code {
        let places = points::with_code(&list.points, code);
        lines.extend(line(code, LineKind::Boundary, places.iter().map(|point| point.at_m)));
    }
    for run in runs(&list.points) {
        let code = &run[0].code;
        if is(&list.void_code, code) {
            lines.extend(line(code, LineKind::Void, run.iter().map(|point| point.at_m)));
        }
    }
    for joined in code_lines(&list, &asked.lines) {
        let at_m = joined.points_m.iter().copied();
        lines.extend(line(&joined.code, LineKind::Breakline, at_m));
    }
    let doubts = list.doubts.into_iter().map(|d| format!("line {}: {}", d.line, d.message));
    Content {
        unit: list.unit,
        points: list.points,
        lines,
        doubts: doubts.collect(),
        ..Content::default()
    }
}

/// The breaklines that a list's codes make, by the rules of a site's survey.
fn code_lines(list: &PointList, asked: &[String]) -> Vec<site::SurveyLine> {
    let point = |point: &points::Point| site::SurveyPoint {
        name: point.name.clone(),
        at_m: point.at_m,
        code: point.code.clone(),
        line: point.line,
    };
    let survey = site::Survey {
        points: list.points.iter().map(point).collect(),
        line_codes: list.line_codes.iter().chain(asked).cloned().collect(),
        ..site::Survey::default()
    };
    survey.code_lines()
}

fn line(code: &str, kind: LineKind, at_m: impl Iterator<Item = [f64; 3]>) -> Option<Line> {
    let mut places: Vec<LinePlace> = at_m.map(LinePlace::solid).collect();
    let n_least = if kind == LineKind::Breakline { 2 } else { 3 };
    if places.len() < n_least {
        return None;
    }
    if kind != LineKind::Breakline && places[0].at_m != places[places.len() - 1].at_m {
        places.push(places[0]);
    }
    Some(Line { name: code.to_owned(), kind, places })
}
