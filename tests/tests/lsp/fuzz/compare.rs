use lope_tests::editor::{Document, Editor, Options, range};
use serde_json::{Value, json};

use super::client::{Client, Open};

/// Questions about a whole text whose answers tell nearly every letter of it.
const ABOUT_ALL: [&str; 8] = [
    "textDocument/codeLens",
    "textDocument/documentLink",
    "textDocument/documentSymbol",
    "textDocument/foldingRange",
    "textDocument/formatting",
    "textDocument/inlayHint",
    "textDocument/selectionRange",
    "textDocument/semanticTokens/full",
];

impl Client {
    /// Checks that the server says of the open texts what another says to which they were only just opened.
    pub fn compare_with_a_fresh_server(&mut self) {
        self.make_book_readable();
        // What was found in texts of the same name and version that were closed since is of no matter.
        self.editor.settle();
        let mut fresh = Editor::start(Options { answers: true, ..self.options.clone() });
        let pulls = self.pulls;
        let texts: Vec<(Document, String)> = self
            .open
            .iter_mut()
            .map(|(uri, open)| {
                open.version += 1;
                let Open { version, mirror } = open;
                (Document { uri: uri.clone(), version: *version }, mirror.text.clone())
            })
            .collect();
        for (document, text) in &texts {
            fresh.open(&document.uri, text);
            // A change of nothing: what is found in just this version is told.
            let mut before = Document { version: document.version - 1, ..document.clone() };
            self.editor.edit(&mut before, (0, 0), (0, 0), "");
        }
        for (document, text) in &texts {
            let opened = Document { version: 1, ..document.clone() };
            let expected = said_of(&mut fresh, &opened, text, pulls);
            let said = said_of(&mut self.editor, document, text, pulls);
            for ((method, said), (_, expected)) in said.iter().zip(&expected) {
                assert_eq!(said, expected, "{method} of {}, which is\n{text:?}", document.uri);
            }
        }
    }
}

/// What the server says of a text.
fn said_of(editor: &mut Editor, document: &Document, text: &str, pulls: bool) -> Vec<(String, Value)> {
    let end = u32::try_from(text.split(['\n', '\r']).count()).unwrap();
    let params = json!({
        "textDocument": document.id(), "range": range((0, 0), (end, 0)),
        "positions": [{ "line": end, "character": 0 }],
        "options": { "tabSize": 4, "insertSpaces": true },
    });
    let mut said = vec![("findings".to_owned(), json!(findings(editor, document, pulls)))];
    for method in ABOUT_ALL {
        let mut answer = editor.request(method, params.clone());
        if let Some(answer) = answer.as_object_mut() {
            // A name for the answer, which counts what has happened.
            answer.remove("resultId");
        }
        said.push((method.to_owned(), answer));
    }
    said
}

fn findings(editor: &mut Editor, document: &Document, pulls: bool) -> Vec<Value> {
    if !pulls {
        return editor.diagnostics(document);
    }
    // This waits until all files are read.
    editor.request("workspace/diagnostic", json!({ "previousResultIds": [] }));
    let report = editor.request("textDocument/diagnostic", json!({ "textDocument": document.id() }));
    report["items"].as_array().unwrap().clone()
}
