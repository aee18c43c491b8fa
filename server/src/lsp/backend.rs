//! What the server knows to do: one handler a method.

use std::sync::Arc;

use serde_json::Value;
use tower_lsp::jsonrpc::Result;
use tower_lsp::lsp_types::{
    CodeAction, CodeActionParams, CodeActionResponse, CodeLens, CodeLensParams, CompletionItem,
    CompletionParams, CompletionResponse, CreateFilesParams, DeleteFilesParams, DidChangeConfigurationParams,
    DidChangeTextDocumentParams, DidChangeWatchedFilesParams, DidChangeWorkspaceFoldersParams,
    DidCloseTextDocumentParams, DidOpenTextDocumentParams, DidSaveTextDocumentParams,
    DocumentDiagnosticParams, DocumentDiagnosticReportResult, DocumentFormattingParams, DocumentHighlight,
    DocumentHighlightParams, DocumentLink, DocumentLinkParams, DocumentOnTypeFormattingParams,
    DocumentRangeFormattingParams, DocumentSymbolParams, DocumentSymbolResponse, ExecuteCommandParams,
    FoldingRange, FoldingRangeParams, GotoDefinitionParams, GotoDefinitionResponse, Hover, HoverParams,
    InitializeParams, InitializeResult, InitializedParams, InlayHint, InlayHintParams, Location,
    PrepareRenameResponse, ReferenceParams, RenameFilesParams, RenameParams, SelectionRange,
    SelectionRangeParams, SemanticTokensDeltaParams, SemanticTokensFullDeltaResult, SemanticTokensParams,
    SemanticTokensRangeParams, SemanticTokensRangeResult, SemanticTokensResult, SymbolInformation,
    TextDocumentPositionParams, TextEdit, WorkDoneProgressCancelParams, WorkspaceDiagnosticParams,
    WorkspaceDiagnosticReportResult, WorkspaceEdit, WorkspaceSymbolParams,
};
use tower_lsp::{Client, LanguageServer, async_trait};

use super::completion;
use super::format::{format, format_range, format_typed};
use super::hover::hover;
use super::outgoing::Outgoing;
use super::pull;
use super::refresh::refresh;
use super::search::search;
use super::session::Session;
use super::snapshot::View;
use super::symbols::symbols;
use super::{actions, commands, disk, handshake, hints, lens, names, options, shape, tokens};

/// The handlers and what they share.
pub struct Backend {
    client: Client,
    session: Arc<Session>,
}

impl Backend {
    /// Handlers that ask things of `client` and send findings to `out`.
    pub fn new(client: Client, out: Outgoing) -> Self {
        Self { client, session: Arc::new(Session::new(out)) }
    }

    /// The client says that something need not go on. The service's list of methods lacks this one.
    pub async fn cancel_progress(&self, params: WorkDoneProgressCancelParams) {
        self.session.cancel(&params.token);
    }
}

#[async_trait]
impl LanguageServer for Backend {
    async fn initialize(&self, params: InitializeParams) -> Result<InitializeResult> {
        Ok(handshake::begin(&self.session, &params))
    }

    async fn initialized(&self, _: InitializedParams) {
        handshake::complete(&self.client, &self.session);
    }

    async fn did_change_configuration(&self, params: DidChangeConfigurationParams) {
        if self.session.features().says_settings {
            options::ask(&self.client, &self.session);
        } else {
            options::sent(&self.client, &self.session, &params.settings);
        }
    }

    async fn shutdown(&self) -> Result<()> {
        Ok(())
    }

    // The three below change a text before they await anything: so the changes come in their order.

    async fn did_open(&self, params: DidOpenTextDocumentParams) {
        let document = params.text_document;
        self.session.open(document.uri, &document.text, document.version);
    }

    async fn did_change(&self, params: DidChangeTextDocumentParams) {
        let document = params.text_document;
        self.session.edit(&document.uri, params.content_changes, document.version);
    }

