//! The objects of a PDF and where each begins.

use std::fmt;
use std::io::Write as _;

use flate2::Compression;
use flate2::write::ZlibEncoder;

const MEMORY: &str = "memory takes any bytes";

/// A PDF under way: its objects, the first of which has the number 1.
#[derive(Debug, Default)]
pub(super) struct File {
    objects: Vec<Vec<u8>>,
}

/// An object by its number.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Ref(usize);

impl fmt::Display for Ref {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{} 0 R", self.0)
    }
}

impl File {
    /// A number for an object that is put later.
    pub(super) fn reserve(&mut self) -> Ref {
        self.objects.push(Vec::new());
        Ref(self.objects.len())
    }

    /// Puts an object in its reserved place.
    pub(super) fn put(&mut self, at: Ref, object: &str) {
        self.objects[at.0 - 1] = object.as_bytes().to_vec();
    }

    /// Adds an object.
    pub(super) fn add(&mut self, object: &str) -> Ref {
        let at = self.reserve();
        self.put(at, object);
        at
    }

    /// Adds a packed stream, with the entries of its dictionary beside its length and packing.
    pub(super) fn stream(&mut self, entries: &str, bytes: &[u8]) -> Ref {
        let mut encoder = ZlibEncoder::new(Vec::new(), Compression::default());
        encoder.write_all(bytes).expect(MEMORY);
        let packed = encoder.finish().expect(MEMORY);
        let head = format!("<</Length {}/Filter/FlateDecode{entries}>>\nstream\n", packed.len());
        let object = [head.as_bytes(), &packed, b"\nendstream"].concat();
        self.objects.push(object);
        Ref(self.objects.len())
    }

    /// The whole file.
    pub(super) fn finish(self, catalog: Ref, info: Ref) -> Vec<u8> {
        // Four bytes above 127 tell carriers that the file is not text.
        let mut bytes = b"%PDF-1.7\n%\xe2\xe3\xcf\xd3\n".to_vec();
        let mut starts = Vec::with_capacity(self.objects.len());
        for (i, object) in self.objects.iter().enumerate() {
            starts.push(bytes.len());
            writeln!(bytes, "{} 0 obj", i + 1).expect(MEMORY);
            bytes.extend_from_slice(object);
            bytes.extend_from_slice(b"\nendobj\n");
        }
        let (table, size) = (bytes.len(), starts.len() + 1);
        write!(bytes, "xref\n0 {size}\n0000000000 65535 f \n").expect(MEMORY);
        for start in starts {
            writeln!(bytes, "{start:010} 00000 n ").expect(MEMORY);
        }
        let trailer = format!("<</Size {size}/Root {catalog}/Info {info}>>");
        write!(bytes, "trailer\n{trailer}\nstartxref\n{table}\n%%EOF\n").expect(MEMORY);
        bytes
    }
}

/// Words outside a page, such as a title, in UTF-16.
pub(super) fn text(words: &str) -> String {
    format!("<FEFF{}>", utf16(words))
}

/// Words as the digits of their UTF-16.
pub(super) fn utf16(words: &str) -> String {
    words.encode_utf16().map(|unit| format!("{unit:04X}")).collect()
}
