//! Findings for an editor that asks for them.

use std::fs;

use lope_tests::book::Book;
use lope_tests::editor::{Document, Editor, Options};
use serde_json::{Value, json};

use super::{CLEAN, STUMBLE, places, tell_of};

fn pulling(options: Options) -> Editor {
    let mut options = options;
    options.capabilities["textDocument"]["diagnostic"] = json!({ "relatedDocumentSupport": false });
    options.capabilities["workspace"]["diagnostics"] = json!({ "refreshSupport": true });
    Editor::start(options)
}

fn pull(editor: &mut Editor, document: &Document, before: Option<&Value>) -> Value {
    let params = json!({ "textDocument": document.id(), "previousResultId": before });
    editor.request("textDocument/diagnostic", params)
}

/// The files that are not open, as `path kind findings`, in the order of their addresses.
fn pull_book(editor: &mut Editor, book: &Book, before: &Value) -> (Vec<String>, Value) {
    let report = editor.request("workspace/diagnostic", json!({ "previousResultIds": before }));
    told(&report["items"], book)
}

fn told(items: &Value, book: &Book) -> (Vec<String>, Value) {
    let mut items = items.as_array().unwrap().clone();
    items.sort_by_key(|item| item["uri"].as_str().unwrap().to_owned());
    let line = |item: &Value| {
        let path = item["uri"].as_str().unwrap().strip_prefix(&book.uri("")).unwrap().to_owned();
        let findings = item["items"].as_array().map_or_else(String::new, |found| format!(" {}", found.len()));
        assert_eq!(item["version"], Value::Null);
        format!("{path} {}{findings}", item["kind"].as_str().unwrap())
    };
    let lines = items.iter().map(line).collect();
    let results = items.iter().filter(|item| !item["resultId"].is_null());
    let results = results.map(|item| json!({ "uri": item["uri"], "value": item["resultId"] })).collect();
    (lines, results)
}

#[test]
fn it_is_offered_to_those_who_can_only() {
    let offer = |capabilities: Value| {
        let mut options = Options::default();
        options.capabilities["textDocument"]["diagnostic"] = capabilities;
        Editor::spawn(options).initialize()["capabilities"]["diagnosticProvider"].clone()
    };
    assert_eq!(offer(json!({})), json!({ "interFileDependencies": true, "workspaceDiagnostics": true }));
    assert_eq!(offer(Value::Null), Value::Null);
}

#[test]
fn findings_are_told_once_for_as_long_as_they_are_the_same() {
    let mut editor = pulling(Options::default());
    let mut document = editor.open("untitled:tune", STUMBLE);
    let first = pull(&mut editor, &document, None);
    assert_eq!(first["kind"], "full");
    assert_eq!(places(first["items"].as_array().unwrap()), ["4:19-4:21 off-strike"]);
    let again = pull(&mut editor, &document, Some(&first["resultId"]));
    assert_eq!(again, json!({ "kind": "unchanged", "resultId": first["resultId"] }));
    editor.edit(&mut document, (4, 19), (4, 21), "2:3");
    let mended = pull(&mut editor, &document, Some(&first["resultId"]));
    assert_eq!((&mended["kind"], &mended["items"]), (&json!("full"), &json!([])));
    editor.edit(&mut document, (4, 19), (4, 22), "h3");
    assert_eq!(pull(&mut editor, &document, Some(&mended["resultId"]))["resultId"], first["resultId"]);
    editor.close(&document);
    assert_eq!(pull(&mut editor, &document, None), json!({ "kind": "full", "items": [] }));
    let sent = editor.settle();
    let sent = sent.iter().filter(|message| message["method"] == "textDocument/publishDiagnostics");
    assert_eq!(sent.count(), 0, "no finding is shown twice");
}

#[test]
fn a_file_that_is_not_open_can_be_asked_for() {
    let book = Book::of(&[("a.lope", STUMBLE)]);
    let mut editor = pulling(Options::in_folder(book.folder()));
    pull_book(&mut editor, &book, &json!([]));
    let report = pull(&mut editor, &Document { uri: book.uri("a.lope"), version: 0 }, None);
    assert_eq!(places(report["items"].as_array().unwrap()), ["4:19-4:21 off-strike"]);
}

#[test]
fn the_book_is_told_but_for_what_is_open_and_what_is_known() {
    let files = [("a.lope", STUMBLE), ("b.lope", CLEAN), ("c.lope", CLEAN), ("d.lope", STUMBLE)];
    let book = Book::of(&files);
    let mut editor = pulling(Options::in_folder(book.folder()));
    let document = editor.open(&book.uri("d.lope"), STUMBLE);
    let (told, results) = pull_book(&mut editor, &book, &json!([]));
    assert_eq!(told, ["a.lope full 1", "b.lope full 0", "c.lope full 1"]);
    assert_eq!(
        places(pull(&mut editor, &document, None)["items"].as_array().unwrap()),
        ["0:6-0:23 same-title", "4:19-4:21 off-strike"]
    );
    let (told, results) = pull_book(&mut editor, &book, &results);
    assert_eq!(told, ["a.lope unchanged", "b.lope unchanged", "c.lope unchanged"]);
    book.write("a.lope", CLEAN);
    fs::remove_file(book.path("b.lope")).unwrap();
    tell_of(&mut editor, &[(&book.uri("a.lope"), 2), (&book.uri("b.lope"), 3)]);
    let (told, results) = pull_book(&mut editor, &book, &results);
    assert_eq!(told, ["a.lope full 0", "b.lope full 0", "c.lope full 1"]);
    editor.close(&document);
    let (told, _) = pull_book(&mut editor, &book, &results);
    assert_eq!(told, ["a.lope unchanged", "c.lope unchanged", "d.lope full 1"]);
}

