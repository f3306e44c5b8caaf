//! Reading LandXML, element by element.

use super::measures::{FileUnit, Raw, Scale, Wrong, decimal, places, words};
use super::source::{RawFace, RawLine, RawSurface};
use super::{LandXmlError, Told};
use crate::content::{Content, Datum, LineKind, Stopped, out_of_range, swap_doubt};
use crate::points::{Point, doubts, shortened};
use crate::xml::{self, Event, Fault, Tag, Xml, place_at};

/// Reads points and surfaces of a LandXML file.
///
/// Faces that are marked invisible are left out. A surface without faces keeps its points, breaklines,
/// boundary and voids, to be triangulated. Where the file ends before its end, what stood before is
/// kept and [`Content::stopped`] says where.
///
/// # Errors
/// [`LandXmlError`] names line and column, the element, what was read and what was expected.
pub fn read(bytes: &[u8], told: &Told) -> Result<Content, LandXmlError> {
    let decoded = xml::decode(bytes).map_err(|read| LandXmlError::Encoding { read })?;
    let text = decoded.text.as_ref();
    let mut reader = Reader::new(text);
    reader.doubts.extend(decoded.doubt);
    let stopped = match reader.document() {
        Ok(()) => None,
        Err(Stop::Error(error)) => return Err(error),
        Err(Stop::Fault(fault)) if fault.is_cut && reader.has_ground() => {
            let place = place_at(text, fault.at);
            Some(Stopped {
                at: format!("{place}, in {}", reader.within()),
                message: format!("read {}, expected {}", fault.read, fault.expected),
            })
        }
        Err(Stop::Fault(fault)) => return Err(reader.xml_error(fault)),
    };
    if !reader.has_ground() {
        return Err(LandXmlError::Nothing { line: place_at(text, text.len()).line });
    }
    reader.finish(told, stopped)
}

/// A point under way.
struct RawPoint {
    name: String,
    code: String,
    note: String,
    raw: Raw,
}

/// Why reading ends.
enum Stop {
    Fault(Fault),
    Error(LandXmlError),
}

impl From<Fault> for Stop {
    fn from(fault: Fault) -> Self {
        Self::Fault(fault)
    }
}

impl From<LandXmlError> for Stop {
    fn from(error: LandXmlError) -> Self {
        Self::Error(error)
    }
}

type Step = Result<(), Stop>;

/// Reads a text and keeps what it holds, so that a cut loses only what is under way.
struct Reader<'a> {
    text: &'a str,
    xml: Xml<'a>,
    /// The letters of one element, used again and again.
    letters: String,
    unit: Option<FileUnit>,
    datum: Datum,
    points: Vec<RawPoint>,
    surfaces: Vec<RawSurface>,
    n_without_height: usize,
    n_chains: usize,
    doubts: Vec<String>,
}

impl<'a> Reader<'a> {
    fn new(text: &'a str) -> Self {
        Self {
            text,
            xml: Xml::new(text),
            letters: String::new(),
            unit: None,
            datum: Datum::default(),
            points: Vec::new(),
            surfaces: Vec::new(),
            n_without_height: 0,
            n_chains: 0,
            doubts: Vec::new(),
        }
    }

    fn has_ground(&self) -> bool {
        let holds =
            |s: &RawSurface| !(s.vertices.is_empty() && s.points.is_empty() && s.lines.is_empty());
        !self.points.is_empty() || self.surfaces.iter().any(holds)
    }

    fn document(&mut self) -> Step {
        match self.xml.next()? {
            Event::Start(tag) if tag.name == "LandXML" => {}
            Event::Start(tag) => {
                let place = place_at(self.text, tag.at);
                return Err(LandXmlError::OtherXml { place, read: shortened(tag.name) }.into());
            }
            _ => return Ok(()),
        }
        while let Some(tag) = self.child()? {
            match tag.name {
                "Units" => self.units()?,
                "CoordinateSystem" => self.coordinate_system(&tag)?,
                "CgPoints" => self.cg_points()?,
                "Surfaces" => self.surfaces()?,
                _ => self.xml.skip()?,
            }
        }
        match self.xml.next()? {
            Event::Done => Ok(()),
            _ => unreachable!("the reader refuses what stands after the outermost element"),
        }
    }

