use std::ops::Range;

use lope_desk::{Entry, Finding, Span};
use tower_lsp::lsp_types::{CodeActionKind, CodeActionParams, CodeActionTriggerKind, Diagnostic};

use crate::lsp::session::Session;
use crate::lsp::snapshot::View;

/// The most findings that are looked at: a menu of more is of no use to anybody, and takes its time.
const MOST: usize = 100;

/// What a client wants to know what to do about.
pub struct Asked<'a> {
    /// What knows of other files what a finding may take.
    pub session: &'a Session,
    /// The file.
    pub view: View<'a>,
    /// The bytes that are selected.
    pub bytes: Range<usize>,
    /// Whether it asks by itself, as the cursor moves, and not because the player wants to know.
    pub automatic: bool,
    /// The kinds it wants; all where it does not say.
    pub only: Option<&'a [CodeActionKind]>,
}

impl<'a> Asked<'a> {
    /// What is asked by `params` of the file in `view`.
    pub fn new(session: &'a Session, view: View<'a>, params: &'a CodeActionParams) -> Self {
        let automatic = params.context.trigger_kind == Some(CodeActionTriggerKind::AUTOMATIC);
        Self {
            session,
            view,
            bytes: view.bytes(params.range),
            automatic,
            only: params.context.only.as_deref(),
        }
    }

    /// Whether it wants to hear of `kind`.
    pub fn wants(&self, kind: &str) -> bool {
        wants(self.only, kind)
    }

    /// The tunes that the selection touches.
    pub fn entries(&self) -> impl Iterator<Item = Entry<'a>> {
        self.view.page().entries().filter(move |entry| self.touches(&entry.bytes_of_all()))
    }

    /// The findings that the selection touches, of very many the first.
    pub fn findings(&self) -> impl Iterator<Item = (Entry<'a>, &'a Finding)> {
        let all = self.entries().flat_map(move |entry| {
            let findings = entry.reading.findings().iter();
            findings
                .filter(move |finding| self.touches(&entry.bytes(finding.span)))
                .map(move |it| (entry, it))
        });
        all.take(MOST)
    }

    /// The tunes whose titles the selection touches and earlier tunes have, each with what is said of that.
    pub fn shared_titles(&self) -> Vec<(Entry<'a>, Span, Diagnostic)> {
        let titles = self.view.page().entries().enumerate().filter_map(|(number, entry)| {
            let title = entry.reading.title_span()?;
            self.touches(&entry.bytes(title)).then_some((number, entry, title))
        });
        let mut titles = titles.take(MOST).peekable();
        if titles.peek().is_none() {
            return Vec::new();
        }
        let shared = self.session.index.shared(self.session, self.view.url);
        let with_word = titles.filter_map(|(number, entry, title)| {
            let range = self.view.range(entry.bytes(title));
            // What is known there may be of an older text than that in view.
            let said = shared.iter().find(|(of, said)| *of == number && said.range == range);
            said.map(|(_, said)| (entry, title, said.clone()))
        });
        with_word.collect()
    }

    fn touches(&self, bytes: &Range<usize>) -> bool {
        bytes.start <= self.bytes.end && self.bytes.start <= bytes.end
    }
}

/// Whether a client that asks for `only` wants to hear of `kind`: a kind it names holds those below it.
fn wants(only: Option<&[CodeActionKind]>, kind: &str) -> bool {
    let holds = |wanted: &CodeActionKind| {
        let below = kind.strip_prefix(wanted.as_str());
        wanted.as_str().is_empty() || below.is_some_and(|rest| rest.is_empty() || rest.starts_with('.'))
    };
    only.is_none_or(|only| only.iter().any(holds))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_kind_holds_those_below_it() {
        let wants = |only: &[&'static str], kind| {
            let only: Vec<CodeActionKind> = only.iter().copied().map(CodeActionKind::new).collect();
            wants(Some(&only), kind)
        };
        assert!(super::wants(None, "source.fixAll"));
        assert!(wants(&[""], "source.fixAll"));
        assert!(wants(&["source"], "source.fixAll"));
        assert!(wants(&["quickfix", "source.fixAll"], "source.fixAll"));
        assert!(!wants(&["source.fixAll.lope"], "source.fixAll"));
        assert!(wants(&["source.fixAll.lope"], "source.fixAll.lope"));
        assert!(!wants(&["source.fix"], "source.fixAll"));
        assert!(!wants(&["refactor"], "quickfix"));
        assert!(!wants(&[], "quickfix"));
    }
}
