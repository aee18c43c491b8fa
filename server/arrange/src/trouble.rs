use std::fmt;

use lope_tune::{BarId, Moment, Note};

/// A note of the melody that the setting leaves out.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct LeftOut {
    /// Its place among the melody's notes.
    pub note: usize,
    /// The bar it is in.
    pub bar: BarId,
    /// When it would begin, from the start of the bar's slots.
    pub onset: Moment,
    /// Why.
    pub why: Why,
}

/// Why a note is left out. Only ornaments are: notes that come between two strokes of the gait.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Why {
    /// A grace note that nothing leads to in time.
    Grace,
    /// A grace note that would cost the hands more than it is worth.
    Costly,
    /// Part of a division of a stroke that no slur fits.
    TooFine,
    /// The left hand does not get to it in time.
    OutOfReach,
}

impl fmt::Display for Why {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self {
            Self::Grace => "a grace note is left out: the note before leaves the left hand no time for it",
            Self::Costly => "a grace note is left out: the left hand would have to go out of its way for it",
            Self::TooFine => "a note too quick for the gait is left out",
            Self::OutOfReach => "an ornament that the left hand does not reach is left out",
        })
    }
}

/// Why there is no setting.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Trouble {
    /// The melody has no notes.
    Empty,
    /// No tuning, capo and octave has all of its notes on the neck.
    OffTheNeck,
    /// In the choice that gets furthest, no hand gets to this note at its moment.
    NoWay {
        /// The bar.
        bar: BarId,
        /// When the note begins, from the start of the bar's slots.
        onset: Moment,
    },
    /// In the choice that gets furthest, this note cannot be played as is settled for it.
    NotSo {
        /// The bar.
        bar: BarId,
        /// When the note begins, from the start of the bar's slots.
        onset: Moment,
        /// How it would have to be played.
        note: Note,
        /// Why it cannot.
        why: NotSo,
    },
}

/// Why a note cannot be played as is settled for it.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum NotSo {
    /// The neck has no such fret.
    OffTheNeck,
    /// It is a strike, and the hand does not fall then.
    NoFall,
    /// It is no strike, and the hand falls then.
    Fall,
    /// The hands do not get to it from what is before it, or not from it to what is after.
    OutOfReach,
}

impl fmt::Display for NotSo {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self {
            Self::OffTheNeck => "the neck has no such fret",
            Self::NoFall => "the hand does not fall there, and only a fall strikes",
            Self::Fall => "the hand falls there, and has to strike",
            Self::OutOfReach => "the hands do not get to it or away from it in time",
        })
    }
}
