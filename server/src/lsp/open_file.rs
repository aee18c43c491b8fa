//! An open file: its text as the client has it, and what has been read of it.
//!
//! Edits only ever wait for each other. Reading works on a snapshot: the text is shared, and edits go on
//! while it is read; what they changed is gathered, and the next reading catches up with all of it at once.
//! So a burst of edits is read as often as there is time for, and what is sent last is of the last version.

use std::mem;
use std::panic::{AssertUnwindSafe, catch_unwind};
use std::sync::Mutex;

use tower_lsp::lsp_types::notification::PublishDiagnostics;
use tower_lsp::lsp_types::{
    Diagnostic, DiagnosticSeverity, PublishDiagnosticsParams, TextDocumentContentChangeEvent, Url,
};

use super::document::{Document, News};
use super::findings::{SOURCE, diagnostics};
use super::lock;
use super::outgoing::{Body, Outgoing};
use super::position::Encoding;
use super::session::Session;
use super::snapshot::{Snapshot, View};

/// An open file.
pub struct OpenFile {
    url: Url,
    /// Locked for moments only: to edit, to take a snapshot, to send.
    now: Mutex<Now>,
    /// Locked while it is read or asked. None until then, and after a panic.
    snapshot: Mutex<Option<Snapshot>>,
}

struct Now {
    document: Document,
    /// What happened to the text since the last snapshot.
    news: News,
    /// A check is on its way and will find the newest text.
    check_waits: bool,
    closed: bool,
}

impl OpenFile {
    /// A file just opened.
    pub fn new(url: Url, text: &str, version: i32) -> Self {
        let document = Document::new(text, version);
        let now = Now { document, news: News::All, check_waits: false, closed: false };
        Self { url, now: Mutex::new(now), snapshot: Mutex::default() }
    }

    /// Makes edits; the error says why not.
    pub fn edit(
        &self,
        edits: Vec<TextDocumentContentChangeEvent>,
        version: i32,
        encoding: Encoding,
    ) -> Result<(), String> {
        let mut now = lock(&self.now);
        let news = now.document.edit(edits, version, encoding)?;
        now.news = now.news.then(news);
        Ok(())
    }

    /// Whether somebody must start a [`check`](Self::check): none is on its way.
    pub fn wants_check(&self) -> bool {
        !mem::replace(&mut lock(&self.now).check_waits, true)
    }

    /// Nothing is sent about the file from here on.
    pub fn close(&self) {
        lock(&self.now).closed = true;
    }

    /// Takes the findings from the client's view.
    pub fn clear(&self, out: &Outgoing) {
        let version = lock(&self.now).document.version;
        let none = PublishDiagnosticsParams::new(self.url.clone(), Vec::new(), Some(version));
        out.send(Body::notification::<PublishDiagnostics>(&none));
    }

    /// The next reading starts anew: the file's settings may be others.
    pub fn forget(&self) {
        lock(&self.now).news = News::All;
    }

    /// Reads the newest text and sends what is found in it, unless a newer one has come meanwhile: a check
    /// of that is then on its way.
    pub fn check(&self, session: &Session) {
        lock(&self.now).check_waits = false;
        let found = catch_unwind(AssertUnwindSafe(|| self.with_view(session, diagnostics)));
        let params = found.unwrap_or_else(|_| self.failed());
        let body = Body::notification::<PublishDiagnostics>(&params);
        let now = lock(&self.now);
        if !now.closed && Some(now.document.version) == params.version {
            session.out.send(body);
        }
    }

    /// What `ask` says of the newest text.
    pub fn with_view<T>(&self, session: &Session, ask: impl FnOnce(View<'_>) -> T) -> T {
        let mut place = lock(&self.snapshot);
        let (document, news) = {
            let mut now = lock(&self.now);
            (now.document.clone(), mem::take(&mut now.news))
        };
        // A panic leaves the place empty, and the next reading starts anew.
        let snapshot = match (place.take(), news) {
            (Some(snapshot), News::None) => snapshot,
            (Some(mut snapshot), News::Part(change)) => {
                snapshot.catch_up(document, change);
                snapshot
            }
            (None, _) | (_, News::All) => {
                let settings = session.books.settings(&self.url);
                session.show_mistakes();
                Snapshot::read(document, &settings)
            }
        };
        let answer = ask(View { url: &self.url, features: session.features(), snapshot: &snapshot });
        *place = Some(snapshot);
        answer
    }

    /// What to send when reading the file has failed by a mistake of ours: the findings sent last may no
    /// longer hold, and the player should know why there are no new ones.
    fn failed(&self) -> PublishDiagnosticsParams {
        let message = "lope made a mistake of its own here and cannot check this file; its log says more";
        let mistake = Diagnostic {
            severity: Some(DiagnosticSeverity::ERROR),
            source: Some(SOURCE.to_owned()),
            message: message.to_owned(),
            ..Diagnostic::default()
        };
        PublishDiagnosticsParams::new(self.url.clone(), vec![mistake], Some(lock(&self.now).document.version))
    }
}
