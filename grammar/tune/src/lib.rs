//! Tree to music, and music to text.
//!
//! [`read`] turns a tree into a [`Tune`]: bars of events in exact time, with a [`Source`] that knows
//! where each was written and a list of [`Issue`]s. [`play`] unfolds repeats, endings, phrases and the
//! order into what sounds. [`write`] spells a tune as text again.
//!
//! Absent here: judgement. A tune that is hard or impossible to play is still a tune; only what the
//! text says, not whether a hand can do it, is decided here.

#![deny(clippy::float_arithmetic)]

mod chord;
mod count;
mod frame;
mod gait;
mod group;
mod header;
mod issue;
mod melody;
mod melody_part;
mod music;
mod neck;
mod order;
mod pitch;
mod play;
mod read;
mod source;
mod time;
mod tuning;
mod write;

pub use chord::{chord_qualities, chord_tones};
pub use frame::{Feel, Frame, Meter};
pub use gait::{Gait, Stroke};
pub use group::Group;
pub use header::{Defaults, Header};
pub use issue::{Issue, IssueKind};
pub use melody::{Key, Melody, MelodyNote, Mode, Place};
pub use melody_part::MelodyPart;
pub use music::{
    Bar, BarContent, BarId, Event, EventId, EventKind, Finger, How, Label, LabelKind, Marks, Note, NoteId,
    Run, Section, SectionId, SectionKind, Tune,
};
pub use neck::Neck;
pub use order::{DEEPEST, LONGEST, Meeting, Pass};
pub use pitch::{Pitch, class_of, natural};
pub use play::{Played, PlayedBar, PlayedNote, play};
pub use read::WIDEST;
pub use read::{CHANGING, FIELDS, KINDS, Reading, read};
pub use source::{BarPlace, FramePlace, SectionPlace, Slot, Source};
pub use time::{Duration, FINEST, Moment};
pub use tuning::{NAMED, Tuning};
pub use write::{spell_note, write};
