//! Level books: one that is read is read the same from the text that a site's folder keeps of it.
#![no_main]

use exchange::level_book::{LevelBook, Told, as_read, is_level_book, read};
use libfuzzer_sys::{Corpus, fuzz_target};
use units::LengthUnit;

fuzz_target!(|bytes: &[u8]| -> Corpus {
    if !is_level_book(bytes) {
        return Corpus::Reject;
    }
    let metres = Told { unit: Some(LengthUnit::Metre), bench: None };
    let told = |bench: &str| Told { bench: Some(bench.to_owned()), ..metres.clone() };
    let first = read(bytes, &Told::default()).map(|book| (book, None));
    let found = first
        .or_else(|_| read(bytes, &metres).map(|book| (book, None)))
        .or_else(|_| read(bytes, &told("100")).map(|book| (book, Some("100"))));
    let Ok((book, bench)) = found else { return Corpus::Keep };
    let text = as_read(bytes, book.list.unit, bench).expect("it was text a moment ago");
    if let Ok(again) = read(text.as_bytes(), &Told::default()) {
        assert_eq!(places_m(&again), places_m(&book));
    }
    Corpus::Keep
});

fn places_m(book: &LevelBook) -> Vec<[f64; 3]> {
    book.list.points.iter().map(|point| point.at_m).collect()
}
