//! Files that are not open, as an editor that is sent findings learns of them.

use std::collections::BTreeMap;
use std::fs;

use lope_tests::book::{self, Book};
use lope_tests::editor::{Editor, Options};
use lope_tests::tunes::{self, Trouble};
use serde_json::{Value, json};

use super::{CLEAN, STUMBLE, places, tell_of};

/// What `uri` is shown next, open or not.
fn next(editor: &mut Editor, uri: &str) -> Value {
    let is_of = |message: &Value| {
        message["method"] == "textDocument/publishDiagnostics" && message["params"]["uri"] == uri
    };
    editor.wait(is_of)["params"].take()
}

/// Waits until the rules of what `uri` is shown are `rules`: files are read in no order, and what is found in one
/// may change with the next.
fn until(editor: &mut Editor, uri: &str, rules: &[&str]) {
    loop {
        let found = next(editor, uri)["diagnostics"].take();
        let codes = found.as_array().unwrap().iter().map(|found| found["code"].as_str().unwrap());
        if codes.eq(rules.iter().copied()) {
            return;
        }
    }
}

/// Waits until `uri` is shown one finding that ends in `said`.
fn until_said(editor: &mut Editor, uri: &str, said: &str) -> Value {
    loop {
        let found = next(editor, uri)["diagnostics"][0].take();
        if found["message"].as_str().is_some_and(|message| message.ends_with(said)) {
            return found;
        }
    }
}

/// What is shown of each file once nothing more comes: those that were sent something.
fn shown(editor: &mut Editor) -> BTreeMap<String, Vec<Value>> {
    let mut shown = BTreeMap::new();
    for message in editor.settle() {
        if message["method"] == "textDocument/publishDiagnostics" {
            let found = message["params"]["diagnostics"].as_array().unwrap().clone();
            shown.insert(message["params"]["uri"].as_str().unwrap().to_owned(), found);
        }
    }
    shown
}

#[test]
fn files_that_are_not_open_are_checked_and_those_left_out_are_not() {
    let book = Book::of(&[
        ("a.lope", STUMBLE),
        ("jigs/b.lope", STUMBLE.replace("Loose", "Other").as_str()),
        ("fine.lope", CLEAN),
        ("old/c.lope", STUMBLE),
        (".hidden.lope", STUMBLE),
        ("notes.txt", STUMBLE),
        ("lope.toml", "leave-out = \"old/\"\n"),
        ("z.lope", &STUMBLE.replace("Loose", "Last")),
    ]);
    let mut editor = Editor::start(Options::in_folder(book.folder()));
    for name in ["a.lope", "jigs/b.lope", "z.lope"] {
        let found = next(&mut editor, &book.uri(name));
        assert_eq!(places(found["diagnostics"].as_array().unwrap()), ["4:19-4:21 off-strike"], "{name}");
        assert_eq!(found.get("version"), None, "a file that is not open has no version");
    }
    assert_eq!(shown(&mut editor), BTreeMap::new(), "files without a finding are not spoken of");
}

