//! The files that a melody or a tablature is read from.

use std::fs::File;
use std::io::Read;
use std::path::Path;

use lope_exchange::{LARGEST, ReadError, Remark, midi, musicxml, text};
use lope_tune::{Melody, Tune, Tuning};

use crate::cli::output;
use crate::files::{self, Problem, shown};

/// Reads the melody in the file `path`, of a MIDI file the one of `track` where one is named, and says what was
/// changed or left out.
pub fn melody(path: &Path, track: Option<usize>) -> Result<Melody, Problem> {
    let bytes = bytes(path)?;
    if is_text(&bytes) && !is_midi(path, &bytes) {
        let text = "is text and no score: a tablature in text is read with --as-written";
        return Err(Problem::new(path, text));
    }
    let read = if is_midi(path, &bytes) { midi::read(&bytes, track) } else { musicxml::read(&bytes) };
    let read = read.map_err(|error| problem(path, error))?;
    tell(path, &read.remarks);
    Ok(read.melody)
}

/// Reads the tablature in the file `path` as it is written, in a text tuned to `tuning` where it is named, and
/// says what was guessed, changed or left out.
pub fn tablature(path: &Path, tuning: Option<Tuning>) -> Result<Tune, Problem> {
    let bytes = bytes(path)?;
    if is_midi(path, &bytes) {
        let text = "a MIDI file holds no tablature: without --as-written it is read as a melody";
        return Err(Problem::new(path, text));
    }
    let read = if is_text(&bytes) {
        text::read_tab(&bytes, tuning)
    } else if tuning.is_some() {
        return Err(Problem::new(path, "says its tuning by itself: leave out --tuning"));
    } else {
        musicxml::read_tab(&bytes)
    };
    let read = read.map_err(|error| problem(path, error))?;
    tell(path, &read.remarks);
    Ok(read.tune)
}

/// Whether a file is a standard MIDI file, by its first bytes or, where they are others, by its name.
fn is_midi(path: &Path, bytes: &[u8]) -> bool {
    let ending = path.extension().unwrap_or_default();
    bytes.starts_with(b"MThd") || ending.eq_ignore_ascii_case("mid") || ending.eq_ignore_ascii_case("midi")
}

/// Whether a file is plain text: neither XML nor an archive, as far as its first letter says.
fn is_text(bytes: &[u8]) -> bool {
    let start = bytes.iter().find(|byte| !byte.is_ascii_whitespace());
    !matches!(start, None | Some(b'<' | 0xEF | 0xFE | 0xFF)) && !bytes.starts_with(b"PK")
}

fn bytes(path: &Path) -> Result<Vec<u8>, Problem> {
    let mut bytes = Vec::new();
    File::open(path)
        .and_then(|file| file.take(LARGEST + 1).read_to_end(&mut bytes))
        .map_err(|error| files::cannot_read(path, &error))?;
    if bytes.len() as u64 > LARGEST {
        let text =
            format!("is larger than {} MB, and a tune takes far less: save the tune alone", LARGEST >> 20);
        return Err(Problem::new(path, text));
    }
    if bytes.iter().all(u8::is_ascii_whitespace) {
        return Err(Problem::new(path, "is empty: save it again where it comes from"));
    }
    Ok(bytes)
}

fn problem(path: &Path, error: ReadError) -> Problem {
    Problem { path: path.to_owned(), at: error.line.map(|line| (line, 1)), message: error.text }
}

fn tell(path: &Path, remarks: &[Remark]) {
    for remark in remarks {
        output::complain(&format!("{}: {remark}", shown(path)));
    }
}