    /// The next element within the one that is open; none at its end.
    fn child(&mut self) -> Result<Option<Tag<'a>>, Fault> {
        loop {
            match self.xml.next()? {
                Event::Start(tag) => return Ok(Some(tag)),
                Event::Text(..) => {}
                Event::End | Event::Done => return Ok(None),
            }
        }
    }

    fn units(&mut self) -> Step {
        while let Some(tag) = self.child()? {
            if matches!(tag.name, "Metric" | "Imperial") {
                let unit = FileUnit::of(&tag, self.text)?;
                if self.unit.is_some() {
                    let read = shortened(tag.name);
                    let expected = "one unit in the file, told once".to_owned();
                    return Err(self.field(tag.at, "Units".to_owned(), read, expected));
                }
                self.unit = Some(unit);
            }
            self.xml.skip()?;
        }
        Ok(())
    }

    fn coordinate_system(&mut self, tag: &Tag<'_>) -> Step {
        let words = |names: &[&str]| {
            let mut told = names.iter().filter_map(|name| tag.attribute(name)).map(str::trim);
            told.find(|word| !word.is_empty()).map(shortened)
        };
        const PLAN: [&str; 4] =
            ["horizontalDatum", "horizontalCoordinateSystemName", "name", "desc"];
        let epsg = words(&["epsgCode"]).map(|code| format!("EPSG {code}"));
        self.datum = Datum {
            horizontal: words(&PLAN).or(epsg).unwrap_or_default(),
            vertical: words(&["verticalDatum", "verticalCoordinateSystemName"]).unwrap_or_default(),
        };
        Ok(self.xml.skip()?)
    }

    fn cg_points(&mut self) -> Step {
        while let Some(tag) = self.child()? {
            match tag.name {
                // Groups of points may stand within groups, to any depth: the loop ends when as
                // many have ended as began.
                "CgPoints" => self.cg_points_within()?,
                "CgPoint" => self.cg_point(&tag)?,
                _ => self.xml.skip()?,
            }
        }
        Ok(())
    }

    fn cg_points_within(&mut self) -> Step {
        let mut depth = 1;
        while depth > 0 {
            match self.child()? {
                None => depth -= 1,
                Some(tag) if tag.name == "CgPoints" => depth += 1,
                Some(tag) if tag.name == "CgPoint" => self.cg_point(&tag)?,
                Some(_) => self.xml.skip()?,
            }
        }
        Ok(())
    }

    fn cg_point(&mut self, tag: &Tag<'_>) -> Step {
        let attribute = |name: &str| tag.attribute(name).unwrap_or("").trim().to_owned();
        let name = attribute("name");
        let at = self.xml.text_of(&mut self.letters)?;
        let element = || format!("CgPoint `{name}`");
        let n = words(&self.letters).count();
        if n == 0 && tag.attribute("pntRef").is_some() {
            // It only names a point that stands elsewhere.
            return Ok(());
        }
        if n == 2 {
            self.n_without_height += 1;
            return Ok(());
        }
        if n != 3 {
            let expected = "northing, easting and elevation".to_owned();
            return Err(self.field(at, element(), shortened(&self.letters), expected));
        }
        let raw = places(&self.letters, 3).map_err(|wrong| self.wrong(at, element(), wrong))?;
        let (code, note) = (attribute("code"), attribute("desc"));
        self.points.extend(raw.into_iter().map(|raw| RawPoint {
            name: name.clone(),
            code: code.clone(),
            note: note.clone(),
            raw: Raw { at: tag.at, ..raw },
        }));
        Ok(())
    }

    fn surfaces(&mut self) -> Step {
        while let Some(tag) = self.child()? {
            if tag.name != "Surface" {
                self.xml.skip()?;
                continue;
            }
            let name = tag.attribute("name").unwrap_or("").trim().to_owned();
            self.surfaces.push(RawSurface { name, ..RawSurface::default() });
            while let Some(tag) = self.child()? {
                match tag.name {
                    "SourceData" => self.source_data()?,
                    "Definition" => self.definition()?,
                    _ => self.xml.skip()?,
                }
            }
        }
        Ok(())
    }

    /// The surface under way.
    fn surface(&mut self) -> &mut RawSurface {
        self.surfaces.last_mut().expect("a surface has begun")
    }

    fn source_data(&mut self) -> Step {
        let mut depth = 1;
        while depth > 0 {
            let Some(tag) = self.child()? else {
                depth -= 1;
                continue;
            };
            match tag.name {
                "Boundaries" | "Breaklines" | "Contours" => depth += 1,
                "DataPoints" => {
                    let (places, _) = self.point_lists("DataPoints".to_owned())?;
                    self.surface().points.extend(places);
                }
                "Breakline" => self.line(&tag, LineKind::Breakline)?,
                "Boundary" => self.boundary(&tag)?,
                "Contour" => self.contour(&tag)?,
                "Chain" => {
                    self.n_chains += 1;
                    self.xml.skip()?;
                }
                "PointFiles" => {
                    let name = &self.surface().name;
                    let doubt = format!("the surface {name}: points in files beside are not read");
                    self.doubts.push(doubt);
                    self.xml.skip()?;
                }
                _ => self.xml.skip()?,
            }
        }
        Ok(())
    }

    fn boundary(&mut self, tag: &Tag<'_>) -> Step {
        let read = tag.attribute("bndType").unwrap_or("").trim().to_lowercase();
        let kind = match read.as_str() {
            "outer" => LineKind::Boundary,
            "void" => LineKind::Void,
            // Ground within a void; without the void around it there is nothing to cut.
            "island" => LineKind::Other,
            _ => {
                let expected = "outer, void or island".to_owned();
                let at = tag.at_of("bndType");
                return Err(self.field(
                    at,
                    "Boundary bndType".to_owned(),
                    shortened(&read),
                    expected,
                ));
            }
        };
        self.line(tag, kind)
    }

    fn line(&mut self, tag: &Tag<'_>, kind: LineKind) -> Step {
        let name = tag.attribute("name").or(tag.attribute("desc")).unwrap_or("").trim().to_owned();
        let (places, at) = self.point_lists(format!("{} `{name}`", tag.name))?;
        if places.len() < 2 {
            let read = format!("{} places", places.len());
            let element = format!("{} `{name}`", tag.name);
            return Err(self.field(at, element, read, "two places or more".to_owned()));
        }
        self.surface().lines.push(RawLine { name, kind, places });
        Ok(())
    }

    fn contour(&mut self, tag: &Tag<'_>) -> Step {
        let read = tag.attribute("elev").unwrap_or("").trim();
        let Some(z) = decimal(read) else {
            let at = tag.at_of("elev");
            let expected = "its elevation".to_owned();
            return Err(self.field(at, "Contour elev".to_owned(), shortened(read), expected));
        };
        let (mut places, _) = self.point_lists("Contour".to_owned())?;
        places.iter_mut().for_each(|raw| raw.z = Some(raw.z.unwrap_or(z)));
        if places.len() > 1 {
            let name = tag.attribute("name").unwrap_or("").to_owned();
            self.surface().lines.push(RawLine { name, kind: LineKind::Contour, places });
        }
        Ok(())
    }

    /// The places of the lists within the element that has begun, and where it begins.
    fn point_lists(&mut self, element: String) -> Result<(Vec<Raw>, usize), Stop> {
        let mut all = Vec::new();
        let mut start = None;
        while let Some(tag) = self.child()? {
            let n = match tag.name {
                "PntList2D" => 2,
                "PntList3D" => 3,
                _ => {
                    self.xml.skip()?;
                    continue;
                }
            };
            let at = self.xml.text_of(&mut self.letters)?;
            let read = places(&self.letters, n);
            let read = read.map_err(|wrong| self.wrong(at, element.clone(), wrong))?;
            start.get_or_insert(at);
            all.extend(read.into_iter().map(|raw| Raw { at: at + raw.at, ..raw }));
        }
        Ok((all, start.unwrap_or(0)))
    }

    fn definition(&mut self) -> Step {
        let mut depth = 1;
        while depth > 0 {
            let Some(tag) = self.child()? else {
                depth -= 1;
                continue;
            };
            match tag.name {
                "Pnts" | "Faces" => depth += 1,
                "P" => self.vertex(&tag)?,
                "F" => self.face(&tag)?,
                _ => self.xml.skip()?,
            }
        }
        Ok(())
    }

    fn vertex(&mut self, tag: &Tag<'_>) -> Step {
        let at = self.xml.text_of(&mut self.letters)?;
        let next = self.surface().vertices.len() as u64 + 1;
        let id = match tag.attribute("id") {
            None => Some(next),
            Some(id) => id.trim().parse().ok(),
        };
        let Some(id) = id else {
            let read = shortened(tag.attribute("id").unwrap_or(""));
            let expected = "a whole number".to_owned();
            return Err(self.field(tag.at_of("id"), "P id".to_owned(), read, expected));
        };
        let element = || format!("P id=\"{id}\"");
        let mut raw = places(&self.letters, 3).map_err(|wrong| self.wrong(at, element(), wrong))?;
        match (raw.pop(), raw.pop()) {
            (Some(raw), None) => {
                let surface = self.surface();
                surface.ids.push(id);
                surface.vertices.push(Raw { at: at + raw.at, ..raw });
                Ok(())
            }
            _ => {
                let expected = "northing, easting and elevation".to_owned();
                Err(self.field(at, element(), shortened(&self.letters), expected))
            }
        }
    }

    fn face(&mut self, tag: &Tag<'_>) -> Step {
        let at = self.xml.text_of(&mut self.letters)?;
        let mut face = RawFace { ids: [0; 4], n: 0, bits: 0, at };
        let mut sound = true;
        for (_, word) in words(&self.letters) {
            match (word.parse(), face.n) {
                (Ok(id), 0..=3) => face.ids[face.n] = id,
                _ => sound = false,
            }
            face.n += 1;
        }
        if !sound || !(3..=4).contains(&face.n) {
            let expected = "the ids of three points, or of four on a grid".to_owned();
            return Err(self.field(at, "F".to_owned(), shortened(&self.letters), expected));
        }
        if tag.attribute("i").is_some_and(|i| i.trim() == "1") {
            self.surface().n_invisible += 1;
            return Ok(());
        }
        face.bits = tag.attribute("b").and_then(|bits| bits.trim().parse().ok()).unwrap_or(0) & 15;
        self.surface().faces.push(face);
        Ok(())
    }

    fn finish(self, told: &Told, stopped: Option<Stopped>) -> Result<Content, LandXmlError> {
        let text = self.text;
        let scale = Scale::of(self.unit.as_ref(), told, text)?;
        let mut content = Content {
            unit: scale.unit,
            datum: self.datum,
            stopped,
            doubts: self.doubts,
            ..Content::default()
        };
        let mut say = |n: usize, what: &str| {
            if n > 0 {
                content.doubts.push(format!("{n} {what}"));
            }
        };
        say(self.n_without_height, "points without an elevation are left out");
        say(self.n_chains, "chains of points are left out");
        content.points = points(&self.points, &scale, text)?;
        let renamed = doubts::make_names_unique(&mut content.points);
        content.doubts.extend(renamed.into_iter().map(|doubt| doubt.message));
        for surface in self.surfaces {
            let (tin, doubts) = surface.finish(&scale, told, text)?;
            content.doubts.extend(doubts);
            content.surfaces.push(tin);
        }
        let all = content.points.iter().map(|p| p.at_m);
        let vertices = content.surfaces.iter().flat_map(|tin| tin.vertices_m.iter().copied());
        let swapped = swap_doubt(&mut all.chain(vertices), scale.unit);
        content.doubts.extend(swapped);
        content.doubts.extend(apart(&content));
        Ok(content)
    }

    fn within(&self) -> String {
        match self.xml.open() {
            [] => "the file".to_owned(),
            open => open.join(" > "),
        }
    }

    fn xml_error(&self, fault: Fault) -> LandXmlError {
        LandXmlError::Xml {
            place: place_at(self.text, fault.at),
            within: self.within(),
            read: fault.read,
            expected: fault.expected,
        }
    }

    fn field(&self, at: usize, element: String, read: String, expected: String) -> Stop {
        Stop::Error(LandXmlError::Field { place: place_at(self.text, at), element, read, expected })
    }

    fn wrong(&self, start: usize, element: String, (at, read, expected): Wrong) -> Stop {
        self.field(start + at, element, read, expected.to_owned())
    }
}

