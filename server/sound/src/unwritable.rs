use std::fmt;
use std::io;

/// Why a schedule cannot be written.
#[derive(Debug)]
pub enum Unwritable {
    /// A tempo slower than a standard MIDI file can say.
    TooSlow,
    /// It takes longer than the form has room for; the most it has, in hours.
    TooLong {
        /// The most it has room for.
        hours: u32,
    },
    /// The output could not be written.
    Output(io::Error),
}

impl fmt::Display for Unwritable {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::TooSlow => f.write_str(
                "the tempo is too slow for a standard MIDI file, in which a quarter note lasts at most 16 seconds; \
                 choose a higher speed",
            ),
            Self::TooLong { hours } => {
                write!(f, "it takes longer than {hours} hours, the most this form has room for; choose a part of it")
            }
            Self::Output(error) => error.fmt(f),
        }
    }
}

impl std::error::Error for Unwritable {}

impl From<io::Error> for Unwritable {
    fn from(error: io::Error) -> Self {
        Self::Output(error)
    }
}
