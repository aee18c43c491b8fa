//! Texts that open, change and close.

use lope_tests::editor::{Editor, Options, range};
use lope_tests::tunes::{self, Trouble};
use serde_json::{Value, json};

use super::{CLEAN, STUMBLE, places, with};

/// The published versions and how many findings each had, in the order they came.
fn published(messages: &[Value], uri: &str) -> Vec<(i64, usize)> {
    let of = |message: &&Value| {
        message["method"] == "textDocument/publishDiagnostics" && message["params"]["uri"] == uri
    };
    let messages = messages.iter().filter(of).map(|message| &message["params"]);
    messages
        .map(|params| (params["version"].as_i64().unwrap(), params["diagnostics"].as_array().unwrap().len()))
        .collect()
}

#[test]
fn four_hundred_fast_edits_end_exact() {
    let (mut editor, mut document) = with(CLEAN);
    let line = CLEAN.lines().nth(4).unwrap();
    let stumble = line.replace("2:1 t 2:3", "2:1 t h3");
    // Each edit writes the line anew: character by character, from the front.
    let mut now = line.to_owned();
    for round in 0..4 {
        let goal = if round % 2 == 0 { stumble.as_str() } else { line };
        for at in 0..100 {
            let (old, new) = (piece(&now, at), piece(goal, at));
            editor.edit(&mut document, (4, old.0), (4, old.1), &goal[new.0 as usize..new.1 as usize]);
            now.replace_range(old.0 as usize..old.1 as usize, &goal[new.0 as usize..new.1 as usize]);
        }
        now.truncate(goal.len());
        assert!(goal.starts_with(&now) || now == goal);
    }
    assert_eq!(document.version, 401);
    let last = editor.diagnostics(&document);
    let expected = expected(&text_with_line(4, &now));
    assert_eq!(places(&last), expected);
    let versions = published(&editor.settle(), &document.uri);
    assert!(versions.is_sorted(), "an older version was published after a newer one: {versions:?}");
    assert!(versions.iter().all(|(version, _)| *version < 401), "{versions:?}");
}

/// Where the character numbered `at` of `text` is; at its end once there is none.
fn piece(text: &str, at: usize) -> (u32, u32) {
    let clamp = |at: usize| u32::try_from(at.min(text.len())).unwrap();
    (clamp(at), clamp(at + 1))
}

fn text_with_line(number: usize, line: &str) -> String {
    let lines = CLEAN.lines().enumerate().map(|(at, old)| if at == number { line } else { old });
    lines.map(|line| format!("{line}\n")).collect()
}

/// What another server finds in `text` when it is opened as it is.
fn expected(text: &str) -> Vec<String> {
    let (mut editor, document) = with(text);
    places(&editor.diagnostics(&document))
}

#[test]
fn several_changes_in_one_message_come_one_after_another() {
    let (mut editor, mut document) = with("");
    let change = |start, end, text: &str| json!({ "range": range(start, end), "text": text });
    let changes = json!([
        { "text": "nothing\n" },
        change((0, 0), (0, 7), "tune: A\nmeter: 6/8\npart A"),
        change((3, 0), (3, 0), "| 2:1 t h3 |"),
        change((3, 8), (3, 10), "2:3  3:0 - -"),
    ]);
    editor.change(&mut document, changes);
    let found = editor.diagnostics(&document);
    assert_eq!(places(&found), expected("tune: A\nmeter: 6/8\npart A\n| 2:1 t 2:3  3:0 - - |"));
}

#[test]
fn an_edit_in_one_tune_moves_the_findings_of_the_next() {
    let text = format!("{CLEAN}\n{STUMBLE}\n{}", STUMBLE.replace("Loose", "Other"));
    let (mut editor, mut document) = with(&text);
    assert_eq!(places(&editor.diagnostics(&document)), ["10:19-10:21 off-strike", "16:19-16:21 off-strike"]);
    editor.edit(&mut document, (1, 0), (1, 0), "# one\n# two\n");
    assert_eq!(places(&editor.diagnostics(&document)), ["12:19-12:21 off-strike", "18:19-18:21 off-strike"]);
    editor.edit(&mut document, (0, 0), (8, 0), "");
    assert_eq!(places(&editor.diagnostics(&document)), ["4:19-4:21 off-strike", "10:19-10:21 off-strike"]);
}

#[test]
fn an_older_version_is_left_out() {
    let (mut editor, mut document) = with(STUMBLE);
    document.version = 10;
    editor.edit(&mut document, (4, 19), (4, 21), "2:3");
    assert_eq!(editor.diagnostics(&document).len(), 0);
    let mut late = document.clone();
    late.version = 3;
    editor.edit(&mut late, (4, 0), (4, 99), "");
    editor.edit(&mut document, (4, 19), (4, 22), "h3");
    assert_eq!(places(&editor.diagnostics(&document)), ["4:19-4:21 off-strike"]);
}