fn points(raw: &[RawPoint], scale: &Scale, text: &str) -> Result<Vec<Point>, LandXmlError> {
    let mut line = 1;
    let mut counted = 0;
    let mut points = Vec::with_capacity(raw.len());
    for point in raw {
        line += text.as_bytes()[counted..point.raw.at].iter().filter(|b| **b == b'\n').count();
        counted = point.raw.at;
        let [x, y] = scale.plan_m(&point.raw);
        let at_m = [x, y, scale.z_m(&point.raw).unwrap_or(f64::NAN)];
        if let Some(expected) = out_of_range(at_m) {
            return Err(LandXmlError::Field {
                place: place_at(text, point.raw.at),
                element: format!("CgPoint `{}`", point.name),
                read: format!("{} {}", point.raw.first, point.raw.second),
                expected: expected.to_owned(),
            });
        }
        points.push(Point {
            name: point.name.clone(),
            at_m,
            code: point.code.clone(),
            note: point.note.clone(),
            line: line as u32,
        });
    }
    Ok(points)
}

/// Doubts about lines that lie nowhere near their surface as read, but on it when turned.
fn apart(content: &Content) -> Vec<String> {
    let mut doubts = Vec::new();
    for tin in content.surfaces.iter().filter(|tin| tin.vertices_m.len() > 2) {
        let ground = range(tin.vertices_m.iter().map(|v| [v[0], v[1]]));
        for line in &tin.lines {
            let places = || line.places.iter().map(|p| p.at_m);
            let turned = range(places().map(|[x, y]| [y, x]));
            if !overlap(ground, range(places())) && overlap(ground, turned) {
                doubts.push(format!(
                    "the surface {}: the {} `{}` lies off its points, and on them when northing and \
                     easting are swapped",
                    tin.name,
                    line.kind.as_str(),
                    line.name
                ));
            }
        }
    }
    doubts
}

type Range = [[f64; 2]; 2];

fn range(places: impl Iterator<Item = [f64; 2]>) -> Range {
    places.fold([[f64::INFINITY, f64::NEG_INFINITY]; 2], |[x, y], [px, py]| {
        [[x[0].min(px), x[1].max(px)], [y[0].min(py), y[1].max(py)]]
    })
}

fn overlap(a: Range, b: Range) -> bool {
    (0..2).all(|axis| a[axis][0] <= b[axis][1] && b[axis][0] <= a[axis][1])
}
