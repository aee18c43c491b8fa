//! What is found in a file, as diagnostics.

use std::sync::Arc;

use lope_desk::{Entry, Finding, Level, Reading};
use serde::{Serialize, Serializer};
use tower_lsp::lsp_types::notification::{Notification, PublishDiagnostics};
use tower_lsp::lsp_types::{
    Diagnostic, DiagnosticRelatedInformation, DiagnosticSeverity, Location, NumberOrString, Position, Range,
    Url,
};

use super::index::{Placed, Title};
use super::outgoing::Outgoing;
use super::queue::{Body, Topic};
use super::snapshot::View;
use crate::files::Problem;

/// Where a diagnostic comes from, as editors show it.
pub const SOURCE: &str = "lope";

/// The diagnostics of a file. Those of a tune are kept for as long as the tune is the same.
#[derive(Default)]
pub struct Findings {
    tunes: Vec<Found>,
    /// That an earlier tune has the same title, each with the number of its tune.
    shared: Vec<(usize, Diagnostic)>,
}

/// The diagnostics of a tune.
struct Found {
    reading: Arc<Reading>,
    /// The line of the file at which the tune starts.
    line: u32,
    diagnostics: Vec<Diagnostic>,
    title: Option<Arc<Title>>,
}

impl Findings {
    /// Catches up with the file as it is now: makes the diagnostics of tunes that are new, and moves those of
    /// the others to the lines where they stand now.
    pub fn catch_up(&mut self, view: View<'_>) {
        let entries: Vec<_> = view.page().entries().collect();
        let same = |(found, entry): &(&Found, &Entry<'_>)| Arc::ptr_eq(&found.reading, entry.reading);
        let head = self.tunes.iter().zip(&entries).take_while(same).count();
        let (old, new) = (&self.tunes[head..], &entries[head..]);
        let tail = old.iter().rev().zip(new.iter().rev()).take_while(same).count();
        let fresh = new[..new.len() - tail].iter().map(|entry| Found::new(view, *entry));
        let fresh: Vec<Found> = fresh.collect();
        self.tunes.splice(head..self.tunes.len() - tail, fresh);
        self.tunes.iter_mut().zip(&entries).for_each(|(found, entry)| found.move_to(entry.line));
    }

    /// The titles of the tunes, for the index to compare with those of the book.
    pub fn titles(&self) -> Vec<Placed> {
        let numbered = self.tunes.iter().enumerate();
        let placed = numbered.filter_map(|(number, found)| {
            Some(Placed { title: Arc::clone(found.title.as_ref()?), number, line: found.line })
        });
        placed.collect()
    }

    /// Takes in what the index says: that an earlier tune has the same title, each with the number of its tune.
    pub fn share(&mut self, shared: Vec<(usize, Diagnostic)>) {
        self.shared = shared;
    }

    /// All of them.
    pub fn diagnostics(&self) -> Vec<Diagnostic> {
        self.iter().cloned().collect()
    }

    /// The notification that shows them for `version` of the file at `url`.
    pub fn notification(&self, url: &Url, version: i32) -> Body {
        notification(url, Some(version), &All(self))
    }

    /// In the order of the tunes; that another has the same title comes first.
    fn iter(&self) -> impl Iterator<Item = &Diagnostic> {
        let mut shared = self.shared.iter().peekable();
        self.tunes.iter().enumerate().flat_map(move |(number, found)| {
            let same = shared.next_if(|(of, _)| *of == number).map(|(_, diagnostic)| diagnostic);
            same.into_iter().chain(&found.diagnostics)
        })
    }
}

impl Found {
    fn new(view: View<'_>, entry: Entry<'_>) -> Self {
        let diagnostics = entry.reading.findings().iter().map(|finding| diagnostic(view, entry, finding));
        Self {
            reading: Arc::clone(entry.reading),
            line: entry.line,
            diagnostics: diagnostics.collect(),
            title: Title::new(view, entry),
        }
    }

