//! Pictures, PNG and JPEG: read and made smaller.
#![no_main]

use libfuzzer_sys::{Corpus, fuzz_target};

fuzz_target!(|bytes: &[u8]| -> Corpus {
    let Ok(raster) = exchange::raster::read(bytes) else { return Corpus::Keep };
    let [width, height] = raster.size;
    assert_eq!(raster.rgba.len(), 4 * width as usize * height as usize);
    let small = raster.shrunk(64).halved();
    assert!(small.size.iter().all(|side| (1..=64).contains(side)));
    Corpus::Keep
});