    async fn did_close(&self, params: DidCloseTextDocumentParams) {
        self.session.close(&params.text_document.uri);
    }

    async fn did_save(&self, params: DidSaveTextDocumentParams) {
        self.session.saved(&params.text_document.uri);
    }

    async fn did_change_watched_files(&self, params: DidChangeWatchedFilesParams) {
        disk::watched(&self.client, &self.session, &params);
    }

    async fn did_create_files(&self, params: CreateFilesParams) {
        disk::changed(&self.session, params.files.iter().map(|file| &file.uri));
    }

    async fn did_rename_files(&self, params: RenameFilesParams) {
        disk::changed(&self.session, params.files.iter().flat_map(|file| [&file.old_uri, &file.new_uri]));
    }

    async fn did_delete_files(&self, params: DeleteFilesParams) {
        disk::changed(&self.session, params.files.iter().map(|file| &file.uri));
    }

    async fn did_change_workspace_folders(&self, params: DidChangeWorkspaceFoldersParams) {
        self.session.books.change_folders(&params.event);
        self.session.reload_books();
        refresh(&self.client, self.session.features());
    }

    async fn diagnostic(&self, params: DocumentDiagnosticParams) -> Result<DocumentDiagnosticReportResult> {
        pull::file(&self.session, params).await
    }

    async fn workspace_diagnostic(
        &self,
        params: WorkspaceDiagnosticParams,
    ) -> Result<WorkspaceDiagnosticReportResult> {
        pull::book(&self.session, params).await
    }

    async fn hover(&self, params: HoverParams) -> Result<Option<Hover>> {
        let place = params.text_document_position_params;
        self.session.answer(&place.text_document.uri, move |view| hover(view, place.position)).await
    }

    async fn completion(&self, params: CompletionParams) -> Result<Option<CompletionResponse>> {
        let url = params.text_document_position.text_document.uri.clone();
        self.session.answer(&url, move |view| completion::complete(view, &params)).await
    }

    async fn completion_resolve(&self, item: CompletionItem) -> Result<CompletionItem> {
        self.session.complete(item, completion::to_resolve, completion::resolve).await
    }

    async fn code_action(&self, params: CodeActionParams) -> Result<Option<CodeActionResponse>> {
        let (url, session) = (params.text_document.uri.clone(), Arc::clone(&self.session));
        self.session.answer(&url, move |view| Some(actions::actions(&session, view, &params))).await
    }

    async fn code_action_resolve(&self, action: CodeAction) -> Result<CodeAction> {
        self.session.complete(action, actions::to_resolve, actions::resolve).await
    }

    async fn inlay_hint(&self, params: InlayHintParams) -> Result<Option<Vec<InlayHint>>> {
        let kinds = self.session.options.now().hints;
        let url = params.text_document.uri;
        self.session.answer(&url, move |view| Some(hints::hints(view, params.range, kinds))).await
    }

    async fn inlay_hint_resolve(&self, hint: InlayHint) -> Result<InlayHint> {
        self.session.complete(hint, hints::to_resolve, hints::resolve).await
    }

    async fn code_lens(&self, params: CodeLensParams) -> Result<Option<Vec<CodeLens>>> {
        self.session.answer(&params.text_document.uri, |view| Some(lens::lenses(view))).await
    }

    async fn code_lens_resolve(&self, lens: CodeLens) -> Result<CodeLens> {
        self.session.complete(lens, lens::to_resolve, lens::resolve).await
    }

    async fn execute_command(&self, params: ExecuteCommandParams) -> Result<Option<Value>> {
        commands::execute(&self.client, &self.session, params).await
    }

    async fn formatting(&self, params: DocumentFormattingParams) -> Result<Option<Vec<TextEdit>>> {
        self.session.answer(&params.text_document.uri, |view| Some(format(view))).await
    }

