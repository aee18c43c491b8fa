//! `NOTATION.md` is what it says: each of its examples reads as it is marked, and nothing the parser
//! knows is missing from it.

use lope_syntax::{parse, tunes};
use lope_tune::{Defaults, FIELDS, NAMED, read};

const PAGE: &str = include_str!("../../NOTATION.md");

/// The text of each block marked `mark`, with the line of the page on which its fence stands.
fn examples(mark: &str) -> Vec<(usize, String)> {
    let mut found = Vec::new();
    let mut lines = PAGE.lines().enumerate();
    while let Some((at, line)) = lines.next() {
        if line.strip_prefix("```") == Some(mark) {
            let block = lines.by_ref().map(|(_, line)| line).take_while(|line| *line != "```");
            found.push((at + 1, block.map(|line| format!("{line}\n")).collect()));
        }
    }
    assert!(!found.is_empty(), "the page has examples marked {mark}");
    found
}

/// Everything that is wrong with the tunes in `text`.
fn complaints(text: &str) -> Vec<String> {
    let mut all = Vec::new();
    for tune in tunes(text).into_iter().map(|range| &text[range]) {
        let tree = parse(tune);
        let issues = read(tune, &tree, &Defaults::default()).issues;
        all.extend(
            tree.faults().iter().map(|fault| format!("{:?} at {:?}", fault.kind, fault.span.of(tune))),
        );
        all.extend(issues.iter().map(|issue| format!("{:?} at {:?}", issue.kind, issue.span.of(tune))));
    }
    all
}

#[test]
fn whole_tunes_have_nothing_wrong_with_them() {
    for (line, text) in examples("lope") {
        assert_eq!(complaints(&text), [""; 0], "NOTATION.md:{line}");
    }
}

#[test]
fn rows_of_slots_have_nothing_wrong_with_them() {
    for (line, music) in examples("lope-music") {
        let text = format!("tune: Example\nmeter: 6/8\npart A\n| {music} |\n");
        assert_eq!(complaints(&text), [""; 0], "NOTATION.md:{line}");
    }
}

#[test]
fn wrong_examples_have_something_wrong_with_them() {
    for (line, text) in examples("lope-wrong") {
        assert_ne!(complaints(&text), [""; 0], "NOTATION.md:{line}");
    }
}

/// The names of the variants of `pub enum KIND` in Rust source; none where there is no such enum.
fn variants<'s>(source: &'s str, kind: &str) -> Vec<&'s str> {
    let after = source.split_once(&format!("pub enum {kind} {{\n")).map_or("", |(_, after)| after);
    let body = after.split_once("\n}").map_or("", |(body, _)| body);
    body.lines().filter_map(|line| line.trim().strip_suffix(',')).collect()
}

#[track_caller]
fn names_all(page: &str, names: &[&str]) {
    assert!(names.len() > 10, "the names are found in the source: {names:?}");
    for name in names {
        let mut words = page.split(|letter: char| !letter.is_alphanumeric());
        assert!(words.any(|word| word == *name), "NOTATION.md does not name {name}");
    }
}

#[test]
fn everything_the_parser_knows_has_its_place_on_the_page() {
    let tree = include_str!("../../syntax/src/tree.rs");
    let token = include_str!("../../syntax/src/token.rs");
    let (_, grammar) = PAGE.split_once("## The grammar").unwrap();
    names_all(grammar, &variants(tree, "NodeKind"));
    names_all(grammar, &variants(token, "TokenKind"));
    names_all(PAGE, &variants(tree, "FaultKind"));
}

#[test]
fn the_tables_of_fields_and_tunings_are_whole() {
    for field in FIELDS {
        assert!(PAGE.contains(&format!("\n| `{field}` |")), "NOTATION.md has no row for the field {field}");
    }
    for (name, notes) in NAMED {
        assert!(PAGE.contains(&format!("\n| `{name}` | `{notes}` |")), "NOTATION.md has no row for {name}");
    }
}
