use std::fmt;

/// How much a finding matters.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Level {
    /// Worth a look.
    Hint,
    /// The passage will stumble, or the bar does not add up.
    Warning,
    /// It cannot be played, or not be read.
    Error,
}

impl Level {
    /// Every level, the mildest first.
    pub const ALL: [Self; 3] = [Self::Hint, Self::Warning, Self::Error];

    /// Its name in `lope.toml`, on the command line and in output.
    pub const fn name(self) -> &'static str {
        match self {
            Self::Hint => "hint",
            Self::Warning => "warning",
            Self::Error => "error",
        }
    }
}

impl fmt::Display for Level {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.pad(self.name())
    }
}
