//! Where a field stands in the text of a site.
//!
//! Range errors are found after the text was read, when its places are gone; this walks the text
//! once more along the field's path.

/// A place in the text and what stands there.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) struct Place {
    /// Line from one.
    pub(super) line: usize,
    /// Column from one, in characters.
    pub(super) column: usize,
    /// The value as written, when it is a word or a word with a bracket behind it.
    pub(super) read: String,
}

impl Default for Place {
    /// The file's beginning, for a field that the text leaves out.
    fn default() -> Self {
        Self { line: 1, column: 1, read: String::new() }
    }
}

/// Finds the value at a path such as `works[2].kind.rings[1].depth_m`.
///
/// When the text leaves the last steps out, the place of the deepest step that is there.
pub(super) fn place_of(text: &str, path: &str) -> Option<Place> {
    let steps = steps(path);
    let mut scan = Scan { text, at: 0 };
    let mut found = None;
    scan.skip_blank();
    for step in &steps {
        if !scan.enter(step) {
            // A step that is not there leaves the scan at its parent's end.
            scan.at = found.unwrap_or(scan.at);
            break;
        }
        found = Some(scan.at);
    }
    found.map(|_| {
        scan.enter_some();
        place_at(&scan)
    })
}

enum Step<'a> {
    Field(&'a str),
    Entry(usize),
}

fn steps(path: &str) -> Vec<Step<'_>> {
    let mut steps = Vec::new();
    for part in path.split('.') {
        let mut pieces = part.split('[');
        if let Some(name) = pieces.next().filter(|name| !name.is_empty()) {
            steps.push(Step::Field(name));
        }
        for piece in pieces {
            if let Ok(index) = piece.trim_end_matches(']').parse() {
                steps.push(Step::Entry(index));
            }
        }
    }
    steps
}

fn place_at(scan: &Scan<'_>) -> Place {
    let (text, at) = (scan.text, scan.at);
    let before = &text[..at];
    let line_start = before.rfind('\n').map_or(0, |i| i + 1);
    Place {
        line: before.matches('\n').count() + 1,
        column: text[line_start..at].chars().count() + 1,
        read: scan.read(),
    }
}

struct Scan<'a> {
    text: &'a str,
    at: usize,
}

impl Scan<'_> {
    fn rest(&self) -> &str {
        &self.text[self.at..]
    }

    /// Moves from an optional value's start to what it holds.
    fn enter_some(&mut self) {
        let start = self.at;
        let is_some = self.word() == "Some";
        self.skip_blank();
        if is_some && self.rest().starts_with('(') {
            self.at += 1;
            self.skip_blank();
        } else {
            self.at = start;
        }
    }

    /// The value that stands here: a word, with what its bracket holds where one follows; nothing for a
    /// bracket alone.
    fn read(&self) -> String {
        const MOST: usize = 40;
        let word = |text: &str| {
            let ends = |c: char| c.is_whitespace() || matches!(c, ',' | '(' | ')' | '[' | ']');
            text.split(ends).next().map_or(0, str::len)
        };
        let mut end = Scan { text: self.text, at: self.at + word(self.rest()) };
        if end.at > self.at && end.rest().starts_with('(') {
            end.at += 1;
            while !end.rest().is_empty() && !end.rest().starts_with([')', ']', '}']) {
                end.skip_value();
            }
            end.at += usize::from(!end.rest().is_empty());
        }
        let whole = self.text[self.at..end.at].split_whitespace().collect::<Vec<_>>().join(" ");
        let mut read: String = whole.chars().take(MOST).collect();
        if read.len() < whole.len() {
            read.push('…');
        }
        read
    }

    fn skip_blank(&mut self) {
        loop {
            let rest = self.rest();
            let blank = rest.len() - rest.trim_start().len();
            let comment = if rest[blank..].starts_with("//") {
                rest[blank..].find('\n').unwrap_or(rest.len() - blank)
            } else if rest[blank..].starts_with("/*") {
                rest[blank..].find("*/").map_or(rest.len() - blank, |i| i + 2)
            } else {
                0
            };
            if blank + comment == 0 {
                return;
            }
            self.at += blank + comment;
        }
    }

    /// Moves from a value's start to the start of one of its fields or entries.
    fn enter(&mut self, step: &Step<'_>) -> bool {
        self.open_value();
        let mut index = 0;
        loop {
            self.skip_blank();
            let Some(next) = self.rest().chars().next() else { return false };
            if matches!(next, ')' | ']' | '}') {
                return false;
            }
            match step {
                Step::Entry(wanted) if index == *wanted => return true,
                Step::Entry(_) => {}
                Step::Field(wanted) => {
                    let name = self.word();
                    self.skip_blank();
                    let is_field = self.rest().starts_with(':');
                    self.at += usize::from(is_field);
                    self.skip_blank();
                    if is_field && name == *wanted {
                        return true;
                    }
                }
            }
            self.skip_value();
            index += 1;
        }
    }

    /// Passes variant names and brackets up to where the value's own entries begin.
    fn open_value(&mut self) {
        loop {
            self.skip_blank();
            let _ = self.word();
            self.skip_blank();
            if !self.rest().starts_with(['(', '[', '{']) {
                return;
            }
            self.at += 1;
            self.skip_blank();
            // A variant or a struct may stand in another bracket: Basin((outline: ...)).
            let inner = self.rest().trim_start_matches(|c: char| c.is_alphanumeric() || c == '_');
            let nested = inner.trim_start().starts_with('(') && self.text[..self.at].ends_with('(');
            if !nested {
                return;
            }
        }
    }

    fn word(&mut self) -> String {
        let rest = self.rest();
        let end = rest.find(|c: char| !(c.is_alphanumeric() || c == '_')).unwrap_or(rest.len());
        let word = rest[..end].to_owned();
        self.at += end;
        word
    }

    /// Passes one value and the comma behind it.
    fn skip_value(&mut self) {
        let mut depth = 0_usize;
        while let Some(next) = self.rest().chars().next() {
            match next {
                '"' => {
                    self.skip_string();
                    continue;
                }
                '/' if self.rest().starts_with("//") || self.rest().starts_with("/*") => {
                    self.skip_blank();
                    continue;
                }
                '(' | '[' | '{' => depth += 1,
                ')' | ']' | '}' if depth == 0 => return,
                ')' | ']' | '}' => depth -= 1,
                ',' if depth == 0 => {
                    self.at += 1;
                    return;
                }
                _ => {}
            }
            self.at += next.len_utf8();
        }
    }

    fn skip_string(&mut self) {
        self.at += 1;
        let mut escaped = false;
        for (i, c) in self.text[self.at..].char_indices() {
            match c {
                '"' if !escaped => {
                    self.at += i + 1;
                    return;
                }
                '\\' => escaped = !escaped,
                _ => escaped = false,
            }
        }
        self.at = self.text.len();
    }
}
