use std::ops::Range;

use crate::{Duration, Frame, Header, Moment};

/// A tune's music, as it is written: repeats, endings and phrases not yet unfolded.
///
/// Two tunes are equal when they are the same music written with the same repeats and phrases; blanks,
/// line breaks, comments and the spelling of lengths (`2:1-` or `2:1 -`) make no difference.
///
/// Everything is kept in flat lists that point into each other, all in the order of the text.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Tune {
    /// The fields above the first part.
    pub header: Header,
    /// The meters, units, gaits and tempos in force; a bar points at its own.
    pub frames: Vec<Frame>,
    /// Parts, their endings, and phrases.
    pub sections: Vec<Section>,
    /// The bars of all sections.
    pub bars: Vec<Bar>,
    /// The events of all bars.
    pub events: Vec<Event>,
    /// The notes of all events.
    pub notes: Vec<Note>,
    /// Groups in braces that are played in the three-note gait.
    pub runs: Vec<Run>,
    /// Words and chord symbols.
    pub labels: Vec<Label>,
}

macro_rules! number {
    ($(#[$doc:meta])* $name:ident) => {
        $(#[$doc])*
        #[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
        pub struct $name(pub u32);

        impl $name {
            /// The number as a place in its list.
            pub const fn index(self) -> usize {
                self.0 as usize
            }
        }
    };
}

number!(
    /// A section's place in [`Tune::sections`].
    SectionId
);
number!(
    /// A bar's place in [`Tune::bars`].
    BarId
);
number!(
    /// An event's place in [`Tune::events`].
    EventId
);
number!(
    /// A note's place in [`Tune::notes`].
    NoteId
);

/// A part, an ending of a part, or a phrase.
#[derive(Clone, Debug, PartialEq)]
pub struct Section {
    /// Which of them it is.
    pub kind: SectionKind,
    /// Its name; an ending has its part's.
    pub name: String,
    /// Its own bars in [`Tune::bars`]; a part's do not include its endings'.
    pub bars: Range<u32>,
}

/// What a section is.
#[derive(Clone, Debug, PartialEq)]
pub enum SectionKind {
    /// A part, played `times` times; with a pickup its first bar is the pickup.
    Part {
        /// How often it is played where no order says otherwise; at least 1.
        times: u32,
        /// Whether the first bar is a pickup.
        pickup: bool,
    },
    /// An ending of the part before it.
    Ending {
        /// The part.
        of: SectionId,
        /// The passes through the part on which it is played, counted from 1.
        passes: Vec<u32>,
    },
    /// A phrase, played wherever it is called.
    Phrase,
}

impl Section {
    /// Whether it is a part.
    pub const fn is_part(&self) -> bool {
        matches!(self.kind, SectionKind::Part { .. })
    }

    /// Whether its first bar is a pickup.
    pub const fn has_pickup(&self) -> bool {
        matches!(self.kind, SectionKind::Part { pickup: true, .. })
    }
}

/// A bar as written.
#[derive(Clone, Debug, PartialEq)]
pub struct Bar {
    /// The frame in force, in [`Tune::frames`].
    pub frame: u32,
    /// What is in it.
    pub content: BarContent,
    /// Its events in [`Tune::events`]; none unless the content is [`BarContent::Slots`].
    pub events: Range<u32>,
    /// The time its slots fill.
    pub length: Duration,
    /// The time of its meter's bar that has gone by before its first slot: more than none for a pickup.
    /// A moment of the bar and its lead together are the place on which the count and the gait depend.
    pub lead: Duration,
}

/// What a bar holds.
#[derive(Clone, Debug, PartialEq)]
pub enum BarContent {
    /// Slots of its own.
    Slots,
    /// `%`: what the bar before it in playing held.
    Again,
    /// `@name`: the bars of a phrase.
    Phrase {
        /// The name as it is called.
        name: String,
        /// The phrase, where there is one of that name.
        section: Option<SectionId>,
    },
}

/// Something that begins in a bar and lasts: notes struck together, a silence, or the ringing on of
/// what sounded when the bar began.
#[derive(Clone, Debug, PartialEq)]
pub struct Event {
    /// When it begins, from the start of the bar's slots.
    pub onset: Moment,
    /// How long it lasts, holds included.
    pub length: Duration,
    /// What it is.
    pub kind: EventKind,
    /// Its notes in [`Tune::notes`]; none unless the kind is [`EventKind::Notes`].
    pub notes: Range<u32>,
    /// The run in [`Tune::runs`] it belongs to.
    pub run: Option<u32>,
}

/// What an event is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum EventKind {
    /// One note, or several at once.
    Notes,
    /// Nothing sounds.
    Silence,
    /// What sounded goes on: a hold at the start of a bar, or after a fault.
    Ring,
}

/// A string made to sound.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Note {
    /// The string as written, 1 (nearest the floor) to 5 (the drone); 0 when a slur names none and
    /// nothing was fingered before it. Other numbers are kept for the rules to report.
    pub string: u8,
    /// The fret as written, from the nut or the capo; 255 stands for anything larger.
    pub fret: u8,
    /// What makes it sound.
    pub how: How,
    /// A slur that names a string other than the one last fingered.
    pub alternate: bool,
    /// What was written after the fret.
    pub marks: Marks,
}

