//! Pictures of plans and from the air, as PNG or JPEG, read into rows of colours.
//!
//! What a camera says of how it was held is not heeded: pixels count as the file stores them.

use std::io::Cursor;

use image::{ImageError, ImageFormat, ImageReader};
use zune_core::bytestream::ZCursor;
use zune_core::colorspace::ColorSpace;
use zune_core::options::DecoderOptions;
use zune_jpeg::JpegDecoder;
use zune_jpeg::errors::DecodeErrors;

/// A picture as it was read.
#[derive(Clone, PartialEq, Eq)]
pub struct Raster {
    /// Width and height in pixels.
    pub size: [u32; 2],
    /// Red, green, blue and opacity of each pixel, row by row from the upper left.
    pub rgba: Vec<u8>,
}

/// Why a file is no picture that can be draped.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum RasterError {
    /// Another format, or none.
    #[error("read no picture that is known, expected PNG or JPEG")]
    Unknown,
    /// Larger than what is taken.
    #[error(
        "read {0} x {1} pixels, expected {MOST_SIDE} along a side and {MOST_MEGAPIXELS} million in all \
         at most: scale it down first"
    )]
    TooLarge(u32, u32),
    /// Cut off or damaged.
    #[error("a {format} that cannot be read to its end: {why}")]
    Damaged {
        /// What it begins as.
        format: &'static str,
        /// What its reader says.
        why: String,
    },
}

/// Pixels along a side.
const MOST_SIDE: u32 = 30_000;
/// Millions of pixels in all: some 200 MB while they are read.
const MOST_MEGAPIXELS: u32 = 50;

/// Reads a PNG or a JPEG, told by its first bytes and not by its name.
///
/// # Errors
/// [`RasterError`] before any memory is taken for a picture that is too large, and for one that is
/// damaged or ends too early.
///
/// # Source
/// ISO/IEC 15948 (PNG) and ISO/IEC 10918-1 (JPEG), by way of the crates image and zune-jpeg.
pub fn read(bytes: &[u8]) -> Result<Raster, RasterError> {
    match image::guess_format(bytes) {
        Ok(ImageFormat::Png) => png(bytes),
        Ok(ImageFormat::Jpeg) => jpeg(bytes),
        _ => Err(RasterError::Unknown),
    }
}

impl Raster {
    /// The picture with no side longer than `most` pixels: each pixel is the mean of those it stands
    /// for.
    pub fn shrunk(&self, most: u32) -> Self {
        let [width, height] = self.size;
        let by = width.max(height).div_ceil(most.max(1)).max(1);
        if by == 1 {
            return self.clone();
        }
        let size = self.size.map(|side| side.div_ceil(by));
        let mut rgba = Vec::with_capacity(4 * size[0] as usize * size[1] as usize);
        for row in 0..size[1] {
            for column in 0..size[0] {
                rgba.extend(self.mean([column * by, row * by], by));
            }
        }
        Self { size, rgba }
    }

    /// The picture at half its size, rounded down, as smaller ones of a texture are.
    pub fn halved(&self) -> Self {
        let size = self.size.map(|side| (side / 2).max(1));
        let mut rgba = Vec::with_capacity(4 * size[0] as usize * size[1] as usize);
        for row in 0..size[1] {
            for column in 0..size[0] {
                rgba.extend(self.mean([2 * column, 2 * row], 2));
            }
        }
        Self { size, rgba }
    }

    /// The mean colour of a square, as far as it lies in the picture.
    fn mean(&self, [left, top]: [u32; 2], side: u32) -> [u8; 4] {
        let [width, height] = self.size;
        let mut sums = [0_u32; 4];
        let mut n = 0;
        for row in top..(top + side).min(height) {
            for column in left..(left + side).min(width) {
                let at = 4 * (row as usize * width as usize + column as usize);
                sums.iter_mut().zip(&self.rgba[at..at + 4]).for_each(|(sum, part)| {
                    *sum += u32::from(*part);
                });
                n += 1;
            }
        }
        sums.map(|sum| ((sum + n / 2) / n.max(1)) as u8)
    }
}

impl std::fmt::Debug for Raster {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(f, "a picture of {} x {} pixels", self.size[0], self.size[1])
    }
}

fn bounded(width: u32, height: u32) -> Result<(), RasterError> {
    let pixels = u64::from(width) * u64::from(height);
    let fits = width.max(height) <= MOST_SIDE && pixels <= 1_000_000 * u64::from(MOST_MEGAPIXELS);
    if fits { Ok(()) } else { Err(RasterError::TooLarge(width, height)) }
}

