//! The shape of a text: what folds, what a selection grows to, what is a link.

use lope_tests::editor::Options;
use serde_json::{Value, json};

use super::counted::{Counted, ENCODINGS};

const TUNE: &str = "\
# Of the harbour,
# 🎵 by heart.
tune: 🎵 Rows  # slow
kind: jig
source: 🎵 https://example.org/a_(b), p. 3
meter: 6/8

part A
| \"🎵\" 2:1 t 2:0  3:0 t 2:0 |
  ending 1
| 1:0 - -  1:0 - - |
";

fn folds(counted: &mut Counted) -> Vec<String> {
    let found = counted.ask_all("textDocument/foldingRange");
    let end = |fold: &Value, end: &str| match &fold[format!("{end}Character")] {
        Value::Null => fold[format!("{end}Line")].to_string(),
        character => format!("{}:{character}", fold[format!("{end}Line")]),
    };
    let show = |fold: &Value| {
        format!("{}-{} {}", end(fold, "start"), end(fold, "end"), fold["kind"].as_str().unwrap_or("-"))
    };
    found.as_array().unwrap().iter().map(show).collect()
}

#[test]
fn tunes_headers_sections_and_comments_fold() {
    for (encoding, title) in [("utf-8", 15), ("utf-16", 13), ("utf-32", 12)] {
        for line_break in ["\n", "\r\n"] {
            let text = TUNE.replace('\n', line_break);
            let mut counted = Counted::open(Options::default(), encoding, &text);
            let tune = format!("2:{title}-10:20 -");
            let expected = [&tune, "7:6-10:20 -", "9:10-10:20 -", "3:9-5:10 -"];
            let comments = match encoding {
                "utf-8" => "0:17-1:16 comment",
                "utf-16" => "0:17-1:14 comment",
                _ => "0:17-1:13 comment",
            };
            let expected: Vec<&str> = expected.into_iter().chain([comments]).collect();
            assert_eq!(folds(&mut counted), expected);
        }
    }
}

#[test]
fn whole_lines_fold_where_the_editor_knows_no_other_way() {
    let mut options = Options::default();
    options.capabilities["textDocument"]["foldingRange"] =
        json!({ "lineFoldingOnly": true, "rangeLimit": 3 });
    let mut counted = Counted::open(options, "utf-16", TUNE);
    assert_eq!(folds(&mut counted), ["2-10 -", "7-10 -", "9-10 -"]);
}

/// What a selection grows to at the cursor, each step but the whole file.
fn steps(counted: &mut Counted) -> Vec<String> {
    let mut params = counted.here();
    let place = params["position"].take();
    params["positions"] = json!([{ "line": 0, "character": 0 }, place, { "line": 999, "character": 7 }]);
    let found = counted.editor.request("textDocument/selectionRange", params);
    assert_eq!(found.as_array().unwrap().len(), 3);
    let mut steps = Vec::new();
    let mut step = &found[1];
    while !step.is_null() {
        steps.push(counted.text[counted.bytes(&step["range"])].to_owned());
        step = &step["parent"];
    }
    assert_eq!(steps.pop().as_deref(), Some(counted.text.as_str()));
    steps
}

#[test]
fn a_selection_grows_from_the_note_to_the_tune() {
    for encoding in ENCODINGS {
        for line_break in ["\n", "\r\n", "\r"] {
            let marked = TUNE.replace("2:1 t", "2:1 $0t").replace('\n', line_break);
            let mut counted = Counted::open(Options::default(), encoding, &marked);
            let steps = steps(&mut counted);
            let expected =
                ["t", "2:1 t 2:0", "\"🎵\" 2:1 t 2:0  3:0 t 2:0", "| \"🎵\" 2:1 t 2:0  3:0 t 2:0 |"];
            assert_eq!(steps[..4], expected);
            assert!(steps[4].starts_with("part A") && steps[4].ends_with("- - |"));
            assert_eq!(steps.len(), 5);
        }
    }
}

#[test]
fn addresses_in_fields_are_links() {
    let mut options = Options::default();
    options.capabilities["textDocument"]["documentLink"] = json!({ "tooltipSupport": true });
    for encoding in ENCODINGS {
        let mut counted = Counted::open(options.clone(), encoding, TUNE);
        let links = counted.ask_all("textDocument/documentLink");
        assert_eq!(links.as_array().unwrap().len(), 1);
        assert_eq!(&counted.text[counted.bytes(&links[0]["range"])], "https://example.org/a_(b)");
        assert_eq!(links[0]["target"], "https://example.org/a_(b)");
        assert_eq!(links[0]["tooltip"], "open the source of this tune");
    }
    let mut counted = Counted::open(Options::default(), "utf-16", TUNE);
    assert_eq!(counted.ask_all("textDocument/documentLink")[0].get("tooltip"), None);
}

#[test]
fn an_empty_text_has_no_shape() {
    let mut counted = Counted::open(Options::default(), "utf-16", "$0");
    assert_eq!(counted.ask_all("textDocument/foldingRange"), json!([]));
    assert_eq!(counted.ask_all("textDocument/documentLink"), json!([]));
    assert_eq!(steps(&mut counted), [""; 0]);
}