#[test]
fn what_is_shown_of_a_book_is_what_the_terminal_shows() {
    let mut files: Vec<(String, String)> = Vec::new();
    for seed in 0..30 {
        let trouble = if seed % 3 == 0 { Trouble::None } else { Trouble::Often };
        // Every tenth tune is there twice, and so is its title.
        files.push((format!("{}/{seed}.lope", seed % 4), tunes::file(seed / 10 * 10, 1500, trouble)));
    }
    let files: Vec<(&str, &str)> = files.iter().map(|(path, text)| (path.as_str(), text.as_str())).collect();
    let book = Book::of(&files);
    let report: Value = serde_json::from_str(&book.run(&["check", "--as", "json", "."]).out).unwrap();
    let mut terminal = BTreeMap::new();
    for file in report["files"].as_array().unwrap() {
        let mut told: Vec<String> = file["findings"].as_array().unwrap().iter().map(in_terminal).collect();
        told.sort_unstable();
        terminal.insert(book.uri(file["path"].as_str().unwrap()), told);
    }
    assert!(terminal.len() > 20 && terminal.values().flatten().any(|told| told.contains("same-title")));

    let mut editor = Editor::start(Options::in_folder(book.folder()).counting_in(&["utf-32"]));
    // One of them is open, and is as it is on the disk.
    editor.open(&book.uri("1/13.lope"), &book.read("1/13.lope"));
    let mut told = BTreeMap::new();
    while told != terminal {
        let message = editor.wait(|message| message["method"] == "textDocument/publishDiagnostics");
        let found = message["params"]["diagnostics"].as_array().unwrap();
        let mut found: Vec<String> = found.iter().map(in_editor).collect();
        found.sort_unstable();
        told.insert(message["params"]["uri"].as_str().unwrap().to_owned(), found);
        told.retain(|_, found| !found.is_empty());
    }
}

fn in_terminal(found: &Value) -> String {
    let start = &found["start"];
    format!("{}:{} {} {}", start["line"], start["column"], found["rule"].as_str().unwrap(), titles(found))
}

fn in_editor(found: &Value) -> String {
    let start = &found["range"]["start"];
    let [line, column] = ["line", "character"].map(|name| start[name].as_u64().unwrap() + 1);
    format!("{line}:{column} {} {}", found["code"].as_str().unwrap(), titles(found))
}

/// What is said where a tune has the title of another: which one, in the words of editor and terminal alike.
fn titles(found: &Value) -> &str {
    let said = found["message"].as_str().unwrap();
    if said.starts_with("another tune") { said } else { "" }
}

#[test]
fn a_title_is_compared_with_those_of_all_files_as_it_is_typed() {
    let book = Book::of(&[("a.lope", CLEAN), ("b.lope", CLEAN)]);
    let (a, b) = (book.uri("a.lope"), book.uri("b.lope"));
    let mut editor = Editor::start(Options::in_folder(book.folder()));
    let found = until_said(&mut editor, &b, "another tune has this title: see a.lope, line 1");
    let other = &found["relatedInformation"][0]["location"];
    assert_eq!((&other["uri"], &other["range"]["start"]), (&json!(a), &json!({ "line": 0, "character": 6 })));
    // The first one gets another title, and then another line.
    let mut document = editor.open(&a, CLEAN);
    editor.edit(&mut document, (0, 6), (0, 9), "Not the");
    until(&mut editor, &b, &[]);
    editor.edit(&mut document, (0, 6), (0, 13), "The");
    until(&mut editor, &b, &["same-title"]);
    editor.edit(&mut document, (0, 0), (0, 0), "# a book\n");
    until_said(&mut editor, &b, "see a.lope, line 2");
    // The later one is opened, and the first one closed: on the disk it is as it was.
    let later = editor.open(&b, CLEAN);
    assert_eq!(places(&editor.diagnostics(&later)), ["0:6-0:23 same-title"]);
    editor.close(&document);
    until_said(&mut editor, &b, "see a.lope, line 1");
}

#[test]
fn a_closed_file_is_cleared_until_it_changes_on_the_disk() {
    let book = Book::of(&[("a.lope", STUMBLE)]);
    let uri = book.uri("a.lope");
    let mut editor = Editor::start(Options::in_folder(book.folder()));
    until(&mut editor, &uri, &["off-strike"]);
    let document = editor.open(&uri, STUMBLE);
    editor.diagnostics(&document);
    editor.close(&document);
    assert_eq!(next(&mut editor, &uri)["diagnostics"], json!([]));
    book.write("b.lope", STUMBLE.replace("Loose", "Other"));
    tell_of(&mut editor, &[(&book.uri("b.lope"), 1)]);
    until(&mut editor, &book.uri("b.lope"), &["off-strike"]);
    assert_eq!(shown(&mut editor), BTreeMap::new(), "nothing follows");
    book.write("a.lope", format!("{STUMBLE}\n"));
    tell_of(&mut editor, &[(&uri, 2)]);
    until(&mut editor, &uri, &["off-strike"]);
}

