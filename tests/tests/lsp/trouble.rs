//! What goes wrong on either side, and what it costs: the text is the editor's to the letter, and the log says
//! what was done.

use lope_tests::book::Book;
use lope_tests::editor::{Editor, Options};
use serde_json::{Value, json};

use super::{CLEAN, STUMBLE, places, with};

/// A server that makes a mistake in every tune that has this word in it.
fn clumsy(word: &str, options: Options) -> Editor {
    let env = vec![("LOPE_MISTAKE".to_owned(), word.to_owned())];
    Editor::start(Options { env, ..options })
}

#[test]
fn a_rule_that_panics_costs_the_findings_of_a_file_for_as_long_as_it_does() {
    let mut editor = clumsy("Loose", Options::default());
    let other = editor.open("untitled:other", &STUMBLE.replace("Loose", "Other"));
    let mut document = editor.open("untitled:tune", STUMBLE);
    let [failed] = &editor.diagnostics(&document)[..] else { panic!("one finding says so") };
    assert!(failed["message"].as_str().unwrap().contains("a mistake of its own"), "{failed}");
    let said = editor.wait_for_log("a mistake of its own");
    assert!(said.contains("a mistake on purpose") && said.contains("mistakes.rs"), "{said}");
    assert_eq!(editor.ask("textDocument/hover", document.at(4, 19)).unwrap_err()["code"], -32603);
    editor.wait_for_log("a mistake of its own");
    // The others are served, and so is this one once there is nothing to stumble over.
    assert_eq!(places(&editor.diagnostics(&other)), ["4:19-4:21 off-strike"]);
    editor.edit(&mut document, (0, 10), (0, 15), "Tight");
    assert_eq!(places(&editor.diagnostics(&document)), ["4:19-4:21 off-strike"]);
    assert!(editor.request("textDocument/hover", document.at(4, 19)).is_object());
    assert!(!editor.stderr().contains("panicked"), "{}", editor.stderr());
    assert_eq!(editor.stop().code(), Some(0));
}

#[test]
fn a_rule_that_panics_on_the_way_through_a_book_costs_the_findings_of_a_file() {
    let book = Book::of(&[("a.lope", STUMBLE), ("b.lope", &STUMBLE.replace("Loose", "Other"))]);
    let mut editor = clumsy("Loose", Options::in_folder(book.folder()));
    for (name, code) in [("a.lope", Value::Null), ("b.lope", json!("off-strike"))] {
        let uri = book.uri(name);
        let shown = editor.wait(|message| message["params"]["uri"] == uri);
        assert_eq!(shown["params"]["diagnostics"][0]["code"], code, "{name}");
    }
    editor.wait_for_log("a mistake of its own");
}

#[test]
fn an_edit_at_a_place_that_is_not_there_is_made_and_remarked_on() {
    let (mut editor, mut document) = with(&STUMBLE.replace("The Loose", "🎵"));
    let mut remark = |start, end, text: &str, words: &str| {
        editor.edit(&mut document, start, end, text);
        let said = editor.wait_for_log("untitled:tune");
        let version = format!("to version {}", document.version);
        assert!(said.contains(&version) && said.contains(words), "{said}");
    };
    remark((1, 99), (1, 99), " # six", "no place 1:99 (line and character from 0), 1:10 is taken for it");
    remark((77, 3), (77, 3), "# end\n", "no place 77:3 (line and character from 0), 5:0 is taken for it");
    remark((0, 7), (0, 7), "", "no place 0:7 (line and character from 0), 0:6 is taken for it");
    remark((4, 21), (4, 19), "2:3", "the wrong way round and is turned");
    assert_eq!(editor.diagnostics(&document), [Value::Null; 0]);
    // The line after the last is how many editors name the end.
    editor.edit(&mut document, (6, 0), (7, 0), "");
    editor.diagnostics(&document);
    let more = editor.settle().into_iter().filter(|message| message["method"] == "window/logMessage");
    assert_eq!(more.collect::<Vec<_>>(), [Value::Null; 0]);
}

#[test]
fn edits_that_cannot_be_made_are_remarked_on() {
    let (mut editor, mut document) = with(STUMBLE);
    editor.edit(&mut document, (0, 0), (0, 0), "");
    document.version = 0;
    editor.edit(&mut document, (0, 0), (4, 0), "");
    editor.wait_for_log("version 1 comes after version 2");
    let mut nobody = lope_tests::editor::Document { uri: "untitled:nobody".to_owned(), version: 1 };
    editor.edit(&mut nobody, (0, 0), (0, 0), "x");
    editor.wait_for_log("untitled:nobody is left out: it is not open");
}

