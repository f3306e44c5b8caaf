//! Writing what was read in another format.

use std::borrow::Cow;

use ground::Surface;
use ground::query::{contour_levels, extent_z};
use site::Frame;
use units::LengthUnit;

use super::{Asked, ConvertError, Format, Held};
use crate::content::{Content, Datum, Line, LineKind, frame_around};
use crate::geojson::Drawn;
use crate::grid::Grid;
use crate::landxml;
use crate::las::Cloud;
use crate::points::Point;
use crate::thin::{self, Points};
use crate::tin::Tin;
use crate::watch::{Watch, tell};
use crate::{contour_svg, geojson, geotiff, gltf, las, pdf, plain_grid, points};

/// Metres of ground for each metre of paper.
const SCALE: f64 = 100.0;

pub(super) fn write(
    held: Held,
    to: Format,
    asked: &Asked,
    notes: &mut Vec<String>,
    watch: &mut Watch<'_>,
) -> Result<Vec<u8>, ConvertError> {
    match held {
        Held::Cloud(cloud) => {
            notes.extend(cloud.doubts.iter().cloned());
            notes.extend(cloud.stopped.iter().map(|stopped| format!("the file is cut: {stopped}")));
            let unit = asked.out_unit.unwrap_or(cloud.unit);
            match to {
                Format::PointList | Format::Las | Format::Laz => {
                    let at_m: Vec<[f64; 3]> = cloud.points_m().collect();
                    Ok(write_points(&at_m, to, unit))
                }
                _ => {
                    let ground = thinned(&cloud, asked, notes, watch)?;
                    tell(watch, "writing", 0, 1)?;
                    let beside = Content { datum: cloud.datum, ..Content::default() };
                    write_ground(&ground, &beside, to, unit, asked)
                }
            }
        }
        Held::Content(content) => {
            notes.extend(content.doubts.iter().cloned());
            notes.extend(
                content.stopped.iter().map(|stopped| format!("the file is cut: {stopped}")),
            );
            write_content(&content, to, asked, notes)
        }
    }
}

/// Surfaces of one site, as they are to be written.
#[derive(Clone, Debug)]
pub struct OfSite {
    /// The frame that all lie in.
    pub frame: Frame,
    /// Each with its name.
    pub surfaces: Vec<(String, Surface)>,
    /// What GeoJSON tells beside them, in metres of the world's frame.
    pub lines: Vec<Line>,
}

/// Writes the surfaces of a site in the format that a name asks for, in the site's unit where no other is
/// asked for.
///
/// LandXML, GeoJSON and glTF hold any number of surfaces, every other format one.
///
/// # Errors
/// [`ConvertError`] when the name asks for no format that is known, when one of several surfaces must be
/// named, or when more must be told: the step of a grid.
pub fn write_site(site: OfSite, out_name: &str, asked: &Asked) -> Result<Vec<u8>, ConvertError> {
    let to = Format::of_name(out_name)
        .ok_or_else(|| ConvertError::UnknownFormat { name: out_name.to_owned() })?;
    let OfSite { frame, surfaces, lines } = site;
    let holds_many = matches!(to, Format::LandXml | Format::GeoJson | Format::Gltf);
    if surfaces.len() > 1 && !holds_many {
        let there: Vec<&str> = surfaces.iter().map(|(name, _)| name.as_str()).collect();
        return Err(ConvertError::WhichSurface { there: there.join(", ") });
    }
    let unit = asked.out_unit.unwrap_or(frame.unit);
    let datum = Datum {
        horizontal: frame.horizontal_datum.clone(),
        vertical: frame.vertical_datum.clone(),
    };
    let content = Content { unit, datum, lines, ..Content::default() };
    write_ground(&Ground { frame, surfaces }, &content, to, unit, asked)
}

/// Surfaces of one frame, with their names.
pub(crate) struct Ground {
    pub(crate) frame: Frame,
    pub(crate) surfaces: Vec<(String, Surface)>,
}

fn write_points(at_m: &[[f64; 3]], to: Format, unit: LengthUnit) -> Vec<u8> {
    match to {
        Format::Las => return las::write(at_m, unit),
        Format::Laz => return las::write_packed(at_m, unit),
        _ => {}
    }
    let point = |(number, at_m): (u32, &[f64; 3])| Point {
        name: number.to_string(),
        at_m: *at_m,
        line: number,
        ..Point::default()
    };
    let list: Vec<Point> = (1..).zip(at_m).map(point).collect();
    points::write(&list, unit).into_bytes()
}

