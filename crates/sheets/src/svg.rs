//! An SVG text, written piece by piece; millimetres on paper, y down.

use std::fmt::Write as _;

const STRING: &str = "a string takes any text";

/// An SVG document under way.
#[derive(Clone, Debug)]
pub(crate) struct Svg {
    text: String,
}

/// Where a text stands by its place.
#[derive(Clone, Copy, Debug)]
pub(crate) enum Anchor {
    Start,
    Middle,
    End,
}

/// How a text is set.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Type {
    /// Height of its letters' body, millimetres.
    pub size_mm: f64,
    pub anchor: Anchor,
    pub ink: &'static str,
    /// `normal` or `bold`.
    pub weight: &'static str,
}

impl Svg {
    /// A sheet of paper.
    pub(crate) fn sheet([width, height]: [f64; 2], paper: &str) -> Self {
        let text = format!(
            "<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"{width}mm\" height=\"{height}mm\" \
             viewBox=\"0 0 {width} {height}\" font-family=\"'Noto Sans', 'DejaVu Sans', sans-serif\">\n\
             <rect width=\"{width}\" height=\"{height}\" fill=\"{paper}\"/>\n"
        );
        Self { text }
    }

    /// Adds what is SVG already.
    pub(crate) fn raw(&mut self, text: &str) {
        self.text.push_str(text);
        self.text.push('\n');
    }

    /// Adds a group of one kind of element.
    pub(crate) fn group(&mut self, attributes: &str, fill: impl FnOnce(&mut Self)) {
        writeln!(self.text, "<g {attributes}>").expect(STRING);
        fill(self);
        self.raw("</g>");
    }

    /// Adds a path.
    pub(crate) fn path(&mut self, data: &str, attributes: &str) {
        writeln!(self.text, "<path d=\"{data}\" {attributes}/>").expect(STRING);
    }

    /// Adds a line of text.
    pub(crate) fn text(&mut self, [x, y]: [f64; 2], words: &str, how: Type) {
        let anchor = match how.anchor {
            Anchor::Start => "start",
            Anchor::Middle => "middle",
            Anchor::End => "end",
        };
        let Type { size_mm, ink, weight, .. } = how;
        writeln!(
            self.text,
            "<text x=\"{x:.2}\" y=\"{y:.2}\" font-size=\"{size_mm}\" text-anchor=\"{anchor}\" \
             font-weight=\"{weight}\" fill=\"{ink}\">{}</text>",
            escaped(words)
        )
        .expect(STRING);
    }

    /// The whole text.
    pub(crate) fn finish(mut self) -> String {
        self.text.push_str("</svg>\n");
        self.text
    }
}

/// The data of a path through places; a ring closes on its first.
pub(crate) fn path_data(places: &[[f64; 2]], end: End) -> String {
    let mut data = String::new();
    for (i, [x, y]) in places.iter().enumerate() {
        let step = if i == 0 { "M" } else { "L" };
        write!(data, "{step}{x:.3} {y:.3}").expect(STRING);
    }
    if end == End::Closed {
        data.push('Z');
    }
    data
}

/// How a path ends.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum End {
    Open,
    Closed,
}

/// Text that stands for itself between tags.
fn escaped(words: &str) -> String {
    let mut text = String::with_capacity(words.len());
    for letter in words.chars() {
        match letter {
            '&' => text.push_str("&amp;"),
            '<' => text.push_str("&lt;"),
            '>' => text.push_str("&gt;"),
            '"' => text.push_str("&quot;"),
            // XML has no way to write these.
            control if control.is_control() => text.push(' '),
            other => text.push(other),
        }
    }
    text
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_name_cannot_break_out_of_its_text() {
        let mut svg = Svg::sheet([10.0, 5.0], "white");
        let how = Type { size_mm: 3.0, anchor: Anchor::Start, ink: "black", weight: "normal" };
        svg.text([1.0, 2.0], "</text><b> \"R & D\"\u{1}", how);
        let text = svg.finish();
        assert!(text.contains(">&lt;/text&gt;&lt;b&gt; &quot;R &amp; D&quot; </text>"), "{text}");
    }

    #[test]
    fn a_path_names_its_places() {
        let places = [[0.0, 0.0], [1.0, 0.0], [1.0, 2.5]];
        assert_eq!(path_data(&places, End::Closed), "M0.000 0.000L1.000 0.000L1.000 2.500Z");
        assert_eq!(path_data(&places[..2], End::Open), "M0.000 0.000L1.000 0.000");
    }
}
