//! Questions about a text.

use serde_json::{Value, json};

use super::Session;
use crate::editor::range;

/// How far the places are apart at which all is asked that can be.
const STEP: usize = 7;

/// How many of a list's items are asked more about, from its start and from its end.
const SOME: usize = 3;

impl Session {
    /// Asks all there is to ask of the text as it is.
    pub(super) fn ask_about_the_text(&mut self) {
        self.ask_at_every_place();
        for (list, resolve) in
            [("textDocument/codeLens", "codeLens/resolve"), ("textDocument/inlayHint", "inlayHint/resolve")]
        {
            for item in self.ask_list(list, self.whole_for(list)) {
                self.ask(resolve, item);
            }
        }
        for list in ["documentSymbol", "foldingRange", "documentLink", "semanticTokens/full"] {
            self.ask(&format!("textDocument/{list}"), json!({ "textDocument": self.document.id() }));
        }
        self.ask("textDocument/semanticTokens/range", self.whole());
        for query in ["", "shutter", "row 7", "nobody"] {
            self.ask("workspace/symbol", json!({ "query": query }));
        }
        self.ask_for_actions();
    }

    fn ask_at_every_place(&mut self) {
        for (line, text) in (0..).zip(self.text.clone().lines()) {
            let width = u32::try_from(text.encode_utf16().count()).expect("a short line");
            for character in (0..=width + 1).step_by(STEP) {
                self.ask_at(line, character);
            }
        }
        self.ask_at(self.lines() + 5, 5);
    }

    fn ask_at(&mut self, line: u32, character: u32) {
        let here = self.document.at(line, character);
        for question in ["hover", "definition", "documentHighlight", "prepareRename"] {
            self.ask(&format!("textDocument/{question}"), here.clone());
        }
        let with = |name: &str, value: Value| {
            let mut params = here.clone();
            params[name] = value;
            params
        };
        self.ask("textDocument/references", with("context", json!({ "includeDeclaration": character == 0 })));
        let positions = json!([here["position"]]);
        let selection = json!({ "textDocument": self.document.id(), "positions": positions });
        self.ask("textDocument/selectionRange", selection);
        let context = match character % 2 {
            0 => json!({ "triggerKind": 1 }),
            _ => json!({ "triggerKind": 2, "triggerCharacter": ":" }),
        };
        let items = self.ask_list("textDocument/completion", with("context", context));
        let count = items.len();
        let some = items.into_iter().enumerate().filter(|(at, _)| *at < SOME || at + SOME >= count);
        for (_, item) in some {
            self.ask("completionItem/resolve", item);
        }
    }

    /// Actions at each line, asked for as a cursor moves and as a player asks, then each kind of its own.
    fn ask_for_actions(&mut self) {
        let kinds = self.offered.pointer("/codeActionProvider/codeActionKinds").cloned().unwrap_or_default();
        let kinds = kinds.as_array().cloned().unwrap_or_default();
        let lines = (0..self.lines()).map(|line| range((line, 0), (line + 1, 0)));
        let by_line = lines.flat_map(|line| {
            [1, 2].map(|trigger| (line.clone(), json!({ "diagnostics": [], "triggerKind": trigger })))
        });
        let by_kind = kinds.iter().map(|kind| (self.all(), json!({ "diagnostics": [], "only": [kind] })));
        let asked: Vec<(Value, Value)> = by_line.chain(by_kind).collect();
        for (range, context) in asked {
            let params = json!({ "textDocument": self.document.id(), "range": range, "context": context });
            for action in self.ask_list("textDocument/codeAction", params) {
                if action.get("data").is_some() {
                    self.ask("codeAction/resolve", action);
                }
            }
        }
    }

    /// What a list is asked for with: of the whole text where it is of a range.
    fn whole_for(&self, list: &str) -> Value {
        match list {
            "textDocument/codeLens" => json!({ "textDocument": self.document.id() }),
            _ => self.whole(),
        }
    }
}
