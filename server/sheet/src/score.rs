//! What is drawn, before anything has a place: the bars in a row, phrases written out, with what stands at
//! their edges.

mod contents;
mod passage;
mod rhythm;
mod unfold;

use lope_tune::{BarId, Tune};

pub use contents::{Contents, Count, Stroke, StrokeKind, counted};
pub use rhythm::{Piece, Rhythm};

use crate::wishes::Passage;

/// The bars of a tune as they are drawn.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Score {
    /// The bars in a row.
    pub bars: Vec<Drawn>,
    /// For each bar in playing, the place in `bars` where it is drawn.
    pub played: Vec<Option<u32>>,
    /// Whether there were more bars than are drawn.
    pub cut: bool,
}

/// A bar as it is drawn.
#[derive(Clone, Debug, PartialEq)]
pub struct Drawn {
    /// The bar as written.
    pub bar: BarId,
    /// What is drawn of it.
    pub content: Content,
    /// The frame in force in [`Tune::frames`].
    pub frame: u32,
    /// Its number as a player counts: from 1 in its part, 0 for a pickup, an ending's going on.
    pub number: u32,
    /// What stands before it.
    pub opens: Opening,
    /// What stands after it.
    pub closes: Closing,
    /// The heading of what begins with it.
    pub heading: Option<Heading>,
    /// The ending it is in.
    pub ending: Option<Ending>,
    /// The calls of phrases, as written, that it is the first bar of.
    pub calls: Vec<BarId>,
}

impl Drawn {
    /// Whether what is said of the bar `written` is said here: it is drawn of that, or begins what that calls.
    pub fn is_of(&self, written: BarId) -> bool {
        self.bar == written || self.calls.contains(&written)
    }
}

/// What is drawn of a bar.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Content {
    /// Its slots.
    Slots,
    /// The sign for the bar before once more.
    Again,
    /// Nothing, because there is nothing that can be drawn: in a few words, why.
    Gap(String),
}

/// What stands before a bar.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Opening {
    /// The bar line of the bar before.
    #[default]
    Plain,
    /// The sign from which is repeated.
    Repeat,
}

/// What stands after a bar.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Closing {
    /// A bar line.
    #[default]
    Plain,
    /// A double one: a part is over.
    Double,
    /// The sign to repeat, and how often it is played in all.
    Repeat(u32),
    /// The end of the tune.
    End,
}

/// What begins with a bar.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Heading {
    /// A part of this name.
    Part(String),
    /// A phrase of this name, which nothing calls.
    Phrase(String),
}

/// The ending that a bar is in.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Ending {
    /// The times through the part on which it is played: `1`, `1, 2`.
    pub label: String,
    /// Whether it is the first bar of it.
    pub begins: bool,
    /// Whether it is the last bar of it.
    pub ends: bool,
}

impl Score {
    /// What is drawn of `tune`, or of `passage` of it.
    pub fn of(tune: &Tune, passage: Option<&Passage>) -> Self {
        let mut score = unfold::unfold(tune);
        if let Some(passage) = passage {
            score.cut_to(passage);
        }
        score
    }
}
