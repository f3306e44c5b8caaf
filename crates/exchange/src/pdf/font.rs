//! The fonts that a PDF carries: of each the letters that were set, with what they mean.

use std::collections::BTreeMap;
use std::fmt::Write as _;

use subsetter::GlyphRemapper;
use ttf_parser::{Face, GlyphId};
use usvg::fontdb::{Database, ID};
use usvg::layout::PositionedGlyph;

use super::PdfError;
use super::file::{File, Ref, utf16};

const STRING: &str = "a string takes any text";

/// The fonts in the order of their first letter.
#[derive(Debug)]
pub(super) struct Fonts<'d> {
    all: &'d Database,
    used: Vec<Used>,
}

/// A font and the letters of it that were set.
#[derive(Debug)]
struct Used {
    id: ID,
    name: String,
    data: Vec<u8>,
    index: u32,
    units_per_em: f32,
    numbers: GlyphRemapper,
    /// What each letter means, by its number in the file.
    meanings: BTreeMap<u16, String>,
}

/// A letter as a page names it.
pub(super) struct Letter {
    /// The place of its font in the list.
    pub font: usize,
    /// Its number in the font that the file carries.
    pub number: u16,
    /// The font's own units in the height of its body.
    pub units_per_em: f32,
}

impl<'d> Fonts<'d> {
    /// None used yet of `all` that there are.
    pub(super) fn of(all: &'d Database) -> Self {
        Self { all, used: Vec::new() }
    }

    /// A letter that is set; none where its font cannot be read.
    pub(super) fn letter(&mut self, glyph: &PositionedGlyph) -> Option<Letter> {
        let font = match self.used.iter().position(|used| used.id == glyph.font) {
            Some(font) => font,
            None => {
                self.used.push(Used::new(self.all, glyph.font)?);
                self.used.len() - 1
            }
        };
        let used = &mut self.used[font];
        let number = used.numbers.remap(glyph.id.0);
        used.meanings.entry(number).or_insert_with(|| glyph.text.clone());
        Some(Letter { font, number, units_per_em: used.units_per_em })
    }

    /// Writes what was used, and answers the entries of the list of fonts.
    pub(super) fn write(&self, file: &mut File) -> Result<String, PdfError> {
        let mut entries = String::new();
        for (i, used) in self.used.iter().enumerate() {
            write!(entries, "/F{i} {}", used.write(file)?).expect(STRING);
        }
        Ok(entries)
    }
}

impl Used {
    fn new(fonts: &Database, id: ID) -> Option<Self> {
        let name = fonts.face(id)?.post_script_name.clone();
        let (data, index) = fonts.with_face_data(id, |data, index| (data.to_vec(), index))?;
        let units_per_em = f32::from(Face::parse(&data, index).ok()?.units_per_em());
        let (numbers, meanings) = (GlyphRemapper::new(), BTreeMap::new());
        Some(Self { id, name, data, index, units_per_em, numbers, meanings })
    }

    /// ISO 32000-1, 9.7: a composite font whose codes are the numbers of its letters.
    fn write(&self, file: &mut File) -> Result<Ref, PdfError> {
        let lost = |why: String| PdfError::Font { name: self.name.clone(), why };
        let face = Face::parse(&self.data, self.index).map_err(|error| lost(error.to_string()))?;
        let part = subsetter::subset(&self.data, self.index, &self.numbers)
            .map_err(|error| lost(error.to_string()))?;
        let program = file.stream(&format!("/Length1 {}", part.len()), &part);
        // Six letters before the name say that it is a part of the font.
        let name = format!("PARTOF+{}", self.name);
        let per_mille = |units: i16| 1000.0 * f32::from(units) / self.units_per_em;
        let bounds = face.global_bounding_box();
        let [left, low, right, high] =
            [bounds.x_min, bounds.y_min, bounds.x_max, bounds.y_max].map(per_mille);
        let (ascent, descent) = (per_mille(face.ascender()), per_mille(face.descender()));
        let described = file.add(&format!(
            "<</Type/FontDescriptor/FontName/{name}/Flags 4/ItalicAngle 0/StemV 80\
             /FontBBox[{left:.0} {low:.0} {right:.0} {high:.0}]/Ascent {ascent:.0}\
             /Descent {descent:.0}/CapHeight {ascent:.0}/FontFile2 {program}>>"
        ));
        let letters = file.add(&format!(
            "<</Type/Font/Subtype/CIDFontType2/BaseFont/{name}/CIDToGIDMap/Identity\
             /CIDSystemInfo<</Registry(Adobe)/Ordering(Identity)/Supplement 0>>\
             /FontDescriptor {described}/W[0[{}]]>>",
            self.widths(&face)
        ));
        let meanings = file.stream("", self.to_unicode().as_bytes());
        Ok(file.add(&format!(
            "<</Type/Font/Subtype/Type0/BaseFont/{name}/Encoding/Identity-H\
             /DescendantFonts[{letters}]/ToUnicode {meanings}>>"
        )))
    }

    /// How far each letter moves the next, in thousandths of the body.
    fn widths(&self, face: &Face<'_>) -> String {
        let width = |number| face.glyph_hor_advance(GlyphId(number)).unwrap_or(0);
        let per_mille = |units: u16| 1000.0 * f32::from(units) / self.units_per_em;
        let widths = self.numbers.remapped_gids().map(|number| per_mille(width(number)));
        widths.map(|width| format!("{width:.1} ")).collect()
    }

    /// ISO 32000-1, 9.10.3: what each letter means, so that it can be found and copied.
    fn to_unicode(&self) -> String {
        /// As many rows as a table may have.
        const ROWS: usize = 100;
        let mut map = String::from(
            "/CIDInit/ProcSet findresource begin\n12 dict begin\nbegincmap\n\
             /CIDSystemInfo<</Registry(Adobe)/Ordering(UCS)/Supplement 0>>def\n\
             /CMapName/Adobe-Identity-UCS def\n/CMapType 2 def\n\
             1 begincodespacerange\n<0000><FFFF>\nendcodespacerange\n",
        );
        let rows: Vec<_> = self.meanings.iter().filter(|(_, text)| !text.is_empty()).collect();
        for rows in rows.chunks(ROWS) {
            writeln!(map, "{} beginbfchar", rows.len()).expect(STRING);
            for (number, text) in rows {
                writeln!(map, "<{number:04X}><{}>", utf16(text)).expect(STRING);
            }
            map.push_str("endbfchar\n");
        }
        map + "endcmap\nCMapName currentdict/CMap defineresource pop\nend\nend\n"
    }
}
