use lope_syntax::Span;
use lope_tune::{BarId, EventId, NoteId};

use crate::{About, Finding, Level, Music, Place, Related, RuleId};

/// What the rules have found so far; a rule adds to it under its own name and level.
pub struct Report {
    rule: RuleId,
    level: Level,
    findings: Vec<Finding>,
    /// One bit a rule: set for those that have been asked.
    asked: u64,
}

impl Report {
    /// An empty report.
    pub(crate) const fn new() -> Self {
        Self { rule: RuleId(0), level: Level::Hint, findings: Vec::new(), asked: 0 }
    }

    /// What follows is found by `rule`.
    pub(crate) const fn begin(&mut self, rule: RuleId, level: Level) {
        self.rule = rule;
        self.level = level;
        self.asked |= 1 << rule.0;
    }

    /// Whether `rule` has been asked so far: it is on, and one tune is enough for it.
    pub(crate) const fn has_asked(&self, rule: RuleId) -> bool {
        self.asked >> rule.0 & 1 == 1
    }

    /// What has been found so far.
    pub(crate) fn findings(&self) -> &[Finding] {
        &self.findings
    }

    /// All that was found.
    pub(crate) fn into_findings(self) -> Vec<Finding> {
        self.findings
    }

    /// A finding about `note`, marked in the text.
    pub fn note(&mut self, music: &Music, note: NoteId, message: impl Into<String>) -> &mut Finding {
        self.add(About::Note(note), music.note_span(note), music.place_of_note(note), message.into())
    }

    /// A finding about `event`: its first slot is marked.
    pub fn event(&mut self, music: &Music, event: EventId, message: impl Into<String>) -> &mut Finding {
        self.add(About::Event(event), music.event_span(event), music.place_of_event(event), message.into())
    }

    /// A finding about `bar`: its slots are marked.
    pub fn bar(&mut self, music: &Music, bar: BarId, message: impl Into<String>) -> &mut Finding {
        let span = music.source.bars[bar.index()].span;
        self.add(About::Bar(bar), span, music.place_of_bar(bar), message.into())
    }

    /// A finding about the text at `span`.
    pub fn text(&mut self, music: &Music, span: Span, message: impl Into<String>) -> &mut Finding {
        self.add(About::Text, span, music.place_of_text(span.start), message.into())
    }

    fn add(&mut self, about: About, span: Span, place: Place, message: String) -> &mut Finding {
        let at = self.findings.len();
        let (rule, level) = (self.rule, self.level);
        self.findings.push(Finding { rule, level, span, place, message, about, related: Vec::new() });
        &mut self.findings[at]
    }
}

impl Finding {
    /// Marks `span` instead; the place stays.
    pub fn mark(&mut self, span: Span) -> &mut Self {
        self.span = span;
        self
    }

    /// Adds another place that explains it.
    pub fn relate(&mut self, span: Span, message: impl Into<String>) -> &mut Self {
        self.related.push(Related { span, message: message.into() });
        self
    }
}
