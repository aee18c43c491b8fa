//! What is found in a file, as diagnostics.

use std::sync::Arc;

use lope_desk::{Finding, Level, Reading, Sheet, is_kept, same_title, same_titles};
use serde::{Serialize, Serializer};
use tower_lsp::lsp_types::notification::{Notification, PublishDiagnostics};
use tower_lsp::lsp_types::{
    Diagnostic, DiagnosticRelatedInformation, DiagnosticSeverity, Location, NumberOrString, Range, Url,
};

use super::outgoing::Body;
use super::snapshot::View;

/// Where a diagnostic comes from, as editors show it.
pub const SOURCE: &str = "lope";

/// The diagnostics of a file. Those of a tune are kept for as long as the tune is the same.
#[derive(Default)]
pub struct Findings {
    tunes: Vec<Found>,
    /// The tunes whose title an earlier one of the file has, each with that one: by their places.
    shared_titles: Vec<(usize, usize)>,
}

/// The diagnostics of a tune.
struct Found {
    reading: Arc<Reading>,
    /// The line of the file at which the tune starts.
    line: u32,
    diagnostics: Vec<Diagnostic>,
    /// That an earlier tune has the same title.
    same_title: Option<Diagnostic>,
}

impl Findings {
    /// Catches up with the file as it is now: makes the diagnostics of tunes that are new, and moves those of
    /// the others to the lines where they stand now.
    pub fn catch_up(&mut self, view: View<'_>) {
        let sheets: Vec<_> = view.page().sheets().collect();
        let same = |(found, sheet): &(&Found, &Sheet<'_>)| Arc::ptr_eq(&found.reading, sheet.reading);
        let head = self.tunes.iter().zip(&sheets).take_while(same).count();
        let (old, new) = (&self.tunes[head..], &sheets[head..]);
        let tail = old.iter().rev().zip(new.iter().rev()).take_while(same).count();
        let fresh = new[..new.len() - tail].iter().map(|sheet| Found::new(view, *sheet));
        let fresh: Vec<Found> = fresh.collect();
        let stale = head..self.tunes.len() - tail;
        let renamed = !fresh.iter().map(Found::title).eq(self.tunes[stale.clone()].iter().map(Found::title));
        self.tunes.splice(stale, fresh);
        self.tunes.iter_mut().zip(&sheets).for_each(|(found, sheet)| found.move_to(sheet.line));
        if renamed {
            self.shared_titles = same_titles(self.tunes.iter().map(Found::title));
        }
        self.tunes.iter_mut().for_each(|found| found.same_title = None);
        for &(later, first) in &self.shared_titles {
            self.tunes[later].same_title = same_title_diagnostic(view, sheets[later], sheets[first]);
        }
    }

    /// The notification that shows them for `version` of the file at `url`.
    pub fn notification(&self, url: &Url, version: i32) -> Body {
        notification(url, Some(version), &All(&self.tunes))
    }
}

impl Found {
    fn new(view: View<'_>, sheet: Sheet<'_>) -> Self {
        let diagnostics = sheet.reading.findings().iter().map(|finding| diagnostic(view, sheet, finding));
        Self {
            reading: Arc::clone(sheet.reading),
            line: sheet.line,
            diagnostics: diagnostics.collect(),
            same_title: None,
        }
    }

    fn title(&self) -> &str {
        &self.reading.tune().header.title
    }

    fn move_to(&mut self, line: u32) {
        if line == self.line {
            return;
        }
        let shift = |range: &mut Range| {
            for position in [&mut range.start, &mut range.end] {
                position.line = position.line - self.line + line;
            }
        };
        for diagnostic in &mut self.diagnostics {
            shift(&mut diagnostic.range);
            let related = diagnostic.related_information.iter_mut().flatten();
            related.for_each(|related| shift(&mut related.location.range));
        }
        self.line = line;
    }
}

/// The diagnostics of all tunes as one list.
struct All<'f>(&'f [Found]);

impl Serialize for All<'_> {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        serializer
            .collect_seq(self.0.iter().flat_map(|found| found.same_title.iter().chain(&found.diagnostics)))
    }
}

/// The notification that shows `diagnostics` and nothing else for the file at `url`; without any they are
/// gone from the client's view.
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
pub fn diagnostic(view: View<'_>, sheet: Sheet<'_>, finding: &Finding) -> Diagnostic {
    let related = finding.related.iter().map(|related| DiagnosticRelatedInformation {
        location: Location::new(view.url.clone(), view.range(sheet.bytes(related.span))),
        message: related.message.clone(),
    });
    let related: Option<Vec<_>> = view.features.related_places.then(|| related.collect());
    Diagnostic {
        range: view.range(sheet.bytes(finding.span)),
        severity: Some(severity(finding.level)),
        code: Some(NumberOrString::String(finding.rule.rule().name.to_owned())),
        source: Some(SOURCE.to_owned()),
        message: match finding.place.section {
            Some(_) => format!("{}: {}", finding.place, finding.message),
            None => finding.message.clone(),
        },
        related_information: related.filter(|related| !related.is_empty()),
        ..Diagnostic::default()
    }
}

/// That the tune of `sheet` has the title of `first`, an earlier one; none where that may be so.
fn same_title_diagnostic(view: View<'_>, sheet: Sheet<'_>, first: Sheet<'_>) -> Option<Diagnostic> {
    let reading = sheet.reading;
    let line = view.range(first.bytes(first.reading.title_span()?)).start.line + 1;
    let finding = same_title(reading.settings(), reading.title_span()?, &format!("line {line}"))?;
    let kept = is_kept(reading.text(), reading.tree(), finding.rule, finding.span);
    (!kept).then(|| diagnostic(view, sheet, &finding))
}

/// A level in the protocol's terms.
const fn severity(level: Level) -> DiagnosticSeverity {
    match level {
        Level::Error => DiagnosticSeverity::ERROR,
        Level::Warning => DiagnosticSeverity::WARNING,
        Level::Hint => DiagnosticSeverity::HINT,
    }
}