    fn move_to(&mut self, line: u32) {
        if line == self.line {
            return;
        }
        self.diagnostics.iter_mut().for_each(|diagnostic| shift(diagnostic, self.line, line));
        self.line = line;
    }
}

/// Moves `diagnostic`, and the other places it is about, with a tune that stood at line `from` and stands at `to`.
pub fn shift(diagnostic: &mut Diagnostic, from: u32, to: u32) {
    let related = diagnostic.related_information.iter_mut().flatten();
    let others = related.map(|related| &mut related.location.range);
    for range in others.chain([&mut diagnostic.range]) {
        for position in [&mut range.start, &mut range.end] {
            position.line = position.line - from + to;
        }
    }
}

/// The diagnostics of a file as a list.
struct All<'f>(&'f Findings);

impl Serialize for All<'_> {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.collect_seq(self.0.iter())
    }
}

/// Shows `diagnostics` and nothing else for the file at `url`; without any they are gone from the client's view.
pub fn show(out: &Outgoing, url: &Url, version: Option<i32>, diagnostics: &impl Serialize) {
    out.send_newest(Topic::Findings(url.clone()), notification(url, version, diagnostics));
}

/// The notification that does so.
pub fn notification(url: &Url, version: Option<i32>, diagnostics: &impl Serialize) -> Body {
    #[derive(Serialize)]
    struct Params<'p, D> {
        uri: &'p Url,
        #[serde(skip_serializing_if = "Option::is_none")]
        version: Option<i32>,
        diagnostics: &'p D,
    }
    Body::notification(PublishDiagnostics::METHOD, &Params { uri: url, version, diagnostics })
}

/// A finding.
pub fn diagnostic(view: View<'_>, entry: Entry<'_>, finding: &Finding) -> Diagnostic {
    let related = finding.related.iter().map(|related| DiagnosticRelatedInformation {
        location: Location::new(view.url.clone(), view.range(entry.bytes(related.span))),
        message: related.message.clone(),
    });
    let related: Option<Vec<_>> = view.features.related_places.then(|| related.collect());
    let related_information = related.filter(|related| !related.is_empty());
    Diagnostic { related_information, ..bare(view.range(entry.bytes(finding.span)), finding) }
}

/// A finding at `range`, without the other places it is about.
pub fn bare(range: Range, finding: &Finding) -> Diagnostic {
    Diagnostic {
        range,
        severity: Some(severity(finding.level)),
        code: Some(NumberOrString::String(finding.rule.rule().name.to_owned())),
        source: Some(SOURCE.to_owned()),
        message: match finding.place.section {
            Some(_) => format!("{}: {}", finding.place, finding.message),
            None => finding.message.clone(),
        },
        ..Diagnostic::default()
    }
}

/// What stands for the findings of a file when reading it has failed by a mistake of ours: those sent last may
/// no longer hold, and the player should know why there are no new ones.
pub fn failed() -> Diagnostic {
    let message = "lope made a mistake of its own here and cannot check this file; its log says more";
    Diagnostic {
        severity: Some(DiagnosticSeverity::ERROR),
        source: Some(SOURCE.to_owned()),
        message: message.to_owned(),
        ..Diagnostic::default()
    }
}

/// What stands for the findings of a file that is not text, or that the system does not let us read.
pub fn unreadable(problem: &Problem) -> Diagnostic {
    let at = problem.at.map_or_else(Position::default, |(line, column)| Position::new(line - 1, column - 1));
    Diagnostic { range: Range::new(at, at), message: problem.message.clone(), ..failed() }
}

/// A level in the protocol's terms.
const fn severity(level: Level) -> DiagnosticSeverity {
    match level {
        Level::Error => DiagnosticSeverity::ERROR,
        Level::Warning => DiagnosticSeverity::WARNING,
        Level::Hint => DiagnosticSeverity::HINT,
    }
}
