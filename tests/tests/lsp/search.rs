//! Tunes, parts and phrases by name, across open files and open folders.

use std::fs::remove_file;
use std::thread::sleep;
use std::time::{Duration, Instant};

use lope_tests::book::Book;
use lope_tests::editor::{Editor, Options, PATIENCE};
use serde_json::{Value, json};

use super::tell_of;

fn found(editor: &mut Editor, query: &str) -> Vec<String> {
    let symbols = editor.request("workspace/symbol", json!({ "query": query }));
    let show = |symbol: &Value| {
        let start = &symbol["location"]["range"]["start"];
        let uri = symbol["location"]["uri"].as_str().unwrap();
        let inside = symbol["containerName"].as_str().unwrap_or("-");
        let name = symbol["name"].as_str().unwrap();
        format!("{name} in {inside}, {uri} {}:{}", start["line"], start["character"])
    };
    symbols.as_array().unwrap().iter().map(show).collect()
}

#[test]
fn every_open_file_is_searched() {
    let mut editor = Editor::start(Options::default());
    let b = editor.open("untitled:b", "tune: Low Water\nmeter: 6/8\n\npart A\n| 1:0 |\n\nphrase wade\n1:0\n");
    editor.open("untitled:a", "# é🎵\r\ntune: 🎵 Wading\r\nmeter: 6/8\r\n\r\ntune: Walls\r\nmeter: 6/8\r\n");
    assert_eq!(
        found(&mut editor, "WAD"),
        ["🎵 Wading in -, untitled:a 1:6", "phrase wade in Low Water, untitled:b 6:0"]
    );
    assert_eq!(found(&mut editor, "wl"), ["Walls in -, untitled:a 4:6"]);
    assert_eq!(found(&mut editor, "").len(), 5);
    assert_eq!(found(&mut editor, "zz"), [""; 0]);
    editor.close(&b);
    assert_eq!(found(&mut editor, "low"), [""; 0]);
}

/// Asks for `query` until what is found is `expected`, with `book` before each path: files are read beside.
fn until_found(editor: &mut Editor, query: &str, book: &Book, expected: &[&str]) {
    let expected: Vec<String> = expected.iter().map(|found| found.replace("BOOK/", &book.uri(""))).collect();
    let deadline = Instant::now() + PATIENCE;
    while found(editor, query) != expected {
        assert!(Instant::now() < deadline, "{:?} and not {expected:?}", found(editor, query));
        sleep(Duration::from_millis(5));
    }
}

const WADE: &str = "tune: Low Water\nmeter: 6/8\n\npart A\n| 1:0 |\n\nphrase wade\n1:0\n";

#[test]
fn files_that_are_not_open_are_searched() {
    let book = Book::of(&[
        ("jigs/a.lope", WADE),
        ("b.lope", "# é🎵\ntune: 🎵 Wading\nmeter: 6/8\n\ntune: Wet Aid\nmeter: 6/8\n"),
    ]);
    let mut editor = Editor::start(Options::in_folder(book.folder()));
    let low = "phrase wade in Low Water, BOOK/jigs/a.lope 6:0";
    let wading = "🎵 Wading in -, BOOK/b.lope 1:6";
    // What has the word in one piece comes first, and tunes before what is in them.
    until_found(&mut editor, "wad", &book, &[wading, low, "Wet Aid in -, BOOK/b.lope 4:6"]);
    // An open file is what the editor holds of it, and once closed what is on the disk.
    let mut document = editor.open(&book.uri("b.lope"), "tune: Nothing Yet\nmeter: 6/8\n");
    until_found(&mut editor, "wad", &book, &[low]);
    editor.edit(&mut document, (0, 6), (0, 17), "Wadi");
    until_found(&mut editor, "wad", &book, &["Wadi in -, BOOK/b.lope 0:6", low]);
    editor.close(&document);
    until_found(&mut editor, "wading", &book, &[wading]);
}

#[test]
fn a_search_follows_what_happens_on_the_disk() {
    let (book, other) = (Book::of(&[("a.lope", WADE)]), Book::of(&[("c.lope", WADE)]));
    let mut editor = Editor::start(Options::in_folder(book.folder()));
    until_found(&mut editor, "low", &book, &["Low Water in -, BOOK/a.lope 0:6"]);
    book.write("a.lope", WADE.replace("Low Water", "High Water"));
    book.write("b.lope", format!("# slow\n{WADE}"));
    tell_of(&mut editor, &[(&book.uri("a.lope"), 2), (&book.uri("b.lope"), 1)]);
    until_found(
        &mut editor,
        "water",
        &book,
        &["High Water in -, BOOK/a.lope 0:6", "Low Water in -, BOOK/b.lope 1:6"],
    );
    remove_file(book.path("b.lope")).unwrap();
    tell_of(&mut editor, &[(&book.uri("b.lope"), 3)]);
    until_found(&mut editor, "low", &book, &[]);
    // A second folder is opened, and the first one closed.
    let folder = |book: &Book| json!([{ "uri": book.uri(""), "name": "book" }]);
    let add = json!({ "event": { "added": folder(&other), "removed": [] } });
    editor.notify("workspace/didChangeWorkspaceFolders", add);
    until_found(&mut editor, "low", &other, &["Low Water in -, BOOK/c.lope 0:6"]);
    assert_eq!(found(&mut editor, "water").len(), 2);
    let remove = json!({ "event": { "added": [], "removed": folder(&book) } });
    editor.notify("workspace/didChangeWorkspaceFolders", remove);
    until_found(&mut editor, "water", &other, &["Low Water in -, BOOK/c.lope 0:6"]);
}
