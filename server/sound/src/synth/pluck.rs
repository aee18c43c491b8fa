//! What is done to a string: where and how it is plucked, and what becomes of its pitch.

use lope_tune::{How, Pitch};

use super::RATE;
use crate::{Schedule, Sound};

/// A string set going.
#[derive(Clone, Debug)]
pub struct Pluck {
    /// Its pitch in Hz.
    pub hz: f64,
    /// How loud it is set going: 0 to 1.
    pub level: f32,
    /// What touches it.
    pub touch: Touch,
    /// The samples until it is stopped; none where it rings out.
    pub stopped_after: Option<usize>,
    /// What becomes of its pitch.
    pub bend: Bend,
    /// Whether a finger holds it at a fret.
    pub fretted: bool,
    /// Where its noise begins, so that no two notes hiss alike.
    pub seed: u32,
}

/// What touches a string, and how that sounds.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Touch {
    /// Where along the string it is touched, as a part of its length.
    pub place: f64,
    /// How wide the touch is, in milliseconds of the wave: the wider, the duller.
    pub width_ms: f64,
    /// How much of it is noise.
    pub noise: f32,
}

/// The nail of a falling hand near the bridge; the flesh of the thumb further up; a finger of the left hand
/// coming down on a fret, or off it. Common practice in kind; the numbers were set by looking at spectra.
const NAIL: Touch = Touch { place: 0.16, width_ms: 0.32, noise: 0.30 };
const THUMB: Touch = Touch { place: 0.22, width_ms: 0.42, noise: 0.12 };
const LEFT: Touch = Touch { place: 0.30, width_ms: 0.55, noise: 0.05 };

/// What becomes of a pitch after a note has begun.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Bend {
    /// Nothing.
    None,
    /// It comes from another pitch, in Hz.
    From(f64),
    /// It goes up by a semitone in so many samples.
    Up(f64),
    /// It is shaken.
    Shaken,
}

/// How long a slide takes to its fret, in samples.
const SLIDE: f64 = crate::SLIDE * RATE as f64;

/// A vibrato: its turns a second, its depth in cents either way, and when it begins in seconds. From memory.
const TURNS: f64 = 5.5;
const DEPTH: f64 = 12.0;
const SETTLED: f64 = 0.08;

impl Pluck {
    /// What `sound` of `schedule` does to its string.
    pub fn of(schedule: &Schedule, sound: &Sound, seed: u32) -> Self {
        let (on, off) = (schedule.seconds(sound.onset), schedule.seconds(sound.end()));
        let samples = |seconds: f64| seconds * f64::from(RATE);
        let bend = match (sound.choke, sound.from) {
            (Some(rise), _) => Bend::Up(samples(schedule.seconds(sound.onset + rise) - on)),
            (None, Some(from)) => Bend::From(hertz(from)),
            (None, None) if sound.vibrato => Bend::Shaken,
            (None, None) => Bend::None,
        };
        Self {
            hz: hertz(sound.pitch),
            level: (f32::from(sound.level) / 127.0).powi(2),
            touch: match sound.how {
                How::Strike => NAIL,
                How::Thumb => THUMB,
                How::Hammer | How::Pull | How::Slide => LEFT,
            },
            stopped_after: (sound.end() < schedule.end).then(|| samples(off - on).round() as usize),
            bend,
            fretted: sound.fret > 0,
            seed,
        }
    }

    /// Its pitch `at` samples after it was set going, as a multiple of [`Pluck::hz`].
    pub fn bent(&self, at: usize) -> f64 {
        let at = at as f64;
        match self.bend {
            Bend::None => 1.0,
            Bend::From(hz) => (hz / self.hz).powf(1.0 - eased(at / SLIDE)),
            Bend::Up(rise) => (eased(at / rise.max(1.0)) / 12.0).exp2(),
            Bend::Shaken => {
                let seconds = at / f64::from(RATE) - SETTLED;
                let turn = std::f64::consts::TAU * TURNS * seconds.max(0.0);
                (DEPTH / 1200.0 * turn.sin()).exp2()
            }
        }
    }
}

/// The pitch of a MIDI key in equal temperament, with A4 at 440 Hz (ISO 16).
pub fn hertz(pitch: Pitch) -> f64 {
    440.0 * ((f64::from(pitch.0) - 69.0) / 12.0).exp2()
}

/// 0 to 1 with a soft start and end.
fn eased(part: f64) -> f64 {
    let part = part.clamp(0.0, 1.0);
    part * part * (3.0 - 2.0 * part)
}
