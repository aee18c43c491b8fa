//! The book around a text: findings of other files, settings, files and folders that come and go.

use serde_json::{Value, json};

use super::Session;
use crate::editor::Document;

impl Session {
    /// Uses the book as an editor does.
    pub(super) fn live_in_the_book(&mut self) {
        self.pull();
        self.set();
        self.move_files();
        self.move_folders();
        self.give_up();
    }

    /// Asks for findings, and once more with what is known; of an unsaved text too.
    fn pull(&mut self) {
        let unsaved = self.editor.open("untitled:new", super::TUNE);
        for document in [self.document.clone(), unsaved.clone()] {
            let pulled = self.pull_file(&document, None);
            self.pull_file(&document, pulled.get("resultId"));
            self.wait_for_findings(&document);
        }
        self.editor.close(&unsaved);
        let parts = json!({ "previousResultIds": [], "partialResultToken": "parts", "workDoneToken": 1 });
        self.ask("workspace/diagnostic", parts);
        let items = self.ask_list("workspace/diagnostic", json!({ "previousResultIds": [] }));
        let known = items.iter().filter(|item| item["resultId"].is_string());
        let known: Value =
            known.map(|item| json!({ "uri": item["uri"], "value": item["resultId"] })).collect();
        self.ask("workspace/diagnostic", json!({ "previousResultIds": known }));
    }

    fn pull_file(&mut self, document: &Document, before: Option<&Value>) -> Value {
        let mut params = json!({ "textDocument": document.id() });
        if let Some(before) = before {
            params["previousResultId"] = before.clone();
        }
        self.ask("textDocument/diagnostic", params)
    }

    /// Waits for what the server shows of a text by itself.
    fn wait_for_findings(&mut self, document: &Document) {
        if !self.offers("/diagnosticProvider") {
            self.editor.diagnostics(document);
        }
    }

    /// Sets every kind of hint, and something that is no setting.
    fn set(&mut self) {
        let hints = json!({ "counts": true, "time": true, "pitch": true, "phrases": true });
        for settings in [json!({ "hints": hints }), json!({ "hints": { "pitch": 7 } })] {
            self.editor.set(settings);
            for hint in self.ask_list("textDocument/inlayHint", self.whole()) {
                self.ask("inlayHint/resolve", hint);
            }
        }
    }

    fn move_files(&mut self) {
        let [b, c] = ["b.lope", "c.lope"].map(|name| self.book.uri(name));
        self.book.write("c.lope", super::TUNE);
        self.tell("workspace/didCreateFiles", json!({ "files": [{ "uri": c }] }));
        std::fs::rename(self.book.path("b.lope"), self.book.path("d.lope")).expect("a file can be renamed");
        let renamed = json!({ "oldUri": b, "newUri": self.book.uri("d.lope") });
        self.tell("workspace/didRenameFiles", json!({ "files": [renamed] }));
        std::fs::remove_file(self.book.path("c.lope")).expect("a file can be deleted");
        self.tell("workspace/didDeleteFiles", json!({ "files": [{ "uri": c }] }));
        self.book.write("lope.toml", "[rules]\noff-strike = \"error\"\n");
        let changed = json!({ "uri": self.book.uri("lope.toml"), "type": 2 });
        self.editor.notify("workspace/didChangeWatchedFiles", json!({ "changes": [changed] }));
    }

    fn move_folders(&mut self) {
        let folder = json!([{ "uri": self.book.uri("more"), "name": "more" }]);
        for (added, removed) in [(folder.clone(), json!([])), (json!([]), folder)] {
            let event = json!({ "added": added, "removed": removed });
            self.tell("workspace/didChangeWorkspaceFolders", json!({ "event": event }));
        }
    }

    /// Takes questions back in both ways.
    fn give_up(&mut self) {
        self.editor.notify("window/workDoneProgress/cancel", json!({ "token": 1 }));
        let id = self.editor.send("textDocument/hover", self.document.at(9, 8));
        self.editor.notify("$/cancelRequest", json!({ "id": id }));
        // Either answer will do: it may have been on its way.
        let _ = self.editor.answer(id);
    }

    /// Sends a notification that the server wants.
    fn tell(&mut self, method: &str, params: Value) {
        let wanted = super::OFFERS.iter().find(|(_, methods)| methods.contains(&method));
        let (pointer, _) = wanted.unwrap_or_else(|| panic!("who wants {method}?"));
        if self.offers(pointer) {
            self.editor.notify(method, params);
        }
    }
}
