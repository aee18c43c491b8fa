//! Standard MIDI files (MIDI Manufacturers Association, RP-001), as melodies.
//!
//! [`file`] opens a file, [`voices`] finds the rows of notes in it, [`choice`] the one most like a melody, [`clock`] tells
//! its time, [`grid`] moves its notes to where a player would write them, [`bars`] puts them into bars, and [`labels`]
//! what is sung to them.

mod bars;
mod choice;
mod clock;
mod file;
mod grid;
mod labels;
mod voices;

use lope_tune::{Header, Melody};

use crate::remark::gathered;
use crate::{Read, ReadError, Remark};
use clock::Clock;
use file::{File, refused};
use voices::{Voice, voices};

/// Reads a melody from a standard MIDI file: the voice numbered `chosen`, from 1, or the one most like a
/// melody.
///
/// # Errors
/// When it is no such file, is cut short, damaged or endless, counts time in seconds, or has no melody.
pub fn read(bytes: &[u8], chosen: Option<usize>) -> Result<Read, ReadError> {
    let mut remarks = Vec::new();
    let file = File::read(bytes, &mut remarks)?;
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
    if voices.len() > 1 {
        remarks.push(Remark::of_all(format!(
            "track {} is read; --track reads another of {}",
            number + 1,
            choice::listed(&voices)
        )));
    }
    let voice = voices[number];
    let clock = Clock::of(&file, voice, &mut remarks);
    let notes = grid::to_grid(voice, &clock, &mut remarks);
    let mut tune = bars::bars(&clock, &notes)?;
    tune.labels = labels::labels(&file, voice, &clock, (&tune, &notes), &mut remarks);
    if voice.is_bent {
        remarks.push(Remark::of_all("bends of pitch are left out: each note is read at its key"));
    }
    let title = file.tracks.first().and_then(|track| voices::name(track)).or_else(|| voice.name.clone());
    tune.header = Header { title: title.unwrap_or_else(|| "Untitled".to_owned()), ..Header::default() };
    let melody = Melody { key: clock.key, notes: bars::in_bars(&tune, &notes), tune };
    remarks.push(Remark::of_all("the form has no repeats: all of it is one part, as it is played"));
    Ok(Read { melody, remarks: gathered(remarks) })
}
