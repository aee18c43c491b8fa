//! Text no player would write on purpose: a clear message, an end, and nothing lost.

#![allow(clippy::unwrap_used, clippy::panic, reason = "a test fails by panicking")]

use lope_tests::book::Book;
use serde_json::Value;

/// A tune with `fields` above a part of four bars that are well in 6/8.
fn tune(fields: &str) -> String {
    format!("tune: Odd\nmeter: 6/8\n{fields}\n\npart A\n| 1:2- 1:0  1:2 t 1:0 | % | % | % |\n")
}

/// The rule and the message of each finding `lope check` has for a file that holds `text`; and what mending
/// and tidying leave of the file must be the same to the byte wherever nothing can be put right.
fn check(text: impl AsRef<[u8]>) -> Vec<(String, String)> {
    let book = Book::of(&[("odd.lope", &text)]);
    let ran = book.run(&["check", "--as", "json"]);
    let report: Value = serde_json::from_str(&ran.out).unwrap_or_else(|error| panic!("{error}: {ran:?}"));
    assert!([0, 1].contains(&ran.code()), "{ran:?}");
    let text = |value: &Value| value.as_str().unwrap().to_owned();
    let files = report["files"].as_array().unwrap().iter();
    files
        .flat_map(|file| file["findings"].as_array().unwrap().clone())
        .map(|finding| (text(&finding["rule"]), text(&finding["message"])))
        .collect()
}

#[track_caller]
fn says(text: impl AsRef<[u8]>, rule: &str, words: &[&str]) {
    let found = check(text);
    let ours =
        |(name, message): &&(String, String)| name == rule && words.iter().all(|word| message.contains(word));
    assert_eq!(found.iter().filter(ours).count(), 1, "expected one {rule} with {words:?}, found {found:#?}");
}

#[test]
fn an_empty_file_is_a_tune_not_yet_written() {
    let book = Book::of(&[("empty.lope", ""), ("blank.lope", " \n\t\n")]);
    let ran = book.run(&["check"]);
    assert!(ran.code() < 2, "{ran:?}");
    assert!(!ran.err.contains("panic"), "{ran:?}");
}

#[test]
fn a_file_that_is_no_text_is_named_and_left_alone() {
    let binary: Vec<u8> = (0..4096_u32).map(|at| (at * 31 % 256) as u8).collect();
    for bytes in [&binary[..], b"tune: Caf\xe9\nmeter: 6/8\n"] {
        let book = Book::of(&[("odd.lope", bytes)]);
        for verb in ["check", "mend", "tidy"] {
            let ran = book.run(&[verb, "odd.lope"]);
            assert_eq!(ran.code(), 2, "{verb}: {ran:?}");
            assert!(ran.err.contains("odd.lope") && ran.err.contains("UTF-8"), "{verb}: {ran:?}");
            assert_eq!(std::fs::read(book.path("odd.lope")).unwrap(), bytes, "{verb}");
        }
    }
}

#[test]
fn meters_nobody_plays() {
    says(tune("").replace("6/8", "0/8"), "bad-value", &["0/8"]);
    says(tune("").replace("6/8", "999/1"), "bad-value", &["999/1"]);
    says(tune("").replace("6/8", "6/0"), "bad-value", &["6/0"]);
    says(tune("").replace("6/8", "6/99999999999999999999"), "bad-value", &["meter"]);
}

#[test]
fn capo_tempo_and_tuning_out_of_this_world() {
    says(tune("capo: 40"), "bad-value", &["40", "capo"]);
    says(tune("capo: -1"), "bad-value", &["-1"]);
    says(tune("tempo: 0"), "bad-value", &["0", "tempo"]);
    says(tune("tempo: 1e9"), "bad-value", &["1e9"]);
    says(tune("tempo: 1000000000"), "bad-value", &["1000000000"]);
    says(tune("tuning: DGBD"), "bad-value", &["DGBD"]);
    says(tune("tuning: gDGBDE"), "bad-value", &["gDGBDE"]);
    says(tune("gait: ..."), "bad-value", &["..."]);
    says(tune("unit: 0"), "bad-value", &["unit"]);
}

#[test]
fn phrases_that_call_themselves() {
    let circle = "\nphrase lick\n| @lick |\n";
    let text = tune("").replace("| % | % |", "| @lick | % |") + circle;
    says(&text, "circling-phrase", &["lick"]);
    let two = "\nphrase to\n| @fro |\n\nphrase fro\n| @to |\n";
    let found = check(tune("").replace("| % | % |", "| @to | % |") + two);
    assert!(found.iter().any(|(rule, _)| rule == "circling-phrase"), "{found:?}");
}

#[test]
fn braces_deeper_than_anyone_can_play() {
    let deep =
        format!("tune: Deep\nmeter: 6/8\n\npart A\n| {}1:0{} |\n", "{".repeat(30_000), "}".repeat(30_000));
    let found = check(&deep);
    assert!(found.iter().any(|(rule, _)| rule == "unreadable"), "{found:?}");
    assert!(found.len() < 10, "one slip is one finding, not {}", found.len());
    for open in ["{", "[", "{[", "\"", "<", "@{"] {
        check(format!("tune: Deep\nmeter: 6/8\n\npart A\n| {}\n", open.repeat(30_000)));
    }
}

#[test]
fn a_line_of_a_million_notes() {
    let line = format!("tune: Long\nmeter: 6/8\n\npart A\n| {}|\n", "1:0 ".repeat(1_000_000));
    says(&line, "long-bar", &[]);
    let book = Book::of(&[("long.lope", &line)]);
    for verb in ["mend", "tidy"] {
        assert_eq!(book.run(&[verb, "long.lope"]).code(), 0, "{verb}");
        assert_eq!(book.read("long.lope").matches(":0").count(), 1_000_000, "{verb}");
    }
}

#[test]
fn ten_megabytes() {
    let many = lope_tests::tunes::file(1, 10_000_000, lope_tests::tunes::Trouble::None);
    assert_eq!(check(&many), []);
    let noise = "é?{[<\"| 1:2".repeat(1_000_000);
    assert!(check(&noise).iter().any(|(rule, _)| rule == "unreadable"));
}

#[test]
fn a_bar_with_a_million_troubles() {
    let line = format!("tune: Thumbs\nmeter: 6/8\n\npart A\n{}", "| 1:0 t h2  p0 - t1:3 |\n".repeat(50_000));
    let book = Book::of(&[("long.lope", &line)]);
    assert_eq!(book.run(&["mend", "long.lope"]).code(), 0);
}

#[test]
fn repeats_of_repeats_are_not_played_for_ever() {
    let heading = tune("").replace("part A", "part A x4294967295");
    assert!(!check(heading).is_empty());
    let mut text = tune("").replace("| % | % |", "| @a0 | % |");
    for level in 0..40 {
        text.push_str(&format!("\nphrase a{level}\n| @a{0} | @a{0} |\n", level + 1));
    }
    text.push_str("\nphrase a40\n| 1:0-----  |\n");
    check(text);
}