#[test]
fn closing_clears_and_nothing_follows() {
    let (mut editor, mut document) = with(STUMBLE);
    editor.diagnostics(&document);
    for _ in 0..20 {
        editor.edit(&mut document, (4, 0), (4, 0), " ");
    }
    editor.close(&document);
    let last = document.version;
    let said = editor.settle();
    assert_eq!(published(&said, &document.uri).last(), Some(&(i64::from(last), 0)));
    assert_eq!(editor.request("textDocument/hover", document.at(4, 3)), Value::Null);
    // A late edit of a closed document changes nothing.
    editor.edit(&mut document, (0, 0), (0, 0), "x");
    let later = editor.settle();
    assert_eq!(published(&later, &document.uri), []);
}

#[test]
fn a_document_opened_again_starts_anew() {
    let (mut editor, mut document) = with(STUMBLE);
    document.version = 40;
    editor.edit(&mut document, (0, 0), (0, 0), " ");
    editor.diagnostics(&document);
    editor.close(&document);
    // With a lower version, and then once more without having been closed.
    let document = editor.open("untitled:tune", CLEAN);
    assert_eq!(editor.diagnostics(&document).len(), 0);
    let mut document = editor.open("untitled:tune", STUMBLE);
    document.version = 2;
    editor.edit(&mut document, (4, 0), (4, 0), " ");
    document.version = 3;
    editor.edit(&mut document, (4, 0), (4, 1), "");
    assert_eq!(places(&editor.diagnostics(&document)), ["4:19-4:21 off-strike"]);
}

#[test]
fn a_document_nobody_opened_has_no_answers() {
    let (mut editor, document) = with(STUMBLE);
    editor.diagnostics(&document);
    let other = json!({ "uri": "untitled:other" });
    let at = json!({ "textDocument": other, "position": { "line": 0, "character": 0 } });
    assert_eq!(editor.request("textDocument/hover", at), Value::Null);
    assert_eq!(editor.request("textDocument/documentSymbol", json!({ "textDocument": other })), Value::Null);
    editor.notify("textDocument/didClose", json!({ "textDocument": other }));
    let text = json!({ "textDocument": { "uri": "untitled:other", "version": 2 }, "contentChanges": [] });
    editor.notify("textDocument/didChange", text);
    assert_eq!(published(&editor.settle(), "untitled:other"), []);
}

#[test]
fn addresses_of_every_kind_are_answered_as_they_came() {
    let mut editor = Editor::start(Options::default());
    let addresses = [
        "file:///c%3A/tunes/a.lope",
        "untitled:Untitled-1",
        "vscode-vfs://host/a.lope",
        "file:///no%20where/b.lope",
    ];
    for uri in addresses {
        let document = editor.open(uri, STUMBLE);
        assert_eq!(editor.diagnostics(&document).len(), 1, "{uri}");
    }
}

#[test]
fn nesting_and_size_are_no_trouble() {
    let braces = format!("{}1:0{}", "{".repeat(30_000), "}".repeat(30_000));
    let (mut editor, document) = with(&STUMBLE.replace("2:1 t h3", &braces));
    assert!(!editor.diagnostics(&document).is_empty());

    let long = format!("tune: Long\nmeter: 6/8\npart A\n| {}|\n", "1:0 t 1:0  ".repeat(900_000));
    assert!(long.len() > 9_000_000);
    let mut document = editor.open("untitled:long-line", &long);
    assert!(!editor.diagnostics(&document).is_empty());
    editor.edit(&mut document, (3, 2), (3, 5), "1:2");
    editor.diagnostics(&document);

    let mut document = editor.open("untitled:many", &tunes::file(7, 10_000_000, Trouble::None));
    assert_eq!(editor.diagnostics(&document), [Value::Null; 0]);
    editor.edit(&mut document, (0, 0), (0, 0), "meter: 0/8\n");
    assert!(!editor.diagnostics(&document).is_empty());
}

#[test]
fn two_thousand_edits_grow_memory_by_less_than_five_megabytes() {
    let (mut editor, mut document) = with(&tunes::file(3, 20_000, Trouble::None));
    editor.diagnostics(&document);
    let mut before = 0;
    for number in 0..2200 {
        if number == 200 {
            before = editor.resident();
        }
        match number % 2 {
            0 => editor.edit(&mut document, (0, 6), (0, 6), "x"),
            _ => editor.edit(&mut document, (0, 6), (0, 7), ""),
        }
        editor.diagnostics(&document);
    }
    let after = editor.resident();
    assert!(after < before + 5 * 1024, "{before} KiB became {after} KiB");
}

#[test]
fn one_open_file_of_20_kb_takes_less_than_20_megabytes() {
    let (mut editor, document) = with(&tunes::file(3, 20_000, Trouble::None));
    editor.diagnostics(&document);
    assert!(editor.resident() < 20 * 1024, "{} KiB", editor.resident());
}
