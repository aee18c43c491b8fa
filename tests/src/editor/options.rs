use std::path::PathBuf;

use serde_json::{Value, json};

/// How an editor starts the server.
#[derive(Clone, Debug)]
pub struct Options {
    /// What it calls itself, if it says so.
    pub name: Option<String>,
    /// The folder it has open.
    pub folder: Option<PathBuf>,
    /// Arguments after `lope lsp`.
    pub args: Vec<String>,
    /// Variables of the environment.
    pub env: Vec<(String, String)>,
    /// What it says of its user's settings with the handshake.
    pub at_start: Value,
    /// What its user has set for the server.
    pub settings: Value,
    /// What it says it can do.
    pub capabilities: Value,
    /// The process the server is to end with.
    pub process: Option<u32>,
    /// Whether it answers what the server asks of it.
    pub answers: bool,
    /// Whether all that is said is written down.
    pub recorded: bool,
}

impl Default for Options {
    /// An editor of today, with nothing open, that counts in UTF-16.
    fn default() -> Self {
        Self {
            name: None,
            folder: None,
            args: Vec::new(),
            env: Vec::new(),
            at_start: Value::Null,
            settings: Value::Null,
            capabilities: json!({
                "general": { "positionEncodings": ["utf-16"] },
                "window": { "workDoneProgress": true },
                "workspace": { "configuration": true, "workspaceFolders": true },
                "textDocument": {
                    "synchronization": { "didSave": true },
                    "publishDiagnostics": { "versionSupport": true, "relatedInformation": true },
                    "hover": { "contentFormat": ["markdown", "plaintext"] },
                    "completion": {
                        "completionItem": {
                            "snippetSupport": true,
                            "documentationFormat": ["markdown", "plaintext"],
                            "resolveSupport": { "properties": ["documentation", "detail"] },
                        },
                        "contextSupport": true,
                    },
                    "documentSymbol": { "hierarchicalDocumentSymbolSupport": true },
                    "codeAction": {
                        "codeActionLiteralSupport": {
                            "codeActionKind": { "valueSet": ["", "quickfix", "source", "source.fixAll"] },
                        },
                        "dataSupport": true,
                        "isPreferredSupport": true,
                        "resolveSupport": { "properties": ["edit"] },
                    },
                },
            }),
            process: Some(std::process::id()),
            answers: true,
            recorded: false,
        }
    }
}

impl Options {
    /// An editor with `folder` open.
    pub fn in_folder(folder: PathBuf) -> Self {
        Self { folder: Some(folder), ..Self::default() }
    }

    /// The same editor offering `encodings` for positions, the best first.
    pub fn counting_in(mut self, encodings: &[&str]) -> Self {
        self.capabilities["general"]["positionEncodings"] = json!(encodings);
        self
    }
}
