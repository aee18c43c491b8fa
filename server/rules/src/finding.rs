use lope_syntax::Span;
use lope_tune::{BarId, EventId, NoteId};

use crate::{Level, Place, RuleId};

/// Something a rule found in a tune. Spans count bytes from the start of the tune's text.
#[derive(Clone, Debug, PartialEq)]
pub struct Finding {
    /// The rule.
    pub rule: RuleId,
    /// How much it matters under the settings in force.
    pub level: Level,
    /// The text that is marked.
    pub span: Span,
    /// Where that is, as a player says it.
    pub place: Place,
    /// One sentence, lower case and without a stop: what is wrong, in a player's words.
    pub message: String,
    /// What in the music it is about, for its mends.
    pub about: About,
    /// Other places that explain it.
    pub related: Vec<Related>,
}

/// What in the music a finding is about.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum About {
    /// The text alone.
    Text,
    /// A note.
    Note(NoteId),
    /// An event.
    Event(EventId),
    /// A bar.
    Bar(BarId),
}

/// Another place that explains a finding.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Related {
    /// Where.
    pub span: Span,
    /// What is there.
    pub message: String,
}
