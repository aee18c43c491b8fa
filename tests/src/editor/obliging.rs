use serde_json::{Value, json};

use super::Editor;

impl Editor {
    /// Sets `settings` for the server, and says that there is something new.
    pub fn set(&mut self, settings: Value) {
        self.options.settings = settings;
        let sent = json!({ "settings": { "lope": self.options.settings } });
        self.notify("workspace/didChangeConfiguration", sent);
    }

    /// Answers a request of the server's, as an editor with its user's settings would.
    pub(super) fn oblige(&mut self, message: &Value) {
        let (Some(id), Some(method), true) =
            (message.get("id"), message["method"].as_str(), self.options.answers)
        else {
            return;
        };
        let result = match method {
            "workspace/configuration" => message["params"]["items"].as_array().map(|items| {
                let known = |item: &Value| item["section"] == "lope";
                let settings = |item| if known(item) { self.options.settings.clone() } else { Value::Null };
                items.iter().map(settings).collect()
            }),
            "workspace/applyEdit" => Some(json!({ "applied": true })),
            _ => None,
        };
        self.write(&json!({ "jsonrpc": "2.0", "id": id, "result": result }));
    }
}
