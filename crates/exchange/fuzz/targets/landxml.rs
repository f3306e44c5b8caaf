//! LandXML.
#![no_main]

use exchange::convert::Format;
use libfuzzer_sys::{Corpus, fuzz_target};

fuzz_target!(|bytes: &[u8]| -> Corpus { exchange_fuzz::ground(bytes, Format::LandXml) });
