//! What is drawn on a page.

use std::fmt::Write as _;

use usvg::tiny_skia_path::{self, PathSegment};
use usvg::{
    ClipPath, FillRule, Group, LineCap, LineJoin, Node, Paint, Path, Pattern, Stroke, Text,
    Transform,
};

use super::file::{File, Ref};
use super::font::Fonts;

const STRING: &str = "a string takes any text";

/// What a sheet holds that is not drawn.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Undrawn(pub &'static str);

/// A page or a tile of hatching under way.
pub(super) struct Canvas<'f, 'd> {
    file: &'f mut File,
    fonts: &'f mut Fonts<'d>,
    /// From the sheet to the page.
    base: Transform,
    content: String,
    /// Each with what it is and how it lies.
    hatchings: Vec<(String, Ref)>,
    /// Opacities that were used, in thousandths.
    opacities: Vec<u32>,
}

/// What a colour is for.
#[derive(Clone, Copy, PartialEq, Eq)]
enum For {
    Filling,
    Stroking,
}

impl<'f, 'd> Canvas<'f, 'd> {
    /// An empty one, drawn on by way of `base`.
    pub(super) fn new(file: &'f mut File, fonts: &'f mut Fonts<'d>, base: Transform) -> Self {
        let content = format!("{}\n", concat(base));
        let (hatchings, opacities) = (Vec::new(), Vec::new());
        Self { file, fonts, base, content, hatchings, opacities }
    }

    /// Draws a group and all in it.
    pub(super) fn group(&mut self, group: &Group) -> Result<(), Undrawn> {
        if group.opacity().get() < 1.0 || group.mask().is_some() || !group.filters().is_empty() {
            return Err(Undrawn("a group that is drawn as one picture"));
        }
        self.line(&format!("q {}", concat(group.transform())));
        if let Some(clip) = group.clip_path() {
            self.clip(clip)?;
        }
        for node in group.children() {
            match node {
                Node::Group(group) => self.group(group)?,
                Node::Path(path) => self.path(path)?,
                Node::Text(text) => self.text(text)?,
                Node::Image(_) => return Err(Undrawn("a picture")),
            }
        }
        self.line("Q");
        Ok(())
    }

    /// What was drawn, and the entries of what it refers to.
    pub(super) fn finish(self) -> (String, String) {
        let mut resources = String::new();
        if !self.hatchings.is_empty() {
            let entry = |(i, (_, at)): (usize, &(String, Ref))| format!("/H{i} {at}");
            let entries: String = self.hatchings.iter().enumerate().map(entry).collect();
            write!(resources, "/Pattern<<{entries}>>").expect(STRING);
        }
        if !self.opacities.is_empty() {
            let entry = |mille: &u32| {
                let share = f64::from(*mille) / 1000.0;
                format!("/A{mille}<</ca {share}/CA {share}>>")
            };
            let entries: String = self.opacities.iter().map(entry).collect();
            write!(resources, "/ExtGState<<{entries}>>").expect(STRING);
        }
        (self.content, resources)
    }

    fn line(&mut self, operators: &str) {
        self.content.push_str(operators);
        self.content.push('\n');
    }

    fn clip(&mut self, clip: &ClipPath) -> Result<(), Undrawn> {
        if clip.clip_path().is_some() {
            return Err(Undrawn("an outline that is clipped itself"));
        }
        for node in clip.root().children() {
            let Node::Path(path) = node else { return Err(Undrawn("an outline that is no path")) };
            let to = clip.transform().pre_concat(path.abs_transform());
            let data = path.data().clone().transform(to).ok_or(Undrawn("an endless outline"))?;
            self.outline(&data);
        }
        self.line("W n");
        Ok(())
    }

    fn path(&mut self, path: &Path) -> Result<(), Undrawn> {
        if !path.is_visible() {
            return Ok(());
        }
        self.line("q");
        if let Some(fill) = path.fill() {
            self.paint(fill.paint(), fill.opacity().get(), path.abs_transform(), For::Filling)?;
        }
        if let Some(stroke) = path.stroke() {
            let opacity = stroke.opacity().get();
            self.paint(stroke.paint(), opacity, path.abs_transform(), For::Stroking)?;
            self.pen(stroke);
        }
        self.outline(path.data());
        let even_odd = path.fill().is_some_and(|fill| fill.rule() == FillRule::EvenOdd);
        self.line(match (path.fill().is_some(), path.stroke().is_some(), even_odd) {
            (true, true, false) => "B",
            (true, true, true) => "B*",
            (true, false, false) => "f",
            (true, false, true) => "f*",
            (false, true, _) => "S",
            (false, false, _) => "n",
        });
        self.line("Q");
        Ok(())
    }

    /// Letters, each at its place, by their numbers in the font that the file carries.
    fn text(&mut self, text: &Text) -> Result<(), Undrawn> {
        for span in text.layouted().iter().filter(|span| span.visible) {
            let Some(fill) = &span.fill else { continue };
            self.line("q");
            self.paint(fill.paint(), fill.opacity().get(), text.abs_transform(), For::Filling)?;
            self.line("BT");
            for glyph in &span.positioned_glyphs {
                let letter = self.fonts.letter(glyph).ok_or(Undrawn("an unread font"))?;
                let per_body = letter.units_per_em;
                let at =
                    glyph.outline_transform().pre_concat(Transform::from_scale(per_body, per_body));
                let (font, number) = (letter.font, letter.number);
                self.line(&format!("/F{font} 1 Tf {} Tm <{number:04X}> Tj", matrix(at)));
            }
            self.line("ET\nQ");
        }
        Ok(())
    }

