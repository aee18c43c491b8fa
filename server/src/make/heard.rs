//! The forms that are heard.

use std::fs::File;
use std::io::{BufWriter, Write};

use lope_sound::{Performance, Schedule, Unwritable};
use lope_tune::play;

use super::passage::find;
use super::{Piece, Trouble};

/// Writes `piece` as a standard MIDI file.
pub fn midi(piece: &Piece<'_>, file: &mut File) -> Result<(), Trouble> {
    let bytes = lope_sound::midi(piece.reading.tune(), &schedule(piece)?)?;
    Ok(file.write_all(&bytes)?)
}

/// Writes `piece` as a WAV file.
pub fn wav(piece: &Piece<'_>, file: &mut File) -> Result<(), Trouble> {
    let mut out = BufWriter::with_capacity(1 << 16, file);
    lope_sound::wav(&schedule(piece)?, &mut out)?;
    Ok(out.flush()?)
}

fn schedule(piece: &Piece<'_>) -> Result<Schedule, Trouble> {
    let tune = piece.reading.tune();
    let played = play(tune);
    let range =
        piece.passage.map(|passage| find(tune, &played, passage)).transpose().map_err(Trouble::Piece)?;
    let performance = Performance { passage: range, ..piece.performance.clone() };
    let schedule = lope_sound::schedule(tune, &played, &performance);
    if schedule.sounds.is_empty() {
        let asked = piece.passage.is_some() || *piece.performance != Performance::default();
        let what =
            if asked { "nothing sounds in what is asked for" } else { "there is nothing to play in it" };
        return Err(Trouble::Piece(what.to_owned()));
    }
    Ok(schedule)
}

impl From<Unwritable> for Trouble {
    fn from(error: Unwritable) -> Self {
        match error {
            Unwritable::Output(error) => Self::Output(error),
            other => Self::Piece(other.to_string()),
        }
    }
}
