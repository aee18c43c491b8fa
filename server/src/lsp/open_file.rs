//! An open file: its text as the client has it, and what has been read of it.
//!
//! Edits only ever wait for each other. Reading works on a snapshot: the text is shared, and edits go on
//! while it is read; what they changed is gathered, and the next reading catches up with all of it at once.
//! So a burst of edits is read as often as there is time for, and what is sent last is of the last version.

use std::mem;
use std::panic::{AssertUnwindSafe, catch_unwind};
use std::sync::Mutex;

use tower_lsp::lsp_types::{Diagnostic, TextDocumentContentChangeEvent, Url};

use super::document::{Document, Edited, News};
use super::findings::{Findings, failed, notification, show};
use super::lock;
use super::outgoing::Outgoing;
use super::position::Encoding;
use super::queue::{Body, Topic};
use super::session::Session;
use super::snapshot::{Snapshot, View};

/// An open file.
pub struct OpenFile {
    url: Url,
    /// Locked for moments only: to edit, to take a snapshot, to send.
    now: Mutex<Now>,
    /// Locked while it is read or asked. None until then, and after a panic.
    snapshot: Mutex<Option<Snapshot>>,
    /// Locked by the one check that goes on.
    findings: Mutex<Findings>,
}

struct Now {
    document: Document,
    /// What happened to the text since the last snapshot.
    news: News,
    /// A check is on its way and will find the newest text.
    check_waits: bool,
    /// The edition whose findings were sent last.
    told: Option<u64>,
    /// What was sent last, as far as it need not be sent again.
    sent: Option<Body>,
    closed: bool,
}

impl OpenFile {
    /// A file just opened.
    pub fn new(url: Url, text: &str, version: i32) -> Self {
        let document = Document::new(text, version);
        let now =
            Now { document, news: News::All, check_waits: false, told: None, sent: None, closed: false };
        Self { url, now: Mutex::new(now), snapshot: Mutex::default(), findings: Mutex::default() }
    }

    /// Makes edits. What was not right with them is told, or the error says why they are not made.
    pub fn edit(
        &self,
        edits: Vec<TextDocumentContentChangeEvent>,
        version: i32,
        encoding: Encoding,
    ) -> Result<Vec<String>, String> {
        let mut now = lock(&self.now);
        let Edited { news, remarks } = now.document.edit(edits, version, encoding)?;
        now.news = now.news.then(news);
        Ok(remarks)
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
        let mut now = lock(&self.now);
        now.sent = None;
        show(out, &self.url, Some(now.document.version), &[(); 0]);
    }

    /// The next reading starts anew, as if the text were another: the file's settings may be.
    pub fn forget(&self) {
        let mut now = lock(&self.now);
        (now.news, now.sent) = (News::All, None);
        now.document.edition += 1;
    }

    /// What was said of the text may no longer be all, though the text is the same.
    pub fn stir(&self) {
        lock(&self.now).document.edition += 1;
    }

    /// Reads the newest text and sends what is found in it where the client does not ask for it itself, unless
    /// a newer one has come meanwhile: a check of that is then on its way.
    pub fn check(&self, session: &Session) {
        {
            let mut now = lock(&self.now);
            now.check_waits = false;
            // The check before may have read this edition already.
            if now.told == Some(now.document.edition) {
                return;
            }
        }
        let found = catch_unwind(AssertUnwindSafe(|| self.found(session, Findings::notification)));
        let Some((edition, body)) = found.unwrap_or_else(|_| Some(self.failed())) else { return };
        let mut now = lock(&self.now);
        if !now.closed && now.document.edition == edition {
            now.told = Some(edition);
            let is_new = now.sent.as_ref() != Some(&body);
            if is_new && !session.features().pulls {
                session.out.send_newest(Topic::Findings(self.url.clone()), body.clone());
                now.sent = Some(body);
            }
        }
    }

    /// All that is found in the newest text; nothing of a file that is closed before it is read.
    pub fn diagnostics(&self, session: &Session) -> Option<Vec<Diagnostic>> {
        let found = catch_unwind(AssertUnwindSafe(|| {
            self.found(session, |findings, _, _| findings.diagnostics()).map(|(_, diagnostics)| diagnostics)
        }));
        found.unwrap_or_else(|_| Some(vec![failed()]))
    }

