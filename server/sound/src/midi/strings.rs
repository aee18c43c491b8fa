//! The tracks that are heard.

use midly::num::{u4, u7};
use midly::{MetaMessage, MidiMessage, PitchBend, TrackEventKind};

use super::{Happening, Rank, ticks};
use crate::{Schedule, Sound};

/// General MIDI's banjo, counted from 0 as the bytes are.
const BANJO: u8 = 105;

/// General MIDI's drum channel, counted from 0, and on it the high and the low wood block.
const DRUMS: u8 = 9;
const HIGH_BLOCK: u8 = 76;
const LOW_BLOCK: u8 = 77;

/// How long a click is held, in ticks: drums stop by themselves.
const CLICK: u64 = super::QUARTER as u64 / 8;

/// A semitone up, where the bend wheel goes two semitones, as General MIDI has it when it starts.
const SEMITONE: i16 = 0x1000;

/// The steps in which a choke bends a note.
const STEPS: u64 = 8;

/// The modulation wheel, and how far it is turned for a vibrato.
const WHEEL: u8 = 1;
const SHAKEN: u8 = 64;

/// The strings, each on a channel of its own.
pub fn strings(schedule: &Schedule) -> Vec<Happening<'static>> {
    let mut track = vec![name("banjo")];
    for string in 1..=5 {
        let banjo = MidiMessage::ProgramChange { program: u7::new(BANJO) };
        track.push(message(0, Rank::SetUp, channel(string), banjo));
    }
    for sound in &schedule.sounds {
        string(sound, &mut track);
    }
    track
}

/// A sound that is shorter than a tick, and so is not heard, is left out.
fn string(sound: &Sound, track: &mut Vec<Happening<'static>>) {
    let (on, off) = (ticks(sound.onset), ticks(sound.end()));
    if on == off {
        return;
    }
    let channel = channel(sound.string);
    let key = u7::new(sound.pitch.0);
    let begin = MidiMessage::NoteOn { key, vel: u7::new(sound.level) };
    let end = MidiMessage::NoteOff { key, vel: u7::new(64) };
    track.push(message(on, Rank::Begin, channel, begin));
    track.push(message(off, Rank::End, channel, end));
    if let Some(rise) = sound.choke {
        let rise = ticks(sound.onset + rise) - on;
        for step in 1..=STEPS {
            let bend = SEMITONE / STEPS as i16 * step as i16;
            track.push(message(on + rise * step / STEPS, Rank::Bend, channel, bent(bend)));
        }
        track.push(message(off, Rank::End, channel, bent(0)));
    }
    if sound.vibrato {
        track.push(message(on, Rank::Bend, channel, wheel(SHAKEN)));
        track.push(message(off, Rank::End, channel, wheel(0)));
    }
}

/// The clicks: count 1 high, the others low.
pub fn clicks(schedule: &Schedule) -> Vec<Happening<'static>> {
    let mut track = vec![name("click")];
    for click in &schedule.clicks {
        let on = ticks(click.onset);
        let key = u7::new(if click.first { HIGH_BLOCK } else { LOW_BLOCK });
        let begin = MidiMessage::NoteOn { key, vel: u7::new(if click.first { 100 } else { 80 }) };
        track.push(message(on, Rank::Begin, DRUMS, begin));
        track.push(message(on + CLICK, Rank::End, DRUMS, MidiMessage::NoteOff { key, vel: u7::new(64) }));
    }
    track
}

const fn channel(string: u8) -> u8 {
    string.saturating_sub(1)
}

const fn bent(by: i16) -> MidiMessage {
    MidiMessage::PitchBend { bend: PitchBend(midly::num::u14::new((0x2000 + by) as u16)) }
}

const fn wheel(value: u8) -> MidiMessage {
    MidiMessage::Controller { controller: u7::new(WHEEL), value: u7::new(value) }
}

fn name(name: &'static str) -> Happening<'static> {
    let what = TrackEventKind::Meta(MetaMessage::TrackName(name.as_bytes()));
    Happening { at: 0, rank: Rank::SetUp, what }
}

const fn message(at: u64, rank: Rank, channel: u8, message: MidiMessage) -> Happening<'static> {
    Happening { at, rank, what: TrackEventKind::Midi { channel: u4::new(channel), message } }
}
