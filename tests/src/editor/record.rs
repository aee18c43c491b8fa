use serde_json::{Value, json};

use super::Editor;

/// Who said something.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum By {
    /// The editor.
    Client,
    /// The program.
    Server,
}

/// A message of a session.
#[derive(Clone, Debug, PartialEq)]
pub struct Said {
    /// Who sent it.
    pub by: By,
    /// The message.
    pub message: Value,
}

impl Said {
    /// As the outside checks read it.
    pub fn to_json(&self) -> Value {
        json!({ "by": if self.by == By::Server { "server" } else { "client" }, "message": self.message })
    }
}

impl Editor {
    /// What was said so far by either side, in the order in which the editor sent and read it: for
    /// [`Options::recorded`](super::Options::recorded).
    pub fn recorded(&self) -> &[Said] {
        self.record.as_deref().expect("the session is recorded from its start")
    }

    pub(super) fn record(&mut self, by: By, message: &Value) {
        if let Some(record) = &mut self.record {
            record.push(Said { by, message: message.clone() });
        }
    }
}
