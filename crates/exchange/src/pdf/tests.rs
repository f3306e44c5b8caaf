use std::io::Read as _;

use flate2::read::ZlibDecoder;

use super::*;

fn sheet(width_mm: f64, words: &str) -> String {
    format!(
        "<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"{width_mm}mm\" height=\"210mm\" \
         viewBox=\"0 0 {width_mm} 210\" font-family=\"'Noto Sans', 'DejaVu Sans', sans-serif\">\
         <defs><pattern id=\"h\" width=\"2\" height=\"2\" patternUnits=\"userSpaceOnUse\">\
         <path d=\"M0 0V2\" stroke=\"#123456\"/></pattern></defs>\
         <path d=\"M10 10H{}\" stroke=\"#000\" stroke-opacity=\"0.7\"/>\
         <path d=\"M10 50h20v20h-20Z\" fill=\"url(#h)\"/>\
         <text x=\"20\" y=\"30\" font-size=\"4\">{words}</text></svg>",
        width_mm - 10.0
    )
}

/// What the packed streams hold, one after another.
fn unpacked(pdf: &[u8]) -> Vec<u8> {
    let mark = b">>\nstream\n";
    let mut all = Vec::new();
    for at in 0..pdf.len() - mark.len() {
        if pdf[at..].starts_with(mark) {
            ZlibDecoder::new(&pdf[at + mark.len()..]).read_to_end(&mut all).unwrap();
        }
    }
    all
}

#[test]
fn every_sheet_is_a_page_of_its_size() {
    let sheets = [sheet(297.0, "6 1/2 in"), sheet(420.0, "½ ⅛ – ² ° ′ ″ é ß ł")];
    let pdf = write("Garden", &[&sheets[0], &sheets[1]]).unwrap();
    let text = String::from_utf8_lossy(&pdf);
    assert!(text.starts_with("%PDF-1.7") && text.trim_end().ends_with("%%EOF"));
    // An A4 sheet, landscape, is 841.89 by 595.28 points; 420 mm are 1190.55.
    assert!(text.contains("[0 0 841.890 595.276]") && text.contains("[0 0 1190.551 595.276]"));
    assert!(text.contains("/Count 2") && text.contains("<FEFF00470061007200640065006E>"));
    assert!(text.contains("+DejaVuSans") && text.contains("/ToUnicode"));
    assert!(pdf.len() < 60_000, "the font comes in parts: {} bytes", pdf.len());
    assert_eq!(pdf, write("Garden", &[&sheets[0], &sheets[1]]).unwrap());
}

#[test]
fn the_table_says_where_each_object_begins() {
    let pdf = write("Garden", &[&sheet(297.0, "a")]).unwrap();
    let find = |what: &[u8]| pdf.windows(what.len()).position(|found| found == what).unwrap();
    let table = std::str::from_utf8(&pdf[find(b"xref\n")..]).unwrap();
    let n: usize = table.lines().nth(1).unwrap()[2..].parse().unwrap();
    assert!(n > 8, "{n} objects");
    for (i, row) in table.lines().skip(3).take(n - 1).enumerate() {
        let start: usize = row[..10].parse().unwrap();
        assert!(pdf[start..].starts_with(format!("{} 0 obj\n", i + 1).as_bytes()), "{row}");
    }
    let told: usize = table.lines().rev().nth(1).unwrap().parse().unwrap();
    assert!(pdf[told..].starts_with(b"xref"));
}

#[test]
fn letters_say_what_they_mean_and_lines_where_they_are() {
    let pdf = write("Garden", &[&sheet(297.0, "½ ł")]).unwrap();
    let held = unpacked(&pdf);
    let text = String::from_utf8_lossy(&held);
    for meaning in ["><00BD>", "><0020>", "><0142>"] {
        assert!(text.contains(meaning), "{meaning} is missing");
    }
    // A millimetre of the sheet is 72 / 25.4 points of the page, of which y runs up from its foot.
    assert!(text.contains("0.75 0 0 -0.75 0 595.27"), "the page");
    assert!(text.contains("q 3.77952"), "the sheet");
    assert!(text.contains("10 10 m\n287 10 l"), "the line");
    assert!(text.contains("4 0 0 -4 20 30 Tm"), "the letter");
    assert!(String::from_utf8_lossy(&pdf).contains("/XStep 2/YStep 2"));
}

#[test]
fn what_is_no_sheet_is_told() {
    assert_eq!(write("", &[]), Err(PdfError::NoSheet));
    let good = sheet(297.0, "a");
    let error = write("", &[&good, "<svg"]).unwrap_err();
    assert!(matches!(error, PdfError::NoSvg { sheet: 2, .. }), "{error}");
    assert!(error.to_string().starts_with("sheet 2 is no SVG"), "{error}");
    let faded = good.replace("<text", "<g opacity=\"0.5\"><text").replace("</text>", "</text></g>");
    let error = write("", &[&faded]).unwrap_err();
    assert!(matches!(error, PdfError::Undrawn { sheet: 1, .. }), "{error}");
}
