use serde_json::{Value, json};

use super::Editor;

/// An open document as the editor knows it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Document {
    /// Its address.
    pub uri: String,
    /// The version last sent.
    pub version: i32,
}

/// A range of the protocol, from line and character to line and character.
pub fn range(start: (u32, u32), end: (u32, u32)) -> Value {
    json!({
        "start": { "line": start.0, "character": start.1 },
        "end": { "line": end.0, "character": end.1 },
    })
}

impl Document {
    /// How requests name it.
    pub fn id(&self) -> Value {
        json!({ "uri": self.uri })
    }

    /// The parameters of a request at a place in it.
    pub fn at(&self, line: u32, character: u32) -> Value {
        json!({ "textDocument": self.id(), "position": { "line": line, "character": character } })
    }
}

impl Editor {
    /// Opens a document.
    pub fn open(&mut self, uri: &str, text: &str) -> Document {
        let document = Document { uri: uri.to_owned(), version: 1 };
        self.notify(
            "textDocument/didOpen",
            json!({ "textDocument": { "uri": uri, "languageId": "lope", "version": 1, "text": text } }),
        );
        document
    }

    /// Sends `changes` as one new version; each is a content change of the protocol.
    pub fn change(&mut self, document: &mut Document, changes: Value) {
        document.version += 1;
        self.notify(
            "textDocument/didChange",
            json!({
                "textDocument": { "uri": document.uri, "version": document.version },
                "contentChanges": changes,
            }),
        );
    }

    /// Puts `text` in the place of what is between two positions.
    pub fn edit(&mut self, document: &mut Document, start: (u32, u32), end: (u32, u32), text: &str) {
        self.change(document, json!([{ "range": range(start, end), "text": text }]));
    }

    /// Closes a document.
    pub fn close(&mut self, document: &Document) {
        self.notify("textDocument/didClose", json!({ "textDocument": document.id() }));
    }

    /// The diagnostics the server publishes for the version last sent.
    pub fn diagnostics(&mut self, document: &Document) -> Vec<Value> {
        let published = self.wait(|message| {
            message["method"] == "textDocument/publishDiagnostics"
                && message["params"]["uri"] == document.uri
                && message["params"]["version"] == document.version
        });
        let list = published["params"]["diagnostics"].as_array();
        list.unwrap_or_else(|| panic!("no list of diagnostics: {published}")).clone()
    }

    /// The code actions offered for a range of `document`, with `diagnostics` as context.
    pub fn actions(&mut self, document: &Document, range: Value, diagnostics: &[Value]) -> Vec<Value> {
        let context = json!({ "diagnostics": diagnostics });
        let params = json!({ "textDocument": document.id(), "range": range, "context": context });
        let answer = self.request("textDocument/codeAction", params);
        answer.as_array().cloned().unwrap_or_default()
    }
}
