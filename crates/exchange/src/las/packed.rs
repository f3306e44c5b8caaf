//! Compressed points.

use std::io::{Error, ErrorKind, Read, Seek, SeekFrom};
use std::panic::{AssertUnwindSafe, catch_unwind};

use laz::las::selective::DecompressionSelection;
use laz::{LasZipDecompressor, LazItemType, LazVlr};

use super::header::Header;
use super::{LasError, STRIDE, Sieve, stopped};
use crate::content::Stopped;
use crate::watch::{Watch, tell};

/// Reads compressed points, each checked against the bytes that are there.
pub(super) fn read(
    bytes: &[u8],
    header: &Header,
    items: &[u8],
    sieve: &mut Sieve,
    watch: &mut Watch<'_>,
) -> Result<Option<Stopped>, LasError> {
    let refused = |read: String, expected: &str| LasError::Header {
        at: header.at_points,
        field: "compression",
        read,
        expected: expected.to_owned(),
    };
    let vlr = LazVlr::from_buffer(items)
        .map_err(|error| refused(error.to_string(), "a known way of compression"))?;
    if vlr.items_size() != header.record_length as u64 {
        let expected = format!("records of {} bytes", header.record_length);
        return Err(refused(format!("records of {} bytes", vlr.items_size()), &expected));
    }
    let is_layered = compressor(items) == Some(LAYERED);
    if vlr.uses_variable_size_chunks() && !is_layered {
        let expected = "chunks of one size, as this way of compression has them";
        return Err(refused("chunks of many sizes".to_owned(), expected));
    }
    // Zero points in a chunk would never end.
    if !vlr.uses_variable_size_chunks() && vlr.chunk_size() == 0 {
        return Err(refused("chunks of no points".to_owned(), "chunks of one point or more"));
    }
    // What is told of a fault in the packed bytes is only where it is.
    let unpack = AssertUnwindSafe(|| unpack(bytes, header, vlr, is_layered, sieve, watch));
    match catch_unwind(unpack) {
        Ok(outcome) => outcome,
        Err(_) => Ok(Some(stopped(sieve.n_read(), header, "bytes that no points are packed as"))),
    }
}

/// Each field of a chunk's points in a layer of its own.
const LAYERED: u16 = 3;

/// The number by which the record names its way of compression.
fn compressor(items: &[u8]) -> Option<u16> {
    Some(u16::from_le_bytes([*items.first()?, *items.get(1)?]))
}

fn unpack(
    bytes: &[u8],
    header: &Header,
    vlr: LazVlr,
    is_layered: bool,
    sieve: &mut Sieve,
    watch: &mut Watch<'_>,
) -> Result<Option<Stopped>, LasError> {
    let layers = Layers::of(&vlr, header.record_length);
    let chunk_size = u64::from(vlr.chunk_size());
    let is_variable = vlr.uses_variable_size_chunks();
    let selection = DecompressionSelection::xy_returns_channel()
        .decompress_z()
        .decompress_classification()
        .decompress_flags();
    // Eight bytes in front of the first chunk tell where the table stands; they are passed over.
    let begin =
        |at: usize| LasZipDecompressor::selective(Forward { bytes, at }, vlr.clone(), selection);
    let stop = |n: u64, why: &str| Ok(Some(stopped(n, header, why)));
    let mut unpacker = match begin(header.at_points) {
        Ok(unpacker) => unpacker,
        Err(error) => return stop(0, &error.to_string()),
    };
    let mut record = vec![0; header.record_length];
    let mut left_in_chunk = 0;
    let mut n_read = 0;
    while n_read < header.n_points {
        if n_read % STRIDE as u64 == 0 {
            tell(watch, "reading points", n_read as usize, header.n_points as usize)?;
        }
        if is_layered && left_in_chunk == 0 {
            let Some(n_in_chunk) = layers.check(bytes, unpacker.get().at) else {
                return stop(n_read, "layers longer than the file");
            };
            left_in_chunk = if is_variable { n_in_chunk } else { chunk_size };
            if left_in_chunk == 0 {
                return stop(n_read, "a chunk of no points");
            }
            if is_variable && n_read > 0 {
                // Without the table the unpacker does not know where chunks of many sizes end: each
                // is begun anew.
                unpacker = match begin(unpacker.get().at - 8) {
                    Ok(unpacker) => unpacker,
                    Err(error) => return stop(n_read, &error.to_string()),
                };
            }
        }
        if let Err(error) = unpacker.decompress_one(&mut record) {
            let why = match error.kind() {
                ErrorKind::UnexpectedEof => "the end of the file".to_owned(),
                _ => error.to_string(),
            };
            return stop(n_read, &why);
        }
        left_in_chunk = left_in_chunk.saturating_sub(1);
        n_read += 1;
        sieve.take(&record);
    }
    Ok(None)
}

/// What stands in front of a chunk of layers: its first point, the number of points, the layers'
/// lengths.
struct Layers {
    record_length: usize,
    n_layers: usize,
}

impl Layers {
    fn of(vlr: &LazVlr, record_length: usize) -> Self {
        let n_layers = vlr.items().iter().map(|item| match item.item_type() {
            LazItemType::Point14 => 9,
            LazItemType::RGB14 | LazItemType::WavePacket14 => 1,
            LazItemType::RGBNIR14 => 2,
            LazItemType::Byte14(n) => usize::from(n),
            _ => 0,
        });
        Self { record_length, n_layers: n_layers.sum() }
    }

    /// How many points the chunk at a byte holds, if its layers fit into the file.
    fn check(&self, bytes: &[u8], at: usize) -> Option<u64> {
        let word = |at: usize| -> Option<u64> {
            let bytes = bytes.get(at..at + 4)?;
            Some(u64::from(u32::from_le_bytes([bytes[0], bytes[1], bytes[2], bytes[3]])))
        };
        let at_count = at + self.record_length;
        let at_lengths = at_count + 4;
        let mut total = 0;
        for layer in 0..self.n_layers {
            total += word(at_lengths + 4 * layer)?;
        }
        let left = bytes.len() - (at_lengths + 4 * self.n_layers).min(bytes.len());
        (total <= left as u64).then(|| word(at_count))?
    }
}

/// Bytes that are only read forward: the unpacker then does without the table of chunks, which it
/// would believe whatever it says.
struct Forward<'a> {
    bytes: &'a [u8],
    at: usize,
}

impl Read for Forward<'_> {
    fn read(&mut self, into: &mut [u8]) -> std::io::Result<usize> {
        let left = &self.bytes[self.at.min(self.bytes.len())..];
        let n = left.len().min(into.len());
        into[..n].copy_from_slice(&left[..n]);
        self.at += n;
        Ok(n)
    }
}

impl Seek for Forward<'_> {
    fn seek(&mut self, _: SeekFrom) -> std::io::Result<u64> {
        Err(Error::from(ErrorKind::Unsupported))
    }
}
