//! A text made tidy.

use lope_tests::book::Book;
use lope_tests::editor::{Document, Editor, Options};
use lope_tests::tunes::{self, Trouble};
use serde_json::{Value, json};

use super::{CLEAN, make_edits, with};

fn edits(editor: &mut Editor, document: &Document) -> Vec<Value> {
    let options = json!({ "tabSize": 4, "insertSpaces": true });
    let params = json!({ "textDocument": document.id(), "options": options });
    editor.request("textDocument/formatting", params).as_array().unwrap().clone()
}

/// Checks that tidying `text` in an editor makes what the terminal makes of it, and that a second time
/// there is nothing to do: the edits of the first.
#[track_caller]
fn check(text: &str) -> Vec<Value> {
    let book = Book::of(&[("a.lope", text)]);
    book.run(&["tidy", "a.lope"]).expect(0);
    let mut editor = Editor::start(Options::default());
    let mut document = editor.open("untitled:a", text);
    let made = edits(&mut editor, &document);
    assert_eq!(edited(text, &made), book.read("a.lope"));
    make_edits(&mut editor, &mut document, &made);
    assert_eq!(edits(&mut editor, &document), [Value::Null; 0]);
    made
}

/// `text`, all of it ASCII and its lines ended by `\n` or `\r\n`, with `edits` made.
fn edited(text: &str, edits: &[Value]) -> String {
    assert!(text.is_ascii());
    let lines: Vec<&str> = text.split_inclusive('\n').collect();
    let offset = |position: &Value| {
        let [line, character] = ["line", "character"].map(|name| position[name].as_u64().unwrap() as usize);
        let before: usize = lines[..line].iter().map(|line| line.len()).sum();
        let within = lines.get(line).map_or(0, |line| line.trim_end_matches(['\r', '\n']).len());
        assert!(character <= within, "{position} is past the end of its line");
        before + character
    };
    let mut text = text.to_owned();
    for edit in edits.iter().rev() {
        let [start, end] = ["start", "end"].map(|end| offset(&edit["range"][end]));
        text.replace_range(start..end, edit["newText"].as_str().unwrap());
    }
    text
}

#[test]
fn editor_and_terminal_tidy_alike() {
    let untidy = CLEAN.replace("  ", " ").replace("\n\n", "\n").replace(" |", "|");
    assert!(!check(&untidy).is_empty());
    assert!(!check(&untidy.replace('\n', "\r\n")).is_empty());
    let loose: String = (0..6).map(|seed| tunes::tune(seed, 500, Trouble::Often)).collect();
    check(&loose.replace(" | ", "|"));
    check("");
}

#[test]
fn only_what_changes_is_touched() {
    assert_eq!(check(CLEAN), [Value::Null; 0]);
    let made = check(&CLEAN.replace("2:0  1:0- -", "2:0    1:0- -"));
    let sizes = made.iter().map(|edit| {
        let [start, end] = ["start", "end"].map(|end| edit["range"][end].clone());
        assert_eq!((&start["line"], &end["line"]), (&json!(4), &json!(4)));
        end["character"].as_u64().unwrap() - start["character"].as_u64().unwrap()
    });
    assert_eq!(sizes.collect::<Vec<_>>(), [2]);
}

#[test]
fn lines_too_many_at_the_end_go_without_an_edit_that_ends_there() {
    for ending in ["\n", "\r\n"] {
        let text = format!("{CLEAN}\n\n\n").replace('\n', ending);
        let made = check(&text);
        let last = u64::try_from(text.matches('\n').count()).unwrap();
        assert_eq!(made.len(), 1);
        assert!(made[0]["range"]["end"]["line"].as_u64().unwrap() < last, "{made:#?}");
    }
}

#[test]
fn a_text_that_is_not_open_is_not_tidied() {
    let (mut editor, document) = with(CLEAN);
    editor.close(&document);
    let params = json!({ "textDocument": document.id(), "options": { "tabSize": 4, "insertSpaces": true } });
    assert_eq!(editor.request("textDocument/formatting", params), Value::Null);
}