#[test]
fn files_that_change_are_read_again_and_those_that_go_are_cleared() {
    let book = Book::of(&[("a.lope", STUMBLE), ("jigs/b.lope", STUMBLE)]);
    let (a, b) = (book.uri("a.lope"), book.uri("jigs/b.lope"));
    let mut editor = Editor::start(Options::in_folder(book.folder()));
    until(&mut editor, &a, &["off-strike"]);
    until(&mut editor, &b, &["same-title", "off-strike"]);
    book.write("a.lope", CLEAN);
    tell_of(&mut editor, &[(&a, 2)]);
    until(&mut editor, &a, &[]);
    until(&mut editor, &b, &["off-strike"]);
    // A folder is given another name in the editor, and then deleted.
    fs::rename(book.path("jigs"), book.path("old jigs")).unwrap();
    let files = json!([{ "oldUri": book.uri("jigs"), "newUri": book.uri("old jigs") }]);
    editor.notify("workspace/didRenameFiles", json!({ "files": files }));
    until(&mut editor, &b, &[]);
    until(&mut editor, &book.uri("old jigs/b.lope"), &["off-strike"]);
    fs::remove_dir_all(book.path("old jigs")).unwrap();
    editor.notify("workspace/didDeleteFiles", json!({ "files": [{ "uri": book.uri("old jigs") }] }));
    until(&mut editor, &book.uri("old jigs/b.lope"), &[]);
}

#[test]
fn an_open_file_that_is_deleted_is_cleared_and_stays_the_editors() {
    let book = Book::of(&[("a.lope", STUMBLE)]);
    let mut editor = Editor::start(Options::in_folder(book.folder()));
    let mut document = editor.open(&book.uri("a.lope"), STUMBLE);
    assert_eq!(editor.diagnostics(&document).len(), 1);
    fs::remove_file(book.path("a.lope")).unwrap();
    editor.notify("workspace/didDeleteFiles", json!({ "files": [{ "uri": document.uri }] }));
    assert_eq!(editor.diagnostics(&document), [Value::Null; 0]);
    editor.edit(&mut document, (4, 0), (4, 0), " ");
    assert_eq!(editor.diagnostics(&document).len(), 1);
}

#[test]
fn folders_come_and_go_with_what_is_in_them() {
    let (one, other) = (Book::of(&[("a.lope", STUMBLE)]), Book::of(&[("b.lope", STUMBLE)]));
    let mut editor = Editor::start(Options::in_folder(one.folder()));
    until(&mut editor, &one.uri("a.lope"), &["off-strike"]);
    let folder = |book: &Book| json!([{ "uri": book.uri(""), "name": "book" }]);
    let change = json!({ "event": { "added": folder(&other), "removed": folder(&one) } });
    editor.notify("workspace/didChangeWorkspaceFolders", change);
    until(&mut editor, &one.uri("a.lope"), &[]);
    until(&mut editor, &other.uri("b.lope"), &["off-strike"]);
}

#[test]
fn a_file_that_is_not_text_says_so() {
    let book = Book::of(&[("a.lope", b"tune: A\nby: \xff\n".as_slice())]);
    let mut editor = Editor::start(Options::in_folder(book.folder()));
    let found = next(&mut editor, &book.uri("a.lope"))["diagnostics"].take();
    assert_eq!(found[0]["message"], "byte 0xff is not UTF-8 text; save the file as UTF-8");
    assert_eq!(found[0]["range"]["start"], json!({ "line": 1, "character": 4 }));
}

