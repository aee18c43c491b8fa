//! The forms that are heard.

use std::fs::File;
use std::io::{BufWriter, Write};
use std::ops::RangeInclusive;

use lope_sound::{Performance, Schedule, Unwritable};
use lope_tune::{Played, Tune, play};

use super::{Piece, Trouble};

/// Bars of a part, as a player names them.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Passage {
    /// The part.
    pub part: String,
    /// The bars, counted from 1, 0 for the pickup; all where there are none.
    pub bars: Option<RangeInclusive<u32>>,
}

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
    let range = piece.passage.map(|passage| find(tune, &played, passage)).transpose()?;
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

fn find(tune: &Tune, played: &Played, passage: &Passage) -> Result<std::ops::Range<usize>, Trouble> {
    let Passage { part, bars } = passage;
    lope_sound::passage(tune, played, part, bars.clone())
        .ok_or_else(|| Trouble::Piece(missing(tune, played, part)))
}

/// What to say of a passage that is not there.
fn missing(tune: &Tune, played: &Played, part: &str) -> String {
    let name = |pass: u32| {
        let pass = tune.passes().get(pass as usize).copied();
        pass.map_or("", |pass| tune.sections[pass.part.index()].name.as_str())
    };
    let mut bars = played.bars.iter().filter(|bar| name(bar.pass) == part).map(|bar| bar.number);
    if let Some(first) = bars.next() {
        let (first, last) = bars.fold((first, first), |(low, high), bar| (low.min(bar), high.max(bar)));
        return format!("part {part} has no such bars in a row: it is played from bar {first} to bar {last}");
    }
    let mut parts: Vec<&str> = tune.parts().map(|(_, part)| part.name.as_str()).collect();
    parts.dedup();
    format!("plays no part {part}; its parts are: {}", parts.join(", "))
}

impl From<Unwritable> for Trouble {
    fn from(error: Unwritable) -> Self {
        match error {
            Unwritable::Output(error) => Self::Output(error),
            other => Self::Piece(other.to_string()),
        }
    }
}