    fn outline(&mut self, data: &tiny_skia_path::Path) {
        let mut at = tiny_skia_path::Point::zero();
        for segment in data.segments() {
            match segment {
                PathSegment::MoveTo(p) => {
                    self.line(&format!("{} m", places(&[p])));
                    at = p;
                }
                PathSegment::LineTo(p) => {
                    self.line(&format!("{} l", places(&[p])));
                    at = p;
                }
                PathSegment::QuadTo(pull, p) => {
                    // The same curve with two pulls.
                    let near = |end: tiny_skia_path::Point| {
                        let toward = |from: f32, to: f32| from + (to - from) * (2.0 / 3.0);
                        tiny_skia_path::Point::from_xy(toward(end.x, pull.x), toward(end.y, pull.y))
                    };
                    self.line(&format!("{} c", places(&[near(at), near(p), p])));
                    at = p;
                }
                PathSegment::CubicTo(a, b, p) => {
                    self.line(&format!("{} c", places(&[a, b, p])));
                    at = p;
                }
                PathSegment::Close => self.line("h"),
            }
        }
    }

    fn pen(&mut self, stroke: &Stroke) {
        let cap = match stroke.linecap() {
            LineCap::Butt => 0,
            LineCap::Round => 1,
            LineCap::Square => 2,
        };
        let join = match stroke.linejoin() {
            LineJoin::Miter | LineJoin::MiterClip => 0,
            LineJoin::Round => 1,
            LineJoin::Bevel => 2,
        };
        let (width, miter) = (number(stroke.width().get()), number(stroke.miterlimit().get()));
        let dashes: Vec<String> =
            stroke.dasharray().unwrap_or_default().iter().map(|dash| number(*dash)).collect();
        let (dashes, from) = (dashes.join(" "), number(stroke.dashoffset()));
        self.line(&format!("{width} w {cap} J {join} j {miter} M [{dashes}] {from} d"));
    }

    fn paint(
        &mut self,
        paint: &Paint,
        opacity: f32,
        to_sheet: Transform,
        what: For,
    ) -> Result<(), Undrawn> {
        let mille = (1000.0 * opacity).round() as u32;
        if mille < 1000 {
            if !self.opacities.contains(&mille) {
                self.opacities.push(mille);
            }
            self.line(&format!("/A{mille} gs"));
        }
        match paint {
            Paint::Color(colour) => {
                let [r, g, b] = [colour.red, colour.green, colour.blue]
                    .map(|part| number(f32::from(part) / 255.0));
                let operator = if what == For::Filling { "rg" } else { "RG" };
                self.line(&format!("{r} {g} {b} {operator}"));
            }
            Paint::Pattern(pattern) => {
                let name = self.hatching(pattern, to_sheet)?;
                self.line(&match what {
                    For::Filling => format!("/Pattern cs /{name} scn"),
                    For::Stroking => format!("/Pattern CS /{name} SCN"),
                });
            }
            Paint::LinearGradient(_) | Paint::RadialGradient(_) => {
                return Err(Undrawn("a colour that runs into another"));
            }
        }
        Ok(())
    }

    /// A hatching, written once for each way in which it lies on the page.
    fn hatching(&mut self, pattern: &Pattern, to_sheet: Transform) -> Result<String, Undrawn> {
        let rect = pattern.rect();
        let lies = self
            .base
            .pre_concat(to_sheet)
            .pre_concat(pattern.transform())
            .pre_translate(rect.x(), rect.y());
        let what = format!("{} {}", pattern.id(), matrix(lies));
        if let Some(i) = self.hatchings.iter().position(|(known, _)| *known == what) {
            return Ok(format!("H{i}"));
        }
        let mut tile = Canvas::new(self.file, self.fonts, Transform::identity());
        tile.group(pattern.root())?;
        let (content, resources) = tile.finish();
        let (width, height) = (number(rect.width()), number(rect.height()));
        let at = self.file.stream(
            &format!(
                "/Type/Pattern/PatternType 1/PaintType 1/TilingType 1/BBox[0 0 {width} {height}]\
                 /XStep {width}/YStep {height}/Matrix[{}]/Resources<<{resources}>>",
                matrix(lies)
            ),
            content.as_bytes(),
        );
        self.hatchings.push((what, at));
        Ok(format!("H{}", self.hatchings.len() - 1))
    }
}

/// What changes the places that follow.
fn concat(transform: Transform) -> String {
    format!("{} cm", matrix(transform))
}

/// The six numbers of a change of places.
fn matrix(t: Transform) -> String {
    [t.sx, t.ky, t.kx, t.sy, t.tx, t.ty].map(fine).join(" ")
}

fn places(places: &[tiny_skia_path::Point]) -> String {
    let each: Vec<String> =
        places.iter().map(|p| format!("{} {}", number(p.x), number(p.y))).collect();
    each.join(" ")
}

/// A number to the thousandth of its unit, as short as it can be.
fn number(value: f32) -> String {
    short(format!("{value:.3}"))
}

/// A number of a matrix, by which large ones are multiplied.
fn fine(value: f32) -> String {
    short(format!("{value:.6}"))
}

fn short(digits: String) -> String {
    let short = digits.trim_end_matches('0').trim_end_matches('.');
    if short == "-0" { "0".to_owned() } else { short.to_owned() }
}
