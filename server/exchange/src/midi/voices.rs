//! The rows of notes in a file: a track's notes of one channel.

use std::collections::{HashMap, VecDeque};

use lope_tune::Pitch;
use midly::{MetaMessage, MidiMessage, Smf, TrackEventKind};

/// The notes of one channel in one track.
#[derive(Clone, Debug, PartialEq)]
pub struct Voice {
    /// The track's number in the file, from 0.
    pub track: usize,
    /// The channel, from 0.
    pub channel: u8,
    /// What the track is called.
    pub name: Option<String>,
    /// In the order in which they begin.
    pub notes: Vec<Note>,
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
pub fn voices(file: &Smf<'_>) -> Vec<Voice> {
    let mut voices: Vec<Voice> = Vec::new();
    for (number, track) in file.tracks.iter().enumerate() {
        let first = voices.len();
        let mut now = 0_i64;
        let mut name = None;
        // A key may be struck again just before it is let go of: the first to end is the first that began.
        let mut sounding: HashMap<(u8, u8), VecDeque<i64>> = HashMap::new();
        let end = |voices: &mut Vec<Voice>, channel: u8, key: u8, start: i64, end: i64| {
            let at = voices[first..].iter().position(|voice| voice.channel == channel);
            let at = first
                + at.unwrap_or_else(|| {
                    voices.push(Voice { track: number, channel, name: None, notes: Vec::new() });
                    voices.len() - 1 - first
                });
            voices[at].notes.push(Note { start, end: end.max(start + 1), pitch: Pitch(key) });
        };
        for event in track {
            now = now.saturating_add(i64::from(event.delta.as_int()));
            match event.kind {
                TrackEventKind::Midi { channel, message } => {
                    let (key, is_on) = match message {
                        MidiMessage::NoteOn { key, vel } => (key, vel.as_int() > 0),
                        MidiMessage::NoteOff { key, .. } => (key, false),
                        _ => continue,
                    };
                    let place = (channel.as_int(), key.as_int());
                    let starts = sounding.entry(place).or_default();
                    if is_on {
                        starts.push_back(now);
                    } else if let Some(start) = starts.pop_front() {
                        end(&mut voices, place.0, place.1, start, now);
                    }
                }
                TrackEventKind::Meta(MetaMessage::TrackName(text)) => name = name.or_else(|| legible(text)),
                _ => {}
            }
        }
        // What nobody ended ends with the track.
        let mut left: Vec<_> = sounding.into_iter().collect();
        left.sort_unstable();
        for ((channel, key), starts) in left {
            starts.into_iter().for_each(|start| end(&mut voices, channel, key, start, now));
        }
        for voice in &mut voices[first..] {
            voice.name.clone_from(&name);
            voice.notes.sort_unstable();
        }
    }
    voices
}

/// A text of the file on one line, where there is any.
pub fn legible(text: &[u8]) -> Option<String> {
    let text = String::from_utf8_lossy(text);
    let words: Vec<&str> = text.split_whitespace().collect();
    Some(words.join(" ")).filter(|text| !text.is_empty())
}

impl Voice {
    /// Whether it is drums.
    pub const fn is_drums(&self) -> bool {
        self.channel == DRUMS
    }
}
