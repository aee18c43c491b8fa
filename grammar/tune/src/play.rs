use crate::{BarId, Duration, How, Moment, NoteId, Pitch, Tune};

/// What sounds when a tune is played through once: repeats, endings, phrases and order unfolded.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Played {
    /// The bars in the order they are played.
    pub bars: Vec<PlayedBar>,
    /// The notes in the order they sound.
    pub notes: Vec<PlayedNote>,
    /// How long it all takes.
    pub length: Duration,
}

/// A bar as it is played once.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct PlayedBar {
    /// The bar whose slots are played; for `%` the one it repeats.
    pub bar: BarId,
    /// When it begins, from the start of the tune.
    pub start: Moment,
    /// The time it takes.
    pub length: Duration,
}

/// A note as it sounds once.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct PlayedNote {
    /// The note as written.
    pub note: NoteId,
    /// When it sounds, from the start of the tune.
    pub onset: Moment,
    /// How long it is written to last, holds into later bars included.
    pub length: Duration,
    /// What it sounds, when the string and fret exist.
    pub pitch: Option<Pitch>,
    /// Its string, as written.
    pub string: u8,
    /// Its fret, as written.
    pub fret: u8,
    /// What makes it sound.
    pub how: How,
}

/// Plays `tune` through once.
pub fn play(tune: &Tune) -> Played {
    let _ = tune;
    Played::default()
}
