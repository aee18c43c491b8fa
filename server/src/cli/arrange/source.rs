//! The files that a melody or a tablature is read from.

use std::fs;
use std::path::Path;

use lope_exchange::{ReadError, Remark, musicxml};
use lope_tune::{Melody, Tune};

use crate::cli::output;
use crate::files::{Problem, shown};

/// Reads the melody in the file `path`, and says what was changed or left out.
pub fn melody(path: &Path) -> Result<Melody, Problem> {
    let read = musicxml::read(&bytes(path)?).map_err(|error| problem(path, error))?;
    tell(path, &read.remarks);
    Ok(read.melody)
}

/// Reads the tablature in the file `path` as it is written, and says what was guessed, changed or left out.
pub fn tablature(path: &Path) -> Result<Tune, Problem> {
    let read = musicxml::read_tab(&bytes(path)?).map_err(|error| problem(path, error))?;
    tell(path, &read.remarks);
    Ok(read.tune)
}

fn bytes(path: &Path) -> Result<Vec<u8>, Problem> {
    fs::read(path).map_err(|error| Problem::system(path, "read it", &error))
}

fn problem(path: &Path, error: ReadError) -> Problem {
    Problem { path: path.to_owned(), at: error.line.map(|line| (line, 1)), message: error.text }
}

fn tell(path: &Path, remarks: &[Remark]) {
    for remark in remarks {
        output::complain(&format!("{}: {remark}", shown(path)));
    }
}
