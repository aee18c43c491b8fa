//! A language server that does nothing: what the protocol library itself costs.
//!
//! It answers every change with an empty list of diagnostics of that version.

use tower_lsp::jsonrpc::Result;
use tower_lsp::lsp_types::{
    DidChangeTextDocumentParams, DidOpenTextDocumentParams, InitializeParams, InitializeResult, ServerCapabilities,
    TextDocumentSyncCapability, TextDocumentSyncKind,
};
use tower_lsp::{Client, LanguageServer, LspService, Server};

struct Silent {
    client: Client,
}

#[tower_lsp::async_trait]
impl LanguageServer for Silent {
    async fn initialize(&self, _: InitializeParams) -> Result<InitializeResult> {
        let sync = TextDocumentSyncCapability::Kind(TextDocumentSyncKind::INCREMENTAL);
        let capabilities = ServerCapabilities { text_document_sync: Some(sync), ..ServerCapabilities::default() };
        Ok(InitializeResult { capabilities, ..InitializeResult::default() })
    }

    async fn did_open(&self, opened: DidOpenTextDocumentParams) {
        let document = opened.text_document;
        self.client.publish_diagnostics(document.uri, Vec::new(), Some(document.version)).await;
    }

    async fn did_change(&self, changed: DidChangeTextDocumentParams) {
        let document = changed.text_document;
        self.client.publish_diagnostics(document.uri, Vec::new(), Some(document.version)).await;
    }

    async fn shutdown(&self) -> Result<()> {
        Ok(())
    }
}

fn main() -> std::io::Result<()> {
    let runtime = tokio::runtime::Builder::new_current_thread().build()?;
    let (service, socket) = LspService::new(|client| Silent { client });
    runtime.block_on(Server::new(tokio::io::stdin(), tokio::io::stdout(), socket).serve(service));
    Ok(())
}
