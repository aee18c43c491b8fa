//! What changes a text.

use serde_json::{Value, json};

use super::Session;
use crate::editor::range;

impl Session {
    /// Types, tidies and renames.
    pub(super) fn write(&mut self) {
        let tokens = json!({ "textDocument": self.document.id() });
        let before = self.ask("textDocument/semanticTokens/full", tokens)["resultId"].take();
        let change = |start, end, text: &str| json!({ "range": range(start, end), "text": text });
        let changes = json!([change((0, 0), (0, 0), "# 🎵\n"), change((0, 0), (1, 0), "")]);
        self.change(changes);
        self.delta(&before);
        self.change(json!([change((9, 6), (9, 6), "x")]));
        self.delta(&before);
        self.change(json!([{ "text": self.text }]));
        self.editor.notify("textDocument/didSave", json!({ "textDocument": self.document.id() }));

        let options = json!({ "tabSize": 4, "insertSpaces": true });
        let mut whole = self.whole();
        whole["options"] = options.clone();
        self.ask("textDocument/rangeFormatting", whole);
        self.ask(
            "textDocument/formatting",
            json!({ "textDocument": self.document.id(), "options": options }),
        );
        // The cursor stands behind what was typed: the bar line in the music's first line, its line break.
        for (line, character, typed) in [(9, 1, "|"), (10, 0, "\n")] {
            let mut params = self.document.at(line, character);
            params["ch"] = json!(typed);
            params["options"] = options.clone();
            self.ask("textDocument/onTypeFormatting", params);
        }
        for name in ["Ä", "B", "two words"] {
            let mut params = self.document.at(8, 5);
            params["newName"] = json!(name);
            self.ask("textDocument/rename", params);
        }
    }

    /// Has every command done: twice, since there is nothing left to mend the second time.
    pub(super) fn mend(&mut self) {
        let uri = &self.document.uri;
        let commands = [
            ("lope.mendRule", json!([uri, "off-strike"])),
            ("lope.mendPart", json!([uri, "The Loose Shutter", "B"])),
            ("lope.mendFile", json!([uri])),
            ("lope.mendFile", json!([uri])),
            ("lope.mendFile", json!(["untitled:nobody"])),
        ];
        for (command, arguments) in commands {
            let params = json!({ "command": command, "arguments": arguments });
            if self.editor.ask("workspace/executeCommand", params).is_ok() {
                self.make_edits();
            }
        }
    }

    /// Makes the edit that the server asks for, or heeds that it has none.
    fn make_edits(&mut self) {
        let heard = self.editor.wait(|message| {
            ["workspace/applyEdit", "window/showMessage"].iter().any(|it| message["method"] == *it)
        });
        let edit = &heard["params"]["edit"];
        let edits = match &edit["documentChanges"] {
            Value::Null => &edit["changes"][&self.document.uri],
            changes => &changes[0]["edits"],
        };
        let changes = edits.as_array().into_iter().flatten().rev();
        let changes: Vec<Value> =
            changes.map(|edit| json!({ "range": edit["range"], "text": edit["newText"] })).collect();
        if !changes.is_empty() {
            self.change(json!(changes));
        }
    }

    fn change(&mut self, changes: Value) {
        let mut document = self.document.clone();
        self.editor.change(&mut document, changes);
        self.document = document;
    }

    fn delta(&mut self, before: &Value) {
        if before.is_string() {
            let params = json!({ "textDocument": self.document.id(), "previousResultId": before });
            self.ask("textDocument/semanticTokens/full/delta", params);
        }
    }
}
