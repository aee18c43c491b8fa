use std::fmt;

use lope_tune::{BarId, Moment};

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
    /// A grace note.
    Grace,
    /// Part of a division of a stroke that no slur fits.
    TooFine,
    /// The left hand does not get to it in time.
    OutOfReach,
}

impl fmt::Display for Why {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self {
            Self::Grace => "a grace note is left out",
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
}