#[test]
fn the_book_comes_in_parts_to_those_who_name_them_and_progress_is_shown() {
    let book = Book::new();
    for number in 0..500 {
        book.write(&format!("{number}.lope"), STUMBLE.replace("Loose", &format!("{number}th")));
    }
    let mut editor = pulling(Options::in_folder(book.folder()));
    let params = json!({ "previousResultIds": [], "partialResultToken": "part", "workDoneToken": 7 });
    let rest = editor.request("workspace/diagnostic", params);
    assert_eq!(rest, json!({ "items": [] }));
    let messages = editor.settle();
    let told = |token: Value| {
        let of = messages.iter().filter(move |message| message["params"]["token"] == token);
        of.map(|message| message["params"]["value"].clone()).collect::<Vec<_>>()
    };
    let parts = told(json!("part"));
    let items: Value = parts.iter().flat_map(|part| part["items"].as_array().unwrap().clone()).collect();
    assert_eq!(items.as_array().unwrap().len(), 500);
    assert!(parts.len() >= 5);
    let kinds: Vec<Value> = told(json!(7)).iter().map(|value| value["kind"].clone()).collect();
    assert_eq!((kinds.first(), kinds.last()), (Some(&json!("begin")), Some(&json!("end"))));
}

#[test]
fn asking_for_the_book_can_be_given_up_in_either_way() {
    let book = Book::new();
    for number in 0..1000 {
        book.write(&format!("{number}.lope"), CLEAN);
    }
    let mut editor = pulling(Options::in_folder(book.folder()));
    for by_token in [true, false] {
        tell_of(&mut editor, &[(&book.uri(""), 2)]);
        let token = format!("given up {by_token}");
        let id =
            editor.send("workspace/diagnostic", json!({ "previousResultIds": [], "workDoneToken": token }));
        match by_token {
            true => editor.notify("window/workDoneProgress/cancel", json!({ "token": token })),
            false => editor.notify("$/cancelRequest", json!({ "id": id })),
        }
        let answer = editor.answer(id);
        assert_eq!(answer.expect_err("reading a thousand files takes longer")["code"], -32800);
        editor.wait(|message| {
            message["params"]["token"] == *token && message["params"]["value"]["kind"] == "end"
        });
    }
    let (told, _) = pull_book(&mut editor, &book, &json!([]));
    assert_eq!(told.len(), 1000);
}

#[test]
fn the_editor_is_told_when_findings_are_others() {
    let book = Book::of(&[("a.lope", CLEAN), ("b.lope", CLEAN), ("lope.toml", "")]);
    let mut editor = pulling(Options::in_folder(book.folder()));
    let mut document = editor.open(&book.uri("a.lope"), CLEAN);
    let later = editor.open(&book.uri("b.lope"), CLEAN);
    pull(&mut editor, &document, None);
    pull_until(&mut editor, &later, 1);
    editor.edit(&mut document, (0, 6), (0, 6), "x");
    pull_until(&mut editor, &later, 0);
    editor.edit(&mut document, (0, 6), (0, 7), "");
    pull_until(&mut editor, &later, 1);
    book.write("lope.toml", "rules.same-title = \"off\"\n");
    tell_of(&mut editor, &[(&book.uri("lope.toml"), 2)]);
    pull_until(&mut editor, &later, 0);
}

#[test]
fn the_editor_is_told_when_the_book_changes_what_is_found_in_an_open_file() {
    let book = Book::of(&[("a.lope", STUMBLE), ("lope.toml", "")]);
    let mut editor = pulling(Options::in_folder(book.folder()));
    let document = editor.open(&book.uri("a.lope"), STUMBLE);
    pull_until(&mut editor, &document, 1);
    for (settings, count) in [("rules.off-strike = \"off\"\n", 0), ("", 1)] {
        book.write("lope.toml", settings);
        tell_of(&mut editor, &[(&book.uri("lope.toml"), 2)]);
        pull_until(&mut editor, &document, count);
    }
}

/// Asks for what is found in `document` whenever the server says that findings are others, until they are
/// `count`.
fn pull_until(editor: &mut Editor, document: &Document, count: usize) {
    while pull(editor, document, None)["items"].as_array().unwrap().len() != count {
        editor.wait(|message| message["method"] == "workspace/diagnostic/refresh");
    }
}

#[test]
fn mistakes_in_the_settings_are_sent_to_those_who_ask_as_well() {
    let book = Book::of(&[("a.lope", CLEAN), ("lope.toml", "nobody = 1\n")]);
    let mut editor = pulling(Options::in_folder(book.folder()));
    let sent = editor.wait(|message| message["method"] == "textDocument/publishDiagnostics");
    assert_eq!(sent["params"]["uri"], book.uri("lope.toml"));
}
