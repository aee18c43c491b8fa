//! The tracks that are heard.

use midly::num::{u4, u7, u14};
use midly::{MetaMessage, MidiMessage, PitchBend, TrackEventKind};

use super::{Happening, QUARTER, Rank, ticks};
use crate::{Schedule, Sound};

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

/// The strings, each on a channel of its own.
pub fn strings(schedule: &Schedule) -> Vec<Happening<'static>> {
    let mut track = vec![name("banjo")];
    for string in 1..=5 {
        let banjo = MidiMessage::ProgramChange { program: u7::new(BANJO) };
        track.push(message(0, Rank::SetUp, channel(string), banjo));
        for (controller, value) in WHEEL_REACH {
            track.push(message(0, Rank::SetUp, channel(string), control(controller, value)));
        }
    }
    for sound in &schedule.sounds {
        string(schedule, sound, &mut track);
    }
    track
}

/// A sound that is shorter than a tick, and so is not heard, is left out.
fn string(schedule: &Schedule, sound: &Sound, track: &mut Vec<Happening<'static>>) {
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
            let bend = step as f64 / STEPS as f64;
            track.push(message(on + rise * step / STEPS, Rank::Bend, channel, bent(bend)));
        }
        track.push(message(off, Rank::End, channel, bent(0.0)));
    } else if let Some(from) = sound.from {
        let apart = f64::from(from.0) - f64::from(sound.pitch.0);
        let glide = slide(schedule, sound).min(off - on);
        for step in 0..=STEPS {
            let bend = apart * (STEPS - step) as f64 / STEPS as f64;
            track.push(message(on + glide * step / STEPS, Rank::Bend, channel, bent(bend)));
        }
    }
    if sound.vibrato {
        track.push(message(on, Rank::Bend, channel, control(WHEEL, SHAKEN)));
        track.push(message(off, Rank::End, channel, control(WHEEL, 0)));
    }
}

/// How many ticks the slide to `sound` takes at its tempo.
fn slide(schedule: &Schedule, sound: &Sound) -> u64 {
    let tempos = schedule.tempos();
    let at = tempos.partition_point(|tempo| tempo.from <= sound.onset).saturating_sub(1);
    tempos.get(at).map_or(0, |tempo| SLIDE_MICROS * u64::from(QUARTER) / tempo.quarter_micros().max(1))
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

/// Bent by so many semitones, as far as the wheel goes.
fn bent(by: f64) -> MidiMessage {
    let wheel = (by / f64::from(REACH) * f64::from(0x2000)).round().clamp(-8192.0, 8191.0);
    MidiMessage::PitchBend { bend: PitchBend(u14::new((0x2000 + wheel as i16) as u16)) }
}

const fn control(controller: u8, value: u8) -> MidiMessage {
    MidiMessage::Controller { controller: u7::new(controller), value: u7::new(value) }
}

fn name(name: &'static str) -> Happening<'static> {
    let what = TrackEventKind::Meta(MetaMessage::TrackName(name.as_bytes()));
    Happening { at: 0, rank: Rank::SetUp, what }
}

const fn message(at: u64, rank: Rank, channel: u8, message: MidiMessage) -> Happening<'static> {
    Happening { at, rank, what: TrackEventKind::Midi { channel: u4::new(channel), message } }
}