#[cfg(target_os = "linux")]
#[test]
fn a_large_file_that_is_not_open_is_read_in_little_room() {
    let text = tunes::file(1, 2_000_000, Trouble::None);
    let resident = |text: &str| {
        let book = Book::of(&[("large.lope", text), ("small.lope", STUMBLE)]);
        let mut editor = Editor::start(Options::in_folder(book.folder()));
        // Two names are of the small file: once there are four, both are read.
        while editor.request("workspace/symbol", json!({ "query": "" })).as_array().unwrap().len() < 4 {}
        editor.resident()
    };
    let (small, large) = (resident(CLEAN), resident(&text));
    // All that can be known of it at once takes forty times its text.
    assert!(large < small + 10 * 2_000, "{large} KiB and not {small}");
}

#[cfg(unix)]
#[test]
fn a_folder_behind_a_link_is_told_of_by_the_name_of_the_link() {
    let book =
        Book::of(&[("real/a.lope", STUMBLE), ("real/b.lope", CLEAN), ("real/lope.toml", "nobody = 1\n")]);
    let link = book.path("link");
    std::os::unix::fs::symlink(book.path("real"), &link).unwrap();
    let mut editor = Editor::start(Options::in_folder(link.clone()));
    until(&mut editor, &book::uri(&link.join("a.lope")), &["off-strike"]);
    until(&mut editor, &book::uri(&link.join("lope.toml")), &["bad-setting"]);
    // The other name of a file is the same file, and no second tune of that title.
    let document = editor.open(&book.uri("real/b.lope"), CLEAN);
    assert_eq!(editor.diagnostics(&document), [Value::Null; 0]);
}

/// As many files as make the editor show how far it is.
fn many(count: usize) -> Book {
    let book = Book::new();
    for number in 0..count {
        book.write(
            &format!("{}/{number}.lope", number % 7),
            STUMBLE.replace("Loose", &format!("{number}th")),
        );
    }
    book
}

fn progress<'m>(messages: &'m [Value], kind: &'m str) -> impl Iterator<Item = &'m Value> {
    let is = move |message: &&Value| {
        message["method"] == "$/progress" && message["params"]["value"]["kind"] == kind
    };
    messages.iter().filter(is)
}

#[test]
fn going_through_a_book_is_shown_and_holds_up_no_edit() {
    let book = many(3000);
    let mut editor = Editor::start(Options::in_folder(book.folder()));
    let created = editor.wait(|message| message["method"] == "window/workDoneProgress/create");
    let token = created["params"]["token"].clone();
    let is = |message: &Value, kind: &str| {
        message["method"] == "$/progress"
            && message["params"]["token"] == token
            && message["params"]["value"]["kind"] == kind
    };
    editor.wait(|message| is(message, "begin"));
    let mut document = editor.open("untitled:tune", CLEAN);
    editor.diagnostics(&document);
    editor.edit(&mut document, (0, 0), (0, 0), "# first\n");
    editor.diagnostics(&document);
    let before = editor.settle();
    assert_eq!(progress(&before, "end").count(), 0, "the edit waited for the book");
    editor.wait(|message| is(message, "end"));
    let after = editor.settle();
    let told = before.iter().chain(&after).filter(|message| message["params"]["uri"].is_string());
    assert_eq!(told.count(), 3000);
}

#[test]
fn going_through_a_book_can_be_given_up() {
    let book = many(3000);
    let mut editor = Editor::start(Options::in_folder(book.folder()));
    // What is given up before it is shown is never shown: it has no end to wait for.
    let begun = editor.wait(|message| message["params"]["value"]["kind"] == "begin");
    editor.notify("window/workDoneProgress/cancel", json!({ "token": begun["params"]["token"] }));
    editor.wait(|message| message["params"]["value"]["kind"] == "end");
    let told = editor.settle().iter().filter(|message| message["params"]["uri"].is_string()).count();
    assert!(told < 3000, "{told}");
    // What was given up is taken up again when there is a reason to.
    tell_of(&mut editor, &[(&book.uri("none.lope"), 3)]);
    for _ in told..3000 {
        editor.wait(|message| message["params"]["uri"].is_string());
    }
}
