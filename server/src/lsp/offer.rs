//! What the server offers a client, each capability made beside the others it resembles.

use lope_desk::REFACTORINGS;
use tower_lsp::lsp_types::{
    CodeActionKind, CodeActionOptions, CodeActionProviderCapability, CodeLensOptions, DiagnosticOptions,
    DiagnosticServerCapabilities, DocumentLinkOptions, DocumentOnTypeFormattingOptions,
    ExecuteCommandOptions, FileOperationFilter, FileOperationPattern, FileOperationPatternKind,
    FileOperationRegistrationOptions, FoldingRangeProviderCapability, HoverProviderCapability,
    InitializeResult, InlayHintOptions, InlayHintServerCapabilities, OneOf, RenameOptions,
    SelectionRangeProviderCapability, ServerCapabilities, ServerInfo, TextDocumentSyncCapability,
    TextDocumentSyncKind, TextDocumentSyncOptions, TextDocumentSyncSaveOptions, WorkDoneProgressOptions,
    WorkspaceFileOperationsServerCapabilities, WorkspaceFoldersServerCapabilities,
    WorkspaceServerCapabilities,
};

use super::actions::{FIX_ALL, FIX_RULE, KEEP};
use super::commands::COMMANDS;
use super::completion;
use super::features::Features;
use super::format::TRIGGERS;

/// What the server offers a client with `features`.
pub fn offer(features: &Features) -> InitializeResult {
    let capabilities = ServerCapabilities {
        position_encoding: Some(features.encoding.kind()),
        text_document_sync: Some(sync()),
        completion_provider: Some(completion::options(features)),
        hover_provider: Some(HoverProviderCapability::Simple(true)),
        code_action_provider: Some(actions()),
        code_lens_provider: Some(CodeLensOptions { resolve_provider: Some(true) }),
        inlay_hint_provider: Some(OneOf::Right(hints())),
        execute_command_provider: Some(commands()),
        document_formatting_provider: Some(OneOf::Left(true)),
        document_range_formatting_provider: Some(OneOf::Left(true)),
        document_on_type_formatting_provider: Some(typing()),
        document_symbol_provider: Some(OneOf::Left(true)),
        workspace_symbol_provider: Some(OneOf::Left(true)),
        definition_provider: Some(OneOf::Left(true)),
        references_provider: Some(OneOf::Left(true)),
        rename_provider: Some(rename(features)),
        document_highlight_provider: Some(OneOf::Left(true)),
        folding_range_provider: Some(FoldingRangeProviderCapability::Simple(true)),
        selection_range_provider: Some(SelectionRangeProviderCapability::Simple(true)),
        document_link_provider: Some(links()),
        semantic_tokens_provider: features.legend.offer().map(Into::into),
        diagnostic_provider: features.pulls.then(diagnostics),
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
        save: Some(TextDocumentSyncSaveOptions::Supported(true)),
        ..TextDocumentSyncOptions::default()
    })
}

fn actions() -> CodeActionProviderCapability {
    let mends = [CodeActionKind::QUICKFIX, FIX_RULE, KEEP, CodeActionKind::SOURCE_FIX_ALL, FIX_ALL];
    let refactorings = REFACTORINGS.iter().map(|refactoring| CodeActionKind::new(refactoring.kind));
    CodeActionProviderCapability::Options(CodeActionOptions {
        code_action_kinds: Some(mends.into_iter().chain(refactorings).collect()),
        resolve_provider: Some(true),
        ..CodeActionOptions::default()
    })
}

fn typing() -> DocumentOnTypeFormattingOptions {
    let [first, more @ ..] = TRIGGERS.map(str::to_owned);
    DocumentOnTypeFormattingOptions {
        first_trigger_character: first,
        more_trigger_character: Some(more.into()),
    }
}

/// Only a client that prepares renames may be told of that.
fn rename(features: &Features) -> OneOf<bool, RenameOptions> {
    if !features.prepares_rename {
        return OneOf::Left(true);
    }
    let work_done_progress_options = WorkDoneProgressOptions::default();
    OneOf::Right(RenameOptions { prepare_provider: Some(true), work_done_progress_options })
}

fn links() -> DocumentLinkOptions {
    let work_done_progress_options = WorkDoneProgressOptions::default();
    DocumentLinkOptions { resolve_provider: None, work_done_progress_options }
}

fn hints() -> InlayHintServerCapabilities {
    InlayHintServerCapabilities::Options(InlayHintOptions {
        resolve_provider: Some(true),
        ..InlayHintOptions::default()
    })
}

fn commands() -> ExecuteCommandOptions {
    ExecuteCommandOptions {
        commands: COMMANDS.map(str::to_owned).to_vec(),
        ..ExecuteCommandOptions::default()
    }
}

/// What is found in one file may be about another: the titles of a book's tunes are compared.
fn diagnostics() -> DiagnosticServerCapabilities {
    DiagnosticServerCapabilities::Options(DiagnosticOptions {
        inter_file_dependencies: true,
        workspace_diagnostics: true,
        ..DiagnosticOptions::default()
    })
}

fn workspace() -> WorkspaceServerCapabilities {
    let folders = WorkspaceFoldersServerCapabilities {
        supported: Some(true),
        change_notifications: Some(OneOf::Left(true)),
    };
    WorkspaceServerCapabilities { workspace_folders: Some(folders), file_operations: Some(file_operations()) }
}

/// To hear of tunes and of whole folders that are made, moved and deleted in the editor.
fn file_operations() -> WorkspaceFileOperationsServerCapabilities {
    let filter = |glob: &str, matches| FileOperationFilter {
        scheme: Some("file".to_owned()),
        pattern: FileOperationPattern { glob: glob.to_owned(), matches: Some(matches), options: None },
    };
    let tunes = filter("**/*.lope", FileOperationPatternKind::File);
    let folders = filter("**", FileOperationPatternKind::Folder);
    let all = Some(FileOperationRegistrationOptions { filters: vec![tunes, folders] });
    WorkspaceFileOperationsServerCapabilities {
        did_create: all.clone(),
        did_rename: all.clone(),
        did_delete: all,
        ..WorkspaceFileOperationsServerCapabilities::default()
    }
}