#[test]
fn an_editor_that_lies_about_what_it_can_do_is_served() {
    let mut options = Options::default();
    // It says it shows findings it asks for, and never asks; that its user's settings can be had, which are odd;
    // and things that are not as the protocol has them.
    options.capabilities["textDocument"]["diagnostic"] = json!({ "dynamicRegistration": true });
    options.capabilities["textDocument"]["callHierarchy"] = json!([{ "dynamicRegistration": false }]);
    options.capabilities["window"] = json!("yes");
    options.capabilities["workspace"]["applyEdit"] = json!(true);
    options.settings = json!([[["?"]]]);
    options.at_start = json!("nothing");
    let mut editor = Editor::start(Options { process: None, ..options });
    editor.wait_for_log("textDocument.callHierarchy counts as not said");
    let document = editor.open("untitled:tune", STUMBLE);
    assert!(editor.request("textDocument/hover", document.at(4, 19)).is_object());
    // It said it would make edits, and refuses them.
    let mend = json!({ "command": "lope.mendFile", "arguments": [document.uri] });
    assert_eq!(editor.request("workspace/executeCommand", mend), Value::Null);
    assert_eq!(editor.stop().code(), Some(0));
}

#[test]
fn an_editor_that_does_not_read_is_waited_for_and_told_the_newest() {
    let (mut editor, mut document) = with(CLEAN);
    editor.diagnostics(&document);
    let many = "| 3:0 t 2:0  2:1 t h3 |\n".repeat(400);
    editor.stop_reading();
    editor.edit(&mut document, (5, 0), (5, 0), &many);
    let before = editor.resident();
    for _ in 0..500 {
        editor.edit(&mut document, (5, 0), (5, 0), "\n");
        editor.edit(&mut document, (5, 0), (6, 0), "");
    }
    editor.edit(&mut document, (6, 0), (6, 0), &many);
    editor.read_on();
    let found = editor.diagnostics(&document);
    assert_eq!(found.iter().filter(|found| found["code"] == "off-strike").count(), 800);
    let grown = editor.resident().saturating_sub(before);
    assert!(grown < 20 * 1024, "{grown} KiB");
    // Each of a thousand versions had findings of 100 KB; what could not be read was not kept.
    let told = editor.settle().into_iter().filter(|message| message["params"]["uri"] == document.uri);
    assert!(told.count() < 20);
}

#[test]
fn an_editor_that_asks_and_does_not_read_is_not_listened_to_for_a_while() {
    let text = lope_tests::tunes::file(3, 100_000, lope_tests::tunes::Trouble::None);
    let mut options = Options::default();
    options.capabilities["textDocument"]["semanticTokens"] =
        super::tokens::capability(&super::tokens::STANDARD, &[]);
    let mut editor = Editor::start(options);
    let document = editor.open("untitled:tune", &text);
    let whole = json!({ "textDocument": document.id() });
    let size = editor.request("textDocument/semanticTokens/full", whole.clone()).to_string().len();
    let before = editor.resident();
    editor.stop_reading();
    // So many answers as are far more than the server keeps, and fewer questions than fill the pipe.
    let count = 60_000_000 / size;
    let ids: Vec<i64> =
        (0..count).map(|_| editor.send("textDocument/semanticTokens/full", whole.clone())).collect();
    editor.wait_until_idle();
    let grown = editor.resident().saturating_sub(before);
    assert!(grown < 40 * 1024, "{grown} KiB for answers of {} KiB in all", count * size / 1024);
    editor.read_on();
    assert!(ids.into_iter().all(|id| editor.answer(id).is_ok()));
}

#[test]
fn ten_thousand_edits_and_questions_are_heeded_to_the_last() {
    let (mut editor, mut document) = with(CLEAN);
    let mut ids = Vec::new();
    for number in 0..10_000 {
        match number % 2 {
            0 => editor.edit(&mut document, (0, 6), (0, 6), "x"),
            _ => editor.edit(&mut document, (0, 6), (0, 7), ""),
        }
        ids.push(editor.send("textDocument/documentSymbol", json!({ "textDocument": document.id() })));
    }
    editor.edit(&mut document, (4, 19), (4, 22), "h3");
    assert_eq!(places(&editor.diagnostics(&document)), ["4:19-4:21 off-strike"]);
    let names = ids.into_iter().map(|id| editor.answer(id).unwrap()[0]["name"].take());
    assert!(
        names
            .into_iter()
            .all(|name| ["The Tight Shutter", "xThe Tight Shutter"].contains(&name.as_str().unwrap()))
    );
}
