use lope_tune::{Neck, Tuning};

/// What a setting should be like.
#[derive(Clone, Debug, Default)]
pub struct Wishes {
    /// The tuning; any of the trade's where none is named.
    pub tuning: Option<Tuning>,
    /// The fret of the capo, 0 for none; any up to the fifth where none is named.
    pub capo: Option<u8>,
    /// The pitch class to move the melody's tonic to, 0 for C to 11 for B; its own where none is named.
    pub tonic: Option<u8>,
    /// How it is dressed.
    pub style: Style,
    /// What it asks of the player.
    pub level: Level,
    /// The neck it is for.
    pub neck: Neck,
}

/// What sounds beside the melody.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Style {
    /// The drone on the rise after a note that lasts.
    #[default]
    Plain,
    /// As plain, and a brush on the falls that a long note leaves open.
    DroneRich,
    /// The melody alone.
    Melodic,
}

/// What a setting asks of the player.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Level {
    /// Everything the two hands can do.
    #[default]
    Player,
    /// No dropped thumb, no string sounded by a pull-off from another, the hand low on the neck and not
    /// stretched.
    Beginner,
}
