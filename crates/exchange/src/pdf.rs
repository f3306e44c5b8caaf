//! Sheets as PDF: each drawn as SVG, each a page of its own size, with text that can be found.

use std::sync::{Arc, LazyLock};

use pdf_writer::{Chunk, Content, Finish as _, Name, Pdf, Rect, Ref, TextStr};
use svg2pdf::usvg::{self, Tree, fontdb};
use svg2pdf::{ConversionOptions, to_chunk};

/// A page under way: its sheet's size in points, what is drawn on it, and the numbers of its objects.
struct Page {
    size_pt: [f32; 2],
    chunk: Chunk,
    drawn: Ref,
    page: Ref,
    content: Ref,
}

/// Why sheets make no PDF.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum PdfError {
    /// A PDF has pages.
    #[error("no sheet to print, expected one at least")]
    NoSheet,
    /// What is to be a sheet is no SVG.
    #[error("sheet {sheet} is no SVG that can be drawn: {why}")]
    NoSvg {
        /// Its place among the sheets, from 1.
        sheet: usize,
        /// What the reader of SVG says.
        why: String,
    },
    /// A sheet holds what a page cannot.
    #[error("sheet {sheet} cannot be put on a page: {why}")]
    NoPage {
        /// Its place among the sheets, from 1.
        sheet: usize,
        /// What the writer of PDF says.
        why: String,
    },
}

/// The fonts of all sheets; see `assets/fonts`.
const FONTS: [&[u8]; 2] = [
    include_bytes!("../../../assets/fonts/DejaVuSans.ttf"),
    include_bytes!("../../../assets/fonts/DejaVuSans-Bold.ttf"),
];
const FAMILY: &str = "DejaVu Sans";

/// A point, of which an inch has 72, in the pixels of CSS, of which it has 96.
const PT_PER_PX: f32 = 72.0 / 96.0;

/// What a page calls its sheet.
const SHEET: Name<'_> = Name(b"sheet");

/// Sheets, each an SVG with its size in millimetres, as the pages of one PDF; true to scale.
///
/// The same sheets make the same bytes. Letters are set in the program's own font, which the file
/// carries as far as it needs it.
///
/// # Errors
/// [`PdfError`] where there is no sheet, or one cannot be drawn.
///
/// # Source
/// ISO 32000-1 (PDF 1.7), through svg2pdf and pdf-writer.
pub fn write(title: &str, sheets: &[&str]) -> Result<Vec<u8>, PdfError> {
    if sheets.is_empty() {
        return Err(PdfError::NoSheet);
    }
    let mut numbers = (1..).map(Ref::new);
    let mut number = move || numbers.next().expect("numbers do not end");
    let (catalog, tree, info) = (number(), number(), number());
    let pages = sheets.iter().enumerate();
    let pages =
        pages.map(|(i, svg)| page(i + 1, svg, &mut number)).collect::<Result<Vec<_>, _>>()?;
    let mut pdf = Pdf::new();
    pdf.catalog(catalog).pages(tree);
    pdf.pages(tree).count(pages.len() as i32).kids(pages.iter().map(|page| page.page));
    pdf.document_info(info).title(TextStr(title));
    for page in &pages {
        page.put_into(&mut pdf, tree);
    }
    Ok(pdf.finish())
}

fn page(sheet: usize, svg: &str, number: &mut impl FnMut() -> Ref) -> Result<Page, PdfError> {
    let drawn = Tree::from_str(svg, &OPTIONS)
        .map_err(|error| PdfError::NoSvg { sheet, why: error.to_string() })?;
    let size_pt = [drawn.size().width(), drawn.size().height()].map(|px| px * PT_PER_PX);
    let (chunk, root) = to_chunk(&drawn, ConversionOptions::default())
        .map_err(|error| PdfError::NoPage { sheet, why: error.to_string() })?;
    // A sheet numbers its objects from one: here they follow those of the sheets before.
    let mut given = std::collections::BTreeMap::new();
    let chunk = chunk.renumber(|old| *given.entry(old).or_insert_with(&mut *number));
    let drawn = given.get(&root).copied().unwrap_or(root);
    Ok(Page { size_pt, chunk, drawn, page: number(), content: number() })
}

impl Page {
    fn put_into(&self, pdf: &mut Pdf, tree: Ref) {
        let [width, height] = self.size_pt;
        let mut page = pdf.page(self.page);
        page.parent(tree).media_box(Rect::new(0.0, 0.0, width, height)).contents(self.content);
        page.resources().x_objects().pair(SHEET, self.drawn);
        page.finish();
        let mut content = Content::new();
        // What is drawn fills a square of one by one, y up.
        content.transform([width, 0.0, 0.0, height, 0.0, 0.0]).x_object(SHEET);
        pdf.stream(self.content, &content.finish());
        pdf.extend(&self.chunk);
    }
}

static OPTIONS: LazyLock<usvg::Options<'_>> = LazyLock::new(|| {
    let mut fonts = fontdb::Database::new();
    for font in FONTS {
        fonts.load_font_data(font.to_vec());
    }
    fonts.set_sans_serif_family(FAMILY);
    usvg::Options { font_family: FAMILY.into(), fontdb: Arc::new(fonts), ..Default::default() }
});

#[cfg(test)]
mod tests {
    use super::*;

    fn sheet(width_mm: f64, words: &str) -> String {
        format!(
            "<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"{width_mm}mm\" height=\"210mm\" \
             viewBox=\"0 0 {width_mm} 210\" font-family=\"'Noto Sans', 'DejaVu Sans', sans-serif\">\
             <path d=\"M10 10H{}\" stroke=\"#000\"/><text x=\"20\" y=\"30\" font-size=\"4\">{words}</text>\
             </svg>",
            width_mm - 10.0
        )
    }

    #[test]
    fn every_sheet_is_a_page_of_its_size() {
        let sheets = [sheet(297.0, "6 1/2 in"), sheet(420.0, "½ ⅛ – ² ° ′ ″ é ß ł")];
        let pdf = write("Garden", &[&sheets[0], &sheets[1]]).unwrap();
        let text = String::from_utf8_lossy(&pdf);
        assert!(text.starts_with("%PDF-1.") && text.trim_end().ends_with("%%EOF"));
        // An A4 sheet, landscape, is 841.89 by 595.28 points; 420 mm are 1190.55.
        for size in ["841.88", "595.27", "1190.5"] {
            assert!(text.contains(size), "{size} is missing");
        }
        assert!(text.contains("/Count 2") && text.contains("(Garden)"));
        assert!(text.contains("DejaVuSans") && text.contains("/ToUnicode"), "text can be found");
        assert!(pdf.len() < 100_000, "the font comes in parts: {} bytes", pdf.len());
        assert_eq!(pdf, write("Garden", &[&sheets[0], &sheets[1]]).unwrap());
    }

    #[test]
    fn what_is_no_sheet_is_told() {
        assert_eq!(write("", &[]), Err(PdfError::NoSheet));
        let good = sheet(297.0, "a");
        let error = write("", &[&good, "<svg"]).unwrap_err();
        assert!(matches!(error, PdfError::NoSvg { sheet: 2, .. }), "{error}");
        assert!(error.to_string().starts_with("sheet 2 is no SVG"), "{error}");
    }
}
