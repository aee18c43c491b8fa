//! Asking the client to ask again.

use tower_lsp::Client;

use super::features::Features;

/// Has the client ask again for what it shows beside the text, after a change that was no edit. Each request
/// waits in a task of its own.
pub fn refresh(client: &Client, features: &Features) {
    if features.refreshes_hints {
        let client = client.clone();
        tokio::spawn(async move { client.inlay_hint_refresh().await });
    }
    if features.refreshes_lenses {
        let client = client.clone();
        tokio::spawn(async move { client.code_lens_refresh().await });
    }
}
