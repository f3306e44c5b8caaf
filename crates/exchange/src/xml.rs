//! A small XML reader: elements one after the other, nothing kept, nothing expanded.
//!
//! A document type is refused, so no entity can be declared; only the five of the standard and
//! numbered letters stand for something. Names lose their prefix: `land:P` is `P`.

use std::borrow::Cow;

use crate::points::{Place, shortened};

/// What comes next in a text.
#[derive(Clone, Debug, PartialEq)]
pub(crate) enum Event<'a> {
    /// An element begins; an empty one ends at once.
    Start(Tag<'a>),
    /// The innermost element ends.
    End,
    /// Letters, with the offset at which they begin.
    Text(Cow<'a, str>, usize),
    /// The text is over, and all that began has ended.
    Done,
}

/// An element as it begins.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct Tag<'a> {
    pub(crate) name: &'a str,
    /// Offset of its bracket.
    pub(crate) at: usize,
    attributes: Vec<Attribute<'a>>,
}

#[derive(Clone, Debug, PartialEq)]
struct Attribute<'a> {
    name: &'a str,
    value: Cow<'a, str>,
    at: usize,
}

/// Why a text is no XML.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct Fault {
    /// Byte offset.
    pub(crate) at: usize,
    pub(crate) read: String,
    pub(crate) expected: String,
    /// Whether the text only ends too early.
    pub(crate) is_cut: bool,
}

/// Reads a text from front to back.
#[derive(Clone, Debug)]
pub(crate) struct Xml<'a> {
    text: &'a str,
    at: usize,
    open: Vec<&'a str>,
    ends_at_once: bool,
    has_root: bool,
}

/// Bytes as text, and a word on how they were taken where that is doubtful.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct Decoded<'a> {
    pub(crate) text: Cow<'a, str>,
    pub(crate) doubt: Option<String>,
}

/// The place of a byte offset, line and character column from one.
pub(crate) fn place_at(text: &str, at: usize) -> Place {
    let mut at = at.min(text.len());
    while !text.is_char_boundary(at) {
        at -= 1;
    }
    let before = &text[..at];
    let line = before.bytes().filter(|byte| *byte == b'\n').count() as u32 + 1;
    let start = before.rfind('\n').map_or(0, |end| end + 1);
    Place { line, column: before[start..].chars().count() as u32 + 1 }
}

/// The text of an XML file, by its byte order mark or its declaration, UTF-8 without either.
///
/// A last letter that is cut is left out. Answers the encoding's name where it is not known.
pub(crate) fn decode(bytes: &[u8]) -> Result<Decoded<'_>, String> {
    let plain = |text| Ok(Decoded { text, doubt: None });
    let utf16 = match bytes {
        [0xFF, 0xFE, ..] | [b'<', 0, ..] => Some(encoding_rs::UTF_16LE),
        [0xFE, 0xFF, ..] | [0, b'<', ..] => Some(encoding_rs::UTF_16BE),
        _ => None,
    };
    if let Some(encoding) = utf16 {
        return plain(encoding.decode_with_bom_removal(bytes).0);
    }
    let body = bytes.strip_prefix(b"\xEF\xBB\xBF").unwrap_or(bytes);
    let declared = declared_encoding(body);
    if let Some(label) = &declared {
        let encoding = encoding_rs::Encoding::for_label(label.as_bytes()).ok_or(label.clone())?;
        // A declaration that could be read as single bytes cannot be of two.
        let is_wide = encoding == encoding_rs::UTF_16LE || encoding == encoding_rs::UTF_16BE;
        if encoding != encoding_rs::UTF_8 && !is_wide {
            return plain(encoding.decode_without_bom_handling(body).0);
        }
    }
    match std::str::from_utf8(body) {
        Ok(text) => plain(Cow::Borrowed(text)),
        Err(error) if error.error_len().is_none() => {
            plain(String::from_utf8_lossy(&body[..error.valid_up_to()]))
        }
        Err(error) => {
            let line = body[..error.valid_up_to()].iter().filter(|b| **b == b'\n').count() + 1;
            let text = encoding_rs::WINDOWS_1252.decode_without_bom_handling(body).0;
            let doubt =
                format!("line {line}: read letters that are no UTF-8, taken as Windows-1252");
            Ok(Decoded { text, doubt: Some(doubt) })
        }
    }
}

fn declared_encoding(body: &[u8]) -> Option<String> {
    let head = &body[..body.len().min(200)];
    if !head.starts_with(b"<?xml") {
        return None;
    }
    let end = head.windows(2).position(|pair| pair == b"?>")?;
    let head: String = head[..end].iter().map(|byte| char::from(*byte)).collect();
    let value = head.split_once("encoding")?.1.trim_start().strip_prefix('=')?.trim_start();
    let quote = value.chars().next().filter(|letter| matches!(letter, '"' | '\''))?;
    value[1..].split_once(quote).map(|(label, _)| label.to_owned())
}

