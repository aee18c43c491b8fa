//! Tunes to files of other forms: one entry of [`FORMS`] for each.
//!
//! Absent here: which tunes are made.

mod score;
mod sound;
mod target;

use std::fs::File;
use std::io;

use lope_desk::Reading;
use lope_sound::Performance;

pub use sound::Passage;
pub use target::Target;

/// A form that a tune can be made into.
pub struct Form {
    /// What its files end in, without the dot.
    pub ending: &'static str,
    /// What it is.
    pub about: &'static str,
    /// Writes a piece.
    pub write: fn(&Piece<'_>, &mut File) -> Result<(), Trouble>,
}

/// Every form there is, in the order in which they are listed.
pub const FORMS: &[Form] = &[
    Form { ending: "mid", about: "a standard MIDI file", write: sound::midi },
    Form { ending: "wav", about: "sound, played on a banjo of strings that are computed", write: sound::wav },
    Form {
        ending: "musicxml",
        about: "a MusicXML score with a tablature staff, for other music programs",
        write: score::musicxml,
    },
    Form { ending: "mxl", about: "the same, compressed", write: score::mxl },
];

/// A tune, and what is asked of it.
pub struct Piece<'p> {
    /// The tune.
    pub reading: &'p Reading,
    /// The bars to play, where not all of them.
    pub passage: Option<&'p Passage>,
    /// How to play them.
    pub performance: &'p Performance,
    /// Whether a staff of notes stands beside the tablature.
    pub notes: bool,
    /// Takes what is to be said of the making: a sentence without a stop.
    pub tell: &'p (dyn Fn(&str) + Sync),
}

/// Why a piece could not be made.
pub enum Trouble {
    /// Something about the tune or what is asked of it: lower case and without a stop.
    Piece(String),
    /// The output could not be written.
    Output(io::Error),
}

impl From<io::Error> for Trouble {
    fn from(error: io::Error) -> Self {
        Self::Output(error)
    }
}

/// The form whose files end in `ending`, in capitals or small letters.
fn form(ending: &str) -> Option<&'static Form> {
    FORMS.iter().find(|form| form.ending.eq_ignore_ascii_case(ending))
}

/// The endings that there are, as they are named in a sentence: `.mid or .wav`.
fn endings() -> String {
    let endings: Vec<String> = FORMS.iter().map(|form| format!(".{}", form.ending)).collect();
    match endings.split_last() {
        Some((last, [])) => last.clone(),
        Some((last, others)) => format!("{} or {last}", others.join(", ")),
        None => String::new(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_ending_names_one_form() {
        for one in FORMS {
            assert_eq!(form(&one.ending.to_uppercase()).unwrap().about, one.about);
        }
    }
}