    async fn range_formatting(&self, params: DocumentRangeFormattingParams) -> Result<Option<Vec<TextEdit>>> {
        self.session
            .answer(&params.text_document.uri, move |view| Some(format_range(view, params.range)))
            .await
    }

    async fn on_type_formatting(
        &self,
        params: DocumentOnTypeFormattingParams,
    ) -> Result<Option<Vec<TextEdit>>> {
        let (place, typed) = (params.text_document_position, params.ch);
        let url = place.text_document.uri;
        self.session.answer(&url, move |view| format_typed(view, place.position, &typed)).await
    }

    async fn symbol(&self, params: WorkspaceSymbolParams) -> Result<Option<Vec<SymbolInformation>>> {
        search(&self.session, params.query).await.map(Some)
    }

    async fn goto_definition(&self, params: GotoDefinitionParams) -> Result<Option<GotoDefinitionResponse>> {
        let place = params.text_document_position_params;
        self.session
            .answer(&place.text_document.uri, move |view| names::definition(view, place.position))
            .await
    }

    async fn references(&self, params: ReferenceParams) -> Result<Option<Vec<Location>>> {
        let (place, headings) = (params.text_document_position, params.context.include_declaration);
        let url = place.text_document.uri;
        self.session.answer(&url, move |view| names::references(view, place.position, headings)).await
    }

    async fn prepare_rename(
        &self,
        place: TextDocumentPositionParams,
    ) -> Result<Option<PrepareRenameResponse>> {
        let url = place.text_document.uri;
        self.session.answer(&url, move |view| names::prepare_rename(view, place.position)).await
    }

    async fn rename(&self, params: RenameParams) -> Result<Option<WorkspaceEdit>> {
        let (place, name) = (params.text_document_position, params.new_name);
        let url = place.text_document.uri;
        let renamed = move |view: View<'_>| Some(names::rename(view, place.position, &name));
        self.session.ask(&url, renamed).await?.transpose()
    }

    async fn document_highlight(
        &self,
        params: DocumentHighlightParams,
    ) -> Result<Option<Vec<DocumentHighlight>>> {
        let place = params.text_document_position_params;
        self.session
            .answer(&place.text_document.uri, move |view| names::highlights(view, place.position))
            .await
    }

    async fn folding_range(&self, params: FoldingRangeParams) -> Result<Option<Vec<FoldingRange>>> {
        self.session.answer(&params.text_document.uri, |view| Some(shape::folds(view))).await
    }

    async fn selection_range(&self, params: SelectionRangeParams) -> Result<Option<Vec<SelectionRange>>> {
        let (url, positions) = (params.text_document.uri, params.positions);
        self.session.answer(&url, move |view| Some(shape::selections(view, &positions))).await
    }

    async fn document_link(&self, params: DocumentLinkParams) -> Result<Option<Vec<DocumentLink>>> {
        self.session.answer(&params.text_document.uri, |view| Some(shape::links(view))).await
    }

    async fn semantic_tokens_full(
        &self,
        params: SemanticTokensParams,
    ) -> Result<Option<SemanticTokensResult>> {
        self.session.answer(&params.text_document.uri, |view| Some(tokens::full(view).into())).await
    }

    async fn semantic_tokens_full_delta(
        &self,
        params: SemanticTokensDeltaParams,
    ) -> Result<Option<SemanticTokensFullDeltaResult>> {
        let (url, id) = (params.text_document.uri, params.previous_result_id);
        self.session.answer(&url, move |view| Some(tokens::delta(view, &id))).await
    }

    async fn semantic_tokens_range(
        &self,
        params: SemanticTokensRangeParams,
    ) -> Result<Option<SemanticTokensRangeResult>> {
        let url = params.text_document.uri;
        self.session.answer(&url, move |view| Some(tokens::within(view, params.range).into())).await
    }

    async fn document_symbol(&self, params: DocumentSymbolParams) -> Result<Option<DocumentSymbolResponse>> {
        self.session.answer(&params.text_document.uri, |view| Some(symbols(view))).await
    }
}
