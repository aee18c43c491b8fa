//! How a session begins: what the client says of itself, and what it is asked in turn.

use std::sync::Arc;

use tower_lsp::Client;
use tower_lsp::lsp_types::notification::{DidChangeWatchedFiles, Notification};
use tower_lsp::lsp_types::{InitializeParams, InitializeResult, Registration, WorkspaceFolder};

use super::features::Features;
use super::offer::offer;
use super::session::Session;
use super::{options, parent};
use crate::config::FILE_NAME;

/// Heeds what the client says of itself; what it is offered.
pub fn begin(session: &Session, params: &InitializeParams) -> InitializeResult {
    if let Some(client) = params.process_id {
        tokio::spawn(parent::follow(client, session.out.clone()));
    }
    session.books.set_folders(&folders(params));
    let features = Features::new(&params.capabilities);
    let offer = offer(&features);
    session.begin(features);
    if let Some(settings) = &params.initialization_options {
        session.options.begin(settings, &session.out);
    }
    offer
}

/// The client has heard what it is offered: from here on it may be asked things.
pub fn complete(client: &Client, session: &Arc<Session>) {
    session.go_through_folders(client.clone());
    let features = session.features();
    let mut wanted = Vec::new();
    wanted.extend(features.watches_files.then(watch_files));
    wanted.extend(features.watches_settings.then(options::registration));
    if !wanted.is_empty() {
        // A client that will not watch has said so, and there is nothing to do about it.
        session.ask_client(async move |client| drop(client.register_capability(wanted).await));
    }
    if features.says_settings {
        options::ask(client, session);
    }
}

/// The folders a client has open, by either name the protocol has had for them.
fn folders(params: &InitializeParams) -> Vec<WorkspaceFolder> {
    let root = || {
        let uri = params.root_uri.clone()?;
        Some(vec![WorkspaceFolder { uri, name: String::new() }])
    };
    params.workspace_folders.clone().or_else(root).unwrap_or_default()
}

/// Asks to be told when a book's settings or its tunes change.
fn watch_files() -> Registration {
    let watch = |what: &str| serde_json::json!({ "globPattern": format!("**/{what}") });
    let options = serde_json::json!({ "watchers": [watch(FILE_NAME), watch("*.lope")] });
    let method = DidChangeWatchedFiles::METHOD.to_owned();
    Registration { id: "books".to_owned(), method, register_options: Some(options) }
}
