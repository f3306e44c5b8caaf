//! Sheets as PDF: each drawn as SVG, each a page of its own size, with text that can be found.
//!
//! Drawn is what our sheets hold: paths, plain colours, hatching, outlines that clip, and text.

mod draw;
mod file;
mod font;

use std::sync::{Arc, LazyLock};

use usvg::{Options, Tree, fontdb};

use draw::{Canvas, Undrawn};
use file::{File, Ref};
use font::Fonts;

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
    /// A sheet holds what is not put on a page.
    #[error("sheet {sheet} holds {what}, expected paths, plain colours, hatching and text")]
    Undrawn {
        /// Its place among the sheets, from 1.
        sheet: usize,
        /// What it holds.
        what: &'static str,
    },
    /// The font cannot be brought along.
    #[error("the font {name} cannot be brought along: {why}")]
    Font {
        /// Its name.
        name: String,
        /// What its reader says.
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

/// Sheets, each an SVG with its size in millimetres, as the pages of one PDF; true to scale.
///
/// The same sheets make the same bytes. Letters are set in the program's own font, which the file
/// carries as far as it needs it.
///
/// # Errors
/// [`PdfError`] where there is no sheet, or one cannot be drawn.
///
/// # Source
/// ISO 32000-1:2008 (PDF 1.7).
pub fn write(title: &str, sheets: &[&str]) -> Result<Vec<u8>, PdfError> {
    if sheets.is_empty() {
        return Err(PdfError::NoSheet);
    }
    let mut file = File::default();
    let mut fonts = Fonts::of(&OPTIONS.fontdb);
    let tree = file.reserve();
    let font_list = file.reserve();
    let mut pages = Vec::new();
    for (i, svg) in sheets.iter().enumerate() {
        let drawn = Tree::from_str(svg, &OPTIONS)
            .map_err(|error| PdfError::NoSvg { sheet: i + 1, why: error.to_string() })?;
        let page = page(&mut file, &mut fonts, &drawn, [tree, font_list])
            .map_err(|Undrawn(what)| PdfError::Undrawn { sheet: i + 1, what })?;
        pages.push(page);
    }
    let kids: Vec<String> = pages.iter().map(Ref::to_string).collect();
    let (kids, n_pages) = (kids.join(" "), pages.len());
    file.put(tree, &format!("<</Type/Pages/Count {n_pages}/Kids[{kids}]>>"));
    let written = fonts.write(&mut file)?;
    file.put(font_list, &format!("<<{written}>>"));
    let catalog = file.add(&format!("<</Type/Catalog/Pages {tree}>>"));
    let info = file.add(&format!("<</Title {}>>", file::text(title)));
    Ok(file.finish(catalog, info))
}

/// One page below the tree of pages, with the list of fonts that all pages share.
fn page(
    file: &mut File,
    fonts: &mut Fonts<'_>,
    drawn: &Tree,
    [tree, font_list]: [Ref; 2],
) -> Result<Ref, Undrawn> {
    let [width, height] = [drawn.size().width(), drawn.size().height()].map(|px| px * PT_PER_PX);
    // A sheet's y runs down, a page's up.
    let base = usvg::Transform::from_row(PT_PER_PX, 0.0, 0.0, -PT_PER_PX, 0.0, height);
    let mut canvas = Canvas::new(file, fonts, base);
    canvas.group(drawn.root())?;
    let (content, resources) = canvas.finish();
    let content = file.stream("", content.as_bytes());
    Ok(file.add(&format!(
        "<</Type/Page/Parent {tree}/MediaBox[0 0 {width:.3} {height:.3}]/Contents {content}\
         /Resources<</Font {font_list}{resources}>>>>"
    )))
}

static OPTIONS: LazyLock<Options<'_>> = LazyLock::new(|| {
    let mut fonts = fontdb::Database::new();
    for font in FONTS {
        fonts.load_font_data(font.to_vec());
    }
    fonts.set_sans_serif_family(FAMILY);
    Options { font_family: FAMILY.into(), fontdb: Arc::new(fonts), ..Default::default() }
});

#[cfg(test)]
mod tests;
