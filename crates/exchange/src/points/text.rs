//! From bytes to lines of text.

use std::borrow::Cow;

use super::{Place, PointsError};

/// How a file's bytes spell its text.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Encoding {
    /// UTF-8 without a mark.
    Utf8,
    /// UTF-8 behind a byte order mark.
    Utf8Mark,
    /// UTF-16, the low byte first.
    Utf16Little,
    /// UTF-16, the high byte first.
    Utf16Big,
    /// One byte a letter; taken where the bytes are no UTF-8 and all printable.
    Latin1,
}

impl Encoding {
    /// The name that people read.
    pub fn as_str(self) -> &'static str {
        match self {
            Self::Utf8 => "UTF-8",
            Self::Utf8Mark => "UTF-8 with byte order mark",
            Self::Utf16Little | Self::Utf16Big => "UTF-16",
            Self::Latin1 => "Latin-1",
        }
    }
}

/// The text that `bytes` spell.
pub(crate) fn decode(bytes: &[u8]) -> Result<(Cow<'_, str>, Encoding), PointsError> {
    if bytes.is_empty() {
        return Err(PointsError::Empty);
    }
    if let Some(encoding) = utf16(bytes) {
        return Ok((Cow::Owned(decode_utf16(bytes, encoding)?), encoding));
    }
    let (body, encoding) = match bytes.strip_prefix(b"\xEF\xBB\xBF") {
        Some(body) => (body, Encoding::Utf8Mark),
        None => (bytes, Encoding::Utf8),
    };
    // Some old systems close a text with a lone control-Z.
    let body = body.strip_suffix(b"\x1A").unwrap_or(body);
    refuse_binary(body)?;
    match std::str::from_utf8(body) {
        Ok(text) => Ok((Cow::Borrowed(text), encoding)),
        Err(_) => {
            let text = body.iter().map(|byte| char::from(*byte)).collect();
            Ok((Cow::Owned(text), Encoding::Latin1))
        }
    }
}

/// The lines of `text` with their numbers; CRLF, LF and CR all end a line.
pub(crate) fn lines(text: &str) -> impl Iterator<Item = (u32, &str)> {
    let mut rest = Some(text);
    let mut number = 0;
    std::iter::from_fn(move || {
        let here = rest.filter(|text| !text.is_empty())?;
        number += 1;
        let end = here.bytes().position(|byte| byte == b'\n' || byte == b'\r');
        let line = &here[..end.unwrap_or(here.len())];
        rest = end.map(|end| match &here[end..] {
            tail if tail.starts_with("\r\n") => &tail[2..],
            tail => &tail[1..],
        });
        Some((number, line))
    })
}

fn utf16(bytes: &[u8]) -> Option<Encoding> {
    match bytes {
        [0xFF, 0xFE, ..] => Some(Encoding::Utf16Little),
        [0xFE, 0xFF, ..] => Some(Encoding::Utf16Big),
        // Without a mark: every other byte of plain digits and commas is zero.
        [a, 0, b, 0, c, 0, ..] if *a != 0 && *b != 0 && *c != 0 => Some(Encoding::Utf16Little),
        [0, a, 0, b, 0, c, ..] if *a != 0 && *b != 0 && *c != 0 => Some(Encoding::Utf16Big),
        _ => None,
    }
}

fn decode_utf16(bytes: &[u8], encoding: Encoding) -> Result<String, PointsError> {
    let word = |pair: &[u8]| match encoding {
        Encoding::Utf16Big => u16::from_be_bytes([pair[0], pair[1]]),
        _ => u16::from_le_bytes([pair[0], pair[1]]),
    };
    let words = bytes.chunks_exact(2).map(word);
    let text: Result<String, _> = char::decode_utf16(words).collect();
    let whole = bytes.len().is_multiple_of(2);
    match text {
        Ok(text) if whole => {
            let text = text.strip_prefix('\u{FEFF}').unwrap_or(&text).to_owned();
            refuse_binary(text.as_bytes())?;
            Ok(text)
        }
        _ => Err(PointsError::Binary { place: Place { line: 1, column: 1 }, byte: bytes[0] }),
    }
}

/// Refuses text that holds control characters, which no point list has.
fn refuse_binary(body: &[u8]) -> Result<(), PointsError> {
    let is_control =
        |byte: &u8| *byte < 0x20 && !matches!(*byte, b'\t' | b'\n' | b'\r' | 0x0C) || *byte == 0x7F;
    let Some(at) = body.iter().position(is_control) else { return Ok(()) };
    let before = &body[..at];
    let line = before.iter().filter(|byte| **byte == b'\n').count() as u32 + 1;
    let column = before.iter().rev().take_while(|byte| **byte != b'\n').count() as u32 + 1;
    Err(PointsError::Binary { place: Place { line, column }, byte: body[at] })
}
