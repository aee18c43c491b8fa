//! Places in a text, in each way of counting.

use lope_tests::editor::{Document, Editor, Options, range};
use serde_json::{Value, json};

use super::{STUMBLE, places, with};

fn counting_in(encodings: &[&str]) -> (Editor, Value) {
    let mut editor = Editor::spawn(Options::default().counting_in(encodings));
    let answer = editor.initialize();
    editor.notify("initialized", json!({}));
    let encoding = answer["capabilities"]["positionEncoding"].clone();
    (editor, encoding)
}

fn found(editor: &mut Editor, document: &Document) -> Vec<String> {
    places(&editor.diagnostics(document))
}

#[test]
fn the_encoding_is_agreed_on() {
    let agreed = |encodings: &[&str]| counting_in(encodings).1;
    assert_eq!(agreed(&["utf-16"]), "utf-16");
    assert_eq!(agreed(&["utf-16", "utf-8"]), "utf-8");
    assert_eq!(agreed(&["utf-32", "utf-16"]), "utf-32");
    assert_eq!(agreed(&["utf-7"]), "utf-16");
}

#[test]
fn letters_before_a_finding_count_as_agreed() {
    // Words stand before the stumble: an accent is two bytes, a note sign four bytes and two code units.
    let text = STUMBLE.replace("2:1 t h3", "\"é🎵\" 2:1 t h3");
    for (encoding, at) in [("utf-8", 28), ("utf-16", 25), ("utf-32", 24)] {
        let (mut editor, agreed) = counting_in(&[encoding]);
        assert_eq!(agreed, encoding);
        let document = editor.open("untitled:a", &text);
        assert_eq!(found(&mut editor, &document), [format!("4:{at}-4:{} off-strike", at + 2)]);
        let hover = editor.request("textDocument/hover", document.at(4, at));
        assert_eq!(hover["range"], range((4, at), (4, at + 2)));
    }
}

#[test]
fn edits_count_as_agreed() {
    for (encoding, at) in [("utf-8", 6), ("utf-16", 3), ("utf-32", 2)] {
        let (mut editor, _) = counting_in(&[encoding]);
        let text = STUMBLE.replace("The Loose Shutter", "T");
        let mut document = editor.open("untitled:a", &format!("é🎵{text}"));
        // The tune starts once what stands before it is gone.
        editor.edit(&mut document, (0, 0), (0, at), "");
        assert_eq!(found(&mut editor, &document), ["4:19-4:21 off-strike"]);
    }
}

#[test]
fn every_line_ending_ends_a_line() {
    for ending in ["\n", "\r\n", "\r"] {
        let (mut editor, document) = with(&STUMBLE.replace('\n', ending));
        assert_eq!(found(&mut editor, &document), ["4:19-4:21 off-strike"], "{ending:?}");
    }
    let mixed = STUMBLE.replacen('\n', "\r\n", 1).replacen("part A\n", "part A\r", 1);
    let (mut editor, document) = with(&mixed);
    assert_eq!(found(&mut editor, &document), ["4:19-4:21 off-strike"]);
    // These end a line elsewhere, but not in the protocol.
    let (mut editor, document) = with(&STUMBLE.replace("The Loose", "The\u{2028}L\u{85}oo\u{b}se"));
    assert_eq!(found(&mut editor, &document), ["4:19-4:21 off-strike"]);
}

#[test]
fn a_byte_order_mark_and_a_missing_last_line_break_are_fine() {
    let (mut editor, mut document) = with(&format!("\u{feff}{}", STUMBLE.trim_end()));
    assert_eq!(found(&mut editor, &document), ["4:19-4:21 off-strike"]);
    editor.edit(&mut document, (4, 19), (4, 21), "2:3");
    assert_eq!(found(&mut editor, &document), [""; 0]);
}

#[test]
fn a_place_past_the_end_means_the_end() {
    // Past the end of a line: before its line break.
    let (mut editor, mut document) = with(STUMBLE);
    editor.edit(&mut document, (1, 9999), (1, 9999), " # six eighths");
    assert_eq!(found(&mut editor, &document), ["4:19-4:21 off-strike"]);
    // Past the end of the text.
    editor.edit(&mut document, (99, 0), (4_294_967_295, 7), "part B\n| 2:1 t h3  2:1 - - |\n");
    let both = ["4:19-4:21 off-strike", "5:0-5:6 part-length", "6:8-6:10 off-strike"];
    assert_eq!(found(&mut editor, &document), both);
    assert_eq!(editor.request("textDocument/hover", document.at(99, 99)), Value::Null);
}

#[test]
fn a_place_inside_a_character_means_before_it() {
    // Between the two code units of the sign.
    let (mut editor, mut document) = with(&STUMBLE.replace("The Loose Shutter", "🎵"));
    editor.edit(&mut document, (0, 7), (0, 7), "Loose ");
    let symbols = editor.request("textDocument/documentSymbol", json!({ "textDocument": document.id() }));
    assert_eq!(symbols[0]["name"], "Loose 🎵");
}
