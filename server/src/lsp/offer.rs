//! What the server offers a client, each capability made beside the others it resembles.

use tower_lsp::lsp_types::{
    CodeActionKind, CodeActionOptions, CodeActionProviderCapability, HoverProviderCapability,
    InitializeResult, OneOf, ServerCapabilities, ServerInfo, TextDocumentSyncCapability,
    TextDocumentSyncKind, TextDocumentSyncOptions, WorkspaceFoldersServerCapabilities,
    WorkspaceServerCapabilities,
};

use super::actions::FIX_ALL;
use super::features::Features;

/// What the server offers a client with `features`.
pub fn offer(features: &Features) -> InitializeResult {
    let capabilities = ServerCapabilities {
        position_encoding: Some(features.encoding.kind()),
        text_document_sync: Some(sync()),
        hover_provider: Some(HoverProviderCapability::Simple(true)),
        code_action_provider: Some(actions()),
        document_formatting_provider: Some(OneOf::Left(true)),
        document_symbol_provider: Some(OneOf::Left(true)),
        workspace: Some(workspace()),
        ..ServerCapabilities::default()
    };
    let info = ServerInfo { name: "lope".to_owned(), version: Some(env!("CARGO_PKG_VERSION").to_owned()) };
    InitializeResult { capabilities, server_info: Some(info) }
}

fn sync() -> TextDocumentSyncCapability {
    TextDocumentSyncCapability::Options(TextDocumentSyncOptions {
        open_close: Some(true),
        change: Some(TextDocumentSyncKind::INCREMENTAL),
        ..TextDocumentSyncOptions::default()
    })
}

fn actions() -> CodeActionProviderCapability {
    CodeActionProviderCapability::Options(CodeActionOptions {
        code_action_kinds: Some(vec![CodeActionKind::QUICKFIX, CodeActionKind::SOURCE_FIX_ALL, FIX_ALL]),
        resolve_provider: Some(true),
        ..CodeActionOptions::default()
    })
}

fn workspace() -> WorkspaceServerCapabilities {
    let folders = WorkspaceFoldersServerCapabilities {
        supported: Some(true),
        change_notifications: Some(OneOf::Left(true)),
    };
    WorkspaceServerCapabilities { workspace_folders: Some(folders), file_operations: None }
}