/// What to ask for where a surface is to be made from more points than are to be kept.
pub(crate) const ERROR_UNTOLD: ConvertError = ConvertError::Untold(
    "a cloud or a grid makes a surface with a stated error, expected --error with the largest \
     vertical distance of any point from it",
);

/// The surface of a cloud with the error that was asked for.
pub(crate) fn thinned(
    cloud: &Cloud,
    asked: &Asked,
    notes: &mut Vec<String>,
    watch: &mut Watch<'_>,
) -> Result<Ground, ConvertError> {
    let error_m = asked.error_m.ok_or(ERROR_UNTOLD)?;
    let at_m = |idx: usize| cloud.at_m(idx);
    let points = Points { n: cloud.len(), at_m: &at_m, unit: cloud.unit };
    let thinned = thin::thin(&points, error_m, watch)?;
    notes.extend(thinned.report.words(cloud.unit));
    let surfaces = vec![("cloud".to_owned(), thinned.surface)];
    Ok(Ground { frame: thinned.frame, surfaces })
}

fn write_content(
    content: &Content,
    to: Format,
    asked: &Asked,
    notes: &mut Vec<String>,
) -> Result<Vec<u8>, ConvertError> {
    let unit = asked.out_unit.unwrap_or(content.unit);
    match (to, &content.grid) {
        (Format::PointList, _) => {
            return Ok(points::write(&content.all_points(), unit).into_bytes());
        }
        (Format::Las | Format::Laz, _) => {
            let at_m: Vec<[f64; 3]> = content.all_points().iter().map(|p| p.at_m).collect();
            return Ok(write_points(&at_m, to, unit));
        }
        (Format::GeoTiff, Some(grid)) => return Ok(geotiff::write(grid, unit)),
        (Format::PlainGrid, Some(grid)) => return Ok(plain_grid::write(grid, unit).into_bytes()),
        _ => {}
    }
    let ground = surfaces(content, notes)?;
    if ground.surfaces.is_empty() && !matches!(to, Format::GeoJson | Format::LandXml) {
        return Err(ConvertError::NoSurface(to));
    }
    write_ground(&ground, content, to, unit, asked)
}

/// Every surface that a content makes.
fn surfaces(content: &Content, notes: &mut Vec<String>) -> Result<Ground, ConvertError> {
    let tins = tins(content, notes);
    // What is set aside does not stretch the frame.
    let frame = match tins.as_slice() {
        [] => content.frame()?,
        tins => frame_around(tins.iter().flat_map(|tin| tin.places_m()), content.unit)?,
    };
    let mut surfaces = Vec::new();
    for tin in tins {
        let (surface, made) = tin.surface(&frame)?;
        notes.extend(made.doubts(&tin.name));
        surfaces.push((tin.name.clone(), surface));
    }
    Ok(Ground { frame, surfaces })
}

/// What the surfaces of a content are made from: those that it tells, or its grid, or its points and
/// lines together.
pub(crate) fn tins<'c>(content: &'c Content, notes: &mut Vec<String>) -> Vec<Cow<'c, Tin>> {
    if !content.surfaces.is_empty() {
        return content.surfaces.iter().map(Cow::Borrowed).collect();
    }
    if let Some(grid) = &content.grid {
        return vec![Cow::Owned(grid.tin("grid"))];
    }
    // Points and lines of no surface make one together, if they span any.
    let solid = content.lines.iter().filter_map(|line| line.solid_m()).flatten();
    let n_places = content.points.len() + solid.count();
    if n_places < 3 {
        return Vec::new();
    }
    let at_m = |idx: usize| content.points[idx].at_m;
    let points = Points { n: content.points.len(), at_m: &at_m, unit: content.unit };
    let near = thin::near(&points);
    let is_near = |point: &&Point| thin::holds(near, point.at_m);
    let far: Vec<&str> =
        content.points.iter().filter(|p| !is_near(p)).map(|p| p.name.as_str()).collect();
    if !far.is_empty() {
        notes.push(format!(
            "set aside from the surface, far from all other points: {}",
            far.join(", ")
        ));
    }
    // Contours are drawn from a ground: where its points are told, they tell nothing more, and their
    // ends lie within the rounding of its boundary.
    let has_contours = content.lines.iter().any(|line| line.kind == LineKind::Contour);
    let leaves_contours = has_contours && content.points.len() >= 3;
    if leaves_contours {
        notes.push(
            "the surface is made from points and breaklines, without the contours".to_owned(),
        );
    }
    let makes_ground = |line: &Line| match line.kind {
        LineKind::Other => false,
        LineKind::Contour => !leaves_contours,
        _ => true,
    };
    vec![Cow::Owned(Tin {
        name: "ground".to_owned(),
        vertices_m: content.points.iter().filter(is_near).map(|point| point.at_m).collect(),
        lines: content.lines.iter().filter(|line| makes_ground(line)).cloned().collect(),
        ..Tin::default()
    })]
}

