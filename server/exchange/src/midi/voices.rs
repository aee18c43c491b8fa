//! The rows of notes in a file: a track's notes of one channel, or of several that are strings of one instrument.

use std::collections::{HashMap, VecDeque};

use lope_tune::Pitch;
use midly::{MetaMessage, MidiMessage, TrackEventKind};

use super::file::{Event, File};
use crate::label::one_line;

/// The notes of one instrument in one track.
#[derive(Clone, Debug, PartialEq)]
pub struct Voice {
    /// The track's number in the file, from 0.
    pub track: usize,
    /// The channel, from 0; of several the first.
    pub channel: u8,
    /// What the track is called.
    pub name: Option<String>,
    /// In the order in which they begin.
    pub notes: Vec<Note>,
    /// Whether any is bent to another pitch than its key's.
    pub is_bent: bool,
}

/// A note in ticks.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Note {
    /// When it begins.
    pub start: i64,
    /// When it ends.
    pub end: i64,
    /// What it sounds.
    pub pitch: Pitch,
}

/// The channel of drums in General MIDI, its tenth.
const DRUMS: u8 = 9;

/// Every voice of `file` that has notes.
pub fn voices(file: &File<'_>) -> Vec<Voice> {
    let mut voices: Vec<Voice> = Vec::new();
    for (number, track) in file.tracks.iter().enumerate() {
        let first = voices.len();
        // A key may be struck again just before it is let go of: the first to end is the first that began.
        let mut sounding: HashMap<(u8, u8), VecDeque<i64>> = HashMap::new();
        let end = |voices: &mut Vec<Voice>, channel: u8, key: u8, start: i64, end: i64| {
            let at = voices[first..].iter().position(|voice| voice.channel == channel);
            let at = first
                + at.unwrap_or_else(|| {
                    voices.push(Voice {
                        track: number,
                        channel,
                        name: None,
                        notes: Vec::new(),
                        is_bent: false,
                    });
                    voices.len() - 1 - first
                });
            voices[at].notes.push(Note { start, end: end.max(start + 1), pitch: Pitch(key) });
        };
        let mut bent = 0_u16;
        let mut programs = [None; 16];
        for (now, event) in track {
            let TrackEventKind::Midi { channel, message } = event else { continue };
            let (key, is_on) = match message {
                MidiMessage::NoteOn { key, vel } => (key, vel.as_int() > 0),
                MidiMessage::NoteOff { key, .. } => (key, false),
                MidiMessage::ProgramChange { program } => {
                    programs[usize::from(channel.as_int())] = Some(program.as_int());
                    continue;
                }
                MidiMessage::PitchBend { bend } => {
                    bent |= u16::from(bend.as_int() != 0) << channel.as_int();
                    continue;
                }
                _ => continue,
            };
            let place = (channel.as_int(), key.as_int());
            let starts = sounding.entry(place).or_default();
            if is_on {
                starts.push_back(*now);
            } else if let Some(start) = starts.pop_front() {
                end(&mut voices, place.0, place.1, start, *now);
            }
        }
        let now = track.last().map_or(0, |(now, _)| *now);
        // What nobody ended ends with the track.
        let mut left: Vec<_> = sounding.into_iter().collect();
        left.sort_unstable();
        for ((channel, key), starts) in left {
            starts.into_iter().for_each(|start| end(&mut voices, channel, key, start, now));
        }
        let name = name(track);
        for voice in &mut voices[first..] {
            voice.name.clone_from(&name);
            voice.is_bent = bent >> voice.channel & 1 == 1;
        }
        // Where each instrument has a track, channels that sound alike are strings, each of which can bend alone
        // (common practice). Where all of them share one, they may be two flutes.
        if file.tracks.len() > 1 {
            join(&mut voices, first, &programs);
        }
        voices[first..].iter_mut().for_each(|voice| voice.notes.sort_unstable());
    }
    voices
}

/// Makes one voice of those from `first` on whose channels have the same of the `programs`.
fn join(voices: &mut Vec<Voice>, first: usize, programs: &[Option<u8>; 16]) {
    let mut joined: Vec<Voice> = Vec::new();
    let program = |voice: &Voice| programs[usize::from(voice.channel)].filter(|_| !voice.is_drums());
    for voice in voices.drain(first..) {
        let of_one = |other: &&mut Voice| program(&voice).is_some() && program(other) == program(&voice);
        match joined.iter_mut().find(of_one) {
            Some(one) => {
                one.is_bent |= voice.is_bent;
                one.notes.extend(voice.notes);
            }
            None => joined.push(voice),
        }
    }
    voices.append(&mut joined);
}

/// What `track` is called.
pub fn name(track: &[Event<'_>]) -> Option<String> {
    track.iter().find_map(|(_, event)| match event {
        TrackEventKind::Meta(MetaMessage::TrackName(text)) => legible(text),
        _ => None,
    })
}

/// A text of the file on one line, where there is any. The standard knows no letters but ASCII's; others are meant in
/// UTF-8 or, in older files, in Latin-1 (common practice).
pub fn legible(text: &[u8]) -> Option<String> {
    let latin = || text.iter().copied().map(char::from).collect();
    let text = std::str::from_utf8(text).map_or_else(|_| latin(), str::to_owned);
    Some(one_line(&text)).filter(|text| !text.is_empty())
}

impl Voice {
    /// Whether it is drums.
    pub const fn is_drums(&self) -> bool {
        self.channel == DRUMS
    }
}
