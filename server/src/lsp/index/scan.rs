//! Going through the open folders, on a thread of its own: edits and questions never wait for it.

use std::panic::{AssertUnwindSafe, catch_unwind};
use std::path::Path;
use std::sync::Arc;

use lope_desk::tunes;
use tower_lsp::lsp_types::Url;

use super::record::{Contents, Stamp};
use super::title::{Group, Key, Placed};
use crate::files::Reader;
use crate::lsp::findings::{Findings, failed, shift, unreadable};
use crate::lsp::progress::Progress;
use crate::lsp::search::headings;
use crate::lsp::session::Session;
use crate::lsp::snapshot::{Snapshot, View};

/// How many files are read between two words on how far it is. Fewer than twice as many are read without one.
const STRIDE: usize = 50;

/// A file that was found in an open folder.
pub struct Listed {
    /// What it goes by.
    pub key: Key,
    /// The file on the disk as it was found.
    pub stamp: Option<Stamp>,
    /// Whose titles its own are compared with.
    pub group: Group,
}

/// Goes through the folders whenever that is wanted, for as long as the program runs.
pub fn follow(session: &Arc<Session>) {
    loop {
        let round = session.index.next_round();
        go_through(session, round);
        session.index.end_round();
        session.show_mistakes();
        session.settle();
    }
}

fn go_through(session: &Session, round: u64) {
    let Some(found) = list(session, round) else { return };
    let unread = session.index.take_stock(session, found);
    let total = unread.len();
    let progress = (total >= 2 * STRIDE).then(|| Progress::begin(session, "going through the book"));
    let mut reader = Reader::default();
    for (number, listed) in unread.into_iter().enumerate() {
        if number % STRIDE == 0 {
            session.index.wake_waiting();
            if let Some(progress) = &progress {
                progress.report(number, total);
            }
        }
        let cancelled = progress.as_ref().is_some_and(Progress::is_cancelled);
        if cancelled || !session.index.is_current(round) {
            return;
        }
        let contents = read(session, Path::new(&*listed.key), &mut reader);
        session.index.keep(session, round, listed, contents);
    }
}

/// The files in the open folders; nothing once another scan is wanted.
fn list(session: &Session, round: u64) -> Option<Vec<Listed>> {
    let mut found = Vec::new();
    for path in session.books.files() {
        if !session.index.is_current(round) {
            return None;
        }
        let group = Group::Book(session.books.root(&path));
        let stamp = Stamp::of(&path);
        found.push(Listed { key: Arc::from(path.into_os_string()), stamp, group });
    }
    Some(found)
}

fn read(session: &Session, path: &Path, reader: &mut Reader) -> Contents {
    let reading = AssertUnwindSafe(|| match reader.read(path) {
        Ok(text) => contents(session, path, text),
        Err(problem) => Contents::none_but(unreadable(&problem)),
    });
    catch_unwind(reading).unwrap_or_else(|_| Contents::none_but(failed()))
}

/// What there is to know of the file at `path`. It is read a tune at a time, so that a file of many takes no more
/// room than one of few.
fn contents(session: &Session, path: &Path, text: &str) -> Contents {
    let (mut contents, mut number, mut line) = (Contents::default(), 0, 0);
    let Ok(url) = Url::from_file_path(path) else { return contents };
    let settings = session.books.settings(&url);
    for tune in tunes(text) {
        let snapshot = Snapshot::passing(&text[tune], &settings);
        let view = View { url: &url, features: session.features(), snapshot: &snapshot };
        let mut findings = Findings::default();
        findings.catch_up(view);
        contents.diagnostics.extend(findings.diagnostics().into_iter().map(|mut diagnostic| {
            shift(&mut diagnostic, 0, line);
            diagnostic
        }));
        let titles = findings.titles().into_iter();
        contents.titles.extend(titles.map(|title| Placed {
            number: number + title.number,
            line: line + title.line,
            ..title
        }));
        contents.headings.extend(headings(view, line));
        for entry in view.page().entries() {
            number += 1;
            line += entry.reading.breaks();
        }
    }
    contents.compact()
}
