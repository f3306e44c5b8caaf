//! Converts a file without the program: `convert IN OUT [UNIT [ERROR_M [STEP_M [INTERVAL_M]]]]`.

use exchange::convert::{Asked, Input, convert};
use exchange::unit_words::unit_of;
use exchange::watch::unwatched;

fn main() {
    let words: Vec<String> = std::env::args().skip(1).collect();
    let [input, output, rest @ ..] = words.as_slice() else {
        eprintln!("convert IN OUT [UNIT [ERROR_M [STEP_M [INTERVAL_M]]]]");
        return;
    };
    let number = |nth: usize| rest.get(nth).and_then(|word| word.parse().ok());
    let asked = Asked {
        unit: rest.first().and_then(|word| unit_of(word)),
        error_m: number(1),
        step_m: number(2),
        interval_m: number(3),
        ..Asked::default()
    };
    let bytes = std::fs::read(input).expect("the file is there");
    match convert(Input { bytes: &bytes, name: input }, output, &asked, &mut unwatched) {
        Ok(converted) => {
            std::fs::write(output, &converted.bytes).expect("the file can be written");
            println!("{input} is {}", converted.from);
            converted.notes.iter().for_each(|note| println!("  {note}"));
        }
        Err(error) => println!("{input}: {error}"),
    }
}