    /// What `ask` says of the newest text; nothing of a file that is closed before it is read.
    pub fn with_view<T>(&self, session: &Session, ask: impl FnOnce(View<'_>) -> T) -> Option<T> {
        let mut place = lock(&self.snapshot);
        // While this takes the snapshot, and until it is put back, the place is empty: after a panic the
        // next reading starts anew.
        let snapshot = loop {
            if let Some(snapshot) = self.catch_up(place.take(), session) {
                break snapshot;
            }
            if lock(&self.now).closed {
                return None;
            }
        };
        let answer = ask(View { url: &self.url, features: session.features(), snapshot: &snapshot });
        *place = Some(snapshot);
        Some(answer)
    }

    /// The snapshot of the newest text, made of an older one where there is one; nothing once the text is
    /// given up for another.
    fn catch_up(&self, snapshot: Option<Snapshot>, session: &Session) -> Option<Snapshot> {
        let (document, news) = {
            let mut now = lock(&self.now);
            (now.document.clone(), mem::take(&mut now.news))
        };
        match (snapshot, news) {
            (Some(snapshot), News::None) => Some(Snapshot { document, ..snapshot }),
            (Some(mut snapshot), News::Part(change)) => {
                snapshot.catch_up(document, change);
                Some(snapshot)
            }
            (None, _) | (_, News::All) => {
                let settings = session.books.settings(&self.url);
                session.show_mistakes();
                Snapshot::read(document, &settings, || {
                    let now = lock(&self.now);
                    !now.closed && now.news != News::All
                })
            }
        }
    }

    /// What `tell` makes of the findings of the newest text, and that text's edition.
    fn found<T>(&self, session: &Session, tell: impl FnOnce(&Findings, &Url, i32) -> T) -> Option<(u64, T)> {
        self.with_view(session, |view| {
            let Document { version, edition, .. } = view.snapshot.document;
            let mut findings = lock(&self.findings);
            findings.catch_up(view);
            let shared = session.index.tell(session, &self.url, findings.titles());
            findings.share(shared);
            (edition, tell(&findings, &self.url, version))
        })
    }

    fn failed(&self) -> (u64, Body) {
        let Document { version, edition, .. } = lock(&self.now).document;
        (edition, notification(&self.url, Some(version), &[failed()]))
    }
}

#[cfg(test)]
mod tests {
    use tower_lsp::lsp_types::{Position, Range};

    use super::*;

    fn session() -> Session {
        Session::new(Outgoing::to_nobody())
    }

    fn file(text: &str) -> OpenFile {
        OpenFile::new(Url::parse("untitled:a").unwrap(), text, 1)
    }

    fn insert(file: &OpenFile, text: &str, version: i32) {
        let range = Some(Range::new(Position::new(0, 0), Position::new(0, 0)));
        let edit = TextDocumentContentChangeEvent { range, range_length: None, text: text.to_owned() };
        file.edit(vec![edit], version, Encoding::Utf16).unwrap();
    }

    fn text(view: View<'_>) -> String {
        let pieces: Vec<&str> = view.page().entries().map(|entry| entry.reading.text()).collect();
        pieces.concat()
    }

    #[test]
    fn an_answer_that_panics_costs_only_itself() {
        let (file, session) = (file("tune: A\n"), session());
        let panicked = catch_unwind(AssertUnwindSafe(|| {
            file.with_view(&session, |_| -> () { panic!("a rule went wrong") })
        }));
        assert!(panicked.is_err());
        insert(&file, "# one\n", 2);
        assert_eq!(file.with_view(&session, text).unwrap(), "# one\ntune: A\n");
    }

    #[test]
    fn edits_between_two_readings_are_caught_up_with_at_once() {
        let (file, session) = (file("tune: A\n"), session());
        file.with_view(&session, text);
        insert(&file, "tune: C\n", 2);
        insert(&file, "tune: B\n", 3);
        assert_eq!(file.with_view(&session, text).unwrap(), "tune: B\ntune: C\ntune: A\n");
        assert_eq!(file.with_view(&session, |view| view.snapshot.document.version), Some(3));
    }

    #[test]
    fn one_check_at_a_time_is_on_its_way() {
        let (file, session) = (file("tune: A\n"), session());
        assert!(file.wants_check());
        assert!(!file.wants_check());
        file.check(&session);
        assert!(file.wants_check());
    }

    #[test]
    fn a_closed_file_is_not_read() {
        let file = file("tune: A\n");
        file.close();
        assert_eq!(file.with_view(&session(), text), None);
    }
}