fn png(bytes: &[u8]) -> Result<Raster, RasterError> {
    let damaged =
        |error: ImageError| RasterError::Damaged { format: "PNG", why: error.to_string() };
    let reader = || ImageReader::with_format(Cursor::new(bytes), ImageFormat::Png);
    let (width, height) = reader().into_dimensions().map_err(damaged)?;
    bounded(width, height)?;
    let rgba = reader().decode().map_err(damaged)?.into_rgba8();
    Ok(Raster { size: [rgba.width(), rgba.height()], rgba: rgba.into_raw() })
}

fn jpeg(bytes: &[u8]) -> Result<Raster, RasterError> {
    let damaged =
        |error: DecodeErrors| RasterError::Damaged { format: "JPEG", why: error.to_string() };
    let side = MOST_SIDE as usize;
    let options = DecoderOptions::default()
        .set_max_width(side)
        .set_max_height(side)
        .set_strict_mode(true)
        .jpeg_set_out_colorspace(ColorSpace::RGBA);
    let mut decoder = JpegDecoder::new_with_options(ZCursor::new(bytes), options);
    decoder.decode_headers().map_err(damaged)?;
    let (width, height) = decoder.dimensions().unwrap_or_default();
    let size = [width, height].map(|side| u32::try_from(side).unwrap_or(u32::MAX));
    bounded(size[0], size[1])?;
    let rgba = decoder.decode().map_err(damaged)?;
    if rgba.len() as u64 != 4 * u64::from(size[0]) * u64::from(size[1]) {
        let why = "colours of another kind".to_owned();
        return Err(RasterError::Damaged { format: "JPEG", why });
    }
    Ok(Raster { size, rgba })
}

#[cfg(test)]
mod tests {
    use super::*;

    /// 64 pixels square: the upper left quarter red, the rest white. Made with Pillow.
    const JPEG: &[u8] = include_bytes!("../tests/data/quarter.jpg");

    fn png_of(width: u32, height: u32) -> Vec<u8> {
        let mut picture = image::RgbaImage::from_pixel(width, height, image::Rgba([255; 4]));
        for row in 0..height / 2 {
            for column in 0..width / 2 {
                picture.put_pixel(column, row, image::Rgba([255, 0, 0, 255]));
            }
        }
        let mut bytes = Cursor::new(Vec::new());
        picture.write_to(&mut bytes, ImageFormat::Png).unwrap();
        bytes.into_inner()
    }

    #[test]
    fn both_formats_give_the_colours_in_their_places() {
        for bytes in [&png_of(64, 64)[..], JPEG] {
            let raster = read(bytes).unwrap();
            let [width, height] = raster.size;
            let at = |x: u32, y: u32| {
                let i = 4 * (y * width + x) as usize;
                [raster.rgba[i], raster.rgba[i + 1], raster.rgba[i + 2]]
            };
            let [r, g, b] = at(width / 4, height / 4);
            assert!(r > 230 && g < 30 && b < 30, "{:?}", [r, g, b]);
            for (x, y) in [(3 * width / 4, height / 4), (width / 4, 3 * height / 4)] {
                assert!(at(x, y).iter().all(|part| *part > 225), "{:?}", at(x, y));
            }
        }
    }

    #[test]
    fn shrinking_takes_means_and_keeps_the_rest_of_a_side() {
        let raster = read(&png_of(10, 6)).unwrap();
        let small = raster.shrunk(4);
        assert_eq!(small.size, [4, 2]);
        // Columns 3 to 5 of rows 0 to 2: two of three columns are red.
        assert_eq!(&small.rgba[4..8], [255, 85, 85, 255]);
        assert_eq!(raster.shrunk(10), raster);
    }

    #[test]
    fn cut_and_huge_and_other_files_are_refused_with_words() {
        let png = png_of(64, 64);
        for (bytes, format) in [(&png[..], "PNG"), (JPEG, "JPEG")] {
            for at in [30, bytes.len() / 2, bytes.len() - 20] {
                let error = read(&bytes[..at]).unwrap_err();
                assert!(error.to_string().contains(format), "{at}: {error}");
            }
        }
        // A header that tells of 60,000 by 60,000 pixels, with its check sum.
        let mut huge = png.clone();
        huge[16..24].copy_from_slice(&[0, 0, 0xea, 0x60, 0, 0, 0xea, 0x60]);
        let sum = crc(&huge[12..29]);
        huge[29..33].copy_from_slice(&sum.to_be_bytes());
        assert_eq!(read(&huge), Err(RasterError::TooLarge(60_000, 60_000)));
        assert_eq!(read(b"%PDF-1.7 a plan"), Err(RasterError::Unknown));
        assert_eq!(read(b""), Err(RasterError::Unknown));
    }

    /// The check sum of a PNG's chunk.
    fn crc(bytes: &[u8]) -> u32 {
        !bytes.iter().fold(u32::MAX, |sum, byte| {
            (0..8).fold(sum ^ u32::from(*byte), |sum, _| {
                if sum & 1 == 1 { (sum >> 1) ^ 0xedb8_8320 } else { sum >> 1 }
            })
        })
    }
}
