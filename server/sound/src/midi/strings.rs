//! The tracks that are heard.

use super::due::{Due, Rank};
use super::track::{Message, Meta, Track};
use super::{QUARTER, ticks};
use crate::{Schedule, Sound};

/// What a message does: the upper half of its first byte, of which the lower is the channel (MIDI 1.0).
const NOTE_OFF: u8 = 0x80;
const NOTE_ON: u8 = 0x90;
const CONTROL: u8 = 0xB0;
const PROGRAM: u8 = 0xC0;
const BEND: u8 = 0xE0;

/// General MIDI's banjo, counted from 0 as the bytes are.
const BANJO: u8 = 105;

/// General MIDI's drum channel, counted from 0, and on it the high and the low wood block.
const DRUMS: u8 = 9;
const HIGH_BLOCK: u8 = 76;
const LOW_BLOCK: u8 = 77;

/// How long a click is held, in ticks: drums stop by themselves.
const CLICK: u64 = QUARTER as u64 / 8;

/// How many semitones the bend wheel goes either way: each string is told so at the start. A longer slide begins
/// an octave off.
const REACH: i16 = 12;

/// The steps in which a choke or a slide bends a note.
const STEPS: u64 = 8;

/// What tells the wheel its reach: registered parameter 0, its value in semitones and cents, and then none, so that
/// nothing later changes it (MIDI 1.0, RP-018).
const WHEEL_REACH: [(u8, u8); 6] = [(101, 0), (100, 0), (6, REACH as u8), (38, 0), (101, 127), (100, 127)];

/// How long a slide takes, in microseconds: as long as the one that the computed strings play.
const SLIDE_MICROS: u64 = (crate::SLIDE * 1e6) as u64;

/// The modulation wheel, and how far it is turned for a vibrato.
const WHEEL: u8 = 1;
const SHAKEN: u8 = 64;

/// Writes the strings, each on a channel of its own.
pub fn write(schedule: &Schedule, track: &mut Track<'_>) {
    track.meta(0, Meta::Name, b"banjo");
    for channel in (1..=5).map(channel) {
        track.message(0, ([PROGRAM | channel, BANJO, 0], 2));
        for (controller, value) in WHEEL_REACH {
            track.message(0, control(channel, controller, value));
        }
    }
    let mut due = Due::default();
    for sound in &schedule.sounds {
        string(schedule, sound, &mut due, track);
    }
    due.write(track);
}

/// A sound that is shorter than a tick, and so is not heard, is left out.
fn string(schedule: &Schedule, sound: &Sound, due: &mut Due, track: &mut Track<'_>) {
    let (on, off) = (ticks(sound.onset), ticks(sound.end()));
    if on == off {
        return;
    }
    due.write_until(on, track);
    let channel = channel(sound.string);
    due.add(on, Rank::Begin, begin(channel, sound.pitch.0, sound.level));
    due.add(off, Rank::End, end(channel, sound.pitch.0));
    if let Some(rise) = sound.choke {
        let rise = ticks(sound.onset + rise) - on;
        for step in 1..=STEPS {
            let bend = step as f64 / STEPS as f64;
            due.add(on + rise * step / STEPS, Rank::Bend, bent(channel, bend));
        }
        due.add(off, Rank::End, bent(channel, 0.0));
    } else if let Some(from) = sound.from {
        let apart = f64::from(from.0) - f64::from(sound.pitch.0);
        let glide = slide(schedule, sound).min(off - on);
        for step in 0..=STEPS {
            let bend = apart * (STEPS - step) as f64 / STEPS as f64;
            due.add(on + glide * step / STEPS, Rank::Bend, bent(channel, bend));
        }
    }
    if sound.vibrato {
        due.add(on, Rank::Bend, control(channel, WHEEL, SHAKEN));
        due.add(off, Rank::End, control(channel, WHEEL, 0));
    }
}

/// How many ticks the slide to `sound` takes at its tempo.
fn slide(schedule: &Schedule, sound: &Sound) -> u64 {
    let tempos = schedule.tempos();
    let at = tempos.partition_point(|tempo| tempo.from <= sound.onset).saturating_sub(1);
    tempos.get(at).map_or(0, |tempo| SLIDE_MICROS * u64::from(QUARTER) / tempo.quarter_micros().max(1))
}

/// Writes the clicks: count 1 high, the others low.
pub fn write_clicks(schedule: &Schedule, track: &mut Track<'_>) {
    track.meta(0, Meta::Name, b"click");
    let mut due = Due::default();
    for click in &schedule.clicks {
        let on = ticks(click.onset);
        due.write_until(on, track);
        let (key, level) = if click.first { (HIGH_BLOCK, 100) } else { (LOW_BLOCK, 80) };
        due.add(on, Rank::Begin, begin(DRUMS, key, level));
        due.add(on + CLICK, Rank::End, end(DRUMS, key));
    }
    due.write(track);
}

const fn channel(string: u8) -> u8 {
    string.saturating_sub(1)
}

const fn begin(channel: u8, key: u8, level: u8) -> Message {
    ([NOTE_ON | channel, key, level], 3)
}

const fn end(channel: u8, key: u8) -> Message {
    ([NOTE_OFF | channel, key, 64], 3)
}

const fn control(channel: u8, controller: u8, value: u8) -> Message {
    ([CONTROL | channel, controller, value], 3)
}

/// Bent by so many semitones, as far as the wheel goes.
fn bent(channel: u8, by: f64) -> Message {
    let wheel = (by / f64::from(REACH) * f64::from(0x2000)).round().clamp(-8192.0, 8191.0);
    let value = (0x2000 + wheel as i16) as u16;
    ([BEND | channel, (value & 0x7F) as u8, (value >> 7) as u8], 3)
}
