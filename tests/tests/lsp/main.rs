//! The language server, tried as an editor meets it: a real process, spoken to over its pipes.

#![allow(clippy::unwrap_used, clippy::panic, reason = "a test says what it expects by panicking")]

mod actions;
mod books;
mod commands;
mod completion;
mod counted;
mod documents;
mod findings;
mod formatting;
mod fuzz;
mod hints;
mod leaving;
mod lenses;
mod messages;
mod names;
mod positions;
mod protocol;
mod pulling;
mod questions;
mod refactorings;
mod search;
mod shape;
mod tokens;
mod trouble;
mod typing;
mod whole_book;

use lope_tests::editor::{Document, Editor, Options};
use serde_json::{Value, json};

/// A tune in which one note breaks the gait, on line 4 (from 0).
const STUMBLE: &str = "\
tune: The Loose Shutter
meter: 6/8

part A
| 3:0 t 2:0  2:1 t h3 | 3:0 t 2:0  1:0 t 1:2 | 3:0 t 2:0  2:1 t 2:3 | 3:0 t 2:0  1:0- - |
";

/// A tune without a fault.
const CLEAN: &str = "\
tune: The Tight Shutter
meter: 6/8

part A
| 3:0 t 2:0  2:1 t 2:3 | 3:0 t 2:0  1:0 t 1:2 | 3:0 t 2:0  2:1 t 2:3 | 3:0 t 2:0  1:0- - |
";

/// An editor of today with one unsaved document open.
fn with(text: &str) -> (Editor, Document) {
    let mut editor = Editor::start(Options::default());
    let document = editor.open("untitled:tune", text);
    (editor, document)
}

/// An editor that can do all that the server has a use for.
fn able() -> Options {
    let mut options = Options::default();
    let again = json!({ "refreshSupport": true });
    let registers = json!({ "dynamicRegistration": true });
    let capabilities = &mut options.capabilities;
    for (name, value) in [
        ("applyEdit", json!(true)),
        ("codeLens", again.clone()),
        ("diagnostics", again.clone()),
        ("didChangeConfiguration", registers.clone()),
        ("didChangeWatchedFiles", registers),
        ("inlayHint", again),
        ("workspaceEdit", json!({ "documentChanges": true })),
    ] {
        capabilities["workspace"][name] = value;
    }
    for (name, value) in [
        ("definition", json!({ "linkSupport": true })),
        ("diagnostic", json!({ "relatedDocumentSupport": true })),
        ("documentLink", json!({ "tooltipSupport": true })),
        ("inlayHint", json!({ "resolveSupport": { "properties": ["tooltip", "label.location"] } })),
        ("rename", json!({ "prepareSupport": true })),
        ("semanticTokens", tokens::capability(&tokens::STANDARD, &["declaration"])),
    ] {
        capabilities["textDocument"][name] = value;
    }
    capabilities["textDocument"]["codeAction"]["disabledSupport"] = json!(true);
    options
}

/// Each finding as `line:character-line:character rule`, from 0 as the protocol counts.
fn places(diagnostics: &[Value]) -> Vec<String> {
    let place = |found: &Value| {
        let [start, end] = ["start", "end"].map(|end| {
            let position = &found["range"][end];
            format!("{}:{}", position["line"], position["character"])
        });
        format!("{start}-{end} {}", found["code"].as_str().unwrap_or("no code"))
    };
    diagnostics.iter().map(place).collect()
}

/// Makes `edits` in the document, as an editor does: the last one in the text first.
fn make_edits(editor: &mut Editor, document: &mut Document, edits: &[Value]) {
    let changes = edits.iter().rev().map(|edit| json!({ "range": edit["range"], "text": edit["newText"] }));
    let changes: Vec<Value> = changes.collect();
    editor.change(document, json!(changes));
}

/// Tells that files on the disk are new (1), others (2) or gone (3).
fn tell_of(editor: &mut Editor, changes: &[(&str, u32)]) {
    let changes = changes.iter().map(|(uri, kind)| json!({ "uri": uri, "type": kind }));
    let changes: Vec<Value> = changes.collect();
    editor.notify("workspace/didChangeWatchedFiles", json!({ "changes": changes }));
}