impl<'a> Tag<'a> {
    /// The value of an attribute.
    pub(crate) fn attribute(&self, name: &str) -> Option<&str> {
        self.attributes.iter().find(|a| a.name == name).map(|a| a.value.as_ref())
    }

    /// Where an attribute's value begins; the element where it has none.
    pub(crate) fn at_of(&self, name: &str) -> usize {
        self.attributes.iter().find(|a| a.name == name).map_or(self.at, |a| a.at)
    }
}

impl<'a> Xml<'a> {
    pub(crate) fn new(text: &'a str) -> Self {
        Self { text, at: 0, open: Vec::new(), ends_at_once: false, has_root: false }
    }

    /// Names of the elements that are open, outermost first.
    pub(crate) fn open(&self) -> &[&'a str] {
        &self.open
    }

    /// What comes next.
    pub(crate) fn next(&mut self) -> Result<Event<'a>, Fault> {
        if std::mem::take(&mut self.ends_at_once) {
            self.open.pop();
            return Ok(Event::End);
        }
        loop {
            let rest = &self.text[self.at..];
            if rest.is_empty() {
                return match (self.open.last(), self.has_root) {
                    (None, true) => Ok(Event::Done),
                    (Some(name), _) => Err(self.cut(format!("</{name}>"))),
                    (None, false) => Err(self.cut("an element".to_owned())),
                };
            }
            if !rest.starts_with('<') {
                let end = rest.find('<').unwrap_or(rest.len());
                let start = self.at;
                self.at += end;
                if self.open.is_empty() {
                    self.refuse_stray(&rest[..end], start)?;
                    continue;
                }
                return Ok(Event::Text(self.plain(&rest[..end], start)?, start));
            }
            if let Some(body) = rest.strip_prefix("<!--") {
                self.at += 4 + self.until(body, "-->")? + 3;
            } else if let Some(body) = rest.strip_prefix("<![CDATA[") {
                let end = self.until(body, "]]>")?;
                let start = self.at + 9;
                self.at = start + end + 3;
                return Ok(Event::Text(Cow::Borrowed(&body[..end]), start));
            } else if let Some(body) = rest.strip_prefix("<?") {
                self.at += 2 + self.until(body, "?>")? + 2;
            } else if "<!--".starts_with(rest) || "<![CDATA[".starts_with(rest) {
                return Err(self.cut("the end of what begins here".to_owned()));
            } else if rest.starts_with("<!") {
                return Err(self.fault(
                    self.at,
                    rest,
                    "no document type: it could declare entities, which are not expanded",
                ));
            } else if rest.starts_with("</") {
                return self.end(rest);
            } else {
                return self.start(rest).map(Event::Start);
            }
        }
    }

    /// The letters of the element that has just begun, up to its end; elements within are refused.
    pub(crate) fn text_of(&mut self, into: &mut String) -> Result<usize, Fault> {
        into.clear();
        let mut first = self.at;
        loop {
            match self.next()? {
                Event::Text(text, at) => {
                    if into.is_empty() {
                        first = at;
                    }
                    into.push_str(&text);
                }
                // What stands within a list of numbers tells nothing of them.
                Event::Start(_) => self.skip()?,
                Event::End | Event::Done => return Ok(first),
            }
        }
    }

    /// Passes over all that stands in the element that has just begun.
    pub(crate) fn skip(&mut self) -> Result<(), Fault> {
        let depth = self.open.len();
        while self.open.len() >= depth {
            if self.next()? == Event::Done {
                break;
            }
        }
        Ok(())
    }

    fn start(&mut self, rest: &'a str) -> Result<Tag<'a>, Fault> {
        let at = self.at;
        if self.open.is_empty() && self.has_root {
            return Err(self.fault(at, rest, "nothing after the outermost element"));
        }
        let name_end = name_end(&rest[1..]) + 1;
        if name_end == 1 {
            return Err(self.fault_or_cut(at, &rest[1..], rest, "the name of an element"));
        }
        let name = &rest[1..name_end];
        self.at = at + name_end;
        let mut attributes = Vec::new();
        loop {
            let before = self.at;
            self.skip_blanks();
            let rest = &self.text[self.at..];
            if let Some(after) = rest.strip_prefix('>') {
                self.at = self.text.len() - after.len();
                break;
            }
            if let Some(after) = rest.strip_prefix("/>") {
                self.at = self.text.len() - after.len();
                self.ends_at_once = true;
                break;
            }
            if rest.is_empty() || rest == "/" {
                return Err(self.cut(format!("the end of <{name}")));
            }
            if before == self.at {
                return Err(self.fault(self.at, rest, "a blank, `>` or `/>`"));
            }
            attributes.push(self.attribute(rest)?);
        }
        self.open.push(name);
        self.has_root = true;
        Ok(Tag { name: local(name), at, attributes })
    }

    fn attribute(&mut self, rest: &'a str) -> Result<Attribute<'a>, Fault> {
        let end = name_end(rest);
        let name = &rest[..end];
        let after = rest[end..].trim_start();
        if name.is_empty() {
            return Err(self.fault(self.at, rest, "the name of an attribute"));
        }
        let Some(after) = after.strip_prefix('=') else {
            return Err(self.fault_or_cut(self.at, after, rest, "`=` after the attribute's name"));
        };
        let after = after.trim_start();
        let quote = after.chars().next();
        let Some(quote) = quote.filter(|letter| matches!(letter, '"' | '\'')) else {
            return Err(self.fault_or_cut(self.at, after, rest, "a value in quotes"));
        };
        let body = &after[1..];
        let start = self.text.len() - body.len();
        let Some(end) = body.find(quote) else {
            return Err(self.cut(format!("the closing quote of the attribute {name}")));
        };
        if let Some(bracket) = body[..end].find('<') {
            return Err(self.fault(start + bracket, &body[bracket..], "no `<` in a value"));
        }
        self.at = start + end + 1;
        Ok(Attribute { name: local(name), value: self.plain(&body[..end], start)?, at: start })
    }

    fn end(&mut self, rest: &'a str) -> Result<Event<'a>, Fault> {
        let Some(close) = rest.find('>') else {
            return Err(self.cut("`>`".to_owned()));
        };
        let name = rest[2..close].trim_end();
        let Some(open) = self.open.last() else {
            return Err(self.fault(self.at, rest, "an element that begins"));
        };
        if *open != name {
            let expected = format!("</{open}>");
            return Err(self.fault(self.at, &rest[..close + 1], &expected));
        }
        self.open.pop();
        self.at += close + 1;
        Ok(Event::End)
    }

    /// Letters with what stands for others put in its place.
    fn plain(&self, text: &'a str, start: usize) -> Result<Cow<'a, str>, Fault> {
        if !text.contains('&') {
            return Ok(Cow::Borrowed(text));
        }
        let mut out = String::with_capacity(text.len());
        let mut rest = text;
        while let Some(ampersand) = rest.find('&') {
            out.push_str(&rest[..ampersand]);
            let here = &rest[ampersand..];
            let at = start + (text.len() - here.len());
            let expected = "&amp;, &lt;, &gt;, &quot;, &apos; or a numbered letter: no other \
                            entity is expanded";
            let Some(end) = here.find(';').filter(|end| *end <= 12) else {
                return Err(self.fault(at, here, expected));
            };
            let letter = letter(&here[1..end]).ok_or_else(|| self.fault(at, here, expected))?;
            out.push(letter);
            rest = &here[end + 1..];
        }
        out.push_str(rest);
        Ok(Cow::Owned(out))
    }

    fn refuse_stray(&self, text: &str, start: usize) -> Result<(), Fault> {
        match text.find(|letter: char| !letter.is_whitespace() && letter != '\u{FEFF}') {
            Some(at) if !self.has_root => Err(self.fault(start + at, &text[at..], "an element")),
            Some(at) => {
                Err(self.fault(start + at, &text[at..], "nothing after the outermost element"))
            }
            None => Ok(()),
        }
    }

    fn skip_blanks(&mut self) {
        let rest = &self.text[self.at..];
        self.at += rest.len() - rest.trim_start().len();
    }

    fn until(&self, body: &str, end: &str) -> Result<usize, Fault> {
        body.find(end).ok_or_else(|| self.cut(format!("`{end}`")))
    }

    fn fault(&self, at: usize, read: &str, expected: &str) -> Fault {
        let line = read.lines().next().unwrap_or("");
        Fault { at, read: shortened(line), expected: expected.to_owned(), is_cut: false }
    }

    /// A fault, or a cut where nothing is left.
    fn fault_or_cut(&self, at: usize, left: &str, read: &str, expected: &str) -> Fault {
        if left.is_empty() { self.cut(expected.to_owned()) } else { self.fault(at, read, expected) }
    }

    fn cut(&self, expected: String) -> Fault {
        Fault {
            at: self.text.len(),
            read: "the end of the file".to_owned(),
            expected,
            is_cut: true,
        }
    }
}

fn local(name: &str) -> &str {
    name.rsplit_once(':').map_or(name, |(_, local)| local)
}

fn name_end(text: &str) -> usize {
    let ends = |letter: char| {
        letter.is_whitespace() || matches!(letter, '>' | '/' | '=' | '<' | '"' | '\'' | '&')
    };
    text.find(ends).unwrap_or(text.len())
}

fn letter(name: &str) -> Option<char> {
    match name {
        "amp" => Some('&'),
        "lt" => Some('<'),
        "gt" => Some('>'),
        "quot" => Some('"'),
        "apos" => Some('\''),
        _ => {
            let number = name.strip_prefix('#')?;
            let code = match number.strip_prefix('x') {
                Some(hex) => u32::from_str_radix(hex, 16).ok()?,
                None => number.parse().ok()?,
            };
            char::from_u32(code).filter(|letter| *letter != '\0')
        }
    }
}

/// `text` as it stands between tags or in quotes.
pub(crate) fn escaped(text: &str) -> Cow<'_, str> {
    let is_plain = |letter: char| !matches!(letter, '&' | '<' | '>' | '"') && !letter.is_control();
    if text.chars().all(is_plain) {
        return Cow::Borrowed(text);
    }
    let mut out = String::with_capacity(text.len() + 8);
    for letter in text.chars() {
        match letter {
            '&' => out.push_str("&amp;"),
            '<' => out.push_str("&lt;"),
            '>' => out.push_str("&gt;"),
            '"' => out.push_str("&quot;"),
            // XML has no way to write these.
            control if control.is_control() => out.push(' '),
            other => out.push(other),
        }
    }
    Cow::Owned(out)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn events(text: &str) -> Result<Vec<String>, Fault> {
        let mut xml = Xml::new(text);
        let mut out = Vec::new();
        loop {
            out.push(match xml.next()? {
                Event::Start(tag) => format!("<{}", tag.name),
                Event::End => ">".to_owned(),
                Event::Text(text, _) => text.into_owned(),
                Event::Done => return Ok(out),
            });
        }
    }

    #[test]
    fn elements_attributes_letters_and_comments() {
        let text = "\u{FEFF}<?xml version='1.0'?><!-- a > b --><l:A x='1' y = \"&lt;&#x41;\">t<B/>\
                    <![CDATA[<&]]>&amp;</l:A> <!-- end -->";
        assert_eq!(events(text).unwrap(), ["<A", "t", "<B", ">", "<&", "&", ">"]);
        let mut xml = Xml::new("<A l:x='1' y = \"&lt;&#x41;\"/>");
        let Event::Start(tag) = xml.next().unwrap() else { panic!("it starts") };
        assert_eq!(tag.attribute("x"), Some("1"));
        assert_eq!(tag.attribute("y"), Some("<A"));
        assert_eq!(tag.attribute("z"), None);
    }

    #[test]
    fn a_document_type_and_its_entities_are_refused() {
        let bomb = "<!DOCTYPE a [<!ENTITY b \"bb\"><!ENTITY c \"&b;&b;\">]>\n<a>&c;</a>";
        assert!(events(bomb).unwrap_err().expected.contains("no document type"));
        let fault = events("<a>\n&c;</a>").unwrap_err();
        assert!(fault.expected.contains("no other entity"), "{fault:?}");
        assert_eq!(place_at("<a>\n&c;</a>", fault.at), Place { line: 2, column: 1 });
    }

    #[test]
    fn a_cut_is_told_from_what_is_no_xml() {
        let whole = "<a b='c'><!-- d --><e>f</e></a>";
        for end in whole.char_indices().map(|(at, _)| at) {
            assert!(events(&whole[..end]).unwrap_err().is_cut, "{}", &whole[..end]);
        }
        for bad in
            ["<a></b>", "<a b></a>", "<a b=c/>", "a<b/>", "<a/><b/>", "<a/>b", "<a b='<'/>", "</a>"]
        {
            assert!(!events(bad).unwrap_err().is_cut, "{bad}");
        }
    }

    #[test]
    fn encodings_by_mark_and_declaration() {
        let latin = b"<?xml version=\"1.0\" encoding=\"ISO-8859-1\"?><a>\xE4</a>";
        assert!(decode(latin).unwrap().text.contains('\u{E4}'));
        let wide: Vec<u8> =
            "\u{FEFF}<a>\u{E4}</a>".encode_utf16().flat_map(u16::to_le_bytes).collect();
        assert_eq!(decode(&wide).unwrap().text, "<a>\u{E4}</a>");
        assert!(decode(b"<a>\xE4</a>").unwrap().doubt.is_some());
        assert_eq!(decode(b"<a>\xC3").unwrap().text, "<a>");
        assert_eq!(decode(b"<?xml version='1.0' encoding='klingon'?><a/>"), Err("klingon".into()));
    }

    #[test]
    fn what_is_escaped_is_read_back() {
        let words = "a < b & \"c\" 'd' > e";
        let text = format!("<a b=\"{0}\">{0}</a>", escaped(words));
        assert_eq!(events(&text).unwrap()[1], words);
    }
}
