//! The demo book stumbles where it means to and nowhere else, and can be put right.

#![allow(clippy::unwrap_used, clippy::panic, reason = "a test fails by panicking")]

use std::fs;

use lope_tests::book::Book;
use lope_tests::program::root;
use serde_json::Value;

/// Every finding of the book as it comes.
const MEANT: &[&str] = &[
    "Half a Sandwich and the Rain, part A, bar 10, count 1: hard-reach",
    "Mind the Wet Step, part A, bar 1, count 6: off-strike",
    "Mind the Wet Step, part A, bar 3, count 6: off-strike",
    "Mind the Wet Step, part A, bar 8, count 6: off-strike",
    "Mind the Wet Step, part B, bar 2, count 6: off-strike",
    "Mind the Wet Step, part B, bar 7, count 3: off-strike",
    "Mind the Wet Step, part B, bar 7, count 3: far-thumb",
    "Nine Pegs on the Net Line, part A, bar 4, count 9: short-bar",
    "Nine Pegs on the Net Line, part B, bar 2, count 2: extra-strike",
    "Nobody Rings the Tide Bell, part A, bar 3, count 3 &: wrong-way",
    "Nobody Rings the Tide Bell, part A, bar 7, count 2 &: thumb-crosses",
];

/// The book in a folder of its own.
fn book() -> Book {
    let book = Book::new();
    for file in fs::read_dir(root().join("server/src/cli/start/book")).unwrap() {
        let file = file.unwrap();
        book.write(&file.file_name().into_string().unwrap(), fs::read(file.path()).unwrap());
    }
    book
}

/// What the check of `book` finds: tune, place and rule.
fn findings(book: &Book) -> Vec<String> {
    let report: Value = serde_json::from_str(&book.run(&["check", "--as", "json"]).out).unwrap();
    let said = |value: &Value| value.as_str().unwrap().to_owned();
    let files = report["files"].as_array().unwrap().iter();
    let findings = files.flat_map(|file| file["findings"].as_array().unwrap());
    findings
        .map(|found| {
            format!("{}, {}: {}", said(&found["tune"]), said(&found["place"]["said"]), said(&found["rule"]))
        })
        .collect()
}

#[test]
fn it_stumbles_where_it_means_to() {
    assert_eq!(findings(&book()), MEANT);
}

#[test]
fn mended_and_tidied_it_has_nothing_left_to_find() {
    let book = book();
    book.run(&["mend"]).expect(0);
    book.run(&["tidy"]).expect(0);
    assert_eq!(findings(&book), [""; 0]);
}
