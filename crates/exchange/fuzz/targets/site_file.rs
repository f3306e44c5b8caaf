//! `site.ron`: a site that is read is written, read again, and written as the same bytes.
#![no_main]

use libfuzzer_sys::{Corpus, fuzz_target};

fuzz_target!(|bytes: &[u8]| -> Corpus {
    let Ok(text) = std::str::from_utf8(bytes) else { return Corpus::Reject };
    let Ok(site) = site::file::parse(text) else { return Corpus::Keep };
    let written = site::file::write(&site);
    let again = site::file::parse(&written).expect("what was written is a site");
    assert_eq!(site::file::write(&again), written);
    Corpus::Keep
});
