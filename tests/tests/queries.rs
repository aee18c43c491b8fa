//! The queries that editors run over the tree: they fit the grammar, and find what they say.

#![allow(clippy::unwrap_used, clippy::panic, reason = "a test fails by panicking")]

use std::collections::HashMap;
use std::fs;
use std::ops::Range;

use lope_tests::book::demo;
use lope_tests::outline::{language, parse};
use lope_tests::program::root;
use tree_sitter::{Query, QueryCursor, StreamingIterator};

/// The names of highlights that these all know: tree-sitter's own highlighter (`STANDARD_CAPTURE_NAMES` of
/// tree-sitter-highlight 0.27), Neovim (`:help treesitter-highlight-groups`, 0.11) and Helix (its themes'
/// `attribute`, `constant`, `function` and so on, with what is built in or special below them).
const STANDARD: &[&str] = &[
    "attribute",
    "comment",
    "constant",
    "constant.builtin",
    "constructor",
    "function",
    "function.builtin",
    "keyword",
    "markup.heading",
    "operator",
    "punctuation.bracket",
    "punctuation.delimiter",
    "punctuation.special",
    "string",
    "string.special",
    "tag",
    "type",
    "type.builtin",
    "variable",
    "variable.builtin",
    "variable.parameter",
];

const TUNE: &str = "\
tune: Two Lines
# slow
part A x2
1:0 | {t 2:0}/2- |
  ending 1,2
  | @lick |
phrase lick
[3:0 h2]! |
tune: More
part B
% |
";

fn query(name: &str) -> Query {
    let source = fs::read_to_string(root().join(format!("grammar/tree-sitter/queries/{name}.scm"))).unwrap();
    Query::new(&language(), &source).unwrap_or_else(|error| panic!("{name}: {error}"))
}

/// What `query` captures in `text`, in the order of the text; names that start with `_` are for the query.
fn captures(query: &Query, text: &str) -> Vec<(String, Range<usize>)> {
    let tree = parse(text);
    let mut cursor = QueryCursor::new();
    let mut all = cursor.captures(query, tree.root_node(), text.as_bytes());
    let mut found = Vec::new();
    while let Some((matched, at)) = all.next() {
        let capture = matched.captures[*at];
        found.push((query.capture_names()[capture.index as usize].to_owned(), capture.node.byte_range()));
    }
    found.retain(|(name, _)| !name.starts_with('_'));
    found
}

/// Holds what the query called `name` captures as `capture` in `TUNE` against the first lines of it.
#[track_caller]
fn check(name: &str, capture: &str, expected: &[&str]) {
    let captures = captures(&query(name), TUNE);
    let found = captures.iter().filter(|(name, _)| name == capture);
    let found: Vec<&str> = found.map(|(_, bytes)| TUNE[bytes.clone()].lines().next().unwrap()).collect();
    assert_eq!(found, expected, "@{capture}");
}

#[test]
fn highlights_have_names_that_editors_know() {
    for name in query("highlights").capture_names() {
        assert!(name.starts_with('_') || STANDARD.contains(name), "@{name}");
    }
}

#[test]
fn all_that_is_written_is_highlighted_once() {
    let query = query("highlights");
    for text in demo().iter().map(String::as_str).chain([TUNE]) {
        let mut times = vec![0; text.len()];
        for (_, bytes) in captures(&query, text) {
            times[bytes].iter_mut().for_each(|times| *times += 1);
        }
        for ((at, letter), times) in
            text.char_indices().zip(&times).filter(|((_, letter), _)| !letter.is_whitespace())
        {
            assert_eq!(*times, 1, "{letter} at {at} of {text}");
        }
    }
}

#[test]
fn the_hands_are_told_apart() {
    check("highlights", "constant", &["x2", "1:0", "2:0", "1,2", "3:0"]);
    check("highlights", "variable.builtin", &["t"]);
    check("highlights", "function.builtin", &["h2"]);
    check("highlights", "function", &["lick", "lick"]);
    check("highlights", "markup.heading", &["Two Lines", "More"]);
}

#[test]
fn tunes_and_their_sections_fold() {
    check(
        "folds",
        "fold",
        &["tune: Two Lines", "part A x2", "ending 1,2", "phrase lick", "tune: More", "part B"],
    );
}

#[test]
fn a_call_finds_its_phrase() {
    check("locals", "local.definition", &["lick"]);
    check("locals", "local.reference", &["lick"]);
    check("locals", "local.scope", &["tune: Two Lines", "tune: More"]);
}

#[test]
fn comments_may_be_read_as_comments() {
    check("injections", "injection.content", &["# slow"]);
}

#[test]
fn text_objects_are_tunes_sections_bars_and_slots() {
    for (outer, inner) in [("outer", "inner"), ("around", "inside")] {
        let capture = |object: &str, side: &str| format!("{object}.{side}");
        check("textobjects", &capture("class", outer), &["tune: Two Lines", "tune: More"]);
        let inside = ["tune: Two Lines", "# slow", "part A x2", "phrase lick", "tune: More", "part B"];
        check("textobjects", &capture("class", inner), &inside);
        let sections = ["part A x2", "ending 1,2", "phrase lick", "part B"];
        check("textobjects", &capture("function", outer), &sections);
        let slots = ["1:0", "{t 2:0}/2", "t", "2:0", "-", "[3:0 h2]", "3:0", "h2"];
        check("textobjects", &capture("parameter", inner), &slots);
        check("textobjects", &capture("comment", outer), &["# slow"]);
    }
    let music = ["1:0", "|", "{t 2:0}/2-", "|", "ending 1,2", "|", "@lick", "|", "[3:0 h2]!", "|", "%", "|"];
    check("textobjects", "function.inner", &music);
    let bars = ["1:0", "{t 2:0}/2-", "@lick", "[3:0 h2]!", "%"];
    check("textobjects", "block.inner", &bars);
    check("textobjects", "entry.inside", &bars);
}

#[test]
fn endings_are_indented_as_tidy_does() {
    check("indents", "indent.begin", &["ending 1,2"]);
    check("helix/indents", "indent", &["ending 1,2"]);
    // Each editor fails on a name that is another's.
    assert_eq!(query("indents").capture_names(), ["indent.begin"]);
    assert_eq!(query("helix/indents").capture_names(), ["indent"]);
}

#[test]
fn one_list_names_every_query() {
    let file = fs::read_to_string(root().join("grammar/tree-sitter/tree-sitter.json")).unwrap();
    let grammar: HashMap<String, serde_json::Value> = serde_json::from_str(&file).unwrap();
    for name in ["highlights", "locals", "injections"] {
        let path = grammar["grammars"][0][name].as_str().unwrap();
        assert!(root().join("grammar/tree-sitter").join(path).exists(), "{path}");
    }
}
