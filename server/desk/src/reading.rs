use std::sync::Arc;

use lope_hand::Hand;
use lope_rules::{Finding, Mend, Music, Settings, check, mends};
use lope_syntax::{Tree, parse};
use lope_tune::Tune;

use crate::line::breaks;
use crate::tidy::Gaps;

/// All there is to know of one tune's text. Spans in it count bytes from the start of that text.
pub struct Reading {
    text: Box<str>,
    settings: Arc<Settings>,
    tree: Tree,
    written: lope_tune::Reading,
    hand: Hand,
    findings: Vec<Finding>,
    breaks: u32,
    gaps: Gaps,
}

impl Reading {
    /// Reads `text`, the text of one tune, and checks it under `settings`.
    pub fn new(text: impl Into<Box<str>>, settings: &Arc<Settings>) -> Self {
        let text = text.into();
        let tree = parse(&text);
        let written = lope_tune::read(&text, &tree, &settings.defaults);
        let hand = lope_hand::read(&written.tune);
        let breaks = breaks(text.as_bytes());
        let (settings, findings, gaps) = (Arc::clone(settings), Vec::new(), Gaps::default());
        let mut reading = Self { text, settings, tree, written, hand, findings, breaks, gaps };
        reading.findings = check(&reading.music(), &reading.settings);
        if let Some(untidy) = reading.untidy_finding() {
            let at = reading.findings.partition_point(|finding| finding.span <= untidy.span);
            reading.findings.insert(at, untidy);
        }
        reading
    }

    /// The same in as little room as it takes. Reading reserves more than it needs, for speed, which is no matter
    /// where the reading is soon dropped; it is where thousands are kept.
    pub fn compact(self) -> Self {
        // A copy of a list has no room to grow.
        Self { tree: self.tree.clone(), written: self.written.clone(), hand: self.hand.clone(), ..self }
    }

    /// The text.
    pub fn text(&self) -> &str {
        &self.text
    }

    /// Its tree.
    pub const fn tree(&self) -> &Tree {
        &self.tree
    }

    /// Its music.
    pub const fn tune(&self) -> &Tune {
        &self.written.tune
    }

    /// Its music with where each piece was written.
    pub const fn written(&self) -> &lope_tune::Reading {
        &self.written
    }

    /// How many lines end in it.
    pub const fn breaks(&self) -> u32 {
        self.breaks
    }

    /// Its gaps that are not tidy, as far as anybody has asked.
    pub(crate) const fn gaps(&self) -> &Gaps {
        &self.gaps
    }

    /// The settings it was checked under.
    pub const fn settings(&self) -> &Arc<Settings> {
        &self.settings
    }

    /// All that rules look at.
    pub fn music(&self) -> Music<'_> {
        Music::new(&self.text, &self.tree, &self.written, &self.hand, self.settings.neck)
    }

    /// What the rules found, in the order of the text.
    pub fn findings(&self) -> &[Finding] {
        &self.findings
    }

    /// The ways to put `finding`, one of this reading's, right: the best first.
    pub fn mends(&self, finding: &Finding) -> Vec<Mend> {
        mends(&self.music(), finding)
    }
}
