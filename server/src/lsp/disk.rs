//! What the client tells of files on the disk: made, written, moved or deleted, there or in the editor.

use std::path::PathBuf;
use std::sync::Arc;

use tower_lsp::Client;
use tower_lsp::lsp_types::{DidChangeWatchedFilesParams, Url};

use super::refresh::refresh;
use super::session::Session;
use crate::config::FILE_NAME;

/// Files that the client was asked to watch are others.
pub fn watched(client: &Client, session: &Arc<Session>, params: &DidChangeWatchedFilesParams) {
    if params.changes.iter().any(|change| change.uri.path().ends_with(FILE_NAME)) {
        session.reload_books();
        refresh(client, session.features());
    }
    session.changed_on_disk(&paths(params.changes.iter().map(|change| &change.uri)));
}

/// Files were made, moved or deleted in the editor. The protocol's types leave their addresses as text.
pub fn changed<'u>(session: &Session, urls: impl Iterator<Item = &'u String>) {
    let urls: Vec<Url> = urls.filter_map(|url| Url::parse(url).ok()).collect();
    session.changed_on_disk(&paths(urls.iter()));
}

fn paths<'u>(urls: impl Iterator<Item = &'u Url>) -> Vec<PathBuf> {
    urls.filter_map(|url| url.to_file_path().ok()).collect()
}
