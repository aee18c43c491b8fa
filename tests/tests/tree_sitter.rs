//! The grammar for editors reads every text as the program does.

#![allow(clippy::unwrap_used, clippy::panic, reason = "a test fails by panicking")]

use std::process::Command;

use lope_syntax::{FaultKind, tunes};
use lope_tests::book::demo;
use lope_tests::outline::{of_editors, of_reader, parse, parse_again};
use lope_tests::program::root;
use lope_tests::soup;
use lope_tests::tunes::{Trouble, tune};
use proptest::collection::vec;
use proptest::prelude::*;

/// Holds the two readings of a text against each other. Braces deeper than anyone can play are where they
/// part: the program reads on only to where they close.
#[track_caller]
fn check(text: &str) {
    let tree = parse(text);
    assert!(!tree.root_node().has_error(), "an ERROR in {text:?}:\n{}", tree.root_node().to_sexp());
    if !faults(text).contains(&FaultKind::TooDeep) {
        assert_eq!(of_editors(&tree), of_reader(text), "{text:?}");
    }
}

fn faults(text: &str) -> Vec<FaultKind> {
    let trees = tunes(text).into_iter().map(|tune| lope_syntax::parse(&text[tune]));
    trees.flat_map(|tree| tree.faults().iter().map(|fault| fault.kind).collect::<Vec<_>>()).collect()
}

/// Holds the two readings of a tune against each other, and a tune without faults to have no `error`.
#[track_caller]
fn check_tune(text: &str) {
    check(text);
    let sexp = parse(text).root_node().to_sexp();
    assert!(!sexp.contains("(error") || !faults(text).is_empty(), "{text}:\n{sexp}");
}

#[test]
fn the_demo_book_is_read_alike() {
    for text in demo() {
        check_tune(&text);
    }
}

#[test]
fn a_thousand_made_tunes_are_read_alike() {
    for seed in 0..1000 {
        check_tune(&tune(seed, 1500, if seed % 2 == 0 { Trouble::None } else { Trouble::Often }));
    }
}

#[test]
fn every_word_is_told_apart_as_the_program_does() {
    check(
        "t2:1 h h2 h2: p2:0 s5 12:34 7 7: t3 t3: <G|> \"a\nb\" /x /2 @ @@a @a% x2 é-| 1:0! !/i/m /p~^{}/2 {} /2",
    );
    check(
        "tune:#none\nby :  a #b#c # d\npart x2 x3 1,2 A[ #c\npart A[ B\npart [ :A A\nphrase\nending 1,2 x3 q #\nparts\npart|",
    );
    check("part A\n1:0 tune: T part B\n{1:0 [2:0 {3:0\nmeter: 4/4\n}] {% @a - ] [1:0 - \"x\" <G> @b %]}\n");
}

#[test]
fn tunes_start_where_the_program_cuts() {
    check("| 1:0\npart A\n1:0\ntune: A\n2:0 |\n# about B\n\ntune: B\n{1:0\r# on C\rtune : C\r\n  tune:\n");
    check("\u{feff}tune: A\npart A\n1:0\ntune: B\n");
    check("");
    check("# nothing\n \n");
}

proptest! {
    #[test]
    fn any_text_is_read_alike(text in soup::text()) {
        check(&text);
    }

    #[test]
    fn any_file_is_read_alike(text in soup::file()) {
        check(&text);
    }

    #[test]
    fn a_tree_that_followed_edits_is_the_tree_of_the_text(
        mut text in soup::file(),
        edits in vec(soup::edit(), 1..12),
    ) {
        let mut tree = parse(&text);
        for edit in edits {
            let (before, taken) = (text.clone(), edit.range(&text));
            edit.apply(&mut text);
            tree = parse_again(tree, &before, &text, &taken, edit.put.len());
            prop_assert_eq!(of_editors(&tree), of_editors(&parse(&text)));
        }
    }
}

#[test]
fn the_parser_is_the_one_the_grammar_makes() {
    let folder = root().join("grammar/tree-sitter");
    let output =
        Command::new("sha256sum").args(["--check", "generated.sha256"]).current_dir(folder).output().unwrap();
    let said = [output.stdout, output.stderr].concat();
    let said = String::from_utf8_lossy(&said);
    assert!(output.status.success(), "run grammar/tree-sitter/generate:\n{said}");
}
