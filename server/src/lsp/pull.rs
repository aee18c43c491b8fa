//! Findings for a client that asks for them: of one file, or of all that are not open.

use std::collections::HashMap;
use std::sync::Arc;

use serde::Serialize;
use tokio::task::spawn_blocking;
use tower_lsp::jsonrpc::{Error, Result};
use tower_lsp::lsp_types::notification::{self, Notification};
use tower_lsp::lsp_types::{
    DocumentDiagnosticParams, DocumentDiagnosticReport, DocumentDiagnosticReportResult,
    FullDocumentDiagnosticReport, ProgressToken, RelatedFullDocumentDiagnosticReport,
    RelatedUnchangedDocumentDiagnosticReport, UnchangedDocumentDiagnosticReport, Url,
    WorkspaceDiagnosticParams, WorkspaceDiagnosticReport, WorkspaceDiagnosticReportResult,
    WorkspaceDocumentDiagnosticReport, WorkspaceFullDocumentDiagnosticReport,
    WorkspaceUnchangedDocumentDiagnosticReport,
};

use super::index::{Key, Report};
use super::progress::Progress;
use super::queue::Body;
use super::session::Session;

/// How many files are told of at once.
const BATCH: usize = 100;

/// The findings of a file, or that they are those the client has.
pub async fn file(
    session: &Arc<Session>,
    params: DocumentDiagnosticParams,
) -> Result<DocumentDiagnosticReportResult> {
    let found = session.diagnostics(&params.text_document.uri).await?;
    let report = match found {
        Some(report) if params.previous_result_id.as_ref() == Some(&report.result) => {
            let unchanged_document_diagnostic_report = unchanged(report.result);
            let related_documents = None;
            DocumentDiagnosticReport::Unchanged(RelatedUnchangedDocumentDiagnosticReport {
                related_documents,
                unchanged_document_diagnostic_report,
            })
        }
        found => {
            let full_document_diagnostic_report = found.map(full).unwrap_or_default();
            let related_documents = None;
            DocumentDiagnosticReport::Full(RelatedFullDocumentDiagnosticReport {
                related_documents,
                full_document_diagnostic_report,
            })
        }
    };
    Ok(report.into())
}

/// The findings of every file in the open folders that is not open: as they become known where the client can
/// take them so, else once all are.
pub async fn book(
    session: &Arc<Session>,
    params: WorkspaceDiagnosticParams,
) -> Result<WorkspaceDiagnosticReportResult> {
    let progress = Progress::asked(
        session,
        params.work_done_progress_params.work_done_token,
        "looking through the book",
    );
    let stream = params.partial_result_params.partial_result_token;
    let mut known: HashMap<Key, (Url, String)> = HashMap::new();
    for previous in params.previous_result_ids {
        known.insert(session.books.key(&previous.uri), (previous.uri, previous.value));
    }
    let mut news = session.index.news();
    let mut told = Told { tick: 0, known, stream };
    let mut items = Vec::new();
    loop {
        // Asked before the index is: what it learns in between comes with the next round.
        let last = !session.index.is_scanning();
        if last || told.stream.is_some() {
            let session = Arc::clone(session);
            let job = spawn_blocking(move || {
                let items = told.catch_up(&session, last);
                (told, items)
            });
            let more;
            (told, more) = job.await.map_err(|_| Error::internal_error())?;
            items.extend(more);
        }
        if progress.as_ref().is_some_and(Progress::is_cancelled) {
            return Err(Error::request_cancelled());
        }
        if last {
            return Ok(WorkspaceDiagnosticReport { items }.into());
        }
        // An error says that the index is gone, and then so is the session.
        let _ = news.changed().await;
    }
}

/// What a client that asks for all findings knows.
struct Told {
    /// Of what changed until then it knows.
    tick: u64,
    /// What it had before it asked and was not told of since.
    known: HashMap<Key, (Url, String)>,
    /// The name by which it takes a part of the answer.
    stream: Option<ProgressToken>,
}

impl Told {
    /// What it does not know yet, where it takes an answer only as a whole; else it is told at once. After the
    /// `last` time it knows of files that are gone.
    fn catch_up(&mut self, session: &Session, last: bool) -> Vec<WorkspaceDocumentDiagnosticReport> {
        let (tick, reports) = session.index.reports_since(session, self.tick);
        self.tick = tick;
        let mut items: Vec<_> = reports.into_iter().map(|report| self.item(report)).collect();
        if last {
            let gone = self.known.extract_if(|key, _| !session.index.knows(key));
            items.extend(gone.map(|(_, (uri, _))| full_item(uri, FullDocumentDiagnosticReport::default())));
        }
        let Some(token) = &self.stream else { return items };
        for batch in items.chunks(BATCH) {
            let params = Part { token, value: Items { items: batch } };
            session.out.send(Body::notification(notification::Progress::METHOD, &params));
        }
        Vec::new()
    }

    fn item(&mut self, report: Report) -> WorkspaceDocumentDiagnosticReport {
        match self.known.remove(&report.key) {
            Some((uri, result)) if result == report.result => {
                let unchanged_document_diagnostic_report = unchanged(result);
                WorkspaceDocumentDiagnosticReport::Unchanged(WorkspaceUnchangedDocumentDiagnosticReport {
                    uri,
                    version: None,
                    unchanged_document_diagnostic_report,
                })
            }
            _ => full_item(report.url.clone(), full(report)),
        }
    }
}

/// A part of an answer, under the client's name for it.
#[derive(Serialize)]
struct Part<'p> {
    token: &'p ProgressToken,
    value: Items<'p>,
}

#[derive(Serialize)]
struct Items<'p> {
    items: &'p [WorkspaceDocumentDiagnosticReport],
}

fn full_item(uri: Url, report: FullDocumentDiagnosticReport) -> WorkspaceDocumentDiagnosticReport {
    WorkspaceDocumentDiagnosticReport::Full(WorkspaceFullDocumentDiagnosticReport {
        uri,
        version: None,
        full_document_diagnostic_report: report,
    })
}

fn full(report: Report) -> FullDocumentDiagnosticReport {
    FullDocumentDiagnosticReport { result_id: Some(report.result), items: report.diagnostics }
}

fn unchanged(result: String) -> UnchangedDocumentDiagnosticReport {
    UnchangedDocumentDiagnosticReport { result_id: result }
}
