use lope_tune::Tuning;

/// How the instrument is tuned, and how the score counts.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Strings {
    /// The tuning.
    pub tuning: Tuning,
    /// The fret of the capo.
    pub capo: u8,
    /// Whether the drone's frets are counted from its own peg, and not from the nut.
    pub short_drone: bool,
}

impl Strings {
    /// The fret of `string` that the score calls `fret`, as a player counts it.
    pub const fn fret(&self, string: u8, fret: u8) -> u8 {
        if string == 5 && fret > 0 && self.short_drone { fret.saturating_add(5) } else { fret }
    }
}
