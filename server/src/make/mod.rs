//! Tunes to files of other forms: one entry of [`FORMS`] for each.
//!
//! Absent here: which tunes are made.

mod heard;
mod letters;
mod passage;
mod remarks;
mod score;
mod seen;
mod target;

use std::fs::File;
use std::io;

use lope_desk::Reading;
use lope_sheet::Passage;
use lope_sound::Performance;
use lope_tune::play;

pub use remarks::remark;
pub use seen::{DOTS, Look, WIDTHS};
pub use target::Target;

/// A form that tunes can be made into.
pub struct Form {
    /// What its files end in, without the dot.
    pub ending: &'static str,
    /// What it is.
    pub about: &'static str,
    /// What it is for.
    pub purpose: Purpose,
    /// What writes its files.
    pub write: Write,
}

/// What a form is for.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Purpose {
    /// To be seen.
    Seen,
    /// To be heard.
    Heard,
    /// To be read by other programs.
    Read,
}

/// What writes a file.
#[derive(Clone, Copy)]
pub enum Write {
    /// A file holds one tune.
    Tune(fn(&Piece<'_>, &mut File) -> Result<(), Trouble>),
    /// A file holds any number of tunes.
    Book(fn(&Volume<'_>, &mut File) -> Result<(), Trouble>),
}

/// Every form there is, in the order in which they are listed.
pub const FORMS: &[Form] = &[
    Form { ending: "pdf", about: "pages to print", purpose: Purpose::Seen, write: Write::Book(seen::pdf) },
    Form {
        ending: "html",
        about: "a page for a browser, all in one file",
        purpose: Purpose::Seen,
        write: Write::Book(seen::html),
    },
    Form {
        ending: "txt",
        about: "five lines of plain text",
        purpose: Purpose::Seen,
        write: Write::Book(seen::txt),
    },
    Form {
        ending: "svg",
        about: "a picture that stays sharp at any size",
        purpose: Purpose::Seen,
        write: Write::Tune(seen::svg),
    },
    Form { ending: "png", about: "a picture of dots", purpose: Purpose::Seen, write: Write::Tune(seen::png) },
    Form {
        ending: "mid",
        about: "a standard MIDI file",
        purpose: Purpose::Heard,
        write: Write::Tune(heard::midi),
    },
    Form {
        ending: "wav",
        about: "sound, played on a banjo of strings that are computed",
        purpose: Purpose::Heard,
        write: Write::Tune(heard::wav),
    },
    Form {
        ending: "musicxml",
        about: "a MusicXML score with a tablature staff, for other music programs",
        purpose: Purpose::Read,
        write: Write::Tune(score::musicxml),
    },
    Form {
        ending: "mxl",
        about: "the same, compressed",
        purpose: Purpose::Read,
        write: Write::Tune(score::mxl),
    },
];

impl Form {
    /// Whether a file of it holds any number of tunes.
    pub const fn holds_books(&self) -> bool {
        matches!(self.write, Write::Book(_))
    }

    /// Writes `volume` to `file`; of a form that holds one tune, the first.
    ///
    /// # Errors
    /// Where a piece cannot be made, or the file cannot be written.
    pub fn write(&self, volume: &Volume<'_>, file: &mut File) -> Result<(), Trouble> {
        match self.write {
            Write::Book(write) => write(volume, file),
            Write::Tune(write) => volume.pieces.iter().take(1).try_for_each(|piece| write(piece, file)),
        }
    }
}

/// A tune, and what is asked of it.
#[derive(Clone, Copy)]
pub struct Piece<'p> {
    /// The tune.
    pub reading: &'p Reading,
    /// The bars that are made, where not all of them.
    pub passage: Option<&'p Passage>,
    /// How to play them.
    pub performance: &'p Performance,
    /// How to show them.
    pub look: &'p Look,
    /// Whether a staff of notes stands beside the tablature.
    pub notes: bool,
    /// Takes what is to be said of the making: a sentence without a stop.
    pub tell: &'p (dyn Fn(&str) + Sync),
}

impl Piece<'_> {
    /// Why there is nothing to show of it, if so.
    pub fn refusal(&self) -> Option<String> {
        let tune = self.reading.tune();
        if tune.events.is_empty() {
            return Some("there is no music in it to show".to_owned());
        }
        passage::find(tune, &play(tune), self.passage?).err()
    }
}

/// Tunes that are made into one file.
pub struct Volume<'v> {
    /// What it is called.
    pub title: &'v str,
    /// The tunes, in their order.
    pub pieces: Vec<Piece<'v>>,
    /// Takes what is to be said of the making: a sentence without a stop.
    pub tell: &'v (dyn Fn(&str) + Sync),
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
