//! `NOTATION.md` is what it says: the real program finds nothing to say about its examples and something
//! about those marked wrong, and nothing the parser knows is missing from the page.

#![allow(clippy::unwrap_used, clippy::panic, reason = "a test fails by panicking")]

use std::fs;

use lope_tests::book::Book;
use lope_tests::program::root;
use lope_tune::{FIELDS, NAMED};
use serde_json::Value;

/// Examples are a bar or two long where a tune has parts of eight.
const SHORT: (&str, &str) = ("lope.toml", "[rules]\npart-length = \"off\"\n");

fn page() -> String {
    fs::read_to_string(root().join("grammar/NOTATION.md")).unwrap()
}

/// The page's blocks marked `mark`, each with the line of the page on which it starts.
fn examples(mark: &str) -> Vec<(usize, String)> {
    let page = page();
    let mut found = Vec::new();
    let mut lines = page.lines().enumerate();
    while let Some((at, line)) = lines.next() {
        if line.strip_prefix("```") == Some(mark) {
            let block = lines.by_ref().map(|(_, line)| line).take_while(|line| *line != "```");
            found.push((at + 2, block.map(|line| format!("{line}\n")).collect()));
        }
    }
    assert!(!found.is_empty(), "the page has examples marked {mark}");
    found
}

#[test]
fn whole_tunes_and_rows_of_slots_have_nothing_to_find() {
    let book = Book::of(&[SHORT]);
    for (line, tune) in examples("lope") {
        book.write(&format!("line-{line}.lope"), tune);
    }
    for (line, music) in examples("lope-music") {
        let tune = format!("tune: The row on line {line}\nmeter: 6/8\n\npart A\n| {music} |\n");
        book.write(&format!("line-{line}.lope"), tune);
    }
    book.run(&["check", "--fail-on", "hint"]).expect(0);
}

#[test]
fn wrong_examples_have_something_to_find() {
    let examples = examples("lope-wrong");
    let book = Book::of(&[SHORT]);
    for (line, tune) in &examples {
        book.write(&format!("line-{line}.lope"), tune);
    }
    let report: Value = serde_json::from_str(&book.run(&["check", "--as", "json"]).expect(1)).unwrap();
    let files = report["files"].as_array().unwrap();
    for (line, _) in &examples {
        let path = format!("line-{line}.lope");
        let findings = files.iter().find(|file| file["path"] == path).map(|file| &file["findings"]);
        assert!(findings.is_some_and(|findings| findings[0].is_object()), "NOTATION.md:{line}");
    }
}

/// The names of the variants of `pub enum KIND` in the Rust source at `path`.
fn variants(path: &str, kind: &str) -> Vec<String> {
    let source = fs::read_to_string(root().join(path)).unwrap();
    let (_, after) = source.split_once(&format!("pub enum {kind} {{\n")).unwrap();
    let (body, _) = after.split_once("\n}").unwrap();
    let names = body.lines().filter_map(|line| line.trim().strip_suffix(','));
    names.map(str::to_owned).collect()
}

#[track_caller]
fn names_all(text: &str, names: &[String]) {
    assert!(names.len() > 10, "the names are found in the source: {names:?}");
    for name in names {
        let mut words = text.split(|letter: char| !letter.is_alphanumeric());
        assert!(words.any(|word| word == name), "NOTATION.md does not name {name}");
    }
}

#[test]
fn everything_the_parser_knows_has_its_place_on_the_page() {
    let page = page();
    let (_, grammar) = page.split_once("## The grammar").unwrap();
    names_all(grammar, &variants("grammar/syntax/src/tree.rs", "NodeKind"));
    names_all(grammar, &variants("grammar/syntax/src/token.rs", "TokenKind"));
    names_all(&page, &variants("grammar/syntax/src/tree.rs", "FaultKind"));
}

#[test]
fn the_tables_of_fields_and_tunings_are_whole() {
    let page = page();
    for field in FIELDS {
        assert!(page.contains(&format!("\n| `{field}` |")), "NOTATION.md has no row for the field {field}");
    }
    for (name, notes) in NAMED {
        assert!(page.contains(&format!("\n| `{name}` | `{notes}` |")), "NOTATION.md has no row for {name}");
    }
}
