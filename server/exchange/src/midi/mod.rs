//! Standard MIDI files (MIDI Manufacturers Association, RP-001), as melodies.
//!
//! [`voices`] finds the rows of notes in a file, [`choice`] the one most like a melody, [`grid`] moves its notes
//! to where a player would write them, and [`bars`] puts them into bars.

mod bars;
mod choice;
mod grid;
mod voices;

use lope_tune::Melody;
use midly::{Smf, Timing};

use crate::{Read, ReadError, Remark};
use voices::{Voice, voices};

/// Reads a melody from a standard MIDI file: the voice numbered `chosen`, from 1, or the one most like a
/// melody.
///
/// # Errors
/// When it is no such file, is cut short, counts time in seconds, or has no melody.
pub fn read(bytes: &[u8], chosen: Option<usize>) -> Result<Read, ReadError> {
    whole(bytes)?;
    let file = Smf::parse(bytes).map_err(|error| {
        refused(format!("this is no standard MIDI file that can be read ({error}): save it again"))
    })?;
    let Timing::Metrical(quarter) = file.header.timing else {
        return Err(refused(
            "it counts time in seconds and not in beats: save it with ticks to a quarter note",
        ));
    };
    let quarter = i64::from(quarter.as_int());
    if quarter == 0 {
        return Err(refused("it divides a quarter note into no ticks at all: save it again"));
    }
    let all = voices(&file);
    let voices: Vec<&Voice> = all.iter().filter(|voice| !voice.is_drums()).collect();
    if voices.is_empty() {
        let text = if all.is_empty() { "there is no note in it" } else { "there are only drums in it" };
        return Err(refused(format!("{text}: choose a file with a melody")));
    }
    let number = match chosen {
        None => choice::melody_of(&voices),
        Some(number @ 1..) if number <= voices.len() => number - 1,
        Some(number) => {
            return Err(refused(format!("there is no track {number}; it has {}", choice::listed(&voices))));
        }
    };
    let mut remarks = Vec::new();
    if voices.len() > 1 {
        remarks.push(Remark::of_all(format!(
            "track {} is read; --track reads another of {}",
            number + 1,
            choice::listed(&voices)
        )));
    }
    let voice = voices[number];
    let clock = bars::Clock::of(&file, voice, quarter, &mut remarks);
    let notes = grid::to_grid(voice, &clock, &mut remarks);
    let tune = clock.tune(&file, voice, &notes);
    let melody = Melody { key: clock.key, notes: clock.melody(&tune, &notes), tune };
    remarks.push(Remark::of_all("the form has no repeats: all of it is one part, as it is played"));
    Ok(Read { melody, remarks })
}

/// Whether every chunk of the file is there to its end.
fn whole(bytes: &[u8]) -> Result<(), ReadError> {
    if !bytes.starts_with(b"MThd") {
        return Err(refused("this is no standard MIDI file: it does not begin as one"));
    }
    let tracks = bytes.get(10..12).map_or(0, |count| usize::from(u16::from_be_bytes([count[0], count[1]])));
    let cut = || refused("the file is cut short: copy or save it again");
    let (mut at, mut found) = (0, 0);
    while found < tracks || at == 0 {
        let head = bytes.get(at..at + 8).ok_or_else(cut)?;
        let length = u32::from_be_bytes([head[4], head[5], head[6], head[7]]) as usize;
        found += usize::from(head.starts_with(b"MTrk"));
        at = at.saturating_add(8).saturating_add(length);
        if at > bytes.len() {
            return Err(cut());
        }
    }
    Ok(())
}

fn refused(text: impl Into<String>) -> ReadError {
    ReadError { line: None, text: text.into() }
}
