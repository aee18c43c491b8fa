//! Files in a book: what its `lope.toml` says counts, and counts anew when it changes.

use std::fs;

use lope_tests::book::{self, Book};
use lope_tests::editor::{Editor, Options};
use serde_json::{Value, json};

use super::{STUMBLE, tell_of};

const HINTS: &str = "[rules]\noff-strike = \"hint\"\n";

fn watching(book: &Book) -> Editor {
    let mut options = Options::in_folder(book.folder());
    options.capabilities["workspace"]["didChangeWatchedFiles"] = json!({ "dynamicRegistration": true });
    Editor::start(options)
}

/// The next findings of `uri`, which is open, as severities.
fn severities(editor: &mut Editor, uri: &str) -> Vec<i64> {
    let message =
        editor.wait(|message| is_of(message, uri) && message["params"]["version"].is_i64())["params"].take();
    let found = message["diagnostics"].as_array().unwrap();
    found.iter().map(|found| found["severity"].as_i64().unwrap()).collect()
}

fn next(editor: &mut Editor, uri: &str) -> Value {
    editor.wait(|message| is_of(message, uri))["params"].take()
}

fn is_of(message: &Value, uri: &str) -> bool {
    message["method"] == "textDocument/publishDiagnostics" && message["params"]["uri"] == uri
}

#[test]
fn the_editor_is_asked_to_watch_the_books() {
    let book = Book::new();
    let mut editor = watching(&book);
    let asked = editor.wait(|message| message["method"] == "client/registerCapability");
    let registration = &asked["params"]["registrations"][0];
    assert_eq!(registration["method"], "workspace/didChangeWatchedFiles");
    let watchers = &registration["registerOptions"]["watchers"];
    assert_eq!(*watchers, json!([{ "globPattern": "**/lope.toml" }, { "globPattern": "**/*.lope" }]));
}

#[test]
fn a_change_of_the_book_counts_at_once() {
    let book = Book::of(&[("jigs/a.lope", STUMBLE)]);
    let mut editor = watching(&book);
    let uri = book.uri("jigs/a.lope");
    editor.open(&uri, STUMBLE);
    assert_eq!(severities(&mut editor, &uri), [2]);
    book.write("lope.toml", HINTS);
    tell_of(&mut editor, &[(&book.uri("lope.toml"), 1)]);
    assert_eq!(severities(&mut editor, &uri), [4]);
    book.write("lope.toml", "[rules]\noff-strike = \"off\"\n");
    tell_of(&mut editor, &[(&book.uri("lope.toml"), 2)]);
    assert_eq!(severities(&mut editor, &uri), [0; 0]);
    fs::remove_file(book.path("lope.toml")).unwrap();
    tell_of(&mut editor, &[(&book.uri("lope.toml"), 3)]);
    assert_eq!(severities(&mut editor, &uri), [2]);
}

#[test]
fn a_broken_book_is_a_finding_in_it_and_what_it_said_before_stands() {
    let book = Book::of(&[("a.lope", STUMBLE), ("lope.toml", HINTS)]);
    let mut editor = watching(&book);
    let (uri, toml) = (book.uri("a.lope"), book.uri("lope.toml"));
    editor.open(&uri, STUMBLE);
    assert_eq!(severities(&mut editor, &uri), [4]);

    book.write("lope.toml", "[rules]\noff-strike = \"hint\"\n[neck\n");
    tell_of(&mut editor, &[(&toml, 2)]);
    let broken = next(&mut editor, &toml);
    let [mistake] = &broken["diagnostics"].as_array().unwrap()[..] else { panic!("{broken:#}") };
    assert_eq!(mistake["code"], "bad-setting");
    assert_eq!(mistake["range"]["start"]["line"], 2);
    let message = mistake["message"].as_str().unwrap();
    assert!(message.ends_with("what it said before stands"), "{message}");
    assert_eq!(severities(&mut editor, &uri), [4]);

    book.write("lope.toml", "[rules]\noff-strike = \"error\"\n");
    tell_of(&mut editor, &[(&toml, 2)]);
    assert_eq!(next(&mut editor, &toml)["diagnostics"], json!([]));
    assert_eq!(severities(&mut editor, &uri), [1]);
}

#[test]
fn a_slip_in_the_book_is_a_finding_and_the_rest_counts() {
    let book =
        Book::of(&[("a.lope", STUMBLE), ("lope.toml", &format!("# é🎵\n{HINTS}of-strike = \"off\"\n"))]);
    let mut editor = watching(&book);
    let uri = book.uri("a.lope");
    editor.open(&uri, STUMBLE);
    let mistakes = next(&mut editor, &book.uri("lope.toml"));
    assert_eq!(mistakes["diagnostics"][0]["range"]["start"], json!({ "line": 3, "character": 0 }));
    assert_eq!(severities(&mut editor, &uri), [4]);
}

#[cfg(unix)]
#[test]
fn a_folder_reached_by_a_link_goes_by_the_name_of_the_link() {
    let book = Book::of(&[("real/a.lope", STUMBLE), ("real/lope.toml", "[rules]\nnobody = \"off\"\n")]);
    let link = book.path("link");
    std::os::unix::fs::symlink(book.path("real"), &link).unwrap();
    let mut editor = Editor::start(Options::in_folder(link.clone()));
    let [uri, toml] = ["a.lope", "lope.toml"].map(|name| book::uri(&link.join(name)));
    editor.open(&uri, STUMBLE);
    assert_eq!(next(&mut editor, &toml)["diagnostics"].as_array().unwrap().len(), 1);
    assert_eq!(severities(&mut editor, &uri), [2]);
}

#[test]
fn every_folder_counts_by_its_own_book_and_an_unsaved_tune_by_the_first() {
    let (one, other) = (Book::of(&[("lope.toml", HINTS)]), Book::of(&[("b.lope", STUMBLE)]));
    let mut editor = watching(&one);
    editor.open("untitled:new", STUMBLE);
    assert_eq!(severities(&mut editor, "untitled:new"), [4]);
    let added = json!([{ "uri": other.uri(""), "name": "other" }]);
    let removed = json!([{ "uri": one.uri(""), "name": "book" }]);
    editor.open(&other.uri("b.lope"), STUMBLE);
    assert_eq!(severities(&mut editor, &other.uri("b.lope")), [2]);
    editor.notify(
        "workspace/didChangeWorkspaceFolders",
        json!({ "event": { "added": added, "removed": removed } }),
    );
    assert_eq!(severities(&mut editor, "untitled:new"), [2]);
}
