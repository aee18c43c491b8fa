use std::ops::Range;

use lope_syntax::{NodeId, Span};

use crate::{Duration, EventId, Moment, SectionId};

/// Where each piece of a tune was written. Spans count bytes from the start of the tune's text.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Source {
    /// For each of [`crate::Tune::sections`].
    pub sections: Vec<SectionPlace>,
    /// For each of [`crate::Tune::bars`].
    pub bars: Vec<BarPlace>,
    /// For each of [`crate::Tune::events`]: its first slot in [`Source::slots`].
    pub events: Vec<u32>,
    /// For each of [`crate::Tune::notes`]: the note with its marks.
    pub notes: Vec<Span>,
    /// Every slot of the text in order, holds included.
    pub slots: Vec<Slot>,
    /// For each of [`crate::Tune::frames`]: the fields that set its meter and its gait.
    pub frames: Vec<FramePlace>,
    /// For each known field above the first part: its name, and the node.
    pub fields: Vec<(&'static str, NodeId)>,
}

/// Where a section stands.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct SectionPlace {
    /// The line of its heading, without the blanks around it.
    pub heading: Span,
    /// From its heading to its last token, a part's endings included.
    pub whole: Span,
    /// Its node.
    pub node: NodeId,
}

/// Where a bar stands.
#[derive(Clone, Debug, PartialEq)]
pub struct BarPlace {
    /// From its first slot to its last.
    pub span: Span,
    /// The bar line that closes it; empty, after the last slot, where there is none.
    pub close: Span,
    /// The section it is in.
    pub section: SectionId,
    /// Its number in the section as a player counts it: the first whole bar is 1, a pickup is 0, and an
    /// ending goes on from its part.
    pub number: u32,
    /// Its slots in [`Source::slots`].
    pub slots: Range<u32>,
}

/// A token of music that takes up time.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Slot {
    /// The token with its marks, or the whole brush.
    pub span: Span,
    /// When it begins, from the start of the bar's slots.
    pub onset: Moment,
    /// How long it lasts.
    pub length: Duration,
    /// The event it begins or prolongs.
    pub event: EventId,
    /// Whether the writer set it off from the slot before by two blanks, a line break or more.
    pub apart: bool,
}

/// Where a frame was set.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct FramePlace {
    /// The text of the `meter` field in force.
    pub meter: Option<Span>,
    /// The text of the `gait` field in force.
    pub gait: Option<Span>,
    /// The text of the `tempo` field in force.
    pub tempo: Option<Span>,
}