/// What makes a string sound.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum How {
    /// A finger of the falling hand.
    Strike,
    /// The thumb of the rising hand.
    Thumb,
    /// A left-hand finger coming down on a higher fret.
    Hammer,
    /// A left-hand finger pulling away to a lower fret.
    Pull,
    /// A left-hand finger sliding along.
    Slide,
}

impl How {
    /// Whether the left hand does it alone.
    pub const fn is_slur(self) -> bool {
        matches!(self, Self::Hammer | Self::Pull | Self::Slide)
    }
}

/// The marks after a note's fret.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Marks {
    /// `!`
    pub accent: bool,
    /// `~`
    pub vibrato: bool,
    /// `^`
    pub choke: bool,
    /// `/i`, `/m`, `/r`, `/p`
    pub finger: Option<Finger>,
}

/// A finger of the left hand.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Finger {
    /// `/i`
    Index,
    /// `/m`
    Middle,
    /// `/r`
    Ring,
    /// `/p`
    Little,
}

/// Slots in braces, 3, 6, 9 or 12 of them, which the hand takes in groups of three.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Run {
    /// The bar it is in.
    pub bar: BarId,
    /// When it begins, from the start of the bar's slots.
    pub start: Moment,
    /// How long one of its slots lasts.
    pub slot: Duration,
    /// How many slots it has.
    pub slots: u32,
}

impl Run {
    /// Whether a group of three of its slots, and not the first, begins at `at`.
    pub fn begins_three(&self, at: Moment) -> bool {
        let since = at - self.start;
        since.is_positive() && since < self.slot.times(self.slots) && since.is_multiple_of(self.slot.times(3))
    }
}

/// Words or a chord symbol above a bar's slots.
#[derive(Clone, Debug, PartialEq)]
pub struct Label {
    /// The bar.
    pub bar: BarId,
    /// Above which moment of it, from the start of its slots.
    pub onset: Moment,
    /// Which of the two.
    pub kind: LabelKind,
    /// The text between the quotes or brackets.
    pub text: String,
}

/// What a label is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum LabelKind {
    /// `"text"`
    Words,
    /// `<G7>`
    Chord,
}

impl Tune {
    /// The frame of `bar`.
    #[inline]
    pub fn frame(&self, bar: &Bar) -> &Frame {
        &self.frames[bar.frame as usize]
    }

    /// The bars of `section` with their numbers in the tune.
    pub fn bars_of(&self, section: &Section) -> impl Iterator<Item = (BarId, &Bar)> {
        section.bars.clone().map(|at| (BarId(at), &self.bars[at as usize]))
    }

    /// The events of `bar`.
    #[inline]
    pub fn events_of(&self, bar: &Bar) -> &[Event] {
        &self.events[bar.events.start as usize..bar.events.end as usize]
    }

    /// The notes of `event`.
    #[inline]
    pub fn notes_of(&self, event: &Event) -> &[Note] {
        &self.notes[event.notes.start as usize..event.notes.end as usize]
    }
}
