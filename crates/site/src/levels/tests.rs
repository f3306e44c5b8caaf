use super::*;

/// A row: name, then back, intermediate and fore, where a dash is no reading.
fn row(text: &str) -> LevelRow {
    let words: Vec<&str> = text.split_whitespace().collect();
    let number = |i: usize| words.get(i).and_then(|word| word.parse().ok());
    LevelRow {
        name: words[0].replace('_', ""),
        back_m: number(1),
        intermediate_m: number(2),
        fore_m: number(3),
        known_m: number(4),
        distance_m: number(5),
        ..LevelRow::default()
    }
}

fn notes(rows: &[&str]) -> LevelNotes {
    LevelNotes { rows: rows.iter().map(|text| row(text)).collect(), ..LevelNotes::default() }
}

fn refused(rows: &[&str], at: usize, said: &str) {
    refused_by(notes(rows), at, said);
}

fn refused_by(notes: LevelNotes, at: usize, said: &str) {
    let fault = notes.set_ups().unwrap_err();
    assert_eq!(fault.row, at, "{fault}");
    assert!(fault.to_string().contains(said), "{fault}");
}

#[test]
fn a_loop_is_read_set_up_by_set_up() {
    let notes = notes(&["BM 1.5 - - 100", "1 - 1.2 -", "TP 0.9 - 1.9", "2 - 0.7 -", "bm - - 0.5"]);
    let expected = [
        SetUp { back: 0, intermediates: vec![1], fore: 2 },
        SetUp { back: 2, intermediates: vec![3], fore: 4 },
    ];
    assert_eq!(notes.set_ups().unwrap(), expected);
    assert_eq!(notes.closing_m(), Some(100.0));
}

#[test]
fn a_turning_point_may_be_booked_on_two_rows() {
    let notes = notes(&["BM 1.5 - - 100", "TP - - 1.9", "TP 0.9 - -", "X - - 0.5"]);
    let expected = [
        SetUp { back: 0, intermediates: vec![], fore: 1 },
        SetUp { back: 2, intermediates: vec![], fore: 3 },
    ];
    assert_eq!(notes.set_ups().unwrap(), expected);
    assert_eq!(notes.closing_m(), None);
}

#[test]
fn what_cannot_be_reduced_is_named_with_its_row() {
    refused(&[], 0, "no rows");
    refused(&["BM - - 1.5 100"], 0, "a foresight before any backsight");
    refused(&["1 - 1.2 - 100", "BM 1 - -"], 0, "an intermediate sight before any backsight");
    refused(&["BM 1.5 - - 100", "TP 0.9 - -"], 1, "a backsight while the instrument stands");
    let turning = "a turning point without a backsight, expected a backsight on TP";
    refused(&["BM 1.5 - - 100", "TP - - 1.9", "1 - 1.2 -", "BM - - 0.5"], 1, turning);
    refused(&["BM 1.5 - - 100", "TP - - 1.9", "BM - - 0.5"], 1, turning);
    refused(&["BM 1.5 - - 100", "TP - - 1.9", "TQ 0.9 - -", "BM - - 0.5"], 1, turning);
    refused(
        &["BM 1.5 - - 100", "1 - 1.2 -"],
        1,
        "closes on a mark of known elevation or back on BM",
    );
    refused(&["BM 1.5 - - 100", "1 - - -", "BM - - 1.5"], 1, "a row without a reading");
    refused(&["BM 1.5 - - 100", "1 - 1.2 1.3", "BM - - 1.5"], 1, "it on a row of its own");
}

#[test]
fn known_elevations_stand_at_the_ends_only() {
    refused(&["BM 1.5 - -", "BM - - 1.5"], 0, "the known elevation of BM");
    let mid = ["BM 1.5 - - 100", "TP 1 - 1 100.5", "BM - - 1.5"];
    refused(&mid, 1, "known elevations of the first and the last mark only");
    refused(&["BM 1.5 - - 100", "BM - - 1.5 100.1"], 1, "another known elevation of BM");
    let onto_another = notes(&["BM 1.5 - - 100", "BN - - 1.4 100.1"]);
    assert_eq!(onto_another.set_ups().unwrap().len(), 1);
    assert_eq!(onto_another.closing_m(), Some(100.1));
}

#[test]
fn distances_stand_on_every_foresight_or_none() {
    refused(
        &["BM 1.5 - - 100 20", "BM - - 1.5 - 20"],
        0,
        "a distance on a row without a foresight",
    );
    let some = ["BM 1.5 - - 100", "TP 1 - 1 - 20", "BM - - 1.5"];
    refused(&some, 2, "a distance on every foresight, or on none");
    let none = LevelNotes {
        share: Share::ByDistance,
        ..notes(&["BM 1.5 - - 100", "TP 1 - 1", "BM - - 1.5"])
    };
    refused_by(none, 1, "by which the misclosure is to be shared");
}