/// The contours of the first surface as a sheet.
fn contours(
    ground: &Ground,
    to: Format,
    unit: LengthUnit,
    asked: &Asked,
) -> Result<String, ConvertError> {
    let (name, surface) = ground.surfaces.first().ok_or(ConvertError::NoSurface(to))?;
    let scale = asked.scale.unwrap_or(SCALE);
    if !(scale.is_finite() && scale > 0.0) {
        return Err(ConvertError::Untold("expected --scale with a number above zero"));
    }
    let fitting = || contour_svg::fitting_interval_m(surface, unit);
    let sheet = contour_svg::Sheet {
        title: name.clone(),
        interval_m: asked.interval_m.unwrap_or_else(fitting),
        scale,
        unit,
    };
    Ok(contour_svg::write(surface, &ground.frame, &sheet)?)
}

fn write_ground(
    ground: &Ground,
    content: &Content,
    to: Format,
    unit: LengthUnit,
    asked: &Asked,
) -> Result<Vec<u8>, ConvertError> {
    let first = || ground.surfaces.first().ok_or(ConvertError::NoSurface(to));
    let grid = || -> Result<Grid, ConvertError> {
        let step_m = asked.step_m.ok_or(ConvertError::Untold(
            "a grid is made at a step, expected --step with the distance between posts",
        ))?;
        Ok(Grid::of(&first()?.1, &ground.frame, step_m)?)
    };
    Ok(match to {
        Format::LandXml => {
            let told = content.surfaces.iter().map(Some).chain(std::iter::repeat(None));
            let told = ground.surfaces.iter().zip(told);
            let surfaces = told.map(|((name, surface), told)| Tin {
                lines: told.map_or(content.lines.clone(), |tin| tin.lines.clone()),
                ..Tin::of(surface, &ground.frame, name)
            });
            let points = content.points.clone();
            let (surfaces, datum) = (surfaces.collect(), content.datum.clone());
            let out = Content { unit, datum, points, surfaces, ..Content::default() };
            landxml::write(&out, unit, &asked.stamp).into_bytes()
        }
        Format::GeoTiff => geotiff::write(&grid()?, unit),
        Format::PlainGrid => plain_grid::write(&grid()?, unit).into_bytes(),
        Format::GeoJson => {
            let levels = |surface: &Surface| match asked.interval_m {
                Some(interval_m) => {
                    contour_levels(extent_z(surface).unwrap_or([0.0; 2]), interval_m)
                }
                None => Ok(Vec::new()),
            };
            let levels: Result<Vec<Vec<f64>>, _> =
                ground.surfaces.iter().map(|(_, surface)| levels(surface)).collect();
            let levels = levels?;
            let drawn: Vec<Drawn<'_>> = ground
                .surfaces
                .iter()
                .zip(&levels)
                .map(|((name, surface), levels_m)| Drawn {
                    name,
                    surface,
                    frame: &ground.frame,
                    levels_m,
                })
                .collect();
            geojson::write(content, &drawn, unit).into_bytes()
        }
        Format::Gltf => {
            let named: Vec<gltf::Named<'_>> = ground
                .surfaces
                .iter()
                .map(|(name, surface)| gltf::Named { name, surface })
                .collect();
            gltf::write(&named, &ground.frame)
        }
        Format::Svg => contours(ground, to, unit, asked)?.into_bytes(),
        Format::Pdf => {
            let sheet = contours(ground, to, unit, asked)?;
            pdf::write(&first()?.0, &[&sheet])?
        }
        Format::PointList | Format::Las | Format::Laz => {
            let tin = Tin::of(&first()?.1, &ground.frame, &first()?.0);
            write_points(&tin.vertices_m, to, unit)
        }
    })
}
